//! The words for numbers and the engine's numbers, which every other entry is read with.

use std::collections::HashMap;
use std::ops::Range;

use toml::de::DeTable;

use crate::engine::knowledge::{LogNumbers, Numbers, Scale};
use crate::knowledge::build::file::list;
use crate::knowledge::build::{Gathered, SourceFile};
use crate::knowledge::entries::sort_confidence;
use crate::knowledge::fields::Notes;
use crate::knowledge::problem::{Problem, ProblemCode, nearest};
use crate::knowledge::shape::{CHANCE, Shape};

/// How the keys of the scale begin.
const WORDS: [&str; 6] = [
    "frequency",
    "base-rate",
    "effort",
    "confidence",
    "number",
    "log-number",
];

/// Which numbers a scale gives, for telling what it lacks.
#[derive(Debug, Default)]
pub struct Given {
    /// The list and the name of each.
    numbers: Vec<(&'static str, String)>,
    /// The file and place of the last.
    last: Option<(String, Range<usize>)>,
}

/// Whether a file may tell of the scale, judged by how its lines begin. Nothing is missed: a key at the top of a file
/// begins a line, bare, quoted or in brackets. A key spelt with escapes counts as one that may.
pub fn may_tell(text: &str) -> bool {
    text.lines().any(|line| {
        let line = line.trim_start_matches(['\u{feff}', ' ', '\t', '[', '\'']);
        match line.strip_prefix('"') {
            Some(quoted) => quoted.contains('\\') || WORDS.iter().any(|w| quoted.starts_with(w)),
            None => WORDS.iter().any(|word| line.starts_with(word)),
        }
    })
}

/// Reads the words for numbers and the engine's numbers.
pub fn read_scale<'p, 't: 'p>(
    parsed: impl Iterator<Item = (&'p SourceFile, &'p DeTable<'t>)>,
    gathered: &mut Gathered,
) -> (Scale, Given) {
    let mut scale = Scale::default();
    let empty = Scale::default();
    let mut log = LogNumbers::default();
    let mut given = Given::default();
    let mut stands: HashMap<(&str, String), (usize, String, Range<usize>)> = HashMap::new();
    for (file, table) in parsed {
        let mut references = Vec::new();
        let mut shape = Shape {
            scale: &empty,
            notes: Notes::new(&file.name),
            references: &mut references,
            comparisons: &mut gathered.comparisons,
        };
        for (key, value_key, range) in [
            ("frequency", "value", CHANCE),
            ("base-rate", "value", CHANCE),
            ("effort", "cost", 0.1..=1000.0),
            ("confidence", "from", 0.0..=1.0),
        ] {
            for (entry, span) in list(table, key, &mut shape.notes) {
                let Some((word, level)) = shape.scale_word(entry, span, value_key, range.clone())
                else {
                    continue;
                };
                let (word, at) = word;
                if !stands_once(&mut stands, file, (key, &word), at, &mut shape.notes) {
                    continue;
                }
                match key {
                    "frequency" => _ = scale.frequency.insert(word, level),
                    "base-rate" => _ = scale.base_rate.insert(word, level),
                    "effort" => _ = scale.effort.insert(word, level),
                    _ => {
                        scale.confidence.retain(|(known, _)| *known != word);
                        scale.confidence.push((word, level));
                    }
                }
            }
        }
        for (key, ranges) in [
            ("number", Numbers::RANGES),
            ("log-number", LogNumbers::RANGES),
        ] {
            for (entry, span) in list(table, key, &mut shape.notes) {
                let Some((id, value)) = shape.scale_number(entry, span) else {
                    continue;
                };
                let known = ranges.iter().find(|(name, ..)| *name == id.0);
                let Some(&(name, least, most)) = known else {
                    let near = nearest(&id.0, ranges.iter().map(|(name, ..)| *name));
                    let help = near.map(|near| format!("did you mean `{near}`?"));
                    let message = format!("the engine has no number `{}`", id.0);
                    shape.notes.add(
                        ProblemCode::UnknownWord,
                        id.1,
                        message,
                        "not a number of the engine",
                        help,
                    );
                    continue;
                };
                if !stands_once(
                    &mut stands,
                    file,
                    (key, name),
                    id.1.clone(),
                    &mut shape.notes,
                ) {
                    continue;
                }
                // A number that is at fault is there all the same: it is not lacking.
                given.numbers.push((key, id.0));
                given.last = Some((file.name.clone(), id.1));
                let value =
                    value.and_then(|(value, at)| shape.within(name, value, least..=most, at));
                let slot = match key {
                    "number" => scale.numbers.slot(name),
                    _ => log.slot(name),
                };
                if let (Some(value), Some(slot)) = (value, slot) {
                    *slot = value;
                }
            }
        }
        gathered.problems.append(&mut shape.notes.problems);
        gathered.references.push((file.name.clone(), references));
    }
    sort_confidence(&mut scale);
    // A base may do without logs; one that speaks of them at all needs every number.
    if given.numbers.iter().any(|(key, _)| *key == "log-number") {
        gathered.base.log = Some(log);
    }
    (scale, given)
}

/// Whether a word or number of the scale stands only once in its layer; a note where it is a repeat.
fn stands_once<'k>(
    stands: &mut HashMap<(&'k str, String), (usize, String, Range<usize>)>,
    file: &SourceFile,
    (kind, word): (&'k str, &str),
    at: Range<usize>,
    notes: &mut Notes<'_>,
) -> bool {
    let place = (file.layer, file.name.clone(), at.clone());
    match stands.insert((kind, word.to_owned()), place) {
        Some((layer, earlier, first)) if layer == file.layer => {
            notes.problems.push(Problem {
                code: ProblemCode::RepeatedEntry,
                file: file.name.clone(),
                span: Some(at),
                message: format!("`{word}` stands twice under `{kind}`"),
                label: "here again".to_owned(),
                help: Some("keep one of the two".to_owned()),
                other: Some((earlier, first, "first here".to_owned())),
            });
            false
        }
        _ => true,
    }
}

/// Notes what a scale lacks.
pub fn missing_scale(scale: &Scale, given: Given, gathered: &mut Gathered) {
    let mut lacking: Vec<String> = Vec::new();
    let logs = if gathered.base.log.is_some() {
        LogNumbers::RANGES
    } else {
        &[]
    };
    for (list, ranges) in [("number", Numbers::RANGES), ("log-number", logs)] {
        let is_given = |name: &str| {
            given
                .numbers
                .iter()
                .any(|(key, id)| *key == list && id == name)
        };
        let absent = ranges.iter().filter(|(name, ..)| !is_given(name));
        lacking.extend(absent.map(|(name, ..)| format!("the {} `{name}`", list.replace('-', " "))));
    }
    for (empty, what) in [
        (scale.frequency.is_empty(), "words for `frequency`"),
        (scale.base_rate.is_empty(), "words for `base-rate`"),
        (scale.effort.is_empty(), "words for `effort`"),
        (
            scale
                .confidence
                .last()
                .is_none_or(|(_, level)| level.value > 0.0),
            "a word for `confidence` from 0 up",
        ),
    ] {
        if empty {
            lacking.push(what.to_owned());
        }
    }
    if lacking.is_empty() {
        return;
    }
    let (file, span) = given
        .last
        .map_or(("scale.toml".to_owned(), None), |(file, span)| {
            (file, Some(span))
        });
    gathered.problems.push(Problem {
        code: ProblemCode::MissingScale,
        file,
        span,
        message: format!("the scale lacks {}", lacking.join(", ")),
        label: "after this entry".to_owned(),
        help: Some("copy what is lacking from the built-in scale, and adjust it".to_owned()),
        other: None,
    });
}

#[cfg(test)]
mod tests {
    use super::may_tell;

    #[test]
    fn a_file_that_tells_of_the_scale_is_never_passed_over() {
        for text in [
            "[[frequency]]",
            "\u{feff}[[effort]]",
            "x = 1\n \t[ [ 'base-rate' ] ]",
            "[[\"confidence\"]]",
            "number = [{ id = \"a\" }]",
            "\"fr\\u0065quency\" = []",
            "[[ \"log-\\u006eumber\" ]]\r\n",
        ] {
            assert!(may_tell(text), "{text}");
        }
        for text in ["", "[[rule]]\nid = \"r\"\nwhen = { fact = \"number\" }"] {
            assert!(!may_tell(text), "{text}");
        }
    }
}
