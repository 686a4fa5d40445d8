//! Filling the report on practice.

use crate::engine::diagnosis::Ask;
use crate::engine::id::CauseId;
use crate::engine::knowledge::{CauseKind, KnowledgeBase};
use crate::engine::observations::Answer;
use crate::engine::quantity::System;
use crate::engine::reasoner::Reasoner;
use crate::journal::practice::Record;
use crate::report::handbook::Book;
use crate::report::json::practice::{
    CaseReport, CheckMadeReport, ConfidenceReport, DuePairReport, ExamReport, NamedReport,
    PRACTICE_SCHEMA, PairReport, PointsReport, PracticeReport, ProgressReport, RoundReport,
    SheetReport, TopicReport,
};
use crate::report::json::rounded;
use crate::report::practice::paper::right;
use crate::report::practice::{Paper, found};
use crate::train::practice::case::PracticeCase;
use crate::train::practice::choices::choices;
use crate::train::practice::debrief::Debrief;
use crate::train::practice::due::{self, Chosen};
use crate::train::practice::look::Found;

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
                    found: found(base, &made.ask, &made.found, System::Metric),
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
