//! The journal on disk: what is kept stays kept, whatever comes between.

use std::fs;
use std::path::Path;

use blockside::engine::id::{ActionId, SignId};
use blockside::engine::knowledge::KnowledgeBase;
use blockside::engine::observations::{Answer, Observations};
use blockside::engine::quantity::System;
use blockside::engine::reasoner::Reasoner;
use blockside::journal::due::time_has_come;
use blockside::journal::kept::{Done, FollowUp, KeptCase, Outcome, State};
use blockside::journal::moment::Moment;
use blockside::journal::recalled::recall;
use blockside::journal::store::read::{Fault, from_table, parse};
use blockside::journal::store::{BroughtIn, Store, StoreError, is_id};
use blockside::knowledge::problem::ProblemCode;
use proptest::prelude::{any, proptest};
use tempfile::TempDir;

use crate::broken;
use crate::small;

/// A case of the small knowledge base, kept at this moment.
pub fn case(base: &KnowledgeBase, at: &str) -> KeptCase {
    let mut told = Observations::default();
    let sign = SignId::new("long-stems").expect("an id");
    told.signs.insert(sign, Answer::Yes);
    let diagnosis = Reasoner::new(base, System::Metric).diagnose(&told);
    KeptCase::new(base, &told, &diagnosis, None, at.parse().expect("a moment"))
}

fn noted(case: &KeptCase, at: &str) -> FollowUp {
    FollowUp {
        at: at.parse().expect("a moment"),
        outcome: None,
        found: Vec::new(),
        out_of_question: Vec::new(),
        not_done: Vec::new(),
        note: None,
        signs: Default::default(),
        readings: Default::default(),
        diagnosis: case.kept.diagnosis.clone(),
    }
}

fn journal() -> (TempDir, Store) {
    let folder = tempfile::tempdir().expect("a folder");
    let store = Store::within(folder.path());
    (folder, store)
}

fn names(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> = fs::read_dir(folder)
        .expect("a folder")
        .map(|entry| entry.expect("readable").file_name().into_string())
        .map(|name| name.expect("a plain name"))
        .collect();
    names.sort();
    names
}

#[test]
fn what_was_kept_is_read_back_and_its_observations_are_the_same() {
    let base = small::base();
    let (_folder, store) = journal();
    let mut told = Observations::default();
    for (id, answer) in [
        ("long-stems", Answer::Yes),
        ("small-caps", Answer::Unsure),
        ("caps-pale", Answer::No),
    ] {
        told.signs.insert(SignId::new(id).expect("an id"), answer);
    }
    let (reading, entry) = base.readings.get_index(0).expect("a reading");
    let measured = blockside::engine::quantity::Measured {
        value: entry.believable.0,
        tolerance: Some(1.5),
    };
    told.readings.insert(reading.clone(), measured);
    told.from_profile.insert(reading.to_string());
    let diagnosis = Reasoner::new(&base, System::Metric).diagnose(&told);
    let at: Moment = "2026-03-04T05:06:07+01:00".parse().expect("a moment");
    let profile = Some("tent.toml".to_owned());
    let case = KeptCase::new(&base, &told, &diagnosis, profile, at);
    let id = store.add(case).expect("kept");
    let kept = store.find("2026").expect("there");
    assert_eq!(kept.kept.id, id);
    assert_eq!(kept.kept.profile.as_deref(), Some("tent.toml"));
    let recalled = recall(&base, &kept).expect("it can be");
    assert_eq!(recalled.left_out, Vec::<String>::new());
    let back = recalled.observations;
    assert_eq!(
        (&back.signs, &back.from_profile),
        (&told.signs, &told.from_profile)
    );
    let tolerance = back.readings[reading].tolerance.expect("it was told");
    assert!((tolerance - 1.5).abs() < 1e-12, "{tolerance}");
}

#[test]
fn a_kept_case_is_a_case_file_too() {
    let base = small::base();
    let case = case(&base, "2026-03-04T05:06:07+01:00");
    let read = blockside::journal::case::parse(&base, "kept", &case.to_toml()).expect("a case");
    assert_eq!(
        read.observations,
        recall(&base, &case).expect("it can be").observations
    );
    assert!(!read.observations.is_empty());
}

#[cfg(unix)]
#[test]
fn nobody_but_the_owner_can_read_the_journal() {
    use std::os::unix::fs::PermissionsExt;
    let base = small::base();
    let (_folder, store) = journal();
    let id = store
        .add(case(&base, "2026-03-04T05:06:07+01:00"))
        .expect("kept");
    let mode = |path: &Path| {
        let found = fs::metadata(path).expect("there");
        found.permissions().mode() & 0o777
    };
    assert_eq!(mode(store.folder()), 0o700);
    for name in names(store.folder()) {
        assert_eq!(mode(&store.folder().join(&name)), 0o600, "{name}");
    }
    store.change(&id, |_| ()).expect("changed");
    assert_eq!(mode(&store.folder().join(format!("{id}.toml"))), 0o600);
}

#[test]
fn a_clock_that_was_set_back_loses_nothing_and_gives_no_name_twice() {
    let base = small::base();
    let (_folder, store) = journal();
    let mut ids = Vec::new();
    for at in [
        "2028-03-01T00:00:01+01:00",
        "2028-02-29T23:59:59+01:00",
        "2028-03-01T00:00:01+01:00",
        "1970-01-01T00:00:00+00:00",
        "2028-02-29T23:59:59-11:00",
    ] {
        ids.push(store.add(case(&base, at)).expect("kept"));
    }
    assert_eq!(
        ids,
        [
            "20280301-01",
            "20280229-01",
            "20280301-02",
            "19700101-01",
            "20280229-02"
        ]
    );
    let shelf = store.all().expect("readable");
    assert_eq!((shelf.cases.len(), shelf.faults.len()), (5, 0));
    // Seen from before it was kept, nothing is due; and nothing panics at the far ends of time.
    for now in [jiff::Timestamp::MIN, jiff::Timestamp::UNIX_EPOCH] {
        assert_eq!(time_has_come(&shelf.cases, now), []);
    }
    let _ = time_has_come(&shelf.cases, jiff::Timestamp::MAX);
}

#[test]
fn a_word_that_could_be_several_cases_is_not_guessed() {
    let base = small::base();
    let (_folder, store) = journal();
    for _ in 0..2 {
        store
            .add(case(&base, "2026-03-04T05:06:07+01:00"))
            .expect("kept");
    }
    assert_eq!(store.id_of("-02").expect("one"), "20260304-02");
    assert!(matches!(store.id_of("2026"), Err(StoreError::Several { ids, .. }) if ids.len() == 2));
    assert!(matches!(store.id_of("2027"), Err(StoreError::NoSuch(_))));
    for _ in 0..20 {
        store
            .add(case(&base, "2026-03-04T05:06:07+01:00"))
            .expect("kept");
    }
    let said = store.id_of("2026").expect_err("many").to_string();
    assert!(said.contains("20260304-06 and 16 more"), "{said}");
    for word in ["../cases/20260304-01", "", "20260304-01.toml", "/"] {
        assert!(store.find(word).is_err(), "{word:?}");
    }
}

#[test]
fn a_damaged_file_is_set_aside_as_it_was_and_its_name_is_not_given_again() {
    let base = small::base();
    let (_folder, store) = journal();
    let whole = case(&base, "2026-03-04T05:06:07+01:00");
    let id = store.add(whole.clone()).expect("kept");
    let path = store.folder().join(format!("{id}.toml"));
    let text = fs::read_to_string(&path).expect("readable");
    let cut = &text.as_bytes()[..text.len() - 20];
    for (number, bytes) in [cut, b"\xff\xfe", b"", b"schema = 1\n"]
        .into_iter()
        .enumerate()
    {
        fs::write(&path, bytes).expect("written");
        let shelf = store.all().expect("readable");
        assert_eq!((shelf.cases.len(), shelf.faults.len()), (0, 1), "{number}");
        let aside = shelf.faults[0].moved_to.as_ref().expect("it was moved");
        assert_eq!(fs::read(aside).expect("readable"), bytes, "{number}");
        assert!(!path.exists() && aside.starts_with(store.folder().join("damaged")));
    }
    assert_eq!(names(&store.folder().join("damaged")).len(), 4);
    assert_eq!(store.add(whole).expect("kept"), "20260304-02");
}

#[test]
fn a_case_of_a_newer_version_is_left_as_it_is() {
    let base = small::base();
    let (_folder, store) = journal();
    let id = store
        .add(case(&base, "2026-03-04T05:06:07+01:00"))
        .expect("kept");
    let path = store.folder().join(format!("{id}.toml"));
    let newer = fs::read_to_string(&path)
        .expect("readable")
        .replace("version = 2", "version = 3\nmoon = \"full\"");
    fs::write(&path, &newer).expect("written");
    let shelf = store.all().expect("readable");
    assert_eq!(
        (
            shelf.faults[0].why.clone(),
            shelf.faults[0].moved_to.clone()
        ),
        (Fault::Newer, None)
    );
    assert!(store.change(&id, |_| ()).is_err());
    assert_eq!(fs::read_to_string(&path).expect("readable"), newer);
}

// Version 0 never left the house: it stands for whatever an older program may have written.
const VERSION_0: &str = "schema = \"blockside.case/1\"\n[signs]\nlong-stems = \"yes\"\n[kept]\nday = \"2024-02-29\"\n\
    program = \"0.0.9\"\nknowledge = \"abc\"\ndone = [\"more-fresh-air\"]\n[kept.diagnosis]\nverdict = \"decided\"\n\
    [[kept.diagnosis.causes]]\nid = \"stale-air\"\nname = \"Stale air\"\nconfidence = 0.9\n";

#[test]
fn a_file_of_an_older_version_is_taken_over_and_written_as_the_present_one() {
    let (_folder, store) = journal();
    fs::create_dir_all(store.folder()).expect("made");
    let path = store.folder().join("20240229-01.toml");
    fs::write(&path, VERSION_0).expect("written");
    let case = store.find("20240229").expect("it is understood");
    assert_eq!(case.kept.at.to_string(), "2024-02-29T12:00:00+00:00");
    assert_eq!(case.kept.done[0].action, "more-fresh-air");
    assert_eq!(case.kept.done[0].on.to_string(), "2024-02-29");
    // Reading alone changes nothing on the disk.
    assert_eq!(fs::read_to_string(&path).expect("readable"), VERSION_0);
    let changed = store.change("20240229-01", |_| ()).expect("changed");
    assert!(
        fs::read_to_string(&path)
            .expect("readable")
            .contains("version = 2")
    );
    assert_eq!(store.find("20240229").expect("there"), changed);
    assert_eq!(changed, case);
}

#[test]
fn an_older_file_that_lacks_something_is_damaged_and_not_guessed_at() {
    for (from, to) in [
        ("day = \"2024-02-29\"\n", ""),
        ("day = \"2024-02-29\"", "day = \"2023-02-29\""),
        ("done = [\"more-fresh-air\"]", "done = [1]"),
        ("[kept]\n", "[kept]\nversion = -1\n"),
        ("[kept]\n", "[kept]\nversion = \"0\"\n"),
        ("0.9\n", "1.5\n"),
        ("0.9\n", "nan\n"),
    ] {
        let text = VERSION_0.replace(from, to);
        assert_ne!(text, VERSION_0);
        assert!(matches!(parse(&text), Err(Fault::Damaged(_))), "{to}");
    }
}

#[cfg(unix)]
#[test]
fn a_link_that_leads_out_of_the_folder_is_not_followed() {
    let base = small::base();
    let (folder, store) = journal();
    store
        .add(case(&base, "2026-03-04T05:06:07+01:00"))
        .expect("kept");
    let secret = folder.path().join("secret.toml");
    fs::copy(store.folder().join("20260304-01.toml"), &secret).expect("copied");
    std::os::unix::fs::symlink(&secret, store.folder().join("20260305-01.toml")).expect("linked");
    let shelf = store.all().expect("readable");
    assert_eq!((shelf.cases.len(), shelf.faults.len()), (1, 0));
    assert!(store.change("20260305-01", |_| ()).is_err());
}

#[test]
fn cases_brought_in_overwrite_nothing_and_are_not_kept_twice() {
    let base = small::base();
    let (_folder, store) = journal();
    let mine = case(&base, "2026-03-04T05:06:07+01:00");
    store.add(mine.clone()).expect("kept");
    let before = fs::read(store.folder().join("20260304-01.toml")).expect("readable");
    let mut same = mine.clone();
    same.kept.id = "20260304-09".to_owned();
    let mut other = case(&base, "2026-03-04T06:00:00+01:00");
    other.kept.id = "20260304-01".to_owned();
    let mut new = case(&base, "2026-03-05T06:00:00+01:00");
    new.kept.id = "20260305-07".to_owned();
    let cases = vec![same, other, new];
    let first = store.bring_in(cases.clone()).expect("kept");
    assert_eq!(
        first,
        [
            BroughtIn::Duplicate("20260304-01".to_owned()),
            BroughtIn::Renamed("20260304-01".to_owned(), "20260304-02".to_owned()),
            BroughtIn::New("20260305-07".to_owned()),
        ]
    );
    assert_eq!(
        fs::read(store.folder().join("20260304-01.toml")).expect("readable"),
        before
    );
    let again = store.bring_in(cases).expect("nothing to do");
    assert!(
        again
            .iter()
            .all(|one| matches!(one, BroughtIn::Duplicate(_))),
        "{again:?}"
    );
    assert_eq!(store.all().expect("readable").cases.len(), 3);
}

#[test]
fn an_action_is_due_once_its_time_has_come_and_until_the_case_is_closed() {
    let base = small::base();
    let mut case = case(&base, "2028-02-28T12:00:00+00:00");
    case.kept.id = "20280228-01".to_owned();
    case.kept.diagnosis.actions = vec![
        blockside::journal::kept::KeptAction {
            id: "slow".to_owned(),
            watch: "the next flush".to_owned(),
            look_again_hours: Some(240),
        },
        blockside::journal::kept::KeptAction {
            id: "more-fresh-air".to_owned(),
            watch: "the new caps".to_owned(),
            look_again_hours: Some(48),
        },
        blockside::journal::kept::KeptAction {
            id: "never".to_owned(),
            watch: "nothing".to_owned(),
            look_again_hours: None,
        },
    ];
    let due = |case: &KeptCase, now: &str| -> Vec<(String, u32)> {
        let now = now.parse().expect("an instant");
        time_has_come(std::slice::from_ref(case), now)
            .into_iter()
            .map(|one| (one.action, one.hours))
            .collect()
    };
    assert_eq!(due(&case, "2028-03-01T11:59:59Z"), []);
    // Over the leap day.
    assert_eq!(
        due(&case, "2028-03-01T12:00:00Z"),
        [("more-fresh-air".to_owned(), 48)]
    );
    // What was done counts from its day, and what was not done no more.
    case.kept.done.push(Done {
        action: "slow".to_owned(),
        on: "2028-03-02".parse().expect("a day"),
        note: None,
    });
    assert_eq!(due(&case, "2028-03-11T23:59:59Z"), []);
    assert_eq!(
        due(&case, "2028-03-12T00:00:00Z"),
        [("slow".to_owned(), 240)]
    );
    // A look begins the time anew; an outcome ends it.
    let mut follow_up = noted(&case, "2028-03-12T00:00:00+00:00");
    case.kept.follow_ups.push(follow_up.clone());
    assert_eq!(
        (case.state(), due(&case, "2028-03-13T00:00:00Z")),
        (State::FollowedUp, vec![])
    );
    assert_eq!(due(&case, "2028-03-22T00:00:00Z").len(), 1);
    follow_up.outcome = Some(Outcome::Worked);
    case.kept.follow_ups.push(follow_up);
    assert_eq!(
        (case.state(), due(&case, "2029-03-22T00:00:00Z")),
        (State::Closed, vec![])
    );
}

#[test]
fn every_action_of_the_knowledge_says_when_to_look_again() {
    let base = blockside::knowledge::embedded::base();
    let without: Vec<&ActionId> = base
        .actions
        .iter()
        .filter(|(_, action)| action.watched.look_again_hours.is_none())
        .map(|(id, _)| id)
        .collect();
    assert_eq!(without, Vec::<&ActionId>::new());
    // Whoever looks again is asked for something, but for one action that can be about anything.
    let silent: Vec<&str> = base
        .actions
        .iter()
        .filter(|(_, action)| action.watched.signs.is_empty() && action.watched.readings.is_empty())
        .map(|(id, _)| id.as_str())
        .collect();
    assert_eq!(silent, ["change-one-thing"]);
}

#[test]
fn what_an_action_says_to_watch_is_checked() {
    let action = |watched: &str| {
        format!(
            "[[action]]\nid = \"own\"\npurpose = \"fix\"\nwhen-to-do = \"now\"\ntext = \"Do it.\"\neffort = \
             \"minute\"\nshows-in = \"a day\"\nwatch = \"the caps\"\n{watched}disturbs = []\nif-failed = \"Look \
             again.\"\nrules = [ {{ when = {{ sign = \"long-stems\" }}, judgement = \"Made up.\" }} ]\njudgement = \
             \"Made up.\"\n"
        )
    };
    let good =
        "watch-signs = [\"long-stems\"]\nwatch-readings = [\"co2\"]\nlook-again = \"2 days\"\n";
    let built = broken::with(&action(good)).0;
    assert_eq!(built.problems, []);
    let watched = &built.base.actions.get("own").expect("it is there").watched;
    assert_eq!((watched.signs.len(), watched.readings.len()), (1, 1));
    assert_eq!(watched.look_again_hours, Some(48));
    for (from, to, code) in [
        ("long-stems", "long-stemms", ProblemCode::UnknownSign),
        ("\"co2\"", "\"co3\"", ProblemCode::UnknownReading),
        ("2 days", "soon", ProblemCode::OutOfRange),
        ("2 days", "0 days", ProblemCode::OutOfRange),
        ("\"2 days\"", "2", ProblemCode::WrongType),
        (
            "\"long-stems\"",
            "\"long-stems\", \"long-stems\"",
            ProblemCode::RepeatedEntry,
        ),
    ] {
        let found = broken::with(&action(&good.replace(from, to))).0.problems;
        let codes: Vec<ProblemCode> = found.iter().map(|problem| problem.code).collect();
        assert_eq!(codes, [code], "{to}");
    }
}

proptest! {
    #[test]
    fn whatever_is_noted_is_read_back_from_toml_and_from_json(
        note in any::<String>(),
        word in any::<String>(),
        millionths in 0..=1_000_000_u32,
    ) {
        let base = small::base();
        let mut case = case(&base, "2026-03-04T05:06:07+01:00");
        let mut follow_up = noted(&case, "2026-03-05T05:06:07-03:30");
        follow_up.note = Some(note.clone());
        follow_up.signs.insert(word.clone(), note.clone());
        follow_up.diagnosis.causes[0].confidence = f64::from(millionths) / 1e6;
        case.kept.follow_ups.push(follow_up);
        case.setup.push(word);
        assert_eq!(parse(&case.to_toml()), Ok(case.clone()));
        let line = serde_json::to_string(&case).expect("JSON");
        assert!(!line.contains('\n'));
        let table = serde_json::from_str(&line).expect("a table");
        assert_eq!(from_table(table), Ok(case));
    }

    #[test]
    fn no_text_at_all_is_a_case_by_accident(text in any::<String>()) {
        assert!(parse(&text).is_err());
        assert!(!is_id(&text) || !text.contains(['/', '\\', '.']));
    }
}
