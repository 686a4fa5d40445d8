//! Many cases: one JSON object a line in, one diagnosis a line out, in the same order.
//!
//! A line has the keys of a case file. A faulty line is answered with its problems; the others are answered all the
//! same. The cases have nothing to do with one another, so every core takes the next one that is free.

mod line;

use std::fs::File;
use std::io::{self, BufRead, BufReader, BufWriter, Read, Write};
use std::path::Path;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread;

use crate::cli::cases::learned::reasoner;
use crate::cli::diagnose::batch::line::{problem, read_case};
use crate::cli::diagnose::in_detail;
use crate::cli::exit::{Exit, Failure, Outcome};
use crate::cli::input::MOST_BYTES;
use crate::cli::session::Session;
use crate::engine::knowledge::KnowledgeBase;
use crate::engine::reasoner::Reasoner;
use crate::report::json::{self, PROBLEM_SCHEMA, Refusal};
use crate::report::sanitise;
use crate::report::text::Told;

/// How much is read at once. What has arrived is answered before more is waited for, so whoever writes a line and waits
/// for its answer gets it.
const READ_AT_ONCE: usize = 256 * 1024;

/// Most lines answered at once; their answers are held until all of them are there.
///
/// judgement: a few hundred keep every core busy to the last line, and hold a few megabytes.
const MOST_AT_ONCE: usize = 512;

/// A line with its number, or why it cannot be a case.
type Line = (usize, Result<String, String>);

/// Answers every line.
///
/// # Errors
/// Where the lines cannot be read or the answers cannot be written.
pub fn run(path: Option<&Path>, base: &KnowledgeBase, session: &Session) -> Outcome {
    let input: Box<dyn Read> = match path.filter(|path| path.as_os_str() != "-") {
        Some(path) => Box::new(open(path)?),
        None => Box::new(io::stdin()),
    };
    let mut lines = BufReader::with_capacity(READ_AT_ONCE, input);
    let mut out = BufWriter::new(io::stdout().lock());
    let reasoner = reasoner(base, session)?;
    let mut exit = Exit::Done;
    let mut number = 0;
    loop {
        let here = arrived(&mut lines, &mut number)?;
        if here.is_empty() {
            return Ok(exit);
        }
        for answer in answer_all(&reasoner, &here, path, session.look.detail)? {
            if !answer.understood {
                exit = Exit::Unable;
            }
            let written = out.write_all(answer.json.as_bytes());
            written.map_err(|error| Failure::writing(&error))?;
        }
        out.flush().map_err(|error| Failure::writing(&error))?;
    }
}

/// The lines that have arrived; waits for one if there is none. None at the end.
fn arrived(lines: &mut BufReader<Box<dyn Read>>, number: &mut usize) -> Result<Vec<Line>, Failure> {
    let mut here = Vec::new();
    while here.is_empty() || (here.len() < MOST_AT_ONCE && lines.buffer().contains(&b'\n')) {
        let Some(line) = next_line(lines)? else {
            break;
        };
        *number += 1;
        if !line.as_ref().is_ok_and(|text| text.trim().is_empty()) {
            here.push((*number, line));
        }
    }
    Ok(here)
}

/// What is answered to a line.
struct Answer {
    /// One line of JSON, with its end.
    json: String,
    /// Whether the line was a case.
    understood: bool,
}

/// Answers these lines on every core, in their order.
fn answer_all(
    reasoner: &Reasoner<'_>,
    lines: &[Line],
    path: Option<&Path>,
    detail: bool,
) -> Result<Vec<Answer>, Failure> {
    let cores = thread::available_parallelism().map_or(1, usize::from);
    let next = AtomicUsize::new(0);
    let take = || -> Result<Vec<(usize, Answer)>, Failure> {
        let mut taken = Vec::new();
        loop {
            let place = next.fetch_add(1, Ordering::Relaxed);
            let Some(line) = lines.get(place) else {
                return Ok(taken);
            };
            taken.push((place, answer(reasoner, line, path, detail)?));
        }
    };
    let mut answers = thread::scope(|scope| {
        let others: Vec<_> = (1..cores.min(lines.len()))
            .map(|_| scope.spawn(take))
            .collect();
        let mut answers = take()?;
        for other in others {
            let taken = other.join();
            // Only a fault in the program ends a core's work early, and it ends the program.
            answers.extend(taken.unwrap_or_else(|fault| std::panic::resume_unwind(fault))?);
        }
        Ok::<_, Failure>(answers)
    })?;
    answers.sort_by_key(|(place, _)| *place);
    Ok(answers.into_iter().map(|(_, answer)| answer).collect())
}

fn answer(
    reasoner: &Reasoner<'_>,
    (number, line): &Line,
    path: Option<&Path>,
    detail: bool,
) -> Result<Answer, Failure> {
    let base = reasoner.base();
    let case = match line {
        Ok(text) => read_case(base, text, *number, path),
        Err(fault) => Err(vec![problem(fault.clone())]),
    };
    let understood = case.is_ok();
    let json = match case {
        Ok(observations) => {
            let diagnosis = reasoner.diagnose(&observations);
            let told = Told {
                base,
                observations: &observations,
                diagnosis: &diagnosis,
            };
            let report = if detail {
                in_detail(&told, reasoner)
            } else {
                json::diagnosis(&told)
            };
            serde_json::to_string(&report)
        }
        Err(problems) => serde_json::to_string(&Refusal {
            schema: PROBLEM_SCHEMA,
            line: *number,
            problems,
        }),
    };
    let json = json.map_err(|error| Failure::unable(format!("the result is not JSON: {error}")))?;
    let mut json = sanitise::json(&json).into_owned();
    json.push('\n');
    Ok(Answer { json, understood })
}

fn open(path: &Path) -> Result<File, Failure> {
    let shown = path.display();
    if path.is_dir() {
        return Err(Failure::unable(format!(
            "`{shown}` is a folder; a file is wanted here"
        )));
    }
    File::open(path).map_err(|error| {
        if error.kind() == io::ErrorKind::NotFound {
            Failure::unable(format!("there is no file or folder `{shown}`"))
        } else {
            Failure::unable(format!("`{shown}` cannot be read: {error}"))
        }
    })
}

/// The next line, or why it cannot be a case; `None` at the end.
fn next_line(
    lines: &mut BufReader<Box<dyn Read>>,
) -> Result<Option<Result<String, String>>, Failure> {
    let cannot_read =
        |error: io::Error| Failure::unable(format!("the cases cannot be read: {error}"));
    let mut bytes = Vec::new();
    let read = lines
        .by_ref()
        .take(MOST_BYTES)
        .read_until(b'\n', &mut bytes)
        .map_err(cannot_read)?;
    if read == 0 {
        return Ok(None);
    }
    if !bytes.ends_with(b"\n") && read as u64 == MOST_BYTES {
        // The rest of the line is passed over in pieces, so that it need not fit into memory.
        loop {
            let mut rest = Vec::new();
            let read = lines
                .by_ref()
                .take(MOST_BYTES)
                .read_until(b'\n', &mut rest)
                .map_err(cannot_read)?;
            if read == 0 || rest.ends_with(b"\n") {
                break;
            }
        }
        let most = MOST_BYTES / (1024 * 1024);
        return Ok(Some(Err(format!("the line is longer than {most} MiB"))));
    }
    Ok(Some(String::from_utf8(bytes).map_err(|error| {
        format!(
            "the line is not UTF-8 text: the byte at {} does not belong there",
            error.utf8_error().valid_up_to()
        )
    })))
}
