//! A phrase of the knowledge: the words it needs, and how they must stand.

use crate::describe::token::Gap;
use crate::describe::unit::Unit;
use crate::describe::vocabulary::Concept;
use crate::engine::knowledge::WordClass;

/// How a word is denied.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(super) enum Denied {
    /// It is not.
    Plain,
    /// As by "no": there is none of it.
    No,
    /// As by "is not": it does not do so.
    Not,
    /// As by "never".
    Never,
}

impl Denied {
    /// How a word denies.
    pub fn by(unit: &Unit) -> Self {
        if unit.is(WordClass::Never) {
            Self::Never
        } else if unit.is(WordClass::Copula) {
            Self::Not
        } else {
            Self::No
        }
    }
}

/// A word that a phrase needs.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(super) struct PhraseWord {
    pub concept: Concept,
    /// What a unit must be to be met by it where the phrase is this word alone: its stem, or for names its very form.
    pub alone: Concept,
    pub stem: Concept,
    /// Bytes of the word.
    pub length: usize,
    pub denied: Denied,
    /// Whether it must stand right behind the word before it.
    pub joined: bool,
    /// The kind of thing that may stand for it.
    pub kin: Option<usize>,
    /// Whether it is one that a text may also leave out of account.
    pub light: bool,
}

/// A phrase of the knowledge.
#[derive(Debug, Clone)]
pub(super) struct Phrase {
    /// The entry, by its number.
    pub entry: usize,
    /// As written.
    pub text: String,
    pub words: Vec<PhraseWord>,
    /// Whether its words keep their order.
    pub ordered: bool,
    /// Whether every word of it says little by itself; then nothing may stand between them.
    pub light: bool,
    /// The place of a word that stands for any place in a row ("third flush").
    pub ordinal: Option<usize>,
    /// Whether it counts where it is denied only: "no green anywhere" denies green spots, "green" alone says nothing.
    pub denied_only: bool,
}

/// Letters of a word of which only the very form is taken where it stands for a whole phrase.
const LONGEST_SHORT_WORD: usize = 5;

/// The phrase that these words make; none where nothing would be left to look for.
pub(super) fn phrase(
    entry: usize,
    text: &str,
    units: &[Unit],
    (is_name, is_form, is_option): (bool, bool, bool),
) -> Option<Phrase> {
    let counts = |unit: &&Unit| !unit.is(WordClass::Filler) || unit.is(WordClass::Thing);
    // Of "a shock" or "I smoke" hardly anything would be left: there the small words count as well.
    let denial = |unit: &&Unit| unit.is(WordClass::Denial) || unit.is(WordClass::Never);
    let articles = units
        .iter()
        .any(|unit| unit.is(WordClass::Determiner) && unit.is(WordClass::Filler));
    let all = is_name
        || units.len() > 1 && units.iter().filter(counts).count() == 1
        || articles
            && units
                .iter()
                .filter(counts)
                .filter(|unit| !denial(unit))
                .count()
                == 1;
    let mut words: Vec<PhraseWord> = Vec::new();
    let mut denied = Denied::Plain;
    let mut ordinal = None;
    let mut ordered = false;
    let mut right_behind = false;
    for unit in units {
        if unit.is(WordClass::Denial) || unit.is(WordClass::Never) {
            denied = Denied::by(unit);
            right_behind = false;
            // "Nothing" is what is denied, too.
            if !unit.is(WordClass::Thing) {
                continue;
            }
        }
        if unit.is(WordClass::Break) || unit.is(WordClass::And) {
            denied = Denied::Plain;
        }
        // "At the tear": where a phrase begins with its preposition, that is the phrase.
        let leads = words.is_empty() && unit.is(WordClass::Preposition);
        let passed_over = !leads && unit.is(WordClass::Filler) && !unit.is(WordClass::Thing)
            || unit.is(WordClass::And);
        if passed_over && !all {
            right_behind = false;
            continue;
        }
        ordered |= unit.is(WordClass::Ordering) && !words.is_empty();
        if unit.word.number.is_some_and(|(_, ordinal)| ordinal) {
            ordinal = Some(words.len());
        }
        let joined = !words.is_empty() && (all || right_behind && unit.gap == Gap::Hyphen);
        words.push(PhraseWord {
            concept: unit.concept(),
            // Of short words other forms are soon other words: "flies" and "I fly".
            alone: if is_form || unit.span.len() <= LONGEST_SHORT_WORD {
                unit.word.form
            } else {
                unit.word.stem
            },
            stem: unit.word.stem,
            length: unit.span.len(),
            denied,
            joined,
            kin: unit.word.kin.filter(|_| is_option),
            light: !unit.has_content(),
        });
        right_behind = true;
    }
    // "White mushroom" is the name of a kind, but mostly just what it says.
    let describes = units.len() > 1
        && units
            .first()
            .is_some_and(|unit| unit.is(WordClass::Quality))
        && units[1..].iter().all(|unit| unit.is(WordClass::Thing));
    // "Pins do not": what is denied must be there.
    let denies = units
        .iter()
        .any(|unit| unit.is(WordClass::Denial) || unit.is(WordClass::Never));
    if denies && words.iter().all(|word| word.denied == Denied::Plain) {
        return None;
    }
    let light = words.iter().all(|word| word.light);
    if words.is_empty() || light && words.len() == 1 || is_name && describes {
        return None;
    }
    // Words that say little each must stand as they do in the phrase.
    ordered |= light;
    Some(Phrase {
        entry,
        text: text.to_owned(),
        words,
        ordered,
        light,
        ordinal,
        denied_only: false,
    })
}
