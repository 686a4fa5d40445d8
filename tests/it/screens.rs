//! What a person sees at a terminal, screen by screen.

use std::process::Command;

use crate::seat::{DOWN, Seat, UP};
use crate::small;
use crate::world::World;

/// The walk with the built-in knowledge, without colour so that the screens can be read.
fn ask(world: &World) -> Command {
    let mut command = world.bare();
    command.env("NO_COLOR", "1").arg("ask");
    command
}

#[test]
fn the_opening_choices_fit_eighty_columns_and_forty() {
    let world = World::new();
    let mut seat = Seat::of_size(ask(&world), 24, 80);
    insta::assert_snapshot!(
        "screen_species_80",
        seat.screen_with("What are you growing?")
    );
    seat.press(DOWN);
    seat.press(UP);
    seat.press("\r");
    insta::assert_snapshot!("screen_stage_80", seat.screen_with("How far along is it?"));
    seat.resize(20, 40);
    seat.press("\r");
    insta::assert_snapshot!("screen_setup_40", seat.screen_with("How is it grown?"));
    let (status, _) = seat.break_off("--resume");
    assert_eq!(status, 130);
}

#[test]
fn a_spot_is_contained_on_one_small_screen_and_asked_about_on_the_next() {
    let world = World::new();
    let mut command = ask(&world);
    command.arg("--spot");
    let mut seat = Seat::of_size(command, 20, 40);
    let minute = seat.screen_with("Press Enter when you have read this.");
    assert!(minute.contains("first sixty seconds"), "{minute}");
    insta::assert_snapshot!("screen_first_minute_40", minute);
    seat.press("\r");
    insta::assert_snapshot!("screen_spot_colour_40", seat.screen_with("e enough"));
    // Why is that asked? The same question stands below the answer.
    seat.press("w");
    let why = seat.screen_with("Press Enter when you have read this.");
    assert!(why.contains("Effort: glance."), "{why}");
    seat.press("\r");
    seat.screen_with("e enough");
    seat.press("b");
    seat.screen_with("There is no step before this one.");
    seat.press("\r");
    seat.screen_with("e enough");
    let (status, _) = seat.break_off("broken off");
    assert_eq!(status, 130);
}

/// From the first question to the list of complaints, saying nothing on the way.
fn to_the_complaints(seat: &mut Seat) {
    for question in [
        "What are you growing?",
        "How far along is it?",
        "How is it grown?",
    ] {
        seat.screen_with(question);
        seat.press("\r");
    }
}

#[test]
fn a_complaint_leads_to_its_check_with_its_asides_however_narrow_it_becomes() {
    let world = World::new();
    let mut seat = Seat::of_size(ask(&world), 24, 80);
    to_the_complaints(&mut seat);
    insta::assert_snapshot!("screen_complaints_80", seat.screen_with("e enough"));
    // The first line of the list.
    seat.press(" ");
    seat.press("\r");
    seat.screen_with("What is the main colour of the spot?");
    insta::assert_snapshot!("screen_check_80", seat.screen_with("e enough"));
    seat.press("w");
    let why = seat.screen_with("Press Enter when you have read this.");
    insta::assert_snapshot!("screen_why_80", why);
    seat.press("\r");
    seat.screen_with("e enough");
    seat.press("t");
    seat.wait_for("> what do you think so far?");
    insta::assert_snapshot!("screen_so_far_80", seat.screen_with("e enough"));
    // The window is made narrow with a check on it, and the next is as narrow.
    seat.resize(24, 40);
    seat.press("c");
    insta::assert_snapshot!("screen_check_after_resize_40", seat.screen_with("e enough"));
    let (status, _) = seat.break_off("--resume");
    assert_eq!(status, 130);
}

#[test]
fn the_complaints_and_a_check_fit_forty_columns() {
    let world = World::new();
    let mut seat = Seat::of_size(ask(&world), 20, 40);
    to_the_complaints(&mut seat);
    insta::assert_snapshot!("screen_complaints_40", seat.screen_with("e enough"));
    seat.press(" ");
    seat.press("\r");
    insta::assert_snapshot!("screen_check_40", seat.screen_with("u not sure"));
    let (status, _) = seat.break_off("--resume");
    assert_eq!(status, 130);
}

#[test]
fn cautions_that_are_due_together_share_one_pause() {
    let world = World::new();
    let mut command = ask(&world);
    command.arg("--spot");
    let mut seat = Seat::of_size(command, 40, 80);
    seat.screen_with("Press Enter when you have read this.");
    seat.press("\r");
    seat.screen_with("What is the main colour of the spot?");
    // Green is the fourth.
    seat.press("4");
    let stop = seat.screen_with("Press Enter when you have read this.");
    assert!(stop.contains("STOP. Read this first"), "{stop}");
    insta::assert_snapshot!("screen_stop_80", stop);
    // What does not fit the screen waits for the next.
    let mut pauses = 1;
    seat.press("\r");
    while !seat
        .screen_with("")
        .contains("What does the surface of the spot look like?")
    {
        pauses += 1;
        assert!(pauses <= 2, "{}", seat.screen());
        seat.press("\r");
    }
    let (status, _) = seat.break_off("--resume");
    assert_eq!(status, 130);
}

#[test]
fn what_was_put_off_stands_as_homework_at_the_end() {
    let world = World::new();
    world.file(
        "answers.toml",
        "schema = \"blockside.answers/1\"\nspecies = \"grey-oyster\"\nstage = \"fruiting\"\nsetup = []\n\
         complaints = [\"long-stems\"]\n",
    );
    let mut command = world.bare();
    command
        .env("NO_COLOR", "1")
        .arg("--knowledge-only")
        .arg(small::folder())
        .args(["ask", "--resume", "answers.toml"]);
    let mut seat = Seat::of_size(command, 40, 80);
    seat.screen_with("What does the CO2 meter read at cap height?");
    seat.press("\r");
    seat.screen_with("e enough");
    seat.press("e");
    let end = seat.screen_with("Keep this case in your journal?");
    insta::assert_snapshot!("screen_end_80", end);
    seat.press("n");
    seat.wait_for("Your answers are kept for the homework.");
    assert_eq!(seat.child.wait().expect("it ends").code(), Some(0));
}

#[test]
fn what_was_understood_is_confirmed_before_it_is_weighed() {
    let world = World::new();
    let mut command = world.bare();
    command
        .env("NO_COLOR", "1")
        .args(["describe", "long stems and blorp"]);
    let mut seat = Seat::of_size(command, 24, 80);
    insta::assert_snapshot!(
        "screen_describe_confirm",
        seat.screen_with("Is this right?")
    );
    seat.press("n");
    seat.screen_with("In other words");
    seat.press("long stems, small caps\r");
    seat.wait_for("the caps are small for the stems");
    seat.screen_with("Is this right?");
    seat.press("y");
    seat.wait_for("What it may be");
    seat.screen_with("Go on with questions?");
    seat.press("n");
    assert_eq!(seat.child.wait().expect("it ends").code(), Some(0));
}

#[test]
fn whoever_finds_no_words_ends_without_a_verdict() {
    let world = World::new();
    let mut command = world.bare();
    command.arg("describe");
    let mut seat = Seat::of_size(command, 24, 40);
    seat.screen_with("What do you see?");
    seat.press("\r");
    assert_eq!(seat.child.wait().expect("it ends").code(), Some(0));
    assert!(!seat.shown().contains("What it may be"));
}
