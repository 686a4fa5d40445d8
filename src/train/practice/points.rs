//! What an answer is worth, every weight in the open.
//!
//! # Source
//! The points for a named cause are Brier's quadratic score, moved so that naming nothing gives nothing: with confidence
//! `f`, `1 - (1 - f)^2` where it is there and `-f^2` where it is not. What is added does not hang on `f`, so that it stays
//! proper: whoever says how sure they are gets the most to be expected. Brier G.W. 1950. Verification of forecasts expressed
//! in terms of probability. Monthly Weather Review 78(1):1-3. Gneiting T., Raftery A.E. 2007. Strictly proper scoring rules,
//! prediction, and estimation. Journal of the American Statistical Association 102(477):359-378.

use crate::engine::id::{ActionId, CauseId, CautionId};
use crate::train::practice::due::Chosen;

/// Share of the points for cautions, where one is due.
///
/// judgement: whoever misses a caution can be hurt; no right name makes up for that, so it weighs as much as all the rest.
pub const CAUTION_SHARE: f64 = 0.5;
/// Share of the points for the causes.
///
/// judgement: the cause decides what is done in the weeks after.
pub const CAUSE_SHARE: f64 = 0.35;
/// Share of the points for the first action.
///
/// judgement: mostly it follows from the cause.
pub const ACTION_SHARE: f64 = 0.15;
/// What a caution that was not due takes from those that were, in cautions.
///
/// judgement: too much care costs little; at nothing, marking all of them would always be best.
pub const NEEDLESS_COST: f64 = 0.25;
/// What an action is worth that is called for and not the first.
///
/// judgement: it helps, and something else should not have waited.
pub const LATER_ACTION: f64 = 0.5;

/// A cause named by a helper.
#[derive(Debug, Clone, PartialEq)]
pub struct Named {
    /// Which.
    pub cause: CauseId,
    /// How sure the helper is, 0 to 1.
    pub confidence: f64,
}

/// What a helper answers in the end.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Answer {
    /// The causes named.
    pub causes: Vec<Named>,
    /// The first action.
    pub action: Option<ActionId>,
    /// What to be careful of.
    pub cautions: Vec<CautionId>,
}

/// The points of an answer, 100 for a perfect one; below nought where wrong causes were named with confidence.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Points {
    /// For the causes, -1 to 1.
    pub causes: f64,
    /// For the cautions, 0 to 1; none where none is due.
    pub cautions: Option<f64>,
    /// For the first action, 0 to 1.
    pub action: f64,
}

impl Points {
    /// All together, of 100. Where no caution is due the others share the points in their proportion.
    pub fn total(self) -> f64 {
        let rest = CAUSE_SHARE * self.causes + ACTION_SHARE * self.action;
        let share = match self.cautions {
            Some(cautions) => CAUTION_SHARE * cautions + rest,
            None => rest / (CAUSE_SHARE + ACTION_SHARE),
        };
        100.0 * share
    }
}

/// The worth of one named cause: at most 1, for what is there and is certain; at least -1.
///
/// # Example
/// ```
/// use blockside::train::practice::points::quadratic;
///
/// assert_eq!(quadratic(0.5, true), 0.75);
/// assert_eq!(quadratic(0.5, false), -0.25);
/// assert_eq!(quadratic(0.0, true), 0.0);
/// ```
pub fn quadratic(confidence: f64, there: bool) -> f64 {
    if there {
        1.0 - (1.0 - confidence) * (1.0 - confidence)
    } else {
        -confidence * confidence
    }
}

/// The worth of the causes named: the sum over them, divided by how many are there; a cause that was not named counts as
/// named with no confidence.
pub fn of_causes(there: &[CauseId], named: &[Named]) -> f64 {
    let sum: f64 = named
        .iter()
        .map(|one| quadratic(one.confidence, there.contains(&one.cause)))
        .sum();
    (sum / there.len().max(1) as f64).clamp(-1.0, 1.0)
}

/// The worth of the cautions named, so many of them needless; `None` where none is due.
pub fn of_cautions(due: &[CautionId], named: &[CautionId], needless: usize) -> Option<f64> {
    if due.is_empty() {
        return None;
    }
    let minded = named.iter().filter(|id| due.contains(id)).count() as f64;
    let lost = NEEDLESS_COST * needless as f64;
    Some(((minded - lost) / due.len() as f64).max(0.0))
}

/// The worth of the first action.
pub fn of_action(chosen: Chosen) -> f64 {
    match chosen {
        Chosen::First => 1.0,
        Chosen::Later => LATER_ACTION,
        Chosen::Wrong | Chosen::None => 0.0,
    }
}
