//! `why` and `why-not`: how a cause came by its confidence.

use crate::cli::args::{Format, WhyArgs};
use crate::cli::cases::learned::reasoner;
use crate::cli::exit::{Exit, Failure, Outcome};
use crate::cli::given;
use crate::cli::session::Session;
use crate::report::explanation::{Asked, explanation};
use crate::report::json;

/// Carries out the command.
///
/// # Errors
/// Where no cause has this name, the case has faults, or the result cannot be written.
pub fn run(args: &WhyArgs, asked: Asked, session: &Session) -> Outcome {
    let base = session.base()?;
    let cause = given::cause(base, &args.cause).map_err(Failure::usage)?;
    let told = given::observations(&args.given, base, session)?;
    let found = reasoner(base, session)?
        .explain(&told, cause.as_str())
        .ok_or_else(|| Failure::usage(format!("nothing can be said about `{cause}`")))?;
    match session.format {
        Format::Text => session.write(&explanation(base, &found, asked, session.look))?,
        Format::Json => session.write_json(&json::explanation(&found))?,
    }
    Ok(Exit::Done)
}
