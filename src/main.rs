//! The command: hands the arguments over and turns the outcome into an exit status.

use std::panic;
use std::process::exit;

use blockside::cli;
use blockside::cli::exit::Exit;

fn main() {
    // A fault of the program itself is told in a sentence, and never leaves half a report behind with status 0.
    panic::set_hook(Box::new(|fault| {
        let place = fault
            .location()
            .map_or_else(String::new, |at| format!(" ({}:{})", at.file(), at.line()));
        eprintln!(
            "blockside: the program made a mistake of its own{place}; do not rely on what it printed. Please report it."
        );
        exit(Exit::Unable.status());
    }));
    exit(cli::run(std::env::args_os()).status());
}
