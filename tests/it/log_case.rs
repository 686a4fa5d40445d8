//! From a log by way of its case to a diagnosis: what was found stands as evidence, with its time, for the right cause.

use std::fs;

use serde_json::Value;

use crate::log::log;
use crate::log_made::path;
use crate::world::{Ran, World};

/// Rows from midnight of 1 March 2026 on, one each `step` minutes for `days`; `cells` gives those behind the time for the
/// hour since then.
fn rows(names: &str, days: i64, step: i64, cells: impl Fn(f64) -> String) -> String {
    let mut text = format!("time,{names}\n");
    for minute in (0..days * 1440).step_by(usize::try_from(step).expect("forward")) {
        let (day, clock) = (minute / 1440 + 1, minute % 1440);
        let hour = minute as f64 / 60.0;
        text.push_str(&format!(
            "2026-03-{day:02} {:02}:{:02},{}\n",
            clock / 60,
            clock % 60,
            cells(hour)
        ));
    }
    text
}

/// A last digit that moves, as that of a live meter does.
fn alive(hour: f64) -> f64 {
    ((hour * 12.0).round() % 3.0) / 10.0
}

/// One value between two hours of each day, another for the rest of it.
fn from_to(hour: f64, (from, to): (f64, f64), inside: f64, other: f64) -> f64 {
    let within = (from..to).contains(&(hour % 24.0));
    (if within { inside } else { other }) + alive(hour)
}

/// A text on one line.
fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// A case made from a log, and what it points to.
struct Made {
    case: String,
    diagnosis: Value,
    report: String,
}

fn made(text: &str, options: &[&str]) -> Made {
    let world = World::new();
    world.file("log.csv", text);
    let mut all = vec!["--stage", "fruiting", "--into", "case.toml"];
    all.extend(options);
    if !options.contains(&"--species") {
        all.extend(["--species", "grey oyster"]);
    }
    let ran = log(&world, "log.csv", &all);
    assert_eq!(ran.status, 0, "{}", ran.err);
    let diagnose = |options: &[&str]| {
        let mut command = world.bare();
        command.args(["diagnose", "case.toml"]).args(options);
        let ran = Ran::of(command);
        assert_eq!(ran.status, 0, "{}", ran.err);
        ran.out
    };
    let diagnosis = diagnose(&["--format", "json"]);
    Made {
        case: fs::read_to_string(world.home.path().join("case.toml")).expect("written"),
        diagnosis: serde_json::from_str(&diagnosis).expect("JSON"),
        report: flat(&diagnose(&["--width", "100"])),
    }
}

impl Made {
    /// What the log said under this name.
    fn said(&self, id: &str) -> &Value {
        let said = self.diagnosis["told_by_log"].as_array().expect("a list");
        let found = said.iter().find(|one| one["id"] == id);
        found.unwrap_or_else(|| panic!("no {id} in {said:?}"))
    }

    fn cause(&self, id: &str) -> &Value {
        let causes = self.diagnosis["causes"].as_array().expect("a list");
        let found = causes.iter().find(|cause| cause["id"] == id);
        found.unwrap_or_else(|| panic!("no {id} in {causes:?}"))
    }
}

/// The text of a finding in a list of reasons.
fn reason<'v>(reasons: &'v Value, fact: &str) -> &'v str {
    let listed = reasons.as_array().expect("a list");
    let found = listed.iter().find(|one| one["fact"] == fact);
    let found = found.unwrap_or_else(|| panic!("no {fact} in {reasons}"));
    found["text"].as_str().expect("a text")
}

/// Logs with one thing amiss each: what is found, the entry that is told of it, the cause it speaks for, and the finding
/// under which it does.
fn amiss() -> Vec<(
    &'static str,
    &'static str,
    &'static str,
    &'static str,
    String,
)> {
    let plain = "temp c,rh";
    vec![
        (
            "temperature-above-limit",
            "temperature",
            "too-warm",
            "temperature-above-species",
            rows("temp c", 3, 10, |hour| {
                format!("{:.1}", from_to(hour, (10.0, 18.0), 27.0, 17.0))
            }),
        ),
        (
            "temperature-below-limit",
            "temperature",
            "too-cold",
            "temperature-below-species",
            rows("temp c", 3, 10, |hour| {
                format!("{:.1}", from_to(hour, (0.0, 8.0), 3.0, 15.0))
            }),
        ),
        (
            "humidity-below-limit",
            "humidity",
            "air-too-dry",
            "humidity-below-species",
            rows(plain, 3, 10, |hour| {
                format!("18.{hour:.0},{:.1}", from_to(hour, (9.0, 17.0), 66.0, 90.0))
            }),
        ),
        (
            "humidity-above-limit",
            "humidity",
            "surfaces-wet",
            "humidity-above-species",
            rows("rh", 3, 10, |hour| {
                format!("{:.1}", from_to(hour, (0.0, 9.0), 98.4, 88.0))
            }),
        ),
        (
            "co2-above-limit",
            "co2",
            "stale-air",
            "co2-above-species",
            rows("co2 ppm", 3, 10, |hour| {
                format!(
                    "{:.0}",
                    from_to(hour, (1.0, 6.0), 1900.0, 600.0) + 30.0 * alive(hour)
                )
            }),
        ),
        (
            "light-below-limit",
            "light",
            "too-dark",
            "light-below-species",
            rows("lux", 3, 10, |hour| {
                format!("{:.1}", from_to(hour, (8.0, 20.0), 12.0, 0.0))
            }),
        ),
        (
            "light-above-limit",
            "light",
            "light-too-strong",
            "light-above-4000",
            rows("lux", 3, 10, |hour| {
                let lit = if (8.0..20.0).contains(&(hour % 24.0)) {
                    500.0
                } else {
                    0.0
                };
                format!("{:.0}", from_to(hour, (12.0, 14.0), 20_000.0, lit))
            }),
        ),
        (
            "humidity-hunting",
            "humidity-swing",
            "humidity-swings",
            "humidity-saw-tooth",
            rows(plain, 1, 1, |hour| {
                let within = (hour * 3.0).fract();
                let humidity = 78.0 + 18.0 * (1.0 - (2.0 * within - 1.0).abs());
                format!("{:.1},{humidity:.1}", 18.0 + alive(hour))
            }),
        ),
        (
            "humidity-swing-mister",
            "humidity-swing",
            "humidity-swings",
            "humidity-saw-tooth",
            rows(plain, 2, 5, |hour| {
                let within = (hour / 4.0).fract();
                let humidity = 78.0 + 18.0 * (1.0 - (2.0 * within - 1.0).abs());
                format!("{:.1},{humidity:.1}", 18.0 + alive(hour))
            }),
        ),
        (
            // About half of the swing is the temperature's: 1.7 degrees are some nine points.
            "humidity-swing-mixed",
            "humidity-swing",
            "humidity-swings",
            "humidity-saw-tooth",
            rows(plain, 2, 5, |hour| {
                let within = (hour / 4.0).fract();
                let up = 1.0 - (2.0 * within - 1.0).abs();
                format!("{:.2},{:.1}", 19.0 - 1.7 * up, 78.0 + 18.0 * up)
            }),
        ),
        (
            "humidity-swing-thermal",
            "humidity-mirrors-temperature",
            "temperature-swings",
            "humidity-mirrors-temperature",
            fs::read_to_string(path("thermal.csv")).expect("it is there"),
        ),
        (
            "temperature-swing",
            "temperature-swing",
            "temperature-swings",
            "temperature-swing-above-3",
            fs::read_to_string(path("thermal.csv")).expect("it is there"),
        ),
        (
            "near-dew-point",
            "condensation-margin",
            "cold-wall-condensation",
            "wall-below-dew-point",
            rows(plain, 1, 5, |hour| {
                format!("{:.1},{:.1}", 20.0 + alive(hour), 93.0 + alive(hour))
            }),
        ),
        (
            "humidity-saturated",
            "humidity-stuck-at-top",
            "humidity-sensor-wet",
            "humidity-stuck-at-top",
            rows("rh", 2, 5, |hour| {
                let top = (8.0..20.0).contains(&(hour % 24.0));
                format!("{:.1}", if top { 99.9 } else { 89.0 + alive(hour) })
            }),
        ),
        (
            "temperature-stuck",
            "reading-stands-still",
            "meter-or-logger-failing",
            "reading-stands-still",
            rows(plain, 2, 5, |hour| {
                format!("17.3,{:.1}", 89.0 + alive(hour))
            }),
        ),
        (
            "humidity-stuck",
            "reading-stands-still",
            "meter-or-logger-failing",
            "reading-stands-still",
            rows(plain, 2, 5, |hour| {
                format!("{:.1},88.7", 17.0 + alive(hour))
            }),
        ),
        (
            "co2-stuck",
            "reading-stands-still",
            "meter-or-logger-failing",
            "reading-stands-still",
            rows("co2 ppm", 1, 5, |_| "731".to_owned()),
        ),
        (
            "gaps",
            "log-has-gaps",
            "meter-or-logger-failing",
            "log-has-gaps",
            {
                let all = rows(plain, 3, 5, |hour| {
                    format!("{:.1},{:.1}", 17.0 + alive(hour), 89.0 + alive(hour))
                });
                // The logger sleeps from two to five each night, and its thermometer stands still.
                let kept = all.lines().filter(|line| {
                    !["02:", "03:", "04:"]
                        .iter()
                        .any(|hour| line.get(11..14) == Some(*hour))
                });
                let stuck = kept.map(|line| match line.split(',').collect::<Vec<_>>()[..] {
                    [time, temperature, humidity] if temperature.starts_with("17") => {
                        format!("{time},17.3,{humidity}\n")
                    }
                    _ => format!("{line}\n"),
                });
                stuck.collect()
            },
        ),
    ]
}

#[test]
fn each_finding_of_a_log_is_evidence_with_its_time_for_the_right_cause() {
    for (finding, told, cause, fact, text) in amiss() {
        let options: &[&str] = if finding == "near-dew-point" {
            &["--surface", "16 °C"]
        } else {
            &[]
        };
        let made = made(&text, options);
        let said = made.said(finding);
        let rests = said["told"].as_array().expect("a list");
        assert!(rests.iter().any(|id| id == told), "{finding}: {rests:?}");
        let found = made.cause(cause);
        let text = reason(&found["for"], fact);
        let day = said["from"].as_str().expect("a time").get(..10);
        let wanted = format!("(from the log, {}", day.expect("a date"));
        assert!(text.contains(&wanted), "{finding}: {text}");
        // A person reads the same, with the numbers that it rests on.
        let sentence = said["text"].as_str().expect("a text");
        assert!(
            made.report.contains(sentence),
            "{sentence}\n{}",
            made.report
        );
        assert!(made.report.contains(&wanted), "{finding}: {}", made.report);
    }
}

/// The warm hours of a thermal swing are dry. That is no second cause, and no reason to leave it undecided.
#[test]
fn the_dry_hours_of_a_thermal_swing_are_put_down_to_the_temperature() {
    let thermal = fs::read_to_string(path("thermal.csv")).expect("it is there");
    let made = made(&thermal, &[]);
    assert_eq!(made.diagnosis["decided"], true);
    assert_eq!(made.diagnosis["causes"][0]["id"], "temperature-swings");
    let dry = made.cause("temperature-swings");
    reason(&dry["for"], "humidity-below-species");
    let confidence = made.cause("air-too-dry")["confidence"].as_f64();
    assert!(confidence.expect("a number") < 0.5, "{confidence:?}");
}

/// At the top of its range a meter does not say that the air is too wet: the mean is told, and the meter is suspected.
#[test]
fn hours_at_the_top_of_a_meter_are_no_hours_above_the_limit() {
    let found = amiss()
        .into_iter()
        .find(|(id, ..)| *id == "humidity-saturated");
    let (.., text) = found.expect("it is there");
    let made = made(&text, &[]);
    assert_eq!(
        made.said("humidity-above-limit")["told"],
        Value::Array(vec![])
    );
    assert_eq!(made.said("humidity-mean")["told"][0], "humidity");
    assert!(made.case.contains("humidity = \"94.5 %\""), "{}", made.case);
}

/// Five hours a night of stale air are hidden by the mean of the day, which lies well below the limit.
#[test]
fn a_limit_passed_in_some_hours_is_told_by_those_hours_and_not_by_the_mean() {
    let night = rows("co2 ppm", 3, 10, |hour| {
        format!(
            "{:.0}",
            from_to(hour, (1.0, 6.0), 1900.0, 600.0) + 30.0 * alive(hour)
        )
    });
    let made_of_night = made(&night, &[]);
    assert!(
        made_of_night.case.contains("co2 = \"1903 ppm\""),
        "{}",
        made_of_night.case
    );
    assert_eq!(made_of_night.diagnosis["causes"][0]["id"], "stale-air");
    // 1903.1 above the limit, 603.1 else: by the hours 873.9 on average.
    let said = &made_of_night.said("co2-above-limit")["evidence"];
    assert!(
        (said["mean"].as_f64().expect("a number") - 1903.1).abs() < 0.2,
        "{said}"
    );
    let fine = rows("co2 ppm", 3, 10, |hour| {
        format!("{:.0}", 870.0 + 30.0 * alive(hour))
    });
    let made_of_fine = made(&fine, &[]);
    assert!(
        made_of_fine.case.contains("co2 = \"873 ppm\""),
        "{}",
        made_of_fine.case
    );
    assert_eq!(
        made_of_fine.diagnosis["causes"].as_array().map(Vec::len),
        Some(0)
    );
    assert_eq!(made_of_fine.said("co2-mean")["told"][0], "co2");
}

#[test]
fn peaks_at_the_same_hours_and_slow_falls_tell_what_is_behind_stale_air() {
    // Up to 2600 ppm at four each night, then a fall of one air change an hour towards 420.
    let text = rows("co2 ppm", 7, 5, |hour| {
        let of_day = hour % 24.0;
        let excess = if of_day < 4.0 {
            300.0 + 1880.0 * of_day / 4.0
        } else {
            2180.0 * (-(of_day - 4.0)).exp() + 15.0 * (of_day - 4.0)
        };
        format!("{:.0}", 420.0 + excess)
    });
    let made = made(&text, &["--species", "shiitake"]);
    assert_eq!(
        made.said("co2-peak-hours")["told"][0],
        "co2-peaks-at-set-hours"
    );
    assert_eq!(made.said("air-changes")["told"][0], "air-changes");
    assert!(
        made.said("co2-peaks")
            .get("told")
            .is_some_and(|told| told == &Value::Array(vec![]))
    );
    let roots = made.cause("stale-air")["roots"].as_array().expect("a list");
    let because = |root: &str, fact: &str| {
        let found = roots.iter().find(|one| one["id"] == root);
        let found = found.unwrap_or_else(|| panic!("no {root} in {roots:?}"));
        reason(&found["because"], fact).to_owned()
    };
    let peaks = because("room-air-stale", "co2-peaks-at-set-hours");
    assert!(
        peaks.contains("(from the log, 2026-03-01 04:00 to 2026-03-0"),
        "{peaks}"
    );
    let few = because("fan-too-slow", "few-air-changes");
    assert!(few.contains("(from the log, 2026-03-01"), "{few}");
}

#[test]
fn swings_that_the_mister_makes_speak_against_the_temperature() {
    let hunting = fs::read_to_string(path("hunting.csv")).expect("it is there");
    let made = made(&hunting, &[]);
    assert!(
        made.case.contains("humidity-mirrors-temperature = \"no\""),
        "{}",
        made.case
    );
    assert_eq!(
        made.said("humidity-swing-mister")["told"][0],
        "humidity-mirrors-temperature"
    );
}

/// Gaps, times that go back, repeated stamps and cells that are left out: found, dated, and kept in the case even where
/// nothing uses them.
#[test]
fn what_nothing_uses_is_kept_in_the_case_with_its_time_and_evidence() {
    let faults = fs::read_to_string(path("faults.csv")).expect("it is there");
    let made = made(&faults, &[]);
    for id in ["clock-went-back", "repeated-stamps", "left-out"] {
        let said = made.said(id);
        assert_eq!(said["told"], Value::Array(vec![]), "{id}");
        assert_eq!(said["from"], "2026-03-01T00:00:00", "{id}");
        assert!(
            said["evidence"]["rows"]
                .as_u64()
                .is_some_and(|rows| rows > 0),
            "{said}"
        );
        assert!(
            made.case.contains(&format!("id = \"{id}\"")),
            "{}",
            made.case
        );
        // It does not crowd the report; with all details it is there.
        let sentence = said["text"].as_str().expect("a text");
        assert!(!made.report.contains(sentence), "{}", made.report);
    }
    assert_eq!(made.said("gaps")["told"][0], "log-has-gaps");
}

#[test]
fn an_answer_given_anew_no_longer_rests_on_the_log() {
    let world = World::new();
    world.file(
        "case.toml",
        "schema = \"blockside.case/1\"\nspecies = \"grey-oyster\"\n[readings]\nco2 = \"1900 ppm\"\n\
         [[from-log]]\nid = \"co2-above-limit\"\ntext = \"It is above 1000 ppm for 6 hours.\"\n\
         from = \"2026-05-03T14:00:00\"\nto = \"2026-05-03T16:20:00\"\ntold = [\"co2\"]\n",
    );
    let diagnose = |options: &[&str]| {
        let mut command = world.bare();
        command
            .args(["diagnose", "case.toml", "--width", "100"])
            .args(options);
        flat(&Ran::of(command).out)
    };
    let by_log = diagnose(&[]);
    let wanted = "1900 ppm (from the log, 2026-05-03 14:00 to 16:20), above 1000 ppm";
    assert!(by_log.contains(wanted), "{by_log}");
    assert!(
        by_log.contains("It is above 1000 ppm for 6 hours."),
        "{by_log}"
    );
    let anew = diagnose(&["--reading", "co2=2400 ppm"]);
    assert!(anew.contains("2400 ppm, above 1000 ppm"), "{anew}");
}
