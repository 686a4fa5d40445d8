//! A case knows the sensor log it was made with.

use std::fs;
use std::path::{Path, PathBuf};

use crate::world::{Ran, World};

/// A world with a log and the case that was made from it.
fn logged() -> World {
    let world = World::new();
    let log = fixture("logs/thermal.csv");
    world.file("log.csv", fs::read_to_string(log).expect("readable"));
    let ran = built_in(
        &world,
        &[
            "log",
            "log.csv",
            "--species",
            "oyster",
            "--into",
            "case.toml",
        ],
    );
    assert_eq!(ran.status, 0, "{}", ran.err);
    world
}

fn built_in(world: &World, args: &[&str]) -> Ran {
    let mut command = world.bare();
    command.args(args);
    Ran::of(command)
}

fn fixture(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("fixtures")
        .join(name)
}

fn page(world: &World, name: &str) -> String {
    fs::read_to_string(world.home.path().join(name)).expect("written")
}

const DRAWN: &str = "data:image/svg+xml;base64,";

#[test]
fn a_case_knows_its_log_and_its_page_draws_it() {
    let world = logged();
    let case = page(&world, "case.toml");
    assert!(case.contains("log = \"log.csv\"\n"), "{case}");
    let ran = built_in(&world, &["diagnose", "case.toml", "--html", "page.html"]);
    assert_eq!(ran.status, 0, "{}", ran.err);
    let drawn = page(&world, "page.html");
    assert_eq!(drawn.matches(DRAWN).count(), 1);
    assert!(drawn.contains("The log, drawn from log.csv"));
    // A drawing that is given stands in place of that.
    let ran = built_in(&world, &["log", "log.csv", "--plot", "log.svg"]);
    assert_eq!(ran.status, 0, "{}", ran.err);
    let args = ["diagnose", "case.toml", "--chart", "log.svg"];
    let ran = built_in(&world, &[&args[..], &["--html", "given.html"]].concat());
    assert_eq!(ran.status, 0, "{}", ran.err);
    let given = page(&world, "given.html");
    assert_eq!(given.matches(DRAWN).count(), 1);
    assert!(given.contains("drawn from log.svg"));
}

#[test]
fn a_kept_case_draws_its_log_while_it_is_there_and_says_so_when_it_is_not() {
    let world = logged();
    let ran = built_in(&world, &["diagnose", "case.toml", "--save"]);
    assert_eq!(ran.status, 0, "{}", ran.err);
    let folder = world.home.path().join("home/cases");
    let mut files = fs::read_dir(&folder).expect("a folder");
    let kept = files.find_map(|file| {
        let path = file.expect("readable").path();
        (path.extension()? == "toml").then_some(path)
    });
    let kept = kept.expect("a case").display().to_string();
    let ran = built_in(&world, &["diagnose", &kept, "--html", "there.html"]);
    assert_eq!((ran.status, ran.err.as_str()), (0, ""));
    assert_eq!(page(&world, "there.html").matches(DRAWN).count(), 1);
    fs::remove_file(world.home.path().join("log.csv")).expect("removed");
    let ran = built_in(&world, &["diagnose", &kept, "--html", "gone.html"]);
    assert_eq!(ran.status, 0, "{}", ran.err);
    let gone = page(&world, "gone.html");
    for said in [&ran.err, &gone] {
        let flat = said.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(flat.contains("is not there any more"), "{flat}");
    }
    assert!(!gone.contains(DRAWN));
    // What stands there now is no log: that is said as well, and the page is written all the same.
    world.file("log.csv", "no log at all");
    let ran = built_in(&world, &["diagnose", &kept, "--html", "no-log.html"]);
    assert_eq!(ran.status, 0, "{}", ran.err);
    assert!(page(&world, "no-log.html").contains("could not be drawn"));
}

#[test]
fn where_a_log_lies_is_not_given_to_others_nor_taken_from_them() {
    let world = logged();
    let ran = built_in(&world, &["diagnose", "case.toml", "--save"]);
    assert_eq!(ran.status, 0, "{}", ran.err);
    let shown = built_in(&world, &["cases"]).out;
    let id = shown.split_whitespace().next().expect("an id").to_owned();
    assert!(
        built_in(&world, &["cases", "show", &id])
            .out
            .contains("log.csv")
    );
    let line = built_in(&world, &["cases", "export", "--all"]).out;
    let json = built_in(&world, &["cases", "--format", "json"]).out;
    assert!(
        !line.contains("log.csv") && !json.contains("log.csv"),
        "{line}"
    );
    let mut hostile: serde_json::Value = serde_json::from_str(&line).expect("JSON");
    hostile["log"] = "/etc/passwd".into();
    let other = World::new();
    other.file("in.jsonl", hostile.to_string());
    assert_eq!(built_in(&other, &["cases", "import", "in.jsonl"]).status, 0);
    let kept = page(&other, &format!("home/cases/{id}.toml"));
    assert!(!kept.contains("passwd"), "{kept}");
}
