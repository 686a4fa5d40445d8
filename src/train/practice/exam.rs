//! A fixed set of cases, for the terminal or for paper.
//!
//! On paper nobody can be asked what to look at next, so each case comes with what was looked at so far: the first checks of
//! the best asker and some that tell little, mixed. The same seed gives the same exam from the same knowledge.

use crate::engine::diagnosis::Ask;
use crate::engine::observations::Observations;
use crate::engine::reasoner::Reasoner;
use crate::train::chance::Chance;
use crate::train::practice::case::{PracticeCase, Wish, draw};
use crate::train::practice::debrief::Round;
use crate::train::practice::look::{Found, stream};

/// How many of the best asker's checks are told on paper.
///
/// judgement: with more of them nothing is left to choose.
const TOLD_BEST: usize = 4;
/// How many checks of little worth are told with them.
///
/// judgement: a helper has to tell what matters from what does not, without reading a page of it.
const TOLD_POOR: usize = 2;
/// Where the checks of one case draw their chance from.
const PAPER_TURN: usize = 1000;

/// A case as it stands on paper.
#[derive(Debug, Clone, PartialEq)]
pub struct Sheet {
    /// The case.
    pub case: PracticeCase,
    /// What was looked at, and what was found.
    pub found: Vec<(Ask, Found)>,
    /// All that was seen then.
    pub seen: Observations,
    /// Checks to choose the next one from.
    pub next: Vec<Ask>,
    /// What each of them is worth, in bits.
    pub worth: Vec<f64>,
}

/// The cases of an exam; fewer than wished for only where the knowledge has none.
pub fn exam(reasoner: &Reasoner<'_>, wish: Wish<'_>, seed: u64, cases: usize) -> Vec<PracticeCase> {
    (0..cases)
        .filter_map(|number| draw(reasoner, wish, stream(seed, number)))
        .collect()
}

/// A case as it stands on paper.
pub fn sheet(reasoner: &Reasoner<'_>, case: PracticeCase) -> Sheet {
    let mut chance = Chance::new(stream(case.seed, PAPER_TURN));
    let mut asks: Vec<Ask> = case.hardness.best.iter().take(TOLD_BEST).cloned().collect();
    let mut round = Round::new(reasoner, &case);
    let mut poor: Vec<Ask> = round
        .every
        .iter()
        .filter(|check| check.bits == 0.0 && !asks.contains(&check.ask))
        .map(|check| check.ask.clone())
        .collect();
    chance.shuffle(&mut poor);
    asks.extend(poor.into_iter().take(TOLD_POOR));
    chance.shuffle(&mut asks);
    for ask in &asks {
        // A question asks for fewer signs once some of them are known.
        let open = round.every.iter().find(|check| same(&check.ask, ask));
        if let Some(ask) = open.map(|check| check.ask.clone()) {
            round.look(&ask);
        }
    }
    let next = round.offer();
    let worth = next
        .iter()
        .map(|ask| {
            let check = round.every.iter().find(|check| check.ask == *ask);
            check.map_or(0.0, |check| check.bits)
        })
        .collect();
    let found = round
        .made
        .iter()
        .map(|made| (made.ask.clone(), made.found.clone()));
    Sheet {
        found: found.collect(),
        seen: round.seen.clone(),
        next,
        worth,
        case,
    }
}

/// Whether two checks look at the same thing.
pub fn same(one: &Ask, other: &Ask) -> bool {
    match (one, other) {
        (Ask::Question(one, _), Ask::Question(other, _)) => one == other,
        _ => one == other,
    }
}
