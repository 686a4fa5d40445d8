//! Many cases at once: the order of the answers, bad lines, and an answer before the next line is written.

use std::io::{BufRead, BufReader, Write};
use std::process::Stdio;

use serde_json::Value;

use crate::small;
use crate::world::World;

const LONG_STEMS: &str = "{\"signs\":{\"long-stems\":\"yes\"}}";
const SMALL_CAPS: &str = "{\"signs\":{\"small-caps\":\"yes\"}}";

#[test]
fn answers_keep_the_order_of_the_lines_and_each_bad_line_names_its_number() {
    let world = World::new();
    // More than are answered at once, and unlike each other, so that an answer out of its place shows.
    let lines: Vec<&str> = (0..1_300)
        .map(|number| match number % 5 {
            0 | 3 => LONG_STEMS,
            1 => SMALL_CAPS,
            2 => "{\"signs\":{\"no-such-sign\":\"yes\"}}",
            _ => "not JSON",
        })
        .collect();
    let path = world.file("cases.jsonl", lines.join("\n"));
    let ran = world.run(&["diagnose", "--batch", path.to_str().expect("a plain path")]);
    assert_eq!(ran.status, 3, "{}", ran.err);
    let alone = |line: &str| {
        let path = world.file("one.jsonl", line);
        let ran = world.run(&["diagnose", "--batch", path.to_str().expect("a plain path")]);
        assert_eq!(ran.status, 0, "{}", ran.err);
        ran.out.trim_end().to_owned()
    };
    let (long, small) = (alone(LONG_STEMS), alone(SMALL_CAPS));
    assert_ne!(long, small);
    let answers: Vec<&str> = ran.out.lines().collect();
    assert_eq!(answers.len(), lines.len());
    for (number, (line, answer)) in lines.iter().zip(answers).enumerate() {
        match *line {
            LONG_STEMS => assert_eq!(answer, long, "line {}", number + 1),
            SMALL_CAPS => assert_eq!(answer, small, "line {}", number + 1),
            _ => {
                let refusal: Value = serde_json::from_str(answer).expect("JSON");
                assert_eq!(refusal["schema"], "blockside.problem/1");
                assert_eq!(refusal["line"], number + 1);
            }
        }
    }
}

#[test]
fn a_line_is_answered_before_the_next_is_written() {
    let world = World::new();
    let mut command = world.bare();
    command
        .arg("--knowledge-only")
        .arg(small::folder())
        .args(["diagnose", "--batch"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::null());
    let mut child = command.spawn().expect("it starts");
    let mut into = child.stdin.take().expect("piped");
    let mut answers = BufReader::new(child.stdout.take().expect("piped")).lines();
    for (line, schema) in [
        (LONG_STEMS, "blockside.diagnosis/1"),
        ("not JSON", "blockside.problem/1"),
        (SMALL_CAPS, "blockside.diagnosis/1"),
    ] {
        writeln!(into, "{line}").expect("it reads");
        // Would wait for ever if the answer waited for more lines.
        let answer = answers.next().expect("an answer").expect("text");
        let answer: Value = serde_json::from_str(&answer).expect("JSON");
        assert_eq!(answer["schema"], schema, "{line}");
    }
    drop(into);
    assert!(answers.next().is_none());
    assert_eq!(child.wait().expect("it ends").code(), Some(3));
}
