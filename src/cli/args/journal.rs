//! The arguments of the journal's commands.

use std::path::PathBuf;

use clap::{Args, Subcommand, ValueEnum};

use crate::journal::kept;

/// Arguments of `rounds`.
#[derive(Debug, Args)]
#[command(args_conflicts_with_subcommands = true)]
pub struct RoundsArgs {
    /// What to do; shows what is due if not given.
    #[command(subcommand)]
    pub command: Option<RoundsCommand>,
    /// The profile of the chamber: what it does not have is left out
    #[arg(long, value_name = "FILE")]
    pub profile: Option<PathBuf>,
    /// Write the due dates to this iCalendar file as well; an existing file is not overwritten
    #[arg(long, value_name = "FILE")]
    pub ics: Option<PathBuf>,
}

/// What to do with the rounds.
#[derive(Debug, Subcommand)]
pub enum RoundsCommand {
    /// Write down that something was done; then show what is due
    Done {
        /// What was done, by its id or as much of its beginning as tells it from the others
        #[arg(value_name = "ITEM", required = true)]
        items: Vec<String>,
        /// The day, as in 2026-03-04, `today` or `yesterday`; today if not given
        #[arg(long, value_name = "DATE")]
        on: Option<String>,
    },
}

/// Arguments of `cases`.
#[derive(Debug, Args)]
#[command(
    args_conflicts_with_subcommands = true,
    after_help = "Cases are kept by `blockside diagnose --save` and `blockside ask --save`, one file each, in the folder \
        `cases` of the data folder (BLOCKSIDE_HOME, if that is set). They may say things about people's health: only \
        you can read them, and nothing is sent anywhere. CASE is a case's id, or as much of its beginning or end as \
        tells it from the others."
)]
pub struct CasesArgs {
    /// What to do with them; lists them if not given.
    #[command(subcommand)]
    pub command: Option<CasesCommand>,
    /// Those of this species alone, by any of its names
    #[arg(long, value_name = "NAME")]
    pub species: Option<String>,
    /// Those in which this cause was reported or found
    #[arg(long, value_name = "CAUSE")]
    pub cause: Option<String>,
    /// Those that are not closed
    #[arg(long)]
    pub open: bool,
    /// Those kept since a day, as in 2026-03-04, `today` or `yesterday`
    #[arg(long, value_name = "DATE")]
    pub since: Option<String>,
}

/// What to do with kept cases.
#[derive(Debug, Subcommand)]
pub enum CasesCommand {
    /// Show a case: what was told, what came out, what was done, how it went on
    Show {
        /// The case
        #[arg(value_name = "CASE")]
        case: String,
    },
    /// Compare two cases: facts that differ, and what came out differently
    Compare {
        /// One case
        #[arg(value_name = "CASE")]
        one: String,
        /// The other
        #[arg(value_name = "CASE")]
        other: String,
    },
    /// Note that something was done
    Done {
        /// The case
        #[arg(value_name = "CASE")]
        case: String,
        /// The action, by its id
        #[arg(value_name = "ACTION")]
        action: String,
        /// On which day, as in 2026-03-04 or `yesterday`; today if not given
        #[arg(long, value_name = "DATE")]
        on: Option<String>,
        /// In your words
        #[arg(long, value_name = "TEXT")]
        note: Option<String>,
    },
    /// Write cases as JSON lines, with all that they say about people
    Export {
        /// The cases
        #[arg(value_name = "CASE", required_unless_present = "all")]
        cases: Vec<String>,
        /// All of them
        #[arg(long, conflicts_with = "cases")]
        all: bool,
    },
    /// Keep cases from JSON lines; nothing is overwritten
    Import {
        /// The file, or `-` for standard input
        #[arg(value_name = "FILE")]
        file: PathBuf,
    },
    /// Show how your confirmed cases moved how common causes are taken to be
    Learned {
        /// Use these rates in diagnoses from now on
        #[arg(long, conflicts_with = "off")]
        on: bool,
        /// Use the shipped rates alone from now on
        #[arg(long)]
        off: bool,
    },
}

/// Arguments of `follow-up`.
#[derive(Debug, Args)]
#[command(
    after_help = "Without options it asks at the terminal. With any of them it asks nothing and notes what they say."
)]
pub struct FollowUpArgs {
    /// The case, by its id or a part of it
    #[arg(value_name = "CASE")]
    pub case: String,
    /// A sign as it is now: SIGN, or `SIGN=no`, `=unsure`, `=probably`; may be given several times
    #[arg(long, value_name = "SIGN[=ANSWER]")]
    pub sign: Vec<String>,
    /// A reading as it is now, as in `co2=900 ppm`; may be given several times
    #[arg(long, value_name = "READING=VALUE")]
    pub reading: Vec<String>,
    /// An action that was done since, by its id or its beginning; may be given several times
    #[arg(long, value_name = "ACTION")]
    pub done: Vec<String>,
    /// Nothing of what was advised was done
    #[arg(long, conflicts_with = "done")]
    pub nothing_done: bool,
    /// Whether what was done worked; leave it out while it is too early to say
    #[arg(long, value_enum)]
    pub outcome: Option<OutcomeWord>,
    /// The cause that was found in the end, by id or name; may be given several times
    #[arg(long, value_name = "CAUSE")]
    pub found: Vec<String>,
    /// In your words
    #[arg(long, value_name = "TEXT")]
    pub note: Option<String>,
}

/// Whether what was done worked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum OutcomeWord {
    /// The trouble is gone.
    Worked,
    /// It is better, and not gone.
    Partly,
    /// It is as bad as before.
    No,
}

impl From<OutcomeWord> for kept::Outcome {
    fn from(word: OutcomeWord) -> Self {
        match word {
            OutcomeWord::Worked => Self::Worked,
            OutcomeWord::Partly => Self::Partly,
            OutcomeWord::No => Self::No,
        }
    }
}
