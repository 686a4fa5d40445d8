//! Values into text; nothing here prints.

pub mod problems;
pub mod sanitise;
