//! The command from outside: exit status, what reaches the terminal, closed pipes, the walk by a file of answers.

use std::fs;
use std::io::Read;
use std::process::{Command, Stdio};

use crate::small;
use crate::world::{Ran, World, assert_clean};

const CASE: &str = "schema = \"blockside.case/1\"\nspecies = \"grey-oyster\"\nstage = \"fruiting\"\n\n[signs]\nlong-stems = \"yes\"\nsmall-caps = \"yes\"\n\n[readings]\nco2 = \"2900 ppm\"\n";

#[test]
fn the_four_ways_to_end() {
    let world = World::new();
    let broken = world.home.path().join("broken");
    fs::create_dir(&broken).expect("made");
    fs::write(broken.join("scale.toml"), "[[frequency]]\nword = 3\n").expect("written");
    let broken = broken.to_str().expect("a plain path").to_owned();
    for (args, status) in [
        (vec!["diagnose"], 0),
        (vec!["diagnose", "--sign", "long-stems"], 0),
        (vec!["why", "stale-air", "--sign", "long-stems"], 0),
        (vec!["why-not", "too-dark", "--sign", "long-stems"], 0),
        (vec!["knowledge", "check"], 0),
        (vec!["knowledge", "list", "causes"], 0),
        (vec!["knowledge", "codes"], 0),
        (vec!["schema", "diagnosis"], 0),
        (vec!["--version"], 0),
        (vec!["--help"], 0),
        (vec!["knowledge", "check", &broken], 1),
        (vec![], 2),
        (vec!["dance"], 2),
        (vec!["diagnose", "--width", "3"], 2),
        (vec!["diagnose", "--sign", "no-such-sign"], 2),
        (vec!["why", "no-such-cause"], 2),
        (vec!["knowledge", "list", "dances"], 2),
        (vec!["ask"], 2),
        (vec!["diagnose", "no-such-file.toml"], 3),
        (vec!["ask", "--answers", "no-such-file.toml"], 3),
        (vec!["knowledge", "check", "no-such-folder"], 3),
    ] {
        let ran = world.run(&args);
        assert_eq!(ran.status, status, "{args:?}: {}", ran.err);
        assert_eq!(ran.out.is_empty(), status > 1, "{args:?}: {}", ran.out);
        assert_eq!(ran.err.is_empty(), status < 2, "{args:?}: {}", ran.err);
    }
}

#[test]
fn a_case_file_and_options_come_to_the_same() {
    let world = World::new();
    let from_file = world.diagnose(CASE);
    let from_options = world.run(&[
        "diagnose",
        "--species",
        "Pearl Oyster",
        "--stage",
        "fruiting",
        "--sign",
        "small-caps",
        "--sign",
        "long-stems=yes",
        "--reading",
        "co2=2.9k ppm",
    ]);
    assert_eq!(from_file.status, 0, "{}", from_file.err);
    assert_eq!(from_file.out, from_options.out);
    assert!(from_file.out.contains("Stale air"));
}

#[test]
fn options_stand_in_for_what_the_file_says() {
    let world = World::new();
    let path = world.file("case.toml", CASE);
    let path = path.to_str().expect("a plain path");
    let ran = world.run(&[
        "diagnose",
        path,
        "--reading",
        "co2=600",
        "--sign",
        "long-stems=no",
        "--format",
        "json",
    ]);
    let value: serde_json::Value = serde_json::from_str(&ran.out).expect("JSON");
    assert_ne!(value["causes"][0]["id"], "stale-air", "{}", ran.out);
}

#[test]
fn a_closed_pipe_is_no_failure() {
    let world = World::new();
    // So many lines that they cannot all wait in the pipe.
    let cases = world.file(
        "cases.jsonl",
        "{\"signs\":{\"long-stems\":\"yes\"}}\n".repeat(500),
    );
    let mut command = world.bare();
    command
        .arg("--knowledge-only")
        .arg(small::folder())
        .args(["diagnose", "--batch"])
        .arg(cases)
        .stdout(Stdio::piped())
        .stderr(Stdio::piped());
    let mut child = command.spawn().expect("it starts");
    let mut out = child.stdout.take().expect("piped");
    let mut few = [0; 8];
    out.read_exact(&mut few).expect("it writes something");
    drop(out);
    let output = child.wait_with_output().expect("it ends");
    assert_eq!(output.status.code(), Some(0));
    assert_eq!(String::from_utf8_lossy(&output.stderr), "");
}

#[test]
fn a_batch_answers_every_line_it_can() {
    let world = World::new();
    let lines = "{\"signs\":{\"long-stems\":\"yes\"},\"readings\":{\"co2\":\"2900 ppm\"}}\n\n\
        {\"signs\":{\"long-stem\":\"yes\"}}\n{\"signs\":{\"long-stems\":\"yes\",\"long-stems\":\"no\"}}\nnonsense\n[]\n{}\n";
    let path = world.file("cases.jsonl", lines);
    let ran = world.run(&["diagnose", "--batch", path.to_str().expect("a plain path")]);
    assert_eq!(ran.status, 3);
    let answers: Vec<serde_json::Value> = ran
        .out
        .lines()
        .map(|line| serde_json::from_str(line).expect("JSON"))
        .collect();
    let schemas: Vec<&str> = answers
        .iter()
        .filter_map(|answer| answer["schema"].as_str())
        .collect();
    let (found, problem) = ("blockside.diagnosis/1", "blockside.problem/1");
    assert_eq!(schemas, [found, problem, problem, problem, problem, found]);
    assert_eq!(answers[0]["causes"][0]["id"], "stale-air");
    assert_eq!(answers[1]["line"], 3);
    assert!(
        answers[1]["problems"][0]["help"]
            .as_str()
            .is_some_and(|help| help.contains("long-stems"))
    );
    assert_eq!(answers[5]["verdict"], "nothing-told");
}

#[test]
fn a_walk_runs_from_a_file_of_answers() {
    let world = World::new();
    let answers = world.file(
        "answers.toml",
        "schema = \"blockside.answers/1\"\nspecies = \"pearl oyster\"\nstage = \"fruiting\"\nsetup = [\"side-fruited\"]\n\
         complaints = [\"spot-on-block\"]\n\n[questions]\nspot-colour = [\"spot-orange\"]\nspot-feel = [\"dust-puffs\"]\n",
    );
    let answers = answers.to_str().expect("a plain path");
    let ran = world.run(&["ask", "--answers", answers, "--save", "walked.toml"]);
    assert_eq!(ran.status, 0, "{}", ran.err);
    // The numbers and the report have their own tests; this is about the course of the walk.
    let (walked, _) = ran
        .out
        .split_once("The result:")
        .expect("it ends with a result");
    let course: Vec<&str> = walked
        .lines()
        .filter(|line| !line.starts_with("So far:"))
        .collect();
    insta::assert_snapshot!("walk", course.join("\n"));
    let again = world.run(&["ask", "--answers", answers, "--save", "walked.toml"]);
    assert_eq!(again.status, 3);
    assert!(again.err.contains("there already"), "{}", again.err);
    let saved = world.run(&["diagnose", "walked.toml"]);
    assert_eq!(saved.status, 0, "{}", saved.err);
    assert!(ran.out.ends_with(&saved.out), "{}", saved.out);
    let json = world.run(&["ask", "--answers", answers, "--format", "json"]);
    let value: serde_json::Value = serde_json::from_str(&json.out).expect("JSON alone");
    assert_eq!(value["causes"][0]["id"], "orange-mould");
}

#[test]
fn without_a_terminal_ask_names_the_other_ways() {
    let world = World::new();
    world
        .run(&["ask"])
        .refused(2, &["terminal", "--answers", "blockside diagnose"]);
}

#[test]
fn colour_is_for_those_who_want_it() {
    let world = World::new();
    let args = ["diagnose", "--sign", "spot-orange"];
    assert_clean(&world.run(&args).out);
    let always = world.run(&[&args[..], &["--colour", "always"]].concat());
    assert!(always.out.contains("\u{1b}["));
    let plain = world.run(&[&args[..], &["--colour", "always", "--plain"]].concat());
    assert!(plain.out.is_ascii());
    assert_clean(&plain.out);
}

#[test]
fn the_program_alone_in_an_empty_folder_diagnoses() {
    let program = assert_cmd::cargo::cargo_bin("blockside");
    // Beside the program, so that it can be linked: a copy still open for writing in a process that another test just
    // started could not be run.
    let beside = program.parent().expect("it lies in a folder");
    let folder = tempfile::tempdir_in(beside).expect("a folder");
    let (programs, empty) = (folder.path().join("bin"), folder.path().join("empty"));
    for made in [&programs, &empty] {
        fs::create_dir(made).expect("made");
    }
    let copy = programs.join(format!("blockside{}", std::env::consts::EXE_SUFFIX));
    fs::hard_link(&program, &copy).expect("linked");
    for args in [
        &[
            "diagnose",
            "--species",
            "oyster",
            "--sign",
            "long-stems",
            "--reading",
            "co2=2900",
        ][..],
        &["why", "stale-air", "--sign", "long-stems"],
        &["knowledge", "check"],
    ] {
        let mut command = Command::new(&copy);
        command
            .args(args)
            .env_clear()
            .current_dir(&empty)
            .stdin(Stdio::null());
        let ran = Ran::of(command);
        assert_eq!((ran.status, ran.err.as_str()), (0, ""), "{args:?}");
        assert!(
            ran.out.contains("air") || ran.out.contains("0 errors"),
            "{}",
            ran.out
        );
    }
    let left = fs::read_dir(&empty).expect("readable").count();
    assert_eq!(left, 0, "something was left behind");
}

#[test]
fn a_cause_is_found_by_its_name_as_well() {
    let world = World::new();
    let by_id = world.run(&["why", "stale-air", "--sign", "long-stems"]);
    let base = small::base();
    let name = &base.causes["stale-air"].name;
    for word in [name.as_str(), &name.to_uppercase(), " STALE-AIR "] {
        let by_name = world.run(&["why", word, "--sign", "long-stems"]);
        assert_eq!(by_name.status, 0, "{}", by_name.err);
        assert_eq!(by_name.out, by_id.out);
    }
}

/// Every command that writes something.
const WRITING: [&[&str]; 11] = [
    &["diagnose", "--sign", "long-stems"],
    &["diagnose", "--sign", "long-stems", "--format", "json"],
    &["why", "stale-air", "--sign", "long-stems"],
    &["why-not", "too-dark", "--sign", "long-stems"],
    &["ask", "--answers", "answers.toml"],
    &["knowledge", "check"],
    &["knowledge", "list", "signs"],
    &["knowledge", "codes"],
    &["schema", "diagnosis"],
    &["--help"],
    &["--version"],
];

fn answers(world: &World) {
    world.file(
        "answers.toml",
        "schema = \"blockside.answers/1\"\ncomplaints = [\"long-stems\"]\n",
    );
}

#[test]
fn nobody_reading_is_no_failure_of_any_command() {
    let world = World::new();
    answers(&world);
    for args in WRITING {
        let mut command = world.bare();
        command
            .arg("--knowledge-only")
            .arg(small::folder())
            .args(args)
            .stdout(Stdio::piped())
            .stderr(Stdio::piped());
        let mut child = command.spawn().expect("it starts");
        drop(child.stdout.take());
        let output = child.wait_with_output().expect("it ends");
        assert_eq!(output.status.code(), Some(0), "{args:?}");
        assert_eq!(String::from_utf8_lossy(&output.stderr), "", "{args:?}");
    }
}

#[test]
fn a_bare_environment_changes_nothing() {
    let world = World::new();
    answers(&world);
    // The help is laid out by the columns that the environment names, as it should be.
    for args in WRITING.into_iter().filter(|args| *args != ["--help"]) {
        let usual = world.run(args);
        assert_eq!(usual.status, 0, "{args:?}: {}", usual.err);
        let mut command = world.bare();
        command
            .env_remove("BLOCKSIDE_HOME")
            .env("COLUMNS", "1")
            .env("TERM", "dumb")
            .env("LC_ALL", "C")
            .arg("--knowledge-only")
            .arg(small::folder())
            .args(args);
        let bare = Ran::of(command);
        assert_eq!((bare.status, &bare.out), (0, &usual.out), "{args:?}");
    }
}

#[test]
fn the_narrowest_page_holds_every_line() {
    let world = World::new();
    let sign = ["diagnose", "--sign", "spot-orange", "--width", "40"];
    let ran = world.run(&sign);
    assert_eq!(ran.status, 0, "{}", ran.err);
    for line in ran.out.lines() {
        assert!(line.chars().count() <= 40, "{line}");
    }
    for width in ["0", "39", "101", "-5", "1e3", ""] {
        let option = format!("--width={width}");
        world.run(&["diagnose", &option]).refused(2, &["--width"]);
    }
}

#[test]
fn a_folder_of_ones_own_stands_in_for_what_has_the_same_id() {
    let world = World::new();
    let own = world.home.path().join("own");
    fs::create_dir(&own).expect("made");
    let built_in = fs::read_to_string(small::folder().join("causes.toml")).expect("there");
    let name = &small::base().causes["stale-air"].name;
    assert!(built_in.contains(name.as_str()));
    fs::write(
        own.join("causes.toml"),
        built_in.replace(name.as_str(), "My own words"),
    )
    .expect("written");
    let ran = world.run(&["diagnose", "--sign", "long-stems", "--knowledge", "own"]);
    assert_eq!(ran.status, 0, "{}", ran.err);
    assert!(
        ran.out.contains("My own words") && !ran.out.contains(name.as_str()),
        "{}",
        ran.out
    );
}
