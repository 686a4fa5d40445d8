//! `rounds`: what is done again and again, what is due, and writing down what was done.

use jiff::ZonedDateTime;

use crate::cli::args::{Format, RoundsArgs, RoundsCommand};
use crate::cli::cases::day;
use crate::cli::chamber;
use crate::cli::exit::{Exit, Failure, Outcome};
use crate::cli::given::not_known;
use crate::cli::home;
use crate::cli::new_file::put;
use crate::cli::session::Session;
use crate::engine::id::RoundId;
use crate::engine::knowledge::KnowledgeBase;
use crate::engine::observations::Observations;
use crate::journal::rounds::Rounds;
use crate::report::json;
use crate::report::rounds::{calendar, rounds};

/// Carries out the command.
///
/// # Errors
/// Where an item is not known, the profile or what was written down cannot be read, or something cannot be written.
pub fn run(args: &RoundsArgs, session: &Session) -> Outcome {
    let base = session.full_base()?;
    let data = home::folder().ok_or_else(|| {
        Failure::unable(
            "there is no place to write your rounds down in: neither BLOCKSIDE_HOME nor a home folder is set",
        )
    })?;
    let now = ZonedDateTime::now();
    let kept = match &args.command {
        None => Rounds::read(&data)?,
        Some(RoundsCommand::Done { items, on }) => {
            let items = named(&base, items)?;
            let on = day(on.as_deref().unwrap_or("today"), "--on")?;
            Rounds::note(&data, &items, on)?
        }
    };
    let mut known = Observations::default();
    let profile = args.profile.as_ref().or(session.settings.profile.as_ref());
    if let Some(path) = profile {
        chamber::add(&mut known, path, &base, session)?;
    }
    let due = kept.due(&base, &known, now.date());
    if let Some(path) = &args.ics {
        let stamp = now.timestamp().strftime("%Y%m%dT%H%M%SZ").to_string();
        put(path, &calendar(&due, &stamp))?;
    }
    match session.format {
        Format::Text => session.write(&rounds(&base, &due, now.date(), session.look))?,
        Format::Json => session.write_json(&json::rounds(&due, now.date()))?,
    }
    Ok(Exit::Done)
}

/// The items of these names, or of whose names these are the beginning; all faults at once.
fn named(base: &KnowledgeBase, words: &[String]) -> Result<Vec<RoundId>, Failure> {
    let mut found = Vec::new();
    let mut faults = Vec::new();
    for word in words {
        let begun: Vec<&RoundId> = base
            .rounds
            .keys()
            .filter(|id| id.as_str().starts_with(word.as_str()))
            .collect();
        let whole = base.rounds.keys().find(|id| id.as_str() == word);
        let only = match begun.as_slice() {
            [one] if !word.is_empty() => Some(*one),
            _ => None,
        };
        match whole.or(only) {
            Some(id) => found.push(id.clone()),
            None => faults.push(not_known(
                "item of the rounds",
                "rounds",
                word,
                base.rounds.keys().map(|id| id.as_str()),
            )),
        }
    }
    if faults.is_empty() {
        Ok(found)
    } else {
        Err(Failure::usage(faults.join("\n")))
    }
}
