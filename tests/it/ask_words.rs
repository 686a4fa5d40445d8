//! A walk that begins with a grower's own words, and with what was written down of the rounds.

use std::fs;

use blockside::cli::ask::answers::Answers;
use blockside::cli::ask::walk::{Reply, Step, Walk};
use blockside::engine::diagnosis::Ask;
use blockside::engine::knowledge::KnowledgeBase;
use blockside::engine::observations::{Answer, Observations};
use blockside::engine::quantity::System;
use blockside::engine::reasoner::Reasoner;
use blockside::knowledge::embedded;
use jiff::ToSpan;
use serde_json::Value;

use crate::describe::read;
use crate::seat::Seat;
use crate::world::{Ran, World};

const WORDS: &str = "leggy blue oysters, 68F, about 90 %";

fn run(world: &World, args: &[&str]) -> Ran {
    let mut command = world.bare();
    command.args(args);
    let ran = Ran::of(command);
    assert_eq!(ran.status, 0, "{}", ran.err);
    ran
}

/// The steps of a walk in which nothing can be checked now.
fn steps(base: &KnowledgeBase, known: Observations) -> (Vec<Step>, Observations) {
    let reasoner = Reasoner::new(base, System::Metric);
    let mut walk = Walk::new(base, Answers::default()).knowing(known);
    let mut steps = Vec::new();
    loop {
        let diagnosis = reasoner.diagnose(&walk.observations());
        let step = walk.next_step(&diagnosis, &reasoner);
        if let Step::Finished(_) = step {
            return (steps, walk.observations());
        }
        walk.reply(&step, Reply::CannotNow);
        steps.push(step);
    }
}

#[test]
fn what_the_words_told_is_not_asked_and_no_complaint_is_asked_for_beside_it() {
    let base = embedded::base();
    let (before, _) = steps(&base, Observations::default());
    assert!(before.contains(&Step::Species));
    assert!(
        before
            .iter()
            .any(|step| matches!(step, Step::Complaints(_)))
    );
    let known = read(WORDS).observations();
    let (after, told) = steps(&base, known.clone());
    assert!(!after.contains(&Step::Species), "{after:?}");
    assert!(after.contains(&Step::Stage), "{after:?}");
    let complaints = after.iter().any(|step| matches!(step, Step::Complaints(_)));
    assert!(!complaints, "{after:?}");
    for step in &after {
        if let Step::Check(check) = step {
            let again = match &check.ask {
                Ask::Sign(id) => known.signs.contains_key(id),
                Ask::Reading(id) => known.readings.contains_key(id),
                Ask::Question(_, signs) => signs.iter().all(|id| known.signs.contains_key(id)),
            };
            assert!(!again, "{check:?} is asked again");
        }
    }
    assert_eq!(told.species, known.species);
    assert_eq!(told.readings, known.readings);
    assert_eq!(told.signs.get("long-stems"), Some(&Answer::Yes));
}

#[test]
fn words_that_tell_of_nothing_wrong_leave_the_complaints_to_be_asked() {
    let base = embedded::base();
    let (after, _) = steps(
        &base,
        read("blue oysters, no smell, no flies").observations(),
    );
    assert!(after.iter().any(|step| matches!(step, Step::Complaints(_))));
    assert!(!after.contains(&Step::Species));
}

#[test]
fn an_answer_stands_before_the_words() {
    let base = embedded::base();
    let known = read("humidity 90 %, long stems").observations();
    let mut answers = Answers::default();
    let (id, _) = base.signs.get_key_value("long-stems").expect("a sign");
    answers.signs.insert(
        id.clone(),
        blockside::cli::ask::answers::Told::Answer(Answer::No),
    );
    let told = Walk::new(&base, answers).knowing(known).observations();
    assert_eq!(told.signs.get("long-stems"), Some(&Answer::No));
    assert_eq!(told.readings["humidity"].value, 90.0);
}

#[test]
fn words_and_a_script_drive_a_walk_without_a_terminal() {
    let world = World::new();
    world.file(
        "answers.toml",
        "schema = \"blockside.answers/1\"\nstage = \"fruiting\"\n[signs]\nribbon-hangs-still = \"yes\"\n",
    );
    let ran = run(
        &world,
        &[
            "ask",
            WORDS,
            "--answers",
            "answers.toml",
            "--save",
            "case.toml",
        ],
    );
    let taken = ran
        .out
        .find("What your words were taken for")
        .expect("shown");
    let asked = ran.out.find("How far along is it?").expect("asked");
    assert!(taken < asked, "{}", ran.out);
    assert!(ran.out.contains("\"leggy\""), "{}", ran.out);
    assert!(!ran.out.contains("What are you growing?"), "{}", ran.out);
    let case = fs::read_to_string(world.home.path().join("case.toml")).expect("written");
    for line in [
        "species = \"grey-oyster\"",
        "stage = \"fruiting\"",
        "long-stems = \"yes\"",
        "humidity = ",
        "temperature = ",
    ] {
        assert!(case.contains(line), "{line}: {case}");
    }
    // The very same words, nothing else told: the walk weighs what `describe` weighs.
    let json =
        |args: &[&str]| -> Value { serde_json::from_str(&run(&world, args).out).expect("JSON") };
    world.file("none.toml", "schema = \"blockside.answers/1\"\n");
    let walk = json(&["ask", WORDS, "--answers", "none.toml", "--format", "json"]);
    let described = json(&["describe", WORDS, "--format", "json"]);
    assert_eq!(
        walk["causes"][0]["id"],
        described["diagnosis"]["causes"][0]["id"]
    );
}

#[test]
fn words_that_are_not_understood_begin_a_walk_that_asks_everything() {
    let world = World::new();
    world.file("none.toml", "schema = \"blockside.answers/1\"\n");
    let ran = run(&world, &["ask", "zorble frobs", "--answers", "none.toml"]);
    assert!(ran.out.contains("Nothing in these words"), "{}", ran.out);
    assert!(ran.out.contains("What are you growing?"), "{}", ran.out);
}

#[test]
fn a_walk_uses_the_days_of_the_rounds_as_a_diagnosis_does_and_says_so() {
    let world = World::new();
    let base = embedded::base();
    let feeds = base
        .rounds
        .iter()
        .find(|(_, round)| round.feeds.is_some() && round.asked_if.is_none());
    let (id, round) = feeds.expect("one feeds a reading");
    let reading = round.feeds.clone().expect("it feeds one");
    world.file(
        "answers.toml",
        "schema = \"blockside.answers/1\"\ncomplaints = [\"spot-on-block\"]\n",
    );
    let walk = ["ask", "--answers", "answers.toml"];
    assert!(!run(&world, &walk).out.contains("From your rounds"));
    let then = jiff::ZonedDateTime::now().date().checked_sub(23.days());
    let then = then.expect("a day").to_string();
    run(&world, &["rounds", "done", id.as_str(), "--on", &then]);
    let shown = run(&world, &walk).out;
    let said = shown
        .lines()
        .skip_while(|line| !line.contains("From your rounds"));
    let said: String = said.take(3).collect();
    assert!(said.contains("23"), "{shown}");
    assert!(!shown.contains(&format!("{}?", base.readings[&reading].name)));
    let told = |args: &[&str]| -> Value {
        let args = [args, &["--format", "json"]].concat();
        let report: Value = serde_json::from_str(&run(&world, &args).out).expect("JSON");
        report["told_by_rounds"].clone()
    };
    let diagnosed = told(&["diagnose", "--sign", "spot-on-block"]);
    assert_eq!(diagnosed, serde_json::json!([reading.as_str()]));
    assert_eq!(told(&walk), diagnosed);
}

#[test]
fn words_are_confirmed_at_the_terminal_and_the_walk_goes_on_from_them() {
    let world = World::new();
    let mut command = world.bare();
    command.env("NO_COLOR", "1").args(["ask", WORDS]);
    let mut seat = Seat::of_size(command, 24, 80);
    insta::assert_snapshot!("screen_ask_words", seat.screen_with("Is this right?"));
    seat.press("y");
    seat.wait_for("How far along is it?");
    assert!(!seat.shown().contains("What are you growing?"));
    seat.press("\r");
    // Whoever breaks it off is given a command that says the words again.
    let (status, shown) = {
        seat.screen_with("enough");
        seat.break_off("--resume")
    };
    assert_eq!(status, 130, "{shown}");
    let line = shown.lines().find(|line| line.contains("ask --resume"));
    let line = line.expect("a command on a line of its own").trim();
    assert!(line.ends_with(&format!("-- '{WORDS}'")), "{line}");
}

#[test]
fn a_description_that_decides_nothing_leads_on_into_the_questions() {
    let world = World::new();
    let mut command = world.bare();
    command
        .env("NO_COLOR", "1")
        .args(["describe", "blue oysters, the caps are small"]);
    let mut seat = Seat::of_size(command, 24, 40);
    seat.screen_with("Is this right?");
    seat.press("y");
    insta::assert_snapshot!(
        "screen_describe_go_on",
        seat.screen_with("Go on with questions?")
    );
    seat.press("y");
    seat.wait_for("How far along is it?");
    let (status, _) = seat.break_off("broken off");
    assert_eq!(status, 130);
}
