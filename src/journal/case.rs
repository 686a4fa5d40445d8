//! The case file: what was told on one occasion, and, for a case that is known, what must come out.

mod from_log;
pub(crate) mod reader;
mod written;

use crate::engine::id::{ActionId, CauseId, CautionId};
use crate::engine::knowledge::KnowledgeBase;
use crate::engine::observations::Observations;
use crate::journal::case::reader::Reader;
use crate::journal::schema::FileKind;
use crate::knowledge::fields::{Notes, parse as parse_toml};
use crate::knowledge::problem::Problem;

pub use crate::journal::case::written::to_toml;

/// What a case file says it is.
pub const SCHEMA: &str = "blockside.case/1";
/// The kind of file.
const KIND: FileKind = FileKind {
    what: "a case",
    schema: SCHEMA,
    name: "blockside.case/",
    version: 1,
};

/// A case.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct CaseFile {
    /// What the case is about, in a few words.
    pub title: Option<String>,
    /// Where the case is from.
    pub from: Option<String>,
    /// The same in a grower's words.
    pub told: Option<String>,
    /// The file that describes the chamber, as written: beside the case, or a path from there.
    pub profile: Option<String>,
    /// The sensor log it was made with, as written: beside the case, or a path from there.
    pub log: Option<String>,
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
    if KIND.is_empty(text, &mut notes) {
        return Err(notes.problems);
    }
    let table = parse_toml(text, &mut notes);
    let mut case = CaseFile::default();
    if KIND.fits(&table, &mut notes) {
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
