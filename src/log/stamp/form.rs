//! What has to be known beside the letters of a stamp: which number is the month, what an abbreviation stands for,
//! whether days are counted.

use crate::log::stamp::DateOrder;

/// An hour in seconds.
const HOUR: i32 = 3600;

/// How the stamps of a log are to be read, where they do not say it themselves.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Form {
    /// Which comes first in dates such as 03/04/2026.
    pub order: Option<DateOrder>,
    /// Seconds ahead of universal time, for each of [`SHARED`] that is known.
    pub meanings: [Option<i32>; SHARED.len()],
    /// Whether a number of five digits counts days, as spreadsheets do.
    pub day_numbers: bool,
}

impl From<Option<DateOrder>> for Form {
    fn from(order: Option<DateOrder>) -> Self {
        Self {
            order,
            ..Self::default()
        }
    }
}

impl Form {
    /// The same with another order of day and month.
    #[must_use]
    pub fn with(self, order: DateOrder) -> Self {
        Self {
            order: Some(order),
            ..self
        }
    }

    /// Seconds ahead of universal time that an abbreviation stands for, in any letters.
    pub fn offset_of(&self, word: &[u8]) -> Option<i32> {
        let same = |name: &str| name.as_bytes().eq_ignore_ascii_case(word);
        if let Some(place) = SHARED.iter().position(|(name, _)| same(name)) {
            return self.meanings[place];
        }
        let found = CERTAIN.iter().find(|(name, _)| same(name));
        found.map(|(_, offset)| *offset)
    }
}

/// Abbreviations that several places use for clocks of different offset, with those places.
///
/// # Source
/// The time zone database of IANA, from memory.
pub const SHARED: [(&str, &[(i32, &str)]); 4] = [
    (
        "AST",
        &[
            (-4 * HOUR, "Atlantic Canada and the Caribbean"),
            (3 * HOUR, "Arabia"),
        ],
    ),
    (
        "BST",
        &[(HOUR, "summer in Great Britain"), (6 * HOUR, "Bangladesh")],
    ),
    (
        "CST",
        &[
            (-6 * HOUR, "central North America"),
            (-5 * HOUR, "Cuba"),
            (8 * HOUR, "China"),
        ],
    ),
    (
        "IST",
        &[
            (5 * HOUR + HOUR / 2, "India"),
            (HOUR, "summer in Ireland"),
            (2 * HOUR, "Israel"),
        ],
    ),
];

/// Abbreviations with one usual meaning.
///
/// # Source
/// North American ones as RFC 5322, section 4.3 has them; the others from the time zone database of IANA, from memory,
/// and the German ones from use there.
pub(crate) const CERTAIN: [(&str, i32); 33] = [
    ("UTC", 0),
    ("GMT", 0),
    ("Z", 0),
    ("WET", 0),
    ("WEST", HOUR),
    ("CET", HOUR),
    ("CEST", 2 * HOUR),
    ("MEZ", HOUR),
    ("MESZ", 2 * HOUR),
    ("EET", 2 * HOUR),
    ("EEST", 3 * HOUR),
    ("MSK", 3 * HOUR),
    ("SAST", 2 * HOUR),
    ("NST", -3 * HOUR - HOUR / 2),
    ("NDT", -2 * HOUR - HOUR / 2),
    ("ADT", -3 * HOUR),
    ("EST", -5 * HOUR),
    ("EDT", -4 * HOUR),
    ("CDT", -5 * HOUR),
    ("MST", -7 * HOUR),
    ("MDT", -6 * HOUR),
    ("PST", -8 * HOUR),
    ("PDT", -7 * HOUR),
    ("AKST", -9 * HOUR),
    ("AKDT", -8 * HOUR),
    ("HST", -10 * HOUR),
    ("JST", 9 * HOUR),
    ("AWST", 8 * HOUR),
    ("ACST", 9 * HOUR + HOUR / 2),
    ("ACDT", 10 * HOUR + HOUR / 2),
    ("AEST", 10 * HOUR),
    ("AEDT", 11 * HOUR),
    ("NZST", 12 * HOUR),
];

/// An offset in seconds as it is written: `-06:00`.
pub fn written(offset_s: i32) -> String {
    let sign = if offset_s < 0 { '-' } else { '+' };
    let minutes = offset_s.abs() / 60;
    format!("{sign}{:02}:{:02}", minutes / 60, minutes % 60)
}

/// The first and the last day number that is believed: 1 January 2000 and 31 December 2099.
///
/// judgement: no log is older than hobby loggers, and other numbers of five digits are none of a clock.
pub const DAY_NUMBERS: std::ops::RangeInclusive<i64> = 36_526..=73_050;

/// The day number of 1 January 1970.
///
/// # Source
/// ISO/IEC 29500-1:2016, 18.17.4.1, the date base that counts from 30 December 1899, from memory.
pub const DAY_NUMBER_OF_1970: i64 = 25_569;

/// Milliseconds since 1970 on the clock that a day number stands for, `45992.5208` with a point or a comma.
pub fn day_number_ms(cell: &[u8]) -> Option<i64> {
    let text = std::str::from_utf8(cell.trim_ascii()).ok()?;
    let (whole, fraction) = text.split_once(['.', ',']).unwrap_or((text, ""));
    let digits = |text: &str| text.bytes().all(|byte| byte.is_ascii_digit());
    if whole.len() != 5 || !digits(whole) || !digits(fraction) {
        return None;
    }
    let day: i64 = whole.parse().ok().filter(|day| DAY_NUMBERS.contains(day))?;
    let of_day: f64 = format!("0.{fraction}0").parse().ok()?;
    Some((day - DAY_NUMBER_OF_1970) * 86_400_000 + (of_day * 86_400_000.0).round() as i64)
}
