//! A round of practice as it goes, and what there is to learn from it.

use crate::engine::checks::CheckWorth;
use crate::engine::diagnosis::Ask;
use crate::engine::id::{ActionId, CauseId, CautionId};
use crate::engine::observations::Observations;
use crate::engine::reasoner::Reasoner;
use crate::train::practice::case::PracticeCase;
use crate::train::practice::due::{self, Chosen};
use crate::train::practice::look::{Found, offered, reveal};
use crate::train::practice::points::{Answer, Points, of_action, of_causes, of_cautions};

/// A check that was made.
#[derive(Debug, Clone, PartialEq)]
pub struct Made {
    /// What was looked at.
    pub ask: Ask,
    /// What was found.
    pub found: Found,
    /// What it was worth beforehand, in bits.
    pub bits: f64,
    /// The most telling check there was, and its worth.
    pub best: (Ask, f64),
}

/// A round that is going on.
#[derive(Debug, Clone)]
pub struct Round<'r, 'k> {
    reasoner: &'r Reasoner<'k>,
    /// The case.
    pub case: &'r PracticeCase,
    /// What was seen so far.
    pub seen: Observations,
    /// The checks made so far.
    pub made: Vec<Made>,
    /// Every check that can still be made, the most telling first.
    pub every: Vec<CheckWorth>,
}

impl<'r, 'k> Round<'r, 'k> {
    /// Begins with what is told.
    pub fn new(reasoner: &'r Reasoner<'k>, case: &'r PracticeCase) -> Self {
        Self {
            reasoner,
            case,
            seen: case.opening.clone(),
            made: Vec::new(),
            every: reasoner.every_check(&case.opening),
        }
    }

    /// The checks offered now.
    pub fn offer(&self) -> Vec<Ask> {
        offered(&self.every, self.case.seed, self.made.len())
    }

    /// Looks at something; `None` where it cannot be looked at any more.
    pub fn look(&mut self, ask: &Ask) -> Option<Found> {
        let check = self.every.iter().find(|one| one.ask == *ask)?;
        let (bits, best) = (check.bits, self.every.first()?);
        let best = (best.ask.clone(), best.bits);
        let found = reveal(self.reasoner.base(), &self.case.world, ask, &mut self.seen);
        self.made.push(Made {
            ask: ask.clone(),
            found: found.clone(),
            bits,
            best,
        });
        self.every = self.reasoner.every_check(&self.seen);
        self.every
            .retain(|one| !self.made.iter().any(|made| made.ask == one.ask));
        Some(found)
    }

    /// Ends the round with an answer.
    pub fn finish(self, answer: Answer) -> Debrief {
        let base = self.reasoner.base();
        let case = self.case;
        let due = due::cautions(self.reasoner, &case.causes, &self.seen);
        let missed = due.iter().filter(|id| !answer.cautions.contains(id));
        let missed: Vec<CautionId> = missed.cloned().collect();
        // What the complaint alone called for is no mistake, whatever was ruled out by looking.
        let first = due::cautions(self.reasoner, &case.causes, &case.opening);
        let needless = answer.cautions.iter();
        let needless = needless.filter(|id| !due.contains(id) && !first.contains(id));
        let needless: Vec<CautionId> = needless.cloned().collect();
        let actions = due::actions(base, &case.causes);
        let chosen = due::chosen(base, &actions, answer.action.as_ref());
        let confidence = self.reasoner.confidence(&self.seen);
        let stated = self.reasoner.stated(&self.seen);
        let right = |id: &CauseId| confidence.get(id).copied().unwrap_or(0.0);
        let points = Points {
            causes: of_causes(&case.causes, &answer.causes),
            cautions: of_cautions(&due, &answer.cautions, needless.len()),
            action: of_action(chosen),
        };
        Debrief {
            of_causes: case
                .causes
                .iter()
                .map(|id| (id.clone(), right(id)))
                .collect(),
            of_named: answer
                .causes
                .iter()
                .map(|named| right(&named.cause))
                .collect(),
            mixed_up: mixed_up(&case.causes, &answer),
            checks: self.made,
            seen: self.seen,
            stated,
            due,
            missed,
            needless,
            actions,
            chosen,
            points,
            answer,
        }
    }
}

/// What there is to learn from a round.
#[derive(Debug, Clone, PartialEq)]
pub struct Debrief {
    /// What was answered.
    pub answer: Answer,
    /// What was seen.
    pub seen: Observations,
    /// The checks made, with what each was worth.
    pub checks: Vec<Made>,
    /// The program's own confidence in each cause that was there, on what was seen.
    pub of_causes: Vec<(CauseId, f64)>,
    /// The same for each cause that was named, in the order named.
    pub of_named: Vec<f64>,
    /// What the program reports on what was seen, most confident first.
    pub stated: Vec<(CauseId, f64)>,
    /// Each cause that was there and not named, with what was named in its place.
    pub mixed_up: Vec<(CauseId, CauseId)>,
    /// The cautions that were due, the gravest first.
    pub due: Vec<CautionId>,
    /// Those of them that were missed.
    pub missed: Vec<CautionId>,
    /// Cautions that were named, and due neither then nor after the complaint alone.
    pub needless: Vec<CautionId>,
    /// What is called for, what comes first standing first.
    pub actions: Vec<ActionId>,
    /// How well the first action was chosen.
    pub chosen: Chosen,
    /// The points.
    pub points: Points,
}

impl Debrief {
    /// Bits of the checks made, and of the best ones at their times.
    pub fn bits(&self) -> (f64, f64) {
        let sum = |bits: fn(&Made) -> f64| self.checks.iter().map(bits).sum();
        (sum(|made| made.bits), sum(|made| made.best.1))
    }

    /// Whether exactly what was there was named.
    pub fn all_right(&self) -> bool {
        self.mixed_up.is_empty()
            && self.of_causes.len() == self.answer.causes.len()
            && self
                .of_causes
                .iter()
                .all(|(id, _)| self.answer.causes.iter().any(|one| one.cause == *id))
    }
}

/// Each cause that was not named, with each that was named and is not there.
fn mixed_up(there: &[CauseId], answer: &Answer) -> Vec<(CauseId, CauseId)> {
    let named = |id: &CauseId| answer.causes.iter().any(|one| one.cause == *id);
    let wrong: Vec<&CauseId> = answer
        .causes
        .iter()
        .map(|one| &one.cause)
        .filter(|id| !there.contains(id))
        .collect();
    let missed = there.iter().filter(|id| !named(id));
    missed
        .flat_map(|id| {
            wrong
                .iter()
                .map(move |wrong| (id.clone(), (*wrong).clone()))
        })
        .collect()
}
