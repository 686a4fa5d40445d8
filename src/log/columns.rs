//! Which column holds what, from the names people and loggers give them.

use crate::log::channel::{CHANNELS, Channel};
use crate::log::stamp;
use crate::log::unit::InUnit;

/// What a column can hold.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum What {
    /// Date and time, or the time of day beside a column with the date.
    Time,
    /// The date alone.
    Date,
    /// Values.
    Channel(Channel),
}

impl What {
    /// What goes by this name in options.
    pub fn named(name: &str) -> Option<Self> {
        match name {
            "time" => Some(Self::Time),
            "date" => Some(Self::Date),
            other => Channel::named(other).map(Self::Channel),
        }
    }

    /// Its name in options.
    pub fn name(self) -> &'static str {
        match self {
            Self::Time => "time",
            Self::Date => "date",
            Self::Channel(channel) => channel.name(),
        }
    }
}

/// Where the stamps stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct StampPlace {
    /// The column with the date, and the time unless that stands apart.
    pub first: usize,
    /// The column with the time of day, if it stands apart.
    pub second: Option<usize>,
    /// The offset from universal time in seconds that the column's name states.
    pub offset_s: Option<i32>,
}

/// Where values stand.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ValuePlace {
    /// The column.
    pub column: usize,
    /// What it is called.
    pub name: String,
    /// The unit of its numbers, where the cells do not say otherwise.
    pub unit: InUnit,
}

/// Where everything stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Plan {
    /// The stamps.
    pub stamp: StampPlace,
    /// The values of each channel that is there.
    pub values: [Option<ValuePlace>; CHANNELS],
    /// How many columns there are.
    pub columns: usize,
    /// The names of the columns; numbers where there are no names.
    pub names: Vec<String>,
}

impl Plan {
    /// Columns that are not read.
    pub fn unused(&self) -> Vec<&str> {
        let used = |column: usize| {
            column == self.stamp.first
                || Some(column) == self.stamp.second
                || self
                    .values
                    .iter()
                    .flatten()
                    .any(|place| place.column == column)
        };
        let names = self.names.iter().enumerate();
        names
            .filter(|(column, name)| !used(*column) && !name.is_empty())
            .map(|(_, name)| name.as_str())
            .collect()
    }
}

/// What a column's name says.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Header {
    /// As it is written.
    pub name: String,
    /// What it holds, if the name is known.
    pub what: Option<What>,
    /// The unit in the name.
    pub unit: Option<InUnit>,
    /// The offset from universal time in the name.
    pub offset_s: Option<i32>,
}

/// Names of columns by what they hold: small letters, single blanks, without units and numbers.
const NAMES: [(What, &[&str]); 6] = [
    (
        What::Time,
        &[
            "time",
            "timestamp",
            "time stamp",
            "datetime",
            "date time",
            "date and time",
            "date & time",
            "recorded at",
            "created at",
            "logged at",
            "measured at",
            "epoch",
            "epoch time",
            "unix",
            "unix time",
            "unixtime",
            "unix timestamp",
            "utc",
            "utc time",
            "local time",
            "ts",
            "datetime utc",
            "date time local",
            "when",
        ],
    ),
    (What::Date, &["date", "day"]),
    (
        What::Channel(Channel::Temperature),
        &[
            "temperature",
            "temp",
            "t",
            "air temperature",
            "air temp",
            "tair",
            "t air",
        ],
    ),
    (
        What::Channel(Channel::Humidity),
        &[
            "humidity",
            "hum",
            "rh",
            "relative humidity",
            "rel humidity",
            "rel hum",
            "air humidity",
            "r h",
            "relative hum",
        ],
    ),
    (
        What::Channel(Channel::Co2),
        &["co2", "carbon dioxide", "co2 concentration", "eco2"],
    ),
    (
        What::Channel(Channel::Light),
        &[
            "light",
            "lux",
            "illuminance",
            "light level",
            "light intensity",
            "brightness",
            "lx",
        ],
    ),
];

/// Words that say nothing of what is measured.
const EMPTY_WORDS: [&str; 12] = [
    "chamber", "sensor", "probe", "channel", "ch", "avg", "average", "mean", "current", "reading",
    "value", "measured",
];

/// Reads a column's name.
pub fn header(text: &str) -> Header {
    let name = text.trim().trim_matches('"').trim().to_owned();
    let small = name.to_lowercase().replace('\u{2082}', "2");
    let (bare, bracketed) = without_brackets(&small);
    let mut unit = bracketed.iter().find_map(|text| InUnit::named(text));
    let offset_s = bracketed.iter().find_map(|text| offset(text));
    let mut what = named(&bare);
    if what.is_none() {
        // `temperature_c`, `CO2 ppm`, `Temp, °F`: the unit stands behind the name.
        let cut = bare
            .char_indices()
            .filter(|(_, letter)| matches!(letter, ' ' | '_' | ',' | '/' | '.' | '-'))
            .map(|(at, letter)| (at, at + letter.len_utf8()));
        for (end, start) in cut {
            if let (Some(of), Some(found)) = (named(&bare[..end]), InUnit::named(&bare[start..])) {
                what = Some(of);
                unit = unit.or(Some(found));
            }
        }
    }
    if what.is_none() {
        // A unit by itself: `%RH`, `°C`, `ppm`.
        let alone = InUnit::named(&bare).or(if bare.is_empty() { unit } else { None });
        what = match alone {
            Some(InUnit::Celsius | InUnit::Fahrenheit) => Some(What::Channel(Channel::Temperature)),
            Some(InUnit::Percent) if bare.contains("rh") || small.contains("rh") => {
                Some(What::Channel(Channel::Humidity))
            }
            Some(InUnit::Ppm) => Some(What::Channel(Channel::Co2)),
            _ => None,
        };
        if what.is_some() {
            unit = unit.or(alone);
        }
    }
    if what == Some(What::Channel(Channel::Humidity)) && small.contains('%') {
        unit = unit.or(Some(InUnit::Percent));
    }
    if let Some(What::Channel(channel)) = what {
        // A unit of another kind means that something else is measured.
        if unit.is_some_and(|unit| !unit.fits(channel)) {
            what = None;
        }
    }
    Header {
        name,
        what,
        unit,
        offset_s,
    }
}

/// The text without what stands in brackets, and what stands in them.
fn without_brackets(text: &str) -> (String, Vec<String>) {
    let mut bare = String::new();
    let mut inside = Vec::new();
    let mut depth = 0_usize;
    for letter in text.chars() {
        match letter {
            '(' | '[' | '{' => {
                depth += 1;
                if depth == 1 {
                    inside.push(String::new());
                }
            }
            ')' | ']' | '}' => depth = depth.saturating_sub(1),
            other if depth > 0 => {
                if let Some(last) = inside.last_mut() {
                    last.push(other);
                }
            }
            other => bare.push(other),
        }
    }
    let inside = inside.iter().map(|text| text.trim().to_owned()).collect();
    (bare.trim().to_owned(), inside)
}

fn named(text: &str) -> Option<What> {
    let spaced: String = text
        .chars()
        .map(|letter| {
            if letter.is_alphanumeric() || letter == '&' {
                letter
            } else {
                ' '
            }
        })
        .collect();
    let words: Vec<&str> = spaced
        .split_whitespace()
        .filter(|word| !EMPTY_WORDS.contains(word) && !word.bytes().all(|b| b.is_ascii_digit()))
        .collect();
    let plain = words.join(" ");
    let known = |plain: &str| {
        let found = NAMES.iter().find(|(_, names)| names.contains(&plain));
        found.map(|(what, _)| *what)
    };
    // `temp1` is a temperature, `co2` is itself.
    known(&plain).or_else(|| known(plain.trim_end_matches(|letter: char| letter.is_ascii_digit())))
}

/// `utc`, `gmt-05:00`, `utc+1` as seconds.
fn offset(text: &str) -> Option<i32> {
    let named = text.starts_with(|letter: char| letter.is_ascii_alphabetic());
    stamp::offset(text).filter(|_| named)
}

#[cfg(test)]
mod tests {
    use super::{Channel, What, header};
    use crate::log::unit::InUnit;

    #[test]
    fn usual_names_are_known_with_their_units() {
        use Channel::{Co2, Humidity, Light, Temperature};
        for (text, channel, unit) in [
            ("Temperature", Temperature, None),
            ("Temperature (°C)", Temperature, Some(InUnit::Celsius)),
            ("temp_f", Temperature, Some(InUnit::Fahrenheit)),
            ("Temp. [F]", Temperature, Some(InUnit::Fahrenheit)),
            ("temperature_c", Temperature, Some(InUnit::Celsius)),
            ("Chamber temperature 1", Temperature, None),
            ("temp1", Temperature, None),
            ("T(\u{fffd}C)", Temperature, Some(InUnit::Celsius)),
            ("°C", Temperature, Some(InUnit::Celsius)),
            ("RH", Humidity, None),
            ("Relative Humidity(%)", Humidity, Some(InUnit::Percent)),
            ("%RH", Humidity, Some(InUnit::Percent)),
            ("humidity_percent", Humidity, Some(InUnit::Percent)),
            ("Hum. %", Humidity, Some(InUnit::Percent)),
            ("CO2", Co2, None),
            ("CO₂ (ppm)", Co2, Some(InUnit::Ppm)),
            ("co2_ppm", Co2, Some(InUnit::Ppm)),
            ("Carbon dioxide, ppm", Co2, Some(InUnit::Ppm)),
            ("Light (klx)", Light, Some(InUnit::Kilolux)),
            ("Illuminance", Light, None),
        ] {
            let header = header(text);
            assert_eq!(
                (header.what, header.unit),
                (Some(What::Channel(channel)), unit),
                "{text}"
            );
        }
        for text in [
            "Timestamp",
            "Date/Time",
            "date_time",
            "Time (UTC)",
            "recorded_at",
            "\"Time\"",
        ] {
            assert_eq!(header(text).what, Some(What::Time), "{text}");
        }
        assert_eq!(header("Date").what, Some(What::Date));
        assert_eq!(header("Date Time, GMT-05:00").offset_s, None);
        assert_eq!(header("Date Time (GMT-05:00)").offset_s, Some(-18_000));
        assert_eq!(header("Time (UTC)").offset_s, Some(0));
    }

    #[test]
    fn other_names_are_not_taken_for_them() {
        for text in [
            "Dew point (°C)",
            "Battery (%)",
            "Pressure",
            "Room temperature",
            "VPD",
            "",
            "Temperature (ppm)",
            "Soil humidity",
            "21.4",
        ] {
            assert_eq!(header(text).what, None, "{text}");
        }
    }
}
