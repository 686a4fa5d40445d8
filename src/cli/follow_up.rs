//! `follow-up`: looks at a kept case again.

mod questions;
mod terminal;

use std::io::{self, IsTerminal};

use jiff::ZonedDateTime;

use crate::cli::args::{FollowUpArgs, Format, Given};
use crate::cli::cases::learned::reasoner;
use crate::cli::cases::{action_named, day, note, store};
use crate::cli::exit::{Exit, Failure, Outcome as Done};
use crate::cli::follow_up::questions::questions;
use crate::cli::given;
use crate::cli::session::Session;
use crate::engine::id::CauseId;
use crate::engine::knowledge::KnowledgeBase;
use crate::engine::observations::Observations;
use crate::journal::kept::{Done as Act, FollowUp, KeptCase, KeptDiagnosis, Outcome, written};
use crate::journal::moment::Moment;
use crate::journal::recalled::{Recalled, overlaid, recall};
use crate::knowledge::build::SourceFile;
use crate::report::cases::followed_up;
use crate::report::json;
use crate::report::words::listed;

/// What was found out on looking again.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Looked {
    /// Actions that were done, and not noted before.
    pub done: Vec<Act>,
    /// Actions that were advised and were not done, where that was asked.
    pub not_done: Vec<String>,
    /// Signs and readings as they are now.
    pub now: Observations,
    /// Whether it worked; `None` while it is too early to say.
    pub outcome: Option<Outcome>,
    /// The causes found in the end.
    pub found: Vec<CauseId>,
    /// In the grower's words.
    pub note: Option<String>,
}

/// Carries out the command.
///
/// # Errors
/// Where there is no such case, the options have faults, there is nobody to ask, or the journal cannot be written.
pub fn run(args: &FollowUpArgs, session: &Session) -> Done {
    let base = session.base()?;
    let store = store()?;
    let case = store.find(&args.case)?;
    let before = recalled(base, &case, session)?;
    let asks = args.sign.is_empty()
        && args.reading.is_empty()
        && args.outcome.is_none()
        && args.found.is_empty()
        && args.done.is_empty()
        && !args.nothing_done
        && args.note.is_none();
    let looked = if !asks {
        told(args, base, &case, session)?
    } else if io::stdin().is_terminal() && io::stderr().is_terminal() {
        terminal::ask(base, &case, &before, session)?
    } else {
        return Err(nobody(base, &case, &before));
    };
    let reasoner = reasoner(base, session)?;
    let all = overlaid(base, before, &looked.now);
    let diagnosis = KeptDiagnosis::of(base, &reasoner.diagnose(&all));
    let (signs, readings) = written(base, &looked.now);
    let out_of_question = if looked.found.is_empty() {
        Vec::new()
    } else {
        reasoner.out_of_question(&all)
    };
    let follow_up = FollowUp {
        at: Moment::of(&ZonedDateTime::now()),
        outcome: looked.outcome,
        found: looked.found.iter().map(ToString::to_string).collect(),
        out_of_question: out_of_question.iter().map(ToString::to_string).collect(),
        not_done: looked.not_done,
        note: looked.note,
        signs,
        readings,
        diagnosis,
    };
    let case = store.change(&case.kept.id, |case| {
        case.kept.done.extend(looked.done);
        case.kept.follow_ups.push(follow_up);
    })?;
    match session.format {
        Format::Text => session.write(&followed_up(base, &case, session.look))?,
        Format::Json => session.write_json(&json::cases(&[&case]))?,
    }
    Ok(Exit::Done)
}

/// What the case told, as far as this knowledge has names for it.
fn recalled(
    base: &KnowledgeBase,
    case: &KeptCase,
    session: &Session,
) -> Result<Observations, Failure> {
    let Recalled {
        observations,
        left_out,
    } = recall(base, case).map_err(|problems| {
        let file = SourceFile {
            name: case.kept.id.clone(),
            text: String::new(),
            layer: 0,
        };
        Failure::drawn(session.drawn(&problems, &[file]))
    })?;
    if !left_out.is_empty() {
        let names = listed(&left_out);
        note(
            &format!("The knowledge used has no name for {names} any more; that is left out."),
            session,
        );
    }
    Ok(observations)
}

/// What the options tell.
fn told(
    args: &FollowUpArgs,
    base: &KnowledgeBase,
    case: &KeptCase,
    session: &Session,
) -> Result<Looked, Failure> {
    let mut done: Vec<Act> = Vec::new();
    for word in &args.done {
        let action = action_named(base, case, word)?;
        let mut noted = case.kept.done.iter().chain(&done);
        if noted.all(|one| one.action != action) {
            done.push(Act {
                action,
                on: day("today", "--done")?,
                note: None,
            });
        }
    }
    if args.nothing_done && !case.kept.done.is_empty() {
        return Err(Failure::usage(format!(
            "something was noted as done in the case {}; see `blockside cases show {0}`",
            case.kept.id
        )));
    }
    let not_done = if args.nothing_done {
        case.not_noted()
    } else {
        Vec::new()
    };
    let given = Given {
        case: None,
        profile: None,
        species: Vec::new(),
        stage: Vec::new(),
        setup: Vec::new(),
        sign: args.sign.clone(),
        reading: args.reading.clone(),
        person: Vec::new(),
    };
    let mut found = Vec::new();
    for word in &args.found {
        let cause = given::cause(base, word).map_err(Failure::usage)?;
        if !base.causes[&cause].any_of.is_empty() {
            return Err(Failure::usage(format!(
                "`{cause}` is a group of causes; name the one that it was"
            )));
        }
        if !found.contains(&cause) {
            found.push(cause);
        }
    }
    Ok(Looked {
        done,
        not_done: not_done.into_iter().map(str::to_owned).collect(),
        now: given::observations(&given, base, session)?,
        outcome: args.outcome.map(Into::into),
        found,
        note: args.note.clone(),
    })
}

/// That there is no terminal to ask at, with what would be asked.
fn nobody(base: &KnowledgeBase, case: &KeptCase, before: &Observations) -> Failure {
    let asked = questions(base, case, before);
    let signs = asked.signs.iter().map(|id| format!("--sign {id}=..."));
    let readings = asked
        .readings
        .iter()
        .map(|id| format!("--reading {id}=..."));
    let mut options: Vec<String> = signs.chain(readings).collect();
    if case.kept.done.is_empty() {
        let first = case.not_noted().first().map(|id| (*id).to_owned());
        let done = first.map(|id| format!("--done {id} or --nothing-done"));
        options.splice(0..0, done);
    }
    options.extend([
        "--outcome worked|partly|no".to_owned(),
        "--found CAUSE".to_owned(),
        "--note TEXT".to_owned(),
    ]);
    Failure::usage(format!(
        "`follow-up` asks at a terminal, and there is none here. Tell it with options instead: {}",
        options.join(", ")
    ))
}
