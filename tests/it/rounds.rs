//! The rounds: when something is due, what is written down, what a diagnosis learns from it, and the calendar.

use std::fs;
use std::path::Path;

use blockside::engine::id::RoundId;
use blockside::engine::knowledge::KnowledgeBase;
use blockside::engine::observations::Observations;
use blockside::journal::rounds::Rounds;
use blockside::knowledge::embedded;
use blockside::report::rounds::calendar;
use jiff::ToSpan;
use jiff::civil::{Date, date};
use serde_json::Value;

use crate::world::{Ran, World};

fn run(world: &World, args: &[&str]) -> Ran {
    let mut command = world.bare();
    command.args(args);
    Ran::of(command)
}

fn json(world: &World, args: &[&str]) -> Value {
    let ran = run(world, &[args, &["--format", "json"]].concat());
    assert_eq!(ran.status, 0, "{}", ran.err);
    serde_json::from_str(&ran.out).expect("JSON")
}

/// What feeds a reading, with its id and interval.
fn feeding(base: &KnowledgeBase) -> (RoundId, u32) {
    let (id, round) = base
        .rounds
        .iter()
        .find(|(_, round)| round.feeds.is_some() && round.asked_if.is_none())
        .expect("there is one");
    (id.clone(), round.every_days)
}

#[test]
fn everything_is_due_until_it_is_written_down_and_again_after_its_interval() {
    let base = embedded::base();
    let folder = tempfile::tempdir().expect("a folder");
    let (id, every) = feeding(&base);
    let told = Observations::default();
    // Over the end of a leap day and of a month.
    let done = date(2028, 2, 27);
    let fresh = Rounds::default().due(&base, &told, done);
    assert_eq!(fresh.len(), base.rounds.len());
    assert!(
        fresh
            .iter()
            .all(|one| one.in_days(done) == 0 && one.last.is_none())
    );

    let rounds = Rounds::note(folder.path(), std::slice::from_ref(&id), done).expect("written");
    let at = |day: Date| {
        let due = rounds.due(&base, &told, day);
        let one = due.into_iter().find(|one| *one.id == id).expect("there");
        (one.last, one.in_days(day))
    };
    let every = i32::try_from(every).expect("small");
    assert_eq!(at(done), (Some(done), every));
    let later = done.checked_add(every.days()).expect("a day");
    assert_eq!(at(later), (Some(done), 0));
    assert_eq!(at(later.tomorrow().expect("a day")), (Some(done), -1));
    // With the clock set back, what lies ahead has not been done yet.
    assert_eq!(at(done.yesterday().expect("a day")).0, None);
    // What is due comes first.
    let due = rounds.due(&base, &told, done);
    assert_eq!(*due.last().expect("some").id, id);
    assert_eq!(Rounds::read(folder.path()).expect("readable"), rounds);
}

#[test]
fn a_chamber_without_a_mister_has_no_hose_to_swap() {
    let base = embedded::base();
    let mut told = Observations::default();
    let mister = base
        .setup
        .keys()
        .find(|id| id.as_str() == "ultrasonic-mister")
        .expect("there");
    let ids = |told: &Observations| -> Vec<String> {
        let due = Rounds::default();
        let due = due.due(&base, told, date(2026, 3, 4));
        due.iter().map(|one| one.id.to_string()).collect()
    };
    let all = ids(&told);
    told.setup.insert(mister.clone(), false);
    let without = ids(&told);
    let left_out: Vec<&String> = all.iter().filter(|id| !without.contains(id)).collect();
    assert_eq!(left_out, ["scrub-tank", "swap-hoses"]);
}

#[test]
fn days_since_something_was_done_are_told_to_a_diagnosis_unless_it_was_told_otherwise() {
    let world = World::new();
    let base = embedded::base();
    let (id, _) = feeding(&base);
    let reading = base.rounds[&id].feeds.clone().expect("it feeds one");
    let told = |more: &[&str]| {
        let args = [&["diagnose", "--sign", "spot-on-block"], more].concat();
        json(&world, &args)["told_by_rounds"].clone()
    };
    assert_eq!(told(&[]), Value::Array(Vec::new()));
    let then = jiff::ZonedDateTime::now()
        .date()
        .checked_sub(23.days())
        .expect("a day");
    let ran = run(
        &world,
        &["rounds", "done", id.as_str(), "--on", &then.to_string()],
    );
    assert_eq!(ran.status, 0, "{}", ran.err);
    assert_eq!(told(&[]), serde_json::json!([reading.as_str()]));
    let anew = format!("{reading}=3");
    assert_eq!(told(&["--reading", &anew]), Value::Array(Vec::new()));
    // A case file stands by itself.
    world.file(
        "case.toml",
        "schema = \"blockside.case/1\"\n[signs]\nspot-on-block = \"yes\"\n",
    );
    let case = json(&world, &["diagnose", "case.toml"]);
    assert_eq!(case["told_by_rounds"], Value::Array(Vec::new()));
    let mut observations = Observations::default();
    Rounds::read(&world.home.path().join("home"))
        .expect("readable")
        .feed(&base, &mut observations, jiff::ZonedDateTime::now().date());
    assert_eq!(observations.readings[&reading].value, 23.0);
}

// The example of the rounds: hoses last swapped 23 days ago make mould in them likelier.
#[test]
fn a_hose_that_was_not_swapped_for_weeks_makes_growth_in_it_likelier() {
    let world = World::new();
    let today = jiff::ZonedDateTime::now().date();
    let args = ["diagnose", "--sign", "spot-on-hose", "--sign", "spot-black"];
    let mut found = Vec::new();
    for ago in [23, 3] {
        let then = today.checked_sub(ago.days()).expect("a day").to_string();
        let ran = run(&world, &["rounds", "done", "swap-hoses", "--on", &then]);
        assert_eq!(ran.status, 0, "{}", ran.err);
        let told = json(&world, &args);
        let causes = told["causes"].as_array().expect("a list");
        let film = causes.iter().find(|one| one["id"] == "black-film");
        let film = film.expect("it is reported");
        let roots = film["roots"].as_array().expect("a list");
        let root = roots.iter().find(|one| one["id"] == "hose-never-dried");
        let share = |one: &Value| one["confidence"].as_f64().expect("a number");
        found.push((share(film), root.map_or(0.0, share)));
    }
    let [(old, not_dried), (new, dried)] = found[..] else {
        panic!("two");
    };
    assert!(old > new + 0.01, "{found:?}");
    assert!(not_dried > dried + 0.01, "{found:?}");
}

#[test]
fn the_weekly_round_holds_all_that_it_is_for() {
    let world = World::new();
    let told = json(&world, &["rounds"]);
    let rounds = told["rounds"].as_array().expect("a list");
    for (id, word) in [
        ("clean-whole-chamber", "clean the whole chamber"),
        ("swap-hoses", "hose"),
        ("scrub-tank", "tank"),
        ("wipe-floor", "floor"),
        ("look-at-every-block", "every block"),
        ("check-sensor-against-salt", "salt"),
        ("renew-liner", "liner"),
        ("check-cords-and-plugs", "cords and plugs"),
    ] {
        let round = rounds.iter().find(|one| one["id"] == id).expect(id);
        let statement = round["statement"].as_str().expect("a text");
        assert!(statement.contains(word), "{statement}");
        if id == "look-at-every-block" {
            assert_eq!(round["looks"].as_array().map(Vec::len), Some(5));
        }
    }
}

#[test]
fn done_takes_the_beginning_of_a_name_and_names_what_it_does_not_know() {
    let world = World::new();
    let shown = json(
        &world,
        &["rounds", "done", "wipe", "look", "--on", "yesterday"],
    );
    crate::coverage::keeps_to_schema("rounds", &shown);
    let rounds = shown["rounds"].as_array().expect("a list");
    let done: Vec<&str> = rounds
        .iter()
        .filter(|one| !one["last"].is_null())
        .filter_map(|one| one["id"].as_str())
        .collect();
    assert_eq!(done.len(), 2, "{done:?}");
    for (args, said) in [
        (
            vec!["rounds", "done", "dance"],
            "no item of the rounds is called `dance`",
        ),
        (
            vec!["rounds", "done", "wipe", "--on", "someday"],
            "is no day",
        ),
        (
            vec!["rounds", "done", "wipe", "--on", "2999-01-01"],
            "still to come",
        ),
        // Two begin like this.
        (vec!["rounds", "done", "check"], "no item"),
    ] {
        let ran = run(&world, &args);
        assert_eq!(ran.status, 2, "{args:?}: {}", ran.err);
        assert!(ran.err.contains(said), "{args:?}: {}", ran.err);
    }
    // Told twice, it was done once.
    run(&world, &["rounds", "done", "wipe", "--on", "yesterday"]);
    let text = fs::read_to_string(world.home.path().join("home/rounds.toml")).expect("there");
    assert_eq!(text.matches("[[done]]").count(), 2, "{text}");
}

#[test]
fn what_was_written_down_and_cannot_be_read_is_left_as_it_is() {
    let world = World::new();
    fs::create_dir(world.home.path().join("home")).expect("made");
    for text in [
        "not toml",
        "schema = \"blockside.rounds/9\"\n",
        "done = 3\n",
    ] {
        world.file("home/rounds.toml", text);
        for args in [vec!["rounds"], vec!["rounds", "done", "wipe"]] {
            let ran = run(&world, &args);
            assert_eq!(ran.status, 3, "{text}: {}", ran.out);
            assert!(ran.err.contains("rounds.toml"), "{}", ran.err);
        }
        let kept = fs::read_to_string(world.home.path().join("home/rounds.toml"));
        assert_eq!(kept.expect("there"), text);
    }
}

/// RFC 5545, 3.1 (lines end with CRLF and are folded at 75 octets), 3.6.1, 3.8.2.4 (dates without a time).
#[test]
fn the_calendar_keeps_to_its_standard_and_moves_events_instead_of_doubling_them() {
    let world = World::new();
    let ran = run(&world, &["rounds", "--ics", "rounds.ics"]);
    assert_eq!(ran.status, 0, "{}", ran.err);
    let text = fs::read_to_string(world.home.path().join("rounds.ics")).expect("written");
    assert!(text.lines().all(|line| line.len() <= 75), "{text}");
    assert_eq!(text.matches('\n').count(), text.matches("\r\n").count());
    let base = embedded::base();
    assert_eq!(text.matches("BEGIN:VEVENT").count(), base.rounds.len());
    assert_eq!(
        text.matches("DTSTART;VALUE=DATE:").count(),
        base.rounds.len()
    );
    let again = run(&world, &["rounds", "--ics", "rounds.ics"]);
    assert_eq!(again.status, 3);
    assert!(again.err.contains("left as it is"), "{}", again.err);

    let due = Rounds::default();
    let due = due.due(&base, &Observations::default(), date(2026, 12, 31));
    let stamp = "20261231T080000Z";
    let (one, other) = (calendar(&due, stamp), calendar(&due, stamp));
    assert_eq!(one, other);
    assert!(one.contains("DTSTART;VALUE=DATE:20261231"), "{one}");
    assert!(one.contains("UID:wipe-floor@rounds.blockside"), "{one}");
}

#[test]
fn the_list_says_how_what_is_due_is_done_and_what_to_be_careful_of() {
    let world = World::new();
    let ran = run(&world, &["rounds", "--width", "80"]);
    let today = jiff::ZonedDateTime::now().date().to_string();
    insta::assert_snapshot!("rounds_at_first", ran.out.replace(&today, "TODAY"));
    let home = world.home.path().join("home");
    assert!(
        !Path::new(&home).join("rounds.toml").exists(),
        "looking writes nothing down"
    );
}
