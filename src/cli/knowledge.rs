//! `knowledge`: check it, list it.

use std::path::Path;

use serde_json::json;

use crate::cli::args::{Format, KnowledgeCommand};
use crate::cli::exit::{Exit, Failure, Outcome};
use crate::cli::score;
use crate::cli::session::Session;
use crate::engine::knowledge::KnowledgeBase;
use crate::journal::case;
use crate::knowledge::build::{Built, SourceFile, build};
use crate::knowledge::coverage::{Cases, coverage};
use crate::knowledge::embedded;
use crate::knowledge::problem::{Gravity, Problem, ProblemCode};
use crate::knowledge::read::read_folder;
use crate::report::catalogue::{Kind, entries, list, table};
use crate::report::coverage::{self as report, COVERAGE_SCHEMA, CoverageReport};
use crate::report::page::{Ink, Page};
use crate::report::problems;

/// Carries out the command.
///
/// # Errors
/// Where a folder cannot be read or the result cannot be written.
pub fn run(command: &KnowledgeCommand, session: &Session) -> Outcome {
    match command {
        KnowledgeCommand::Check {
            folder,
            coverage,
            cases,
        } => {
            let asked = coverage.then_some(cases.as_deref());
            check(folder.as_deref(), asked, session)
        }
        KnowledgeCommand::List { kind } => {
            let kind = Kind::parse(kind)
                .ok_or_else(|| Failure::usage(format!("there is no kind called `{kind}`")))?;
            let base = session.full_base()?;
            match session.format {
                Format::Text => session.write(&table(&base, kind, session.look))?,
                Format::Json => session.write_json(&list(&base, kind))?,
            }
            Ok(Exit::Done)
        }
        KnowledgeCommand::Score(args) => score::run(args, session),
        KnowledgeCommand::Codes => {
            codes(session)?;
            Ok(Exit::Done)
        }
    }
}

/// Checks the knowledge, and looks over its coverage where that is asked for, against cases of a folder or built in.
fn check(folder: Option<&Path>, asked: Option<Option<&Path>>, session: &Session) -> Outcome {
    let files = match folder {
        Some(folder) => with_folder(folder)?,
        None => session.files()?,
    };
    let Built { base, problems } = build(&files);
    let errors = count(&problems, Gravity::Error);
    if let Some(cases) = asked {
        let found = coverage(&base, covered(&base, cases)?);
        match session.format {
            Format::Text => {
                let mut text = checked(&base, &problems, &files, session);
                text.push_str(&report::coverage(&base, &found, session.look));
                session.write(&text)?;
            }
            Format::Json => session.write_json(&CoverageReport {
                schema: COVERAGE_SCHEMA,
                knowledge: base.fingerprint.clone(),
                errors,
                warnings: count(&problems, Gravity::Warning),
                coverage: found,
            })?,
        }
        return Ok(if errors > 0 { Exit::No } else { Exit::Done });
    }
    match session.format {
        Format::Text => session.write(&checked(&base, &problems, &files, session))?,
        Format::Json => session.write_json(&json!({
            "schema": "blockside.check/1",
            "files": files.len(),
            "errors": errors,
            "warnings": count(&problems, Gravity::Warning),
            "problems": problems.iter().map(as_json).collect::<Vec<_>>(),
        }))?,
    }
    Ok(if errors > 0 { Exit::No } else { Exit::Done })
}

/// What the cases of a folder, or the built-in ones, cover. Cases written for other knowledge are named, not refused:
/// the built-in ones stand beside whatever knowledge is asked for.
///
/// # Errors
/// Where the folder cannot be read.
pub fn covered(base: &KnowledgeBase, folder: Option<&Path>) -> Result<Cases, Failure> {
    let files = match folder {
        Some(folder) => read_folder(folder, 0)?,
        None => embedded::published_cases(),
    };
    let mut cases = Cases::default();
    for file in files {
        let Ok(case) = case::parse(base, &file.name, &file.text) else {
            cases.left_out.push(file.name);
            continue;
        };
        cases.read += 1;
        let expect = case.expect.unwrap_or_default();
        cases.covered.extend(
            expect
                .leads
                .into_iter()
                .chain(expect.among)
                .chain(expect.root),
        );
    }
    Ok(cases)
}

/// A folder that has a scale stands by itself; any other adds to the built-in knowledge.
fn with_folder(folder: &Path) -> Result<Vec<SourceFile>, Failure> {
    let own = read_folder(folder, 0)?;
    let by_itself = own
        .iter()
        .any(|file| file.name.rsplit('/').next() == Some("scale.toml"));
    if by_itself {
        return Ok(own);
    }
    let mut files = embedded::files();
    files.extend(own.into_iter().map(|file| SourceFile { layer: 1, ..file }));
    Ok(files)
}

fn count(problems: &[Problem], gravity: Gravity) -> usize {
    problems
        .iter()
        .filter(|problem| problem.code.gravity() == gravity)
        .count()
}

fn checked(
    base: &KnowledgeBase,
    found: &[Problem],
    files: &[SourceFile],
    session: &Session,
) -> String {
    let look = if session.look.colour {
        problems::Look::Coloured
    } else {
        problems::Look::Plain
    };
    let mut text = problems::render_all(found, files, look);
    let mut page = Page::new(session.look);
    let counts: Vec<String> = Kind::ALL
        .iter()
        .map(|&(kind, word)| format!("{} {word}", entries(base, kind).len()))
        .collect();
    page.paragraph(
        0,
        Ink::Usual,
        &format!("Read {} files: {}.", files.len(), counts.join(", ")),
    );
    let (errors, warnings) = (count(found, Gravity::Error), count(found, Gravity::Warning));
    let ink = if errors > 0 { Ink::Stop } else { Ink::Good };
    page.paragraph(0, ink, &format!("{errors} errors, {warnings} warnings."));
    text.push_str(&page.finish());
    text
}

fn as_json(problem: &Problem) -> serde_json::Value {
    json!({
        "code": problem.code.name(),
        "gravity": gravity_word(problem.code.gravity()),
        "file": problem.file,
        "from": problem.span.as_ref().map(|span| span.start),
        "to": problem.span.as_ref().map(|span| span.end),
        "text": problem.message,
        "help": problem.help,
    })
}

fn gravity_word(gravity: Gravity) -> &'static str {
    match gravity {
        Gravity::Error => "error",
        Gravity::Warning => "warning",
    }
}

fn codes(session: &Session) -> Result<(), Failure> {
    match session.format {
        Format::Text => {
            let rows: Vec<(String, String)> = ProblemCode::ALL
                .iter()
                .map(|code| {
                    let text = format!("[{}] {}", gravity_word(code.gravity()), code.about());
                    (code.name().to_owned(), text)
                })
                .collect();
            let mut page = Page::new(session.look);
            page.columns(&rows);
            session.write(&page.finish())
        }
        Format::Json => {
            let codes: Vec<serde_json::Value> = ProblemCode::ALL
                .iter()
                .map(|code| {
                    json!({
                        "code": code.name(),
                        "gravity": gravity_word(code.gravity()),
                        "about": code.about(),
                    })
                })
                .collect();
            session.write_json(&json!({ "schema": "blockside.codes/1", "codes": codes }))
        }
    }
}
