//! `follow-up` from outside, and the line that reminds of it.

use std::fs;

use serde_json::json;

use crate::cases_kept::{as_json, keep, run};
use crate::world::World;

const LEGGY: &[&str] = &[
    "--species",
    "grey-oyster",
    "--sign",
    "long-stems",
    "--sign",
    "small-caps",
    "--reading",
    "co2=2900 ppm",
];

#[test]
fn what_is_seen_now_takes_the_place_of_what_was_told_and_the_rest_stands() {
    let world = World::new();
    let id = keep(&world, LEGGY);
    let args = [
        "follow-up",
        &id,
        "--sign",
        "long-stems=no",
        "--reading",
        "co2=800 ppm",
    ];
    let found = as_json(&world, &args);
    let follow_up = &found["cases"][0]["follow_ups"][0];
    assert_eq!(follow_up["signs"], json!({"long-stems": "no"}));
    assert_eq!(follow_up["readings"], json!({"co2": "800 ppm"}));
    // The same facts told afresh come out the same.
    let afresh = as_json(
        &world,
        &[
            "diagnose",
            "--species",
            "grey-oyster",
            "--sign",
            "long-stems=no",
            "--sign",
            "small-caps",
            "--reading",
            "co2=800 ppm",
        ],
    );
    assert_eq!(follow_up["diagnosis"]["verdict"], afresh["verdict"]);
    let pairs = |causes: &serde_json::Value| -> Vec<(String, String)> {
        let causes = causes.as_array().expect("a list").iter();
        causes
            .map(|one| (one["id"].to_string(), one["confidence"].to_string()))
            .collect()
    };
    assert_eq!(
        pairs(&follow_up["diagnosis"]["causes"]),
        pairs(&afresh["causes"])
    );
    // What was told at first is still what was told at first.
    assert_eq!(found["cases"][0]["signs"]["long-stems"], "yes");
    assert_eq!(found["cases"][0]["state"], "followed-up");
}

#[test]
fn of_signs_that_exclude_each_other_the_one_seen_now_counts() {
    let world = World::new();
    let id = keep(&world, &["--sign", "spot-white", "--sign", "spot-on-block"]);
    let ran = run(&world, &["follow-up", &id, "--sign", "spot-green"]);
    assert_eq!(ran.status, 0, "{}", ran.err);
    let afresh = as_json(
        &world,
        &[
            "diagnose",
            "--sign",
            "spot-green",
            "--sign",
            "spot-on-block",
        ],
    );
    let kept = as_json(&world, &["cases", "show", &id]);
    let then = &kept["cases"][0]["follow_ups"][0]["diagnosis"]["causes"][0];
    assert_eq!(then["confidence"], afresh["causes"][0]["confidence"]);
}

#[test]
fn without_a_terminal_the_person_is_told_what_to_say() {
    let world = World::new();
    let id = keep(&world, LEGGY);
    let before = as_json(&world, &["cases"]);
    let ran = run(&world, &["follow-up", &id]);
    ran.refused(
        2,
        &[
            "--sign long-stems=...",
            "--done more-fresh-air or --nothing-done",
            "--reading co2=...",
            "--outcome worked|partly|no",
        ],
    );
    for (args, said) in [
        (
            &["follow-up", &id, "--found", "stale-airs"][..],
            "did you mean `stale-air`?",
        ),
        (
            &["follow-up", &id, "--sign", "long-stem"],
            "no sign is called",
        ),
        (
            &["follow-up", &id, "--reading", "co2=fresh"],
            "--reading co2",
        ),
        (
            &["follow-up", &id, "--found", "mould-on-block"],
            "is a group of causes",
        ),
        (&["follow-up", &id, "--outcome", "maybe"], "invalid value"),
    ] {
        run(&world, args).refused(2, &[said]);
    }
    assert_eq!(as_json(&world, &["cases"]), before);
}

#[test]
fn where_it_did_not_work_the_next_thing_to_do_is_said() {
    let world = World::new();
    let id = keep(&world, LEGGY);
    run(&world, &["cases", "done", &id, "more-fresh-air"]);
    let ran = run(
        &world,
        &["follow-up", &id, "--outcome", "no", "--sign", "long-stems"],
    );
    let base = blockside::knowledge::embedded::base();
    let action = base.actions.get("more-fresh-air").expect("it is there");
    let flat = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        flat(&ran.out).contains(&flat(&action.if_failed)),
        "{}",
        ran.out
    );
}

#[test]
fn a_case_told_with_names_that_are_gone_is_followed_up_without_them() {
    let world = World::new();
    let id = keep(&world, LEGGY);
    let path = world.home.path().join(format!("home/cases/{id}.toml"));
    let text = fs::read_to_string(&path).expect("readable");
    let text = text.replace("small-caps = \"yes\"", "no-such-sign = \"yes\"");
    fs::write(&path, text).expect("written");
    let ran = run(&world, &["follow-up", &id, "--outcome", "worked"]);
    assert_eq!(ran.status, 0, "{}", ran.err);
    assert!(ran.err.contains("no-such-sign"), "{}", ran.err);
    let kept = fs::read_to_string(&path).expect("readable");
    assert!(
        kept.contains("no-such-sign"),
        "what was told is not thrown away: {kept}"
    );
}

#[test]
fn what_was_done_is_kept_with_the_outcome_and_told_with_it() {
    let world = World::new();
    let id = keep(&world, LEGGY);
    let args = ["follow-up", &id, "--done", "more-fresh", "--outcome"];
    let ran = run(&world, &[&args[..], &["partly"]].concat());
    assert_eq!(ran.status, 0, "{}", ran.err);
    assert!(
        ran.out.contains("It worked in part: more fresh air."),
        "{}",
        ran.out
    );
    let case = &as_json(&world, &["cases", "show", &id])["cases"][0];
    assert_eq!(case["done"][0]["action"], "more-fresh-air");
    assert_eq!(case["done"].as_array().map(Vec::len), Some(1));
    // Told again, it is not noted twice.
    run(&world, &[&args[..], &["worked"]].concat());
    let case = &as_json(&world, &["cases", "show", &id])["cases"][0];
    assert_eq!(case["done"].as_array().map(Vec::len), Some(1));
    let args = ["follow-up", &id, "--done", "more-fresh-airs"];
    run(&world, &args).refused(2, &["did you mean `more-fresh-air`?"]);
    run(&world, &["follow-up", &id, "--nothing-done"]).refused(2, &["something was noted as done"]);
}

#[test]
fn an_action_that_nobody_did_neither_worked_nor_failed() {
    let world = World::new();
    let id = keep(&world, LEGGY);
    let ran = run(
        &world,
        &["follow-up", &id, "--nothing-done", "--outcome", "no"],
    );
    assert_eq!(ran.status, 0, "{}", ran.err);
    let flat = ran.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        flat.contains("It is as bad as before; nothing that was advised was done."),
        "{flat}"
    );
    let base = blockside::knowledge::embedded::base();
    let action = base.actions.get("more-fresh-air").expect("it is there");
    let flat_text = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        flat.contains("Still to do") && flat.contains(&flat_text(&action.text)),
        "{flat}"
    );
    assert!(!flat.contains("did not work"), "{flat}");
    assert!(!flat.contains(&flat_text(&action.if_failed)), "{flat}");
    let case = &as_json(&world, &["cases", "show", &id])["cases"][0];
    let advised = case["diagnosis"]["actions"].as_array().expect("a list");
    assert_eq!(case["follow_ups"][0]["not_done"].as_array(), Some(advised));
    assert_eq!(case["done"], json!([]));
}

#[cfg(unix)]
mod at_a_terminal {
    use super::{LEGGY, World, as_json, fs, keep, run};
    use crate::seat::{DOWN, Seat};

    fn seat(world: &World, args: &[&str]) -> Seat {
        let mut command = world.bare();
        command.args(args);
        Seat::new(command)
    }

    #[test]
    fn a_follow_up_asks_what_the_action_said_to_watch_and_confirms_nothing_unasked() {
        let world = World::new();
        let id = keep(&world, LEGGY);
        run(&world, &["cases", "done", &id, "more-fresh-air"]);
        let mut seat = seat(&world, &["follow-up", &id]);
        seat.wait_for("the newest pins after two days");
        // Both signs that the action said to watch, then the reading that was taken before.
        let base = blockside::knowledge::embedded::base();
        let watched = &base
            .actions
            .get("more-fresh-air")
            .expect("it is there")
            .watched;
        assert_eq!(watched.signs.len(), 2);
        seat.wait_for("Is it so now: the stems are long");
        seat.press("\r");
        seat.wait_for("> yes");
        // Back, and the first question is asked again.
        seat.wait_for("Is it so now: the caps are small");
        seat.press("b");
        seat.wait_for("> back");
        seat.press(&format!("{DOWN}\r"));
        seat.wait_for("> no");
        seat.press(&format!("{DOWN}\r"));
        seat.wait_for("Type the reading in ppm.");
        seat.press("900\r");
        seat.wait_for("Did it work: more fresh air?");
        seat.press(&format!("{DOWN}\r"));
        seat.wait_for("> it worked");
        seat.wait_for("What was it in the end?");
        // Enter alone stays at "not known".
        seat.press("\r");
        seat.wait_for("> not known");
        seat.wait_for("A note for yourself");
        seat.press("bigger vent\r");
        seat.wait_for("It worked: more fresh air.");
        assert_eq!(seat.child.wait().expect("it ends").code(), Some(0));
        let case = &as_json(&world, &["cases", "show", &id])["cases"][0];
        let follow_up = &case["follow_ups"][0];
        assert_eq!(follow_up["outcome"], "worked");
        assert_eq!(follow_up["note"], "bigger vent");
        assert_eq!(follow_up["readings"]["co2"], "900 ppm");
        assert_eq!(follow_up["signs"]["long-stems"], "no");
        assert_eq!(
            follow_up["signs"].as_object().map(|signs| signs.len()),
            Some(2)
        );
        assert_eq!(case["found"].as_array().map(Vec::len), Some(0));
        assert_eq!(
            as_json(&world, &["cases", "learned"])["cases"]
                .as_array()
                .map(Vec::len),
            Some(0)
        );
    }

    #[test]
    fn the_questions_fit_a_wide_and_a_narrow_terminal() {
        for columns in [80, 40] {
            let world = World::new();
            let id = keep(&world, LEGGY);
            let mut command = world.bare();
            command.env("NO_COLOR", "1").args(["follow-up", &id]);
            let mut seat = Seat::of_size(command, 30, columns);
            let done = seat.screen_with("Which of these did you do?");
            insta::assert_snapshot!(format!("follow_up_done_{columns}"), done);
            seat.press(" \r");
            seat.screen_with("On which day?");
            seat.press("\r");
            let first = seat.screen_with("cannot check now");
            insta::assert_snapshot!(format!("follow_up_first_{columns}"), first);
            seat.press(&format!("{DOWN}\r"));
            // Each question is drawn before it is answered: its first choice looks like an answer.
            seat.screen_with("Is it so now: the caps are small");
            seat.press("\r");
            seat.screen_with("Type the reading in ppm.");
            seat.press("\r");
            seat.screen_with("Did it work");
            seat.press("\r");
            let last = seat.screen_with("What was it in the end?");
            insta::assert_snapshot!(format!("follow_up_last_{columns}"), last);
        }
    }

    #[test]
    fn a_follow_up_broken_off_notes_nothing() {
        let world = World::new();
        let id = keep(&world, LEGGY);
        let before = as_json(&world, &["cases"]);
        let mut seat = seat(&world, &["follow-up", &id]);
        seat.screen_with("Which of these did you do?");
        seat.press(" \r");
        seat.screen_with("On which day?");
        seat.press("\r");
        seat.screen_with("Is it so now: the stems are long");
        seat.press(&format!("{DOWN}\r"));
        seat.screen_with("Is it so now: the caps are small");
        seat.press("\u{3}");
        seat.child.wait().expect("it ends");
        assert_eq!(as_json(&world, &["cases"]), before);
    }

    #[test]
    fn it_is_asked_first_what_was_done_and_nothing_done_is_no_failure() {
        let world = World::new();
        let id = keep(&world, LEGGY);
        let mut seat = seat(&world, &["follow-up", &id]);
        seat.screen_with("Which of these did you do?");
        seat.press("\r");
        seat.wait_for("> none of them");
        seat.screen_with("Is it so now: the stems are long");
        seat.press("\r");
        seat.screen_with("Is it so now: the caps are small");
        seat.press("\r");
        seat.screen_with("Type the reading in ppm.");
        seat.press("\r");
        seat.screen_with("How is it now, with nothing done?");
        seat.press(&format!("{DOWN}{DOWN}{DOWN}\r"));
        seat.screen_with("What was it in the end?");
        seat.press("\r");
        seat.wait_for("A note for yourself");
        seat.press("\r");
        seat.wait_for("nothing that was advised was done");
        assert_eq!(seat.child.wait().expect("it ends").code(), Some(0));
        // What was marked is kept with the day that was told, and is not asked again.
        let again = keep(&world, LEGGY);
        let mut seat = self::seat(&world, &["follow-up", &again]);
        seat.screen_with("Which of these did you do?");
        seat.press(" \r");
        seat.screen_with("On which day?");
        seat.press("never\r");
        seat.wait_for("is no day");
        seat.press("yesterday\r");
        seat.screen_with("Is it so now: the stems are long");
        seat.press("\r");
        seat.screen_with("Is it so now: the caps are small");
        seat.press("\r");
        seat.screen_with("Type the reading in ppm.");
        seat.press("\r");
        seat.screen_with("Did it work: more fresh air?");
        seat.press("\r");
        seat.screen_with("What was it in the end?");
        seat.press("\r");
        seat.wait_for("A note for yourself");
        seat.press("\r");
        assert_eq!(seat.child.wait().expect("it ends").code(), Some(0));
        let case = &as_json(&world, &["cases", "show", &again])["cases"][0];
        assert_eq!(case["done"].as_array().map(Vec::len), Some(1));
        assert_eq!(case["done"][0]["action"], "more-fresh-air");
        let kept = case["at"].as_str().expect("a time");
        assert!(case["done"][0]["on"].as_str().expect("a day") < &kept[..10]);
    }

    /// Makes a case as old as this.
    fn aged(world: &World, id: &str, at: &str) {
        let path = world.home.path().join(format!("home/cases/{id}.toml"));
        let text = fs::read_to_string(&path).expect("readable");
        let line = text
            .lines()
            .find(|line| line.starts_with("at = "))
            .expect("a line");
        fs::write(&path, text.replace(line, &format!("at = \"{at}\""))).expect("written");
    }

    #[test]
    fn a_case_whose_time_has_come_is_told_at_a_terminal_and_nowhere_else() {
        let world = World::new();
        let id = keep(&world, LEGGY);
        aged(&world, &id, "2026-01-02T03:04:05+00:00");
        let said = format!("blockside follow-up {id}");
        for args in [
            &["cases"][..],
            &["cases", "show", &id],
            &["diagnose", "--sign", "spot-green"],
            &["describe", "--yes", "long thin stems"],
            &["why", "stale-air", "--sign", "long-stems"],
            &["rounds"],
            &["handbook", "stale-air"],
        ] {
            let mut at_terminal = seat(&world, args);
            at_terminal.wait_for(&said);
            at_terminal
                .wait_for("days since more fresh air was advised. Look again: CO2 at cap height");
            at_terminal.child.wait().expect("it ends");
            let piped = run(&world, args);
            assert!(
                !piped.out.contains(&said) && !piped.err.contains(&said),
                "{}",
                piped.err
            );
        }
        for args in [
            &["--format", "json", "cases"][..],
            &["cases", "export", "--all"],
            &["settings"],
            &["air", "--temperature", "20C", "--humidity", "90"],
        ] {
            let mut quiet = seat(&world, args);
            quiet.child.wait().expect("it ends");
            assert!(!quiet.shown().contains(&said), "{}", quiet.shown());
        }
        // What was done is told as done.
        run(
            &world,
            &["cases", "done", &id, "more-fresh-air", "--on", "2026-01-02"],
        );
        let mut at_terminal = seat(&world, &["cases"]);
        at_terminal.wait_for("days since more fresh air. Look again: CO2 at cap height");
        at_terminal.child.wait().expect("it ends");
        // Once it is closed it is not told any more.
        run(&world, &["follow-up", &id, "--outcome", "worked"]);
        let mut closed = seat(&world, &["cases"]);
        closed.wait_for("closed");
        closed.child.wait().expect("it ends");
        assert!(!closed.shown().contains(&said), "{}", closed.shown());
    }
}
