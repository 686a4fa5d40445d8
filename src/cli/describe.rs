//! `describe`: a diagnosis from a grower's own words.

use std::io::{self, IsTerminal};
use std::path::{Path, PathBuf};

use crate::cli::args::{DescribeArgs, Format};
use crate::cli::ask::save;
use crate::cli::ask::terminal::Terminal;
use crate::cli::cases::keep::journal_keep;
use crate::cli::cases::learned::reasoner;
use crate::cli::chamber;
use crate::cli::diagnose;
use crate::cli::exit::{Exit, Failure, Outcome};
use crate::cli::given::{feed, fill_in};
use crate::cli::input;
use crate::cli::session::Session;
use crate::describe::{Description, Reader, Why};
use crate::engine::diagnosis::Verdict;
use crate::engine::knowledge::KnowledgeBase;
use crate::report::description::description;
use crate::report::json;
use crate::report::text::Told;

/// Carries out the command.
///
/// # Errors
/// Where the text or the profile cannot be read, or the result cannot be written.
pub fn run(args: &DescribeArgs, session: &Session) -> Outcome {
    // The words that people use are left out of the knowledge that other commands load.
    let base = session.full_base()?;
    let reader = Reader::new(&base);
    let terminal =
        (session.format == Format::Text && io::stdin().is_terminal() && io::stderr().is_terminal())
            .then(|| {
                Terminal::new(
                    &base,
                    session.look_of_questions(),
                    session.width_is_asked(),
                    session.system,
                )
            });
    let Some((text, read)) = confirmed(args, &base, &reader, terminal.as_ref(), session)? else {
        return Ok(Exit::Done);
    };
    let mut observations = read.observations();
    let profile = args.profile.as_ref().or(session.settings.profile.as_ref());
    // Nothing comes of nothing: what is known of the chamber alone is no answer to words that were not understood.
    if !read.is_empty() {
        if let Some(path) = profile {
            chamber::add(&mut observations, path, &base, session)?;
        }
        fill_in(&mut observations, &base, session)?;
        feed(&mut observations, &base)?;
    }
    let mut diagnosis = reasoner(&base, session)?.diagnose(&observations);
    if diagnosis.verdict == Verdict::NothingWrong && may_matter(&read) {
        // What was not understood may be the trouble itself: nobody is told that all is well.
        diagnosis.verdict = Verdict::NothingTold;
    }
    match session.format {
        Format::Text => diagnose::write(&base, &observations, &diagnosis, session)?,
        Format::Json => {
            let told = Told {
                base: &base,
                observations: &observations,
                diagnosis: &diagnosis,
            };
            session.write_json(&json::description_of(&text, &read, &told))?;
        }
    }
    match &args.save {
        None => {}
        Some(None) => {
            let profile = profile.map(PathBuf::as_path);
            journal_keep(&base, &observations, &diagnosis, profile, session)?;
        }
        Some(Some(path)) => {
            save::case(&base, &observations, path, false).map_err(Failure::unable)?;
        }
    }
    Ok(Exit::Done)
}

/// Whether something was left aside that may say what is wrong.
fn may_matter(read: &Description) -> bool {
    read.not_understood.iter().any(|piece| {
        matches!(
            piece.why,
            Why::Unknown | Why::PartlyUnknown | Why::NotTogether | Why::Doubtful(_)
        )
    })
}

/// The text with what was understood of it; at a terminal, once the person has said that it is right. Nothing where
/// the person gave up.
fn confirmed(
    args: &DescribeArgs,
    base: &KnowledgeBase,
    reader: &Reader<'_>,
    terminal: Option<&Terminal<'_>>,
    session: &Session,
) -> Result<Option<(String, Description)>, Failure> {
    let mut text = match (given(args)?, terminal) {
        (Some(text), _) => text,
        (None, Some(terminal)) => {
            let said = line(terminal, "What do you see?")?;
            if said.trim().is_empty() {
                return Ok(None);
            }
            said
        }
        (None, None) => input::prose(Path::new("-"))?,
    };
    loop {
        let read = reader.read(&text);
        if session.format == Format::Text {
            let shown = description(base, &read, session.system, session.look);
            session.write(&shown)?;
        }
        let Some(terminal) = terminal.filter(|_| !args.yes) else {
            return Ok(Some((text, read)));
        };
        let right = !read.is_empty() && ask(terminal.agree("Is this right?"))?;
        if right {
            return Ok(Some((text, read)));
        }
        text = line(terminal, "In other words (Enter alone ends)")?;
        if text.trim().is_empty() {
            return Ok(None);
        }
    }
}

/// The text of the arguments or the file they name.
fn given(args: &DescribeArgs) -> Result<Option<String>, Failure> {
    match &args.file {
        Some(path) => input::prose(path).map(Some),
        // Words that nobody put in quotation marks are one text all the same.
        None => Ok((!args.text.is_empty()).then(|| args.text.join(" "))),
    }
}

fn line(terminal: &Terminal<'_>, question: &str) -> Result<String, Failure> {
    ask(terminal.line(question, ""))
}

fn ask<T>(answer: io::Result<T>) -> Result<T, Failure> {
    answer.map_err(|error| crate::cli::ask::keep::broken_off(&error))
}
