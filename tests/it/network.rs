//! Plain enumeration, against which the engine is measured, and small helpers for networks in tests.

use blockside::engine::weigh::Evidence;

/// Asserts that two numbers differ by no more than `within`.
#[track_caller]
pub fn close(got: f64, wanted: f64, within: f64) {
    assert!(
        (got - wanted).abs() <= within,
        "{got} is not {wanted} within {within}"
    );
}

/// What summing over all states of the causes says.
pub struct Enumerated {
    pub evidence: f64,
    pub marginals: Vec<f64>,
    /// Probability of each state given the evidence; bit `i` set means cause `i` is present.
    pub states: Vec<f64>,
}

/// Probability that the sign is absent in this state.
pub fn fails(item: &Evidence, state: usize) -> f64 {
    item.links
        .iter()
        .filter(|(cause, _)| state >> cause & 1 == 1)
        .fold(1.0 - item.leak, |q, (_, strength)| q * (1.0 - strength))
}

/// Sums over all states, with no cleverness whatever.
pub fn enumerate(priors: &[f64], evidence: &[Evidence]) -> Enumerated {
    let mut states: Vec<f64> = (0..1_usize << priors.len())
        .map(|state| {
            let prior: f64 = priors
                .iter()
                .enumerate()
                .map(|(cause, prior)| {
                    if state >> cause & 1 == 1 {
                        *prior
                    } else {
                        1.0 - prior
                    }
                })
                .product();
            let likelihood: f64 = evidence
                .iter()
                .map(|item| {
                    let q = fails(item, state);
                    item.if_present * (1.0 - q) + item.if_absent * q
                })
                .product();
            prior * likelihood
        })
        .collect();
    let sum: f64 = states.iter().sum();
    for state in &mut states {
        *state /= sum;
    }
    let marginals = (0..priors.len())
        .map(|cause| {
            let with = states
                .iter()
                .enumerate()
                .filter(|(s, _)| s >> cause & 1 == 1);
            with.map(|(_, p)| p).sum()
        })
        .collect();
    Enumerated {
        evidence: sum,
        marginals,
        states,
    }
}
