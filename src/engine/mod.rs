//! The reasoning itself: pure, without files, clock, environment, randomness or printing.

pub mod climate;
pub mod family;
pub mod influence;
pub mod normal;
pub mod quantity;
pub mod question;
pub mod roots;
pub mod weigh;
