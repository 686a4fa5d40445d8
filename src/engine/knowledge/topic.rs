//! What a helper can practise by itself: a part of the causes.

use serde::{Deserialize, Serialize};

use crate::engine::id::CauseId;
use crate::engine::knowledge::{CauseKind, Grounds, Hazard, KnowledgeBase};

/// A topic: the causes that any of its keys names.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Topic {
    /// What it is called.
    pub title: String,
    /// What is learned by it, in a sentence.
    pub summary: String,
    /// Causes of these kinds.
    pub kinds: Vec<CauseKind>,
    /// Causes that are taken for one of these kinds, or one of these kinds for them.
    pub taken_for: Vec<CauseKind>,
    /// Causes that can cost this.
    pub hazard: Option<Hazard>,
    /// These causes.
    pub causes: Vec<CauseId>,
    /// What it stands on.
    pub grounds: Grounds,
    /// The file it was read from.
    pub file: String,
}

impl KnowledgeBase {
    /// Whether a cause belongs to a topic.
    pub fn in_topic(&self, topic: &Topic, id: &CauseId) -> bool {
        let Some(cause) = self.causes.get(id) else {
            return false;
        };
        let of_kind = |other: &CauseId| {
            let other = self.causes.get(other);
            other.is_some_and(|other| topic.taken_for.contains(&other.kind))
        };
        topic.causes.contains(id)
            || topic.kinds.contains(&cause.kind)
            || topic.taken_for.contains(&cause.kind)
            || (topic.hazard.is_some() && topic.hazard == cause.hazard)
            || self.taken_for(id).any(of_kind)
    }

    /// The causes that a cause is taken for, or that are taken for it, each once, in the order of the knowledge.
    pub fn taken_for<'k>(&'k self, id: &'k CauseId) -> impl Iterator<Item = &'k CauseId> {
        let own = self.causes.get(id).map(|cause| &cause.look_alikes);
        self.causes.iter().filter_map(move |(other, entry)| {
            let said = own.is_some_and(|looks| looks.iter().any(|look| look.cause == *other));
            let back = entry.look_alikes.iter().any(|look| look.cause == *id);
            ((said || back) && other != id).then_some(other)
        })
    }
}
