//! Whether words that a phrase has stand in a text as they do in the phrase.

use crate::describe::lexicon::Target;
use crate::describe::matching::{Finder, WINDOW};
use crate::describe::token::Gap;
use crate::describe::told::Fault;
use crate::engine::knowledge::WordClass;

/// How many words of content may stand between two words of a phrase.
const BETWEEN: usize = 2;
/// Letters from which a word that stands for a whole phrase may be misspelt.
const LEAST_LETTERS_ALONE: usize = 8;

impl Finder<'_> {
    /// Few words between, and of a phrase whose words say little each none.
    pub(super) fn stands_together(&self, sorted: &[usize]) -> bool {
        sorted.windows(2).all(|pair| {
            let between = pair[0] + 1..pair[1];
            let ours = |at: usize| {
                self.laid.owners[at]
                    .iter()
                    .any(|owner| sorted.contains(owner))
            };
            let content = between
                .clone()
                .filter(|&at| {
                    let unit = &self.laid.units[at];
                    unit.has_content() && !unit.is(WordClass::Pronoun) && !ours(at)
                })
                .count();
            if self.phrase.light {
                return between
                    .clone()
                    .all(|at| self.laid.units[at].is(WordClass::Filler))
                    && self.laid.places[pair[0]].part == self.laid.places[pair[1]].part;
            }
            // "The caps of my fruiting grey oysters are cracked": what belongs together may stand further apart.
            let belong = self.laid.owners[pair[0]].contains(&pair[1])
                || self.laid.owners[pair[1]].contains(&pair[0]);
            content <= if belong { 3 * BETWEEN } else { BETWEEN }
        })
    }

    /// "At the tear" tells of a place, and not that anything tore: a word of the same meaning that stands as a noun
    /// behind a preposition is none for a phrase that has it otherwise.
    pub(super) fn no_noun_for_another_word(&self, units: &[usize]) -> bool {
        let is = |at: usize, class: WordClass| self.laid.units[at].is(class);
        !units.iter().zip(&self.phrase.words).any(|(&at, word)| {
            let led = at >= 2
                && is(at - 1, WordClass::Determiner)
                && is(at - 2, WordClass::Preposition)
                && !units.contains(&(at - 2));
            let leads_on = self.laid.units.get(at + 1).is_some_and(|next| {
                next.gap <= Gap::Hyphen
                    && (next.is(WordClass::Thing) || next.is(WordClass::Quality))
            });
            led && !leads_on
                && self.laid.units[at].word.stem != word.stem
                && !is(at, WordClass::Thing)
                && !word.light
        })
    }

    pub(super) fn in_order(&self, units: &[usize]) -> bool {
        if self.phrase.ordered {
            return units.is_sorted();
        }
        // "Stopped the fan" is not "fan stopped": a thing is what is done to, behind the verb and its own article.
        units.windows(2).all(|pair| {
            let [thing, verb] = [pair[0], pair[1]];
            let turned = verb < thing
                && self.laid.units[thing].is(WordClass::Thing)
                && !self.laid.units[verb].is(WordClass::Thing)
                && !self.laid.units[verb].is(WordClass::Quality);
            !turned || !(verb + 1..thing).any(|at| self.laid.units[at].is(WordClass::Determiner))
        })
    }

    /// Each small word of the phrase ("all", "in") stands right beside one of its neighbours there, in their order.
    pub(super) fn small_words_stand(&self, units: &[usize]) -> bool {
        let words = &self.phrase.words;
        let beside = |one: usize, other: usize| {
            let (first, second) = (units[one], units[other]);
            first < second
                && (first + 1..second).all(|at| !self.laid.units[at].has_content())
                && self.laid.places[first].part == self.laid.places[second].part
        };
        words.len() == 1
            || matches!(
                self.lexicon.entries[self.phrase.entry].target,
                Target::Reading(_)
            )
            || words.iter().enumerate().all(|(at, word)| {
                !word.light
                    || at > 0 && beside(at - 1, at)
                    || at + 1 < words.len() && beside(at, at + 1)
            })
    }

    /// What speaks against taking the words for what the phrase says, though they are its words.
    pub(super) fn is_of_the_trade(&self, sorted: &[usize]) -> bool {
        let unit = |at: usize| &self.laid.units[at];
        let Some(&first) = sorted.first() else {
            return false;
        };
        let statement = &self.laid.statements[self.laid.places[first].statement];
        let near =
            statement.start.max(first.saturating_sub(WINDOW))..statement.end.min(first + WINDOW);
        // "Yellow spots on my tomato leaves"
        if near
            .clone()
            .any(|at| unit(at).is(WordClass::Foreign) && !sorted.contains(&at))
        {
            return false;
        }
        // "Blue-green fuzz" is not green fuzz, "day 12" is no day.
        let reading = matches!(
            self.lexicon.entries[self.phrase.entry].target,
            Target::Reading(_)
        );
        if reading
            && sorted.windows(2).any(|pair| {
                // "Temperature 18 °C and the dew point" is no dew point temperature; "in fruiting for 8 days" is
                // one name, as the days are those of the number.
                (pair[0] + 1..pair[1]).any(|at| unit(at).digits && !sorted.contains(&(at + 1)))
            })
        {
            return false;
        }
        let cut = !reading
            && sorted.iter().any(|&at| {
                let before = at.checked_sub(1).filter(|before| !sorted.contains(before));
                let behind = Some(at + 1)
                    .filter(|behind| *behind < self.laid.units.len() && !sorted.contains(behind));
                let compound = |one: usize, other: usize| {
                    unit(other).gap == Gap::Hyphen
                        && unit(one).is(WordClass::Quality)
                        && unit(other).is(WordClass::Quality)
                };
                let counted = !unit(at).has_content() && !unit(at).digits;
                before.is_some_and(|before| compound(before, at) || counted && unit(before).digits)
                    || behind.is_some_and(|behind| {
                        compound(at, behind) || counted && unit(behind).digits
                    })
            });
        if cut {
            return false;
        }
        let simile = |range: std::ops::Range<usize>| {
            range.clone().any(|at| {
                unit(at).is(WordClass::Simile)
                    && !sorted.contains(&at)
                    // What it smells like is how it smells.
                    && !at.checked_sub(1).is_some_and(|before| {
                        unit(before).is(WordClass::Thing) && unit(before).is(WordClass::Copula)
                    })
            })
        };
        if sorted.len() > 1 {
            // "Fuzz, like what grows on bread" tells of no bread.
            return !simile(first..sorted[sorted.len() - 1]);
        }
        // A single word is soon something else: likened ("like soot"), or a doubtful spelling.
        let likened = simile(statement.start.max(first.saturating_sub(3))..first);
        let short = unit(first)
            .word
            .corrected
            .as_ref()
            .is_some_and(|(fault, word)| {
                *fault == Fault::Misspelt && word.chars().count() < LEAST_LETTERS_ALONE
            });
        // What stands for something else says nothing by itself.
        let stands_for = unit(first)
            .word
            .classes
            .any(&[WordClass::Pronoun, WordClass::Break]);
        !likened && !short && !stands_for
    }

    /// No thing between that the phrase does not name, unless a quality is known to belong over it; and nothing over the
    /// joint between two parts that each have a thing.
    pub(super) fn no_thing_between(&self, sorted: &[usize]) -> bool {
        sorted.windows(2).all(|pair| {
            let belongs = |quality: usize, thing: usize| self.laid.owners[quality].contains(&thing);
            if belongs(pair[0], pair[1]) || belongs(pair[1], pair[0]) {
                return true;
            }
            let thing = (pair[0] + 1..pair[1]).any(|at| {
                let unit = &self.laid.units[at];
                // "Vinegar makes it fizz": a pronoun is no thing of its own. "The zip of the tent won't shut": nor is
                // the whole that the thing before is part of.
                let other = unit.is(WordClass::Thing)
                    && (!unit.is(WordClass::Pronoun) || unit.is(WordClass::Plural))
                    && !self.hung_on(pair[0], at, pair[1]);
                // "Warmer than the room" is no warm room.
                other
                    || unit.is(WordClass::Ordering)
                    || unit.is(WordClass::Universal)
                        && unit.is(WordClass::Determiner)
                        && !(unit.is(WordClass::Filler) && at + 1 == pair[1])
            });
            let (one, other) = (
                self.laid.places[pair[0]].part,
                self.laid.places[pair[1]].part,
            );
            !thing
                && (one == other
                    || !self.has_thing(one)
                    || !self.has_thing(other)
                    || self.goes_on_with(pair[1]))
        })
    }

    /// Whether a thing is the whole that `before` is part of, and what follows is no thing itself.
    fn hung_on(&self, before: usize, thing: usize, behind: usize) -> bool {
        let unit = |at: usize| &self.laid.units[at];
        if unit(behind).is(WordClass::Thing) || unit(behind).is(WordClass::Quality) {
            return false;
        }
        let led = (before + 1..thing)
            .rev()
            .find(|&at| !unit(at).is(WordClass::Determiner) && !unit(at).is(WordClass::Quality));
        led.is_some_and(|at| unit(at).is(WordClass::PartOf))
    }

    /// "One spot, slimy and yellow, on a cap": a part that begins with the preposition by which the phrase goes on.
    fn goes_on_with(&self, at: usize) -> bool {
        let part = self.laid.parts[self.laid.places[at].part].1.clone();
        let unit = |at: usize| &self.laid.units[at];
        unit(part.start).is(WordClass::Preposition)
            && (part.start + 1..at).all(|between| {
                unit(between).is(WordClass::Determiner) || unit(between).is(WordClass::Filler)
            })
    }

    pub(super) fn has_thing(&self, part: usize) -> bool {
        self.laid.parts[part]
            .1
            .clone()
            .any(|at| self.laid.units[at].is(WordClass::Thing))
    }

    /// Each quality belongs to a thing that the phrase names; or, where it names none, that its entry speaks of.
    pub(super) fn qualities_belong(&self, sorted: &[usize]) -> bool {
        let entry = &self.lexicon.entries[self.phrase.entry];
        // A name is no quality, whatever its words are.
        if matches!(entry.target, Target::Species(_)) {
            return true;
        }
        let names_thing = sorted
            .iter()
            .any(|&at| self.laid.units[at].is(WordClass::Thing));
        sorted.iter().all(|&at| {
            let owners = &self.laid.owners[at];
            if owners.is_empty() {
                // Without a thing of its own it may stand in the same part only.
                let part = self.laid.places[at].part;
                return !names_thing
                    || sorted.iter().any(|&other| {
                        self.laid.units[other].is(WordClass::Thing)
                            && self.laid.places[other].part == part
                    })
                    || !self.laid.units[at].is(WordClass::Quality)
                    || self.laid.units[at].is(WordClass::Thing);
            }
            if names_thing {
                return owners.iter().any(|owner| {
                    sorted.contains(owner) || self.laid.units[*owner].is(WordClass::Generic)
                });
            }
            // "Wet every morning" may be said of anything.
            let more = sorted
                .iter()
                .any(|&at| !self.laid.units[at].is(WordClass::Quality));
            owners.iter().any(|&owner| {
                if more || sorted.contains(&owner) {
                    return true;
                }
                let word = &self.laid.units[owner].word;
                // "Leggy blue oysters": a kind stands for its mushrooms.
                let crop = entry.kin.is_empty() && self.lexicon.kinds.contains(&word.concept);
                entry.things.contains(&word.concept)
                    || crop
                    || word.kin.is_some_and(|kin| entry.kin.contains(&kin))
            })
        })
    }
}
