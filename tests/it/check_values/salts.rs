//! Saturated salts: a second published form, and the worked correction of a sensor.

use blockside::engine::salts::{Correction, SALTS, Salt, check};

use crate::check_values::{close, near, rows};

#[test]
fn a_second_published_form_agrees_within_its_own_two_percent() {
    // CRC Handbook, section 15 (read): RH = A exp(B / T), "generally accurate to ±2 %". t, then magnesium chloride,
    // sodium chloride, potassium chloride and potassium sulphate, six decimals. The program uses Greenspan's fit: 0.4
    // points at most, poorest for magnesium chloride at 15 °C; above 25 °C the form for potassium chloride is beyond
    // its own range.
    let forms = [(29.26, 34.0), (69.20, 25.0), (49.38, 159.0), (86.75, 34.0)];
    for row in rows::<5>(
        "
        15 32.924448 75.471963 85.741883 97.614351
        18 32.884443 75.404523 85.255765 97.495743
        20 32.858254 75.360362 84.938709 97.418097
        22 32.832440 75.316826 84.627106 97.341565
        25 32.794406 75.252662 84.169624 97.228801
        28 32.757172 75.189829 83.723657 97.118411
        30 32.732782 75.148660 83.432532 97.046099
        ",
    ) {
        for ((salt, (a, b)), printed) in SALTS.iter().zip(forms).zip(&row[1..]) {
            let theirs: f64 = a * f64::exp(b / (row[0] + 273.15));
            close(theirs, *printed, 6e-7);
            close(salt.humidity_percent(row[0]), *printed, 0.4);
        }
    }
    // As printed there for 25 °C: 33, 75, 84 and 97 %, whole points.
    for (salt, printed) in SALTS.iter().zip([33.0, 75.0, 84.0, 97.0]) {
        close(salt.humidity_percent(25.0), printed, 0.5);
    }
}

#[test]
fn the_worked_correction_of_two_salts_comes_out() {
    // A sensor at 20 °C says 72.1 over table salt and 82.9 over potassium chloride, taken as 75.4695 and 85.1121 %:
    // slope 0.8928333333, and 88.0 becomes 89.6655500. The first humidity is 0.0095 points below the fit it is said to
    // come from (75.4790), so the program, which uses the fit, gets 89.6610.
    let salt = |name| Salt::named(name).expect("known");
    let mut low = check(salt("NaCl"), 20.0, 72.1, None, 3.0);
    let mut high = check(salt("KCl"), 20.0, 82.9, None, 3.0);
    let fitted = Correction::of_two(&low, &high).expect("a line");
    close(fitted.apply(88.0), 89.6610, 6e-5);
    (low.expected_percent, high.expected_percent) = (75.4695, 85.1121);
    let worked = Correction::of_two(&low, &high).expect("a line");
    near(worked.slope, 0.892_833_333_3, 1e-10);
    near(worked.apply(88.0), 89.665_55, 1e-9);
}
