//! `log`: what a sensor log says.

mod clear;
pub mod drawing;
mod progress;

use std::io::{self, Read};
use std::path::Path;

use crate::cli::args::{self, Format, HowToRead, LogArgs};
use crate::cli::ask::save;
use crate::cli::exit::{Exit, Failure, Outcome};
use crate::cli::given;
use crate::cli::log::progress::Progress;
use crate::cli::new_file::put;
use crate::cli::session::Session;
use crate::engine::knowledge::{KnowledgeBase, Measure};
use crate::journal::case::CaseFile;
use crate::knowledge::read;
use crate::log::analysis::{Analysed, Unusable, analyse};
use crate::log::case::observations;
use crate::log::channel::Channel;
use crate::log::columns::What;
use crate::log::findings::findings;
use crate::log::findings::measures::measures;
use crate::log::findings::wording::counted;
use crate::log::left_out::Reason;
use crate::log::opening::Said;
use crate::log::rows::{Rows, RowsError};
use crate::log::settings::{Settings, reading};
use crate::log::stamp::form::SHARED;
use crate::log::stamp::{self, DateOrder};
use crate::log::unit::InUnit;
use crate::log::zone::Zone;
use crate::report::json;
use crate::report::log::svg;
use crate::report::log::text::{self, places, report};
use crate::report::sanitise::short;

/// Carries out the command.
///
/// # Errors
/// Where an option is wrong, the file is no log, or the result cannot be written.
pub fn run(args: &LogArgs, session: &Session) -> Outcome {
    let base = session.base()?;
    let settings = settings(args, base)?;
    // Nothing is read for an hour only to find at the end that the result has no place.
    for path in args.into.iter().chain(&args.plot) {
        if path.exists() {
            return Err(Failure::unable(format!(
                "`{}` is there already and was left as it is; name another file",
                path.display()
            )));
        }
    }
    let name = name_of(&args.file);
    let unable = |said: String| Failure::unable(unreadable(&name, &said));
    let (rows, length) = open(&args.file, &args.how, &settings, session)?;
    let mut progress = Progress::new(length);
    let analysed = analyse(rows, &settings, |bytes| progress.show(bytes));
    progress.done();
    let analysed =
        analysed.map_err(|error| Failure::unable(format!("`{name}` cannot be read: {error}")))?;
    let summary = match analysed {
        Analysed::Read(summary) => summary,
        Analysed::Nothing(unusable) => return Err(unable(nothing_usable(&unusable))),
    };
    let found = findings(&summary, &settings, session.system);
    if let Some(path) = &args.plot {
        let drawn = svg::draw(&name, &summary, &settings, session.system);
        put(path, &drawn)?;
    }
    let measured = measures(&summary, &settings, &found, session.system);
    let told = observations(base, &settings, &summary, &measured, &found);
    if let Some(path) = &args.into {
        let case = CaseFile {
            observations: told.clone(),
            log: drawing::named_from(path, &args.file),
            ..CaseFile::default()
        };
        save::whole_case(base, &case, path, false).map_err(Failure::unable)?;
    }
    match session.format {
        Format::Json => session.write_json(&json::log(&summary, &settings, &found))?,
        Format::Text => {
            let read = text::Read {
                name: &name,
                summary: &summary,
                settings: &settings,
                findings: &found,
                system: session.system,
            };
            let into = args.into.as_deref().map(|path| text::Into {
                base,
                told: &told,
                path,
            });
            session.write(&report(&read, into.as_ref(), session.look))?;
        }
    }
    Ok(Exit::Done)
}

/// A log that is open, and how many bytes it has where that is known.
pub(crate) type Opened = (Rows<Box<dyn Read>>, Option<u64>);

/// Opens a log; what is not clear about it is asked for where somebody can answer.
///
/// # Errors
/// Where an option is wrong, or the file is no log.
pub(crate) fn open(
    file: &Path,
    how: &HowToRead,
    settings: &Settings,
    session: &Session,
) -> Result<Opened, Failure> {
    let mut said = said(how)?;
    let zone = match &how.time_zone {
        None => Zone::as_written(),
        Some(name) => Zone::named(name).ok_or_else(|| {
            Failure::usage(format!(
                "no time zone is called `{}`; write one such as `Europe/Oslo` or `America/Denver`, or `system`",
                short(name)
            ))
        })?,
    };
    let name = name_of(file);
    loop {
        let (source, length) = source(file)?;
        match Rows::open(source, &said, zone.clone(), settings) {
            Ok(rows) => return Ok((rows, length)),
            Err(RowsError::Io(error)) => {
                return Err(Failure::unable(format!("`{name}` cannot be read: {error}")));
            }
            Err(RowsError::Opening(error)) => {
                // What came from standard input cannot be read a second time.
                let answered = file.as_os_str() != "-"
                    && clear::ask(&error, &mut said, session)
                        .map_err(|error| Failure::writing(&error))?;
                if !answered {
                    return Err(Failure::unable(unreadable(&name, &error.to_string())));
                }
            }
        }
    }
}

fn unreadable(name: &str, said: &str) -> String {
    format!("`{name}` cannot be read as a log: {said}")
}

/// What a file is called in messages.
pub(crate) fn name_of(path: &Path) -> String {
    if path.as_os_str() == "-" {
        "standard input".to_owned()
    } else {
        path.display().to_string()
    }
}

/// What is read, and how many bytes it has where that is known.
fn source(path: &Path) -> Result<(Box<dyn Read>, Option<u64>), Failure> {
    if path.as_os_str() == "-" {
        return Ok((Box::new(io::stdin().lock()), None));
    }
    let shown = path.display();
    let file = read::open(path).map_err(|error| match error.kind() {
        io::ErrorKind::NotFound => Failure::unable(format!("there is no file `{shown}`")),
        _ => Failure::unable(format!("`{shown}` cannot be read: {error}")),
    })?;
    let about = file.metadata().ok();
    if about.as_ref().is_some_and(std::fs::Metadata::is_dir) {
        return Err(Failure::unable(format!(
            "`{shown}` is a folder; name a file in it"
        )));
    }
    let length = about
        .filter(std::fs::Metadata::is_file)
        .map(|about| about.len());
    Ok((Box::new(file), length))
}

fn settings(args: &LogArgs, base: &KnowledgeBase) -> Result<Settings, Failure> {
    let species = args.species.as_ref().map(|word| given::species(base, word));
    let stage = args.stage.as_ref().map(|word| given::stage(base, word));
    let species = species.transpose().map_err(Failure::usage)?;
    let stage = stage.transpose().map_err(Failure::usage)?;
    let mut settings = Settings::new(base, species.as_ref(), stage.as_ref())
        .map_err(|error| Failure::unable(error.to_string()))?;
    settings.surface_c = measured(
        base,
        Measure::SurfaceGiven,
        "--surface",
        args.surface.as_deref(),
    )?;
    let outside = measured(
        base,
        Measure::OutsideCo2,
        "--outside-co2",
        args.outside_co2.as_deref(),
    )?;
    if outside.is_some() {
        settings.outside_ppm = outside;
        settings.outside_given = true;
    }
    Ok(settings)
}

/// A value given as an option, judged as the reading that lays claim to it.
///
/// # Errors
/// It is not understood or cannot be true, or the knowledge has no such reading.
pub(crate) fn measured(
    base: &KnowledgeBase,
    measure: Measure,
    option: &str,
    text: Option<&str>,
) -> Result<Option<f64>, Failure> {
    let Some(text) = text else { return Ok(None) };
    let Some((_, reading)) = reading(base, measure) else {
        return Err(Failure::usage(format!(
            "this knowledge has no reading for {option}"
        )));
    };
    given::measured(reading, text)
        .map(|measured| Some(measured.value))
        .map_err(|error| Failure::usage(format!("{option}: {error}")))
}

fn said(how: &HowToRead) -> Result<Said, Failure> {
    let mut said = Said {
        order: how.date_order.map(|order| match order {
            args::DateOrder::DayFirst => DateOrder::DayFirst,
            args::DateOrder::MonthFirst => DateOrder::MonthFirst,
        }),
        ..Said::default()
    };
    for text in &how.abbreviation {
        let split = text
            .split_once('=')
            .and_then(|(word, offset)| Some((word.trim(), stamp::offset(offset)?)));
        let place = |word: &str| {
            SHARED
                .iter()
                .position(|(name, _)| name.eq_ignore_ascii_case(word))
        };
        let Some((place, offset)) = split.and_then(|(word, offset)| Some((place(word)?, offset)))
        else {
            let all: Vec<&str> = SHARED.iter().map(|(name, _)| *name).collect();
            return Err(Failure::usage(format!(
                "`--abbreviation {}` cannot be understood; write for example --abbreviation CST=-06:00, for one of {}",
                short(text),
                all.join(", ")
            )));
        };
        said.meanings[place] = Some(offset);
    }
    for text in &how.column {
        let split = text
            .split_once('=')
            .map(|(what, name)| (What::named(what.trim()), name));
        let Some((Some(what), name)) = split.filter(|(_, name)| !name.trim().is_empty()) else {
            return Err(Failure::usage(format!(
                "`--column {}` cannot be understood; write for example --column temperature=\"Probe 2\", for one of \
                 time, date, temperature, humidity, co2, light",
                short(text)
            )));
        };
        said.columns.push((what, name.to_owned()));
    }
    for text in &how.unit {
        let split = text
            .split_once('=')
            .and_then(|(what, unit)| Some((Channel::named(what.trim())?, InUnit::named(unit)?)));
        match split {
            Some((channel, unit)) if unit.fits(channel) => said.units.push((channel, unit)),
            _ => {
                return Err(Failure::usage(format!(
                    "`--unit {}` cannot be understood; write for example --unit temperature=F, --unit \
                     humidity=fraction, --unit co2=% or --unit light=klx",
                    short(text)
                )));
            }
        }
    }
    Ok(said)
}

/// That no row can be used, and why.
pub(crate) fn nothing_usable(unusable: &Unusable) -> String {
    let Unusable { rows, left_out } = unusable;
    if *rows == 0 {
        return "it has column names but no rows of values".to_owned();
    }
    let mut text = format!("none of its {} can be used", counted(*rows, "row", "rows"));
    for reason in Reason::ALL {
        let count = left_out.of(reason);
        if count.count > 0 {
            text.push_str(&format!(
                "\n{}, {}: {}",
                counted(count.count, "row", "rows"),
                reason.says(),
                places(count)
            ));
            if reason == Reason::CellCount {
                text.push_str(
                    " Where numbers have decimal commas, cells must be parted by semicolons or tabs: export the log \
                     again like that.",
                );
            }
        }
    }
    text
}
