//! The reasoning itself: pure, without files, clock, environment, randomness or printing.

pub mod condition;
pub mod id;
pub mod knowledge;
pub mod quantity;
