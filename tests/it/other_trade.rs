//! Knowledge of another trade altogether: the engine knows nothing of what it reasons about.

use std::path::{Path, PathBuf};

use serde_json::Value;

use crate::world::{Ran, World};

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/other-trade")
}

fn bread(world: &World, args: &[&str]) -> Ran {
    let mut command = world.bare();
    command.arg("--knowledge-only").arg(folder()).args(args);
    let ran = Ran::of(command);
    assert_eq!((ran.status, ran.err.as_str()), (0, ""), "{args:?}");
    ran
}

fn json(world: &World, args: &[&str]) -> Value {
    let ran = bread(world, &[args, &["--format", "json"]].concat());
    serde_json::from_str(&ran.out).expect("JSON")
}

#[test]
fn bread_is_diagnosed_without_species_or_stages() {
    let world = World::new();
    let checked = json(&world, &["knowledge", "check"]);
    assert_eq!(
        (&checked["errors"], &checked["warnings"]),
        (&0.into(), &0.into())
    );
    for (told, leads) in [
        (
            &["dense-crumb", "springs-back-at-once", "tunnels"][..],
            "under-proofed",
        ),
        (&["flat-loaf", "dent-stays", "sharp-smell"], "over-proofed"),
        (
            &["pale-crust", "gummy-crumb", "dense-crumb=no"],
            "oven-too-cool",
        ),
    ] {
        let mut args = vec!["diagnose"];
        args.extend(told.iter().flat_map(|sign| ["--sign", sign]));
        let found = json(&world, &args);
        assert_eq!(found["causes"][0]["id"], leads, "{told:?}");
    }
    let found = json(
        &world,
        &[
            "diagnose",
            "--sign",
            "dense-crumb",
            "--sign",
            "springs-back-at-once",
            "--reading",
            "dough-temperature=66F",
        ],
    );
    assert_eq!(found["decided"], true);
    assert_eq!(found["causes"][0]["roots"][0]["id"], "dough-too-cold");
    let actions: Vec<&str> = found["actions"]
        .as_array()
        .expect("a list")
        .iter()
        .filter_map(|action| action["id"].as_str())
        .collect();
    assert_eq!(actions, ["longer-rise", "warmer-place"]);
    let cool = json(&world, &["diagnose", "--sign", "pale-crust"]);
    assert_eq!(cool["cautions"][0]["id"], "hot-oven");
}

#[test]
fn the_walk_about_bread_asks_about_bread() {
    let world = World::new();
    world.file(
        "answers.toml",
        "schema = \"blockside.answers/1\"\ncomplaints = [\"dense-crumb\"]\n[signs]\nsprings-back-at-once = \"yes\"\n\
         [readings]\ndough-temperature = \"19 C\"\n",
    );
    let ran = bread(
        &world,
        &["ask", "--answers", "answers.toml", "--save", "loaf.toml"],
    );
    let first = ran.out.lines().find(|line| line.starts_with('?'));
    assert_eq!(first, Some("? What looks wrong?"));
    let asked = ["spring back at once?", "How warm is the dough"];
    assert!(
        asked.iter().all(|part| ran.out.contains(part)),
        "{}",
        ran.out
    );
    for word in ["species", "stage", "crop", "block "] {
        assert!(!ran.out.contains(word), "{word}: {}", ran.out);
    }
    let saved = bread(&world, &["diagnose", "loaf.toml"]);
    // The case says the same, but for what is still to be looked at: the walk knows what was put off.
    let said = |text: &str| {
        let before = text
            .split("\nWhat to look at next")
            .next()
            .unwrap_or_default();
        let before = before.split("\nHomework").next().unwrap_or_default();
        before.trim_end().to_owned()
    };
    assert!(said(&ran.out).ends_with(&said(&saved.out)), "{}", saved.out);
    assert!(
        saved.out.starts_with("It rose too little."),
        "{}",
        saved.out
    );
}
