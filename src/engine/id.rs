//! Names of things in the knowledge, one distinct type for each kind of thing.
//!
//! An id is kebab-case and says what is the case, not what to do. The types differ only so that the compiler
//! refuses a sign where a cause is meant. Short texts are kept in place: there are thousands of ids, and the knowledge
//! is decoded at each start.

use std::borrow::Borrow;
use std::fmt;

use serde::{Deserialize, Serialize};
use smol_str::SmolStr;
use thiserror::Error;

/// Why a text cannot be an id.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("`{text}` is not lower-case words joined by single hyphens")]
pub struct IdError {
    /// The text as it was given.
    pub text: String,
}

/// Whether the text is one or more lower-case words (letters and digits) joined by single hyphens.
pub fn is_kebab_case(text: &str) -> bool {
    !text.is_empty()
        && text.split('-').all(|word| {
            !word.is_empty()
                && word
                    .bytes()
                    .all(|byte| byte.is_ascii_lowercase() || byte.is_ascii_digit())
        })
}

macro_rules! ids {
    ($($(#[$doc:meta])* $name:ident;)*) => {$(
        $(#[$doc])*
        #[derive(Clone, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
        #[serde(transparent)]
        pub struct $name(SmolStr);

        impl $name {
            /// Checks the text and makes it an id.
            ///
            /// # Errors
            /// [`IdError`] when the text is not kebab-case.
            pub fn new(text: &str) -> Result<Self, IdError> {
                if is_kebab_case(text) { Ok(Self(text.into())) } else { Err(IdError { text: text.to_owned() }) }
            }

            /// The id as text.
            pub fn as_str(&self) -> &str {
                &self.0
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str(&self.0)
            }
        }

        impl fmt::Debug for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str(&self.0)
            }
        }

        impl Borrow<str> for $name {
            fn borrow(&self) -> &str {
                &self.0
            }
        }
    )*};
}

ids! {
    /// Names a sign: something a person can see, feel or smell.
    SignId;
    /// Names a reading: something measured, with a unit.
    ReadingId;
    /// Names a setup item: how the chamber is built or the crop is run.
    SetupId;
    /// Names something about the people who enter; used for cautions alone.
    PersonId;
    /// Names a fact that rules derive from other facts.
    FactId;
    /// Names a species.
    SpeciesId;
    /// Names a stage of the crop.
    StageId;
    /// Names a trait that several species share.
    TraitId;
    /// Names a cause: a condition, a contaminant, a fault, a root or a look-alike.
    CauseId;
    /// Names an action.
    ActionId;
    /// Names a caution.
    CautionId;
    /// Names a source.
    SourceId;
    /// Names a question that asks for several signs at once.
    QuestionId;
    /// Names a rule that derives a fact from facts.
    RuleId;
    /// Names a family of signs that move together.
    FamilyId;
    /// Names what a crop gives off.
    OutputId;
    /// Names something done in rounds.
    RoundId;
    /// Names a card for the chamber door.
    CardId;
    /// Names a topic that a helper can practise.
    TopicId;
}

#[cfg(test)]
mod tests {
    use super::{SignId, is_kebab_case};

    #[test]
    fn ids_are_lower_case_words_joined_by_single_hyphens() {
        for good in ["long-stems", "co2", "caps-2-cm"] {
            assert!(is_kebab_case(good), "{good}");
        }
        for bad in ["", "-a", "a-", "a--b", "Long", "a b", "a_b", "naïve"] {
            assert!(!is_kebab_case(bad), "{bad}");
            assert!(SignId::new(bad).is_err(), "{bad}");
        }
    }
}
