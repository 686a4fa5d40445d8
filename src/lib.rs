//! Works out what is wrong in a mushroom fruiting chamber, how sure it is, what to do first and when to protect yourself.

pub mod cli;
pub mod describe;
pub mod engine;
pub mod journal;
pub mod knowledge;
pub mod log;
pub mod report;
pub mod train;
