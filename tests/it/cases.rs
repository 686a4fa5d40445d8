//! Every known case: what must lead, what must not, which root, which cautions and actions.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::fs;
use std::path::Path;

use blockside::engine::diagnosis::Diagnosis;
use blockside::engine::id::CauseId;
use blockside::engine::knowledge::{CauseKind, KnowledgeBase};
use blockside::engine::quantity::System;
use blockside::engine::reasoner::Reasoner;
use blockside::journal::case::{self, CaseFile, Expect};
use blockside::knowledge::embedded;

/// Cases written from one published description each; the folder below `fixtures/cases`.
const PUBLISHED: &str = "published/";

/// All cases under `fixtures/cases`, by name; the published ones with their folder before it.
fn cases(base: &KnowledgeBase) -> BTreeMap<String, CaseFile> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/cases");
    let mut cases = read_cases(base, &folder, "");
    cases.extend(read_cases(base, &folder.join(PUBLISHED), PUBLISHED));
    assert!(cases.len() > 40);
    cases
}

fn read_cases(base: &KnowledgeBase, folder: &Path, prefix: &str) -> BTreeMap<String, CaseFile> {
    let mut cases = BTreeMap::new();
    for entry in fs::read_dir(folder).expect("the cases are there") {
        let path = entry.expect("readable").path();
        if path.is_dir() {
            continue;
        }
        let stem = path.file_stem().expect("a name").to_string_lossy();
        let name = format!("{prefix}{stem}");
        let text = fs::read_to_string(&path).expect("text");
        let case = case::parse(base, &name, &text)
            .unwrap_or_else(|problems| panic!("{name}: {problems:#?}"));
        cases.insert(name, case);
    }
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
        Some(_) if expect.missed.is_some() => {
            // A case that is kept although it is missed: the right cause comes close, and never first unnoticed.
            match place(expect, found) {
                Some(0) => failures.push(format!("no longer missed; {seen:?}")),
                Some(1 | 2) => {}
                _ => failures.push(format!(
                    "{:?} is not in the first three; {seen:?}",
                    expect.leads
                )),
            }
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

/// How many causes stand before the right one.
fn place(expect: &Expect, found: &Diagnosis) -> Option<usize> {
    let mut causes = found.causes.iter();
    causes.position(|cause| expect.leads.contains(&cause.id))
}

#[test]
fn nine_of_ten_published_cases_come_out_right_and_none_is_far_off() {
    let base = embedded::base();
    let reasoner = Reasoner::new(&base, System::Metric);
    let published: Vec<(String, CaseFile)> = cases(&base)
        .into_iter()
        .filter(|(name, _)| name.starts_with(PUBLISHED))
        .collect();
    assert!(published.len() >= 60, "{} published cases", published.len());
    let mut right = 0;
    for (name, case) in &published {
        assert!(case.from.is_some(), "{name} says where it is from");
        let expect = case.expect.as_ref().expect("a known case");
        let found = reasoner.diagnose(&case.observations);
        if expect.leads.is_empty() {
            right += usize::from(found.causes.is_empty());
        } else {
            let place = place(expect, &found);
            right += usize::from(place == Some(0));
            assert!(place.is_some_and(|place| place < 3), "{name}: {place:?}");
        }
    }
    assert!(
        right * 10 >= published.len() * 9,
        "{right} of {}",
        published.len()
    );
}

#[test]
fn every_cause_loses_to_a_look_alike_somewhere() {
    let base = embedded::base();
    let reasoner = Reasoner::new(&base, System::Metric);
    let mut lost: BTreeSet<CauseId> = BTreeSet::new();
    for case in cases(&base).values() {
        let found = reasoner.diagnose(&case.observations);
        let expected = case.expect.iter().flat_map(|expect| &expect.leads);
        let Some(leader) = found
            .causes
            .first()
            .filter(|one| expected.clone().any(|id| *id == one.id))
        else {
            continue;
        };
        for (id, cause) in &base.causes {
            let taken_for = |one: &CauseId, other: &CauseId| {
                base.causes[one]
                    .look_alikes
                    .iter()
                    .any(|pair| pair.cause == *other)
            };
            let rival = *id != leader.id && cause.kind != CauseKind::Root;
            if rival && (taken_for(id, &leader.id) || taken_for(&leader.id, id)) {
                lost.insert(id.clone());
            }
        }
    }
    let missing: Vec<&CauseId> = base
        .causes
        .iter()
        .filter(|(_, cause)| cause.any_of.is_empty() && cause.kind != CauseKind::Root)
        .map(|(id, _)| id)
        .filter(|id| !lost.contains(*id))
        .collect();
    assert!(missing.is_empty(), "no look-alike leads before {missing:?}");
}

#[test]
fn every_caution_is_raised_in_a_case_and_no_mould_goes_without_one() {
    let base = embedded::base();
    let reasoner = Reasoner::new(&base, System::Metric);
    let cases = cases(&base);
    let expected = cases.values().filter_map(|case| case.expect.as_ref());
    let expected: BTreeSet<&str> = expected
        .flat_map(|expect| expect.cautions.iter().map(|id| id.as_str()))
        .collect();
    let missing: Vec<&str> = base
        .cautions
        .keys()
        .map(|id| id.as_str())
        .filter(|id| !expected.contains(id))
        .collect();
    assert!(missing.is_empty(), "no case raises {missing:?}");
    for (name, case) in &cases {
        let found = reasoner.diagnose(&case.observations);
        for cause in &found.causes {
            let entry = &base.causes[&cause.id];
            if entry.kind != CauseKind::Contaminant {
                continue;
            }
            assert!(!entry.cautions.is_empty(), "{} has cautions", cause.id);
            // From the suspicion on, well before it is concluded.
            let suspected = cause.confidence >= base.scale.numbers.suspect_at;
            let told = entry.cautions.iter();
            let mut raised = told.filter(|id| found.cautions.iter().any(|one| one.id == **id));
            assert!(
                !suspected || raised.next().is_some(),
                "{name}: {} is suspected and nothing is said",
                cause.id
            );
        }
    }
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

#[test]
fn rare_members_of_a_group_do_not_add_up_to_an_alarm() {
    let base = embedded::base();
    let text = "schema = \"blockside.case/1\"\n[signs]\nspot-on-block = \"yes\"\n";
    let case = case::parse(&base, "a spot", text).expect("a case");
    let found = Reasoner::new(&base, System::Metric).diagnose(&case.observations);
    assert!(!found.cautions.is_empty());
    let group = &base.causes["film-in-water-system"];
    assert!(group.any_of.len() > 2);
    for caution in &found.cautions {
        let because = caution.because.join("; ");
        assert!(!because.contains(&group.name), "{}: {because}", caution.id);
    }
}
