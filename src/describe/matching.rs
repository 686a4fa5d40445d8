//! Finding the phrases of the knowledge among the words of a text.

use crate::describe::lexicon::{Denied, Lexicon, Phrase, PhraseWord, Target};
use crate::describe::scope::{Hedge, Mode, State};
use crate::describe::sentence::Laid;
use crate::describe::token::Gap;
use crate::describe::told::Fault;
use crate::describe::vocabulary::UNKNOWN;
use crate::engine::knowledge::WordClass;

/// What a text says of a phrase.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Says {
    /// It is so.
    Holds,
    /// It is not so.
    Not,
    /// The sense is open.
    Open,
    /// It is asked, supposed or over.
    No(Mode),
}

/// A phrase that was found.
#[derive(Debug, Clone)]
pub(super) struct Match {
    /// The phrase, by its number.
    pub phrase: usize,
    /// The units it was found in, in order of place.
    pub units: Vec<usize>,
    pub says: Says,
    /// The unit of the word that denies it.
    pub denied_by: Option<usize>,
    pub hedged: Option<(Hedge, usize)>,
    /// Whether a thing of the same kind stands for one of the phrase.
    pub by_kin: bool,
    /// Whether it has the very words of the phrase, not others of the same meaning.
    pub literal: bool,
    /// Whether it is one thing with one quality.
    pub quality: bool,
    /// Whether it is one thing with several qualities that the text joins by a comma or "and": "long, thin stems". Each
    /// then holds for itself as well.
    pub enumerates: bool,
    /// Whether the phrase itself denies something.
    pub denies: bool,
    /// The place in a row that was named ("third flush").
    pub ordinal: Option<f64>,
}

/// How many words away from each other those of a phrase may stand.
const WINDOW: usize = 12;
/// How many words of content may stand between two words of a phrase.
const BETWEEN: usize = 2;

/// Letters by which two forms of a word may differ in length: "drop" and "droppings" are two words.
const MOST_OF_AN_ENDING: usize = 3;
/// Letters from which a word that stands for a whole phrase may be misspelt.
const LEAST_LETTERS_ALONE: usize = 8;

/// Every phrase that is found, in order of its first word.
pub(super) fn matches(lexicon: &Lexicon, laid: &Laid, states: &[State]) -> Vec<Match> {
    let mut found = Vec::new();
    for at in 0..laid.units.len() {
        let concept = laid.units[at].concept();
        if concept == UNKNOWN {
            continue;
        }
        for &number in lexicon.anchors.get(&concept).map_or(&[][..], Vec::as_slice) {
            let finder = Finder {
                lexicon,
                laid,
                states,
                phrase: &lexicon.phrases[number],
            };
            found.extend(finder.found_at(number, at));
        }
    }
    found.sort_by(|a, b| (a.units.first(), a.phrase).cmp(&(b.units.first(), b.phrase)));
    found
}

struct Finder<'a> {
    lexicon: &'a Lexicon,
    laid: &'a Laid,
    states: &'a [State],
    phrase: &'a Phrase,
}

impl Finder<'_> {
    fn found_at(&self, number: usize, anchor: usize) -> Option<Match> {
        let units = self.place_words(anchor)?;
        let ordinal = self
            .phrase
            .ordinal
            .and_then(|at| self.laid.units[units[at]].word.number);
        let mut sorted = units.clone();
        sorted.sort_unstable();
        let fits = self.small_words_stand(&units)
            && self.is_of_the_trade(&sorted)
            && self.stands_together(&sorted)
            && self.in_order(&units)
            && self.no_thing_between(&sorted)
            && self.qualities_belong(&sorted);
        if !fits {
            return None;
        }
        let (says, denied_by) = self.says(&units, &sorted)?;
        if self.phrase.denied_only && says != Says::Not {
            return None;
        }
        let hedged = sorted
            .iter()
            .filter_map(|&at| self.states[at].hedged)
            .filter(|(_, cue)| !sorted.contains(cue))
            .max_by_key(|(kind, _)| *kind);
        let qualities: Vec<usize> = sorted
            .iter()
            .copied()
            .filter(|&at| {
                self.laid.units[at].is(WordClass::Quality)
                    && !self.laid.units[at].is(WordClass::Thing)
            })
            .collect();
        let part = |at: usize| self.laid.places[at].part;
        let one_thing = qualities.len() + 1 == sorted.len();
        let literal = units
            .iter()
            .zip(&self.phrase.words)
            .all(|(&at, word)| self.laid.units[at].word.stem == word.stem);
        Some(Match {
            phrase: number,
            units: sorted,
            says,
            denied_by,
            hedged,
            literal,
            by_kin: units.iter().zip(&self.phrase.words).any(|(&at, word)| {
                self.laid.units[at].concept() != word.concept && word.kin.is_some()
            }),
            quality: one_thing && qualities.len() == 1,
            enumerates: one_thing
                && qualities
                    .windows(2)
                    .any(|pair| part(pair[0]) != part(pair[1])),
            denies: self
                .phrase
                .words
                .iter()
                .any(|word| word.denied != Denied::Plain),
            ordinal: ordinal.map(|(value, _)| value),
        })
    }

    fn same(&self, at: usize, word: &PhraseWord, place: usize) -> bool {
        let unit = &self.laid.units[at].word;
        if self.phrase.ordinal == Some(place)
            && matches!(
                self.lexicon.entries[self.phrase.entry].target,
                Target::Reading(_)
            )
        {
            return unit.number.is_some_and(|(_, ordinal)| ordinal);
        }
        // A phrase of one word is met by that word alone, not by all of its meaning.
        if self.phrase.words.len() == 1 {
            let length = self.laid.units[at].span.len();
            return unit.form == word.alone
                || unit.stem == word.alone && length.abs_diff(word.length) <= MOST_OF_AN_ENDING;
        }
        unit.concept == word.concept || word.kin.is_some() && unit.kin == word.kin
    }

    /// The unit for each word of the phrase, the nearest to those found before.
    fn place_words(&self, anchor: usize) -> Option<Vec<usize>> {
        let words = &self.phrase.words;
        let statement = self.laid.places[anchor].statement;
        let range = &self.laid.statements[statement];
        let from = range.start.max(anchor.saturating_sub(WINDOW));
        let to = range.end.min(anchor + WINDOW + 1);
        let concept = self.laid.units[anchor].concept();
        let mut units = vec![usize::MAX; words.len()];
        let first = words
            .iter()
            .enumerate()
            .position(|(place, word)| word.concept == concept && self.same(anchor, word, place))?;
        units[first] = anchor;
        // From the anchor outwards, so that a word joined to another is looked for beside it.
        for place in (0..first).rev().chain(first + 1..words.len()) {
            let beside = if place < first {
                units[place + 1]
            } else {
                units[place - 1]
            };
            let joined = if place < first {
                words[place + 1].joined
            } else {
                words[place].joined
            };
            let fits = |at: &usize| !units.contains(at) && self.same(*at, &words[place], place);
            let unit = if joined {
                let at = if place < first {
                    beside.checked_sub(1)?
                } else {
                    beside + 1
                };
                Some(at).filter(|at| (from..to).contains(at)).filter(fits)
            } else {
                let part = self.laid.places[beside].part;
                (from..to)
                    .filter(fits)
                    .min_by_key(|at| (self.laid.places[*at].part != part, at.abs_diff(beside), *at))
            };
            units[place] = unit?;
        }
        Some(units)
    }

    /// Few words between, and of a phrase whose words say little each none.
    fn stands_together(&self, sorted: &[usize]) -> bool {
        sorted.windows(2).all(|pair| {
            let between = pair[0] + 1..pair[1];
            let ours = |at: usize| {
                self.laid.owners[at]
                    .iter()
                    .any(|owner| sorted.contains(owner))
            };
            let content = between
                .clone()
                .filter(|&at| self.laid.units[at].has_content() && !ours(at))
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

    fn in_order(&self, units: &[usize]) -> bool {
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
    fn small_words_stand(&self, units: &[usize]) -> bool {
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
    fn is_of_the_trade(&self, sorted: &[usize]) -> bool {
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
    fn no_thing_between(&self, sorted: &[usize]) -> bool {
        sorted.windows(2).all(|pair| {
            let belongs = |quality: usize, thing: usize| self.laid.owners[quality].contains(&thing);
            if belongs(pair[0], pair[1]) || belongs(pair[1], pair[0]) {
                return true;
            }
            let thing = (pair[0] + 1..pair[1]).any(|at| {
                let unit = &self.laid.units[at];
                // "Warmer than the room" is no warm room.
                unit.is(WordClass::Thing)
                    || unit.is(WordClass::Ordering)
                    || unit.is(WordClass::Universal) && unit.is(WordClass::Determiner)
            });
            let (one, other) = (
                self.laid.places[pair[0]].part,
                self.laid.places[pair[1]].part,
            );
            !thing && (one == other || !self.has_thing(one) || !self.has_thing(other))
        })
    }

    fn has_thing(&self, part: usize) -> bool {
        self.laid.parts[part]
            .1
            .clone()
            .any(|at| self.laid.units[at].is(WordClass::Thing))
    }

    /// Each quality belongs to a thing that the phrase names; or, where it names none, that its entry speaks of.
    fn qualities_belong(&self, sorted: &[usize]) -> bool {
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
                entry.things.contains(&word.concept)
                    || word.kin.is_some_and(|kin| entry.kin.contains(&kin))
            })
        })
    }

    /// What the words' states come to; none where the text says something else than the phrase.
    fn says(&self, units: &[usize], sorted: &[usize]) -> Option<(Says, Option<usize>)> {
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
    fn more_is_denied(&self, sorted: &[usize], cue: usize) -> bool {
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
    fn partly(&self, sorted: &[usize], cue: usize) -> bool {
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
