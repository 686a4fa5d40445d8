//! A decay of carbon dioxide with its assumptions looked at.

use crate::engine::exchange::{DecayError, DecayFit, decay_of_two, fit_decay, usual_meter_off};

/// How many times the meter's tolerance a reading should lie above the room.
///
/// # Source
/// Common practice: five to ten times.
const TOLERANCES_ABOVE: f64 = 5.0;

/// By how much the room's carbon dioxide may be off, in ppm, to show what that does.
///
/// judgement: a lived-in room moves by more in an hour, a cheap meter promises no less.
pub const ROOM_OFF_PPM: f64 = 40.0;

/// Readings from which both halves of a fall are fitted by themselves.
///
/// judgement: each half needs three readings for an interval.
const HALVES_FROM: usize = 6;

/// What the method rests on, and how it stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Check {
    /// Carbon dioxide falls all the time: steps upward that are more than the meter's noise.
    Falls {
        /// Steps upward.
        rises: usize,
        /// All steps.
        steps: usize,
    },
    /// The readings lie well above the room, so that its level and the meter's errors matter little.
    AboveRoom {
        /// The least excess over the room, ppm.
        least_ppm: f64,
        /// What it should be, ppm.
        wanted_ppm: f64,
    },
    /// Three readings or more, without which there is no interval.
    EnoughReadings {
        /// How many there are.
        points: usize,
    },
    /// The logarithm of the excess is a straight line: both halves give the same air change within their intervals.
    Straight {
        /// Air changes an hour of the first half.
        first: f64,
        /// Air changes an hour of the second half.
        second: f64,
        /// Whether the intervals of the two meet.
        meet: bool,
    },
}

impl Check {
    /// Whether it holds.
    pub fn holds(&self) -> bool {
        match *self {
            Self::Falls { rises, .. } => rises == 0,
            Self::AboveRoom {
                least_ppm,
                wanted_ppm,
            } => least_ppm >= wanted_ppm,
            Self::EnoughReadings { points } => points >= 3,
            Self::Straight { meet, .. } => meet,
        }
    }

    /// Its name in results.
    pub fn id(&self) -> &'static str {
        match self {
            Self::Falls { .. } => "falls",
            Self::AboveRoom { .. } => "above-room",
            Self::EnoughReadings { .. } => "enough-readings",
            Self::Straight { .. } => "straight",
        }
    }
}

/// An air change with all that is to be said of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Judged {
    /// Air changes an hour.
    pub air_changes_per_hour: f64,
    /// The line with its interval; none for two readings.
    pub fit: Option<DecayFit>,
    /// Readings used.
    pub points: usize,
    /// From the first to the last.
    pub hours: f64,
    /// The first and the last reading, ppm.
    pub ends_ppm: (f64, f64),
    /// Root mean square distance of the readings from the line, as a share of their excess over the room.
    pub scatter: Option<f64>,
    /// One standard deviation that a usual meter leaves to two readings; with more the line shows the scatter.
    pub meter_off: Option<f64>,
    /// The assumptions.
    pub checks: Vec<Check>,
    /// Air changes an hour if the room holds [`ROOM_OFF_PPM`] less, and more; none where a reading would then not lie
    /// above it.
    pub room_off: Option<(f64, f64)>,
}

/// Why no air change follows.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum JudgeError {
    /// The readings are no decay.
    #[error(transparent)]
    Decay(#[from] DecayError),
    /// One reading is no fall.
    #[error("one reading shows no fall; give two at least, better five or more")]
    One,
    /// Nothing falls.
    #[error(
        "carbon dioxide does not fall, from {first_ppm} ppm to {last_ppm} ppm: an air change follows only from a fall \
         towards the room's level"
    )]
    NoFall {
        /// The first reading.
        first_ppm: f64,
        /// The last one.
        last_ppm: f64,
    },
    /// The times do not run forward.
    #[error("the time of reading number {place} is not later than the one before")]
    Backwards {
        /// Which, counted from 1.
        place: usize,
    },
}

/// Air changes an hour from readings of (hours, ppm) in a room of `room_ppm`, with a meter that is good to
/// `tolerance_ppm`.
///
/// # Errors
/// The readings do not fall, are not above the room, or do not run forward in time.
///
/// # Source
/// See [`fit_decay`].
pub fn judge(
    readings: &[(f64, f64)],
    room_ppm: f64,
    tolerance_ppm: f64,
) -> Result<Judged, JudgeError> {
    let (Some(first), Some(last)) = (readings.first(), readings.last()) else {
        return Err(DecayError::TooFew { points: 0 }.into());
    };
    if readings.len() == 1 {
        return Err(JudgeError::One);
    }
    if let Some(at) = readings.windows(2).position(|two| two[1].0 <= two[0].0) {
        return Err(JudgeError::Backwards { place: at + 2 });
    }
    // A reading at or below the room's level is reported with its place.
    if let Some(at) = readings.iter().position(|&(_, ppm)| ppm <= room_ppm) {
        return Err(DecayError::NotAbove {
            place: at + 1,
            ppm: readings[at].1,
            outside_ppm: room_ppm,
        }
        .into());
    }
    let changes = |room_ppm| changes(readings, room_ppm);
    let fit = match readings.len() {
        2 => None,
        _ => Some(fit_decay(readings, room_ppm)?),
    };
    let air_changes_per_hour = changes(room_ppm).unwrap_or(0.0);
    if air_changes_per_hour <= 0.0 {
        return Err(JudgeError::NoFall {
            first_ppm: first.1,
            last_ppm: last.1,
        });
    }
    Ok(Judged {
        air_changes_per_hour,
        fit,
        points: readings.len(),
        hours: last.0 - first.0,
        ends_ppm: (first.1, last.1),
        scatter: fit.map(|fit| scatter(readings, room_ppm, &fit)),
        meter_off: match readings {
            [one, other] => usual_meter_off(one.1, other.1, room_ppm, other.0 - one.0),
            _ => None,
        },
        checks: checks(readings, room_ppm, tolerance_ppm),
        room_off: changes(room_ppm - ROOM_OFF_PPM).zip(changes(room_ppm + ROOM_OFF_PPM)),
    })
}

fn changes(readings: &[(f64, f64)], room_ppm: f64) -> Option<f64> {
    match readings {
        [one, other] => decay_of_two(one.1, other.1, room_ppm, other.0 - one.0),
        _ => fit_decay(readings, room_ppm)
            .ok()
            .map(|fit| fit.air_changes_per_hour),
    }
}

fn scatter(readings: &[(f64, f64)], room_ppm: f64, fit: &DecayFit) -> f64 {
    let squares = readings.iter().map(|&(hours, ppm)| {
        let line = fit.intercept - fit.air_changes_per_hour * hours;
        let off = libm::log(ppm - room_ppm) - line;
        off * off
    });
    libm::sqrt(squares.sum::<f64>() / (readings.len() as f64 - 2.0))
}

fn checks(readings: &[(f64, f64)], room_ppm: f64, tolerance_ppm: f64) -> Vec<Check> {
    let rises = readings
        .windows(2)
        .filter(|two| two[1].1 > two[0].1 + tolerance_ppm)
        .count();
    let least = readings
        .iter()
        .fold(f64::INFINITY, |least, reading| least.min(reading.1));
    let mut checks = vec![
        Check::Falls {
            rises,
            steps: readings.len() - 1,
        },
        Check::AboveRoom {
            least_ppm: least - room_ppm,
            wanted_ppm: TOLERANCES_ABOVE * tolerance_ppm,
        },
        Check::EnoughReadings {
            points: readings.len(),
        },
    ];
    if readings.len() >= HALVES_FROM {
        let (first, second) = readings.split_at(readings.len() / 2);
        if let (Ok(one), Ok(other)) = (fit_decay(first, room_ppm), fit_decay(second, room_ppm)) {
            checks.push(Check::Straight {
                first: one.air_changes_per_hour,
                second: other.air_changes_per_hour,
                meet: one.low <= other.high && other.low <= one.high,
            });
        }
    }
    checks
}

#[cfg(test)]
mod tests {
    use super::{Check, JudgeError, judge};
    use crate::engine::exchange::DecayError;

    fn fails(readings: &[(f64, f64)], room: f64) -> Vec<&'static str> {
        let judged = judge(readings, room, 20.0).expect("a fall");
        let broken = judged.checks.iter().filter(|check| !check.holds());
        broken.map(Check::id).collect()
    }

    /// Readings of a perfect fall from 3000 ppm towards `settles`, every three minutes.
    fn fall(changes: f64, settles: f64, count: usize) -> Vec<(f64, f64)> {
        let at = |hours: f64| {
            (
                hours,
                settles + (3000.0 - settles) * (-changes * hours).exp(),
            )
        };
        (0..count).map(|number| at(number as f64 / 20.0)).collect()
    }

    #[test]
    fn a_clean_fall_passes_every_check() {
        assert_eq!(fails(&fall(2.0, 420.0, 8), 420.0), Vec::<&str>::new());
    }

    // With a source of 0.1 L/h in 0.25 m³ the chamber settles at 520 ppm for four changes an hour: 3000 ppm fall to
    // 855.631502 in half an hour, and the rule of thumb gives 3.557495940 (the mass balance, worked out apart).
    #[test]
    fn a_source_that_goes_on_bends_the_line_and_makes_the_result_too_low() {
        let two = [(0.0, 3000.0), (0.5, 855.631_502)];
        let judged = judge(&two, 420.0, 20.0).expect("a fall");
        assert!((judged.air_changes_per_hour - 3.557_495_94).abs() < 1e-8);
        assert_eq!(judged.fit, None);
        assert!(fails(&fall(4.0, 520.0, 14), 420.0).contains(&"straight"));
    }

    #[test]
    fn what_breaks_an_assumption_is_said() {
        assert_eq!(
            fails(&[(0.0, 2000.0), (0.5, 1000.0)], 420.0),
            ["enough-readings"]
        );
        assert_eq!(
            fails(&[(0.0, 2000.0), (0.5, 900.0), (1.0, 460.0)], 420.0),
            ["above-room"]
        );
        let turned = [(0.0, 2000.0), (0.5, 900.0), (0.6, 1100.0), (1.0, 700.0)];
        assert_eq!(fails(&turned, 420.0), ["falls"]);
    }

    #[test]
    fn no_fall_gives_no_air_change() {
        let rising = judge(&[(0.0, 700.0), (0.5, 800.0), (1.0, 900.0)], 420.0, 20.0);
        assert!(matches!(rising, Err(JudgeError::NoFall { .. })));
        let back = judge(&[(0.0, 900.0), (0.0, 800.0)], 420.0, 20.0);
        assert_eq!(back, Err(JudgeError::Backwards { place: 2 }));
        assert_eq!(judge(&[(0.0, 900.0)], 420.0, 20.0), Err(JudgeError::One));
        let under = judge(&[(0.0, 900.0), (1.0, 400.0)], 420.0, 20.0);
        assert!(matches!(
            under,
            Err(JudgeError::Decay(DecayError::NotAbove { place: 2, .. }))
        ));
    }
}
