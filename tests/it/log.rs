//! Reading sensor logs: known truths come out again, faults are named and counted, screens read well.

use std::fs;

use serde_json::Value;

use crate::log_made::{self, AIR_CHANGES, OUTSIDE, path};
use crate::world::{Ran, World, assert_clean};

/// Runs `log` on a file in the world's folder or anywhere.
fn log(world: &World, file: &str, options: &[&str]) -> Ran {
    let mut command = world.bare();
    command.arg("log").arg(file).args(options);
    Ran::of(command)
}

/// What `log` says of a made log, as JSON.
fn told(name: &str, options: &[&str]) -> Value {
    let world = World::new();
    let file = path(name);
    let mut all = vec!["--format", "json"];
    all.extend(options);
    let ran = log(&world, file.to_str().expect("a plain path"), &all);
    assert_eq!(ran.status, 0, "{}", ran.err);
    assert_eq!(ran.err, "");
    serde_json::from_str(&ran.out).expect("JSON")
}

/// What `log` says of this text.
fn of(text: impl AsRef<[u8]>, options: &[&str]) -> Value {
    let world = World::new();
    world.file("log.csv", text);
    let mut all = vec!["--format", "json"];
    all.extend(options);
    let ran = log(&world, "log.csv", &all);
    assert_eq!(ran.status, 0, "{}", ran.err);
    serde_json::from_str(&ran.out).expect("JSON")
}

fn finding<'v>(told: &'v Value, id: &str) -> Option<&'v Value> {
    let findings = told["findings"].as_array().expect("a list");
    findings.iter().find(|finding| finding["id"] == id)
}

fn ids(told: &Value) -> Vec<&str> {
    let findings = told["findings"].as_array().expect("a list");
    findings
        .iter()
        .map(|one| one["id"].as_str().expect("an id"))
        .collect()
}

fn number(value: &Value) -> f64 {
    value
        .as_f64()
        .unwrap_or_else(|| panic!("{value} is no number"))
}

fn near(value: &Value, wanted: f64, within: f64) {
    let got = number(value);
    assert!((got - wanted).abs() <= within, "{got} is not {wanted}");
}

#[test]
fn the_made_logs_are_what_is_made_of_their_truth() {
    for (name, text) in log_made::all() {
        if std::env::var_os("MAKE_LOGS").is_some() {
            fs::write(path(name), &text).expect("written");
        }
        let kept = fs::read_to_string(path(name)).expect("it is there");
        assert!(
            kept == text,
            "{name} differs; run the tests with MAKE_LOGS=1"
        );
    }
}

#[test]
fn falls_of_carbon_dioxide_give_the_air_changes_they_were_made_with() {
    let told = told("openings.csv", &["--outside-co2", "420 ppm"]);
    let changes = finding(&told, "air-changes").expect("found");
    let evidence = &changes["evidence"];
    assert_eq!(evidence["decays"], 6);
    near(&evidence["outside_ppm"], OUTSIDE, 0.0);
    assert_eq!(evidence["outside_given"], true);
    let list = evidence["list"].as_array().expect("a list");
    assert_eq!(list.len(), 6);
    for (fall, truth) in list.iter().zip(AIR_CHANGES) {
        // Readings are rounded to whole ppm: at 330 ppm above the air outside that is a thousandth and a half of it.
        near(&fall["air_changes_per_hour"], truth, 0.005 * truth);
        assert!(
            number(&fall["low"]) <= truth && truth <= number(&fall["high"]),
            "{fall}"
        );
        assert!(number(&fall["r_squared"]) > 0.9999);
        near(&fall["start_ppm"], 2620.0, 130.0);
    }
    // Where the air outside holds more than was taken, the result is too low: that is the direction of the error.
    let other = of(
        fs::read_to_string(path("openings.csv")).expect("there"),
        &["--outside-co2", "380"],
    );
    let middle =
        &finding(&other, "air-changes").expect("found")["evidence"]["air_changes_per_hour"];
    assert!(number(middle) < 4.0, "{middle}");
}

#[test]
fn peaks_of_carbon_dioxide_are_counted_with_their_hours() {
    let told = told("openings.csv", &[]);
    let evidence = &finding(&told, "co2-peaks").expect("found")["evidence"];
    assert_eq!(evidence["peaks"], 6);
    near(&evidence["highest_ppm"], 2620.0, 0.0);
    let hours: Vec<usize> = evidence["by_hour"]
        .as_array()
        .expect("a list")
        .iter()
        .enumerate()
        .filter(|(_, count)| **count != 0)
        .map(|(hour, _)| hour)
        .collect();
    assert_eq!(hours, [2, 6, 10, 14, 18, 22]);
    // Above the limit while the straight rise and the falls lie above it: by the formulae of the maker.
    let limit = number(&told["readings"]["co2"]["limit_max"]);
    let share = (limit - OUTSIDE) / 2200.0;
    let falling: f64 = AIR_CHANGES.iter().map(|n| -share.ln() / n).sum();
    let hours = 6.0 * 2.0 * (1.0 - share) + falling;
    // Each crossing lies somewhere between two readings, one minute apart.
    near(&told["readings"]["co2"]["hours_above"], hours, 12.0 / 60.0);
}

#[test]
fn hunting_has_the_period_and_swing_it_was_made_with() {
    let told = told("hunting.csv", &[]);
    assert_eq!(told["start"], "2026-03-01T00:00:00+00:00");
    let evidence = &finding(&told, "humidity-hunting").expect("found")["evidence"];
    assert_eq!(evidence["cycles"], 29);
    near(&evidence["period_minutes"], 12.0, 1.0 / 60.0);
    near(&evidence["swing_points"], 8.0, 0.05);
    assert_eq!(evidence["logged_often_enough"], true);
    let reason = finding(&told, "humidity-swing-mister").expect("the temperature stays");
    near(&reason["evidence"]["thermal_share"], 0.0, 1e-9);
    assert_eq!(finding(&told, "humidity-swing-thermal"), None);
}

/// Numbers that look like chance and are the same each time: sums of twelve of them are near a normal distribution.
struct Noise(u64);

impl Noise {
    fn uniform(&mut self) -> f64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.uniform()).sum::<f64>() - 6.0
    }
}

/// A meter that scatters by 0.7 points reaches turns of three points by chance alone, again and again.
#[test]
fn the_noise_of_a_meter_is_no_hunting() {
    let mut noise = Noise(7);
    let mut text = "time,temp c,rh\n".to_owned();
    for minute in 0..7200_i64 {
        let (humidity, celsius) = (90.0 + 0.7 * noise.normal(), 18.0 + 0.1 * noise.normal());
        text.push_str(&format!(
            "{},{celsius:.1},{humidity:.1}\n",
            1_772_600_000 + 60 * minute
        ));
    }
    assert_eq!(ids(&of(text, &[])), Vec::<&str>::new());
}

/// The same noise on top of cycles of twelve minutes hides nothing.
#[test]
fn hunting_is_found_beneath_the_noise_of_a_meter() {
    let mut noise = Noise(11);
    let mut text = "time,rh\n".to_owned();
    for step in 0..2000_i64 {
        let within = (step * 20 % 720) as f64 / 720.0;
        let humidity = 84.0 + 8.0 * (1.0 - (2.0 * within - 1.0).abs()) + 0.3 * noise.normal();
        text.push_str(&format!("{},{humidity:.1}\n", 1_772_600_000 + 20 * step));
    }
    let told = of(text, &[]);
    let evidence = &finding(&told, "humidity-hunting").expect("found")["evidence"];
    near(&evidence["period_minutes"], 12.0, 0.5);
    // Noise moves each turn outwards: the highest of several readings near the top is a little too high.
    near(&evidence["swing_points"], 8.0, 1.0);
}

#[test]
fn a_logger_that_writes_only_on_change_has_no_gaps() {
    let mut noise = Noise(3);
    let mut text = "time,rh\n".to_owned();
    let mut at = 1_772_600_000_i64;
    for _ in 0..500 {
        at += [20, 40, 60, 120, 600, 1800][(noise.uniform() * 6.0) as usize];
        text.push_str(&format!("{at},{:.1}\n", 88.0 + noise.normal() / 2.0));
    }
    // One pause of a day is a gap all the same.
    text.push_str(&format!("{},88.0\n", at + 86_400));
    let told = of(text, &[]);
    let gaps = &finding(&told, "gaps").expect("found")["evidence"];
    assert_eq!(gaps["gaps"], 1);
    near(&gaps["longest_hours"], 24.0, 0.0);
}

#[test]
fn a_base_that_speaks_of_logs_needs_every_number() {
    use blockside::knowledge::build::{SourceFile, build};
    use blockside::knowledge::problem::ProblemCode;
    use blockside::knowledge::read::read_folder;
    let mut files = read_folder(&crate::small::folder(), 0).expect("the folder is there");
    files.push(SourceFile {
        name: "log.toml".to_owned(),
        text: "[[log-number]]\nid = \"gap-factor\"\nvalue = 4\njudgement = \"Made up.\"\n"
            .to_owned(),
        layer: 0,
    });
    let problems = build(&files).problems;
    let codes: Vec<ProblemCode> = problems.iter().map(|problem| problem.code).collect();
    assert_eq!(codes, [ProblemCode::MissingScale]);
    assert!(
        problems[0]
            .message
            .contains("the log number `gap-least-minutes`"),
        "{}",
        problems[0].message
    );
    assert!(!problems[0].message.contains("`gap-factor`"));
}

/// An on and off band of 88 to 92 % in half a cubic metre with six air changes an hour, a mister of 60 g/h and 20 seconds
/// of dead time. Computed from first-order relay control (PsychroLib 2.5.0 for the moist air): 66.62 s on, 101.52 s off,
/// highest 94.186 %, lowest 86.604 %.
#[test]
fn a_relay_with_dead_time_gives_the_period_and_swing_of_the_closed_form() {
    let (on, off, top, bottom) = (66.618_450_53, 101.515_551_30, 94.185_601_56, 86.603_971_99);
    let mut text = "time,temp c,rh\n".to_owned();
    for step in 0..5400_i64 {
        let within = (step as f64 * 2.0) % (on + off);
        let humidity = if within < on {
            bottom + (top - bottom) * within / on
        } else {
            top - (top - bottom) * (within - on) / off
        };
        text.push_str(&format!("{},20,{humidity:.2}\n", 1_772_600_000 + 2 * step));
    }
    let told = of(text, &[]);
    let evidence = &finding(&told, "humidity-hunting").expect("found")["evidence"];
    // Readings come each 2 s: a single cycle is 168 or 170 s long, their mean is finer.
    near(&evidence["period_minutes"], (on + off) / 60.0, 1.0 / 60.0);
    near(
        &evidence["period_minutes_mean"],
        (on + off) / 60.0,
        0.05 / 60.0,
    );
    // In 2 s the humidity moves by a quarter of a point, so a turn may be missed by half of that.
    near(&evidence["swing_points"], top - bottom, 0.25);
}

#[test]
fn a_cycle_that_is_logged_too_seldom_is_called_so() {
    let mut text = "time,rh\n".to_owned();
    for step in 0..100 {
        let minutes = step * 5;
        let humidity = if step % 2 == 0 { 84 } else { 92 };
        text.push_str(&format!(
            "2026-03-01 {:02}:{:02},{humidity}\n",
            minutes / 60,
            minutes % 60
        ));
    }
    let told = of(text, &[]);
    let hunting = finding(&told, "humidity-hunting").expect("found");
    assert_eq!(hunting["evidence"]["logged_often_enough"], false);
    assert!(
        hunting["text"]
            .as_str()
            .expect("text")
            .contains("may be quicker"),
        "{hunting}"
    );
}

#[test]
fn a_swing_with_the_same_water_in_the_air_is_thermal() {
    let told = told("thermal.csv", &[]);
    let evidence = &finding(&told, "humidity-swing-thermal").expect("found")["evidence"];
    // The maker's formula and the program's differ by less than a hundredth of a point here; cells are rounded to tenths.
    near(&evidence["thermal_share"], 1.0, 0.02);
    near(&evidence["temperature_rise_c"], -5.0, 0.1);
    let (peaks, troughs) = (
        number(&evidence["water_at_peaks_g_m3"]),
        number(&evidence["water_in_troughs_g_m3"]),
    );
    // The pressure of the vapour stays; its mass in a cubic metre goes with the absolute temperature, 5 in 292.
    assert!(
        (peaks / troughs - 294.65 / 289.65).abs() < 0.01,
        "{peaks} {troughs}"
    );
    let swing = &finding(&told, "temperature-swing").expect("found")["evidence"];
    near(&swing["range_of_day_c"], 5.0, 0.011);
    assert_eq!(swing["days"], 4);
    assert_eq!(finding(&told, "humidity-hunting"), None);
}

#[test]
fn clocks_that_are_changed_cost_no_row_where_the_place_is_known() {
    let back = told("clock-back.csv", &["--time-zone", "Europe/Berlin"]);
    assert_eq!(
        (&back["rows"], &back["rows_used"]),
        (&Value::from(53), &Value::from(53))
    );
    near(&back["hours"], 13.0, 0.0);
    assert_eq!(back["start"], "2026-10-24T20:00:00+02:00");
    assert_eq!(back["end"], "2026-10-25T08:00:00+01:00");
    let forward = told("clock-forward.csv", &["--time-zone", "Europe/Berlin"]);
    near(&forward["hours"], 7.0, 0.0);
    assert_eq!(forward["rows_used"], 29);
    assert_eq!(finding(&forward, "gaps"), None);
    // Without the place the hour that comes twice cannot be told apart: said, with the way out.
    let unknown = told("clock-back.csv", &[]);
    assert_eq!(unknown["rows_left_out"]["time-backwards"], 3);
    assert_eq!(unknown["rows_left_out"]["repeated-time"], 1);
    let went_back = finding(&unknown, "clock-went-back").expect("found");
    assert!(
        went_back["text"]
            .as_str()
            .expect("text")
            .contains("--time-zone"),
        "{went_back}"
    );
    // A logger that does not follow its zone shows times that no clock there showed.
    let odd = of(
        "time,rh\n2026-03-29 01:30,80\n2026-03-29 02:30,81\n2026-03-29 03:30,82\n",
        &["--time-zone", "Europe/Berlin"],
    );
    assert_eq!(odd["rows_left_out"]["no-such-time"], 1);
}

#[test]
fn a_leap_day_dates_with_the_month_first_and_fahrenheit_are_read() {
    let told = told("leap-day.csv", &[]);
    near(&told["hours"], 48.0, 0.0);
    assert_eq!(told["rows_used"], 49);
    assert_eq!(told["end"], "2028-03-01T12:00:00");
    let temperature = &told["readings"]["temperature"];
    near(&temperature["min"], 20.0, 1e-9);
    near(&temperature["max"], 21.0, 1e-9);
    near(&temperature["mean"], 20.5, 1e-9);
}

#[test]
fn night_and_day_are_told_apart_by_the_clock_or_by_the_lamp() {
    let told = told("night.csv", &[]);
    assert_eq!(told["night_by"], "clock");
    let temperature = &told["readings"]["temperature"];
    near(&temperature["day"]["mean"], 21.0, 1e-9);
    near(&temperature["day"]["hours"], 32.0, 1e-9);
    near(&temperature["night"]["mean"], 17.0, 1e-9);
    near(&temperature["night"]["hours"], 16.0, 1e-9);
    // Rows stand for half of the time to their neighbours: two nights and a half step of a third.
    near(
        &temperature["mean"],
        (32.0 * 21.0 + 16.0 * 17.0) / 48.0,
        1e-9,
    );
    let mut text = "time,temp c,lux\n".to_owned();
    for hour in 0..72 {
        let lit = (4..20).contains(&(hour % 24));
        let (celsius, lux) = if lit { (22, 300) } else { (20, 0) };
        text.push_str(&format!(
            "2026-03-{:02} {:02}:00,{celsius},{lux}\n",
            1 + hour / 24,
            hour % 24
        ));
    }
    let lamp = of(text, &[]);
    assert_eq!(lamp["night_by"], "lamp");
    near(&lamp["readings"]["temperature"]["day"]["mean"], 22.0, 1e-9);
    near(&lamp["readings"]["light"]["day"]["mean"], 300.0, 1e-9);
}

#[test]
fn stuck_and_saturated_meters_are_found_with_their_times() {
    let told = told("wet-meter.csv", &[]);
    let wet = finding(&told, "humidity-saturated").expect("found");
    assert_eq!(wet["evidence"]["times"], 1);
    near(&wet["evidence"]["longest_hours"], 9.0, 0.0);
    assert_eq!(
        (&wet["from"], &wet["to"]),
        (
            &Value::from("2026-03-01T08:00:00"),
            &Value::from("2026-03-01T17:00:00")
        )
    );
    let stuck = &finding(&told, "temperature-stuck").expect("found")["evidence"];
    near(&stuck["value"], 21.4, 0.0);
    near(&stuck["longest_hours"], 20.0 - 5.0 / 60.0, 0.001);
    let co2 = &finding(&told, "co2-stuck").expect("found")["evidence"];
    near(&co2["value"], 5000.0, 0.0);
    near(&co2["longest_hours"], 4.0, 0.0);
    // The top of its range is a finding of its own, not a stuck meter.
    assert_eq!(finding(&told, "humidity-stuck"), None);
}

#[test]
fn a_surface_near_the_dew_point_is_told_with_its_hours() {
    let mut text = "time,temp c,rh\n".to_owned();
    for minute in 0..=600 {
        text.push_str(&format!(
            "2026-03-01 {:02}:{:02},20.0,90.0\n",
            minute / 60,
            minute % 60
        ));
    }
    // The dew point of 20 °C and 90 % is 18.3102 °C (PsychroLib 2.5.0).
    for (surface, near_hours, wet_hours) in [
        ("18 °C", 10.0, 10.0),
        ("19", 10.0, 0.0),
        ("66.2 F", 10.0, 0.0),
    ] {
        let told = of(&text, &["--surface", surface]);
        let evidence = &finding(&told, "near-dew-point").expect("found")["evidence"];
        near(&evidence["hours"], near_hours, 1e-9);
        near(&evidence["hours_wet"], wet_hours, 1e-9);
        near(
            &evidence["least_margin_c"],
            number(&evidence["surface_c"]) - 18.3102,
            0.001,
        );
    }
    assert_eq!(
        finding(&of(&text, &["--surface", "20"]), "near-dew-point"),
        None
    );
    assert_eq!(finding(&of(&text, &[]), "near-dew-point"), None);
}

#[test]
fn faults_of_rows_and_cells_are_counted_by_reason_with_their_lines() {
    let told = told("faults.csv", &[]);
    let rows = &told["rows_left_out"];
    let wanted = [
        ("unreadable-time", 2),
        ("repeated-time", 2),
        ("time-backwards", 2),
        ("cell-count", 2),
        ("nothing-measured", 1),
    ];
    for (reason, count) in wanted {
        assert_eq!(rows[reason], count, "{reason}: {rows}");
    }
    assert_eq!(rows.as_object().expect("a table").len(), wanted.len());
    let left_out: i64 = wanted.iter().map(|(_, count)| count).sum();
    assert_eq!(
        told["rows"].as_i64().expect("a number"),
        told["rows_used"].as_i64().expect("a number") + left_out
    );
    let cells = &told["cells_left_out"];
    assert_eq!(cells["temperature"]["not-a-number"], 1);
    assert_eq!(cells["temperature"]["impossible"], 1);
    assert_eq!(cells["temperature"]["wrong-unit"], 1);
    assert_eq!(cells["humidity"]["blank"], 2);
    assert_eq!(cells["humidity"]["impossible"], 1);
    let places = told["first_left_out"].as_array().expect("a list");
    let at = |reason: &str| {
        let place = places
            .iter()
            .find(|place| place["reason"] == reason)
            .expect("named");
        (
            place["line"].as_u64().expect("a line"),
            place["column"].as_u64(),
        )
    };
    // Lines as an editor counts them: the names are line 1.
    assert_eq!(at("unreadable-time"), (12, Some(1)));
    assert_eq!(at("not-a-number").1, Some(2));
    let text = fs::read_to_string(path("faults.csv")).expect("there");
    let lines: Vec<&str> = text.lines().collect();
    for place in places {
        let line = lines[place["line"].as_u64().expect("a line") as usize - 1];
        let shown = place["text"].as_str().expect("text");
        let reason = place["reason"].as_str().expect("text");
        let as_time = ["repeated-time", "time-backwards"].contains(&reason);
        assert!(as_time || line.contains(shown), "{place}: {line}");
    }
    let gap = &finding(&told, "gaps").expect("found")["evidence"];
    assert_eq!(gap["gaps"], 1);
    near(&gap["longest_hours"], 0.5, 0.0);
}

#[test]
fn what_other_loggers_write_is_read() {
    let told = told("semicolons.csv", &[]);
    assert_eq!(told["rows"], 48);
    assert_eq!(told["rows_used"], 48);
    assert_eq!(told["start"], "2026-03-04T00:00:00");
    near(&told["readings"]["temperature"]["max"], 19.9, 1e-9);
    near(&told["readings"]["humidity"]["min"], 80.5, 1e-9);
    let columns = told["columns"].as_array().expect("a list");
    assert_eq!(columns[2]["name"], "Temp. [°C]");
    // Columns in any order, epoch milliseconds, a column that is not read, a tab between.
    let other = of(
        "CO2\tbattery\ttime\tRH %\n900\t3.1\t1772600767000\t88\n910\t3.1\t1772600827000\t89\n",
        &[],
    );
    assert_eq!(other["columns_not_read"][0], "battery");
    assert_eq!(other["start"], "2026-03-04T05:06:07+00:00");
    near(&other["readings"]["co2"]["mean"], 905.0, 0.0);
    // What stands between cells may end each line, or only some.
    let ends = of(
        "time,temp c,\n2026-03-04 05:06,20.5,\n2026-03-04 05:07,21.5\n",
        &[],
    );
    assert_eq!(ends["rows_used"], 2);
    // The carriage return of old systems, and names in quotation marks.
    let old = of(
        "\"Time\",\"Temp (C)\"\r2026-03-04 05:06,\"20.5\"\r2026-03-04 05:07,\"21.5\"\r",
        &[],
    );
    near(&old["readings"]["temperature"]["mean"], 21.0, 0.0);
}

#[test]
fn one_row_is_a_log() {
    let told = of("time,temp c\n2026-03-04 05:06,20.5\n", &[]);
    let temperature = &told["readings"]["temperature"];
    for key in ["mean", "min", "max", "p05", "p50", "p95"] {
        near(&temperature[key], 20.5, 0.0);
    }
    near(&temperature["hours"], 0.0, 0.0);
}

#[test]
fn a_leap_into_the_future_costs_one_row_and_not_all_after_it() {
    let text = "time,rh\n2026-03-01 00:00,80\n2026-03-01 00:01,81\n2099-01-01 00:00,82\n2026-03-01 00:02,83\n\
                2026-03-01 00:03,84\n";
    let told = of(text, &[]);
    assert_eq!(told["rows_used"], 4);
    assert_eq!(told["rows_left_out"]["time-backwards"], 1);
    assert_eq!(told["first_left_out"][0]["line"], 4);
}

#[test]
fn a_column_that_is_filled_in_seldom_is_no_gap() {
    let mut text = "time,temp c,co2\n".to_owned();
    for minute in 0..300 {
        let co2 = if minute % 30 == 0 {
            (800 + minute).to_string()
        } else {
            String::new()
        };
        text.push_str(&format!(
            "2026-03-01 {:02}:{:02},20.{},{co2}\n",
            minute / 60,
            minute % 60,
            minute % 9
        ));
    }
    let told = of(text, &[]);
    near(&told["readings"]["co2"]["hours"], 4.5, 1e-9);
    assert_eq!(told["readings"]["co2"]["count"], 10);
    assert_eq!(finding(&told, "gaps"), None);
}

#[test]
fn nothing_unclear_is_guessed() {
    let world = World::new();
    for (text, status, said) in [
        ("", 3, "is empty"),
        ("\n \n", 3, "is empty"),
        ("time,temp c\n", 3, "no rows of values"),
        (
            "2026-01-01 00:00,21.4\n2026-01-01 00:01,21.4\n",
            3,
            "--column time=1 --column temperature=2",
        ),
        ("when,what\n1,2\n", 3, "there are `when`, `what`"),
        (
            "time,remark\n2026-01-01 00:00,x\n",
            3,
            "known to hold temperature, humidity, co2 or light",
        ),
        (
            "time,Temp 1,Temp 2\n2026-01-01 00:00,21,22\n",
            3,
            "--column temperature=\"Temp 1\"",
        ),
        (
            "time,Temp,Temp\n2026-01-01 00:00,21,22\n",
            3,
            "`Temp` (column 2), `Temp` (column 3); choose one with `--column temperature=2`",
        ),
        ("time,temp\n2026-01-01 00:00,71.2\n", 3, "line of"),
        (
            "time,temp\n03/04/2026 00:00,21.2\n",
            3,
            "--date-order day-first",
        ),
        (
            "time,temp,rh\n2026-01-01 00:00,21,4,88,2\n",
            3,
            "semicolons or tabs",
        ),
        ("a\u{0}b,c\n", 3, "line 1, column 2"),
        ("time,temp c\nnever,21\n", 3, "line 2, column 1 (`never`)"),
    ] {
        world.file("log.csv", text);
        let ran = log(&world, "log.csv", &[]);
        if said == "line of" {
            ran.refused(3, &["column 2, `temp`", "`--unit temperature=F`"]);
        } else {
            ran.refused(status, &[said]);
        }
        assert_clean(&ran.err);
    }
    world.file("utf16.csv", b"\xff\xfet\0i\0m\0e\0");
    log(&world, "utf16.csv", &[]).refused(3, &["UTF-16"]);
    log(&world, "missing.csv", &[]).refused(3, &["there is no file `missing.csv`"]);
    log(&world, ".", &[]).refused(3, &["is a folder"]);
    world.file("log.csv", "time,temp c\n2026-01-01 00:00,21\n");
    for (options, said) in [
        (["--column", "heat=2"], "time, date, temperature"),
        (["--column", "temperature="], "cannot be understood"),
        (["--unit", "temperature=ppm"], "cannot be understood"),
        (
            ["--time-zone", "Mars/Base"],
            "no time zone is called `Mars/Base`",
        ),
        (["--surface", "cold"], "--surface"),
        (["--outside-co2", "much"], "--outside-co2"),
        (["--species", "grey-oister"], "did you mean `grey-oyster`"),
        (["--stage", "eating"], "no stage is called"),
    ] {
        log(&world, "log.csv", &options).refused(2, &[said]);
    }
    log(&world, "log.csv", &["--column", "temperature=Probe"])
        .refused(3, &["no column is called `Probe`"]);
}

#[test]
fn what_is_said_settles_what_is_unclear() {
    let two = "time,Temp 1,Temp 2\n2026-01-01 00:00,21,22\n2026-01-01 00:01,21,22\n";
    near(
        &of(two, &["--column", "temperature=temp 2"])["readings"]["temperature"]["mean"],
        22.0,
        0.0,
    );
    near(
        &of(two, &["--column", "temperature=2"])["readings"]["temperature"]["mean"],
        21.0,
        0.0,
    );
    let alike = "time,Temp,Temp\n2026-01-01 00:00,21,22\n2026-01-01 00:01,21,22\n";
    near(
        &of(alike, &["--column", "temperature=3"])["readings"]["temperature"]["mean"],
        22.0,
        0.0,
    );
    let warm = "time,temp\n2026-01-01 00:00,68\n2026-01-01 00:01,68\n";
    near(
        &of(warm, &["--unit", "temperature=F"])["readings"]["temperature"]["mean"],
        20.0,
        1e-9,
    );
    let share = "time,rh\n2026-01-01 00:00,0.88\n2026-01-01 00:01,0.88\n";
    near(
        &of(share, &["--unit", "humidity=fraction"])["readings"]["humidity"]["mean"],
        88.0,
        1e-9,
    );
    let dates = "time,temp c\n03/04/2026 00:00,20\n03/04/2026 00:01,20\n";
    assert_eq!(
        of(dates, &["--date-order", "day-first"])["start"],
        "2026-04-03T00:00:00"
    );
    assert_eq!(
        of(dates, &["--date-order", "month-first"])["start"],
        "2026-03-04T00:00:00"
    );
    // The step from one day to the next settles it too, and that is said.
    let days = "time,temp c\n03/04/2026 23:59,20\n04/04/2026 00:00,20\n";
    let told = of(days, &[]);
    assert_eq!(told["start"], "2026-04-03T23:59:00");
    assert!(
        told["taken_for_granted"][0]
            .as_str()
            .expect("text")
            .contains("day first"),
        "{told}"
    );
    let bare = "2026-01-01 00:00;21,5\n2026-01-01 00:01;22,5\n";
    let told = of(bare, &["--column", "time=1", "--column", "temperature=2"]);
    near(&told["readings"]["temperature"]["mean"], 22.0, 0.0);
}

#[test]
fn a_log_goes_into_a_case_by_what_the_knowledge_says() {
    let world = World::new();
    let file = path("wet-meter.csv");
    let file = file.to_str().expect("a plain path");
    let options = [
        "--species",
        "grey oyster",
        "--stage",
        "fruiting",
        "--into",
        "case.toml",
        "--surface",
        "17 °C",
    ];
    let ran = log(&world, file, &options);
    assert_eq!(ran.status, 0, "{}", ran.err);
    assert!(ran.out.contains("Written to case.toml"), "{}", ran.out);
    let written = fs::read_to_string(world.home.path().join("case.toml")).expect("written");
    for part in [
        "schema = \"blockside.case/1\"",
        "species = \"grey-oyster\"",
        "humidity-stuck-at-top = \"yes\"",
        "wall-temperature = \"17 C\"",
    ] {
        assert!(written.contains(part), "{written}");
    }
    let mut diagnose = world.bare();
    diagnose.args(["diagnose", "case.toml", "--format", "json"]);
    let diagnosis = Ran::of(diagnose);
    assert_eq!(diagnosis.status, 0, "{}", diagnosis.err);
    let diagnosis: Value = serde_json::from_str(&diagnosis.out).expect("JSON");
    let causes = diagnosis["causes"].as_array().expect("a list");
    assert!(!causes.is_empty(), "a stuck meter points somewhere");
    // Nothing is overwritten.
    log(&world, file, &options).refused(3, &["`case.toml` is there already"]);
    let hunting = path("hunting.csv");
    let ran = log(
        &world,
        hunting.to_str().expect("plain"),
        &["--into", "other.toml"],
    );
    assert_eq!(ran.status, 0, "{}", ran.err);
    let written = fs::read_to_string(world.home.path().join("other.toml")).expect("written");
    assert!(written.contains("humidity-swing = \"8 %\""), "{written}");
}

#[test]
fn a_folder_of_knowledge_can_tie_a_finding_to_a_sign_of_its_own() {
    let world = World::new();
    let folder = world.home.path().join("own");
    fs::create_dir(&folder).expect("made");
    let sign = "[[sign]]\nid = \"mister-ignores-humidity\"\nstatement = \"the log has gaps\"\nquestion = \"Gaps?\"\n\
                look = \"At the log.\"\nwords = [\"gaps\"]\nanyway = \"sometimes\"\neffort = \"glance\"\n\
                log = \"gaps\"\njudgement = \"Made up.\"\n";
    fs::write(folder.join("signs.toml"), sign).expect("written");
    let file = path("faults.csv");
    let mut command = world.bare();
    command
        .args(["--knowledge", "own", "log"])
        .arg(&file)
        .args(["--into", "case.toml"]);
    let ran = Ran::of(command);
    assert_eq!(ran.status, 0, "{}", ran.err);
    let written = fs::read_to_string(world.home.path().join("case.toml")).expect("written");
    assert!(
        written.contains("mister-ignores-humidity = \"yes\""),
        "{written}"
    );
    // A finding that no log yields is a fault of the knowledge.
    fs::write(
        folder.join("signs.toml"),
        sign.replace("log = \"gaps\"", "log = \"gap\""),
    )
    .expect("written");
    let mut command = world.bare();
    command.args(["knowledge", "check", "own"]);
    let ran = Ran::of(command);
    assert_eq!(ran.status, 1);
    assert!(
        ran.out.contains("unknown-word") && ran.out.contains("did you mean `gaps`?"),
        "{}",
        ran.out
    );
}

#[test]
fn knowledge_without_logs_says_so() {
    let world = World::new();
    world.file("log.csv", "time,temp c\n2026-01-01 00:00,21\n");
    let ran = world.run(&["log", "log.csv"]);
    ran.refused(3, &["no `log-number` entries"]);
}

#[test]
fn the_drawing_stands_by_itself_and_nothing_breaks_out_of_it() {
    let world = World::new();
    let text = fs::read_to_string(path("openings.csv")).expect("there");
    world.file("a <b> & 'c'.csv", text);
    let ran = log(&world, "a <b> & 'c'.csv", &["--plot", "out.svg"]);
    assert_eq!(ran.status, 0, "{}", ran.err);
    let svg = fs::read_to_string(world.home.path().join("out.svg")).expect("written");
    assert!(svg.starts_with("<svg xmlns=") && svg.ends_with("</svg>\n"));
    assert!(
        svg.contains("a &lt;b&gt; &amp; &#39;c&#39;.csv"),
        "{}",
        &svg[..400]
    );
    for stranger in ["<script", "href", "url(", "<image", "&#x", "NaN", "inf"] {
        assert!(!svg.contains(stranger), "{stranger}");
    }
    assert_eq!(svg.matches("<polyline").count(), 3);
    // Every tag that is opened is closed.
    assert_eq!(svg.matches("<g>").count(), svg.matches("</g>").count());
    assert_eq!(svg.matches("<text").count(), svg.matches("</text>").count());
    log(&world, "a <b> & 'c'.csv", &["--plot", "out.svg"]).refused(3, &["is there already"]);
}

#[test]
fn order_of_columns_and_form_of_stamps_change_nothing() {
    let one = of(
        "time,temp c,rh\n2026-03-04 05:06:07,20.1,88.5\n2026-03-04 05:07:07,20.4,86.5\n2026-03-04 05:09:07,19.9,90\n",
        &[],
    );
    let other = of(
        "rh;when;temp f\n88,5;4 Mar 2026 5:06:07 AM;68,18\n86,5;4 Mar 2026 5:07:07 AM;68,72\n90;4 Mar 2026 5:09:07 AM;67,82\n",
        &[
            "--column",
            "time=when",
            "--column",
            "humidity=rh",
            "--column",
            "temperature=temp f",
        ],
    );
    for reading in ["temperature", "humidity"] {
        for key in ["mean", "p05", "p50", "p95", "hours"] {
            let wanted = number(&one["readings"][reading][key]);
            near(&other["readings"][reading][key], wanted, 1e-9);
        }
    }
    assert_eq!(
        (&one["start"], &one["end"]),
        (&other["start"], &other["end"])
    );
}

#[test]
fn the_schema_names_every_field_that_is_written() {
    let world = World::new();
    let mut command = world.bare();
    command.args(["schema", "log"]);
    let schema: Value = serde_json::from_str(&Ran::of(command).out).expect("JSON");
    let known = schema["properties"].as_object().expect("properties");
    let told = told("openings.csv", &[]);
    for key in told.as_object().expect("a table").keys() {
        assert!(known.contains_key(key), "{key}");
    }
    let reading = &schema["$defs"]["ReadingReport"]["properties"];
    for key in told["readings"]["co2"].as_object().expect("a table").keys() {
        assert!(reading.get(key).is_some(), "{key}");
    }
    assert_eq!(told["schema"], "blockside.log/1");
}

#[test]
fn the_log_of_standard_input_is_read() {
    use std::io::Write;
    use std::process::Stdio;
    let world = World::new();
    let mut command = world.bare();
    command
        .args(["log", "-", "--format", "json"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped());
    let mut child = command.spawn().expect("it starts");
    let text = fs::read(path("night.csv")).expect("there");
    child
        .stdin
        .take()
        .expect("a pipe")
        .write_all(&text)
        .expect("written");
    let output = child.wait_with_output().expect("it ends");
    let told: Value = serde_json::from_slice(&output.stdout).expect("JSON");
    assert_eq!(told["rows"], 97);
}

/// The screen of a made log, without the folder's name.
fn screen(name: &str, options: &[&str]) -> String {
    let world = World::new();
    fs::copy(path(name), world.home.path().join(name)).expect("copied");
    let ran = log(&world, name, options);
    assert_eq!(ran.status, 0, "{}", ran.err);
    assert_clean(&ran.out);
    ran.out
}

#[test]
fn screens_read_well_and_keep_to_their_width() {
    for (name, options) in [
        (
            "openings.csv",
            vec![
                "--species",
                "grey oyster",
                "--stage",
                "fruiting",
                "--surface",
                "17 C",
            ],
        ),
        ("faults.csv", vec![]),
        ("thermal.csv", vec!["--units", "imperial"]),
        ("wet-meter.csv", vec![]),
    ] {
        for (width, plain) in [("80", false), ("40", true)] {
            let mut all = options.clone();
            all.extend(["--width", width]);
            if plain {
                all.push("--plain");
            }
            let shown = screen(name, &all);
            let columns: usize = width.parse().expect("a number");
            for line in shown.lines() {
                let wide = line.chars().count();
                assert!(wide <= columns, "{wide}: {line}");
            }
            assert!(!plain || shown.is_ascii());
            let stem = name.trim_end_matches(".csv");
            insta::assert_snapshot!(format!("log-{stem}-{width}"), shown);
        }
    }
}

#[test]
fn every_log_gives_the_same_twice() {
    for (name, _) in log_made::all() {
        assert_eq!(told(name, &[]), told(name, &[]), "{name}");
        assert!(!ids(&told(name, &[])).contains(&""));
    }
}

#[test]
fn a_wet_meter_a_little_above_the_top_counts_as_the_top() {
    let mut text = "time,rh %\n".to_owned();
    for minute in 0..300 {
        let humidity = if minute % 2 == 0 { "100.4" } else { "103" };
        text.push_str(&format!(
            "2026-03-01 {:02}:{:02},{humidity}\n",
            minute / 60,
            minute % 60
        ));
    }
    text.push_str("2026-03-01 05:00,106\n");
    let told = of(text, &[]);
    assert_eq!(told["cells_taken_as_the_top"], 300);
    // Six above is no wet meter's.
    assert_eq!(told["cells_left_out"]["humidity"]["impossible"], 1);
    assert_eq!(told["rows_left_out"]["nothing-measured"], 1);
    near(&told["readings"]["humidity"]["max"], 100.0, 0.0);
    assert!(finding(&told, "humidity-saturated").is_some());
}

mod by_chance {
    use std::io::{self, Read};

    use blockside::engine::knowledge::KnowledgeBase;
    use blockside::knowledge::embedded;
    use blockside::log::analysis::{Analysed, Summary, analyse};
    use blockside::log::channel::Channel;
    use blockside::log::findings::{findings, measures};
    use blockside::log::opening::Said;
    use blockside::log::rows::Rows;
    use blockside::log::settings::Settings;
    use blockside::log::zone::Zone;
    use blockside::report::json;
    use proptest::prelude::{any, prop};
    use proptest::{prop_assert, prop_assert_eq, proptest};

    fn base() -> &'static KnowledgeBase {
        static BASE: std::sync::OnceLock<KnowledgeBase> = std::sync::OnceLock::new();
        BASE.get_or_init(embedded::lean)
    }

    fn settings() -> Settings {
        let mut settings = Settings::new(base(), None, None).expect("logs can be judged");
        settings.surface_c = Some(17.0);
        settings
    }

    fn read(source: impl Read) -> Option<Box<Summary>> {
        let settings = settings();
        let rows = Rows::open(source, &Said::default(), Zone::as_written(), &settings).ok()?;
        match analyse(rows, &settings, |_| {}).expect("memory can be read") {
            Analysed::Read(summary) => Some(summary),
            Analysed::Nothing(_) => None,
        }
    }

    /// Gives what it holds in pieces of so many bytes.
    struct Slowly<'a>(&'a [u8], usize);

    impl Read for Slowly<'_> {
        fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
            let count = self.1.min(self.0.len()).min(buffer.len());
            let (now, later) = self.0.split_at(count);
            buffer[..count].copy_from_slice(now);
            self.0 = later;
            Ok(count)
        }
    }

    /// The statistics from their definitions: sorted values, weights beside them.
    fn plainly(rows: &[(i64, f64)], gap_ms: i64) -> (f64, [f64; 3], f64) {
        let step = |pair: &[(i64, f64)]| {
            let step = pair[1].0 - pair[0].0;
            if step <= gap_ms { step as f64 } else { 0.0 }
        };
        let steps: Vec<f64> = rows.windows(2).map(step).collect();
        let mut weighed: Vec<(f64, f64)> = (0..rows.len())
            .map(|at| {
                let before = if at > 0 { steps[at - 1] } else { 0.0 };
                let after = steps.get(at).copied().unwrap_or(0.0);
                (rows[at].1, (before + after) / 2.0)
            })
            .collect();
        let total: f64 = weighed.iter().map(|one| one.1).sum();
        let mean = weighed.iter().map(|one| one.0 * one.1).sum::<f64>() / total;
        weighed.sort_by(|a, b| a.0.total_cmp(&b.0));
        let quantile = |share: f64| {
            let mut sum = 0.0;
            let found = weighed.iter().find(|(_, weight)| {
                sum += weight;
                *weight > 0.0 && sum >= share * total
            });
            found.expect("there is some weight").0
        };
        (mean, [0.05, 0.5, 0.95].map(quantile), total / 3_600_000.0)
    }

    proptest! {
        #[test]
        fn statistics_are_those_of_their_definitions(
            steps in prop::collection::vec((1_i64..400, 0_u32..10_000), 2..200)
        ) {
            let mut text = "time,rh %\n".to_owned();
            let mut at = 1_772_600_000_i64;
            let mut rows = Vec::new();
            for (step, hundredths) in steps {
                at += step;
                let value = f64::from(hundredths) / 100.0;
                text.push_str(&format!("{at},{value}\n"));
                rows.push((at * 1000, value));
            }
            let summary = read(text.as_bytes()).expect("a log");
            let statistics = summary.of(Channel::Humidity).expect("humidity");
            let (mean, quantiles, hours) = plainly(&rows, summary.gap_ms);
            prop_assert!((statistics.mean - mean).abs() < 1e-9);
            prop_assert!((statistics.hours - hours).abs() < 1e-9);
            for (ours, plain) in statistics.quantiles.iter().zip(quantiles) {
                prop_assert!((ours - plain).abs() < 1e-9, "{} {}", ours, plain);
            }
        }

        #[test]
        fn it_does_not_matter_in_which_pieces_a_file_arrives(piece in 1_usize..5000) {
            let text = crate::log_made::faults();
            let whole = read(text.as_bytes()).expect("a log");
            let slowly = read(Slowly(text.as_bytes(), piece)).expect("a log");
            let settings = settings();
            let system = blockside::engine::quantity::System::Metric;
            let told = |summary: &Summary| {
                json::log(summary, &settings, &findings(summary, &settings, system))
            };
            prop_assert_eq!(told(&whole), told(&slowly));
        }

        #[test]
        fn whatever_stands_in_a_file_every_row_is_used_or_counted(
            lines in prop::collection::vec("[0-9:;,.\" TCF%a-z\u{b0}-]{0,40}|2026-03-0[1-9] [0-2][0-9]:[0-5][0-9],[0-9]{1,3},[0-9]{1,3}", 0..60),
            tail in any::<Vec<u8>>(),
        ) {
            let mut text = "time,temp c,rh\n".to_owned().into_bytes();
            for line in &lines {
                text.extend_from_slice(line.as_bytes());
                text.push(b'\n');
            }
            text.extend_from_slice(&tail);
            if let Some(summary) = read(text.as_slice()) {
                let left_out = summary.left_out.total_rows();
                prop_assert_eq!(summary.rows, summary.used + left_out);
                prop_assert!(summary.end.at_ms >= summary.start.at_ms);
                let settings = settings();
                let found = findings(&summary, &settings, blockside::engine::quantity::System::Imperial);
                for finding in &found {
                    prop_assert!(finding.from.at_ms <= finding.to.at_ms);
                }
                for (measure, value) in measures(&summary, &settings) {
                    prop_assert!(value.is_finite(), "{:?}", measure);
                }
            }
        }
    }
}
