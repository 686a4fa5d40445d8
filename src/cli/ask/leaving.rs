//! Leaving in the middle, after Ctrl-C.

use std::process::exit;
use std::sync::atomic::{AtomicBool, Ordering};

use dialoguer::console::Term;

use crate::cli::ask::quiet;
use crate::cli::exit::Exit;

/// Whether somebody is on the way out already.
static LEAVING: AtomicBool = AtomicBool::new(false);

/// Ends the program with the terminal as it was, saying what becomes of what was answered.
pub fn leave(farewell: &str) -> ! {
    if LEAVING.swap(true, Ordering::SeqCst) {
        // Another thread is on its way out.
        loop {
            std::thread::park();
        }
    }
    quiet::restore();
    let term = Term::stderr();
    // The terminal may be gone; there is nobody to tell then.
    let _ = term.show_cursor();
    let _ = term.write_line(&format!("\nblockside: {farewell}"));
    exit(Exit::Interrupted.status())
}
