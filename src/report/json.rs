//! The outward contract: results as JSON, stable and versioned. Fields may be added, none is renamed within a version.

mod air;
mod balance;
mod cases;
mod description;
mod exchange;
mod explanation;
mod log;
mod practice;
mod profile;
mod rounds;
mod sensor;
mod settings;
mod weighing;

use schemars::JsonSchema;
use serde::Serialize;
use serde_json::Value;

use crate::engine::diagnosis::{
    ActionDue, Ask, CauseFound, CautionDue, DerivedStep, FindingText, NextCheck, Reason, RootFound,
    Verdict,
};
use crate::engine::knowledge::{CauseKind, Cite, Due, KnowledgeBase, Purpose, Severity};
use crate::engine::observations::FromLog;
use crate::engine::rates::PersonalRate;
use crate::report::coverage::CoverageReport;
use crate::report::score::ScoreReport;
use crate::report::text::{Told, option_names};
use crate::report::words::verdict;

pub use crate::report::json::air::{AIR_SCHEMA, AirReport, air};
pub use crate::report::json::balance::{BALANCE_SCHEMA, BalanceReport, balance};
pub use crate::report::json::cases::{
    CasesReport, ComparisonReport, ImportedReport, LearnedReport, cases, comparison, imported,
    learned,
};
pub use crate::report::json::description::{DESCRIPTION_SCHEMA, DescriptionReport, description_of};
pub use crate::report::json::exchange::{EXCHANGE_SCHEMA, ExchangeReport, exchange};
pub use crate::report::json::explanation::{ExplanationReport, explanation};
pub use crate::report::json::log::{LOG_SCHEMA, LogReport, log};
pub use crate::report::json::practice::{PRACTICE_SCHEMA, PracticeReport, practice};
pub use crate::report::json::rounds::{ROUNDS_SCHEMA, RoundsReport, rounds};
pub use crate::report::json::sensor::{SENSOR_SCHEMA, SensorCheckReport, salts, sensor};
pub use crate::report::json::settings::{SETTINGS_SCHEMA, SettingsReport};
pub use crate::report::json::weighing::{WeighingReport, weighing};

/// The version of the diagnosis as JSON.
pub const DIAGNOSIS_SCHEMA: &str = "blockside.diagnosis/1";
/// The version of a refusal as JSON.
pub const PROBLEM_SCHEMA: &str = "blockside.problem/1";

/// A diagnosis.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct DiagnosisReport {
    /// The contract and its version.
    pub schema: &'static str,
    /// Whether one answer stands out: one or more causes, or that nothing is wrong.
    pub decided: bool,
    /// The verdict in one word: nothing-told, nothing-wrong, decided, undecided, nothing-fits.
    pub verdict: &'static str,
    /// The verdict in a sentence.
    pub summary: String,
    /// The species that was named.
    pub species: Option<String>,
    /// The stage that was named.
    pub stage: Option<String>,
    /// Whether that is the usual species of the settings, and not one that was named on this occasion.
    pub usual_species: bool,
    /// Ids of what the profile of the chamber told rather than this occasion.
    pub told_by_profile: Vec<String>,
    /// Ids of the readings that what was done in the rounds told.
    pub told_by_rounds: Vec<String>,
    /// What a sensor log said, with the time it is about, and the readings and signs that rest on it.
    pub told_by_log: Vec<FromLogReport>,
    /// Probability that something outside the book is at work.
    pub nothing_fits: f64,
    /// Probability that nothing at all is wrong.
    pub nothing_wrong: f64,
    /// False where the numbers are close estimates.
    pub exact: bool,
    /// By how much the findings fit each other badly, in bits.
    pub conflict_bits: f64,
    /// Base rates of this grower's own that stood in for shipped ones; left out where there are none.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub personal_rates: Vec<PersonalRateReport>,
    /// Causes, most confident first.
    pub causes: Vec<CauseReport>,
    /// Findings that no cause explains well.
    pub unexplained: Vec<FindingReport>,
    /// Looks that are no fault in this species.
    pub normal_looks: Vec<FindingReport>,
    /// What does not go together in what was told.
    pub contradictions: Vec<String>,
    /// The same with both sides, what may be behind it and what would settle it.
    pub at_odds: Vec<ContradictionReport>,
    /// Facts that rules derived.
    pub derived: Vec<DerivedReport>,
    /// The most telling checks still open, best first.
    pub next_checks: Vec<CheckReport>,
    /// Checks that a walk put off and that would still tell something, the most telling first.
    pub homework: Vec<CheckReport>,
    /// What to do, in the order to do it.
    pub actions: Vec<ActionReport>,
    /// What to be careful of, gravest first.
    pub cautions: Vec<CautionReport>,
    /// Every number of the weighing with all its digits, and causes that are not reported; with `--detail` alone.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub weighing: Option<WeighingReport>,
    /// What was wrong with the case; empty in every diagnosis, since a faulty case is refused whole.
    pub problems: Vec<ProblemReport>,
    /// Fingerprint of the knowledge it was made with.
    pub knowledge: String,
}

/// Things that were told and do not go together.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ContradictionReport {
    /// The derived fact, or the sign that was told one way and follows the other way.
    pub id: String,
    /// Both sides and what may be wrong.
    pub text: String,
    /// What is at odds, as clauses.
    pub between: Vec<String>,
    /// The causes that would account for it.
    pub may_be: Vec<String>,
    /// The open check that would tell most about those.
    pub settle_by: Option<CheckReport>,
}

/// Something that a sensor log said.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct FromLogReport {
    /// The finding or measure of the log.
    pub id: String,
    /// What it says.
    pub text: String,
    /// From when.
    pub from: String,
    /// To when.
    pub to: String,
    /// The readings and signs that rest on it; empty where the knowledge has no use for it.
    pub told: Vec<String>,
    /// The numbers it rests on, with units in their names.
    pub evidence: Value,
}

/// A cause with its confidence and reasons.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct CauseReport {
    /// Which cause.
    pub id: String,
    /// What it is called.
    pub name: String,
    /// What sort of cause it is.
    pub kind: &'static str,
    /// What it is.
    pub summary: String,
    /// Its probability, 0 to 1.
    pub confidence: f64,
    /// The word of the confidence scale.
    pub words: String,
    /// Its probability before any sign was weighed, 0 to 1.
    pub beforehand: f64,
    /// Findings that speak for it, strongest first.
    #[serde(rename = "for")]
    pub speaks_for: Vec<ReasonReport>,
    /// Findings that speak against it, strongest first.
    #[serde(rename = "against")]
    pub speaks_against: Vec<ReasonReport>,
    /// What may stand behind it.
    pub roots: Vec<RootReport>,
}

/// A base rate of this grower's own.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct PersonalRateReport {
    /// The cause.
    pub cause: String,
    /// How common it is as shipped, 0 to 1.
    pub shipped: f64,
    /// What was used in its place, 0 to 1.
    pub used: f64,
    /// In how many confirmed cases it was found.
    pub found: u32,
    /// In how many it could have been found.
    pub of: u32,
}

/// A finding with its weight.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ReasonReport {
    /// The finding.
    pub fact: String,
    /// The finding as a clause.
    pub text: String,
    /// What it adds to the log odds of the cause, in decibans.
    pub weight_db: f64,
    /// A likelier cause that already explains it.
    pub taken_by: Option<String>,
    /// The sources of the link.
    pub sources: Vec<String>,
    /// Who says what, where the sources do not agree.
    pub differ: Option<String>,
}

/// A finding.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct FindingReport {
    /// The finding.
    pub fact: String,
    /// The finding as a clause.
    pub text: String,
}

/// A root with its confidence.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct RootReport {
    /// Which root.
    pub id: String,
    /// What it is called.
    pub name: String,
    /// Its probability, 0 to 1.
    pub confidence: f64,
    /// The word of the confidence scale.
    pub words: String,
    /// What was told that speaks for it.
    pub because: Vec<FindingReport>,
}

/// A fact that a rule derived.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct DerivedReport {
    /// The rule.
    pub rule: String,
    /// What follows.
    pub text: String,
    /// What it follows from.
    pub because: Vec<String>,
    /// How sure it is, 0 to 1.
    pub degree: f64,
}

/// A check worth making.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct CheckReport {
    /// The signs it settles; empty for a reading.
    pub signs: Vec<String>,
    /// What the signs are called as options of one question; empty where there is one sign.
    pub options: Vec<String>,
    /// The shared question, if it is one.
    pub asks: Option<String>,
    /// The reading to take, if it is one.
    pub reading: Option<String>,
    /// The question.
    pub question: String,
    /// How to look or measure.
    pub how: String,
    /// What a plain yes looks like, where there is one sign and it needs saying.
    pub yes: Option<String>,
    /// What that sign is easily taken for.
    pub mistaken_for: Option<String>,
    /// What it would tell, in bits.
    pub gain_bits: f64,
    /// The word for the effort.
    pub effort: String,
    /// The causes it would tell apart.
    pub separates: Vec<String>,
    /// Whether it could reveal a hazard and so comes first.
    pub hazard: bool,
    /// The condition whose roots it asks for.
    pub about_roots_of: Option<String>,
}

/// An action that is due.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ActionReport {
    /// Which action.
    pub id: String,
    /// What to do.
    pub text: String,
    /// When: now, next-days or next-run.
    pub when: &'static str,
    /// What for: protect, contain, fix, watch or prevent.
    pub purpose: &'static str,
    /// The causes it is for.
    #[serde(rename = "for")]
    pub for_causes: Vec<String>,
    /// How much.
    pub amount: Option<AmountReport>,
    /// The word for the effort.
    pub effort: String,
    /// When it should show.
    pub shows_in: String,
    /// What to watch.
    pub watch: String,
    /// What else it changes.
    pub disturbs: Vec<String>,
    /// What to do if it did not work.
    pub if_failed: String,
    /// What it stands on.
    pub sources: Vec<String>,
    /// Who says what, where the sources do not agree.
    pub differ: Option<String>,
}

/// How much of an action.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct AmountReport {
    /// The number, where it could be computed.
    pub value: Option<f64>,
    /// Its standard deviation.
    pub uncertainty: Option<f64>,
    /// Its unit.
    pub unit: &'static str,
    /// The amount in words, with what else it asks for.
    pub text: String,
    /// What else it asks for, as far as it could be computed.
    pub also: Vec<AlsoReport>,
}

/// Something else that an amount asks for.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct AlsoReport {
    /// The number.
    pub value: f64,
    /// Its standard deviation.
    pub uncertainty: f64,
    /// Its unit.
    pub unit: &'static str,
    /// The amount in words.
    pub text: String,
}

/// A caution that applies.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct CautionReport {
    /// Which caution.
    pub id: String,
    /// How grave: stop, care or info.
    pub severity: &'static str,
    /// What to know and do.
    pub text: String,
    /// The stricter line for people at special risk, where it applies.
    pub special_risk: Option<String>,
    /// What brought it up.
    pub because: Vec<String>,
    /// Who has the last word.
    pub defer_to: String,
    /// What it stands on.
    pub sources: Vec<String>,
    /// Who says what, where the sources do not agree.
    pub differ: Option<String>,
}

/// What was wrong with something that was given.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ProblemReport {
    /// The code of the fault, where it has one; `blockside knowledge codes` lists them.
    pub code: Option<String>,
    /// What is wrong.
    pub text: String,
    /// What to write instead.
    pub help: Option<String>,
}

/// A refusal: the problems of one line of a batch.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Refusal {
    /// The contract and its version.
    pub schema: &'static str,
    /// The line, counted from 1.
    pub line: usize,
    /// What was wrong with it.
    pub problems: Vec<ProblemReport>,
}

/// The diagnosis as the contract has it.
pub fn diagnosis(told: &Told<'_>) -> DiagnosisReport {
    let from = told.diagnosis;
    DiagnosisReport {
        schema: DIAGNOSIS_SCHEMA,
        decided: matches!(from.verdict, Verdict::Decided | Verdict::NothingWrong),
        verdict: from.verdict.word(),
        summary: verdict(told.base, from),
        species: told.observations.species.as_ref().map(ToString::to_string),
        stage: told.observations.stage.as_ref().map(ToString::to_string),
        usual_species: told.observations.usual_species,
        told_by_rounds: told.observations.from_rounds.iter().cloned().collect(),
        told_by_profile: told.observations.from_profile.iter().cloned().collect(),
        told_by_log: told.observations.from_log.iter().map(from_log).collect(),
        nothing_fits: rounded(from.nothing_fits),
        nothing_wrong: rounded(from.nothing_wrong),
        exact: from.exact,
        conflict_bits: rounded(from.conflict_bits),
        personal_rates: from.personal_rates.iter().map(personal_rate).collect(),
        causes: from.causes.iter().map(cause).collect(),
        unexplained: from.unexplained.iter().map(finding).collect(),
        normal_looks: from.normal_looks.iter().map(finding).collect(),
        contradictions: from
            .contradictions
            .iter()
            .map(|one| one.text.clone())
            .collect(),
        at_odds: from
            .contradictions
            .iter()
            .map(|one| ContradictionReport {
                id: one.id.clone(),
                text: one.text.clone(),
                between: one.between.clone(),
                may_be: one.may_be.iter().map(ToString::to_string).collect(),
                settle_by: one.settle_by.as_ref().map(|by| check(told.base, by)),
            })
            .collect(),
        homework: from
            .homework
            .iter()
            .map(|one| check(told.base, one))
            .collect(),
        derived: from.derived.iter().map(derived).collect(),
        next_checks: from
            .next_checks
            .iter()
            .map(|one| check(told.base, one))
            .collect(),
        actions: from.actions.iter().map(action).collect(),
        cautions: from.cautions.iter().map(caution).collect(),
        weighing: None,
        problems: Vec::new(),
        knowledge: told.base.fingerprint.clone(),
    }
}

/// Every contract that has a schema, with the word that asks for it.
pub const CONTRACTS: &[&str] = &[
    "air",
    "cases",
    "chamber",
    "comparison",
    "coverage",
    "description",
    "diagnosis",
    "exchange",
    "explanation",
    "imported",
    "learned",
    "log",
    "practice",
    "problem",
    "rounds",
    "profile",
    "score",
    "sensor",
    "settings",
];

/// The JSON Schema of a contract; `None` for a word that is none of [`CONTRACTS`].
pub fn schema(contract: &str) -> Option<Value> {
    if contract == "profile" {
        return Some(profile::profile());
    }
    let schema = match contract {
        "air" => schemars::schema_for!(AirReport),
        "cases" => schemars::schema_for!(CasesReport),
        "comparison" => schemars::schema_for!(ComparisonReport),
        "imported" => schemars::schema_for!(ImportedReport),
        "learned" => schemars::schema_for!(LearnedReport),
        "chamber" => schemars::schema_for!(BalanceReport),
        "coverage" => schemars::schema_for!(CoverageReport),
        "description" => schemars::schema_for!(DescriptionReport),
        "diagnosis" => schemars::schema_for!(DiagnosisReport),
        "exchange" => schemars::schema_for!(ExchangeReport),
        "explanation" => schemars::schema_for!(ExplanationReport),
        "log" => schemars::schema_for!(LogReport),
        "practice" => schemars::schema_for!(PracticeReport),
        "problem" => schemars::schema_for!(Refusal),
        "rounds" => schemars::schema_for!(RoundsReport),
        "score" => schemars::schema_for!(ScoreReport),
        "sensor" => schemars::schema_for!(SensorCheckReport),
        "settings" => schemars::schema_for!(SettingsReport),
        _ => return None,
    };
    Some(schema.to_value())
}

/// Six decimals: beyond that a number says nothing, and may differ between machines.
pub(crate) fn rounded(number: f64) -> f64 {
    let rounded = (number * 1e6).round() / 1e6;
    // Minus nought would be printed with its sign.
    if rounded == 0.0 { 0.0 } else { rounded }
}

/// The word for a kind of cause, as in the knowledge files.
pub fn kind_word(kind: CauseKind) -> &'static str {
    match kind {
        CauseKind::Condition => "condition",
        CauseKind::Root => "root",
        CauseKind::Contaminant => "contaminant",
        CauseKind::Disease => "disease",
        CauseKind::Pest => "pest",
        CauseKind::Practice => "practice",
        CauseKind::Instrument => "instrument",
        CauseKind::Crop => "crop",
        CauseKind::LookAlike => "look-alike",
    }
}

fn ids<T: ToString>(ids: &[T]) -> Vec<String> {
    ids.iter().map(ToString::to_string).collect()
}

fn sources(cites: &[Cite]) -> Vec<String> {
    cites.iter().map(|cite| cite.source.to_string()).collect()
}

fn from_log(said: &FromLog) -> FromLogReport {
    FromLogReport {
        id: said.id.clone(),
        text: said.text.clone(),
        from: said.from.clone(),
        to: said.to.clone(),
        told: said.told.clone(),
        evidence: serde_json::json!(said.evidence),
    }
}

fn personal_rate(from: &PersonalRate) -> PersonalRateReport {
    PersonalRateReport {
        cause: from.cause.to_string(),
        shipped: rounded(from.shipped),
        used: rounded(from.used),
        found: from.counted.found,
        of: from.counted.of,
    }
}

fn cause(from: &CauseFound) -> CauseReport {
    CauseReport {
        id: from.id.to_string(),
        name: from.name.clone(),
        kind: kind_word(from.kind),
        summary: from.summary.clone(),
        confidence: rounded(from.confidence),
        words: from.words.clone(),
        beforehand: rounded(from.beforehand),
        speaks_for: from.speaks_for.iter().map(reason).collect(),
        speaks_against: from.speaks_against.iter().map(reason).collect(),
        roots: from.roots.iter().map(root).collect(),
    }
}

fn reason(from: &Reason) -> ReasonReport {
    ReasonReport {
        fact: from.finding.id.clone(),
        text: from.finding.text.clone(),
        weight_db: rounded(from.weight_db),
        taken_by: from.taken_by.as_ref().map(ToString::to_string),
        sources: sources(&from.sources),
        differ: from.differ.clone(),
    }
}

fn finding(from: &FindingText) -> FindingReport {
    FindingReport {
        fact: from.id.clone(),
        text: from.text.clone(),
    }
}

fn root(from: &RootFound) -> RootReport {
    RootReport {
        id: from.id.to_string(),
        name: from.name.clone(),
        confidence: rounded(from.confidence),
        words: from.words.clone(),
        because: from.because.iter().map(finding).collect(),
    }
}

fn derived(from: &DerivedStep) -> DerivedReport {
    DerivedReport {
        rule: from.rule.clone(),
        text: from.text.clone(),
        because: from.because.clone(),
        degree: rounded(from.degree),
    }
}

fn check(base: &KnowledgeBase, from: &NextCheck) -> CheckReport {
    let (signs, options, asks, reading) = match &from.ask {
        Ask::Sign(sign) => (vec![sign.to_string()], Vec::new(), None, None),
        Ask::Question(question, signs) => (
            ids(signs),
            option_names(base, signs),
            Some(question.to_string()),
            None,
        ),
        Ask::Reading(reading) => (Vec::new(), Vec::new(), None, Some(reading.to_string())),
    };
    let alone = match &from.ask {
        Ask::Sign(sign) => base.signs.get(sign),
        Ask::Question(..) | Ask::Reading(_) => None,
    };
    CheckReport {
        signs,
        options,
        asks,
        reading,
        question: from.question.clone(),
        how: from.how.clone(),
        yes: alone.and_then(|sign| sign.yes.clone()),
        mistaken_for: alone.and_then(|sign| sign.mistaken_for.clone()),
        gain_bits: rounded(from.gain_bits),
        effort: from.effort_word.clone(),
        separates: ids(&from.separates),
        hazard: from.hazard,
        about_roots_of: from.about_roots_of.as_ref().map(ToString::to_string),
    }
}

fn action(from: &ActionDue) -> ActionReport {
    ActionReport {
        id: from.id.to_string(),
        text: from.text.clone(),
        when: match from.due {
            Due::Now => "now",
            Due::NextDays => "next-days",
            Due::NextRun => "next-run",
        },
        purpose: match from.purpose {
            Purpose::Protect => "protect",
            Purpose::Contain => "contain",
            Purpose::Fix => "fix",
            Purpose::Watch => "watch",
            Purpose::Prevent => "prevent",
        },
        for_causes: ids(&from.for_causes),
        amount: from.amount.as_ref().map(|amount| AmountReport {
            value: amount.value.map(rounded),
            uncertainty: amount.uncertainty.map(rounded),
            unit: amount.unit,
            text: amount.text.clone(),
            also: amount
                .also
                .iter()
                .map(|also| AlsoReport {
                    value: rounded(also.value),
                    uncertainty: rounded(also.uncertainty),
                    unit: also.unit,
                    text: also.text.clone(),
                })
                .collect(),
        }),
        effort: from.effort_word.clone(),
        shows_in: from.shows_in.clone(),
        watch: from.watch.clone(),
        disturbs: from.disturbs.clone(),
        if_failed: from.if_failed.clone(),
        sources: sources(&from.sources),
        differ: from.differ.clone(),
    }
}

fn caution(from: &CautionDue) -> CautionReport {
    CautionReport {
        id: from.id.to_string(),
        severity: severity_word(from.severity),
        text: from.text.clone(),
        special_risk: from.special_risk.clone(),
        because: from.because.clone(),
        defer_to: from.defer_to.clone(),
        sources: sources(&from.sources),
        differ: from.differ.clone(),
    }
}

/// The word for a severity, as in the knowledge files.
pub fn severity_word(severity: Severity) -> &'static str {
    match severity {
        Severity::Stop => "stop",
        Severity::Care => "care",
        Severity::Info => "info",
    }
}
