//! `describe` from outside: where the text comes from, what is shown, and that nothing comes of nothing.

use std::io::Write;
use std::process::Stdio;

use serde_json::Value;

use crate::world::{Ran, World};

fn run(world: &World, args: &[&str]) -> Ran {
    let mut command = world.bare();
    command.args(args);
    Ran::of(command)
}

fn json(world: &World, text: &str) -> Value {
    let ran = run(world, &["describe", "--format", "json", "--", text]);
    assert_eq!(ran.status, 0, "{}", ran.err);
    serde_json::from_str(&ran.out).expect("JSON")
}

const TEXT: &str = "Blue oysters with long stems, maybe small caps, no sour smell. CO2 2900 ppm.";

#[test]
fn a_text_is_taken_from_an_argument_a_file_and_standard_input_alike() {
    let world = World::new();
    let file = world.file("text.txt", TEXT);
    let argument = run(&world, &["describe", TEXT]);
    assert!(argument.out.contains("\"long stems\""), "{}", argument.out);
    let from_file = run(
        &world,
        &["describe", "--file", file.to_str().expect("plain")],
    );
    assert_eq!(from_file.out, argument.out);
    // Words that nobody put in quotation marks are one text.
    let words: Vec<&str> = ["describe"].into_iter().chain(TEXT.split(' ')).collect();
    assert_eq!(run(&world, &words).out, argument.out);
    let mut command = world.bare();
    command
        .arg("describe")
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped());
    let mut child = command.spawn().expect("it starts");
    let mut input = child.stdin.take().expect("piped");
    input.write_all(TEXT.as_bytes()).expect("it reads");
    drop(input);
    let output = child.wait_with_output().expect("it ends");
    assert_eq!(String::from_utf8_lossy(&output.stdout), argument.out);
}

#[test]
fn json_says_which_words_were_taken_for_what_and_where_they_stand() {
    let world = World::new();
    // Letters of more than one byte before the words: places are counted in characters.
    let text = "Öh – long stems, blorp, no sour smell, CO2 2900 ppm";
    let told = json(&world, text);
    assert_eq!(told["schema"], "blockside.description/1");
    let letters: Vec<char> = text.chars().collect();
    let understood = told["understood"].as_array().expect("a list");
    for one in understood {
        let at = |place: usize| one["at"][place].as_u64().expect("a number") as usize;
        let there: String = letters[at(0)..at(1)].iter().collect();
        assert_eq!(one["words"], there.as_str());
    }
    let of = |id: &str| understood.iter().find(|one| one["id"] == id);
    assert_eq!(of("long-stems").expect("understood")["answer"], "yes");
    assert_eq!(of("long-stems").expect("understood")["kind"], "sign");
    let co2 = of("co2").expect("understood");
    assert_eq!(
        (&co2["value"], &co2["unit"]),
        (&2900.0.into(), &"ppm".into())
    );
    let aside: Vec<&str> = told["not_understood"]
        .as_array()
        .expect("a list")
        .iter()
        .filter_map(Value::as_str)
        .collect();
    assert!(
        aside.iter().any(|words| words.contains("blorp")),
        "{aside:?}"
    );
    assert_eq!(told["diagnosis"]["schema"], "blockside.diagnosis/1");
    assert_eq!(told["diagnosis"]["causes"][0]["id"], "stale-air");
}

#[test]
fn the_schema_names_every_field_that_is_written() {
    let world = World::new();
    let told = json(
        &world,
        "The stems are long. The stems are not long. Small caps, humidty 94 %, blorp.",
    );
    crate::coverage::keeps_to_schema("description", &told);
    let schema = run(&world, &["schema", "description"]);
    let schema: Value = serde_json::from_str(&schema.out).expect("JSON");
    for (list, name) in [
        ("understood", "UnderstoodReport"),
        ("left_aside", "PieceReport"),
        ("contradictions", "ContradictionReport"),
    ] {
        let known = &schema["$defs"][name]["properties"];
        let first = told[list][0].as_object();
        for key in first
            .unwrap_or_else(|| panic!("{list} is empty: {told}"))
            .keys()
        {
            assert!(known[key].is_object(), "{key} of {name}");
        }
    }
}

#[test]
fn nothing_comes_of_nothing() {
    let world = World::new();
    for text in [
        "",
        "   \n",
        "☃☃☃",
        "lorem ipsum dolor",
        "\u{1b}[31mred",
        "\u{202e}evil",
    ] {
        let told = json(&world, text);
        assert_eq!(told["diagnosis"]["decided"], false, "{text:?}");
        assert_eq!(
            told["diagnosis"]["causes"].as_array().map(Vec::len),
            Some(0),
            "{text:?}"
        );
        let ran = run(&world, &["describe", "--", text]);
        assert_eq!(ran.status, 0, "{}", ran.err);
        assert!(ran.out.contains("nothing was weighed"), "{}", ran.out);
        assert!(!ran.out.contains('\u{1b}') && !ran.out.contains('\u{202e}'));
    }
}

#[test]
fn nobody_is_told_that_all_is_well_while_some_words_were_not_understood() {
    let world = World::new();
    let told = json(&world, "no sour smell, but blorp all over the caps");
    assert_eq!(told["diagnosis"]["decided"], false);
    assert_eq!(told["diagnosis"]["verdict"], "nothing-told");
    let all = json(&world, "no sour smell");
    assert_eq!(all["diagnosis"]["verdict"], "nothing-wrong");
}

#[test]
fn what_was_understood_can_be_saved_as_a_case() {
    let world = World::new();
    let saved = run(&world, &["describe", TEXT, "--save=case.toml"]);
    assert_eq!(saved.status, 0, "{}", saved.err);
    let from_case = run(&world, &["diagnose", "case.toml"]);
    assert!(saved.out.ends_with(&from_case.out), "{}", from_case.out);
    let again = run(&world, &["describe", TEXT, "--save=case.toml"]);
    assert_eq!(again.status, 3);
    let kept = run(&world, &["describe", TEXT, "--save"]);
    assert_eq!(kept.status, 0, "{}", kept.err);
    let cases = run(&world, &["cases"]);
    assert!(
        cases.out.contains("stale-air") || cases.out.contains("Stale air"),
        "{}",
        cases.out
    );
}

#[test]
fn a_text_that_cannot_be_read_is_named() {
    let world = World::new();
    world.file("bytes.txt", [0x66_u8, 0xff, 0xfe]);
    for (args, said) in [
        (vec!["describe", "--file", "gone.txt"], "gone.txt"),
        (vec!["describe", "--file", "bytes.txt"], "UTF-8"),
    ] {
        let ran = run(&world, &args);
        assert_eq!(ran.status, 3, "{}", ran.err);
        assert!(ran.err.contains(said), "{}", ran.err);
    }
}
