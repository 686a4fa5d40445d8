//! Moist air: other formulations of its saturation, its density, real air, and printed tables.

use blockside::engine::climate::pair::{Given, air as air_of};
use blockside::engine::climate::{
    Air, SEA_LEVEL_PA, pressure_at_height_pa, saturation_pressure_pa,
};

use crate::check_values::{close, near, rows};

/// The form of Magnus with the constants of WMO-No. 8, annex 4.B, over water and over ice, without pressure factor.
fn magnus_pa(t: f64) -> f64 {
    if t < 0.0 {
        611.2 * (22.46 * t / (272.62 + t)).exp()
    } else {
        611.2 * (17.62 * t / (243.12 + t)).exp()
    }
}

fn magnus_dew_point_c(vapour_pa: f64) -> f64 {
    let log = (vapour_pa / 611.2).ln();
    243.12 * log / (17.62 - log)
}

#[test]
fn saturation_agrees_with_the_form_of_magnus_within_half_a_percent() {
    // t, Pa by WMO-No. 8 without pressure factor, twelve digits. It is another formula, 0.27 % lower at 20 °C: 0.5 %.
    for [t, magnus] in rows(
        "
        -20 103.260962991
        -10 259.873805998
        -5 401.737703441
        -2 517.720244527
        -1 562.693563049
        0.01 611.643106457
        1 656.946021082
        5 871.742746769
        8 1071.43001808
        10 1226.03020553
        12 1399.97644615
        14 1595.30565269
        15 1701.67202406
        16 1814.22626995
        18 2059.12869443
        20 2332.5960221
        21 2480.90415072
        22 2637.41511642
        24 2976.58798796
        25 3160.05691649
        26 3353.34347585
        28 3771.14922047
        30 4233.72391592
        35 5612.84171942
        50 12345.1581928
        ",
    ) {
        near(magnus_pa(t), magnus, 1e-11);
        near(saturation_pressure_pa(t), magnus, 5e-3);
    }
    // The pressure factor of the same guide at 1013.25 hPa, and the test value of a public function that cites it: 10
    // °C, 1000 hPa, 0.001 kg of water in each kg of moist air is 13.03 % humid. The program has no such factor: 0.5 %.
    let factor = |hpa: f64| 1.0016 + 3.15e-6 * hpa - 0.074 / hpa;
    near(factor(1013.25), 1.004_718_705_178_263, 1e-15);
    let vapour = 0.001 * 1e5 / (0.62198 + 0.001);
    let by_guide = 100.0 * vapour / (factor(1000.0) * magnus_pa(10.0));
    near(by_guide, 13.031_628_710_406_915, 1e-14);
    near(
        100.0 * vapour / saturation_pressure_pa(10.0),
        by_guide,
        5e-3,
    );
}

#[test]
fn saturation_agrees_with_the_industrial_standard() {
    // t, Pa by IAPWS-IF97 (chemicals 1.5.2), another equation; ASHRAE states 300 ppm.
    for [t, standard] in rows(
        "
        0.01 611.657000011
        1 657.088049118
        5 872.57486113
        8 1072.98775497
        10 1228.18386934
        12 1402.82237282
        14 1598.94405653
        15 1705.74487439
        16 1818.75904161
        18 2064.65652767
        20 2339.21476678
        21 2488.1015685
        22 2645.21124658
        24 2985.63306595
        25 3169.74685495
        26 3363.68748499
        28 3782.81263093
        30 4246.68834055
        35 5628.62014412
        50 12351.270434
        ",
    ) {
        near(saturation_pressure_pa(t), standard, 300e-6);
    }
}

#[test]
fn dew_points_agree_with_the_form_of_magnus() {
    // t, RH, dew point by WMO-No. 8, six decimals; 0.02 K between the two formulas at 10 to 30 °C and 45 % or more.
    for [t, rh, dew] in rows(
        "
        18 90 16.333707
        20 90 18.308167
        21 45 8.606805
        24 60 15.754044
        ",
    ) {
        let air = Air::new(t, rh);
        // The vapour is by the same formula, so that most of what it is low by cancels.
        close(magnus_dew_point_c(rh / 100.0 * magnus_pa(t)), dew, 6e-7);
        close(air.dew_point_c().expect("damp air"), dew, 0.02);
    }
}

#[test]
fn densities_are_those_of_another_program() {
    // t, RH, kg/m³ of PsychroLib 2.5.0, GetMoistAirDensity; the last two at the pressure of 1500 m. The same equations
    // give it to 1e-8. `air` counts by molar masses instead, so that carbon dioxide can be added; the gas constant that
    // the handbook has for dry air is 4.6e-5 smaller than theirs: 5e-5.
    let table = rows(
        "
        12 85 1.2324282269
        16 93 1.2131065605
        18 80 1.2049530140
        18 85 1.2044861042
        18 90 1.2040191945
        18 95 1.2035522847
        20 50 1.1988979667
        20 90 1.1946948393
        21 45 1.1950458226
        22 40 1.1912715329
        24 60 1.1800038720
        24 95 1.1753729889
        25 50 1.1769581864
        30 80 1.1496726668
        18 90 1.0033657238
        21 45 0.9964387923
        ",
    );
    for (row, [t, rh, density]) in table.into_iter().enumerate() {
        let pressure = if row < 14 {
            SEA_LEVEL_PA
        } else {
            pressure_at_height_pa(1500.0)
        };
        let air = Air::new(t, rh).at_pressure(pressure);
        near(
            (1.0 + air.humidity_ratio()) / air.specific_volume_m3_kg(),
            density,
            1e-8,
        );
        near(air.density_kg_m3(420.0), density, 5e-5);
    }
}

#[test]
fn real_moist_air_is_near() {
    // CoolProp 8.0.0, HAPropsSI: t, RH, humidity ratio, dew point, wet bulb, J/kg, m³/kg, g/m³. Ideal gas against real
    // air: 0.5 % on humidity ratio and absolute humidity, 0.003 K on the dew point but 0.0035 K at the height of 1500
    // m, 0.01 K on the wet bulb, 0.4 % on the enthalpy, 0.05 % on the volume. The last two rows stand for 1500 m.
    let table = rows(
        "
        12 85 0.007436790554 9.55964565 10.63537804 30825.6780 0.8170554940 9.10194058
        16 93 0.010602718338 14.86955873 15.28982514 42911.4113 0.8327061284 12.73284533
        18 80 0.010349876833 14.50198097 15.79891907 44323.2622 0.8381500360 12.34847747
        18 85 0.011008193444 15.44292791 16.36590623 45990.3217 0.8390193744 13.12030899
        18 90 0.011667882302 16.33646260 16.92148943 47660.7885 0.8398904231 13.89214829
        18 95 0.012328947702 17.18744196 17.46606180 49334.6732 0.8407631871 14.66399563
        20 50 0.007293697702 9.27442582 13.77646886 38622.8389 0.8398598462 8.68442245
        20 90 0.013252992674 18.31064400 18.86364628 53736.6986 0.8477850594 15.63249143
        21 45 0.006978773589 8.62864269 13.86740747 38843.2568 0.8423127529 8.28525220
        22 40 0.006591131569 7.79695978 13.88913870 38877.7573 0.8446652384 7.80324710
        24 60 0.011242138394 15.76517342 18.60080562 52747.0592 0.8566778550 13.12294736
        24 95 0.017989739919 23.14919300 23.38250283 69907.6264 0.8657700051 20.77889025
        25 50 0.009925739296 13.86688665 17.88348681 50423.4504 0.8577882434 11.57131655
        30 80 0.021675772037 26.17039977 27.09062797 85564.8488 0.8883703165 24.39947805
        18 90 0.014026733416 16.33656476 16.85446415 53678.6096 1.0102657526 13.88420164
        21 45 0.008377205416 8.62939762 13.36722407 42434.8941 1.0116636007 8.28062353
        ",
    );
    for (row, [t, rh, ratio, dew, wet, heat, volume, absolute]) in table.into_iter().enumerate() {
        let (pressure, dew_within) = if row < 14 {
            (SEA_LEVEL_PA, 0.003)
        } else {
            (pressure_at_height_pa(1500.0), 0.0035)
        };
        let air = Air::new(t, rh).at_pressure(pressure);
        near(air.humidity_ratio(), ratio, 5e-3);
        close(air.dew_point_c().expect("damp air"), dew, dew_within);
        close(air.wet_bulb_c(), wet, 0.01);
        near(1000.0 * air.enthalpy_kj_kg(), heat, 4e-3);
        near(air.specific_volume_m3_kg(), volume, 5e-4);
        near(air.absolute_humidity_g_m3(), absolute, 5e-3);
    }
}

#[test]
fn saturated_air_agrees_with_the_printed_table() {
    // ASHRAE Handbook, Fundamentals (2017), ch. 1, table 2: t, humidity ratio and kJ/kg as printed; then what CoolProp
    // 8.0.0 gives for them; then the ideal gas of PsychroLib 2.5.0. The program is an ideal gas: equal to the last to
    // 1e-8; to the printed humidity ratio to 0.7 %, which is poor and is physics, real air holds a little more.
    for [t, ratio, heat, real_ratio, real_heat, ideal_ratio] in rows(
        "
        -20 0.0006373 -18.542 0.000637283901538 -18.541728383 0.000634471175822
        -5 0.0024863 1.164 0.00248631328546 1.164503145 0.00247589353415
        5 0.005425 18.639 0.00542465410894 18.639660137 0.00540194261062
        25 0.020173 76.504 0.0201734302265 76.504528973 0.0200811227483
        50 0.086863 275.353 0.0868628851692 275.353229641 0.0863267107552
        ",
    ) {
        let air = Air::new(t, 100.0);
        near(air.humidity_ratio(), ideal_ratio, 1e-8);
        near(air.humidity_ratio(), ratio, 7e-3);
        near(air.humidity_ratio(), real_ratio, 7e-3);
        // The enthalpy is off by what the water is: 0.5 % at 50 °C; near 0 it is counted in kJ.
        close(air.enthalpy_kj_kg(), heat, 0.05 + 5e-3 * heat.abs());
        close(air.enthalpy_kj_kg(), real_heat, 0.05 + 5e-3 * heat.abs());
    }
}

#[test]
fn an_example_of_the_handbook_comes_out() {
    // ASHRAE Handbook, Fundamentals (2017), ch. 1, example 1: 40 °C, wet bulb 20 °C, read off a chart: humidity ratio
    // 0.0065, dew point 7 °C, 14 %, 56.7 kJ/kg, 0.896 m³/kg. PsychroLib 2.5.0 computes more digits: 1e-8.
    let given = Given {
        temperature_c: Some(40.0),
        wet_bulb_c: Some(20.0),
        ..Given::default()
    };
    let air = air_of(given, SEA_LEVEL_PA).expect("there is such air");
    near(air.humidity_ratio(), 0.006_400_785_965, 1e-8);
    close(air.dew_point_c().expect("damp"), 7.433_611_019, 1e-7);
    near(air.humidity_percent(), 13.979_488_6, 1e-7);
    near(air.enthalpy_kj_kg(), 56.724_584_174, 1e-8);
    near(air.specific_volume_m3_kg(), 0.896_247_534, 1e-8);
    // The chart itself: to the digit that a pencil gets from it, half a kelvin on the dew point.
    close(air.humidity_ratio(), 0.0065, 1e-4);
    close(air.dew_point_c().expect("damp"), 7.0, 0.5);
    close(air.humidity_percent(), 14.0, 0.05);
    close(air.enthalpy_kj_kg(), 56.7, 0.05);
    close(air.specific_volume_m3_kg(), 0.896, 5e-4);
}

#[test]
fn a_closed_formula_for_the_wet_bulb_is_a_tenth_off() {
    // Stull 2011 (from memory), its own example: 20 °C and 50 % give 13.7 °C. The program solves the handbook's
    // equations and gets 13.78 °C: poor agreement, 0.09 K, within what the formula's author states.
    let (t, rh) = (20.0_f64, 50.0_f64);
    let stull = t * (0.151_977 * (rh + 8.313_659).sqrt()).atan() + (t + rh).atan()
        - (rh - 1.676_331).atan()
        + 0.003_918_38 * rh.powf(1.5) * (0.023_101 * rh).atan()
        - 4.686_035;
    close(stull, 13.699_341_968_988_136, 1e-12);
    close(stull, 13.7, 0.05);
    close(Air::new(t, rh).wet_bulb_c(), stull, 0.1);
}
