//! Says at a terminal which cases it is time to look at again.

use std::io::{self, IsTerminal};

use jiff::Timestamp;

use crate::cli::args::{CasesCommand, Command, Format};
use crate::cli::cases::{say, store};
use crate::cli::session::Session;
use crate::journal::due::time_has_come;
use crate::report::cases::reminders;

/// Whether somebody who gives this command is at the chamber in mind. Arithmetic, the program's own matters and what goes
/// to other programs stay by themselves, and a follow-up needs no word of itself.
pub fn belongs_to(command: &Command) -> bool {
    match command {
        Command::Cases(args) => !matches!(
            args.command,
            Some(CasesCommand::Export { .. } | CasesCommand::Import { .. })
        ),
        Command::FollowUp(_)
        | Command::Chamber(_)
        | Command::Air(_)
        | Command::Exchange(_)
        | Command::Sensor(_)
        | Command::Log(_)
        | Command::Knowledge { .. }
        | Command::Settings
        | Command::Completions { .. }
        | Command::Man { .. }
        | Command::Schema { .. } => false,
        _ => true,
    }
}

/// Says it on standard error where a person is reading: text is asked for, and neither output leads elsewhere. Whatever
/// stands in the way is left to the command itself to tell.
pub fn remind(session: &Session) {
    let person = io::stdout().is_terminal() && io::stderr().is_terminal();
    if session.format != Format::Text || !person {
        return;
    }
    let Ok(cases) = store().and_then(|store| Ok(store.sound()?)) else {
        return;
    };
    let come = time_has_come(&cases, Timestamp::now());
    say(&reminders(&come, session.look_of_questions()));
}
