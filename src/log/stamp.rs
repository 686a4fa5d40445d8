//! Time stamps in any common form.

pub mod form;

use crate::log::calendar::days_from_date;
use crate::log::stamp::form::{DAY_NUMBER_OF_1970, DAY_NUMBERS, Form, day_number_ms};

/// A stamp as written. Which instant it is may depend on a time zone.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stamp {
    /// A clock's time: milliseconds since 1970 as if the clock showed universal time.
    Clock(i64),
    /// An instant: milliseconds since 1970 in universal time, with the offset in seconds that was written.
    Instant(i64, i32),
}

/// Which comes first in dates such as 03/04/2026.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DateOrder {
    /// The day.
    DayFirst,
    /// The month.
    MonthFirst,
}

/// Milliseconds in a day.
const DAY_MS: i64 = 86_400_000;

/// English names of months, by their first three letters.
const MONTHS: [&[u8; 3]; 12] = [
    b"jan", b"feb", b"mar", b"apr", b"may", b"jun", b"jul", b"aug", b"sep", b"oct", b"nov", b"dec",
];

/// English names of days, by their first three letters.
const DAYS: [&[u8; 3]; 7] = [b"mon", b"tue", b"wed", b"thu", b"fri", b"sat", b"sun"];

/// Reads a stamp. The form settles dates such as 03/04/2026; without it they are read only where one of the numbers can
/// be no month.
///
/// Read are ISO 8601 with `-`, `/`, `.` or nothing between the parts of the date; day, month and year in either order;
/// months by their English names; times with or without seconds and parts of them, with AM or PM, with an offset, `Z` or
/// the abbreviation of a zone; seconds, milliseconds, microseconds or nanoseconds since 1970; and, where the form says
/// so, the numbers of days of a spreadsheet.
pub fn read(cell: &[u8], form: impl Into<Form>) -> Option<Stamp> {
    let cell = cell.trim_ascii();
    if let Some(stamp) = usual(cell) {
        return Some(stamp);
    }
    if cell
        .iter()
        .all(|byte| byte.is_ascii_digit() || *byte == b'.')
        && cell.iter().filter(|byte| **byte == b'.').count() <= 1
    {
        let by_days = || day_number_ms(cell).map(Stamp::Clock);
        let form = form.into();
        return epoch(cell)
            .or_else(|| compact(cell))
            .or_else(|| form.day_numbers.then(by_days).flatten());
    }
    let form = form.into();
    if form.day_numbers
        && let Some(ms) = day_number_ms(cell)
    {
        return Some(Stamp::Clock(ms));
    }
    Reader { cell, at: 0, form }.stamp()
}

/// The abbreviation in the cell, by its place among those that several places share, where the cell can be read once its
/// meaning is known.
pub fn unclear_zone(cell: &[u8], form: Form) -> Option<usize> {
    if !cell.iter().any(u8::is_ascii_alphabetic) || read(cell, form).is_some() {
        return None;
    }
    let orders = [DateOrder::DayFirst, DateOrder::MonthFirst];
    (0..form.meanings.len()).find(|place| {
        let mut known = form;
        known.meanings[*place] = Some(0);
        orders.iter().any(|order| {
            read(cell, form.with(*order)).is_none() && read(cell, known.with(*order)).is_some()
        })
    })
}

/// An offset as it is written, such as `+05:30`, `-6` or `UTC-6`, in seconds.
pub fn offset(text: &str) -> Option<i32> {
    let mut reader = Reader {
        cell: text.trim().as_bytes(),
        at: 0,
        form: Form::default(),
    };
    let offset = reader.offset()??;
    (reader.at == reader.cell.len()).then_some(offset)
}

/// Whether a date stands in the cell that is one day with the day first and another with the month first.
pub fn is_ambiguous(cell: &[u8], form: impl Into<Form>) -> bool {
    let form = form.into();
    let read_as = |order| read(cell, form.with(order));
    read(cell, form).is_none()
        && read_as(DateOrder::DayFirst).is_some()
        && read_as(DateOrder::MonthFirst).is_some()
}

/// `2026-03-04 05:06:07` and the same with `T` between: what nearly every logger writes, read without a detour.
fn usual(cell: &[u8]) -> Option<Stamp> {
    let cell: &[u8; 19] = cell.try_into().ok()?;
    let marks = [cell[4], cell[7], cell[13], cell[16]];
    if marks != *b"--::" || !matches!(cell[10], b' ' | b'T') {
        return None;
    }
    let mut faulty = false;
    let mut two = |at: usize| {
        let (tens, ones) = (cell[at].wrapping_sub(b'0'), cell[at + 1].wrapping_sub(b'0'));
        faulty |= tens > 9 || ones > 9;
        i64::from(tens) * 10 + i64::from(ones)
    };
    let year = two(0) * 100 + two(2);
    let (month, day) = (two(5), two(8));
    let (hour, minute, second) = (two(11), two(14), two(17));
    if faulty {
        return None;
    }
    let days = days_from_date(year, month, day)?;
    clock(days, hour, minute, second, 0)
}

fn clock(days: i64, hour: i64, minute: i64, second: i64, ms: i64) -> Option<Stamp> {
    // Loggers write 24:00 for the end of a day, and 60 in a leap second.
    let end_of_day = hour == 24 && minute == 0 && second == 0;
    if !(end_of_day || hour <= 23) || minute > 59 || second > 60 {
        return None;
    }
    let seconds = hour * 3600 + minute * 60 + second;
    Some(Stamp::Clock(days * DAY_MS + seconds * 1000 + ms))
}

/// Seconds and their parts since 1970, told apart by their number of digits.
fn epoch(cell: &[u8]) -> Option<Stamp> {
    let text = std::str::from_utf8(cell).ok()?;
    let (whole, fraction) = text.split_once('.').unwrap_or((text, ""));
    let number: i64 = whole.parse().ok()?;
    let ms = match whole.len() {
        9 | 10 => {
            let digits: String = fraction.chars().chain("000".chars()).take(3).collect();
            number * 1000 + digits.parse::<i64>().ok()?
        }
        12 | 13 => number,
        15 | 16 => number / 1000,
        18 | 19 => number / 1_000_000,
        _ => return None,
    };
    Some(Stamp::Instant(ms, 0))
}

/// `20260304` and `20260304050607`.
fn compact(cell: &[u8]) -> Option<Stamp> {
    let text = std::str::from_utf8(cell).ok()?;
    let part = |from: usize, to: usize| text.get(from..to)?.parse::<i64>().ok();
    let days = days_from_date(part(0, 4)?, part(4, 6)?, part(6, 8)?)?;
    match cell.len() {
        8 => clock(days, 0, 0, 0, 0),
        14 => clock(days, part(8, 10)?, part(10, 12)?, part(12, 14)?, 0),
        _ => None,
    }
}

struct Reader<'a> {
    cell: &'a [u8],
    at: usize,
    form: Form,
}

impl Reader<'_> {
    fn stamp(mut self) -> Option<Stamp> {
        let time_first = self.is_time();
        let early = if time_first { Some(self.time()?) } else { None };
        self.blanks();
        let days = self.date()?;
        let (ms, offset) = match early {
            Some(time) => (time, None),
            None => {
                if !self.take(b'T') && !self.take(b't') {
                    self.take(b',');
                }
                self.blanks();
                if self.at == self.cell.len() {
                    (0, None)
                } else {
                    let time = if self.is_time() {
                        self.time()?
                    } else {
                        self.bare_time()?
                    };
                    (time, self.offset()?)
                }
            }
        };
        // `Wed Mar 4 05:06:07 2026` has its year at the end.
        let days = match days {
            Days::Whole(days) => days,
            Days::WithoutYear { month, day } => {
                self.blanks();
                let (year, digits) = self.number()?;
                if digits != 4 {
                    return None;
                }
                days_from_date(year, month, day)?
            }
        };
        self.blanks();
        if self.at != self.cell.len() {
            return None;
        }
        let on_clock = days * DAY_MS + ms;
        Some(match offset {
            Some(offset) => Stamp::Instant(on_clock - i64::from(offset) * 1000, offset),
            None => Stamp::Clock(on_clock),
        })
    }

    fn peek(&self) -> Option<u8> {
        self.cell.get(self.at).copied()
    }

    fn take(&mut self, byte: u8) -> bool {
        let there = self.peek() == Some(byte);
        self.at += usize::from(there);
        there
    }

    fn blanks(&mut self) {
        while matches!(self.peek(), Some(b' ' | b'\t')) {
            self.at += 1;
        }
        // A no-break blank, as UTF-8.
        while self.cell[self.at..].starts_with(&[0xc2, 0xa0])
            || self.cell[self.at..].starts_with(&[0xe2, 0x80, 0xaf])
        {
            self.at += if self.cell[self.at] == 0xc2 { 2 } else { 3 };
        }
    }

    /// A number and how many digits it has.
    fn number(&mut self) -> Option<(i64, usize)> {
        let start = self.at;
        let mut value = 0;
        while let Some(digit @ b'0'..=b'9') = self.peek() {
            if self.at - start >= 8 {
                return None;
            }
            value = value * 10 + i64::from(digit - b'0');
            self.at += 1;
        }
        (self.at > start).then_some((value, self.at - start))
    }

    /// A word by its first three letters, in small ones.
    fn word(&mut self) -> Option<[u8; 3]> {
        let start = self.at;
        while self.peek().is_some_and(|byte| byte.is_ascii_alphabetic()) {
            self.at += 1;
        }
        let word = &self.cell[start..self.at];
        let first: [u8; 3] = word.get(..3)?.try_into().ok()?;
        Some(first.map(|byte| byte.to_ascii_lowercase()))
    }

    fn is_time(&self) -> bool {
        let digits = self.cell[self.at..]
            .iter()
            .take_while(|byte| byte.is_ascii_digit())
            .count();
        (1..=2).contains(&digits) && self.cell.get(self.at + digits) == Some(&b':')
    }

    fn date(&mut self) -> Option<Days> {
        if self.peek()?.is_ascii_alphabetic() {
            let mut word = self.word()?;
            if DAYS.iter().any(|day| **day == word) {
                self.take(b',');
                self.blanks();
                if self.peek()?.is_ascii_digit() {
                    return self.date();
                }
                word = self.word()?;
            }
            let month = month_of(word)?;
            self.take(b'.');
            self.between();
            let (day, digits) = self.number()?;
            if digits > 2 {
                return None;
            }
            self.take(b',');
            if !self.year_follows() {
                return Some(Days::WithoutYear { month, day });
            }
            self.between();
            let year = self.year()?;
            return Some(Days::Whole(days_from_date(year, month, day)?));
        }
        let (first, digits) = self.number()?;
        if digits == 8 {
            let (year, month, day) = (first / 10_000, first / 100 % 100, first % 100);
            return Some(Days::Whole(days_from_date(year, month, day)?));
        }
        if digits == 5 && self.form.day_numbers && DAY_NUMBERS.contains(&first) {
            return Some(Days::Whole(first - DAY_NUMBER_OF_1970));
        }
        let mark = self.peek()?;
        self.between();
        if self.peek()?.is_ascii_alphabetic() {
            let month = month_of(self.word()?)?;
            self.take(b'.');
            self.take(b',');
            self.between();
            let year = self.year()?;
            return Some(Days::Whole(days_from_date(year, month, first)?));
        }
        if !matches!(mark, b'-' | b'/' | b'.') {
            return None;
        }
        let (second, _) = self.number()?;
        if !self.take(mark) {
            return None;
        }
        if digits == 4 {
            let (day, _) = self.number()?;
            return Some(Days::Whole(days_from_date(first, second, day)?));
        }
        let year = self.year()?;
        let day_first = days_from_date(year, second, first);
        let month_first = days_from_date(year, first, second);
        let days = match (self.form.order, mark) {
            (Some(DateOrder::DayFirst), _) => day_first,
            (Some(DateOrder::MonthFirst), _) => month_first,
            // Only the day comes first where points stand between.
            (None, b'.') => day_first,
            (None, _) if day_first == month_first => day_first,
            (None, _) => match (day_first, month_first) {
                (Some(_), Some(_)) => None,
                (one, other) => one.or(other),
            },
        };
        Some(Days::Whole(days?))
    }

    /// What may stand between the parts of a date with the month's name.
    fn between(&mut self) {
        while matches!(self.peek(), Some(b' ' | b'-' | b'/' | b'.')) {
            self.at += 1;
        }
    }

    /// Whether a year and not a time of day comes next.
    fn year_follows(&self) -> bool {
        let rest = &self.cell[self.at..];
        let skipped = rest
            .iter()
            .take_while(|byte| matches!(byte, b' ' | b'-' | b'/' | b'.'))
            .count();
        let rest = &rest[skipped..];
        let digits = rest.iter().take_while(|byte| byte.is_ascii_digit()).count();
        matches!(digits, 2 | 4) && rest.get(digits) != Some(&b':')
    }

    fn year(&mut self) -> Option<i64> {
        match self.number()? {
            (year, 4) => Some(year),
            (year, 2) => Some(2000 + year),
            _ => None,
        }
    }

    /// Milliseconds since midnight.
    fn time(&mut self) -> Option<i64> {
        let (mut hour, _) = self.number()?;
        if !self.take(b':') {
            return None;
        }
        let (minute, 2) = self.number()? else {
            return None;
        };
        let (mut second, mut ms) = (0, 0);
        if self.take(b':') {
            (second, _) = self.number()?;
            if self.take(b'.') || self.take(b',') {
                ms = self.parts_of_a_second()?;
            }
        }
        let before = self.at;
        self.blanks();
        match self.noon() {
            Some(afternoon) if (1..=12).contains(&hour) => {
                hour = hour % 12 + if afternoon { 12 } else { 0 };
            }
            Some(_) => return None,
            None => self.at = before,
        }
        match clock(0, hour, minute, second, ms)? {
            Stamp::Clock(ms) => Some(ms),
            Stamp::Instant(..) => None,
        }
    }

    /// `050607` or `0506` behind a `T`.
    fn bare_time(&mut self) -> Option<i64> {
        let (number, digits) = self.number()?;
        let (hour, minute, second) = match digits {
            6 => (number / 10_000, number / 100 % 100, number % 100),
            4 => (number / 100, number % 100, 0),
            _ => return None,
        };
        match clock(0, hour, minute, second, 0)? {
            Stamp::Clock(ms) => Some(ms),
            Stamp::Instant(..) => None,
        }
    }

    fn parts_of_a_second(&mut self) -> Option<i64> {
        let start = self.at;
        let mut ms = 0;
        let mut worth = 100;
        while let Some(digit @ b'0'..=b'9') = self.peek() {
            ms += i64::from(digit - b'0') * worth;
            worth /= 10;
            self.at += 1;
        }
        (self.at > start).then_some(ms)
    }

    /// AM or PM: whether it is after noon.
    fn noon(&mut self) -> Option<bool> {
        let rest: Vec<u8> = self.cell[self.at..]
            .iter()
            .take(4)
            .map(u8::to_ascii_lowercase)
            .collect();
        let (length, afternoon) = match rest.as_slice() {
            [b'a', b'.', b'm', b'.'] => (4, false),
            [b'p', b'.', b'm', b'.'] => (4, true),
            [b'a', b'm', ..] => (2, false),
            [b'p', b'm', ..] => (2, true),
            _ => return None,
        };
        self.at += length;
        Some(afternoon)
    }

    /// The offset from universal time in seconds, if one is written; none at all where what is written is no offset.
    #[expect(
        clippy::option_option,
        reason = "nothing written and something unreadable written are two things"
    )]
    fn offset(&mut self) -> Option<Option<i32>> {
        self.blanks();
        let Some(first) = self.peek() else {
            return Some(None);
        };
        if first.is_ascii_alphabetic() {
            let start = self.at;
            while self.peek().is_some_and(|byte| byte.is_ascii_alphabetic()) {
                self.at += 1;
            }
            let offset = self.form.offset_of(&self.cell[start..self.at])?;
            // `UTC+2` is an offset as well.
            let behind = self.at;
            self.blanks();
            if offset == 0 && matches!(self.peek(), Some(b'+' | b'-')) {
                return self.offset();
            }
            self.at = behind;
            return Some(Some(offset));
        }
        let sign = match first {
            b'+' => 1,
            b'-' => -1,
            // The year of `Wed Mar 4 05:06:07 2026`.
            b'0'..=b'9' => return Some(None),
            _ => return None,
        };
        self.at += 1;
        let (number, digits) = self.number()?;
        let (hours, minutes) = match digits {
            1 | 2 if self.take(b':') => (number, self.number()?.0),
            1 | 2 => (number, 0),
            4 => (number / 100, number % 100),
            _ => return None,
        };
        if hours > 15 || minutes > 59 {
            return None;
        }
        let seconds = i32::try_from(hours * 3600 + minutes * 60).ok()?;
        Some(Some(sign * seconds))
    }
}

enum Days {
    Whole(i64),
    WithoutYear { month: i64, day: i64 },
}

fn month_of(word: [u8; 3]) -> Option<i64> {
    let place = MONTHS.iter().position(|month| **month == word)?;
    Some(place as i64 + 1)
}

#[cfg(test)]
mod tests;
