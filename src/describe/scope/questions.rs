//! What is asked, and what the answer behind a question says.

use crate::describe::phrase::Denied;
use crate::describe::scope::{Hedge, Mode, Scope};
use crate::describe::sentence::Joint;
use crate::engine::knowledge::WordClass;

impl Scope<'_> {
    pub(super) fn asked(&mut self, sentence: usize) {
        let (range, mark) = self.laid.sentences[sentence].clone();
        let why = range.clone().find(|&at| self.is(at, WordClass::AskingWhy));
        let opener = range.clone().find(|&at| {
            let head = self.laid.parts[self.laid.places[at].part].1.start == at;
            self.is(at, WordClass::Asking) && (mark || head)
        });
        let from = match (opener, why) {
            // Who asks why tells that it is so.
            (_, Some(why)) if opener.is_none_or(|opener| why <= opener + 1) => return,
            (Some(opener), _) => opener,
            (None, _) if mark => {
                // "Stems long, caps small, too much CO2?": the last part is asked, and what "and" joins to it.
                let mut part = self.laid.places[range.end - 1].part;
                while part > 0 && matches!(self.laid.parts[part].0, Joint::And | Joint::Or) {
                    part -= 1;
                }
                self.laid.parts[part].1.start.max(range.start)
            }
            _ => return,
        };
        for at in from..range.end {
            self.set_mode(at, Mode::Asked, from);
        }
    }

    /// "Any slime? No, but ...": the answer tells what was asked.
    pub(super) fn answered(&mut self, sentence: usize) {
        let (range, _) = self.laid.sentences[sentence].clone();
        if sentence == 0 || !self.laid.units[range.start].after_question {
            return;
        }
        let head = range.start;
        let asked = self.laid.sentences[sentence - 1].0.clone();
        let denial = self.is(head, WordClass::DenialAfter);
        let yes = self.is(head, WordClass::Yes);
        let unsure = self.is(head, WordClass::Unsure);
        if !(denial || yes || unsure) {
            return;
        }
        for at in asked {
            if self.states[at].mode != Mode::Asked {
                continue;
            }
            self.states[at].mode = Mode::Told;
            if denial {
                self.deny(at, Denied::No, head);
            } else if unsure {
                self.hedge(at, Hedge::Unsure, head);
            } else if self.states[at].denied.is_some() {
                // "Not slimy? Yes.": nobody knows what that means.
                self.states[at].open = true;
            }
        }
    }
}
