//! How common causes are with one grower: the shipped base rates, moved by counting that grower's confirmed cases.
//!
//! A base rate is taken as a beta distribution worth a stated number of cases. Each confirmed case is one trial for
//! every cause that could have been found; the mean of what comes of it stands in for the shipped rate.

use crate::engine::id::CauseId;
use crate::engine::knowledge::{KnowledgeBase, Map};

/// In how many confirmed cases a cause was found, and in how many it could have been.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Counted {
    /// Cases in which it was found; at most `of`.
    pub found: u32,
    /// Cases in which it could have been found.
    pub of: u32,
}

/// The mean of the rate after counting, where the shipped rate counts as so many cases.
///
/// # Source
/// Gelman and others, Bayesian Data Analysis (2013), section 2.4: a Beta(a, b) prior and k successes in n trials give
/// Beta(a + k, b + n - k), with mean (a + k) / (a + b + n); from memory. Here a + b is `pseudo_cases` and a its share
/// `shipped`.
pub fn mean_after(shipped: f64, pseudo_cases: f64, counted: Counted) -> f64 {
    let (found, of) = (f64::from(counted.found), f64::from(counted.of));
    (shipped * pseudo_cases + found) / (pseudo_cases + of)
}

/// A rate of this grower's own.
#[derive(Debug, Clone, PartialEq)]
pub struct PersonalRate {
    /// The cause.
    pub cause: CauseId,
    /// How common it is among growers who ask, as shipped.
    pub shipped: f64,
    /// What is used in its place.
    pub used: f64,
    /// What was counted.
    pub counted: Counted,
}

impl PersonalRate {
    /// What it multiplies the odds of the cause by.
    fn times(&self) -> f64 {
        let odds = |rate: f64| rate / (1.0 - rate);
        let times = odds(self.used) / odds(self.shipped);
        if times.is_finite() { times } else { 1.0 }
    }
}

/// The rates of one grower; the usual value has none, and leaves every shipped rate as it is.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Rates {
    own: Map<CauseId, PersonalRate>,
}

impl Rates {
    /// Rates from what was counted. Groups have no rate of their own and are passed over, as are causes that were never
    /// counted.
    pub fn counted(base: &KnowledgeBase, counts: &Map<CauseId, Counted>) -> Self {
        let pseudo_cases = base.scale.numbers.pseudo_cases;
        let own = base
            .causes
            .iter()
            .filter(|(_, cause)| cause.any_of.is_empty())
            .filter_map(|(id, cause)| {
                let counted = *counts.get(id).filter(|counted| counted.of > 0)?;
                let rate = PersonalRate {
                    cause: id.clone(),
                    shipped: cause.base_rate,
                    used: mean_after(cause.base_rate, pseudo_cases, counted),
                    counted,
                };
                Some((id.clone(), rate))
            })
            .collect();
        Self { own }
    }

    /// The rate of a cause, where it is not the shipped one.
    pub fn of(&self, cause: &CauseId) -> Option<&PersonalRate> {
        self.own.get(cause)
    }

    /// Every rate that is not the shipped one, in the order of the knowledge.
    pub fn iter(&self) -> impl Iterator<Item = &PersonalRate> {
        self.own.values()
    }

    /// Whether every shipped rate stands.
    pub fn is_empty(&self) -> bool {
        self.own.is_empty()
    }

    /// What the odds of a cause are multiplied by; 1 where the shipped rate stands.
    pub(crate) fn times(&self, cause: &CauseId) -> f64 {
        self.of(cause).map_or(1.0, PersonalRate::times)
    }
}

#[cfg(test)]
mod tests {
    use super::{Counted, mean_after};

    // Gelman and others, Bayesian Data Analysis, section 2.4, table of posterior means: 437 girls of 980 births with
    // placenta praevia, priors of mean 0.485 worth 2 to 200 births. From memory, printed to three decimals.
    #[test]
    fn the_mean_is_that_of_the_conjugate_beta_update() {
        let girls = Counted {
            found: 437,
            of: 980,
        };
        for (births, printed) in [
            (2.0, 0.446),
            (5.0, 0.446),
            (10.0, 0.446),
            (20.0, 0.447),
            (100.0, 0.450),
            (200.0, 0.453),
        ] {
            let mean = mean_after(0.485, births, girls);
            assert!((mean - printed).abs() < 0.0005, "{births}: {mean}");
        }
    }

    #[test]
    fn no_case_leaves_the_rate_as_it_was() {
        assert_eq!(mean_after(0.08, 20.0, Counted::default()), 0.08);
    }

    // Laplace's rule of succession: a flat prior is worth two cases, one of each; the sun has risen n times.
    #[test]
    fn two_cases_of_even_odds_give_the_rule_of_succession() {
        for n in [0_u32, 1, 9, 999] {
            let mean = mean_after(0.5, 2.0, Counted { found: n, of: n });
            assert!((mean - f64::from(n + 1) / f64::from(n + 2)).abs() < 1e-15);
        }
    }
}
