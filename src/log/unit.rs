//! Units in which loggers write, and how they become the ones that are kept.

use crate::log::channel::Channel;

/// A unit of a column or cell.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum InUnit {
    /// Degrees Celsius.
    Celsius,
    /// Degrees Fahrenheit.
    Fahrenheit,
    /// Kelvin.
    Kelvin,
    /// Parts of a hundred.
    Percent,
    /// Parts of one.
    Fraction,
    /// Parts of a million.
    Ppm,
    /// Lux.
    Lux,
    /// Thousands of lux.
    Kilolux,
    /// Foot-candles.
    FootCandle,
}

/// How each unit is written, in small letters.
const SPELLINGS: [(InUnit, &[&str]); 9] = [
    (
        InUnit::Celsius,
        &[
            "c",
            "°c",
            "ºc",
            "degc",
            "deg c",
            "celsius",
            "degrees celsius",
            "\u{2103}",
            "\u{fffd}c",
        ],
    ),
    (
        InUnit::Fahrenheit,
        &[
            "f",
            "°f",
            "ºf",
            "degf",
            "deg f",
            "fahrenheit",
            "degrees fahrenheit",
            "\u{2109}",
            "\u{fffd}f",
        ],
    ),
    (InUnit::Kelvin, &["k", "kelvin"]),
    (
        InUnit::Percent,
        &[
            "%", "percent", "pct", "%rh", "% rh", "rh%", "rh %", "%rel", "% r.h.", "vol%", "vol %",
        ],
    ),
    (InUnit::Fraction, &["fraction", "0-1", "0..1"]),
    (InUnit::Ppm, &["ppm", "ppmv"]),
    (InUnit::Lux, &["lux", "lx"]),
    (InUnit::Kilolux, &["klx", "klux", "kilolux"]),
    (
        InUnit::FootCandle,
        &["fc", "ftc", "foot-candle", "foot-candles", "foot candles"],
    ),
];

impl InUnit {
    /// The unit written like this, without regard to case.
    pub fn named(text: &str) -> Option<Self> {
        let small = text.trim().trim_end_matches('.').to_lowercase();
        SPELLINGS
            .iter()
            .find(|(_, spellings)| spellings.contains(&small.as_str()))
            .map(|(unit, _)| *unit)
    }

    /// How it is shown.
    pub fn symbol(self) -> &'static str {
        match self {
            Self::Celsius => "°C",
            Self::Fahrenheit => "°F",
            Self::Kelvin => "K",
            Self::Percent => "%",
            Self::Fraction => "fraction",
            Self::Ppm => "ppm",
            Self::Lux => "lux",
            Self::Kilolux => "klx",
            Self::FootCandle => "fc",
        }
    }

    /// Whether values of this channel can have it.
    pub fn fits(self, channel: Channel) -> bool {
        match channel {
            Channel::Temperature => {
                matches!(self, Self::Celsius | Self::Fahrenheit | Self::Kelvin)
            }
            Channel::Humidity => matches!(self, Self::Percent | Self::Fraction),
            Channel::Co2 => matches!(self, Self::Ppm | Self::Percent),
            Channel::Light => matches!(self, Self::Lux | Self::Kilolux | Self::FootCandle),
        }
    }

    /// The unit in which values of this channel are kept.
    pub fn kept(channel: Channel) -> Self {
        match channel {
            Channel::Temperature => Self::Celsius,
            Channel::Humidity => Self::Percent,
            Channel::Co2 => Self::Ppm,
            Channel::Light => Self::Lux,
        }
    }

    /// The value in the unit that is kept for the channel.
    ///
    /// # Source
    /// Definitions of the units; one foot-candle is a lumen a square foot.
    pub fn convert(self, channel: Channel, value: f64) -> f64 {
        match (self, channel) {
            (Self::Fahrenheit, _) => (value - 32.0) / 1.8,
            (Self::Kelvin, _) => value - 273.15,
            (Self::Fraction, _) => value * 100.0,
            (Self::Percent, Channel::Co2) => value * 10_000.0,
            (Self::Kilolux, _) => value * 1000.0,
            (Self::FootCandle, _) => value / (0.3048 * 0.3048),
            _ => value,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::InUnit;
    use crate::log::channel::Channel;

    #[test]
    fn units_are_read_and_converted() {
        assert_eq!(InUnit::named("°F"), Some(InUnit::Fahrenheit));
        assert_eq!(InUnit::named(" %RH "), Some(InUnit::Percent));
        assert_eq!(InUnit::named("furlong"), None);
        let near = |got: f64, wanted: f64| assert!((got - wanted).abs() < 1e-9, "{got}");
        near(InUnit::Fahrenheit.convert(Channel::Temperature, 68.0), 20.0);
        near(InUnit::Percent.convert(Channel::Co2, 0.1), 1000.0);
        near(InUnit::Percent.convert(Channel::Humidity, 88.0), 88.0);
        near(
            InUnit::FootCandle.convert(Channel::Light, 1.0),
            10.763_910_416_709_722,
        );
        assert!(!InUnit::Ppm.fits(Channel::Humidity));
    }
}
