//! Keeps a case in the journal.

use std::path::{Path, absolute};

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
    journal_keep_with(
        base,
        observations,
        diagnosis,
        Beside { profile, log: None },
        session,
    )
}

/// The files that a case was made with.
#[derive(Debug, Clone, Copy, Default)]
pub struct Beside<'a> {
    /// The profile of the chamber.
    pub profile: Option<&'a Path>,
    /// The sensor log.
    pub log: Option<&'a Path>,
}

/// As [`journal_keep`]; of a log its whole path is kept, so that it is found again from anywhere.
///
/// # Errors
/// As [`journal_keep`].
pub fn journal_keep_with(
    base: &KnowledgeBase,
    observations: &Observations,
    diagnosis: &Diagnosis,
    beside: Beside<'_>,
    session: &Session,
) -> Result<String, Failure> {
    let at = Moment::of(&ZonedDateTime::now());
    let profile = beside.profile.and_then(Path::file_name);
    let profile = profile.map(|name| name.to_string_lossy().into_owned());
    let mut case = KeptCase::new(base, observations, diagnosis, profile, at);
    let log = beside.log.and_then(|log| absolute(log).ok());
    case.log = log.and_then(|log| Some(log.to_str()?.to_owned()));
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
