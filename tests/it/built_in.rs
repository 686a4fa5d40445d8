//! What the built-in knowledge must hold: no fault, grounds for every number, wide enough, complete where people can
//! be hurt.

use std::collections::BTreeSet;

use blockside::engine::diagnosis::Verdict;
use blockside::engine::id::SignId;
use blockside::engine::knowledge::{Cause, Finding, Grounds, KnowledgeBase, Severity};
use blockside::engine::observations::{Answer, Observations};
use blockside::engine::quantity::System;
use blockside::engine::reasoner::Reasoner;
use blockside::engine::wording::finding_id;
use blockside::knowledge::build::build;
use blockside::knowledge::embedded;
use blockside::report::problems::{Look, render_all};

#[test]
fn the_built_in_knowledge_has_no_problem_at_all() {
    let files = embedded::files();
    let found = build(&files).problems;
    assert!(
        found.is_empty(),
        "{}",
        render_all(&found, &files, Look::Plain)
    );
}

#[test]
fn the_base_carried_along_is_the_one_its_files_give() {
    assert_eq!(embedded::base(), build(&embedded::files()).base);
}

#[test]
fn the_built_in_knowledge_is_as_wide_as_promised() {
    let base = embedded::base();
    let links: usize = base
        .causes
        .values()
        .map(|cause| cause.shows.len() + cause.raised_by.len())
        .sum();
    for (what, least, found) in [
        ("species", 8, base.species.len()),
        ("causes", 40, base.causes.len()),
        ("signs", 100, base.signs.len()),
        ("rules", 250, links + base.rules.len()),
        ("actions", 40, base.actions.len()),
        ("cautions", 25, base.cautions.len()),
    ] {
        assert!(found >= least, "{found} {what}");
    }
}

/// Everything that needs grounds, with a name for it.
fn grounds(base: &KnowledgeBase) -> Vec<(String, &Grounds)> {
    let mut all: Vec<(String, &Grounds)> = Vec::new();
    let scale = &base.scale;
    for (word, level) in scale
        .frequency
        .iter()
        .chain(&scale.base_rate)
        .chain(&scale.effort)
    {
        all.push((format!("word {word}"), &level.grounds));
    }
    for (word, level) in &scale.confidence {
        all.push((format!("confidence {word}"), &level.grounds));
    }
    macro_rules! entries {
        ($($map:ident),*) => {$(
            for (id, entry) in &base.$map {
                all.push((format!(concat!(stringify!($map), " {}"), id), &entry.grounds));
            }
        )*};
    }
    entries!(
        stages, readings, setup, people, species, signs, causes, facts, rules, actions, cautions
    );
    for (id, species) in &base.species {
        all.extend(
            species
                .limits
                .iter()
                .map(|one| (format!("{id}: limit of {}", one.reading), &one.grounds)),
        );
        all.extend(
            species
                .normal
                .iter()
                .map(|one| (format!("{id}: look {}", one.sign), &one.grounds)),
        );
    }
    for (id, cause) in &base.causes {
        all.extend(cause.shows.iter().map(|one| {
            (
                format!("{id} shows {}", finding_id(&one.finding)),
                &one.grounds,
            )
        }));
        all.extend(
            cause
                .raised_by
                .iter()
                .map(|one| (format!("{id} raised by {:?}", one.when), &one.grounds)),
        );
        all.extend(
            cause
                .roots
                .iter()
                .map(|one| (format!("{id} root {}", one.cause), &one.grounds)),
        );
    }
    for (id, action) in &base.actions {
        all.extend(
            action
                .rules
                .iter()
                .map(|one| (format!("action {id}"), &one.grounds)),
        );
    }
    for (id, caution) in &base.cautions {
        all.extend(
            caution
                .rules
                .iter()
                .map(|one| (format!("caution {id}"), &one.grounds)),
        );
    }
    all
}

#[test]
fn every_number_stands_on_a_source_or_a_judgement() {
    let base = embedded::base();
    let all = grounds(&base);
    assert!(all.len() > 700, "{}", all.len());
    for (what, grounds) in all {
        let reasoned = grounds
            .judgement
            .as_ref()
            .is_some_and(|text| text.split_whitespace().count() >= 3);
        assert!(
            reasoned || !grounds.sources.is_empty(),
            "{what} stands on nothing"
        );
        for cite in &grounds.sources {
            assert!(
                base.sources.contains_key(&cite.source),
                "{what}: {}",
                cite.source
            );
        }
    }
    // The engine's numbers do not keep their grounds; their entries are looked at as written.
    let mut numbers = 0;
    for file in embedded::files() {
        let table: toml::Table = file.text.parse().expect("it was built in");
        let list = table.get("number").and_then(toml::Value::as_array);
        for number in list.into_iter().flatten() {
            let grounded = number.get("sources").or(number.get("judgement"));
            assert!(grounded.is_some(), "{number}");
            numbers += 1;
        }
    }
    assert_eq!(numbers, blockside::engine::knowledge::Numbers::RANGES.len());
}

#[test]
fn what_protects_people_is_complete() {
    let base = embedded::base();
    let mut stops = 0;
    let named: BTreeSet<&str> = base
        .causes
        .values()
        .flat_map(|cause| cause.cautions.iter().map(|id| id.as_str()))
        .collect();
    for (id, caution) in &base.cautions {
        let grounded = !caution.grounds.sources.is_empty() || caution.grounds.judgement.is_some();
        let raised = !caution.rules.is_empty() || named.contains(id.as_str());
        assert!(raised, "nothing raises {id}");
        if caution.severity == Severity::Stop {
            assert!(grounded && !caution.defer_to.trim().is_empty(), "{id}");
            stops += 1;
        }
    }
    let at_risk = base.people.iter().filter(|(_, one)| one.special_risk);
    let mut risks = 0;
    for (id, person) in at_risk {
        let grounded = !person.grounds.sources.is_empty() || person.grounds.judgement.is_some();
        assert!(grounded, "{id}");
        risks += 1;
    }
    assert!(stops >= 3 && risks >= 3, "{stops} {risks}");
    let lines = base
        .cautions
        .values()
        .filter(|one| one.special_risk.is_some());
    assert!(lines.count() >= 3);
}

#[test]
fn every_look_alike_is_told_apart_by_what_one_alone_shows() {
    let base = embedded::base();
    // Whatever the species: how one species answers does not tell causes apart in another.
    let shows =
        |cause: &Cause, finding: &Finding| cause.general().any(|one| one.finding == *finding);
    let mut pairs = 0;
    for (id, cause) in &base.causes {
        for pair in &cause.look_alikes {
            let other = &base.causes[&pair.cause];
            let by = &pair.told_apart_by;
            assert_ne!(
                shows(cause, by),
                shows(other, by),
                "{id} and {}",
                pair.cause
            );
            pairs += 1;
        }
    }
    assert!(pairs >= 20, "{pairs}");
}

/// Once marking "none at all" among the numbers of pins denied "only a few", and so spoke against all that lets few come.
#[test]
fn that_something_is_missing_which_cannot_be_there_says_nothing() {
    let base = embedded::base();
    let reasoner = Reasoner::new(&base, System::Metric);
    let weighed = |signs: &[(&str, Answer)]| {
        let mut told = Observations::default();
        for (id, answer) in signs {
            told.signs
                .insert(SignId::new(id).expect("a kebab-case id"), *answer);
        }
        let causes = reasoner.diagnose(&told).causes;
        causes
            .into_iter()
            .map(|cause| (cause.id, cause.confidence))
            .collect::<Vec<_>>()
    };
    let none = weighed(&[("no-pins", Answer::Yes)]);
    assert!(!none.is_empty());
    let few_denied = weighed(&[("no-pins", Answer::Yes), ("few-pins", Answer::No)]);
    assert_eq!(few_denied, none);
    // Where there are pins, it does.
    let some = weighed(&[("pins-die-all", Answer::Yes)]);
    let many = weighed(&[
        ("pins-die-all", Answer::Yes),
        ("no-pins", Answer::No),
        ("few-pins", Answer::No),
    ]);
    assert_ne!(many, some);
}

#[test]
fn what_nobody_could_tell_is_no_verdict() {
    let base = embedded::base();
    let reasoner = Reasoner::new(&base, System::Metric);
    for sign in base.signs.keys().step_by(7) {
        let mut told = Observations::default();
        told.signs.insert(sign.clone(), Answer::Unsure);
        let verdict = reasoner.diagnose(&told).verdict;
        assert!(
            !matches!(verdict, Verdict::NothingWrong | Verdict::Decided),
            "{sign}: {verdict:?}"
        );
    }
}
