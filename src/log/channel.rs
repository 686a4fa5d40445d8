//! What a sensor log may hold beside the time.

use crate::engine::knowledge::{LogFinding, Measure};

/// How many kinds of value there are.
pub const CHANNELS: usize = 4;

/// A kind of value.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Channel {
    /// Air temperature, kept in °C.
    Temperature,
    /// Relative humidity, kept in percent.
    Humidity,
    /// Carbon dioxide, kept in ppm.
    Co2,
    /// Light, kept in lux.
    Light,
}

impl Channel {
    /// All of them, in the order in which they are reported.
    pub const ALL: [Self; CHANNELS] = [Self::Temperature, Self::Humidity, Self::Co2, Self::Light];

    /// Its place in [`Channel::ALL`].
    pub fn index(self) -> usize {
        match self {
            Self::Temperature => 0,
            Self::Humidity => 1,
            Self::Co2 => 2,
            Self::Light => 3,
        }
    }

    /// Its name in options and results.
    pub fn name(self) -> &'static str {
        match self {
            Self::Temperature => "temperature",
            Self::Humidity => "humidity",
            Self::Co2 => "co2",
            Self::Light => "light",
        }
    }

    /// The channel of this name.
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|channel| channel.name() == name)
    }

    /// The measure by which a reading of the knowledge lays claim to it.
    pub fn measure(self) -> Measure {
        match self {
            Self::Temperature => Measure::TemperatureMean,
            Self::Humidity => Measure::HumidityMean,
            Self::Co2 => Measure::Co2Mean,
            Self::Light => Measure::LightWhileLit,
        }
    }

    /// Width of the classes in which values are counted for quantiles, in the unit that is kept: as fine as the meters
    /// of the trade show, or finer.
    pub fn resolution(self) -> f64 {
        match self {
            Self::Temperature | Self::Humidity => 0.01,
            Self::Co2 | Self::Light => 1.0,
        }
    }

    /// The findings of too little and too much of it.
    pub fn outside(self) -> (LogFinding, LogFinding) {
        match self {
            Self::Temperature => (LogFinding::TemperatureBelow, LogFinding::TemperatureAbove),
            Self::Humidity => (LogFinding::HumidityBelow, LogFinding::HumidityAbove),
            Self::Co2 => (LogFinding::Co2Below, LogFinding::Co2Above),
            Self::Light => (LogFinding::LightBelow, LogFinding::LightAbove),
        }
    }
}
