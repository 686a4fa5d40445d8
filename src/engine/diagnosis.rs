//! What comes out of a diagnosis, as values; `crate::report` turns them into text and JSON.

use crate::engine::id::{ActionId, CauseId, CautionId, QuestionId, ReadingId, SignId};
use crate::engine::knowledge::{CauseKind, Cite, Due, Finding, Purpose, Severity};
use crate::engine::rates::PersonalRate;

/// The outcome of one diagnosis.
#[derive(Debug, Clone, PartialEq)]
pub struct Diagnosis {
    /// The verdict in one word.
    pub verdict: Verdict,
    /// Probability that something outside the book is at work.
    pub nothing_fits: f64,
    /// Probability that nothing listed is wrong, the unknown cause included.
    pub nothing_wrong: f64,
    /// False where too many signs were seen for the exact sum and the numbers are close estimates.
    pub exact: bool,
    /// By how much the findings fit each other badly, in bits; above 0 they pull apart or the case is rare.
    pub conflict_bits: f64,
    /// Causes at or above the reporting threshold that something told speaks for, most confident first.
    pub causes: Vec<CauseFound>,
    /// Signs seen, and readings beyond their limit, that no cause explains well.
    pub unexplained: Vec<FindingText>,
    /// The most telling checks still open, best first.
    pub next_checks: Vec<NextCheck>,
    /// What to do, in the order to do it.
    pub actions: Vec<ActionDue>,
    /// What to be careful of, gravest first.
    pub cautions: Vec<CautionDue>,
    /// Facts that rules derived from what was told, in the order derived.
    pub derived: Vec<DerivedStep>,
    /// Looks that were told and are no fault in this species.
    pub normal_looks: Vec<FindingText>,
    /// What does not go together in what was told.
    pub contradictions: Vec<Contradiction>,
    /// Checks that a walk put off and that would still tell something, the most telling first.
    pub homework: Vec<NextCheck>,
    /// Base rates of this grower's own that stood in for the shipped ones of what is reported.
    pub personal_rates: Vec<PersonalRate>,
}

/// Things that were told and do not go together.
#[derive(Debug, Clone, PartialEq)]
pub struct Contradiction {
    /// Its id for machines: of the derived fact, or of the sign that was told one way and follows the other way.
    pub id: String,
    /// Both sides and what may be wrong, in a sentence or two.
    pub text: String,
    /// What is at odds, as clauses.
    pub between: Vec<String>,
    /// The causes that would account for it.
    pub may_be: Vec<CauseId>,
    /// The open check that would tell most about those.
    pub settle_by: Option<NextCheck>,
}

/// What the diagnosis comes to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// Nothing was told that could be weighed.
    NothingTold,
    /// What was told points to no trouble.
    NothingWrong,
    /// One or more causes stand out.
    Decided,
    /// Several causes are close.
    Undecided,
    /// Nothing in the book explains it.
    NothingFits,
}

impl Verdict {
    /// The word for it in JSON and in the journal.
    pub fn word(self) -> &'static str {
        match self {
            Self::NothingTold => "nothing-told",
            Self::NothingWrong => "nothing-wrong",
            Self::Decided => "decided",
            Self::Undecided => "undecided",
            Self::NothingFits => "nothing-fits",
        }
    }
}

/// A cause with its confidence and reasons.
#[derive(Debug, Clone, PartialEq)]
pub struct CauseFound {
    /// Which cause.
    pub id: CauseId,
    /// What it is called.
    pub name: String,
    /// What sort of cause it is.
    pub kind: CauseKind,
    /// What it is.
    pub summary: String,
    /// Its probability, given everything told.
    pub confidence: f64,
    /// The word of the confidence scale.
    pub words: String,
    /// Its probability before any sign was weighed, risk factors included.
    pub beforehand: f64,
    /// Findings that speak for it, strongest first.
    pub speaks_for: Vec<Reason>,
    /// Findings that speak against it, strongest first.
    pub speaks_against: Vec<Reason>,
    /// What may stand behind it, or how it got in; most confident first.
    pub roots: Vec<RootFound>,
}

/// A finding with its weight for or against a cause.
#[derive(Debug, Clone, PartialEq)]
pub struct Reason {
    /// The finding.
    pub finding: FindingText,
    /// Leave-one-out weight in decibans: what this finding adds to the log odds of the cause (10 log10).
    pub weight_db: f64,
    /// A cause that already explains this finding, where that takes weight from it.
    pub taken_by: Option<CauseId>,
    /// Where the link stands.
    pub sources: Vec<Cite>,
    /// Who says what, where the sources do not agree.
    pub differ: Option<String>,
}

/// A finding with its words.
#[derive(Debug, Clone, PartialEq)]
pub struct FindingText {
    /// The finding.
    pub finding: Finding,
    /// Its id for machines: of the sign, the fact, or the reading with side and limit (`co2-above-species`).
    pub id: String,
    /// What it says, as a clause.
    pub text: String,
}

/// What may stand behind a condition.
#[derive(Debug, Clone, PartialEq)]
pub struct RootFound {
    /// Which root.
    pub id: CauseId,
    /// What it is called.
    pub name: String,
    /// Its probability, given everything told.
    pub confidence: f64,
    /// The word of the confidence scale.
    pub words: String,
    /// What was told that speaks for it.
    pub because: Vec<FindingText>,
}

/// A check worth making.
#[derive(Debug, Clone, PartialEq)]
pub struct NextCheck {
    /// What is asked: one sign, the signs of a shared question, or a reading.
    pub ask: Ask,
    /// The question.
    pub question: String,
    /// How to look or measure.
    pub how: String,
    /// How likely each sign it asks for is there, as far as a cause in play shows it; none for a reading.
    pub chances: Vec<(SignId, f64)>,
    /// Information about the causes, in bits.
    pub gain_bits: f64,
    /// Effort, as a multiple of a glance.
    pub effort: f64,
    /// The word for that effort.
    pub effort_word: String,
    /// The causes whose confidence it would move most, at most three.
    pub separates: Vec<CauseId>,
    /// Whether it could reveal a hazard and therefore comes first.
    pub hazard: bool,
    /// Whether it asks for the root behind a condition already concluded.
    pub about_roots_of: Option<CauseId>,
}

/// What a check asks for.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum Ask {
    /// One sign, yes or no.
    Sign(SignId),
    /// Which of several signs.
    Question(QuestionId, Vec<SignId>),
    /// A measurement.
    Reading(ReadingId),
}

/// An action that is due.
#[derive(Debug, Clone, PartialEq)]
pub struct ActionDue {
    /// Which action.
    pub id: ActionId,
    /// What to do.
    pub text: String,
    /// What it is for.
    pub purpose: Purpose,
    /// When it is due.
    pub due: Due,
    /// The causes it is for; empty where something told brings it up directly.
    pub for_causes: Vec<CauseId>,
    /// How much.
    pub amount: Option<AmountDue>,
    /// The word for the effort.
    pub effort_word: String,
    /// When it should show.
    pub shows_in: String,
    /// What to watch.
    pub watch: String,
    /// What else it changes.
    pub disturbs: Vec<String>,
    /// What to do if it did not work.
    pub if_failed: String,
    /// What it stands on.
    pub sources: Vec<Cite>,
    /// Who says what, where the sources do not agree.
    pub differ: Option<String>,
}

/// How much of an action.
#[derive(Debug, Clone, PartialEq)]
pub struct AmountDue {
    /// The number, where it could be computed.
    pub value: Option<f64>,
    /// Its standard deviation, where the readings carry one.
    pub uncertainty: Option<f64>,
    /// The unit of the number.
    pub unit: &'static str,
    /// The amount in words, with what else it asks for.
    pub text: String,
    /// What else it asks for, as far as it could be computed.
    pub also: Vec<AlsoDue>,
}

/// Something else that an amount asks for.
#[derive(Debug, Clone, PartialEq)]
pub struct AlsoDue {
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
#[derive(Debug, Clone, PartialEq)]
pub struct CautionDue {
    /// Which caution.
    pub id: CautionId,
    /// How grave it is.
    pub severity: Severity,
    /// What to know and do.
    pub text: String,
    /// The stricter line, where a person at special risk is named or nobody said who enters.
    pub special_risk: Option<String>,
    /// What brought it up, as clauses.
    pub because: Vec<String>,
    /// Who has the last word.
    pub defer_to: String,
    /// What it stands on.
    pub sources: Vec<Cite>,
    /// Who says what, where the sources do not agree.
    pub differ: Option<String>,
}

/// One derived fact and how it came about.
#[derive(Debug, Clone, PartialEq)]
pub struct DerivedStep {
    /// The rule that fired.
    pub rule: String,
    /// What follows, as a clause.
    pub text: String,
    /// What it follows from, as clauses.
    pub because: Vec<String>,
    /// How sure it is: the least certain premise, 1 for what was told outright.
    pub degree: f64,
}
