//! `why` and `why-not`: how a cause came by its confidence.

use crate::cli::args::{Format, WhyArgs};
use crate::cli::exit::{Exit, Failure, Outcome};
use crate::cli::given::{not_known, observations};
use crate::cli::session::Session;
use crate::engine::id::CauseId;
use crate::engine::reasoner::Reasoner;
use crate::report::explanation::{Asked, explanation};
use crate::report::json;

/// Carries out the command.
///
/// # Errors
/// Where no cause has this name, the case has faults, or the result cannot be written.
pub fn run(args: &WhyArgs, asked: Asked, session: &Session) -> Outcome {
    let base = session.base()?;
    let unknown = || {
        let known = base.causes.keys().map(CauseId::as_str);
        Failure::usage(not_known("cause", "causes", &args.cause, known))
    };
    if !base.causes.contains_key(args.cause.as_str()) {
        return Err(unknown());
    }
    let told = observations(&args.given, base, session)?;
    let found = Reasoner::new(base, session.system)
        .explain(&told, &args.cause)
        .ok_or_else(unknown)?;
    match session.format {
        Format::Text => session.write(&explanation(base, &found, asked, session.look))?,
        Format::Json => session.write_json(&json::explanation(&found))?,
    }
    Ok(Exit::Done)
}
