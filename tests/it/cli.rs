//! The command from outside: exit status, bad input, what reaches the terminal.

use std::fs;
use std::io::Read;
use std::path::PathBuf;
use std::process::{Command, Stdio};

use assert_cmd::assert::OutputAssertExt;
use assert_cmd::cargo::CommandCargoExt;
use tempfile::TempDir;

use crate::small;

/// The command in a world of its own, with the small knowledge base.
struct World {
    home: TempDir,
}

impl World {
    fn new() -> Self {
        Self {
            home: tempfile::tempdir().expect("a folder"),
        }
    }

    /// The command with the built-in knowledge.
    fn bare(&self) -> Command {
        let mut command = Command::cargo_bin("blockside").expect("it is built");
        command
            .env_clear()
            .env("BLOCKSIDE_HOME", self.home.path().join("home"))
            .current_dir(self.home.path())
            .stdin(Stdio::null());
        command
    }

    fn run(&self, args: &[&str]) -> Ran {
        let mut command = self.bare();
        command
            .arg("--knowledge-only")
            .arg(small::folder())
            .args(args);
        Ran::of(command)
    }

    fn file(&self, name: &str, text: impl AsRef<[u8]>) -> PathBuf {
        let path = self.home.path().join(name);
        fs::write(&path, text).expect("written");
        path
    }

    /// Runs `diagnose` on a file of this content.
    fn diagnose(&self, text: impl AsRef<[u8]>) -> Ran {
        let path = self.file("case.toml", text);
        self.run(&["diagnose", path.to_str().expect("a plain path")])
    }
}

struct Ran {
    status: i32,
    out: String,
    err: String,
}

impl Ran {
    fn of(mut command: Command) -> Self {
        let output = command.output().expect("it runs");
        let text = |bytes: Vec<u8>| String::from_utf8(bytes).expect("it writes UTF-8");
        let ran = Self {
            status: output.status.code().expect("it ends by itself"),
            out: text(output.stdout),
            err: text(output.stderr),
        };
        assert!(
            !ran.err.contains("panicked") && !ran.err.contains("mistake of its own"),
            "{}",
            ran.err
        );
        ran
    }

    /// It refused with this status, said each of these, and printed no diagnosis.
    fn refused(&self, status: i32, said: &[&str]) {
        assert_eq!(self.status, status, "{}{}", self.out, self.err);
        assert_eq!(self.out, "", "half a diagnosis");
        let flat = self.err.split_whitespace().collect::<Vec<_>>().join(" ");
        for part in said {
            assert!(flat.contains(part), "{part} is missing in: {}", self.err);
        }
    }
}

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
fn faulty_options_are_told_all_at_once_with_the_nearest_names() {
    let world = World::new();
    let ran = world.run(&[
        "diagnose",
        "--species",
        "oister",
        "--stage",
        "fruitin",
        "--setup",
        "top-fruted",
        "--setup",
        "side-fruited",
        "--setup",
        "side-fruited=no",
        "--sign",
        "long-stem",
        "--sign",
        "small-caps=maybe",
        "--reading",
        "co2=2900 lux",
        "--reading",
        "humidity=140 %",
        "--reading",
        "temperature=-300 C",
        "--reading",
        "room-co2",
        "--person",
        "astma",
    ]);
    ran.refused(
        2,
        &[
            "did you mean `oyster`?",
            "did you mean `fruiting`?",
            "did you mean `top-fruited`?",
            "side-fruited is given twice",
            "did you mean `long-stems`?",
            "`maybe` is no answer",
            "`lux` does not fit here",
            "`140 %` cannot be true",
            "`-300 C` cannot be true",
            "the value is missing",
            "did you mean `asthma`?",
        ],
    );
    let ran = world.run(&["diagnose", "--species", "oyster", "--species", "shiitake"]);
    ran.refused(2, &["--species is given 2 times"]);
    let ran = world.run(&["diagnose", "--sign", "spot-green", "--sign", "spot-orange"]);
    ran.refused(2, &["only one answer", "spot-green=no"]);
    let ran = world.run(&["why", "stale-aire"]);
    ran.refused(2, &["did you mean `stale-air`?"]);
}

#[test]
fn faulty_case_files_are_refused_at_the_place() {
    let world = World::new();
    for (text, said) in [
        ("[signs]\nlong-stem = \"yes\"\n", "`long-stems`"),
        ("species = \"gray-oyster\"\n", "`grey-oyster`"),
        ("[readings]\nco2 = \"2900 lux\"\n", "lux"),
        ("[readings]\nhumidity = \"140 %\"\n", "140 %"),
        ("[readings]\ntemperature = \"-300 °C\"\n", "-300"),
        ("[readings]\nco2 = \"nan\"\n", "nan"),
        (
            "[signs]\nlong-stems = \"yes\"\nlong-stems = \"no\"\n",
            "twice",
        ),
        ("signs = [", "case.toml"),
    ] {
        let text = format!("schema = \"blockside.case/1\"\n{text}");
        world.diagnose(text).refused(3, &[said, "case.toml"]);
    }
    for (text, said) in [
        ("schema = \"blockside.case/2\"\n", "newer version"),
        ("schema = \"something/1\"\n", "`something/1`"),
        ("species = \"grey-oyster\"\n", "schema"),
    ] {
        world.diagnose(text).refused(3, &[said, "case.toml"]);
    }
}

#[test]
fn files_that_are_no_cases_are_refused() {
    let world = World::new();
    world.diagnose("").refused(3, &["empty"]);
    world.diagnose(" \n\t\n").refused(3, &["empty"]);
    world
        .diagnose(b"species = \"\xff\xfe\"")
        .refused(3, &["not UTF-8", "the byte at 11"]);
    world.run(&["diagnose", "."]).refused(3, &["is a folder"]);
    world
        .run(&["diagnose", "gone.toml"])
        .refused(3, &["no file", "gone.toml"]);
    let large = world.file("large.toml", "");
    fs::File::options()
        .write(true)
        .open(&large)
        .and_then(|file| file.set_len(50 * 1024 * 1024))
        .expect("made large");
    world
        .run(&["diagnose", "large.toml"])
        .refused(3, &["larger than 1 MiB"]);
}

#[test]
fn a_folder_of_knowledge_with_faults_is_refused() {
    let world = World::new();
    world.file("wrong.toml", "[[sign]]\nid = \"Wrong\"\n");
    let ran = world.run(&["diagnose", "--sign", "long-stems", "--knowledge", "."]);
    ran.refused(3, &["wrong.toml"]);
}

#[test]
fn nothing_in_a_file_can_steer_the_terminal() {
    let world = World::new();
    let nasty = "a\u{1b}[31m\u{7}\u{202e}b\u{200b}";
    let in_toml = "a\\u001b[31m\\u0007\u{202e}b\u{200b}";
    for text in [
        format!("species = \"{in_toml}\"\n"),
        format!("species = \"{nasty}\"\n"),
        format!("[signs]\n\"{in_toml}\" = \"yes\"\n"),
        format!("[readings]\nco2 = \"{in_toml}\"\n"),
    ] {
        let ran = world.diagnose(format!("schema = \"blockside.case/1\"\n{text}"));
        ran.refused(3, &[]);
        assert_clean(&ran.err);
    }
    let ran = world.run(&["diagnose", "--sign", nasty, "--species", nasty]);
    ran.refused(2, &[]);
    assert_clean(&ran.err);
    let ran = world.run(&[nasty]);
    ran.refused(2, &[]);
    assert_clean(&ran.err);
    let answers = world.file(
        "answers.toml",
        format!("schema = \"{in_toml}\"\nspecies = \"{in_toml}\"\n"),
    );
    let ran = world.run(&["ask", "--answers", answers.to_str().expect("a plain path")]);
    ran.refused(3, &[]);
    assert_clean(&ran.err);
}

fn assert_clean(text: &str) {
    let stray = text.chars().find(|&letter| {
        (letter.is_control() && letter != '\n') || "\u{202e}\u{200b}".contains(letter)
    });
    assert_eq!(stray, None, "{text:?}");
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
fn the_built_in_knowledge_serves_from_an_empty_folder() {
    let world = World::new();
    let mut command = world.bare();
    command.args(["knowledge", "check"]);
    command.assert().code(0);
}
