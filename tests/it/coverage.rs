//! What the knowledge stands on and where it is thin.

use blockside::engine::knowledge::KnowledgeBase;
use blockside::knowledge::build::{SourceFile, build};
use blockside::knowledge::coverage::{
    Basis, Cases, Coverage, Standing, coverage, greatest_difference,
};
use blockside::knowledge::embedded;
use blockside::knowledge::read::read_folder;
use serde_json::Value;

use crate::small;
use crate::world::{Ran, World};

/// Two signs and three causes on top of the small base: a pair of twins, and one that a step sets apart from them.
const TWINS: &str = r#"
[[sign]]
id = "own-hum"
statement = "the block hums"
question = "Does the block hum?"
look = "Hold an ear to it."
words = ["humming"]
anyway = "hardly ever"
effort = "glance"
judgement = "Made up."

[[cause]]
id = "own-one"
name = "One"
kind = "crop"
summary = "Made up."
base-rate = "rare"
rules = [
  { when = { sign = "own-hum" }, shows = 0.5, judgement = "Made up." },
]
judgement = "Made up."

[[cause]]
id = "own-three"
name = "Three"
kind = "crop"
summary = "Made up."
base-rate = "rare"
rules = [
  { when = { sign = "own-hum" }, shows = 0.7, judgement = "Made up." },
]
judgement = "Made up."

[[cause]]
id = "own-two"
name = "Two"
kind = "crop"
summary = "Made up."
base-rate = "rare"
rules = [
  { when = { sign = "own-hum" }, shows = 0.5, judgement = "Made up." },
]
judgement = "Made up."
"#;

fn with_twins() -> KnowledgeBase {
    let mut files = read_folder(&small::folder(), 0).expect("the folder is there");
    files.push(SourceFile {
        name: "own.toml".to_owned(),
        text: TWINS.to_owned(),
        layer: 1,
    });
    build(&files).base
}

fn own(found: &Coverage) -> Vec<(&str, &str, bool)> {
    let pairs = found.inseparable.iter();
    pairs
        .filter(|pair| pair.one.starts_with("own-") && pair.other.starts_with("own-"))
        .map(|pair| (pair.one.as_str(), pair.other.as_str(), pair.identical))
        .collect()
}

#[test]
fn causes_that_no_finding_separates_are_listed_and_a_step_separates() {
    let found = coverage(&with_twins(), Cases::default());
    assert_eq!(own(&found), [("own-one", "own-two", true)]);
}

#[test]
fn what_only_another_guard_says_separates_nothing() {
    let mut base = with_twins();
    let (one, two) = (base.causes["own-one"].clone(), &mut base.causes["own-two"]);
    two.shows[0].only_if = Some(blockside::engine::condition::Condition::holds(
        blockside::engine::condition::Proposition::Fact(
            blockside::engine::id::FactId::new("own-night").expect("an id"),
        ),
    ));
    two.shows[0].share = 0.9;
    // Under the guard the one that has none shows it as ever: that is a difference of 0.4.
    assert!((greatest_difference(&one, &base.causes["own-two"]) - 0.4).abs() < 1e-12);
    base.causes["own-two"].shows[0].share = 0.5;
    assert!(greatest_difference(&one, &base.causes["own-two"]).abs() < 1e-12);
}

#[test]
fn every_entry_and_number_is_counted_once() {
    let base = embedded::base();
    let found = coverage(&base, Cases::default());
    for standing in found.entries.iter().chain(&found.numbers) {
        let parts = standing.read
            + standing.second_hand
            + standing.memory
            + standing.practice
            + standing.judgement
            + standing.nothing;
        assert_eq!(parts, standing.count, "{}", standing.what);
    }
    let of = |what: &str| found.entries.iter().find(|one| one.what == what);
    assert_eq!(
        of("signs").map(|one| one.count),
        Some(base.signs.len()),
        "an entry is left out"
    );
    let shows: usize = base.causes.values().map(|cause| cause.shows.len()).sum();
    assert_eq!(found.numbers[0].count, shows);
    let sum = Standing::sum("entries", &found.entries);
    assert_eq!(sum.nothing, 0, "an entry stands on nothing");
}

#[test]
fn the_best_source_counts() {
    let base = embedded::base();
    let of = |wanted: Basis| {
        base.sources
            .iter()
            .find(|(_, source)| Basis::of_source(source) == wanted)
            .map(|(id, _)| blockside::engine::knowledge::Cite {
                source: id.clone(),
                at: None,
            })
            .expect("there is one of each")
    };
    let mut grounds = blockside::engine::knowledge::Grounds {
        judgement: Some("Made up.".to_owned()),
        ..Default::default()
    };
    assert_eq!(Basis::of(&grounds, &base.sources), Basis::Judgement);
    for basis in [
        Basis::Practice,
        Basis::Memory,
        Basis::SecondHand,
        Basis::Read,
    ] {
        grounds.sources.push(of(basis));
        assert_eq!(Basis::of(&grounds, &base.sources), basis);
    }
    grounds = Default::default();
    assert_eq!(Basis::of(&grounds, &base.sources), Basis::Nothing);
}

/// Every field of a report is in its schema, and every field the schema requires is in the report.
pub fn keeps_to_schema(contract: &str, value: &Value) {
    let schema = blockside::report::json::schema(contract).expect("has a schema");
    let known = schema["properties"].as_object().expect("has properties");
    let given = value.as_object().expect("is an object");
    for name in schema["required"].as_array().expect("requires something") {
        let name = name.as_str().expect("a name");
        assert!(given.contains_key(name), "{name} is missing");
    }
    for name in given.keys() {
        assert!(known.contains_key(name), "{name} is not in the schema");
    }
}

#[test]
fn the_check_prints_the_coverage_and_counts_the_cases_of_a_folder() {
    let world = World::new();
    let whole: Value = {
        let mut command = world.bare();
        command.args(["knowledge", "check", "--coverage", "--format", "json"]);
        serde_json::from_str(&Ran::of(command).out).expect("JSON")
    };
    assert_eq!(whole["schema"], "blockside.coverage/1");
    keeps_to_schema("coverage", &whole);
    let embedded = embedded::published_cases().len();
    let left_out = whole["cases_left_out"].as_array().expect("a list").len();
    assert_eq!(whole["published_cases"], embedded - left_out);
    let first = embedded::base();
    let (cause, _) = first.causes.first().expect("there are causes");
    world.file(
        "own-case.toml",
        format!("schema = \"blockside.case/1\"\n[expect]\nleads = [\"{cause}\"]\n"),
    );
    let mut command = world.bare();
    command.args(["knowledge", "check", "--coverage", "--cases", "."]);
    let ran = Ran::of(command);
    assert_eq!(ran.status, 0, "{}", ran.err);
    let flat = ran.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(flat.contains("of 1 cases"), "{flat}");
    let (_, uncovered) = flat
        .split_once("no published case covers")
        .expect("the list is there");
    assert!(!uncovered.contains(&format!(" {cause},")), "{uncovered}");
}
