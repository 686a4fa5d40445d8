//! The everyday words of the language that free text is written in: which mean the same, and what they do in a sentence.

use serde::{Deserialize, Serialize};

use crate::engine::knowledge::Map;

macro_rules! classes {
    ($($(#[$doc:meta])* $variant:ident = $name:literal;)*) => {
        /// What a word does in a sentence. A word may do several things.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
        pub enum WordClass {
            $($(#[$doc])* #[serde(rename = $name)] $variant,)*
        }

        impl WordClass {
            /// Every class with its name in knowledge files.
            pub const ALL: [(Self, &'static str); [$($name),*].len()] =
                [$((Self::$variant, $name),)*];
        }
    };
}

classes! {
    /// Says nothing of its own and is passed over: "the", "really".
    Filler = "filler";
    /// May be passed over in a text, but counts where the knowledge's own words have it: "only", "under".
    Light = "light";
    /// A thing that can have qualities: "cap", "hose". Words are never put together across one that they do not name.
    Thing = "thing";
    /// A thing that may be any other: "stuff", "something".
    Generic = "generic";
    /// Places it somewhere else: "outdoors".
    Elsewhere = "elsewhere";
    /// A thing of another trade: what stands beside it is not told of a crop: "tomato".
    Foreign = "foreign";
    /// Likens: "like".
    Simile = "simile";
    /// A quality that belongs to one thing: "dry", "green".
    Quality = "quality";
    /// Joins a thing to its qualities: "are", "look".
    Copula = "copula";
    /// Stands before a thing: "on", "with".
    Preposition = "preposition";
    /// Joins a part to its whole, so that what is said of the one is said of the other: "of".
    PartOf = "part-of";
    /// Begins a new thing: "the", "my".
    Determiner = "determiner";
    /// Stands for a thing that was named before: "it", "they".
    Pronoun = "pronoun";
    /// Stands for several things: "they".
    Plural = "plural";
    /// Turns round what follows: "no", "isn't".
    Denial = "denial";
    /// Turns round what follows, for all times: "never".
    Never = "never";
    /// Turns round what stands before it, as an answer or at the end: "none".
    DenialAfter = "denial-after";
    /// Affirms what stands before it, as an answer: "yes".
    Yes = "yes";
    /// Leaves open whether it is so: "maybe".
    Unsure = "unsure";
    /// Makes it likely only: "probably".
    Probably = "probably";
    /// Begins a question, with or without its mark: "is it", "how do I".
    Asking = "asking";
    /// Begins a question that tells what it asks about: "why".
    AskingWhy = "asking-why";
    /// A condition: the rest of the statement is supposed: "if".
    Condition = "condition";
    /// What stands beside it is supposed, wished or advised: "should".
    Supposing = "supposing";
    /// It was so, and is over: "used to", "last week".
    Past = "past";
    /// Over only beside a verb of the past: "yesterday".
    PastBeside = "past-beside";
    /// A verb of the past that may still hold: "was".
    Was = "was";
    /// It is so now: "now", "today".
    Now = "now";
    /// The number beside it is a bound, not a reading: "above", "at most".
    Bound = "bound";
    /// The number beside it is aimed at, not read: "set to".
    Aim = "aim";
    /// The number beside it is a difference: "warmer", "by".
    Difference = "difference";
    /// Begins a part of its own: "but", "because".
    Break = "break";
    /// Joins equals: "and".
    And = "and";
    /// Joins alternatives, over which a denial goes on: "or".
    Or = "or";
    /// Words that stand in this order and no other: "before".
    Ordering = "ordering";
    /// All there are; denied, it leaves open how many: "all", "every".
    Universal = "universal";
    /// Makes a place in a row of the number before it: "rd".
    OrdinalEnding = "ordinal-ending";
    /// A common word that is like one of the knowledge's and yet is no misspelling of it.
    NotMisspelt = "not-misspelt";
}

/// A word for a number.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct NumberWord {
    /// The number.
    pub value: f64,
    /// Whether it counts a place in a row: "third".
    pub ordinal: bool,
}

/// Everything that is known of the language. A base without it cannot read free text.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Language {
    /// Words that mean the same in this trade; the first of each row stands for all.
    pub same: Vec<Vec<String>>,
    /// Words for things of one kind: where a sign asked for among others names one of them, another may stand.
    pub kin: Vec<Vec<String>>,
    /// Words and short phrases by what they do, in the order of the files.
    pub classes: Vec<(WordClass, Vec<String>)>,
    /// Words for numbers.
    pub numbers: Map<String, NumberWord>,
}

impl Language {
    /// Whether nothing is known of it.
    pub fn is_empty(&self) -> bool {
        self.classes.is_empty()
    }
}
