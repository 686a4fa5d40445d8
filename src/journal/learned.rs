//! What the confirmed cases of a journal say about how common causes are with this grower.

use std::collections::BTreeSet;

use crate::engine::id::CauseId;
use crate::engine::knowledge::{CauseKind, KnowledgeBase, Map};
use crate::engine::rates::Counted;
use crate::journal::kept::KeptCase;

/// What was counted.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Tally {
    /// For each cause, in how many cases it was found and in how many it could have been.
    pub counts: Map<CauseId, Counted>,
    /// The cases that counted: their ids, and the causes found, with the conditions that a root found stands behind.
    pub cases: Vec<(String, Vec<CauseId>)>,
}

impl Tally {
    /// Ids of the cases in which a cause was found.
    pub fn found_in(&self, cause: &CauseId) -> Vec<&str> {
        let cases = self.cases.iter();
        cases
            .filter(|(_, found)| found.contains(cause))
            .map(|(id, _)| id.as_str())
            .collect()
    }
}

/// Counts the cases in which a cause was found in the end; the others count for nothing.
///
/// Each is one trial for every cause, but for those that the occasion ruled out beforehand. A root that was found was
/// found with its condition. Where a condition was found and none of its roots, nobody knows of these, and the case is
/// no trial for them.
pub fn tally(base: &KnowledgeBase, cases: &[KeptCase]) -> Tally {
    let mut tally = Tally::default();
    for case in cases {
        let Some(confirmed) = case.confirmed() else {
            continue;
        };
        // A cause that this knowledge does not have counts for nothing.
        let mut found: Vec<CauseId> = confirmed
            .found
            .iter()
            .filter_map(|id| Some(base.causes.get_key_value(id.as_str())?.0.clone()))
            .collect();
        if found.is_empty() {
            continue;
        }
        for root in found.clone() {
            if let Some((condition, _)) = base.condition_of(&root)
                && !found.contains(condition)
            {
                found.push(condition.clone());
            }
        }
        let ruled_out: BTreeSet<&str> = confirmed
            .out_of_question
            .iter()
            .map(String::as_str)
            .collect();
        for (id, cause) in &base.causes {
            let here = found.contains(id);
            let not_known =
                cause.kind == CauseKind::Root && !here && root_not_known(base, id, &found);
            if !here && (ruled_out.contains(id.as_str()) || not_known) {
                continue;
            }
            let counted = tally.counts.entry(id.clone()).or_default();
            counted.of += 1;
            counted.found += u32::from(here);
        }
        tally.cases.push((case.kept.id.clone(), found));
    }
    tally
}

/// Whether what a root stands behind was found, and none of the roots it could have been.
fn root_not_known(base: &KnowledgeBase, root: &CauseId, found: &[CauseId]) -> bool {
    let Some((condition, entry)) = base.condition_of(root) else {
        return false;
    };
    let behind = found.contains(condition) || entry.any_of.iter().any(|one| found.contains(one));
    let named = entry.roots.iter().any(|link| found.contains(&link.cause));
    behind && !named
}
