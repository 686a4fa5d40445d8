//! Cases out to JSON lines, and in from them.

use std::path::Path;

use crate::cli::args::Format;
use crate::cli::cases::{note, store, tell_faults};
use crate::cli::exit::{Exit, Failure, Outcome};
use crate::cli::input::MOST_BYTES;
use crate::cli::session::Session;
use crate::journal::kept::KeptCase;
use crate::journal::store::read::{Fault, from_table};
use crate::journal::store::{BroughtIn, is_id};
use crate::knowledge::read::read_text;
use crate::report::cases::brought_in;
use crate::report::json;
use crate::report::sanitise::{json as json_text, short};

/// The largest file that is brought in.
///
/// judgement: ten thousand cases with their follow-ups.
const MOST_FILE: u64 = 64 * MOST_BYTES;

/// Writes cases as JSON lines; all of them where none is named.
///
/// # Errors
/// Where there is no such case, or they cannot be read or written.
pub fn export(words: &[String], session: &Session) -> Outcome {
    let store = store()?;
    let cases = if words.is_empty() {
        let shelf = store.all()?;
        tell_faults(&shelf.faults, session);
        shelf.cases
    } else {
        let found: Result<Vec<KeptCase>, _> = words.iter().map(|word| store.find(word)).collect();
        found?
    };
    let mut lines = String::new();
    for case in cases {
        // A path of this machine means nothing on another, and may say who its owner is.
        let line = serde_json::to_string(&KeptCase { log: None, ..case })
            .map_err(|error| Failure::unable(format!("the case is not JSON: {error}")))?;
        lines.push_str(&json_text(&line));
        lines.push('\n');
    }
    session.write(&lines)?;
    Ok(Exit::Done)
}

/// Keeps the cases of a file of JSON lines. A file with a faulty line is refused whole, so that nobody is left with
/// half of it.
///
/// # Errors
/// Where it cannot be read or has faults, or the cases cannot be written.
pub fn import(path: &Path, session: &Session) -> Outcome {
    let text = if path.as_os_str() == "-" {
        crate::cli::input::read(path)?.text
    } else {
        read_text(path, MOST_FILE)?
    };
    let mut cases = Vec::new();
    let mut faults = Vec::new();
    for (number, line) in text.lines().enumerate() {
        if line.trim().is_empty() {
            continue;
        }
        match read_line(line) {
            Ok(case) => cases.push(case),
            Err(fault) => faults.push(format!("line {}: {fault}", number + 1)),
        }
    }
    if !faults.is_empty() {
        return Err(Failure::unable(format!(
            "{}\nnothing was kept",
            crate::cli::given::listed(&faults)
        )));
    }
    let outcomes = store()?.bring_in(cases)?;
    match session.format {
        Format::Text => session.write(&brought_in(&outcomes, session.look))?,
        Format::Json => session.write_json(&json::imported(&outcomes))?,
    }
    let renamed = |one: &BroughtIn| matches!(one, BroughtIn::Renamed(..));
    if outcomes.iter().any(renamed) && session.format == Format::Json {
        note(
            "Some ids were taken by other cases; see `renamed`.",
            session,
        );
    }
    Ok(Exit::Done)
}

/// A case from a line. Its id is only a name within the folder of cases, or the line is refused.
fn read_line(line: &str) -> Result<KeptCase, String> {
    if line.len() as u64 > MOST_BYTES {
        return Err(format!(
            "it is longer than {} MiB",
            MOST_BYTES / (1024 * 1024)
        ));
    }
    let table: toml::Table = serde_json::from_str(line).map_err(|error| {
        let text = error.to_string();
        let said = text.split(" at line ").next().unwrap_or(&text);
        format!(
            "it is not a case as JSON: {said} (column {})",
            error.column()
        )
    })?;
    let mut case = from_table(table).map_err(|fault| match fault {
        Fault::Damaged(why) => format!("it is no kept case: {}", short(&why)),
        Fault::Newer => fault.to_string(),
    })?;
    // No file of this machine is opened because a case from elsewhere names it.
    case.log = None;
    let id = &case.kept.id;
    if is_id(id) {
        Ok(case)
    } else {
        Err(format!("`{}` is no id of a case", short(id)))
    }
}
