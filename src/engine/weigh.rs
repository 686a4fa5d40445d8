//! The one place where evidence is combined: a leaky noisy-OR network of causes and signs, solved exactly.
//!
//! Each cause is present or absent on its own account. A sign is absent with probability
//! `(1 - leak) * product over present causes of (1 - strength)`. What was found out about a sign is a pair of
//! likelihoods; causes that compete for one sign explain one another away.
//!
//! # Source
//! Heckerman 1989, A tractable inference algorithm for diagnosing multiple diseases (arXiv 1304.1511): work grows
//! with the signs that were seen only. Jaakkola & Jordan 1999, J Artif Intell Res 10:291-322, section 2: signs that
//! are not there go into the odds, those not asked drop out. The way of summing is this project's own; see `sums`.

mod few;
mod net;
mod sums;

pub(crate) use few::Sets;
pub(crate) use net::{Finding, Odds};

use crate::engine::weigh::net::{Net, Solutions, Solved};

/// Most causes taken as absent and as present in turn.
const HOLDERS: usize = 2;

/// What was found out about one sign, and how the causes bring that sign about.
///
/// Only the ratio of `if_present` to `if_absent` moves any probability: (1, 0) is seen, (0, 1) not there,
/// (1, 1) not asked, anything between is soft.
///
/// # Range
/// The pair is at least 0 and finite; leak and strengths lie in 0..=1. The knowledge check refuses anything else
/// before it gets here; what slips through is held to the range, NaN counts as 0, and a link to a cause that does
/// not exist is passed over. Two links to one cause act as two ways of bringing the sign about.
#[derive(Debug, Clone, PartialEq)]
pub struct Evidence {
    /// Likelihood of what was found out if the sign is present.
    pub if_present: f64,
    /// Likelihood of what was found out if the sign is absent.
    pub if_absent: f64,
    /// Probability of the sign when no linked cause brings it about.
    pub leak: f64,
    /// Cause (position in the priors) and its strength: how often it brings the sign about by itself.
    pub links: Vec<(usize, f64)>,
}

impl Evidence {
    /// A sign that was seen.
    pub fn seen(leak: f64, links: Vec<(usize, f64)>) -> Self {
        Self::soft(1.0, 0.0, leak, links)
    }

    /// A sign that was looked for and is not there.
    pub fn not_there(leak: f64, links: Vec<(usize, f64)>) -> Self {
        Self::soft(0.0, 1.0, leak, links)
    }

    /// A sign about which something was found out that fits its presence and its absence this well.
    pub fn soft(if_present: f64, if_absent: f64, leak: f64, links: Vec<(usize, f64)>) -> Self {
        Self {
            if_present,
            if_absent,
            leak,
            links,
        }
    }

    /// Whether this says nothing: as likely with the sign as without it.
    pub fn is_neutral(&self) -> bool {
        self.if_present == self.if_absent
    }

    /// Probability of what was found out about this sign alone, before anything else is known.
    pub(crate) fn probability(&self, priors: &[f64]) -> f64 {
        let fails = |&(cause, strength): &(usize, f64)| {
            let prior = priors.get(cause).copied().map_or(0.0, unit);
            1.0 - prior * unit(strength)
        };
        let absent = (1.0 - unit(self.leak))
            * net::merged(&self.links, priors.len())
                .iter()
                .map(fails)
                .product::<f64>();
        let (if_present, if_absent) = self.held();
        if_present * (1.0 - absent) + if_absent * absent
    }

    /// The pair held to its range.
    fn held(&self) -> (f64, f64) {
        let held = |value: f64| {
            if value.is_nan() {
                0.0
            } else {
                value.clamp(0.0, f64::MAX)
            }
        };
        (held(self.if_present), held(self.if_absent))
    }
}

/// How likely each cause is once the evidence is in.
#[derive(Debug, Clone, PartialEq)]
pub struct Posterior {
    /// Probability of each cause, in the order of the priors. Never NaN.
    pub marginals: Vec<f64>,
    /// Natural logarithm of the probability of the evidence; minus infinity when it cannot happen.
    pub log_evidence: f64,
    /// False when some part had to be solved with sets of few causes.
    pub exact: bool,
}

/// Weighs the evidence: exact posterior of a leaky noisy-OR network.
///
/// Neutral evidence drops out; signs that are not there, and signs with a single live cause, go into that cause's
/// odds; the rest splits into connected parts; up to two causes that hold a part together (such as one linked to
/// every sign) are taken as absent and as present in turn. Each part is summed over subsets of its signs, or over
/// states of its causes where these are fewer; all terms are positive, so no digits are lost. A part of more than twenty signs and more than twenty causes is
/// answered with sets of at most five causes instead, and `exact` is false.
///
/// Evidence that cannot happen (probability 0) returns the priors, with `log_evidence` minus infinity and `exact`
/// true: nothing can be concluded from it, and the caller should say so.
///
/// # Range
/// Priors in 0..=1, both ends allowed; see [`Evidence`] for the rest.
///
/// # Example
/// ```
/// use blockside::engine::weigh::{Evidence, weigh};
///
/// // An alarm that rings for .95 of burglaries and for .01 of quiet nights (Pearl 1988, ch. 2).
/// let strength = (0.95 - 0.01) / (1.0 - 0.01);
/// let posterior = weigh(&[1e-4], &[Evidence::seen(0.01, vec![(0, strength)])]);
/// assert!((posterior.marginals[0] - 0.00941153).abs() < 1e-8);
/// ```
pub fn weigh(priors: &[f64], evidence: &[Evidence]) -> Posterior {
    let net = Net::new(priors, evidence);
    let before = Solved {
        log: f64::NEG_INFINITY,
        ..Solved::of_priors(&net.causes)
    };
    let solved = net.solve(HOLDERS).unwrap_or(before);
    Posterior {
        marginals: solved.marginals,
        log_evidence: solved.log,
        exact: solved.exact,
    }
}

/// Probability of each cause with each piece of evidence left out in turn; `None` where that piece says nothing, or the
/// rest cannot happen without it.
pub(crate) fn leaving_out_each(priors: &[f64], evidence: &[Evidence]) -> Vec<Option<Vec<f64>>> {
    let net = Net::new(priors, evidence);
    let mut place = 0;
    let mut known = Solutions::kept();
    evidence
        .iter()
        .map(|item| {
            let (present, absent) = item.held();
            if present == absent {
                return None;
            }
            place += 1;
            let solved = net.without(place - 1).solve_with(HOLDERS, &mut known)?;
            Some(solved.marginals)
        })
        .collect()
}

/// Probability that none of `causes` is present, given the evidence.
///
/// Exact by taking these causes out: `P(none, e) = product of (1 - prior) * P(e without them)`. Where the
/// evidence cannot happen, the answer before any evidence.
pub fn none_of(priors: &[f64], evidence: &[Evidence], causes: &[usize]) -> f64 {
    none_given(
        priors,
        evidence,
        causes,
        weigh(priors, evidence).log_evidence,
    )
}

/// The same where the logarithm of the probability of the evidence is known already.
pub(crate) fn none_given(
    priors: &[f64],
    evidence: &[Evidence],
    causes: &[usize],
    log_evidence: f64,
) -> f64 {
    let mut without = priors.to_vec();
    let mut log_none = 0.0;
    let mut taken = vec![false; priors.len()];
    for &cause in causes {
        if cause < priors.len() && !taken[cause] {
            taken[cause] = true;
            log_none += libm::log1p(-unit(priors[cause]));
            without[cause] = 0.0;
        }
    }
    if log_evidence == f64::NEG_INFINITY {
        return libm::exp(log_none);
    }
    let none = log_none + weigh(&without, evidence).log_evidence - log_evidence;
    libm::exp(none).min(1.0)
}

/// A network from which everything that can be decided cause by cause has been taken out.
pub(crate) struct Undecided {
    /// Weights of the causes, with all findings in that touch one cause only.
    pub causes: Vec<Odds>,
    /// The findings that tie causes together.
    pub findings: Vec<Finding>,
    /// Probability of each cause with all evidence in.
    pub marginals: Vec<f64>,
}

/// What is left undecided by this evidence; evidence that cannot happen counts as none.
pub(crate) fn undecided(priors: &[f64], evidence: &[Evidence]) -> Undecided {
    let mut net = Net::new(priors, evidence);
    let solved = match net.clone().solve(HOLDERS) {
        Some(solved) if net.simplify() => solved,
        _ => {
            net = Net::new(priors, &[]);
            Solved::of_priors(&net.causes)
        }
    };
    Undecided {
        causes: net.causes,
        findings: net.findings,
        marginals: solved.marginals,
    }
}

/// A probability held to 0..=1; what is not a number counts as 0.
pub(crate) fn unit(value: f64) -> f64 {
    if value.is_nan() {
        0.0
    } else {
        value.clamp(0.0, 1.0)
    }
}
