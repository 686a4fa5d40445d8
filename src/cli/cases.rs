//! `cases`: the journal.

pub mod keep;
pub mod learned;
pub mod remind;
mod transfer;

use jiff::ZonedDateTime;
use jiff::civil::Date;

use crate::cli::args::{CasesArgs, CasesCommand, Format};
use crate::cli::exit::{Exit, Failure, Outcome};
use crate::cli::given::{self, not_known};
use crate::cli::home;
use crate::cli::session::Session;
use crate::engine::knowledge::KnowledgeBase;
use crate::journal::kept::{Done, KeptCase, State};
use crate::journal::store::{FaultyFile, Store, StoreError};
use crate::report::cases::{compare, list, show};
use crate::report::json;
use crate::report::page::{Ink, Look, Page};

/// Carries out the command.
///
/// # Errors
/// Where there is no such case, the journal cannot be read or written, or the result cannot be written.
pub fn run(args: &CasesArgs, session: &Session) -> Outcome {
    match &args.command {
        None => listed(args, session),
        Some(CasesCommand::Show { case }) => shown(case, session),
        Some(CasesCommand::Compare { one, other }) => compared(one, other, session),
        Some(CasesCommand::Done {
            case,
            action,
            on,
            note,
        }) => done(case, action, on.as_deref(), note.clone(), session),
        Some(CasesCommand::Export { cases, .. }) => transfer::export(cases, session),
        Some(CasesCommand::Import { file }) => transfer::import(file, session),
        Some(CasesCommand::Learned { on, off }) => learned::run(*on, *off, session),
    }
}

/// The journal of this person.
///
/// # Errors
/// Where the environment names no place for it.
pub fn store() -> Result<Store, Failure> {
    let folder = home::folder().ok_or_else(|| {
        Failure::unable(
            "there is no place for your cases: neither BLOCKSIDE_HOME nor a home folder is set",
        )
    })?;
    Ok(Store::within(&folder))
}

impl From<StoreError> for Failure {
    fn from(error: StoreError) -> Self {
        match error {
            StoreError::NoSuch(_) | StoreError::Several { .. } => Self::usage(error.to_string()),
            _ => Self::unable(error.to_string()),
        }
    }
}

fn listed(args: &CasesArgs, session: &Session) -> Outcome {
    let base = session.base()?;
    let species = match &args.species {
        Some(word) => Some(given::species(base, word).map_err(Failure::usage)?),
        None => None,
    };
    let cause = match &args.cause {
        Some(word) => Some(given::cause(base, word).map_err(Failure::usage)?),
        None => None,
    };
    let since = match &args.since {
        Some(word) => Some(day(word, "--since")?),
        None => None,
    };
    let shelf = store()?.all()?;
    tell_faults(&shelf.faults, session);
    let wanted = |case: &&KeptCase| {
        species
            .as_ref()
            .is_none_or(|species| case.species.as_deref() == Some(species.as_str()))
            && cause.as_ref().is_none_or(|cause| {
                let reported = case.kept.diagnosis.causes.iter().map(|one| &one.id);
                reported.chain(case.found()).any(|id| id == cause.as_str())
            })
            && (!args.open || case.state() != State::Closed)
            && since.is_none_or(|since| case.kept.at.date() >= since)
    };
    let cases: Vec<&KeptCase> = shelf.cases.iter().rev().filter(wanted).collect();
    match session.format {
        Format::Text => {
            session.write(&list(base, &cases, shelf.cases.len(), session.look))?;
        }
        Format::Json => session.write_json(&json::cases(&cases))?,
    }
    Ok(Exit::Done)
}

/// Says on standard error which files are no cases, and what became of them.
pub fn tell_faults(faults: &[FaultyFile], session: &Session) {
    if faults.is_empty() {
        return;
    }
    let mut page = Page::new(Look {
        colour: session.errors_in_colour,
        ..session.look
    });
    for fault in faults {
        let what = match &fault.moved_to {
            Some(path) => format!("it was set aside as {}", path.display()),
            None => "it was left as it is".to_owned(),
        };
        page.entry(
            0,
            "blockside:",
            Ink::Usual,
            &format!(
                "the case {} cannot be read: {}; {what}",
                fault.id, fault.why
            ),
        );
    }
    say(&page.finish());
}

/// Says something on standard error; there is nowhere left to report a failure of that.
pub fn say(text: &str) {
    use std::io::Write;
    let _ = std::io::stderr().write_all(text.as_bytes());
}

/// Says a sentence on standard error.
pub fn note(text: &str, session: &Session) {
    let mut page = Page::new(Look {
        colour: session.errors_in_colour,
        ..session.look
    });
    page.paragraph(0, Ink::Usual, text);
    say(&page.finish());
}

fn shown(word: &str, session: &Session) -> Outcome {
    let base = session.base()?;
    let case = store()?.find(word)?;
    write_case(base, &case, session)
}

/// Writes a case in the format asked for.
///
/// # Errors
/// Where it cannot be written.
pub fn write_case(base: &KnowledgeBase, case: &KeptCase, session: &Session) -> Outcome {
    match session.format {
        Format::Text => session.write(&show(base, case, session.look))?,
        Format::Json => session.write_json(&json::cases(&[case]))?,
    }
    Ok(Exit::Done)
}

fn compared(one: &str, other: &str, session: &Session) -> Outcome {
    let base = session.base()?;
    let store = store()?;
    let (one, other) = (store.find(one)?, store.find(other)?);
    match session.format {
        Format::Text => session.write(&compare(base, &one, &other, session.look))?,
        Format::Json => session.write_json(&json::comparison(&one, &other))?,
    }
    Ok(Exit::Done)
}

fn done(
    word: &str,
    action: &str,
    on: Option<&str>,
    note: Option<String>,
    session: &Session,
) -> Outcome {
    let base = session.base()?;
    let store = store()?;
    let case = store.find(word)?;
    let action = action_named(base, &case, action)?;
    let on = day(on.unwrap_or("today"), "--on")?;
    let done = Done { action, on, note };
    let case = store.change(&case.kept.id, |case| case.kept.done.push(done))?;
    write_case(base, &case, session)
}

/// An action by its id, or by the beginning of the id of one that was due.
pub(crate) fn action_named(
    base: &KnowledgeBase,
    case: &KeptCase,
    word: &str,
) -> Result<String, Failure> {
    let due = case.kept.diagnosis.actions.iter().map(|one| &one.id);
    if base.actions.contains_key(word) || due.clone().any(|id| id == word) {
        return Ok(word.to_owned());
    }
    let begun: Vec<&String> = due.filter(|id| id.starts_with(word)).collect();
    match begun.as_slice() {
        [one] if !word.is_empty() => Ok((*one).clone()),
        _ => Err(Failure::usage(not_known(
            "action",
            "actions",
            word,
            base.actions.keys().map(|id| id.as_str()),
        ))),
    }
}

/// A day as typed; none that is still to come.
///
/// # Errors
/// That it is no day, or one that is still to come.
pub fn day(word: &str, option: &str) -> Result<Date, Failure> {
    read_day(word, ZonedDateTime::now().date())
        .map_err(|fault| Failure::usage(format!("{option}: {fault}")))
}

fn read_day(word: &str, today: Date) -> Result<Date, String> {
    let day = match word.trim() {
        "today" => Some(today),
        "yesterday" => today.yesterday().ok(),
        other => other.parse().ok().filter(|_| other.len() == 10),
    };
    match day {
        None => Err(format!(
            "`{}` is no day; write it like 2026-03-04, `today` or `yesterday`",
            crate::report::sanitise::short(word)
        )),
        Some(day) if day > today => Err(format!("{day} is still to come")),
        Some(day) => Ok(day),
    }
}

#[cfg(test)]
mod tests {
    use jiff::civil::date;

    use super::read_day;

    #[test]
    fn days_are_read_and_none_is_still_to_come() {
        let today = date(2028, 3, 1);
        assert_eq!(read_day("yesterday", today), Ok(date(2028, 2, 29)));
        assert_eq!(read_day("2028-02-29", today), Ok(date(2028, 2, 29)));
        assert_eq!(read_day("today", today), Ok(today));
        for word in [
            "2028-03-02",
            "2027-02-29",
            "20280229",
            "29.2.2028",
            "",
            "2028-02-29T01:00",
        ] {
            assert!(read_day(word, today).is_err(), "{word}");
        }
    }
}
