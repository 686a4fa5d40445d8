//! Pressure at heights, and grids of states that a screen might show.

use blockside::engine::climate::{Air, pressure_at_height_pa, saturation_pressure_pa};

use crate::check_values::{close, near, rows};

#[test]
fn pressure_at_heights_is_that_of_another_program() {
    // Height in metres; Pa by PsychroLib 2.5.0, GetStandardAtmPressure, the same equation: 1e-9; Pa of the US Standard
    // Atmosphere 1976 (fluids 1.3.1): 0.04 % up to 4000 m.
    for [height, same, standard] in rows(
        "
        -500 107477.53671244 107478.00229518
        0 101325.00000000 101325.00000000
        250 98357.52222105 98357.65137443
        500 95460.81237254 95461.28949695
        1000 89874.51941577 89876.28518727
        1500 84555.93231143 84559.67669331
        2000 79495.12403775 79501.42464167
        2500 74682.42558119 74691.75646699
        3000 70108.42215941 70121.16223643
        4000 61640.08986486 61660.44413047
        ",
    ) {
        near(pressure_at_height_pa(height), same, 1e-9);
        near(pressure_at_height_pa(height), standard, 4e-4);
    }
}

#[test]
fn height_changes_the_humidity_ratio_in_proportion_and_the_wet_bulb_a_little() {
    let low = Air::new(18.0, 90.0);
    let high = low.at_pressure(pressure_at_height_pa(1500.0));
    assert_eq!(low.dew_point_c(), high.dew_point_c());
    assert_eq!(low.vapour_deficit_pa(), high.vapour_deficit_pa());
    assert_eq!(low.absolute_humidity_g_m3(), high.absolute_humidity_g_m3());
    // Two decimals as printed: 16.92 becomes 16.86 °C. The ratio goes nearly with the pressure, 0.4 % apart.
    close(low.wet_bulb_c(), 16.92, 0.005);
    close(high.wet_bulb_c(), 16.86, 0.005);
    let pressures = low.pressure_pa() / high.pressure_pa();
    near(
        high.humidity_ratio() / low.humidity_ratio(),
        pressures,
        4e-3,
    );
}

/// Holds a grid of temperatures (first column) by humidities to six decimals, half of the last digit.
fn grid(humidities: [f64; 8], table: &str, of: impl Fn(Air) -> f64) {
    for row in rows::<9>(table) {
        for (rh, wanted) in humidities.into_iter().zip(&row[1..]) {
            close(of(Air::new(row[0], rh)), *wanted, 6e-7);
        }
    }
}

#[test]
fn dew_points_over_a_grid_are_those_of_another_program() {
    // PsychroLib 2.5.0, °C: t, then 70 to 98 %.
    grid(
        [70.0, 75.0, 80.0, 85.0, 90.0, 92.0, 95.0, 98.0],
        "
        10 4.786771 5.778276 6.713005 7.597500 8.437214 8.761615 9.236743 9.698824
        12 6.704385 7.711394 8.660811 9.559267 10.412292 10.741851 11.224548 11.694006
        14 8.621224 9.643880 10.608121 11.520669 12.387131 12.721896 13.212234 13.689142
        16 10.537287 11.575732 12.554932 13.481703 14.361729 14.701750 15.199802 15.684230
        18 12.452574 13.506949 14.501245 15.442370 16.336087 16.681413 17.187252 17.679272
        20 14.367081 15.437529 16.447058 17.402669 18.310203 18.660884 19.174583 19.674267
        22 16.280808 17.367472 18.392370 19.362599 20.284078 20.640163 21.161795 21.669214
        24 18.193754 19.296776 20.337180 21.322159 22.257709 22.619249 23.148888 23.664115
        26 20.105918 21.225440 22.281488 23.281349 24.231098 24.598142 25.135861 25.658967
        28 22.017297 23.153463 24.225293 25.240167 26.204244 26.576842 27.122715 27.653773
        ",
        |air| air.dew_point_c().expect("damp air"),
    );
}

#[test]
fn vapour_deficits_over_a_grid_are_those_of_another_program() {
    // PsychroLib 2.5.0, Pa: t, then 70 to 98 %.
    grid(
        [70.0, 75.0, 80.0, 85.0, 90.0, 92.0, 95.0, 98.0],
        "
        10 368.398583 306.998819 245.599055 184.199291 122.799528 98.239622 61.399764 24.559906
        12 420.777351 350.647792 280.518234 210.388675 140.259117 112.207294 70.129558 28.051823
        14 479.600751 399.667292 319.733834 239.800375 159.866917 127.893533 79.933458 31.973383
        16 545.531867 454.609889 363.687912 272.765934 181.843956 145.475165 90.921978 36.368791
        18 619.287492 516.072910 412.858328 309.643746 206.429164 165.143331 103.214582 41.285833
        20 701.641110 584.700925 467.760740 350.820555 233.880370 187.104296 116.940185 46.776074
        22 793.425956 661.188296 528.950637 396.712978 264.475319 211.580255 132.237659 52.895064
        24 895.538120 746.281767 597.025414 447.769060 298.512707 238.810165 149.256353 59.702541
        26 1008.939717 840.783097 672.626478 504.469858 336.313239 269.050591 168.156619 67.262648
        28 1134.662090 945.551742 756.441394 567.331045 378.220697 302.576557 189.110348 75.644139
        ",
        Air::vapour_deficit_pa,
    );
}

#[test]
fn absolute_humidities_over_a_grid_are_those_of_the_gas_law() {
    // Ideal gas with the vapour pressure of PsychroLib 2.5.0, g/m³: t, then 40 to 100 %.
    grid(
        [40.0, 50.0, 60.0, 80.0, 85.0, 90.0, 95.0, 100.0],
        "
        10 3.758779 4.698474 5.638168 7.517558 7.987405 8.457252 8.927100 9.396947
        12 4.263089 5.328861 6.394633 8.526177 9.059063 9.591950 10.124836 10.657722
        14 4.825212 6.031515 7.237818 9.650424 10.253576 10.856728 11.459879 12.063031
        16 5.450575 6.813219 8.175862 10.901150 11.582472 12.263794 12.945116 13.626437
        18 6.144986 7.681233 9.217479 12.289972 13.058095 13.826219 14.594342 15.362465
        20 6.914655 8.643319 10.371982 13.829310 14.693642 15.557974 16.422306 17.286637
        22 7.766208 9.707760 11.649312 15.532415 16.503191 17.473967 18.444743 19.415519
        24 8.706703 10.883379 13.060055 17.413406 18.501744 19.590082 20.678420 21.766758
        26 9.743648 12.179560 14.615472 19.487297 20.705253 21.923209 23.141165 24.359121
        28 10.885016 13.606270 16.327524 21.770032 23.130659 24.491286 25.851913 27.212540
        ",
        Air::absolute_humidity_g_m3,
    );
}

#[test]
fn a_kelvin_is_worth_five_and_a_half_points() {
    // RH after only the temperature changes, from 20 °C and 90 %, and what falls out in g/m³; PsychroLib 2.5.0. Above
    // one the program holds the air at 100 %, so the ratio of pressures is looked at: 1e-11. Grams to eight decimals:
    // 6e-9.
    for [change, humidity, falls] in rows(
        "
        -3 1.086160449422 1.08604641
        -2 1.019683115682 0.19550861
        -1 0.957742654742 0.00000000
        -0.5 0.928366693855 0.00000000
        0.5 0.872604451378 0.00000000
        1 0.846143488925 0.00000000
        2 0.795886489988 0.00000000
        3 0.748965248192 0.00000000
        ",
    ) {
        let held = saturation_pressure_pa(20.0 + change);
        near(0.9 * saturation_pressure_pa(20.0) / held, humidity, 1e-11);
        let (then, fallen) = Air::new(20.0, 90.0).taken_to(20.0 + change);
        near(then.humidity_percent(), 100.0 * humidity.min(1.0), 1e-11);
        close(fallen, falls, 6e-9);
    }
    // Points a kelvin at 90 %, by central differences; six decimals.
    for [t, points] in rows("15 -5.796243\n20 -5.574980\n25 -5.365300") {
        let at = |t: f64| Air::new(t, 90.0);
        let step = 1e-3;
        let slope = |air: Air| {
            let up = air.taken_to(t + step).0.humidity_percent();
            let down = air.taken_to(t - step).0.humidity_percent();
            (up - down) / (2.0 * step)
        };
        close(slope(at(t)), points, 1e-6);
    }
}

#[test]
fn how_far_air_may_cool_before_it_is_full() {
    // RH, then temperature less dew point at 20 and at 15 °C, K; PsychroLib 2.5.0, eight decimals.
    for [rh, at_20, at_15] in rows(
        "
        80 3.55294230 3.41841146
        85 2.59733083 2.49876826
        90 1.68979674 1.62553966
        92 1.33911565 1.28815292
        95 0.82541668 0.79396692
        98 0.32573322 0.31330807
        ",
    ) {
        for (t, fall) in [(20.0, at_20), (15.0, at_15)] {
            let margin = Air::new(t, rh).condensation_margin_k(t);
            close(margin.expect("damp air"), fall, 2e-8);
        }
    }
}
