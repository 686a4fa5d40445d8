//! Check values of the physics, each table with its source and the reason for its tolerance.

use super::*;

#[track_caller]
fn close(got: f64, wanted: f64, within: f64) {
    assert!(
        (got - wanted).abs() <= within,
        "{got} is not {wanted} within {within}"
    );
}

/// As `close`, relative to the wanted value.
#[track_caller]
fn near(got: f64, wanted: f64, share: f64) {
    close(got, wanted, share * wanted.abs());
}

#[test]
fn saturation_pressure_equals_another_programs_and_agrees_with_the_reference_equation() {
    // t, Pa from PsychroLib 2.5.0 (the same equations: 1e-8, where it prints 12 digits), and Pa from CoolProp
    // 8.0.0 after IAPWS-95, over ice after IAPWS 2011 (another equation; ASHRAE states 300 ppm).
    for (t, same, reference) in [
        (-20.0, 103.260_378_581, 103.239_029_002),
        (-10.0, 259.902_864_952, 259.873_810_798),
        (-5.0, 401.764_122_479, 401.741_022_116),
        (-2.0, 517.716_771_646, 517.704_666_186),
        (-1.0, 562.671_529_609, 562.664_883_741),
        (0.01, 611.657_024_391, 611.654_771_07),
        (1.0, 657.071_717_981, 657.085_634_177),
        (5.0, 872.486_654_264, 872.575_113_906),
        (8.0, 1_072.840_489_89, 1_072.995_017_47),
        (10.0, 1_227.995_275_44, 1_228.198_930_75),
        (12.0, 1_402.591_168_81, 1_402.848_158_67),
        (14.0, 1_598.669_168_6, 1_598.983_811_69),
        (15.0, 1_705.447_794_44, 1_705.792_916_13),
        (16.0, 1_818.439_557_51, 1_818.816_275_13),
        (18.0, 2_064.291_638_94, 2_064.734_943_92),
        (20.0, 2_338.803_700_07, 2_339.318_183_41),
        (21.0, 2_487.667_112_75, 2_488.218_926_88),
        (22.0, 2_644.753_185_97, 2_645.343_500_3),
        (24.0, 2_985.127_067_94, 2_985.797_907_45),
        (25.0, 3_169.216_470_14, 3_169.929_338_94),
        (26.0, 3_363.132_388_97, 3_363.888_464_73),
        (28.0, 3_782.206_967_93, 3_783.052_977_97),
        (30.0, 4_246.030_243_59, 4_246.970_836_9),
        (35.0, 5_627.819_446_54, 5_629.016_106_79),
        (50.0, 12_349.856_466_7, 12_351.945_837_6),
    ] {
        near(saturation_pressure_pa(t), same, 1e-8);
        near(saturation_pressure_pa(t), reference, 300e-6);
    }
}

#[test]
fn saturation_pressure_agrees_with_the_printed_tables() {
    // ASHRAE Handbook, Fundamentals (2017), ch. 1, table 3; the fit is stated to hold within 300 ppm.
    for (t, printed) in [
        (-20.0, 103.24),
        (-5.0, 401.74),
        (5.0, 872.6),
        (25.0, 3169.7),
        (50.0, 12_351.3),
        (100.0, 101_418.0),
        (150.0, 476_101.4),
    ] {
        near(saturation_pressure_pa(t), printed, 300e-6);
    }
    // At -60 °C the table prints three digits: 1.08.
    close(saturation_pressure_pa(-60.0), 1.08, 0.005);
    // CRC Handbook, vapour pressure of water, kPa; printed digits and 300 ppm.
    for (t, printed) in [
        (10.0, 1.2281),
        (15.0, 1.7056),
        (20.0, 2.3388),
        (25.0, 3.1690),
        (30.0, 4.2455),
    ] {
        near(saturation_pressure_pa(t) / 1000.0, printed, 300e-6);
    }
}

#[test]
fn states_of_air_equal_another_programs() {
    // PsychroLib 2.5.0 with a tolerance of 1e-10 (the same equations: 1e-8). t, RH, vapour pressure, deficit,
    // absolute humidity, humidity ratio, dew point, wet bulb, enthalpy J/kg, specific volume; the last two at
    // the pressure of 1500 m.
    for (row, state) in [
        [
            12.0,
            85.0,
            1_192.202_493,
            210.388_675,
            9.059_063_44,
            0.007_405_010_129,
            9.559_267_24,
            10.637_200_81,
            30_757.210_2,
            0.817_414_749_3,
        ],
        [
            16.0,
            93.0,
            1_691.148_788,
            127.290_769,
            12.672_586_76,
            0.010_556_668_446,
            14.869_332_44,
            15.290_515_80,
            42_812.394_2,
            0.833_032_069_4,
        ],
        [
            18.0,
            80.0,
            1_651.433_311,
            412.858_328,
            12.289_972_10,
            0.010_304_644_700,
            14.501_244_76,
            15.801_004_33,
            44_224.915_9,
            0.838_459_784_7,
        ],
        [
            18.0,
            85.0,
            1_754.647_893,
            309.643_746,
            13.058_095_36,
            0.010_960_034_396,
            15.442_370_31,
            16.367_375_99,
            45_885.988_0,
            0.839_328_931_1,
        ],
        [
            18.0,
            90.0,
            1_857.862_475,
            206.429_164,
            13.826_218_62,
            0.011_616_784_255,
            16.336_087_07,
            16.922_409_19,
            47_550.507_4,
            0.840_199_881_3,
        ],
        [
            18.0,
            95.0,
            1_961.077_057,
            103.214_582,
            14.594_341_87,
            0.012_274_898_515,
            17.187_252_26,
            17.466_492_92,
            49_218.484_8,
            0.841_072_640_9,
        ],
        [
            20.0,
            50.0,
            1_169.401_850,
            1_169.401_850,
            8.643_318_75,
            0.007_261_737_207,
            9.272_392_29,
            13.783_554_47,
            38_551.741_4,
            0.840_156_347_9,
        ],
        [
            20.0,
            90.0,
            2_104.923_330,
            233.880_370,
            15.557_973_74,
            0.013_194_371_386,
            18.310_203_26,
            18.864_450_63,
            53_609.953_5,
            0.848_077_967_7,
        ],
        [
            21.0,
            45.0,
            1_119.450_201,
            1_368.216_912,
            8.245_985_69,
            0.006_948_082_781,
            8.626_259_46,
            13.875_529_25,
            38_774.547_1,
            0.842_602_069_1,
        ],
        [
            22.0,
            40.0,
            1_057.901_274,
            1_586.851_912,
            7.766_207_75,
            0.006_562_036_964,
            7.794_189_49,
            13.898_423_13,
            38_812.173_0,
            0.844_947_612_0,
        ],
        [
            24.0,
            60.0,
            1_791.076_241,
            1_194.050_827,
            13.060_054_50,
            0.011_191_670_844,
            15.762_943_08,
            18.604_890_45,
            52_633.965_0,
            0.856_939_282_0,
        ],
        [
            24.0,
            95.0,
            2_835.870_715,
            149.256_353,
            20.678_419_63,
            0.017_908_124_728,
            23.148_888_13,
            23.382_732_86,
            69_731.638_6,
            0.866_029_876_7,
        ],
        [
            25.0,
            50.0,
            1_584.608_235,
            1_584.608_235,
            11.515_790_25,
            0.009_881_043_691,
            13.863_973_27,
            17.889_342_25,
            50_321.958_8,
            0.858_043_263_9,
        ],
        [
            30.0,
            80.0,
            3_396.824_195,
            849.206_049,
            24.278_516_63,
            0.021_573_339_915,
            26.168_593_24,
            27.090_967_47,
            85_338.715_5,
            0.888_577_565_9,
        ],
        [
            18.0,
            90.0,
            1_857.862_475,
            206.429_164,
            13.826_218_62,
            0.013_972_372_987,
            16.336_087_07,
            16.855_177_82,
            53_520.699_9,
            1.010_571_069_9,
        ],
        [
            21.0,
            45.0,
            1_119.450_201,
            1_368.216_912,
            8.245_985_69,
            0.008_344_508_751,
            8.626_259_46,
            13.374_252_18,
            42_321.552_9,
            1.011_948_266_7,
        ],
    ]
    .into_iter()
    .enumerate()
    {
        let [t, rh, e, deficit, ah, w, dew, wet, h, v] = state;
        let pressure = if row < 14 {
            SEA_LEVEL_PA
        } else {
            pressure_at_height_pa(1500.0)
        };
        let air = Air::new(t, rh).at_pressure(pressure);
        near(air.vapour_pressure_pa(), e, 1e-8);
        near(air.vapour_deficit_pa(), deficit, 1e-8);
        near(air.absolute_humidity_g_m3(), ah, 1e-8);
        near(air.humidity_ratio(), w, 1e-8);
        near(air.dew_point_c().expect("damp air"), dew, 1e-8);
        near(air.wet_bulb_c(), wet, 1e-8);
        near(air.enthalpy_kj_kg() * 1000.0, h, 1e-8);
        near(air.specific_volume_m3_kg(), v, 1e-8);
    }
}

#[test]
fn pressure_falls_with_height() {
    // ASHRAE Handbook, Fundamentals (2017), ch. 1, table 1; whole pascals, and the formula stays within 3 Pa.
    for (height, printed) in [
        (-500.0, 107_478.0),
        (0.0, 101_325.0),
        (500.0, 95_461.0),
        (1000.0, 89_875.0),
        (4000.0, 61_640.0),
        (10_000.0, 26_436.0),
    ] {
        close(pressure_at_height_pa(height), printed, 3.0);
    }
}

#[test]
fn air_without_vapour_has_no_dew_point() {
    assert_eq!(Air::new(20.0, 0.0).dew_point_c(), None);
    assert_eq!(Air::new(20.0, 0.0).condensation_margin_k(5.0), None);
    assert_eq!(dew_point_of_c(f64::NAN), None);
    assert_eq!(dew_point_of_c(-1.0), None);
    assert_eq!(dew_point_of_c(1e9), None);
}

#[test]
fn the_dew_point_undoes_saturation_across_the_triple_point() {
    for step in 0..=400 {
        let t = -40.0 + 0.2 * f64::from(step);
        let dew = dew_point_of_c(saturation_pressure_pa(t)).expect("in range");
        // 1e-9 but for the step between ice and water, 20 ppm or some 3e-4 K wide.
        let within = if (t - TRIPLE_POINT_C).abs() < 0.05 {
            3e-4
        } else {
            1e-9
        };
        close(dew, t, within);
    }
}

#[test]
fn walls_drip_when_their_margin_is_used_up() {
    // Inside 20 °C and 90 %; surface of a film half-way to a room of 18, 15, 12 °C (PsychroLib 2.5.0).
    for (surface, margin) in [
        (19.0, 0.689_796_74),
        (17.5, -0.810_203_26),
        (16.0, -2.310_203_26),
    ] {
        let got = Air::new(20.0, 90.0).condensation_margin_k(surface);
        close(got.expect("damp air"), margin, 1e-7);
    }
}

#[test]
fn carbon_dioxide_in_a_quarter_cubic_metre() {
    // Closed form and RK45 (scipy), V = 0.25 m3, 0.145 L/h of carbon dioxide, outside 420 ppm.
    let (outside, source, volume) = (420.0, 0.145e-3, 0.25);
    for (limit, airflow, changes) in [
        (700.0, 0.517_857_142_857_142_9, 2.071_428_571_428_571_6),
        (800.0, 0.381_578_947_368_421_1, 1.526_315_789_473_684_3),
        (1000.0, 0.25, 1.0),
        (1500.0, 0.134_259_259_259_259_27, 0.537_037_037_037_037_1),
    ] {
        let got = airflow_for_limit_m3_h(outside, source, limit).expect("above outside");
        near(got, airflow, 1e-14);
        near(got / volume, changes, 1e-14);
        near(
            steady_co2_ppm(outside, source, got).expect("there is airflow"),
            limit,
            1e-14,
        );
    }
    let steady = steady_co2_ppm(outside, source, 4.0 * volume).expect("there is airflow");
    near(steady, 565.0, 1e-14);
    for (start, hours, wanted) in [
        (420.0, 0.1, 467.803_593_324_832_26),
        (420.0, 0.25, 511.657_481_030_140_84),
        (420.0, 0.5, 545.376_383_930_691_2),
        (420.0, 1.0, 562.344_232_361_133_5),
        (3000.0, 0.1, 2_197.229_312_096_781_5),
        (3000.0, 0.25, 1_460.786_439_252_462),
        (3000.0, 0.5, 894.541_414_681_152),
        (3000.0, 1.0, 609.598_580_694_067_8),
    ] {
        near(co2_after_ppm(start, steady, 4.0, hours), wanted, 1e-12);
    }
    assert_eq!(steady_co2_ppm(outside, source, 0.0), None);
    assert_eq!(airflow_for_limit_m3_h(1200.0, source, 1000.0), None);
}

#[test]
fn airflow_is_multiplied_by_the_ratio_of_excesses() {
    // By hand: (2900 - 450) / (1150 - 450) = 3.5.
    near(
        airflow_factor(2900.0, 450.0, 1150.0).expect("computable"),
        3.5,
        1e-15,
    );
    near(
        airflow_factor(800.0, 400.0, 1200.0).expect("less would do"),
        0.5,
        1e-15,
    );
    for (measured, outside, limit) in [
        (2900.0, 1200.0, 1000.0),
        (2900.0, 1000.0, 1000.0),
        (420.0, 420.0, 1000.0),
        (300.0, 420.0, 1000.0),
        (f64::NAN, 420.0, 1000.0),
        (f64::INFINITY, 420.0, 1000.0),
    ] {
        assert_eq!(airflow_factor(measured, outside, limit), None);
    }
}

#[test]
fn mist_needed_for_fresh_air() {
    // PsychroLib 2.5.0 (same equations: 1e-8) and CoolProp 8.0.0 (real moist air: 0.8 % on a difference of humidity
    // ratios). Airflow m3/h, chamber, room, g/h twice; the last row needs no mist.
    for (airflow, chamber, room, same, real) in [
        (
            0.200_0,
            (21.0, 90.0),
            (21.0, 45.0),
            1.686_461_14,
            1.694_659_59,
        ),
        (
            1.000_0,
            (20.0, 90.0),
            (21.0, 45.0),
            7.413_094_31,
            7.448_799_82,
        ),
        (
            2.500_0,
            (20.0, 90.0),
            (21.0, 45.0),
            18.532_735_78,
            18.621_999_56,
        ),
        (
            3.000_0,
            (18.0, 90.0),
            (22.0, 40.0),
            17.946_961_04,
            18.031_110_44,
        ),
        (
            6.000_0,
            (18.0, 92.0),
            (20.0, 50.0),
            32.980_495_57,
            33.137_281_33,
        ),
        (
            12.000_0,
            (20.0, 85.0),
            (24.0, 60.0),
            17.574_318_53,
            17.646_447_92,
        ),
        (
            24.000_0,
            (15.0, 90.0),
            (15.0, 60.0),
            93.753_611_58,
            94.203_203_51,
        ),
        (
            6.000_0,
            (20.0, 90.0),
            (28.0, 60.0),
            -7.247_630_40,
            -7.300_432_78,
        ),
    ] {
        let rate = mist_rate_g_h(
            airflow,
            Air::new(chamber.0, chamber.1),
            Air::new(room.0, room.1),
        );
        near(rate, same, 1e-8);
        near(rate, real, 8e-3);
    }
    // Grams an hour for each m3/h, chamber at room temperature, to 80, 85, 90, 95 % (PsychroLib 2.5.0).
    for (t, rh, wanted) in [
        (
            18.0,
            40.0,
            [6.246_797_10, 7.034_931_59, 7.824_701_74, 8.616_112_64],
        ),
        (
            18.0,
            50.0,
            [4.685_097_83, 5.471_613_47, 6.259_761_40, 7.049_546_71],
        ),
        (
            18.0,
            60.0,
            [3.123_398_56, 3.908_295_34, 4.694_821_06, 5.482_980_78],
        ),
        (
            21.0,
            30.0,
            [9.345_764_93, 10.293_230_21, 11.243_074_21, 12.195_305_90],
        ),
        (
            21.0,
            45.0,
            [6.542_035_47, 7.485_985_63, 8.432_305_68, 9.381_004_57],
        ),
        (
            21.0,
            60.0,
            [3.738_305_99, 4.678_741_03, 5.621_537_14, 6.566_703_21],
        ),
        (
            24.0,
            40.0,
            [8.916_859_79, 10.046_623_61, 11.179_806_48, 12.316_423_94],
        ),
        (
            24.0,
            60.0,
            [4.458_429_91, 5.581_457_59, 6.707_883_92, 7.837_724_36],
        ),
    ] {
        for (target, wanted) in [80.0, 85.0, 90.0, 95.0].into_iter().zip(wanted) {
            let rate = mist_rate_g_h(1.0, Air::new(t, target), Air::new(t, rh));
            near(rate, wanted, 1e-8);
        }
    }
}

#[test]
fn uncertainty_of_what_a_hobby_sensor_gives() {
    // JCGM 100:2008 on 20 °C ± 0.3, 90 % ± 3, both rectangular; central differences with PsychroLib 2.5.0.
    let root3 = 3.0_f64.sqrt();
    let inputs = [(20.0, 0.3 / root3), (90.0, 3.0 / root3)];
    let dew = |x: &[f64]| Air::new(x[0], x[1]).dew_point_c();
    let (value, sigma) = uncertain(dew, &inputs).expect("damp air");
    close(value, 18.310_203_26, 1e-8);
    close(sigma, 0.351_076_948_4, 1e-7);
    let deficit = |x: &[f64]| Some(Air::new(x[0], x[1]).vapour_deficit_pa());
    let (value, sigma) = uncertain(deficit, &inputs).expect("always computable");
    close(value, 233.880_370_0, 1e-6);
    close(sigma, 40.586_912_8, 1e-5);
    // One input at a time gives the size of the slope.
    for (inputs, slope) in [
        ([(20.0, 1.0), (90.0, 0.0)], 0.986_997_655_4),
        ([(20.0, 0.0), (90.0, 1.0)], 0.177_040_572_1),
    ] {
        close(uncertain(dew, &inputs).expect("damp air").1, slope, 1e-6);
    }
    for (inputs, slope) in [
        ([(20.0, 1.0), (90.0, 0.0)], 14.487_537_713_8),
        ([(20.0, 0.0), (90.0, 1.0)], 23.388_037_0),
    ] {
        near(uncertain(deficit, &inputs).expect("always").1, slope, 1e-6);
    }
    assert_eq!(uncertain(|_| None, &inputs), None);
    // No input is uncertain: neither is the result.
    assert_eq!(uncertain(|x| Some(x[0]), &[(3.0, 0.0)]), Some((3.0, 0.0)));
}
