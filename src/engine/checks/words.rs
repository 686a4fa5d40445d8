//! A check in words, with the causes it would tell apart.

use crate::engine::checks::{Candidate, Checks, Valued};
use crate::engine::diagnosis::{Ask, NextCheck};
use crate::engine::id::CauseId;
use crate::engine::knowledge::Asking;

/// The most causes named as told apart by a check.
const MOST_SEPARATED: usize = 3;
/// A cause counts as told apart by a check if the answers leave its confidence at least this far apart.
///
/// judgement: a smaller difference would not change a word of the confidence scale.
const LEAST_SEPARATION: f64 = 0.1;

impl Checks<'_, '_> {
    pub(super) fn in_words(&self, candidate: Candidate, valued: &[Valued]) -> NextCheck {
        let base = self.reasoner.base;
        let separates = self.separates(&candidate, &valued[candidate.belief]);
        let (question, how, effort_word) = match &candidate.ask {
            Ask::Sign(sign) => {
                let sign = &base.signs[sign];
                let question = match &sign.asking {
                    Asking::Alone { question } => question.clone(),
                    Asking::Option { option, .. } => option.clone(),
                };
                (question, sign.look.clone(), sign.effort_word.clone())
            }
            Ask::Question(question, _) => {
                let question = &base.questions[question];
                (
                    question.ask.clone(),
                    question.look.clone(),
                    question.effort_word.clone(),
                )
            }
            Ask::Reading(reading) => {
                let reading = &base.readings[reading];
                (
                    reading.question.clone(),
                    reading.look.clone(),
                    reading.effort_word.clone(),
                )
            }
        };
        NextCheck {
            ask: candidate.ask,
            question,
            how,
            chances: candidate.chances,
            gain_bits: candidate.gain_bits,
            effort: candidate.effort,
            effort_word,
            separates,
            hazard: candidate.hazard,
            about_roots_of: candidate.about_roots_of,
        }
    }

    /// The causes, or roots, whose confidence the check's most telling finding would move most.
    fn separates(&self, candidate: &Candidate, valued: &Valued) -> Vec<CauseId> {
        let Some(first) = candidate.findings.first() else {
            return Vec::new();
        };
        let (seen, not_there) = valued.belief.if_answered(&first.open);
        let mut moved: Vec<(f64, usize)> = valued
            .places
            .iter()
            .enumerate()
            .map(|(number, &place)| ((seen[number] - not_there[number]).abs(), place))
            .filter(|&(by, _)| by >= LEAST_SEPARATION)
            .collect();
        moved.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        moved.truncate(MOST_SEPARATED);
        moved
            .into_iter()
            .map(|(_, place)| self.reasoner.cause_id(place).clone())
            .collect()
    }
}
