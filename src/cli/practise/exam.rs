//! `practise exam`: a fixed set of cases, on paper or at the terminal.

use crate::cli::args::{ExamArgs, Format, LevelWord};
use crate::cli::exit::{Exit, Failure, Outcome};
use crate::cli::new_file::{free, put};
use crate::cli::practise::record::Keeper;
use crate::cli::practise::rounds::Course;
use crate::cli::practise::{sit, topic};
use crate::cli::session::Session;
use crate::engine::reasoner::Reasoner;
use crate::report::handbook::Book;
use crate::report::html;
use crate::report::json;
use crate::report::practice::{Paper, answer_sheet, paper};
use crate::report::sanitise;
use crate::train::practice::exam::{Sheet, exam, sheet};
use crate::train::practice::level::Level;

/// Carries out the command.
///
/// # Errors
/// Where there is no such topic or case, nobody to ask, or something cannot be written.
pub fn run(args: &ExamArgs, session: &Session) -> Outcome {
    if let Some(path) = &args.html {
        free(path)?;
    }
    let base = session.full_base()?;
    let topic = topic(&base, args.topic.as_deref())?;
    let level: Option<Level> = args.level.map(LevelWord::into);
    let reasoner = Reasoner::new(&base, session.system);
    let course = Course {
        seed: args.seed,
        level,
        topic,
        cases: None,
        fixed: None,
    };
    let cases = exam(&reasoner, course.wish(), args.seed, usize::from(args.cases));
    if cases.is_empty() {
        return Err(Failure::unable(
            "no such case could be drawn; try another topic or level",
        ));
    }
    if args.helper.is_some() || args.answers.is_some() {
        let keeper = Keeper::new(args.helper.as_deref())?.of_exam(args.seed);
        let course = Course {
            fixed: Some(&cases),
            ..course
        };
        return sit(&reasoner, course, keeper, args.answers.as_deref(), session);
    }
    let sheets: Vec<Sheet> = cases
        .into_iter()
        .map(|case| sheet(&reasoner, case))
        .collect();
    let printed = Paper {
        sheets: &sheets,
        seed: args.seed,
        level: level.map(Level::word),
        topic: topic.map(|topic| topic.title.as_str()),
    };
    let book = Book {
        base: &base,
        system: session.system,
        look: session.look,
    };
    if let Some(path) = &args.html {
        let page = html::exam(book, &reasoner, &printed, args.answer_sheet);
        put(path, &page)?;
        session.write(&format!(
            "Written: {}\n",
            sanitise::line(&path.display().to_string())
        ))?;
        return Ok(Exit::Done);
    }
    match session.format {
        Format::Text if args.answer_sheet => {
            session.write(&answer_sheet(book, &reasoner, &printed))?;
        }
        Format::Text => session.write(&paper(book, &reasoner, &printed))?,
        Format::Json => {
            session.write_json(&json::practice(&base).with_exam(book, &reasoner, &printed))?;
        }
    }
    Ok(Exit::Done)
}
