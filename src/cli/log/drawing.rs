//! The log of a case: how a case names it, and its drawing.

use std::path::{Path, absolute};

use crate::cli::args::HowToRead;
use crate::cli::exit::Failure;
use crate::cli::log::{name_of, nothing_usable, open, unreadable};
use crate::cli::session::Session;
use crate::engine::knowledge::KnowledgeBase;
use crate::engine::observations::Observations;
use crate::log::analysis::{Analysed, analyse};
use crate::log::settings::Settings;
use crate::report::log::svg;

/// How a case file names a log: as it was given where both lie in one folder, by its whole path elsewhere. Nothing for
/// standard input.
pub(crate) fn named_from(case: &Path, log: &Path) -> Option<String> {
    if log.as_os_str() == "-" {
        return None;
    }
    if log.is_relative() && case.parent() == log.parent() {
        return Some(log.file_name()?.to_str()?.to_owned());
    }
    Some(absolute(log).ok()?.to_str()?.to_owned())
}

/// Draws the log of a case with the limits of its species and stage.
///
/// # Errors
/// Where it is not there any more, or cannot be read without being told how.
pub(crate) fn of_case(
    log: &Path,
    told: &Observations,
    base: &KnowledgeBase,
    session: &Session,
) -> Result<String, Failure> {
    let settings = Settings::new(base, told.species.as_ref(), told.stage.as_ref())
        .map_err(|error| Failure::unable(error.to_string()))?;
    let name = name_of(log);
    let (rows, _) = open(log, &HowToRead::default(), &settings, session)?;
    let analysed = analyse(rows, &settings, |_| {})
        .map_err(|error| Failure::unable(format!("`{name}` cannot be read: {error}")))?;
    let shown = log.file_name().map(|last| last.to_string_lossy());
    match analysed {
        Analysed::Read(summary) => Ok(svg::draw(
            &shown.unwrap_or_default(),
            &summary,
            &settings,
            session.system,
        )),
        Analysed::Nothing(unusable) => Err(Failure::unable(unreadable(
            &name,
            &nothing_usable(&unusable),
        ))),
    }
}
