//! Saturated salts: the humidity above a wet salt in a closed jar, and what it says of a sensor.

/// A salt whose saturated solution holds a known humidity.
#[derive(Debug, PartialEq)]
pub struct Salt {
    /// Its name in options and results.
    pub id: &'static str,
    /// What it is called.
    pub name: &'static str,
    /// What it is sold as.
    pub sold_as: &'static str,
    /// Other ways to write it.
    also: &'static [&'static str],
    /// Coefficients of the temperature in °C to the powers 0 to 3; the humidity is in percent.
    ///
    /// Read in a public transcription of the source, which says it was checked against the printed table.
    fit: [f64; 4],
    /// The printed uncertainty in percent humidity at 15, 20, 25 and 30 °C, from memory.
    uncertainty: [f64; 4],
}

/// The temperatures for which the fit is used, °C.
pub const RANGE_C: (f64, f64) = (0.0, 50.0);

/// The salts, from the driest to the dampest.
///
/// # Source
/// Greenspan 1977, Humidity fixed points of binary saturated aqueous solutions, J. Res. Natl. Bur. Stand. 81A (1),
/// 89-96, tables 1 and 2.
pub const SALTS: [Salt; 4] = [
    Salt {
        id: "magnesium-chloride",
        name: "magnesium chloride",
        sold_as: "nigari or bath salt",
        also: &["mgcl2", "nigari"],
        fit: [33.6686, -0.007_973_97, -1.089_88e-3, 0.0],
        uncertainty: [0.21, 0.18, 0.16, 0.14],
    },
    Salt {
        id: "sodium-chloride",
        name: "table salt (sodium chloride)",
        sold_as: "plain cooking salt, nothing added",
        also: &["nacl", "table-salt", "salt"],
        fit: [75.5164, 0.039_832_1, -2.654_59e-3, 2.848e-5],
        uncertainty: [0.18, 0.14, 0.12, 0.11],
    },
    Salt {
        id: "potassium-chloride",
        name: "potassium chloride",
        sold_as: "a salt substitute, pure",
        also: &["kcl"],
        fit: [88.619, -0.193_34, 8.997_06e-4, 0.0],
        uncertainty: [0.33, 0.29, 0.26, 0.25],
    },
    Salt {
        id: "potassium-sulphate",
        name: "potassium sulphate",
        sold_as: "a fertiliser; slow, and dew forms easily",
        also: &["k2so4", "potassium-sulfate"],
        fit: [98.7792, -0.059_050_2, 0.0, 0.0],
        uncertainty: [0.63, 0.53, 0.45, 0.40],
    },
];

impl Salt {
    /// The salt of this name, by any way to write it.
    pub fn named(text: &str) -> Option<&'static Self> {
        let wanted = text.trim().to_lowercase().replace([' ', '_'], "-");
        SALTS
            .iter()
            .find(|salt| salt.id == wanted || salt.also.contains(&wanted.as_str()))
    }

    /// The relative humidity above it, in percent.
    ///
    /// # Range
    /// Within [`RANGE_C`]; held to its nearest end beyond.
    ///
    /// # Source
    /// See [`SALTS`], table 1.
    pub fn humidity_percent(&self, temperature_c: f64) -> f64 {
        let t = temperature_c.clamp(RANGE_C.0, RANGE_C.1);
        let [a, b, c, d] = self.fit;
        a + t * (b + t * (c + t * d))
    }

    /// How far that may be off, in percent humidity: the printed uncertainty, in between by a straight line.
    ///
    /// # Range
    /// Below 15 and above 30 °C the value at that end is taken.
    ///
    /// # Source
    /// See [`SALTS`], table 2 (from memory).
    pub fn uncertainty_percent(&self, temperature_c: f64) -> f64 {
        let at = ((temperature_c - 15.0) / 5.0).clamp(0.0, 3.0);
        let left = (at as usize).min(2);
        let share = at - left as f64;
        self.uncertainty[left] * (1.0 - share) + self.uncertainty[left + 1] * share
    }
}

/// How far sensor and wet salt may be apart in temperature, as the half width of a rectangle, K.
///
/// judgement: a closed jar that has stood for hours in a room without sun or draught.
const APART_K: f64 = 0.2;

/// Relative change of the humidity with each kelvin that the sensor is warmer than the salt.
///
/// # Source
/// The slope of the logarithm of the saturation pressure at 20 °C (ASHRAE Handbook, Fundamentals 2017, ch. 1,
/// equation 6): 0.0619 a kelvin; 0.0656 at 12 and 0.0584 at 28 °C.
const PER_KELVIN: f64 = 0.0619;

/// How far the number shown may be off by rounding, as the half width of a rectangle, points of humidity.
///
/// judgement: cheap meters show whole points.
const DISPLAY_PERCENT: f64 = 0.5;

/// How a sensor stands over one salt.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// The offset is surely within what was allowed.
    Within,
    /// The offset is surely beyond it.
    Beyond,
    /// The check is too coarse to tell.
    Unclear,
}

/// A sensor over one salt.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    /// The salt.
    pub salt: &'static Salt,
    /// How warm it was, °C.
    pub temperature_c: f64,
    /// What the humidity was, percent.
    pub expected_percent: f64,
    /// What the sensor said, percent.
    pub reads_percent: f64,
    /// By how much it says too much, points.
    pub offset_percent: f64,
    /// How far the offset may be off with about 95 %, points.
    pub uncertainty_percent: f64,
    /// How it stands against the tolerance.
    pub verdict: Verdict,
}

/// Judges what a sensor says over a salt. `deviation` is one standard deviation of what it says, where that was given;
/// `tolerance` is what is allowed, in points.
///
/// # Source
/// The standard deviations of salt, temperature and reading added as squares, times two (JCGM 100:2008, 5.1.2 and
/// 6.2.1); a salt's printed uncertainty is taken as two of its own.
pub fn check(
    salt: &'static Salt,
    temperature_c: f64,
    reads_percent: f64,
    deviation: Option<f64>,
    tolerance: f64,
) -> Point {
    let expected = salt.humidity_percent(temperature_c);
    let of_salt = salt.uncertainty_percent(temperature_c) / 2.0;
    let of_warmth = expected * PER_KELVIN * APART_K / libm::sqrt(3.0);
    let of_reading = deviation.unwrap_or(DISPLAY_PERCENT / libm::sqrt(3.0));
    let uncertainty =
        2.0 * libm::sqrt(of_salt * of_salt + of_warmth * of_warmth + of_reading * of_reading);
    let offset = reads_percent - expected;
    Point {
        salt,
        temperature_c,
        expected_percent: expected,
        reads_percent,
        offset_percent: offset,
        uncertainty_percent: uncertainty,
        verdict: if offset.abs() + uncertainty <= tolerance {
            Verdict::Within
        } else if offset.abs() - uncertainty > tolerance {
            Verdict::Beyond
        } else {
            Verdict::Unclear
        },
    }
}

/// How to come from what a sensor says to what is true: `intercept + slope * says`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Correction {
    /// True points for each point on the sensor.
    pub slope: f64,
    /// What is true where the sensor says nought, percent.
    pub intercept_percent: f64,
}

impl Correction {
    /// The offset of a single point taken off everywhere.
    pub fn of_one(point: &Point) -> Self {
        Self {
            slope: 1.0,
            intercept_percent: -point.offset_percent,
        }
    }

    /// The straight line through two points; none where the sensor says the same over both, or less over the damper.
    ///
    /// # Source
    /// Two-point calibration, common practice: `s1 + (s2 - s1) / (r2 - r1) * (r - r1)`.
    pub fn of_two(one: &Point, other: &Point) -> Option<Self> {
        let slope = (other.expected_percent - one.expected_percent)
            / (other.reads_percent - one.reads_percent);
        (slope.is_finite() && slope > 0.0).then_some(Self {
            slope,
            intercept_percent: one.expected_percent - slope * one.reads_percent,
        })
    }

    /// What is true where the sensor says this, percent; more than 100 is held there.
    pub fn apply(&self, says_percent: f64) -> f64 {
        (self.intercept_percent + self.slope * says_percent).clamp(0.0, 100.0)
    }
}

#[cfg(test)]
mod tests {
    use super::{Correction, SALTS, Salt, Verdict, check};

    #[test]
    fn the_fit_gives_what_another_program_computed_from_it() {
        // The polynomials of Greenspan 1977, table 1, worked out apart in double precision, printed to eight decimals.
        for (t, values) in [
            (
                15.0,
                [33.303_767_45, 75.612_718_75, 85.921_333_85, 97.893_447],
            ),
            (
                18.0,
                [33.171_947_42, 75.539_386, 85.430_384_74, 97.716_296_4],
            ),
            (20.0, [33.073_168_6, 75.479_046, 85.112_082_4, 97.598_196]),
            (
                22.0,
                [32.965_670_74, 75.411_139_68, 84.800_977_7, 97.480_095_6],
            ),
            (
                25.0,
                [32.788_075_75, 75.298_083_75, 84.347_816_25, 97.302_945],
            ),
            (
                28.0,
                [32.590_862_92, 75.175_693_2, 83.910_849_5, 97.125_794_4],
            ),
            (30.0, [32.448_488_9, 75.091_192, 83.628_535_4, 97.007_694]),
        ] {
            for (salt, value) in SALTS.iter().zip(values) {
                let ours = salt.humidity_percent(t);
                assert!((ours - value).abs() < 1e-8, "{} at {t}: {ours}", salt.id);
            }
        }
    }

    #[test]
    fn the_printed_table_comes_out_to_its_last_digit() {
        // Greenspan 1977, table 2 (from memory), which cuts instead of rounding: humidity and uncertainty.
        for (t, values) in [
            (
                15.0,
                [(33.30, 0.21), (75.61, 0.18), (85.92, 0.33), (97.89, 0.63)],
            ),
            (
                20.0,
                [(33.07, 0.18), (75.47, 0.14), (85.11, 0.29), (97.59, 0.53)],
            ),
            (
                25.0,
                [(32.78, 0.16), (75.29, 0.12), (84.34, 0.26), (97.30, 0.45)],
            ),
            (
                30.0,
                [(32.44, 0.14), (75.09, 0.11), (83.62, 0.25), (97.00, 0.40)],
            ),
        ] {
            for (salt, (humidity, uncertainty)) in SALTS.iter().zip(values) {
                let off = salt.humidity_percent(t) - humidity;
                assert!((0.0..0.01).contains(&off), "{} at {t}: {off}", salt.id);
                assert!((salt.uncertainty_percent(t) - uncertainty).abs() < 1e-12);
            }
        }
    }

    #[test]
    fn a_second_fit_agrees_within_its_own_two_percent() {
        // CRC Handbook: RH = A exp(B / T), said to hold within 2 %; it differs by 0.38 points at most here.
        let forms = [(29.26, 34.0), (69.20, 25.0), (49.38, 159.0), (86.75, 34.0)];
        for t in [15.0_f64, 20.0, 25.0] {
            for (salt, (a, b)) in SALTS.iter().zip(forms) {
                let theirs = a * (b / (t + 273.15_f64)).exp();
                let off = (salt.humidity_percent(t) - theirs).abs();
                assert!(off < 0.4, "{} at {t}: {off}", salt.id);
            }
        }
    }

    #[test]
    fn two_salts_correct_slope_and_offset() {
        // Worked by hand with the humidities of the fit at 20 °C: (85.1120824 - 75.479046) / (82.9 - 72.1) a point.
        let common = Salt::named("NaCl").expect("known");
        let damp = Salt::named("potassium chloride").expect("known");
        let low = check(common, 20.0, 72.1, None, 3.0);
        let high = check(damp, 20.0, 82.9, None, 3.0);
        let correction = Correction::of_two(&low, &high).expect("a line");
        assert!((correction.slope - 0.891_947_814_8).abs() < 1e-9);
        assert!((correction.apply(88.0) - 89.661_016_255_6).abs() < 1e-8);
        assert!((correction.apply(72.1) - low.expected_percent).abs() < 1e-9);
        assert_eq!(Correction::of_two(&low, &low), None);
    }

    #[test]
    fn a_verdict_is_given_only_where_the_check_can_tell() {
        let salt = Salt::named("table salt").expect("known");
        let verdict = |reads| check(salt, 22.0, reads, Some(0.3), 3.0).verdict;
        assert_eq!(verdict(75.4), Verdict::Within);
        assert_eq!(verdict(78.4), Verdict::Unclear);
        assert_eq!(verdict(82.0), Verdict::Beyond);
        assert_eq!(verdict(69.0), Verdict::Beyond);
    }
}
