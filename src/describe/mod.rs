//! Free text read by the words of the knowledge: what was understood, what was not, and why.
//!
//! Nothing is guessed. What could mean several things, what is asked or supposed, and what is over gives no fact; it is
//! handed back with the reason. The same text and the same knowledge always give the same answer, in time that grows
//! with the length of the text alone.

mod told;

pub use crate::describe::told::{
    Because, Contradiction, Correction, Cue, Description, Fault, Piece, Told, Topic, Understood, Why,
};
