//! What is known about the trade, checked and ready for use: the values that the knowledge files describe.
//!
//! The engine only reads these. They are built by `crate::knowledge::build` from files, and by hand in tests.

mod complaint;
mod drawing;
mod language;
mod lean;
mod logged;
mod look_up;
mod observable;
mod reasoning;
mod rounds;
mod scale;
mod topic;

use indexmap::IndexMap;
use rustc_hash::FxBuildHasher;
use serde::{Deserialize, Serialize};

pub use crate::engine::condition::Finding;
use crate::engine::id::{
    ActionId, CardId, CauseId, CautionId, FactId, OutputId, PersonId, QuestionId, ReadingId,
    RoundId, RuleId, SetupId, SignId, SourceId, SpeciesId, StageId, TopicId,
};
pub use crate::engine::knowledge::complaint::*;
pub use crate::engine::knowledge::drawing::*;
pub use crate::engine::knowledge::language::*;
pub use crate::engine::knowledge::logged::*;
pub use crate::engine::knowledge::observable::*;
pub use crate::engine::knowledge::reasoning::*;
pub use crate::engine::knowledge::rounds::*;
pub use crate::engine::knowledge::scale::*;
pub use crate::engine::knowledge::topic::*;

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
    /// British words and the way they are spelt in America.
    pub spellings: Map<String, Spelling>,
    /// The words of the language that free text is written in; none where the knowledge says nothing of it.
    pub language: Language,
    /// The numbers that sensor logs are judged with; none where the knowledge says nothing of logs.
    pub log: Option<LogNumbers>,
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
    /// What crops give off.
    pub outputs: Map<OutputId, Output>,
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
    /// What is done again and again to keep trouble away.
    pub rounds: Map<RoundId, Round>,
    /// Pages for the chamber door.
    pub cards: Map<CardId, Card>,
    /// What a helper can practise by itself.
    pub topics: Map<TopicId, Topic>,
}
