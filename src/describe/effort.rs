//! How much work reading a text took, in looks: at a word, at a phrase that might begin there, at what stands around it.
//!
//! A clock says how quick a machine is; this says whether the work grows with the length of the text and no faster.

use std::cell::Cell;

thread_local! {
    /// Looks since the reading on this thread began; a text is read by one thread from its beginning to its end.
    static LOOKS: Cell<u64> = const { Cell::new(0) };
}

/// Begins to count anew.
pub(super) fn begin() {
    LOOKS.set(0);
}

/// Counts so many looks more.
pub(super) fn look(times: usize) {
    LOOKS.set(LOOKS.get().saturating_add(times as u64));
}

/// The looks so far.
pub(super) fn looks() -> u64 {
    LOOKS.get()
}
