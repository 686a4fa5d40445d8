//! Practice at a terminal of its own.

use std::fs;
use std::process::Command;

use crate::seat::Seat;
use crate::world::World;

fn practise(world: &World, more: &[&str]) -> Command {
    let mut command = world.bare();
    command
        .env("NO_COLOR", "1")
        .args([
            "practise", "--seed", "5", "--topic", "moulds", "--helper", "Mira",
        ])
        .args(more);
    command
}

/// One whole round on a screen of this size, with a snapshot of each kind of screen.
fn round(columns: u16) {
    let world = World::new();
    let mut seat = Seat::of_size(practise(&world, &["--cases", "1"]), 24, columns);
    let snap = |name: &str, screen: String| {
        insta::assert_snapshot!(format!("practise_{name}_{columns}"), screen);
    };
    snap("look", seat.screen_with("What do you look at next?"));
    seat.press("1");
    seat.wait_for("? no");
    seat.screen_with("a answer: I am sure");
    seat.press("s");
    seat.screen_with("back to the short list");
    seat.press("colour of the spot");
    snap("search", seat.screen_with("find: colour of the spot_"));
    seat.press("\r");
    seat.wait_for("Green like a leaf or forest");
    seat.screen_with("a answer: I am sure");
    seat.press("a");
    seat.screen_with("What is it?");
    seat.press("green mould");
    seat.screen_with("find: green mould_");
    seat.press("\r");
    seat.screen_with("How sure are you, in per cent?");
    seat.press("lots\r");
    seat.wait_for("A number from 0 to 100, such as 70.");
    seat.press("80\r");
    seat.screen_with("And at the same time?");
    seat.press("\r");
    snap("first", seat.screen_with("What do you do first?"));
    seat.press("1");
    snap("cautions", seat.screen_with("n nothing special"));
    seat.press("n");
    let missed = seat.screen_with("Press Enter when you have read this.");
    assert!(missed.contains("Missed, and it comes before"), "{missed}");
    snap("missed", missed);
    for _ in 0..40 {
        if seat
            .child
            .try_wait()
            .expect("it can be waited for")
            .is_some()
        {
            break;
        }
        seat.press("\r");
        std::thread::sleep(std::time::Duration::from_millis(100));
    }
    assert_eq!(seat.child.wait().expect("it ends").code(), Some(0));
    seat.wait_for("of 100 points");
    let record = fs::read_to_string(world.home.path().join("home/practice/mira.toml"));
    assert_eq!(record.expect("kept").matches("[[round]]").count(), 1);
}

#[test]
fn a_whole_round_fits_eighty_columns() {
    round(80);
}

#[test]
fn a_whole_round_fits_forty_columns() {
    round(40);
}

#[test]
fn a_case_broken_off_counts_for_nothing_and_leaves_the_terminal_sane() {
    let world = World::new();
    let mut seat = Seat::of_size(practise(&world, &[]), 24, 80);
    seat.screen_with("What do you look at next?");
    seat.press("1");
    seat.wait_for("? no");
    let (status, shown) = seat.break_off("this case counts for nothing");
    assert_eq!(status, 130, "{shown}");
    let (hidden, again) = (shown.rfind("\u{1b}[?25l"), shown.rfind("\u{1b}[?25h"));
    assert!(again > hidden, "the cursor stays hidden: {shown:?}");
    assert!(!world.home.path().join("home/practice/mira.toml").exists());
}

#[test]
fn a_helper_who_leaves_is_not_asked_any_more() {
    let world = World::new();
    let mut seat = Seat::of_size(practise(&world, &[]), 24, 80);
    seat.screen_with("What do you look at next?");
    seat.press("q");
    assert_eq!(seat.child.wait().expect("it ends").code(), Some(0));
    assert!(!world.home.path().join("home/practice/mira.toml").exists());
}

#[test]
fn a_terminal_that_cannot_move_its_cursor_is_enough() {
    let world = World::new();
    let mut command = practise(&world, &["--cases", "1"]);
    command.env("TERM", "dumb");
    let mut seat = Seat::of_size(command, 24, 80);
    seat.wait_for("Number or letter>");
    seat.press("a\n");
    seat.wait_for("What is it?");
    seat.press("green mould (\n");
    seat.wait_for("How sure are you, in per cent?");
    seat.press("60\n");
    seat.wait_for("And at the same time?");
    seat.press("1\n");
    seat.wait_for("What do you do first?");
    seat.press("1\n");
    seat.wait_for("Mark every one that is due.");
    seat.press("n\n");
    for _ in 0..40 {
        if seat
            .child
            .try_wait()
            .expect("it can be waited for")
            .is_some()
        {
            break;
        }
        seat.press("\n");
        std::thread::sleep(std::time::Duration::from_millis(100));
    }
    assert_eq!(seat.child.wait().expect("it ends").code(), Some(0));
    seat.wait_for("of 100 points");
}
