//! The reasoning itself: pure, without files, clock, environment, randomness or printing.

pub mod advice;
pub mod chamber;
pub mod checks;
pub mod climate;
pub mod condition;
pub mod diagnosis;
pub mod exchange;
pub mod explain;
pub mod facts;
pub mod family;
pub mod formula;
pub mod id;
pub mod infer;
pub mod influence;
pub mod knowledge;
pub mod network;
pub mod normal;
pub mod observations;
pub mod quantity;
pub mod question;
pub mod reasoner;
pub mod roots;
pub mod rulebook;
pub mod student;
pub mod weigh;
pub mod wording;
