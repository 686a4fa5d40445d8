//! A chamber's balance from outside: what growers know to be so, what is refused, what is shown, what it feeds.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use assert_cmd::cargo::CommandCargoExt;
use blockside::engine::chamber::balance::{Balance, CropFrom, Standing, balance};
use blockside::engine::chamber::droplet::life;
use blockside::engine::chamber::facts::facts;
use blockside::engine::chamber::profile::Chamber;
use blockside::engine::chamber::quantity::Quantity;
use blockside::engine::chamber::what_if;
use blockside::engine::facts::{FactBase, Origin};
use blockside::engine::knowledge::KnowledgeBase;
use blockside::engine::observations::Observations;
use blockside::engine::quantity::System;
use blockside::engine::reasoner::Reasoner;
use blockside::engine::rulebook::Rulebook;
use blockside::journal::chamber::parse;
use blockside::knowledge::embedded;
use blockside::knowledge::problem::ProblemCode;
use blockside::report::balance::{Balanced, report, summary};
use blockside::report::page::Look;
use proptest::prelude::*;
use serde_json::Value;

use crate::world::{Ran, World};

mod finer;

fn fixture(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("fixtures/chambers")
        .join(name)
}

fn chamber(base: &KnowledgeBase, text: &str) -> Chamber {
    match parse(base, "profile.toml", text) {
        Ok(chamber) => chamber,
        Err(problems) => panic!("{problems:#?}"),
    }
}

fn read(base: &KnowledgeBase, name: &str) -> Chamber {
    let text = fs::read_to_string(fixture(name)).expect("the fixture is there");
    chamber(base, &text)
}

fn value(balance: &Balance, quantity: Quantity) -> f64 {
    balance
        .get(quantity)
        .unwrap_or_else(|| panic!("{} is worked out", quantity.word()))
        .value
}

fn after(base: &KnowledgeBase, chamber: &Chamber, changes: &[&str]) -> Balance {
    let changes: Vec<_> = changes
        .iter()
        .map(|text| what_if::parse(text).expect("a change"))
        .collect();
    let changed = what_if::changed(base, chamber, &changes).expect("it can be made");
    balance(base, &changed)
}

/// The program, run where the fixtures are.
fn run(args: &[&str]) -> Ran {
    let mut command = Command::cargo_bin("blockside").expect("it is built");
    command
        .env_clear()
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .args(args);
    Ran::of(command)
}

// Common practice of the trade: a controller set to 86 % with a band of two points starts the mister at 84 %.
#[test]
fn a_set_point_of_86_with_a_band_of_two_starts_the_mister_at_84() {
    let base = embedded::base();
    let found = balance(&base, &read(&base, "hall-shelf.toml"));
    assert_eq!(value(&found, Quantity::StartsAt), 84.0);
}

// Common practice: a shelf chamber of about 15 cubic feet in a dry winter room can use about two and a half litres of
// mist in a day and a half. The profile is made up from ordinary parts; a fifth either way is as near as that can be.
#[test]
fn a_small_shelf_in_a_dry_winter_room_uses_about_two_and_a_half_litres_in_a_day_and_a_half() {
    let base = embedded::base();
    let found = balance(&base, &read(&base, "hall-shelf.toml"));
    let cubic_feet = value(&found, Quantity::Volume) / 28.316_846_592;
    assert!((cubic_feet - 15.0).abs() < 0.3, "{cubic_feet}");
    let litres = 1.5 * value(&found, Quantity::WaterDay);
    assert!((litres / 2.5 - 1.0).abs() < 0.2, "{litres}");
}

// Common practice: a fan turned up too high dries the chamber.
#[test]
fn a_fan_turned_up_too_high_dries_the_chamber() {
    let base = embedded::base();
    let shelf = read(&base, "hall-shelf.toml");
    let now = balance(&base, &shelf);
    let then = after(&base, &shelf, &["fan-runs=100 %", "fan=2x"]);
    assert_eq!(value(&now, Quantity::Reach), 100.0);
    let reach = value(&then, Quantity::Reach);
    assert!(reach < value(&then, Quantity::SetPoint), "{reach}");
    assert!(value(&then, Quantity::Duty) > 100.0);
    assert_eq!(
        then.judged(Quantity::Duty).map(|one| one.standing),
        Some(Standing::TooHigh)
    );
}

// Common practice: a duct costs airflow, so the fan must be turned up.
#[test]
fn a_duct_costs_airflow_and_the_fan_must_be_turned_up() {
    let base = embedded::base();
    let tent = read(&base, "crowded-tent.toml");
    let now = value(&balance(&base, &tent), Quantity::Airflow);
    let without = value(
        &after(&base, &tent, &["duct-length=none"]),
        Quantity::Airflow,
    );
    let longer = value(
        &after(&base, &tent, &["duct-length=5 m"]),
        Quantity::Airflow,
    );
    assert!(longer < now && now < without, "{longer} {now} {without}");
    let turned_up = value(
        &after(&base, &tent, &["duct-length=5 m", "fan=1.5x"]),
        Quantity::Airflow,
    );
    assert!(turned_up > now, "{turned_up}");
    // The fan laws: with a loss that grows with the square of the flow the flow goes with the speed, less where the
    // friction of slow air counts for more.
    let doubled = value(&after(&base, &tent, &["fan=2x"]), Quantity::Airflow) / now;
    assert!((1.9..2.2).contains(&doubled), "{doubled}");
}

// Common practice: coarse droplets pool where fine mist does not. In the damp air of the tent a drop of 4 µm, as an
// ultrasonic disc makes it, is gone within a millimetre; one of 60 µm falls the height of a block and more.
#[test]
fn coarse_droplets_pool_where_fine_mist_does_not() {
    let base = embedded::base();
    let found = balance(&base, &read(&base, "crowded-tent.toml"));
    let (t, humidity) = (
        value(&found, Quantity::Temperature),
        value(&found, Quantity::SetPoint),
    );
    let (_, fine_m) = life(4.0, t, humidity).expect("the air takes up water");
    let (_, coarse_m) = life(60.0, t, humidity).expect("the air takes up water");
    assert!(fine_m < 0.001, "{fine_m}");
    assert!(coarse_m > 0.3, "{coarse_m}");
}

#[test]
fn the_tent_needs_what_its_meter_says() {
    let base = embedded::base();
    let found = balance(&base, &read(&base, "crowded-tent.toml"));
    assert_eq!(found.crop, CropFrom::Meter);
    assert_eq!(found.doubt, None);
    // (2400 - 450) / (1000 - 450), by hand.
    let factor = value(&found, Quantity::AirflowFactor);
    assert!((factor - 1950.0 / 550.0).abs() < 1e-9, "{factor}");
    let ratio = value(&found, Quantity::MistNeeded) / value(&found, Quantity::Mist);
    assert!((ratio / factor - 1.0).abs() < 1e-9, "{ratio}");
    let hours = value(&found, Quantity::TankHoursNeeded);
    assert!((hours - 500.0 / value(&found, Quantity::MistNeeded)).abs() < 1e-9);
    assert!(
        (value(&found, Quantity::Blocks) / 3.06 - value(&found, Quantity::BlocksPer100)).abs()
            < 1e-9
    );
}

#[test]
fn an_uncertainty_follows_its_input() {
    let base = embedded::base();
    let tent = read(&base, "crowded-tent.toml");
    let deviation = |chamber: &Chamber, quantity| {
        balance(&base, chamber)
            .get(quantity)
            .expect("worked out")
            .deviation
    };
    let text = fs::read_to_string(fixture("crowded-tent.toml")).expect("there");
    let sharp = chamber(&base, &text.replace("\"2400 ppm\"", "\"2400 ppm ± 10\""));
    let (blunt, sharp) = (
        deviation(&tent, Quantity::AirflowFactor),
        deviation(&sharp, Quantity::AirflowFactor),
    );
    assert!(sharp < blunt && sharp > 0.0, "{sharp} {blunt}");
    // GUM 5.1.2 by hand: meter 50 ppm + 3 %, room 50 ppm + 3 % of 450; f = (m - r) / (l - r).
    let (meter, room) = (50.0 + 0.03 * 2400.0, 50.0 + 0.03 * 450.0);
    let by_meter = meter / 550.0;
    let by_room = room * (2400.0 - 1000.0) / (550.0 * 550.0);
    let by_hand = f64::hypot(by_meter, by_room);
    assert!((blunt / by_hand - 1.0).abs() < 1e-5, "{blunt} {by_hand}");
}

#[test]
fn a_crop_nobody_measured_is_a_range_with_its_source_or_not_known() {
    let base = embedded::base();
    let shelf = read(&base, "hall-shelf.toml");
    let found = balance(&base, &shelf);
    let CropFrom::Book {
        output,
        range_mg_kg_h,
    } = &found.crop
    else {
        panic!("{:?}", found.crop);
    };
    assert!(!base.outputs[output].grounds.sources.is_empty());
    let crop = found.get(Quantity::CropCo2).expect("a range");
    // 15 kg of block, and a tenth of uncertainty of its weight on both sides.
    assert!(
        crop.low < 15.0 * range_mg_kg_h.0 / 1000.0 && crop.high > 15.0 * range_mg_kg_h.1 / 1000.0
    );
    // A range from a book is no fact about this chamber.
    let told = facts(&base, &shelf, &found);
    assert!(
        told.readings
            .iter()
            .all(|(id, _)| base.readings[id].profile != Some(Quantity::Co2))
    );
    let mut unnamed = shelf;
    unnamed.species = None;
    let found = balance(&base, &unnamed);
    assert_eq!(found.crop, CropFrom::Unknown);
    assert!(found.get(Quantity::NeededAirflow).is_none());
}

#[test]
fn the_closed_test_tells_the_same_as_the_meter_it_predicts() {
    let base = embedded::base();
    let text = fs::read_to_string(fixture("crowded-tent.toml")).expect("there");
    let by_meter = balance(&base, &chamber(&base, &text));
    let rise = (2400.0 - 450.0) * value(&by_meter, Quantity::AirChanges);
    let closed = text.replace("co2 = \"2400 ppm\"", &format!("co2-rise = \"{rise} ppm\""));
    let by_rise = balance(&base, &chamber(&base, &closed));
    assert_eq!(by_rise.crop, CropFrom::Rise);
    for quantity in [
        Quantity::SteadyCo2,
        Quantity::NeededAirflow,
        Quantity::MistNeeded,
    ] {
        let (one, other) = (value(&by_meter, quantity), value(&by_rise, quantity));
        assert!(
            (one / other - 1.0).abs() < 1e-9,
            "{}: {one} {other}",
            quantity.word()
        );
    }
}

#[test]
fn a_crop_far_beyond_the_book_is_doubted() {
    let base = embedded::base();
    let text = fs::read_to_string(fixture("hall-shelf.toml")).expect("there");
    let stale = chamber(
        &base,
        &text.replace(
            "temperature = \"18.5 °C\"",
            "temperature = \"18.5 °C\"\nco2 = \"1450 ppm\"",
        ),
    );
    let doubt = balance(&base, &stale).doubt.expect("eight times the book");
    assert!((doubt.range_g_h.1 - 15.0 * 0.19).abs() < 1e-9);
}

#[test]
fn what_was_measured_is_carried_along_with_a_change() {
    let base = embedded::base();
    let text = fs::read_to_string(fixture("crowded-tent.toml")).expect("there");
    let measured = chamber(
        &base,
        &text.replace(
            "co2 = \"2400 ppm\"",
            "co2 = \"2400 ppm\"\nairflow = \"10 m3/h\"",
        ),
    );
    let now = balance(&base, &measured);
    let then = after(&base, &measured, &["fan-runs=4x"]);
    // The same flow for four times as long, and the same crop in it.
    let ratio = value(&then, Quantity::Airflow) / value(&now, Quantity::Airflow);
    assert!((ratio - 4.0).abs() < 1e-9, "{ratio}");
    let steady = value(&then, Quantity::SteadyCo2);
    assert!((steady - (450.0 + 1950.0 / 4.0)).abs() < 1e-6, "{steady}");
    // More mist cools more.
    assert!(value(&then, Quantity::Temperature) < value(&now, Quantity::Temperature));
    let half = after(&base, &measured, &["blocks=6"]);
    let excess = value(&half, Quantity::SteadyCo2) - 450.0;
    assert!((excess / 1950.0 - 0.5).abs() < 1e-9, "{excess}");
}

#[test]
fn changes_are_understood_or_refused_with_a_reason() {
    use blockside::engine::chamber::what_if::{How, WhatIfError};
    let how = |text| what_if::parse(text).expect("a change").how;
    assert_eq!(how("fan=2x"), How::Times(2.0));
    assert_eq!(how("fan = 1.5 times"), How::Times(1.5));
    assert_eq!(how("duct-length=none"), How::Without);
    let How::To(set) = how("set-point=90 %") else {
        panic!("a value");
    };
    assert_eq!(set.value, 90.0);
    let How::To(length) = how("duct.length=3 ft") else {
        panic!("a value");
    };
    assert!((length.value - 0.9144).abs() < 1e-12);
    assert!(matches!(
        what_if::parse("fan"),
        Err(WhatIfError::NoValue(_))
    ));
    assert!(matches!(
        what_if::parse("fann=2x"),
        Err(WhatIfError::Unknown(_))
    ));
    assert!(matches!(
        what_if::parse("set-point=900 %"),
        Err(WhatIfError::Range { .. })
    ));
    assert!(matches!(
        what_if::parse("tank=3 m/s"),
        Err(WhatIfError::Value { .. })
    ));
    let base = embedded::base();
    let shelf = read(&base, "hall-shelf.toml");
    let nothing = what_if::parse("insulation=2x").expect("understood");
    assert!(matches!(
        what_if::changed(&base, &shelf, &[nothing]),
        Err(WhatIfError::NothingThere(_))
    ));
}

#[test]
fn units_of_the_trade_are_understood_in_a_profile() {
    let base = embedded::base();
    let metric = chamber(
        &base,
        "schema = \"blockside.profile/1\"\nsize = [\"60.96 cm\", \"45.72 cm\", \"152.4 cm\"]\nheat-inside = 12\n\
         [room]\ntemperature = \"20 °C\"\nhumidity = 40\n[fan]\ncurve = [{ flow = \"0 m3/h\", pressure = \"24.90889 Pa\" }, { flow = \"42.475269888 m3/h\", pressure = 0 }]\n\
         [mister]\noutput = \"200 g/h\"\ntank = \"3.785411784 L\"\nlag = \"0.5 min\"\n",
    );
    let imperial = chamber(
        &base,
        "schema = \"blockside.profile/1\"\nsize = \"2 x 1.5 x 5 ft\"\nheat-inside = \"12 W\"\n\
         [room]\ntemperature = \"68 °F\"\nhumidity = \"40 %\"\n[fan]\nflow = \"25 CFM\"\npressure = \"0.1 inWG\"\n\
         [mister]\noutput = \"4.8 L/day\"\ntank = \"1 gal\"\nlag = \"30 s\"\n",
    );
    for quantity in [
        Quantity::Volume,
        Quantity::Airflow,
        Quantity::Tank,
        Quantity::Lag,
        Quantity::Devices,
        Quantity::RoomTemperature,
    ] {
        let (one, other) = (
            value(&balance(&base, &metric), quantity),
            value(&balance(&base, &imperial), quantity),
        );
        assert!(
            (one - other).abs() < 1e-6 * one.abs(),
            "{}: {one} {other}",
            quantity.word()
        );
    }
    let feet = chamber(
        &base,
        "schema = \"blockside.profile/1\"\nvolume = \"15 cu. ft\"\n[room]\ntemperature = \"20 °C\"\nhumidity = \"40 %\"\n[fan]\nnone = true\n",
    );
    assert!((value(&balance(&base, &feet), Quantity::Volume) - 424.75).abs() < 0.01);
}

#[test]
fn faults_of_a_profile_are_told_all_at_once_with_their_place() {
    for (name, status) in [
        ("many-faults", 3),
        ("almost-empty", 3),
        ("duct-without-pressure", 3),
    ] {
        let path = format!("fixtures/chambers/faulty/{name}.toml");
        let ran = run(&["chamber", &path]);
        assert_eq!(ran.status, status, "{name}: {}", ran.err);
        assert!(ran.out.is_empty());
        insta::assert_snapshot!(format!("chamber-{name}"), ran.err);
    }
}

#[test]
fn every_impossible_number_is_refused_and_says_why_it_matters() {
    use blockside::engine::chamber::profile::all_given;
    let base = embedded::base();
    for given in all_given() {
        // One step beyond the end, in the unit of the number itself.
        let beyond = given.most * 1.5 + 1.0;
        let table = if given.table.is_empty() {
            String::new()
        } else {
            format!("[{}]\n", given.table)
        };
        let text = format!(
            "schema = \"blockside.profile/1\"\n{table}{} = {beyond:?}\n",
            given.key
        );
        let problems = parse(&base, "profile.toml", &text).expect_err("it cannot be");
        let found = problems
            .iter()
            .find(|problem| problem.code == ProblemCode::BadReading);
        let help = found
            .and_then(|problem| problem.help.clone())
            .unwrap_or_default();
        assert!(
            help.contains(given.why),
            "{} {}: {problems:#?}",
            given.table,
            given.key
        );
    }
}

#[test]
fn a_profile_that_cannot_be_read_ends_with_3_and_wrong_use_with_2() {
    let shelf = "fixtures/chambers/hall-shelf.toml";
    for (args, status) in [
        (vec!["chamber", shelf], 0),
        (vec!["chamber", shelf, "--what-if", "fan=2x"], 0),
        (vec!["chamber"], 2),
        (vec!["chamber", shelf, "--what-if", "fann=2x"], 2),
        (vec!["chamber", shelf, "--what-if", "insulation=2x"], 2),
        (vec!["chamber", "no-such-file.toml"], 3),
        (vec!["chamber", "fixtures"], 3),
        (
            vec!["chamber", "fixtures/cases/journey-leggy-oysters.toml"],
            3,
        ),
        (vec!["diagnose", "--profile", "no-such-file.toml"], 3),
        (
            vec![
                "diagnose",
                "--profile",
                "fixtures/chambers/faulty/many-faults.toml",
            ],
            3,
        ),
    ] {
        let ran = run(&args);
        assert_eq!(ran.status, status, "{args:?}: {}", ran.err);
        assert_eq!(ran.out.is_empty(), status > 1, "{args:?}");
        assert_eq!(ran.err.is_empty(), status < 2, "{args:?}: {}", ran.err);
    }
}

#[test]
fn screens_of_the_balance() {
    for (name, file, more) in [
        ("hall-shelf", "hall-shelf", &["--width", "80"][..]),
        (
            "crowded-tent-narrow",
            "crowded-tent",
            &["--width", "40", "--plain"],
        ),
        (
            "crowded-tent-detail",
            "crowded-tent",
            &["--width", "80", "--detail"],
        ),
        ("crowded-tent-imperial", "crowded-tent", &["--units", "us"]),
        (
            "hall-shelf-what-if",
            "hall-shelf",
            &["--what-if", "fan=2x", "--what-if", "set-point=90 %"],
        ),
        (
            "crowded-tent-what-if-narrow",
            "crowded-tent",
            &["--what-if", "fan-runs=4x", "--width", "40", "--plain"],
        ),
    ] {
        let path = format!("fixtures/chambers/{file}.toml");
        let mut args = vec!["chamber", &path];
        args.extend(more);
        let ran = run(&args);
        assert_eq!(ran.status, 0, "{}", ran.err);
        let widest = ran.out.lines().map(|line| line.chars().count()).max();
        let page = if more.contains(&"40") { 40 } else { 80 };
        assert!(widest.is_some_and(|widest| widest <= page), "{widest:?}");
        assert!(!more.contains(&"--plain") || ran.out.is_ascii());
        insta::assert_snapshot!(format!("chamber-{name}"), ran.out);
    }
}

#[test]
fn the_balance_as_json_keeps_its_contract() {
    let ran = run(&[
        "chamber",
        "fixtures/chambers/crowded-tent.toml",
        "--format",
        "json",
        "--what-if",
        "fan=2x",
    ]);
    let json: Value = serde_json::from_str(&ran.out).expect("JSON");
    assert_eq!(json["schema"], "blockside.chamber/1");
    assert_eq!(json["crop_from"], "meter");
    let factor = &json["values"]["airflow_factor"];
    assert_eq!(factor["standing"], "too-high");
    assert!((factor["value"].as_f64().expect("a number") - 3.545_455).abs() < 1e-6);
    assert_eq!(json["sensor"]["at_the_crop"], false);
    assert_eq!(json["sensor"]["low_percent"], 84.0);
    assert!(factor["low"].as_f64() < factor["value"].as_f64());
    let then = json["what_if"]["values"]["airflow_m3_h"]["value"].as_f64();
    assert!(then > json["values"]["airflow_m3_h"]["value"].as_f64());
    for quantity in Quantity::ALL {
        let (unit, key) = (quantity.unit().symbol(), quantity.key());
        let ending = match unit {
            "C" => {
                if quantity.is_difference() {
                    "_k"
                } else {
                    "_c"
                }
            }
            "%" => "_percent",
            "m3/h" => "_m3_h",
            "g/h" => "_g_h",
            "Pa" => "_pa",
            "W" => "_w",
            "kg" => "_kg",
            "1/h" => "_per_hour",
            "s" => "_s",
            _ => "",
        };
        assert!(key.ends_with(ending), "{key} is in {unit}");
    }
    let schema = run(&["schema", "chamber"]);
    let schema: Value = serde_json::from_str(&schema.out).expect("JSON");
    let required = schema["required"].as_array().expect("a list");
    for key in required {
        assert!(json.get(key.as_str().expect("a key")).is_some(), "{key}");
    }
    let known = schema["properties"].as_object().expect("an object");
    for key in json.as_object().expect("an object").keys() {
        assert!(known.contains_key(key), "{key} is not in the schema");
    }
}

#[test]
fn facts_of_a_profile_are_told_with_their_origin_and_yield_to_the_occasion() {
    let base = embedded::base();
    let tent = read(&base, "crowded-tent.toml");
    let found = facts(&base, &tent, &balance(&base, &tent));
    let named = |quantity| {
        let mut readings = base.readings.iter();
        let (id, _) = readings
            .find(|(_, one)| one.profile == Some(quantity))
            .expect("a reading stands for it");
        id.clone()
    };
    let co2 = named(Quantity::Co2);
    let mut told = Observations::default();
    told.readings.insert(
        co2.clone(),
        blockside::engine::quantity::Measured {
            value: 700.0,
            tolerance: None,
        },
    );
    told.add_profile(&tent, &found);
    assert_eq!(told.species, tent.species);
    assert_eq!(told.readings[&co2].value, 700.0);
    assert!(!told.from_profile.contains(co2.as_str()));
    for quantity in [
        Quantity::Airflow,
        Quantity::MisterOutput,
        Quantity::RoomHumidity,
        Quantity::Wall,
        Quantity::HoseLength,
        Quantity::BlocksPer100,
    ] {
        let id = named(quantity);
        assert!(told.readings.contains_key(&id), "{id}");
        assert!(told.from_profile.contains(id.as_str()), "{id}");
    }
    let rulebook = Rulebook::new(&base);
    let known = FactBase::new(&base, &rulebook, &told);
    let by_profile = known
        .given()
        .iter()
        .filter(|(number, _)| known.origin(&rulebook, *number) == Some(Origin::Profile))
        .count();
    assert!(by_profile > 0, "{by_profile}");
}

/// Once a merge moved four of these lines one entry down, and a chamber with a filter was told to be on fire.
#[test]
fn what_a_profile_says_lands_on_the_items_that_mean_it() {
    let base = embedded::base();
    let tied: Vec<&str> = base
        .setup
        .iter()
        .filter(|(_, item)| item.profile.is_some())
        .map(|(id, _)| id.as_str())
        .chain(
            base.signs
                .iter()
                .filter(|(_, sign)| sign.profile.is_some())
                .map(|(id, _)| id.as_str()),
        )
        .collect();
    let meant = [
        "duct-on-outlet",
        "fan-runs-continuously",
        "filter-on-vent",
        "hose-over-one-metre",
        "humidistat-controlled",
        "lamp-inside-chamber",
        "mister-inside-chamber",
        "no-fan",
        "sensor-inside-chamber",
        "ultrasonic-mister",
        "duct-long-or-narrow",
        "fan-on-low-setting",
        "band-ten-points-or-more",
        "sensor-away-from-crop",
    ];
    assert_eq!(tied, meant);
}

#[test]
fn a_hose_over_a_metre_follows_from_its_length() {
    let base = embedded::base();
    let text = fs::read_to_string(fixture("hall-shelf.toml")).expect("there");
    let holds = |hose: &str| {
        let shelf = chamber(&base, &text.replace("\"1.2 m\"", hose));
        let told = facts(&base, &shelf, &balance(&base, &shelf));
        let mut setup = told.setup.iter().filter(|(id, _)| {
            use blockside::engine::knowledge::FromProfile::Compares;
            matches!(
                base.setup[id].profile,
                Some(Compares(Quantity::HoseLength, ..))
            )
        });
        setup.next().map(|(_, holds)| *holds)
    };
    assert_eq!(holds("\"1.2 m\""), Some(true));
    assert_eq!(holds("\"80 cm\""), Some(false));
}

#[test]
fn actions_take_their_amounts_from_the_profile() {
    let ran = run(&[
        "diagnose",
        "--profile",
        "fixtures/chambers/crowded-tent.toml",
        "--sign",
        "long-stems",
        "--sign",
        "small-caps",
        "--format",
        "json",
    ]);
    let json: Value = serde_json::from_str(&ran.out).expect("JSON");
    let by_profile = json["told_by_profile"].as_array().expect("a list");
    assert!(
        by_profile.iter().any(|id| id == "room-humidity"),
        "{by_profile:?}"
    );
    assert!(
        by_profile.iter().all(|id| id != "long-stems"),
        "{by_profile:?}"
    );
    let actions = json["actions"].as_array().expect("a list");
    let amount = actions
        .iter()
        .map(|action| &action["amount"])
        .find(|amount| amount["unit"] == "times" && amount["value"].as_f64() > Some(1.0))
        .expect("more air is due");
    assert!((amount["value"].as_f64().expect("a number") - 1950.0 / 550.0).abs() < 1e-6);
    let also = amount["also"].as_array().expect("a list");
    let units: Vec<&str> = also.iter().filter_map(|one| one["unit"].as_str()).collect();
    assert_eq!(units, ["g/h", "hour"]);
    let base = embedded::base();
    let found = balance(&base, &read(&base, "crowded-tent.toml"));
    let mist = also[0]["value"].as_f64().expect("a number");
    assert!(
        (mist / value(&found, Quantity::MistNeeded) - 1.0).abs() < 1e-6,
        "{mist}"
    );
    insta::assert_snapshot!(amount["text"].as_str().expect("a text"), @"about 3.5 times the present airflow; the mister must then give about 45 g/h; its tank lasts about 11 hours");
}

#[test]
fn a_case_names_the_profile_beside_it() {
    let world = World::new();
    let tent = fs::read_to_string(fixture("crowded-tent.toml")).expect("there");
    fs::create_dir(world.home.path().join("cases")).expect("made");
    world.file("tent.toml", &tent);
    world.file(
        "cases/monday.toml",
        "schema = \"blockside.case/1\"\nprofile = \"../tent.toml\"\n[signs]\nlong-stems = \"yes\"\n",
    );
    let mut by_case = world.bare();
    by_case.args(["diagnose", "cases/monday.toml"]);
    let by_case = Ran::of(by_case);
    let mut by_option = world.bare();
    by_option.args(["diagnose", "--profile", "tent.toml", "--sign", "long-stems"]);
    let by_option = Ran::of(by_option);
    assert_eq!(
        (by_case.status, by_option.status),
        (0, 0),
        "{}",
        by_case.err
    );
    assert_eq!(by_case.out, by_option.out);
    assert!(by_case.out.contains("(chamber profile)"), "{}", by_case.out);
    let mut batch = world.bare();
    world.file(
        "lines.jsonl",
        "{\"profile\":\"tent.toml\",\"signs\":{\"long-stems\":\"yes\"}}\n{\"profile\":\"gone.toml\"}\n",
    );
    batch.args(["diagnose", "--batch", "lines.jsonl"]);
    let batch = Ran::of(batch);
    assert_eq!(batch.status, 3);
    let lines: Vec<Value> = batch
        .out
        .lines()
        .map(|line| serde_json::from_str(line).expect("JSON"))
        .collect();
    assert_eq!(lines[0]["schema"], "blockside.diagnosis/1");
    assert_eq!(lines[0]["species"], "grey-oyster");
    assert_eq!(lines[1]["schema"], "blockside.problem/1");
}

#[test]
fn a_walk_does_not_ask_what_the_profile_tells() {
    let base = embedded::base();
    let tent = read(&base, "crowded-tent.toml");
    let told = facts(&base, &tent, &balance(&base, &tent));
    let reasoner = Reasoner::new(&base, System::Metric);
    let walk = blockside::cli::ask::walk::Walk::new(
        &base,
        blockside::cli::ask::answers::Answers::default(),
    )
    .in_chamber(tent.clone(), told.clone());
    let known = walk.observations();
    assert_eq!(known.species, tent.species);
    let diagnosis = reasoner.diagnose(&known);
    for check in reasoner.next_checks(&known) {
        if let blockside::engine::diagnosis::Ask::Reading(reading) = &check.ask {
            assert!(
                told.readings.iter().all(|(id, _)| id != reading),
                "{reading} is known"
            );
        }
    }
    use blockside::cli::ask::walk::Step;
    let step = walk.next_step(&diagnosis, &reasoner);
    // Species and stage stand in the profile, so the walk begins with the setup items that do not.
    let Step::Setup(asked) = &step else {
        panic!("{step:?}");
    };
    assert!(!asked.is_empty());
    for id in asked {
        assert!(told.setup.iter().all(|(known, _)| known != id), "{id}");
    }
}

#[test]
fn a_room_as_stale_as_the_limit_is_told_first() {
    let base = embedded::base();
    let text = fs::read_to_string(fixture("crowded-tent.toml")).expect("there");
    let stale = chamber(&base, &text.replace("\"450 ppm\"", "\"1200 ppm\""));
    let found = balance(&base, &stale);
    assert!(found.get(Quantity::NeededAirflow).is_none());
    let told = facts(&base, &stale, &found);
    let said = summary(&Balanced {
        base: &base,
        chamber: &stale,
        balance: &found,
        facts: &told,
        system: System::Metric,
    });
    assert!(
        said[0].1.starts_with("The room itself holds 1200 ppm"),
        "{said:?}"
    );
}

/// Numbers anywhere within what a profile may hold, each there or not.
fn any_chamber() -> impl Strategy<Value = Chamber> {
    use blockside::engine::chamber::profile::{SensorPlace, Statement, VOLUMES_L, all_given};
    use blockside::engine::quantity::Measured;
    let given: Vec<_> = all_given().collect();
    let shares = prop::collection::vec(prop::option::of(0.0..=1.0), given.len());
    (shares, 0.0..=1.0, any::<[bool; 5]>()).prop_map(move |(shares, size, flags)| {
        let mut chamber = Chamber {
            flexible: flags[0],
            slack: flags[1],
            still_corner: flags[2],
            sensor: flags[3].then_some(SensorPlace::Mist),
            statements: vec![(Statement::FilterFitted, flags[4])],
            ..Chamber::default()
        };
        // By the logarithm where a range spans many sizes, so that small chambers are met as often as halls.
        let between = |least: f64, most: f64, share: f64| {
            if least > 0.0 && most / least > 100.0 {
                least * (most / least).powf(share)
            } else {
                least + share * (most - least)
            }
        };
        let measured = |value| Measured {
            value,
            tolerance: None,
        };
        chamber.put(
            Quantity::Volume,
            measured(between(VOLUMES_L.0, VOLUMES_L.1, size)),
        );
        for (given, share) in given.iter().zip(shares) {
            if let Some(share) = share {
                chamber.put(
                    given.quantity,
                    measured(between(given.least, given.most, share)),
                );
            }
        }
        chamber
    })
}

#[test]
fn every_chamber_that_can_be_written_has_a_balance_of_finite_numbers() {
    let base = embedded::base();
    let config = ProptestConfig::with_cases(300);
    proptest!(config, |(chamber in any_chamber())| {
        let found = balance(&base, &chamber);
        for &quantity in Quantity::ALL {
            let Some(one) = found.get(quantity) else { continue };
            let word = quantity.word();
            prop_assert!(one.value.is_finite() && one.deviation.is_finite(), "{word}: {one:?}");
            prop_assert!(one.low <= one.value && one.value <= one.high, "{word}: {one:?}");
        }
        if let (Some(wall), Some(dew), Some(margin)) = (
            found.get(Quantity::Wall),
            found.get(Quantity::DewPoint),
            found.get(Quantity::Margin),
        ) {
            prop_assert!((wall.value - dew.value - margin.value).abs() < 1e-9);
        }
        if let (Some(free), Some(loss)) = (found.get(Quantity::FreeFlow), found.get(Quantity::DuctLoss)) {
            prop_assert!(free.value >= 0.0 && (-1e-9..=100.0).contains(&loss.value), "{loss:?}");
        }
        let told = facts(&base, &chamber, &found);
        for (id, measured) in &told.readings {
            let (least, most) = base.readings[id].believable;
            prop_assert!((least..=most).contains(&measured.value), "{id}");
        }
        let text = report(
            &Balanced { base: &base, chamber: &chamber, balance: &found, facts: &told, system: System::Metric },
            Look::of_width(40),
        );
        prop_assert!(!text.contains("NaN") && !text.contains("inf"), "{text}");
    });
}

#[test]
fn a_walk_from_answers_takes_in_the_profile() {
    let world = World::new();
    let tent = fs::read_to_string(fixture("crowded-tent.toml")).expect("there");
    world.file("tent.toml", &tent);
    world.file(
        "answers.toml",
        "schema = \"blockside.answers/1\"\ncomplaints = [\"long-stems\"]\n",
    );
    let mut walk = world.bare();
    walk.args([
        "ask",
        "--answers",
        "answers.toml",
        "--profile",
        "tent.toml",
        "--save",
        "case.toml",
    ]);
    let walk = Ran::of(walk);
    assert_eq!(walk.status, 0, "{}", walk.err);
    assert!(walk.out.contains("Weighed for Grey oyster"), "{}", walk.out);
    assert!(walk.out.contains("(chamber profile)"), "{}", walk.out);
    // The saved case stands by itself: it holds what the profile told.
    let saved = fs::read_to_string(world.home.path().join("case.toml")).expect("saved");
    assert!(saved.contains("room-humidity = \"40 %\""), "{saved}");
}

#[test]
fn a_wall_below_the_dew_point_drips_and_takes_water() {
    let base = embedded::base();
    let tent = read(&base, "crowded-tent.toml");
    let cold = after(&base, &tent, &["measured-wall=15 °C"]);
    assert!(value(&cold, Quantity::Margin) < 0.0);
    assert!(value(&cold, Quantity::WallWater) > 10.0);
    assert!(balance(&base, &tent).get(Quantity::WallWater).is_none());
    // A film with a room six degrees cooler drips at 90 %; 25 mm of foam on it does not.
    let text = fs::read_to_string(fixture("crowded-tent.toml")).expect("there");
    let film = chamber(&base, &text.replace("\"21 °C\"", "\"14.5 °C\""));
    assert!(value(&balance(&base, &film), Quantity::Margin) < 0.0);
    let foam = after(&base, &film, &["insulation=25 mm"]);
    assert!(value(&foam, Quantity::Margin) > 0.0);
}

#[test]
fn water_leaves_dust_and_light_is_counted_in_photons() {
    let base = embedded::base();
    let text = |kind: &str| {
        format!(
            "schema = \"blockside.profile/1\"\nvolume = \"500 L\"\n[room]\ntemperature = \"21 C\"\nhumidity = \"45 %\"\n[humidity]\nset-point = \
             \"90 %\"\n[measured]\ntemperature = \"20 C\"\nairflow = \"3 m3/h\"\n[lamp]\nlight = \"700 lux\"\n\
             [mister]\nwater-solids = \"300 ppm\"\nkind = \"{kind}\"\n"
        )
    };
    let found = balance(&base, &chamber(&base, &text("ultrasonic")));
    let litres = value(&found, Quantity::WaterDay);
    assert!(litres > 0.1);
    let dust = value(&found, Quantity::Dust);
    assert!((dust / (0.3 * litres) - 1.0).abs() < 1e-9, "{dust}");
    let hangs = value(&found, Quantity::DustInAir);
    assert!((hangs / (1e6 * dust / (24.0 * 3.0)) - 1.0).abs() < 1e-9);
    assert!((value(&found, Quantity::Photons) - 10.0).abs() < 1e-9);
    // What evaporates keeps its minerals.
    let other = balance(&base, &chamber(&base, &text("other")));
    assert!(other.get(Quantity::Dust).is_none() && other.get(Quantity::DustInAir).is_none());
}
