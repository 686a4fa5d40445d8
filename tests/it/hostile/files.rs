//! Hostile cases, logs, profiles, settings, rounds and records of practice.

use std::fs;
use std::path::Path;

use crate::hostile::{MARK, Trap, harmless, harmless_page, hostile, in_toml};

#[test]
fn a_hostile_case_is_shown_harmlessly_or_refused() {
    let trap = Trap::new();
    let nasty = in_toml(&hostile());
    let head = "schema = \"blockside.case/1\"\n";
    let log = "signs = { long-stems = \"yes\" }\n";
    for (text, status) in [
        (
            format!("{head}title = {nasty}\nfrom = {nasty}\ntold = {nasty}\n{log}"),
            0,
        ),
        (
            format!("{head}species = {nasty}\nstage = {nasty}\nsetup = [{nasty}]\n"),
            3,
        ),
        (format!("{head}profile = {nasty}\n"), 3),
        (
            format!("{head}[signs]\n{nasty} = \"yes\"\nlong-stems = {nasty}\n"),
            3,
        ),
        (
            format!("{head}[readings]\n{nasty} = {nasty}\nco2 = {nasty}\n"),
            3,
        ),
        (format!("{head}[people]\n{nasty} = {nasty}\n"), 3),
        (format!("{head}{nasty} = {nasty}\n"), 3),
        (format!("{head}[expect]\nleading = [{nasty}]\n"), 3),
        (format!("schema = {nasty}\n"), 3),
        (format!("{head}# {}", hostile()), 3),
    ] {
        trap.world.file("case.toml", &text);
        trap.shows(&["diagnose", "case.toml"], status);
    }
    // A page that names a log which cannot be drawn.
    trap.world
        .file("case.toml", format!("{head}log = {nasty}\n{log}"));
    trap.shows(&["diagnose", "case.toml"], 0);
    let page = trap.world.home.path().join("case.html");
    let ran = trap.run(&["diagnose", "case.toml", "--html", "case.html"]);
    harmless("a log that is not there", &ran.err);
    if let Ok(page) = fs::read_to_string(page) {
        harmless_page("a log that is not there", &page);
    }
    let lines: String = [
        serde_json::json!({ "species": hostile() }),
        serde_json::json!({ hostile(): hostile() }),
        serde_json::json!({ "signs": { hostile(): hostile() } }),
        serde_json::json!({ "signs": { "long-stems": "yes" }, "profile": hostile() }),
        serde_json::json!({ "signs": { "long-stems": "yes" }, "title": hostile() }),
    ]
    .map(|line| format!("{line}\n"))
    .concat()
        + &hostile();
    trap.world.file("cases.jsonl", lines);
    let text = trap.shows(&["diagnose", "--batch", "cases.jsonl"], 3);
    assert!(text.contains(MARK), "{text}");
    trap.shows(&["knowledge", "score", "."], 3);
}

#[test]
fn a_hostile_log_and_its_name_are_shown_harmlessly() {
    let trap = Trap::built_in();
    // A line ends at a line break even between quotation marks, and a file with a zero byte is no text.
    let nasty = hostile().replace(['\0', '\r', '\n'], " ");
    let quoted = format!("\"{}\"", nasty.replace('"', "\"\""));
    let name = "zq9\u{1b}[31m\u{9b}2J\u{202e}\u{200b}o\u{301}\u{301}\u{301}\u{301}\u{301}<script>x()<b onload=\"x()\".csv";
    let rows: String = (0..60)
        .map(|row| {
            format!(
                "2026-03-01 00:{row:02}:00,19.{},8{},{quoted}\n",
                row % 10,
                row % 9
            )
        })
        .collect();
    let log =
        format!("Time,Temperature (°C),Humidity (%),{quoted}\n{rows}{quoted},{quoted},{quoted}\n");
    trap.world.file(name, log);
    let text = trap.shows_it(&["log", name]);
    assert!(!text.contains("owned\u{7}"), "{text}");
    let args = ["log", name];
    let drawn = trap.writes(&args, "--plot", "log.svg");
    harmless_page("the drawing of a log", &drawn);
    // TOML is for programs: what it must escape it escapes, and who shows it makes it harmless.
    let case = trap.writes(&args, "--into", "case.toml");
    assert!(!case.contains(['\u{1b}', '\u{7}', '\r']), "{case:?}");
    trap.shows(&["diagnose", "case.toml", "--save"], 0);
    let page = trap.writes(&["diagnose", "case.toml"], "--html", "case.html");
    harmless_page("the page of such a case", &page);
    // Nothing in it is clear, and all of it is repeated.
    trap.world
        .file("odd.csv", format!("{quoted},{quoted}\n{quoted},{quoted}\n"));
    trap.shows(&["log", "odd.csv"], 3);
    trap.shows(
        &[
            "log",
            name,
            "--column",
            &format!("humidity={}", hostile().replace('\0', "")),
        ],
        3,
    );
}

#[test]
fn hostile_profiles_settings_rounds_and_practice_are_shown_harmlessly() {
    let trap = Trap::new();
    let nasty = in_toml(&hostile());
    let shelf = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/chambers/hall-shelf.toml");
    let shelf = fs::read_to_string(shelf)
        .expect("text")
        .replace("grey oyster", "grey-oyster");
    let named = shelf.replace(
        "name = \"The shelf in the hall\"",
        &format!("name = {nasty}"),
    );
    trap.world.file("chamber.toml", &named);
    trap.shows_it(&["chamber", "chamber.toml"]);
    let faulty = shelf.replace(
        "species = \"grey-oyster\"",
        &format!("species = {nasty}\n{nasty} = 1"),
    );
    trap.world
        .file("faulty.toml", faulty.replace("\"ultrasonic\"", &nasty));
    trap.shows(&["chamber", "faulty.toml"], 3);

    let home = trap.world.home.path().join("home");
    fs::create_dir_all(home.join("practice")).expect("made");
    for (text, status) in [
        (format!("species = {nasty}\nprofile = {nasty}\n"), 0),
        (format!("units = {nasty}\n"), 3),
        (format!("{nasty} = 1\n"), 3),
        (format!("# {}", hostile()), 3),
    ] {
        fs::write(home.join("settings.toml"), text).expect("written");
        trap.shows(&["settings"], status);
        let ran = trap.run(&["describe", "--yes", "long stems"]);
        harmless("the settings", &ran.err);
    }
    fs::remove_file(home.join("settings.toml")).expect("removed");

    for text in [
        format!("schema = \"blockside.rounds/1\"\n[[done]]\nwhat = {nasty}\non = 2026-01-01\n"),
        format!("schema = \"blockside.rounds/1\"\n[[done]]\nwhat = {nasty}\non = \"2026-01-01\"\n"),
        format!("schema = {nasty}\n"),
        format!("{nasty} = 1\n"),
        hostile(),
    ] {
        fs::write(home.join("rounds.toml"), text).expect("written");
        for args in [
            &["rounds"][..],
            &["rounds", "--format", "json"],
            &["diagnose", "--sign", "long-stems"],
        ] {
            let ran = trap.run(args);
            harmless("rounds", &ran.out);
            harmless("rounds", &ran.err);
        }
    }
    fs::remove_file(home.join("rounds.toml")).expect("removed");

    // A record that was kept, with something hostile in each of its texts.
    trap.world.file(
        "blank.toml",
        "schema = \"blockside.practice-answers/1\"\n[[case]]\n",
    );
    let args = [
        "practise",
        "--answers",
        "blank.toml",
        "--helper",
        "Mira",
        "--seed",
        "7",
    ];
    let ran = trap.run(&args);
    assert_eq!(ran.status, 0, "{}", ran.err);
    let file = home.join("practice/mira.toml");
    let kept = fs::read_to_string(&file).expect("kept");
    let mut spoilt = 0;
    for (at, line) in kept.lines().enumerate() {
        let Some((key, value)) = line.split_once(" = ") else {
            continue;
        };
        let value = match value.chars().next() {
            Some('"') if key != "at" => nasty.clone(),
            Some('[') => format!("[{nasty}]"),
            _ => continue,
        };
        let mut lines: Vec<String> = kept.lines().map(str::to_owned).collect();
        lines[at] = format!("{key} = {value}");
        fs::write(&file, lines.join("\n")).expect("written");
        for args in [
            &["practise", "progress", "--helper", "Mira"][..],
            &["practise", "progress"],
            &args,
        ] {
            let ran = trap.run(args);
            harmless(key, &ran.out);
            harmless(key, &ran.err);
        }
        spoilt += 1;
    }
    assert!(spoilt >= 5, "{kept}");
}
