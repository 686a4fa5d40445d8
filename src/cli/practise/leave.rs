//! Leaving in the middle with Ctrl-C: the case at hand counts as nothing, what was finished is kept.

use std::io;
use std::sync::atomic::{AtomicUsize, Ordering};

use crate::cli::ask::leaving;
use crate::cli::exit::Failure;

/// How many cases were finished and kept.
static KEPT: AtomicUsize = AtomicUsize::new(0);

/// Sees to it that Ctrl-C leaves the terminal as it was.
///
/// # Errors
/// Where Ctrl-C cannot be watched for.
pub fn watch() -> Result<(), Failure> {
    ctrlc::set_handler(|| leave())
        .map_err(|error| Failure::unable(format!("Ctrl-C cannot be watched for: {error}")))
}

/// Notes that one more case was kept.
pub fn one_more() {
    KEPT.fetch_add(1, Ordering::SeqCst);
}

/// What to say of the case at hand and of those before it.
fn farewell() -> String {
    let before = match KEPT.load(Ordering::SeqCst) {
        0 => String::new(),
        1 => "; the one before it is kept".to_owned(),
        more => format!("; the {more} before it are kept"),
    };
    format!("broken off; this case counts for nothing{before}")
}

fn leave() -> ! {
    leaving::leave(&farewell())
}

/// What an error of the terminal means: Ctrl-C, nobody reading, or a terminal that went away.
pub fn broken_off(error: &io::Error) -> Failure {
    match error.kind() {
        // The terminal hands Ctrl-C to this thread as well as to the handler.
        io::ErrorKind::Interrupted => leave(),
        io::ErrorKind::BrokenPipe => Failure::writing(error),
        _ => Failure::unable(format!("no answer could be had ({error}); {}", farewell())),
    }
}
