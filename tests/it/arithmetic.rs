//! `air`, `exchange` and `sensor` from outside: numbers, what is refused, what is shown.

use std::process::Command;

use assert_cmd::cargo::CommandCargoExt;
use blockside::engine::climate::SEA_LEVEL_PA;
use blockside::engine::climate::pair::{Given, air};
use proptest::prelude::*;
use serde_json::Value;

use crate::world::{Ran, World};

/// The program, run where the fixtures are.
fn run(args: &[&str]) -> Ran {
    let mut command = Command::cargo_bin("blockside").expect("it is built");
    command
        .env_clear()
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .args(args);
    Ran::of(command)
}

fn json(args: &[&str]) -> Value {
    let ran = run(&[args, &["--format", "json"]].concat());
    assert_eq!(ran.status, 0, "{}", ran.err);
    serde_json::from_str(&ran.out).expect("it writes JSON")
}

fn near(value: &Value, key: &str, expected: f64, tolerance: f64) {
    let found = value[key]
        .as_f64()
        .unwrap_or_else(|| panic!("{key}: {value}"));
    assert!(
        (found - expected).abs() <= tolerance,
        "{key}: {found}, not {expected}"
    );
}

#[test]
fn air_gives_the_numbers_of_a_reference_library() {
    // PsychroLib 2.5.0, as printed to its last digits; absolute humidity from the gas law. Tolerances: half of the last
    // digit of the JSON, and of the table for the enthalpy.
    let values = [
        18.310_203_26,
        18.864_450_63,
        2_104.923_330,
        233.880_370,
        15.557_973_74,
        53.609_953_5,
    ];
    let places: [&[&str]; 4] = [
        &[],
        &["--pressure", "101325 Pa"],
        &["--pressure", "1013.25 hPa"],
        &["--altitude", "0 ft"],
    ];
    for more in places {
        let found = json(&[&["air", "--temperature", "68F", "--humidity", "90 %"], more].concat());
        let keys = [
            "dew_point_c",
            "wet_bulb_c",
            "vapour_pressure_pa",
            "vapour_deficit_pa",
            "absolute_humidity_g_m3",
            "enthalpy_kj_kg",
        ];
        for (key, value) in keys.into_iter().zip(values) {
            near(&found, key, value, 1e-6);
        }
        near(&found, "saturation_pressure_pa", 2_338.803_700, 1e-6);
        near(&found, "humidity_ratio", 0.013_194_371, 1e-9);
        assert_eq!(found["schema"], "blockside.air/1");
    }
    // The same at 1500 m: humidity ratio and wet bulb move, the dew point does not.
    let high = json(&[
        "air",
        "--temperature",
        "21",
        "--humidity",
        "45",
        "--altitude",
        "1500 m",
    ]);
    near(&high, "pressure_pa", 84_555.932_311, 1e-6);
    near(&high, "wet_bulb_c", 13.374_252_18, 1e-6);
    near(&high, "humidity_ratio", 0.008_344_509, 1e-9);
    near(&high, "dew_point_c", 8.626_259_46, 1e-6);
}

#[test]
fn air_tells_of_surfaces_and_of_warming() {
    let found = json(&[
        "air",
        "--temperature",
        "20C",
        "--humidity",
        "90",
        "--surface",
        "-2C",
        "--at",
        "17C",
        "--at",
        "21 C",
    ]);
    assert_eq!(found["surface"]["condenses"], true);
    near(&found["surface"], "margin_k", -2.0 - 18.310_203_26, 1e-6);
    near(&found["at"][0], "falls_out_g_m3", 1.086_046, 1e-6);
    near(&found["at"][0], "humidity_percent", 100.0, 0.0);
    near(&found["at"][1], "humidity_percent", 84.614_349, 1e-6);
}

#[test]
fn air_tells_how_heavy_it_is_and_how_hard_it_dries() {
    // Vapour deficit of PsychroLib 2.5.0, 2.06429164 mbar, at 0.1 m/s; density by the ideal gas law. Half of the last
    // digit of the JSON, and the different gas constants.
    let base = ["air", "--temperature", "18C", "--humidity", "90"];
    let found = json(&[&base[..], &["--air-speed", "0.1m/s"]].concat());
    near(&found, "evaporating_power_mbar_m_min", 12.385_750, 1e-6);
    near(&found, "density_kg_m3", 1.203_965, 1e-6);
    assert_eq!(
        found["speeds_that_dry_well_m_s"],
        serde_json::json!([0.032_295, 0.080_738])
    );
    let still = json(&base);
    assert!(still["evaporating_power_mbar_m_min"].is_null());
    assert!(still["speeds_that_dry_well_m_s"].is_null());
    for (speed, said) in [
        ("0.01 m/s", "caps stay wet"),
        ("0.05 m/s", "found good"),
        ("1 m/s", "dry out"),
    ] {
        let ran = run(&[&base[..], &["--air-speed", speed]].concat());
        let out = ran.out.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(out.contains(said), "{out}");
    }
    let full = run(&[
        "air",
        "--temperature",
        "18C",
        "--humidity",
        "100",
        "--air-speed",
        "0.1m/s",
    ]);
    let out = full.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(out.contains("dries nothing"), "{out}");
}

#[test]
fn a_tolerance_beside_a_reading_goes_through() {
    let found = json(&["air", "--temperature", "20C", "--humidity", "90 % ± 3"]);
    // A rectangle of half width 3 has a standard deviation of 3/sqrt(3); one percent is 23.388037 Pa here.
    near(&found["uncertainty"], "humidity_percent", 1.732_051, 1e-5);
    near(
        &found["uncertainty"],
        "vapour_pressure_pa",
        40.509_268,
        1e-4,
    );
    near(&found["uncertainty"], "saturation_pressure_pa", 0.0, 1e-6);
}

#[test]
fn air_that_cannot_be_is_refused_with_its_reason() {
    for (args, said) in [
        (
            &["--temperature", "20C", "--dew-point", "21C"][..],
            &["dew point, 21 °C", "temperature, 20 °C"][..],
        ),
        (
            &["--temperature", "20C", "--wet-bulb", "22C"],
            &["wet bulb, 22 °C", "only cool"],
        ),
        (
            &["--dew-point", "18C", "--wet-bulb", "15C"],
            &["never cools below the dew point"],
        ),
        (
            &["--temperature", "20C", "--wet-bulb", "1C"],
            &["too low at 20 °C"],
        ),
        (
            &["--temperature", "20C", "--humidity", "104 %"],
            &["104 %", "between 0 and 100"],
        ),
        (&["--humidity", "-3 %", "--dew-point", "4C"], &["-3 %"]),
        (&["--temperature", "20C"], &["exactly two", "(1 given)"]),
        (&[], &["(0 given)"]),
        (
            &[
                "--temperature",
                "20C",
                "--humidity",
                "50",
                "--dew-point",
                "9C",
            ],
            &["(3 given)"],
        ),
        (
            &["--temperature", "warm", "--humidity", "ppm"],
            &["--temperature: ", "--humidity: "],
        ),
        (
            &["--temperature", "200C", "--humidity", "50"],
            &["-40 to 60 C"],
        ),
        (
            &[
                "--temperature",
                "20C",
                "--humidity",
                "50",
                "--pressure",
                "1013",
            ],
            &["1013 hPa"],
        ),
    ] {
        run(&[&["air"], args].concat()).refused(2, said);
    }
}

proptest! {
    #[test]
    fn dew_point_wet_bulb_and_temperature_keep_their_order(t in -20.0..50.0_f64, humidity in 1.0..100.0_f64) {
        let given = Given { temperature_c: Some(t), humidity_percent: Some(humidity), ..Given::default() };
        let found = air(given, SEA_LEVEL_PA).expect("there is such air");
        let dew = found.dew_point_c().expect("it holds water");
        let wet = found.wet_bulb_c();
        prop_assert!(dew <= wet + 1e-9 && wet <= t + 1e-9, "{dew} {wet} {t}");
        // Around freezing the equation of the wet bulb has a step, and some wet bulbs stand for two airs.
        if wet > 0.0 {
            let back = Given { dew_point_c: Some(dew), wet_bulb_c: Some(wet), ..Given::default() };
            let again = air(back, SEA_LEVEL_PA).expect("there is such air");
            prop_assert!((again.temperature_c() - t).abs() < 1e-6);
        }
    }
}

#[test]
fn exchange_gives_the_slope_of_a_reference_library() {
    // scipy.stats.linregress and t.ppf; the JSON has six decimals.
    let found = json(&[
        "exchange", "0=3200", "3=2801", "6=2428", "9=2110", "12=1872", "15=1641", "18=1486",
        "21=1359", "24=1182", "27=1066", "30=991", "--room", "420 ppm", "--volume", "250 L",
    ]);
    near(&found, "air_changes_per_hour", 3.186_036, 1e-6);
    near(&found, "low", 3.108_423, 1e-6);
    near(&found, "high", 3.263_650, 1e-6);
    near(&found, "points", 11.0, 0.0);
    near(&found, "with_less_in_room", 3.080_327, 1e-6);
    near(&found, "with_more_in_room", 3.300_481, 1e-6);
    near(&found, "airflow_m3_h", 0.796_509, 1e-6);
    assert_eq!(found["schema"], "blockside.exchange/1");
    // ln((3000 - 420) / (900 - 420)) / 0.5.
    let two = json(&["exchange", "14:00=3000", "14:30=900"]);
    near(&two, "air_changes_per_hour", 3.363_517, 1e-6);
    // JCGM 100:2008 with ±(30 ppm + 3 %) on each, worked out apart: 0.1692464729.
    near(&two, "meter_uncertainty", 0.169_246, 1e-6);
    let ran = run(&["exchange", "14:00=3000", "14:30=900"]);
    let out = ran.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(out.contains("uncertain by ±0.34"), "{out}");
    assert_eq!((&two["low"], &two["high"]), (&Value::Null, &Value::Null));
    assert_eq!(two["room_given"], false);
}

#[test]
fn exchange_reads_a_file_and_says_what_it_left_out() {
    let world = World::new();
    let rows = [
        (0, 900),
        (5, 3200),
        (10, 2428),
        (15, 1872),
        (20, 1486),
        (25, 1182),
        (30, 991),
        (35, 1900),
    ];
    let mut text = String::from("Time;CO2 [ppm]\n");
    for (minute, ppm) in rows {
        text.push_str(&format!("2026-03-01 08:{minute:02};{ppm}\n"));
    }
    let path = world.file("fall.csv", text);
    let path = path.to_str().expect("a plain path");
    let found = json(&["exchange", path, "--room", "420"]);
    near(&found, "points", 6.0, 0.0);
    near(&found["file"], "before", 1.0, 0.0);
    near(&found["file"], "after", 1.0, 0.0);
    assert_eq!(found["file"]["from"], "2026-03-01 08:05");
    // The same readings given by hand.
    let by_hand = json(&[
        "exchange", "5=3200", "10=2428", "15=1872", "20=1486", "25=1182", "30=991", "--room", "420",
    ]);
    assert_eq!(
        found["air_changes_per_hour"],
        by_hand["air_changes_per_hour"]
    );
    let ran = run(&["exchange", path]);
    let flat = ran.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        flat.contains("left out: 1 before the top, 1 after"),
        "{flat}"
    );
}

#[test]
fn what_shows_no_fall_is_refused() {
    for (args, said) in [
        (
            &["0=500", "10=600", "20=700"][..],
            &["does not fall", "500 ppm to 700 ppm"][..],
        ),
        (&["0=500", "10=400"], &["number 2", "not above"]),
        (&["0=900"], &["one reading shows no fall"]),
        (&["0=900", "0=800"], &["number 2 is not later"]),
        (
            &["0=900", "soon=800", "20=bread"],
            &["`soon=800`", "`20=bread`"],
        ),
        (&["0=900", "800"], &["`800` is no reading"]),
        (&["0=900", "5=800", "--room", "bread"], &["--room"]),
        (&["0=900", "5=800", "--volume", "0 L"], &["--volume"]),
    ] {
        run(&[&["exchange"], args].concat()).refused(2, said);
    }
    assert_eq!(run(&["exchange"]).status, 2);
    run(&["exchange", "fixtures/no-such.csv"]).refused(3, &["there is no file"]);
    run(&["exchange", "fixtures/logs/hunting.csv"]).refused(3, &["no carbon dioxide"]);
    run(&["exchange", "fixtures/logs/openings.csv", "--room", "3000"])
        .refused(3, &["no reading lies above the room's level"]);
    let world = World::new();
    let rising = world.file(
        "rising.csv",
        "Time,CO2\n2026-03-01 08:00,600\n2026-03-01 08:05,700\n",
    );
    run(&["exchange", rising.to_str().expect("a plain path")])
        .refused(3, &["highest at its last reading"]);
    let empty = world.file("empty.csv", "");
    run(&["exchange", empty.to_str().expect("a plain path")]).refused(3, &["it is empty"]);
}

#[test]
fn sensor_gives_offset_and_correction() {
    // Greenspan 1977, table 1: 75.41113968 % at 22 °C.
    let one = json(&[
        "sensor",
        "--salt",
        "sodium-chloride",
        "--temperature",
        "22C",
        "--reads",
        "78 %",
    ]);
    near(&one["points"][0], "expected_percent", 75.411_140, 1e-6);
    near(&one["points"][0], "offset_percent", 2.588_860, 1e-6);
    assert_eq!(one["points"][0]["verdict"], "unclear");
    assert_eq!(one["schema"], "blockside.sensor/1");
    // 2 sqrt((0.132/2)² + (75.41113968 · 0.0619 · 0.2/√3)² + (0.5/√3)²), by hand.
    near(&one["points"][0], "uncertainty_percent", 1.229_991, 1e-6);
    let two = json(&[
        "sensor",
        "--salt",
        "NaCl",
        "--salt",
        "KCl",
        "--temperature",
        "20C",
        "--reads",
        "72.1",
        "--reads",
        "82.9",
        "--correct",
        "88 %",
        "--tolerance",
        "6",
    ]);
    near(&two["correction"], "slope", 0.891_948, 1e-6);
    near(&two["corrected"][0], "true_percent", 89.661_016, 1e-6);
    assert_eq!(two["points"][1]["verdict"], "within");
    let table = json(&["sensor", "--temperature", "25C"]);
    assert_eq!(table["salts"].as_array().map(Vec::len), Some(4));
    near(&table["salts"][2], "expected_percent", 84.347_816, 1e-6);
}

#[test]
fn a_check_that_cannot_be_is_refused() {
    for (args, said) in [
        (
            &[
                "--salt",
                "sodium-clorid",
                "--temperature",
                "20C",
                "--reads",
                "75",
            ][..],
            &["did you mean `sodium-chloride`?"][..],
        ),
        (
            &["--salt", "NaCl", "--reads", "75"],
            &["how warm the jar is"],
        ),
        (
            &["--temperature", "20C", "--reads", "75"],
            &["a check needs a salt"],
        ),
        (
            &["--salt", "NaCl", "--temperature", "70C", "--reads", "75"],
            &["--temperature", "0 to 50 C"],
        ),
        (
            &["--salt", "NaCl", "--temperature", "20C", "--reads", "wet"],
            &["--reads"],
        ),
        (
            &[
                "--salt",
                "NaCl",
                "--salt",
                "KCl",
                "--temperature",
                "20C",
                "--reads",
                "75",
            ],
            &["do not pair"],
        ),
        (
            &[
                "--salt",
                "NaCl",
                "--salt",
                "NaCl",
                "--temperature",
                "20C",
                "--reads",
                "75",
                "--reads",
                "76",
            ],
            &["two different salts"],
        ),
        (
            &[
                "--salt",
                "NaCl",
                "--salt",
                "KCl",
                "--temperature",
                "20C",
                "--reads",
                "85",
                "--reads",
                "75",
            ],
            &["mixed up"],
        ),
    ] {
        run(&[&["sensor"], args].concat()).refused(2, said);
    }
}

#[test]
fn the_three_read_well_on_a_narrow_page() {
    let shown = |args: &[&str]| {
        let ran = run(&[args, &["--width", "60"]].concat());
        assert_eq!(ran.status, 0, "{}", ran.err);
        for line in ran.out.lines() {
            assert!(line.chars().count() <= 60, "{line:?}");
        }
        ran.out
    };
    insta::assert_snapshot!(
        "arithmetic-air",
        shown(&[
            "air",
            "--temperature",
            "20C",
            "--humidity",
            "90 % ± 3",
            "--surface",
            "17C",
            "--at",
            "17C",
            "--at",
            "22C",
            "--air-speed",
            "0.1 m/s"
        ])
    );
    insta::assert_snapshot!(
        "arithmetic-exchange",
        shown(&[
            "exchange",
            "fixtures/logs/openings.csv",
            "--volume",
            "306 L"
        ])
    );
    insta::assert_snapshot!(
        "arithmetic-sensor",
        shown(&[
            "sensor",
            "--salt",
            "NaCl",
            "--salt",
            "KCl",
            "--temperature",
            "20C",
            "--reads",
            "72.1",
            "--reads",
            "82.9",
            "--correct",
            "88 %"
        ])
    );
    insta::assert_snapshot!(
        "arithmetic-salts",
        shown(&["sensor", "--temperature", "68F"])
    );
}

#[test]
fn every_contract_of_the_three_has_a_schema_that_names_its_keys() {
    for (contract, args) in [
        (
            "air",
            &["air", "--temperature", "20C", "--humidity", "90"][..],
        ),
        ("exchange", &["exchange", "0=3000", "10=2000", "20=1400"]),
        ("sensor", &["sensor"]),
    ] {
        let schema: Value = serde_json::from_str(&run(&["schema", contract]).out).expect("JSON");
        let found = json(args);
        let keys = found.as_object().expect("an object").keys();
        for key in keys {
            assert!(schema["properties"][key].is_object(), "{contract}: {key}");
        }
    }
}

#[test]
fn air_in_units_of_the_united_states_is_counted_from_their_zero() {
    // PsychroLib 2.5.0 for 20 °C and 90 %: 0.013194371386 and 53.6099535 kJ/kg, so 92.3606 grains a pound. A pound of
    // dry air from 0 °F: the handbook's equation in those units, 0.240 t + W (1061 + 0.444 t) with t in °F (ASHRAE
    // Fundamentals 2017, IP, from memory), gives 30.72; the metric one converted differs from it by 0.02, its constants
    // being rounder.
    let ran = run(&[
        "air",
        "--temperature",
        "68F",
        "--humidity",
        "90",
        "--units",
        "imperial",
        "--width",
        "100",
    ]);
    assert_eq!(ran.status, 0, "{}", ran.err);
    let flat = ran.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        flat.contains("humidity ratio 92.4 grains for each lb of dry air"),
        "{flat}"
    );
    let by_handbook = 0.240 * 68.0 + 0.013_194_371 * (1061.0 + 0.444 * 68.0);
    let shown = flat
        .split("enthalpy ")
        .nth(1)
        .and_then(|rest| rest.split(' ').next());
    let shown: f64 = shown.expect("it is shown").parse().expect("a number");
    assert!((shown - by_handbook).abs() < 0.07, "{shown} {by_handbook}");
    assert!(
        flat.contains("BTU for each lb of dry air, counted from 0 °F"),
        "{flat}"
    );
    // A tolerance goes along: 0.52 g/kg are 3.6 grains.
    let ran = run(&[
        "air",
        "--temperature",
        "68F",
        "--humidity",
        "90 % ± 3",
        "--units",
        "us",
        "--width",
        "100",
    ]);
    let flat = ran.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(flat.contains("92.4 ± 3.6 grains"), "{flat}");
    // The JSON keeps its units.
    let found = json(&[
        "air",
        "--temperature",
        "68F",
        "--humidity",
        "90",
        "--units",
        "imperial",
    ]);
    near(&found, "enthalpy_kj_kg", 53.609_953_5, 1e-6);
}
