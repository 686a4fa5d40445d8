//! Every known case: what must lead, what must not, which root, which cautions and actions.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::fs;
use std::path::Path;

use blockside::engine::diagnosis::Diagnosis;
use blockside::engine::knowledge::{CauseKind, KnowledgeBase};
use blockside::engine::quantity::System;
use blockside::engine::reasoner::Reasoner;
use blockside::journal::case::{self, CaseFile};
use blockside::knowledge::embedded;

/// All cases under `fixtures/cases`, by name.
fn cases(base: &KnowledgeBase) -> BTreeMap<String, CaseFile> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/cases");
    let mut cases = BTreeMap::new();
    for entry in fs::read_dir(folder).expect("the cases are there") {
        let path = entry.expect("readable").path();
        let name = path
            .file_stem()
            .expect("a name")
            .to_string_lossy()
            .into_owned();
        let text = fs::read_to_string(&path).expect("text");
        let case = case::parse(base, &name, &text)
            .unwrap_or_else(|problems| panic!("{name}: {problems:#?}"));
        cases.insert(name, case);
    }
    assert!(cases.len() > 40);
    cases
}

/// What a case expects and does not get, one line each.
fn failures(base: &KnowledgeBase, name: &str, case: &CaseFile, found: &Diagnosis) -> Vec<String> {
    let expect = case
        .expect
        .as_ref()
        .unwrap_or_else(|| panic!("{name} says what it expects"));
    let mut failures = Vec::new();
    let seen: Vec<String> = found
        .causes
        .iter()
        .take(4)
        .map(|cause| format!("{} {:.2}", cause.id, cause.confidence))
        .collect();
    let conclude_at = base.scale.numbers.conclude_at;
    match found.causes.first() {
        None if expect.leads.is_empty() => {}
        None => failures.push(format!("nothing leads; wanted {:?}", expect.leads)),
        Some(leader) if expect.leads.is_empty() => {
            failures.push(format!(
                "{} leads though nothing should; {seen:?}",
                leader.id
            ));
        }
        Some(leader) if !expect.leads.contains(&leader.id) => {
            failures.push(format!("wanted {:?} to lead; {seen:?}", expect.leads));
        }
        Some(leader) => {
            if let Some(root) = &expect.root {
                let first = leader.roots.first().map(|root| &root.id);
                if first != Some(root) {
                    let roots: Vec<String> = leader
                        .roots
                        .iter()
                        .map(|root| format!("{} {:.2}", root.id, root.confidence))
                        .collect();
                    failures.push(format!("wanted the root {root}; {roots:?}"));
                }
            }
        }
    }
    for cause in &expect.among {
        if !found.causes.iter().any(|one| one.id == *cause) {
            failures.push(format!("{cause} is not reported; {seen:?}"));
        }
    }
    for cause in &expect.not {
        if found
            .causes
            .iter()
            .any(|one| one.id == *cause && one.confidence >= conclude_at)
        {
            failures.push(format!("{cause} is concluded; {seen:?}"));
        }
    }
    for caution in &expect.cautions {
        if !found.cautions.iter().any(|one| one.id == *caution) {
            failures.push(format!("the caution {caution} is not raised"));
        }
    }
    for action in &expect.actions {
        if !found.actions.iter().any(|one| one.id == *action) {
            failures.push(format!("the action {action} is not due"));
        }
    }
    failures
}

#[test]
fn every_known_case_comes_out_as_it_must() {
    let base = embedded::base();
    let reasoner = Reasoner::new(&base, System::Metric);
    let mut report = String::new();
    for (name, case) in cases(&base) {
        let found = reasoner.diagnose(&case.observations);
        for failure in failures(&base, &name, &case, &found) {
            writeln!(report, "{name}: {failure}").expect("a string takes it");
        }
    }
    assert!(report.is_empty(), "\n{report}");
}

#[test]
fn every_cause_leads_in_a_case_and_every_root_stands_behind_one() {
    let base = embedded::base();
    let cases = cases(&base);
    let missing: Vec<String> = base
        .causes
        .iter()
        .filter(|(_, cause)| cause.any_of.is_empty())
        .filter(|(id, cause)| {
            !cases
                .values()
                .filter_map(|case| case.expect.as_ref())
                .any(|expect| {
                    if cause.kind == CauseKind::Root {
                        expect.root.as_ref() == Some(*id)
                    } else {
                        expect.leads.contains(id)
                    }
                })
        })
        .map(|(id, _)| id.to_string())
        .collect();
    assert!(missing.is_empty(), "no case for {missing:?}");
}

#[test]
fn every_look_alike_has_a_case_where_it_must_not_be_concluded() {
    let base = embedded::base();
    let cases = cases(&base);
    let missing: Vec<String> = base
        .causes
        .iter()
        .filter(|(_, cause)| cause.any_of.is_empty() && cause.kind != CauseKind::Root)
        .filter(|(_, cause)| !cause.look_alikes.is_empty())
        .filter(|(id, _)| {
            let own = |case: &&CaseFile| {
                case.expect
                    .as_ref()
                    .is_some_and(|expect| expect.leads.contains(id))
            };
            !cases.values().filter(own).any(|case| {
                case.expect
                    .as_ref()
                    .is_some_and(|expect| !expect.not.is_empty())
            })
        })
        .map(|(id, _)| id.to_string())
        .collect();
    assert!(
        missing.is_empty(),
        "no look-alike is kept out in the cases of {missing:?}"
    );
}

/// Which cause is reported in which case: a change of one rule shows all it touches.
#[test]
fn which_cause_shows_up_where() {
    let base = embedded::base();
    let reasoner = Reasoner::new(&base, System::Metric);
    let mut rows = String::new();
    for (name, case) in cases(&base) {
        let found = reasoner.diagnose(&case.observations);
        let causes: Vec<String> = found
            .causes
            .iter()
            .map(|cause| format!("{} {:.2}", cause.id, cause.confidence))
            .collect();
        writeln!(rows, "{name}: {}", causes.join(", ")).expect("a string takes it");
    }
    insta::assert_snapshot!("which_cause_shows_up_where", rows);
}

#[test]
fn the_order_of_answers_does_not_matter() {
    let base = embedded::base();
    let reasoner = Reasoner::new(&base, System::Metric);
    for (name, case) in cases(&base) {
        let told = &case.observations;
        let mut turned = told.clone();
        turned.signs.reverse();
        turned.readings.reverse();
        turned.setup.reverse();
        turned.people.reverse();
        let (one, other) = (reasoner.diagnose(told), reasoner.diagnose(&turned));
        assert_eq!(one, other, "{name}");
    }
}

#[test]
fn a_case_written_and_read_again_is_the_same() {
    let base = embedded::base();
    for (name, case) in cases(&base) {
        let written = case::to_toml(&base, &case);
        let again = case::parse(&base, &name, &written)
            .unwrap_or_else(|problems| panic!("{name}: {problems:#?}\n{written}"));
        // Tables of a file have no order of their own.
        let sorted = |mut case: CaseFile| {
            case.observations.signs.sort_keys();
            case.observations.readings.sort_keys();
            case.observations.people.sort_keys();
            for measured in case.observations.readings.values_mut() {
                // Widths are multiplied and divided by the root of three on the way.
                measured.tolerance = measured.tolerance.map(|width| (width * 1e9).round() / 1e9);
            }
            case
        };
        assert_eq!(sorted(again), sorted(case), "{name}");
    }
}
