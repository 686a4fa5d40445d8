//! The tests from outside, in one crate.

mod small;

mod cases;
mod docs;
mod house;
mod report;
