//! What stands behind a condition: the two-step rule.
//!
//! Roots bring about one condition alone, so the network above them is a tree and two steps are exact: the condition's
//! probability beforehand is worked out from its roots, the network above turns it into a probability afterwards, and
//! the roots follow by mixing what they would be with the condition and without it.

use crate::engine::weigh::{Evidence, Posterior, weigh};

/// The roots of one condition, with what was found out about them alone.
#[derive(Debug, Clone, PartialEq)]
pub struct RootNet {
    /// Probability of the condition when no listed root is there.
    pub leak: f64,
    /// Probability of each root beforehand.
    pub priors: Vec<f64>,
    /// Share of cases in which each root, alone, brings the condition about.
    pub brings: Vec<f64>,
    /// What was found out about the roots; links go to places in `priors`.
    pub evidence: Vec<Evidence>,
}

impl RootNet {
    /// The part of a condition's overall base rate that its roots do not account for: the leak that gives `base_rate`
    /// back. Below 0 when the roots alone bring the condition about more often than that.
    pub fn rest(base_rate: f64, priors: &[f64], brings: &[f64]) -> f64 {
        let without: f64 = priors
            .iter()
            .zip(brings)
            .map(|(prior, brings)| 1.0 - prior * brings)
            .product();
        if without > 0.0 {
            1.0 - (1.0 - base_rate) / without
        } else {
            0.0
        }
    }

    /// Probability of the condition beforehand, given what was found out about its roots.
    pub fn condition_prior(&self) -> f64 {
        let told = weigh(&self.priors, &self.evidence);
        let absent = weigh(&self.priors, &self.with_condition(Evidence::not_there));
        let without = (absent.log_evidence - told.log_evidence).exp();
        if without.is_finite() {
            (1.0 - without).clamp(0.0, 1.0)
        } else {
            self.leak
        }
    }

    /// Probability of each root, once the network above says how likely the condition is.
    ///
    /// # Source
    /// P(r given e) = P(r given M) P(M given e) + P(r given not M) (1 - P(M given e)), exact on a tree.
    pub fn given_condition(&self, condition: f64) -> Vec<f64> {
        let with = self.split(Evidence::seen);
        let without = self.split(Evidence::not_there);
        with.into_iter()
            .zip(without)
            .map(|(with, without)| (with * condition + without * (1.0 - condition)).clamp(0.0, 1.0))
            .collect()
    }

    /// The evidence with the condition itself as one more finding.
    fn with_condition(&self, finding: fn(f64, Vec<(usize, f64)>) -> Evidence) -> Vec<Evidence> {
        let mut evidence = self.evidence.clone();
        evidence.push(finding(
            self.leak,
            self.brings.iter().copied().enumerate().collect(),
        ));
        evidence
    }

    fn split(&self, finding: fn(f64, Vec<(usize, f64)>) -> Evidence) -> Vec<f64> {
        let Posterior {
            marginals,
            log_evidence,
            ..
        } = weigh(&self.priors, &self.with_condition(finding));
        // A condition that cannot be (or cannot fail to be) leaves the roots as they were told.
        if log_evidence == f64::NEG_INFINITY {
            weigh(&self.priors, &self.evidence).marginals
        } else {
            marginals
        }
    }
}

#[cfg(test)]
mod tests {
    use super::RootNet;
    use crate::engine::weigh::{Evidence, weigh};

    /// Roots .05 (brings .9) and .10 (brings .6), leak .02; the condition shows two signs (.8, leak .05; .7, leak .03),
    /// both seen. P(M) .120254, P(M given e) .981250, roots .370505 and .511308.
    ///
    /// Source: sourcebook "inference", worked example DC3 (constructed there; two-step rule and enumeration agree).
    #[test]
    fn the_two_step_rule_gives_the_printed_digits() {
        let net = RootNet {
            leak: 0.02,
            priors: vec![0.05, 0.10],
            brings: vec![0.9, 0.6],
            evidence: vec![],
        };
        let prior = net.condition_prior();
        assert!((prior - 0.120254).abs() < 5e-7, "{prior}");
        let seen = [
            Evidence::seen(0.05, vec![(0, 0.8)]),
            Evidence::seen(0.03, vec![(0, 0.7)]),
        ];
        let condition = weigh(&[prior], &seen).marginals[0];
        assert!((condition - 0.981250).abs() < 5e-7, "{condition}");
        let roots = net.given_condition(condition);
        assert!((roots[0] - 0.370505).abs() < 5e-7, "{roots:?}");
        assert!((roots[1] - 0.511308).abs() < 5e-7, "{roots:?}");
    }

    #[test]
    fn the_rest_gives_the_base_rate_back() {
        let (priors, brings) = (vec![0.05, 0.10], vec![0.9, 0.6]);
        let leak = RootNet::rest(0.15, &priors, &brings);
        let net = RootNet {
            leak,
            priors: priors.clone(),
            brings: brings.clone(),
            evidence: vec![],
        };
        assert!((net.condition_prior() - 0.15).abs() < 1e-12);
        assert!(RootNet::rest(0.01, &priors, &brings) < 0.0);
    }
}
