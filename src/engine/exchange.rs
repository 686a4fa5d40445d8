//! Air changes an hour from carbon dioxide that falls towards the air outside.

use crate::engine::climate::uncertain;
use crate::engine::student::t_975;

pub mod judged;

/// A straight line through the logarithm of a decay.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DecayFit {
    /// Air changes an hour: how many times in an hour as much air comes in as the chamber holds.
    pub air_changes_per_hour: f64,
    /// Lower end of the 95 % interval. It covers the scatter of the readings alone, neither an offset of the meter nor
    /// a wrong value for the air outside.
    pub low: f64,
    /// Upper end of the 95 % interval.
    pub high: f64,
    /// Standard error of the air changes an hour.
    pub standard_error: f64,
    /// Where the line starts: the logarithm of the excess in ppm at time nought.
    pub intercept: f64,
    /// Share of the scatter that the line explains, 0 to 1.
    pub r_squared: f64,
    /// Readings used.
    pub points: u64,
}

/// Why no air change follows from these readings.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum DecayError {
    /// A line with an interval needs three points.
    #[error("{points} readings are too few; a decay needs at least three")]
    TooFew {
        /// How many there were.
        points: usize,
    },
    /// A reading does not lie above the air outside, so its excess has no logarithm.
    #[error(
        "the reading of {ppm} ppm, number {place}, is not above the outside air's {outside_ppm} ppm"
    )]
    NotAbove {
        /// Which reading, counted from 1.
        place: usize,
        /// What it says.
        ppm: f64,
        /// The air outside.
        outside_ppm: f64,
    },
    /// A time or a reading is not a finite number.
    #[error("reading number {place} is not a number")]
    NotANumber {
        /// Which reading, counted from 1.
        place: usize,
    },
    /// All readings were taken at the same time.
    #[error("all readings have the same time")]
    NoTime,
}

/// Air changes an hour from readings of (hours, ppm) while the air outside holds `outside_ppm`: least squares on
/// `ln(C - outside)` against time, the slope with its sign turned round.
///
/// A slope that is not a fall gives nought or less: whether the readings fall at all is for the caller to judge. Where
/// something in the chamber goes on giving off carbon dioxide, `outside_ppm` must be the value the chamber settles at,
/// otherwise the result is too low.
///
/// # Errors
/// Fewer than three readings, a reading that is not above the outside air, all at one time.
///
/// # Source
/// Concentration decay as in ASTM E741 and ISO 12569 (from memory); interval by Student's t with `points - 2` degrees
/// of freedom.
///
/// # Example
/// ```
/// use blockside::engine::exchange::fit_decay;
///
/// let readings = [(0.0, 2400.0), (1.0 / 6.0, 1620.0), (1.0 / 3.0, 1130.0), (0.5, 860.0)];
/// let fit = fit_decay(&readings, 400.0).unwrap();
/// assert!((fit.air_changes_per_hour - 2.953_553_708).abs() < 1e-9);
/// ```
pub fn fit_decay(readings: &[(f64, f64)], outside_ppm: f64) -> Result<DecayFit, DecayError> {
    if readings.len() < 3 {
        return Err(DecayError::TooFew {
            points: readings.len(),
        });
    }
    let mut logs = Vec::with_capacity(readings.len());
    for (number, &(hours, ppm)) in readings.iter().enumerate() {
        let place = number + 1;
        let excess = ppm - outside_ppm;
        if !hours.is_finite() || !excess.is_finite() {
            return Err(DecayError::NotANumber { place });
        }
        if excess <= 0.0 {
            return Err(DecayError::NotAbove {
                place,
                ppm,
                outside_ppm,
            });
        }
        logs.push((hours, libm::log(excess)));
    }
    let count = logs.len() as f64;
    // About the means, so that nothing is lost where times are large numbers.
    let mean_time = logs.iter().map(|point| point.0).sum::<f64>() / count;
    let mean_log = logs.iter().map(|point| point.1).sum::<f64>() / count;
    let (mut times, mut products, mut squares) = (0.0, 0.0, 0.0);
    for (time, log) in &logs {
        let (t, y) = (time - mean_time, log - mean_log);
        times += t * t;
        products += t * y;
        squares += y * y;
    }
    if times <= 0.0 {
        return Err(DecayError::NoTime);
    }
    let slope = products / times;
    let intercept = mean_log - slope * mean_time;
    // Summed from the points themselves: the difference of the sums loses its digits in a good fit.
    let left: f64 = logs
        .iter()
        .map(|(time, log)| {
            let off = log - (intercept + slope * time);
            off * off
        })
        .sum();
    let standard_error = libm::sqrt(left / (count - 2.0) / times);
    let half_width = t_975(logs.len() as u64 - 2) * standard_error;
    Ok(DecayFit {
        air_changes_per_hour: -slope,
        low: -slope - half_width,
        high: -slope + half_width,
        standard_error,
        intercept,
        r_squared: if squares > 0.0 {
            (1.0 - left / squares).clamp(0.0, 1.0)
        } else {
            0.0
        },
        points: logs.len() as u64,
    })
}

/// Air changes an hour from two readings alone, `hours` apart; no interval can be given.
///
/// None where a reading is not above the outside air or no time lies between.
///
/// # Source
/// As [`fit_decay`], `ln((C1 - outside) / (C2 - outside)) / hours`.
pub fn decay_of_two(first_ppm: f64, second_ppm: f64, outside_ppm: f64, hours: f64) -> Option<f64> {
    let (before, after) = (first_ppm - outside_ppm, second_ppm - outside_ppm);
    (before > 0.0 && after > 0.0 && hours > 0.0)
        .then(|| libm::log(before / after) / hours)
        .filter(|changes| changes.is_finite())
}

/// How far a usual meter may be off: so many ppm and such a share of what it reads, each as the half width of a
/// rectangle.
///
/// # Source
/// Makers' data of small infrared carbon dioxide modules, ±(30 ppm + 3 %) (read).
pub const USUAL_METER: (f64, f64) = (30.0, 0.03);

/// One standard deviation of what [`decay_of_two`] gives when a usual meter read both values and the air outside; none
/// where it gives nothing.
///
/// # Range
/// The three errors are taken as independent. Of one meter they mostly are not: an offset of the whole meter does less
/// harm than this says.
///
/// # Source
/// JCGM 100:2008 (GUM), 5.1.2 and 4.3.7, with [`USUAL_METER`].
pub fn usual_meter_off(
    first_ppm: f64,
    second_ppm: f64,
    outside_ppm: f64,
    hours: f64,
) -> Option<f64> {
    let inputs = [first_ppm, second_ppm, outside_ppm]
        .map(|ppm| (ppm, (USUAL_METER.0 + USUAL_METER.1 * ppm) / libm::sqrt(3.0)));
    let formula = |x: &[f64]| decay_of_two(x[0], x[1], x[2], hours);
    uncertain(formula, &inputs).map(|(_, deviation)| deviation)
}

#[cfg(test)]
mod tests {
    use super::{DecayError, decay_of_two, fit_decay};

    /// Readings every three minutes, made for testing.
    const ELEVEN: [f64; 11] = [
        3200.0, 2801.0, 2428.0, 2110.0, 1872.0, 1641.0, 1486.0, 1359.0, 1182.0, 1066.0, 991.0,
    ];

    fn eleven() -> Vec<(f64, f64)> {
        let hours = |number: usize| number as f64 * 3.0 / 60.0;
        ELEVEN
            .iter()
            .enumerate()
            .map(|(n, ppm)| (hours(n), *ppm))
            .collect()
    }

    #[test]
    fn eleven_readings_give_the_slope_of_a_reference_library() {
        // scipy.stats.linregress and scipy.stats.t.ppf on the same readings; both work in double precision.
        let fit = fit_decay(&eleven(), 420.0).expect("a sound decay");
        for (ours, theirs) in [
            (fit.air_changes_per_hour, 3.186_036_250_802_18),
            (fit.intercept, 7.923_927_459_469_185),
            (fit.r_squared, 0.998_957_402_853_685_3),
            (fit.standard_error, 0.034_309_488_173_295_75),
        ] {
            assert!(
                (ours - theirs).abs() < 1e-11 * theirs,
                "{ours} is not {theirs}"
            );
        }
        // Printed to six decimals.
        assert!((fit.low - 3.108_423).abs() < 1e-6 && (fit.high - 3.263_650).abs() < 1e-6);
        assert_eq!(fit.points, 11);
    }

    #[test]
    fn a_wrong_outside_value_moves_the_result_as_published() {
        // As above with other values for the air outside.
        for (outside, changes) in [
            (400.0, 3.132_160_894),
            (440.0, 3.242_092_021),
            (460.0, 3.300_481_471),
        ] {
            let fit = fit_decay(&eleven(), outside).expect("a sound decay");
            assert!(
                (fit.air_changes_per_hour - changes).abs() < 1e-9,
                "{outside}"
            );
        }
    }

    #[test]
    fn four_readings_have_a_wide_interval() {
        // scipy on the textbook case.
        let readings = [
            (0.0, 2400.0),
            (10.0 / 60.0, 1620.0),
            (20.0 / 60.0, 1130.0),
            (0.5, 860.0),
        ];
        let fit = fit_decay(&readings, 400.0).expect("a sound decay");
        assert!((fit.air_changes_per_hour - 2.953_553_708_257_013_4).abs() < 1e-11);
        assert!((fit.low - 2.768_141_792_061_121_5).abs() < 1e-10);
        assert!((fit.high - 3.138_965_624_452_905).abs() < 1e-10);
    }

    #[test]
    fn two_readings_give_what_the_formula_says() {
        // ln((C1 - C0)/(C2 - C0))/t, worked out with another mathematical library in double precision.
        for (first, second, outside, hours, changes) in [
            (3000.0, 900.0, 420.0, 0.5, 3.363_517_148_027_453),
            (2000.0, 1000.0, 420.0, 0.25, 4.008_608_089_922_189),
            (5000.0, 2500.0, 450.0, 1.0, 0.797_287_439_812_542_4),
        ] {
            let ours = decay_of_two(first, second, outside, hours).expect("a decay");
            assert!((ours - changes).abs() < 1e-9, "{ours}");
        }
        assert_eq!(decay_of_two(3000.0, 400.0, 420.0, 0.5), None);
        assert_eq!(decay_of_two(3000.0, 900.0, 420.0, 0.0), None);
    }

    #[test]
    fn what_is_no_decay_is_refused_with_its_reason() {
        let few = [(0.0, 900.0), (0.5, 800.0)];
        assert_eq!(
            fit_decay(&few, 420.0),
            Err(DecayError::TooFew { points: 2 })
        );
        let low = [(0.0, 900.0), (0.5, 420.0), (1.0, 500.0)];
        assert!(matches!(
            fit_decay(&low, 420.0),
            Err(DecayError::NotAbove { place: 2, .. })
        ));
        let still = [(1.0, 900.0), (1.0, 800.0), (1.0, 700.0)];
        assert_eq!(fit_decay(&still, 420.0), Err(DecayError::NoTime));
        let odd = [(0.0, 900.0), (f64::NAN, 800.0), (1.0, 700.0)];
        assert_eq!(
            fit_decay(&odd, 420.0),
            Err(DecayError::NotANumber { place: 2 })
        );
        let rising = [(0.0, 700.0), (0.5, 800.0), (1.0, 1000.0)];
        let fit = fit_decay(&rising, 420.0).expect("a line all the same");
        assert!(fit.air_changes_per_hour < 0.0);
    }
}
