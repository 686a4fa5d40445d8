//! The physics of moist air and of air exchange, at sea-level pressure.
//!
//! Temperatures in degrees Celsius, relative humidity in percent, pressures in pascals. Functions give `None` where an
//! input lies outside the range they hold for, rather than a number that looks right.

/// Total pressure of the air, in pascals.
///
/// # Source
/// Standard atmosphere at sea level; ASHRAE Handbook, Fundamentals (2017), ch. 1, equation 3.
const PRESSURE_PA: f64 = 101_325.0;
/// Ratio of the molar masses of water and dry air.
///
/// # Source
/// ASHRAE Handbook, Fundamentals (2017), ch. 1, equation 20.
const WATER_TO_AIR: f64 = 0.621945;
/// Gas constant of dry air in J/(kg K).
///
/// # Source
/// ASHRAE Handbook, Fundamentals (2017), ch. 1.
const DRY_AIR_GAS_CONSTANT: f64 = 287.042;
/// Gas constant of water vapour in J/(kg K): the molar gas constant over the molar mass of water, 18.01528 g/mol.
const VAPOUR_GAS_CONSTANT: f64 = 461.523;
/// Zero degrees Celsius in kelvins.
const ZERO_CELSIUS_K: f64 = 273.15;
/// Triple point of water in degrees Celsius: above it the pressure over liquid water holds, below it over ice.
const TRIPLE_POINT_C: f64 = 0.01;

/// Pressure of water vapour at which air of this temperature is saturated, in pascals: over ice below 0.01 °C, over
/// liquid water above.
///
/// # Range
/// -100 to 200 °C.
///
/// # Source
/// ASHRAE Handbook, Fundamentals (2017), ch. 1, equations 5 and 6 (Hyland & Wexler 1983).
pub fn saturation_vapour_pressure(temperature_c: f64) -> Option<f64> {
    if !(-100.0..=200.0).contains(&temperature_c) {
        return None;
    }
    let t = temperature_c + ZERO_CELSIUS_K;
    let log = if temperature_c <= TRIPLE_POINT_C {
        -5.674_535_9e3 / t + 6.392_524_7 - 9.677_843_0e-3 * t
            + 6.221_570_1e-7 * t.powi(2)
            + 2.074_782_5e-9 * t.powi(3)
            - 9.484_024_0e-13 * t.powi(4)
            + 4.163_501_9 * libm::log(t)
    } else {
        -5.800_220_6e3 / t + 1.391_499_3 - 4.864_023_9e-2 * t + 4.176_476_8e-5 * t.powi(2)
            - 1.445_209_3e-8 * t.powi(3)
            + 6.545_967_3 * libm::log(t)
    };
    Some(libm::exp(log))
}

/// Pressure of water vapour in the air, in pascals.
///
/// # Range
/// -100 to 200 °C, 0 to 100 %.
pub fn vapour_pressure(temperature_c: f64, humidity_percent: f64) -> Option<f64> {
    if !(0.0..=100.0).contains(&humidity_percent) {
        return None;
    }
    saturation_vapour_pressure(temperature_c).map(|saturated| saturated * humidity_percent / 100.0)
}

/// Temperature at which this air would be saturated, in degrees Celsius.
///
/// # Range
/// -90 to 200 °C, above 0 and up to 100 %. Never above the air's own temperature.
///
/// # Source
/// The inverse of [`saturation_vapour_pressure`], found by halving the interval.
pub fn dew_point(temperature_c: f64, humidity_percent: f64) -> Option<f64> {
    let pressure = vapour_pressure(temperature_c, humidity_percent)?;
    let (mut low, mut high) = (-100.0, temperature_c);
    if pressure < saturation_vapour_pressure(low)? {
        return None;
    }
    // Sixty halvings of at most 300 K leave less than 1e-15 K.
    for _ in 0..60 {
        let middle = f64::midpoint(low, high);
        if saturation_vapour_pressure(middle)? < pressure {
            low = middle;
        } else {
            high = middle;
        }
    }
    Some(high)
}

/// How much more water vapour the air could hold, in pascals.
///
/// # Range
/// As [`vapour_pressure`].
pub fn vapour_deficit(temperature_c: f64, humidity_percent: f64) -> Option<f64> {
    Some(
        saturation_vapour_pressure(temperature_c)?
            - vapour_pressure(temperature_c, humidity_percent)?,
    )
}

/// Water in the air, in grams per cubic metre.
///
/// # Source
/// Ideal gas, vapour gas constant 461.523 J/(kg K).
pub fn absolute_humidity(temperature_c: f64, humidity_percent: f64) -> Option<f64> {
    let pressure = vapour_pressure(temperature_c, humidity_percent)?;
    Some(1000.0 * pressure / (VAPOUR_GAS_CONSTANT * (temperature_c + ZERO_CELSIUS_K)))
}

/// Kilograms of water vapour for each kilogram of dry air.
///
/// # Source
/// ASHRAE Handbook, Fundamentals (2017), ch. 1, equation 20.
pub fn humidity_ratio(temperature_c: f64, humidity_percent: f64) -> Option<f64> {
    let pressure = vapour_pressure(temperature_c, humidity_percent)?;
    (pressure < PRESSURE_PA).then(|| WATER_TO_AIR * pressure / (PRESSURE_PA - pressure))
}

/// Volume of moist air that holds a kilogram of dry air, in cubic metres.
///
/// # Source
/// ASHRAE Handbook, Fundamentals (2017), ch. 1, equation 26.
pub fn specific_volume(temperature_c: f64, humidity_percent: f64) -> Option<f64> {
    let ratio = humidity_ratio(temperature_c, humidity_percent)?;
    Some(
        DRY_AIR_GAS_CONSTANT * (temperature_c + ZERO_CELSIUS_K) * (1.0 + ratio / WATER_TO_AIR)
            / PRESSURE_PA,
    )
}

/// Kelvins by which a surface is warmer than the dew point; water condenses on it at 0 and below.
pub fn condensation_margin(
    temperature_c: f64,
    humidity_percent: f64,
    surface_c: f64,
) -> Option<f64> {
    dew_point(temperature_c, humidity_percent).map(|dew_point| surface_c - dew_point)
}

/// By how much the airflow must be multiplied to bring carbon dioxide from what was measured down to a limit, all in
/// ppm. `None` unless outside < limit < measured.
///
/// # Source
/// Steady state of one well-mixed space: the excess over the outside air goes as one over the airflow.
pub fn airflow_factor(measured_ppm: f64, outside_ppm: f64, limit_ppm: f64) -> Option<f64> {
    (outside_ppm < limit_ppm && limit_ppm < measured_ppm)
        .then(|| (measured_ppm - outside_ppm) / (limit_ppm - outside_ppm))
}

/// Water that must be added to hold a chamber at a humidity while room air flows through it, in grams an hour. `None`
/// where the room's air already carries enough.
///
/// # Source
/// Water balance of one well-mixed space with the airflow taken as volume of room air; ASHRAE Handbook, Fundamentals
/// (2017), ch. 1, for ratio and volume. Water from crop and open surfaces is left out.
pub fn mist_rate(
    airflow_m3_h: f64,
    temperature_c: f64,
    humidity_percent: f64,
    room_temperature_c: f64,
    room_humidity_percent: f64,
) -> Option<f64> {
    let dry_air_kg_h = airflow_m3_h / specific_volume(room_temperature_c, room_humidity_percent)?;
    let gained = humidity_ratio(temperature_c, humidity_percent)?
        - humidity_ratio(room_temperature_c, room_humidity_percent)?;
    let rate = 1000.0 * dry_air_kg_h * gained;
    (rate > 0.0).then_some(rate)
}

/// A function's value with its standard deviation, from inputs that each have one and are independent. A slope at the
/// edge of a function's range is taken from the side that exists.
///
/// # Source
/// Guide to the expression of uncertainty in measurement, JCGM 100:2008, 5.1.2, with central differences.
pub fn uncertain(
    function: &impl Fn(&[f64]) -> Option<f64>,
    inputs: &[(f64, f64)],
) -> Option<(f64, f64)> {
    let mut at: Vec<f64> = inputs.iter().map(|(value, _)| *value).collect();
    let value = function(&at)?;
    let mut variance = 0.0;
    for (place, &(middle, deviation)) in inputs.iter().enumerate() {
        if deviation == 0.0 {
            continue;
        }
        // Small against the deviation, large against rounding.
        let step = deviation * 1e-3;
        at[place] = middle + step;
        let above = function(&at);
        at[place] = middle - step;
        let below = function(&at);
        at[place] = middle;
        let slope = match (above, below) {
            (Some(above), Some(below)) => (above - below) / (2.0 * step),
            (Some(above), None) => (above - value) / step,
            (None, Some(below)) => (value - below) / step,
            (None, None) => 0.0,
        };
        variance += (slope * deviation).powi(2);
    }
    Some((value, variance.sqrt()))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn close(found: Option<f64>, expected: f64, relative: f64) {
        let found = found.unwrap_or(f64::NAN);
        assert!(
            (found / expected - 1.0).abs() <= relative,
            "{found} against {expected}"
        );
    }

    #[test]
    fn saturation_pressures_agree_with_the_printed_table() {
        // ASHRAE Handbook, Fundamentals (2017), ch. 1, table 3, in pascals; the fit is stated to hold within 300 ppm.
        for (temperature, printed) in [
            (-20.0, 103.24),
            (-5.0, 401.74),
            (5.0, 872.6),
            (25.0, 3169.7),
            (50.0, 12351.3),
            (100.0, 101418.0),
        ] {
            close(saturation_vapour_pressure(temperature), printed, 300e-6);
        }
        // IAPWS-95 by a general property library; the two formulations differ by at most 0.025 % here.
        for (temperature, iapws) in [
            (10.0, 1228.19893075),
            (15.0, 1705.79291613),
            (20.0, 2339.31818341),
            (30.0, 4246.9708369),
        ] {
            close(saturation_vapour_pressure(temperature), iapws, 250e-6);
        }
    }

    #[test]
    fn states_of_moist_air_agree_with_a_reference_library() {
        // PsychroLib (GetTDewPointFromRelHum, GetHumRatioFromRelHum, GetMoistAirVolume) at 101325 Pa; same equations,
        // so the tolerance is that of the printed digits.
        for (t, rh, dew, ratio, volume, absolute) in [
            (
                12.0,
                85.0,
                9.55926724,
                0.007405010129,
                0.8174147493,
                9.05906344,
            ),
            (
                16.0,
                93.0,
                14.86933244,
                0.010556668446,
                0.8330320694,
                12.67258676,
            ),
            (
                18.0,
                90.0,
                16.33608707,
                0.011616784255,
                0.8401998813,
                13.82621862,
            ),
            (
                20.0,
                50.0,
                9.27239229,
                0.007261737207,
                0.8401563479,
                8.64331875,
            ),
            (
                20.0,
                90.0,
                18.31020326,
                0.013194371386,
                0.8480779677,
                15.55797374,
            ),
        ] {
            close(dew_point(t, rh), dew, 1e-7);
            close(humidity_ratio(t, rh), ratio, 1e-7);
            close(specific_volume(t, rh), volume, 1e-6);
            close(absolute_humidity(t, rh), absolute, 1e-6);
        }
        close(vapour_deficit(20.0, 90.0), 233.880370, 1e-7);
        assert_eq!(dew_point(20.0, 140.0), None);
        assert_eq!(dew_point(f64::NAN, 50.0), None);
    }

    #[test]
    fn the_water_to_add_agrees_with_a_reference_balance() {
        // Water balance with PsychroLib states, in g/h.
        close(mist_rate(1.0, 20.0, 90.0, 21.0, 45.0), 7.41309431, 1e-6);
        close(mist_rate(3.0, 18.0, 90.0, 22.0, 40.0), 17.94696104, 1e-6);
        assert_eq!(
            mist_rate(6.0, 20.0, 90.0, 28.0, 60.0),
            None,
            "the room's air carries enough already"
        );
    }

    #[test]
    fn the_airflow_factor_follows_the_balance() {
        // 0.145 L/h of carbon dioxide over outside air of 420 ppm: 0.25 m3/h hold 1000 ppm, 0.5178571428571429 hold 700.
        close(
            airflow_factor(1000.0, 420.0, 700.0),
            0.5178571428571429 / 0.25,
            1e-12,
        );
        assert_eq!(
            airflow_factor(900.0, 420.0, 1000.0),
            None,
            "nothing to change"
        );
        assert_eq!(
            airflow_factor(3000.0, 1200.0, 1000.0),
            None,
            "the room itself is above the limit"
        );
    }

    #[test]
    fn uncertainty_of_the_dew_point_agrees_with_the_worked_example() {
        // 20 °C ± 0.3 and 90 % ± 3, both rectangular: u(dew point) = 0.3510769484 K, u(deficit) = 40.5869128 Pa
        // (central differences with PsychroLib).
        let root = 3.0_f64.sqrt();
        let inputs = [(20.0, 0.3 / root), (90.0, 3.0 / root)];
        let (_, deviation) =
            uncertain(&|x: &[f64]| dew_point(x[0], x[1]), &inputs).expect("in range");
        assert!((deviation - 0.3510769484).abs() < 1e-5, "{deviation}");
        let (_, deviation) =
            uncertain(&|x: &[f64]| vapour_deficit(x[0], x[1]), &inputs).expect("in range");
        assert!((deviation - 40.5869128).abs() < 1e-3, "{deviation}");
    }
}
