//! The numbers behind a diagnosis: given whole where they are asked for, and made of one line for each circumstance.

use blockside::engine::condition::{Condition, Literal, Proposition};
use blockside::engine::id::{SetupId, SignId};
use blockside::engine::knowledge::{Finding, KnowledgeBase, Shows};
use blockside::engine::observations::{Answer, Observations};
use blockside::engine::quantity::System;
use blockside::engine::reasoner::Reasoner;
use serde_json::Value;

use crate::coverage::keeps_to_schema;
use crate::small;
use crate::world::World;

#[test]
fn every_number_of_the_weighing_is_given_in_detail_and_only_there() {
    let world = World::new();
    let asked = [
        "diagnose",
        "--sign",
        "long-stems",
        "--sign",
        "spot-green=unsure",
        "--format",
        "json",
    ];
    let plain: Value = serde_json::from_str(&world.run(&asked).out).expect("JSON");
    assert!(plain.get("weighing").is_none());
    let detailed = world.run(&[&asked[..], &["--detail"]].concat());
    let detailed: Value = serde_json::from_str(&detailed.out).expect("JSON");
    keeps_to_schema("diagnosis", &detailed);
    let near = |whole: &Value, rounded: &Value| {
        let apart = whole.as_f64().expect("a number") - rounded.as_f64().expect("a number");
        assert!(apart.abs() <= 0.5e-6 + 1e-12, "{whole} is not {rounded}");
    };
    let weighing = &detailed["weighing"];
    near(&weighing["unknown"], &plain["nothing_fits"]);
    near(&weighing["nothing_wrong"], &plain["nothing_wrong"]);
    let all = weighing["causes"].as_array().expect("causes");
    let reported = plain["causes"].as_array().expect("causes");
    assert!(all.len() > reported.len() && !reported.is_empty());
    for cause in reported {
        let whole = all
            .iter()
            .find(|one| one["id"] == cause["id"])
            .expect("it was weighed");
        near(&whole["confidence"], &cause["confidence"]);
        for reason in cause["for"].as_array().expect("reasons") {
            let findings = weighing["findings"].as_array().expect("findings");
            let finding = findings
                .iter()
                .find(|one| one["fact"] == reason["fact"])
                .expect("weighed");
            near(
                &finding["weights_db"][cause["id"].as_str().expect("an id")],
                &reason["weight_db"],
            );
        }
    }
}

/// Stale air with these lines for long stems, each with its circumstance.
fn with_lines(lines: &[(f64, Option<bool>)]) -> KnowledgeBase {
    let mut base = small::base();
    let cause = base.causes.get_mut("stale-air").expect("it is there");
    let long_stems = Finding::Sign(SignId::new("long-stems").expect("an id"));
    let place = cause
        .shows
        .iter()
        .position(|shows| shows.finding == long_stems);
    let line = cause.shows.remove(place.expect("it shows long stems"));
    for &(share, holds) in lines {
        let setup = Proposition::Setup(SetupId::new("top-fruited").expect("an id"));
        let only_if = holds.map(|holds| {
            Condition::Literal(Literal {
                proposition: setup,
                holds,
            })
        });
        cause.shows.push(Shows {
            share,
            only_if,
            ..line.clone()
        });
    }
    base
}

fn sure(base: &KnowledgeBase, top_fruited: Option<bool>) -> f64 {
    let mut told = Observations::default();
    told.signs
        .insert(SignId::new("long-stems").expect("an id"), Answer::Yes);
    if let Some(holds) = top_fruited {
        told.setup
            .insert(SetupId::new("top-fruited").expect("an id"), holds);
    }
    let weighing = Reasoner::new(base, System::Metric).weighing(&told);
    let cause = weighing
        .causes
        .iter()
        .find(|cause| cause.id.as_str() == "stale-air");
    cause.expect("it was weighed").confidence
}

/// Two lines for the two sides of a circumstance that nobody told are no two ways of bringing the sign about.
#[test]
fn of_several_lines_of_one_cause_the_strongest_in_force_counts() {
    let both = with_lines(&[(0.3, Some(true)), (0.8, Some(false))]);
    let (weak, strong) = (with_lines(&[(0.3, None)]), with_lines(&[(0.8, None)]));
    assert_eq!(sure(&both, None), sure(&strong, None));
    assert_eq!(sure(&both, Some(false)), sure(&strong, Some(false)));
    assert_eq!(sure(&both, Some(true)), sure(&weak, Some(true)));
    assert!(sure(&weak, None) < sure(&strong, None));
}
