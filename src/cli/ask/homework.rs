//! What a walk leaves to be looked at later.

use crate::cli::ask::answers::{Told, is_growth};
use crate::cli::ask::walk::{Walk, triage};
use crate::engine::at_odds::check_of;
use crate::engine::diagnosis::{Ask, Diagnosis, NextCheck};
use crate::engine::reasoner::Reasoner;

/// What was put off and would still tell something, the most telling first; and at a spot how it has grown by
/// tomorrow, which tells more than its colour today.
pub fn homework(walk: &Walk<'_>, diagnosis: &Diagnosis, reasoner: &Reasoner<'_>) -> Vec<NextCheck> {
    let answers = walk.answers();
    let mut list: Vec<NextCheck> = Vec::new();
    if answers.put_off() > 0 {
        let mut found = reasoner.next_checks(&walk.observations());
        // A stable sort: of equals the one that could show a hazard, or costs less, stays first.
        found.sort_by(|a, b| b.gain_bits.total_cmp(&a.gain_bits));
        let settling = diagnosis
            .contradictions
            .iter()
            .filter_map(|one| one.settle_by.clone());
        for check in settling.chain(found) {
            let listed = list.iter().any(|one| same(&one.ask, &check.ask));
            if answers.was_put_off(&check.ask) && !listed {
                list.push(check);
            }
        }
    }
    if !answers.spot {
        return list;
    }
    let base = reasoner.base();
    let open = |ask: &Ask| match ask {
        Ask::Reading(id) => {
            is_growth(&base.readings[id])
                && !matches!(answers.readings.get(id), Some(Told::Answer(_)))
        }
        Ask::Sign(_) | Ask::Question(..) => false,
    };
    for ask in triage(base).into_iter().filter(open) {
        let Some(mut check) = check_of(base, ask) else {
            continue;
        };
        if let Some(size) = answers.sizes.last() {
            check.how = format!("It was {size}. {}", check.how);
        }
        match list.iter_mut().find(|one| same(&one.ask, &check.ask)) {
            Some(listed) => listed.how = check.how,
            None => list.push(check),
        }
    }
    list
}

/// Whether two checks ask for the same, whatever of it was answered meanwhile.
fn same(one: &Ask, other: &Ask) -> bool {
    match (one, other) {
        (Ask::Question(one, _), Ask::Question(other, _)) => one == other,
        _ => one == other,
    }
}
