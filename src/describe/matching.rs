//! Finding the phrases of the knowledge among the words of a text.

mod fits;
mod says;

use crate::describe::effort::look;
use crate::describe::lexicon::{Lexicon, Target};
use crate::describe::phrase::{Denied, Phrase, PhraseWord};
use crate::describe::scope::{Hedge, Mode, State};
use crate::describe::sentence::Laid;
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

/// Letters by which two forms of a word may differ in length: "drop" and "droppings" are two words.
const MOST_OF_AN_ENDING: usize = 3;

/// Every phrase that is found, in order of its first word.
pub(super) fn matches(lexicon: &Lexicon, laid: &Laid, states: &[State]) -> Vec<Match> {
    let mut found = Vec::new();
    for at in 0..laid.units.len() {
        let concept = laid.units[at].concept();
        if concept == UNKNOWN {
            continue;
        }
        for &number in lexicon.anchors.get(&concept).map_or(&[][..], Vec::as_slice) {
            look(1);
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
            && self.no_noun_for_another_word(&units)
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
            look(if joined { 1 } else { to - from });
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
}
