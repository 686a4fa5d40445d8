//! A grower's files: cases, the chamber they are from, and the journal in which cases are kept.

pub mod case;
pub mod chamber;
pub mod due;
pub mod kept;
pub mod learned;
pub mod learning;
pub mod moment;
pub mod practice;
pub mod recalled;
pub mod rounds;
pub mod schema;
pub mod store;
