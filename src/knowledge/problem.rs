//! Faults in knowledge and case files, as values.

use std::ops::Range;

/// How much a problem matters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Gravity {
    /// The file cannot be used as it stands.
    Error,
    /// It can be used; it should be mended all the same.
    Warning,
}

macro_rules! codes {
    ($($(#[$doc:meta])* $name:ident = $code:literal, $gravity:ident, $about:literal;)*) => {
        /// What sort of fault it is.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
        pub enum ProblemCode {
            $(#[doc = $about] $name,)*
        }

        impl ProblemCode {
            /// Every code.
            pub const ALL: &[Self] = &[$(Self::$name,)*];

            /// Its name, kebab-case.
            pub fn name(self) -> &'static str {
                match self { $(Self::$name => $code,)* }
            }

            /// What it says, in one sentence.
            pub fn about(self) -> &'static str {
                match self { $(Self::$name => $about,)* }
            }

            /// Whether it is an error or a warning.
            pub fn gravity(self) -> Gravity {
                match self { $(Self::$name => Gravity::$gravity,)* }
            }
        }
    };
}

codes! {
    NotToml = "not-toml", Error, "The file is not well-formed TOML.";
    TooDeep = "too-deep", Error, "Tables or lists lie too deep within each other.";
    UnknownKey = "unknown-key", Error, "A key is not one this kind of entry has.";
    MissingKey = "missing-key", Error, "A key that every entry of this kind needs is not there.";
    WrongType = "wrong-type", Error, "A value is of another type than the key takes.";
    BadId = "bad-id", Error, "An id is not lower-case words joined by single hyphens.";
    UnknownWord = "unknown-word", Error, "A word is neither on the scale nor one of the choices.";
    OutOfRange = "out-of-range", Error, "A number lies outside what it can be, or is not a finite number.";
    UnknownSign = "unknown-sign", Error, "No sign has this id.";
    UnknownReading = "unknown-reading", Error, "No reading has this id.";
    UnknownSetup = "unknown-setup", Error, "No setup item has this id.";
    UnknownPerson = "unknown-person", Error, "No entry about people has this id.";
    UnknownFact = "unknown-fact", Error, "No derived fact has this id.";
    UnknownSpecies = "unknown-species", Error, "No species has this id or name.";
    UnknownStage = "unknown-stage", Error, "No stage has this id.";
    UnknownTrait = "unknown-trait", Error, "No species has this trait.";
    UnknownCause = "unknown-cause", Error, "No cause has this id.";
    UnknownAction = "unknown-action", Error, "No action has this id.";
    UnknownCaution = "unknown-caution", Error, "No caution has this id.";
    UnknownSource = "unknown-source", Error, "No source has this id.";
    UnknownQuestion = "unknown-question", Error, "No question has this id.";
    UnknownFormula = "unknown-formula", Error, "The engine has no formula of this name, or it takes other inputs.";
    NoGrounds = "no-grounds", Error, "An entry or a number has neither a source nor a judgement.";
    OneSource = "one-source", Error, "An entry says that sources differ and lists fewer than two.";
    RepeatedEntry = "repeated-entry", Error, "The same id or the same answer stands twice.";
    RepeatedRule = "repeated-rule", Error, "A cause shows the same finding twice under the same guard.";
    UnreachableCause = "unreachable-cause", Error, "Nothing that is told can ever bring this cause up.";
    UnusedSign = "unused-sign", Error, "No rule uses this sign.";
    UnusedFact = "unused-fact", Error, "A derived fact is never derived, or never used.";
    RootOnTwo = "root-on-two", Error, "A root hangs on more than one condition.";
    RootWithoutCondition = "root-without-condition", Error, "A root hangs on no condition or has roots of its own, or something that is no root is listed as one.";
    SharedRootSign = "shared-root-sign", Error, "A finding shown by a root is also shown elsewhere, so the sum would not be exact.";
    RootsExceedRate = "roots-exceed-rate", Error, "The roots alone bring a condition about more often than it is met.";
    BadGroup = "bad-group", Error, "A group has rules or a base rate of its own, or counts a group or root among its members.";
    BadResponse = "bad-response", Error, "A response of a species goes to a root or group, or is a sign that a root shows.";
    RuleCycle = "rule-cycle", Error, "Derive rules lead back to where they start.";
    EarlyConclusion = "early-conclusion", Error, "A rule asks for a conclusion before there can be one.";
    NotObservable = "not-observable", Error, "A link asks for more than one finding, or for something that cannot be found out.";
    NoSuchLimit = "no-such-limit", Error, "No species has the limit a reading is compared with.";
    AskedBadly = "asked-badly", Error, "A sign needs exactly one way of being asked for.";
    BadPair = "bad-pair", Error, "What is said to tell two causes apart is shown by both or by neither.";
    BadContradiction = "bad-contradiction", Error, "A fact says that things are at odds, and names no cause that shows it.";
    LateFirstMinute = "late-first-minute", Error, "A first minute is told by an action that is not due now, or neither protects nor contains.";
    EmptyTopic = "empty-topic", Error, "A topic takes in no cause that can be found by itself.";
    MissingScale = "missing-scale", Error, "The scale lacks a word or number that the engine needs.";
    DefaultSpecies = "default-species", Error, "Exactly one species and one stage must stand for \"not named\".";
    WrongSchema = "wrong-schema", Error, "The file was written for something else, or by a newer version.";
    BadReading = "bad-reading", Error, "A reading cannot be understood, or cannot be true.";
    BadPlaceholder = "bad-placeholder", Error, "`{value}` stands where no amount is computed, or is left out where one is.";
    Promise = "promise", Warning, "A text promises that something is safe or cured.";
    OutOfOrder = "out-of-order", Warning, "Entries are not sorted by id, or keys stand in another order than the shape's.";
    NeverUsed = "never-used", Warning, "Nothing refers to this entry.";
    LonelyFamily = "lonely-family", Warning, "A family has a single member.";
}

/// A fault in a file, with its place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    /// What sort of fault it is.
    pub code: ProblemCode,
    /// The file, as named when it was read.
    pub file: String,
    /// Where in the file, in bytes; `None` for the file as a whole.
    pub span: Option<Range<usize>>,
    /// What is wrong: lower case, no full stop, names in backticks.
    pub message: String,
    /// What stands at the place, in a few words.
    pub label: String,
    /// What to do about it.
    pub help: Option<String>,
    /// A second place that belongs to it: file, span, words.
    pub other: Option<(String, Range<usize>, String)>,
}

impl Problem {
    /// Sorts by file, then by place, then by code.
    pub fn sort(problems: &mut [Self]) {
        problems.sort_by(|a, b| {
            let key = |problem: &Self| {
                (
                    problem.span.clone().map_or(0, |span| span.start),
                    problem.code,
                )
            };
            a.file
                .cmp(&b.file)
                .then_with(|| key(a).cmp(&key(b)))
                .then_with(|| a.message.cmp(&b.message))
        });
    }

    /// Whether any of them is an error.
    pub fn any_error(problems: &[Self]) -> bool {
        problems
            .iter()
            .any(|problem| problem.code.gravity() == Gravity::Error)
    }
}

/// The known name closest to a word that is not known, if any is close.
pub fn nearest<'n>(word: &str, known: impl Iterator<Item = &'n str>) -> Option<&'n str> {
    if word.len() > LONGEST_WORD {
        return None;
    }
    let letters = letters_of(word);
    known
        .filter(|name| may_be_alike(&letters, word, name))
        .map(|name| (strsim::normalized_damerau_levenshtein(word, name), name))
        .filter(|(alike, _)| *alike >= LEAST_ALIKE)
        .max_by(|a, b| a.0.total_cmp(&b.0).then(b.1.cmp(a.1)))
        .map(|(_, name)| name)
}

/// The longest word that is compared with names, in bytes.
///
/// judgement: twice the longest name; nothing longer was meant for one.
const LONGEST_WORD: usize = 128;

/// How often each byte is there.
fn letters_of(word: &str) -> [i16; 256] {
    let mut letters = [0; 256];
    for byte in word.bytes() {
        letters[usize::from(byte)] += 1;
    }
    letters
}

/// Whether two words have enough letters in common that comparing them in full is worth while. A file of thousands of
/// unknown names would take minutes otherwise. Every letter that one has and the other lacks takes a change.
fn may_be_alike(letters: &[i16; 256], word: &str, name: &str) -> bool {
    if !(word.is_ascii() && name.is_ascii()) {
        return true;
    }
    if name.len() > LONGEST_WORD {
        return false;
    }
    let mut left = *letters;
    let mut lacking = 0;
    for byte in name.bytes() {
        let count = &mut left[usize::from(byte)];
        if *count > 0 {
            *count -= 1;
        } else {
            lacking += 1;
        }
    }
    let over = word.len() + lacking - name.len();
    let longest = word.len().max(name.len());
    lacking.max(over) as f64 <= (1.0 - LEAST_ALIKE) * longest as f64 + 1e-9
}

/// How alike two words must be for one to be proposed for the other.
///
/// judgement: below this the proposals are more often odd than helpful.
const LEAST_ALIKE: f64 = 0.6;

#[cfg(test)]
mod tests {
    use super::{ProblemCode, nearest};
    use crate::engine::id::is_kebab_case;

    #[test]
    fn codes_are_unique_and_kebab_case() {
        let mut names: Vec<&str> = ProblemCode::ALL.iter().map(|code| code.name()).collect();
        assert!(names.iter().all(|name| is_kebab_case(name)));
        names.sort_unstable();
        names.dedup();
        assert_eq!(names.len(), ProblemCode::ALL.len());
    }

    #[test]
    fn the_nearest_name_is_proposed_only_if_near() {
        let known = ["long-stems", "small-caps"];
        assert_eq!(nearest("long-stem", known.into_iter()), Some("long-stems"));
        assert_eq!(nearest("xyz", known.into_iter()), None);
    }
}
