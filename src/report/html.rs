//! Pages of HTML: each one file that needs nothing else, for screen, paper and readers that speak.
//!
//! Every text goes through `sanitise::markup`, and nothing else writes letters into a page; the pages hold no script and
//! forbid one, so that a folder of knowledge from anywhere cannot bring one in.

mod cards;
mod case;
mod drawing;
mod exam;
mod handbook;
pub mod style;
mod write;

pub use crate::report::html::cards::cards;
pub use crate::report::html::case::{Chart, case};
pub use crate::report::html::exam::exam;
pub use crate::report::html::handbook::{Drawn, handbook};
