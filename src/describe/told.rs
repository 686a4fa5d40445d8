//! What became of a text.

use std::ops::Range;

use crate::engine::id::{PersonId, ReadingId, SetupId, SignId, SpeciesId, StageId};
use crate::engine::observations::{Answer, Observations};
use crate::engine::quantity::Measured;

/// One thing that was told.
#[derive(Debug, Clone, PartialEq)]
pub enum Told {
    /// The species.
    Species(SpeciesId),
    /// The stage.
    Stage(StageId),
    /// A sign, with the answer the text gives about it.
    Sign(SignId, Answer),
    /// A setup item that holds or does not.
    Setup(SetupId, bool),
    /// Something that holds of people who enter, or does not.
    Person(PersonId, bool),
    /// A measured value, in the reading's own unit.
    Reading(ReadingId, Measured),
}

/// What a statement is about, whatever it says of it.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum Topic {
    /// Which species it is.
    Species,
    /// Which stage it is.
    Stage,
    /// A sign.
    Sign(SignId),
    /// A setup item.
    Setup(SetupId),
    /// Something about people.
    Person(PersonId),
    /// A reading.
    Reading(ReadingId),
}

impl Told {
    /// What it is about.
    pub fn topic(&self) -> Topic {
        match self {
            Self::Species(_) => Topic::Species,
            Self::Stage(_) => Topic::Stage,
            Self::Sign(id, _) => Topic::Sign(id.clone()),
            Self::Setup(id, _) => Topic::Setup(id.clone()),
            Self::Person(id, _) => Topic::Person(id.clone()),
            Self::Reading(id, _) => Topic::Reading(id.clone()),
        }
    }
}

/// Words of the text that turned a statement round or made it less sure. Spans are byte positions in the text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Cue {
    /// The words as they stand in the text.
    pub words: String,
    /// Their place.
    pub span: Range<usize>,
}

/// What was wrong with a word.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fault {
    /// It is misspelt.
    Misspelt,
    /// It is spelt as in America.
    American,
}

/// A word that was taken for another.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Correction {
    /// The word as it stands in the text.
    pub written: String,
    /// What it was taken for.
    pub taken_for: String,
    /// What was wrong with it.
    pub fault: Fault,
    /// Its place in the text, in bytes.
    pub span: Range<usize>,
}

/// Why words were taken for what they were taken for.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Because {
    /// The words of the knowledge that the text was taken for.
    pub phrase: String,
    /// Words that were corrected first, in order of place.
    pub corrections: Vec<Correction>,
    /// The word that denies it.
    pub denied: Option<Cue>,
    /// The word that leaves it open or makes it likely only.
    pub hedged: Option<Cue>,
}

/// Something that was understood.
#[derive(Debug, Clone, PartialEq)]
pub struct Understood {
    /// What it says.
    pub what: Told,
    /// Its place in the text, in bytes.
    pub span: Range<usize>,
    /// The text's own words.
    pub words: String,
    /// What it was taken for, and why.
    pub because: Because,
}

/// Why a piece of the text gave no fact.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Why {
    /// The knowledge has no such words.
    Unknown,
    /// The knowledge has some of the words, and others not.
    PartlyUnknown,
    /// The knowledge has all of the words, but as they stand there they tell nothing.
    NotTogether,
    /// A number that stands for nothing that is named.
    NumberWithoutName,
    /// A bound, such as "above 600", is no reading.
    Bound,
    /// It is asked, not told.
    Asked,
    /// It is supposed, wished or advised, not told.
    Supposed,
    /// It was so once, and need not be so now.
    Past,
    /// It could mean several things: their names, in the order of the knowledge; none where it is the sense of the
    /// sentence that is open.
    Doubtful(Vec<String>),
    /// A number that cannot be: what it would be, and the least and greatest that is believed.
    Impossible {
        /// The reading.
        reading: ReadingId,
        /// Least believable value, as text with its unit.
        least: String,
        /// Greatest believable value, as text with its unit.
        greatest: String,
    },
    /// A number whose unit does not fit what it stands with.
    WrongUnit(ReadingId),
    /// Several species are named; one case is of one crop.
    SeveralSpecies,
    /// A denial of something that can only be told, such as a species or a stage.
    Denied,
}

/// A piece of the text that gave no fact.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Piece {
    /// Its place in the text, in bytes.
    pub span: Range<usize>,
    /// The text's own words.
    pub words: String,
    /// Why it gave none.
    pub why: Why,
}

/// One thing that was told in ways that do not go together. It counts as unsure where that can be said, and else as not
/// told.
#[derive(Debug, Clone, PartialEq)]
pub struct Contradiction {
    /// What it is about.
    pub topic: Topic,
    /// Every statement about it, in order of place.
    pub told: Vec<Understood>,
}

/// What became of a text. Everything stands in order of its place in the text.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Description {
    /// What was understood: one statement for each thing, apart from those that contradict each other.
    pub understood: Vec<Understood>,
    /// What gave no fact.
    pub not_understood: Vec<Piece>,
    /// What was told in ways that do not go together.
    pub contradictions: Vec<Contradiction>,
    /// How much work it took, in looks at words and phrases: the same for the same text and knowledge on any machine.
    pub effort: u64,
}

impl Description {
    /// What was told, as a case holds it. Signs that were contradicted are unsure; anything else that was contradicted is
    /// left out.
    #[must_use]
    pub fn observations(&self) -> Observations {
        let mut told = Observations::default();
        for understood in &self.understood {
            match &understood.what {
                Told::Species(id) => told.species = Some(id.clone()),
                Told::Stage(id) => told.stage = Some(id.clone()),
                Told::Sign(id, answer) => {
                    told.signs.insert(id.clone(), *answer);
                }
                Told::Setup(id, holds) => {
                    told.setup.insert(id.clone(), *holds);
                }
                Told::Person(id, holds) => {
                    told.people.insert(id.clone(), *holds);
                }
                Told::Reading(id, measured) => {
                    told.readings.insert(id.clone(), *measured);
                }
            }
        }
        for contradiction in &self.contradictions {
            if let Topic::Sign(id) = &contradiction.topic {
                told.signs.insert(id.clone(), Answer::Unsure);
            }
        }
        told
    }

    /// Whether nothing in the text gave a fact.
    pub fn is_empty(&self) -> bool {
        self.understood.is_empty() && self.contradictions.is_empty()
    }
}
