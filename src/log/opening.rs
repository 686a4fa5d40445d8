//! How a file is to be read, from what its beginning shows. Where that is not clear, the answer is a question.

mod first_rows;
mod header;

use crate::log::channel::Channel;
use crate::log::columns::{Plan, StampPlace, What};
use crate::log::lines::split;
use crate::log::opening::first_rows::Reader;
use crate::log::opening::header::find_header;
use crate::log::settings::Settings;
use crate::log::stamp::DateOrder;
use crate::log::stamp::form::{Form, SHARED, written};
use crate::log::unit::InUnit;

/// What the person said about the file.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Said {
    /// Columns by name or number, counted from 1.
    pub columns: Vec<(What, String)>,
    /// Units of columns.
    pub units: Vec<(Channel, InUnit)>,
    /// Which comes first in dates.
    pub order: Option<DateOrder>,
    /// What abbreviations stand for, as in [`Form::meanings`].
    pub meanings: [Option<i32>; SHARED.len()],
}

/// How a file is to be read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Opening {
    /// Where everything stands.
    pub plan: Plan,
    /// What stands between cells.
    pub delimiter: u8,
    /// Whether a comma is the decimal mark.
    pub decimal_comma: bool,
    /// How stamps are to be read.
    pub form: Form,
    /// Lines before the first row of values.
    pub lines_before: u64,
    /// Bytes of a byte order mark.
    pub mark: usize,
    /// What was taken for granted, in sentences.
    pub taken: Vec<String>,
}

/// Why a file cannot be read as a log, or not without being told more.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum OpeningError {
    /// Nothing but blanks.
    #[error("it is empty; a log needs a line of column names and rows of values")]
    Empty,
    /// No text at all.
    #[error(
        "line {line}, column {column} holds a byte that belongs to no text, so this is no CSV file; export the log as \
         CSV"
    )]
    Binary {
        /// The line.
        line: u64,
        /// The letter within it.
        column: u64,
    },
    /// Text in two-byte letters.
    #[error("it is written in UTF-16; save it again as `CSV UTF-8`")]
    Utf16,
    /// Values without names.
    #[error(
        "there is no line of column names above line {line}, `{text}`; say which column is which by number, as in \
         `--column time=1 --column temperature=2 --column humidity=3`"
    )]
    NoHeader {
        /// The first line.
        line: u64,
        /// Its beginning.
        text: String,
    },
    /// No column for the time, or none with values.
    #[error(
        "none of the columns is known to hold {lacking}; there are {}; name one as in `--column {example}=NAME`",
        listed(.names)
    )]
    Missing {
        /// What is lacking.
        lacking: &'static str,
        /// What to write before the `=`.
        example: &'static str,
        /// The columns there are.
        names: Vec<String>,
    },
    /// Two columns that could be meant.
    #[error(
        "{} columns could hold the {what}: {}; choose one with `--column {what}={}`",
        .columns.len(), with_numbers(.columns), handle(.columns, 0)
    )]
    Unclear {
        /// What they hold.
        what: &'static str,
        /// Their numbers, counted from 1, and names.
        columns: Vec<(usize, String)>,
    },
    /// A column that the person named and that is not there.
    #[error("no column is called `{name}`; there are {}", listed(.names))]
    NoSuchColumn {
        /// What the person wrote.
        name: String,
        /// The columns there are.
        names: Vec<String>,
    },
    /// Numbers that cannot be in the usual unit.
    #[error(
        "column {column}, `{name}`, says no unit, and its numbers, such as {value}, fit {usual} badly; say which it is: \
         `--unit {what}={usual}` or `--unit {what}={other}`"
    )]
    UnitUnclear {
        /// What it holds.
        what: &'static str,
        /// The column, counted from 1.
        column: usize,
        /// Its name.
        name: String,
        /// One of the numbers.
        value: String,
        /// The usual unit.
        usual: &'static str,
        /// What it may be instead.
        other: &'static str,
    },
    /// Dates that can be read in two ways.
    #[error(
        "line {line}, column {column}: `{text}` may have its day or its month first; say which: \
         `--date-order day-first` or `--date-order month-first`"
    )]
    OrderUnclear {
        /// The line.
        line: u64,
        /// The column, counted from 1.
        column: usize,
        /// The date.
        text: String,
    },
    /// The abbreviation of a zone that several places use.
    #[error(
        "line {line}, column {column}: `{text}` has a clock named by letters that several places use: {}; say which, as \
         in `--abbreviation {}={}`",
        meanings(*shared), SHARED[*shared].0, written(SHARED[*shared].1[0].0)
    )]
    ZoneUnclear {
        /// The line.
        line: u64,
        /// The column, counted from 1.
        column: usize,
        /// The stamp.
        text: String,
        /// Its place in [`SHARED`].
        shared: usize,
    },
}

fn meanings(shared: usize) -> String {
    let all = SHARED[shared].1.iter();
    let all = all.map(|(offset, place)| format!("{} ({place})", written(*offset)));
    all.collect::<Vec<_>>().join(", ")
}

fn with_numbers(columns: &[(usize, String)]) -> String {
    let shown = columns
        .iter()
        .map(|(number, name)| format!("`{name}` (column {number})"));
    shown.collect::<Vec<_>>().join(", ")
}

/// What to call one of several columns: its name in quotation marks, or its number where another has the same name.
fn handle(columns: &[(usize, String)], place: usize) -> String {
    let Some((number, name)) = columns.get(place) else {
        return String::new();
    };
    let alone = columns
        .iter()
        .filter(|(_, other)| other.eq_ignore_ascii_case(name))
        .count()
        == 1;
    if alone {
        format!("\"{name}\"")
    } else {
        number.to_string()
    }
}

fn listed(names: &[String]) -> String {
    const MOST: usize = 20;
    let shown: Vec<String> = names
        .iter()
        .take(MOST)
        .map(|name| format!("`{name}`"))
        .collect();
    let mut text = shown.join(", ");
    if names.len() > MOST {
        text.push_str(&format!(" and {} more", names.len() - MOST));
    }
    text
}

/// Lines among which the column names are looked for: some loggers write about themselves first.
const MOST_PREAMBLE: usize = 60;

/// Rows that are looked at before reading.
const MOST_ROWS: usize = 20_000;

/// Most columns of a table.
pub const MOST_COLUMNS: usize = 512;

/// Byte order mark of UTF-8.
const MARK: [u8; 3] = [0xef, 0xbb, 0xbf];

pub(crate) type Cells<'a> = Vec<&'a [u8]>;

/// Looks at the beginning of a file.
///
/// # Errors
/// It is no log, or something about it is not clear.
pub fn open(
    beginning: &[u8],
    terminator: u8,
    whole: bool,
    said: &Said,
    settings: &Settings,
) -> Result<Opening, OpeningError> {
    let mark = if beginning.starts_with(&MARK) {
        MARK.len()
    } else {
        0
    };
    let text = &beginning[mark..];
    if text.starts_with(&[0xff, 0xfe]) || text.starts_with(&[0xfe, 0xff]) {
        return Err(OpeningError::Utf16);
    }
    let mut lines: Vec<&[u8]> = text.split(|byte| *byte == terminator).collect();
    if !whole && lines.len() > 1 {
        // The last one may be cut off.
        lines.pop();
    }
    lines.truncate(MOST_PREAMBLE + MOST_ROWS);
    if lines.iter().all(|line| line.trim_ascii().is_empty()) {
        return Err(OpeningError::Empty);
    }
    let head = &lines[..lines.len().min(MOST_PREAMBLE)];
    for (number, line) in head.iter().enumerate() {
        if let Some(at) = line.iter().position(|byte| *byte == 0) {
            return Err(OpeningError::Binary {
                line: number as u64 + 1,
                column: at as u64 + 1,
            });
        }
    }
    let found = find_header(head, said)?;
    let first_row = found.header.map_or(found.first, |line| line + 1);
    let rows: Vec<(u64, Cells<'_>)> = lines[first_row.min(lines.len())..]
        .iter()
        .enumerate()
        .filter(|(_, line)| !line.trim_ascii().is_empty())
        .map(|(at, line)| ((first_row + at) as u64 + 1, cells_of(line, found.delimiter)))
        .collect();
    let mut reader = Reader {
        said,
        settings,
        headers: &found.headers,
        rows: &rows,
        taken: Vec::new(),
    };
    let stamp = reader.stamp()?;
    let form = reader.form(stamp)?;
    let channels = reader.channels()?;
    let decimal_comma = reader.decimal_comma(&channels, found.delimiter);
    let values = reader.values(&channels, decimal_comma)?;
    let order = reader.order(stamp, form)?;
    let taken = reader.taken;
    Ok(Opening {
        plan: Plan {
            stamp,
            values,
            columns: found.headers.len(),
            names: found
                .headers
                .iter()
                .map(|header| header.name.clone())
                .collect(),
        },
        delimiter: found.delimiter,
        decimal_comma,
        form: Form { order, ..form },
        lines_before: first_row as u64,
        mark,
        taken,
    })
}

/// The cells of a line.
pub(crate) fn cells_of(line: &[u8], delimiter: u8) -> Cells<'_> {
    let line = line.strip_suffix(b"\r").unwrap_or(line);
    let mut places = [(0, 0); MOST_COLUMNS];
    let count = split(line, delimiter, &mut places).min(MOST_COLUMNS);
    places[..count]
        .iter()
        .map(|(from, to)| &line[*from as usize..*to as usize])
        .collect()
}

/// The stamp of a row, from one column or two.
pub fn joined(cells: &[&[u8]], place: StampPlace) -> Option<Vec<u8>> {
    let first = cells.get(place.first)?.trim_ascii();
    Some(match place.second {
        Some(second) => [first, b" ", cells.get(second)?.trim_ascii()].concat(),
        None => first.to_vec(),
    })
}
