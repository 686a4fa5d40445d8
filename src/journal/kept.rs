//! A kept case: what was told, what came out, what was done, and how it turned out.
//!
//! The file begins as a case file, so that `diagnose` can still read what was told; what the journal adds stands in its
//! table `kept`. Ids are kept as texts: a case outlives the knowledge it was diagnosed with.

use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use crate::engine::diagnosis::Diagnosis;
use crate::engine::knowledge::{KnowledgeBase, Map};
use crate::engine::observations::Observations;
use crate::journal::case::{CaseFile, to_toml};
use crate::journal::moment::Moment;

/// The version of the table `kept`.
pub const VERSION: i64 = 2;

/// A kept case.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct KeptCase {
    /// That of a case file.
    pub schema: String,
    /// The species, where it was named.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub species: Option<String>,
    /// The stage, where it was named.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stage: Option<String>,
    /// The sensor log it was made with, by its whole path. It stays on this machine.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub log: Option<String>,
    /// Setup items that hold, or `ITEM = no`.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub setup: Vec<String>,
    /// What was answered about signs.
    #[serde(default, skip_serializing_if = "Map::is_empty")]
    pub signs: Map<String, String>,
    /// What was measured.
    #[serde(default, skip_serializing_if = "Map::is_empty")]
    pub readings: Map<String, String>,
    /// What holds of people who enter.
    #[serde(default, skip_serializing_if = "Map::is_empty")]
    pub people: Map<String, String>,
    /// What the journal adds.
    pub kept: Kept,
}

/// What the journal adds to a case.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Kept {
    /// The version of this table.
    pub version: i64,
    /// The case's id, as the file is named.
    pub id: String,
    /// When it was kept.
    pub at: Moment,
    /// The version of the program.
    pub program: String,
    /// Fingerprint of the knowledge it was diagnosed with.
    pub knowledge: String,
    /// The name of the profile's file, for the eye: it is never opened again.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub profile: Option<String>,
    /// Ids of what the profile told.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub from_profile: Vec<String>,
    /// What came out.
    pub diagnosis: KeptDiagnosis,
    /// What was done, in the order it was noted.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub done: Vec<Done>,
    /// How it went on, in the order it was noted.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub follow_ups: Vec<FollowUp>,
}

/// What a diagnosis came to at the time.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct KeptDiagnosis {
    /// The verdict in one word.
    pub verdict: String,
    /// Whether base rates of this grower's own went into it.
    #[serde(default, skip_serializing_if = "is_false")]
    pub personal_rates: bool,
    /// Causes reported, most confident first.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub causes: Vec<KeptCause>,
    /// Actions that were due, in the order to do them.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub actions: Vec<KeptAction>,
}

/// A cause as it was reported.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct KeptCause {
    /// Which.
    pub id: String,
    /// What it was called.
    pub name: String,
    /// Its probability.
    pub confidence: f64,
}

/// An action as it was due.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct KeptAction {
    /// Which.
    pub id: String,
    /// What to watch.
    pub watch: String,
    /// After how many hours to look.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub look_again_hours: Option<u32>,
}

/// Something that was done.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Done {
    /// The action.
    pub action: String,
    /// On which day.
    pub on: Date,
    /// In the grower's words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// One look at how it went on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct FollowUp {
    /// When.
    pub at: Moment,
    /// Whether what was done worked; left out where it is too early to say.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub outcome: Option<Outcome>,
    /// The causes found in the end; none where that is not known.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub found: Vec<String>,
    /// Where a cause was found: those that this occasion ruled out beforehand.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub out_of_question: Vec<String>,
    /// Actions that were advised and had not been done by then; none where that was not asked.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub not_done: Vec<String>,
    /// In the grower's words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    /// Signs that were looked for again.
    #[serde(default, skip_serializing_if = "Map::is_empty")]
    pub signs: Map<String, String>,
    /// Readings that were taken again.
    #[serde(default, skip_serializing_if = "Map::is_empty")]
    pub readings: Map<String, String>,
    /// What came out with these in place of what was told before.
    pub diagnosis: KeptDiagnosis,
}

/// Whether what was done worked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Outcome {
    /// The trouble is gone.
    Worked,
    /// It is better, and not gone.
    Partly,
    /// It is as bad as before.
    No,
}

impl Outcome {
    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Worked => "worked",
            Self::Partly => "partly",
            Self::No => "no",
        }
    }
}

/// How far a case has come.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum State {
    /// Nobody has looked at it again.
    Open,
    /// Somebody has, and it is not over.
    FollowedUp,
    /// It worked, or it did not and the cause is known.
    Closed,
}

impl State {
    /// The words for it.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Open => "open",
            Self::FollowedUp => "followed up",
            Self::Closed => "closed",
        }
    }
}

fn is_false(flag: &bool) -> bool {
    !flag
}

impl KeptDiagnosis {
    /// What of a diagnosis is kept.
    pub fn of(base: &KnowledgeBase, diagnosis: &Diagnosis) -> Self {
        Self {
            verdict: diagnosis.verdict.word().to_owned(),
            personal_rates: !diagnosis.personal_rates.is_empty(),
            causes: diagnosis
                .causes
                .iter()
                .map(|cause| KeptCause {
                    id: cause.id.to_string(),
                    name: cause.name.clone(),
                    // Six decimals, as everywhere outside: beyond them machines may differ.
                    confidence: (cause.confidence * 1e6).round() / 1e6,
                })
                .collect(),
            actions: diagnosis
                .actions
                .iter()
                .map(|action| KeptAction {
                    id: action.id.to_string(),
                    watch: action.watch.clone(),
                    look_again_hours: base
                        .actions
                        .get(&action.id)
                        .and_then(|action| action.watched.look_again_hours),
                })
                .collect(),
        }
    }

    /// The most confident cause.
    pub fn leader(&self) -> Option<&KeptCause> {
        self.causes.first()
    }
}

/// What of a case file a kept case takes over.
#[derive(Deserialize)]
#[serde(rename_all = "kebab-case")]
struct Body {
    schema: String,
    species: Option<String>,
    stage: Option<String>,
    #[serde(default)]
    setup: Vec<String>,
    #[serde(default)]
    signs: Map<String, String>,
    #[serde(default)]
    readings: Map<String, String>,
    #[serde(default)]
    people: Map<String, String>,
}

impl Body {
    fn of(base: &KnowledgeBase, told: &Observations) -> Self {
        // By way of the case file, so that there is one way of writing answers and readings.
        let case = CaseFile {
            observations: told.clone(),
            ..CaseFile::default()
        };
        toml::from_str(&to_toml(base, &case)).expect("a case file is a table with these keys")
    }
}

impl KeptCase {
    /// A case as it is first kept; it has no id yet.
    pub fn new(
        base: &KnowledgeBase,
        told: &Observations,
        diagnosis: &Diagnosis,
        profile: Option<String>,
        at: Moment,
    ) -> Self {
        let body = Body::of(base, told);
        Self {
            schema: body.schema,
            species: body.species,
            stage: body.stage,
            log: None,
            setup: body.setup,
            signs: body.signs,
            readings: body.readings,
            people: body.people,
            kept: Kept {
                version: VERSION,
                id: String::new(),
                at,
                program: env!("CARGO_PKG_VERSION").to_owned(),
                knowledge: base.fingerprint.clone(),
                profile,
                from_profile: told.from_profile.iter().cloned().collect(),
                diagnosis: KeptDiagnosis::of(base, diagnosis),
                done: Vec::new(),
                follow_ups: Vec::new(),
            },
        }
    }

    /// How far it has come.
    pub fn state(&self) -> State {
        let last = self.kept.follow_ups.iter().rev();
        let outcome = last.clone().find_map(|follow_up| follow_up.outcome);
        match outcome {
            Some(Outcome::Worked) => State::Closed,
            Some(Outcome::No) if !self.found().is_empty() => State::Closed,
            _ if self.kept.follow_ups.is_empty() => State::Open,
            _ => State::FollowedUp,
        }
    }

    /// The latest outcome that was told.
    pub fn outcome(&self) -> Option<Outcome> {
        let mut last = self.kept.follow_ups.iter().rev();
        last.find_map(|follow_up| follow_up.outcome)
    }

    /// The follow-up in which a cause was found in the end; the latest, where there are several.
    pub fn confirmed(&self) -> Option<&FollowUp> {
        let mut last = self.kept.follow_ups.iter().rev();
        last.find(|follow_up| !follow_up.found.is_empty())
    }

    /// The causes found in the end.
    pub fn found(&self) -> &[String] {
        self.confirmed().map_or(&[], |follow_up| &follow_up.found)
    }

    /// Ids of the actions that were done; of those that were due, where nobody said what was done.
    pub fn tried(&self) -> Vec<&str> {
        let mut tried: Vec<&str> = match self.nothing_said_of_what_was_done() {
            true => self.advised().collect(),
            false => {
                let done = self.kept.done.iter();
                done.map(|done| done.action.as_str()).collect()
            }
        };
        let mut seen = std::collections::BTreeSet::new();
        tried.retain(|id| seen.insert(*id));
        tried
    }

    /// Whether it is open which of the actions were done.
    pub fn nothing_said_of_what_was_done(&self) -> bool {
        let asked = |one: &FollowUp| !one.not_done.is_empty();
        self.kept.done.is_empty() && !self.kept.follow_ups.iter().any(asked)
    }

    /// Ids of the actions that were due and are not noted as done, in the order to do them.
    pub fn not_noted(&self) -> Vec<&str> {
        let noted = |id: &str| self.kept.done.iter().any(|done| done.action == id);
        self.advised().filter(|id| !noted(id)).collect()
    }

    fn advised(&self) -> impl Iterator<Item = &str> {
        let actions = self.kept.diagnosis.actions.iter();
        actions.map(|one| one.id.as_str())
    }

    /// The case as its file, readable as a case file too.
    pub fn to_toml(&self) -> String {
        toml::to_string(self).expect("tables of texts and finite numbers can always be written")
    }
}

/// Answers and readings as a case file has them, from what was observed.
pub fn written(
    base: &KnowledgeBase,
    told: &Observations,
) -> (Map<String, String>, Map<String, String>) {
    let body = Body::of(base, told);
    (body.signs, body.readings)
}
