//! A grower's cases.

pub mod case;
