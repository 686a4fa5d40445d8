//! The rounds as JSON.

use jiff::civil::Date;
use schemars::JsonSchema;
use serde::Serialize;

use crate::journal::rounds::Due;

/// The version of the rounds as JSON.
pub const ROUNDS_SCHEMA: &str = "blockside.rounds/1";

/// What belongs to the rounds of a chamber.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct RoundsReport {
    /// The contract and its version.
    pub schema: &'static str,
    /// The day it was asked on, as 2026-03-04.
    pub today: String,
    /// Everything that belongs to them, what is due first.
    pub rounds: Vec<DueReport>,
}

/// Something that is due, or will be.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct DueReport {
    /// Which.
    pub id: String,
    /// What to do.
    pub statement: String,
    /// How to do it.
    pub how: String,
    /// What it keeps away.
    pub why: String,
    /// After how many days it is due again.
    pub every_days: u32,
    /// When it was done last, as far as was written down.
    pub last: Option<String>,
    /// When it is due.
    pub due: String,
    /// Days until it is due; 0 or less where it is.
    pub in_days: i32,
    /// Signs to look for while doing it.
    pub looks: Vec<String>,
    /// Cautions that belong to it.
    pub cautions: Vec<String>,
    /// The reading that starts again at 0 when it is done.
    pub feeds: Option<String>,
}

/// The rounds as JSON.
pub fn rounds(due: &[Due<'_>], today: Date) -> RoundsReport {
    RoundsReport {
        schema: ROUNDS_SCHEMA,
        today: today.to_string(),
        rounds: due
            .iter()
            .map(|one| DueReport {
                id: one.id.to_string(),
                statement: one.round.statement.clone(),
                how: one.round.how.clone(),
                why: one.round.why.clone(),
                every_days: one.round.every_days,
                last: one.last.map(|day| day.to_string()),
                due: one.on.to_string(),
                in_days: one.in_days(today),
                looks: one.round.looks.iter().map(ToString::to_string).collect(),
                cautions: one.round.cautions.iter().map(ToString::to_string).collect(),
                feeds: one.round.feeds.as_ref().map(ToString::to_string),
            })
            .collect(),
    }
}
