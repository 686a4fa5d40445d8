//! Student's t distribution: how far an estimate from few points may lie from the truth.

/// The number of standard errors that an estimate with so many degrees of freedom stays within in 95 of 100 cases, the
/// 0.975 quantile of Student's t.
///
/// # Range
/// One degree of freedom and more; none counts as one, which is the widest.
///
/// # Source
/// Abramowitz & Stegun 1964, Handbook of Mathematical Functions, 26.5.27 (from memory): the distribution by the
/// incomplete beta function, here inverted by halving.
pub fn t_975(degrees_of_freedom: u64) -> f64 {
    let nu = degrees_of_freedom.max(1) as f64;
    // With one degree of freedom the quantile is 12.7, and it falls from there.
    let (mut low, mut high) = (1.9, 13.0);
    // Each step halves the interval; sixty leave less than a double can tell apart.
    for _ in 0..60 {
        let t = 0.5 * (low + high);
        let both_tails = incomplete_beta(0.5 * nu, 0.5, nu / (nu + t * t));
        if both_tails > 0.05 {
            low = t;
        } else {
            high = t;
        }
    }
    0.5 * (low + high)
}

/// The regularised incomplete beta function.
///
/// # Source
/// Abramowitz & Stegun 1964, 26.5.8 (from memory): the continued fraction, which converges quickly below
/// `(a + 1) / (a + b + 2)`; above, the symmetry of the function is used.
fn incomplete_beta(a: f64, b: f64, x: f64) -> f64 {
    if x <= 0.0 {
        return 0.0;
    }
    if x >= 1.0 {
        return 1.0;
    }
    if x > (a + 1.0) / (a + b + 2.0) {
        return 1.0 - incomplete_beta(b, a, 1.0 - x);
    }
    let front = libm::exp(
        a * libm::log(x) + b * libm::log1p(-x) + libm::lgamma(a + b)
            - libm::lgamma(a)
            - libm::lgamma(b),
    ) / a;
    front * continued_fraction(a, b, x)
}

/// The fraction from its head down, by the recurrence that keeps numerator and denominator apart only as a ratio.
fn continued_fraction(a: f64, b: f64, x: f64) -> f64 {
    // A denominator of nought would end the recurrence; the least change of it is of no account.
    const LEAST: f64 = 1e-300;
    let held = |value: f64| if value.abs() < LEAST { LEAST } else { value };
    let mut ratio = 1.0;
    let mut inverse = 1.0 / held(1.0 - (a + b) * x / (a + 1.0));
    let mut fraction = inverse;
    for step in 1..500 {
        let m = f64::from(step);
        let even = m * (b - m) * x / ((a + 2.0 * m - 1.0) * (a + 2.0 * m));
        inverse = 1.0 / held(1.0 + even * inverse);
        ratio = held(1.0 + even / ratio);
        fraction *= inverse * ratio;
        let odd = -(a + m) * (a + b + m) * x / ((a + 2.0 * m) * (a + 2.0 * m + 1.0));
        inverse = 1.0 / held(1.0 + odd * inverse);
        ratio = held(1.0 + odd / ratio);
        let change = inverse * ratio;
        fraction *= change;
        if (change - 1.0).abs() < 1e-15 {
            break;
        }
    }
    fraction
}

#[cfg(test)]
mod tests {
    use super::t_975;

    #[test]
    fn quantiles_agree_with_published_ones() {
        // scipy.stats.t.ppf(0.975, nu), nine decimals as printed.
        for (nu, quantile) in [
            (1, 12.706_204_736),
            (2, 4.302_652_730),
            (3, 3.182_446_305),
            (4, 2.776_445_105),
            (5, 2.570_581_836),
            (6, 2.446_911_851),
            (7, 2.364_624_252),
            (8, 2.306_004_135),
            (9, 2.262_157_163),
            (10, 2.228_138_852),
            (15, 2.131_449_546),
            (20, 2.085_963_447),
            (30, 2.042_272_456),
        ] {
            assert!((t_975(nu) - quantile).abs() < 1e-9, "{nu}: {}", t_975(nu));
        }
        assert_eq!(t_975(0), t_975(1));
        // The normal distribution's own quantile is where it ends.
        assert!((t_975(10_000_000) - 1.959_964).abs() < 1e-6);
    }
}
