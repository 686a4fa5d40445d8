//! Practice for a new helper: a case whose causes are known, looked at check by check, named and judged.
//!
//! [`case`] draws a case, [`look`] says what a check finds and which checks are offered, [`level`] how hard a case is,
//! [`choices`] what can be answered, [`points`] what an answer is worth, [`debrief`] what there is to learn from it, [`exam`] a fixed set of cases.

pub mod case;
pub mod choices;
pub mod debrief;
pub mod due;
pub mod exam;
pub mod level;
pub mod look;
pub mod points;
