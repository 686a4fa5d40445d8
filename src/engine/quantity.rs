//! Units and readings.
use serde::{Deserialize, Serialize};
/// A unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum Unit {
    /// ppm
    Ppm,
}
/// A reading as measured.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Measured {
    /// Value.
    pub value: f64,
    /// Tolerance.
    pub tolerance: Option<f64>,
}
