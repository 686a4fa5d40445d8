//! Turns results into text and JSON. Nothing here prints; every function returns what it made.

pub mod air;
pub mod balance;
pub mod cases;
pub mod catalogue;
pub mod coverage;
pub mod description;
pub mod exchange;
pub mod explanation;
pub mod handbook;
pub mod html;
pub mod json;
pub mod log;
pub mod page;
pub mod practice;
pub mod problems;
pub mod rounds;
pub mod sanitise;
pub mod score;
pub mod sensor;
pub mod text;
pub mod words;
