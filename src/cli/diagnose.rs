//! `diagnose`: one case, or many.

mod batch;

use std::mem::ManuallyDrop;
use std::path::{Path, PathBuf};

use crate::cli::args::{DiagnoseArgs, Format, Given};
use crate::cli::ask::save;
use crate::cli::cases::keep::journal_keep;
use crate::cli::cases::learned::reasoner;
use crate::cli::exit::{Exit, Failure, Outcome};
use crate::cli::given;
use crate::cli::input;
use crate::cli::log::name_of;
use crate::cli::new_file::{free, put};
use crate::cli::session::Session;
use crate::engine::diagnosis::Diagnosis;
use crate::engine::knowledge::KnowledgeBase;
use crate::engine::observations::Observations;
use crate::knowledge::read::{ReadError, read_text};
use crate::report::html::{Chart, case};
use crate::report::json;
use crate::report::text::{Told, report};

/// Carries out the command.
///
/// # Errors
/// Where the case or the options have faults, or the result cannot be written.
pub fn run(args: &DiagnoseArgs, session: &Session) -> Outcome {
    let base = session.base()?;
    if args.batch {
        return batch::run(args.given.case.as_deref(), base, session);
    }
    if let Some(path) = &args.html {
        free(path)?;
    }
    let charts = args
        .chart
        .iter()
        .map(|path| read(path))
        .collect::<Result<Vec<_>, _>>()?;
    let observations = given::observations(&args.given, base, session)?;
    // The process ends right after: taking the rules apart again would only cost time.
    let reasoner = ManuallyDrop::new(reasoner(base, session)?);
    let diagnosis = reasoner.diagnose(&observations);
    if let Some(path) = &args.html {
        let told = Told {
            base,
            observations: &observations,
            diagnosis: &diagnosis,
        };
        put(
            path,
            &case(&told, &charts.iter().map(Read::chart).collect::<Vec<_>>()),
        )?;
    }
    write(base, &observations, &diagnosis, session)?;
    match &args.save {
        None => {}
        Some(None) => {
            let profile = profile(&args.given, base, session)?;
            journal_keep(base, &observations, &diagnosis, profile.as_deref(), session)?;
        }
        Some(Some(path)) => {
            save::case(base, &observations, path, false).map_err(Failure::unable)?;
        }
    }
    Ok(Exit::Done)
}

/// The profile's file, where one was given or the case names one.
fn profile(
    given: &Given,
    base: &KnowledgeBase,
    session: &Session,
) -> Result<Option<PathBuf>, Failure> {
    Ok(match (&given.profile, &given.case) {
        (Some(path), _) => Some(path.clone()),
        // Standard input has been read to its end.
        (None, Some(case)) if case.as_os_str() != "-" => input::case(case, base, session)?.1,
        (None, _) => None,
    })
}

/// Writes a diagnosis in the format asked for.
///
/// # Errors
/// Where it cannot be written.
pub fn write(
    base: &KnowledgeBase,
    observations: &Observations,
    diagnosis: &Diagnosis,
    session: &Session,
) -> Result<(), Failure> {
    let told = Told {
        base,
        observations,
        diagnosis,
    };
    match session.format {
        Format::Text => session.write(&report(&told, session.look)),
        Format::Json => session.write_json(&json::diagnosis(&told)),
    }
}

/// The largest drawing that is taken onto a page, in bytes.
///
/// judgement: a hundred times what `log --plot` writes; larger files were not meant.
const LARGEST: u64 = 16 * 1024 * 1024;

/// A drawing of a log, read.
struct Read {
    title: String,
    svg: String,
}

impl Read {
    fn chart(&self) -> Chart<'_> {
        Chart {
            title: &self.title,
            svg: &self.svg,
        }
    }
}

/// Reads a drawing. It is put onto the page as a picture, in which no script runs.
fn read(path: &Path) -> Result<Read, Failure> {
    let name = name_of(path);
    let unable = |said: &str| Failure::unable(format!("`{name}` {said}"));
    let svg = read_text(path, LARGEST).map_err(|error| match error {
        ReadError::TooLarge { .. } => unable("is too large for a drawing"),
        error => Failure::from(error),
    })?;
    if !svg.trim_start().starts_with("<svg") {
        return Err(unable(
            "is no drawing of a log; make one with `blockside log FILE.csv --plot`",
        ));
    }
    Ok(Read {
        title: format!(
            "The log, drawn from {}",
            path.file_name()
                .map_or(name.clone(), |last| last.to_string_lossy().into_owned())
        ),
        svg,
    })
}
