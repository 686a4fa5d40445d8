//! `cases` from outside: keeping, listing, showing, comparing, noting, exporting and importing.

use std::fs;
use std::path::PathBuf;

use serde_json::{Value, json};

use crate::world::{Ran, World, assert_clean};

/// The command with the built-in knowledge.
pub fn run(world: &World, args: &[&str]) -> Ran {
    let mut command = world.bare();
    command.args(args);
    Ran::of(command)
}

/// Keeps a case and returns its id.
pub fn keep(world: &World, args: &[&str]) -> String {
    let ran = run(world, &[&["diagnose", "--save"], args].concat());
    assert_eq!(ran.status, 0, "{}", ran.err);
    let word = ran.err.split_whitespace().nth(2).expect("an id");
    word.trim_end_matches(',').to_owned()
}

pub fn as_json(world: &World, args: &[&str]) -> Value {
    let ran = run(world, &[&["--format", "json"], args].concat());
    assert_eq!(ran.status, 0, "{}", ran.err);
    serde_json::from_str(&ran.out).expect("JSON")
}

const LEGGY: &[&str] = &[
    "--species",
    "grey-oyster",
    "--sign",
    "long-stems",
    "--sign",
    "small-caps",
    "--reading",
    "co2=2900 ppm",
    "--setup",
    "window-light=no",
    "--person",
    "asthma",
];

fn cases(world: &World) -> PathBuf {
    world.home.path().join("home/cases")
}

#[test]
fn a_kept_case_is_diagnosed_again_from_its_file_as_it_was() {
    let world = World::new();
    let first = as_json(&world, &[&["diagnose"], LEGGY].concat());
    let id = keep(&world, LEGGY);
    let path = cases(&world).join(format!("{id}.toml"));
    let again = as_json(&world, &["diagnose", path.to_str().expect("a plain path")]);
    assert_eq!(again, first);
    let kept = &as_json(&world, &["cases", "show", &id])["cases"][0];
    assert_eq!(
        kept["diagnosis"]["causes"][0]["id"],
        first["causes"][0]["id"]
    );
    assert_eq!(
        kept["diagnosis"]["causes"][0]["confidence"],
        first["causes"][0]["confidence"]
    );
    assert_eq!(kept["knowledge"], first["knowledge"]);
    assert_eq!(kept["people"], json!({"asthma": "yes"}));
    assert_eq!(kept["setup"], json!(["window-light = no"]));
}

#[test]
fn what_is_printed_is_the_same_whether_a_case_is_kept_or_not() {
    let world = World::new();
    let plain = run(&world, &[&["diagnose"], LEGGY].concat());
    let kept = run(&world, &[&["diagnose", "--keep"], LEGGY].concat());
    assert_eq!(plain.out, kept.out);
    assert!(
        plain.err.is_empty() && kept.err.starts_with("Kept as "),
        "{}",
        kept.err
    );
    // With a file it is a case file, and the journal is left alone.
    let ran = run(&world, &[&["diagnose", "--save=mine.toml"], LEGGY].concat());
    assert_eq!((ran.status, ran.err.as_str()), (0, ""));
    assert!(fs::read_to_string(world.home.path().join("mine.toml")).is_ok());
    assert_eq!(
        as_json(&world, &["cases"])["cases"]
            .as_array()
            .map(Vec::len),
        Some(1)
    );
}

#[test]
fn what_a_profile_told_is_kept_with_its_name_alone() {
    let world = World::new();
    world.file(
        "my tent.toml",
        "schema = \"blockside.profile/1\"\nvolume = \"15 cu. ft\"\n[room]\ntemperature = \"20 °C\"\nhumidity = \
         \"40 %\"\n[fan]\nnone = true\n",
    );
    let path = world.home.path().join("my tent.toml");
    let profile = path.to_str().expect("a plain path");
    let id = keep(&world, &["--profile", profile, "--sign", "long-stems"]);
    let text = fs::read_to_string(cases(&world).join(format!("{id}.toml"))).expect("readable");
    assert!(
        !text.contains(world.home.path().to_str().expect("a plain path")),
        "{text}"
    );
    let kept = &as_json(&world, &["cases", "show", &id])["cases"][0];
    assert_eq!(kept["profile"], "my tent.toml");
    let told = kept["told_by_profile"].as_array().expect("a list");
    assert!(!told.is_empty());
    // The profile may change or go: what it told stands.
    fs::remove_file(path).expect("it was there");
    let ran = run(&world, &["follow-up", &id, "--sign", "long-stems=no"]);
    assert_eq!(ran.status, 0, "{}", ran.err);
}

#[test]
fn the_list_is_newest_first_and_can_be_narrowed() {
    let world = World::new();
    let first = keep(&world, LEGGY);
    let second = keep(&world, &["--species", "shiitake", "--sign", "spot-green"]);
    let third = keep(&world, &["--sign", "caps-cracked"]);
    let ids = |args: &[&str]| -> Vec<String> {
        let found = as_json(&world, &[&["cases"], args].concat());
        let found = found["cases"].as_array().expect("a list").clone();
        let ids = found.iter().map(|case| case["id"].as_str());
        ids.map(|id| id.expect("a text").to_owned()).collect()
    };
    assert_eq!(ids(&[]), [third.clone(), second.clone(), first.clone()]);
    assert_eq!(ids(&["--species", "Shiitake"]), [second.as_str()]);
    assert!(ids(&["--cause", "stale-air"]).contains(&first));
    assert_eq!(ids(&["--since", "today"]).len(), 3);
    run(&world, &["follow-up", &first, "--outcome", "worked"]);
    assert_eq!(ids(&["--open"]), [third.clone(), second]);
    run(&world, &["follow-up", &third, "--outcome", "no"]);
    assert_eq!(
        as_json(&world, &["cases", "show", &third])["cases"][0]["state"],
        "followed-up"
    );
    for args in [
        &["cases", "--species", "shitake"][..],
        &["cases", "--since", "2999-01-01"],
        &["cases", "--since", "last week"],
        &["cases", "show", "zz"],
        &["cases", "--open", "show", &first],
    ] {
        assert_eq!(run(&world, args).status, 2, "{args:?}");
    }
    // One line a case, on the usual terminal and on a wide one.
    for width in ["80", "100"] {
        let text = run(&world, &["--width", width, "cases"]).out;
        assert_eq!(text.lines().count(), 3, "{text}");
        assert!(
            text.lines().all(|line| line.chars().count() <= 100),
            "{text}"
        );
    }
}

#[test]
fn two_cases_are_compared_by_what_differs() {
    let world = World::new();
    let one = keep(&world, LEGGY);
    let other = keep(
        &world,
        &[
            "--species",
            "grey-oyster",
            "--sign",
            "long-stems=no",
            "--sign",
            "small-caps",
        ],
    );
    let found = as_json(&world, &["cases", "compare", &one, &other]);
    let facts = found["facts"].as_array().expect("a list");
    let of = |id: &str| {
        facts
            .iter()
            .find(|fact| fact["fact"] == id)
            .map(|fact| &fact["values"])
    };
    assert_eq!(of("long-stems"), Some(&json!(["yes", "no"])));
    assert_eq!(of("co2"), Some(&json!(["2900 ppm", null])));
    assert_eq!(of("window-light"), Some(&json!(["no", null])));
    // What is alike is not named.
    assert_eq!((of("small-caps"), of("species")), (None, None));
    let stale = found["causes"].as_array().expect("a list");
    assert!(stale.iter().any(|cause| cause["id"] == "stale-air"));
    let same = as_json(&world, &["cases", "compare", &one, &one]);
    assert_eq!((&same["facts"], &same["causes"]), (&json!([]), &json!([])));
}

#[test]
fn what_was_done_is_noted_by_its_id_or_the_beginning_of_one_that_was_due() {
    let world = World::new();
    let id = keep(&world, LEGGY);
    let text = run(
        &world,
        &["cases", "done", &id, "more-fr", "--note", "vent doubled"],
    );
    assert_eq!(text.status, 0, "{}", text.err);
    run(
        &world,
        &["cases", "done", "01", "turn-fan-on", "--on", "2026-01-02"],
    );
    let case = &as_json(&world, &["cases", "show", &id])["cases"][0];
    assert_eq!(case["done"][0]["action"], "more-fresh-air");
    assert_eq!(case["done"][0]["note"], "vent doubled");
    assert_eq!(
        case["done"][1],
        json!({"action": "turn-fan-on", "on": "2026-01-02", "note": null})
    );
    for args in [
        &["cases", "done", &id, "more-fresh-airs"][..],
        &["cases", "done", &id, ""],
        &["cases", "done", &id, "more-fresh-air", "--on", "2999-01-01"],
        &["cases", "done", &id, "more-fresh-air", "--on", "2027-02-29"],
    ] {
        assert_eq!(run(&world, args).status, 2, "{args:?}");
    }
}

#[test]
fn an_export_is_imported_elsewhere_and_is_the_same() {
    let (here, there) = (World::new(), World::new());
    let id = keep(&here, LEGGY);
    run(&here, &["cases", "done", &id, "more-fresh-air"]);
    run(
        &here,
        &[
            "follow-up",
            &id,
            "--outcome",
            "partly",
            "--note",
            "line\nbreak \"quoted\"",
        ],
    );
    keep(&here, &["--sign", "spot-green"]);
    let lines = run(&here, &["cases", "export", "--all"]).out;
    assert_eq!(lines.lines().count(), 2);
    there.file("cases.jsonl", &lines);
    let report = as_json(&there, &["cases", "import", "cases.jsonl"]);
    assert_eq!(report["kept"].as_array().map(Vec::len), Some(2));
    assert_eq!(as_json(&there, &["cases"]), as_json(&here, &["cases"]));
    assert_eq!(run(&there, &["cases", "export", "--all"]).out, lines);
    let again = as_json(&there, &["cases", "import", "cases.jsonl"]);
    assert_eq!(again["duplicates"].as_array().map(Vec::len), Some(2));
    assert_eq!(again["kept"], json!([]));
    // A line is a case for `diagnose --batch` as well.
    let batch = run(&there, &["diagnose", "--batch", "cases.jsonl"]);
    assert_eq!(
        (batch.status, batch.out.lines().count()),
        (0, 2),
        "{}",
        batch.out
    );
    assert_eq!(run(&there, &["cases", "export"]).status, 2);
    assert_eq!(run(&there, &["cases", "export", "nothing"]).status, 2);
}

#[test]
fn a_hostile_import_is_refused_whole_and_writes_nothing() {
    let (here, there) = (World::new(), World::new());
    keep(&here, LEGGY);
    let line = run(&here, &["cases", "export", "--all"]).out;
    let good: Value = serde_json::from_str(&line).expect("JSON");
    let mut hostile: Vec<String> = Vec::new();
    for id in [
        "../../escaped",
        "/etc/passwd",
        "..",
        "",
        "20260304-01/../../x",
        "20260304-01\u{0}",
        "C:\\x",
        ".lock",
        "damaged/20260304-01",
    ] {
        let mut case = good.clone();
        case["kept"]["id"] = json!(id);
        hostile.push(case.to_string());
    }
    for (key, value) in [
        ("profile", json!("../../etc/passwd")),
        ("extra", json!(1)),
        ("signs", json!({"long-stems": {"deep": 1}})),
        ("schema", json!("blockside.case/2")),
    ] {
        let mut case = good.clone();
        case[key] = value;
        hostile.push(case.to_string());
    }
    for (key, value) in [
        ("profile", json!("../tent.toml")),
        ("profile", json!("/root/tent.toml")),
        ("log", json!("/etc/passwd")),
        ("at", json!("yesterday")),
        ("version", json!(99)),
        ("version", json!(1e300)),
        (
            "diagnosis",
            json!({"verdict": "x", "causes": [{"id": "a", "name": "b", "confidence": 7}]}),
        ),
        ("done", json!([{"action": "x", "on": "2027-02-29"}])),
    ] {
        let mut case = good.clone();
        case["kept"][key] = value;
        hostile.push(case.to_string());
    }
    hostile.push("[]".to_owned());
    hostile.push("not JSON \u{1b}[2J".to_owned());
    hostile.push("[".repeat(100_000));
    hostile.push(line.trim().replace("\"schema\"", "\"signs\":{},\"schema\""));
    for bad in hostile {
        // A good line before it is not kept either.
        there.file("in.jsonl", format!("{line}{bad}\n"));
        let ran = run(&there, &["cases", "import", "in.jsonl"]);
        let shown: String = bad.chars().take(200).collect();
        assert_eq!(ran.status, 3, "{shown}: {}{}", ran.out, ran.err);
        assert!(ran.err.contains("line 2"), "{}", ran.err);
        assert_clean(&ran.err);
        assert!(ran.err.len() < 2000, "{}", ran.err);
        let home = there.home.path().join("home/cases");
        assert!(!home.exists(), "{shown}");
    }
    assert_eq!(
        fs::read_dir(there.home.path()).expect("a folder").count(),
        1
    );
}

/// Holds a value against its schema: every key it has is known, and every key it needs is there.
fn held_against(value: &Value, schema: &Value, root: &Value, at: &str) {
    if let Some(name) = schema["$ref"].as_str() {
        let name = name.rsplit('/').next().expect("a name");
        return held_against(value, &root["$defs"][name], root, at);
    }
    if let Some(either) = schema["anyOf"].as_array() {
        // Something that may be left out: the other choice is nothing.
        return match either.iter().find(|one| one["$ref"].is_string()) {
            Some(one) if !value.is_null() => held_against(value, one, root, at),
            _ => {}
        };
    }
    match value {
        Value::Object(table) => {
            for key in schema["required"].as_array().into_iter().flatten() {
                assert!(
                    table.contains_key(key.as_str().expect("a name")),
                    "{at} lacks {key}"
                );
            }
            let free = &schema["additionalProperties"];
            for (key, inner) in table {
                let known = &schema["properties"][key];
                let known = if known.is_null() { free } else { known };
                assert!(known.is_object(), "{at}: {key} is not in the schema");
                held_against(inner, known, root, &format!("{at}.{key}"));
            }
        }
        Value::Array(items) => {
            for item in items {
                held_against(item, &schema["items"], root, at);
            }
        }
        _ => {}
    }
}

#[test]
fn what_the_journal_writes_is_what_its_schemas_say() {
    let world = World::new();
    let id = keep(&world, LEGGY);
    keep(&world, &["--sign", "spot-green"]);
    run(&world, &["cases", "done", &id, "more-fresh-air"]);
    let args = [
        "follow-up",
        &id,
        "--outcome",
        "worked",
        "--found",
        "stale-air",
        "--sign",
    ];
    run(&world, &[&args[..], &["long-stems=no"]].concat());
    world.file("in.jsonl", run(&world, &["cases", "export", "--all"]).out);
    let other = as_json(&world, &["cases"])["cases"][0]["id"].clone();
    for (contract, args) in [
        ("cases", &["cases"][..]),
        (
            "comparison",
            &["cases", "compare", &id, other.as_str().expect("an id")],
        ),
        ("imported", &["cases", "import", "in.jsonl"]),
        ("learned", &["cases", "learned"]),
        ("diagnosis", &["diagnose", "--sign", "long-stems"]),
    ] {
        let schema = as_json(&world, &["schema", contract]);
        let found = as_json(&world, args);
        assert_eq!(found["schema"], format!("blockside.{contract}/1"));
        held_against(&found, &schema, &schema, contract);
    }
}

#[test]
fn a_journal_without_a_place_is_refused_and_an_empty_one_is_no_fault() {
    let world = World::new();
    let ran = run(&world, &["cases"]);
    assert_eq!(ran.status, 0);
    assert!(ran.out.contains("No case is kept yet"), "{}", ran.out);
    assert!(!cases(&world).exists(), "looking makes no folder");
    let mut command = world.bare();
    command
        .env_remove("BLOCKSIDE_HOME")
        .args(["diagnose", "--save", "--sign", "long-stems"]);
    let ran = Ran::of(command);
    assert_eq!(ran.status, 3);
    assert!(ran.err.contains("no place for your cases"), "{}", ran.err);
}

#[test]
fn texts_of_a_kept_case_cannot_steer_the_terminal() {
    let world = World::new();
    let id = keep(&world, LEGGY);
    let path = cases(&world).join(format!("{id}.toml"));
    let text = fs::read_to_string(&path).expect("readable");
    let steered = text
        .replace("Stale air", "\\u001b[2JStale")
        .replace("more-fresh-air", "more\\u202efresh");
    fs::write(&path, steered).expect("written");
    let args = [
        "follow-up",
        &id,
        "--outcome",
        "no",
        "--note",
        "\u{1b}]0;x\u{7}",
    ];
    for args in [
        &["cases"][..],
        &["cases", "show", &id],
        &["cases", "compare", &id, &id],
        &args,
    ] {
        let ran = run(&world, args);
        assert_eq!(ran.status, 0, "{}", ran.err);
        assert_clean(&ran.out);
    }
}
