//! From the text of a kept case to the case, older versions included.

use std::collections::BTreeSet;

use toml::{Table, Value};

use crate::journal::case::SCHEMA;
use crate::journal::kept::{KeptCase, VERSION};

/// Why a text is no kept case.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Fault {
    /// It is broken: cut off, changed by hand, or something else altogether.
    #[error("{0}")]
    Damaged(String),
    /// It is sound, and of a version that this program does not know yet.
    #[error("it was written by a newer version of the program")]
    Newer,
}

/// Reads the text of a file.
///
/// # Errors
/// What is wrong with it.
pub fn parse(text: &str) -> Result<KeptCase, Fault> {
    let table: Table = text
        .parse()
        .map_err(|error: toml::de::Error| Fault::Damaged(error.message().to_owned()))?;
    from_table(table)
}

/// Reads a case from its table, from a file or from a line of an export.
///
/// # Errors
/// What is wrong with it.
pub fn from_table(mut table: Table) -> Result<KeptCase, Fault> {
    let damaged = |text: &str| Fault::Damaged(text.to_owned());
    if table.get("schema").and_then(Value::as_str) != Some(SCHEMA) {
        return Err(damaged("it does not begin as a case file does"));
    }
    let kept = table
        .get("kept")
        .and_then(Value::as_table)
        .ok_or_else(|| damaged("it lacks the table `kept`"))?;
    // The first version had no number.
    let version = match kept.get("version") {
        None => 0,
        Some(version) => version
            .as_integer()
            .filter(|version| *version >= 0)
            .ok_or_else(|| damaged("`version` is no whole number"))?,
    };
    if version > VERSION {
        return Err(Fault::Newer);
    }
    for migration in MIGRATIONS.iter().skip(version.unsigned_abs() as usize) {
        migration(&mut table).map_err(damaged)?;
    }
    let case: KeptCase = Value::Table(table)
        .try_into()
        .map_err(|error: toml::de::Error| Fault::Damaged(error.message().to_owned()))?;
    sensible(&case).map_err(damaged)?;
    Ok(case)
}

/// A step from one version to the next, or what the older file lacks.
type Migration = fn(&mut Table) -> Result<(), &'static str>;

/// The steps from each version to the next: the first leads from version 0 to 1.
const MIGRATIONS: [Migration; VERSION as usize] = [from_0_to_1, from_1_to_2];

/// Version 0 had no number and no id in it, knew the day alone, and kept what was done as bare ids.
fn from_0_to_1(table: &mut Table) -> Result<(), &'static str> {
    let kept = table
        .get_mut("kept")
        .and_then(Value::as_table_mut)
        .ok_or("it lacks the table `kept`")?;
    let day = match kept.remove("day") {
        Some(Value::String(day)) => day,
        _ => return Err("it lacks its `day`"),
    };
    if let Some(Value::Array(done)) = kept.get_mut("done") {
        for item in done.iter_mut() {
            let Value::String(action) = item else {
                return Err("`done` holds something else than actions");
            };
            let done = [
                ("action".to_owned(), Value::String(action.clone())),
                ("on".to_owned(), Value::String(day.clone())),
            ];
            *item = Value::Table(Table::from_iter(done));
        }
    }
    kept.insert("version".to_owned(), Value::Integer(1));
    kept.entry("id").or_insert(Value::String(String::new()));
    // Noon in universal time is the same day nearly everywhere.
    kept.insert(
        "at".to_owned(),
        Value::String(format!("{day}T12:00:00+00:00")),
    );
    Ok(())
}

/// Version 2 adds keys that may be left out: the log of a case, and what had not been done at a follow-up.
fn from_1_to_2(table: &mut Table) -> Result<(), &'static str> {
    let kept = table
        .get_mut("kept")
        .and_then(Value::as_table_mut)
        .ok_or("it lacks the table `kept`")?;
    kept.insert("version".to_owned(), Value::Integer(2));
    Ok(())
}

/// What the types alone do not say.
fn sensible(case: &KeptCase) -> Result<(), &'static str> {
    let diagnoses = case.kept.follow_ups.iter().map(|one| &one.diagnosis);
    for diagnosis in diagnoses.chain([&case.kept.diagnosis]) {
        let shares = diagnosis.causes.iter().map(|cause| cause.confidence);
        for share in shares {
            if !(0.0..=1.0).contains(&share) {
                return Err("a confidence lies outside 0 to 1");
            }
        }
    }
    if case.kept.profile.as_deref().is_some_and(is_path) {
        return Err("`profile` is more than the name of a file");
    }
    for follow_up in &case.kept.follow_ups {
        let different: BTreeSet<&String> = follow_up.found.iter().collect();
        if different.len() < follow_up.found.len() {
            return Err("a cause was found twice in one follow-up");
        }
    }
    Ok(())
}

/// Whether a name leads to another folder.
fn is_path(name: &str) -> bool {
    name.contains(['/', '\\', ':', '\0']) || matches!(name, "" | "." | "..")
}
