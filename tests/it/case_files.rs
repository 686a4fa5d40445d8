//! Case files: what is read, what is refused and how that is said, and that what is written can be read again.

use std::fs;
use std::path::Path;
use std::sync::LazyLock;

use blockside::engine::id::{PersonId, ReadingId, SetupId, SignId, SpeciesId, StageId};
use blockside::engine::knowledge::KnowledgeBase;
use blockside::engine::observations::{Answer, Observations};
use blockside::engine::quantity::Measured;
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

/// The part of the text each problem points at, with its code.
fn pointed_at(text: &str) -> Vec<(ProblemCode, String)> {
    let text = case(text);
    faults(&text)
        .into_iter()
        .map(|problem| {
            let place = problem.span.expect("a place");
            (problem.code, text[place].to_owned())
        })
        .collect()
}

#[test]
fn everything_a_case_can_say_is_read() {
    let found = read(
        "title = \"Leggy oysters\"\n\
         from = \"made up\"\n\
         species = \"grey-oyster\"\n\
         stage = \"fruiting\"\n\
         setup = [\"duct-on-outlet\", \"side-fruited = no\"]\n\
         [signs]\n\
         long-stems = \"yes\"\n\
         caps-pale = \"no\"\n\
         fan-feels-weak = \"unsure\"\n\
         lamp-off-or-dim = \"probably\"\n\
         [readings]\n\
         co2 = \"2900 ppm\"\n\
         humidity = \"94 % ± 3\"\n\
         temperature = 18.5\n\
         room-co2 = 1_200\n\
         [people]\n\
         asthma = \"no\"\n\
         [expect]\n\
         leads = [\"stale-air\"]\n",
    );
    assert_eq!(found.title.as_deref(), Some("Leggy oysters"));
    assert_eq!(found.from.as_deref(), Some("made up"));
    let told = &found.observations;
    assert_eq!(
        told.species.as_ref().map(SpeciesId::as_str),
        Some("grey-oyster")
    );
    assert_eq!(told.stage.as_ref().map(StageId::as_str), Some("fruiting"));
    assert_eq!(told.setup.get("duct-on-outlet"), Some(&true));
    assert_eq!(told.setup.get("side-fruited"), Some(&false));
    assert_eq!(told.setup.get("top-fruited"), None);
    let answers: Vec<Answer> = told.signs.values().copied().collect();
    assert_eq!(
        answers,
        [Answer::Yes, Answer::No, Answer::Unsure, Answer::Probably]
    );
    let value = |id: &str| told.readings[id].value;
    assert_eq!(
        [
            value("co2"),
            value("humidity"),
            value("temperature"),
            value("room-co2")
        ],
        [2900.0, 94.0, 18.5, 1200.0]
    );
    let spread = told.readings["humidity"].tolerance.expect("a tolerance");
    assert!((spread - 3.0_f64.sqrt()).abs() < 1e-12, "{spread}");
    assert_eq!(told.readings["co2"].tolerance, None);
    assert_eq!(told.people.get("asthma"), Some(&false));
    let leads = found.expect.expect("an expectation").leads;
    assert_eq!(leads.len(), 1);
    assert_eq!(leads[0].as_str(), "stale-air");
}

#[test]
fn a_case_that_tells_nothing_is_a_case() {
    assert_eq!(read(""), CaseFile::default());
    assert_eq!(read("[signs]\n[readings]\n[people]\n"), CaseFile::default());
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
fn species_and_stages_go_by_any_of_their_names() {
    let id = read("species = \"grey-oyster\"\nstage = \"fruiting\"\n");
    let (species, stage) = (&SMALL.species["grey-oyster"], &SMALL.stages["fruiting"]);
    for name in [&species.name, &species.latin]
        .into_iter()
        .chain(&species.also)
    {
        let text = format!(
            "species = \"{}\"\nstage = \"{}\"\n",
            name.to_uppercase(),
            stage.name.to_uppercase()
        );
        assert_eq!(read(&text), id, "{name}");
    }
}

#[test]
fn all_faults_are_told_at_once_and_in_the_order_of_the_file() {
    let found = pointed_at(
        "species = \"gray-oyster\"\n\
         colour = \"green\"\n\
         setup = [\"duct-on-outlet = maybe\", \"duct\"]\n\
         [signs]\n\
         long-stem = \"yes\"\n\
         caps-pale = \"a bit\"\n\
         fan-feels-weak = true\n\
         [readings]\n\
         co2 = \"2900 lux\"\n\
         humidity = 140\n\
         [people]\n\
         asthma = \"unsure\"\n",
    );
    let expected = [
        (ProblemCode::UnknownSpecies, "\"gray-oyster\""),
        (ProblemCode::UnknownKey, "colour"),
        (ProblemCode::UnknownWord, "maybe"),
        (ProblemCode::UnknownSetup, "duct"),
        (ProblemCode::UnknownSign, "long-stem"),
        (ProblemCode::UnknownWord, "\"a bit\""),
        (ProblemCode::WrongType, "true"),
        (ProblemCode::BadReading, "lux"),
        (ProblemCode::BadReading, "140"),
        (ProblemCode::UnknownWord, "\"unsure\""),
    ];
    assert_eq!(found, expected.map(|(code, at)| (code, at.to_owned())));
}

#[test]
fn what_is_expected_of_a_case_must_be_known_too() {
    let found = pointed_at(
        "[expect]\n\
         leads = [\"stale-air\", \"stale-hair\"]\n\
         root = \"fan\"\n\
         cautions = [\"dance\"]\n\
         actions = [\"jump\"]\n\
         soon = true\n",
    );
    let expected = [
        (ProblemCode::UnknownCause, "\"stale-hair\""),
        (ProblemCode::UnknownCause, "\"fan\""),
        (ProblemCode::UnknownCaution, "\"dance\""),
        (ProblemCode::UnknownAction, "\"jump\""),
        (ProblemCode::UnknownKey, "soon"),
    ];
    assert_eq!(found, expected.map(|(code, at)| (code, at.to_owned())));
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
      = help: there are colonising, fruiting, pinning, resting
    "#);
}

#[test]
fn a_unit_that_does_not_fit_is_pointed_at_inside_the_reading() {
    insta::assert_snapshot!(said("[readings]\nco2 = \"2900 lux\"\n"), @r#"
    error[bad-reading]: `lux` does not fit here
     --> case.toml:3:13
      |
    3 | co2 = "2900 lux"
      |             ^^^ cannot be used
      |
      = help: a value in ppm is asked for, for example `900 ppm`
    "#);
}

#[test]
fn a_reading_that_cannot_be_true_says_what_can() {
    insta::assert_snapshot!(said("[readings]\nhumidity = \"140 %\"\n"), @r#"
    error[bad-reading]: humidity at cap height cannot be 140 %
     --> case.toml:3:12
      |
    3 | humidity = "140 %"
      |            ^^^^^^^ cannot be used
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
    let found = pointed_at("[signs]\nlong-stems = \"yes\"\nlong-stems = \"no\"\n");
    assert_eq!(
        found,
        [(ProblemCode::RepeatedEntry, "long-stems".to_owned())]
    );
}

#[test]
fn numbers_that_cannot_be_counted_with_are_refused() {
    for number in [
        "nan",
        "-inf",
        "1e999",
        "99999999999999999999",
        "\"1e999 ppm\"",
        "\"nan\"",
        "\"\"",
        "\"a lot\"",
        "\"20 30 ppm\"",
        "\"900 ppm ± -3\"",
        "-1",
        "100001",
    ] {
        let text = format!("[readings]\nco2 = {number}\n");
        let found = pointed_at(&text);
        assert_eq!(found.len(), 1, "{number}: {found:?}");
        assert_eq!(found[0].0, ProblemCode::BadReading, "{number}");
        let help = faults(&case(&text)).remove(0).help;
        assert!(help.is_some(), "{number}: nothing to do about it");
    }
    for edge in ["0", "100000"] {
        read(&format!("[readings]\nco2 = {edge}\n"));
    }
}

#[test]
fn a_file_of_another_kind_is_told_from_one_of_a_newer_version() {
    let found = |text: &str| {
        let mut found = faults(text);
        assert_eq!(found.len(), 1, "{text}: {found:#?}");
        let problem = found.remove(0);
        assert_eq!(problem.code, ProblemCode::WrongSchema, "{text}");
        assert!(problem.help.is_some(), "{text}");
        problem.message
    };
    // Nothing else is said: a newer version may have other keys.
    for newer in [
        "schema = \"blockside.case/2\"\nwind = 3\n",
        "schema = \"blockside.case/17\"\n",
    ] {
        assert!(found(newer).contains("newer version"), "{newer}");
    }
    for other in [
        "schema = \"blockside.case/0\"\n",
        "schema = \"blockside.case/x\"\n",
        "schema = \"blockside.answers/1\"\n",
        "schema = \"\"\n",
    ] {
        assert!(found(other).contains("is not a case"), "{other}");
    }
    assert_eq!(found("schema = 1\n"), "`schema` is a number");
    assert_eq!(
        found("species = \"grey-oyster\"\n"),
        "the file does not say that it is a case"
    );
    for empty in ["", " \n\t\r\n"] {
        assert_eq!(found(empty), "the file is empty");
    }
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
fn nothing_in_a_case_reaches_the_screen_as_a_command() {
    let written = "a\\u001b[31m\\u0007\u{202e}b\u{200b}\\n";
    for text in [
        format!("species = \"{written}\"\n"),
        format!("stage = \"{written}\"\n"),
        format!("\"{written}\" = 1\n"),
        format!("setup = [\"{written}\", \"top-fruited = {written}\"]\n"),
        format!("[signs]\n\"{written}\" = \"yes\"\nlong-stems = \"{written}\"\n"),
        format!("[readings]\n\"{written}\" = 1\nco2 = \"{written}\"\nhumidity = \"9\\u00070 %\"\n"),
        format!("[people]\n\"{written}\" = \"yes\"\nasthma = \"{written}\"\n"),
        "species = \"\u{1b}[2J\"\n".to_owned(),
    ] {
        let shown = said(&text);
        let stray = shown.chars().find(|&letter| {
            (letter.is_control() && letter != '\n') || "\u{202e}\u{200b}".contains(letter)
        });
        assert_eq!(stray, None, "{shown:?}");
    }
}

#[test]
fn every_known_case_is_written_so_that_it_reads_back() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/cases");
    let mut tried = 0;
    for entry in fs::read_dir(folder).expect("the cases are there") {
        let path = entry.expect("readable").path();
        let text = fs::read_to_string(&path).expect("text");
        let name = path.display().to_string();
        let first = parse(&REAL, &name, &text)
            .unwrap_or_else(|found| panic!("{}", drawn(&text, &found, Look::Plain)));
        let written = to_toml(&REAL, &first);
        let again = parse(&REAL, &name, &written)
            .unwrap_or_else(|found| panic!("{}", drawn(&written, &found, Look::Plain)));
        assert_alike(&first, &again);
        assert_eq!(to_toml(&REAL, &again), written, "{name}");
        tried += 1;
    }
    assert!(tried > 40, "{tried}");
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

/// The same case; tolerances to nine digits, which is what a file keeps.
fn assert_alike(one: &CaseFile, other: &CaseFile) {
    let without = |case: &CaseFile| {
        let mut case = case.clone();
        for measured in case.observations.readings.values_mut() {
            measured.tolerance = None;
        }
        case
    };
    assert_eq!(without(one), without(other));
    for (id, measured) in &one.observations.readings {
        let again = other.observations.readings[id].tolerance;
        match (measured.tolerance, again) {
            (None, None) => {}
            (Some(one), Some(other)) => {
                assert!(
                    (one - other).abs() <= one.abs() * 1e-8,
                    "{id}: {one} {other}"
                );
            }
            pair => panic!("{id}: {pair:?}"),
        }
    }
}

/// A choice of keys of a map, each with a value, in any order.
fn some<K: Clone + std::fmt::Debug + 'static, V: Clone + std::fmt::Debug + 'static>(
    keys: Vec<K>,
    value: impl Strategy<Value = V> + Clone + 'static,
) -> impl Strategy<Value = Vec<(K, V)>> {
    let most = keys.len().min(12);
    proptest::sample::subsequence(keys, 0..=most)
        .prop_shuffle()
        .prop_flat_map(move |keys| {
            let values = proptest::collection::vec(value.clone(), keys.len());
            (Just(keys), values).prop_map(|(keys, values)| keys.into_iter().zip(values).collect())
        })
}

/// Anything that could have been told.
fn observations() -> impl Strategy<Value = Observations> {
    let species: Vec<SpeciesId> = REAL.species.keys().cloned().collect();
    let stages: Vec<StageId> = REAL.stages.keys().cloned().collect();
    let setup: Vec<SetupId> = REAL.setup.keys().cloned().collect();
    let signs: Vec<SignId> = REAL.signs.keys().cloned().collect();
    let readings: Vec<ReadingId> = REAL.readings.keys().cloned().collect();
    let people: Vec<PersonId> = REAL.people.keys().cloned().collect();
    let answer = proptest::sample::select(Answer::WORDS.map(|(answer, _)| answer).to_vec());
    let share = prop_oneof![4 => 0.0..=1.0, 1 => Just(0.0), 1 => Just(1.0)];
    let tolerance = proptest::option::of(prop_oneof![0.0..1e5, 1e-9..1e-3]);
    (
        proptest::option::of(proptest::sample::select(species)),
        proptest::option::of(proptest::sample::select(stages)),
        some(setup, any::<bool>()),
        some(signs, answer),
        some(readings, (share, tolerance)),
        some(people, any::<bool>()),
    )
        .prop_map(|(species, stage, setup, signs, readings, people)| {
            let measured = |(id, (share, tolerance)): (ReadingId, (f64, Option<f64>))| {
                let (least, most) = REAL.readings[&id].believable;
                let value = (least + share * (most - least)).clamp(least, most);
                (id, Measured { value, tolerance })
            };
            Observations {
                species,
                stage,
                setup: setup.into_iter().collect(),
                signs: signs.into_iter().collect(),
                readings: readings.into_iter().map(measured).collect(),
                people: people.into_iter().collect(),
            }
        })
}

proptest! {
    #[test]
    fn what_was_told_is_written_so_that_it_reads_back(
        observations in observations(),
        title in proptest::option::of("\\PC*[a-z]\\PC*"),
    ) {
        let title = title.map(|title| title.trim().to_owned());
        let case = CaseFile { title, observations, ..CaseFile::default() };
        let written = to_toml(&REAL, &case);
        let again = parse(&REAL, "case.toml", &written);
        let again = again.unwrap_or_else(|found| panic!("{}", drawn(&written, &found, Look::Plain)));
        assert_alike(&case, &again);
        prop_assert_eq!(to_toml(&REAL, &again), written);
    }

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
