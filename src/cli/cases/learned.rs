//! `cases learned`, and the rates that diagnoses use.

use std::path::PathBuf;

use crate::cli::args::Format;
use crate::cli::cases::store;
use crate::cli::exit::{Exit, Failure, Outcome};
use crate::cli::home;
use crate::cli::session::Session;
use crate::engine::knowledge::KnowledgeBase;
use crate::engine::rates::Rates;
use crate::engine::reasoner::Reasoner;
use crate::journal::learned::{Tally, tally};
use crate::journal::learning;
use crate::journal::store::Store;
use crate::report::cases::learned::{Learned, learned};
use crate::report::json;

/// Shows what was learned, after switching it if asked to.
///
/// # Errors
/// Where the journal cannot be read, the switch cannot be written, or the result cannot.
pub fn run(on: bool, off: bool, session: &Session) -> Outcome {
    let base = session.base()?;
    let cases = store()?.sound()?;
    let folder = home::folder().unwrap_or_default();
    if on || off {
        learning::switch(&folder, on)?;
    }
    let tally = tally(base, &cases);
    let shown = Learned {
        base,
        on: learning::is_on(&folder)?,
        rates: &Rates::counted(base, &tally.counts),
        tally: &tally,
    };
    match session.format {
        Format::Text => session.write(&learned(&shown, session.look))?,
        Format::Json => session.write_json(&json::learned(&shown))?,
    }
    Ok(Exit::Done)
}

/// What reasons with this grower's own rates, where there are any and learning is on.
///
/// # Errors
/// Where the journal is there and cannot be read.
pub fn reasoner<'k>(base: &'k KnowledgeBase, session: &Session) -> Result<Reasoner<'k>, Failure> {
    let reasoner = Reasoner::new(base, session.system);
    Ok(match counted(base, home::folder())? {
        Some(tally) => reasoner.with_rates(Rates::counted(base, &tally.counts)),
        None => reasoner,
    })
}

/// What was counted; `None` where there is nothing to count or learning is off.
fn counted(base: &KnowledgeBase, folder: Option<PathBuf>) -> Result<Option<Tally>, Failure> {
    let Some(folder) = folder else {
        return Ok(None);
    };
    let store = Store::within(&folder);
    // Most people have no journal, and need not wait for one.
    if !store.folder().is_dir() || !learning::is_on(&folder)? {
        return Ok(None);
    }
    Ok(Some(tally(base, &store.sound()?)))
}
