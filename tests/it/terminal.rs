//! The walk at a terminal of its own: Ctrl-C, and going on as the program says.

use std::process::Command;

use crate::seat::Seat;
use crate::small;
use crate::world::World;

fn ask(world: &World) -> Command {
    let mut command = world.bare();
    command
        .arg("--knowledge-only")
        .arg(small::folder())
        .arg("ask");
    command
}

#[test]
fn ctrl_c_leaves_the_terminal_sane_and_the_walk_to_be_gone_on_with() {
    let world = World::new();
    let mut seat = Seat::new(ask(&world));
    seat.wait_for("What are you growing?");
    seat.press("\r");
    seat.wait_for("How far along is it?");
    let (status, shown) = seat.break_off("--resume");
    assert_eq!(status, 130, "{shown}");
    let (hidden, again) = (shown.rfind("\u{1b}[?25l"), shown.rfind("\u{1b}[?25h"));
    assert!(again > hidden, "the cursor stays hidden: {shown:?}");

    // The command works as it is printed.
    let line = shown.lines().find(|line| line.contains("ask --resume"));
    let mut shell = Command::new("/bin/sh");
    shell
        .args(["-c", line.expect("a command on a line of its own").trim()])
        .env_clear()
        .env("BLOCKSIDE_HOME", world.home.path().join("home"))
        .current_dir(world.home.path());
    let mut seat = Seat::new(shell);
    seat.wait_for("Going on after 1 answer");
    seat.wait_for("How far along is it?");
    // And there is a way back to what was answered before.
    seat.press("\u{1b}");
    seat.wait_for("What are you growing?");
    let (status, _) = seat.break_off("--resume");
    assert_eq!(status, 130);
}

#[test]
fn whoever_has_no_place_to_keep_answers_in_is_told_so() {
    let world = World::new();
    let mut command = ask(&world);
    command.env_remove("BLOCKSIDE_HOME");
    let mut seat = Seat::new(command);
    seat.wait_for("What are you growing?");
    seat.press("\r");
    seat.wait_for("How far along is it?");
    let (status, _) = seat.break_off("no place to keep your answers in");
    assert_eq!(status, 130);
}

#[test]
fn a_case_that_cannot_be_saved_under_one_name_is_saved_under_another() {
    let world = World::new();
    let there = world.file("there.toml", "mine");
    let mut command = ask(&world);
    command.args(["--save", "there.toml"]);
    let mut seat = Seat::new(command);
    seat.wait_for("What are you growing?");
    // Up from the first choice is the last: enough.
    seat.press("\u{1b}[A\r");
    seat.wait_for("Replace it?");
    seat.press("n");
    seat.wait_for("left as it is");
    seat.wait_for("another name?");
    seat.press("y");
    seat.wait_for("File");
    seat.press("no-such-folder/other.toml\r");
    seat.wait_for("there is no such folder");
    seat.press("y");
    seat.press("other.toml\r");
    seat.wait_for("Saved.");
    assert_eq!(seat.child.wait().expect("it ends").code(), Some(0));
    assert_eq!(std::fs::read_to_string(there).expect("readable"), "mine");
    let saved = world.run(&["diagnose", "other.toml"]);
    assert_eq!(saved.status, 0, "{}", saved.err);
    // Nothing is left over that would be offered to be gone on with.
    let kept = std::fs::read_dir(world.home.path().join("home"));
    assert_eq!(kept.map_or(0, Iterator::count), 0);
}

#[test]
fn a_slip_in_a_reading_is_named_and_asked_for_again() {
    let world = World::new();
    // The small knowledge base asks for carbon dioxide once the stems are long and the caps are told.
    world.file(
        "answers.toml",
        "schema = \"blockside.answers/1\"\nspecies = \"grey-oyster\"\nstage = \"fruiting\"\nsetup = []\n\
         complaints = [\"long-stems\"]\n[signs]\nsmall-caps = \"cannot\"\ncaps-pale = \"cannot\"\n\
         fan-feels-weak = \"cannot\"\nlamp-off-or-dim = \"cannot\"\n",
    );
    let mut command = ask(&world);
    command.args(["--resume", "answers.toml"]);
    let mut seat = Seat::new(command);
    seat.wait_for("Can you make up for that now?");
    seat.press("n");
    seat.wait_for("What does the CO2 meter read at cap height?");
    seat.wait_for("Type the reading in ppm.");
    seat.press("29OO\r");
    seat.wait_for("did you mean `ppm`? Type it again.");
    seat.press("2900\r");
    seat.wait_for("> 2900: taken as 2900 ppm, give or take");
    let (status, _) = seat.break_off("--resume");
    assert_eq!(status, 130);
}

#[test]
fn a_log_that_is_unclear_is_asked_about_at_a_terminal() {
    let world = World::new();
    world.file(
        "log.csv",
        "time,Probe A,Temp 1,Temp 2\n03/04/2026 00:00,1,70,20\n03/04/2026 00:05,1,70,21\n",
    );
    let mut command = world.bare();
    command.args(["log", "log.csv"]);
    let mut seat = Seat::new(command);
    seat.wait_for("Which column holds the temperature?");
    seat.press("\r");
    seat.wait_for("In which unit are the numbers of `Temp 1`, such as 70?");
    seat.press("\u{1b}[B\r");
    seat.wait_for("What comes first in dates such as `03/04/2026 00:00`?");
    seat.press("\r");
    seat.wait_for("Mean 21.1 °C");
    seat.wait_for("2026-04-03 00:00");
    assert_eq!(seat.child.wait().expect("it ends").code(), Some(0));
}

#[test]
fn whoever_gives_no_answer_about_a_log_is_told_the_option() {
    let world = World::new();
    world.file("log.csv", "time,Temp 1,Temp 2\n2026-03-04 00:00,20,21\n");
    let mut command = world.bare();
    command.args(["log", "log.csv"]);
    let mut seat = Seat::new(command);
    seat.wait_for("Which column holds the temperature?");
    seat.press("\u{1b}");
    seat.wait_for("choose one with `--column temperature=\"Temp 1\"`");
    assert_eq!(seat.child.wait().expect("it ends").code(), Some(3));
}

#[test]
fn a_long_log_shows_how_far_it_has_been_read() {
    let world = World::new();
    let mut text = "time,temp c\n".to_owned();
    for second in 0..400_000_u64 {
        text.push_str(&format!("{},20.{}\n", 1_772_600_767 + second, second % 10));
    }
    // Longer than what is read before anybody wonders.
    text.push_str(&"\n".repeat(4 * 1024 * 1024));
    world.file("log.csv", text);
    let mut command = world.bare();
    command.args(["log", "log.csv"]);
    let mut seat = Seat::new(command);
    seat.wait_for("reading [");
    seat.wait_for("400,000 rows used");
    assert_eq!(seat.child.wait().expect("it ends").code(), Some(0));
    // The line is taken away before the report begins.
    let shown = seat.shown();
    let (bar, report) = (shown.rfind("reading ["), shown.find("log.csv"));
    assert!(bar < report, "{}", &shown[..400.min(shown.len())]);
    assert!(shown[bar.expect("there")..report.expect("there")].contains("\u{1b}[2K"));
}
