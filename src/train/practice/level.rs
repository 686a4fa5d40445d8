//! How hard a case is, worked out from the model.
//!
//! An asker who always makes the most telling check goes through the case. What counts is how many checks that takes until
//! every cause that is there leads for a verdict and nothing else is suspected, how much the strongest rival weighs then,
//! and whether several causes are there at once.

use crate::engine::diagnosis::Ask;
use crate::engine::id::CauseId;
use crate::engine::observations::Observations;
use crate::engine::reasoner::Reasoner;
use crate::train::practice::look::reveal;

/// A plain case is clear after at most so many of the most telling checks.
///
/// judgement: two looks beside the complaint; whoever is new keeps that much in mind.
pub const PLAIN_CHECKS: usize = 2;
/// A case is tricky if it takes more than so many.
///
/// judgement: the walk of `ask` takes about as many for a middling case.
pub const MIDDLING_CHECKS: usize = 5;
/// After so many checks the asker gives up: nothing that tells much is left.
///
/// judgement: later checks tell next to nothing in the published cases.
const MOST_CHECKS: usize = 9;

/// How hard a case is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Level {
    /// One cause, and a check or two show it.
    Plain,
    /// One cause, and a few checks are needed.
    Middling,
    /// Several causes, many checks, or a rival that stays.
    Tricky,
}

/// How many of the latest rounds the next level hangs on.
///
/// judgement: a good or a bad case is luck; five in a row are not.
const LATEST: usize = 5;
/// Mean points from which middling cases are put, and from which tricky ones.
///
/// judgement: half of the points cannot be had without minding cautions or knowing causes; three quarters need both.
const RISES_AT: (f64, f64) = (50.0, 75.0);

impl Level {
    /// The level for somebody who had these points so far, the latest last: plain to begin with.
    pub fn rising(points: &[f64]) -> Self {
        let latest = &points[points.len().saturating_sub(LATEST)..];
        if latest.len() < LATEST {
            return Self::Plain;
        }
        let mean = latest.iter().sum::<f64>() / latest.len() as f64;
        if mean >= RISES_AT.1 {
            Self::Tricky
        } else if mean >= RISES_AT.0 {
            Self::Middling
        } else {
            Self::Plain
        }
    }

    /// Every level with its word.
    pub const WORDS: [(Self, &'static str); 3] = [
        (Self::Plain, "plain"),
        (Self::Middling, "middling"),
        (Self::Tricky, "tricky"),
    ];

    /// Its word.
    pub fn word(self) -> &'static str {
        match self {
            Self::Plain => "plain",
            Self::Middling => "middling",
            Self::Tricky => "tricky",
        }
    }

    /// How many steps lie between two levels.
    pub fn apart(self, other: Self) -> usize {
        (self as usize).abs_diff(other as usize)
    }
}

/// What makes a case hard.
#[derive(Debug, Clone, PartialEq)]
pub struct Hardness {
    /// The level.
    pub level: Level,
    /// The checks of the best asker, in order; each is the most telling one at its time.
    pub best: Vec<Ask>,
    /// Whether these made it clear.
    pub clear: bool,
    /// The strongest cause that is not there, with its confidence in the end; none where none is reported.
    pub rival: Option<(CauseId, f64)>,
}

/// Lets the best asker go through a case.
pub fn hardness(
    reasoner: &Reasoner<'_>,
    opening: &Observations,
    world: &Observations,
    causes: &[CauseId],
) -> Hardness {
    let numbers = &reasoner.base().scale.numbers;
    let mut seen = opening.clone();
    let mut best = Vec::new();
    loop {
        let stated = reasoner.stated(&seen);
        let sure = |id: &CauseId| {
            let found = stated.iter().find(|(of, _)| of == id);
            found.map_or(0.0, |(_, sure)| *sure)
        };
        let rival = stated.iter().find(|(id, _)| !causes.contains(id)).cloned();
        let clear = causes.iter().all(|id| sure(id) >= numbers.decided_at)
            && rival
                .as_ref()
                .is_none_or(|(_, sure)| *sure < numbers.suspect_at);
        let next = reasoner.every_check(&seen).into_iter().next();
        let next = next.filter(|check| check.bits >= numbers.stop_gain);
        match next {
            Some(check) if !clear && best.len() < MOST_CHECKS => {
                reveal(reasoner.base(), world, &check.ask, &mut seen);
                best.push(check.ask);
            }
            _ => {
                let level = level(causes.len(), best.len(), clear);
                return Hardness {
                    level,
                    best,
                    clear,
                    rival,
                };
            }
        }
    }
}

fn level(causes: usize, checks: usize, clear: bool) -> Level {
    if causes > 1 || !clear || checks > MIDDLING_CHECKS {
        Level::Tricky
    } else if checks > PLAIN_CHECKS {
        Level::Middling
    } else {
        Level::Plain
    }
}

#[cfg(test)]
mod tests {
    use super::{Level, level};

    #[test]
    fn several_causes_many_checks_or_a_case_that_stays_unclear_are_tricky() {
        assert_eq!(level(1, 0, true), Level::Plain);
        assert_eq!(level(1, 3, true), Level::Middling);
        assert_eq!(level(1, 6, true), Level::Tricky);
        assert_eq!(level(2, 1, true), Level::Tricky);
        assert_eq!(level(1, 1, false), Level::Tricky);
        assert_eq!(Level::Plain.apart(Level::Tricky), 2);
    }

    #[test]
    fn cases_grow_harder_as_the_points_rise_and_easier_again() {
        assert_eq!(Level::rising(&[]), Level::Plain);
        assert_eq!(Level::rising(&[100.0; 4]), Level::Plain);
        assert_eq!(Level::rising(&[60.0; 5]), Level::Middling);
        assert_eq!(
            Level::rising(&[10.0, 80.0, 80.0, 80.0, 80.0, 80.0]),
            Level::Tricky
        );
        assert_eq!(
            Level::rising(&[80.0, 80.0, 0.0, 0.0, 0.0, 0.0, 0.0]),
            Level::Plain
        );
    }
}
