//! Practice as JSON: rounds, progress, topics, exams.

mod fill;

use schemars::JsonSchema;
use serde::Serialize;

pub use crate::report::json::practice::fill::practice;

/// The version of practice as JSON.
pub const PRACTICE_SCHEMA: &str = "blockside.practice/1";

/// What was practised, set or listed.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct PracticeReport {
    /// The contract and its version.
    pub schema: &'static str,
    /// Fingerprint of the knowledge: another one gives other cases.
    pub knowledge: String,
    /// The rounds that were finished.
    pub rounds: Vec<RoundReport>,
    /// How helpers come along.
    pub progress: Vec<ProgressReport>,
    /// The topics, where they were asked for.
    pub topics: Vec<TopicReport>,
    /// The exam, where one was set.
    pub exam: Option<ExamReport>,
}

/// A finished round.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct RoundReport {
    /// The case.
    pub case: CaseReport,
    /// Cautions that were due, the gravest first.
    pub cautions_due: Vec<String>,
    /// Those of them that were missed.
    pub cautions_missed: Vec<String>,
    /// Cautions named that were not due.
    pub cautions_needless: Vec<String>,
    /// The causes named.
    pub named: Vec<NamedReport>,
    /// What the program itself reports on what was seen.
    pub program: Vec<ConfidenceReport>,
    /// Causes that were there and not named, each with what was named in its place.
    pub mixed_up: Vec<PairReport>,
    /// The checks made.
    pub checks: Vec<CheckMadeReport>,
    /// The action named.
    pub action: Option<String>,
    /// How well it was chosen: first, later, wrong, none.
    pub action_chosen: &'static str,
    /// What is called for, what comes first standing first.
    pub actions: Vec<String>,
    /// The points.
    pub points: PointsReport,
}

/// A case.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct CaseReport {
    /// The seed it was drawn with, as digits.
    pub seed: String,
    /// How hard: plain, middling, tricky.
    pub level: &'static str,
    /// The species.
    pub species: Option<String>,
    /// The stage.
    pub stage: Option<String>,
    /// The signs complained of.
    pub complaints: Vec<String>,
    /// The causes that were there.
    pub causes: Vec<String>,
    /// The same with what stands behind them.
    pub there: Vec<String>,
    /// The checks of the best asker, in order.
    pub best_checks: Vec<String>,
    /// Whether these made it clear.
    pub clear: bool,
}

/// A cause that was named.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct NamedReport {
    /// Which.
    pub cause: String,
    /// How sure, 0 to 1.
    pub confidence: f64,
    /// Whether it was there.
    pub there: bool,
    /// How sure one could be on what was seen.
    pub right_confidence: f64,
}

/// A cause with its confidence.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ConfidenceReport {
    /// Which.
    pub cause: String,
    /// 0 to 1.
    pub confidence: f64,
}

/// Two causes that were mixed up.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct PairReport {
    /// The one that was there.
    pub there: String,
    /// The one that was named.
    pub named: String,
}

/// A check that was made.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct CheckMadeReport {
    /// The sign, question or reading.
    pub check: String,
    /// What was found, in words.
    pub found: String,
    /// The number, for a reading, in its own unit.
    pub value: Option<f64>,
    /// What it was worth beforehand, in bits.
    pub bits: f64,
    /// The most telling check at that time.
    pub best: String,
    /// What that was worth, in bits.
    pub best_bits: f64,
}

/// The points of a round.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct PointsReport {
    /// All together, of 100.
    pub total: f64,
    /// For the causes, -1 to 1.
    pub causes: f64,
    /// For the cautions, 0 to 1; none where none was due.
    pub cautions: Option<f64>,
    /// For the first action, 0 to 1.
    pub action: f64,
}

/// How a helper comes along.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ProgressReport {
    /// Who.
    pub helper: String,
    /// Points of every finished round, oldest first.
    pub points: Vec<f64>,
    /// In how many rounds a due caution was missed.
    pub missed_cautions: usize,
    /// Pairs that were mixed up, with the day they are due again.
    pub pairs: Vec<DuePairReport>,
}

/// A pair with the day it is due again.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct DuePairReport {
    /// One cause.
    pub one: String,
    /// The other.
    pub other: String,
    /// Right answers in a row.
    pub repetitions: u32,
    /// When it is due, as 2026-03-04.
    pub due: String,
}

/// A topic.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct TopicReport {
    /// Its id.
    pub id: String,
    /// What it is called.
    pub title: String,
    /// What is learned by it.
    pub summary: String,
    /// The causes it takes in.
    pub causes: Vec<String>,
}

/// An exam with its answers.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ExamReport {
    /// The seed, as digits.
    pub seed: String,
    /// The level asked for.
    pub level: Option<String>,
    /// The topic asked for.
    pub topic: Option<String>,
    /// Its cases.
    pub sheets: Vec<SheetReport>,
}

/// A case of an exam, as it stands on paper, with what is right.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct SheetReport {
    /// The case.
    pub case: CaseReport,
    /// Signs told, with yes or no.
    pub signs: Vec<(String, bool)>,
    /// Readings told, in their own units.
    pub readings: Vec<(String, f64)>,
    /// Checks to choose the next from, with what each is worth in bits.
    pub next: Vec<(String, f64)>,
    /// How sure one can be of each cause on what is told.
    pub causes: Vec<ConfidenceReport>,
    /// First actions to choose from.
    pub actions: Vec<String>,
    /// What is called for, what comes first standing first.
    pub actions_right: Vec<String>,
    /// Cautions to choose from.
    pub cautions: Vec<String>,
    /// Those that are due.
    pub cautions_due: Vec<String>,
}
