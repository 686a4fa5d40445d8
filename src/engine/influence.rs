//! What each finding did to each cause, and how well the findings fit together.

use crate::engine::weigh::{Evidence, Posterior, leaving_out_each, weigh};

/// Probabilities nearer to 0 or 1 than this count as this near, so that a certain cause has finite weights.
const CERTAIN: f64 = 1e-15;

/// How badly the findings fit one another, in bits: `log2(product of P(each alone) / P(all))`.
///
/// Above 0 they are seen together more rarely than if they had nothing to do with each other: an answer may be
/// wrong, or the case is rare or not in the book. Below 0 they support one another. Neutral evidence counts for
/// nothing. Findings that cannot happen together give plus infinity.
///
/// # Source
/// Jensen, Chamberlain, Nordahl & Jensen 1991, Analysis in HUGIN of data conflict (from memory; the definition
/// was read in the Hugin manual).
pub fn conflict(priors: &[f64], evidence: &[Evidence]) -> f64 {
    conflict_given(priors, evidence, weigh(priors, evidence).log_evidence)
}

/// The same where the logarithm of the probability of all of it is known already.
pub(crate) fn conflict_given(priors: &[f64], evidence: &[Evidence], together: f64) -> f64 {
    if together == f64::NEG_INFINITY {
        return f64::INFINITY;
    }
    let alone: f64 = evidence
        .iter()
        .map(|item| libm::log(item.probability(priors)))
        .sum();
    (alone - together) / std::f64::consts::LN_2
}

/// Weight of each finding for each cause, in decibans: 10 log10 of the factor by which the cause's odds change
/// when the finding is added to all the others.
///
/// One row a finding, one column a cause. Weights do not add up where causes compete. Evidence that cannot happen,
/// and neutral evidence, has weight 0. No weight exceeds 300 dB in size.
///
/// # Source
/// Good 1950, Probability and the Weighing of Evidence (weight of evidence, decibans); leaving out one finding at
/// a time is the usual way to explain a network that is not a plain sum.
pub fn leave_one_out(priors: &[f64], evidence: &[Evidence]) -> Vec<Vec<f64>> {
    let causes: Vec<usize> = (0..priors.len()).collect();
    leave_one_out_for(priors, evidence, &causes)
}

/// [`leave_one_out`] for some causes only: one column for each of `causes`, in that order.
///
/// A cause that does not exist has weight 0.
pub fn leave_one_out_for(priors: &[f64], evidence: &[Evidence], causes: &[usize]) -> Vec<Vec<f64>> {
    leave_one_out_given(priors, evidence, causes, &weigh(priors, evidence))
}

/// The same where all of it has been weighed already.
pub(crate) fn leave_one_out_given(
    priors: &[f64],
    evidence: &[Evidence],
    causes: &[usize],
    all: &Posterior,
) -> Vec<Vec<f64>> {
    let nothing = vec![0.0; causes.len()];
    if all.log_evidence == f64::NEG_INFINITY || causes.is_empty() {
        return vec![nothing; evidence.len()];
    }
    let of = |marginals: &[f64], cause: usize| marginals.get(cause).copied().map(decibans);
    let with: Vec<Option<f64>> = causes
        .iter()
        .map(|&cause| of(&all.marginals, cause))
        .collect();
    let weights = |without: Vec<f64>| -> Vec<f64> {
        let pairs = with.iter().zip(causes);
        pairs
            .map(|(with, &cause)| {
                with.zip(of(&without, cause))
                    .map_or(0.0, |(with, without)| with - without)
            })
            .collect()
    };
    leaving_out_each(priors, evidence)
        .into_iter()
        .map(|without| without.map_or_else(|| nothing.clone(), &weights))
        .collect()
}

/// Odds of this probability in decibans.
pub fn decibans(probability: f64) -> f64 {
    let held = probability.clamp(CERTAIN, 1.0 - CERTAIN);
    10.0 * libm::log10(held / (1.0 - held))
}
