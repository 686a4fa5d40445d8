//! What a rule asks for, and the single statements it is made of.

use serde::{Deserialize, Serialize};

use crate::engine::id::{
    CauseId, FactId, PersonId, ReadingId, SetupId, SignId, SpeciesId, StageId, TraitId,
};

/// Which side of a limit a reading must be on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Side {
    /// Above the limit.
    Above,
    /// Below the limit.
    Below,
}

/// The limit a reading is compared with.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub enum Limit {
    /// A number in the reading's own unit.
    Fixed(f64),
    /// The limit of the species and stage, times a factor: the greatest value when compared from above, the least
    /// from below.
    Species {
        /// What the species' limit is multiplied by; 1 for the limit itself.
        times: f64,
    },
}

/// A reading compared with a limit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Comparison {
    /// The reading.
    pub reading: ReadingId,
    /// Above or below.
    pub side: Side,
    /// The limit; its numbers are finite.
    pub limit: Limit,
}

impl Eq for Comparison {}

impl std::hash::Hash for Comparison {
    fn hash<H: std::hash::Hasher>(&self, state: &mut H) {
        self.reading.hash(state);
        self.side.hash(state);
        let (kind, number) = match self.limit {
            Limit::Fixed(number) => (0_u8, number),
            Limit::Species { times } => (1, times),
        };
        kind.hash(state);
        number.to_bits().hash(state);
    }
}

/// Something observable that the network weighs.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum Finding {
    /// A sign.
    Sign(SignId),
    /// A derived fact.
    Fact(FactId),
    /// A reading against a limit.
    Reading(Comparison),
}

impl Finding {
    /// The statement that it is there.
    pub fn proposition(&self) -> Proposition {
        match self {
            Self::Sign(sign) => Proposition::Sign(sign.clone()),
            Self::Fact(fact) => Proposition::Fact(fact.clone()),
            Self::Reading(comparison) => Proposition::Reading(comparison.clone()),
        }
    }
}

/// One statement that can be true, false or not known.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum Proposition {
    /// The sign is there.
    Sign(SignId),
    /// The setup item holds.
    Setup(SetupId),
    /// The derived fact holds.
    Fact(FactId),
    /// The reading is beyond the limit.
    Reading(Comparison),
    /// The crop is of this species.
    Species(SpeciesId),
    /// The crop is at this stage.
    Stage(StageId),
    /// The species has this trait.
    Trait(TraitId),
    /// This holds of somebody who enters.
    Person(PersonId),
    /// The cause was concluded.
    Concluded(CauseId),
    /// The cause is at least suspected.
    Suspected(CauseId),
}

impl Proposition {
    /// The finding it states, if the network can weigh it.
    pub fn as_finding(&self) -> Option<Finding> {
        match self {
            Self::Sign(sign) => Some(Finding::Sign(sign.clone())),
            Self::Fact(fact) => Some(Finding::Fact(fact.clone())),
            Self::Reading(comparison) => Some(Finding::Reading(comparison.clone())),
            _ => None,
        }
    }
}

/// A proposition or its denial. A denial holds only where the proposition is known to be false.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Literal {
    /// The statement.
    pub proposition: Proposition,
    /// True for the statement itself, false for its denial.
    pub holds: bool,
}

/// What must hold for a rule to speak.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub enum Condition {
    /// One literal.
    Literal(Literal),
    /// Every part must hold.
    All(Vec<Condition>),
    /// At least one part must hold.
    Any(Vec<Condition>),
}

/// What is known of a statement.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Truth {
    /// Known to hold.
    True,
    /// Known not to hold.
    False,
    /// Nobody has said.
    Unknown,
}

impl Condition {
    /// A condition that asks for one proposition.
    pub fn holds(proposition: Proposition) -> Self {
        Self::Literal(Literal {
            proposition,
            holds: true,
        })
    }

    /// The condition that holds exactly where this one is known to be false.
    pub fn denied(self) -> Self {
        match self {
            Self::Literal(literal) => Self::Literal(Literal {
                holds: !literal.holds,
                ..literal
            }),
            Self::All(parts) => Self::Any(parts.into_iter().map(Self::denied).collect()),
            Self::Any(parts) => Self::All(parts.into_iter().map(Self::denied).collect()),
        }
    }

    /// Shows every literal in it, in the order written.
    pub fn each_literal<'c>(&'c self, show: &mut impl FnMut(&'c Literal)) {
        match self {
            Self::Literal(literal) => show(literal),
            Self::All(parts) | Self::Any(parts) => {
                parts.iter().for_each(|part| part.each_literal(show));
            }
        }
    }

    /// Every literal in it, in the order written.
    pub fn literals(&self) -> Vec<&Literal> {
        let mut literals = Vec::new();
        self.each_literal(&mut |literal| literals.push(literal));
        literals
    }

    /// Whether it holds, given which literals do.
    pub fn holds_by(&self, holds: &impl Fn(&Literal) -> bool) -> bool {
        match self {
            Self::Literal(literal) => holds(literal),
            Self::All(parts) => parts.iter().all(|part| part.holds_by(holds)),
            Self::Any(parts) => parts.iter().any(|part| part.holds_by(holds)),
        }
    }

    /// Whether it holds, given what is known of each proposition (Kleene's strong three-valued logic).
    pub fn truth(&self, known: &impl Fn(&Proposition) -> Truth) -> Truth {
        match self {
            Self::Literal(literal) => match (known(&literal.proposition), literal.holds) {
                (Truth::Unknown, _) => Truth::Unknown,
                (Truth::True, true) | (Truth::False, false) => Truth::True,
                (Truth::True, false) | (Truth::False, true) => Truth::False,
            },
            Self::All(parts) => {
                let mut truth = Truth::True;
                for part in parts {
                    match part.truth(known) {
                        Truth::False => return Truth::False,
                        Truth::Unknown => truth = Truth::Unknown,
                        Truth::True => {}
                    }
                }
                truth
            }
            Self::Any(parts) => {
                let mut truth = Truth::False;
                for part in parts {
                    match part.truth(known) {
                        Truth::True => return Truth::True,
                        Truth::Unknown => truth = Truth::Unknown,
                        Truth::False => {}
                    }
                }
                truth
            }
        }
    }
}
