//! The case file: what was told on one occasion, and, for a case that is known, what must come out.

mod reader;
mod written;

use toml::de::DeTable;

use crate::engine::id::{ActionId, CauseId, CautionId};
use crate::engine::knowledge::KnowledgeBase;
use crate::engine::observations::Observations;
use crate::journal::case::reader::Reader;
use crate::knowledge::fields::{Notes, parse as parse_toml, type_name};
use crate::knowledge::problem::{Problem, ProblemCode};

pub use crate::journal::case::written::to_toml;

/// What a case file says it is.
pub const SCHEMA: &str = "blockside.case/1";
/// The same without its version.
const SCHEMA_NAME: &str = "blockside.case/";
/// The version alone.
const VERSION: u32 = 1;

/// A case.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct CaseFile {
    /// What the case is about, in a few words.
    pub title: Option<String>,
    /// Where the case is from.
    pub from: Option<String>,
    /// What was told.
    pub observations: Observations,
    /// What must come out, for a case that is known.
    pub expect: Option<Expect>,
}

/// What must come out of a known case.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Expect {
    /// One of these must be the most confident cause; none where no cause may be reported.
    pub leads: Vec<CauseId>,
    /// These must be reported.
    pub among: Vec<CauseId>,
    /// None of these may be concluded.
    pub not: Vec<CauseId>,
    /// This must be the most confident root of the leading cause.
    pub root: Option<CauseId>,
    /// These must be raised.
    pub cautions: Vec<CautionId>,
    /// These must be due.
    pub actions: Vec<ActionId>,
    /// Why the right cause does not lead, for a case that is kept although it is missed.
    pub missed: Option<String>,
}

/// Reads a case. Species and stage may be given by any of their names.
///
/// # Errors
/// Every fault found, with its place: an unknown name with the nearest known one, a reading that cannot be, an answer
/// given twice, a file of another kind or of a newer version.
pub fn parse(base: &KnowledgeBase, name: &str, text: &str) -> Result<CaseFile, Vec<Problem>> {
    let mut notes = Notes::new(name);
    if text.trim().is_empty() {
        let help = format!("a case begins with `schema = \"{SCHEMA}\"`");
        notes.add(
            ProblemCode::WrongSchema,
            0..0,
            "the file is empty".to_owned(),
            "nothing here",
            Some(help),
        );
        return Err(notes.problems);
    }
    let table = parse_toml(text, &mut notes);
    let mut case = CaseFile::default();
    if schema_fits(&table, &mut notes) {
        case = Reader {
            base,
            text,
            notes: &mut notes,
        }
        .case(&table);
    }
    if notes.problems.is_empty() {
        Ok(case)
    } else {
        Problem::sort(&mut notes.problems);
        Err(notes.problems)
    }
}

/// Whether the file is a case of this version; a note where it is not.
fn schema_fits(table: &DeTable<'_>, notes: &mut Notes<'_>) -> bool {
    let Some(value) = table.get("schema") else {
        // A file that could not be read as TOML is not judged by what it lacks.
        if notes.problems.is_empty() {
            let help = format!("begin the file with `schema = \"{SCHEMA}\"`");
            let message = "the file does not say that it is a case".to_owned();
            notes.add(
                ProblemCode::WrongSchema,
                0..0,
                message,
                "no `schema`",
                Some(help),
            );
        }
        return false;
    };
    let written = value.get_ref().as_str();
    if written == Some(SCHEMA) {
        return true;
    }
    let newer = written
        .and_then(|written| written.strip_prefix(SCHEMA_NAME))
        .is_some_and(|version| {
            // A number too long to be read is a newer version as well.
            let number = !version.is_empty() && version.bytes().all(|byte| byte.is_ascii_digit());
            number
                && version
                    .parse::<u32>()
                    .map_or(true, |version| version > VERSION)
        });
    let message = match written {
        Some(written) if newer => {
            format!("`{written}` was written by a newer version of the program")
        }
        Some(written) => format!("`{written}` is not a case of this program"),
        None => format!("`schema` is {}", type_name(value.get_ref())),
    };
    let help = if newer {
        "use that version, or update this one".to_owned()
    } else {
        format!("a case has `schema = \"{SCHEMA}\"`")
    };
    notes.add(
        ProblemCode::WrongSchema,
        value.span(),
        message,
        "another schema",
        Some(help),
    );
    false
}
