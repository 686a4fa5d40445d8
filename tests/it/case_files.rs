//! The case file: what is refused and where, what may be written in more than one way, and that writing reads back.

use blockside::engine::id::{ActionId, CauseId, CautionId, SignId};
use blockside::engine::knowledge::KnowledgeBase;
use blockside::engine::observations::{Answer, Observations};
use blockside::engine::quantity::Measured;
use blockside::journal::case::{CaseFile, Expect, SCHEMA, parse, to_toml};
use blockside::knowledge::build::SourceFile;
use blockside::knowledge::embedded;
use blockside::knowledge::problem::{Problem, ProblemCode as Code};
use blockside::report::problems::{Look, render_all};
use indexmap::IndexMap;
use proptest::prelude::*;
use proptest::sample::{Index, select, subsequence};

const NAME: &str = "case.toml";

fn case(rest: &str) -> String {
    format!("schema = \"{SCHEMA}\"\n{rest}")
}

fn drawn(problems: &[Problem], text: &str) -> String {
    let file = SourceFile {
        name: NAME.to_owned(),
        text: text.to_owned(),
        layer: 0,
    };
    render_all(problems, &[file], Look::Plain)
}

fn good(base: &KnowledgeBase, text: &str) -> CaseFile {
    parse(base, NAME, text).unwrap_or_else(|problems| panic!("{}", drawn(&problems, text)))
}

#[test]
fn faulty_cases_are_refused_at_the_place() {
    let base = embedded::base();
    // What is written, the code, what the mark covers, and a part of what is said.
    let rows: &[(String, Code, &str, &str)] = &[
        (String::new(), Code::WrongSchema, "", "the file is empty"),
        (
            " \n\t\n".to_owned(),
            Code::WrongSchema,
            "",
            "the file is empty",
        ),
        (
            "# nothing\n".to_owned(),
            Code::WrongSchema,
            "",
            "does not say that it is a case",
        ),
        (
            "species = \"shiitake\"\n".to_owned(),
            Code::WrongSchema,
            "",
            "begin the file with",
        ),
        (
            "schema = \"blockside.case/2\"\n[signs]\nwhatever = 1\n".to_owned(),
            Code::WrongSchema,
            "\"blockside.case/2\"",
            "newer version",
        ),
        (
            "schema = \"blockside.answers/1\"\n".to_owned(),
            Code::WrongSchema,
            "\"blockside.answers/1\"",
            "not a case",
        ),
        (
            "schema = 1\n".to_owned(),
            Code::WrongSchema,
            "1",
            "a case has `schema =",
        ),
        (
            case("[signs]\nlong-stem = \"yes\""),
            Code::UnknownSign,
            "long-stem",
            "did you mean `long-stems`?",
        ),
        (
            case("[signs]\nlong-stems = \"yess\""),
            Code::UnknownWord,
            "\"yess\"",
            "write yes, no, unsure or probably",
        ),
        (
            case("[signs]\nlong-stems = \"\""),
            Code::UnknownWord,
            "\"\"",
            "write yes, no",
        ),
        (
            case("[signs]\nlong-stems = true"),
            Code::WrongType,
            "true",
            "must be \"yes\", \"no\"",
        ),
        (
            case("[signs]\nlong-stems = \"yes\"\nlong-stems = \"no\""),
            Code::RepeatedEntry,
            "long-stems",
            "`long-stems` stands twice",
        ),
        (
            case("signs = \"long-stems\""),
            Code::WrongType,
            "\"long-stems\"",
            "must be a table",
        ),
        (
            case("[sings]\nlong-stems = \"yes\""),
            Code::UnknownKey,
            "sings",
            "did you mean `signs`?",
        ),
        (
            case("species = \"shitake\""),
            Code::UnknownSpecies,
            "\"shitake\"",
            "did you mean `shiitake`?",
        ),
        (case("species = 3"), Code::WrongType, "3", "must be a text"),
        (
            case("stage = \"fruting\""),
            Code::UnknownStage,
            "\"fruting\"",
            "did you mean `fruiting`?",
        ),
        (
            case("setup = [\"duct-on-outlets\"]"),
            Code::UnknownSetup,
            "\"duct-on-outlets\"",
            "did you mean `duct-on-outlet`?",
        ),
        (
            case("setup = [\"duct-on-outlet = maybe\"]"),
            Code::UnknownWord,
            "maybe",
            "write yes or no",
        ),
        (
            case("setup = [\"duct-on-outlet\", \"duct-on-outlet = no\"]"),
            Code::RepeatedEntry,
            "duct-on-outlet",
            "answered twice",
        ),
        (
            case("setup = \"duct-on-outlet\""),
            Code::WrongType,
            "\"duct-on-outlet\"",
            "must be a list",
        ),
        (
            case("setup = [1]"),
            Code::WrongType,
            "1",
            "must be a list of texts",
        ),
        (
            case("[readings]\nco = \"900 ppm\""),
            Code::UnknownReading,
            "co",
            "did you mean `co2`?",
        ),
        (
            case("[readings]\nco2 = \"900 lux\""),
            Code::BadReading,
            "lux",
            "a value in ppm is asked for",
        ),
        (
            case("[readings]\nco2 = 'about 900 lux'"),
            Code::BadReading,
            "lux",
            "a value in ppm is asked for",
        ),
        (
            case("[readings]\nco2 = \"900 \\u006cux\""),
            Code::BadReading,
            "\"900 \\u006cux\"",
            "a value in ppm is asked for",
        ),
        (
            case("[readings]\nco2 = \"plenty\""),
            Code::BadReading,
            "plenty",
            "is not a number",
        ),
        (
            case("[readings]\nco2 = \"\""),
            Code::BadReading,
            "\"\"",
            "nothing was given",
        ),
        (
            case("[readings]\nco2 = \"900 ppm 800 ppm\""),
            Code::BadReading,
            "800 ppm",
            "second number",
        ),
        (
            case("[readings]\nco2 = -5"),
            Code::BadReading,
            "-5",
            "it lies between",
        ),
        (
            case("[readings]\nhumidity = \"140 %\""),
            Code::BadReading,
            "140 %",
            "it lies between 0 % and 100 %",
        ),
        (
            case("[readings]\ntemperature = \"-300 °C\""),
            Code::BadReading,
            "-300 °C",
            "cannot be -300 °C",
        ),
        (
            case("[readings]\nco2 = nan"),
            Code::BadReading,
            "nan",
            "is not a number",
        ),
        (
            case("[readings]\nco2 = inf"),
            Code::BadReading,
            "inf",
            "is not a number",
        ),
        (
            case("[readings]\nco2 = -inf"),
            Code::BadReading,
            "-inf",
            "is not a number",
        ),
        (
            case("[readings]\nco2 = \"nan\""),
            Code::BadReading,
            "nan",
            "is not a number",
        ),
        (
            case("[readings]\nco2 = 1e999"),
            Code::BadReading,
            "1e999",
            "is not a number",
        ),
        (
            case("[readings]\nco2 = [900]"),
            Code::WrongType,
            "[900]",
            "must be a number with its unit",
        ),
        (
            case("[readings]\nco2 = \"900\"\nco2 = \"800\""),
            Code::RepeatedEntry,
            "co2",
            "`co2` stands twice",
        ),
        (
            case("[people]\nastma = \"yes\""),
            Code::UnknownPerson,
            "astma",
            "did you mean `asthma`?",
        ),
        (
            case("[people]\nasthma = \"probably\""),
            Code::UnknownWord,
            "\"probably\"",
            "write yes or no",
        ),
        (
            case("[people]\nasthma = 1"),
            Code::WrongType,
            "1",
            "must be \"yes\" or \"no\"",
        ),
        (
            case("[expect]\nleads = [\"stale-aire\"]"),
            Code::UnknownCause,
            "\"stale-aire\"",
            "did you mean `stale-air`?",
        ),
        (
            case("[expect]\ncautions = [\"x\"]"),
            Code::UnknownCaution,
            "\"x\"",
            "no caution is called `x`",
        ),
        (
            case("[expect]\nactions = [\"more-fresh-aire\"]"),
            Code::UnknownAction,
            "\"more-fresh-aire\"",
            "did you mean `more-fresh-air`?",
        ),
        (
            case("title = \"\""),
            Code::WrongType,
            "\"\"",
            "must be a text that says something",
        ),
        (
            case("title = unquoted"),
            Code::NotToml,
            "unquoted",
            "must be quoted",
        ),
    ];
    for (text, code, marked, said) in rows {
        let problems = parse(&base, NAME, text).expect_err(text);
        let shown = drawn(&problems, text);
        let [problem] = problems.as_slice() else {
            panic!("one fault each:\n{shown}");
        };
        assert_eq!(problem.code, *code, "{shown}");
        let span = problem.span.clone().expect("a place");
        assert_eq!(&text[span], *marked, "{shown}");
        assert!(shown.contains(said), "{said} is missing in:\n{shown}");
        let remedy = problem.help.is_some() || problem.label.starts_with("must be");
        assert!(remedy || said.starts_with("no "), "no remedy:\n{shown}");
    }
}

#[test]
fn all_faults_of_a_case_come_at_once_sorted_by_place() {
    let base = embedded::base();
    let text = case(
        "species = \"shitake\"\nstage = \"fruting\"\nsetup = [\"ducts\"]\ncolour = 1\n\n[readings]\nco2 = \"900 lux\"\nhumidity = \"140 %\"\n\n[signs]\nlong-stem = \"yes\"\nsmall-caps = \"perhaps\"\n\n[people]\nasthma = \"yess\"\n\n[expect]\nleads = [\"nothing\"]\n",
    );
    let problems = parse(&base, NAME, &text).expect_err("it is broken");
    let codes: Vec<Code> = problems.iter().map(|problem| problem.code).collect();
    assert_eq!(
        codes,
        [
            Code::UnknownSpecies,
            Code::UnknownStage,
            Code::UnknownSetup,
            Code::UnknownKey,
            Code::BadReading,
            Code::BadReading,
            Code::UnknownSign,
            Code::UnknownWord,
            Code::UnknownWord,
            Code::UnknownCause,
        ],
        "{}",
        drawn(&problems, &text)
    );
}

#[test]
fn nothing_in_a_case_can_steer_the_terminal() {
    let base = embedded::base();
    let text = case(
        "species = \"\\u001b[31mred\\u202e\"\nsetup = [\"a\u{202e}b\\u0007\"]\n\n[signs]\n\"long\\u001b[2Jstems\" = \"yes\u{200b}\"\n\"x\u{2066}y\" = \"no\"\n\n[readings]\n\"co\\u009b2\" = 1\nco2 = \"\\u001b]0;title\\u0007 900\"\n",
    );
    let problems = parse(&base, NAME, &text).expect_err("it is broken");
    assert!(problems.len() >= 6, "{problems:#?}");
    for letter in drawn(&problems, &text).chars() {
        let hidden = matches!(letter, '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
        assert!(
            (letter == '\n' || !letter.is_control()) && !hidden,
            "{letter:?}"
        );
    }
}

#[test]
fn a_deeply_nested_case_is_refused() {
    let base = embedded::base();
    for text in [
        case(&format!("x = {}", "[".repeat(5_000))),
        case(&format!("[{}]", vec!["a"; 5_000].join("."))),
        case(&format!(
            "x = {}1{}",
            "{ a.a.a.a.a.a.a.a.a.a = ".repeat(70),
            "}".repeat(70)
        )),
    ] {
        let problems = parse(&base, NAME, &text).expect_err("too deep");
        let deep = problems.iter().any(|problem| problem.code == Code::TooDeep);
        assert!(deep, "{problems:?}");
        assert!(problems.len() <= 2, "{problems:?}");
    }
}

#[test]
fn a_species_goes_by_any_of_its_names() {
    let base = embedded::base();
    let mut names = 0;
    for (id, species) in &base.species {
        let own = [id.as_str(), &species.name, &species.latin];
        for name in own
            .into_iter()
            .chain(species.also.iter().map(String::as_str))
        {
            for written in [name.to_owned(), name.to_uppercase(), format!("  {name} ")] {
                let case = good(&base, &case(&format!("species = \"{written}\"")));
                assert_eq!(case.observations.species.as_ref(), Some(id), "{written}");
            }
            names += 1;
        }
    }
    assert!(names > 3 * base.species.len(), "{names}");
}

#[test]
fn setup_items_may_be_denied() {
    let base = embedded::base();
    for (written, holds) in [
        ("duct-on-outlet", true),
        ("duct-on-outlet = yes", true),
        ("duct-on-outlet = no", false),
        ("duct-on-outlet=no", false),
    ] {
        let found = good(&base, &case(&format!("setup = [\"{written}\"]")));
        assert_eq!(
            found.observations.setup["duct-on-outlet"], holds,
            "{written}"
        );
    }
}

#[test]
fn readings_are_taken_with_unit_tolerance_or_range() {
    let base = embedded::base();
    // A stated tolerance or range counts as a rectangle, whose standard deviation is its half width over the square
    // root of three (JCGM 100:2008, Guide to the expression of uncertainty in measurement, 4.3.7).
    let half = |width: f64| Some(width / 3.0_f64.sqrt());
    for (line, value, tolerance) in [
        ("co2 = 900", 900.0, None),
        ("co2 = 900.5", 900.5, None),
        ("co2 = \"900\"", 900.0, None),
        ("co2 = \"1,200 ppm\"", 1200.0, None),
        ("co2 = \"900 ppm ± 50\"", 900.0, half(50.0)),
        ("co2 = \"900 ± 50 ppm\"", 900.0, half(50.0)),
        ("humidity = \"94 % +/- 3\"", 94.0, half(3.0)),
        ("humidity = \"between 80 and 85 %\"", 82.5, half(2.5)),
        ("temperature = \"68 F\"", 20.0, None),
        ("temperature = \"68 F ± 1.8\"", 20.0, half(1.0)),
        ("temperature = \"-2 °C\"", -2.0, None),
    ] {
        let found = good(&base, &case(&format!("[readings]\n{line}")));
        let (_, measured) = found.observations.readings.first().expect("a reading");
        assert!(
            (measured.value - value).abs() < 1e-9,
            "{line}: {measured:?}"
        );
        match (measured.tolerance, tolerance) {
            (None, None) => {}
            (Some(one), Some(other)) => assert!((one - other).abs() < 1e-9, "{line}: {one}"),
            other => panic!("{line}: {other:?}"),
        }
    }
}

#[test]
fn an_almost_empty_case_tells_nothing() {
    let base = embedded::base();
    let found = good(&base, &case("\n[signs]\n\n[readings]\n"));
    assert_eq!(found, CaseFile::default());
    assert!(found.observations.is_empty());
    assert_eq!(good(&base, &to_toml(&base, &found)), found);
}

/// Some of the ids, in the order of the knowledge.
fn some<T: Clone + std::fmt::Debug + 'static>(
    ids: Vec<T>,
    most: usize,
) -> impl Strategy<Value = Vec<T>> {
    let most = most.min(ids.len());
    subsequence(ids, 0..=most)
}

/// What could have been told about the built-in knowledge.
fn observations(base: &KnowledgeBase) -> impl Strategy<Value = Observations> + use<> {
    let species = prop::option::of(select(base.species.keys().cloned().collect::<Vec<_>>()));
    let stage = prop::option::of(select(base.stages.keys().cloned().collect::<Vec<_>>()));
    let setup = some(base.setup.keys().cloned().collect(), 6);
    let signs = some(base.signs.keys().cloned().collect(), 20);
    let people = some(base.people.keys().cloned().collect(), 4);
    let readings: Vec<_> = base
        .readings
        .iter()
        .map(|(id, reading)| (id.clone(), reading.believable))
        .collect();
    let readings = some(readings, 8);
    let measured =
        prop::collection::vec((0.0..=1.0, prop::option::of(0.01..5.0), any::<bool>()), 8);
    let answers = prop::collection::vec(any::<Index>(), 20);
    let holds = prop::collection::vec(any::<bool>(), 10);
    let told = (species, stage, setup, signs, readings, people);
    let only_one: Vec<Vec<SignId>> = base
        .questions
        .values()
        .filter(|question| question.one_of)
        .map(|question| question.signs.clone())
        .collect();
    (told, answers, measured, holds).prop_map(
        move |((species, stage, setup, signs, readings, people), answers, measured, holds)| {
            let readings = readings.into_iter().zip(measured);
            let mut signs: IndexMap<SignId, Answer> = signs
                .into_iter()
                .zip(answers.iter().map(|index| index.get(&Answer::WORDS).0))
                .collect();
            for question in &only_one {
                let there = signs
                    .iter_mut()
                    .filter(|(id, answer)| **answer == Answer::Yes && question.contains(id));
                there.skip(1).for_each(|(_, answer)| *answer = Answer::No);
            }
            Observations {
                species,
                stage,
                setup: setup.into_iter().zip(holds.iter().copied()).collect(),
                signs,
                readings: readings
                    .map(|((id, (low, high)), (share, tolerance, round))| {
                        let value: f64 = low + share * (high - low);
                        let value = if round { value.round() } else { value };
                        let value = value.clamp(low, high);
                        (id, Measured { value, tolerance })
                    })
                    .collect(),
                people: people.into_iter().zip(holds.into_iter().rev()).collect(),
                ..Observations::default()
            }
        },
    )
}

/// What could be expected of a case.
fn expect(base: &KnowledgeBase) -> impl Strategy<Value = Expect> + use<> {
    let causes: Vec<CauseId> = base.causes.keys().cloned().collect();
    let cautions: Vec<CautionId> = base.cautions.keys().cloned().collect();
    let actions: Vec<ActionId> = base.actions.keys().cloned().collect();
    (
        some(causes.clone(), 3),
        some(causes.clone(), 3),
        some(causes.clone(), 3),
        prop::option::of(select(causes)),
        some(cautions, 3),
        some(actions, 3),
        title(),
    )
        .prop_map(
            |(leads, among, not, root, cautions, actions, missed)| Expect {
                leads,
                among,
                not,
                root,
                cautions,
                actions,
                missed,
            },
        )
}

/// A text with any letters in it, but none that is blank at its ends.
fn title() -> impl Strategy<Value = Option<String>> {
    prop::option::of("(?s).{1,40}".prop_map(|text| format!("a{}b", text)))
}

#[test]
fn a_written_case_reads_back_the_same() {
    let base = embedded::base();
    let any_case = (
        title(),
        title(),
        title(),
        title(),
        observations(&base),
        prop::option::of(expect(&base)),
    );
    let any_case =
        any_case.prop_map(
            |(title, from, told, profile, observations, expect)| CaseFile {
                title,
                from,
                told,
                log: profile.clone(),
                profile,
                observations,
                expect,
            },
        );
    let config = ProptestConfig::with_cases(128);
    proptest!(config, |(case in any_case)| {
        let text = to_toml(&base, &case);
        let mut again = parse(&base, NAME, &text)
            .map_err(|problems| TestCaseError::fail(drawn(&problems, &text)))?;
        // A tolerance is written as a half width and divided again, which may cost a last digit.
        for (id, measured) in &case.observations.readings {
            let read = again.observations.readings.get_mut(id);
            let read = read.ok_or_else(|| TestCaseError::fail(format!("{id} is gone:\n{text}")))?;
            if let (Some(one), Some(other)) = (read.tolerance, measured.tolerance) {
                prop_assert!((one - other).abs() <= 1e-12 * other, "{id}: {one} {other}");
                read.tolerance = measured.tolerance;
            }
        }
        prop_assert_eq!(&again, &case, "{}", text);
    });
}
