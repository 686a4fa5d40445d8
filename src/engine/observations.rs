//! What a grower told and measured on one occasion.

use std::collections::BTreeSet;

use indexmap::IndexMap;
use serde::{Deserialize, Serialize};

use crate::engine::id::{PersonId, ReadingId, SetupId, SignId, SpeciesId, StageId};
use crate::engine::quantity::Measured;

/// What was answered about a sign. A sign that is not listed was not asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Answer {
    /// It is there.
    Yes,
    /// It is not there.
    No,
    /// Looked, and could not tell.
    Unsure,
    /// It is rather there than not.
    Probably,
}

impl Answer {
    /// Every answer with the word that stands for it in case files and on the command line.
    pub const WORDS: [(Self, &'static str); 4] = [
        (Self::Yes, "yes"),
        (Self::No, "no"),
        (Self::Unsure, "unsure"),
        (Self::Probably, "probably"),
    ];

    /// The answer a word stands for.
    pub fn parse(word: &str) -> Option<Self> {
        Self::WORDS
            .iter()
            .find(|(_, known)| *known == word)
            .map(|(answer, _)| *answer)
    }

    /// The word for this answer.
    pub fn word(self) -> &'static str {
        match self {
            Self::Yes => "yes",
            Self::No => "no",
            Self::Unsure => "unsure",
            Self::Probably => "probably",
        }
    }
}

/// One occasion: what was told and measured. Every id is known to the knowledge it is used with.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Observations {
    /// The species, where it was named.
    pub species: Option<SpeciesId>,
    /// The stage, where it was named.
    pub stage: Option<StageId>,
    /// Setup items that hold (true) or do not (false).
    pub setup: IndexMap<SetupId, bool>,
    /// What was answered about signs.
    pub signs: IndexMap<SignId, Answer>,
    /// What was measured, in each reading's own unit.
    pub readings: IndexMap<ReadingId, Measured>,
    /// What holds (true) or does not (false) of people who enter; used for cautions alone.
    pub people: IndexMap<PersonId, bool>,
    /// Ids of what the profile of the chamber told of the above, not this occasion.
    pub from_profile: BTreeSet<String>,
    /// Whether the species is the one that is usual here, and not one that was named on this occasion.
    pub usual_species: bool,
}

impl Observations {
    /// Whether nothing at all was told.
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }
}
