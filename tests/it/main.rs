//! The one test crate outside the library.

mod network;
mod properties;
mod questions;
mod reference;
