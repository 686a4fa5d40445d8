//! Checks the knowledge files and encodes them for the program to carry.
//!
//! The modules that do it are the program's own, read here by path: what the program would refuse cannot be built in.

#![allow(
    dead_code,
    unused_imports,
    reason = "the build script needs only a part of the modules it shares with the program"
)]

use std::path::Path;
use std::process::exit;
use std::{env, fs};

use crate::knowledge::build::{SourceFile, build};
use crate::knowledge::problem::Problem;
use crate::knowledge::read::read_folder;

#[path = "engine/mod.rs"]
mod engine;

#[path = "knowledge"]
mod knowledge {
    pub mod build;
    pub mod check;
    pub mod entries;
    pub mod fields;
    pub mod language;
    pub mod lint;
    pub mod pages;
    pub mod problem;
    pub mod profile;
    pub mod read;
    pub mod response;
    pub mod rules;
    pub mod shape;
    pub mod topics;
    pub mod watched;
}

#[path = "report"]
mod report {
    pub mod problems;
    pub mod sanitise;
}

/// The folder of knowledge files, from the crate's root, where build scripts run.
const FOLDER: &str = "knowledge";
/// The folder of published cases.
const CASES: &str = "fixtures/cases/published";

fn main() {
    println!("cargo::rerun-if-changed={FOLDER}");
    println!("cargo::rerun-if-changed={CASES}");
    println!("cargo::rerun-if-changed=src");
    let files = read_folder(Path::new(FOLDER), 0).unwrap_or_else(|error| stop(&error.to_string()));
    let built = build(&files);
    if Problem::any_error(&built.problems) {
        stop(&report::problems::render_all(
            &built.problems,
            &files,
            report::problems::Look::Plain,
        ));
    }
    let cases = read_folder(Path::new(CASES), 0).unwrap_or_else(|error| stop(&error.to_string()));
    println!(
        "cargo::rustc-env=BLOCKSIDE_KNOWLEDGE={}",
        edition(&built.base)
    );
    write("base.postcard", &postcard::to_stdvec(&built.base));
    let lean = built.base.for_diagnosis();
    write("lean.postcard", &postcard::to_stdvec(&lean));
    write("files.postcard", &names_and_texts(&files));
    write("cases.postcard", &names_and_texts(&cases));
}

/// The date of the knowledge, from the manifest, and how much of it there is.
fn edition(base: &engine::knowledge::KnowledgeBase) -> String {
    println!("cargo::rerun-if-changed=Cargo.toml");
    let manifest =
        fs::read_to_string("Cargo.toml").unwrap_or_else(|error| stop(&error.to_string()));
    let manifest: toml::Table = manifest
        .parse()
        .unwrap_or_else(|error: toml::de::Error| stop(&error.to_string()));
    let date = manifest["package"]["metadata"]["knowledge"]["date"]
        .as_str()
        .unwrap_or_else(|| stop("the manifest gives the knowledge no date"));
    let rules = base.rules.len()
        + base
            .causes
            .values()
            .map(|cause| cause.shows.len() + cause.raised_by.len() + cause.roots.len())
            .sum::<usize>()
        + base
            .actions
            .values()
            .map(|one| one.rules.len())
            .sum::<usize>()
        + base
            .cautions
            .values()
            .map(|one| one.rules.len())
            .sum::<usize>();
    format!(
        "knowledge of {date}: {} species, {} signs, {} causes, {rules} rules, {} actions, {} cautions, {} sources",
        base.species.len(),
        base.signs.len(),
        base.causes.len(),
        base.actions.len(),
        base.cautions.len(),
        base.sources.len()
    )
}

fn names_and_texts(files: &[SourceFile]) -> Result<Vec<u8>, postcard::Error> {
    let pairs: Vec<(&str, &str)> = files
        .iter()
        .map(|SourceFile { name, text, .. }| (name.as_str(), text.as_str()))
        .collect();
    postcard::to_stdvec(&pairs)
}

fn write(name: &str, encoded: &Result<Vec<u8>, postcard::Error>) {
    let folder = env::var_os("OUT_DIR").unwrap_or_else(|| stop("cargo gave no OUT_DIR"));
    match encoded {
        Ok(bytes) => fs::write(Path::new(&folder).join(name), bytes)
            .unwrap_or_else(|error| stop(&error.to_string())),
        Err(error) => stop(&error.to_string()),
    }
}

fn stop(message: &str) -> ! {
    eprintln!("{message}\nthe knowledge files cannot be built in");
    exit(1)
}
