//! Keeps a case in the journal.

use std::path::Path;

use jiff::ZonedDateTime;

use crate::cli::cases::{note, store};
use crate::cli::exit::Failure;
use crate::cli::session::Session;
use crate::engine::diagnosis::Diagnosis;
use crate::engine::knowledge::KnowledgeBase;
use crate::engine::observations::Observations;
use crate::journal::kept::KeptCase;
use crate::journal::moment::Moment;

/// Keeps a case with its diagnosis, says under which id on standard error, and returns that. The name of the profile's
/// file goes with it, where there is one.
///
/// # Errors
/// Where there is no place for it or it cannot be written; then nothing is kept.
pub fn journal_keep(
    base: &KnowledgeBase,
    observations: &Observations,
    diagnosis: &Diagnosis,
    profile: Option<&Path>,
    session: &Session,
) -> Result<String, Failure> {
    let at = Moment::of(&ZonedDateTime::now());
    let profile = profile.and_then(Path::file_name);
    let profile = profile.map(|name| name.to_string_lossy().into_owned());
    let case = KeptCase::new(base, observations, diagnosis, profile, at);
    let id = store()?.add(case)?;
    note(
        &format!(
            "Kept as {id}, for you alone to read. What you do: blockside cases done {id} ACTION. How it went: blockside \
             follow-up {id}."
        ),
        session,
    );
    Ok(id)
}
