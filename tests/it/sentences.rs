//! The list of sentences: what a careful human reader takes from each, and what the reader of free text does.
//!
//! A sentence that is not read as expected says so itself, with what is missing and what is taken wrongly; so each that
//! gets better or worse is noticed.

use std::collections::BTreeSet;

use blockside::describe::Description;
use blockside::engine::quantity::parse_reading;
use toml::{Table, Value};

use crate::describe::{BASE, entries, facts, read, table, texts};

/// Sentences by which the reader was made, and others that were written after it was finished.
const LISTS: [&str; 2] = [
    "fixtures/describe/sentences.toml",
    "fixtures/describe/unseen.toml",
];

/// What a sentence of the list expects, and how the reader is known to fall short of it.
struct Expected {
    text: String,
    wanted: BTreeSet<String>,
    unsure: Vec<String>,
    never: Vec<String>,
    not_understood: Vec<String>,
    misses: BTreeSet<String>,
    takes: BTreeSet<String>,
    why: Option<String>,
}

/// What is read of a sentence, as far as it was expected to be told one way or the other.
struct Outcome {
    all: BTreeSet<String>,
    /// What counts: without what may be unsure or left out, and without the other signs of a question that is denied as
    /// a whole: "no mould" denies every colour, and the sentences name one or none.
    found: BTreeSet<String>,
    description: Description,
}

impl Expected {
    fn of(entry: &Table) -> Self {
        let mut wanted = BTreeSet::new();
        for (key, answer) in [
            ("yes", "yes"),
            ("no", "no"),
            ("setup", "true"),
            ("not-setup", "false"),
            ("people", "true"),
            ("not-people", "false"),
        ] {
            wanted.extend(texts(entry, key).iter().map(|id| format!("{id}={answer}")));
        }
        for key in ["species", "stage"] {
            let id = entry.get(key).and_then(Value::as_str);
            wanted.extend(id.map(|id| format!("{key}={id}")));
        }
        let readings = entry.get("readings").and_then(Value::as_table);
        for (id, value) in readings.into_iter().flatten() {
            let unit = BASE.readings[id.as_str()].unit;
            let written = value
                .as_str()
                .map_or_else(|| value.to_string(), str::to_owned);
            let measured = parse_reading(&written, unit).expect("a reading");
            wanted.insert(format!("{id}={:.1}", measured.value));
        }
        let why = entry.get("why").and_then(Value::as_str);
        Self {
            text: entry["text"].as_str().expect("text").to_owned(),
            wanted,
            unsure: texts(entry, "unsure"),
            never: texts(entry, "never"),
            not_understood: texts(entry, "not-understood"),
            misses: texts(entry, "misses").into_iter().collect(),
            takes: texts(entry, "takes").into_iter().collect(),
            why: why.map(str::to_owned),
        }
    }

    fn outcome(&self) -> Outcome {
        let description = read(&self.text);
        let all = facts(&description.observations());
        let mut found = all.clone();
        found.retain(|fact| {
            let id = fact.split('=').next().unwrap_or_default();
            !self.unsure.iter().any(|open| open == id)
        });
        let as_a_whole: BTreeSet<String> = BASE
            .questions
            .values()
            .filter(|question| {
                let denied = |sign| found.contains(&format!("{sign}=no"));
                question.signs.iter().all(denied)
            })
            .flat_map(|question| question.signs.iter().map(|sign| format!("{sign}=no")))
            .collect();
        found.retain(|fact| self.wanted.contains(fact) || !as_a_whole.contains(fact));
        Outcome {
            all,
            found,
            description,
        }
    }

    /// Facts that say the contrary of what is expected, or fall into a trap.
    fn harm(&self, found: &BTreeSet<String>) -> Vec<String> {
        let mut wrong = Vec::new();
        for fact in &self.wanted {
            if contrary(fact).is_some_and(|contrary| found.contains(&contrary)) {
                wrong.push(format!("{}: {fact} is turned round", self.text));
            }
        }
        for id in &self.unsure {
            if ["yes", "no"]
                .iter()
                .any(|answer| found.contains(&format!("{id}={answer}")))
            {
                wrong.push(format!("{}: {id} is no longer open", self.text));
            }
        }
        for id in &self.never {
            let told = found.iter().find(|fact| {
                let (about, answer) = fact.split_once('=').expect("a fact");
                about == id && !["no", "false", "unsure"].contains(&answer) || answer == id
            });
            if let Some(told) = told {
                wrong.push(format!("{}: {told}", self.text));
            }
        }
        wrong
    }
}

fn expected(path: &str) -> Vec<Expected> {
    let list = entries(&table(path), "sentence");
    list.iter().map(Expected::of).collect()
}

/// The statement that says the contrary.
fn contrary(fact: &str) -> Option<String> {
    let (id, answer) = fact.split_once('=')?;
    let other = match answer {
        "yes" => "no",
        "no" => "yes",
        "true" => "false",
        "false" => "true",
        _ => return None,
    };
    Some(format!("{id}={other}"))
}

#[test]
fn no_sentence_is_turned_round_and_no_trap_is_fallen_into() {
    let mut wrong = Vec::new();
    for one in LISTS.iter().flat_map(|list| expected(list)) {
        let outcome = one.outcome();
        wrong.extend(one.harm(&outcome.all));
        for words in &one.not_understood {
            let small = words.to_lowercase();
            let mut pieces = outcome.description.not_understood.iter();
            if !pieces.any(|piece| piece.words.to_lowercase().contains(&small)) {
                wrong.push(format!("{}: `{words}` is not reported", one.text));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn each_sentence_is_read_as_expected_or_says_by_itself_how_not() {
    let mut wrong = Vec::new();
    for one in LISTS.iter().flat_map(|list| expected(list)) {
        let found = one.outcome().found;
        let misses: BTreeSet<String> = one.wanted.difference(&found).cloned().collect();
        let takes: BTreeSet<String> = found.difference(&one.wanted).cloned().collect();
        if misses != one.misses {
            wrong.push(format!(
                "{}\n  misses {misses:?}, marked {:?}",
                one.text, one.misses
            ));
        }
        if takes != one.takes {
            wrong.push(format!(
                "{}\n  takes {takes:?}, marked {:?}",
                one.text, one.takes
            ));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn a_mark_has_a_reason_and_excuses_nothing_harmful() {
    let mut marked = 0;
    for one in LISTS.iter().flat_map(|list| expected(list)) {
        let falls_short = !one.misses.is_empty() || !one.takes.is_empty();
        marked += usize::from(falls_short);
        let reason = one.why.as_ref().is_some_and(|why| why.len() >= 10);
        assert_eq!(reason, falls_short, "{}", one.text);
        assert!(one.misses.is_subset(&one.wanted), "{}", one.text);
        assert!(one.takes.is_disjoint(&one.wanted), "{}", one.text);
        let harm = one.harm(&one.takes);
        assert!(harm.is_empty(), "{}", harm.join("\n"));
    }
    assert!(marked > 0, "a list without a gap is no measure any more");
}

#[test]
fn of_the_facts_in_the_sentences_nearly_nine_in_ten_are_read_and_hardly_any_is_wrong() {
    let list = expected(LISTS[0]);
    assert!(list.len() >= 440, "{}", list.len());
    let (mut wanted, mut right, mut read_in_all, mut whole) = (0, 0, 0, 0);
    for one in &list {
        let found = one.outcome().found;
        wanted += one.wanted.len();
        right += one.wanted.intersection(&found).count();
        read_in_all += found.len();
        whole += usize::from(found == one.wanted);
    }
    assert!(
        whole >= 360,
        "{whole} of {} sentences are read wholly right",
        list.len()
    );
    assert!(
        right * 100 >= wanted * 91,
        "{right} of {wanted} facts are read"
    );
    assert!(
        right * 100 >= read_in_all * 92,
        "of {read_in_all} facts read {right} were meant"
    );
}
