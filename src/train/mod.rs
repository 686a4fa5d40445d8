//! Cases drawn from the knowledge itself, and how well stated confidence holds against what was the case.

pub mod chance;
pub mod grower;
pub mod score;
pub mod simulate;
pub mod without;
