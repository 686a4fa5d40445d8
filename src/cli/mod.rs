//! The command line: reads arguments and files, calls the other modules, writes what they return.

pub mod air;
pub mod args;
pub mod ask;
pub mod cases;
pub mod chamber;
pub mod describe;
pub mod diagnose;
pub mod examples;
pub mod exchange;
pub mod exit;
pub mod follow_up;
pub mod given;
pub mod growth;
pub mod handbook;
pub mod home;
pub mod input;
pub mod knowledge;
pub mod log;
pub mod manual;
pub mod new_file;
pub mod practise;
pub mod rounds;
pub mod score;
pub mod sensor;
pub mod session;
pub mod settings;
pub mod why;

use std::ffi::OsString;
use std::io::Write;

use clap::{CommandFactory, FromArgMatches};

use crate::cli::args::{Cli, Command};
use crate::cli::exit::{Exit, Failure, Outcome};
use crate::cli::session::Session;
use crate::report::explanation::Asked;
use crate::report::json;
use crate::report::page::{Ink, Look, Page};
use crate::report::sanitise;

/// Carries out a command line.
pub fn run(args: impl IntoIterator<Item = OsString>) -> Exit {
    let args: Vec<OsString> = args.into_iter().collect();
    let asks_for_help = |word: &OsString| ["-h", "--help", "help"].iter().any(|help| word == help);
    let command = if args.iter().any(asks_for_help) {
        manual::command()
    } else {
        Cli::command()
    };
    let parsed = command
        .try_get_matches_from(args)
        .and_then(|matches| Cli::from_arg_matches(&matches));
    let cli = match parsed {
        Ok(cli) => cli,
        Err(error) => {
            // Nobody may be reading any more; that is no failure.
            if error.use_stderr() {
                // What was typed is repeated here, and may have been pasted from anywhere.
                let text = error.render().to_string();
                let _ = std::io::stderr().write_all(sanitise::block(&text).as_bytes());
                return Exit::Usage;
            }
            let _ = error.print();
            return Exit::Done;
        }
    };
    let session = match Session::new(&cli.common) {
        Ok(session) => session,
        Err(failure) => {
            let text = format!("blockside: {}\n", sanitise::block(&failure.message));
            // There is nowhere left to report a failure of standard error.
            let _ = std::io::stderr().write_all(text.as_bytes());
            return failure.exit;
        }
    };
    if cases::remind::belongs_to(&cli.command) {
        cases::remind::remind(&session);
    }
    match carry_out(&cli.command, &session) {
        Ok(exit) => exit,
        Err(failure) => {
            tell(&failure, &session);
            failure.exit
        }
    }
}

fn carry_out(command: &Command, session: &Session) -> Outcome {
    match command {
        Command::Ask(args) => ask::run(args, session),
        Command::Diagnose(args) => diagnose::run(args, session),
        Command::Describe(args) => describe::run(args, session),
        Command::Why(args) => why::run(args, Asked::Why, session),
        Command::WhyNot(args) => why::run(args, Asked::WhyNot, session),
        Command::Cases(args) => cases::run(args, session),
        Command::FollowUp(args) => follow_up::run(args, session),
        Command::Rounds(args) => rounds::run(args, session),
        Command::Practise(args) => practise::run(args, session),
        Command::Handbook(args) => handbook::run(args, session),
        Command::Chamber(args) => chamber::run(args, session),
        Command::Air(args) => air::run(args, session),
        Command::Exchange(args) => exchange::run(args, session),
        Command::Sensor(args) => sensor::run(args, session),
        Command::Log(args) => log::run(args, session),
        Command::Knowledge { command } => knowledge::run(command, session),
        Command::Settings => manual::settings(session),
        Command::Completions { shell } => manual::completions(*shell, session),
        Command::Man { folder } => manual::pages(folder.as_deref(), session),
        Command::Schema { contract } => {
            let schema = json::schema(contract)
                .ok_or_else(|| Failure::usage(format!("there is no schema called `{contract}`")))?;
            session.write_json(&schema)?;
            Ok(Exit::Done)
        }
    }
}

/// Says on standard error what went wrong.
fn tell(failure: &Failure, session: &Session) {
    if failure.message.is_empty() {
        return;
    }
    let text = if failure.laid_out {
        failure.message.clone()
    } else {
        let mut page = Page::new(Look {
            colour: session.errors_in_colour,
            ..session.look
        });
        for line in sanitise::block(&failure.message).lines() {
            page.entry(0, "blockside:", Ink::Usual, line);
        }
        page.finish()
    };
    // There is nowhere left to report a failure of standard error.
    let _ = std::io::stderr().write_all(text.as_bytes());
}
