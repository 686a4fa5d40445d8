//! Bad input: a clear message at the place, the right exit status, never half a diagnosis.

use std::fs;

use crate::world::{Ran, World, assert_clean};

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

/// A case of the small knowledge base with these lines.
fn case_with(lines: &str) -> String {
    format!("schema = \"blockside.case/1\"\n{lines}")
}

#[test]
fn readings_that_cannot_be_are_refused_wherever_they_stand() {
    let world = World::new();
    for value in [
        "nan",
        "inf",
        "-inf",
        "1e400",
        "-1e400",
        "1e400 ppm",
        "-5 ppm",
        "2900 ppm ± nan",
        "2900 ppm ± -5",
        "99999999999999999999999999 ppm",
        "2900 furlongs",
        "",
        "ppm",
    ] {
        let in_file = world.diagnose(case_with(&format!("[readings]\nco2 = \"{value}\"\n")));
        in_file.refused(3, &["error[", "case.toml:3"]);
        let option = format!("co2={value}");
        world
            .run(&["diagnose", "--reading", &option])
            .refused(2, &["--reading co2"]);
    }
    for number in ["nan", "inf", "-inf", "1e400", "99999999999999999999999999"] {
        world
            .diagnose(case_with(&format!("[readings]\nco2 = {number}\n")))
            .refused(3, &["error[", "case.toml:3"]);
    }
}

#[test]
fn a_slip_in_a_unit_is_answered_with_a_unit_that_fits() {
    let world = World::new();
    let ran = world.run(&["diagnose", "--reading", "co2=29OO"]);
    ran.refused(2, &["`OO` is not known", "did you mean `ppm`?"]);
}

#[test]
fn of_the_answers_to_some_questions_a_file_too_may_give_only_one() {
    let world = World::new();
    let told = "[signs]\nspot-green = \"yes\"\nspot-orange = \"yes\"\nspot-black = \"no\"\n";
    let ran = world.diagnose(case_with(told));
    ran.refused(3, &["only one answer", "case.toml:4", "spot-green"]);
    assert_eq!(ran.err.matches("error[").count(), 1, "{}", ran.err);
}

#[test]
fn what_is_no_schema_is_told_from_a_newer_one() {
    let world = World::new();
    for (schema, said) in [
        ("\"blockside.case/2\"", "newer version"),
        ("\"blockside.case/99999999999999999999\"", "newer version"),
        ("\"blockside.case/x\"", "not a case"),
        ("\"blockside.case/\"", "not a case"),
        ("\"\"", "not a case"),
        ("3", "`schema` is a number"),
        ("[]", "`schema` is a list"),
    ] {
        world
            .diagnose(format!("schema = {schema}\n"))
            .refused(3, &[said, "case.toml:1"]);
    }
}

#[test]
fn deep_nesting_is_refused_without_a_crash() {
    let world = World::new();
    for text in [
        format!("x = {}", "[".repeat(100_000)),
        format!("x = {}{}", "[".repeat(100_000), "]".repeat(100_000)),
        format!("x = {}", "{a=".repeat(100_000)),
        format!("{}b = 1", "a.".repeat(100_000)),
    ] {
        world.diagnose(case_with(&text)).refused(3, &["case.toml"]);
    }
    let lines = format!("{}\n{}\n", "[".repeat(100_000), "{\"a\":".repeat(100_000));
    let path = world.file("cases.jsonl", lines);
    let ran = world.run(&["diagnose", "--batch", path.to_str().expect("a plain path")]);
    assert_eq!(ran.status, 3, "{}", ran.err);
    assert_eq!(ran.out.matches("blockside.problem/1").count(), 2);
}

#[test]
fn thousands_of_faults_are_told_in_part_and_counted() {
    let world = World::new();
    let signs: String = (0..100_000).map(|n| format!("s{n}=0\n")).collect();
    let setup: String = (0..60_000).map(|n| format!("\"i{n}\",")).collect();
    for text in [format!("[signs]\n{signs}"), format!("setup = [{setup}]\n")] {
        let ran = world.diagnose(case_with(&text));
        ran.refused(3, &["more problems"]);
        assert_eq!(ran.err.matches("error[").count(), 50);
    }
    let listed: String = (0..60_000).map(|n| format!("\"s{n}\",")).collect();
    let answers = world.file(
        "answers.toml",
        format!("schema = \"blockside.answers/1\"\ncomplaints = [{listed}]\n"),
    );
    let ran = world.run(&["ask", "--answers", answers.to_str().expect("a plain path")]);
    ran.refused(3, &["`s0`", "and 59950 more"]);
}

#[test]
fn a_name_without_end_is_repeated_by_its_beginning() {
    let world = World::new();
    let long = "x".repeat(50_000);
    let in_file = world.diagnose(case_with(&format!("species = \"{long}\"\n")));
    in_file.refused(3, &["no species is called"]);
    let in_options = world.run(&["diagnose", "--species", &long, "--stage", &long]);
    in_options.refused(2, &["no species is called", "no stage is called"]);
    for ran in [in_file, in_options] {
        assert!(ran.err.len() < 5_000, "{} bytes", ran.err.len());
    }
}

#[test]
fn a_folder_of_knowledge_that_cannot_be_used_is_refused() {
    let world = World::new();
    fs::create_dir(world.home.path().join("bare")).expect("made");
    world.file("bare/notes.txt", "not for the program");
    world.file("file.toml", "");
    for (folder, said) in [
        ("gone", "no file or folder `gone`"),
        ("file.toml", "is a file; a folder is wanted"),
        ("bare", "no `.toml` file in the folder `bare`"),
    ] {
        for args in [
            &["diagnose", "--sign", "long-stems", "--knowledge", folder][..],
            &["why", "stale-air", "--knowledge", folder],
            &["knowledge", "check", folder],
        ] {
            world.run(args).refused(3, &[said]);
        }
        let mut command = world.bare();
        command.args(["diagnose", "--knowledge-only", folder]);
        Ran::of(command).refused(3, &[said]);
    }
}

#[cfg(unix)]
#[test]
fn nothing_in_a_file_name_can_steer_the_terminal() {
    let world = World::new();
    let nasty = "a\u{1b}[31m\u{7}\u{202e}b\u{200b}";
    fs::create_dir(world.home.path().join(nasty)).expect("made");
    world.file(
        &format!("{nasty}/{nasty}.toml"),
        "[[sign]]\nid = \"A\u{1b}[2J\"\n",
    );
    let case = format!("{nasty}.toml");
    world.file(&case, case_with("species = \"oister\"\n"));
    for args in [
        &["diagnose", &case][..],
        &["diagnose", nasty],
        &["diagnose", "--sign", "long-stems", "--knowledge", nasty],
        &["ask", "--answers", &case],
        &["diagnose", "--batch", nasty],
    ] {
        let ran = world.run(args);
        ran.refused(3, &[]);
        assert_clean(&ran.err);
    }
    let ran = world.run(&["knowledge", "check", nasty]);
    assert_eq!(ran.status, 1, "{}", ran.err);
    assert_clean(&ran.out);
}

#[test]
fn a_broken_line_of_a_batch_spoils_no_other() {
    let world = World::new();
    let mut lines = "{\"signs\":{\"long-stems\":\"yes\"}}\n".as_bytes().to_vec();
    lines.extend(b"{\"signs\":{\"long-stems\":\n\xff\xfe\n{\"readings\":{\"co2\":1e400}}\n{\"readings\":{\"co2\":NaN}}\n");
    lines.extend(b"{\"species\":null}\n\"text\"\n\0\n{\"schema\":\"blockside.case/2\"}\n");
    lines.extend("{\"signs\":{\"long-stems\":\"yes\"}}".as_bytes());
    let path = world.file("cases.jsonl", lines);
    let ran = world.run(&["diagnose", "--batch", path.to_str().expect("a plain path")]);
    assert_eq!(ran.status, 3);
    let found: Vec<bool> = ran
        .out
        .lines()
        .map(|line| {
            let answer: serde_json::Value = serde_json::from_str(line).expect("JSON");
            answer["schema"] == "blockside.diagnosis/1"
        })
        .collect();
    assert_eq!(found.len(), 10);
    assert!(
        found[0] && found[9] && !found[1..9].contains(&true),
        "{found:?}"
    );
    world
        .run(&["diagnose", "--batch", "."])
        .refused(3, &["is a folder"]);
    world
        .run(&["diagnose", "--batch", "gone"])
        .refused(3, &["no file"]);
}
