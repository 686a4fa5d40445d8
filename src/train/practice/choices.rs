//! What is offered when a helper says what to do: the right answers among others.

use crate::engine::id::{ActionId, CautionId};
use crate::engine::knowledge::Severity;
use crate::engine::observations::Observations;
use crate::engine::reasoner::Reasoner;
use crate::train::chance::Chance;
use crate::train::practice::case::PracticeCase;
use crate::train::practice::due;
use crate::train::practice::look::stream;

/// How many actions are offered.
///
/// judgement: read in a quarter of a minute.
const ACTIONS: usize = 6;
/// How many of them are called for at the most.
const CALLED_FOR: usize = 3;
/// How many cautions are offered that are not due.
///
/// judgement: enough that marking all of them costs something.
const OTHER_CAUTIONS: usize = 4;
/// Where these draw their chance from.
const TURN: usize = 2000;

/// What can be chosen.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Choices {
    /// First actions.
    pub actions: Vec<ActionId>,
    /// Cautions.
    pub cautions: Vec<CautionId>,
}

/// What is offered in a case of which this was seen. Equal cases give equal offers.
pub fn choices(reasoner: &Reasoner<'_>, case: &PracticeCase, seen: &Observations) -> Choices {
    let base = reasoner.base();
    let mut chance = Chance::new(stream(case.seed, TURN));
    let all = due::actions(base, &case.causes);
    let mut actions: Vec<ActionId> = all.iter().take(CALLED_FOR).cloned().collect();
    // What is done about the causes that these are taken for comes before what is done about anything else.
    let rivals = case.causes.iter().flat_map(|id| base.taken_for(id));
    let mut others: Vec<ActionId> = rivals
        .filter_map(|id| {
            due::actions(base, std::slice::from_ref(id))
                .into_iter()
                .next()
        })
        .collect();
    chance.shuffle(&mut others);
    let mut rest: Vec<ActionId> = base
        .causes
        .keys()
        .filter_map(|id| {
            due::actions(base, std::slice::from_ref(id))
                .into_iter()
                .next()
        })
        .collect();
    chance.shuffle(&mut rest);
    others.extend(rest);
    for id in others {
        if actions.len() >= ACTIONS {
            break;
        }
        if !all.contains(&id) && !actions.contains(&id) {
            actions.push(id);
        }
    }
    chance.shuffle(&mut actions);
    let mut cautions = due::cautions(reasoner, &case.causes, seen);
    let mut others: Vec<CautionId> = base
        .cautions
        .iter()
        .filter(|(id, one)| one.severity != Severity::Info && !cautions.contains(id))
        .map(|(id, _)| id.clone())
        .collect();
    chance.shuffle(&mut others);
    cautions.extend(others.into_iter().take(OTHER_CAUTIONS));
    chance.shuffle(&mut cautions);
    Choices { actions, cautions }
}
