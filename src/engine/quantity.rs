//! Units, and readings as growers write them.

use std::ops::Range;

use serde::{Deserialize, Serialize};
use thiserror::Error;

/// The system of units numbers are shown in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum System {
    /// Degrees Celsius, litres, metres.
    #[default]
    Metric,
    /// Degrees Fahrenheit, gallons, feet.
    Imperial,
}

/// A measured value with its tolerance, in the reading's own unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Measured {
    /// The value; finite.
    pub value: f64,
    /// Its standard deviation, where one was given; finite and not negative.
    pub tolerance: Option<f64>,
}

/// A unit that a reading can have. Every number of a reading is kept in its one unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum Unit {
    /// Degrees Celsius.
    Celsius,
    /// Percent.
    Percent,
    /// Parts per million by volume.
    Ppm,
    /// Lux.
    Lux,
    /// Cubic metres an hour.
    CubicMetrePerHour,
    /// Litres.
    Litre,
    /// Centimetres.
    Centimetre,
    /// Metres.
    Metre,
    /// Grams an hour.
    GramPerHour,
    /// Grams.
    Gram,
    /// Kilograms.
    Kilogram,
    /// Days.
    Day,
    /// Hours.
    Hour,
    /// Metres a second.
    MetrePerSecond,
    /// Pascals.
    Pascal,
    /// Grams per cubic metre.
    GramPerCubicMetre,
    /// A count of things.
    Count,
    /// A factor.
    Times,
    /// Millimetres a day.
    MillimetrePerDay,
    /// Changes an hour.
    PerHour,
}

/// How a unit is written, and how it becomes the unit a reading is kept in: multiply, then add.
struct Spelling {
    written: &'static [&'static str],
    kept_as: Unit,
    times: f64,
    plus: f64,
}

const fn spelling(written: &'static [&'static str], kept_as: Unit, times: f64) -> Spelling {
    Spelling {
        written,
        kept_as,
        times,
        plus: 0.0,
    }
}

/// Every unit people write, by the unit it is kept in; the first spelling of each is the one shown. Compared without
/// regard to case and blanks.
///
/// # Source
/// Conversion factors: International yard and pound agreement (1959), US gallon of 231 cubic inches.
const SPELLINGS: &[Spelling] = &[
    spelling(
        &["°C", "C", "degC", "deg C", "celsius", "º C", "º"],
        Unit::Celsius,
        1.0,
    ),
    Spelling {
        written: &["°F", "F", "degF", "deg F", "fahrenheit"],
        kept_as: Unit::Celsius,
        times: 5.0 / 9.0,
        plus: -160.0 / 9.0,
    },
    spelling(
        &["%", "percent", "per cent", "%RH", "RH", "% RH"],
        Unit::Percent,
        1.0,
    ),
    spelling(&["ppm"], Unit::Ppm, 1.0),
    spelling(&["k ppm", "kppm"], Unit::Ppm, 1000.0),
    spelling(&["lux", "lx"], Unit::Lux, 1.0),
    spelling(&["k lux", "klux", "klx"], Unit::Lux, 1000.0),
    spelling(
        &["foot-candles", "fc", "footcandles"],
        Unit::Lux,
        10.763910416709722,
    ),
    spelling(
        &[
            "m3/h",
            "m³/h",
            "cubic metres per hour",
            "cubic meters per hour",
            "cmh",
        ],
        Unit::CubicMetrePerHour,
        1.0,
    ),
    spelling(
        &["CFM", "ft3/min", "ft³/min", "cubic feet per minute"],
        Unit::CubicMetrePerHour,
        1.69901082,
    ),
    spelling(
        &["L", "litre", "litres", "liter", "liters"],
        Unit::Litre,
        1.0,
    ),
    spelling(&["gal", "gallon", "gallons"], Unit::Litre, 3.785411784),
    spelling(&["qt", "quart", "quarts"], Unit::Litre, 0.946352946),
    spelling(
        &["cu ft", "ft3", "ft³", "cubic feet", "cubic foot"],
        Unit::Litre,
        28.316846592,
    ),
    spelling(
        &["m3", "m³", "cubic metres", "cubic meters"],
        Unit::Litre,
        1000.0,
    ),
    spelling(&["mL", "ml"], Unit::Litre, 0.001),
    spelling(
        &["cm", "centimetre", "centimetres", "centimeters"],
        Unit::Centimetre,
        1.0,
    ),
    spelling(&["in", "inch", "inches", "\""], Unit::Centimetre, 2.54),
    spelling(&["mm"], Unit::Centimetre, 0.1),
    spelling(&["ft", "foot", "feet", "'"], Unit::Centimetre, 30.48),
    spelling(
        &["m", "metre", "metres", "meter", "meters"],
        Unit::Metre,
        1.0,
    ),
    spelling(&["ft", "foot", "feet", "'"], Unit::Metre, 0.3048),
    spelling(&["in", "inch", "inches", "\""], Unit::Metre, 0.0254),
    spelling(&["cm"], Unit::Metre, 0.01),
    spelling(
        &["g/h", "grams per hour", "ml/h", "mL/h"],
        Unit::GramPerHour,
        1.0,
    ),
    spelling(
        &["L/h", "litres per hour", "liters per hour"],
        Unit::GramPerHour,
        1000.0,
    ),
    spelling(&["g", "gram", "grams"], Unit::Gram, 1.0),
    spelling(&["oz", "ounce", "ounces"], Unit::Gram, 28.349523125),
    spelling(&["kg", "kilogram", "kilograms"], Unit::Kilogram, 1.0),
    spelling(
        &["lb", "lbs", "pound", "pounds"],
        Unit::Kilogram,
        0.45359237,
    ),
    spelling(&["g"], Unit::Kilogram, 0.001),
    spelling(&["days", "day", "d"], Unit::Day, 1.0),
    spelling(&["weeks", "week", "wk", "wks"], Unit::Day, 7.0),
    spelling(&["months", "month"], Unit::Day, 30.4375),
    spelling(&["hours", "hour", "hrs"], Unit::Day, 1.0 / 24.0),
    spelling(&["h", "hours", "hour", "hr", "hrs"], Unit::Hour, 1.0),
    spelling(&["min", "minutes", "minute"], Unit::Hour, 1.0 / 60.0),
    spelling(&["days", "day"], Unit::Hour, 24.0),
    spelling(&["m/s"], Unit::MetrePerSecond, 1.0),
    spelling(&["ft/min", "fpm"], Unit::MetrePerSecond, 0.00508),
    spelling(&["km/h"], Unit::MetrePerSecond, 1.0 / 3.6),
    spelling(&["Pa", "pascal", "pascals"], Unit::Pascal, 1.0),
    spelling(&["hPa", "mbar"], Unit::Pascal, 100.0),
    spelling(&["kPa"], Unit::Pascal, 1000.0),
    spelling(&["g/m3", "g/m³"], Unit::GramPerCubicMetre, 1.0),
    spelling(
        &["count", "blocks", "block", "pieces", "flush"],
        Unit::Count,
        1.0,
    ),
    spelling(&["times", "x", "×"], Unit::Times, 1.0),
    spelling(
        &["mm/day", "mm a day", "mm per day", "mm/d"],
        Unit::MillimetrePerDay,
        1.0,
    ),
    spelling(
        &["cm/day", "cm a day", "cm per day"],
        Unit::MillimetrePerDay,
        10.0,
    ),
    spelling(
        &["in/day", "inches a day", "inch a day"],
        Unit::MillimetrePerDay,
        25.4,
    ),
    spelling(&["1/h", "per hour", "/h", "ach"], Unit::PerHour, 1.0),
];

impl Unit {
    /// The unit a symbol of the knowledge files stands for: `C`, `%`, `ppm`, `m3/h` and so on.
    pub fn parse(symbol: &str) -> Option<Self> {
        let kept = SPELLINGS.iter().find(|one| {
            one.times == 1.0
                && one.plus == 0.0
                && one.written.iter().any(|written| alike(written, symbol))
        });
        kept.map(|one| one.kept_as)
    }

    /// How the unit is shown; empty for a plain count.
    pub fn symbol(self) -> &'static str {
        if self == Self::Count {
            return "";
        }
        let own = SPELLINGS
            .iter()
            .find(|one| one.kept_as == self && one.times == 1.0 && one.plus == 0.0);
        own.and_then(|one| one.written.first())
            .copied()
            .unwrap_or_default()
    }
}

fn alike(written: &str, other: &str) -> bool {
    let plain = |text: &str| -> String {
        text.chars()
            .filter(|letter| !letter.is_whitespace())
            .flat_map(char::to_lowercase)
            .collect()
    };
    plain(written) == plain(other)
}

/// Why a text is no reading.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum QuantityError {
    /// There is no number in it.
    #[error("there is no number in it; write for example `{example}`")]
    NoNumber {
        /// A reading in the expected unit.
        example: String,
    },
    /// The number is not one that can be measured.
    #[error("`{text}` is not a number that can be measured")]
    NotANumber {
        /// The number as written.
        text: String,
        /// Where it stands, in bytes.
        at: Range<usize>,
    },
    /// The unit is not known, or belongs to another kind of reading.
    #[error("`{text}` is not a unit for this reading; it is measured in {expected}{}", nearest_hint(nearest.as_deref()))]
    Unit {
        /// The unit as written.
        text: String,
        /// Where it stands, in bytes.
        at: Range<usize>,
        /// The unit the reading is kept in.
        expected: &'static str,
        /// A known spelling close to it.
        nearest: Option<String>,
    },
    /// Two numbers stand together that do not make a range or a tolerance.
    #[error(
        "it is not clear which number counts; write one, or a range such as `between {low} and {high}`"
    )]
    Unclear {
        /// The first number.
        low: String,
        /// The second number.
        high: String,
        /// Where the second stands, in bytes.
        at: Range<usize>,
    },
}

impl QuantityError {
    /// The part of the text that is at fault, in bytes; the whole text where there is no one part.
    pub fn at(&self, whole: usize) -> Range<usize> {
        match self {
            Self::NoNumber { .. } => 0..whole,
            Self::NotANumber { at, .. } | Self::Unit { at, .. } | Self::Unclear { at, .. } => {
                at.clone()
            }
        }
    }
}

fn nearest_hint(nearest: Option<&str>) -> String {
    nearest.map_or_else(String::new, |nearest| {
        format!("; did you mean `{nearest}`?")
    })
}

/// A number with what follows it, up to the next number.
struct Piece<'t> {
    number: f64,
    number_at: Range<usize>,
    unit: &'t str,
    unit_at: Range<usize>,
    before: &'t str,
}

/// Reads a reading as growers write it: `2900 ppm`, `2.9k ppm`, `68F`, `about 90 %`, `94 % ± 3`, `between 80 and 85 %`,
/// `1,200 lux`, `3 weeks`. A range becomes its middle with the standard deviation of a rectangle of that width.
///
/// # Errors
/// [`QuantityError`] when there is no number, the number is not finite, the unit is not one for this reading, or two
/// numbers make no range.
pub fn parse_reading(text: &str, unit: Unit) -> Result<Measured, QuantityError> {
    let pieces = pieces(text)?;
    let example = || show_exactly(20.0, unit);
    match pieces.as_slice() {
        [] => Err(QuantityError::NoNumber { example: example() }),
        [one] => {
            let (times, plus) = conversion(one, unit)?;
            Ok(Measured {
                value: one.number * times + plus,
                tolerance: None,
            })
        }
        [value, tolerance] if is_tolerance(tolerance.before) => {
            // The unit may stand behind either number or behind both.
            let named = if value.unit.is_empty() {
                tolerance
            } else {
                value
            };
            let (times, plus) = conversion(named, unit)?;
            let (own_times, _) = if tolerance.unit.is_empty() {
                (times, plus)
            } else {
                conversion(tolerance, unit)?
            };
            Ok(Measured {
                value: value.number * times + plus,
                tolerance: Some((tolerance.number * own_times).abs()),
            })
        }
        [low, high] if is_range(low.before, high.before) => {
            let named = if low.unit.is_empty() { high } else { low };
            let (times, plus) = conversion(named, unit)?;
            let (high_times, high_plus) = if high.unit.is_empty() {
                (times, plus)
            } else {
                conversion(high, unit)?
            };
            let (low, high) = (
                low.number * times + plus,
                high.number * high_times + high_plus,
            );
            Ok(Measured {
                value: f64::midpoint(low, high),
                tolerance: Some((high - low).abs() / 12.0_f64.sqrt()),
            })
        }
        [first, second, ..] => Err(QuantityError::Unclear {
            low: text[first.number_at.clone()].to_owned(),
            high: text[second.number_at.clone()].to_owned(),
            at: second.number_at.clone(),
        }),
    }
}

fn is_tolerance(before: &str) -> bool {
    ["±", "+/-", "+-", "plus or minus", "give or take"]
        .iter()
        .any(|sign| before.trim().ends_with(sign))
}

fn is_range(before_first: &str, between: &str) -> bool {
    let between = between.trim();
    ["-", "–", "to", "..", "and"].contains(&between)
        && (between != "and" || before_first.to_lowercase().contains("between"))
}

/// Words that may stand around a number and say nothing about the unit.
const FILLERS: [&str; 9] = [
    "about",
    "around",
    "roughly",
    "approx",
    "approx.",
    "approximately",
    "~",
    "between",
    "from",
];

fn conversion(piece: &Piece<'_>, unit: Unit) -> Result<(f64, f64), QuantityError> {
    if piece.unit.is_empty() {
        return Ok((1.0, 0.0));
    }
    let mine = || SPELLINGS.iter().filter(|one| one.kept_as == unit);
    let found = mine().find(|one| one.written.iter().any(|written| alike(written, piece.unit)));
    if let Some(found) = found {
        return Ok((found.times, found.plus));
    }
    let lower = piece.unit.to_lowercase();
    let nearest = mine()
        .flat_map(|one| one.written)
        .map(|written| (distance(&written.to_lowercase(), &lower), *written))
        .filter(|(distance, written)| *distance <= 1 && written.len() > 1)
        .min();
    Err(QuantityError::Unit {
        text: piece.unit.to_owned(),
        at: piece.unit_at.clone(),
        expected: if unit == Unit::Count {
            "plain numbers"
        } else {
            unit.symbol()
        },
        nearest: nearest.map(|(_, written)| written.to_owned()),
    })
}

/// Edits between two short words.
fn distance(a: &str, b: &str) -> usize {
    let b: Vec<char> = b.chars().collect();
    let mut row: Vec<usize> = (0..=b.len()).collect();
    for (i, x) in a.chars().enumerate() {
        let mut corner = row[0];
        row[0] = i + 1;
        for (j, y) in b.iter().enumerate() {
            let next = (corner + usize::from(x != *y))
                .min(row[j] + 1)
                .min(row[j + 1] + 1);
            corner = row[j + 1];
            row[j + 1] = next;
        }
    }
    row[b.len()]
}

/// Cuts a text into numbers, each with the words before it and the unit behind it.
fn pieces(text: &str) -> Result<Vec<Piece<'_>>, QuantityError> {
    let bytes = text.as_bytes();
    let mut pieces: Vec<Piece<'_>> = Vec::new();
    let mut at = 0;
    let mut gap_from = 0;
    while at < bytes.len() {
        let signed =
            matches!(bytes[at], b'-' | b'+') && bytes.get(at + 1).is_some_and(u8::is_ascii_digit);
        // A minus right behind a number or unit is a range, not a sign: `80-85`.
        let sign_counts =
            signed && (at == 0 || bytes[at - 1].is_ascii_whitespace() && pieces.is_empty());
        // Digits inside a unit (`m3/h`, `1/h`) belong to the unit.
        let in_unit = at > 0 && (bytes[at - 1].is_ascii_alphabetic() || bytes[at - 1] == b'/');
        let starts = bytes[at].is_ascii_digit() && !in_unit || sign_counts;
        let decimal_start = bytes[at] == b'.'
            && bytes.get(at + 1).is_some_and(u8::is_ascii_digit)
            && (at == 0 || bytes[at - 1] != b'.');
        if !starts && !decimal_start {
            at += 1;
            continue;
        }
        let start = at;
        at += 1;
        while at < bytes.len()
            && (bytes[at].is_ascii_digit()
                || (matches!(bytes[at], b'.' | b',')
                    && bytes.get(at + 1).is_some_and(u8::is_ascii_digit)))
        {
            at += 1;
        }
        let written = &text[start..at];
        let number = number(written).ok_or_else(|| QuantityError::NotANumber {
            text: written.to_owned(),
            at: start..at,
        })?;
        let mut number = number;
        if bytes
            .get(at)
            .is_some_and(|byte| matches!(byte, b'k' | b'K'))
            && bytes
                .get(at + 1)
                .is_none_or(|next| !next.is_ascii_alphabetic())
        {
            number *= 1000.0;
            at += 1;
        }
        let (unit, unit_at) = unit_behind(text, at);
        let before = &text[gap_from..start];
        at = unit_at.end.max(at);
        gap_from = at;
        pieces.push(Piece {
            number,
            number_at: start..at,
            unit,
            unit_at,
            before,
        });
    }
    let rest: Vec<&str> = text[..pieces
        .first()
        .map_or(text.len(), |piece| piece.number_at.start)]
        .split_whitespace()
        .filter(|word| !FILLERS.contains(&word.to_lowercase().as_str()))
        .collect();
    match (rest.first(), pieces.is_empty()) {
        (Some(word), false) => {
            let start = text.find(word).unwrap_or(0);
            Err(QuantityError::NotANumber {
                text: (*word).to_owned(),
                at: start..start + word.len(),
            })
        }
        _ => Ok(pieces),
    }
}

/// The unit that follows a number: up to the next word that belongs to a range or tolerance.
fn unit_behind(text: &str, from: usize) -> (&str, Range<usize>) {
    let rest = &text[from..];
    let mut end = rest.len();
    for stop in [
        "±",
        "+/-",
        "+-",
        "plus or minus",
        "give or take",
        " to ",
        " and ",
        "–",
        "..",
        " - ",
    ] {
        if let Some(place) = rest.find(stop) {
            end = end.min(place);
        }
    }
    // `80-85 %`: a hyphen and a digit start the second number.
    let hyphen = rest
        .as_bytes()
        .windows(2)
        .position(|pair| pair[0] == b'-' && pair[1].is_ascii_digit());
    end = hyphen.map_or(end, |place| end.min(place));
    // A second number ends the unit, unless its digits belong to it.
    let digit = rest.char_indices().find(|&(place, letter)| {
        letter.is_ascii_digit()
            && !rest[..place].ends_with(|before: char| before.is_alphabetic() || before == '/')
    });
    if let Some((place, _)) = digit {
        let follows_slash = rest[place..].starts_with("1/");
        if !follows_slash {
            end = end.min(place);
        }
    }
    let unit = rest[..end]
        .trim()
        .trim_end_matches(['.', ',', ';', '!'])
        .trim();
    let start = from + rest[..end].len() - rest[..end].trim_start().len();
    (unit, start..start + unit.len())
}

/// A number as written: a comma before exactly three digits parts thousands, any other comma is a decimal one.
fn number(written: &str) -> Option<f64> {
    let commas = written.matches(',').count();
    let thousands = commas > 0
        && written
            .split(',')
            .skip(1)
            .all(|part| part.split('.').next().is_some_and(|d| d.len() == 3));
    let plain = if thousands {
        written.replace(',', "")
    } else if commas == 1 && !written.contains('.') {
        written.replace(',', ".")
    } else {
        written.to_owned()
    };
    plain.parse().ok().filter(|number: &f64| number.is_finite())
}

/// A value with its unit, sensibly rounded, in the system asked for.
pub fn show(value: f64, unit: Unit, system: System) -> String {
    let (value, unit_text) = match (system, unit) {
        (System::Imperial, Unit::Celsius) => (value * 9.0 / 5.0 + 32.0, "°F"),
        (System::Imperial, Unit::CubicMetrePerHour) => (value / 1.69901082, "CFM"),
        (System::Imperial, Unit::Litre) => (value / 3.785411784, "gal"),
        (System::Imperial, Unit::Centimetre) => (value / 2.54, "in"),
        (System::Imperial, Unit::Metre) => (value / 0.3048, "ft"),
        (System::Imperial, Unit::Kilogram) => (value / 0.45359237, "lb"),
        _ => (value, unit.symbol()),
    };
    join(rounded(value), unit_text)
}

fn show_exactly(value: f64, unit: Unit) -> String {
    join(format!("{value}"), unit.symbol())
}

fn join(number: String, unit: &str) -> String {
    if unit.is_empty() {
        number
    } else {
        format!("{number} {unit}")
    }
}

/// Three significant digits, and whole numbers from a hundred up.
fn rounded(value: f64) -> String {
    let size = value.abs();
    let digits = if size >= 100.0 {
        0
    } else if size >= 10.0 {
        1
    } else {
        2
    };
    let text = format!("{value:.digits$}");
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}

#[cfg(test)]
mod tests {
    use super::{Measured, QuantityError, System, Unit, parse_reading, show};

    #[test]
    fn readings_are_understood_as_growers_write_them() {
        for (text, unit, value, tolerance) in [
            ("2900 ppm", Unit::Ppm, 2900.0, None),
            ("2.9k ppm", Unit::Ppm, 2900.0, None),
            ("2900", Unit::Ppm, 2900.0, None),
            ("1,200 lux", Unit::Lux, 1200.0, None),
            ("68F", Unit::Celsius, 20.0, None),
            ("68 °F", Unit::Celsius, 20.0, None),
            ("-2 °C", Unit::Celsius, -2.0, None),
            ("about 90%", Unit::Percent, 90.0, None),
            ("~90 % RH", Unit::Percent, 90.0, None),
            ("94 % ± 3", Unit::Percent, 94.0, Some(3.0)),
            ("94% +/- 3%", Unit::Percent, 94.0, Some(3.0)),
            ("20 ± 0.5 °C", Unit::Celsius, 20.0, Some(0.5)),
            ("68F ± 1.8F", Unit::Celsius, 20.0, Some(1.0)),
            (
                "between 80 and 85 %",
                Unit::Percent,
                82.5,
                Some(5.0 / 12.0_f64.sqrt()),
            ),
            ("80-85 %", Unit::Percent, 82.5, Some(5.0 / 12.0_f64.sqrt())),
            (
                "80 to 85%",
                Unit::Percent,
                82.5,
                Some(5.0 / 12.0_f64.sqrt()),
            ),
            ("12 CFM", Unit::CubicMetrePerHour, 20.38812984, None),
            ("3 m3/h", Unit::CubicMetrePerHour, 3.0, None),
            ("100 ft/min", Unit::MetrePerSecond, 0.508, None),
            ("2 ft", Unit::Metre, 0.6096, None),
            ("0,5 m", Unit::Metre, 0.5, None),
            ("3 weeks", Unit::Day, 21.0, None),
            ("23 days", Unit::Day, 23.0, None),
            ("70 qt", Unit::Litre, 66.24470622, None),
            ("15 cu ft", Unit::Litre, 424.75269888, None),
            ("4", Unit::Count, 4.0, None),
        ] {
            let Measured {
                value: found,
                tolerance: spread,
            } = parse_reading(text, unit).unwrap_or_else(|error| panic!("{text}: {error}"));
            assert!((found - value).abs() < 1e-6, "{text}: {found}");
            match (spread, tolerance) {
                (None, None) => {}
                (Some(a), Some(b)) => assert!((a - b).abs() < 1e-6, "{text}: {a}"),
                _ => panic!("{text}: {spread:?}"),
            }
        }
    }

    #[test]
    fn what_is_no_reading_is_refused_at_its_place() {
        assert!(matches!(
            parse_reading("", Unit::Ppm),
            Err(QuantityError::NoNumber { .. })
        ));
        for text in ["nan", "inf", "high", "NaN ppm"] {
            assert!(parse_reading(text, Unit::Ppm).is_err(), "{text}");
        }
        assert!(
            matches!(parse_reading("20 lux", Unit::Celsius), Err(QuantityError::Unit { at, .. }) if at == (3..6))
        );
        let typo = parse_reading("20 pmm", Unit::Ppm);
        assert!(
            matches!(
                &typo,
                Err(QuantityError::Unit {
                    expected: "ppm",
                    ..
                })
            ),
            "{typo:?}"
        );
        let typo = parse_reading("20 luxx", Unit::Lux);
        assert!(
            matches!(&typo, Err(QuantityError::Unit { nearest: Some(near), .. }) if near == "lux"),
            "{typo:?}"
        );
        assert!(matches!(
            parse_reading("20 30 ppm", Unit::Ppm),
            Err(QuantityError::Unclear { .. })
        ));
        assert!(parse_reading("1e999", Unit::Ppm).is_err());
        assert!(parse_reading("20 \u{1b}[31mppm", Unit::Ppm).is_err());
    }

    #[test]
    fn numbers_are_shown_sensibly_rounded() {
        assert_eq!(show(2900.4, Unit::Ppm, System::Metric), "2900 ppm");
        assert_eq!(show(20.0, Unit::Celsius, System::Metric), "20 °C");
        assert_eq!(show(20.0, Unit::Celsius, System::Imperial), "68 °F");
        assert_eq!(show(3.456, Unit::Times, System::Metric), "3.46 times");
        assert_eq!(show(4.0, Unit::Count, System::Metric), "4");
    }

    #[test]
    fn every_symbol_of_the_knowledge_files_is_a_unit() {
        for symbol in [
            "C", "%", "ppm", "lux", "m3/h", "L", "cm", "m", "g/h", "g", "kg", "day", "hour", "m/s",
            "Pa", "g/m3", "count", "times", "mm/day", "1/h",
        ] {
            assert!(Unit::parse(symbol).is_some(), "{symbol}");
        }
        assert_eq!(Unit::parse("hour"), Some(Unit::Hour));
        assert_eq!(Unit::parse("furlong"), None);
    }
}
