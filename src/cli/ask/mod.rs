//! `ask`: a walk through a diagnosis, one question at a time.

pub mod answers;
pub mod keep;
pub mod prompt;
pub mod script;
pub mod terminal;
pub mod walk;

use std::collections::HashSet;
use std::io::{self, IsTerminal};
use std::path::Path;

use crate::cli::args::{AskArgs, Format};
use crate::cli::ask::answers::{Answers, parse};
use crate::cli::ask::keep::Keeper;
use crate::cli::ask::prompt::running;
use crate::cli::ask::script::Script;
use crate::cli::ask::terminal::Terminal;
use crate::cli::ask::walk::{End, MOST_CHECKS, Moved, Reply, Step, Walk};
use crate::cli::diagnose;
use crate::cli::exit::{Exit, Failure, Outcome};
use crate::cli::home::write_whole;
use crate::cli::input;
use crate::cli::session::Session;
use crate::engine::diagnosis::Diagnosis;
use crate::engine::id::CautionId;
use crate::engine::knowledge::{KnowledgeBase, Severity};
use crate::engine::observations::Observations;
use crate::engine::reasoner::Reasoner;
use crate::journal::case::{CaseFile, to_toml};
use crate::report::page::{Ink, Look, Page};
use crate::report::text::caution;

/// Somebody, or something, that answers.
pub trait Asker {
    /// Tells what needs no answer.
    ///
    /// # Errors
    /// Where it cannot be told.
    fn say(&mut self, text: &str) -> io::Result<()>;

    /// Waits until what was told has been read.
    ///
    /// # Errors
    /// Where there is nobody to wait for any more.
    fn pause(&mut self) -> io::Result<()> {
        Ok(())
    }

    /// Puts a step and returns the reply.
    ///
    /// # Errors
    /// Where no reply can be had.
    fn ask(&mut self, step: &Step) -> io::Result<Reply>;
}

/// Carries out the command.
///
/// # Errors
/// Where there is no terminal and no answers, a file cannot be read or has faults, or something cannot be written.
pub fn run(args: &AskArgs, session: &Session) -> Outcome {
    let base = session.base()?;
    if let Some(path) = &args.answers {
        return scripted(base, path, args.save.as_deref(), session);
    }
    if !io::stdin().is_terminal() || !io::stderr().is_terminal() {
        return Err(Failure::usage(
            "`ask` needs a terminal, and there is none here. Give the answers in a file with `blockside ask --answers \
             FILE`, or tell everything at once with `blockside diagnose`",
        ));
    }
    at_terminal(base, args, session)
}

fn scripted(base: &KnowledgeBase, path: &Path, save: Option<&Path>, session: &Session) -> Outcome {
    let answers = read_answers(base, path)?;
    let reasoner = Reasoner::new(base, session.system);
    let mut out = |text: &str| match session.format {
        Format::Text => session.write(text).map_err(|failure| match failure.exit {
            Exit::Done => io::ErrorKind::BrokenPipe.into(),
            _ => io::Error::other(failure.message),
        }),
        Format::Json => Ok(()),
    };
    let mut script = Script::new(base, answers, session.look, session.system, &mut out);
    let walk = Walk::new(base, Answers::default());
    let done = through(walk, &reasoner, &mut script, session.look, &mut |_| Ok(()))?;
    diagnose::write(base, &done.observations, &done.diagnosis, session)?;
    if let Some(path) = save {
        save_case(base, &done.observations, path, false)?;
    }
    Ok(Exit::Done)
}

fn at_terminal(base: &KnowledgeBase, args: &AskArgs, session: &Session) -> Outcome {
    let start = match &args.resume {
        Some(path) => read_answers(base, path)?,
        None => Answers::default(),
    };
    let look = Look {
        colour: session.errors_in_colour,
        ..session.look
    };
    let mut keeper = Keeper::new(args.resume.as_deref())?;
    let mut terminal = Terminal::new(base, look, session.system);
    let note = |terminal: &mut Terminal<'_>, text: &str| {
        let mut page = Page::new(look);
        page.paragraph(0, Ink::Faint, text);
        terminal
            .say(&page.finish())
            .map_err(|error| keep::broken_off(&error))
    };
    match (&args.resume, keeper.earlier()) {
        (Some(path), _) => note(
            &mut terminal,
            &format!(
                "Going on after {} answers from {}.",
                start.steps(),
                path.display()
            ),
        )?,
        (None, Some(earlier)) => note(
            &mut terminal,
            &format!(
                "An earlier walk was broken off; to go on with it: blockside ask --resume {}",
                earlier.display()
            ),
        )?,
        (None, None) => {}
    }
    let reasoner = Reasoner::new(base, session.system);
    let walk = Walk::new(base, start);
    let done = through(walk, &reasoner, &mut terminal, look, &mut |answers| {
        keeper.keep(answers)
    })?;
    diagnose::write(base, &done.observations, &done.diagnosis, session)?;
    offer_to_save(base, &done.observations, args.save.as_deref(), &terminal)?;
    keeper.finished();
    Ok(Exit::Done)
}

fn read_answers(base: &KnowledgeBase, path: &Path) -> Result<Answers, Failure> {
    let read = input::read(path)?;
    parse(base, &read.text).map_err(|faults| {
        Failure::unable(format!(
            "the answers in `{}` cannot be used:\n{}",
            read.name,
            faults.join("\n")
        ))
    })
}

/// Where a walk came out.
#[derive(Debug, Clone, PartialEq)]
pub struct Done {
    /// What was told.
    pub observations: Observations,
    /// What it comes to.
    pub diagnosis: Diagnosis,
}

/// Goes through a walk to its end. The answers are kept after every step.
///
/// # Errors
/// Where no reply can be had any more.
pub fn through(
    mut walk: Walk<'_>,
    reasoner: &Reasoner<'_>,
    asker: &mut dyn Asker,
    look: Look,
    keep: &mut dyn FnMut(&Answers) -> io::Result<()>,
) -> Result<Done, Failure> {
    let mut warned: HashSet<CautionId> = HashSet::new();
    let broken = |error: io::Error| keep::broken_off(&error);
    loop {
        let observations = walk.observations();
        let diagnosis = reasoner.diagnose(&observations);
        interrupt(&diagnosis, &mut warned, asker, look).map_err(broken)?;
        let step = walk.step(&diagnosis);
        if let Step::Finished(end) = step {
            let mut page = Page::new(look);
            page.paragraph(0, Ink::Faint, ending(end));
            page.blank();
            asker.say(&page.finish()).map_err(broken)?;
            return Ok(Done {
                observations,
                diagnosis,
            });
        }
        let mut page = Page::new(look);
        // An empty line parts the steps.
        let mut head = String::from("\n");
        if let Some(line) = running(&diagnosis) {
            page.paragraph(0, Ink::Faint, &line);
            head.push_str(&page.finish());
        }
        asker.say(&head).map_err(broken)?;
        let reply = asker.ask(&step).map_err(broken)?;
        if walk.reply(&step, reply) == Moved::Nowhere {
            let mut page = Page::new(look);
            page.paragraph(0, Ink::Faint, "There is no step before this one.");
            asker.say(&page.finish()).map_err(broken)?;
        }
        if let Err(error) = keep(walk.answers()) {
            let mut page = Page::new(look);
            page.paragraph(
                0,
                Ink::Care,
                &format!(
                    "Your answers cannot be kept in case of a break ({error}); the walk goes on."
                ),
            );
            asker.say(&page.finish()).map_err(broken)?;
        }
    }
}

/// Tells every new caution that cannot wait for the report, each once.
fn interrupt(
    diagnosis: &Diagnosis,
    warned: &mut HashSet<CautionId>,
    asker: &mut dyn Asker,
    look: Look,
) -> io::Result<()> {
    for due in &diagnosis.cautions {
        if due.severity == Severity::Info || !warned.insert(due.id.clone()) {
            continue;
        }
        let mut page = Page::new(look);
        caution(&mut page, due);
        asker.say(&format!("\n{}", page.finish()))?;
        if due.severity == Severity::Stop {
            asker.pause()?;
        }
    }
    Ok(())
}

fn ending(end: End) -> &'static str {
    const { assert!(MOST_CHECKS == 15, "the sentence below names the number") };
    match end {
        End::Enough => "That was enough. The result:",
        End::NothingOpen => "Nothing is left that is worth asking. The result:",
        End::NothingDoable => "What is left to look at cannot be checked now. The result:",
        End::Long => "Fifteen checks are enough for one visit. The result:",
    }
}

fn offer_to_save(
    base: &KnowledgeBase,
    observations: &Observations,
    named: Option<&Path>,
    terminal: &Terminal<'_>,
) -> Result<(), Failure> {
    let broken = |error: io::Error| keep::broken_off(&error);
    let path = match named {
        Some(path) => path.to_owned(),
        None => {
            if !terminal
                .confirm("Save this case to a file?")
                .map_err(broken)?
            {
                return Ok(());
            }
            terminal.line("File", "case.toml").map_err(broken)?.into()
        }
    };
    let replace = path.exists()
        && terminal
            .confirm(&format!("{} is there already. Replace it?", path.display()))
            .map_err(broken)?;
    save_case(base, observations, &path, replace)
}

fn save_case(
    base: &KnowledgeBase,
    observations: &Observations,
    path: &Path,
    replace: bool,
) -> Result<(), Failure> {
    let case = CaseFile {
        observations: observations.clone(),
        ..CaseFile::default()
    };
    write_whole(path, &to_toml(base, &case), replace).map_err(|error| {
        let shown = path.display();
        if error.kind() == io::ErrorKind::AlreadyExists {
            Failure::unable(format!(
                "`{shown}` is there already and was left as it is; the case was not saved"
            ))
        } else {
            Failure::unable(format!("the case could not be saved to `{shown}`: {error}"))
        }
    })
}
