//! `diagnose`: one case, or many.

mod batch;

use std::mem::ManuallyDrop;
use std::path::Path;

use crate::cli::args::{DiagnoseArgs, Format, Given};
use crate::cli::ask::save;
use crate::cli::cases::keep::journal_keep;
use crate::cli::cases::learned::reasoner;
use crate::cli::exit::{Exit, Failure, Outcome};
use crate::cli::given;
use crate::cli::input;
use crate::cli::session::Session;
use crate::engine::diagnosis::Diagnosis;
use crate::engine::knowledge::KnowledgeBase;
use crate::engine::observations::Observations;
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
    let observations = given::observations(&args.given, base, session)?;
    // The process ends right after: taking the rules apart again would only cost time.
    let reasoner = ManuallyDrop::new(reasoner(base, session)?);
    let diagnosis = reasoner.diagnose(&observations);
    write(base, &observations, &diagnosis, session)?;
    match &args.save {
        None => {}
        Some(None) => {
            let profile = profile(&args.given, base, session)?;
            journal_keep(base, &observations, &diagnosis, profile, session)?;
        }
        Some(Some(path)) => {
            save::case(base, &observations, path, false).map_err(Failure::unable)?;
        }
    }
    Ok(Exit::Done)
}

/// The name of the profile's file, where one was given or the case names one.
fn profile(
    given: &Given,
    base: &KnowledgeBase,
    session: &Session,
) -> Result<Option<String>, Failure> {
    let path = match (&given.profile, &given.case) {
        (Some(path), _) => Some(path.clone()),
        // Standard input has been read to its end.
        (None, Some(case)) if case.as_os_str() != "-" => input::case(case, base, session)?.1,
        (None, _) => None,
    };
    let name = path.as_deref().and_then(Path::file_name);
    Ok(name.map(|name| name.to_string_lossy().into_owned()))
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
