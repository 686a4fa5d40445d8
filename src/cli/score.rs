//! `knowledge score`: how well stated confidence holds, over case files and over cases drawn from the knowledge.

use std::path::Path;

use crate::cli::args::{Format, ScoreArgs};
use crate::cli::exit::{Exit, Failure, Outcome};
use crate::cli::session::Session;
use crate::engine::knowledge::KnowledgeBase;
use crate::engine::reasoner::Reasoner;
use crate::journal::case;
use crate::knowledge::embedded;
use crate::knowledge::read::read_folder;
use crate::report::score::{Origin, score_report, score_text};
use crate::train::score::{Judged, score};
use crate::train::simulate::{Wish, simulate};

/// Carries out the command.
///
/// # Errors
/// Where a folder cannot be read, a case in it has faults, there is nothing to score, or the result cannot be written.
pub fn run(args: &ScoreArgs, session: &Session) -> Outcome {
    let base = session.base()?;
    let reasoner = Reasoner::new(base, session.system);
    let (origin, judged) = match args.simulated {
        Some(cases) => simulated(args, cases, base, &reasoner),
        None => from_files(args.folder.as_deref(), base, &reasoner, session)?,
    };
    if judged.is_empty() {
        return Err(Failure::unable(
            "there is no case to score: none says what it expects, or none could be drawn",
        ));
    }
    let found = score(&judged);
    match session.format {
        Format::Text => session.write(&score_text(&origin, &found, session.look))?,
        Format::Json => session.write_json(&score_report(&base.fingerprint, origin, &found))?,
    }
    Ok(Exit::Done)
}

fn simulated(
    args: &ScoreArgs,
    cases: usize,
    base: &KnowledgeBase,
    reasoner: &Reasoner<'_>,
) -> (Origin, Vec<Judged>) {
    let wish = Wish {
        cases,
        seed: args.seed,
        off_by: args.off_by,
    };
    let drawn = simulate(reasoner, wish);
    let judged = drawn
        .cases
        .iter()
        .enumerate()
        .map(|(number, case)| Judged {
            name: (number + 1).to_string(),
            stated: reasoner.stated(&case.observations),
            wanted: case.present.clone(),
            missed: None,
        })
        .collect();
    let origin = Origin::Simulated {
        seed: args.seed,
        off_by: args.off_by,
        tellable: (drawn.tellable, base.signs.len()),
        dropped: drawn.dropped,
    };
    (origin, judged)
}

/// The cases of a folder, or the built-in ones; those are left out, not refused, where they do not fit the knowledge.
fn from_files(
    folder: Option<&Path>,
    base: &KnowledgeBase,
    reasoner: &Reasoner<'_>,
    session: &Session,
) -> Result<(Origin, Vec<Judged>), Failure> {
    let files = match folder {
        Some(folder) => read_folder(folder, 0)?,
        None => embedded::published_cases(),
    };
    let mut left_out = Vec::new();
    let mut judged = Vec::new();
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
        judged.push(Judged {
            name,
            stated: reasoner.stated(&observations),
            wanted: expect.leads,
            missed: expect.missed,
        });
    }
    let folder = folder.map(|folder| folder.display().to_string());
    Ok((Origin::Files { folder, left_out }, judged))
}

/// The name of a file without its folders and ending.
fn stem(name: &str) -> String {
    let last = name.rsplit('/').next().unwrap_or(name);
    last.trim_end_matches(".toml").to_owned()
}
