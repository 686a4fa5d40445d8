//! How a file is to be read, from what its beginning shows. Where that is not clear, the answer is a question.

use crate::log::cell::{self, Cell};
use crate::log::channel::{CHANNELS, Channel};
use crate::log::columns::{Header, Plan, StampPlace, ValuePlace, What, header};
use crate::log::lines::split;
use crate::log::settings::Settings;
use crate::log::stamp::{self, DateOrder, Stamp};
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
    /// Which comes first in dates.
    pub order: Option<DateOrder>,
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
        "{} columns could hold the {what}: {}; choose one with `--column {what}=\"{}\"`",
        .names.len(), listed(.names), .names.first().map_or("", String::as_str)
    )]
    Unclear {
        /// What they hold.
        what: &'static str,
        /// Their names.
        names: Vec<String>,
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

/// What may stand between cells; a semicolon is looked for before a comma, since commas stand inside numbers too.
const DELIMITERS: [u8; 4] = [b';', b'\t', b'|', b','];

/// Lines among which the column names are looked for: some loggers write about themselves first.
const MOST_PREAMBLE: usize = 60;

/// Rows that are looked at before reading.
const MOST_ROWS: usize = 2000;

/// Most columns of a table.
pub const MOST_COLUMNS: usize = 512;

/// Byte order mark of UTF-8.
const MARK: [u8; 3] = [0xef, 0xbb, 0xbf];

type Cells<'a> = Vec<&'a [u8]>;

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
    let channels = reader.channels()?;
    let decimal_comma = reader.decimal_comma(&channels, found.delimiter);
    let values = reader.values(&channels, decimal_comma)?;
    let order = reader.order(stamp)?;
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
        order,
        lines_before: first_row as u64,
        mark,
        taken,
    })
}

/// The cells of a line.
fn cells_of(line: &[u8], delimiter: u8) -> Cells<'_> {
    let line = line.strip_suffix(b"\r").unwrap_or(line);
    let mut places = [(0, 0); MOST_COLUMNS];
    let count = split(line, delimiter, &mut places).min(MOST_COLUMNS);
    places[..count]
        .iter()
        .map(|(from, to)| &line[*from as usize..*to as usize])
        .collect()
}

struct Found {
    delimiter: u8,
    /// The line with the names, counted from 0; none where columns are known by number alone.
    header: Option<usize>,
    /// The first line that is not empty, counted from 0.
    first: usize,
    headers: Vec<Header>,
}

/// Finds what stands between cells, and the line with the names of the columns.
fn find_header(head: &[&[u8]], said: &Said) -> Result<Found, OpeningError> {
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
            let headers: Vec<Header> = cells_of(line, delimiter)
                .into_iter()
                .map(|cell| header(&String::from_utf8_lossy(cell)))
                .collect();
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

fn same(name: &str, asked: &str) -> bool {
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
                let read = |order| stamp::read(cell, Some(order)).is_some();
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

struct Reader<'a> {
    said: &'a Said,
    settings: &'a Settings,
    headers: &'a [Header],
    rows: &'a [(u64, Cells<'a>)],
    taken: Vec<String>,
}

/// What the cells of a column look like as stamps.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Looks {
    Whole,
    DateOnly,
    TimeOnly,
    Neither,
}

impl Reader<'_> {
    fn names(&self) -> Vec<String> {
        self.headers
            .iter()
            .map(|header| header.name.clone())
            .collect()
    }

    /// The column that the person named for this.
    fn asked(&self, what: What) -> Result<Option<usize>, OpeningError> {
        let Some((_, name)) = self.said.columns.iter().rev().find(|(of, _)| *of == what) else {
            return Ok(None);
        };
        let by_name = self
            .headers
            .iter()
            .position(|header| same(&header.name, name.trim()));
        let by_number = || {
            let number: usize = name.trim().parse().ok()?;
            (1..=self.headers.len())
                .contains(&number)
                .then(|| number - 1)
        };
        match by_name.or_else(by_number) {
            Some(column) => Ok(Some(column)),
            None => Err(OpeningError::NoSuchColumn {
                name: name.clone(),
                names: self.names(),
            }),
        }
    }

    fn looks(&self, column: usize) -> Looks {
        let cells = self.rows.iter().filter_map(|(_, cells)| cells.get(column));
        for cell in cells.take(50) {
            let readable = [DateOrder::DayFirst, DateOrder::MonthFirst]
                .iter()
                .any(|order| stamp::read(cell, Some(*order)).is_some());
            if readable {
                let digits = cell.iter().filter(|byte| byte.is_ascii_digit()).count();
                return if cell.contains(&b':') || digits > 8 {
                    Looks::Whole
                } else {
                    Looks::DateOnly
                };
            }
            let joined = [b"2000-01-01 ", *cell].concat();
            if cell.contains(&b':') && stamp::read(&joined, None).is_some() {
                return Looks::TimeOnly;
            }
        }
        Looks::Neither
    }

    fn stamp(&mut self) -> Result<StampPlace, OpeningError> {
        let place = |first: usize, second: Option<usize>, headers: &[Header]| StampPlace {
            first,
            second,
            offset_s: headers[first]
                .offset_s
                .or_else(|| second.and_then(|second| headers[second].offset_s)),
        };
        let (time, date) = (self.asked(What::Time)?, self.asked(What::Date)?);
        match (time, date) {
            (Some(time), Some(date)) => return Ok(place(date, Some(time), self.headers)),
            (Some(time), None) if self.looks(time) != Looks::TimeOnly => {
                return Ok(place(time, None, self.headers));
            }
            (None, Some(date)) if self.looks(date) == Looks::Whole => {
                return Ok(place(date, None, self.headers));
            }
            _ => {}
        }
        let candidates: Vec<usize> = (0..self.headers.len())
            .filter(|column| matches!(self.headers[*column].what, Some(What::Time | What::Date)))
            .collect();
        let of = |looks: Looks| -> Vec<usize> {
            let same = candidates
                .iter()
                .filter(|column| self.looks(**column) == looks);
            same.copied().collect()
        };
        let (whole, dates, times) = (of(Looks::Whole), of(Looks::DateOnly), of(Looks::TimeOnly));
        let date = date.into_iter().chain(dates).collect::<Vec<_>>();
        let time = time.into_iter().chain(times).collect::<Vec<_>>();
        match (whole.as_slice(), date.as_slice(), time.as_slice()) {
            ([one], _, _) => Ok(place(*one, None, self.headers)),
            ([_, _, ..], _, _) => Err(self.unclear("time", &whole)),
            ([], [date, ..], [time, ..]) => Ok(place(*date, Some(*time), self.headers)),
            ([], [date, ..], []) => {
                self.taken.push(format!(
                    "`{}` holds dates without a time of day; each is taken as midnight.",
                    self.headers[*date].name
                ));
                Ok(place(*date, None, self.headers))
            }
            // Stamps that cannot be read: the rows will say so one by one.
            ([], [], _) if candidates.len() == 1 && time.is_empty() => {
                Ok(place(candidates[0], None, self.headers))
            }
            _ => Err(OpeningError::Missing {
                lacking: if time.is_empty() {
                    "the time"
                } else {
                    "the date"
                },
                example: if time.is_empty() { "time" } else { "date" },
                names: self.names(),
            }),
        }
    }

    fn unclear(&self, what: &'static str, columns: &[usize]) -> OpeningError {
        OpeningError::Unclear {
            what,
            names: columns
                .iter()
                .map(|column| self.headers[*column].name.clone())
                .collect(),
        }
    }

    /// The column of each channel.
    fn channels(&self) -> Result<[Option<usize>; CHANNELS], OpeningError> {
        let mut columns = [None; CHANNELS];
        for channel in Channel::ALL {
            if self.settings.channel(channel).is_none() {
                continue;
            }
            let what = What::Channel(channel);
            columns[channel.index()] = match self.asked(what)? {
                Some(column) => Some(column),
                None => {
                    let candidates: Vec<usize> = (0..self.headers.len())
                        .filter(|column| self.headers[*column].what == Some(what))
                        .collect();
                    if candidates.len() > 1 {
                        return Err(self.unclear(channel.name(), &candidates));
                    }
                    candidates.first().copied()
                }
            };
        }
        if columns.iter().all(Option::is_none) {
            return Err(OpeningError::Missing {
                lacking: "temperature, humidity, co2 or light",
                example: "temperature",
                names: self.names(),
            });
        }
        Ok(columns)
    }

    fn samples(&self, column: usize) -> impl Iterator<Item = &[u8]> {
        self.rows
            .iter()
            .filter_map(move |(_, cells)| cells.get(column).copied())
    }

    fn decimal_comma(&mut self, columns: &[Option<usize>; CHANNELS], delimiter: u8) -> bool {
        let with_comma: Vec<&[u8]> = columns
            .iter()
            .flatten()
            .flat_map(|column| self.samples(*column))
            .filter(|cell| cell.contains(&b','))
            .collect();
        // A comma before anything but a group of three digits can only be a decimal mark.
        let certain = |cell: &&[u8]| {
            let after = cell.rsplit(|byte| *byte == b',').next().unwrap_or_default();
            let digits = after
                .iter()
                .take_while(|byte| byte.is_ascii_digit())
                .count();
            digits != 3 && digits > 0 && !after.contains(&b'.')
        };
        let all_groups = !with_comma.iter().any(certain);
        let decimal = !with_comma.is_empty() && (delimiter != b',' || !all_groups);
        if decimal && all_groups {
            let example = String::from_utf8_lossy(with_comma[0]).trim().to_owned();
            self.taken.push(format!(
                "Commas in numbers such as `{example}` are taken as decimal marks, since cells are not parted by commas."
            ));
        }
        decimal
    }

    fn values(
        &mut self,
        columns: &[Option<usize>; CHANNELS],
        decimal_comma: bool,
    ) -> Result<[Option<ValuePlace>; CHANNELS], OpeningError> {
        let mut places: [Option<ValuePlace>; CHANNELS] = [const { None }; CHANNELS];
        for channel in Channel::ALL {
            if let Some(column) = columns[channel.index()] {
                places[channel.index()] = Some(ValuePlace {
                    column,
                    name: self.headers[column].name.clone(),
                    unit: self.unit(channel, column, decimal_comma)?,
                });
            }
        }
        Ok(places)
    }

    fn unit(
        &mut self,
        channel: Channel,
        column: usize,
        decimal_comma: bool,
    ) -> Result<InUnit, OpeningError> {
        let said = self.said.units.iter().rev().find(|(of, _)| *of == channel);
        if let Some((_, unit)) = said {
            return Ok(*unit);
        }
        let named = self.headers[column].unit.filter(|unit| unit.fits(channel));
        if let Some(unit) = named {
            return Ok(unit);
        }
        let usual = InUnit::kept(channel);
        let mut bare = Vec::new();
        let mut with_unit = false;
        for cell in self.samples(column) {
            match cell::read(cell, decimal_comma) {
                Cell::Number(value, None) => bare.push(value),
                Cell::Number(_, Some(_)) => with_unit = true,
                Cell::Blank | Cell::Text => {}
            }
        }
        bare.sort_by(f64::total_cmp);
        let Some(middle) = bare.get(bare.len() / 2).copied() else {
            return Ok(usual);
        };
        let doubt = match channel {
            Channel::Temperature if middle >= self.settings.numbers.unit_asked_from => {
                Some(InUnit::Fahrenheit)
            }
            Channel::Humidity if bare.last().is_some_and(|most| *most <= 1.0) => {
                Some(InUnit::Fraction)
            }
            _ => None,
        };
        if let Some(other) = doubt {
            let ascii = |unit: InUnit| unit.symbol().trim_start_matches('°');
            return Err(OpeningError::UnitUnclear {
                what: channel.name(),
                column: column + 1,
                name: self.headers[column].name.clone(),
                value: middle.to_string(),
                usual: ascii(usual),
                other: ascii(other),
            });
        }
        let name = &self.headers[column].name;
        self.taken.push(if with_unit {
            format!(
                "Cells of `{name}` without a unit are taken in {}.",
                usual.symbol()
            )
        } else {
            format!(
                "`{name}` says no unit; its numbers are taken in {}.",
                usual.symbol()
            )
        });
        Ok(usual)
    }

    /// Which comes first in the dates, where that has to be known.
    fn order(&mut self, place: StampPlace) -> Result<Option<DateOrder>, OpeningError> {
        if self.said.order.is_some() {
            return Ok(self.said.order);
        }
        let stamps: Vec<(u64, Vec<u8>)> = self
            .rows
            .iter()
            .filter_map(|(line, cells)| Some((*line, joined(cells, place)?)))
            .collect();
        let Some((line, text)) = stamps.iter().find(|(_, text)| stamp::is_ambiguous(text)) else {
            // Later dates may be of the other kind; the beginning has days beyond the twelfth only.
            return Ok(stamps.iter().find_map(|(_, text)| only_order(text)));
        };
        if let Some(order) = stamps.iter().find_map(|(_, text)| only_order(text)) {
            return Ok(Some(order));
        }
        let (day_first, month_first) = (
            longest_step(&stamps, DateOrder::DayFirst),
            longest_step(&stamps, DateOrder::MonthFirst),
        );
        let order = match day_first.cmp(&month_first) {
            std::cmp::Ordering::Less => DateOrder::DayFirst,
            std::cmp::Ordering::Greater => DateOrder::MonthFirst,
            std::cmp::Ordering::Equal => {
                return Err(OpeningError::OrderUnclear {
                    line: *line,
                    column: place.first + 1,
                    text: String::from_utf8_lossy(text).into_owned(),
                });
            }
        };
        self.taken.push(format!(
            "Dates such as `{}` are read with the {} first: read the other way they would leap.",
            String::from_utf8_lossy(text),
            match order {
                DateOrder::DayFirst => "day",
                DateOrder::MonthFirst => "month",
            }
        ));
        Ok(Some(order))
    }
}

/// The order that alone makes a date of this.
fn only_order(text: &[u8]) -> Option<DateOrder> {
    let day_first = stamp::read(text, Some(DateOrder::DayFirst));
    let month_first = stamp::read(text, Some(DateOrder::MonthFirst));
    match (day_first, month_first) {
        (Some(_), None) => Some(DateOrder::DayFirst),
        (None, Some(_)) => Some(DateOrder::MonthFirst),
        _ => None,
    }
}

fn longest_step(stamps: &[(u64, Vec<u8>)], order: DateOrder) -> i64 {
    let times: Vec<i64> = stamps
        .iter()
        .filter_map(|(_, text)| stamp::read(text, Some(order)))
        .map(|stamp| match stamp {
            Stamp::Clock(ms) | Stamp::Instant(ms, _) => ms,
        })
        .collect();
    times
        .windows(2)
        .map(|pair| (pair[1] - pair[0]).abs())
        .max()
        .unwrap_or(0)
}

/// The stamp of a row, from one column or two.
pub fn joined(cells: &[&[u8]], place: StampPlace) -> Option<Vec<u8>> {
    let first = cells.get(place.first)?.trim_ascii();
    Some(match place.second {
        Some(second) => [first, b" ", cells.get(second)?.trim_ascii()].concat(),
        None => first.to_vec(),
    })
}
