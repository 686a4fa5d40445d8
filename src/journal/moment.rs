//! A point in time as the journal writes it: the instant, and what the clock on the wall showed.

use std::fmt;
use std::str::FromStr;

use jiff::civil::Date;
use jiff::fmt::temporal::Pieces;
use jiff::tz::Offset;
use jiff::{Timestamp, ZonedDateTime};
use serde::{Deserialize, Deserializer, Serialize, Serializer, de};

/// A point in time to the second, with the offset of the clock it was read from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Moment {
    instant: Timestamp,
    offset: Offset,
}

/// Why a text is no point in time.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("`{0}` is no date and time with an offset, such as 2026-03-04T05:06:07+01:00")]
pub struct NoMoment(String);

impl Moment {
    /// The moment of a clock; parts of a second are dropped.
    pub fn of(clock: &ZonedDateTime) -> Self {
        Self {
            instant: whole_seconds(clock.timestamp()),
            offset: clock.offset(),
        }
    }

    /// The instant.
    pub fn instant(self) -> Timestamp {
        self.instant
    }

    /// The day that the clock showed.
    pub fn date(self) -> Date {
        self.offset.to_datetime(self.instant).date()
    }

    /// Midnight at the beginning of a day, by this clock; `None` beyond the years that can be told.
    pub fn midnight(self, day: Date) -> Option<Timestamp> {
        self.offset
            .to_timestamp(day.to_datetime(jiff::civil::Time::midnight()))
            .ok()
    }

    /// As `2026-03-04 05:06`.
    pub fn short(self) -> String {
        let clock = self.offset.to_datetime(self.instant);
        clock.strftime("%Y-%m-%d %H:%M").to_string()
    }
}

fn whole_seconds(instant: Timestamp) -> Timestamp {
    // Dropping a part of a second stays within the range.
    Timestamp::from_second(instant.as_second()).unwrap_or(instant)
}

/// As `2026-03-04T05:06:07+01:00`.
impl fmt::Display for Moment {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.instant.display_with_offset(self.offset))
    }
}

impl FromStr for Moment {
    type Err = NoMoment;

    fn from_str(text: &str) -> Result<Self, NoMoment> {
        let fault = || NoMoment(text.chars().take(40).collect());
        let instant: Timestamp = text.parse().map_err(|_| fault())?;
        let pieces = Pieces::parse(text).map_err(|_| fault())?;
        Ok(Self {
            instant: whole_seconds(instant),
            offset: pieces.to_numeric_offset().unwrap_or(Offset::UTC),
        })
    }
}

impl Serialize for Moment {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Moment {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        text.parse().map_err(de::Error::custom)
    }
}

#[cfg(test)]
mod tests {
    use super::Moment;

    #[test]
    fn a_moment_is_read_back_as_it_was_written() {
        for text in [
            "2026-03-04T05:06:07+01:00",
            "2026-03-04T05:06:07-03:30",
            "2028-02-29T23:59:59+00:00",
            "1970-01-01T00:00:00+14:00",
        ] {
            let moment: Moment = text.parse().expect("a moment");
            assert_eq!(moment.to_string(), text);
        }
        for text in [
            "",
            "2026-02-29T05:06:07+01:00",
            "2026-03-04",
            "2026-03-04T05:06:07",
            "now",
        ] {
            assert!(text.parse::<Moment>().is_err(), "{text}");
        }
    }

    #[test]
    fn the_day_is_that_of_the_clock_on_the_wall() {
        let late: Moment = "2028-02-29T23:30:00-05:00".parse().expect("a moment");
        assert_eq!(late.date().to_string(), "2028-02-29");
        assert_eq!(late.instant().to_string(), "2028-03-01T04:30:00Z");
        assert_eq!(late.short(), "2028-02-29 23:30");
    }
}
