//! What holds for every network, tried on random ones.

use blockside::engine::weigh::{Evidence, none_of, weigh};
use proptest::prelude::*;

use crate::network::{enumerate, inclusion_exclusion};

/// A probability, now and then one of the ends.
fn probability() -> impl Strategy<Value = f64> {
    prop_oneof![8 => 0.001..0.999, 1 => Just(0.0), 1 => Just(1.0)]
}

/// A pair of likelihoods: seen, not there, not asked or soft.
fn pair() -> impl Strategy<Value = (f64, f64)> {
    prop_oneof![
        3 => Just((1.0, 0.0)),
        2 => Just((0.0, 1.0)),
        1 => Just((1.0, 1.0)),
        2 => (0.01..1.0, 0.01..1.0),
    ]
}

/// Evidence about one sign; every cause is linked with even chance.
fn evidence(causes: usize, leak: std::ops::Range<f64>) -> impl Strategy<Value = Evidence> {
    let links = proptest::collection::vec((any::<bool>(), probability()), causes);
    (pair(), leak, links).prop_map(|((if_present, if_absent), leak, links)| Evidence {
        if_present,
        if_absent,
        leak,
        links: links
            .into_iter()
            .enumerate()
            .filter(|(_, (linked, _))| *linked)
            .map(|(cause, (_, strength))| (cause, strength))
            .collect(),
    })
}

/// Priors and evidence, with leaks above 0 so that the evidence can happen unless a cause is certain.
fn network(
    causes: std::ops::RangeInclusive<usize>,
    findings: std::ops::RangeInclusive<usize>,
) -> impl Strategy<Value = (Vec<f64>, Vec<Evidence>)> {
    causes.prop_flat_map(move |causes| {
        (
            proptest::collection::vec(probability(), causes),
            proptest::collection::vec(evidence(causes, 0.001..0.5), findings.clone()),
        )
    })
}

fn agree(one: &[f64], other: &[f64], within: f64) -> Result<(), TestCaseError> {
    prop_assert_eq!(one.len(), other.len());
    for (at, (one, other)) in one.iter().zip(other).enumerate() {
        prop_assert!(
            (one - other).abs() <= within,
            "cause {}: {} and {}",
            at,
            one,
            other
        );
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(256))]

    #[test]
    fn the_posterior_equals_plain_enumeration((priors, evidence) in network(0..=10, 0..=8)) {
        let posterior = weigh(&priors, &evidence);
        let plain = enumerate(&priors, &evidence);
        prop_assert!(posterior.exact);
        if plain.evidence > 0.0 {
            agree(&posterior.marginals, &plain.marginals, 1e-9)?;
            prop_assert!((posterior.log_evidence - plain.evidence.ln()).abs() < 1e-9);
        } else {
            prop_assert_eq!(posterior.log_evidence, f64::NEG_INFINITY);
            agree(&posterior.marginals, &priors, 0.0)?;
        }
    }

    /// Seen and soft signs of too many causes to enumerate.
    #[test]
    fn the_posterior_equals_inclusion_exclusion_as_far_as_that_keeps_digits(
        (priors, evidence) in network(14..=40, 1..=9),
    ) {
        let textbook = inclusion_exclusion(&priors, &evidence);
        prop_assume!(textbook.cancellation < 1e9);
        let within = 1e-14 * textbook.cancellation;
        agree(&weigh(&priors, &evidence).marginals, &textbook.marginals, within)?;
    }

    #[test]
    fn one_cause_linked_to_everything_is_solved_exactly_too(
        (mut priors, mut evidence) in network(3..=9, 4..=8),
        prior in 0.01..0.2,
        strength in 0.05..0.4,
    ) {
        let unknown = priors.len();
        priors.push(prior);
        for item in &mut evidence {
            item.links.push((unknown, strength));
        }
        let plain = enumerate(&priors, &evidence);
        if plain.evidence > 0.0 {
            agree(&weigh(&priors, &evidence).marginals, &plain.marginals, 1e-9)?;
        }
    }

    #[test]
    fn neither_the_order_of_evidence_nor_of_causes_matters(
        (priors, evidence) in network(2..=12, 2..=10),
        turn in 1_usize..7,
    ) {
        let posterior = weigh(&priors, &evidence);
        let causes = priors.len();
        let moved = |cause: usize| (cause + turn) % causes;
        let mut turned_priors = priors.clone();
        for (cause, prior) in priors.iter().enumerate() {
            turned_priors[moved(cause)] = *prior;
        }
        let turned_evidence: Vec<Evidence> = evidence
            .iter()
            .rev()
            .map(|item| Evidence {
                links: item.links.iter().rev().map(|&(c, s)| (moved(c), s)).collect(),
                ..item.clone()
            })
            .collect();
        let turned = weigh(&turned_priors, &turned_evidence);
        for (cause, marginal) in posterior.marginals.iter().enumerate() {
            prop_assert!((marginal - turned.marginals[moved(cause)]).abs() <= 1e-12);
        }
        let same_log = posterior.log_evidence == turned.log_evidence
            || (posterior.log_evidence - turned.log_evidence).abs() <= 1e-11;
        prop_assert!(same_log, "{} and {}", posterior.log_evidence, turned.log_evidence);
    }

    #[test]
    fn neutral_evidence_changes_nothing(
        (priors, mut evidence) in network(1..=10, 0..=8),
        level in 0.01..1.0,
        at in any::<prop::sample::Index>(),
    ) {
        let before = weigh(&priors, &evidence);
        let links = (0..priors.len()).map(|cause| (cause, 0.5)).collect();
        let place = at.index(evidence.len() + 1);
        evidence.insert(place, Evidence::soft(level, level, 0.1, links));
        let after = weigh(&priors, &evidence);
        agree(&before.marginals, &after.marginals, 0.0)?;
    }

    #[test]
    fn only_the_ratio_of_likelihoods_matters(
        (priors, mut evidence) in network(1..=10, 1..=8),
        scale in 0.001..1000.0,
    ) {
        let before = weigh(&priors, &evidence);
        for item in &mut evidence {
            item.if_present *= scale;
            item.if_absent *= scale;
        }
        agree(&before.marginals, &weigh(&priors, &evidence).marginals, 1e-12)?;
    }

    #[test]
    fn negatives_alone_leave_causes_independent((priors, evidence) in network(2..=10, 1..=8)) {
        let evidence: Vec<Evidence> = evidence
            .into_iter()
            .map(|item| Evidence { if_present: 0.0, if_absent: 1.0, ..item })
            .collect();
        let posterior = weigh(&priors, &evidence);
        prop_assume!(posterior.log_evidence > f64::NEG_INFINITY);
        let each_absent: f64 = posterior.marginals[..2].iter().map(|p| 1.0 - p).product();
        prop_assert!((none_of(&priors, &evidence, &[0, 1]) - each_absent).abs() < 1e-12);
    }

    #[test]
    fn an_unlinked_cause_keeps_its_prior((mut priors, evidence) in network(1..=10, 0..=8), prior in probability()) {
        priors.push(prior);
        let posterior = weigh(&priors, &evidence);
        prop_assert!((posterior.marginals[priors.len() - 1] - prior).abs() < 1e-15);
    }

    #[test]
    fn none_of_some_causes_equals_plain_enumeration((priors, evidence) in network(1..=9, 0..=7), mask in any::<usize>()) {
        let chosen: Vec<usize> = (0..priors.len()).filter(|cause| mask >> cause & 1 == 1).collect();
        let plain = enumerate(&priors, &evidence);
        prop_assume!(plain.evidence > 0.0);
        let wanted: f64 = plain
            .states
            .iter()
            .enumerate()
            .filter(|(state, _)| chosen.iter().all(|cause| state >> cause & 1 == 0))
            .map(|(_, p)| p)
            .sum();
        prop_assert!((none_of(&priors, &evidence, &chosen) - wanted).abs() < 1e-9);
    }

    #[test]
    fn nothing_is_ever_not_a_number(
        priors in proptest::collection::vec(any::<f64>(), 0..6),
        rows in proptest::collection::vec(
            (any::<f64>(), any::<f64>(), any::<f64>(), proptest::collection::vec((0_usize..8, any::<f64>()), 0..6)),
            0..6,
        ),
    ) {
        let evidence: Vec<Evidence> = rows
            .into_iter()
            .map(|(if_present, if_absent, leak, links)| Evidence { if_present, if_absent, leak, links })
            .collect();
        let posterior = weigh(&priors, &evidence);
        prop_assert!(posterior.marginals.iter().all(|p| (0.0..=1.0).contains(p)));
        prop_assert!(!posterior.log_evidence.is_nan());
    }
}
