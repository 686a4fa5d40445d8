//! `ask`: a walk through a diagnosis, one question at a time.

pub mod again;
pub mod answers;
pub mod from_words;
pub mod homework;
pub mod keep;
pub mod keys;
pub mod leaving;
pub mod list;
pub mod prompt;
pub mod quiet;
pub mod save;
pub mod script;
pub mod spot;
pub mod swatch;
pub mod terminal;
pub mod theme;
pub mod through;
pub mod topics;
pub mod typed;
pub mod walk;

use std::io::{self, IsTerminal};
use std::path::{Path, PathBuf};

use crate::cli::args::{AskArgs, Format};
use crate::cli::ask::answers::{Answers, parse};
use crate::cli::ask::from_words::{Said, agreed, from_rounds, known};
use crate::cli::ask::keep::{Earlier, Keeper};
use crate::cli::ask::quiet::Quiet;
use crate::cli::ask::script::Script;
use crate::cli::ask::terminal::Terminal;
use crate::cli::ask::walk::{Reply, Step, Walk};
use crate::cli::cases::keep::journal_keep;
use crate::cli::cases::learned;
use crate::cli::chamber;
use crate::cli::diagnose;
use crate::cli::exit::{Exit, Failure, Outcome};
use crate::cli::given::{listed, usual_species};
use crate::cli::input;
use crate::cli::session::Session;
use crate::engine::chamber::facts::ProfileFacts;
use crate::engine::chamber::profile::Chamber;
use crate::engine::knowledge::KnowledgeBase;
use crate::report::page::{Ink, Look, Page};

pub use crate::cli::ask::through::{Done, through};

/// Somebody, or something, that answers.
pub trait Asker {
    /// How what is said next should look, where that follows a window that can change; `None` for as agreed.
    fn look(&mut self) -> Option<Look> {
        None
    }

    /// Tells what needs no answer.
    ///
    /// # Errors
    /// Where it cannot be told.
    fn say(&mut self, text: &str) -> io::Result<()>;

    /// Tells what has to be read before the next step is put.
    ///
    /// # Errors
    /// Where it cannot be told.
    fn notice(&mut self, text: &str) -> io::Result<()> {
        self.say(text)
    }

    /// Waits until what was told has been read.
    ///
    /// # Errors
    /// Where there is nobody to wait for any more.
    fn pause(&mut self) -> io::Result<()> {
        Ok(())
    }

    /// Takes notice of what was answered so far.
    fn knows(&mut self, _answers: &Answers) {}

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
    let profile = match args.profile.as_ref().or(session.settings.profile.as_ref()) {
        Some(path) => Some(chamber::told_by(path, base, session)?),
        None => None,
    };
    let words = (!args.text.is_empty()).then(|| args.text.join(" "));
    if let Some(path) = &args.answers {
        let said = match words {
            // The words that people use are left out of the knowledge that walks need.
            Some(text) => agreed(text, &session.full_base()?, None, "", session)?,
            None => None,
        };
        return scripted(base, path, (said, profile), args, session);
    }
    if !io::stdin().is_terminal() || !io::stderr().is_terminal() {
        return Err(Failure::usage(
            "`ask` needs a terminal, and there is none here. Give the answers in a file with `blockside ask --answers \
             FILE`, or tell everything at once with `blockside diagnose`",
        ));
    }
    let said = match words {
        Some(text) => {
            let full = session.full_base()?;
            let terminal = Terminal::new(
                &full,
                session.look_of_questions(),
                session.width_is_asked(),
                session.system,
            );
            // Who goes on with a walk has agreed already.
            let asked = args.resume.is_none().then_some(&terminal);
            agreed(text, &full, asked, "begins with the questions", session)?
        }
        None => None,
    };
    at_terminal(base, args, (said, profile), session)
}

/// Goes on at the terminal from words that were agreed on.
///
/// # Errors
/// As [`run`].
pub fn go_on(said: Said, args: &AskArgs, session: &Session) -> Outcome {
    let base = session.base()?;
    let profile = match args.profile.as_ref().or(session.settings.profile.as_ref()) {
        Some(path) => Some(chamber::told_by(path, base, session)?),
        None => None,
    };
    at_terminal(base, args, (Some(said), profile), session)
}

/// A chamber with what its profile tells.
type Profile = (Chamber, ProfileFacts);

fn in_chamber(walk: Walk<'_>, profile: Option<Profile>) -> Walk<'_> {
    match profile {
        Some((chamber, facts)) => walk.in_chamber(chamber, facts),
        None => walk,
    }
}

fn scripted(
    base: &KnowledgeBase,
    path: &Path,
    (said, profile): (Option<Said>, Option<Profile>),
    args: &AskArgs,
    session: &Session,
) -> Outcome {
    let answers = read_answers(base, path)?;
    let answers = spot::start(args, answers, base)?;
    let start = Answers {
        spot: answers.spot,
        sizes: answers.sizes.clone(),
        ..Answers::default()
    };
    let reasoner = learned::reasoner(base, session)?;
    let mut out = |text: &str| match session.format {
        Format::Text => session.write(text).map_err(|failure| match failure.exit {
            Exit::Done => io::ErrorKind::BrokenPipe.into(),
            _ => io::Error::other(failure.message),
        }),
        Format::Json => Ok(()),
    };
    let mut script = Script::new(base, answers, session.look, session.system, &mut out);
    let failed = |error: io::Error| match error.kind() {
        io::ErrorKind::BrokenPipe => Failure::writing(&error),
        _ => Failure::unable(error.to_string()),
    };
    if start.spot {
        spot::first_minute(base, &mut script, session.look).map_err(failed)?;
    }
    let known = known(said.as_ref(), base)?;
    if let Some(note) = from_rounds(&known, base, session.system, session.look) {
        script.say(&note).map_err(failed)?;
    }
    let walk = in_chamber(Walk::new(base, start).knowing(known), profile);
    let mut done =
        through(walk, &reasoner, &mut script, session.look, &mut |_| Ok(())).map_err(failed)?;
    if let Some(said) = &said {
        said.temper(&mut done.diagnosis);
    }
    diagnose::write(base, &done.observations, &done.diagnosis, session)?;
    match &args.save {
        None => {}
        Some(None) => kept(base, &done, args, session)?,
        Some(Some(path)) => {
            save::case(base, &done.observations, path, false).map_err(Failure::unable)?;
        }
    }
    Ok(Exit::Done)
}

/// Keeps the case in the journal.
fn kept(
    base: &KnowledgeBase,
    done: &Done,
    args: &AskArgs,
    session: &Session,
) -> Result<(), Failure> {
    let profile = args.profile.as_ref().or(session.settings.profile.as_ref());
    let profile = profile.map(PathBuf::as_path);
    journal_keep(base, &done.observations, &done.diagnosis, profile, session).map(|_| ())
}

fn at_terminal(
    base: &KnowledgeBase,
    args: &AskArgs,
    (said, profile): (Option<Said>, Option<Profile>),
    session: &Session,
) -> Outcome {
    let known = known(said.as_ref(), base)?;
    let mut start = match &args.resume {
        Some(path) => read_answers(base, path)?,
        None => Answers {
            // What the settings say is answered, and can be taken back.
            species: match known.species {
                Some(_) => None,
                None => usual_species(base, session)?.map(Some),
            },
            ..Answers::default()
        },
    };
    let look = session.look_of_questions();
    let mut options = session.knowledge_options();
    if let Some(path) = &args.profile {
        options.extend(["--profile".into(), path.clone().into_os_string()]);
    }
    let words = said.as_ref().map(|said| said.text.as_str());
    let mut keeper = Keeper::new(args.resume.as_deref(), options)?.after(words);
    let _quiet = (!typed::is_dumb()).then(Quiet::begin);
    let mut terminal = Terminal::new(base, look, session.width_is_asked(), session.system);
    let note = |terminal: &mut Terminal<'_>, text: &str| {
        let mut page = Page::new(look);
        page.paragraph(0, Ink::Faint, text);
        terminal
            .say(&page.finish())
            .map_err(|error| keep::broken_off(&error))
    };
    if args.spot {
        start = spot::start(args, start, base)?;
        spot::first_minute(base, &mut terminal, look).map_err(|error| keep::broken_off(&error))?;
    }
    match (&args.resume, keeper.earlier()) {
        (Some(path), _) => note(
            &mut terminal,
            &format!(
                "Going on after {} from {}.",
                match start.steps() {
                    1 => "1 answer".to_owned(),
                    steps => format!("{steps} answers"),
                },
                path.display()
            ),
        )?,
        (None, Some(Earlier { command, homework })) => {
            let left = if homework {
                "An earlier walk left something to look at later. To tell what you found"
            } else {
                "An earlier walk was broken off. To go on with it"
            };
            note(
                &mut terminal,
                &format!(
                    "{left}, press Ctrl-C and give this command; to be rid of it, delete the file it names."
                ),
            )?;
            // Not wrapped, so that it can be pasted.
            terminal
                .say(&format!("  {command}\n"))
                .map_err(|error| keep::broken_off(&error))?;
        }
        (None, None) => {}
    }
    if let Some(text) = from_rounds(&known, base, session.system, look) {
        terminal
            .say(&text)
            .map_err(|error| keep::broken_off(&error))?;
    }
    if let count @ 1.. = start.put_off() {
        let checks = if count == 1 {
            "one check"
        } else {
            "some checks"
        };
        let question = format!("You put off {checks}. Can you make up for that now?");
        if terminal
            .confirm(&question)
            .map_err(|error| keep::broken_off(&error))?
        {
            start.take_up();
        }
    }
    let reasoner = learned::reasoner(base, session)?;
    let walk = Walk::gone_on_with(base, start, &reasoner).knowing(known);
    let walk = in_chamber(walk, profile);
    let mut done = through(walk, &reasoner, &mut terminal, look, &mut |answers| {
        keeper.keep(answers)
    })
    .map_err(|error| keep::broken_off(&error))?;
    if let Some(said) = &said {
        said.temper(&mut done.diagnosis);
    }
    diagnose::write(base, &done.observations, &done.diagnosis, session)?;
    let journal = match &args.save {
        Some(Some(path)) => {
            save::offer(base, &done.observations, path, &mut terminal)
                .map_err(|error| keep::broken_off(&error))?;
            false
        }
        Some(None) => true,
        None => terminal
            .confirm("Keep this case in your journal?")
            .map_err(|error| keep::broken_off(&error))?,
    };
    if journal {
        kept(base, &done, args, session)?;
    }
    if let Some(command) = keeper.finished(!done.diagnosis.homework.is_empty()) {
        note(
            &mut terminal,
            "Your answers are kept for the homework. To tell what you found:",
        )?;
        // Not wrapped, so that it can be pasted.
        terminal
            .say(&format!("  {command}\n"))
            .map_err(|error| keep::broken_off(&error))?;
    }
    Ok(Exit::Done)
}

fn read_answers(base: &KnowledgeBase, path: &Path) -> Result<Answers, Failure> {
    let read = input::read(path)?;
    let parsed = parse(base, &read.text);
    let grown = parsed.and_then(|answers| answers.with_growth(base).map_err(|fault| vec![fault]));
    grown.map_err(|faults| {
        Failure::unable(format!(
            "the answers in `{}` cannot be used:\n{}",
            read.name,
            listed(&faults)
        ))
    })
}
