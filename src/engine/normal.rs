//! From a reading with a tolerance to a probability.

/// Standard normal distribution: the share of cases at or below `z` standard deviations.
///
/// # Range
/// Any number; the result lies in 0..=1, and keeps its relative accuracy far out on the low side. NaN gives NaN.
///
/// # Source
/// Phi(z) = erfc(-z / sqrt 2) / 2, by definition of the error function. `libm` is used rather than the
/// platform's own function so that printed digits agree everywhere.
pub fn phi(z: f64) -> f64 {
    0.5 * libm::erfc(-z * std::f64::consts::FRAC_1_SQRT_2)
}

/// Probability that the true value lies above `limit`, given what the gauge reads.
///
/// `tolerance` is one standard deviation in the unit of the reading; `broken_gauge` is the probability that the
/// gauge tells nothing at all, which pulls the result towards one half: `e/2 + (1-e) Phi((x-L)/s)`.
/// The result and its complement are the pair of soft evidence that "above the limit" enters the weighing with.
///
/// # Range
/// `tolerance` 0 makes a step (one half exactly at the limit); a negative tolerance counts by its size.
/// `broken_gauge` is held to 0..=1. A reading, tolerance or limit that is not a number tells nothing: one half.
///
/// # Source
/// JCGM 106:2012, The role of measurement uncertainty in conformity assessment (one limit, normal distribution);
/// the floor for a broken gauge is judgement: without it a hopeless gauge with a small stated tolerance would
/// outvote every sign.
pub fn limit_exceeded(reading: f64, tolerance: f64, limit: f64, broken_gauge: f64) -> f64 {
    let distance = reading - limit;
    let spread = tolerance.abs();
    let above = if distance.is_nan() || spread.is_nan() || distance == 0.0 {
        0.5
    } else if spread == 0.0 {
        if distance > 0.0 { 1.0 } else { 0.0 }
    } else {
        let z = distance / spread;
        // Only an infinite reading with an infinite tolerance gets here without a number.
        if z.is_nan() { 0.5 } else { phi(z) }
    };
    let broken = if broken_gauge.is_nan() {
        0.0
    } else {
        broken_gauge.clamp(0.0, 1.0)
    };
    broken / 2.0 + (1.0 - broken) * above
}

#[cfg(test)]
mod tests {
    use super::*;

    fn close(got: f64, wanted: f64, within: f64) {
        assert!((got - wanted).abs() <= within, "{got} is not {wanted}");
    }

    #[test]
    fn the_distribution_agrees_with_published_points() {
        // JCGM 106:2012, quantiles for 0.80, 0.90, 0.95, 0.99, 0.999; z to 16 digits from scipy.stats.norm.
        for (z, share) in [
            (0.841_621_233_572_914_3, 0.80),
            (1.281_551_565_544_600_4, 0.90),
            (1.644_853_626_951_472_2, 0.95),
            (2.326_347_874_040_840_8, 0.99),
            (3.090_232_306_167_813, 0.999),
        ] {
            close(phi(z), share, 1e-15);
            close(phi(-z), 1.0 - share, 1e-15);
        }
        // JCGM 106:2012, oil of grade SAE 40: limits 12.5 and 16.3, y = 13.6, u = 1.8.
        let inside = phi((16.3 - 13.6) / 1.8) - phi((12.5 - 13.6) / 1.8);
        close(inside, 0.662_629_786_495_307_9, 1e-14);
        close(phi((16.3 - 13.6) / 1.8), 0.933_192_798_731_142, 1e-14);
        close(phi((12.5 - 13.6) / 1.8), 0.270_563_012_235_834_2, 1e-14);
        // JCGM 106:2012, Zener diode: upper limit -5.40 V, y = -5.47, u = 0.05.
        close(phi(1.4), 0.919_243_340_766_227_3, 1e-14);
    }

    #[test]
    fn a_gauge_just_below_its_limit_supports_it_a_little() {
        // Made for testing: a gauge reads 84, the limit is 85, the tolerance 3, taken as one and as two
        // standard deviations; scipy.stats.norm.
        let one = 1.0 - limit_exceeded(84.0, 3.0, 85.0, 0.0);
        close(one, 0.630_559, 5e-7);
        close(one / (1.0 - one), 1.706_79, 5e-6);
        let two = 1.0 - limit_exceeded(84.0, 1.5, 85.0, 0.0);
        close(two, 0.747_507, 5e-7);
        close(two / (1.0 - two), 2.960_51, 5e-6);
    }

    #[test]
    fn chamber_readings_against_their_limits() {
        // JCGM 106 rules on chamber readings; scipy.stats.norm with u = a/sqrt 3 and u = a/2. Twelve printed digits.
        // Requirement "at least" takes the probability above, "at most" its complement.
        let root3 = 3.0_f64.sqrt();
        for (reading, a, limit, at_least, third, half) in [
            (87.0, 3.0, 85.0, true, 0.875_893_460_505, 0.908_788_780_274),
            (86.0, 3.0, 85.0, true, 0.718_148_569_175, 0.747_507_462_453),
            (
                900.0,
                57.0,
                1000.0,
                false,
                0.998_811_936_662,
                0.999_774_909_617,
            ),
            (
                980.0,
                59.4,
                1000.0,
                false,
                0.720_114_636_747,
                0.749_653_789_835,
            ),
            (
                950.0,
                97.5,
                1000.0,
                false,
                0.812_791_795_926,
                0.847_469_588_989,
            ),
            (17.6, 0.5, 18.0, false, 0.917_071_669_829, 0.945_200_708_300),
        ] {
            for (u, wanted) in [(a / root3, third), (a / 2.0, half)] {
                let above = limit_exceeded(reading, u, limit, 0.0);
                let conforms = if at_least { above } else { 1.0 - above };
                close(conforms, wanted, 1e-12);
            }
        }
        for (reading, a, third, half) in [
            (92.0, 3.0, 0.958_341_181_027, 0.977_248_337_425),
            (94.0, 5.0, 0.634_571_387_647, 0.655_262_633_020),
        ] {
            for (u, wanted) in [(a / root3, third), (a / 2.0, half)] {
                let inside =
                    limit_exceeded(reading, u, 85.0, 0.0) - limit_exceeded(reading, u, 95.0, 0.0);
                close(inside, wanted, 1e-12);
            }
        }
    }

    /// Share of a rectangle, and of a triangle, of half width `a` around the reading that lies at or below `at`.
    fn cut(reading: f64, a: f64, at: f64) -> (f64, f64) {
        let side = ((at - reading) / a).clamp(-1.0, 1.0);
        let half = 0.5 * (1.0 - side.abs()) * (1.0 - side.abs());
        let triangle = if side < 0.0 { half } else { 1.0 - half };
        (0.5 * (1.0 + side), triangle)
    }

    #[test]
    fn other_shapes_of_tolerance_differ_little_from_the_normal_one() {
        // The share inside the limits with a rectangle (by overlap) and a triangle (scipy.stats.triang), twelve printed
        // digits. The program takes the normal distribution with u = a/sqrt 3: at most 0.125 from the rectangle and
        // 0.07 from the triangle, which is little against what meters are off by.
        let none = f64::INFINITY;
        for (low, high, reading, a, rectangle, triangle) in [
            (85.0, none, 87.0, 3.0, 0.833_333_333_333, 0.944_444_444_444),
            (85.0, none, 86.0, 3.0, 0.666_666_666_667, 0.777_777_777_778),
            (85.0, 95.0, 92.0, 3.0, 1.0, 1.0),
            (85.0, 95.0, 94.0, 5.0, 0.6, 0.68),
            (-none, 1000.0, 900.0, 57.0, 1.0, 1.0),
            (
                -none,
                1000.0,
                980.0,
                59.4,
                0.668_350_168_350,
                0.780_016_778_333,
            ),
            (
                -none,
                1000.0,
                950.0,
                97.5,
                0.756_410_256_410,
                0.881_328_073_636,
            ),
            (-none, 18.0, 17.6, 0.5, 0.9, 0.98),
        ] {
            let (above, below) = (cut(reading, a, high), cut(reading, a, low));
            close(above.0 - below.0, rectangle, 1e-12);
            close(above.1 - below.1, triangle, 1e-12);
            let u = a / 3.0_f64.sqrt();
            let used = limit_exceeded(reading, u, low, 0.0) - limit_exceeded(reading, u, high, 0.0);
            close(used, rectangle, 0.125);
            close(used, triangle, 0.07);
        }
    }

    #[test]
    fn a_rectangle_with_scatter_is_near_the_normal_distribution_of_both() {
        // (s/2a) [F((T-y+a)/s) - F((T-y-a)/s)], F(z) = z Phi(z) + phi(z), computed with scipy; Monte Carlo with four
        // million draws 0.668069. The program adds the variances and stays normal: 0.05.
        let (reading, a, s, limit) = (980.0, 59.4, 15.0, 1000.0);
        let below = |z: f64| {
            let height = (-0.5 * z * z).exp() / (2.0 * std::f64::consts::PI).sqrt();
            z * phi(z) + height
        };
        let exact =
            s / (2.0 * a) * (below((limit - reading + a) / s) - below((limit - reading - a) / s));
        close(exact, 0.668_180_434_651_630_5, 1e-13);
        close(exact, 0.668_069, 5e-4);
        let u = (a * a / 3.0 + s * s).sqrt();
        close(1.0 - limit_exceeded(reading, u, limit, 0.0), exact, 0.05);
    }

    #[test]
    fn a_guard_band_leaves_one_in_twenty() {
        // JCGM 106: a reading 1.6448536 u inside its limit; u = a/sqrt 3 for a of 3 and 2. Ten printed digits.
        for (a, band) in [(3.0_f64, 2.848_970_052_9), (2.0, 1.899_313_368_6)] {
            let above = limit_exceeded(85.0 + band, a / 3.0_f64.sqrt(), 85.0, 0.0);
            close(above, 0.95, 1e-9);
        }
    }

    #[test]
    fn a_broken_gauge_pulls_towards_one_half() {
        close(limit_exceeded(100.0, 1.0, 50.0, 0.1), 0.95, 1e-15);
        close(limit_exceeded(0.0, 1.0, 50.0, 0.1), 0.05, 1e-15);
        close(limit_exceeded(100.0, 1.0, 50.0, 1.0), 0.5, 1e-15);
    }

    #[test]
    fn no_tolerance_makes_a_step() {
        assert_eq!(limit_exceeded(51.0, 0.0, 50.0, 0.0), 1.0);
        assert_eq!(limit_exceeded(50.0, 0.0, 50.0, 0.0), 0.5);
        assert_eq!(limit_exceeded(49.0, 0.0, 50.0, 0.0), 0.0);
    }

    #[test]
    fn what_is_not_a_number_tells_nothing() {
        for (reading, tolerance, limit) in [
            (f64::NAN, 1.0, 0.0),
            (1.0, f64::NAN, 0.0),
            (1.0, 1.0, f64::NAN),
            (f64::INFINITY, f64::INFINITY, 0.0),
        ] {
            assert_eq!(limit_exceeded(reading, tolerance, limit, 0.05), 0.5);
        }
        assert_eq!(limit_exceeded(1.0, 0.0, 0.0, f64::NAN), 1.0);
    }
}
