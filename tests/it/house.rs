//! The house rules that a test can check: layers, what stays out of the code, what is left behind.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

use blockside::knowledge::embedded;

/// Which module may import from which; the table of DEVELOPERS.md.
const LAYERS: [(&str, &[&str]); 8] = [
    ("engine", &[]),
    ("knowledge", &["engine"]),
    ("journal", &["engine", "knowledge"]),
    ("train", &["engine", "knowledge"]),
    ("log", &["engine", "knowledge"]),
    ("describe", &["engine", "knowledge"]),
    (
        "report",
        &["describe", "engine", "knowledge", "journal", "log", "train"],
    ),
    (
        "cli",
        &[
            "describe",
            "engine",
            "knowledge",
            "journal",
            "log",
            "report",
            "train",
        ],
    ),
];

fn rust_files(folder: &str) -> Vec<(PathBuf, String)> {
    let mut found = Vec::new();
    let mut folders = vec![Path::new(env!("CARGO_MANIFEST_DIR")).join(folder)];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(&folder).expect("the folder is there") {
            let path = entry.expect("readable").path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|extension| extension == "rs") {
                let text = fs::read_to_string(&path).expect("readable text");
                found.push((path, text));
            }
        }
    }
    assert!(!found.is_empty());
    found.sort();
    found
}

/// The module a file of `src/` belongs to, if it is one of the layers.
fn layer_of(path: &Path) -> Option<&'static str> {
    let inside = path
        .strip_prefix(Path::new(env!("CARGO_MANIFEST_DIR")).join("src"))
        .expect("a file of src/");
    let first = inside
        .components()
        .next()?
        .as_os_str()
        .to_string_lossy()
        .into_owned();
    LAYERS
        .iter()
        .map(|(layer, _)| *layer)
        .find(|layer| *layer == first)
}

/// The lines of a file that are code: no comments, no test module.
fn code(text: &str) -> Vec<&str> {
    let tests = text.find("#[cfg(test)]\nmod ").unwrap_or(text.len());
    text[..tests]
        .lines()
        .filter(|line| !line.trim_start().starts_with("//"))
        .collect()
}

#[test]
fn modules_import_along_the_layers_only() {
    for (path, text) in rust_files("src") {
        let Some(layer) = layer_of(&path) else {
            continue;
        };
        let (_, allowed) = LAYERS
            .iter()
            .find(|(name, _)| *name == layer)
            .expect("a layer");
        if path.ends_with("tests.rs") {
            continue;
        }
        for line in code(&text) {
            for (place, _) in line.match_indices("crate::") {
                let to: String = line[place + 7..]
                    .chars()
                    .take_while(|c| c.is_alphanumeric() || *c == '_')
                    .collect();
                let known = LAYERS.iter().any(|(name, _)| *name == to);
                let fine = to == layer || !known || allowed.contains(&to.as_str());
                assert!(
                    fine,
                    "{} imports crate::{to}, which {layer} may not",
                    path.display()
                );
            }
            assert!(
                !line.contains("use super::*"),
                "{}: imports are the map",
                path.display()
            );
        }
    }
}

#[test]
fn the_engine_touches_no_file_clock_environment_or_terminal() {
    for (path, text) in rust_files("src")
        .into_iter()
        .filter(|(path, _)| layer_of(path) == Some("engine"))
    {
        for line in code(&text) {
            for word in [
                "std::fs",
                "std::env",
                "std::time",
                "std::net",
                "std::process",
                "println!",
                "print!(",
                "eprint",
            ] {
                assert!(!line.contains(word), "{}: {line}", path.display());
            }
        }
    }
}

#[test]
fn the_code_names_no_cause_sign_setup_item_or_species() {
    let base = embedded::base();
    let mut ids: BTreeSet<String> = base.causes.keys().map(ToString::to_string).collect();
    ids.extend(base.signs.keys().map(ToString::to_string));
    ids.extend(base.species.keys().map(ToString::to_string));
    ids.extend(base.facts.keys().map(ToString::to_string));
    ids.extend(base.actions.keys().map(ToString::to_string));
    ids.extend(base.cautions.keys().map(ToString::to_string));
    ids.extend(base.setup.keys().map(ToString::to_string));
    ids.extend(base.people.keys().map(ToString::to_string));
    ids.extend(base.outputs.keys().map(ToString::to_string));
    assert!(ids.len() > 300);
    for (path, text) in rust_files("src") {
        for line in code(&text) {
            for (start, _) in line.match_indices('"') {
                let quoted: String = line[start + 1..]
                    .chars()
                    .take_while(|c| *c != '"')
                    .collect();
                assert!(
                    !ids.contains(&quoted),
                    "{}: knowledge is data, code is the engine: {line}",
                    path.display()
                );
            }
        }
    }
}

#[test]
fn nothing_is_left_behind_in_the_code() {
    for folder in ["src", "tests"] {
        for (path, text) in rust_files(folder) {
            if path.ends_with("house.rs") {
                continue;
            }
            for word in [
                "TODO",
                "FIXME",
                "XXX",
                "dbg!",
                "todo!",
                "unimplemented!",
                "#[ignore",
            ] {
                assert!(!text.contains(word), "{}: {word}", path.display());
            }
        }
    }
}

#[test]
fn library_code_does_not_unwrap() {
    for (path, text) in rust_files("src") {
        if path.ends_with("tests.rs") {
            continue;
        }
        for line in code(&text) {
            assert!(!line.contains(".unwrap()"), "{}: {line}", path.display());
        }
    }
}

#[test]
fn the_top_level_holds_what_was_agreed() {
    let allowed = [
        "Cargo.toml",
        "Cargo.lock",
        "README.md",
        "DEVELOPERS.md",
        "LICENSE-APACHE",
        "LICENSE-MIT",
        ".gitignore",
        ".ci",
        "src",
        "knowledge",
        "tests",
        "fixtures",
        ".git",
        "target",
    ];
    for entry in fs::read_dir(env!("CARGO_MANIFEST_DIR")).expect("readable") {
        let name = entry
            .expect("readable")
            .file_name()
            .to_string_lossy()
            .into_owned();
        assert!(
            allowed.contains(&name.as_str()),
            "{name} does not belong at the top level"
        );
    }
}
