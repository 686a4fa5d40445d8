//! The tests from outside, in one crate.

mod small;
mod world;

mod bad_input;
mod cases;
mod chaining;
mod cli;
mod docs;
mod house;
mod journeys;
mod network;
mod other_trade;
mod properties;
mod questions;
mod reference;
mod report;
#[cfg(unix)]
mod terminal;
mod walk;
