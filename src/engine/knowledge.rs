//! What is known about the trade, checked and ready for use: the values that the knowledge files describe.
//!
//! The engine only reads these. They are built by `crate::knowledge::build` from files, and by hand in tests.

use indexmap::IndexMap;
use rustc_hash::FxBuildHasher;
use serde::{Deserialize, Serialize};

pub use crate::engine::condition::Finding;
use crate::engine::condition::{Comparison, Condition, Literal};
use crate::engine::id::{
    ActionId, CauseId, CautionId, FactId, FamilyId, PersonId, QuestionId, ReadingId, RuleId,
    SetupId, SignId, SourceId, SpeciesId, StageId, TraitId,
};
use crate::engine::quantity::Unit;

/// Entries by id or word, in the order of the files. The hash is a quick one: the keys come from checked files.
pub type Map<K, V> = IndexMap<K, V, FxBuildHasher>;

/// Everything that is known, by kind. Entries keep the order of the files, files in the order of their names.
///
/// # Invariants
/// Every id used anywhere is an entry here; every probability lies in 0..=1 and every number is finite; a root hangs
/// on exactly one condition; a sign shown by a root is shown by roots of that one condition alone.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct KnowledgeBase {
    /// Fingerprint of the files it was built from, as hexadecimal digits; equal files give equal fingerprints.
    pub fingerprint: String,
    /// Words for numbers, and the numbers the engine works with.
    pub scale: Scale,
    /// The stages of a crop.
    pub stages: Map<StageId, Stage>,
    /// Where facts and figures come from.
    pub sources: Map<SourceId, Source>,
    /// What can be measured.
    pub readings: Map<ReadingId, Reading>,
    /// How a chamber may be built or a crop be run.
    pub setup: Map<SetupId, SetupItem>,
    /// What may hold of people who enter.
    pub people: Map<PersonId, Person>,
    /// The species.
    pub species: Map<SpeciesId, Species>,
    /// Questions that ask for several signs at once.
    pub questions: Map<QuestionId, Question>,
    /// What a person can see, feel or smell.
    pub signs: Map<SignId, Sign>,
    /// What may be wrong, or only look wrong.
    pub causes: Map<CauseId, Cause>,
    /// Facts that rules derive.
    pub facts: Map<FactId, Fact>,
    /// Rules from facts to facts.
    pub rules: Map<RuleId, DeriveRule>,
    /// What to do.
    pub actions: Map<ActionId, Action>,
    /// What to be careful of.
    pub cautions: Map<CautionId, Caution>,
}

/// Where an entry was written, and what it stands on.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Grounds {
    /// The published or practical sources.
    pub sources: Vec<Cite>,
    /// The reasoning, where no source says it.
    pub judgement: Option<String>,
}

/// A place in a source.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Cite {
    /// The source.
    pub source: SourceId,
    /// The place in it: a table, a page.
    pub at: Option<String>,
}

/// Words for numbers, and the engine's numbers.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Scale {
    /// How often something is seen, as a probability.
    pub frequency: Map<String, Level>,
    /// How common a cause is among growers who ask, as a probability.
    pub base_rate: Map<String, Level>,
    /// How much effort a check takes, as a multiple of a glance.
    pub effort: Map<String, Level>,
    /// Words for confidence, each from this probability up; sorted from high to low.
    pub confidence: Vec<(String, Level)>,
    /// The engine's numbers.
    pub numbers: Numbers,
}

/// A number with what it stands on.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Level {
    /// The number.
    pub value: f64,
    /// What it stands on.
    pub grounds: Grounds,
}

macro_rules! numbers {
    ($($(#[$doc:meta])* $field:ident = $id:literal, $least:literal ..= $most:literal;)*) => {
        /// The numbers the engine works with; every one is given by the knowledge.
        #[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
        pub struct Numbers {
            $($(#[$doc])* pub $field: f64,)*
        }

        impl Numbers {
            /// The id of each number in the knowledge, with its least and greatest value.
            pub const RANGES: &[(&str, f64, f64)] = &[$(($id, $least, $most),)*];

            /// The number of this id, to be set by the builder.
            pub fn slot(&mut self, id: &str) -> Option<&mut f64> {
                match id {
                    $($id => Some(&mut self.$field),)*
                    _ => None,
                }
            }
        }
    };
}

numbers! {
    /// Confidence from which a cause counts as concluded.
    conclude_at = "conclude-at", 0.0..=1.0;
    /// Confidence from which a cause counts as suspected.
    suspect_at = "suspect-at", 0.0..=1.0;
    /// Confidence from which a cause is reported.
    report_from = "report-from", 0.0..=1.0;
    /// How common it is that something outside the book is wrong.
    unknown_base_rate = "unknown-base-rate", 0.0..=1.0;
    /// How often such an unknown cause would show any one sign.
    unknown_strength = "unknown-strength", 0.0..=1.0;
    /// An unknown cause shows a sign at most this many times as often as it is seen anyway.
    unknown_lift = "unknown-lift", 1.0..=1000.0;
    /// Chance that a later sign of a family merely repeats an earlier one.
    copy_rate = "copy-rate", 0.0..=1.0;
    /// Likelihood of the sign when a person answers "probably".
    probably = "probably", 0.5..=1.0;
    /// Likelihood of the sign when a person answers "unsure".
    unsure = "unsure", 0.5..=1.0;
    /// Information in bits below which no question is worth asking.
    stop_gain = "stop-gain", 0.0..=1.0;
    /// Confidence from which the leading cause is settled.
    settled_at = "settled-at", 0.0..=1.0;
    /// Confidence the leader needs for a verdict.
    decided_at = "decided-at", 0.0..=1.0;
    /// A leader with less than this many times the odds of the runner-up is not decided.
    close_factor = "close-factor", 1.0..=1000.0;
    /// Chance of a sign that reveals a hazard, above which it is asked first.
    hazard_floor = "hazard-floor", 0.0..=1.0;
    /// Probability from which a compared reading counts as a fact for rules.
    reading_true_at = "reading-true-at", 0.5..=1.0;
}

/// A stage of the crop.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Stage {
    /// What it is called.
    pub name: String,
    /// What happens in it.
    pub summary: String,
    /// Whether limits of this stage are used when none was named.
    pub default: bool,
    /// What it stands on.
    pub grounds: Grounds,
    /// The file it was read from.
    pub file: String,
}

/// How far a source was checked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Checked {
    /// The statement was read in the source.
    Read,
    /// It was read in a work that quotes the source.
    SecondHand,
    /// It is remembered and was not looked up.
    Memory,
}

/// What sort of source it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum SourceKind {
    /// A paper in a journal.
    Paper,
    /// A book or handbook.
    Book,
    /// A public agency.
    Agency,
    /// A published standard.
    Standard,
    /// An extension service or university page.
    Extension,
    /// Common practice of the trade, not published.
    Practice,
    /// Reasoning of this project.
    JudgementByProject,
}

/// A source of facts.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Source {
    /// The full citation.
    pub cite: String,
    /// What sort of source it is.
    pub kind: SourceKind,
    /// How far it was checked.
    pub checked: Checked,
    /// Where to find it.
    pub at: Option<String>,
    /// The file it was read from.
    pub file: String,
}

/// Something that can be measured.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Reading {
    /// What it is called.
    pub name: String,
    /// The unit of every number of this reading.
    pub unit: Unit,
    /// Least and greatest believable value.
    pub believable: (f64, f64),
    /// Usual standard deviation of a hobby meter.
    pub tolerance: f64,
    /// A further share of the reading added to the tolerance.
    pub tolerance_share: f64,
    /// Chance that the meter is simply wrong.
    pub broken_gauge: f64,
    /// Chance that a compared limit is passed with nothing wrong.
    pub anyway: f64,
    /// Effort to measure it, as a multiple of a glance.
    pub effort: f64,
    /// The word for that effort.
    pub effort_word: String,
    /// How to ask for it.
    pub question: String,
    /// How to measure it well.
    pub look: String,
    /// What people call it.
    pub words: Vec<String>,
    /// The value taken in amounts where it was not measured; the amount then says so.
    pub assumed: Option<f64>,
    /// The formula that gives it, where physics does.
    pub computed: Option<Formula>,
    /// What it stands on.
    pub grounds: Grounds,
    /// The file it was read from.
    pub file: String,
}

/// The formulae of the chamber arithmetic that knowledge can call by name.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum FormulaName {
    /// Dew point in degrees Celsius from `temperature` and `humidity`.
    DewPoint,
    /// Vapour-pressure deficit in pascals from `temperature` and `humidity`.
    VapourDeficit,
    /// Kelvins by which `surface` is above the dew point of `temperature` and `humidity`.
    CondensationMargin,
    /// Times the present airflow: from `measured` and `outside`, to reach the limit.
    AirflowFactor,
    /// Grams of water an hour that hold `humidity` at `temperature` for `airflow` of air at `room-temperature` and
    /// `room-humidity`.
    MistRate,
    /// The limit less `measured`.
    ChangeToLimit,
}

/// A formula with the readings it takes.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Formula {
    /// Which formula.
    pub name: FormulaName,
    /// The reading for each named input.
    pub inputs: Map<String, ReadingId>,
}

/// How a chamber is built or a crop is run.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct SetupItem {
    /// What holds, as a clause.
    pub statement: String,
    /// How to ask for it.
    pub question: String,
    /// What people call it.
    pub words: Vec<String>,
    /// Whether it is asked at the start of the walk.
    pub opening: bool,
    /// What it stands on.
    pub grounds: Grounds,
    /// The file it was read from.
    pub file: String,
}

/// Something about people who enter.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Person {
    /// What holds, as a clause.
    pub statement: String,
    /// How to ask for it.
    pub question: String,
    /// What people call it.
    pub words: Vec<String>,
    /// Whether the stricter line of each caution applies.
    pub special_risk: bool,
    /// What it stands on.
    pub grounds: Grounds,
    /// The file it was read from.
    pub file: String,
}

/// A species that is grown.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Species {
    /// Its everyday name.
    pub name: String,
    /// Its Latin name.
    pub latin: String,
    /// Other names people use.
    pub also: Vec<String>,
    /// What to know about it.
    pub summary: String,
    /// Traits it shares with other species.
    pub traits: Vec<TraitId>,
    /// When to pick it.
    pub harvest_sign: String,
    /// Whether it stands for a species that was not named.
    pub default: bool,
    /// Its limits by stage and reading.
    pub limits: Vec<SpeciesLimit>,
    /// Looks that are no fault in it.
    pub normal: Vec<NormalLook>,
    /// What it stands on.
    pub grounds: Grounds,
    /// The file it was read from.
    pub file: String,
}

/// Between what values a reading should stay, for one species at one stage.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SpeciesLimit {
    /// The stage.
    pub stage: StageId,
    /// The reading.
    pub reading: ReadingId,
    /// Its least value, in the reading's unit.
    pub min: Option<f64>,
    /// Its greatest value, in the reading's unit.
    pub max: Option<f64>,
    /// What it stands on.
    pub grounds: Grounds,
}

/// A look that is no fault in a species.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct NormalLook {
    /// The sign that is seen.
    pub sign: SignId,
    /// How often it is seen with nothing wrong.
    pub anyway: f64,
    /// What to know about it.
    pub note: String,
    /// What it stands on.
    pub grounds: Grounds,
}

/// A question that asks for several signs at once.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Question {
    /// The question.
    pub ask: String,
    /// How to look.
    pub look: String,
    /// Effort of the check, as a multiple of a glance.
    pub effort: f64,
    /// The word for that effort.
    pub effort_word: String,
    /// Whether at most one of the signs holds.
    pub one_of: bool,
    /// The signs it asks for, in the order written.
    pub signs: Vec<SignId>,
    /// The file it was read from.
    pub file: String,
}

/// How a sign is asked for.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub enum Asking {
    /// By its own question.
    Alone {
        /// The question.
        question: String,
    },
    /// As one option of a question that covers several signs.
    Option {
        /// That question.
        question: QuestionId,
        /// What the option is called.
        option: String,
    },
}

/// Something a person can see, feel or smell.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Sign {
    /// What is the case, as a clause.
    pub statement: String,
    /// How it is asked for.
    pub asking: Asking,
    /// How to look for it.
    pub look: String,
    /// What people call it.
    pub words: Vec<String>,
    /// How often it is seen with nothing listed wrong.
    pub anyway: f64,
    /// The family of signs it moves with.
    pub family: Option<FamilyId>,
    /// Effort of the check, as a multiple of a glance.
    pub effort: f64,
    /// The word for that effort.
    pub effort_word: String,
    /// What it is called when offered as a first complaint.
    pub opening: Option<String>,
    /// What it stands on.
    pub grounds: Grounds,
    /// The file it was read from.
    pub file: String,
}

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
    /// What it stands on.
    pub grounds: Grounds,
    /// The file it was read from.
    pub file: String,
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

impl KnowledgeBase {
    /// The same knowledge without what no diagnosis reads or shows: judgements, lay words and file names. They are half
    /// of all texts, and the knowledge is decoded at each start.
    #[must_use]
    pub fn for_diagnosis(mut self) -> Self {
        fn strip(grounds: &mut Grounds) {
            grounds.judgement = None;
        }
        fn clear(file: &mut String, grounds: &mut Grounds) {
            file.clear();
            strip(grounds);
        }
        let scale = &mut self.scale;
        let words = scale
            .frequency
            .values_mut()
            .chain(scale.base_rate.values_mut())
            .chain(scale.effort.values_mut());
        words
            .chain(scale.confidence.iter_mut().map(|(_, level)| level))
            .for_each(|level| strip(&mut level.grounds));
        self.sources
            .values_mut()
            .for_each(|entry| entry.file.clear());
        self.questions
            .values_mut()
            .for_each(|entry| entry.file.clear());
        self.stages
            .values_mut()
            .for_each(|entry| clear(&mut entry.file, &mut entry.grounds));
        self.facts
            .values_mut()
            .for_each(|entry| clear(&mut entry.file, &mut entry.grounds));
        self.rules
            .values_mut()
            .for_each(|entry| clear(&mut entry.file, &mut entry.grounds));
        for entry in self.readings.values_mut() {
            clear(&mut entry.file, &mut entry.grounds);
            entry.words.clear();
        }
        for entry in self.setup.values_mut() {
            clear(&mut entry.file, &mut entry.grounds);
            entry.words.clear();
        }
        for entry in self.people.values_mut() {
            clear(&mut entry.file, &mut entry.grounds);
            entry.words.clear();
        }
        for entry in self.signs.values_mut() {
            clear(&mut entry.file, &mut entry.grounds);
            entry.words.clear();
        }
        for species in self.species.values_mut() {
            clear(&mut species.file, &mut species.grounds);
            species
                .limits
                .iter_mut()
                .for_each(|limit| strip(&mut limit.grounds));
            species
                .normal
                .iter_mut()
                .for_each(|look| strip(&mut look.grounds));
        }
        for cause in self.causes.values_mut() {
            clear(&mut cause.file, &mut cause.grounds);
            cause
                .shows
                .iter_mut()
                .for_each(|shows| strip(&mut shows.grounds));
            cause
                .raised_by
                .iter_mut()
                .for_each(|raise| strip(&mut raise.grounds));
            cause
                .roots
                .iter_mut()
                .for_each(|root| strip(&mut root.grounds));
        }
        for action in self.actions.values_mut() {
            clear(&mut action.file, &mut action.grounds);
            action
                .rules
                .iter_mut()
                .for_each(|trigger| strip(&mut trigger.grounds));
        }
        for caution in self.cautions.values_mut() {
            clear(&mut caution.file, &mut caution.grounds);
            caution
                .rules
                .iter_mut()
                .for_each(|trigger| strip(&mut trigger.grounds));
        }
        self
    }

    /// The limit for a reading, for this species at this stage.
    pub fn species_limit(
        &self,
        species: &str,
        stage: &str,
        reading: &str,
    ) -> Option<&SpeciesLimit> {
        let species = self.species.get(species)?;
        species
            .limits
            .iter()
            .find(|limit| limit.stage.as_str() == stage && limit.reading.as_str() == reading)
    }

    /// The group that counts this cause among its members.
    pub fn group_of(&self, cause: &CauseId) -> Option<(&CauseId, &Cause)> {
        self.causes
            .iter()
            .find(|(_, group)| group.any_of.contains(cause))
    }

    /// The condition that this root hangs on.
    pub fn condition_of(&self, root: &CauseId) -> Option<(&CauseId, &Cause)> {
        self.causes
            .iter()
            .find(|(_, cause)| cause.roots.iter().any(|link| link.cause == *root))
    }

    /// The species that stands for one that was not named.
    pub fn default_species(&self) -> Option<&SpeciesId> {
        self.species
            .iter()
            .find(|(_, species)| species.default)
            .map(|(id, _)| id)
    }

    /// The species of this id or of any of its names, without regard to case.
    pub fn species_named(&self, name: &str) -> Option<&SpeciesId> {
        let wanted = name.trim().to_lowercase();
        let alike = |other: &str| other.to_lowercase() == wanted;
        let found = self.species.iter().find(|(id, species)| {
            alike(id.as_str())
                || alike(&species.name)
                || alike(&species.latin)
                || species.also.iter().any(|one| alike(one))
        });
        found.map(|(id, _)| id)
    }

    /// The stage that stands for one that was not named.
    pub fn default_stage(&self) -> Option<&StageId> {
        self.stages
            .iter()
            .find(|(_, stage)| stage.default)
            .map(|(id, _)| id)
    }

    /// How often a finding is seen with nothing listed wrong, in this species if one is named.
    pub fn anyway(&self, finding: &Finding, species: Option<&str>) -> f64 {
        match finding {
            Finding::Sign(sign) => {
                let normal = species
                    .and_then(|id| self.species.get(id))
                    .and_then(|species| species.normal.iter().find(|look| look.sign == *sign))
                    .map(|look| look.anyway);
                normal
                    .or_else(|| self.signs.get(sign).map(|sign| sign.anyway))
                    .unwrap_or(0.0)
            }
            Finding::Fact(fact) => self.facts.get(fact).map_or(0.0, |fact| fact.anyway),
            Finding::Reading(Comparison { reading, .. }) => self
                .readings
                .get(reading)
                .map_or(0.0, |reading| reading.anyway),
        }
    }
}
