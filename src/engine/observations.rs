//! What a grower told and measured on one occasion.

use std::collections::BTreeSet;

use indexmap::IndexMap;
use serde::{Deserialize, Serialize};

use crate::engine::id::{PersonId, ReadingId, SetupId, SignId, SpeciesId, StageId};
use crate::engine::knowledge::LogFinding;
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

/// Something that a sensor log said, with the time it is about and the numbers it rests on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FromLog {
    /// The finding or measure of a log, by its name.
    pub id: String,
    /// What it says, in a few sentences.
    pub text: String,
    /// From when, as ISO 8601 has it, to the second.
    pub from: String,
    /// To when, in the same form.
    pub to: String,
    /// The readings and signs of this occasion that rest on it; none where the knowledge has no use for it.
    pub told: Vec<String>,
    /// The numbers it rests on, with units in their names.
    pub evidence: IndexMap<String, Evidence>,
}

/// A number, text, list or table that a finding rests on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(untagged)]
pub enum Evidence {
    /// Yes or no.
    Flag(bool),
    /// A whole number.
    Count(i64),
    /// A number.
    Number(f64),
    /// A text.
    Text(String),
    /// Several.
    List(Vec<Evidence>),
    /// Several with names.
    Table(IndexMap<String, Evidence>),
}

impl FromLog {
    /// Whether it is something that happened, and not an ordinary value.
    pub fn is_finding(&self) -> bool {
        LogFinding::ALL.iter().any(|(_, name)| *name == self.id)
    }

    /// The time it is about as a clause: "2026-05-03 14:00 to 16:20".
    pub fn span(&self) -> String {
        let minutes = |stamp: &str| stamp.get(..16).unwrap_or(stamp).replace('T', " ");
        let (from, to) = (minutes(&self.from), minutes(&self.to));
        match to.strip_prefix(from.get(..10).unwrap_or(&from)) {
            Some(clock) if from == to || clock.is_empty() => from,
            Some(clock) => format!("{from} to{clock}"),
            None => format!("{from} to {to}"),
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
    /// Ids of the readings of the above that what was done in the rounds told.
    pub from_rounds: BTreeSet<String>,
    /// Whether the species is the one that is usual here, and not one that was named on this occasion.
    pub usual_species: bool,
    /// What a sensor log said, and which of the above rests on it.
    pub from_log: Vec<FromLog>,
}

impl Observations {
    /// Whether nothing at all was told.
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }

    /// What a reading or sign that was told rests on, where it is from a sensor log.
    pub fn by_log(&self, id: &str) -> Option<&FromLog> {
        self.from_log
            .iter()
            .find(|said| said.told.iter().any(|told| told == id))
    }

    /// A reading or sign is told anew by a person, so it no longer rests on a log.
    pub fn told_anew(&mut self, id: &str) {
        for said in &mut self.from_log {
            said.told.retain(|told| told != id);
        }
    }
}
