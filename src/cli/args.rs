//! The command line as it is written.

mod journal;
mod practise;

use std::path::PathBuf;

use clap::builder::PossibleValuesParser;
use clap::{Args, Parser, Subcommand, ValueEnum};

use crate::report::json::CONTRACTS;
use crate::report::page::{LEAST_WIDTH, MOST_WIDTH};

pub use crate::cli::args::journal::{
    CasesArgs, CasesCommand, FollowUpArgs, OutcomeWord, RoundsArgs, RoundsCommand,
};
pub use crate::cli::args::practise::{ExamArgs, LevelWord, PractiseArgs, PractiseCommand};

/// Works out what is wrong in a mushroom fruiting chamber, how sure that is, what to do first, and when to protect
/// yourself.
#[derive(Debug, Parser)]
#[command(
    name = "blockside",
    version,
    long_version = concat!(env!("CARGO_PKG_VERSION"), "\n", env!("BLOCKSIDE_KNOWLEDGE")),
    arg_required_else_help = true,
    subcommand_required = true,
    after_help = "Start with `blockside ask`, or `blockside diagnose --sign SIGN` if you know what you see.\n\
        Exit status: 0 finished, 1 the answer is no, 2 wrong use, 3 could not finish."
)]
pub struct Cli {
    /// Options of every command.
    #[command(flatten)]
    pub common: Common,
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
}

/// Options of every command.
#[derive(Debug, Args)]
pub struct Common {
    /// Add a folder of knowledge files; its entries stand in for those of the same id. May be given several times
    #[arg(long, global = true, value_name = "DIR")]
    pub knowledge: Vec<PathBuf>,
    /// Use the knowledge files of this folder instead of the built-in ones
    #[arg(long, global = true, value_name = "DIR")]
    pub knowledge_only: Option<PathBuf>,
    /// Text to read, or JSON for other programs
    #[arg(long, global = true, value_enum, default_value_t = Format::Text)]
    pub format: Format,
    /// Units for the numbers shown; metric if neither this nor the settings say
    #[arg(long, global = true, value_enum)]
    pub units: Option<Units>,
    /// Plain ASCII letters, no colour
    #[arg(long, global = true)]
    pub plain: bool,
    /// When to use colour
    #[arg(long, global = true, value_enum, default_value_t = Colour::Auto)]
    pub colour: Colour,
    /// Columns of the text; those of the terminal if not given
    #[arg(long, global = true, value_name = "COLUMNS", value_parser = width)]
    pub width: Option<usize>,
    /// Everything in full: every cause, weights, sources
    #[arg(long, global = true)]
    pub detail: bool,
}

/// What the result is written as.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Format {
    /// Text to read.
    Text,
    /// JSON.
    Json,
}

/// Units for numbers shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Units {
    /// Degrees Celsius, litres, metres.
    Metric,
    /// Degrees Fahrenheit, gallons, feet, as in the United States.
    #[value(alias = "imperial")]
    Us,
}

/// When to use colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Colour {
    /// On a terminal that can, unless the environment says no.
    Auto,
    /// Always.
    Always,
    /// Never.
    Never,
}

/// The commands.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Walk through a diagnosis, one question at a time
    Ask(AskArgs),
    /// Diagnose a case file, or signs and readings given as options
    Diagnose(DiagnoseArgs),
    /// Diagnose from your own words
    Describe(DescribeArgs),
    /// Explain why a cause is believed in a case
    Why(WhyArgs),
    /// Explain why a cause is not believed in a case, and what would bring it up
    WhyNot(WhyArgs),
    /// List, show, compare, export and import the cases you kept
    Cases(CasesArgs),
    /// Look again at a case you kept: did it work, and what was it in the end
    FollowUp(FollowUpArgs),
    /// The rounds: what is done again and again, what is due, and writing down what was done
    Rounds(RoundsArgs),
    /// Practise on drawn cases: look, name the cause and how sure you are, and learn what you missed
    Practise(PractiseArgs),
    /// Look up species, signs, causes, actions and cautions, and compare causes
    Handbook(HandbookArgs),
    /// Work out the balance of a chamber from its profile: air, carbon dioxide, mist, walls
    Chamber(ChamberArgs),
    /// Work out moist air from any two of temperature, humidity, dew point and wet bulb
    Air(AirArgs),
    /// Work out the air changes from a fall of carbon dioxide
    Exchange(ExchangeArgs),
    /// Check a humidity sensor over wet salt, or list which salt holds which humidity
    Sensor(SensorArgs),
    /// Read a sensor log: what happened in the chamber, when and for how long
    Log(LogArgs),
    /// Check, score and list what the program knows
    Knowledge {
        /// What to do with it.
        #[command(subcommand)]
        command: KnowledgeCommand,
    },
    /// Show the settings, where their file is and what can stand in it
    Settings,
    /// Print what a shell needs to complete commands and options
    Completions {
        /// Which shell
        #[arg(value_enum)]
        shell: clap_complete::Shell,
    },
    /// Print the manual page, or write the pages of all commands into a folder
    Man {
        /// The folder
        #[arg(value_name = "DIR")]
        folder: Option<PathBuf>,
    },
    /// Print the JSON Schema of what the program writes, and of the profile that it reads
    Schema {
        /// Which
        #[arg(value_parser = PossibleValuesParser::new(CONTRACTS))]
        contract: String,
    },
}

/// A case, from a file, from options, or from both.
#[derive(Debug, Args)]
pub struct Given {
    /// A case file, or `-` for standard input
    #[arg(value_name = "CASE")]
    pub case: Option<PathBuf>,
    /// The profile of the chamber, in place of the one that the case names
    #[arg(long, value_name = "FILE")]
    pub profile: Option<PathBuf>,
    /// The species, by any of its names
    #[arg(long, value_name = "NAME")]
    pub species: Vec<String>,
    /// The stage of the crop
    #[arg(long, value_name = "STAGE")]
    pub stage: Vec<String>,
    /// A setup item that holds, or `ITEM=no`; may be given several times
    #[arg(long, value_name = "ITEM[=no]")]
    pub setup: Vec<String>,
    /// A sign that is there, or `SIGN=no`, `=unsure`, `=probably`; may be given several times
    #[arg(long, value_name = "SIGN[=ANSWER]")]
    pub sign: Vec<String>,
    /// A reading, as in `co2=2900 ppm`; may be given several times
    #[arg(long, value_name = "READING=VALUE")]
    pub reading: Vec<String>,
    /// Something about people who enter, used for cautions alone; may be given several times
    #[arg(long, value_name = "ITEM[=no]")]
    pub person: Vec<String>,
}

/// Arguments of `chamber`.
#[derive(Debug, Args)]
pub struct ChamberArgs {
    /// The profile of the chamber, or `-` for standard input
    #[arg(value_name = "PROFILE")]
    pub profile: PathBuf,
    /// The species, in place of the one that the profile names
    #[arg(long, value_name = "NAME")]
    pub species: Option<String>,
    /// The stage of the crop, in place of the one that the profile names
    #[arg(long, value_name = "STAGE")]
    pub stage: Option<String>,
    /// Change a number and show both settings side by side, as in `fan=2x` or `set-point=90 %`; may be given several
    /// times
    #[arg(long, value_name = "NAME=VALUE")]
    pub what_if: Vec<String>,
}

/// Arguments of `diagnose`.
#[derive(Debug, Args)]
pub struct DiagnoseArgs {
    /// The case.
    #[command(flatten)]
    pub given: Given,
    /// Read one case a line as JSON, from CASE or standard input, and write one diagnosis a line
    #[arg(long, conflicts_with_all = ["profile", "species", "stage", "setup", "sign", "reading", "person"])]
    pub batch: bool,
    /// Write the report into this file as a page that needs nothing else; an existing file is not overwritten
    #[arg(long, value_name = "FILE", conflicts_with = "batch")]
    pub html: Option<PathBuf>,
    /// A drawing that `log --plot` made, to stand on the page; may be given several times
    #[arg(long, value_name = "FILE", requires = "html")]
    pub chart: Vec<PathBuf>,
    /// Keep the case in your journal, which you alone can read; or write it to a new case file with `--save=FILE`
    #[arg(
        long,
        visible_alias = "keep",
        value_name = "FILE",
        num_args = 0..=1,
        require_equals = true,
        conflicts_with = "batch"
    )]
    pub save: Option<Option<PathBuf>>,
}

/// Arguments of `describe`.
#[derive(Debug, Args)]
pub struct DescribeArgs {
    /// What is grown, what looks, feels or smells wrong, and what the meters read; asked for, or read from standard
    /// input, if not given
    #[arg(value_name = "TEXT")]
    pub text: Vec<String>,
    /// Read the text from this file instead, or `-` for standard input
    #[arg(long, value_name = "FILE", conflicts_with = "text")]
    pub file: Option<PathBuf>,
    /// The profile of the chamber: it fills in what the text does not say
    #[arg(long, value_name = "FILE")]
    pub profile: Option<PathBuf>,
    /// Keep what was understood in your journal, which you alone can read; or write it to a new case file with
    /// `--save=FILE`
    #[arg(long, visible_alias = "keep", value_name = "FILE", num_args = 0..=1, require_equals = true)]
    pub save: Option<Option<PathBuf>>,
    /// Weigh what was understood without asking whether it is right
    #[arg(long)]
    pub yes: bool,
}

/// Arguments of `ask`.
#[derive(Debug, Default, Args)]
pub struct AskArgs {
    /// What you see, in your own words: what is understood of them is not asked
    #[arg(value_name = "TEXT")]
    pub text: Vec<String>,
    /// Take the answers from this file instead of a terminal
    #[arg(long, value_name = "FILE")]
    pub answers: Option<PathBuf>,
    /// The profile of the chamber: what it tells is not asked
    #[arg(long, value_name = "FILE")]
    pub profile: Option<PathBuf>,
    /// Go on with a walk that was broken off, or take up what was put off in it
    #[arg(long, value_name = "FILE", conflicts_with = "answers")]
    pub resume: Option<PathBuf>,
    /// A spot has shown up: what to do in the first minute, then its colour, texture, place and growth first
    #[arg(long)]
    pub spot: bool,
    /// How far the spot was across and when, as in `12 mm at 2026-05-03 08:00`; twice for how fast it grows
    #[arg(long, value_name = "SIZE at TIME", requires = "spot")]
    pub spot_sizes: Vec<String>,
    /// Keep the case in your journal, which you alone can read; or, with FILE, write it to a new case file
    #[arg(long, visible_alias = "keep", value_name = "FILE", num_args = 0..=1)]
    pub save: Option<Option<PathBuf>>,
}

/// Arguments of `why` and `why-not`.
#[derive(Debug, Args)]
pub struct WhyArgs {
    /// The cause
    #[arg(value_name = "CAUSE")]
    pub cause: String,
    /// The case.
    #[command(flatten)]
    pub given: Given,
}

/// Arguments of `handbook`.
#[derive(Debug, Args)]
pub struct HandbookArgs {
    /// What to look up, by id, name or a part of it; or `compare A B` for two causes, `key WORD` for the questions that
    /// follow a sign, `card NAME` for a card of the chamber door. Nothing for the front page
    #[arg(value_name = "WORD")]
    pub words: Vec<String>,
    /// Write the whole handbook, or with `card` the cards, into this file as a page that needs nothing else; an existing
    /// file is not overwritten
    #[arg(long, value_name = "FILE")]
    pub html: Option<PathBuf>,
    /// The profile of the chamber that the page draws; the plain one if not given
    #[arg(long, value_name = "FILE", requires = "html")]
    pub profile: Option<PathBuf>,
}

/// Arguments of `knowledge score`.
#[derive(Debug, Args)]
pub struct ScoreArgs {
    /// A folder of case files that say what they expect; the published cases that came with the program if not given
    #[arg(value_name = "DIR")]
    pub folder: Option<PathBuf>,
    /// Draw this many cases from the knowledge itself instead
    #[arg(long, value_name = "N", conflicts_with = "folder", value_parser = cases)]
    pub simulated: Option<usize>,
    /// The seed for drawing: equal seeds give equal draws
    #[arg(long, value_name = "S", default_value_t = 1)]
    pub seed: u64,
    /// Put every strength off by a factor of its own, at most this one: of the simulator, or of the book where cases come
    /// from files
    #[arg(long, value_name = "F", default_value_t = 1.0, value_parser = factor)]
    pub off_by: f64,
    /// Take each cause out of the book in turn: what becomes of its own cases, and of all others
    #[arg(long)]
    pub without_each: bool,
}

/// Arguments of `log`.
#[derive(Debug, Args)]
pub struct LogArgs {
    /// The log, a CSV file, or `-` for standard input
    #[arg(value_name = "FILE")]
    pub file: PathBuf,
    /// The species whose limits hold, by any of its names
    #[arg(long, value_name = "NAME")]
    pub species: Option<String>,
    /// The stage of the crop
    #[arg(long, value_name = "STAGE")]
    pub stage: Option<String>,
    /// Temperature of the coldest wall: says how long it was near the dew point
    #[arg(long, value_name = "TEMPERATURE")]
    pub surface: Option<String>,
    /// Carbon dioxide of the air that comes in, for air changes
    #[arg(long, value_name = "PPM")]
    pub outside_co2: Option<String>,
    /// How the file is to be read.
    #[command(flatten)]
    pub how: HowToRead,
    /// Write readings, signs and every finding to this case file, for `diagnose`; an existing file is not overwritten
    #[arg(long, value_name = "FILE")]
    pub into: Option<PathBuf>,
    /// Draw the log into this SVG file; an existing file is not overwritten
    #[arg(long, value_name = "FILE")]
    pub plot: Option<PathBuf>,
}

/// How a CSV file is to be read, where it does not say it itself.
#[derive(Debug, Default, Args)]
pub struct HowToRead {
    /// Where the clock hangs, as in `Europe/Oslo`, or `system`: needed where clocks are changed in the time of the log
    #[arg(long, value_name = "ZONE")]
    pub time_zone: Option<String>,
    /// Which column is which, by name or number, as in `temperature="Probe 2"`; for time, date, temperature, humidity,
    /// co2, light
    #[arg(long, value_name = "WHAT=NAME")]
    pub column: Vec<String>,
    /// The unit of a column that does not say it, as in `temperature=F`
    #[arg(long, value_name = "WHAT=UNIT")]
    pub unit: Vec<String>,
    /// What the letters of a zone in the stamps stand for, where several places use them, as in `CST=-06:00`
    #[arg(long, value_name = "LETTERS=OFFSET")]
    pub abbreviation: Vec<String>,
    /// What comes first in dates such as 03/04/2026
    #[arg(long, value_enum)]
    pub date_order: Option<DateOrder>,
}

/// Arguments of `air`.
#[derive(Debug, Args)]
pub struct AirArgs {
    /// How warm the air is
    #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true)]
    pub temperature: Option<String>,
    /// Its relative humidity
    #[arg(long, value_name = "PERCENT", allow_hyphen_values = true)]
    pub humidity: Option<String>,
    /// Its dew point
    #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true)]
    pub dew_point: Option<String>,
    /// What a thermometer with a wet wick shows in moving air
    #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true)]
    pub wet_bulb: Option<String>,
    /// The air pressure at the place, as in `840 hPa`; that of the sea level if not given
    #[arg(long, value_name = "PRESSURE", conflicts_with = "altitude")]
    pub pressure: Option<String>,
    /// Height above the sea, as in `1500 m` or `4900 ft`
    #[arg(long, value_name = "HEIGHT", allow_hyphen_values = true)]
    pub altitude: Option<String>,
    /// Temperature of a wall, lid or hose: does water form on it, and by what margin
    #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true)]
    pub surface: Option<String>,
    /// How fast the air moves over the caps, as in `0.1 m/s` or `20 ft/min`: how hard it dries them
    #[arg(long, value_name = "SPEED")]
    pub air_speed: Option<String>,
    /// What the humidity becomes when the air is only warmed or cooled to this; may be given several times
    #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true)]
    pub at: Vec<String>,
}

/// Arguments of `exchange`.
#[derive(Debug, Args)]
pub struct ExchangeArgs {
    /// A CSV file (`-` for standard input), or readings as `0:00=5000 0:10=3400`; times as 14:05, 10min, 0.5h, or in
    /// minutes
    #[arg(value_name = "FILE|TIME=PPM", required = true)]
    pub readings: Vec<String>,
    /// Carbon dioxide of the room, from which the chamber draws its air
    #[arg(long, value_name = "PPM", visible_alias = "outside-co2")]
    pub room: Option<String>,
    /// What the chamber holds, as in `250 L` or `15 cu. ft`: gives the fresh air as well
    #[arg(long, value_name = "VOLUME")]
    pub volume: Option<String>,
    /// How the file is to be read.
    #[command(flatten)]
    pub how: HowToRead,
}

/// Arguments of `sensor`.
#[derive(Debug, Args)]
pub struct SensorArgs {
    /// The salt in the jar; give it twice, with a reading each, for a correction from two points
    #[arg(long, value_name = "SALT")]
    pub salt: Vec<String>,
    /// How warm the jar is; once for all, or once for each salt
    #[arg(long, value_name = "TEMPERATURE")]
    pub temperature: Vec<String>,
    /// What the sensor shows over the salt, as in `78 %` or `78 % ± 1`
    #[arg(long, value_name = "PERCENT")]
    pub reads: Vec<String>,
    /// How many points the sensor may be off; 3 if not given
    #[arg(long, value_name = "POINTS")]
    pub tolerance: Option<String>,
    /// A reading from the chamber to correct by the check; may be given several times
    #[arg(long, value_name = "PERCENT")]
    pub correct: Vec<String>,
}

/// What comes first in dates.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum DateOrder {
    /// 3 April is 03/04.
    DayFirst,
    /// 3 April is 04/03.
    MonthFirst,
}

/// What to do with the knowledge.
#[derive(Debug, Subcommand)]
pub enum KnowledgeCommand {
    /// Check knowledge files for faults
    Check {
        /// The folder: checked by itself if it has a scale of its own, otherwise on top of the built-in knowledge
        #[arg(value_name = "DIR")]
        folder: Option<PathBuf>,
        /// Say as well what the knowledge stands on and where it is thin
        #[arg(long)]
        coverage: bool,
        /// With --coverage: the folder of published cases, instead of the built-in ones
        #[arg(long, value_name = "DIR", requires = "coverage")]
        cases: Option<PathBuf>,
    },
    /// List what is known
    List {
        /// Which kind of entry
        #[arg(value_name = "KIND", value_parser = PossibleValuesParser::new(crate::report::catalogue::Kind::ALL.iter().map(|(_, word)| *word)))]
        kind: String,
    },
    /// Hold stated confidence against what was the case, over case files or cases drawn from the knowledge
    Score(ScoreArgs),
    /// List the codes of faults in knowledge files
    Codes,
}

fn cases(text: &str) -> Result<usize, String> {
    const MOST: usize = 1_000_000;
    text.parse()
        .ok()
        .filter(|count| (1..=MOST).contains(count))
        .ok_or_else(|| format!("write a number of cases from 1 to {MOST}"))
}

fn factor(text: &str) -> Result<f64, String> {
    const MOST: f64 = 100.0;
    text.parse()
        .ok()
        .filter(|factor| (1.0..=MOST).contains(factor))
        .ok_or_else(|| format!("write a factor from 1 to {MOST}"))
}

fn width(text: &str) -> Result<usize, String> {
    text.parse()
        .ok()
        .filter(|columns| (LEAST_WIDTH..=MOST_WIDTH).contains(columns))
        .ok_or_else(|| format!("write a number of columns from {LEAST_WIDTH} to {MOST_WIDTH}"))
}
