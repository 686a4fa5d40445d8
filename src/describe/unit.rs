//! The words of a text or phrase with their meanings; short phrases that count as one word are put together.

use std::ops::Range;

use crate::describe::token::{Gap, Token};
use crate::describe::vocabulary::{Concept, Fused, Word};
use crate::engine::knowledge::WordClass;

/// A word, a number, or a short phrase that counts as one word.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Unit {
    /// Its place, in bytes.
    pub span: Range<usize>,
    /// What stands between it and the one before.
    pub gap: Gap,
    /// What is known of it.
    pub word: Word,
    /// Whether it is written in digits.
    pub digits: bool,
    /// Whether the sentence before it ended with a question mark.
    pub after_question: bool,
    /// Whether the knowledge has it, though what it means here may have been forgotten.
    pub known: bool,
    /// Whether it ends as what something belongs to ("last flush's").
    pub possessive: bool,
}

impl Unit {
    pub fn concept(&self) -> Concept {
        self.word.concept
    }

    pub fn is(&self, class: WordClass) -> bool {
        self.word.classes.has(class)
    }

    /// Whether it says something of its own.
    pub fn has_content(&self) -> bool {
        let joins = self.word.classes.any(&[
            WordClass::Filler,
            WordClass::Light,
            WordClass::Copula,
            WordClass::Denial,
            WordClass::Never,
            WordClass::And,
            WordClass::Or,
            WordClass::Break,
        ]);
        !joins || self.is(WordClass::Thing)
    }
}

/// A token in small letters, curly apostrophes made straight.
pub(super) fn small(text: &str, span: &Range<usize>) -> String {
    let mut small = String::with_capacity(span.len());
    for c in text[span.clone()].chars() {
        if matches!(c, '\u{2019}' | '\u{2018}' | '\u{2bc}') {
            small.push('\'');
        } else {
            small.extend(c.to_lowercase());
        }
    }
    small
}

/// Puts tokens together to units. `look_up` says what is known of a word in small letters, `number` what a number and
/// whether it is a place in a row.
pub(super) fn units(
    text: &str,
    tokens: &[Token],
    fused: &Fused,
    mut look_up: impl FnMut(&str) -> Word,
    mut number: impl FnMut(f64, bool) -> Concept,
) -> Vec<Unit> {
    let mut found = Vec::with_capacity(tokens.len());
    let mut at = 0;
    while let Some(token) = tokens.get(at) {
        let written = small(text, &token.span);
        let mut length = 1;
        let mut word = if token.number {
            let value = written.replace(',', "").parse().unwrap_or(f64::NAN);
            let mut word = look_up("");
            let ordinal = tokens.get(at + 1).is_some_and(|next| {
                next.gap == Gap::Hyphen
                    && look_up(&small(text, &next.span))
                        .classes
                        .has(WordClass::OrdinalEnding)
            });
            length += usize::from(ordinal);
            word.number = Some((value, ordinal));
            word
        } else {
            let from = fused.get(&written).map_or(&[][..], Vec::as_slice);
            let whole = from.iter().find(|(rest, _)| {
                rest.iter().enumerate().all(|(behind, wanted)| {
                    tokens.get(at + 1 + behind).is_some_and(|next| {
                        next.gap <= Gap::Blank && {
                            let written = small(text, &next.span);
                            // "last year's" is the last year as well.
                            written == *wanted || written.strip_suffix("'s") == Some(wanted)
                        }
                    })
                })
            });
            if let Some((rest, whole)) = whole {
                length += rest.len();
                look_up(whole)
            } else {
                look_up(&written)
            }
        };
        if let Some((value, ordinal)) = word.number {
            word.concept = number(value, ordinal);
            word.stem = word.concept;
            word.form = word.concept;
        }
        let known = !word.is_unknown();
        found.push(Unit {
            known,
            span: token.span.start..tokens[at + length - 1].span.end,
            gap: token.gap,
            word,
            digits: token.number,
            after_question: token.after_question,
            possessive: {
                let last = &tokens[at + length - 1];
                !last.number && small(text, &last.span).ends_with("'s")
            },
        });
        at += length;
    }
    found
}

/// Forgets what all words mean.
pub(super) fn without_meaning(mut units: Vec<Unit>) -> Vec<Unit> {
    for unit in &mut units {
        unit.word = Word::unknown();
        unit.known = false;
    }
    units
}

/// Words from which a sentence is asked whether it is of this language at all.
const LEAST_WORDS: usize = 4;

/// Forgets what words mean in sentences most of whose words are unknown: they are of another language, or of none, and
/// what is known among them is known by chance.
pub(super) fn without_other_tongues(mut units: Vec<Unit>) -> Vec<Unit> {
    let mut start = 0;
    while start < units.len() {
        let length = units[start + 1..]
            .iter()
            .position(|unit| unit.gap == Gap::Hard);
        let end = length.map_or(units.len(), |length| start + 1 + length);
        let words = units[start..end].iter().filter(|unit| !unit.digits);
        let strange = words.clone().filter(|unit| unit.word.is_unknown()).count();
        let all = words.count();
        if all >= LEAST_WORDS && 2 * strange > all {
            for unit in units[start..end].iter_mut().filter(|unit| !unit.digits) {
                unit.word = Word::unknown();
            }
        }
        start = end;
    }
    units
}
