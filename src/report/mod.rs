//! Turns results into text and JSON. Nothing here prints; every function returns what it made.

pub mod catalogue;
pub mod coverage;
pub mod explanation;
pub mod handbook;
pub mod json;
pub mod page;
pub mod problems;
pub mod sanitise;
pub mod score;
pub mod text;
pub mod words;
