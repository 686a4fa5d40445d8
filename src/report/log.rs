//! What a sensor log came to, as text and as a drawing.

pub mod chart;
pub mod svg;
pub mod text;
