//! The tests from outside, in one crate.

mod small;

mod report;
