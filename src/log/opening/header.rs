//! What stands between cells, and the line with the names of the columns.

use crate::log::columns::{Header, What, header};
use crate::log::opening::{OpeningError, Said, cells_of};
use crate::log::stamp::form::{Form, SHARED};
use crate::log::stamp::{self, DateOrder};

/// What may stand between cells; a semicolon is looked for before a comma, since commas stand inside numbers too.
const DELIMITERS: [u8; 4] = [b';', b'\t', b'|', b','];

/// The line of names, or its place if there is none.
pub(crate) struct Found {
    /// What stands between cells.
    pub(crate) delimiter: u8,
    /// The line with the names, counted from 0; none where columns are known by number alone.
    pub(crate) header: Option<usize>,
    /// The first line that is not empty, counted from 0.
    pub(crate) first: usize,
    /// What the columns' names say.
    pub(crate) headers: Vec<Header>,
}

/// Finds what stands between cells, and the line with the names of the columns.
pub(crate) fn find_header(head: &[&[u8]], said: &Said) -> Result<Found, OpeningError> {
    let asked: Vec<&str> = said
        .columns
        .iter()
        .map(|(_, name)| name.trim())
        .filter(|name| name.parse::<usize>().is_err())
        .collect();
    let numbered = !said.columns.is_empty() && asked.is_empty();
    let mut best: Option<(usize, Found)> = None;
    // A line with one name that is known shows at least which names there are.
    let mut partial: Option<Found> = None;
    for delimiter in DELIMITERS {
        for (at, line) in head.iter().enumerate() {
            let mut headers: Vec<Header> = cells_of(line, delimiter)
                .into_iter()
                .map(|cell| header(&String::from_utf8_lossy(cell)))
                .collect();
            // What stands between cells may stand behind the last one too.
            while headers.last().is_some_and(|last| last.name.is_empty()) {
                headers.pop();
            }
            let values = headers
                .iter()
                .filter(|one| matches!(one.what, Some(What::Channel(_))));
            let times = headers
                .iter()
                .filter(|one| matches!(one.what, Some(What::Time | What::Date)));
            let named = asked
                .iter()
                .filter(|name| headers.iter().any(|one| same(&one.name, name)));
            let (values, times, named) = (values.count(), times.count(), named.count());
            let fits = if asked.is_empty() {
                headers.len() > 1 && values + times > 1
            } else {
                named == asked.len()
            };
            if partial.is_none() && asked.is_empty() && headers.len() > 1 && values + times == 1 {
                partial = Some(Found {
                    delimiter,
                    header: Some(at),
                    first: at,
                    headers: headers.clone(),
                });
            }
            let score = 100 * named + values + times;
            if fits && best.as_ref().is_none_or(|(most, _)| score > *most) {
                let found = Found {
                    delimiter,
                    header: Some(at),
                    first: at,
                    headers,
                };
                best = Some((score, found));
            }
        }
    }
    if let Some(found) = best.map(|(_, found)| found).or(partial) {
        return Ok(found);
    }
    without_names(head, numbered, &asked)
}

/// Whether a column's name is the one that was asked for.
pub(crate) fn same(name: &str, asked: &str) -> bool {
    name.to_lowercase() == asked.to_lowercase()
}

/// No line of the beginning holds names that are known.
fn without_names(head: &[&[u8]], numbered: bool, asked: &[&str]) -> Result<Found, OpeningError> {
    let mut values: Option<(usize, u8, usize)> = None;
    let mut widest: Option<(usize, u8, usize)> = None;
    for delimiter in DELIMITERS {
        for (at, line) in head.iter().enumerate() {
            let cells = cells_of(line, delimiter);
            let is_time = |cell: &&[u8]| {
                // Whether it is a time does not hang on where its clock is.
                let form = Form {
                    meanings: [Some(0); SHARED.len()],
                    ..Form::default()
                };
                let read = |order| stamp::read(cell, form.with(order)).is_some();
                read(DateOrder::DayFirst) || read(DateOrder::MonthFirst)
            };
            if cells.len() > 1
                && cells.iter().any(is_time)
                && values.is_none_or(|(_, _, most)| cells.len() > most)
            {
                values = Some((at, delimiter, cells.len()));
            }
            if widest.is_none_or(|(_, _, most)| cells.len() > most) {
                widest = Some((at, delimiter, cells.len()));
            }
        }
    }
    if let (Some((at, delimiter, columns)), true) = (values, numbered) {
        return Ok(Found {
            delimiter,
            header: None,
            first: at,
            headers: (1..=columns)
                .map(|number| Header {
                    name: number.to_string(),
                    what: None,
                    unit: None,
                    offset_s: None,
                })
                .collect(),
        });
    }
    let shown = |at: usize| {
        let text = String::from_utf8_lossy(head[at]);
        text.trim().chars().take(60).collect::<String>()
    };
    if let (Some((at, ..)), true) = (values, asked.is_empty()) {
        return Err(OpeningError::NoHeader {
            line: at as u64 + 1,
            text: shown(at),
        });
    }
    let (at, delimiter, _) = widest.unwrap_or((0, b',', 0));
    let names: Vec<String> = cells_of(head[at], delimiter)
        .iter()
        .map(|cell| {
            String::from_utf8_lossy(cell)
                .trim()
                .chars()
                .take(40)
                .collect()
        })
        .collect();
    match asked.first() {
        Some(name) => Err(OpeningError::NoSuchColumn {
            name: (*name).to_owned(),
            names,
        }),
        None => Err(OpeningError::Missing {
            lacking: "a time and values",
            example: "time",
            names,
        }),
    }
}
