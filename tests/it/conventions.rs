//! What people expect of any command: help with examples, completions, manual pages, settings, a version that says what
//! it knows.

use std::fs;
use std::path::Path;
use std::process::Command;

use blockside::cli::examples::examples;
use blockside::knowledge::embedded;
use blockside::report::catalogue::{Kind, list};

use crate::world::{Ran, World};

const CASE: &str =
    "schema = \"blockside.case/1\"\nspecies = \"grey-oyster\"\n\n[signs]\nlong-stems = \"yes\"\n";

fn run(world: &World, args: &[&str]) -> Ran {
    let mut command = world.bare();
    command.args(args);
    Ran::of(command)
}

/// Words as a shell takes them: blanks part them, quotation marks hold them together.
fn words(line: &str) -> Vec<String> {
    let mut words = vec![String::new()];
    let mut quoted = false;
    for letter in line.chars() {
        match letter {
            '"' => quoted = !quoted,
            ' ' if !quoted => words.push(String::new()),
            _ => words.last_mut().expect("never empty").push(letter),
        }
    }
    words
}

#[test]
fn every_example_of_the_help_does_what_it_says() {
    let fixtures = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures");
    for example in examples() {
        let world = World::new();
        world.file("case.toml", CASE);
        for (from, to) in [
            ("chambers/hall-shelf.toml", "chamber.toml"),
            ("logs/openings.csv", "log.csv"),
        ] {
            let text = fs::read_to_string(fixtures.join(from)).expect("readable");
            world.file(to, text);
        }
        let words = words(&example.line);
        assert_eq!(words[0], "blockside");
        let args: Vec<&str> = words[1..].iter().map(String::as_str).collect();
        let ran = run(&world, &args);
        let practises = example.of == "practise" && !args[1].starts_with(char::is_alphabetic);
        if example.of == "ask" || practises {
            // There is no terminal here.
            assert!(ran.err.contains("needs a terminal"), "{}", ran.err);
        } else {
            assert_eq!(ran.status, 0, "{}: {}", example.line, ran.err);
            assert!(ran.out.len() > 20, "{}: {}", example.line, ran.out);
        }
        let help = run(&world, &[&example.of, "--help"]);
        assert!(help.out.contains(&example.line), "{}", help.out);
        assert_eq!(args[0], example.of);
    }
}

#[test]
fn the_version_says_how_much_is_known() {
    let base = embedded::base();
    let world = World::new();
    let said = run(&world, &["--version"]).out;
    let count = |kind| {
        list(&base, kind)["entries"]
            .as_array()
            .expect("a list")
            .len()
    };
    for (kind, word) in [
        (Kind::Signs, "signs"),
        (Kind::Causes, "causes"),
        (Kind::Rules, "rules"),
        (Kind::Sources, "sources"),
    ] {
        let wanted = format!(" {} {word}", count(kind));
        assert!(said.contains(&wanted), "{wanted}: {said}");
    }
    assert!(said.contains("knowledge of 20"), "{said}");
    // The day goes with these very files.
    let manifest = include_str!("../../Cargo.toml");
    let manifest: toml::Table = manifest.parse().expect("a manifest");
    let stands = &manifest["package"]["metadata"]["knowledge"];
    assert_eq!(
        stands["fingerprint"].as_str(),
        Some(base.fingerprint.as_str()),
        "the knowledge files have changed: in Cargo.toml, under [package.metadata.knowledge], set `date` to the day of \
         the change and `fingerprint` to \"{}\"",
        base.fingerprint
    );
    // The short form is one line for programs.
    assert_eq!(run(&world, &["-V"]).out.lines().count(), 1);
}

#[test]
fn the_settings_are_written_as_their_schema_says() {
    let world = World::new();
    let as_json = |args: &[&str]| -> serde_json::Value {
        serde_json::from_str(&run(&world, args).out).expect("JSON")
    };
    let schema = as_json(&["schema", "settings"]);
    let known = schema["properties"].as_object().expect("a table");
    for text in ["", "species = \"enoki\"\nunits = \"us\"\n"] {
        settings(&world, text);
        let said = as_json(&["settings", "--format", "json"]);
        assert_eq!(said["schema"], "blockside.settings/1");
        let said = said.as_object().expect("a table");
        assert!(said.keys().eq(known.keys()), "{said:?} {known:?}");
    }
    assert_eq!(as_json(&["settings", "--format", "json"])["units"], "us");
}

#[test]
fn rounds_cards_and_what_a_sign_draws_are_listed() {
    let base = embedded::base();
    let world = World::new();
    let entries = |kind: &str| {
        let ran = run(&world, &["knowledge", "list", kind, "--format", "json"]);
        let list: serde_json::Value = serde_json::from_str(&ran.out).expect("JSON");
        list["entries"].as_array().expect("a list").clone()
    };
    let rounds = entries("rounds");
    assert_eq!(rounds.len(), base.rounds.len());
    for round in &rounds {
        let id = round["id"].as_str().expect("an id");
        let known = base.rounds.iter().find(|(known, _)| known.as_str() == id);
        let (_, known) = known.expect("it is there");
        assert_eq!(round["every_days"], known.every_days);
        assert_eq!(round["asked_if"].is_null(), known.asked_if.is_none());
    }
    assert_eq!(entries("cards").len(), base.cards.len());
    let drawn = base.signs.values().filter(|sign| sign.draws.is_some());
    let listed = entries("signs");
    let listed = listed.iter().filter(|sign| !sign["draws"].is_null());
    assert_eq!(listed.count(), drawn.count());
    let table = run(&world, &["knowledge", "list", "rounds"]).out;
    assert!(table.contains("wipe-floor"), "{table}");
}

#[test]
fn species_are_offered_by_place_then_by_name_and_not_named_comes_last() {
    let world = World::new();
    let ran = run(
        &world,
        &["knowledge", "list", "species", "--format", "json"],
    );
    let list: serde_json::Value = serde_json::from_str(&ran.out).expect("JSON");
    let species = list["entries"].as_array().expect("a list");
    let (last, named) = species.split_last().expect("some");
    assert_eq!(last["default"], true);
    let places: Vec<i64> = named
        .iter()
        .filter_map(|one| one["place"].as_i64())
        .collect();
    assert!(places.len() > 5 && places.is_sorted(), "{places:?}");
    let placed = named.iter().take(places.len());
    assert!(placed.into_iter().all(|one| one["place"].is_i64()));
    let rest: Vec<&str> = named[places.len()..]
        .iter()
        .map(|one| one["name"].as_str().expect("a name"))
        .collect();
    assert!(rest.len() > 5 && rest.is_sorted(), "{rest:?}");
}

#[test]
fn a_mistyped_command_is_answered_with_the_nearest() {
    let world = World::new();
    let ran = run(&world, &["diagnos"]);
    assert_eq!(ran.status, 2);
    assert!(ran.err.contains("'diagnose'"), "{}", ran.err);
}

#[test]
fn every_shell_gets_its_completions() {
    let world = World::new();
    for shell in ["bash", "zsh", "fish", "elvish", "powershell"] {
        let ran = run(&world, &["completions", shell]);
        assert_eq!(ran.status, 0, "{}", ran.err);
        assert!(ran.out.contains("diagnose"), "{shell}");
    }
    let script = run(&world, &["completions", "bash"]).out;
    world.file("complete.sh", script);
    // Where there is such a shell, it has no complaint.
    if let Ok(checked) = Command::new("bash")
        .arg("-n")
        .arg(world.home.path().join("complete.sh"))
        .output()
    {
        assert_eq!(String::from_utf8_lossy(&checked.stderr), "");
    }
}

#[test]
fn there_is_a_manual_page_for_the_whole_and_for_each_command() {
    let world = World::new();
    let page = run(&world, &["man"]).out;
    assert!(page.contains(".TH blockside"), "{page}");
    assert_eq!(run(&world, &["man", "pages"]).status, 0);
    let text = fs::read_to_string(world.home.path().join("pages/blockside-why-not.1"));
    assert!(text.expect("written").contains("too\\-dark case.toml"));
    // A folder that cannot be is named.
    world.file("file", "");
    let ran = run(&world, &["man", "file/pages"]);
    assert_eq!(ran.status, 3);
    assert!(ran.err.contains("file/pages"), "{}", ran.err);
}

fn settings(world: &World, text: &str) {
    fs::create_dir_all(world.home.path().join("home")).expect("made");
    world.file("home/settings.toml", text);
}

#[test]
fn settings_stand_in_for_what_options_leave_open_and_the_report_says_so() {
    let world = World::new();
    settings(
        &world,
        "species = \"king oyster\"\nunits = \"us\"\nplain = true\n",
    );
    let ran = run(&world, &["diagnose", "--sign", "long-stems"]);
    assert!(
        ran.out.contains("King oyster (as your settings say)"),
        "{}",
        ran.out
    );
    let air = run(&world, &["air", "--temperature", "20", "--humidity", "90"]);
    assert!(air.out.contains('F') && air.out.is_ascii(), "{}", air.out);
    // What is said on the command line comes first, and a case file stands by itself.
    let named = run(
        &world,
        &["diagnose", "--species", "enoki", "--sign", "long-stems"],
    );
    assert!(named.out.contains("Weighed for Enoki;"), "{}", named.out);
    world.file(
        "case.toml",
        "schema = \"blockside.case/1\"\n[signs]\nlong-stems = \"yes\"\n",
    );
    let case = run(&world, &["diagnose", "case.toml"]);
    assert!(case.out.contains("No species was named"), "{}", case.out);
    let shown = run(&world, &["settings"]).out;
    assert!(
        shown.contains("king oyster") && shown.contains("settings.toml"),
        "{shown}"
    );
}

#[test]
fn the_usual_profile_feeds_the_diagnosis() {
    let world = World::new();
    let fixtures = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures");
    let profile = fs::read_to_string(fixtures.join("chambers/hall-shelf.toml"));
    settings(&world, "profile = \"chamber.toml\"\n");
    world.file("home/chamber.toml", profile.expect("readable"));
    let args = ["diagnose", "--sign", "long-stems", "--format", "json"];
    let ran = run(&world, &args);
    let told: serde_json::Value = serde_json::from_str(&ran.out).expect("JSON");
    let by_profile = told["told_by_profile"].as_array().expect("a list");
    assert!(!by_profile.is_empty(), "{}", ran.err);
}

#[test]
fn settings_that_cannot_be_used_are_named_with_what_would_do() {
    let world = World::new();
    for (text, said) in [
        ("specis = \"enoki\"\n", "did you mean `species`?"),
        ("units = \"cubits\"\n", "`metric` or `us`"),
        ("species = \"dragon\"\n", "no species is called `dragon`"),
        ("profile = \"gone.toml\"\n", "gone.toml"),
        ("plain = \"very\"\n", "plain"),
        ("=", "settings.toml"),
    ] {
        settings(&world, text);
        let ran = run(&world, &["diagnose", "--sign", "long-stems"]);
        assert_eq!(ran.status, 3, "{text}: {}", ran.err);
        assert!(ran.err.contains(said), "{text}: {}", ran.err);
    }
}
