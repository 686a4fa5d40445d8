//! A walk that begins with a grower's own words, and what else is known before its first step.

use std::io;

use crate::cli::args::Format;
use crate::cli::ask::keep::broken_off;
use crate::cli::ask::terminal::Terminal;
use crate::cli::exit::Failure;
use crate::cli::given::feed;
use crate::cli::session::Session;
use crate::describe::{Description, Reader, Why};
use crate::engine::diagnosis::{Diagnosis, Verdict};
use crate::engine::knowledge::KnowledgeBase;
use crate::engine::observations::Observations;
use crate::engine::quantity::{System, show};
use crate::report::description::description;
use crate::report::page::{Ink, Look, Page};

/// Words that were understood, with what they were taken for.
#[derive(Debug)]
pub struct Said {
    /// The words.
    pub text: String,
    /// What became of them.
    pub read: Description,
}

impl Said {
    /// Whether something was left aside that may say what is wrong.
    pub fn may_matter(&self) -> bool {
        self.read.not_understood.iter().any(|piece| {
            matches!(
                piece.why,
                Why::Unknown | Why::PartlyUnknown | Why::NotTogether | Why::Doubtful(_)
            )
        })
    }

    /// What was not understood may be the trouble itself: nobody is told that all is well.
    pub fn temper(&self, diagnosis: &mut Diagnosis) {
        if diagnosis.verdict == Verdict::NothingWrong && self.may_matter() {
            diagnosis.verdict = Verdict::NothingTold;
        }
    }
}

/// Reads words and shows what they were taken for; at a terminal until the person has said that it is right. Nothing
/// where the person says no more; `ends` says what that leads to.
///
/// # Errors
/// Where the person breaks it off, or what was understood cannot be shown.
pub fn agreed(
    mut text: String,
    base: &KnowledgeBase,
    terminal: Option<&Terminal<'_>>,
    ends: &str,
    session: &Session,
) -> Result<Option<Said>, Failure> {
    let reader = Reader::new(base);
    loop {
        let read = reader.read(&text);
        if session.format == Format::Text {
            let shown = description(base, &read, session.system, session.look);
            session.write(&shown)?;
        }
        let Some(terminal) = terminal else {
            return Ok(Some(Said { text, read }));
        };
        let right = !read.is_empty() && asked(terminal.agree("Is this right?"))?;
        if right {
            return Ok(Some(Said { text, read }));
        }
        text = asked(terminal.line(&format!("In other words (Enter alone {ends})"), ""))?;
        if text.trim().is_empty() {
            return Ok(None);
        }
    }
}

/// What a terminal answered.
///
/// # Errors
/// Where there is no answer to be had any more.
pub fn asked<T>(answer: io::Result<T>) -> Result<T, Failure> {
    answer.map_err(|error| broken_off(&error))
}

/// What is known before the first step: what the words told, and what was written down of the rounds.
///
/// # Errors
/// Where the rounds are there and cannot be read.
pub fn known(said: Option<&Said>, base: &KnowledgeBase) -> Result<Observations, Failure> {
    let mut known = said
        .map(|said| said.read.observations())
        .unwrap_or_default();
    feed(&mut known, base)?;
    Ok(known)
}

/// What the rounds told, for the grower; nothing where they told nothing.
pub fn from_rounds(
    known: &Observations,
    base: &KnowledgeBase,
    system: System,
    look: Look,
) -> Option<String> {
    let told: Vec<String> = known
        .from_rounds
        .iter()
        .filter_map(|id| {
            let (id, measured) = known.readings.get_key_value(id.as_str())?;
            let reading = base.readings.get(id)?;
            Some(format!(
                "{} {}",
                reading.name,
                show(measured.value, reading.unit, system)
            ))
        })
        .collect();
    (!told.is_empty()).then(|| {
        let mut page = Page::new(look);
        page.paragraph(
            0,
            Ink::Faint,
            &format!(
                "From your rounds, and not asked again: {}.",
                told.join("; ")
            ),
        );
        page.finish()
    })
}
