//! How well stated confidence holds against what was the case.

use crate::engine::id::CauseId;
use crate::train::chance::Chance;

/// Bins of stated confidence, each a tenth wide.
pub const BINS: usize = 10;

/// How many times the cases are drawn anew for the intervals.
///
/// judgement: enough for the ends of a 95 % interval to stand still in the second decimal.
const RESAMPLES: usize = 1000;

/// The seed of those draws, so that equal cases give equal intervals.
const RESAMPLING_SEED: u64 = 1;

/// A case with what was said of it and what was so.
#[derive(Debug, Clone, PartialEq)]
pub struct Judged {
    /// What it is called.
    pub name: String,
    /// The causes reported with their confidence, most confident first.
    pub stated: Vec<(CauseId, f64)>,
    /// The causes of which one must lead; none where nothing may be reported.
    pub wanted: Vec<CauseId>,
    /// Why the right cause does not lead, where the case says so itself.
    pub missed: Option<String>,
}

/// A number with its 95 % interval.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate {
    /// The number.
    pub value: f64,
    /// The lower end.
    pub low: f64,
    /// The upper end.
    pub high: f64,
}

/// What was stated in one tenth, and what was so.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bin {
    /// From this confidence up.
    pub from: f64,
    /// Up to, but not including, this one; the last bin takes in 1.
    pub to: f64,
    /// How many statements fall into it.
    pub count: usize,
    /// Their mean confidence; 0 where there is none.
    pub stated: f64,
    /// The share of them that was so; 0 where there is none.
    pub observed: f64,
    /// The least share that chance leaves in 99 of 100 cases if each had the mean confidence.
    pub expected_low: f64,
    /// The greatest such share.
    pub expected_high: f64,
}

impl Bin {
    /// Whether the observed share is one that chance leaves.
    pub fn within(&self) -> bool {
        (self.expected_low..=self.expected_high).contains(&self.observed)
    }
}

/// A case in which no right cause leads.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Miss {
    /// The case.
    pub name: String,
    /// What had to lead.
    pub wanted: Vec<CauseId>,
    /// What led, if anything.
    pub led: Option<CauseId>,
    /// The place of the first right cause among those reported, from 1.
    pub place: Option<usize>,
    /// Why, where the case says so itself.
    pub reason: Option<String>,
}

/// How well stated confidence holds.
#[derive(Debug, Clone, PartialEq)]
pub struct Score {
    /// How many cases.
    pub cases: usize,
    /// Share of cases in which a right cause leads, or rightly nothing is reported.
    pub leads: Estimate,
    /// Share of cases in which a right cause is among the first three, or rightly nothing is reported.
    pub first_three: Estimate,
    /// Brier score a case: the squares of confidence minus outcome (1 if right, else 0) summed over the reported causes,
    /// and 1 more where a right cause was wanted and none is reported; the mean over the cases. Nought is perfect.
    ///
    /// # Source
    /// Brier G.W. 1950. Verification of forecasts expressed in terms of probability. Monthly Weather Review 78(1):1-3;
    /// taken over the causes reported, since several can hold at once and those below the threshold are not stated.
    pub brier: Estimate,
    /// The same for each single statement: the mean square of confidence minus outcome.
    pub brier_each: Estimate,
    /// Expected calibration error: the bins' distances of stated from observed, weighted by their counts.
    ///
    /// # Source
    /// Naeini M.P., Cooper G.F., Hauskrecht M. 2015. Obtaining well calibrated probabilities using Bayesian binning.
    /// Proceedings of AAAI 2015.
    pub calibration_error: Estimate,
    /// Stated against observed, tenth by tenth.
    ///
    /// # Source
    /// Murphy A.H., Winkler R.L. 1977. Reliability of subjective probability forecasts of precipitation and
    /// temperature. Applied Statistics 26(1):41-47.
    pub bins: Vec<Bin>,
    /// Cases in which no right cause leads.
    pub misses: Vec<Miss>,
}

/// Scores cases. Intervals come from drawing the cases anew with replacement, whole cases at a time since the
/// statements of one case hang together; nought in everything where there is no case. The interval of the calibration
/// error leans upward: drawing anew adds noise, and every noise puts stated and observed further apart.
///
/// # Source
/// Efron B., Tibshirani R.J. 1993. An introduction to the bootstrap. Chapman and Hall, chapter 13 (percentiles).
pub fn score(judged: &[Judged]) -> Score {
    let counted: Vec<Counted> = judged.iter().map(Counted::of).collect();
    let whole = Sums::over(counted.iter());
    let mut resampled: Vec<[f64; 5]> = Vec::with_capacity(RESAMPLES);
    let mut chance = Chance::new(RESAMPLING_SEED);
    if !counted.is_empty() {
        for _ in 0..RESAMPLES {
            let drawn = (0..counted.len()).map(|_| &counted[chance.place(counted.len())]);
            resampled.push(Sums::over(drawn).measures());
        }
    }
    let measures = whole.measures();
    let estimate = |measure: usize| {
        let mut values: Vec<f64> = resampled.iter().map(|one| one[measure]).collect();
        values.sort_by(f64::total_cmp);
        let at = |share: f64| {
            let place = (share * values.len() as f64) as usize;
            let last = values.len().saturating_sub(1);
            values.get(place.min(last)).copied().unwrap_or(0.0)
        };
        Estimate {
            value: measures[measure],
            low: at(0.025),
            high: at(0.975),
        }
    };
    Score {
        cases: judged.len(),
        leads: estimate(0),
        first_three: estimate(1),
        brier: estimate(2),
        brier_each: estimate(3),
        calibration_error: estimate(4),
        bins: whole.bins(),
        misses: judged.iter().filter_map(miss).collect(),
    }
}

/// The place of the first right cause among those reported, from 0.
fn place(judged: &Judged) -> Option<usize> {
    judged
        .stated
        .iter()
        .position(|(cause, _)| judged.wanted.contains(cause))
}

fn miss(judged: &Judged) -> Option<Miss> {
    if Counted::of(judged).leads {
        return None;
    }
    Some(Miss {
        name: judged.name.clone(),
        wanted: judged.wanted.clone(),
        led: judged.stated.first().map(|(cause, _)| cause.clone()),
        place: place(judged).map(|place| place + 1),
        reason: judged.missed.clone(),
    })
}

/// What one case adds to the sums.
struct Counted {
    leads: bool,
    first_three: bool,
    /// Confidence and whether it was so, for each cause reported.
    statements: Vec<(f64, bool)>,
    unnamed: bool,
}

impl Counted {
    fn of(judged: &Judged) -> Self {
        let place = place(judged);
        let rightly_silent = judged.wanted.is_empty() && judged.stated.is_empty();
        let statements = judged.stated.iter();
        Self {
            leads: rightly_silent || place == Some(0),
            first_three: rightly_silent || place.is_some_and(|place| place < 3),
            statements: statements
                .map(|(cause, confidence)| (*confidence, judged.wanted.contains(cause)))
                .collect(),
            unnamed: place.is_none() && !judged.wanted.is_empty(),
        }
    }
}

#[derive(Default)]
struct Sums {
    cases: usize,
    leads: usize,
    first_three: usize,
    unnamed: usize,
    statements: usize,
    squares: f64,
    /// For each bin: how many, the sum of their confidence, how many were so.
    bins: [(usize, f64, usize); BINS],
}

impl Sums {
    fn over<'c>(cases: impl Iterator<Item = &'c Counted>) -> Self {
        let mut sums = Self::default();
        for case in cases {
            sums.cases += 1;
            sums.leads += usize::from(case.leads);
            sums.first_three += usize::from(case.first_three);
            sums.unnamed += usize::from(case.unnamed);
            for &(confidence, so) in &case.statements {
                sums.statements += 1;
                let outcome = if so { 1.0 } else { 0.0 };
                sums.squares += (confidence - outcome) * (confidence - outcome);
                let bin = &mut sums.bins[bin_of(confidence)];
                bin.0 += 1;
                bin.1 += confidence;
                bin.2 += usize::from(so);
            }
        }
        sums
    }

    /// Lead share, first-three share, Brier score a case and a statement, calibration error.
    fn measures(&self) -> [f64; 5] {
        let cases = self.cases.max(1) as f64;
        let statements = self.statements.max(1) as f64;
        let apart: f64 = self
            .bins
            .iter()
            .map(|&(_, stated, so)| (stated - so as f64).abs())
            .sum();
        [
            self.leads as f64 / cases,
            self.first_three as f64 / cases,
            (self.squares + self.unnamed as f64) / cases,
            self.squares / statements,
            apart / statements,
        ]
    }

    fn bins(&self) -> Vec<Bin> {
        let width = 1.0 / BINS as f64;
        self.bins
            .iter()
            .enumerate()
            .map(|(number, &(count, sum, so))| {
                let of = count.max(1) as f64;
                let stated = sum / of;
                let (low, high) = binomial_interval(count, stated);
                Bin {
                    from: number as f64 * width,
                    to: (number + 1) as f64 * width,
                    count,
                    stated,
                    observed: so as f64 / of,
                    expected_low: low as f64 / of,
                    expected_high: high as f64 / of,
                }
            })
            .collect()
    }
}

fn bin_of(confidence: f64) -> usize {
    // A hair below a bin's edge in floating point is meant to be on it.
    let bin = (confidence * BINS as f64 + 1e-9) as usize;
    bin.min(BINS - 1)
}

/// The counts between which a count of `trials` with this probability each lies in 99 of 100 cases: at most half a
/// hundredth lies below the first and above the second.
pub fn binomial_interval(trials: usize, probability: f64) -> (usize, usize) {
    if trials == 0 || probability <= 0.0 {
        return (0, 0);
    }
    if probability >= 1.0 {
        return (trials, trials);
    }
    const TAIL: f64 = 0.005;
    let all = trials as f64;
    let log_chance = |count: f64| {
        libm::lgamma(all + 1.0) - libm::lgamma(count + 1.0) - libm::lgamma(all - count + 1.0)
            + count * libm::log(probability)
            + (all - count) * libm::log1p(-probability)
    };
    let mut below = 0.0;
    let mut low = None;
    for count in 0..=trials {
        below += libm::exp(log_chance(count as f64));
        if low.is_none() && below > TAIL {
            low = Some(count);
        }
        if below >= 1.0 - TAIL {
            return (low.unwrap_or(count), count);
        }
    }
    (low.unwrap_or(0), trials)
}

#[cfg(test)]
mod tests {
    use super::{Judged, binomial_interval, score};
    use crate::engine::id::CauseId;

    fn cause(name: &str) -> CauseId {
        CauseId::new(name).expect("an id")
    }

    fn judged(stated: &[(&str, f64)], wanted: &[&str]) -> Judged {
        Judged {
            name: "case".to_owned(),
            stated: stated.iter().map(|&(id, sure)| (cause(id), sure)).collect(),
            wanted: wanted.iter().map(|id| cause(id)).collect(),
            missed: None,
        }
    }

    #[test]
    fn scores_agree_with_those_worked_out_by_hand() {
        let found = score(&[
            judged(&[("a", 0.8), ("b", 0.3)], &["a"]),
            judged(&[("a", 0.6), ("b", 0.2)], &["b"]),
            judged(&[("a", 0.1)], &["c"]),
            judged(&[], &[]),
        ]);
        assert_eq!(found.leads.value, 0.5);
        assert_eq!(found.first_three.value, 0.75);
        // 0.04 + 0.09; 0.36 + 0.64; 0.01 and 1 for the cause that was not named; nothing.
        assert!((found.brier.value - 2.14 / 4.0).abs() < 1e-12);
        assert!((found.brier_each.value - 1.14 / 5.0).abs() < 1e-12);
        // Bins of 0.8 (right), 0.3, 0.6 (wrong), 0.2 (right), 0.1 (wrong).
        let apart = 0.2 + 0.3 + 0.6 + 0.8 + 0.1;
        assert!((found.calibration_error.value - apart / 5.0).abs() < 1e-12);
        let places: Vec<Option<usize>> = found.misses.iter().map(|miss| miss.place).collect();
        assert_eq!(places, [Some(2), None]);
    }

    #[test]
    fn every_statement_falls_into_one_bin_and_edges_into_the_upper_one() {
        let found = score(&[judged(&[("a", 1.0), ("b", 0.3), ("c", 0.05)], &["a"])]);
        let counts: Vec<usize> = found.bins.iter().map(|bin| bin.count).collect();
        assert_eq!(counts, [1, 0, 0, 1, 0, 0, 0, 0, 0, 1]);
    }

    #[test]
    fn the_intervals_hold_the_number_and_are_the_same_again() {
        let cases: Vec<Judged> = (0..40)
            .map(|number| judged(&[("a", 0.7)], if number % 3 == 0 { &["b"] } else { &["a"] }))
            .collect();
        let found = score(&cases);
        for one in [found.leads, found.brier, found.calibration_error] {
            assert!(one.low <= one.value && one.value <= one.high, "{one:?}");
            assert!(one.low < one.high);
        }
        assert_eq!(found, score(&cases));
    }

    #[test]
    fn no_case_gives_noughts() {
        let found = score(&[]);
        assert_eq!((found.cases, found.leads.value), (0, 0.0));
        assert!(found.brier.value.is_finite() && found.calibration_error.high == 0.0);
    }

    #[test]
    fn binomial_intervals_agree_with_tables() {
        // Exact sums of the binomial distribution: for 10 throws of a coin, P(0) = 0.001 and P(<= 1) = 0.0107.
        assert_eq!(binomial_interval(10, 0.5), (1, 9));
        // 100 throws: P(<= 36) = 0.0033 and P(<= 37) = 0.0060.
        assert_eq!(binomial_interval(100, 0.5), (37, 63));
        assert_eq!(binomial_interval(0, 0.5), (0, 0));
        assert_eq!(binomial_interval(7, 1.0), (7, 7));
        let (low, high) = binomial_interval(20_000, 0.07);
        assert!(low < 1400 && 1400 < high && high - low < 200);
    }
}
