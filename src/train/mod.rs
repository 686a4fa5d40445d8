//! Training and checking: cases drawn from the model, and how well stated confidence holds against what was the case.

pub mod chance;
pub mod grower;
pub mod practice;
pub mod repetition;
pub mod score;
pub mod simulate;
pub mod without;
