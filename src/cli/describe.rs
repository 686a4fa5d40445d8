//! `describe`: a diagnosis from a grower's own words.

use std::io::{self, IsTerminal};
use std::path::{Path, PathBuf};

use crate::cli::args::{AskArgs, DescribeArgs, Format};
use crate::cli::ask::from_words::{Said, agreed, asked};
use crate::cli::ask::terminal::Terminal;
use crate::cli::ask::{self, save};
use crate::cli::cases::keep::journal_keep;
use crate::cli::cases::learned::reasoner;
use crate::cli::chamber;
use crate::cli::diagnose;
use crate::cli::exit::{Exit, Failure, Outcome};
use crate::cli::given::{feed, fill_in};
use crate::cli::input;
use crate::cli::session::Session;
use crate::engine::diagnosis::Verdict;
use crate::engine::knowledge::KnowledgeBase;
use crate::report::json;
use crate::report::text::Told;

/// Carries out the command.
///
/// # Errors
/// Where the text or the profile cannot be read, or the result cannot be written.
pub fn run(args: &DescribeArgs, session: &Session) -> Outcome {
    // The words that people use are left out of the knowledge that other commands load.
    let base = session.full_base()?;
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
    let Some(said) = confirmed(args, &base, terminal.as_ref(), session)? else {
        return Ok(Exit::Done);
    };
    let Said { text, read } = &said;
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
    said.temper(&mut diagnosis);
    match session.format {
        Format::Text => diagnose::write(&base, &observations, &diagnosis, session)?,
        Format::Json => {
            let told = Told {
                base: &base,
                observations: &observations,
                diagnosis: &diagnosis,
            };
            session.write_json(&json::description_of(text, read, &told))?;
        }
    }
    let open = diagnosis.verdict != Verdict::Decided || !diagnosis.next_checks.is_empty();
    if let Some(terminal) = terminal.filter(|_| !args.yes && open)
        && asked(terminal.agree("Go on with questions?"))?
    {
        let walk = AskArgs {
            profile: args.profile.clone(),
            save: args.save.clone(),
            ..AskArgs::default()
        };
        return ask::go_on(said, &walk, session);
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

/// The text with what was understood of it; at a terminal, once the person has said that it is right. Nothing where
/// the person gave up.
fn confirmed(
    args: &DescribeArgs,
    base: &KnowledgeBase,
    terminal: Option<&Terminal<'_>>,
    session: &Session,
) -> Result<Option<Said>, Failure> {
    let text = match (given(args)?, terminal) {
        (Some(text), _) => text,
        (None, Some(terminal)) => {
            let said = asked(terminal.line("What do you see?", ""))?;
            if said.trim().is_empty() {
                return Ok(None);
            }
            said
        }
        (None, None) => input::prose(Path::new("-"))?,
    };
    let terminal = terminal.filter(|_| !args.yes);
    agreed(text, base, terminal, "ends", session)
}

/// The text of the arguments or the file they name.
fn given(args: &DescribeArgs) -> Result<Option<String>, Failure> {
    match &args.file {
        Some(path) => input::prose(path).map(Some),
        // Words that nobody put in quotation marks are one text all the same.
        None => Ok((!args.text.is_empty()).then(|| args.text.join(" "))),
    }
}
