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

/// What inclusion-exclusion says, and how far its terms cancel.
pub struct Textbook {
    pub marginals: Vec<f64>,
    /// Sum of the sizes of the terms over their sum.
    pub cancellation: f64,
}

/// Sum over the subsets T of the findings: each factor is `a + (b - a) q`, and the product of the q's over T
/// factorises cause by cause (Heckerman 1989, with soft signs).
pub fn inclusion_exclusion(priors: &[f64], evidence: &[Evidence]) -> Textbook {
    let (mut total, mut sizes) = (0.0, 0.0);
    let mut present = vec![0.0; priors.len()];
    for subset in 0..1_usize << evidence.len() {
        let mut term = 1.0;
        let mut fails = vec![1.0; priors.len()];
        for (bit, item) in evidence.iter().enumerate() {
            if subset >> bit & 1 == 0 {
                term *= item.if_present;
            } else {
                term *= (item.if_absent - item.if_present) * (1.0 - item.leak);
                for &(cause, strength) in &item.links {
                    fails[cause] *= 1.0 - strength;
                }
            }
        }
        let factors = priors.iter().zip(&fails);
        let each: Vec<f64> = factors.map(|(p, fails)| 1.0 - p + p * fails).collect();
        term *= each.iter().product::<f64>();
        total += term;
        sizes += term.abs();
        for (cause, present) in present.iter_mut().enumerate() {
            if each[cause] > 0.0 {
                *present += term * priors[cause] * fails[cause] / each[cause];
            }
        }
    }
    Textbook {
        marginals: present.iter().map(|present| present / total).collect(),
        cancellation: if total > 0.0 {
            sizes / total
        } else {
            f64::INFINITY
        },
    }
}
