//! What the words of a sentence do to each other: what is denied, left open, asked, supposed, or over.

mod questions;

use std::ops::Range;

use crate::describe::effort::look;
use crate::describe::phrase::Denied;
use crate::describe::sentence::{Joint, Laid};
use crate::engine::knowledge::WordClass;

/// Whether a word is told at all.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Mode {
    Told,
    Past,
    Supposed,
    Asked,
}

/// How sure the text is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Hedge {
    Probably,
    Unsure,
}

/// What holds of one word; a number is that of the unit that makes it so.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct State {
    pub denied: Option<(Denied, usize)>,
    /// The sense is open: denied twice, or perhaps denied.
    pub open: bool,
    pub hedged: Option<(Hedge, usize)>,
    pub mode: Mode,
    pub mode_by: usize,
}

const PLAIN: State = State {
    denied: None,
    open: false,
    hedged: None,
    mode: Mode::Told,
    mode_by: 0,
};

/// The most words of content that a denial or hedge reaches; so work stays linear and no denial wanders off.
const REACH: usize = 10;

/// The same in words of any kind.
const FARTHEST: usize = 40;

/// The state of every word.
pub(super) fn states(laid: &Laid) -> Vec<State> {
    let mut scope = Scope {
        laid,
        states: vec![PLAIN; laid.units.len()],
    };
    for number in 0..laid.statements.len() {
        scope.denials(number);
        scope.hedges(number);
        scope.past(number);
        scope.supposed(number);
    }
    for number in 0..laid.sentences.len() {
        scope.asked(number);
    }
    for number in 0..laid.sentences.len() {
        scope.answered(number);
    }
    scope.states
}

struct Scope<'a> {
    laid: &'a Laid,
    states: Vec<State>,
}

impl Scope<'_> {
    fn is(&self, at: usize, class: WordClass) -> bool {
        self.laid.units[at].is(class)
    }

    fn content(&self, range: Range<usize>) -> usize {
        range
            .filter(|&at| self.laid.units[at].has_content())
            .count()
    }

    fn has(&self, mut range: Range<usize>, class: WordClass) -> bool {
        look(range.len());
        range.any(|at| self.is(at, class))
    }

    fn denials(&mut self, statement: usize) {
        let range = self.laid.statements[statement].clone();
        for cue in range.clone() {
            if !self.is(cue, WordClass::Never) && !self.is(cue, WordClass::Denial) {
                continue;
            }
            let kind = Denied::by(&self.laid.units[cue]);
            // "Wait, no, the caps are fine": an answer reaches nothing.
            let part = self.laid.parts[self.laid.places[cue].part].1.clone();
            if self.is(cue, WordClass::DenialAfter) && cue + 1 == part.end && cue + 1 < range.end {
                continue;
            }
            // "nothing" is the thing that is denied as well.
            if self.is(cue, WordClass::Thing) {
                self.deny(cue, kind, cue);
            }
            self.reach_of_denial(cue, kind, range.end);
        }
        // "mould: none", "smell none": an answer behind the thing, at the end of its part or in a part of its own.
        for cue in range.clone() {
            if !self.is(cue, WordClass::DenialAfter) {
                continue;
            }
            let place = self.laid.places[cue];
            let part = self.laid.parts[place.part].1.clone();
            let last = (cue + 1..part.end).all(|at| self.is(at, WordClass::Filler));
            let alone = (part.start..cue).all(|at| self.is(at, WordClass::Filler));
            if !last {
                continue;
            }
            let denied = if !alone {
                part.start..cue
            } else if place.part > 0 && self.laid.parts[place.part - 1].1.start >= range.start {
                self.laid.parts[place.part - 1].1.clone()
            } else {
                continue;
            };
            for at in denied {
                self.deny(at, Denied::No, cue);
            }
        }
    }

    fn deny(&mut self, at: usize, kind: Denied, cue: usize) {
        look(1);
        let state = &mut self.states[at];
        match state.denied {
            None => state.denied = Some((kind, cue)),
            Some((_, other)) if other == cue => {}
            Some(_) => state.open = true,
        }
    }

    /// Denies what a denial reaches: the rest of its part, and alternatives behind it.
    fn reach_of_denial(&mut self, cue: usize, kind: Denied, end: usize) {
        let of_a_thing = !self.is(cue, WordClass::Was) && self.noun_denial(cue);
        let mut reached = 0;
        let mut begun = false;
        let mut open = false;
        let mut at = cue + 1;
        while at < end.min(cue + FARTHEST) {
            let place = self.laid.places[at];
            let (joint, part) = &self.laid.parts[place.part];
            if at == part.start && begun {
                match self.goes_on(*joint, place.part, end) {
                    GoesOn::Yes => {}
                    GoesOn::Perhaps => open = true,
                    GoesOn::No => return,
                }
            }
            if self.is(at, WordClass::Denial) || self.is(at, WordClass::Never) {
                // A second one: in the same part they may cancel, "no smell, no slime" is a list.
                let same_part = place.part == self.laid.places[cue].part;
                let joined =
                    at > part.start && self.is(at - 1, WordClass::Or) || self.is(at, WordClass::Or);
                if !same_part || reached > 0 || joined {
                    return;
                }
                open = true;
            }
            if reached > 0 {
                let verb = self.is(at, WordClass::Copula) && !self.is(at, WordClass::Filler)
                    || self.is(at, WordClass::Copula);
                if verb && !of_a_thing {
                    return;
                }
                // "no mould the caps are dry": a new thing that no preposition leads to.
                let led = self.is(at - 1, WordClass::Preposition) || self.is(at - 1, WordClass::Or);
                let new = self.is(at, WordClass::Determiner) && !led;
                if new && of_a_thing {
                    return;
                }
            }
            let unit = &self.laid.units[at];
            self.deny(at, kind, cue);
            self.states[at].open |= open;
            begun |= !unit.is(WordClass::Filler);
            if unit.has_content() {
                reached += 1;
                if reached == REACH {
                    return;
                }
            }
            at += 1;
        }
    }

    /// Whether a denial is one of a thing ("no", "without") and not of a verb: the latter are forms of "are not".
    fn noun_denial(&self, cue: usize) -> bool {
        !self.is(cue, WordClass::Copula)
            && !self.is(cue, WordClass::Never)
            && !self.is(cue, WordClass::Or)
    }

    /// Whether a denial goes on over the beginning of this part.
    fn goes_on(&self, joint: Joint, part: usize, end: usize) -> GoesOn {
        let range = self.laid.parts[part].1.clone();
        let sentence =
            self.has(range.clone(), WordClass::Copula) && self.has(range.clone(), WordClass::Thing);
        let own = sentence || self.has(range.clone(), WordClass::Pronoun);
        match joint {
            Joint::Or if !own => GoesOn::Yes,
            Joint::Start | Joint::Or => GoesOn::No,
            Joint::Comma if !own => {
                // "no mould, smell or slime": the list ends with an "or".
                let mut next = part + 1;
                while next < self.laid.parts.len()
                    && self.laid.parts[next].1.start < end
                    && next <= part + REACH
                {
                    let (joint, range) = &self.laid.parts[next];
                    match joint {
                        Joint::Or => return GoesOn::Yes,
                        Joint::Comma
                            if !self.has(range.clone(), WordClass::Copula)
                                && !self.has(range.clone(), WordClass::Denial) => {}
                        _ => break,
                    }
                    next += 1;
                }
                self.bare(range)
            }
            Joint::And if !own => self.bare(range),
            _ => GoesOn::No,
        }
    }

    /// A single word behind "and" or a comma may belong to the list that is denied, or stand against it.
    fn bare(&self, range: Range<usize>) -> GoesOn {
        let denied =
            self.has(range.clone(), WordClass::Denial) || self.has(range.clone(), WordClass::Never);
        // "No smell, just leggy"
        let against = self.is(range.start, WordClass::Universal);
        if !denied && !against && self.content(range) <= 1 {
            GoesOn::Perhaps
        } else {
            GoesOn::No
        }
    }

    fn hedges(&mut self, statement: usize) {
        let range = self.laid.statements[statement].clone();
        for cue in range.clone() {
            let kind = if self.is(cue, WordClass::Unsure) {
                Hedge::Unsure
            } else if self.is(cue, WordClass::Probably) {
                Hedge::Probably
            } else {
                continue;
            };
            let place = self.laid.places[cue];
            let part = self.laid.parts[place.part].1.clone();
            let alone = part
                .clone()
                .all(|at| at == cue || !self.laid.units[at].has_content());
            if alone && place.part > 0 && self.laid.parts[place.part - 1].1.start >= range.start {
                // "mould on the block, not sure"
                for at in self.laid.parts[place.part - 1].1.clone() {
                    self.hedge(at, kind, cue);
                }
            }
            for at in part.clone().filter(|&at| at != cue) {
                self.hedge(at, kind, cue);
            }
            let mut reached = 0;
            for at in part.end..range.end.min(cue + FARTHEST) {
                let (joint, next) = &self.laid.parts[self.laid.places[at].part];
                let thing = self.has(next.clone(), WordClass::Thing);
                let own =
                    thing && (*joint == Joint::Comma || self.has(next.clone(), WordClass::Copula));
                if at == next.start && own || reached == REACH {
                    break;
                }
                self.hedge(at, kind, cue);
                reached += usize::from(self.laid.units[at].has_content());
            }
        }
    }

    fn hedge(&mut self, at: usize, kind: Hedge, cue: usize) {
        look(1);
        let state = &mut self.states[at];
        if state.hedged.is_none_or(|(known, _)| known < kind) {
            state.hedged = Some((kind, cue));
        }
    }

    fn past(&mut self, statement: usize) {
        let range = self.laid.statements[statement].clone();
        let was = self.has(range.clone(), WordClass::Was);
        let cue = range.clone().find(|&at| {
            // "Last flush's stumps" are there now.
            self.is(at, WordClass::Past) && (was || !self.laid.units[at].possessive)
                || was && self.is(at, WordClass::PastBeside)
        });
        let now = range.clone().find(|&at| self.is(at, WordClass::Now));
        // "was wet, now dry": the verb alone is enough where another time stands against it.
        let first_was = range.clone().find(|&at| self.is(at, WordClass::Was));
        let against = now
            .zip(first_was)
            .filter(|(now, was)| self.laid.places[*now].part > self.laid.places[*was].part);
        let Some(cue) = cue.or(against.map(|(_, was)| was)) else {
            return;
        };
        // "Brown spots, pale at first": what stands before is told, unless its verb is one of the past as well.
        let part = &self.laid.parts[self.laid.places[cue].part].1;
        let was_before =
            range.start == part.start || self.has(range.start..part.start, WordClass::Was);
        let start = if was && was_before {
            range.start
        } else {
            part.start.max(range.start)
        };
        for at in start..range.end {
            let part = self.laid.parts[self.laid.places[at].part].1.clone();
            if self.has(part.clone(), WordClass::Now) && !self.is(at, WordClass::Past) {
                break;
            }
            // "It was put in a week ago and nothing has come of it", "scrubbed on Monday, no slime in it": what has come
            // is so now, and what is not there.
            let joint = self.laid.parts[self.laid.places[at].part].0;
            let head = &self.laid.units[part.start];
            let has_come = joint == Joint::And && self.has(part.clone(), WordClass::Copula);
            let missing = head.is(WordClass::Denial) && !head.is(WordClass::Copula);
            if !self.is(cue, WordClass::Past)
                && part.start > cue
                && (has_come || missing)
                && !self.has(part, WordClass::Was)
            {
                break;
            }
            self.set_mode(at, Mode::Past, cue);
        }
    }

    fn supposed(&mut self, statement: usize) {
        let range = self.laid.statements[statement].clone();
        for cue in range.clone() {
            let condition = self.is(cue, WordClass::Condition);
            if !condition && !self.is(cue, WordClass::Supposing) {
                continue;
            }
            let part = self.laid.places[cue].part;
            let (_, whole) = &self.laid.parts[part];
            // "... before I could pick them": what stands before "before" is told.
            let start = (whole.start..cue)
                .rev()
                .find(|&at| self.is(at, WordClass::Ordering))
                .unwrap_or(if condition { cue } else { whole.start });
            for at in start..range.end {
                let (joint, next) = &self.laid.parts[self.laid.places[at].part];
                let own = self.has(next.clone(), WordClass::Thing)
                    || self.has(next.clone(), WordClass::Pronoun)
                    || next.clone().any(|at| self.laid.units[at].digits);
                let verb = self.has(next.clone(), WordClass::Copula)
                    && self.has(next.clone(), WordClass::Pronoun);
                let ends = own && *joint == Joint::Comma || verb && *joint == Joint::And;
                if !condition && at == next.start && at > cue && ends {
                    break;
                }
                self.set_mode(at, Mode::Supposed, cue);
            }
        }
    }

    fn set_mode(&mut self, at: usize, mode: Mode, by: usize) {
        if self.states[at].mode < mode {
            self.states[at].mode = mode;
            self.states[at].mode_by = by;
        }
    }
}

enum GoesOn {
    Yes,
    Perhaps,
    No,
}
