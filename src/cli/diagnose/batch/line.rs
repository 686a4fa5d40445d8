//! One line of a batch: a JSON object with the keys of a case file.

use std::fmt;
use std::path::Path;

use serde::de::{Deserialize, Deserializer, Error, MapAccess, SeqAccess, Visitor};

use crate::cli::chamber::add_chamber;
use crate::cli::input;
use crate::engine::chamber::profile::Chamber;
use crate::engine::knowledge::KnowledgeBase;
use crate::engine::observations::Observations;
use crate::journal::{case, chamber};
use crate::knowledge::problem::Problem;
use crate::report::json::ProblemReport;

/// Reads a line by way of the case file's own reader, so that there is one set of rules for both.
pub(super) fn read_case(
    base: &KnowledgeBase,
    line: &str,
    number: usize,
    batch: Option<&Path>,
) -> Result<Observations, Vec<ProblemReport>> {
    let Strict(value) =
        serde_json::from_str(line).map_err(|error| vec![problem(plain_words(&error))])?;
    let toml::Value::Table(mut table) = value else {
        return Err(vec![problem(
            "the line is not a JSON object with the keys of a case file".to_owned(),
        )]);
    };
    // A line of a batch can be nothing but a case; it need not say so.
    table
        .entry("schema")
        .or_insert_with(|| toml::Value::String(case::SCHEMA.to_owned()));
    let text = toml::to_string(&table).map_err(|error| vec![problem(error.to_string())])?;
    let case = case::parse(base, &format!("line {number}"), &text).map_err(reported)?;
    let mut told = case.observations;
    if let Some(name) = case.profile {
        let path = input::beside(batch.unwrap_or(Path::new("")), &name);
        add_chamber(&mut told, read_chamber(base, &path)?, base);
    }
    Ok(told)
}

/// Reads the profile that a line names. Nothing of the file is repeated: a line may come from anybody.
fn read_chamber(base: &KnowledgeBase, path: &Path) -> Result<Chamber, Vec<ProblemReport>> {
    let read = input::read_as(path, "a profile", chamber::SCHEMA)
        .map_err(|failure| vec![problem(failure.message)])?;
    chamber::parse(base, &read.name, &read.text).map_err(reported)
}

fn reported(problems: Vec<Problem>) -> Vec<ProblemReport> {
    problems
        .into_iter()
        .map(|found| ProblemReport {
            code: Some(found.code.name().to_owned()),
            text: found.message,
            help: found.help,
        })
        .collect()
}

pub(super) fn problem(text: String) -> ProblemReport {
    ProblemReport {
        code: None,
        text,
        help: None,
    }
}

/// What the reader of JSON says, with the column alone: the line is always its first.
fn plain_words(error: &serde_json::Error) -> String {
    let text = error.to_string();
    let said = text.split(" at line ").next().unwrap_or(&text);
    format!(
        "the line is not a case as JSON: {said} (column {})",
        error.column()
    )
}

/// A JSON value in which no key stands twice.
struct Strict(toml::Value);

impl<'de> Deserialize<'de> for Strict {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(StrictVisitor).map(Self)
    }
}

struct StrictVisitor;

impl<'de> Visitor<'de> for StrictVisitor {
    type Value = toml::Value;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a text, a number, true, false, a list or an object")
    }

    fn visit_bool<E: Error>(self, value: bool) -> Result<Self::Value, E> {
        Ok(toml::Value::Boolean(value))
    }

    fn visit_i64<E: Error>(self, value: i64) -> Result<Self::Value, E> {
        Ok(toml::Value::Integer(value))
    }

    fn visit_u64<E: Error>(self, value: u64) -> Result<Self::Value, E> {
        i64::try_from(value)
            .map(toml::Value::Integer)
            .map_err(|_| E::custom("the number is too large"))
    }

    fn visit_f64<E: Error>(self, value: f64) -> Result<Self::Value, E> {
        Ok(toml::Value::Float(value))
    }

    fn visit_str<E: Error>(self, value: &str) -> Result<Self::Value, E> {
        Ok(toml::Value::String(value.to_owned()))
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut items: A) -> Result<Self::Value, A::Error> {
        let mut list = Vec::new();
        while let Some(Strict(item)) = items.next_element()? {
            list.push(item);
        }
        Ok(toml::Value::Array(list))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut entries: A) -> Result<Self::Value, A::Error> {
        let mut table = toml::Table::new();
        while let Some((key, Strict(value))) = entries.next_entry::<String, Strict>()? {
            if table.contains_key(&key) {
                return Err(A::Error::custom(format!("the key `{key}` stands twice")));
            }
            table.insert(key, value);
        }
        Ok(toml::Value::Table(table))
    }
}
