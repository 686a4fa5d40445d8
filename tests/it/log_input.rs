//! What may stand in a log: forms that are read, faults that are counted, what is unclear and must be said.

use std::fs;

use serde_json::Value;

use crate::log::{Noise, finding, log, near, number, of, told};
use crate::log_made::path;
use crate::world::{World, assert_clean};

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
fn letters_of_a_zone_are_read_or_asked_for() {
    // Clocks in central Europe go back between these rows: the letters tell the hour that comes twice apart.
    let rows =
        "time,rh\n2026-10-25 02:30 CEST,80\n2026-10-25 02:30 CET,81\n2026-10-25 03:30 CET,82\n";
    let told = of(rows, &[]);
    near(&told["hours"], 2.0, 0.0);
    assert_eq!(told["start"], "2026-10-25T02:30:00+02:00");
    assert_eq!(told["end"], "2026-10-25T03:30:00+01:00");
    // In the column's name, with blanks before the offset or without.
    for (name, start) in [
        ("Time (EST)", "2026-01-05T14:00:00-05:00"),
        ("Time (UTC -3)", "2026-01-05T14:00:00-03:00"),
    ] {
        let told = of(
            format!("{name},rh\n2026-01-05 14:00,80\n2026-01-05 14:01,81\n"),
            &[],
        );
        assert_eq!(told["start"], start);
    }
    let world = World::new();
    world.file(
        "log.csv",
        "date,time,rh\n2026-01-05,14:00 CST,80\n2026-01-05,14:01 CST,81\n",
    );
    log(&world, "log.csv", &[]).refused(
        3,
        &[
            "line 2, column 1: `2026-01-05 14:00 CST`",
            "-06:00 (central North America), -05:00 (Cuba), +08:00 (China)",
            "`--abbreviation CST=-06:00`",
        ],
    );
    let text = fs::read_to_string(world.home.path().join("log.csv")).expect("there");
    for (option, start) in [
        ("CST=-06:00", "2026-01-05T14:00:00-06:00"),
        ("cst=+8", "2026-01-05T14:00:00+08:00"),
    ] {
        let told = of(&text, &["--abbreviation", option]);
        assert_eq!(told["start"], start);
    }
    for option in ["CST", "CST=", "CST=six", "CET=+01:00", "=+01:00", "CST=-99"] {
        log(&world, "log.csv", &["--abbreviation", option])
            .refused(2, &["cannot be understood", "AST, BST, CST, IST"]);
    }
    // Letters that nobody knows leave the row out, and its place is told.
    world.file("odd.csv", "time,rh\n2026-01-05 14:00 XYZ,80\n");
    log(&world, "odd.csv", &[]).refused(3, &["line 2, column 1 (`2026-01-05 14:00 XYZ`)"]);
}

#[test]
fn the_days_of_a_spreadsheet_are_read_and_said() {
    let mut text = "Date;Temperature (°C)\n".to_owned();
    for step in 0..48 {
        let day = 45992.0 + f64::from(step) / 48.0;
        text.push_str(&format!(
            "{};2{},5\n",
            format!("{day:.10}").replace('.', ","),
            step % 3
        ));
    }
    let told = of(&text, &[]);
    assert_eq!(told["start"], "2025-12-01T00:00:00");
    assert_eq!(told["end"], "2025-12-01T23:30:00");
    assert_eq!(told["rows_used"], 48);
    near(&told["step_seconds"], 1800.0, 0.0);
    let said = told["taken_for_granted"].to_string();
    for part in [
        "`45992,0000000000`",
        "`Date`",
        "from 1899-12-30",
        "2025-12-01",
        "from 1904",
    ] {
        assert!(said.contains(part), "{part} is missing in {said}");
    }
    // A date of whole days with a clock beside it.
    let told = of("Date,Time,rh\n45992,23:59,80\n45993,00:00,81\n", &[]);
    assert_eq!(told["start"], "2025-12-01T23:59:00");
    assert_eq!(told["end"], "2025-12-02T00:00:00");
    // Numbers that leap, or that no day of our time has, count something else.
    let world = World::new();
    for rows in [
        "time,rh\n45992,80\n52000,81\n58000,82\n",
        "time,rh\n12000.5,80\n12000.6,81\n",
        "time,rh\n50000,80\n49000,81\n48000,82\n",
    ] {
        world.file("log.csv", rows);
        log(&world, "log.csv", &[]).refused(3, &["rows can be used"]);
    }
}

#[test]
fn knowledge_without_logs_says_so() {
    let world = World::new();
    world.file("log.csv", "time,temp c\n2026-01-01 00:00,21\n");
    let ran = world.run(&["log", "log.csv"]);
    ran.refused(3, &["no `log-number` entries"]);
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
