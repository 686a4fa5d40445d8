//! `chamber`: the balance of a chamber from its profile.

use std::path::Path;

use crate::cli::args::{ChamberArgs, Format};
use crate::cli::exit::{Exit, Failure, Outcome};
use crate::cli::given;
use crate::cli::input;
use crate::cli::session::Session;
use crate::engine::chamber::balance::{Balance, balance};
use crate::engine::chamber::facts::{ProfileFacts, facts};
use crate::engine::chamber::profile::Chamber;
use crate::engine::chamber::what_if::{self, Change, WhatIfError};
use crate::engine::knowledge::KnowledgeBase;
use crate::engine::observations::Observations;
use crate::journal::chamber;
use crate::knowledge::build::SourceFile;
use crate::knowledge::problem::nearest;
use crate::report::balance::{Balanced, comparison, report};
use crate::report::json;

/// Carries out the command.
///
/// # Errors
/// Where the profile cannot be read or has faults (could not finish), or the species, the stage or a change is not
/// understood (wrong use).
pub fn run(args: &ChamberArgs, session: &Session) -> Outcome {
    let changes = changes(&args.what_if)?;
    let base = session.base()?;
    let species = args.species.as_ref().map(|word| given::species(base, word));
    let stage = args.stage.as_ref().map(|word| given::stage(base, word));
    let species = species.transpose().map_err(Failure::usage)?;
    let stage = stage.transpose().map_err(Failure::usage)?;
    let mut now = read(&args.profile, base, session)?;
    now.species = species.or(now.species);
    now.stage = stage.or(now.stage);
    let worked_out = Worked::out(base, now);
    let then = if changes.is_empty() {
        None
    } else {
        let changed = what_if::changed(base, &worked_out.chamber, &changes)
            .map_err(|error| Failure::usage(format!("--what-if: {error}")))?;
        Some(Worked::out(base, changed))
    };
    let now = worked_out.balanced(base, session);
    let then = then.as_ref().map(|then| then.balanced(base, session));
    match session.format {
        Format::Json => {
            let then = then.as_ref().map(|then| (then, args.what_if.as_slice()));
            session.write_json(&json::balance(&now, then))?;
        }
        Format::Text => {
            let mut text = String::new();
            match &then {
                Some(then) => text.push_str(&comparison(&now, then, &args.what_if, session.look)),
                None => text.push_str(&report(&now, session.look)),
            }
            session.write(&text)?;
        }
    }
    Ok(Exit::Done)
}

fn changes(texts: &[String]) -> Result<Vec<Change>, Failure> {
    let mut changes = Vec::new();
    let mut faults = Vec::new();
    for text in texts {
        match what_if::parse(text) {
            Ok(change) => changes.push(change),
            Err(error) => faults.push(format!("--what-if: {error}{}", names(&error))),
        }
    }
    if faults.is_empty() {
        Ok(changes)
    } else {
        Err(Failure::usage(given::listed(&faults)))
    }
}

/// The name that was meant, or all there are.
fn names(error: &WhatIfError) -> String {
    let WhatIfError::Unknown(name) = error else {
        return String::new();
    };
    nearest(name, what_if::changeable_words()).map_or_else(
        || {
            let all: Vec<&str> = what_if::changeable_words().collect();
            format!("; there are {}", all.join(", "))
        },
        |near| format!("; did you mean `{near}`?"),
    )
}

/// A chamber with all that follows from it.
struct Worked {
    chamber: Chamber,
    balance: Balance,
    facts: ProfileFacts,
}

impl Worked {
    fn out(base: &KnowledgeBase, chamber: Chamber) -> Self {
        let balance = balance(base, &chamber);
        let facts = facts(base, &chamber, &balance);
        Self {
            chamber,
            balance,
            facts,
        }
    }

    fn balanced<'a>(&'a self, base: &'a KnowledgeBase, session: &Session) -> Balanced<'a> {
        Balanced {
            base,
            chamber: &self.chamber,
            balance: &self.balance,
            facts: &self.facts,
            system: session.system,
        }
    }
}

/// Reads a profile.
///
/// # Errors
/// Where it cannot be read, or has faults: all of them, each at its place.
pub fn read(path: &Path, base: &KnowledgeBase, session: &Session) -> Result<Chamber, Failure> {
    let input::Text { name, text } = input::read_as(path, "a profile", chamber::SCHEMA)?;
    chamber::parse(base, &name, &text).map_err(|problems| {
        let file = SourceFile {
            name,
            text,
            layer: 0,
        };
        Failure::drawn(session.drawn(&problems, &[file]))
    })
}

/// Reads a profile, with what it tells.
///
/// # Errors
/// As [`read`].
pub fn told_by(
    path: &Path,
    base: &KnowledgeBase,
    session: &Session,
) -> Result<(Chamber, ProfileFacts), Failure> {
    let worked_out = Worked::out(base, read(path, base, session)?);
    Ok((worked_out.chamber, worked_out.facts))
}

/// Adds to what was told on one occasion what the profile of the chamber tells.
///
/// # Errors
/// As [`read`].
pub fn add(
    told: &mut Observations,
    path: &Path,
    base: &KnowledgeBase,
    session: &Session,
) -> Result<(), Failure> {
    let chamber = read(path, base, session)?;
    add_chamber(told, chamber, base);
    Ok(())
}

/// As [`add`], for a profile that was read already.
pub fn add_chamber(told: &mut Observations, mut chamber: Chamber, base: &KnowledgeBase) {
    // The occasion knows better than the profile what grows there today.
    if told.species.is_some() {
        chamber.species.clone_from(&told.species);
    }
    if told.stage.is_some() {
        chamber.stage.clone_from(&told.stage);
    }
    let balance = balance(base, &chamber);
    let facts = facts(base, &chamber, &balance);
    told.add_profile(&chamber, &facts);
}
