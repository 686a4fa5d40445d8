//! From a reading with a tolerance to a probability: the figures around the table in `engine::normal`.

use blockside::engine::normal::{limit_exceeded, phi};
use blockside::engine::quantity::{Unit, parse_reading};

use crate::check_values::{close, near};

#[test]
fn a_written_tolerance_is_a_rectangle_with_the_deviation_printed() {
    // Half width over the square root of 3, ten decimals (JCGM 100:2008, 4.3.7, from memory).
    for (text, unit, deviation) in [
        ("87 % ± 3", Unit::Percent, 1.732_050_807_6),
        ("94 % ± 5", Unit::Percent, 2.886_751_345_9),
        ("900 ppm ± 57", Unit::Ppm, 32.908_965_343_8),
        ("980 ppm ± 59.4", Unit::Ppm, 34.294_605_989_9),
        ("950 ppm ± 97.5", Unit::Ppm, 56.291_651_246_0),
        ("17.6 C ± 0.5", Unit::Celsius, 0.288_675_134_6),
    ] {
        let read = parse_reading(text, unit).expect("a reading");
        near(read.tolerance.expect("it has one"), deviation, 1e-9);
    }
    // The classes of two meters: ±(30 ppm + 3 %) at 900 and 980 ppm, ±(50 ppm + 5 %) at 950 ppm.
    close(30.0 + 0.03 * 900.0, 57.0, 1e-12);
    close(30.0 + 0.03 * 980.0, 59.4, 1e-12);
    close(50.0 + 0.05 * 950.0, 97.5, 1e-12);
}

#[test]
fn published_examples_come_out_as_rounded_as_they_were_printed() {
    // JCGM 106:2012 (from memory), two decimals, three for the oil: 0.933 - 0.271 = 0.66; the diode 0.92; quantiles.
    let (upper, lower) = (phi((16.3 - 13.6) / 1.8), phi((12.5 - 13.6) / 1.8));
    close(upper, 0.933, 5e-4);
    close(lower, 0.271, 5e-4);
    close(upper - lower, 0.66, 5e-3);
    close(1.0 - limit_exceeded(-5.47, 0.05, -5.40, 0.0), 0.92, 5e-3);
    for (share, z) in [
        (0.80, 0.84),
        (0.90, 1.28),
        (0.95, 1.64),
        (0.99, 2.33),
        (0.999, 3.09),
    ] {
        // A quantile rounded to two decimals is off by half a hundredth, and the share by as much times the height
        // there.
        let height = f64::exp(-0.5 * z * z) / (2.0 * std::f64::consts::PI).sqrt();
        close(phi(z), share, 0.005 * height * 1.05);
    }
}

#[test]
fn a_reading_near_its_limit_is_next_to_no_evidence() {
    // 94 % ± 5 supports "over 95 %" with 0.4 by the rectangle. The normal distribution that the program takes has
    // 0.365.
    let above = limit_exceeded(94.0, 5.0 / 3.0_f64.sqrt(), 95.0, 0.0);
    close(above, 0.4, 0.04);
}
