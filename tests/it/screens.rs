//! What a person sees at a terminal, screen by screen.

use std::process::Command;

use crate::seat::{DOWN, Seat, UP};
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
