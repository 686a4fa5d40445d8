//! The reasoning itself: pure, without files, clock, environment, randomness or printing.

pub mod condition;
pub mod diagnosis;
pub mod id;
pub mod knowledge;
pub mod observations;
pub mod quantity;
