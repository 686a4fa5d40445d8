//! Air changes from a fall of carbon dioxide: two readings, many, other ways to fit, and what a source that goes on
//! does.

use blockside::engine::climate::{co2_after_ppm, steady_co2_ppm, uncertain};
use blockside::engine::exchange::{decay_of_two, fit_decay, usual_meter_off};

use crate::check_values::{close, near};

/// Readings every three minutes, made for testing.
const ELEVEN: [f64; 11] = [
    3200.0, 2801.0, 2428.0, 2110.0, 1872.0, 1641.0, 1486.0, 1359.0, 1182.0, 1066.0, 991.0,
];

fn eleven() -> Vec<(f64, f64)> {
    let timed = ELEVEN.iter().enumerate();
    timed
        .map(|(number, &ppm)| (number as f64 * 3.0 / 60.0, ppm))
        .collect()
}

#[test]
fn two_readings_give_what_the_formula_says() {
    // ln((C1 - C0) / (C2 - C0)) / t, worked out apart, ten digits and more. The last was printed as 0.7972873980: its
    // last three digits are off, as the formula itself shows.
    for (first, second, outside, hours, changes) in [
        (3000.0, 900.0, 420.0, 0.5, 3.363_517_148_027_453),
        (2000.0, 1000.0, 420.0, 0.25, 4.008_608_089_922_189),
        (5000.0, 2500.0, 450.0, 1.0, 0.797_287_439_8),
        // First and last of the eleven.
        (3200.0, 991.0, 420.0, 0.5, 3.165_633_994),
    ] {
        let got = decay_of_two(first, second, outside, hours).expect("it falls");
        near(got, changes, 2e-10);
    }
}

#[test]
fn a_source_that_goes_on_makes_the_result_too_low() {
    // 0.1 L/h in 0.25 m³: true changes, where it settles, what is left of 3000 ppm after half an hour, what the formula
    // makes of it with 420 ppm outside; six to nine decimals.
    for (changes, settles, left, naive) in [
        (1.0, 820.0, 2_142.236_838, 0.808_330_931),
        (4.0, 520.0, 855.631_502, 3.557_495_940),
    ] {
        let steady = steady_co2_ppm(420.0, 0.1e-3, 0.25 * changes).expect("there is air");
        near(steady, settles, 1e-12);
        let after = co2_after_ppm(3000.0, steady, changes, 0.5);
        close(after, left, 6e-7);
        let low = decay_of_two(3000.0, after, 420.0, 0.5).expect("it falls");
        close(low, naive, 1e-9);
        let right = decay_of_two(3000.0, after, steady, 0.5).expect("it falls");
        close(right, changes, 1e-12);
    }
}

#[test]
fn the_sums_behind_a_fit_are_those_of_scipy() {
    // scipy.stats.linregress on the eleven readings, outside 420 ppm: mean time and mean logarithm, sums of squares and
    // of products, sum of squared misses. They follow from what the fit gives: 1e-9.
    let fit = fit_decay(&eleven(), 420.0).expect("a sound decay");
    let slope = -fit.air_changes_per_hour;
    let times: Vec<f64> = eleven().iter().map(|one| one.0).collect();
    let mean = times.iter().sum::<f64>() / 11.0;
    close(mean, 0.25, 1e-12);
    near(fit.intercept + slope * mean, 7.127_418_396_768_641, 1e-12);
    let squares: f64 = times.iter().map(|t| (t - mean) * (t - mean)).sum();
    near(squares, 0.275, 1e-12);
    near(slope * squares, -0.876_159_968_970_599_4, 1e-9);
    let misses = fit.standard_error * fit.standard_error * 9.0 * squares;
    near(misses, 0.002_913_423_922_316_4, 1e-9);
    // Four readings, outside 400 ppm: the standard error.
    let four = [
        (0.0, 2400.0),
        (1.0 / 6.0, 1620.0),
        (1.0 / 3.0, 1130.0),
        (0.5, 860.0),
    ];
    let fit = fit_decay(&four, 400.0).expect("a sound decay");
    near(fit.standard_error, 0.043_092_465_937_098_35, 1e-9);
}

/// Solves a small system of equations by elimination.
fn solved(mut rows: Vec<Vec<f64>>) -> Vec<f64> {
    let size = rows.len();
    for place in 0..size {
        let pivot = rows[place].clone();
        for (number, row) in rows.iter_mut().enumerate() {
            if number != place {
                let times = row[place] / pivot[place];
                row.iter_mut()
                    .zip(&pivot)
                    .for_each(|(one, other)| *one -= times * other);
            }
        }
    }
    (0..size)
        .map(|place| rows[place][size] / rows[place][place])
        .collect()
}

/// Least squares by Gauss and Newton: the parameters and their standard errors.
fn least_squares(mut at: Vec<f64>, model: impl Fn(&[f64], f64) -> f64) -> (Vec<f64>, Vec<f64>) {
    let size = at.len();
    let mut normal = Vec::new();
    for _ in 0..100 {
        normal = vec![vec![0.0; size + 1]; size];
        for (hours, ppm) in eleven() {
            let slopes: Vec<f64> = (0..size)
                .map(|place| {
                    let step = 1e-6 * at[place];
                    let (mut up, mut down) = (at.clone(), at.clone());
                    up[place] += step;
                    down[place] -= step;
                    (model(&up, hours) - model(&down, hours)) / (2.0 * step)
                })
                .collect();
            let miss = ppm - model(&at, hours);
            for (row, slope) in normal.iter_mut().zip(&slopes) {
                for (place, other) in slopes.iter().enumerate() {
                    row[place] += slope * other;
                }
                row[size] += slope * miss;
            }
        }
        let steps = solved(normal.clone());
        at.iter_mut()
            .zip(steps)
            .for_each(|(one, step)| *one += step);
    }
    let misses: f64 = eleven()
        .iter()
        .map(|&(hours, ppm)| (ppm - model(&at, hours)).powi(2))
        .sum();
    let variance = misses / (11 - size) as f64;
    let errors = (0..size).map(|place| {
        let mut unit = normal.clone();
        for (number, row) in unit.iter_mut().enumerate() {
            row[size] = f64::from(u8::from(number == place));
        }
        (variance * solved(unit)[place]).sqrt()
    });
    let errors = errors.collect();
    (at, errors)
}

#[test]
fn fits_of_other_kinds_agree_within_their_own_errors_or_say_why_not() {
    // scipy.optimize.curve_fit on the readings themselves rather than their logarithms: outside held at 420 ppm
    // 3.21440205 ± 0.03001171, where it settles left free 3.36175994 ± 0.12389904 at 482.1 ± 48.5 ppm.
    let (held, errors) = least_squares(vec![3200.0, 3.0], |of, hours| {
        co2_after_ppm(of[0], 420.0, of[1], hours)
    });
    close(held[1], 3.214_402_05, 1e-6);
    close(errors[1], 0.030_011_71, 1e-6);
    let (free, errors) = least_squares(vec![3200.0, 3.0, 420.0], |of, hours| {
        co2_after_ppm(of[0], of[2], of[1], hours)
    });
    close(free[1], 3.361_759_94, 1e-5);
    close(errors[1], 0.123_899_04, 1e-5);
    close(free[2], 482.1, 0.06);
    close(errors[2], 48.5, 0.06);
    // The program fits the logarithms: 0.9 % below the first, within one error, and 5 % below the second, within 1.5
    // errors. It is poor agreement, and shows that what the room holds has to be known.
    let fit = fit_decay(&eleven(), 420.0).expect("a sound decay");
    close(fit.air_changes_per_hour, held[1], 0.030_1);
    close(fit.air_changes_per_hour, free[1], 1.5 * 0.123_9);
}

#[test]
fn what_a_meter_is_off_by_goes_into_two_readings() {
    // 3000 and 900 ppm half an hour apart, outside 420, each ±(30 ppm + 3 %) taken as a rectangle, independent of each
    // other: standard deviations, then that of the result by JCGM 100:2008, 5.1.2; ten digits.
    let off = |ppm: f64| (30.0 + 0.03 * ppm) / 3.0_f64.sqrt();
    near(off(3000.0), 69.282_032_302_8, 1e-11);
    near(off(900.0), 32.908_965_343_8, 1e-11);
    near(off(420.0), 24.595_121_467_5, 1e-11);
    let inputs = [3000.0, 900.0, 420.0].map(|ppm| (ppm, off(ppm)));
    let formula = |x: &[f64]| decay_of_two(x[0], x[1], x[2], 0.5);
    let (value, deviation) = uncertain(formula, &inputs).expect("it falls");
    near(value, 3.363_517_148_0, 1e-10);
    near(deviation, 0.169_246_472_9, 1e-6);
    let usual = usual_meter_off(3000.0, 900.0, 420.0, 0.5).expect("it falls");
    near(usual, 0.169_246_472_9, 1e-6);
    // Monte Carlo with two million draws: mean 3.37012, deviation 0.17051, 2.5 and 97.5 % at 3.06456 and 3.70764. Here
    // the rectangles are gone through in even steps: 2e-4 on the mean and the deviation, 2e-3 on the ends.
    const STEPS: u32 = 100;
    let side = |centre: f64| {
        let half = off(centre) * 3.0_f64.sqrt();
        (0..STEPS)
            .map(|step| centre + half * ((2.0 * f64::from(step) + 1.0) / f64::from(STEPS) - 1.0))
            .collect::<Vec<f64>>()
    };
    let (firsts, seconds, outsides) = (side(3000.0), side(900.0), side(420.0));
    let mut all = Vec::with_capacity(1_000_000);
    for &first in &firsts {
        for &second in &seconds {
            all.extend(
                outsides
                    .iter()
                    .filter_map(|&outside| decay_of_two(first, second, outside, 0.5)),
            );
        }
    }
    let count = all.len() as f64;
    let mean = all.iter().sum::<f64>() / count;
    let spread = (all.iter().map(|one| (one - mean).powi(2)).sum::<f64>() / count).sqrt();
    close(mean, 3.370_12, 2e-4);
    close(spread, 0.170_51, 2e-4);
    all.sort_by(f64::total_cmp);
    for (share, end, two_off) in [
        (0.025, 3.064_56, value - 2.0 * deviation),
        (0.975, 3.707_64, value + 2.0 * deviation),
    ] {
        let found = all[(share * count) as usize];
        close(found, end, 2e-3);
        // The program's two standard deviations reach a little further down and not quite as far up: poor, 0.04 per
        // hour.
        close(found, two_off, 0.04);
    }
}
