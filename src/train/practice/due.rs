//! What is right to do in a case, and what to be careful of.

use crate::engine::id::{ActionId, CauseId, CautionId};
use crate::engine::knowledge::{Due, KnowledgeBase, Purpose, Severity};
use crate::engine::observations::Observations;
use crate::engine::reasoner::Reasoner;

/// The actions that the causes there call for, what comes first standing first: by when, then by what it is for.
pub fn actions(base: &KnowledgeBase, causes: &[CauseId]) -> Vec<ActionId> {
    let mut due: Vec<((Due, Purpose), &ActionId)> = Vec::new();
    for cause in causes.iter().filter_map(|id| base.causes.get(id)) {
        for id in &cause.actions {
            let Some(action) = base.actions.get(id) else {
                continue;
            };
            if !due.iter().any(|(_, known)| *known == id) {
                due.push(((action.when_to_do, action.purpose), id));
            }
        }
    }
    // A stable sort: of equals, in the order of the cause.
    due.sort_by_key(|(rank, _)| *rank);
    due.into_iter().map(|(_, id)| id.clone()).collect()
}

/// How well an action is chosen.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Chosen {
    /// Nothing is to be done earlier.
    First,
    /// It is called for, and something else comes first.
    Later,
    /// It is not called for.
    Wrong,
    /// None was named.
    None,
}

/// How well this action is chosen, given what is called for.
pub fn chosen(base: &KnowledgeBase, due: &[ActionId], action: Option<&ActionId>) -> Chosen {
    let rank = |id: &ActionId| {
        let action = base.actions.get(id)?;
        Some((action.when_to_do, action.purpose))
    };
    match (action, due.first()) {
        (None, _) => Chosen::None,
        (Some(action), Some(best)) if due.contains(action) => {
            if rank(action) == rank(best) {
                Chosen::First
            } else {
                Chosen::Later
            }
        }
        (Some(_), _) => Chosen::Wrong,
    }
}

/// The cautions that are due: those of the causes that are there, and those that the program gives on what was seen. Those
/// that are merely good to know are left out; the gravest stand first.
pub fn cautions(
    reasoner: &Reasoner<'_>,
    causes: &[CauseId],
    seen: &Observations,
) -> Vec<CautionId> {
    let base = reasoner.base();
    let said = reasoner.diagnose(seen).cautions;
    let said = said.iter().map(|caution| &caution.id);
    let own = causes.iter().filter_map(|id| base.causes.get(id));
    let mut due: Vec<(Severity, CautionId)> = Vec::new();
    for id in own.flat_map(|cause| &cause.cautions).chain(said) {
        let Some(caution) = base.cautions.get(id) else {
            continue;
        };
        if caution.severity != Severity::Info && !due.iter().any(|(_, known)| known == id) {
            due.push((caution.severity, id.clone()));
        }
    }
    due.sort_by_key(|(severity, _)| *severity);
    due.into_iter().map(|(_, id)| id).collect()
}
