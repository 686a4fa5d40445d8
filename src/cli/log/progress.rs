//! How far a long file has been read, on a terminal.

use std::time::{Duration, Instant};

use dialoguer::console::Term;

/// Files below this size are read before anybody wonders, in bytes.
const LEAST_BYTES: u64 = 8 * 1024 * 1024;

/// How often the line is drawn again.
const EVERY: Duration = Duration::from_millis(100);

/// A line on standard error that shows how far a file has been read; nothing where standard error is no terminal or the
/// file is short.
#[derive(Debug)]
pub struct Progress {
    terminal: Option<(Term, u64)>,
    drawn: Option<Instant>,
}

impl Progress {
    /// For a file of this length, where that is known.
    pub fn new(length: Option<u64>) -> Self {
        let terminal = Term::stderr();
        let shown = length.filter(|length| *length >= LEAST_BYTES && terminal.is_term());
        Self {
            terminal: shown.map(|length| (terminal, length)),
            drawn: None,
        }
    }

    /// So many bytes have been read.
    pub fn show(&mut self, bytes: u64) {
        let Some((terminal, length)) = &self.terminal else {
            return;
        };
        if self.drawn.is_some_and(|drawn| drawn.elapsed() < EVERY) {
            return;
        }
        self.drawn = Some(Instant::now());
        // A terminal that cannot be written to is no reason to stop reading.
        let _ = terminal.clear_line();
        let _ = terminal.write_str(&line(bytes, *length));
        let _ = terminal.flush();
    }

    /// Takes the line away.
    pub fn done(&mut self) {
        if let Some((terminal, _)) = self.terminal.take() {
            let _ = terminal.clear_line();
            let _ = terminal.flush();
        }
    }
}

/// The line, in ASCII: what a terminal shows besides is not known here.
fn line(bytes: u64, length: u64) -> String {
    const CELLS: u64 = 20;
    let percent = (bytes * 100 / length.max(1)).min(100);
    let filled = (percent * CELLS / 100) as usize;
    format!(
        "reading [{}{}] {percent} %",
        "#".repeat(filled),
        ".".repeat(CELLS as usize - filled)
    )
}

#[cfg(test)]
mod tests {
    use super::line;

    #[test]
    fn the_line_shows_the_share() {
        assert_eq!(line(0, 100), "reading [....................] 0 %");
        assert_eq!(line(50, 100), "reading [##########..........] 50 %");
        assert_eq!(line(200, 100), "reading [####################] 100 %");
        assert_eq!(line(0, 0), "reading [....................] 0 %");
    }
}
