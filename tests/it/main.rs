//! The tests from outside, in one crate.

mod small;

mod broken;
mod case_files;
mod cases;
mod cli;
mod docs;
mod house;
mod knowledge;
mod network;
mod properties;
mod questions;
mod reference;
mod report;
mod walk;
