//! Stated confidence against what was the case: over cases drawn from the model, and over case files.

use std::fmt::Write as _;

use blockside::engine::id::CauseId;
use blockside::engine::knowledge::Map;
use blockside::engine::quantity::System;
use blockside::engine::reasoner::Reasoner;
use blockside::journal::case;
use blockside::knowledge::embedded;
use blockside::train::score::{Judged, Score, score};
use blockside::train::simulate::{Drawn, Wish, simulate};
use serde_json::Value;

use crate::coverage::keeps_to_schema;
use crate::world::{Ran, World};

/// The cases of this wish, judged with the knowledge as it is.
fn judged(reasoner: &Reasoner<'_>, wish: Wish) -> Vec<Judged> {
    let drawn = simulate(reasoner, wish).cases;
    assert_eq!(drawn.len(), wish.cases);
    let judge = |case: &Drawn| Judged {
        name: String::new(),
        stated: reasoner.stated(&case.observations),
        wanted: case.present.clone(),
        missed: None,
    };
    drawn.iter().map(judge).collect()
}

fn table(score: &Score) -> String {
    let mut rows = String::new();
    for bin in &score.bins {
        writeln!(
            rows,
            "{:.1} to {:.1}: {} stated, mean {:.3}, observed {:.3}, chance leaves {:.3} to {:.3}",
            bin.from,
            bin.to,
            bin.count,
            bin.stated,
            bin.observed,
            bin.expected_low,
            bin.expected_high
        )
        .expect("a string takes it");
    }
    rows
}

/// A bin is well filled from this many statements on.
const WELL_FILLED: usize = 50;

#[test]
fn stated_confidence_is_what_comes_true_in_cases_drawn_from_the_model() {
    let base = embedded::base();
    let reasoner = Reasoner::new(&base, System::Metric);
    let wish = Wish {
        cases: 800,
        seed: 1,
        off_by: 1.0,
    };
    let found = score(&judged(&reasoner, wish));
    insta::assert_snapshot!("reliability", table(&found));
    let filled: Vec<_> = found
        .bins
        .iter()
        .filter(|bin| bin.count >= WELL_FILLED)
        .collect();
    assert!(filled.len() >= 5, "too few to judge by");
    for bin in filled {
        assert!(bin.within(), "{bin:?}");
    }
}

#[test]
fn strengths_off_by_up_to_two_leave_the_confidence_near_what_comes_true() {
    let base = embedded::base();
    let reasoner = Reasoner::new(&base, System::Metric);
    let wish = Wish {
        cases: 400,
        seed: 1,
        off_by: 2.0,
    };
    let found = score(&judged(&reasoner, wish));
    insta::assert_snapshot!("reliability_off_by_two", table(&found));
    // judgement: a stated 60 % that is 50 or 70 % in truth still serves to choose what to do.
    assert!(found.calibration_error.value < 0.1, "{found:?}");
}

#[test]
fn a_seed_gives_the_same_cases_and_another_seed_others() {
    let base = embedded::base();
    let reasoner = Reasoner::new(&base, System::Metric);
    let draw = |seed| {
        let wish = Wish {
            cases: 20,
            seed,
            off_by: 1.0,
        };
        simulate(&reasoner, wish)
    };
    let (one, again, other) = (draw(7), draw(7), draw(8));
    assert_eq!(one, again);
    assert_ne!(one.cases, other.cases);
    for case in &one.cases {
        assert!(case.observations.species.as_ref() != base.default_species());
        assert!(case.observations.readings.is_empty());
    }
}

/// A simulator that drew by another rule than the network reckons with would still look plausible; its frequencies
/// must be the priors.
#[test]
fn causes_are_drawn_as_often_as_they_are_common() {
    let base = embedded::base();
    let reasoner = Reasoner::new(&base, System::Metric);
    let wish = Wish {
        cases: 4000,
        seed: 3,
        off_by: 1.0,
    };
    let drawn = simulate(&reasoner, wish);
    // Few draws are dropped, so that the cases kept are near the draws.
    assert!(drawn.dropped * 10 < wish.cases, "{}", drawn.dropped);
    let mut counts: Map<CauseId, usize> = Map::default();
    for cause in drawn.cases.iter().flat_map(|case| &case.present) {
        *counts.entry(cause.clone()).or_default() += 1;
    }
    let mut compared = 0;
    for (id, cause) in &base.causes {
        let everywhere = cause.only_if.is_none() && cause.raised_by.is_empty();
        if !everywhere || cause.base_rate < 0.01 || !cause.roots.is_empty() {
            continue;
        }
        if let Some(&count) = counts.get(id) {
            let share = count as f64 / wish.cases as f64;
            let error = (cause.base_rate * (1.0 - cause.base_rate) / wish.cases as f64).sqrt();
            // Dropping cases favours causes that are seen; five standard errors and a twentieth leave room for that.
            let room = 5.0 * error + 0.05 * cause.base_rate;
            assert!(
                (share - cause.base_rate).abs() < room,
                "{id}: {share} for {}",
                cause.base_rate
            );
            compared += 1;
        }
    }
    assert!(compared >= 5, "{compared}");
}

#[test]
fn a_base_without_species_is_scored_as_well() {
    let world = World::new();
    let mut command = world.bare();
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/other-trade");
    command.arg("--knowledge-only").arg(folder);
    command.args([
        "knowledge",
        "score",
        "--simulated",
        "50",
        "--format",
        "json",
    ]);
    let ran = Ran::of(command);
    assert_eq!(ran.status, 0, "{}", ran.err);
    let report: Value = serde_json::from_str(&ran.out).expect("JSON");
    assert_eq!(report["cases"], 50);
}

#[test]
fn what_is_scored_is_what_a_diagnosis_reports() {
    let base = embedded::base();
    let reasoner = Reasoner::new(&base, System::Metric);
    let mut compared = 0;
    for file in embedded::published_cases() {
        let Ok(case) = case::parse(&base, &file.name, &file.text) else {
            continue;
        };
        let reported: Vec<(CauseId, f64)> = reasoner
            .diagnose(&case.observations)
            .causes
            .into_iter()
            .map(|cause| (cause.id, cause.confidence))
            .collect();
        assert_eq!(
            reasoner.stated(&case.observations),
            reported,
            "{}",
            file.name
        );
        compared += 1;
    }
    assert!(compared > 60, "{compared}");
}

#[test]
fn the_command_scores_a_folder_and_gives_the_reason_of_a_miss() {
    let world = World::new();
    world.file(
        "hit.toml",
        "schema = \"blockside.case/1\"\n[signs]\nlong-stems = \"yes\"\n[expect]\nleads = [\"stale-air\", \"too-dark\"]\n",
    );
    world.file(
        "miss.toml",
        "schema = \"blockside.case/1\"\n[signs]\nlong-stems = \"yes\"\n[expect]\nleads = [\"green-mould\"]\nmissed = \"Made up to be missed.\"\n",
    );
    let run = |args: &[&str]| {
        let mut command = world.bare();
        command.arg("knowledge").arg("score").args(args);
        Ran::of(command)
    };
    let ran = run(&[".", "--format", "json"]);
    assert_eq!(ran.status, 0, "{}", ran.err);
    let report: Value = serde_json::from_str(&ran.out).expect("JSON");
    assert_eq!(report["schema"], "blockside.score/1");
    keeps_to_schema("score", &report);
    assert_eq!(report["cases"], 2);
    assert_eq!(report["leads"]["value"], 0.5);
    assert_eq!(report["misses"][0]["case"], "miss");
    assert_eq!(report["misses"][0]["missed"], "Made up to be missed.");
    assert!(run(&["."]).out.contains("Made up to be missed."));
    assert!(report.get("without").is_none() && report.get("statements").is_none());
    let off = run(&[".", "--off-by", "2", "--seed", "5", "--format", "json"]);
    let off: Value = serde_json::from_str(&off.out).expect("JSON");
    assert_eq!(off["origin"]["files"]["off_by"], 2.0);
    assert_ne!(
        off["brier"], report["brier"],
        "other strengths say something else"
    );
    world.file(
        "faulty.toml",
        "schema = \"blockside.case/1\"\n[signs]\nno-such-sign = \"yes\"\n",
    );
    run(&["."]).refused(3, &["no-such-sign"]);
    run(&["nowhere"]).refused(3, &["nowhere"]);
    for wrong in [
        &["--simulated", "0"][..],
        &["--simulated", "5", "."],
        &["--simulated", "5", "--off-by", "0.5"],
        &["--simulated", "5", "--off-by", "nan"],
    ] {
        assert_eq!(run(wrong).status, 2, "{wrong:?}");
    }
}

/// The two sums must come to what the list of causes says, and a cause that is gone must not lead.
#[test]
fn each_cause_is_taken_out_of_the_book_in_turn() {
    let world = World::new();
    let case = |sign: &str, leads: &str| {
        format!(
            "schema = \"blockside.case/1\"\n[signs]\n{sign} = \"yes\"\n[expect]\nleads = [\"{leads}\"]\n"
        )
    };
    world.file("stretched.toml", case("long-stems", "stale-air"));
    world.file("green.toml", case("spot-green", "green-mould"));
    let ran = world.run(&[
        "knowledge",
        "score",
        ".",
        "--without-each",
        "--detail",
        "--format",
        "json",
    ]);
    let report: Value = serde_json::from_str(&ran.out).expect("JSON");
    keeps_to_schema("score", &report);
    let without = &report["without"];
    assert_eq!(without["own_cases"], 2);
    let causes = without["causes"].as_array().expect("a list");
    let own: Vec<&str> = causes
        .iter()
        .filter(|cause| cause["own_cases"] == 1)
        .map(|cause| cause["cause"].as_str().expect("an id"))
        .collect();
    assert_eq!(own, ["green-mould", "stale-air"]);
    let (before, after) = (&without["unknown_before"], &without["unknown_after"]);
    assert!(after.as_f64() > before.as_f64(), "{before} to {after}");
    let statements = report["statements"].as_array().expect("a list");
    let names: Vec<&str> = statements
        .iter()
        .map(|one| one["case"].as_str().expect("a name"))
        .collect();
    assert_eq!(names, ["green", "stretched"]);
    let text = world
        .run(&["knowledge", "score", ".", "--without-each"])
        .out;
    assert!(text.contains("taken out of the book in turn"), "{text}");
}
