//! Case files as texts from anywhere: how faults are shown, and that writing keeps what was written.

use std::fs;
use std::path::Path;
use std::sync::LazyLock;

use blockside::engine::knowledge::KnowledgeBase;
use blockside::journal::case::{CaseFile, parse, to_toml};
use blockside::knowledge::build::SourceFile;
use blockside::knowledge::embedded;
use blockside::knowledge::problem::{Problem, ProblemCode};
use blockside::report::problems::{Look, render_all};
use proptest::prelude::*;

use crate::small;

static SMALL: LazyLock<KnowledgeBase> = LazyLock::new(small::base);
static REAL: LazyLock<KnowledgeBase> = LazyLock::new(embedded::base);

/// A text with the line that every case begins with.
fn case(text: &str) -> String {
    format!("schema = \"blockside.case/1\"\n{text}")
}

fn read(text: &str) -> CaseFile {
    let text = case(text);
    parse(&SMALL, "case.toml", &text)
        .unwrap_or_else(|found| panic!("{}", drawn(&text, &found, Look::Plain)))
}

fn faults(text: &str) -> Vec<Problem> {
    parse(&SMALL, "case.toml", text).expect_err("the case is faulty")
}

fn drawn(text: &str, problems: &[Problem], look: Look) -> String {
    let file = SourceFile {
        name: "case.toml".to_owned(),
        text: text.to_owned(),
        layer: 0,
    };
    render_all(problems, &[file], look)
}

/// What is said about a faulty text.
fn said(text: &str) -> String {
    let text = case(text);
    drawn(&text, &faults(&text), Look::Plain)
        .trim_end()
        .to_owned()
}

#[test]
fn line_ends_and_a_byte_order_mark_of_other_systems_change_nothing() {
    let text = "species = \"grey-oyster\"\n[signs]\nlong-stems = \"yes\"\n";
    let plain = read(text);
    for other in [
        case(text).replace('\n', "\r\n"),
        format!("\u{feff}{}", case(text)),
    ] {
        assert_eq!(
            parse(&SMALL, "case.toml", &other).as_ref(),
            Ok(&plain),
            "{other:?}"
        );
    }
}

#[test]
fn a_misspelt_sign_is_shown_with_the_nearest_one() {
    insta::assert_snapshot!(said("[signs]\nlong-stem = \"yes\"\n"), @r#"
    error[unknown-sign]: no sign is called `long-stem`
     --> case.toml:3:1
      |
    3 | long-stem = "yes"
      | ^^^^^^^^^ not in the knowledge
      |
      = help: did you mean `long-stems`?
    "#);
}

#[test]
fn a_name_that_nothing_is_like_leads_to_the_list() {
    insta::assert_snapshot!(said("[signs]\nzzz = \"yes\"\n"), @r#"
    error[unknown-sign]: no sign is called `zzz`
     --> case.toml:3:1
      |
    3 | zzz = "yes"
      | ^^^ not in the knowledge
      |
      = help: `blockside knowledge list signs` shows all of them
    "#);
    insta::assert_snapshot!(said("stage = \"zzz\"\n"), @r#"
    error[unknown-stage]: no stage is called `zzz`
     --> case.toml:2:9
      |
    2 | stage = "zzz"
      |         ^^^^^ not in the knowledge
      |
      = help: there are colonising, pinning, fruiting, resting
    "#);
}

#[test]
fn a_reading_that_cannot_be_true_says_what_can() {
    insta::assert_snapshot!(said("[readings]\nhumidity = \"140 %\"\n"), @r#"
    error[bad-reading]: humidity at cap height cannot be 140 %
     --> case.toml:3:13
      |
    3 | humidity = "140 %"
      |             ^^^^^ cannot be used
      |
      = help: it lies between 0 % and 100 %
    "#);
}

#[test]
fn a_temperature_without_a_scale_is_asked_back() {
    insta::assert_snapshot!(said("[readings]\ntemperature = 68\n"), @r#"
    error[bad-reading]: temperature at cap height cannot be 68 °C
     --> case.toml:3:15
      |
    3 | temperature = 68
      |               ^^ cannot be used
      |
      = help: it lies between -20 °C and 60 °C; if it was read in °F, write `68 °F`
    "#);
}

#[test]
fn an_answer_that_stands_twice_is_refused() {
    insta::assert_snapshot!(said("setup = [\"top-fruited\", \"top-fruited = no\"]\n"), @r#"
    error[repeated-entry]: `top-fruited` is answered twice
     --> case.toml:2:26
      |
    2 | setup = ["top-fruited", "top-fruited = no"]
      |                          ^^^^^^^^^^^ again
      |
      = help: keep one answer
    "#);
}

#[test]
fn a_file_that_is_not_toml_is_told_only_that() {
    for text in [
        "this is a letter to the grower",
        "{\"schema\": \"blockside.case/1\"}",
        "\u{0}\u{1}\u{2}",
        "schema = \"blockside.case/1",
        "signs = [",
    ] {
        let found = faults(text);
        assert!(!found.is_empty(), "{text:?}");
        for problem in &found {
            assert_eq!(problem.code, ProblemCode::NotToml, "{text:?}: {problem:?}");
        }
    }
}

#[test]
fn every_known_case_is_written_so_that_it_reads_back() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/cases");
    let files = |folder: &Path| {
        let entries = fs::read_dir(folder).expect("the cases are there");
        let paths = entries.map(|entry| entry.expect("readable").path());
        paths.filter(|path| path.is_file()).collect::<Vec<_>>()
    };
    let mut paths = files(&folder);
    paths.extend(files(&folder.join("published")));
    let mut tried = 0;
    for path in paths {
        let text = fs::read_to_string(&path).expect("text");
        let name = path.display().to_string();
        let first = parse(&REAL, &name, &text)
            .unwrap_or_else(|found| panic!("{}", drawn(&text, &found, Look::Plain)));
        let written = to_toml(&REAL, &first);
        let again = parse(&REAL, &name, &written)
            .unwrap_or_else(|found| panic!("{}", drawn(&written, &found, Look::Plain)));
        // Written from what was read, it is the same letter by letter: nothing is lost and nothing moves.
        assert_eq!(to_toml(&REAL, &again), written, "{name}");
        assert_eq!(first.expect, again.expect, "{name}");
        assert_eq!(first.observations.signs, again.observations.signs, "{name}");
        tried += 1;
    }
    assert!(tried > 40, "{tried}");
}

#[test]
fn answers_are_written_in_the_order_they_were_read() {
    let text = case(
        "setup = [\"top-fruited\", \"duct-on-outlet = no\"]\n\n[signs]\nlong-stems = \"yes\"\n\
         caps-pale = \"unsure\"\nfan-feels-weak = \"no\"\n\n[readings]\nhumidity = \"90 %\"\n\
         co2 = \"900 ppm\"\n\n[people]\nasthma = \"no\"\n",
    );
    let found = parse(&SMALL, "case.toml", &text)
        .unwrap_or_else(|found| panic!("{}", drawn(&text, &found, Look::Plain)));
    assert_eq!(to_toml(&SMALL, &found), text);
}

#[test]
fn a_tolerance_is_written_as_it_was_typed() {
    for typed in ["94 % ± 3", "94 % ± 0.7", "94 % ± 1.25", "94 % ± 10"] {
        let found = read(&format!("[readings]\nhumidity = \"{typed}\"\n"));
        let written = to_toml(&SMALL, &found);
        assert!(
            written.contains(&format!("humidity = \"{typed}\"")),
            "{written}"
        );
    }
}

proptest! {
    #[test]
    fn whatever_stands_in_a_file_is_read_or_refused_at_a_place_in_it(text in "\\PC{0,40}(\n\\PC{0,40}){0,5}") {
        for text in [text.clone(), case(&text)] {
            if let Err(found) = parse(&SMALL, "case.toml", &text) {
                prop_assert!(!found.is_empty());
                for problem in &found {
                    let place = problem.span.clone().expect("a place");
                    prop_assert!(text.get(place).is_some(), "{:?}", problem);
                }
                prop_assert!(!drawn(&text, &found, Look::Coloured).is_empty());
            }
        }
    }

    #[test]
    fn a_broken_value_is_refused_at_a_place_in_the_file(value in "[0-9a-z%±°'\"\\\\ .,=-]{0,20}") {
        let quoted = toml::Value::String(value.clone()).to_string();
        for text in [
            format!("[readings]\nco2 = {value}\nhumidity = {quoted}\n"),
            format!("[readings]\nco2 = {quoted}\ntemperature = {quoted}\n"),
            format!("setup = [{quoted}, \"top-fruited = \", {quoted}]\nspecies = {quoted}\n"),
        ] {
            let text = case(&text);
            if let Err(found) = parse(&SMALL, "case.toml", &text) {
                for problem in &found {
                    let place = problem.span.clone().expect("a place");
                    prop_assert!(text.get(place).is_some(), "{:?}", problem);
                }
                prop_assert!(!drawn(&text, &found, Look::Plain).is_empty());
            }
        }
    }
}

/// What a log said, as a case keeps it, with a fault or without.
fn from_log(lines: &str) -> String {
    let sound = [
        ("id", "\"co2-above-limit\""),
        ("text", "\"It is stale for six hours.\""),
        ("from", "\"2026-05-03T14:00:00\""),
        ("to", "\"2026-05-03T16:20:00\""),
    ];
    let mut text = "[[from-log]]\n".to_owned();
    for (key, value) in sound {
        if !lines
            .lines()
            .any(|line| line.starts_with(&format!("{key} =")))
        {
            text.push_str(&format!("{key} = {value}\n"));
        }
    }
    text + lines
}

#[test]
fn what_a_log_said_is_kept_with_its_time_and_evidence() {
    let lines = "told = [\"co2\"]\n[from-log.evidence]\nhours = 6.5\npeaks = 3\ngiven = true\nlist = [1, 2]\n";
    let text = format!("[readings]\nco2 = \"1900 ppm\"\n{}", from_log(lines));
    let read = read(&text);
    let said = read.observations.by_log("co2").expect("it is told");
    assert_eq!(said.span(), "2026-05-03 14:00 to 16:20");
    assert_eq!(said.evidence.len(), 4);
    let again = parse(&SMALL, "case.toml", &to_toml(&SMALL, &read));
    assert_eq!(again.as_ref(), Ok(&read));
    // Clocks that know where they hang, a span of days, a single moment.
    for (from, to, span) in [
        (
            "2026-05-03T14:00:00+02:00",
            "2026-05-03T16:20:00+02:00",
            "2026-05-03 14:00 to 16:20",
        ),
        (
            "2026-05-03T23:00:00",
            "2026-05-05T01:00:00",
            "2026-05-03 23:00 to 2026-05-05 01:00",
        ),
        ("2026-05-03 23:00", "2026-05-03 23:00", "2026-05-03 23:00"),
    ] {
        let lines = format!("from = \"{from}\"\nto = \"{to}\"\ntold = [\"co2\"]\n");
        let read = self::read(&from_log(&lines));
        assert_eq!(read.observations.by_log("co2").expect("told").span(), span);
    }
}

#[test]
fn what_a_log_cannot_have_said_is_refused_with_its_place() {
    for (lines, parts) in [
        (
            "id = \"co2-above-limits\"\n",
            [
                "error[unknown-word]: no finding or measure of a log is called `co2-above-limits`",
                "did you mean `co2-above-limit`?",
            ],
        ),
        (
            "told = [\"co3\"]\n",
            [
                "error[unknown-sign]: no sign or reading is called `co3`",
                "did you mean `co2`?",
            ],
        ),
        (
            "from = \"yesterday\"\n",
            [
                "error[bad-reading]: `yesterday` is no time",
                "write it like `2026-05-03T14:00:00`",
            ],
        ),
        (
            "to = \"2026-02-30T14:00:00\"\n",
            [
                "error[bad-reading]: `2026-02-30T14:00:00` is no time",
                "cannot be read",
            ],
        ),
        (
            "to = \"2026-05-03T13:59:00\"\n",
            [
                "error[bad-reading]: `2026-05-03T13:59:00` lies before `2026-05-03T14:00:00`",
                "`from` comes before `to`",
            ],
        ),
        (
            "text = 7\n",
            ["error[wrong-type]: `text` is a number", "must be a text"],
        ),
        (
            "evidence = { hours = nan }\n",
            [
                "error[out-of-range]: the evidence is not a finite number",
                "cannot be counted with",
            ],
        ),
        (
            "evidence = { on = 2026-05-03 }\n",
            [
                "error[wrong-type]: the evidence is a date",
                "must be a number, a text",
            ],
        ),
        (
            "evidences = {}\n",
            ["error[unknown-key]: ", "did you mean `evidence`?"],
        ),
    ] {
        let said = said(&from_log(lines));
        for part in parts {
            assert!(said.contains(part), "{part} is missing in:\n{said}");
        }
    }
    let none = said("[[from-log]]\nid = \"gaps\"\n");
    assert_eq!(none.matches("error[missing-key]").count(), 3, "{none}");
    assert!(said("from-log = \"chamber.csv\"\n").contains("error[wrong-type]"));
}
