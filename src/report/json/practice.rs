//! Practice as JSON: rounds, progress, topics, exams.

use schemars::JsonSchema;
use serde::Serialize;

use crate::engine::diagnosis::Ask;
use crate::engine::id::CauseId;
use crate::engine::knowledge::{CauseKind, KnowledgeBase};
use crate::engine::observations::Answer;
use crate::engine::reasoner::Reasoner;
use crate::journal::practice::Record;
use crate::report::handbook::Book;
use crate::report::json::rounded;
use crate::report::practice::paper::right;
use crate::report::practice::{Paper, found};
use crate::train::practice::case::PracticeCase;
use crate::train::practice::choices::choices;
use crate::train::practice::debrief::Debrief;
use crate::train::practice::due::{self, Chosen};
use crate::train::practice::look::Found;

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

/// A report of this knowledge, with nothing in it yet.
pub fn practice(base: &KnowledgeBase) -> PracticeReport {
    PracticeReport {
        schema: PRACTICE_SCHEMA,
        knowledge: base.fingerprint.clone(),
        rounds: Vec::new(),
        progress: Vec::new(),
        topics: Vec::new(),
        exam: None,
    }
}

impl PracticeReport {
    /// The same with a finished round.
    #[must_use]
    pub fn with_round(mut self, base: &KnowledgeBase, case: &PracticeCase, told: &Debrief) -> Self {
        let named = told.answer.causes.iter().zip(&told.of_named);
        self.rounds.push(RoundReport {
            case: case_report(case),
            cautions_due: texts(&told.due),
            cautions_missed: texts(&told.missed),
            cautions_needless: texts(&told.needless),
            named: named
                .map(|(named, right)| NamedReport {
                    cause: named.cause.to_string(),
                    confidence: rounded(named.confidence),
                    there: case.causes.contains(&named.cause),
                    right_confidence: rounded(*right),
                })
                .collect(),
            program: confidences(&told.stated),
            mixed_up: told
                .mixed_up
                .iter()
                .map(|(there, named)| PairReport {
                    there: there.to_string(),
                    named: named.to_string(),
                })
                .collect(),
            checks: told
                .checks
                .iter()
                .map(|made| CheckMadeReport {
                    check: id_of(&made.ask),
                    found: found(base, &made.ask, &made.found, Default::default()),
                    value: match &made.found {
                        Found::Reading(measured) => Some(rounded(measured.value)),
                        _ => None,
                    },
                    bits: rounded(made.bits),
                    best: id_of(&made.best.0),
                    best_bits: rounded(made.best.1),
                })
                .collect(),
            action: told.answer.action.as_ref().map(ToString::to_string),
            action_chosen: match told.chosen {
                Chosen::First => "first",
                Chosen::Later => "later",
                Chosen::Wrong => "wrong",
                Chosen::None => "none",
            },
            actions: texts(&told.actions),
            points: PointsReport {
                total: rounded(told.points.total()),
                causes: rounded(told.points.causes),
                cautions: told.points.cautions.map(rounded),
                action: rounded(told.points.action),
            },
        });
        self
    }

    /// The same with how a helper comes along.
    #[must_use]
    pub fn with_progress(mut self, record: &Record) -> Self {
        let rounds = record.rounds.iter();
        self.progress.push(ProgressReport {
            helper: record.helper.clone(),
            points: rounds.clone().map(|round| rounded(round.points)).collect(),
            missed_cautions: rounds.filter(|round| !round.missed.is_empty()).count(),
            pairs: record
                .pairs
                .iter()
                .map(|pair| DuePairReport {
                    one: pair.one.clone(),
                    other: pair.other.clone(),
                    repetitions: pair.repetitions,
                    due: pair.due.to_string(),
                })
                .collect(),
        });
        self
    }

    /// The same with the topics.
    #[must_use]
    pub fn with_topics(mut self, base: &KnowledgeBase) -> Self {
        self.topics = base
            .topics
            .iter()
            .map(|(id, topic)| TopicReport {
                id: id.to_string(),
                title: topic.title.clone(),
                summary: topic.summary.clone(),
                causes: base
                    .causes
                    .iter()
                    .filter(|(id, cause)| {
                        cause.kind != CauseKind::Root
                            && cause.any_of.is_empty()
                            && base.in_topic(topic, id)
                    })
                    .map(|(id, _)| id.to_string())
                    .collect(),
            })
            .collect();
        self
    }

    /// The same with an exam.
    #[must_use]
    pub fn with_exam(mut self, book: Book<'_>, reasoner: &Reasoner<'_>, paper: &Paper<'_>) -> Self {
        let sheets = paper.sheets.iter().map(|sheet| {
            let offered = choices(reasoner, &sheet.case, &sheet.seen);
            let told = &sheet.seen;
            SheetReport {
                case: case_report(&sheet.case),
                signs: told
                    .signs
                    .iter()
                    .map(|(id, answer)| (id.to_string(), *answer == Answer::Yes))
                    .collect(),
                readings: told
                    .readings
                    .iter()
                    .map(|(id, measured)| (id.to_string(), rounded(measured.value)))
                    .collect(),
                next: sheet
                    .next
                    .iter()
                    .zip(&sheet.worth)
                    .map(|(ask, bits)| (id_of(ask), rounded(*bits)))
                    .collect(),
                causes: confidences(&right(reasoner, sheet).causes),
                actions: texts(&offered.actions),
                actions_right: texts(&due::actions(book.base, &sheet.case.causes)),
                cautions: texts(&offered.cautions),
                cautions_due: texts(&due::cautions(reasoner, &sheet.case.causes, &sheet.seen)),
            }
        });
        self.exam = Some(ExamReport {
            seed: paper.seed.to_string(),
            level: paper.level.map(str::to_owned),
            topic: paper.topic.map(str::to_owned),
            sheets: sheets.collect(),
        });
        self
    }
}

fn case_report(case: &PracticeCase) -> CaseReport {
    CaseReport {
        seed: case.seed.to_string(),
        level: case.hardness.level.word(),
        species: case.opening.species.as_ref().map(ToString::to_string),
        stage: case.opening.stage.as_ref().map(ToString::to_string),
        complaints: texts(&case.complaints),
        causes: texts(&case.causes),
        there: texts(&case.there),
        best_checks: case.hardness.best.iter().map(id_of).collect(),
        clear: case.hardness.clear,
    }
}

fn texts<T: ToString>(ids: &[T]) -> Vec<String> {
    ids.iter().map(ToString::to_string).collect()
}

fn confidences(stated: &[(CauseId, f64)]) -> Vec<ConfidenceReport> {
    stated
        .iter()
        .map(|(id, sure)| ConfidenceReport {
            cause: id.to_string(),
            confidence: rounded(*sure),
        })
        .collect()
}

fn id_of(ask: &Ask) -> String {
    match ask {
        Ask::Sign(id) => id.to_string(),
        Ask::Question(id, _) => id.to_string(),
        Ask::Reading(id) => id.to_string(),
    }
}
