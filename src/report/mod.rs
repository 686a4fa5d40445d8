//! Turns results into text and JSON. Nothing here prints; every function returns what it made.

pub mod balance;
pub mod catalogue;
pub mod explanation;
pub mod json;
pub mod log;
pub mod page;
pub mod problems;
pub mod sanitise;
pub mod text;
pub mod words;
