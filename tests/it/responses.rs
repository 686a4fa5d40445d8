//! A response speaks where its species is named, in place of the general rule, and nowhere else.

use blockside::engine::diagnosis::Diagnosis;
use blockside::engine::id::{SignId, SpeciesId};
use blockside::engine::knowledge::KnowledgeBase;
use blockside::engine::observations::{Answer, Observations};
use blockside::engine::quantity::System;
use blockside::engine::reasoner::Reasoner;
use blockside::knowledge::build::build;
use blockside::knowledge::read::read_folder;
use blockside::report::catalogue;

use crate::small;

const RESPONSE: &str = r#"
[[response]]
to = "stale-air"
sign = "long-stems"
shows = "almost never"
note = "Made up for tests."
judgement = "Made up for tests."
"#;

fn with_response() -> KnowledgeBase {
    let mut files = read_folder(&small::folder(), 0).expect("the folder is there");
    for file in &mut files {
        if file.name.ends_with("species-shiitake.toml") {
            file.text.push_str(RESPONSE);
        }
    }
    build(&files).usable().expect("nothing wrong with it")
}

fn stale_air(base: &KnowledgeBase, species: Option<&str>) -> f64 {
    let mut told = Observations::default();
    told.signs
        .insert(SignId::new("long-stems").expect("an id"), Answer::Yes);
    told.species = species.map(|id| SpeciesId::new(id).expect("an id"));
    let found: Diagnosis = Reasoner::new(base, System::Metric).diagnose(&told);
    let mut causes = found.causes.iter();
    causes
        .find(|cause| cause.id.as_str() == "stale-air")
        .map_or(0.0, |cause| cause.confidence)
}

#[test]
fn a_response_takes_the_place_of_the_general_rule_in_its_species_alone() {
    let (plain, with) = (small::base(), with_response());
    for species in [None, Some("grey-oyster"), Some("not-named")] {
        let (before, after) = (stale_air(&plain, species), stale_air(&with, species));
        assert!(before > 0.2, "{species:?}: {before}");
        assert_eq!(before, after, "{species:?}");
    }
    let (before, after) = (
        stale_air(&plain, Some("shiitake")),
        stale_air(&with, Some("shiitake")),
    );
    assert!(after < before / 3.0, "{before} and {after}");
}

#[test]
fn what_is_said_of_a_cause_in_general_is_not_the_response_of_one_species() {
    let (plain, with) = (small::base(), with_response());
    let shares = |base: &KnowledgeBase| -> Vec<f64> {
        let cause = base.causes.get("stale-air").expect("a cause");
        cause.general().map(|shows| shows.share).collect()
    };
    assert_eq!(shares(&plain), shares(&with));
    let texts = |base| -> Vec<String> {
        let rules = catalogue::entries(base, catalogue::Kind::Rules);
        rules.into_iter().map(|rule| rule.text).collect()
    };
    let (before, after) = (texts(&plain), texts(&with));
    let more: Vec<&String> = after.iter().filter(|text| !before.contains(text)).collect();
    assert!(
        matches!(more[..], [text] if text.ends_with(" in shiitake")),
        "{more:?}"
    );
}
