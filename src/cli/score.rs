//! `knowledge score`: how well stated confidence holds, over case files and over cases drawn from the knowledge.

use crate::cli::args::{Format, ScoreArgs};
use crate::cli::exit::{Exit, Failure, Outcome};
use crate::cli::session::Session;
use crate::engine::knowledge::KnowledgeBase;
use crate::engine::quantity::System;
use crate::engine::reasoner::Reasoner;
use crate::journal::case;
use crate::knowledge::embedded;
use crate::knowledge::read::read_folder;
use crate::report::score::{Origin, score_report, score_text, statements};
use crate::train::score::{Judged, score};
use crate::train::simulate::{Wish, put_off, simulate};
use crate::train::without::{Known, without_each};

/// Carries out the command.
///
/// # Errors
/// Where a folder cannot be read, a case in it has faults, there is nothing to score, or the result cannot be written.
pub fn run(args: &ScoreArgs, session: &Session) -> Outcome {
    let base = session.base()?;
    let (origin, cases) = match args.simulated {
        Some(cases) => simulated(args, cases, base, session.system),
        None => from_files(args, base, session)?,
    };
    // A simulator that is off leaves the book as it is; cases from files can only be met by a book that is off.
    let off = (args.simulated.is_none() && args.off_by > 1.0)
        .then(|| put_off(base, args.off_by, args.seed));
    let base = off.as_ref().unwrap_or(base);
    let reasoner = Reasoner::new(base, session.system);
    let judged: Vec<Judged> = cases
        .iter()
        .map(|case| Judged {
            name: case.name.clone(),
            stated: reasoner.stated(&case.known.observations),
            wanted: case.known.right.clone(),
            missed: case.missed.clone(),
        })
        .collect();
    if judged.is_empty() {
        return Err(Failure::unable(
            "there is no case to score: none says what it expects, or none could be drawn",
        ));
    }
    let found = score(&judged);
    let removals = args.without_each.then(|| {
        let known: Vec<Known> = cases.into_iter().map(|case| case.known).collect();
        without_each(base, session.system, &known)
    });
    let removals = removals.as_deref();
    match session.format {
        Format::Text => session.write(&score_text(&origin, &found, removals, session.look))?,
        Format::Json => {
            let mut report = score_report(&base.fingerprint, origin, &found, removals);
            if session.look.detail {
                report.statements = Some(statements(&judged));
            }
            session.write_json(&report)?;
        }
    }
    Ok(Exit::Done)
}

/// A case to be scored.
struct Case {
    name: String,
    known: Known,
    missed: Option<String>,
}

fn simulated(
    args: &ScoreArgs,
    cases: usize,
    base: &KnowledgeBase,
    system: System,
) -> (Origin, Vec<Case>) {
    let wish = Wish {
        cases,
        seed: args.seed,
        off_by: args.off_by,
    };
    let drawn = simulate(&Reasoner::new(base, system), wish);
    let cases = drawn
        .cases
        .into_iter()
        .enumerate()
        .map(|(number, case)| Case {
            name: (number + 1).to_string(),
            known: Known {
                observations: case.observations,
                right: case.present,
            },
            missed: None,
        })
        .collect();
    let origin = Origin::Simulated {
        seed: args.seed,
        off_by: args.off_by,
        tellable: (drawn.tellable, base.signs.len()),
        dropped: drawn.dropped,
    };
    (origin, cases)
}

/// The cases of a folder, or the built-in ones; those are left out, not refused, where they do not fit the knowledge.
fn from_files(
    args: &ScoreArgs,
    base: &KnowledgeBase,
    session: &Session,
) -> Result<(Origin, Vec<Case>), Failure> {
    let folder = args.folder.as_deref();
    let files = match folder {
        Some(folder) => read_folder(folder, 0)?,
        None => embedded::published_cases(),
    };
    let mut left_out = Vec::new();
    let mut cases = Vec::new();
    for file in files {
        let name = stem(&file.name);
        let expect = match case::parse(base, &file.name, &file.text) {
            Ok(case) => case.expect.map(|expect| (case.observations, expect)),
            Err(_) if folder.is_none() => None,
            Err(problems) => return Err(Failure::drawn(session.drawn(&problems, &[file]))),
        };
        let Some((observations, expect)) = expect else {
            left_out.push(name);
            continue;
        };
        cases.push(Case {
            name,
            known: Known {
                observations,
                right: expect.leads,
            },
            missed: expect.missed,
        });
    }
    let folder = folder.map(|folder| folder.display().to_string());
    let origin = Origin::Files {
        folder,
        left_out,
        seed: args.seed,
        off_by: args.off_by,
    };
    Ok((origin, cases))
}

/// The name of a file without its folders and ending.
fn stem(name: &str) -> String {
    let last = name.rsplit('/').next().unwrap_or(name);
    last.trim_end_matches(".toml").to_owned()
}
