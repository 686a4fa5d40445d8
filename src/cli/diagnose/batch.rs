//! Many cases: one JSON object a line in, one diagnosis a line out.
//!
//! A line has the keys of a case file. A faulty line is answered with its problems; the others are answered all the
//! same.

use std::fmt;
use std::fs::File;
use std::io::{self, BufRead, BufReader, BufWriter, Read, Write};
use std::path::Path;

use serde::Serialize;
use serde::de::{Deserialize, Deserializer, Error, MapAccess, SeqAccess, Visitor};

use crate::cli::cases::learned::reasoner;
use crate::cli::chamber::add_chamber;
use crate::cli::diagnose::in_detail;
use crate::cli::exit::{Exit, Failure, Outcome};
use crate::cli::input::{self, MOST_BYTES};
use crate::cli::session::Session;
use crate::engine::chamber::profile::Chamber;
use crate::engine::knowledge::KnowledgeBase;
use crate::engine::observations::Observations;
use crate::journal::{case, chamber};
use crate::knowledge::problem::Problem;
use crate::report::json::{self, PROBLEM_SCHEMA, ProblemReport, Refusal};
use crate::report::sanitise;
use crate::report::text::Told;

/// Answers every line.
///
/// # Errors
/// Where the lines cannot be read or the answers cannot be written.
pub fn run(path: Option<&Path>, base: &KnowledgeBase, session: &Session) -> Outcome {
    let input: Box<dyn Read> = match path.filter(|path| path.as_os_str() != "-") {
        Some(path) => Box::new(open(path)?),
        None => Box::new(io::stdin()),
    };
    let mut lines = BufReader::new(input);
    let mut out = BufWriter::new(io::stdout().lock());
    let reasoner = reasoner(base, session)?;
    let mut exit = Exit::Done;
    let mut number = 0;
    while let Some(line) = next_line(&mut lines)? {
        number += 1;
        let case = match line {
            Ok(text) if text.trim().is_empty() => continue,
            Ok(text) => read_case(base, &text, number, path),
            Err(fault) => Err(vec![problem(fault)]),
        };
        match case {
            Ok(observations) => {
                let diagnosis = reasoner.diagnose(&observations);
                let told = Told {
                    base,
                    observations: &observations,
                    diagnosis: &diagnosis,
                };
                let report = if session.look.detail {
                    in_detail(&told, &reasoner)
                } else {
                    json::diagnosis(&told)
                };
                write(&mut out, &report)?;
            }
            Err(problems) => {
                exit = Exit::Unable;
                write(
                    &mut out,
                    &Refusal {
                        schema: PROBLEM_SCHEMA,
                        line: number,
                        problems,
                    },
                )?;
            }
        }
    }
    Ok(exit)
}

fn open(path: &Path) -> Result<File, Failure> {
    let shown = path.display();
    if path.is_dir() {
        return Err(Failure::unable(format!(
            "`{shown}` is a folder; a file is wanted here"
        )));
    }
    File::open(path).map_err(|error| {
        if error.kind() == io::ErrorKind::NotFound {
            Failure::unable(format!("there is no file or folder `{shown}`"))
        } else {
            Failure::unable(format!("`{shown}` cannot be read: {error}"))
        }
    })
}

/// The next line, or why it cannot be a case; `None` at the end.
fn next_line(lines: &mut impl BufRead) -> Result<Option<Result<String, String>>, Failure> {
    let cannot_read =
        |error: io::Error| Failure::unable(format!("the cases cannot be read: {error}"));
    let mut bytes = Vec::new();
    let read = lines
        .by_ref()
        .take(MOST_BYTES)
        .read_until(b'\n', &mut bytes)
        .map_err(cannot_read)?;
    if read == 0 {
        return Ok(None);
    }
    if !bytes.ends_with(b"\n") && read as u64 == MOST_BYTES {
        // The rest of the line is passed over in pieces, so that it need not fit into memory.
        loop {
            let mut rest = Vec::new();
            let read = lines
                .by_ref()
                .take(MOST_BYTES)
                .read_until(b'\n', &mut rest)
                .map_err(cannot_read)?;
            if read == 0 || rest.ends_with(b"\n") {
                break;
            }
        }
        let most = MOST_BYTES / (1024 * 1024);
        return Ok(Some(Err(format!("the line is longer than {most} MiB"))));
    }
    Ok(Some(String::from_utf8(bytes).map_err(|error| {
        format!(
            "the line is not UTF-8 text: the byte at {} does not belong there",
            error.utf8_error().valid_up_to()
        )
    })))
}

/// Reads a line by way of the case file's own reader, so that there is one set of rules for both.
fn read_case(
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

fn problem(text: String) -> ProblemReport {
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

fn write(out: &mut impl Write, value: &impl Serialize) -> Result<(), Failure> {
    let mut line = serde_json::to_string(value)
        .map_err(|error| Failure::unable(format!("the result is not JSON: {error}")))?;
    line.push('\n');
    out.write_all(sanitise::json(&line).as_bytes())
        .and_then(|()| out.flush())
        .map_err(|error| Failure::writing(&error))
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
