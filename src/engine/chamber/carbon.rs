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

/// Heat in joules that comes with every milligram of carbon dioxide that a crop breathes out.
///
/// # Source
/// Glucose burnt to gas and water, 2803 kJ for six moles of carbon dioxide (textbook, from memory).
pub const HEAT_OF_CO2_J_MG: f64 = 10.615;

/// Watts of heat of a crop that gives off so many milligrams of carbon dioxide an hour.
///
/// # Source
/// As [`HEAT_OF_CO2_J_MG`].
pub fn heat_w(co2_mg_h: f64) -> f64 {
    HEAT_OF_CO2_J_MG * co2_mg_h / 3600.0
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
    use super::{CO2_G_MOL, hours_to_share, mg_m3_of_one_ppm, source_from_rise_m3_h, volume_m3_h};
    use crate::engine::climate::{
        SEA_LEVEL_PA, airflow_for_limit_m3_h, co2_after_ppm, steady_co2_ppm,
    };

    #[test]
    fn masses_are_those_of_the_gas_law() {
        // scipy.constants.R; the same equation, so to 1e-9.
        for (ppm, t, pressure, mass) in [
            (1.0, 0.0, SEA_LEVEL_PA, 1.963_485_312_658),
            (1.0, 20.0, SEA_LEVEL_PA, 1.829_527_590_491),
            (1.0, 25.0, SEA_LEVEL_PA, 1.798_846_262_460),
            (1000.0, 20.0, SEA_LEVEL_PA, 1_829.527_590_491_37),
            (1000.0, 25.0, SEA_LEVEL_PA, 1_798.846_262_460_323),
            (420.0, 20.0, SEA_LEVEL_PA, 768.401_588_006_376),
            (800.0, 18.0, SEA_LEVEL_PA, 1_473.676_148_109_347),
            (5000.0, 25.0, SEA_LEVEL_PA, 8_994.231_312_301_616),
            (1000.0, 20.0, 84_555.932_31, 1_526.744_743_187_621),
        ] {
            let got: f64 = ppm * mg_m3_of_one_ppm(t, pressure);
            assert!((got / mass - 1.0).abs() < 1e-9, "{ppm} {t}: {got}");
        }
        // Litres a mole, R T / p with scipy.constants.R; what the mass of one ppm is made from, so to 1e-9.
        for (t, litres) in [
            (0.0, 22.413_969_545_0),
            (18.0, 23.891_002_134_5),
            (20.0, 24.055_116_866_6),
            (25.0, 24.465_403_697_0),
        ] {
            let got = CO2_G_MOL / mg_m3_of_one_ppm(t, SEA_LEVEL_PA);
            assert!((got / litres - 1.0).abs() < 1e-9, "{t}: {got}");
        }
        // CoolProp 8.0.0, pure carbon dioxide at 20 °C as a real gas, kg/m³: half a percent denser, as the range says.
        let ideal = 1000.0 * mg_m3_of_one_ppm(20.0, SEA_LEVEL_PA) / 1000.0;
        assert!((1.839_344_937_9 / ideal - 1.0).abs() < 0.006);
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
            // Air changes an hour of the 0.25 m³.
            assert!((got / 0.25 - 4.0 * flow).abs() < 1e-11);
        }
        // Closed, it takes an hour from 420 to 1000 ppm.
        let hours = (1000.0 - 420.0) / (1e6 * source / 0.25);
        assert!((hours - 1.0).abs() < 1e-12, "{hours}");
        let steady = steady_co2_ppm(420.0, source, 1.0).expect("there is air");
        assert!((steady - 565.0).abs() < 1e-9);
        for (start, hours, ppm) in [
            (420.0, 0.25, 511.657_481_030_140_84),
            (420.0, 0.5, 545.376_383_930_691_2),
            (3000.0, 0.1, 2_197.229_312_096_781_5),
            (3000.0, 0.5, 894.541_414_681_152),
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
    fn the_air_for_each_limit_is_the_source_over_the_difference() {
        // Litres of carbon dioxide an hour, then m³/h of outdoor air of 420 ppm for at most 600, 700, 800, 1000 and
        // 1500 ppm; the same equation, computed in double precision and printed to eight decimals: 6e-9.
        for (litres_h, flows) in [
            (
                0.05,
                [
                    0.277_777_78,
                    0.178_571_43,
                    0.131_578_95,
                    0.086_206_90,
                    0.046_296_30,
                ],
            ),
            (
                0.1,
                [
                    0.555_555_56,
                    0.357_142_86,
                    0.263_157_89,
                    0.172_413_79,
                    0.092_592_59,
                ],
            ),
            (
                0.2,
                [
                    1.111_111_11,
                    0.714_285_71,
                    0.526_315_79,
                    0.344_827_59,
                    0.185_185_19,
                ],
            ),
            (
                0.5,
                [
                    2.777_777_78,
                    1.785_714_29,
                    1.315_789_47,
                    0.862_068_97,
                    0.462_962_96,
                ],
            ),
            (
                1.0,
                [
                    5.555_555_56,
                    3.571_428_57,
                    2.631_578_95,
                    1.724_137_93,
                    0.925_925_93,
                ],
            ),
            (
                2.0,
                [
                    11.111_111_11,
                    7.142_857_14,
                    5.263_157_89,
                    3.448_275_86,
                    1.851_851_85,
                ],
            ),
        ] {
            for (limit, flow) in [600.0, 700.0, 800.0, 1000.0, 1500.0].into_iter().zip(flows) {
                let got = airflow_for_limit_m3_h(420.0, litres_h / 1000.0, limit)
                    .expect("outdoors is better");
                assert!((got - flow).abs() < 6e-9, "{litres_h} {limit}: {got}");
            }
        }
    }

    #[test]
    fn three_air_changes_are_most_of_a_change() {
        // 63 % take 1/n hours and 95 % take 3/n, rounded: ln 20 is 2.9957.
        assert!((hours_to_share(0.95, 4.0) - 0.75).abs() < 0.002);
        for (changes, minutes_63, minutes_95) in [
            (1.0, 60.0, 180.0),
            (4.0, 15.0, 45.0),
            (10.0, 6.0, 18.0),
            (20.0, 3.0, 9.0),
        ] {
            let most = 60.0 * hours_to_share(1.0 - 1.0 / std::f64::consts::E, changes);
            assert!((most - minutes_63).abs() < 1e-9, "{changes}: {most}");
            let nearly = 60.0 * hours_to_share(0.95, changes);
            assert!(
                (nearly / minutes_95 - 1.0).abs() < 0.002,
                "{changes}: {nearly}"
            );
        }
        assert!((hours_to_share(1.0 - 1.0 / std::f64::consts::E, 10.0) - 0.1).abs() < 1e-12);
    }
}
