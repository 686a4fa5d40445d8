//! `diagnose`: one case, or many.

mod batch;

use std::mem::ManuallyDrop;

use crate::cli::args::{DiagnoseArgs, Format};
use crate::cli::exit::{Exit, Failure, Outcome};
use crate::cli::given;
use crate::cli::session::Session;
use crate::engine::diagnosis::Diagnosis;
use crate::engine::knowledge::KnowledgeBase;
use crate::engine::observations::Observations;
use crate::engine::reasoner::Reasoner;
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
    let reasoner = ManuallyDrop::new(Reasoner::new(base, session.system));
    let diagnosis = reasoner.diagnose(&observations);
    write(base, &observations, &diagnosis, session)?;
    Ok(Exit::Done)
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
