//! What statements about one thing come to, and what gave no fact.

use crate::describe::gather::Gathering;
use crate::describe::readings::why;
use crate::describe::scope::Mode;
use crate::describe::told::{Piece, Told, Understood, Why};
use crate::engine::knowledge::WordClass;
use crate::engine::observations::Answer;

impl Gathering<'_> {
    /// What all statements about one thing come to; none where they do not go together.
    pub(super) fn agreed(&self, told: &[Understood]) -> Option<Understood> {
        let (first, rest) = told.split_first()?;
        let mut one = first.clone();
        for other in rest {
            match (&one.what, &other.what) {
                (Told::Sign(_, a), Told::Sign(_, b)) => {
                    if matches!(
                        (a, b),
                        (Answer::No, Answer::Yes | Answer::Probably)
                            | (Answer::Yes | Answer::Probably, Answer::No)
                    ) {
                        return None;
                    }
                    // The less sure of two.
                    let rank = |answer: &Answer| match answer {
                        Answer::Yes | Answer::No => 0,
                        Answer::Probably => 1,
                        Answer::Unsure => 2,
                    };
                    if rank(b) > rank(a) {
                        one = other.clone();
                    }
                }
                (Told::Reading(id, a), Told::Reading(_, b)) => {
                    let reading = &self.base.readings[id];
                    let slack = reading.tolerance + reading.tolerance_share * a.value.abs();
                    if (a.value - b.value).abs() > slack {
                        return None;
                    }
                }
                (a, b) if a == b => {}
                _ => return None,
            }
        }
        Some(one)
    }

    /// Of the answers to some questions only one can be true; where a text gives several, each of them is only probable.
    pub(super) fn only_one(&self, understood: &mut [Understood]) {
        let questions = self.base.questions.values();
        for question in questions.filter(|question| question.one_of) {
            let given = understood.iter_mut().filter_map(|one| match &mut one.what {
                Told::Sign(id, answer) if *answer == Answer::Yes && question.signs.contains(id) => {
                    Some(answer)
                }
                _ => None,
            });
            let given: Vec<&mut Answer> = given.collect();
            if given.len() > 1 {
                given
                    .into_iter()
                    .for_each(|answer| *answer = Answer::Probably);
            }
        }
    }

    /// Runs of words that gave no fact.
    pub(super) fn pieces(&self) -> Vec<Piece> {
        let mut pieces: Vec<(Piece, usize)> = Vec::new();
        for at in 0..self.laid.units.len() {
            let unit = &self.laid.units[at];
            let cue = unit.word.classes.any(&[
                WordClass::Denial,
                WordClass::Never,
                WordClass::Unsure,
                WordClass::Probably,
                WordClass::Yes,
                WordClass::Pronoun,
                WordClass::Asking,
                WordClass::AskingWhy,
                WordClass::Supposing,
                WordClass::Condition,
                WordClass::Past,
                WordClass::Bound,
                WordClass::Aim,
            ]) && (!unit.is(WordClass::Thing) || unit.is(WordClass::Pronoun));
            let number = unit.word.number.is_some() && !unit.digits && self.reasons[at].is_none();
            if self.covered[at]
                || (!unit.has_content() || cue || number) && self.reasons[at].is_none()
            {
                continue;
            }
            let state = &self.states[at];
            let why = match &self.reasons[at] {
                _ if state.mode > Mode::Told => why(state.mode),
                Some(why) => why.clone(),
                None if unit.known => Why::NotTogether,
                None => Why::Unknown,
            };
            let place = self.laid.places[at];
            let whole = matches!(why, Why::Asked | Why::Supposed | Why::Past);
            if let Some((last, before)) = pieces.last_mut() {
                let other = self.laid.places[*before];
                let together = if whole {
                    other.sentence == place.sentence
                } else {
                    other.part == place.part
                };
                let broken = (*before + 1..at).any(|between| self.covered[between]);
                let words = [Why::Unknown, Why::PartlyUnknown, Why::NotTogether];
                let alike = last.why == why || words.contains(&last.why) && words.contains(&why);
                if alike && together && !broken {
                    if last.why != why {
                        last.why = Why::PartlyUnknown;
                    }
                    last.span.end = unit.span.end;
                    *before = at;
                    continue;
                }
            }
            let piece = Piece {
                span: unit.span.clone(),
                words: String::new(),
                why,
            };
            pieces.push((piece, at));
        }
        let texts = pieces.into_iter().map(|(mut piece, _)| {
            piece.words = self.text[piece.span.clone()].to_owned();
            piece
        });
        texts.collect()
    }
}
