//! The profile of a chamber: what a grower writes down once about how it is built and run.

mod moving_air;
mod numbers;
mod reader;
mod walls;

use crate::engine::chamber::profile::Chamber;
use crate::engine::knowledge::KnowledgeBase;
use crate::journal::chamber::reader::Reader;
use crate::journal::schema::FileKind;
use crate::knowledge::fields::{Notes, parse as parse_toml};
use crate::knowledge::problem::Problem;

pub use crate::journal::chamber::walls::THICKNESSES_M;

/// What a profile says it is.
pub const SCHEMA: &str = "blockside.profile/1";
/// The kind of file.
const KIND: FileKind = FileKind {
    what: "a chamber's profile",
    schema: SCHEMA,
    name: "blockside.profile/",
    version: 1,
};

/// Reads a profile. Species and stage may be given by any of their names.
///
/// # Errors
/// Every fault found, with its place and why it matters: a value that cannot be, one that is missing, an unknown name,
/// a file of another kind or of a newer version.
pub fn parse(base: &KnowledgeBase, name: &str, text: &str) -> Result<Chamber, Vec<Problem>> {
    let mut notes = Notes::new(name);
    if KIND.is_empty(text, &mut notes) {
        return Err(notes.problems);
    }
    let table = parse_toml(text, &mut notes);
    let mut chamber = Chamber::default();
    if KIND.fits(&table, &mut notes) {
        chamber = Reader {
            base,
            text,
            notes: &mut notes,
            chamber,
            present: Vec::new(),
        }
        .chamber(&table);
    }
    if notes.problems.is_empty() {
        Ok(chamber)
    } else {
        Problem::sort(&mut notes.problems);
        Err(notes.problems)
    }
}
