//! What follows: causes, derived facts and rules, actions, cautions.

use serde::{Deserialize, Serialize};

use crate::engine::condition::{Condition, Finding, Literal};
use crate::engine::id::{
    ActionId, CauseId, CautionId, FamilyId, PersonId, ReadingId, SignId, SpeciesId,
};
use crate::engine::knowledge::{Formula, Grounds};

/// What sort of cause it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum CauseKind {
    /// A state of chamber or block that growers do not see directly.
    Condition,
    /// What stands behind a condition.
    Root,
    /// A mould or film.
    Contaminant,
    /// A disease of the crop.
    Disease,
    /// An animal or an unwanted mushroom.
    Pest,
    /// A fault of practice.
    Practice,
    /// A fault of an instrument.
    Instrument,
    /// A fault of block or crop.
    Crop,
    /// Looks like trouble and needs no cure.
    LookAlike,
}

/// What a cause can cost.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Hazard {
    /// It can hurt people.
    Health,
    /// It can cost the crop or the chamber.
    Loss,
}

/// A cause: what is wrong, or only looks wrong.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Cause {
    /// What it is called.
    pub name: String,
    /// What sort of cause it is.
    pub kind: CauseKind,
    /// What it is, in a sentence or two.
    pub summary: String,
    /// Not considered where this is known to be false.
    pub only_if: Option<Condition>,
    /// A group: it holds where at least one of these holds. Empty for every other cause.
    pub any_of: Vec<CauseId>,
    /// How common it is among growers who ask for help; for a root, how often the root is there. Zero for a group.
    pub base_rate: f64,
    /// What it can cost.
    pub hazard: Option<Hazard>,
    /// What it is taken for, and what tells them apart.
    pub look_alikes: Vec<LookAlike>,
    /// What to do about it.
    pub actions: Vec<ActionId>,
    /// What to be careful of once it is suspected.
    pub cautions: Vec<CautionId>,
    /// What it shows.
    pub shows: Vec<Shows>,
    /// What makes it likelier beforehand.
    pub raised_by: Vec<RaisedBy>,
    /// What may stand behind it.
    pub roots: Vec<RootLink>,
    /// What it stands on.
    pub grounds: Grounds,
    /// The file it was read from.
    pub file: String,
}

impl Cause {
    /// What it shows whatever the species: its links without the responses of single species.
    pub fn general(&self) -> impl Iterator<Item = &Shows> {
        self.shows
            .iter()
            .filter(|shows| shows.response_of.is_none())
    }
}

/// A pair that is easily taken for each other.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct LookAlike {
    /// The other cause.
    pub cause: CauseId,
    /// What tells them apart.
    pub told_apart_by: Finding,
}

/// One link of the network: how often a cause, alone, brings about a finding.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Shows {
    /// The finding.
    pub finding: Finding,
    /// The share of cases with this as the only thing wrong in which it brings the finding about.
    pub share: f64,
    /// Left out where this is known to be false.
    pub only_if: Option<Condition>,
    /// The species whose response this is: it holds where that species is named, and nowhere else.
    pub response_of: Option<SpeciesId>,
    /// Species that have a response of their own in place of this.
    pub not_in: Vec<SpeciesId>,
    /// What it stands on.
    pub grounds: Grounds,
}

/// A risk factor.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct RaisedBy {
    /// When it applies.
    pub when: Condition,
    /// What the odds are multiplied by.
    pub times: f64,
    /// What it stands on.
    pub grounds: Grounds,
}

/// What may stand behind a condition.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct RootLink {
    /// The root.
    pub cause: CauseId,
    /// The share of cases in which this root, alone, brings the condition about.
    pub brings: f64,
    /// What it stands on.
    pub grounds: Grounds,
}

/// A fact that rules derive.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Fact {
    /// What is the case, as a clause.
    pub statement: String,
    /// How often it holds with nothing listed wrong.
    pub anyway: f64,
    /// The family of findings it moves with.
    pub family: Option<FamilyId>,
    /// Where it means that what was told does not go together.
    pub at_odds: Option<AtOdds>,
    /// What it stands on.
    pub grounds: Grounds,
    /// The file it was read from.
    pub file: String,
}

/// What to say where things that were told do not go together.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct AtOdds {
    /// Both sides, and which of them may be wrong, in a sentence or two.
    pub says: String,
    /// What would account for it: mostly a fault of an instrument. The check that tells most about these settles it.
    pub may_be: Vec<CauseId>,
}

/// A rule from facts to a fact.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct DeriveRule {
    /// What must hold.
    pub when: Condition,
    /// What follows: a sign or a derived fact, or its denial.
    pub then: Literal,
    /// The step in plain words.
    pub text: String,
    /// What it stands on.
    pub grounds: Grounds,
    /// The file it was read from.
    pub file: String,
}

/// What an action is for; in the order in which actions are taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Purpose {
    /// Protect people.
    Protect,
    /// Keep it from spreading.
    Contain,
    /// Put the cause right.
    Fix,
    /// See how it goes.
    Watch,
    /// Keep it from coming back.
    Prevent,
}

/// When an action is due.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Due {
    /// At once.
    Now,
    /// In the next days.
    NextDays,
    /// With the next run.
    NextRun,
}

/// How much, computed from readings where they are there.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Amount {
    /// The formula and its inputs.
    pub formula: Formula,
    /// The reading whose species limit the formula aims at.
    pub limit: Option<ReadingId>,
    /// The amount in words; `{value}` stands for the number.
    pub text: String,
    /// What to say where it cannot be computed.
    pub otherwise: String,
    /// What else the amount asks for, each said where it can be computed and left out where not.
    pub also: Vec<AlsoAmount>,
}

/// Something else that an amount asks for.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct AlsoAmount {
    /// The formula and its inputs.
    pub formula: Formula,
    /// The reading whose species limit the formula aims at.
    pub limit: Option<ReadingId>,
    /// The amount in words; `{value}` stands for the number.
    pub text: String,
}

/// What tells whether an action worked, as far as it can be asked for.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Watched {
    /// Signs to look for again.
    pub signs: Vec<SignId>,
    /// Readings to take again.
    pub readings: Vec<ReadingId>,
    /// After how many hours it is worth looking.
    pub look_again_hours: Option<u32>,
}

/// What to do.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Action {
    /// What it is for.
    pub purpose: Purpose,
    /// When it is due.
    pub when_to_do: Due,
    /// What to do; starts with a verb.
    pub text: String,
    /// What of it to do in the first minute after a spot is seen, before anything is asked; empty for most.
    pub first_minute: Vec<String>,
    /// How much.
    pub amount: Option<Amount>,
    /// Effort, as a multiple of a glance.
    pub effort: f64,
    /// The word for that effort.
    pub effort_word: String,
    /// When it should show.
    pub shows_in: String,
    /// What to watch.
    pub watch: String,
    /// The same as far as it can be asked for.
    pub watched: Watched,
    /// What else it changes; `{value}` stands for the amount.
    pub disturbs: Vec<String>,
    /// What to do if it did not work.
    pub if_failed: String,
    /// What brings it up besides the causes that name it.
    pub rules: Vec<Trigger>,
    /// What it stands on.
    pub grounds: Grounds,
    /// The file it was read from.
    pub file: String,
}

/// What brings up an action or a caution.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Trigger {
    /// What must hold.
    pub when: Condition,
    /// What it stands on.
    pub grounds: Grounds,
}

/// How grave a caution is; the gravest first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Severity {
    /// Stop: somebody can be hurt now.
    Stop,
    /// Take care.
    Care,
    /// Good to know.
    Info,
}

/// What to be careful of.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Caution {
    /// How grave it is.
    pub severity: Severity,
    /// Whether it says what to do this very minute; it stands before the others of its severity.
    pub at_once: bool,
    /// The people it is for: it is not due where all of them are known not to be there. Empty for everybody.
    pub only_for: Vec<PersonId>,
    /// What to know and do.
    pub text: String,
    /// The stricter line for people at special risk.
    pub special_risk: Option<String>,
    /// What brings it up.
    pub rules: Vec<Trigger>,
    /// Who has the last word.
    pub defer_to: String,
    /// What it stands on.
    pub grounds: Grounds,
    /// The file it was read from.
    pub file: String,
}
