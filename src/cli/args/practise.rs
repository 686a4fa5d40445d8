//! The arguments of practice.

use std::path::PathBuf;

use clap::{Args, Subcommand, ValueEnum};

use crate::train::practice::level;

/// Arguments of `practise`.
#[derive(Debug, Args)]
#[command(args_conflicts_with_subcommands = true)]
pub struct PractiseArgs {
    /// Something else than practising.
    #[command(subcommand)]
    pub command: Option<PractiseCommand>,
    /// Who practises: what was finished is kept under this name, and what was mixed up comes again when it is due
    #[arg(long, value_name = "NAME")]
    pub helper: Option<String>,
    /// How hard the cases are; if not given they begin plain and grow harder as the points rise
    #[arg(long, value_enum)]
    pub level: Option<LevelWord>,
    /// What the cases are about; `blockside practise topics` lists the topics
    #[arg(long, value_name = "TOPIC")]
    pub topic: Option<String>,
    /// Stop after so many cases
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..))]
    pub cases: Option<u16>,
    /// Draw the cases from this number: equal numbers give equal cases
    #[arg(long, value_name = "N")]
    pub seed: Option<u64>,
    /// Take the answers from this file instead of a terminal
    #[arg(long, value_name = "FILE")]
    pub answers: Option<PathBuf>,
}

/// What else there is to practice.
#[derive(Debug, Subcommand)]
pub enum PractiseCommand {
    /// Set a fixed exam: print it, print its answer sheet, or sit it at the terminal
    Exam(ExamArgs),
    /// Show how a helper comes along; without a name, who has practised
    Progress {
        /// Who
        #[arg(long, value_name = "NAME")]
        helper: Option<String>,
    },
    /// List the topics
    Topics,
}

/// Arguments of `practise exam`.
#[derive(Debug, Args)]
pub struct ExamArgs {
    /// The number that the cases are drawn from: the same number and knowledge give the same exam
    #[arg(long, value_name = "N")]
    pub seed: u64,
    /// How many cases
    #[arg(long, value_name = "K", default_value_t = 5, value_parser = clap::value_parser!(u16).range(1..=100))]
    pub cases: u16,
    /// How hard the cases are; any, if not given
    #[arg(long, value_enum)]
    pub level: Option<LevelWord>,
    /// What the cases are about
    #[arg(long, value_name = "TOPIC")]
    pub topic: Option<String>,
    /// Print the answer sheet instead of the exam
    #[arg(long)]
    pub answer_sheet: bool,
    /// Write it to this file as a page that needs nothing else, instead of printing it; an existing file is not overwritten
    #[arg(long, value_name = "FILE")]
    pub html: Option<PathBuf>,
    /// Sit the exam at the terminal, and keep it under this name
    #[arg(long, value_name = "NAME", conflicts_with_all = ["answer_sheet", "html"])]
    pub helper: Option<String>,
    /// Sit it with the answers of this file
    #[arg(long, value_name = "FILE", conflicts_with_all = ["answer_sheet", "html"])]
    pub answers: Option<PathBuf>,
}

/// How hard a case is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum LevelWord {
    /// One cause, and a check or two show it.
    Plain,
    /// One cause, and a few checks are needed.
    Middling,
    /// Several causes, many checks, or a rival that stays.
    Tricky,
}

impl From<LevelWord> for level::Level {
    fn from(word: LevelWord) -> Self {
        match word {
            LevelWord::Plain => Self::Plain,
            LevelWord::Middling => Self::Middling,
            LevelWord::Tricky => Self::Tricky,
        }
    }
}
