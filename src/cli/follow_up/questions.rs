//! The few questions that tell whether it worked.

use crate::engine::id::{ReadingId, SignId};
use crate::engine::knowledge::{Action, Finding, KnowledgeBase};
use crate::engine::observations::{Answer, Observations};
use crate::journal::kept::KeptCase;

/// The most actions that are asked about.
///
/// judgement: a grower does the first few of what was due.
const MOST_ACTIONS: usize = 3;
/// The most signs that are asked for.
///
/// judgement: a follow-up is a glance into the chamber, no second walk.
const MOST_SIGNS: usize = 6;
/// How many of these leave room for the signs that led to the cause.
const MOST_WATCHED: usize = 4;

/// What to ask.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Questions {
    /// What was tried, with what to watch.
    pub tried: Vec<(String, String)>,
    /// Signs to look for.
    pub signs: Vec<SignId>,
    /// Readings to take again: such as were taken before, since not everybody has every meter.
    pub readings: Vec<ReadingId>,
}

/// What tells whether it worked: what the actions that were done said to watch (those that were due, where none was
/// noted), then the signs that spoke for the leading cause.
pub fn questions(base: &KnowledgeBase, case: &KeptCase, before: &Observations) -> Questions {
    let tried: Vec<(&str, &Action)> = case
        .tried()
        .into_iter()
        .filter_map(|id| Some((id, base.actions.get(id)?)))
        .take(MOST_ACTIONS)
        .collect();
    let mut asked = Questions {
        tried: tried
            .iter()
            .map(|(id, action)| ((*id).to_owned(), action.watch.clone()))
            .collect(),
        ..Questions::default()
    };
    // The first sign of each action before the second of any.
    let deepest = tried.iter().map(|(_, one)| one.watched.signs.len()).max();
    for place in 0..deepest.unwrap_or(0) {
        for (_, action) in &tried {
            push(
                &mut asked.signs,
                action.watched.signs.get(place),
                MOST_WATCHED,
            );
        }
    }
    for (_, action) in &tried {
        for reading in &action.watched.readings {
            if before.readings.contains_key(reading) && !asked.readings.contains(reading) {
                asked.readings.push(reading.clone());
            }
        }
    }
    let leader = case.kept.diagnosis.leader();
    let leader = leader.and_then(|cause| base.causes.get(cause.id.as_str()));
    for shows in leader.iter().flat_map(|cause| &cause.shows) {
        if let Finding::Sign(sign) = &shows.finding
            && matches!(before.signs.get(sign), Some(Answer::Yes | Answer::Probably))
        {
            push(&mut asked.signs, Some(sign), MOST_SIGNS);
        }
    }
    asked
}

fn push(signs: &mut Vec<SignId>, sign: Option<&SignId>, most: usize) {
    if let Some(sign) = sign
        && signs.len() < most
        && !signs.contains(sign)
    {
        signs.push(sign.clone());
    }
}
