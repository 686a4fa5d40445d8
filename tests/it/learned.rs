//! What confirmed cases do to base rates: counting, and nothing else.

use blockside::engine::id::{CauseId, SignId};
use blockside::engine::knowledge::{CauseKind, KnowledgeBase, Map};
use blockside::engine::observations::{Answer, Observations};
use blockside::engine::quantity::System;
use blockside::engine::rates::{Counted, Rates, mean_after};
use blockside::engine::reasoner::Reasoner;
use blockside::journal::kept::{FollowUp, KeptCase};
use blockside::journal::learned::tally;
use blockside::knowledge::embedded;
use proptest::prelude::proptest;
use serde_json::Value;

use crate::cases_kept::{as_json, keep, run};
use crate::journal::case;
use crate::world::World;

fn id(text: &str) -> CauseId {
    CauseId::new(text).expect("an id")
}

fn leggy() -> Observations {
    let mut told = Observations::default();
    for sign in ["long-stems", "small-caps"] {
        told.signs
            .insert(SignId::new(sign).expect("an id"), Answer::Yes);
    }
    told
}

/// As if every cause had been found in so many of so many cases.
fn all_counted(base: &KnowledgeBase, found: u32, of: u32) -> Map<CauseId, Counted> {
    let counted = Counted { found, of };
    base.causes.keys().map(|id| (id.clone(), counted)).collect()
}

#[test]
fn rates_that_nobody_counted_change_no_bit_of_a_diagnosis() {
    let base = embedded::base();
    let shipped = Reasoner::new(&base, System::Metric);
    let counts = all_counted(&base, 0, 0);
    let personal = shipped.clone().with_rates(Rates::counted(&base, &counts));
    assert_eq!(shipped.diagnose(&leggy()), personal.diagnose(&leggy()));
}

// The oracle: the same rate written into the knowledge instead. It holds for every cause without roots at once.
#[test]
fn a_counted_rate_does_what_the_same_rate_in_the_knowledge_does() {
    let base = embedded::base();
    let stand_alone: Vec<CauseId> = base
        .causes
        .iter()
        .filter(|(id, cause)| {
            cause.kind != CauseKind::Root
                && cause.roots.is_empty()
                && cause.any_of.is_empty()
                && base.group_of(id).is_none()
        })
        .map(|(id, _)| id.clone())
        .collect();
    assert!(stand_alone.len() > 50);
    let mut counts: Map<CauseId, Counted> = Map::default();
    let mut written = base.clone();
    for (number, id) in stand_alone.iter().enumerate() {
        let counted = Counted {
            found: number as u32 % 4,
            of: 7,
        };
        counts.insert(id.clone(), counted);
        let rate = written.causes[id].base_rate;
        written.causes[id].base_rate = mean_after(rate, base.scale.numbers.pseudo_cases, counted);
    }
    let rates = Rates::counted(&base, &counts);
    let personal = Reasoner::new(&base, System::Metric)
        .with_rates(rates)
        .diagnose(&leggy());
    let oracle = Reasoner::new(&written, System::Metric).diagnose(&leggy());
    assert!(!personal.personal_rates.is_empty());
    let list = |diagnosis: &blockside::engine::diagnosis::Diagnosis| -> Vec<(CauseId, f64, f64)> {
        let causes = diagnosis.causes.iter();
        causes
            .map(|one| (one.id.clone(), one.confidence, one.beforehand))
            .collect()
    };
    for (one, other) in list(&personal).iter().zip(list(&oracle)) {
        assert_eq!(one.0, other.0);
        assert!((one.1 - other.1).abs() < 1e-12, "{one:?} {other:?}");
        assert!((one.2 - other.2).abs() < 1e-12, "{one:?} {other:?}");
    }
    assert_eq!(list(&personal).len(), list(&oracle).len());
}

#[test]
fn what_is_believed_beforehand_is_the_posterior_mean_for_a_condition_with_roots_too() {
    let base = embedded::base();
    let stale = id("stale-air");
    assert!(!base.causes[&stale].roots.is_empty());
    // Far below what its roots alone would bring about, and far above.
    for counted in [Counted { found: 0, of: 400 }, Counted { found: 3, of: 5 }] {
        let counts = Map::from_iter([(stale.clone(), counted)]);
        let rates = Rates::counted(&base, &counts);
        let found = Reasoner::new(&base, System::Metric)
            .with_rates(rates)
            .diagnose(&leggy());
        let Some(cause) = found.causes.iter().find(|cause| cause.id == stale) else {
            assert_eq!(counted.found, 0, "it is reported where it is common");
            continue;
        };
        let rate = base.causes[&stale].base_rate;
        let pseudo_cases = base.scale.numbers.pseudo_cases;
        let (a, b) = (rate * pseudo_cases, (1.0 - rate) * pseudo_cases);
        let (k, n) = (f64::from(counted.found), f64::from(counted.of));
        // Beta(a, b) becomes Beta(a + k, b + n - k); Gelman and others, Bayesian Data Analysis, section 2.4, from memory.
        let mean = (a + k) / ((a + k) + (b + n - k));
        assert!(
            (cause.beforehand - mean).abs() < 1e-12,
            "{}",
            cause.beforehand
        );
    }
}

proptest! {
    #[test]
    fn a_rate_moves_towards_what_was_counted_and_never_past_it(
        shipped in 0.001..0.999_f64, pseudo in 1.0..1000.0_f64, of in 0_u32..1000, share in 0.0..=1.0_f64,
    ) {
        let found = (f64::from(of) * share) as u32;
        let mean = mean_after(shipped, pseudo, Counted { found, of });
        let counted = if of == 0 { shipped } else { f64::from(found) / f64::from(of) };
        assert!(mean >= shipped.min(counted) - 1e-12 && mean <= shipped.max(counted) + 1e-12);
        // Two halves counted one after the other come to the same.
        let half = Counted { found: found / 2, of: of / 2 };
        let rest = Counted { found: found - half.found, of: of - half.of };
        let first = mean_after(shipped, pseudo, half);
        let second = mean_after(first, pseudo + f64::from(half.of), rest);
        assert!((second - mean).abs() < 1e-12);
    }
}

fn confirmed(base: &KnowledgeBase, number: usize, found: &[&str]) -> KeptCase {
    let mut case = case(base, "2026-03-04T05:06:07+01:00");
    case.kept.id = format!("20260304-{number:02}");
    let follow_up = FollowUp {
        at: case.kept.at,
        outcome: None,
        found: found.iter().map(|id| (*id).to_owned()).collect(),
        out_of_question: Vec::new(),
        not_done: Vec::new(),
        note: None,
        signs: Map::default(),
        readings: Map::default(),
        diagnosis: case.kept.diagnosis.clone(),
    };
    case.kept.follow_ups.push(follow_up);
    case
}

#[test]
fn each_confirmed_case_is_one_trial_for_every_cause_that_could_have_been_found() {
    let base = embedded::base();
    let (root, condition) = base
        .causes
        .iter()
        .filter(|(_, cause)| cause.any_of.is_empty())
        .find_map(|(id, cause)| Some((cause.roots.first()?.cause.to_string(), id.to_string())))
        .expect("a condition with a root");
    let other = base
        .causes
        .iter()
        .find(|(id, cause)| {
            cause.kind != CauseKind::Root && cause.roots.is_empty() && id.as_str() != condition
        })
        .map(|(id, _)| id.to_string())
        .expect("another cause");
    let mut ruled_out = confirmed(&base, 4, &[&condition]);
    ruled_out.kept.follow_ups[0].out_of_question = vec![other.clone()];
    let cases = [
        confirmed(&base, 1, &[&root]),
        confirmed(&base, 2, &[&condition]),
        confirmed(&base, 3, &[&other]),
        ruled_out,
        // These say nothing of any cause.
        confirmed(&base, 5, &[]),
        confirmed(&base, 6, &["no-such-cause"]),
        case(&base, "2026-03-04T05:06:07+01:00"),
    ];
    let tally = tally(&base, &cases);
    let of = |word: &str| {
        let counted = tally.counts[&id(word)];
        (counted.found, counted.of)
    };
    assert_eq!(tally.cases.len(), 4);
    // A root found is its condition found; a condition found without a root tells nothing of its roots.
    assert_eq!(of(&condition), (3, 4));
    assert_eq!(of(&root), (1, 2));
    assert_eq!(of(&other), (1, 3));
    assert_eq!(
        tally.found_in(&id(&condition)),
        ["20260304-01", "20260304-02", "20260304-04"]
    );
}

#[test]
fn the_latest_word_on_what_it_was_counts_and_only_once() {
    let base = embedded::base();
    let mut case = confirmed(&base, 1, &["stale-air"]);
    let mut later = confirmed(&base, 1, &["too-dark"]).kept.follow_ups;
    case.kept.follow_ups.append(&mut later);
    let mut unsure = confirmed(&base, 1, &[]).kept.follow_ups;
    case.kept.follow_ups.append(&mut unsure);
    let tally = tally(&base, &[case]);
    let of = |word: &str| tally.counts[&id(word)];
    assert_eq!(of("too-dark"), Counted { found: 1, of: 1 });
    assert_eq!(of("stale-air"), Counted { found: 0, of: 1 });
}

const LEGGY: &[&str] = &["diagnose", "--sign", "long-stems", "--sign", "small-caps"];

fn rate<'v>(learned: &'v Value, cause: &str) -> &'v Value {
    let rates = learned["rates"].as_array().expect("a list");
    rates
        .iter()
        .find(|rate| rate["cause"] == cause)
        .expect("it is there")
}

#[test]
fn learning_is_shown_used_named_in_the_report_and_can_be_switched_off() {
    let world = World::new();
    let before = run(&world, LEGGY);
    let shipped = as_json(&world, LEGGY);
    assert!(shipped.get("personal_rates").is_none());
    let mut ids = Vec::new();
    for _ in 0..3 {
        ids.push(keep(&world, &LEGGY[1..]));
    }
    // Kept, and even closed: as long as nobody says what it was, nothing is learned.
    run(&world, &["follow-up", &ids[2], "--outcome", "worked"]);
    assert_eq!(run(&world, LEGGY).out, before.out);
    for id in &ids[..2] {
        let ran = run(&world, &["follow-up", id, "--found", "too-dark"]);
        assert_eq!(ran.status, 0, "{}", ran.err);
    }
    let learned = as_json(&world, &["cases", "learned"]);
    let dark = rate(&learned, "too-dark");
    let base = embedded::base();
    let rate_shipped = base.causes[&id("too-dark")].base_rate;
    let counted = Counted { found: 2, of: 2 };
    let mean = mean_after(rate_shipped, base.scale.numbers.pseudo_cases, counted);
    assert!((dark["used"].as_f64().expect("a number") - mean).abs() < 1e-6);
    assert_eq!(dark["found_in"], serde_json::json!(ids[..2]));

    let text = run(&world, LEGGY).out;
    assert!(
        text.contains("Your own confirmed cases count here"),
        "{text}"
    );
    let personal = as_json(&world, LEGGY);
    let used = personal["personal_rates"].as_array().expect("a list");
    let dark = used
        .iter()
        .find(|rate| rate["cause"] == "too-dark")
        .expect("it is named");
    assert_eq!(
        (dark["found"].as_u64(), dark["of"].as_u64()),
        (Some(2), Some(2))
    );
    let found = |diagnosis: &Value, key: &str| {
        let causes = diagnosis["causes"].as_array().expect("a list");
        let cause = causes.iter().find(|cause| cause["id"] == "too-dark");
        cause.expect("it is reported")[key]
            .as_f64()
            .expect("a number")
    };
    assert!((found(&personal, "beforehand") - mean).abs() < 1e-6);
    assert!(found(&personal, "confidence") > found(&shipped, "confidence"));
    // One explanation, one rate: `why` reasons with the same.
    let why = as_json(
        &world,
        &[
            "why",
            "too-dark",
            "--sign",
            "long-stems",
            "--sign",
            "small-caps",
        ],
    );
    assert_eq!(
        why["confidence"].as_f64(),
        Some(found(&personal, "confidence"))
    );
    assert_eq!(why["personal_rate"]["found"], 2);
    let said = run(&world, &["why", "too-dark", "--sign", "long-stems"]).out;
    let flat = said.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(flat.contains("found in 2 of 2 cases"), "{said}");

    assert_eq!(run(&world, &["cases", "learned", "--off"]).status, 0);
    assert_eq!(run(&world, LEGGY).out, before.out);
    assert_eq!(as_json(&world, &["cases", "learned"])["on"], false);
    assert_eq!(run(&world, &["cases", "learned", "--on"]).status, 0);
    assert_eq!(run(&world, LEGGY).out, text);
}

#[test]
fn a_switch_that_cannot_be_understood_counts_as_off() {
    let world = World::new();
    let before = run(&world, LEGGY).out;
    let id = keep(&world, &LEGGY[1..]);
    run(&world, &["follow-up", &id, "--found", "too-dark"]);
    let path = world.home.path().join("home/learning.toml");
    for text in [
        "",
        "on = true",
        "schema = \"blockside.learning/2\"\non = true\n",
    ] {
        std::fs::write(&path, text).expect("written");
        assert_eq!(run(&world, LEGGY).out, before, "{text:?}");
    }
}
