//! Check values of the chamber's physics that were printed or computed elsewhere, table by table, each with its source
//! and the reason for its tolerance. More stand beside the formulas themselves, in `src/engine`.
//!
//! Where a formula agrees poorly with what was published, the table says by how much.

mod air;
mod decays;
mod gas;
mod grids;
mod judging;
mod salts;
mod walls;
mod water;

/// The rows of a table: one a line, numbers between blanks.
fn rows<const N: usize>(table: &str) -> Vec<[f64; N]> {
    let lines = table.lines().map(str::trim).filter(|line| !line.is_empty());
    lines
        .map(|line| {
            let numbers: Vec<f64> = line
                .split_whitespace()
                .map(|word| {
                    word.parse()
                        .unwrap_or_else(|_| panic!("`{word}` in `{line}`"))
                })
                .collect();
            numbers
                .try_into()
                .unwrap_or_else(|_| panic!("not {N} numbers: {line}"))
        })
        .collect()
}

/// Within so much of what was wanted.
#[track_caller]
fn close(got: f64, wanted: f64, within: f64) {
    assert!(
        (got - wanted).abs() <= within,
        "{got} is not {wanted} within {within}"
    );
}

/// Within such a share of what was wanted.
#[track_caller]
fn near(got: f64, wanted: f64, share: f64) {
    close(got, wanted, share * wanted.abs());
}
