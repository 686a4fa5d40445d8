//! What can be told, seen and measured: stages, sources, readings, setup, people, species, questions, signs.

use serde::{Deserialize, Serialize};

use crate::engine::chamber::profile::Statement;
use crate::engine::chamber::quantity::Quantity;
use crate::engine::condition::{Condition, Side};
use crate::engine::id::{
    CauseId, FamilyId, QuestionId, ReadingId, SignId, SpeciesId, StageId, TraitId,
};
use crate::engine::knowledge::{Draws, Grounds, LogFinding, Map, Measure};
use crate::engine::quantity::Unit;

/// A stage of the crop.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Stage {
    /// What it is called.
    pub name: String,
    /// What happens in it.
    pub summary: String,
    /// Where it stands in the course of a crop, from small to large; stages are offered in this order.
    pub place: i64,
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
    /// Whether a bare number in its kind of unit is taken for it.
    pub usual_for_unit: bool,
    /// What it is called when offered as a first complaint; what shares the words is one complaint.
    pub opening: Option<String>,
    /// Its place among what is asked first about a spot, from small to large.
    pub triage: Option<f64>,
    /// The value taken in amounts where it was not measured; the amount then says so.
    pub assumed: Option<f64>,
    /// The formula that gives it, where physics does.
    pub computed: Option<Formula>,
    /// The number of a chamber's profile or balance that it stands for.
    pub profile: Option<Quantity>,
    /// What of a sensor log it is.
    pub log: Option<Measure>,
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
    /// As [`Self::MistRate`], at the airflow that brings `measured` over `outside` air to the limit.
    MistAtLimit,
    /// Hours that a full `tank` in litres lasts at [`Self::MistAtLimit`].
    TankAtLimit,
    /// By how much `measured` lies above the greatest value of the limit.
    FallToLimit,
    /// By how much `measured` lies below the least value of the limit.
    RiseToLimit,
    /// Millilitres of stock of `strength` that, made up to `volume` with water, give `target`.
    Dilution,
}

/// A formula with the readings it takes.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Formula {
    /// Which formula.
    pub name: FormulaName,
    /// The reading for each named input.
    pub inputs: Map<String, ReadingId>,
}

/// What a profile must say for a setup item or sign to hold.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub enum FromProfile {
    /// A statement of the profile, as it stands.
    Says(Statement),
    /// A number of the profile or balance that lies on one side of another, in the number's own unit.
    Compares(Quantity, Side, f64),
}

/// What a crop gives off, as far as anybody has published it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Output {
    /// The species it holds for.
    pub species: Vec<SpeciesId>,
    /// The stage it holds for.
    pub stage: StageId,
    /// Carbon dioxide in milligrams an hour for each kilogram of block, mushrooms included: least and greatest.
    pub co2_mg_kg_h: (f64, f64),
    /// How many times the mean of a crop a flush in full growth may reach.
    pub peak_times: f64,
    /// What it stands on.
    pub grounds: Grounds,
    /// The file it was read from.
    pub file: String,
}

/// How a chamber is built or a crop is run.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SetupItem {
    /// What holds, as a clause.
    pub statement: String,
    /// How to ask for it.
    pub question: String,
    /// What people call it.
    pub words: Vec<String>,
    /// Whether it is asked at the start of the walk.
    pub opening: bool,
    /// What a chamber's profile must say for it to hold.
    pub profile: Option<FromProfile>,
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
    /// Its place among those that are offered, the commonest in small chambers first; those without one follow by name.
    pub place: Option<i64>,
    /// Whether it stands for a species that was not named.
    pub default: bool,
    /// Its normal shape, where it can be drawn.
    pub draws: Option<Draws>,
    /// Its limits by stage and reading.
    pub limits: Vec<SpeciesLimit>,
    /// Looks that are no fault in it.
    pub normal: Vec<NormalLook>,
    /// How it shows a cause, where it differs from what the cause shows in general.
    pub responses: Vec<Response>,
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

/// How a species shows a cause.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Response {
    /// The cause.
    pub to: CauseId,
    /// The sign.
    pub sign: SignId,
    /// The share of cases with this cause as the only thing wrong in which this species shows the sign.
    pub shows: f64,
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
    /// What people call the whole that it asks about; where that is denied, so are all its signs.
    pub words: Vec<String>,
    /// Whether at most one of the signs holds.
    pub one_of: bool,
    /// What it is called when offered as a first complaint; what shares the words is one complaint.
    pub opening: Option<String>,
    /// Its place among what is asked first about a spot, from small to large.
    pub triage: Option<f64>,
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

/// A colour as red, green and blue, 0 to 255 each, written `#rrggbb`.
///
/// # Example
/// ```
/// use blockside::engine::knowledge::Swatch;
///
/// let grey = Swatch::parse("#808080").unwrap();
/// assert_eq!((grey.red, grey.to_string()), (128, "#808080".to_owned()));
/// assert_eq!(Swatch::parse("grey"), None);
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Swatch {
    /// Red.
    pub red: u8,
    /// Green.
    pub green: u8,
    /// Blue.
    pub blue: u8,
}

impl Swatch {
    /// Reads `#rrggbb`; none where it is anything else.
    pub fn parse(text: &str) -> Option<Self> {
        let digits = text
            .strip_prefix('#')
            .filter(|rest| rest.len() == 6 && rest.bytes().all(|byte| byte.is_ascii_hexdigit()))?;
        let part = |at: usize| u8::from_str_radix(&digits[at..at + 2], 16).ok();
        Some(Self {
            red: part(0)?,
            green: part(2)?,
            blue: part(4)?,
        })
    }
}

impl std::fmt::Display for Swatch {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "#{:02x}{:02x}{:02x}", self.red, self.green, self.blue)
    }
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
    /// What a plain yes looks like, where that needs saying.
    pub yes: Option<String>,
    /// What it is easily taken for, or the other way round.
    pub mistaken_for: Option<String>,
    /// Its colour, where it is one.
    pub swatch: Option<Swatch>,
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
    /// What it is called as a first complaint. Where its shared question is offered, that stands for it in the walk.
    pub opening: Option<String>,
    /// Not asked for where this is known to be false: what cannot be there need not be looked for.
    pub asked_if: Option<Condition>,
    /// How it changes the drawing of a mushroom or spot.
    pub draws: Option<Draws>,
    /// What a chamber's profile must say for it to be there.
    pub profile: Option<FromProfile>,
    /// Findings in a sensor log, each of which shows it.
    pub log: Vec<LogFinding>,
    /// Findings in a sensor log, each of which shows that it is not there.
    pub log_against: Vec<LogFinding>,
    /// What it stands on.
    pub grounds: Grounds,
    /// The file it was read from.
    pub file: String,
}
