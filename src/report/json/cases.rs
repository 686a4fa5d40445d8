//! The journal as JSON.

use schemars::JsonSchema;
use serde::Serialize;

use crate::engine::knowledge::Map;
use crate::journal::kept::{FollowUp, KeptCase, KeptDiagnosis};
use crate::journal::store::BroughtIn;
use crate::report::cases::differing;
use crate::report::cases::learned::Learned;
use crate::report::json::rounded;

/// The version of kept cases as JSON.
pub const CASES_SCHEMA: &str = "blockside.cases/1";
/// The version of a comparison as JSON.
pub const COMPARISON_SCHEMA: &str = "blockside.comparison/1";
/// The version of what was learned as JSON.
pub const LEARNED_SCHEMA: &str = "blockside.learned/1";
/// The version of an import as JSON.
pub const IMPORTED_SCHEMA: &str = "blockside.imported/1";

/// Kept cases.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct CasesReport {
    /// The contract and its version.
    pub schema: &'static str,
    /// The cases, newest first.
    pub cases: Vec<KeptCaseReport>,
}

/// A kept case.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct KeptCaseReport {
    /// Its id.
    pub id: String,
    /// When it was kept, with the offset of the clock.
    pub at: String,
    /// How far it has come: open, followed-up or closed.
    pub state: String,
    /// The species, where it was named.
    pub species: Option<String>,
    /// The stage, where it was named.
    pub stage: Option<String>,
    /// The name of the profile's file.
    pub profile: Option<String>,
    /// Ids of what the profile told.
    pub told_by_profile: Vec<String>,
    /// Setup items that hold, or `ITEM = no`.
    pub setup: Vec<String>,
    /// What was answered about signs: yes, no, unsure or probably.
    pub signs: Map<String, String>,
    /// What was measured.
    pub readings: Map<String, String>,
    /// What holds of people who enter: yes or no.
    pub people: Map<String, String>,
    /// What came out.
    pub diagnosis: KeptDiagnosisReport,
    /// What was done.
    pub done: Vec<DoneReport>,
    /// How it went on.
    pub follow_ups: Vec<FollowUpReport>,
    /// The latest outcome: worked, partly or no.
    pub outcome: Option<&'static str>,
    /// The causes found in the end.
    pub found: Vec<String>,
    /// The version of the program that kept it.
    pub program: String,
    /// Fingerprint of the knowledge it was diagnosed with.
    pub knowledge: String,
}

/// What a diagnosis came to at the time.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct KeptDiagnosisReport {
    /// The verdict in one word, as in a diagnosis.
    pub verdict: String,
    /// Whether base rates of this grower's own went into it.
    pub personal_rates: bool,
    /// Causes reported, most confident first.
    pub causes: Vec<KeptCauseReport>,
    /// Ids of the actions that were due.
    pub actions: Vec<String>,
}

/// A cause as it was reported.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct KeptCauseReport {
    /// Which.
    pub id: String,
    /// What it was called.
    pub name: String,
    /// Its probability, 0 to 1.
    pub confidence: f64,
}

/// Something that was done.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct DoneReport {
    /// The action.
    pub action: String,
    /// On which day, year-month-day.
    pub on: String,
    /// In the grower's words.
    pub note: Option<String>,
}

/// One look at how it went on.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct FollowUpReport {
    /// When, with the offset of the clock.
    pub at: String,
    /// Whether it worked: worked, partly or no; nothing where it is too early to say.
    pub outcome: Option<&'static str>,
    /// The causes found in the end.
    pub found: Vec<String>,
    /// Ids of actions that were advised and had not been done by then; none where that was not asked.
    pub not_done: Vec<String>,
    /// In the grower's words.
    pub note: Option<String>,
    /// Signs that were looked for again.
    pub signs: Map<String, String>,
    /// Readings that were taken again.
    pub readings: Map<String, String>,
    /// What came out with these in place of what was told before.
    pub diagnosis: KeptDiagnosisReport,
}

/// Two cases side by side.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ComparisonReport {
    /// The contract and its version.
    pub schema: &'static str,
    /// The ids of the two cases.
    pub cases: [String; 2],
    /// Facts that differ.
    pub facts: Vec<DifferingReport>,
    /// Causes whose confidence differs; nothing where a cause was not reported.
    pub causes: Vec<DifferingCauseReport>,
}

/// A fact that differs.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct DifferingReport {
    /// `species`, `stage`, or an id.
    pub fact: String,
    /// In each case; nothing where it was not told.
    pub values: [Option<String>; 2],
}

/// A cause whose confidence differs.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct DifferingCauseReport {
    /// Which.
    pub id: String,
    /// In each case; nothing where it was not reported.
    pub confidence: [Option<f64>; 2],
}

/// What the journal has learned.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct LearnedReport {
    /// The contract and its version.
    pub schema: &'static str,
    /// Whether diagnoses use it.
    pub on: bool,
    /// How many cases a shipped rate counts as much as.
    pub pseudo_cases: f64,
    /// Ids of the cases that counted.
    pub cases: Vec<String>,
    /// The rates that are not the shipped ones.
    pub rates: Vec<LearnedRateReport>,
}

/// A rate that was moved.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct LearnedRateReport {
    /// The cause.
    pub cause: String,
    /// How common it is as shipped, 0 to 1.
    pub shipped: f64,
    /// What is used in its place, 0 to 1.
    pub used: f64,
    /// Ids of the cases in which it was found.
    pub found_in: Vec<String>,
    /// In how many cases it could have been found.
    pub of: u32,
}

/// What became of cases that were brought in.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ImportedReport {
    /// The contract and its version.
    pub schema: &'static str,
    /// Ids of the cases that were kept.
    pub kept: Vec<String>,
    /// Ids under which the same case was here already.
    pub duplicates: Vec<String>,
    /// Cases whose id was taken by another one: the id in the file, and the one here.
    pub renamed: Vec<[String; 2]>,
}

/// Cases as the contract has them.
pub fn cases(cases: &[&KeptCase]) -> CasesReport {
    CasesReport {
        schema: CASES_SCHEMA,
        cases: cases.iter().map(|case| kept_case(case)).collect(),
    }
}

fn kept_case(case: &KeptCase) -> KeptCaseReport {
    let kept = &case.kept;
    KeptCaseReport {
        id: kept.id.clone(),
        at: kept.at.to_string(),
        state: case.state().words().replace(' ', "-"),
        species: case.species.clone(),
        stage: case.stage.clone(),
        profile: kept.profile.clone(),
        told_by_profile: kept.from_profile.clone(),
        setup: case.setup.clone(),
        signs: case.signs.clone(),
        readings: case.readings.clone(),
        people: case.people.clone(),
        diagnosis: kept_diagnosis(&kept.diagnosis),
        done: kept
            .done
            .iter()
            .map(|done| DoneReport {
                action: done.action.clone(),
                on: done.on.to_string(),
                note: done.note.clone(),
            })
            .collect(),
        follow_ups: kept.follow_ups.iter().map(follow_up).collect(),
        outcome: case.outcome().map(|outcome| outcome.word()),
        found: case.found().to_vec(),
        program: kept.program.clone(),
        knowledge: kept.knowledge.clone(),
    }
}

fn kept_diagnosis(from: &KeptDiagnosis) -> KeptDiagnosisReport {
    KeptDiagnosisReport {
        verdict: from.verdict.clone(),
        personal_rates: from.personal_rates,
        causes: from
            .causes
            .iter()
            .map(|cause| KeptCauseReport {
                id: cause.id.clone(),
                name: cause.name.clone(),
                confidence: rounded(cause.confidence),
            })
            .collect(),
        actions: from.actions.iter().map(|one| one.id.clone()).collect(),
    }
}

fn follow_up(from: &FollowUp) -> FollowUpReport {
    FollowUpReport {
        at: from.at.to_string(),
        outcome: from.outcome.map(|outcome| outcome.word()),
        found: from.found.clone(),
        not_done: from.not_done.clone(),
        note: from.note.clone(),
        signs: from.signs.clone(),
        readings: from.readings.clone(),
        diagnosis: kept_diagnosis(&from.diagnosis),
    }
}

/// Two cases side by side, as the contract has it.
pub fn comparison(one: &KeptCase, other: &KeptCase) -> ComparisonReport {
    let (first, second) = (&one.kept.diagnosis, &other.kept.diagnosis);
    let share = |diagnosis: &KeptDiagnosis, id: &str| {
        let found = diagnosis.causes.iter().find(|cause| cause.id == id);
        found.map(|cause| rounded(cause.confidence))
    };
    let mut causes: Vec<DifferingCauseReport> = Vec::new();
    for cause in first.causes.iter().chain(&second.causes) {
        let confidence = [share(first, &cause.id), share(second, &cause.id)];
        if confidence[0] != confidence[1] && causes.iter().all(|one| one.id != cause.id) {
            causes.push(DifferingCauseReport {
                id: cause.id.clone(),
                confidence,
            });
        }
    }
    ComparisonReport {
        schema: COMPARISON_SCHEMA,
        cases: [one.kept.id.clone(), other.kept.id.clone()],
        facts: differing(one, other)
            .into_iter()
            .map(|fact| DifferingReport {
                fact: fact.what,
                values: [fact.one, fact.other],
            })
            .collect(),
        causes,
    }
}

/// What was learned, as the contract has it.
pub fn learned(shown: &Learned<'_>) -> LearnedReport {
    let tally = shown.tally;
    LearnedReport {
        schema: LEARNED_SCHEMA,
        on: shown.on,
        pseudo_cases: shown.base.scale.numbers.pseudo_cases,
        cases: tally.cases.iter().map(|(id, _)| id.clone()).collect(),
        rates: shown
            .rates
            .iter()
            .map(|rate| LearnedRateReport {
                cause: rate.cause.to_string(),
                shipped: rounded(rate.shipped),
                used: rounded(rate.used),
                found_in: tally
                    .found_in(&rate.cause)
                    .into_iter()
                    .map(str::to_owned)
                    .collect(),
                of: rate.counted.of,
            })
            .collect(),
    }
}

/// What became of cases that were brought in, as the contract has it.
pub fn imported(outcomes: &[BroughtIn]) -> ImportedReport {
    let mut report = ImportedReport {
        schema: IMPORTED_SCHEMA,
        kept: Vec::new(),
        duplicates: Vec::new(),
        renamed: Vec::new(),
    };
    for outcome in outcomes {
        match outcome {
            BroughtIn::New(id) => report.kept.push(id.clone()),
            BroughtIn::Duplicate(id) => report.duplicates.push(id.clone()),
            BroughtIn::Renamed(wanted, id) => {
                report.kept.push(id.clone());
                report.renamed.push([wanted.clone(), id.clone()]);
            }
        }
    }
    report
}
