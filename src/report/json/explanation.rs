//! An explanation as JSON.

use schemars::JsonSchema;
use serde::Serialize;

use crate::engine::explain::{Explanation, Outlook, Rival};
use crate::report::json::{
    DerivedReport, PersonalRateReport, ReasonReport, RootReport, derived, kind_word, personal_rate,
    reason, root, rounded,
};

/// The version of the explanation as JSON.
pub const EXPLANATION_SCHEMA: &str = "blockside.explanation/1";

/// How a cause came by its confidence, and what would change it.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ExplanationReport {
    /// The contract and its version.
    pub schema: &'static str,
    /// Which cause.
    pub cause: String,
    /// What it is called.
    pub name: String,
    /// What sort of cause it is.
    pub kind: &'static str,
    /// What it is.
    pub summary: String,
    /// Whether species, stage or setup rule it out, so that it was not considered.
    pub ruled_out: bool,
    /// Its probability, 0 to 1.
    pub confidence: f64,
    /// The word of the confidence scale.
    pub words: String,
    /// How common it is before anything is told, 0 to 1.
    pub base_rate: f64,
    /// What stands in for that with this grower; left out where the shipped rate stands.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub personal_rate: Option<PersonalRateReport>,
    /// Its probability before any sign was weighed, 0 to 1.
    pub beforehand: f64,
    /// The risk factors that applied.
    pub risk_factors: Vec<RiskReport>,
    /// Findings that speak for it, strongest first.
    #[serde(rename = "for")]
    pub speaks_for: Vec<ReasonReport>,
    /// Findings that speak against it, strongest first.
    #[serde(rename = "against")]
    pub speaks_against: Vec<ReasonReport>,
    /// How derived findings came about.
    pub derived: Vec<DerivedReport>,
    /// Causes that are likelier.
    pub rivals: Vec<RivalReport>,
    /// Open findings that would bring it up most.
    pub would_raise: Vec<OutlookReport>,
    /// Open findings that would bring it down most.
    pub would_lower: Vec<OutlookReport>,
    /// The condition a root hangs on, or the group a member belongs to.
    pub hangs_on: Option<RivalReport>,
    /// What may stand behind it.
    pub roots: Vec<RootReport>,
}

/// A risk factor that applied.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct RiskReport {
    /// What holds.
    pub text: String,
    /// What the odds are multiplied by.
    pub times: f64,
}

/// Another cause with its confidence.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct RivalReport {
    /// Which cause.
    pub id: String,
    /// What it is called.
    pub name: String,
    /// Its probability, 0 to 1.
    pub confidence: f64,
}

/// What an open finding would do.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct OutlookReport {
    /// The finding.
    pub fact: String,
    /// What would be found, as a clause.
    pub text: String,
    /// How it is asked for.
    pub question: String,
    /// The cause's probability if this was found, 0 to 1.
    pub confidence: f64,
}

/// The explanation as the contract has it.
pub fn explanation(from: &Explanation) -> ExplanationReport {
    ExplanationReport {
        schema: EXPLANATION_SCHEMA,
        cause: from.cause.to_string(),
        name: from.name.clone(),
        kind: kind_word(from.kind),
        summary: from.summary.clone(),
        ruled_out: from.ruled_out,
        confidence: rounded(from.confidence),
        words: from.words.clone(),
        base_rate: rounded(from.base_rate),
        personal_rate: from.personal_rate.as_ref().map(personal_rate),
        beforehand: rounded(from.beforehand),
        risk_factors: from
            .risk_factors
            .iter()
            .map(|(text, times)| RiskReport {
                text: text.clone(),
                times: rounded(*times),
            })
            .collect(),
        speaks_for: from.speaks_for.iter().map(reason).collect(),
        speaks_against: from.speaks_against.iter().map(reason).collect(),
        derived: from.derived.iter().map(derived).collect(),
        rivals: from.rivals.iter().map(rival).collect(),
        would_raise: from.would_raise.iter().map(outlook).collect(),
        would_lower: from.would_lower.iter().map(outlook).collect(),
        hangs_on: from.hangs_on.as_ref().map(rival),
        roots: from.roots.iter().map(root).collect(),
    }
}

fn rival(from: &Rival) -> RivalReport {
    RivalReport {
        id: from.id.to_string(),
        name: from.name.clone(),
        confidence: rounded(from.confidence),
    }
}

fn outlook(from: &Outlook) -> OutlookReport {
    OutlookReport {
        fact: from.finding.id.clone(),
        text: from.finding.text.clone(),
        question: from.question.clone(),
        confidence: rounded(from.confidence),
    }
}
