//! Practice and rounds while something goes wrong: killed processes, several writers, no room, no permission, a clock that
//! was set back, a leap day, a change to summer time. `journal_faults` asks the same of kept cases.
//!
//! A hundred saves are confirmed by processes that are killed, and a hundred of cases; `BLOCKSIDE_TEST_SAVES=1000
//! cargo test --test it saves journal_faults` takes as many as it says.

use std::collections::BTreeSet;
use std::fs;
use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::thread;
use std::time::Duration;

use blockside::engine::id::RoundId;
use blockside::engine::knowledge::KnowledgeBase;
use blockside::engine::observations::Observations;
use blockside::journal::practice::{KeptRound, Records};
use blockside::journal::rounds::Rounds;
use blockside::knowledge::embedded;
use blockside::report::rounds::calendar;
use jiff::ToSpan;
use jiff::civil::{Date, date};

#[cfg(target_os = "linux")]
use crate::journal_faults::{not_proven, with_mounts};
use crate::world::{Ran, World};

/// Names the data folder to the test below when it runs as a process of its own.
const FOLDER: &str = "BLOCKSIDE_TEST_SAVES_FOLDER";
/// The number that its saves begin with.
const FROM: &str = "BLOCKSIDE_TEST_SAVES_FROM";
/// The name of a helper.
const HELPER: &str = "Mira";
/// The most saves of one process.
const MOST: usize = 500;

/// How many saves are to be broken off or confirmed in a test of processes that are killed.
pub fn wanted() -> usize {
    std::env::var("BLOCKSIDE_TEST_SAVES").map_or(100, |number| number.parse().expect("a number"))
}

fn round(number: usize) -> KeptRound {
    KeptRound {
        at: "2028-02-29T12:00:00+01:00".parse().expect("a moment"),
        seed: number.to_string(),
        exam: None,
        level: "plain".to_owned(),
        topic: None,
        knowledge: "0".to_owned(),
        causes: vec!["stale-air".to_owned()],
        points: 50.0,
        cause_share: 0.5,
        caution_share: None,
        action_share: 0.0,
        missed: vec!["x".repeat(number % 50)],
        checks: 3,
        bits: 1.0,
        best_bits: 1.5,
        named: Vec::new(),
    }
}

fn item() -> RoundId {
    RoundId::new("wipe-floor").expect("an id")
}

fn day(number: usize) -> Date {
    let days = i64::try_from(number).expect("small");
    date(2027, 1, 1).checked_add(days.days()).expect("a day")
}

/// Keeps rounds of practice and rounds of the chamber, and confirms each on a line. The test below runs it in processes
/// of their own, with a folder of theirs; by itself it keeps a few.
#[test]
fn what_was_practised_and_done_is_there_as_soon_as_that_is_confirmed() {
    let own = tempfile::tempdir().expect("a folder");
    let given = std::env::var_os(FOLDER);
    let folder = given.as_deref().map_or(own.path(), Path::new);
    let from: usize = std::env::var(FROM).map_or(0, |from| from.parse().expect("a number"));
    let most = if given.is_some() { MOST } else { 3 };
    let records = Records::within(folder);
    for number in from..from + most {
        let record = records
            .change(HELPER, |record| record.rounds.push(round(number)))
            .expect("kept");
        println!("\nkept practice {number}");
        assert_eq!(records.read(HELPER).expect("readable"), (record, None));
        let rounds = Rounds::note(folder, &[item()], day(number)).expect("kept");
        println!("\nkept rounds {number}");
        assert_eq!(Rounds::read(folder).expect("readable"), rounds);
    }
}

fn child(folder: &Path, from: usize) -> Child {
    Command::new(std::env::current_exe().expect("this program"))
        .args([
            "--exact",
            "saves::what_was_practised_and_done_is_there_as_soon_as_that_is_confirmed",
            "--nocapture",
        ])
        .env(FOLDER, folder)
        .env(FROM, from.to_string())
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .expect("it starts")
}

/// What a child confirmed before it was killed: for practice and for rounds, the numbers.
fn confirmed(mut child: Child, after: usize, pause: Duration) -> [Vec<usize>; 2] {
    let out = child.stdout.take().expect("it is piped");
    let mut confirmed = [Vec::new(), Vec::new()];
    for line in BufReader::new(out).lines() {
        let line = line.expect("text");
        let Some((what, number)) = line
            .strip_prefix("kept ")
            .and_then(|rest| rest.split_once(' '))
        else {
            continue;
        };
        confirmed[usize::from(what == "rounds")].push(number.parse().expect("a number"));
        if confirmed.iter().map(Vec::len).sum::<usize>() == after {
            thread::sleep(pause);
            // On Unix this is SIGKILL. What it confirmed is still in the pipe.
            child.kill().expect("it can be killed");
        }
    }
    child.wait().expect("it ends");
    confirmed
}

#[test]
fn of_saves_broken_off_at_any_moment_none_is_lost_and_none_doubled() {
    let folder = tempfile::tempdir().expect("a folder");
    let records = Records::within(folder.path());
    let mut moment = 11_u64;
    let mut all = [Vec::new(), Vec::new()];
    let mut from = 0;
    while all.iter().map(Vec::len).sum::<usize>() < wanted() {
        // Knuth's generator, as for kept cases.
        moment = moment
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1);
        let after = 1 + (moment >> 33) as usize % 16;
        let pause = Duration::from_micros((moment >> 40) % 4000);
        let found = confirmed(child(folder.path(), from), after, pause);
        for (all, found) in all.iter_mut().zip(found) {
            all.extend(found);
        }
        from += MOST;

        let (record, aside) = records.read(HELPER).expect("readable");
        assert_eq!(aside, None, "something was half written");
        let kept: Vec<usize> = record
            .rounds
            .iter()
            .map(|round| round.seed.parse().expect("a number"))
            .collect();
        once_and_whole("practice", &kept, &all[0]);
        let rounds = Rounds::read(folder.path()).expect("readable");
        let kept: Vec<usize> = rounds
            .done()
            .iter()
            .map(|done| {
                let days = date(2027, 1, 1).until(done.on).expect("days").get_days();
                usize::try_from(days).expect("it is later")
            })
            .collect();
        once_and_whole("rounds", &kept, &all[1]);
    }
    // Whoever writes next clears away what was left half written.
    records.change(HELPER, |_| ()).expect("kept");
    Rounds::note(folder.path(), &[item()], day(from)).expect("kept");
    for folder in [folder.path().to_owned(), folder.path().join("practice")] {
        for entry in fs::read_dir(&folder).expect("a folder") {
            let name = entry.expect("readable").file_name();
            assert!(
                !name.to_string_lossy().contains("unfinished"),
                "{name:?} is left in {}",
                folder.display()
            );
        }
    }
}

/// Everything confirmed is kept, in its order, and nothing twice.
fn once_and_whole(what: &str, kept: &[usize], confirmed: &[usize]) {
    let there: BTreeSet<usize> = kept.iter().copied().collect();
    assert_eq!(there.len(), kept.len(), "{what}: something is there twice");
    assert!(kept.is_sorted(), "{what}: {kept:?}");
    let lost: Vec<&usize> = confirmed
        .iter()
        .filter(|one| !there.contains(one))
        .collect();
    assert!(
        lost.is_empty(),
        "{what}: {lost:?} were confirmed and are gone"
    );
}

fn run(world: &World, args: &[&str]) -> Ran {
    let mut command = world.bare();
    command.args(args);
    Ran::of(command)
}

#[test]
fn processes_that_write_rounds_down_at_once_lose_nothing() {
    let world = World::new();
    let items = ["wipe-floor", "look-at-every-block", "clean-whole-chamber"];
    let started: Vec<Child> = (0..6)
        .map(|number| {
            let on = format!("2026-01-{:02}", 1 + number / 3);
            let mut command = world.bare();
            command
                .args(["rounds", "done", items[number % 3], "--on", &on])
                .stdout(Stdio::null());
            command.spawn().expect("it starts")
        })
        .collect();
    for mut child in started {
        assert!(child.wait().expect("it ends").success());
    }
    let rounds = Rounds::read(&world.home.path().join("home")).expect("readable");
    let done: BTreeSet<(String, Date)> = rounds
        .done()
        .iter()
        .map(|done| (done.what.clone(), done.on))
        .collect();
    assert_eq!((rounds.done().len(), done.len()), (6, 6), "{rounds:?}");
}

/// Names and contents of all files below a folder, but for locks.
fn contents(folder: &Path) -> Vec<(PathBuf, Vec<u8>)> {
    let mut found = Vec::new();
    let mut folders = vec![folder.to_owned()];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(&folder).expect("a folder") {
            let path = entry.expect("readable").path();
            if path.is_dir() {
                folders.push(path);
            } else if !path.ends_with(".lock") {
                let bytes = fs::read(&path).expect("readable");
                found.push((path, bytes));
            }
        }
    }
    found.sort();
    found
}

const NOTHING: &str = "schema = \"blockside.practice-answers/1\"\n[[case]]\n";

/// Commands that write something down.
const WRITES: [&[&str]; 2] = [
    &["rounds", "done", "wipe-floor"],
    &[
        "practise",
        "--answers",
        "blank.toml",
        "--helper",
        HELPER,
        "--seed",
        "7",
    ],
];

fn world_with_saves() -> World {
    let world = World::new();
    world.file("blank.toml", NOTHING);
    for args in [
        WRITES[1],
        &["rounds", "done", "wipe-floor", "--on", "2026-01-01"],
    ] {
        let ran = run(&world, args);
        assert_eq!(ran.status, 0, "{}", ran.err);
    }
    world
}

// No file may grow beyond nothing: as on a full disk nothing can be written, and it needs no rights.
#[cfg(unix)]
#[test]
fn without_room_what_was_practised_and_done_before_stays_and_the_person_is_told() {
    let world = world_with_saves();
    let home = world.home.path().join("home");
    let before = contents(&home);
    assert_eq!(before.len(), 2);
    for args in WRITES {
        let mut shell = Command::new("/bin/sh");
        shell
            .args(["-c", "trap '' XFSZ; ulimit -f 0; exec \"$@\"", "sh"])
            .arg(world.bare().get_program())
            .args(args)
            .env_clear()
            .env("BLOCKSIDE_HOME", &home)
            .current_dir(world.home.path())
            .stdin(Stdio::null());
        let ran = Ran::of(shell);
        assert_eq!(ran.status, 3, "{args:?}: {}{}", ran.out, ran.err);
        let flat = ran.err.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(flat.contains("cannot be written"), "{args:?}: {flat}");
        assert_eq!(contents(&home), before, "{args:?}");
    }
    // Once there is room it goes on.
    for args in WRITES {
        assert_eq!(run(&world, args).status, 0);
    }
    let after = contents(&home);
    assert_eq!(after.len(), before.len());
    for ((path, before), (_, after)) in before.iter().zip(&after) {
        assert!(after.len() > before.len(), "{}", path.display());
    }
}

#[cfg(target_os = "linux")]
#[test]
fn in_a_home_that_may_only_be_read_practice_and_rounds_are_shown_and_nothing_is_written() {
    let world = world_with_saves();
    let home = world.home.path().join("home");
    let before = contents(&home);
    let steps = with_mounts(
        &world,
        "run() { \"$program\" \"$@\"; }\n\
         mount --bind \"$home\" \"$home\"; mount -o remount,bind,ro \"$home\"\n\
         step rounds\nstep practise progress --helper Mira\n\
         step rounds done wipe-floor\n\
         step practise --answers blank.toml --helper Mira --seed 7\n",
    );
    match steps.as_deref() {
        Ok([rounds, progress, done, practised]) => {
            assert_eq!(
                (rounds.status, progress.status),
                (0, 0),
                "{}{}",
                rounds.err,
                progress.err
            );
            for ran in [done, practised] {
                let flat = ran.err.split_whitespace().collect::<Vec<_>>().join(" ");
                assert_eq!(ran.status, 3, "{flat}");
                assert!(flat.contains("not allowed"), "{flat}");
            }
        }
        Ok(_) => panic!("four commands were to run"),
        Err(why) => not_proven("a home that may only be read", why),
    }
    assert_eq!(contents(&home), before);
}

fn due(base: &KnowledgeBase, rounds: &Rounds, today: Date) -> (Option<Date>, Date) {
    let all = rounds.due(base, &Observations::default(), today);
    let one = all
        .into_iter()
        .find(|one| *one.id == item())
        .expect("it is one of them");
    (one.last, one.on)
}

#[test]
fn a_round_done_on_a_leap_day_is_due_and_written_for_the_calendar_by_days() {
    let base = embedded::base();
    let folder = tempfile::tempdir().expect("a folder");
    let leap = date(2028, 2, 29);
    let rounds = Rounds::note(folder.path(), &[item()], leap).expect("kept");
    let every = i64::from(base.rounds[&item()].every_days);
    let next = leap.checked_add(every.days()).expect("a day");
    for today in [leap, date(2028, 3, 1), date(2029, 2, 28), date(2032, 2, 29)] {
        assert_eq!(due(&base, &rounds, today), (Some(leap), next));
    }
    // On a leap day that is the one it is due on, the calendar names that day.
    let before = leap.checked_sub(every.days()).expect("a day");
    let folder = tempfile::tempdir().expect("a folder");
    let rounds = Rounds::note(folder.path(), &[item()], before).expect("kept");
    assert_eq!(due(&base, &rounds, before), (Some(before), leap));
    let all = rounds.due(&base, &Observations::default(), leap);
    let text = calendar(&all, "20280229T230000Z");
    let event = text
        .split("BEGIN:VEVENT")
        .find(|event| event.contains("UID:wipe-floor@"))
        .expect("its event");
    assert!(event.contains("DTSTART;VALUE=DATE:20280229\r\n"), "{event}");
    assert!(event.contains("DTSTAMP:20280229T230000Z\r\n"), "{event}");
}

#[test]
fn a_clock_set_back_between_two_rounds_loses_none_and_doubles_none() {
    let base = embedded::base();
    let folder = tempfile::tempdir().expect("a folder");
    let days = [
        date(2028, 3, 2),
        date(2028, 2, 29),
        date(2028, 3, 2),
        date(1970, 1, 1),
    ];
    for day in days {
        Rounds::note(folder.path(), &[item()], day).expect("kept");
    }
    let rounds = Rounds::read(folder.path()).expect("readable");
    let kept: Vec<Date> = rounds.done().iter().map(|done| done.on).collect();
    assert_eq!(kept, [days[0], days[1], days[3]]);
    // What lies ahead does not count until its day has come, and then it does.
    assert_eq!(due(&base, &rounds, days[1]).0, Some(days[1]));
    assert_eq!(due(&base, &rounds, days[0]).0, Some(days[0]));

    let records = Records::within(folder.path());
    for (number, at) in [
        "2028-03-26T01:30:00+01:00",
        "2028-02-29T23:59:59+01:00",
        "1970-01-01T00:00:00+00:00",
    ]
    .into_iter()
    .enumerate()
    {
        let at = at.parse().expect("a moment");
        records
            .change(HELPER, |record| {
                record.rounds.push(KeptRound {
                    at,
                    ..round(number)
                })
            })
            .expect("kept");
    }
    let (record, _) = records.read(HELPER).expect("readable");
    let seeds: Vec<&str> = record
        .rounds
        .iter()
        .map(|round| round.seed.as_str())
        .collect();
    assert_eq!(
        seeds,
        ["0", "1", "2"],
        "they stay in the order in which they were finished"
    );
}

/// In Berlin the clock went from 02:00 to 03:00 on 26 March 2028 and back from 03:00 on 29 October (tz database).
#[test]
fn days_with_an_hour_more_or_less_are_days_all_the_same() {
    let base = embedded::base();
    for change in [date(2028, 3, 26), date(2028, 10, 29)] {
        let folder = tempfile::tempdir().expect("a folder");
        let before = change.yesterday().expect("a day");
        let rounds = Rounds::note(folder.path(), &[item()], before).expect("kept");
        let every = i64::from(base.rounds[&item()].every_days);
        let next = before.checked_add(every.days()).expect("a day");
        assert_eq!(due(&base, &rounds, change), (Some(before), next));
        let noon = |day: Date| {
            day.at(12, 0, 0, 0)
                .in_tz("Europe/Berlin")
                .expect("it is known")
        };
        let hours = noon(before).duration_until(&noon(change)).as_hours();
        assert_ne!(hours, 24, "there is no change on {change}");
        assert_eq!(blockside::journal::rounds::days_between(before, change), 1);
    }
}
