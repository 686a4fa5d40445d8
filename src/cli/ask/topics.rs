//! What a first complaint leads to where it is no sign by itself: the checks it is asked about first.

use crate::cli::ask::answers::{Answers, Told, Which};
use crate::engine::at_odds::check_of;
use crate::engine::condition::{Limit, Side};
use crate::engine::diagnosis::{Ask, NextCheck};
use crate::engine::id::ReadingId;
use crate::engine::knowledge::{Asking, Complaint, Finding, KnowledgeBase, Sign};
use crate::engine::observations::{Answer, Observations};

/// The checks that a complaint leads to, the quickest first, of equals questions before readings and signs in the order of
/// the knowledge; none where it is a sign by itself.
pub fn topic(base: &KnowledgeBase, complaint: &Complaint) -> Vec<Ask> {
    if matches!(complaint, Complaint::Sign(_)) {
        return Vec::new();
    }
    let Some(words) = base.opening_of(complaint) else {
        return Vec::new();
    };
    let about = |opening: &Option<String>| opening.as_deref() == Some(words);
    let questions = base
        .questions
        .iter()
        .filter(|(_, one)| about(&one.opening))
        .map(|(id, one)| Ask::Question(id.clone(), one.signs.clone()));
    let readings = base
        .readings
        .iter()
        .filter(|(_, one)| about(&one.opening))
        .map(|(id, _)| Ask::Reading(id.clone()));
    let alone = |one: &Sign| matches!(one.asking, Asking::Alone { .. });
    let signs = base
        .signs
        .iter()
        .filter(|(_, one)| about(&one.opening) && alone(one))
        .map(|(id, _)| Ask::Sign(id.clone()));
    let mut asks: Vec<Ask> = questions.chain(readings).chain(signs).collect();
    let effort = |ask: &Ask| check_of(base, ask.clone()).map_or(0.0, |check| check.effort);
    asks.sort_by(|one, other| effort(one).total_cmp(&effort(other)));
    asks
}

/// Whether a reading lies beyond a limit that some cause is known by, for this species and stage.
pub fn is_beyond(base: &KnowledgeBase, told: &Observations, id: &ReadingId, value: f64) -> bool {
    let species = base.limit_for(told.species.as_ref(), told.stage.as_ref(), id.as_str());
    let shows = base.causes.values().flat_map(|cause| &cause.shows);
    shows
        .filter_map(|shows| match &shows.finding {
            Finding::Reading(comparison) if comparison.reading == *id => Some(comparison),
            _ => None,
        })
        .any(|comparison| {
            let limit = match (comparison.limit, comparison.side) {
                (Limit::Fixed(number), _) => Some(number),
                (Limit::Species { times }, Side::Above) => {
                    species.and_then(|one| Some(one.max? * times))
                }
                (Limit::Species { times }, Side::Below) => {
                    species.and_then(|one| Some(one.min? * times))
                }
            };
            limit.is_some_and(|limit| match comparison.side {
                Side::Above => value > limit,
                Side::Below => value < limit,
            })
        })
}

/// The check that what the person came with leads to next, if any. Of the checks of one complaint the most telling comes
/// first, as `ranked` has them; the first that finds something ends it.
pub fn next(base: &KnowledgeBase, answers: &Answers, ranked: &[NextCheck]) -> Option<NextCheck> {
    let mut complaints = answers.complaints.iter().flatten();
    complaints.find_map(|complaint| {
        let asks = topic(base, complaint);
        if asks.iter().any(|ask| has_found(base, answers, ask)) {
            return None;
        }
        let open: Vec<Ask> = asks
            .into_iter()
            .filter(|ask| !answers.was_put(ask))
            .collect();
        let telling = ranked
            .iter()
            .find(|check| open.iter().any(|ask| same(ask, &check.ask)));
        match telling {
            Some(check) => Some(check.clone()),
            None => open
                .into_iter()
                .find_map(|ask| unranked(base, answers, ask)),
        }
    })
}

/// A check that tells nothing about what is in play so far; of a question what was told already is not asked again.
fn unranked(base: &KnowledgeBase, answers: &Answers, ask: Ask) -> Option<NextCheck> {
    let ask = match ask {
        Ask::Question(id, signs) => {
            let told = answers.observations(base).signs;
            let open: Vec<_> = signs
                .into_iter()
                .filter(|sign| !told.contains_key(sign))
                .collect();
            if open.is_empty() {
                return None;
            }
            Ask::Question(id, open)
        }
        ask => ask,
    };
    check_of(base, ask)
}

fn has_found(base: &KnowledgeBase, answers: &Answers, ask: &Ask) -> bool {
    match ask {
        Ask::Sign(id) => matches!(
            answers.signs.get(id),
            Some(Told::Answer(Answer::Yes | Answer::Probably))
        ),
        Ask::Reading(id) => match answers.readings.get(id) {
            Some(Told::Answer(taken)) => {
                let told = answers.observations(base);
                is_beyond(base, &told, id, taken.measured.value)
            }
            Some(Told::CannotNow) | None => false,
        },
        Ask::Question(id, _) => matches!(
            answers.questions.get(id),
            Some(Told::Answer(Which::These(signs))) if !signs.is_empty()
        ),
    }
}

/// Whether both ask the same, whatever was answered meanwhile.
fn same(one: &Ask, other: &Ask) -> bool {
    match (one, other) {
        (Ask::Question(one, _), Ask::Question(other, _)) => one == other,
        (one, other) => one == other,
    }
}
