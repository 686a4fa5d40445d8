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

/// The reference network of this project: priors of A, B, C, D.
pub const PRIORS: [f64; 4] = [0.10, 0.05, 0.20, 0.02];

/// Its signs s1 to s5, as seen.
pub fn s(number: usize) -> Evidence {
    const A: usize = 0;
    const B: usize = 1;
    const C: usize = 2;
    const D: usize = 3;
    match number {
        1 => Evidence::seen(0.02, vec![(A, 0.8), (B, 0.3)]),
        2 => Evidence::seen(0.05, vec![(A, 0.6), (C, 0.4)]),
        3 => Evidence::seen(0.01, vec![(B, 0.9), (D, 0.5)]),
        4 => Evidence::seen(0.10, vec![(C, 0.7), (D, 0.7)]),
        5 => Evidence::seen(0.03, vec![(A, 0.5), (B, 0.2), (C, 0.3)]),
        6 => Evidence::seen(0.02, vec![(C, 0.1)]),
        7 => Evidence::seen(0.02, vec![(D, 0.1)]),
        8 => Evidence::seen(0.02, vec![(A, 0.1)]),
        other => panic!("the reference network has no sign {other}"),
    }
}

/// A sign of the reference network, looked for and not there.
pub fn not(number: usize) -> Evidence {
    soft(number, 0.0, 1.0)
}

/// A sign of the reference network with these likelihoods.
pub fn soft(number: usize, if_present: f64, if_absent: f64) -> Evidence {
    Evidence {
        if_present,
        if_absent,
        ..s(number)
    }
}
