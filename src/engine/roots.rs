//! The roots behind one condition: two steps instead of one large network.
//!
//! The roots feed the condition by a noisy-OR of their own; below it, the condition alone feeds the signs. Because
//! the roots reach the signs only through the condition, two steps are exact: first the condition is weighed with
//! the prior that its roots give it, then its probability is handed back to the roots.

use crate::engine::weigh::{Evidence, unit, weigh};

/// The roots of one condition and what is known about the roots themselves.
///
/// # Invariants
/// As many `priors` as `brings`; the leak lies in 0..=1. Evidence links by position of the root.
///
/// # Source
/// Two-step rule, derived and checked against enumeration in the development notes of this project.
#[derive(Debug, Clone)]
pub struct RootNet {
    priors: Vec<f64>,
    brings: Vec<f64>,
    evidence: Vec<Evidence>,
    leak: f64,
    overfull: bool,
}

impl RootNet {
    /// Roots of a condition whose overall base rate is known: what the roots do not account for is the leak,
    /// `1 - (1 - base) / product of (1 - prior * brings)`.
    ///
    /// Where the roots account for more than the base rate, the leak is 0 and [`RootNet::overfull`] says so.
    ///
    /// # Range
    /// Probabilities are held to 0..=1. A root without a `brings` brings nothing.
    pub fn from_base_rate(
        base_rate: f64,
        priors: &[f64],
        brings: &[f64],
        evidence: &[Evidence],
    ) -> Self {
        let without: f64 = priors
            .iter()
            .zip(brings)
            .map(|(&prior, &brings)| 1.0 - unit(prior) * unit(brings))
            .product();
        // Rounding alone must not flag roots that account for the base rate to the last digit.
        let base_rate = unit(base_rate);
        let overfull = 1.0 - base_rate > without * (1.0 + 1e-12);
        let leak = if without > 0.0 {
            unit(1.0 - (1.0 - base_rate) / without)
        } else {
            0.0
        };
        Self {
            overfull,
            ..Self::with_leak(leak, priors, brings, evidence)
        }
    }

    /// Roots of a condition that comes about without any of them with probability `leak`.
    pub fn with_leak(leak: f64, priors: &[f64], brings: &[f64], evidence: &[Evidence]) -> Self {
        let mut brings: Vec<f64> = brings.iter().map(|&brings| unit(brings)).collect();
        brings.resize(priors.len(), 0.0);
        Self {
            priors: priors.iter().map(|&prior| unit(prior)).collect(),
            brings,
            evidence: evidence.to_vec(),
            leak: unit(leak),
            overfull: false,
        }
    }

    /// The same net with other priors of the roots, such as those raised by the setup; the leak stays, so that
    /// the condition becomes as much likelier as its roots do.
    pub fn with_priors(self, priors: &[f64]) -> Self {
        Self {
            overfull: self.overfull,
            ..Self::with_leak(self.leak, priors, &self.brings, &self.evidence)
        }
    }

    /// Whether the roots account for more than the base rate of the condition, which is a fault in the knowledge.
    pub fn overfull(&self) -> bool {
        self.overfull
    }

    /// Probability of the condition without any of its roots.
    pub fn leak(&self) -> f64 {
        self.leak
    }

    /// Probability of each root beforehand.
    pub fn priors(&self) -> &[f64] {
        &self.priors
    }

    /// What was found out about the roots alone.
    pub fn evidence(&self) -> &[Evidence] {
        &self.evidence
    }

    /// What was found out about the roots, with the condition itself as one more finding that is there.
    pub fn evidence_with_condition(&self) -> Vec<Evidence> {
        self.and_condition(true)
    }

    /// Probability of the condition once the roots' own evidence is in: its prior for the weighing of its signs.
    pub fn condition_prior(&self) -> f64 {
        let roots = weigh(&self.priors, &self.evidence);
        let with = weigh(&self.priors, &self.and_condition(true));
        if roots.log_evidence == f64::NEG_INFINITY {
            // Evidence that cannot happen says nothing: back to what held before it.
            let before = [self.condition(true)];
            return libm::exp(weigh(&self.priors, &before).log_evidence).min(1.0);
        }
        libm::exp(with.log_evidence - roots.log_evidence).min(1.0)
    }

    /// Probability of each root once the condition has this probability, all evidence about the condition and
    /// about the roots being in: `P(r | M) P(M) + P(r | not M) (1 - P(M))`.
    pub fn given_condition(&self, condition: f64) -> Vec<f64> {
        let condition = unit(condition);
        let roots = weigh(&self.priors, &self.evidence).marginals;
        let case = |present: bool| {
            let weighed = weigh(&self.priors, &self.and_condition(present));
            if weighed.log_evidence == f64::NEG_INFINITY {
                roots.clone()
            } else {
                weighed.marginals
            }
        };
        case(true)
            .iter()
            .zip(case(false))
            .map(|(with, without)| condition * with + (1.0 - condition) * without)
            .collect()
    }

    /// The condition as one more finding about the roots.
    fn condition(&self, present: bool) -> Evidence {
        let links = self.brings.iter().copied().enumerate().collect();
        if present {
            Evidence::seen(self.leak, links)
        } else {
            Evidence::not_there(self.leak, links)
        }
    }

    fn and_condition(&self, present: bool) -> Vec<Evidence> {
        let mut all = self.evidence.clone();
        all.push(self.condition(present));
        all
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn close(got: f64, wanted: f64, within: f64) {
        assert!((got - wanted).abs() <= within, "{got} is not {wanted}");
    }

    #[test]
    fn two_roots_behind_a_condition_with_two_signs() {
        // Development notes of this project, DC3: two-step rule and enumeration.
        let net = RootNet::with_leak(0.02, &[0.05, 0.10], &[0.9, 0.6], &[]);
        let prior = net.condition_prior();
        close(prior, 0.120_254, 5e-7);
        let signs = [
            Evidence::seen(0.05, vec![(0, 0.8)]),
            Evidence::seen(0.03, vec![(0, 0.7)]),
        ];
        let condition = weigh(&[prior], &signs).marginals[0];
        close(condition, 0.981_250, 5e-7);
        let ratio = condition / (1.0 - condition) / (prior / (1.0 - prior));
        close(ratio, 382.86, 5e-3);
        let roots = net.given_condition(condition);
        close(roots[0], 0.370_505, 5e-7);
        close(roots[1], 0.511_308, 5e-7);
    }

    #[test]
    fn a_root_gains_no_more_than_the_bottleneck_lets_through() {
        // Development notes of this project, DC2: H .1; M .9 with H, .1 without; signs .8 with M, .1 without.
        let net = RootNet::with_leak(0.1, &[0.1], &[(0.9 - 0.1) / 0.9], &[]);
        let sign = Evidence::seen(0.1, vec![(0, (0.8 - 0.1) / 0.9)]);
        for (signs, ratio, posterior) in [
            (1, 4.294, 0.323),
            (2, 7.904, 0.468),
            (3, 8.846, 0.496),
            // Printed as .500; a ratio of 8.981 on odds of 1 to 9 is .49947.
            (4, 8.981, 0.499_47),
            (5, 8.998, 0.500),
        ] {
            let condition = weigh(&[net.condition_prior()], &vec![sign.clone(); signs]);
            let root = net.given_condition(condition.marginals[0])[0];
            close(root, posterior, 5e-4);
            close(root / (1.0 - root) / (0.1 / 0.9), ratio, 5e-4);
        }
    }

    #[test]
    fn evidence_counted_again_and_again_grows_without_bound_if_nothing_holds_it() {
        // Development notes of this project, DC1: a likelihood ratio of 4 once, twice, three times.
        let sign = Evidence::soft(4.0, 1.0, 0.0, vec![(0, 1.0)]);
        for (times, wanted) in [(1, 0.8), (2, 0.9412), (3, 0.9846)] {
            let posterior = weigh(&[0.5], &vec![sign.clone(); times]);
            close(posterior.marginals[0], wanted, 5e-5);
        }
    }

    #[test]
    fn the_base_rate_comes_back_from_leak_and_roots() {
        let net = RootNet::from_base_rate(0.15, &[0.05, 0.10], &[0.9, 0.6], &[]);
        assert!(!net.overfull());
        close(net.condition_prior(), 0.15, 1e-14);
    }

    #[test]
    fn roots_that_outgrow_their_condition_are_flagged() {
        let net = RootNet::from_base_rate(0.05, &[0.05, 0.10], &[0.9, 0.6], &[]);
        assert!(net.overfull());
        assert_eq!(net.leak(), 0.0);
        let exact = RootNet::from_base_rate(1.0 - 0.955 * 0.94, &[0.05, 0.10], &[0.9, 0.6], &[]);
        assert!(!exact.overfull());
        assert!(RootNet::from_base_rate(0.5, &[1.0], &[1.0], &[]).overfull());
    }

    #[test]
    fn raised_roots_raise_their_condition() {
        let net = RootNet::from_base_rate(0.15, &[0.05, 0.10], &[0.9, 0.6], &[]);
        let leak = net.leak();
        let raised = net.with_priors(&[0.5, 0.10]);
        assert_eq!(raised.leak(), leak);
        close(
            raised.condition_prior(),
            1.0 - (1.0 - leak) * (1.0 - 0.45) * (1.0 - 0.06),
            1e-14,
        );
    }

    #[test]
    fn a_roots_own_sign_is_folded_in_and_equals_one_large_network() {
        // One sign of the first root, one of both; the whole is enumerated over roots and condition.
        let (priors, brings, leak) = ([0.05, 0.10], [0.9, 0.6], 0.02);
        let own = [
            Evidence::seen(0.03, vec![(0, 0.7)]),
            Evidence::soft(0.3, 0.9, 0.05, vec![(0, 0.2), (1, 0.5)]),
        ];
        let (sign_with, sign_without) = (0.8, 0.05);
        let likelihood =
            |item: &Evidence, roots: [bool; 2]| {
                let q = item.links.iter().fold(1.0 - item.leak, |q, (r, s)| {
                    if roots[*r] { q * (1.0 - s) } else { q }
                });
                item.if_present * (1.0 - q) + item.if_absent * q
            };
        let (mut all, mut with_m, mut with_r, mut own_only, mut own_m) =
            (0.0, 0.0, [0.0; 2], 0.0, 0.0);
        for state in 0..4 {
            let roots = [state & 1 == 1, state & 2 == 2];
            let mut p = 1.0;
            let mut q = 1.0 - leak;
            for r in 0..2 {
                p *= if roots[r] { priors[r] } else { 1.0 - priors[r] };
                q *= if roots[r] { 1.0 - brings[r] } else { 1.0 };
            }
            p *= own
                .iter()
                .map(|item| likelihood(item, roots))
                .product::<f64>();
            let (m, not_m) = (p * (1.0 - q) * sign_with, p * q * sign_without);
            own_only += p;
            own_m += p * (1.0 - q);
            all += m + not_m;
            with_m += m;
            for r in 0..2 {
                with_r[r] += if roots[r] { m + not_m } else { 0.0 };
            }
        }
        let net = RootNet::with_leak(leak, &priors, &brings, &own);
        close(net.condition_prior(), own_m / own_only, 1e-14);
        let strength = (sign_with - sign_without) / (1.0 - sign_without);
        let sign = Evidence::seen(sign_without, vec![(0, strength)]);
        let condition = weigh(&[net.condition_prior()], &[sign]).marginals[0];
        close(condition, with_m / all, 1e-14);
        let roots = net.given_condition(condition);
        for r in 0..2 {
            close(roots[r], with_r[r] / all, 1e-14);
        }
    }

    #[test]
    fn a_condition_that_cannot_happen_leaves_its_roots_alone() {
        let net = RootNet::with_leak(0.0, &[0.2], &[0.0], &[]);
        assert_eq!(net.condition_prior(), 0.0);
        close(net.given_condition(0.5)[0], 0.2, 1e-15);
        let impossible = [Evidence::seen(0.0, vec![])];
        let net = RootNet::with_leak(0.1, &[0.2], &[0.5], &impossible);
        close(net.condition_prior(), 1.0 - 0.9 * 0.9, 1e-15);
    }
}
