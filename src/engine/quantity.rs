//! Units, and readings as growers write them.

mod number;
mod read;
mod show;
mod spellings;

use std::ops::Range;

use serde::{Deserialize, Serialize};

pub use crate::engine::quantity::read::parse_reading;
pub use crate::engine::quantity::show::{System, show, show_difference};

/// What a number counts. Every reading has one unit, in which its value is kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum Unit {
    /// Degrees Celsius.
    #[serde(rename = "C")]
    Celsius,
    /// Parts of a hundred, such as relative humidity.
    #[serde(rename = "%")]
    Percent,
    /// Parts of a million, such as carbon dioxide.
    #[serde(rename = "ppm")]
    Ppm,
    /// Illuminance.
    #[serde(rename = "lux")]
    Lux,
    /// Airflow, cubic metres an hour.
    #[serde(rename = "m3/h")]
    CubicMetrePerHour,
    /// Litres.
    #[serde(rename = "L")]
    Litre,
    /// Millilitres.
    #[serde(rename = "mL")]
    Millilitre,
    /// Centimetres.
    #[serde(rename = "cm")]
    Centimetre,
    /// Metres.
    #[serde(rename = "m")]
    Metre,
    /// Mist or evaporation, grams an hour.
    #[serde(rename = "g/h")]
    GramPerHour,
    /// Grams.
    #[serde(rename = "g")]
    Gram,
    /// Kilograms.
    #[serde(rename = "kg")]
    Kilogram,
    /// Days.
    #[serde(rename = "day")]
    Day,
    /// Hours.
    #[serde(rename = "hour")]
    Hour,
    /// Air speed, metres a second.
    #[serde(rename = "m/s")]
    MetrePerSecond,
    /// Pressure.
    #[serde(rename = "Pa")]
    Pascal,
    /// Absolute humidity, grams in a cubic metre.
    #[serde(rename = "g/m3")]
    GramPerCubicMetre,
    /// How many.
    #[serde(rename = "count")]
    Count,
    /// A multiple of something.
    #[serde(rename = "times")]
    Times,
    /// Growth, millimetres a day.
    #[serde(rename = "mm/day")]
    MillimetrePerDay,
    /// Air changes an hour.
    #[serde(rename = "1/h")]
    PerHour,
    /// Seconds.
    #[serde(rename = "s")]
    Second,
    /// Heat and electric power.
    #[serde(rename = "W")]
    Watt,
}

impl Unit {
    /// Every unit.
    pub const ALL: [Self; 23] = [
        Self::Celsius,
        Self::Percent,
        Self::Ppm,
        Self::Lux,
        Self::CubicMetrePerHour,
        Self::Litre,
        Self::Millilitre,
        Self::Centimetre,
        Self::Metre,
        Self::GramPerHour,
        Self::Gram,
        Self::Kilogram,
        Self::Day,
        Self::Hour,
        Self::MetrePerSecond,
        Self::Pascal,
        Self::GramPerCubicMetre,
        Self::Count,
        Self::Times,
        Self::MillimetrePerDay,
        Self::PerHour,
        Self::Second,
        Self::Watt,
    ];

    /// The sign of this unit in knowledge files.
    pub fn symbol(self) -> &'static str {
        match self {
            Self::Celsius => "C",
            Self::Percent => "%",
            Self::Ppm => "ppm",
            Self::Lux => "lux",
            Self::CubicMetrePerHour => "m3/h",
            Self::Litre => "L",
            Self::Millilitre => "mL",
            Self::Centimetre => "cm",
            Self::Metre => "m",
            Self::GramPerHour => "g/h",
            Self::Gram => "g",
            Self::Kilogram => "kg",
            Self::Day => "day",
            Self::Hour => "hour",
            Self::MetrePerSecond => "m/s",
            Self::Pascal => "Pa",
            Self::GramPerCubicMetre => "g/m3",
            Self::Count => "count",
            Self::Times => "times",
            Self::MillimetrePerDay => "mm/day",
            Self::PerHour => "1/h",
            Self::Second => "s",
            Self::Watt => "W",
        }
    }

    /// The unit with exactly this symbol; for what growers write, see [`parse_reading`].
    pub fn parse(symbol: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|unit| unit.symbol() == symbol)
    }

    /// The unit in which all units of the same kind are compared, and how many of it make one of this.
    fn base(self) -> (Self, f64) {
        match self {
            Self::Centimetre => (Self::Metre, 0.01),
            Self::Gram => (Self::Kilogram, 0.001),
            Self::Millilitre => (Self::Litre, 0.001),
            Self::Day => (Self::Hour, 24.0),
            Self::Second => (Self::Hour, 1.0 / 3600.0),
            other => (other, 1.0),
        }
    }

    /// The unit that stands for all of its kind: metres for centimetres.
    pub fn kind(self) -> Self {
        self.base().0
    }

    /// The kind of a unit as growers write it; none if it is in no table.
    pub fn kind_of(written: &str) -> Option<Self> {
        spellings::find(written).map(|spelling| spelling.base)
    }

    /// A reading in this unit as one could type it.
    pub fn example(self) -> &'static str {
        match self {
            Self::Celsius => "20 °C",
            Self::Percent => "90 %",
            Self::Ppm => "900 ppm",
            Self::Lux => "500 lux",
            Self::CubicMetrePerHour => "12 m3/h",
            Self::Litre => "60 L",
            Self::Millilitre => "20 mL",
            Self::Centimetre => "30 cm",
            Self::Metre => "1.5 m",
            Self::GramPerHour => "250 g/h",
            Self::Gram => "400 g",
            Self::Kilogram => "2.5 kg",
            Self::Day => "12 days",
            Self::Hour => "6 hours",
            Self::MetrePerSecond => "0.2 m/s",
            Self::Pascal => "20 Pa",
            Self::GramPerCubicMetre => "12 g/m3",
            Self::Count => "3",
            Self::Times => "2 times",
            Self::MillimetrePerDay => "15 mm/day",
            Self::PerHour => "4 per hour",
            Self::Second => "20 s",
            Self::Watt => "15 W",
        }
    }
}

impl std::fmt::Display for Unit {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.symbol())
    }
}

/// A reading as measured, in the unit that was asked for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Measured {
    /// What the gauge shows; a finite number.
    pub value: f64,
    /// One standard deviation, where the grower gave a range or a tolerance; otherwise the reading's usual one holds.
    pub tolerance: Option<f64>,
}

/// Why a reading could not be understood. Spans are byte positions in the text as given.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum QuantityError {
    /// There is nothing but blanks.
    #[error("nothing was given; write for example `{}`", expected.example())]
    Empty {
        /// The unit asked for.
        expected: Unit,
        /// The whole text.
        span: Range<usize>,
    },
    /// A control character stands in the text.
    #[error(
        "a character that cannot be shown stands in the reading; type it again, for example `{}`",
        expected.example()
    )]
    ControlCharacter {
        /// The unit asked for.
        expected: Unit,
        /// The character.
        span: Range<usize>,
    },
    /// A number was expected and something else stands there.
    #[error("`{found}` is not a number; write for example `{}`", expected.example())]
    NoNumber {
        /// What stands there.
        found: String,
        /// The unit asked for.
        expected: Unit,
        /// Its place.
        span: Range<usize>,
    },
    /// Digits, dots and commas that make no number.
    #[error("`{found}` cannot be read as one number; write for example `1200`, `1,200` or `0.5`")]
    BadNumber {
        /// The characters.
        found: String,
        /// Their place.
        span: Range<usize>,
    },
    /// A number too large to count with.
    #[error("`{found}` is too large a number")]
    TooLarge {
        /// The number.
        found: String,
        /// Its place.
        span: Range<usize>,
    },
    /// A second number that is neither the end of a range nor a tolerance.
    #[error(
        "there is a second number, `{found}`; write one, or a range such as `between 80 and 85 %`"
    )]
    SecondNumber {
        /// The second number and what follows.
        found: String,
        /// Its place.
        span: Range<usize>,
    },
    /// A tolerance or the end of a range is missing, or a tolerance is negative.
    #[error("`{after}` needs another number, such as in `94 % ± 3` or `between 80 and 85 %`")]
    BadTolerance {
        /// The word or sign that needs it.
        after: String,
        /// Its place.
        span: Range<usize>,
    },
    /// A unit that is in no table.
    #[error("the unit `{found}` is not known; did you mean `{nearest}`?")]
    UnknownUnit {
        /// What stands there.
        found: String,
        /// The known unit most like it, or else the one asked for.
        nearest: String,
        /// Its place.
        span: Range<usize>,
    },
    /// A known unit of another kind.
    #[error("`{found}` does not fit here; a value in {expected} is asked for, for example `{}`", expected.example())]
    WrongKind {
        /// The unit as written.
        found: String,
        /// The unit asked for.
        expected: Unit,
        /// Its place.
        span: Range<usize>,
    },
}

impl QuantityError {
    /// The part of the text at fault, as byte positions.
    pub fn span(&self) -> Range<usize> {
        match self {
            Self::Empty { span, .. }
            | Self::ControlCharacter { span, .. }
            | Self::NoNumber { span, .. }
            | Self::BadNumber { span, .. }
            | Self::TooLarge { span, .. }
            | Self::SecondNumber { span, .. }
            | Self::BadTolerance { span, .. }
            | Self::UnknownUnit { span, .. }
            | Self::WrongKind { span, .. } => span.clone(),
        }
    }
}

#[cfg(test)]
mod tests;
