//! Reads case files, from a path or from standard input.

use std::io::{self, Read};
use std::path::{Path, PathBuf};

use crate::cli::exit::Failure;
use crate::cli::session::Session;
use crate::engine::knowledge::KnowledgeBase;
use crate::engine::observations::Observations;
use crate::journal::case;
use crate::knowledge::build::SourceFile;
use crate::knowledge::read::read_text;

/// The largest case or answers file.
///
/// judgement: a case that answers every sign there is takes some twenty kilobytes.
pub const MOST_BYTES: u64 = 1024 * 1024;

/// A text and what to call it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Text {
    /// Its name in messages.
    pub name: String,
    /// What it says.
    pub text: String,
}

/// Reads a small text file; `-` is standard input.
///
/// # Errors
/// Where it is missing, a folder, too large, not UTF-8, empty, or refused by the operating system.
pub fn read(path: &Path) -> Result<Text, Failure> {
    read_as(path, "a case", case::SCHEMA)
}

/// As [`read`], for a file of another kind: its name with its article, and the schema it begins with.
///
/// # Errors
/// As [`read`].
pub fn read_as(path: &Path, what: &str, schema: &str) -> Result<Text, Failure> {
    let read = if path.as_os_str() == "-" {
        standard_input()?
    } else {
        Text {
            name: path.display().to_string(),
            text: read_text(path, MOST_BYTES)?,
        }
    };
    if read.text.trim().is_empty() {
        return Err(Failure::unable(format!(
            "`{}` is empty; {what} needs at least a line such as `schema = \"{schema}\"`",
            read.name,
        )));
    }
    Ok(read)
}

/// Reads a text that may be empty; `-` is standard input.
///
/// # Errors
/// Where it is missing, a folder, too large, not UTF-8, or refused by the operating system.
pub fn prose(path: &Path) -> Result<String, Failure> {
    if path.as_os_str() == "-" {
        return standard_input().map(|read| read.text);
    }
    read_text(path, MOST_BYTES).map_err(Failure::from)
}

fn standard_input() -> Result<Text, Failure> {
    let name = "standard input".to_owned();
    let mut bytes = Vec::new();
    io::stdin()
        .lock()
        .take(MOST_BYTES + 1)
        .read_to_end(&mut bytes)
        .map_err(|error| Failure::unable(format!("{name} cannot be read: {error}")))?;
    if bytes.len() as u64 > MOST_BYTES {
        return Err(Failure::unable(format!(
            "{name} is larger than {} MiB",
            MOST_BYTES / (1024 * 1024)
        )));
    }
    let text = String::from_utf8(bytes).map_err(|error| {
        Failure::unable(format!(
            "{name} is not UTF-8 text: the byte at {} does not belong there",
            error.utf8_error().valid_up_to()
        ))
    })?;
    Ok(Text { name, text })
}

/// A file named in another one, as a path from here: names are relative to the file they stand in.
pub fn beside(file: &Path, name: &str) -> PathBuf {
    file.parent()
        .map_or_else(|| PathBuf::from(name), |folder| folder.join(name))
}

/// A case file, read; the files it names are paths from here.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct CaseRead {
    /// What was told.
    pub told: Observations,
    /// The profile of the chamber.
    pub profile: Option<PathBuf>,
    /// The sensor log.
    pub log: Option<PathBuf>,
}

/// Reads a case file.
///
/// # Errors
/// As [`read`], and where the case has faults: all of them, each at its place.
pub fn case(path: &Path, base: &KnowledgeBase, session: &Session) -> Result<CaseRead, Failure> {
    let Text { name, text } = read(path)?;
    case::parse(base, &name, &text)
        .map(|case| CaseRead {
            told: case.observations,
            profile: case.profile.map(|profile| beside(path, &profile)),
            log: case.log.map(|log| beside(path, &log)),
        })
        .map_err(|problems| {
            let file = SourceFile {
                name,
                text,
                layer: 0,
            };
            Failure::drawn(session.drawn(&problems, &[file]))
        })
}
