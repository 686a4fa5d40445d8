//! A grower's files: cases, and the chamber they are from.

pub mod case;
pub mod chamber;
pub mod schema;
