//! Reading a sensor log: what was logged, how far it can be trusted, what happened and when.
//!
//! A log is read once, row by row, in memory that does not grow with the file. Nothing is smoothed: a value is used as
//! it was written, or it is left out, counted, and its line named.

pub mod analysis;
pub mod calendar;
pub mod case;
pub mod cell;
pub mod channel;
pub mod columns;
pub mod days;
pub mod decays;
pub mod dew;
pub mod fall;
pub mod findings;
pub mod histogram;
pub mod left_out;
pub mod lines;
pub mod opening;
pub mod peaks;
pub mod rows;
pub mod runs;
pub mod series;
pub mod settings;
pub mod stamp;
pub mod swings;
pub mod unit;
pub mod weighed;
pub mod zigzag;
pub mod zone;
