//! House rules beyond the shape of the files, as warnings.

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use crate::knowledge::fields::Notes;
use crate::knowledge::problem::ProblemCode;

/// Words that promise what no one can know from afar, and what may stand in their place.
///
/// judgement: a grower with a mould in the room acts on such a word, and it can be wrong.
const PROMISES: [&str; 6] = [
    "safe",
    "safely",
    "harmless",
    "cured",
    "no need to see a doctor",
    "no need to see a clinician",
];

/// Words in front of a promise that turn it round.
const DENIALS: [&str; 5] = ["not", "never", "nor", "isn't", "hardly"];

/// Keys whose texts are not the project's own words: titles of sources, what growers say, names.
const NOT_OUR_WORDS: [&str; 6] = ["cite", "at", "words", "id", "word", "also"];

/// Warns of every text that promises safety or a cure.
pub fn promises(table: &DeTable<'_>, notes: &mut Notes<'_>) {
    let mut waiting: Vec<&Spanned<DeValue<'_>>> = own_words(table).collect();
    while let Some(value) = waiting.pop() {
        match value.get_ref() {
            DeValue::String(text) => {
                if let Some(promise) = promise_in(text) {
                    notes.add(
                        ProblemCode::Promise,
                        value.span(),
                        format!("this text says `{promise}`"),
                        "promises what nobody can know from here",
                        Some(
                            "say what was seen, or what to do, and leave the promise out"
                                .to_owned(),
                        ),
                    );
                }
            }
            DeValue::Array(items) => waiting.extend(items.iter()),
            DeValue::Table(inner) => waiting.extend(own_words(inner)),
            _ => {}
        }
    }
}

fn own_words<'a, 'i>(table: &'a DeTable<'i>) -> impl Iterator<Item = &'a Spanned<DeValue<'i>>> {
    table
        .iter()
        .filter(|(key, _)| !NOT_OUR_WORDS.contains(&key.get_ref().as_ref()))
        .map(|(_, value)| value)
}

/// Whether a text has the longest word of some promise in it, also within another word: few have, and only those are
/// taken apart. No letter beyond ASCII becomes one of these words when made small.
fn may_promise(text: &str) -> bool {
    const LONGEST: [&[u8]; 5] = [b"safe", b"harmless", b"cured", b"doctor", b"clinician"];
    let text = text.as_bytes();
    text.iter().enumerate().any(|(at, letter)| {
        matches!(letter | 0x20, b's' | b'h' | b'c' | b'd')
            && LONGEST.iter().any(|word| {
                let found = text.get(at..at + word.len());
                found.is_some_and(|found| found.eq_ignore_ascii_case(word))
            })
    })
}

/// The first promise a text makes.
fn promise_in(text: &str) -> Option<&'static str> {
    if !may_promise(text) {
        return None;
    }
    let text = text.to_lowercase();
    let words: Vec<&str> = text
        .split(|letter: char| !letter.is_alphanumeric() && letter != '\'' && letter != '-')
        .filter(|word| !word.is_empty())
        .collect();
    PROMISES.into_iter().find(|promise| {
        let promise: Vec<&str> = promise.split(' ').collect();
        words
            .windows(promise.len())
            .enumerate()
            .any(|(at, window)| {
                window == promise.as_slice()
                    && !words[..at]
                        .last()
                        .is_some_and(|before| DENIALS.contains(before))
            })
    })
}

#[cfg(test)]
mod tests {
    use super::{PROMISES, may_promise, promise_in};

    #[test]
    fn every_promise_is_among_those_looked_for() {
        for promise in PROMISES {
            assert!(may_promise(&promise.to_uppercase()), "{promise}");
        }
    }

    #[test]
    fn promises_are_found_as_whole_words_and_not_where_denied() {
        for (text, found) in [
            ("This is safe to eat.", Some("safe")),
            ("Wholly HARMLESS", Some("harmless")),
            (
                "There is no need to see a doctor",
                Some("no need to see a doctor"),
            ),
            ("This is not safe to breathe.", None),
            ("It is never harmless", None),
            ("An unsafe plug, a food-safe tray, for safety", None),
            ("Wear a mask", None),
        ] {
            assert_eq!(promise_in(text), found, "{text}");
        }
    }
}
