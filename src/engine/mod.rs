//! The reasoning itself: pure, without files, clock, environment, randomness or printing.
