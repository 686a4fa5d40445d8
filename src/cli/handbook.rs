//! `handbook`: look up and compare what the knowledge says.

use crate::cli::args::{Format, HandbookArgs};
use crate::cli::exit::{Exit, Failure, Outcome};
use crate::cli::knowledge::covered;
use crate::cli::session::Session;
use crate::engine::id::CauseId;
use crate::engine::knowledge::KnowledgeBase;
use crate::knowledge::coverage::coverage;
use crate::report::handbook::compare::compare;
use crate::report::handbook::{Book, Entry, Looked, look_up};
use crate::report::sanitise;

/// The word that asks for two causes side by side.
const COMPARE: &str = "compare";

/// Carries out the command.
///
/// # Errors
/// Where nothing or more than one entry fits the words, the two to compare are no causes, or the page cannot be written.
pub fn run(args: &HandbookArgs, session: &Session) -> Outcome {
    if session.format == Format::Json {
        return Err(Failure::usage(
            "the handbook is for reading; `blockside knowledge list KIND --format json` gives every entry to programs",
        ));
    }
    let base = session.full_base()?;
    let book = Book {
        base: &base,
        system: session.system,
        look: session.look,
    };
    let text = match args.words.as_slice() {
        [] => book.front(&coverage(&base, covered(&base, None)?)),
        [first, rest @ ..] if first == COMPARE => {
            let [one, other] = rest else {
                return Err(Failure::usage(format!(
                    "write `blockside handbook {COMPARE} A B` with the ids of two causes, or their names in quotes"
                )));
            };
            let (one, other) = (cause(&base, one)?, cause(&base, other)?);
            if one == other {
                return Err(Failure::usage(format!(
                    "`{one}` cannot be compared with itself"
                )));
            }
            compare(book, one, other)
        }
        words => book.pages(&found(&base, &words.join(" "))?),
    };
    session.write(&text)?;
    Ok(Exit::Done)
}

fn found<'k>(base: &'k KnowledgeBase, typed: &str) -> Result<Vec<Entry<'k>>, Failure> {
    match look_up(base, typed) {
        Looked::Found(entries) => Ok(entries),
        Looked::Several(entries, count) => {
            let more = match count - entries.len() {
                0 => String::new(),
                more => format!("\nand {more} more"),
            };
            Err(Failure::usage(format!(
                "several entries fit `{}`; name one of them:\n{}{more}",
                short(typed),
                rows(&entries)
            )))
        }
        Looked::Nothing(near) => {
            let hint = if near.is_empty() {
                "`blockside knowledge list signs`, `causes`, `species`, `actions` and `cautions` show all names".to_owned()
            } else {
                format!("did you mean one of these?\n{}", rows(&near))
            };
            Err(Failure::usage(format!(
                "the handbook has nothing called `{}`; {hint}",
                short(typed)
            )))
        }
    }
}

fn cause<'k>(base: &'k KnowledgeBase, typed: &str) -> Result<&'k CauseId, Failure> {
    // Where a sign has the same name, the cause is meant here.
    let causes: Vec<&CauseId> = found(base, typed)?
        .into_iter()
        .filter_map(|entry| match entry {
            Entry::Cause(id) => Some(id),
            _ => None,
        })
        .collect();
    causes.first().copied().ok_or_else(|| {
        Failure::usage(format!(
            "`{}` is no cause; causes are compared with causes",
            short(typed)
        ))
    })
}

fn rows(entries: &[Entry<'_>]) -> String {
    let rows: Vec<String> = entries
        .iter()
        .map(|entry| format!("  {} ({})", entry.id(), entry.kind()))
        .collect();
    rows.join("\n")
}

/// What was typed, short enough to be repeated.
fn short(typed: &str) -> String {
    const MOST: usize = 60;
    let clean = sanitise::line(typed);
    let mut letters = clean.chars();
    let start: String = letters.by_ref().take(MOST).collect();
    if letters.next().is_some() {
        format!("{start}...")
    } else {
        start
    }
}
