//! What each sort of input must stand, whatever is in it: the bodies of the fuzz targets, which the tests replay.
//!
//! `tests/fuzz/src/lib.rs` takes this module in by its path, so that both run the same code. A target takes bytes; it fails
//! where something that must always hold does not. Nothing here touches files.

mod answers;
mod case;
mod csv;
mod diagnosis;
mod journal;
mod knowledge;
mod profile;
mod reading;
mod rounds;
mod settings;
mod shown;
mod words;

/// A target: it takes bytes, and fails where something that must always hold does not.
pub type Target = fn(&[u8]);

/// Every target, by the name of its folder of inputs.
pub const ALL: [(&str, Target); 11] = [
    ("answers", answers::run),
    ("case", case::run),
    ("csv", csv::run),
    ("diagnosis", diagnosis::run),
    ("journal", journal::run),
    ("knowledge", knowledge::run),
    ("profile", profile::run),
    ("reading", reading::run),
    ("rounds", rounds::run),
    ("settings", settings::run),
    ("words", words::run),
];

/// Runs the target of this name.
pub fn run(name: &str, data: &[u8]) {
    let found = ALL.iter().find(|(known, _)| *known == name);
    let (_, target) = found.expect("a target of this name");
    target(data);
}
