//! What is done again and again to keep trouble away, and what hangs on the chamber door.

use serde::{Deserialize, Serialize};

use crate::engine::condition::Condition;
use crate::engine::id::{CautionId, ReadingId, SignId, StageId};
use crate::engine::knowledge::Grounds;

/// One thing that is done in rounds.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Round {
    /// What to do; starts with a verb.
    pub statement: String,
    /// After how many days it is due again.
    pub every_days: u32,
    /// How to do it.
    pub how: String,
    /// What it keeps away.
    pub why: String,
    /// Signs to look for while doing it.
    pub looks: Vec<SignId>,
    /// The reading, in days, that starts again at 0 when it is done.
    pub feeds: Option<ReadingId>,
    /// What to be careful of.
    pub cautions: Vec<CautionId>,
    /// Left out where this is known to be false.
    pub asked_if: Option<Condition>,
    /// What it stands on.
    pub grounds: Grounds,
    /// The file it was read from.
    pub file: String,
}

/// The limits that a card shows.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct CardLimits {
    /// For these stages, in this order.
    pub stages: Vec<StageId>,
    /// Of these readings, in this order.
    pub readings: Vec<ReadingId>,
}

/// A page to hang on the chamber door.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Card {
    /// Its heading.
    pub title: String,
    /// What stands below the heading.
    pub lead: String,
    /// What to do, step by step.
    pub steps: Vec<String>,
    /// The cautions it shows.
    pub cautions: Vec<CautionId>,
    /// The limits it shows, species by species.
    pub limits: Option<CardLimits>,
    /// Whether it shows the rounds.
    pub rounds: bool,
    /// What it stands on.
    pub grounds: Grounds,
    /// The file it was read from.
    pub file: String,
}
