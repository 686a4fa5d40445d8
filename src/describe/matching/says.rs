//! What a text says of a phrase: that it is so, is not so, or leaves open.

use crate::describe::lexicon::Target;
use crate::describe::matching::{Finder, Says};
use crate::describe::phrase::Denied;
use crate::describe::scope::Mode;
use crate::engine::knowledge::WordClass;

impl Finder<'_> {
    /// What the words' states come to; none where the text says something else than the phrase.
    pub(super) fn says(&self, units: &[usize], sorted: &[usize]) -> Option<(Says, Option<usize>)> {
        let wanted = self.phrase.words.iter().map(|word| word.denied);
        let own = wanted.clone().find(|denied| *denied != Denied::Plain);
        let mut open = false;
        let mut mode = Mode::Told;
        let mut found: Option<(Denied, usize)> = None;
        for &at in sorted {
            let state = &self.states[at];
            let by_own_word = |cue: usize| sorted.contains(&cue);
            if let Some((denied, cue)) = state.denied {
                match found {
                    Some((_, other)) if other != cue => open = true,
                    _ => found = Some((denied, cue)),
                }
            }
            open |= state.open;
            if state.mode > mode && !by_own_word(state.mode_by) {
                mode = state.mode;
            }
        }
        if let Some(own) = own {
            // The phrase denies something itself: the text must deny the same word in the same way.
            let first = units
                .iter()
                .zip(&self.phrase.words)
                .find(|(_, word)| word.denied != Denied::Plain);
            let (&at, _) = first?;
            let (denied, cue) = self.states[at].denied?;
            let first_of_content = (cue + 1..at).all(|at| !self.laid.units[at].has_content());
            let alike = denied == own
                || denied != Denied::Never && own != Denied::Never && at > cue && first_of_content;
            // "Nobody mists" is not "no mist".
            let somebody = self.laid.units[cue].is(WordClass::Thing) && !sorted.contains(&cue);
            if !alike || somebody || self.more_is_denied(sorted, cue) {
                return None;
            }
            let says = if open {
                Says::Open
            } else if mode > Mode::Told {
                Says::No(mode)
            } else {
                Says::Holds
            };
            return Some((says, Some(cue)));
        }
        let Some((_, cue)) = found else {
            let says = if open {
                Says::Open
            } else if mode > Mode::Told {
                Says::No(mode)
            } else {
                Says::Holds
            };
            return Some((says, None));
        };
        let says = if mode > Mode::Told {
            Says::No(mode)
        } else if open || self.partly(sorted, cue) {
            Says::Open
        } else {
            Says::Not
        };
        Some((says, Some(cue)))
    }

    /// "No pins" does not stand in "no pins died" or "none of them": what is denied is something else.
    pub(super) fn more_is_denied(&self, sorted: &[usize], cue: usize) -> bool {
        let [only] = sorted else { return false };
        let unit = &self.laid.units[*only];
        let part = self.laid.parts[self.laid.places[*only].part].1.clone();
        let by_cue = |at: &usize| self.states[*at].denied.is_some_and(|(_, by)| by == cue);
        let until = (*only + 1..part.end)
            .find(|&at| {
                self.laid.units[at]
                    .word
                    .classes
                    .any(&[WordClass::Preposition, WordClass::Ordering])
            })
            .unwrap_or(part.end);
        // "Cracked caps? No." denies all before it.
        let from = if cue < *only {
            part.start.max(cue + 1)
        } else {
            part.start
        };
        let more = (from..until)
            .filter(by_cue)
            .any(|at| at != *only && self.laid.units[at].has_content());
        unit.is(WordClass::Pronoun) || unit.is(WordClass::Thing) && more
    }

    /// Whether what is denied is more than the phrase says: "no green mould" does not deny mould, "not all" not some.
    pub(super) fn partly(&self, sorted: &[usize], cue: usize) -> bool {
        let (Some(&first), Some(&last)) = (sorted.first(), sorted.last()) else {
            return true;
        };
        let (from, to) = (first.min(cue), last.max(cue));
        let universal = (from..=to).any(|at| {
            at != cue
                && self.laid.units[at].is(WordClass::Universal)
                && self.states[at].denied.is_some_and(|(_, by)| by == cue)
        });
        let question = matches!(
            self.lexicon.entries[self.phrase.entry].target,
            Target::Question(_)
        );
        let part = self.laid.parts[self.laid.places[last].part].1.clone();
        let more = part.clone().any(|at| {
            let unit = &self.laid.units[at];
            let denied = self.states[at].denied.is_some_and(|(_, by)| by == cue) && at != cue;
            let other = denied && unit.has_content() && !sorted.contains(&at);
            let of_ours = self.laid.owners[at]
                .iter()
                .any(|owner| sorted.contains(owner));
            other && (question || of_ours)
        });
        universal || more
    }
}
