//! What each column holds, from its name and the first rows.

use crate::log::calendar::date_from_days;
use crate::log::cell::{self, Cell};
use crate::log::channel::{CHANNELS, Channel};
use crate::log::columns::{Header, StampPlace, ValuePlace, What};
use crate::log::opening::header::same;
use crate::log::opening::{Cells, OpeningError, Said, joined};
use crate::log::settings::Settings;
use crate::log::stamp::form::{Form, day_number_ms};
use crate::log::stamp::{self, DateOrder, Stamp};
use crate::log::unit::InUnit;

/// Looks at the first rows for what each column holds.
pub(crate) struct Reader<'a> {
    pub(crate) said: &'a Said,
    pub(crate) settings: &'a Settings,
    pub(crate) headers: &'a [Header],
    pub(crate) rows: &'a [(u64, Cells<'a>)],
    pub(crate) taken: Vec<String>,
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
        let named: Vec<usize> = (0..self.headers.len())
            .filter(|column| same(&self.headers[*column].name, name.trim()))
            .collect();
        if named.len() > 1 {
            return Err(self.unclear(what.name(), &named));
        }
        let by_number = || {
            let number: usize = name.trim().parse().ok()?;
            (1..=self.headers.len())
                .contains(&number)
                .then(|| number - 1)
        };
        match named.first().copied().or_else(by_number) {
            Some(column) => Ok(Some(column)),
            None => Err(OpeningError::NoSuchColumn {
                name: name.clone(),
                names: self.names(),
            }),
        }
    }

    /// What the person said of stamps, for a column that may hold the numbers of days. Meanings that nobody told are
    /// made up: whether a cell is a stamp does not hang on them.
    fn any_form(&self, column: usize) -> Form {
        Form {
            order: None,
            meanings: self.said.meanings.map(|known| known.or(Some(0))),
            day_numbers: self.counts_days(column),
        }
    }

    /// Whether a column of times holds the numbers of days, going up by a day at most but for a few rows.
    fn counts_days(&self, column: usize) -> bool {
        let by_name = matches!(self.headers[column].what, Some(What::Time | What::Date));
        let mut said = self.said.columns.iter().map(|(of, _)| of);
        if !by_name && !said.any(|of| matches!(of, What::Time | What::Date)) {
            return false;
        }
        let cells = self
            .samples(column)
            .filter(|cell| !cell.trim_ascii().is_empty());
        let all: Vec<Option<i64>> = cells.take(50).map(day_number_ms).collect();
        let days: Vec<i64> = all.iter().copied().flatten().collect();
        let onward = days
            .windows(2)
            .filter(|pair| (0..=86_400_000).contains(&(pair[1] - pair[0])));
        // judgement: nine of ten, since a log has its faulty rows.
        !days.is_empty()
            && days.len() * 10 >= all.len() * 9
            && onward.count() * 10 >= (days.len() - 1) * 9
    }

    /// How the stamps are to be read, but for the order of day and month.
    pub(crate) fn form(&mut self, place: StampPlace) -> Result<Form, OpeningError> {
        let form = Form {
            order: self.said.order,
            meanings: self.said.meanings,
            day_numbers: self.counts_days(place.first),
        };
        let first = self
            .samples(place.first)
            .find_map(|cell| Some((day_number_ms(cell)?, String::from_utf8_lossy(cell))));
        let first = first.map(|(ms, cell)| (ms, cell.trim().to_owned()));
        if let (true, Some((ms, example))) = (form.day_numbers, first) {
            let (year, month, day) = date_from_days(ms.div_euclid(86_400_000));
            self.taken.push(format!(
                "Numbers such as `{example}` in `{}` are taken as the days a spreadsheet counts from 1899-12-30, so that \
                 it is of {year:04}-{month:02}-{day:02}; where it counts from 1904, all is four years and a day later.",
                self.headers[place.first].name
            ));
        }
        for (line, cells) in self.rows {
            let Some(text) = joined(cells, place) else {
                continue;
            };
            if let Some(shared) = stamp::unclear_zone(&text, form) {
                return Err(OpeningError::ZoneUnclear {
                    line: *line,
                    column: place.first + 1,
                    text: String::from_utf8_lossy(&text).into_owned(),
                    shared,
                });
            }
        }
        Ok(form)
    }

    fn looks(&self, column: usize) -> Looks {
        let form = self.any_form(column);
        let cells = self.rows.iter().filter_map(|(_, cells)| cells.get(column));
        for cell in cells.take(50) {
            let readable = [DateOrder::DayFirst, DateOrder::MonthFirst]
                .iter()
                .any(|order| stamp::read(cell, form.with(*order)).is_some());
            if readable {
                let digits = cell.iter().filter(|byte| byte.is_ascii_digit()).count();
                let part_of_a_day =
                    form.day_numbers && cell.iter().any(|byte| b".,".contains(byte));
                return if cell.contains(&b':') || digits > 8 || part_of_a_day {
                    Looks::Whole
                } else {
                    Looks::DateOnly
                };
            }
            let joined = [b"2000-01-01 ", *cell].concat();
            if cell.contains(&b':') && stamp::read(&joined, form).is_some() {
                return Looks::TimeOnly;
            }
        }
        Looks::Neither
    }

    pub(crate) fn stamp(&mut self) -> Result<StampPlace, OpeningError> {
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
            columns: columns
                .iter()
                .map(|column| (column + 1, self.headers[*column].name.clone()))
                .collect(),
        }
    }

    /// The column of each channel.
    pub(crate) fn channels(&self) -> Result<[Option<usize>; CHANNELS], OpeningError> {
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

    pub(crate) fn decimal_comma(
        &mut self,
        columns: &[Option<usize>; CHANNELS],
        delimiter: u8,
    ) -> bool {
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

    pub(crate) fn values(
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
    pub(crate) fn order(
        &mut self,
        place: StampPlace,
        form: Form,
    ) -> Result<Option<DateOrder>, OpeningError> {
        if self.said.order.is_some() {
            return Ok(self.said.order);
        }
        let stamps: Vec<(u64, Vec<u8>)> = self
            .rows
            .iter()
            .filter_map(|(line, cells)| Some((*line, joined(cells, place)?)))
            .collect();
        let Some((line, text)) = stamps
            .iter()
            .find(|(_, text)| stamp::is_ambiguous(text, form))
        else {
            // Later dates may be of the other kind; the beginning has days beyond the twelfth only.
            return Ok(stamps.iter().find_map(|(_, text)| only_order(text, form)));
        };
        if let Some(order) = stamps.iter().find_map(|(_, text)| only_order(text, form)) {
            return Ok(Some(order));
        }
        let (day_first, month_first) = (
            longest_step(&stamps, form.with(DateOrder::DayFirst)),
            longest_step(&stamps, form.with(DateOrder::MonthFirst)),
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
fn only_order(text: &[u8], form: Form) -> Option<DateOrder> {
    let day_first = stamp::read(text, form.with(DateOrder::DayFirst));
    let month_first = stamp::read(text, form.with(DateOrder::MonthFirst));
    match (day_first, month_first) {
        (Some(_), None) => Some(DateOrder::DayFirst),
        (None, Some(_)) => Some(DateOrder::MonthFirst),
        _ => None,
    }
}

fn longest_step(stamps: &[(u64, Vec<u8>)], form: Form) -> i64 {
    let times: Vec<i64> = stamps
        .iter()
        .filter_map(|(_, text)| stamp::read(text, form))
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
