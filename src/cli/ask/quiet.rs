//! Keeps the terminal from printing keys by itself.
//!
//! Between two keys the terminal is as it was before; what is pressed then would be printed into a list that is being
//! redrawn, and a pressed Enter would move it down by a line.

/// While this lives, keys are read and not printed by the terminal.
#[derive(Debug)]
pub struct Quiet(());

impl Quiet {
    /// Stops the terminal from printing keys. Where that cannot be done, a key pressed too early is seen, and no more.
    pub fn begin() -> Self {
        system::hush();
        Self(())
    }
}

impl Drop for Quiet {
    fn drop(&mut self) {
        restore();
    }
}

/// Makes the terminal as it was, if it was changed: for whoever leaves without coming back.
pub fn restore() {
    system::restore();
}

#[cfg(unix)]
mod system {
    use std::io::stdin;
    use std::sync::{Mutex, PoisonError};

    use rustix::termios::{LocalModes, OptionalActions, Termios, tcgetattr, tcsetattr};

    /// How the terminal was.
    static BEFORE: Mutex<Option<Termios>> = Mutex::new(None);

    pub fn hush() {
        let Ok(before) = tcgetattr(stdin()) else {
            return;
        };
        let mut quiet = before.clone();
        quiet.local_modes.remove(LocalModes::ECHO);
        if tcsetattr(stdin(), OptionalActions::Drain, &quiet).is_ok() {
            *BEFORE.lock().unwrap_or_else(PoisonError::into_inner) = Some(before);
        }
    }

    pub fn restore() {
        let before = BEFORE.lock().unwrap_or_else(PoisonError::into_inner).take();
        if let Some(before) = before {
            // The terminal may be gone; then there is nothing to restore.
            let _ = tcsetattr(stdin(), OptionalActions::Drain, &before);
        }
    }
}

#[cfg(not(unix))]
mod system {
    pub fn hush() {}

    pub fn restore() {}
}
