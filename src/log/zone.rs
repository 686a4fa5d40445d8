//! From a clock's time to an instant, through the changes of a time zone.

use std::fmt;

use jiff::civil;
use jiff::tz::{AmbiguousOffset, TimeZone};
use jiff::{SignedDuration, Timestamp};

use crate::log::calendar::date_from_days;
use crate::log::stamp::Stamp;

/// A point in time with the clock that goes with it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Moment {
    /// Milliseconds since 1970 in universal time; where no zone is known, as if the clock showed universal time.
    pub at_ms: i64,
    /// By how many seconds the clock is ahead of universal time.
    pub offset_s: i32,
}

impl Moment {
    /// Milliseconds since 1970 on the clock.
    pub fn clock_ms(self) -> i64 {
        self.at_ms + i64::from(self.offset_s) * 1000
    }

    /// The day on the clock, counted from 1970.
    pub fn day(self) -> i64 {
        self.clock_ms().div_euclid(86_400_000)
    }

    /// The hour on the clock with its parts, 0 to 24.
    pub fn hour(self) -> f64 {
        self.clock_ms().rem_euclid(86_400_000) as f64 / 3_600_000.0
    }

    /// As ISO 8601 has it, to the second; with the offset from universal time where that is known.
    pub fn iso(self, instants: bool) -> String {
        let (year, month, day) = date_from_days(self.day());
        let seconds = self.clock_ms().rem_euclid(86_400_000) / 1000;
        let (hour, minute, second) = (seconds / 3600, seconds / 60 % 60, seconds % 60);
        let mut text = format!("{year:04}-{month:02}-{day:02}T{hour:02}:{minute:02}:{second:02}");
        if instants {
            let minutes = self.offset_s.abs() / 60;
            let sign = if self.offset_s < 0 { '-' } else { '+' };
            text.push_str(&format!("{sign}{:02}:{:02}", minutes / 60, minutes % 60));
        }
        text
    }
}

/// As `2026-03-04 05:06`.
impl fmt::Display for Moment {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (year, month, day) = date_from_days(self.day());
        let minutes = self.clock_ms().rem_euclid(86_400_000) / 60_000;
        let (hour, minute) = (minutes / 60, minutes % 60);
        write!(f, "{year:04}-{month:02}-{day:02} {hour:02}:{minute:02}")
    }
}

/// Why a stamp is no instant: clocks were put forward over it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct NoSuchTime;

/// The time zone of a log.
#[derive(Debug, Clone)]
pub struct Zone {
    named: Option<TimeZone>,
    /// From and to which millisecond on the clock, and in universal time, the offset is the one given.
    on_clock: (i64, i64, i32),
    universal: (i64, i64, i32),
}

impl Zone {
    /// Clocks as they are written, with the offsets that are written.
    pub fn as_written() -> Self {
        Self {
            named: None,
            on_clock: (0, 0, 0),
            universal: (0, 0, 0),
        }
    }

    /// The zone of this name in the time zone database, such as `Europe/Oslo`; `system` is the computer's.
    pub fn named(name: &str) -> Option<Self> {
        let zone = if name == "system" {
            TimeZone::try_system().ok()?
        } else {
            TimeZone::get(name).ok()?
        };
        Some(Self {
            named: Some(zone),
            ..Self::as_written()
        })
    }

    /// Whether it is known where the clock hangs.
    pub fn is_known(&self) -> bool {
        self.named.is_some()
    }

    /// Its name, if it has one.
    pub fn name(&self) -> Option<&str> {
        self.named.as_ref().and_then(TimeZone::iana_name)
    }

    /// The moment a stamp stands for. Where clocks are put back an hour comes twice: then it is the first one, unless
    /// the row before is not earlier than that.
    ///
    /// # Errors
    /// Clocks were put forward over this time, so no clock that follows the zone has shown it.
    pub fn moment(&mut self, stamp: Stamp, before: Option<i64>) -> Result<Moment, NoSuchTime> {
        let Some(zone) = &self.named else {
            let (at_ms, offset_s) = match stamp {
                Stamp::Clock(ms) => (ms, 0),
                Stamp::Instant(ms, offset) => (ms, offset),
            };
            return Ok(Moment { at_ms, offset_s });
        };
        match stamp {
            Stamp::Instant(at_ms, _) => {
                let (from, to, offset_s) = self.universal;
                if (from..to).contains(&at_ms) {
                    return Ok(Moment { at_ms, offset_s });
                }
                let Ok(instant) = Timestamp::from_millisecond(at_ms) else {
                    return Ok(Moment { at_ms, offset_s: 0 });
                };
                let offset_s = zone.to_offset(instant).seconds();
                self.universal = period(zone, instant, offset_s);
                Ok(Moment { at_ms, offset_s })
            }
            Stamp::Clock(clock_ms) => {
                let (from, to, offset_s) = self.on_clock;
                if (from..to).contains(&clock_ms) {
                    let at_ms = clock_ms - i64::from(offset_s) * 1000;
                    return Ok(Moment { at_ms, offset_s });
                }
                let at = |offset_s: i32| Moment {
                    at_ms: clock_ms - i64::from(offset_s) * 1000,
                    offset_s,
                };
                match zone.to_ambiguous_timestamp(date_time(clock_ms)).offset() {
                    AmbiguousOffset::Unambiguous { offset } => {
                        let moment = at(offset.seconds());
                        if let Ok(instant) = Timestamp::from_millisecond(moment.at_ms) {
                            let (from, to, offset_s) = period(zone, instant, offset.seconds());
                            // Well clear of the changes at either end, where the clock shows times twice or not at all.
                            const CLEAR_MS: i64 = 86_400_000;
                            let shift = i64::from(offset_s) * 1000;
                            self.on_clock = (
                                from.saturating_add(shift + CLEAR_MS),
                                to.saturating_add(shift - CLEAR_MS),
                                offset_s,
                            );
                        }
                        Ok(moment)
                    }
                    AmbiguousOffset::Gap { .. } => Err(NoSuchTime),
                    AmbiguousOffset::Fold {
                        before: first,
                        after: second,
                    } => {
                        let (first, second) = (at(first.seconds()), at(second.seconds()));
                        let passed = before.is_some_and(|before| before >= first.at_ms);
                        Ok(if passed { second } else { first })
                    }
                }
            }
        }
    }
}

/// From and to which instant this offset holds.
fn period(zone: &TimeZone, instant: Timestamp, offset_s: i32) -> (i64, i64, i32) {
    // A change at the very instant begins the period, so it has to lie before what is asked from.
    let just_after = instant
        .saturating_add(SignedDuration::from_millis(1))
        .unwrap_or(instant);
    let from = zone
        .preceding(just_after)
        .next()
        .map_or(i64::MIN / 2, |change| change.timestamp().as_millisecond());
    let to = zone
        .following(instant)
        .next()
        .map_or(i64::MAX / 2, |change| change.timestamp().as_millisecond());
    (from, to, offset_s)
}

fn date_time(clock_ms: i64) -> civil::DateTime {
    civil::date(1970, 1, 1)
        .at(0, 0, 0, 0)
        .saturating_add(SignedDuration::from_millis(clock_ms))
}

#[cfg(test)]
mod tests {
    use super::{NoSuchTime, Zone};
    use crate::log::stamp::{Stamp, read};

    fn stamp(text: &str) -> Stamp {
        read(text.as_bytes(), None).expect("a stamp")
    }

    #[test]
    fn an_hour_that_comes_twice_is_told_apart_by_the_row_before() {
        let mut zone = Zone::named("Europe/Berlin").expect("a zone");
        // Clocks went back on 2026-10-25 from 03:00 to 02:00.
        let before = zone
            .moment(stamp("2026-10-25 01:50:00"), None)
            .expect("it exists");
        let first = zone
            .moment(stamp("2026-10-25 02:30:00"), Some(before.at_ms))
            .expect("it exists");
        let second = zone
            .moment(stamp("2026-10-25 02:10:00"), Some(first.at_ms))
            .expect("it exists");
        let after = zone
            .moment(stamp("2026-10-25 03:00:00"), Some(second.at_ms))
            .expect("it exists");
        let minutes = |one: i64, other: i64| (other - one) / 60_000;
        assert_eq!(minutes(before.at_ms, first.at_ms), 40);
        assert_eq!(minutes(first.at_ms, second.at_ms), 40);
        assert_eq!(minutes(second.at_ms, after.at_ms), 50);
        assert_eq!((first.offset_s, after.offset_s), (7200, 3600));
        assert_eq!(after.to_string(), "2026-10-25 03:00");
    }

    #[test]
    fn a_time_that_clocks_skipped_does_not_exist() {
        let mut zone = Zone::named("Europe/Berlin").expect("a zone");
        assert_eq!(
            zone.moment(stamp("2026-03-29 02:30:00"), None),
            Err(NoSuchTime)
        );
        let summer = zone
            .moment(stamp("2026-03-29 03:00:00"), None)
            .expect("it exists");
        let winter = zone
            .moment(stamp("2026-03-29 01:59:00"), None)
            .expect("it exists");
        assert_eq!(summer.at_ms - winter.at_ms, 60_000);
    }

    #[test]
    fn what_is_kept_of_a_zone_gives_the_same_as_asking_it_afresh() {
        let mut kept = Zone::named("America/New_York").expect("a zone");
        for step in 0..20_000_i64 {
            let clock = Stamp::Clock(1_700_000_000_000 + step * 7_231_000);
            let mut fresh = Zone::named("America/New_York").expect("a zone");
            if step % 7 == 0 {
                assert_eq!(
                    kept.moment(clock, None),
                    fresh.moment(clock, None),
                    "{clock:?}"
                );
                let instant = Stamp::Instant(1_700_000_000_000 + step * 7_231_000, 0);
                assert_eq!(kept.moment(instant, None), fresh.moment(instant, None));
            } else {
                let _ = kept.moment(clock, None);
            }
        }
        assert!(Zone::named("Nowhere/Here").is_none());
        assert_eq!(
            Zone::as_written()
                .moment(Stamp::Clock(5), None)
                .map(|m| m.at_ms),
            Ok(5)
        );
    }
}
