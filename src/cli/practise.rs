//! `practise`: cases drawn from the knowledge, for a helper who is learning.

mod exam;
mod leave;
mod record;
mod rounds;
mod script;
mod terminal;

use std::io::{self, IsTerminal};
use std::path::Path;
use std::time::{SystemTime, UNIX_EPOCH};

use jiff::ZonedDateTime;

use crate::cli::args::{Format, LevelWord, PractiseArgs, PractiseCommand};
use crate::cli::ask::quiet::Quiet;
use crate::cli::ask::typed;
use crate::cli::exit::{Exit, Failure, Outcome};
use crate::cli::practise::record::Keeper;
use crate::cli::practise::rounds::{Course, Trainee, go};
use crate::cli::practise::script::Script;
use crate::cli::practise::terminal::Seat;
use crate::cli::session::Session;
use crate::engine::id::TopicId;
use crate::engine::knowledge::{KnowledgeBase, Topic};
use crate::engine::reasoner::Reasoner;
use crate::knowledge::problem::nearest;
use crate::report::handbook::Book;
use crate::report::json;
use crate::report::practice::{helpers, progress, topics};
use crate::report::sanitise::short;

/// Carries out the command.
///
/// # Errors
/// Where there is no such topic or helper, nobody to ask, or something cannot be read or written.
pub fn run(args: &PractiseArgs, session: &Session) -> Outcome {
    match &args.command {
        None => practise(args, session),
        Some(PractiseCommand::Exam(args)) => exam::run(args, session),
        Some(PractiseCommand::Progress { helper }) => shown(helper.as_deref(), session),
        Some(PractiseCommand::Topics) => {
            let base = session.full_base()?;
            match session.format {
                Format::Text => session.write(&topics(&base, session.look))?,
                Format::Json => session.write_json(&json::practice(&base).with_topics(&base))?,
            }
            Ok(Exit::Done)
        }
    }
}

fn practise(args: &PractiseArgs, session: &Session) -> Outcome {
    let base = session.full_base()?;
    let topic = topic(&base, args.topic.as_deref())?;
    let keeper = Keeper::new(args.helper.as_deref())?;
    let reasoner = Reasoner::new(&base, session.system);
    let course = Course {
        seed: args.seed.unwrap_or_else(|| match args.answers {
            // Whoever gives answers means a certain case.
            Some(_) => 1,
            None => by_the_clock(),
        }),
        level: args.level.map(LevelWord::into),
        topic,
        cases: args.cases.map(usize::from),
        fixed: None,
    };
    sit(&reasoner, course, keeper, args.answers.as_deref(), session)
}

/// Lets somebody, or a file of answers, go through a course.
fn sit(
    reasoner: &Reasoner<'_>,
    course: Course<'_>,
    keeper: Keeper,
    answers: Option<&Path>,
    session: &Session,
) -> Outcome {
    let base = reasoner.base();
    if let Some(path) = answers {
        let mut write = |text: &str| match session.format {
            Format::Text => session.write(text),
            Format::Json => Ok(()),
        };
        let mut script = Script::read(base, path, session.look, session.system, &mut write)?;
        return through(reasoner, course, keeper, &mut script, session);
    }
    if !io::stdin().is_terminal() || !io::stderr().is_terminal() {
        return Err(Failure::usage(
            "`practise` needs a terminal, and there is none here. Give the answers in a file with `--answers FILE`, or \
             print an exam with `blockside practise exam --seed 1`",
        ));
    }
    leave::watch()?;
    let _quiet = (!typed::is_dumb()).then(Quiet::begin);
    let mut seat = Seat::new(base, session);
    through(reasoner, course, keeper, &mut seat, session)
}

fn through(
    reasoner: &Reasoner<'_>,
    course: Course<'_>,
    mut keeper: Keeper,
    trainee: &mut dyn Trainee,
    session: &Session,
) -> Outcome {
    let base = reasoner.base();
    let look = trainee.look(session.look);
    let book = Book {
        base,
        system: session.system,
        look,
    };
    let finished = go(reasoner, book, course, &mut keeper, trainee)?;
    if session.format == Format::Json {
        let mut report = json::practice(base);
        for (case, debrief) in &finished {
            report = report.with_round(base, case, debrief);
        }
        if let Some(record) = &keeper.record {
            report = report.with_progress(record);
        }
        session.write_json(&report)?;
    }
    Ok(Exit::Done)
}

/// How a helper comes along, or who has practised.
fn shown(helper: Option<&str>, session: &Session) -> Outcome {
    let base = session.full_base()?;
    let today = ZonedDateTime::now().date();
    let records = match helper {
        Some(helper) => {
            let keeper = Keeper::new(Some(helper))?;
            let record = keeper.record.unwrap_or_default();
            if session.format == Format::Text {
                session.write(&progress(&base, &record, today, session.look))?;
                return Ok(Exit::Done);
            }
            vec![record]
        }
        None => record::all()?,
    };
    match session.format {
        Format::Text => session.write(&helpers(&records, session.look))?,
        Format::Json => {
            let mut report = json::practice(&base);
            for record in &records {
                report = report.with_progress(record);
            }
            session.write_json(&report)?;
        }
    }
    Ok(Exit::Done)
}

/// The topic of this name.
fn topic<'k>(base: &'k KnowledgeBase, word: Option<&str>) -> Result<Option<&'k Topic>, Failure> {
    let Some(word) = word else {
        return Ok(None);
    };
    let wanted = word.trim().to_lowercase();
    let found = base
        .topics
        .iter()
        .find(|(id, topic)| id.as_str() == wanted || topic.title.to_lowercase() == wanted);
    match found {
        Some((_, topic)) => Ok(Some(topic)),
        None => {
            let ids: Vec<&str> = base.topics.keys().map(TopicId::as_str).collect();
            let near = nearest(&wanted, ids.iter().copied())
                .map_or_else(String::new, |near| format!(" did you mean `{near}`?"));
            Err(Failure::usage(format!(
                "no topic is called `{}`;{near} `blockside practise topics` lists them",
                short(word)
            )))
        }
    }
}

/// A seed that nobody has had before.
fn by_the_clock() -> u64 {
    let since = SystemTime::now().duration_since(UNIX_EPOCH);
    // The lower half of the nanoseconds is as good as any.
    since.map_or(0, |since| since.as_nanos() as u64)
}
