//! How the words of a text hang together: sentences, statements, their parts, and which thing a quality belongs to.

use crate::describe::effort::look;
use crate::describe::token::Gap;
use crate::describe::unit::Unit;
use crate::engine::knowledge::WordClass;

/// A part of a statement between commas and the like.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Joint {
    /// It begins the statement.
    Start,
    /// A comma, or another mark after which the thought goes on.
    Comma,
    /// "and"
    And,
    /// "or"
    Or,
}

/// Where a word stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Place {
    /// The sentence, by its number.
    pub sentence: usize,
    /// The statement: a sentence, or what stands before or after "but".
    pub statement: usize,
    /// The part of the statement.
    pub part: usize,
}

/// The units of a text with their places.
pub(super) struct Laid {
    pub units: Vec<Unit>,
    pub places: Vec<Place>,
    /// How each part begins, and its units.
    pub parts: Vec<(Joint, std::ops::Range<usize>)>,
    /// The units of each statement.
    pub statements: Vec<std::ops::Range<usize>>,
    /// The units of each sentence, and whether it ends with a question mark.
    pub sentences: Vec<(std::ops::Range<usize>, bool)>,
    /// For each quality the things it may belong to, by number of their units; for anything else nothing.
    pub owners: Vec<Vec<usize>>,
}

/// Words after which a sentence is cut: nobody writes such, and what looks through a sentence stays quick.
const LONGEST_SENTENCE: usize = 200;
/// How many words, or parts of a statement, a quality is looked for away from its thing; so work stays linear.
const FARTHEST: usize = 12;
/// The most things that a quality is looked for among.
const MOST_OWNERS: usize = 3;

impl Laid {
    /// Lays out the units of a text; `question` says whether the last sentence is one.
    pub fn new(units: Vec<Unit>, question: bool) -> Self {
        let mut laid = Self {
            places: Vec::with_capacity(units.len()),
            parts: Vec::new(),
            statements: Vec::new(),
            sentences: Vec::new(),
            owners: Vec::new(),
            units,
        };
        for at in 0..laid.units.len() {
            laid.place(at);
        }
        if let Some(last) = laid.sentences.last_mut() {
            last.1 = question;
        }
        laid.pronouns();
        laid.owners = laid.all_owners();
        laid
    }

    fn place(&mut self, at: usize) {
        let unit = &self.units[at];
        let long = self
            .sentences
            .last()
            .is_some_and(|(last, _)| last.len() >= LONGEST_SENTENCE);
        let sentence = at == 0 || unit.gap == Gap::Hard || long;
        if sentence {
            if let Some(last) = self.sentences.last_mut() {
                last.1 = unit.after_question && !long;
            }
            self.sentences.push((at..at, false));
        }
        let statement = sentence || unit.is(WordClass::Break);
        if statement {
            self.statements.push(at..at);
        }
        let joint = if unit.is(WordClass::Or) {
            Some(Joint::Or)
        } else if unit.is(WordClass::And) {
            Some(Joint::And)
        } else if unit.gap == Gap::Soft {
            // "dry, and cracked": the word says more than the comma before it.
            Some(Joint::Comma)
        } else {
            None
        };
        if statement || joint.is_some() {
            let joint = if statement {
                Joint::Start
            } else {
                joint.unwrap_or(Joint::Start)
            };
            self.parts.push((joint, at..at));
        }
        if let Some(last) = self.sentences.last_mut() {
            last.0.end = at + 1;
        }
        if let Some(last) = self.statements.last_mut() {
            last.end = at + 1;
        }
        if let Some(last) = self.parts.last_mut() {
            last.1.end = at + 1;
        }
        self.places.push(Place {
            sentence: self.sentences.len() - 1,
            statement: self.statements.len() - 1,
            part: self.parts.len() - 1,
        });
    }

    /// Lets a pronoun stand for the thing that was spoken of before: the first one of the part before it, or of the
    /// statement before. So does a "but" behind which no thing is named: "the patch is not green but black".
    fn pronouns(&mut self) {
        let mut before: Option<usize> = None;
        for number in 0..self.statements.len() {
            let range = self.statements[number].clone();
            let first = self.parts[self.places[range.start].part].1.clone();
            let things = first.clone().any(|at| self.units[at].is(WordClass::Thing));
            if let Some(before) = before
                && !things
                && self.units[range.start].is(WordClass::Break)
            {
                self.stand_for(range.start, before);
            }
            let mut subject: Option<usize> = None;
            let mut part = usize::MAX;
            let mut named = false;
            for at in range {
                if self.places[at].part != part {
                    part = self.places[at].part;
                    named = false;
                }
                if self.units[at].is(WordClass::Pronoun)
                    && !named
                    && !self.units[at].is(WordClass::Thing)
                {
                    let several = self.units[at].is(WordClass::Plural);
                    let agrees = |thing: &usize| self.units[*thing].word.plural == several;
                    if let Some(thing) = subject.filter(agrees).or(before.filter(agrees)) {
                        self.stand_for(at, thing);
                    }
                    named = true;
                } else if self.units[at].is(WordClass::Thing) {
                    named = true;
                    subject = subject.or(Some(at));
                }
            }
            before = subject.or(before);
        }
    }

    fn stand_for(&mut self, at: usize, thing: usize) {
        let named = self.units[thing].word.clone();
        let unit = &mut self.units[at];
        unit.word.concept = named.concept;
        unit.word.stem = named.stem;
        unit.word.form = named.form;
        unit.word.classes.add(WordClass::Thing);
    }

    fn all_owners(&self) -> Vec<Vec<usize>> {
        let mut owners = vec![Vec::new(); self.units.len()];
        for number in 0..self.parts.len() {
            let part = self.parts[number].1.clone();
            for at in part.clone() {
                if self.units[at].is(WordClass::Quality) && !self.units[at].is(WordClass::Thing) {
                    owners[at] = self.owners_of(at, &part);
                }
            }
        }
        self.attach(&mut owners);
        owners
    }

    fn owners_of(&self, at: usize, part: &std::ops::Range<usize>) -> Vec<usize> {
        look(FARTHEST);
        let after = self.thing_after(at, part.end);
        let before = self.things_before(at, part.start);
        match after {
            None => before,
            // "caps dry stems wet", "caps are dry stems are wet": what follows has a quality of its own behind it.
            // "Little pits in the caps": what is little is the pits, whatever they are.
            Some(after) if !self.units[after].is(WordClass::Thing) => {
                if before.is_empty() {
                    vec![after]
                } else {
                    before
                }
            }
            Some(after) if !before.is_empty() && self.begins_anew(after, part.end) => before,
            Some(after) => vec![after],
        }
    }

    /// What qualities alone lead to: a thing, or another word that says something.
    fn thing_after(&self, at: usize, end: usize) -> Option<usize> {
        for next in at + 1..end.min(at + 1 + FARTHEST) {
            let unit = &self.units[next];
            if unit.is(WordClass::Thing) {
                return Some(next);
            }
            let leads_on = unit.is(WordClass::Quality)
                || (unit.is(WordClass::Light) || unit.is(WordClass::Filler))
                    && !unit.word.classes.any(&[
                        WordClass::Preposition,
                        WordClass::Determiner,
                        WordClass::Copula,
                        WordClass::Pronoun,
                        WordClass::Denial,
                    ]);
            if !leads_on {
                // "A white plaster-like patch"
                let likened = self.units.get(next + 1).is_some_and(|simile| {
                    next + 1 < end && simile.gap == Gap::Hyphen && simile.is(WordClass::Simile)
                });
                if likened && unit.has_content()
                    || unit.gap == Gap::Hyphen && unit.is(WordClass::Simile)
                {
                    continue;
                }
                // Only right behind qualities: "little pits", not "musty like a cellar".
                let names = (at + 1..next)
                    .all(|between| self.units[between].is(WordClass::Quality))
                    && unit.has_content()
                    && !unit.word.classes.any(&[
                        WordClass::Copula,
                        WordClass::Preposition,
                        WordClass::Denial,
                    ])
                    && !unit.digits;
                return names.then_some(next);
            }
        }
        None
    }

    /// The things before a quality. Of things joined by
    /// prepositions ("the caps on the shelf are dry") it is the first that is spoken of.
    fn things_before(&self, at: usize, start: usize) -> Vec<usize> {
        let mut copula = false;
        let mut things: Vec<usize> = Vec::new();
        let mut preposition = false;
        let mut strange = 0;
        for before in (start.max(at.saturating_sub(FARTHEST))..at).rev() {
            let unit = &self.units[before];
            if unit.is(WordClass::Thing) {
                if things.is_empty() || preposition {
                    things.push(before);
                    preposition = false;
                    if things.len() == MOST_OWNERS {
                        break;
                    }
                    continue;
                }
                break;
            }
            if unit.is(WordClass::Preposition) {
                if things.is_empty() && !copula {
                    // "caps on dry": the quality begins another thing.
                    return Vec::new();
                }
                preposition = true;
            } else if things.is_empty() && unit.is(WordClass::Copula) {
                copula = true;
            } else if things.is_empty() && unit.is(WordClass::Determiner) && !copula {
                return Vec::new();
            } else if unit.has_content() && !unit.is(WordClass::Quality) {
                strange += 1;
                if strange > 2 {
                    break;
                }
            }
        }
        if copula && things.len() > 1 {
            // "The edges of the caps are cracked" says it of the caps as well.
            let whole = things[things.len() - 2];
            let first = things[things.len() - 1];
            let part_of = (first + 1..whole).all(|at| {
                self.units[at].is(WordClass::Filler) && !self.units[at].is(WordClass::Thing)
            }) && self.units[first + 1].is(WordClass::PartOf);
            things = if part_of {
                vec![first, whole]
            } else {
                vec![first]
            };
        }
        things
    }

    /// Whether a thing is followed by what it is like.
    fn begins_anew(&self, thing: usize, end: usize) -> bool {
        self.units[thing + 1..end.min(thing + 1 + FARTHEST)]
            .iter()
            .find(|unit| !unit.is(WordClass::Filler) || unit.is(WordClass::Copula))
            .is_some_and(|unit| {
                unit.is(WordClass::Copula)
                    || unit.is(WordClass::Quality) && !unit.is(WordClass::Thing)
            })
    }

    /// A part without a thing of its own speaks of the part before, or else of the part behind: "stems long and thin",
    /// "long, thin stems".
    fn attach(&self, owners: &mut [Vec<usize>]) {
        for statement in &self.statements {
            let first = self.places[statement.start].part;
            let last = self.places[statement.end - 1].part;
            let things = |part: usize| -> Vec<usize> {
                let range = self.parts[part].1.clone();
                look(range.len());
                let mut things: Vec<usize> = range
                    .filter(|&at| self.units[at].is(WordClass::Thing))
                    .collect();
                things.truncate(MOST_OWNERS);
                things
            };
            let mut before: Vec<usize> = Vec::new();
            for part in first..=last {
                let own = things(part);
                // "Golden oysters came out spindly": what else is named there may be what is meant.
                let other = self.parts[part].1.clone().any(|at| {
                    let unit = &self.units[at];
                    unit.has_content()
                        && !unit.is(WordClass::Quality)
                        && !unit.digits
                        && !unit.word.classes.any(&[
                            WordClass::Denial,
                            WordClass::Never,
                            WordClass::Unsure,
                            WordClass::Probably,
                        ])
                });
                if !own.is_empty() {
                    // "Stems long and skinny with tiny caps": what stands before the part's own thing and does not lead
                    // to it belongs to the thing before.
                    for at in self.parts[part].1.clone().take_while(|at| *at < own[0]) {
                        if self.units[at].is(WordClass::Quality) && owners[at].is_empty() {
                            owners[at].clone_from(&before);
                        }
                    }
                    before = own;
                    continue;
                }
                if other {
                    continue;
                }
                // "No smell, just leggy": what is not there is not like anything.
                let missing = part > first
                    && self.units[self.parts[part].1.start].is(WordClass::Universal)
                    && self.parts[part - 1].1.clone().any(|at| {
                        self.units[at].is(WordClass::Denial)
                            && !self.units[at].is(WordClass::Copula)
                    });
                if missing {
                    before.clear();
                    continue;
                }
                let lent = if before.is_empty() {
                    (part + 1..=last.min(part + FARTHEST))
                        .map(things)
                        .find(|things| !things.is_empty())
                        .map(|mut things| {
                            things.truncate(1);
                            things
                        })
                } else {
                    Some(before.clone())
                };
                let Some(lent) = lent else { continue };
                for at in self.parts[part].1.clone() {
                    if self.units[at].is(WordClass::Quality) && owners[at].is_empty() {
                        owners[at].clone_from(&lent);
                    }
                }
            }
        }
    }
}
