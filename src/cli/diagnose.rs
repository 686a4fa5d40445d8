//! `diagnose`: one case, or many.

mod batch;

use std::mem::ManuallyDrop;
use std::path::Path;

use crate::cli::args::{DiagnoseArgs, Format, Given};
use crate::cli::ask::save;
use crate::cli::cases::keep::{Beside, journal_keep_with};
use crate::cli::cases::learned::reasoner;
use crate::cli::cases::note;
use crate::cli::exit::{Exit, Failure, Outcome};
use crate::cli::given;
use crate::cli::input::{self, CaseRead};
use crate::cli::log::drawing::of_case;
use crate::cli::log::name_of;
use crate::cli::new_file::{free, put};
use crate::cli::session::Session;
use crate::engine::diagnosis::Diagnosis;
use crate::engine::knowledge::KnowledgeBase;
use crate::engine::observations::Observations;
use crate::engine::reasoner::Reasoner;
use crate::knowledge::read::{ReadError, read_text};
use crate::report::html::{Chart, case};
use crate::report::json::{self, DiagnosisReport};
use crate::report::text::{Told, report};
use crate::report::words::unstopped;

/// Carries out the command.
///
/// # Errors
/// Where the case or the options have faults, or the result cannot be written.
pub fn run(args: &DiagnoseArgs, session: &Session) -> Outcome {
    let base = session.base()?;
    if args.batch {
        return batch::run(args.given.case.as_deref(), base, session);
    }
    if let Some(path) = &args.html {
        free(path)?;
    }
    let mut charts = args
        .chart
        .iter()
        .map(|path| read(path))
        .collect::<Result<Vec<_>, _>>()?;
    let observations = given::observations(&args.given, base, session)?;
    // The process ends right after: taking the rules apart again would only cost time.
    let reasoner = ManuallyDrop::new(reasoner(base, session)?);
    let diagnosis = reasoner.diagnose(&observations);
    let named = if args.html.is_some() || matches!(args.save, Some(None)) {
        named(&args.given, base, session)?
    } else {
        CaseRead::default()
    };
    if let Some(path) = &args.html {
        let told = Told {
            base,
            observations: &observations,
            diagnosis: &diagnosis,
        };
        let mut lacking = None;
        if let Some(log) = named.log.as_deref().filter(|_| charts.is_empty()) {
            match drawn(log, &observations, base, session) {
                Ok(drawn) => charts.push(drawn),
                Err(why) => {
                    note(&why, session);
                    lacking = Some(why);
                }
            }
        }
        let drawn: Vec<Chart<'_>> = charts.iter().map(Read::chart).collect();
        put(path, &case(&told, &drawn, lacking.as_deref()))?;
    }
    if session.format == Format::Json && session.look.detail {
        let told = Told {
            base,
            observations: &observations,
            diagnosis: &diagnosis,
        };
        session.write_json(&in_detail(&told, &reasoner))?;
    } else {
        write(base, &observations, &diagnosis, session)?;
    }
    match &args.save {
        None => {}
        Some(None) => {
            let beside = Beside {
                profile: named.profile.as_deref(),
                log: named.log.as_deref(),
            };
            journal_keep_with(base, &observations, &diagnosis, beside, session)?;
        }
        Some(Some(path)) => {
            save::case(base, &observations, path, false).map_err(Failure::unable)?;
        }
    }
    Ok(Exit::Done)
}

/// The files that the case names, the profile given as an option in place of its own.
fn named(given: &Given, base: &KnowledgeBase, session: &Session) -> Result<CaseRead, Failure> {
    let named = match &given.case {
        // Standard input has been read to its end.
        Some(case) if case.as_os_str() != "-" => input::case(case, base, session)?,
        _ => CaseRead::default(),
    };
    Ok(CaseRead {
        profile: given.profile.clone().or(named.profile),
        ..named
    })
}

/// The drawing of the case's log, or why there is none.
fn drawn(
    log: &Path,
    told: &Observations,
    base: &KnowledgeBase,
    session: &Session,
) -> Result<Read, String> {
    let name = log.file_name().unwrap_or(log.as_os_str());
    let name = name.to_string_lossy();
    if !log.is_file() {
        return Err(format!(
            "The log of this case, `{}`, is not there any more; the page goes without its drawing.",
            log.display()
        ));
    }
    of_case(log, told, base, session)
        .map(|svg| Read {
            title: format!("The log, drawn from {name}"),
            svg,
        })
        .map_err(|failure| {
            format!(
                "The log of this case could not be drawn: {}. `blockside log --plot` with the options it needs draws it, \
                 and `--chart` puts it on the page.",
                unstopped(failure.message.trim())
            )
        })
}

/// Writes a diagnosis in the format asked for.
///
/// # Errors
/// Where it cannot be written.
pub fn write(
    base: &KnowledgeBase,
    observations: &Observations,
    diagnosis: &Diagnosis,
    session: &Session,
) -> Result<(), Failure> {
    let told = Told {
        base,
        observations,
        diagnosis,
    };
    match session.format {
        Format::Text => session.write(&report(&told, session.look)),
        Format::Json => session.write_json(&json::diagnosis(&told)),
    }
}

/// A diagnosis as JSON with every number of its weighing.
fn in_detail(told: &Told<'_>, reasoner: &Reasoner<'_>) -> DiagnosisReport {
    DiagnosisReport {
        weighing: Some(json::weighing(
            &reasoner.weighing(told.observations),
            told.diagnosis,
        )),
        ..json::diagnosis(told)
    }
}

/// The largest drawing that is taken onto a page, in bytes.
///
/// judgement: a hundred times what `log --plot` writes; larger files were not meant.
const LARGEST: u64 = 16 * 1024 * 1024;

/// A drawing of a log, read.
struct Read {
    title: String,
    svg: String,
}

impl Read {
    fn chart(&self) -> Chart<'_> {
        Chart {
            title: &self.title,
            svg: &self.svg,
        }
    }
}

/// Reads a drawing. It is put onto the page as a picture, in which no script runs.
fn read(path: &Path) -> Result<Read, Failure> {
    let name = name_of(path);
    let unable = |said: &str| Failure::unable(format!("`{name}` {said}"));
    let svg = read_text(path, LARGEST).map_err(|error| match error {
        ReadError::TooLarge { .. } => unable("is too large for a drawing"),
        error => Failure::from(error),
    })?;
    if !svg.trim_start().starts_with("<svg") {
        return Err(unable(
            "is no drawing of a log; make one with `blockside log FILE.csv --plot`",
        ));
    }
    Ok(Read {
        title: format!(
            "The log, drawn from {}",
            path.file_name()
                .map_or(name.clone(), |last| last.to_string_lossy().into_owned())
        ),
        svg,
    })
}
