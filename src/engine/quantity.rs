//! Units and readings.
use serde::{Deserialize, Serialize};
/// A unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum Unit {
    /// ppm
    Ppm,
}
