//! The tests from outside, in one crate.

mod small;

mod broken;
mod cases;
mod cli;
mod docs;
mod house;
mod report;
mod walk;
