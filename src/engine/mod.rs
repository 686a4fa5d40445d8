//! The reasoning itself: pure, without files, clock, environment, randomness or printing.

pub mod normal;
pub mod weigh;
