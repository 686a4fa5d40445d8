//! What a person comes with: the list a walk begins with.

use serde::{Deserialize, Serialize};

use crate::engine::condition::Finding;
use crate::engine::id::{QuestionId, ReadingId, SignId};
use crate::engine::knowledge::{Asking, CauseKind, KnowledgeBase, Map, Sign};

/// Something a person may come with.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum Complaint {
    /// This sign is there.
    Sign(SignId),
    /// Something that this question asks about. It is evidence of nothing: only the answer tells.
    Question(QuestionId),
    /// Something that this reading would tell.
    Reading(ReadingId),
}

impl KnowledgeBase {
    /// What is offered as first complaints, those first that some trouble brings about most often; of equals
    /// questions come before readings and signs, each in the order of the knowledge. What shares its words is one
    /// complaint, named after its first entry; a sign whose shared question is offered is told there.
    pub fn complaints(&self) -> Vec<Complaint> {
        // Probability that no trouble brings any of it about, by the words of the complaint.
        let mut offered: Map<&str, (Complaint, f64)> = Map::default();
        let mut complaint_of: Map<&SignId, &str> = Map::default();
        for (id, question) in &self.questions {
            if let Some(words) = question.opening.as_deref() {
                let first = || (Complaint::Question(id.clone()), 1.0);
                offered.entry(words).or_insert_with(first);
            }
        }
        for (id, reading) in &self.readings {
            if let Some(words) = reading.opening.as_deref() {
                let first = || (Complaint::Reading(id.clone()), 1.0);
                offered.entry(words).or_insert_with(first);
            }
        }
        for (id, sign) in &self.signs {
            let shared = match &sign.asking {
                Asking::Option { question, .. } => self.questions.get(question),
                Asking::Alone { .. } => None,
            };
            if let Some(words) = shared.and_then(|one| one.opening.as_deref()) {
                complaint_of.insert(id, words);
            } else if let Some(words) = sign.opening.as_deref() {
                complaint_of.insert(id, words);
                let first = || (Complaint::Sign(id.clone()), 1.0);
                offered.entry(words).or_insert_with(first);
            }
        }
        let mains = self
            .causes
            .values()
            .filter(|cause| cause.kind != CauseKind::Root);
        for (cause, shows) in mains.flat_map(|cause| cause.general().map(move |one| (cause, one))) {
            let words = match &shows.finding {
                Finding::Sign(sign) => complaint_of.get(sign).copied(),
                Finding::Reading(comparison) => self
                    .readings
                    .get(&comparison.reading)
                    .and_then(|reading| reading.opening.as_deref()),
                Finding::Fact(_) => None,
            };
            if let Some((_, missing)) = words.and_then(|words| offered.get_mut(words)) {
                *missing *= 1.0 - cause.base_rate * shows.share;
            }
        }
        offered.sort_by(|_, (_, one), _, (_, other)| one.total_cmp(other));
        offered
            .into_values()
            .map(|(complaint, _)| complaint)
            .collect()
    }

    /// What a sign is called as a first complaint, where these words are its own: what they share with a question or a
    /// reading says nothing of the sign.
    pub fn own_opening<'s>(&self, sign: &'s Sign) -> Option<&'s str> {
        let words = sign.opening.as_deref()?;
        let questions = self.questions.values().map(|one| &one.opening);
        let mut others = questions.chain(self.readings.values().map(|one| &one.opening));
        let shared = others.any(|opening| opening.as_deref() == Some(words));
        (!shared).then_some(words)
    }

    /// What a complaint is called when it is offered; none where it is not.
    pub fn opening_of(&self, complaint: &Complaint) -> Option<&str> {
        match complaint {
            Complaint::Sign(id) => self.signs.get(id)?.opening.as_deref(),
            Complaint::Question(id) => self.questions.get(id)?.opening.as_deref(),
            Complaint::Reading(id) => self.readings.get(id)?.opening.as_deref(),
        }
    }
}
