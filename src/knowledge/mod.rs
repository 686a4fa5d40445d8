//! From TOML text to a checked knowledge base.

pub mod build;
pub mod check;
pub mod coverage;
pub mod embedded;
pub mod entries;
pub mod fields;
pub mod language;
pub mod lint;
pub mod pages;
pub mod problem;
pub mod profile;
pub mod read;
pub mod response;
pub mod rules;
pub mod shape;
pub mod topics;
pub mod watched;
