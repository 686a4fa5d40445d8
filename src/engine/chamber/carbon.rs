//! Carbon dioxide that the crop gives off: units, the sealed test, and how long a change takes.

use crate::engine::climate::SEA_LEVEL_PA;

/// Mass of carbon dioxide in grams a mole.
///
/// # Source
/// Standard atomic weights.
const CO2_G_MOL: f64 = 44.0095;

/// Gas constant in joules a mole and kelvin; exact by the SI.
const GAS_CONSTANT: f64 = 8.314_462_618_153_24;

/// Milligrams of carbon dioxide in a cubic metre of air that holds one ppm.
///
/// # Range
/// Ideal gas; real carbon dioxide is half a percent denser, which no meter here can tell.
///
/// # Source
/// Ideal gas law.
pub fn mg_m3_of_one_ppm(temperature_c: f64, pressure_pa: f64) -> f64 {
    CO2_G_MOL * pressure_pa / (GAS_CONSTANT * (temperature_c + 273.15)) / 1000.0
}

/// Cubic metres an hour of carbon dioxide from milligrams an hour, at this temperature and sea level.
///
/// # Source
/// Ideal gas law.
pub fn volume_m3_h(mass_mg_h: f64, temperature_c: f64) -> f64 {
    mass_mg_h / mg_m3_of_one_ppm(temperature_c, SEA_LEVEL_PA) / 1e6
}

/// What the crop gives off, in cubic metres an hour, from the rise in a closed chamber in ppm an hour.
///
/// # Source
/// Mass balance without airflow: `G = V dC/dt`.
pub fn source_from_rise_m3_h(volume_m3: f64, rise_ppm_h: f64) -> f64 {
    volume_m3 * rise_ppm_h / 1e6
}

/// Hours until so large a share of a change is done, 0 to 1 without 1, in a space with these air changes an hour.
///
/// # Source
/// First-order change of one mixed space: the rest shrinks by `exp(-changes * hours)`.
pub fn hours_to_share(share: f64, changes_per_hour: f64) -> f64 {
    -libm::log1p(-share) / changes_per_hour
}

#[cfg(test)]
mod tests {
    use super::{hours_to_share, mg_m3_of_one_ppm, source_from_rise_m3_h, volume_m3_h};
    use crate::engine::climate::{
        SEA_LEVEL_PA, airflow_for_limit_m3_h, co2_after_ppm, steady_co2_ppm,
    };

    #[test]
    fn masses_are_those_of_the_gas_law() {
        // scipy.constants.R; the same equation, so to 1e-9.
        for (ppm, t, pressure, mass) in [
            (1.0, 0.0, SEA_LEVEL_PA, 1.963_485_312_658),
            (420.0, 20.0, SEA_LEVEL_PA, 768.401_588_006_376),
            (800.0, 18.0, SEA_LEVEL_PA, 1_473.676_148_109_347),
            (5000.0, 25.0, SEA_LEVEL_PA, 8_994.231_312_301_616),
            (1000.0, 20.0, 84_555.932_31, 1_526.744_743_187_621),
        ] {
            let got: f64 = ppm * mg_m3_of_one_ppm(t, pressure);
            assert!((got / mass - 1.0).abs() < 1e-9, "{ppm} {t}: {got}");
        }
        // 1 g an hour at 18 °C is 0.542860112805 L an hour.
        assert!((1000.0 * volume_m3_h(1000.0, 18.0) - 0.542_860_112_805).abs() < 1e-9);
    }

    #[test]
    fn the_closed_chamber_gives_the_source_and_the_source_the_air() {
        // 0.25 m³ and 0.145 L an hour rise by 580 ppm an hour; closed forms checked with scipy solve_ivp; to 1e-12.
        let source = source_from_rise_m3_h(0.25, 580.0);
        assert!((source - 0.145e-3).abs() < 1e-15);
        for (limit, flow) in [
            (700.0, 0.517_857_142_857_142_9),
            (800.0, 0.381_578_947_368_421),
            (1000.0, 0.25),
            (1500.0, 0.134_259_259_259_259_27),
        ] {
            let got = airflow_for_limit_m3_h(420.0, source, limit).expect("outdoors is better");
            assert!((got - flow).abs() < 1e-12, "{limit}: {got}");
        }
        let steady = steady_co2_ppm(420.0, source, 1.0).expect("there is air");
        assert!((steady - 565.0).abs() < 1e-9);
        for (start, hours, ppm) in [
            (420.0, 0.1, 467.803_593_324_832_26),
            (420.0, 1.0, 562.344_232_361_133_5),
            (3000.0, 0.25, 1_460.786_439_252_462),
            (3000.0, 1.0, 609.598_580_694_067_8),
        ] {
            let got = co2_after_ppm(start, steady, 4.0, hours);
            assert!((got - ppm).abs() < 1e-9, "{start} {hours}: {got}");
        }
    }

    #[test]
    fn three_air_changes_are_most_of_a_change() {
        // 63 % take 1/n hours and 95 % take 3/n, rounded: ln 20 is 2.9957.
        assert!((hours_to_share(0.95, 4.0) - 0.75).abs() < 0.002);
        assert!((hours_to_share(1.0 - 1.0 / std::f64::consts::E, 10.0) - 0.1).abs() < 1e-12);
    }
}
