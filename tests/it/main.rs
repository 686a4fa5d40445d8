//! The tests from outside, in one crate.

mod small;
mod targets;
mod world;

mod arithmetic;
#[cfg(unix)]
mod ask_words;
mod bad_input;
mod batch;
mod broken;
mod built_in;
mod case_files;
mod case_log;
mod case_text;
mod cases;
mod cases_kept;
mod chaining;
mod chamber;
mod check_values;
mod cli;
mod confusers;
mod conventions;
mod coverage;
mod datalog;
mod dependencies;
mod describe;
mod describe_command;
mod docs;
mod flow;
mod follow_up;
mod grower;
mod handbook;
mod hostile;
mod house;
mod html;
mod journal;
mod journal_faults;
mod journeys;
mod knowledge;
mod large;
mod learned;
mod log;
mod log_case;
mod log_chance;
mod log_input;
mod log_made;
mod network;
mod offline;
mod openings;
mod other_trade;
mod practice;
mod practise;
#[cfg(unix)]
mod practise_seat;
mod profile_schema;
mod properties;
mod questions;
mod reading_aloud;
mod reference;
mod replay;
mod report;
mod responses;
mod rounds;
mod saves;
mod score;
#[cfg(unix)]
mod screens;
#[cfg(unix)]
mod seat;
mod sense;
mod sentences;
#[cfg(unix)]
mod terminal;
mod walk;
mod weighing;
