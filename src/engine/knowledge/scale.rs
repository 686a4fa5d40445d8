//! Words for numbers, the engine's numbers, and what every number stands on.

use serde::{Deserialize, Serialize};

use crate::engine::id::SourceId;
use crate::engine::knowledge::Map;

/// Where an entry was written, and what it stands on.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Grounds {
    /// The published or practical sources.
    pub sources: Vec<Cite>,
    /// Who says what, where the sources do not agree.
    pub differ: Option<String>,
    /// The reasoning, where no source says it.
    pub judgement: Option<String>,
}

/// How a word is spelt in America.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Spelling {
    /// The American spelling; the British one is the key.
    pub american: String,
    /// What it stands on.
    pub grounds: Grounds,
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
    (
        $(#[$top:meta])* $name:ident;
        $($(#[doc = $doc:literal])+ $field:ident = $id:literal, $least:literal ..= $most:literal;)*
    ) => {
        $(#[$top])*
        #[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
        pub struct $name {
            $($(#[doc = $doc])+ pub $field: f64,)*
        }

        impl $name {
            /// The id of each number in the knowledge, with its least and greatest value.
            pub const RANGES: &[(&str, f64, f64)] = &[$(($id, $least, $most),)*];

            /// Every number with its id and what it is for.
            pub fn listed(&self) -> Vec<(&'static str, f64, &'static str)> {
                vec![$(($id, self.$field, concat!($($doc),+)),)*]
            }

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

pub(crate) use numbers;

numbers! {
    /// The numbers the engine works with; every one is given by the knowledge.
    Numbers;
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
    /// How many of a grower's own cases the shipped base rate of a cause counts as much as.
    pseudo_cases = "pseudo-cases", 1.0..=10000.0;
    /// Chance that a later sign of a family merely repeats an earlier one.
    copy_rate = "copy-rate", 0.0..=1.0;
    /// Likelihood of the sign when a person answers "probably".
    probably = "probably", 0.5..=1.0;
    /// Likelihood of the sign when a person answers "unsure".
    unsure = "unsure", 0.5..=1.0;
    /// What being asked and answering costs, whatever the check, as a multiple of a glance.
    asking_effort = "asking-effort", 0.0..=100.0;
    /// Information in bits below which no question is worth asking.
    stop_gain = "stop-gain", 0.0..=1.0;
    /// With a verdict reached, a check must raise the chance that it is right by this much to be worth asking.
    turn_gain = "turn-gain", 0.0..=1.0;
    /// A check on the roots must raise the chance that the likeliest root is right by this much.
    root_turn_gain = "root-turn-gain", 0.0..=1.0;
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
