//! What becomes of cases when the cause that is right, or any other, is taken out of the book.
//!
//! No book is complete. Where the right cause is missing, nothing that stands in the book can be right: the best answer
//! is that nothing fits, or none at all, the worst a wrong cause stated with a verdict. And a cause that is missing must
//! not spoil the cases that it has nothing to do with.

use crate::engine::id::CauseId;
use crate::engine::knowledge::{CauseKind, KnowledgeBase};
use crate::engine::observations::Observations;
use crate::engine::quantity::System;
use crate::engine::reasoner::Reasoner;

/// A case with what is right in it.
#[derive(Debug, Clone, PartialEq)]
pub struct Known {
    /// What is told.
    pub observations: Observations,
    /// The causes of which one must lead.
    pub right: Vec<CauseId>,
}

/// What became of the cases with one cause taken out.
#[derive(Debug, Clone, PartialEq)]
pub struct Removal {
    /// The cause that was taken out.
    pub cause: CauseId,
    /// Cases in which nothing but this cause was right.
    pub own: Own,
    /// All other cases that want a cause.
    pub others: Others,
}

/// Cases whose right cause is no longer in the book.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Own {
    /// How many.
    pub cases: usize,
    /// Of these, how many have a wrong cause stated at or above the confidence that makes a verdict.
    pub misled: usize,
    /// Of these, how many call it likelier that something outside the book is at work than any cause.
    pub nothing_fits: usize,
    /// Mean probability of something outside the book, with the cause in the book.
    pub unknown_before: f64,
    /// The same without it.
    pub unknown_after: f64,
}

/// Cases that the cause has nothing to do with.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Others {
    /// How many.
    pub cases: usize,
    /// In how many a right cause led with the whole book.
    pub led_before: usize,
    /// In how many one leads now.
    pub led_after: usize,
}

/// The knowledge without one cause, and without what other causes say of it. Rules that ask for it never speak.
pub fn without(base: &KnowledgeBase, cause: &CauseId) -> KnowledgeBase {
    let mut book = base.clone();
    book.causes.shift_remove(cause);
    for other in book.causes.values_mut() {
        other.any_of.retain(|member| member != cause);
        other.roots.retain(|root| root.cause != *cause);
        other.look_alikes.retain(|pair| pair.cause != *cause);
    }
    book
}

/// Takes every cause that can lead out of the book in turn, in the order of the knowledge. Only cases that want a cause
/// count.
pub fn without_each(base: &KnowledgeBase, system: System, cases: &[Known]) -> Vec<Removal> {
    let cases: Vec<&Known> = cases.iter().filter(|case| !case.right.is_empty()).collect();
    let whole = Reasoner::new(base, system);
    let before: Vec<Outcome> = cases.iter().map(|case| outcome(&whole, case)).collect();
    let can_lead = base
        .causes
        .iter()
        .filter(|(_, cause)| cause.kind != CauseKind::Root && cause.any_of.is_empty());
    can_lead
        .map(|(id, _)| {
            let book = without(base, id);
            let reasoner = Reasoner::new(&book, system);
            let (mut own, mut others) = (Own::default(), Others::default());
            for (case, before) in cases.iter().zip(&before) {
                let after = outcome(&reasoner, case);
                if case.right.iter().all(|right| right == id) {
                    own.cases += 1;
                    own.misled += usize::from(after.first >= base.scale.numbers.decided_at);
                    own.nothing_fits += usize::from(after.unknown > after.first);
                    own.unknown_before += before.unknown;
                    own.unknown_after += after.unknown;
                } else {
                    others.cases += 1;
                    others.led_before += usize::from(before.right_leads);
                    others.led_after += usize::from(after.right_leads);
                }
            }
            if own.cases > 0 {
                own.unknown_before /= own.cases as f64;
                own.unknown_after /= own.cases as f64;
            }
            Removal {
                cause: id.clone(),
                own,
                others,
            }
        })
        .collect()
}

/// What was said of one case.
struct Outcome {
    right_leads: bool,
    /// Confidence of the leading cause; 0 where none is reported.
    first: f64,
    unknown: f64,
}

fn outcome(reasoner: &Reasoner<'_>, case: &Known) -> Outcome {
    let (stated, unknown) = reasoner.stated_and_unknown(&case.observations);
    Outcome {
        right_leads: stated
            .first()
            .is_some_and(|(cause, _)| case.right.contains(cause)),
        first: stated.first().map_or(0.0, |(_, sure)| *sure),
        unknown,
    }
}

#[cfg(test)]
mod tests {
    use super::{Known, Own, without, without_each};
    use crate::engine::id::{CauseId, SignId};
    use crate::engine::observations::{Answer, Observations};
    use crate::engine::quantity::System;
    use crate::knowledge::build::build;
    use crate::knowledge::read::read_folder;

    fn known(signs: &[&str], right: &str) -> Known {
        let mut observations = Observations::default();
        for sign in signs {
            let sign = SignId::new(sign).expect("an id");
            observations.signs.insert(sign, Answer::Yes);
        }
        Known {
            observations,
            right: vec![CauseId::new(right).expect("an id")],
        }
    }

    #[test]
    fn a_case_whose_cause_is_gone_is_its_own_and_the_unknown_rises() {
        let files = read_folder(std::path::Path::new("fixtures/other-trade"), 0).expect("a folder");
        let base = build(&files).usable().expect("no faults");
        let cases = [
            known(&["pale-crust", "gummy-crumb"], "oven-too-cool"),
            known(&["flat-loaf", "sharp-smell"], "over-proofed"),
        ];
        let removals = without_each(&base, System::Metric, &cases);
        let names: Vec<&str> = removals.iter().map(|one| one.cause.as_str()).collect();
        assert_eq!(names, ["oven-too-cool", "over-proofed", "under-proofed"]);
        let oven = &removals[0];
        assert_eq!((oven.own.cases, oven.others.cases), (1, 1));
        // The other cause of a gummy crumb takes some of it, but not enough for a verdict.
        assert!(oven.own.unknown_after > oven.own.unknown_before, "{oven:?}");
        assert_eq!(oven.own.misled, 0);
        assert_eq!((oven.others.led_before, oven.others.led_after), (1, 1));
        assert_eq!(removals[2].own, Own::default());
    }

    #[test]
    fn nothing_is_left_that_speaks_of_a_cause_that_is_gone() {
        let files = read_folder(std::path::Path::new("fixtures/other-trade"), 0).expect("a folder");
        let base = build(&files).usable().expect("no faults");
        let gone = CauseId::new("weak-starter").expect("an id");
        let book = without(&base, &gone);
        assert!(!book.causes.contains_key(&gone));
        let roots = &book.causes["under-proofed"].roots;
        assert_eq!(roots.len() + 1, base.causes["under-proofed"].roots.len());
    }
}
