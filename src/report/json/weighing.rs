//! Every number of one weighing as JSON: the one place where numbers keep all their digits.

use indexmap::IndexMap;
use schemars::JsonSchema;
use serde::Serialize;
use serde_json::Value;

use crate::engine::condition::Condition;
use crate::engine::diagnosis::{Ask, Diagnosis};
use crate::engine::weighing::Weighing;
use crate::engine::wording::finding_id;
use crate::report::catalogue::condition;

/// Every number of one weighing, for checking the arithmetic. The last digits may differ between machines.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct WeighingReport {
    /// Every cause considered, group and root, in the order of the knowledge.
    pub causes: Vec<CauseWeighedReport>,
    /// Probability that something outside the book is at work, beforehand, 0 to 1.
    pub unknown_beforehand: f64,
    /// The same, given everything told.
    pub unknown: f64,
    /// Probability that nothing at all is wrong.
    pub nothing_wrong: f64,
    /// By how much the findings fit each other badly, in bits.
    pub conflict_bits: f64,
    /// What was found out, as it was weighed.
    pub findings: Vec<FindingWeighedReport>,
    /// Readings, measured or computed from measured ones.
    pub readings: Vec<ValueReport>,
    /// Statements that hold, told or derived.
    pub facts: Vec<FactReport>,
    /// Every check worth making, best first.
    pub checks: Vec<GainReport>,
}

/// A cause before and after the weighing.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct CauseWeighedReport {
    /// Which cause.
    pub id: String,
    /// Its probability before any sign was weighed, 0 to 1; none for a group, which has none of its own.
    pub beforehand: Option<f64>,
    /// Its probability, given everything told, 0 to 1.
    pub confidence: f64,
}

/// A finding as it was weighed.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct FindingWeighedReport {
    /// The finding.
    pub fact: String,
    /// Likelihood of what was found out if it is there; only the ratio to the next counts.
    pub if_present: f64,
    /// Likelihood of what was found out if it is not there.
    pub if_absent: f64,
    /// What it adds to the log odds of each cause it moves, in decibans.
    pub weights_db: IndexMap<String, f64>,
}

/// A reading as it was compared with limits.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ValueReport {
    /// Which reading.
    pub id: String,
    /// Its value, in the unit of the reading.
    pub value: f64,
    /// Its standard deviation, in the same unit.
    pub tolerance: f64,
    /// Whether physics gave it rather than a meter.
    pub computed: bool,
}

/// A statement that holds.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct FactReport {
    /// The statement in the form the knowledge files have.
    pub holds: Value,
    /// How sure it is, 0 to 1.
    pub degree: f64,
}

/// What a check would tell.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct GainReport {
    /// The signs it settles; empty for a reading.
    pub signs: Vec<String>,
    /// The shared question, if it is one.
    pub asks: Option<String>,
    /// The reading to take, if it is one.
    pub reading: Option<String>,
    /// What it would tell, in bits.
    pub gain_bits: f64,
    /// The condition whose roots it asks for.
    pub about_roots_of: Option<String>,
}

/// The numbers of a weighing as the contract has them.
pub fn weighing(from: &Weighing, diagnosis: &Diagnosis) -> WeighingReport {
    let findings = from.findings.iter().map(|one| FindingWeighedReport {
        fact: finding_id(&one.finding),
        if_present: one.if_present,
        if_absent: one.if_absent,
        weights_db: one
            .weights
            .iter()
            .map(|(cause, weight)| (cause.to_string(), *weight))
            .collect(),
    });
    let checks = from.checks.iter().map(|check| GainReport {
        signs: check.signs().iter().map(ToString::to_string).collect(),
        asks: match &check.ask {
            Ask::Question(question, _) => Some(question.to_string()),
            Ask::Sign(_) | Ask::Reading(_) => None,
        },
        reading: match &check.ask {
            Ask::Reading(reading) => Some(reading.to_string()),
            Ask::Sign(_) | Ask::Question(..) => None,
        },
        gain_bits: check.gain_bits,
        about_roots_of: check.about_roots_of.as_ref().map(ToString::to_string),
    });
    WeighingReport {
        causes: from
            .causes
            .iter()
            .map(|cause| CauseWeighedReport {
                id: cause.id.to_string(),
                beforehand: cause.beforehand,
                confidence: cause.confidence,
            })
            .collect(),
        unknown_beforehand: from.unknown.0,
        unknown: from.unknown.1,
        nothing_wrong: diagnosis.nothing_wrong,
        conflict_bits: diagnosis.conflict_bits,
        findings: findings.collect(),
        readings: from
            .readings
            .iter()
            .map(|(id, value)| ValueReport {
                id: id.to_string(),
                value: value.value,
                tolerance: value.tolerance,
                computed: value.computed,
            })
            .collect(),
        facts: from
            .facts
            .iter()
            .map(|(literal, degree)| FactReport {
                holds: condition(&Condition::Literal(literal.clone())),
                degree: *degree,
            })
            .collect(),
        checks: checks.collect(),
    }
}
