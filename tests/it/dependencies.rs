//! What the program is built from: licences, versions, nothing that talks to a network, nothing unsafe. The lists and their
//! reasons stand in `dependencies.toml` beside this file.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use serde::Deserialize;

use crate::journal_faults::not_proven;

/// What may be used.
#[derive(Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
struct Allowed {
    licences: BTreeMap<String, String>,
    only_for: Vec<OnlyFor>,
    twice: Vec<Twice>,
    network: Vec<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct OnlyFor {
    licence: String,
    packages: Vec<String>,
    reason: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Twice {
    package: String,
    reason: String,
}

/// What `cargo metadata` says.
#[derive(Deserialize)]
struct Metadata {
    packages: Vec<Package>,
    resolve: Resolve,
}

#[derive(Deserialize)]
struct Package {
    id: String,
    name: String,
    version: String,
    license: Option<String>,
    source: Option<String>,
}

#[derive(Deserialize)]
struct Resolve {
    nodes: Vec<Node>,
    root: String,
}

#[derive(Deserialize)]
struct Node {
    id: String,
    deps: Vec<Dependency>,
    features: Vec<String>,
}

#[derive(Deserialize)]
struct Dependency {
    pkg: String,
    dep_kinds: Vec<DependencyKind>,
}

#[derive(Deserialize)]
struct DependencyKind {
    kind: Option<String>,
}

/// A lock file.
#[derive(Deserialize)]
struct Lock {
    package: Vec<Locked>,
}

#[derive(Deserialize)]
struct Locked {
    name: String,
    version: String,
    source: Option<String>,
}

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn text(path: &str) -> String {
    fs::read_to_string(root().join(path)).expect("it is there")
}

fn allowed() -> Allowed {
    toml::from_str(&text("tests/it/dependencies.toml")).expect("it says what it should")
}

fn cargo() -> Command {
    Command::new(std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into()))
}

/// All packages of a workspace, without a look at any network. Those of other platforms are missing where they were never
/// fetched.
fn metadata(folder: &str) -> Metadata {
    let ask = |more: &[&str]| {
        let ran = cargo()
            .args(["metadata", "--offline", "--locked", "--format-version", "1"])
            .args(more)
            .current_dir(root().join(folder))
            .output()
            .expect("cargo runs");
        let error = String::from_utf8_lossy(&ran.stderr).into_owned();
        if ran.status.success() {
            Ok(ran.stdout)
        } else {
            Err(error)
        }
    };
    let told = ask(&[]).or_else(|why| {
        let said = cargo().arg("-vV").output().expect("cargo runs").stdout;
        let said = String::from_utf8(said).expect("text");
        let host = said.lines().find_map(|line| line.strip_prefix("host: "));
        not_proven(
            "the dependencies on other platforms (`cargo fetch --locked` brings them)",
            why.lines().next().unwrap_or_default(),
        );
        ask(&["--filter-platform", host.expect("it says where it runs")])
    });
    serde_json::from_slice(&told.expect("what is built here was fetched")).expect("JSON")
}

/// Whether terms as SPDX writes them can be met by licences that are allowed alone: one side of an OR, both of an AND.
fn met(terms: &str, allowed: &dyn Fn(&str) -> bool) -> bool {
    // Before SPDX a stroke stood for OR.
    let terms = terms.replace('/', " OR ");
    let spaced = terms.replace('(', " ( ").replace(')', " ) ");
    let words: Vec<&str> = spaced.split_whitespace().collect();
    let mut at = 0;
    let fine = any(&words, &mut at, allowed);
    fine && at == words.len()
}

fn any(words: &[&str], at: &mut usize, allowed: &dyn Fn(&str) -> bool) -> bool {
    let mut fine = all(words, at, allowed);
    while words.get(*at) == Some(&"OR") {
        *at += 1;
        // Both sides are read, whichever is fine.
        fine |= all(words, at, allowed);
    }
    fine
}

fn all(words: &[&str], at: &mut usize, allowed: &dyn Fn(&str) -> bool) -> bool {
    let mut fine = one(words, at, allowed);
    while words.get(*at) == Some(&"AND") {
        *at += 1;
        fine &= one(words, at, allowed);
    }
    fine
}

fn one(words: &[&str], at: &mut usize, allowed: &dyn Fn(&str) -> bool) -> bool {
    let word = words.get(*at).copied().unwrap_or_default();
    *at += 1;
    if word == "(" {
        let fine = any(words, at, allowed);
        let closed = words.get(*at) == Some(&")");
        *at += 1;
        return fine && closed;
    }
    if words.get(*at) == Some(&"WITH") {
        let whole = format!("{word} WITH {}", words.get(*at + 1).unwrap_or(&""));
        *at += 2;
        return allowed(&whole);
    }
    allowed(word)
}

#[test]
fn terms_are_met_by_one_side_of_an_or_and_both_of_an_and() {
    let mit = |licence: &str| licence == "MIT";
    for (terms, fine) in [
        ("MIT", true),
        ("GPL-3.0-only", false),
        ("GPL-3.0-only OR MIT", true),
        ("MIT/GPL-3.0", true),
        ("MIT AND GPL-3.0-only", false),
        ("(MIT OR GPL-3.0-only) AND MIT", true),
        ("(MIT OR Apache-2.0) AND NCSA", false),
        ("Apache-2.0 WITH LLVM-exception OR MIT", true),
        ("MIT WITH Some-exception", false),
        ("(MIT", false),
        ("MIT MIT", false),
        ("", false),
    ] {
        assert_eq!(met(terms, &mit), fine, "{terms}");
    }
}

#[test]
fn every_dependency_has_a_licence_of_the_list_and_each_of_the_list_is_needed() {
    let list = allowed();
    let mut missed: BTreeSet<&str> = list.licences.keys().map(String::as_str).collect();
    missed.extend(list.only_for.iter().map(|one| one.licence.as_str()));
    let reasons = list.licences.values();
    assert!(
        reasons
            .chain(list.only_for.iter().map(|one| &one.reason))
            .all(|reason| !reason.is_empty())
    );
    for folder in [".", "tests/fuzz"] {
        let told = metadata(folder);
        assert!(told.packages.len() > 50);
        for package in &told.packages {
            let terms = package.license.as_deref();
            let terms = terms.unwrap_or_else(|| panic!("{} names no licence", package.name));
            let may = |licence: &str| {
                list.licences.contains_key(licence)
                    || list.only_for.iter().any(|one| {
                        folder != "."
                            && one.licence == licence
                            && one.packages.contains(&package.name)
                    })
            };
            assert!(
                met(terms, &may),
                "{} {} may be had under `{terms}` only: read it, then see tests/it/dependencies.toml",
                package.name,
                package.version
            );
            missed.retain(|licence| !terms.contains(licence));
        }
    }
    assert!(missed.is_empty(), "nothing needs {missed:?} any more");
}

#[test]
fn everything_comes_from_the_registry_and_twice_only_with_a_reason() {
    let list = allowed();
    let mut missed: BTreeSet<String> = list.twice.iter().map(|one| one.package.clone()).collect();
    assert!(list.twice.iter().all(|one| !one.reason.is_empty()));
    for file in ["Cargo.lock", "tests/fuzz/Cargo.lock"] {
        let lock: Lock = toml::from_str(&text(file)).expect("a lock file");
        let mut versions: BTreeMap<&str, BTreeSet<&str>> = BTreeMap::new();
        for package in &lock.package {
            let own = package.name.starts_with("blockside");
            let source = package.source.as_deref();
            assert!(
                own || source.is_some_and(|source| source.starts_with("registry+")),
                "{file}: {} comes from {source:?}",
                package.name
            );
            versions
                .entry(&package.name)
                .or_default()
                .insert(&package.version);
        }
        for (name, versions) in versions.iter().filter(|(_, versions)| versions.len() > 1) {
            missed.remove(*name);
            assert!(
                list.twice.iter().any(|one| one.package == **name),
                "{file}: {name} is there as {versions:?}; see tests/it/dependencies.toml"
            );
        }
    }
    assert!(missed.is_empty(), "{missed:?} are not there twice any more");
}

/// What the program itself is made of, with the features it is made with: no tests, no build script.
fn made_of(told: &Metadata) -> BTreeMap<&str, &[String]> {
    let mut found = BTreeMap::new();
    let mut ids = vec![told.resolve.root.as_str()];
    while let Some(id) = ids.pop() {
        let node = told.resolve.nodes.iter().find(|node| node.id == id);
        let node = node.expect("each has a node");
        if found.insert(id, node.features.as_slice()).is_some() {
            continue;
        }
        let normal =
            |dependency: &&Dependency| dependency.dep_kinds.iter().any(|kind| kind.kind.is_none());
        ids.extend(node.deps.iter().filter(normal).map(|one| one.pkg.as_str()));
    }
    let name = |id: &str| {
        let package = told.packages.iter().find(|package| package.id == id);
        package.expect("each is told").name.as_str()
    };
    found
        .into_iter()
        .map(|(id, features)| (name(id), features))
        .collect()
}

#[test]
fn nothing_that_the_program_is_made_of_talks_to_a_network() {
    let list = allowed();
    assert!(list.network.len() > 20);
    let told = metadata(".");
    let made = made_of(&told);
    assert!(made.contains_key("clap") && !made.contains_key("criterion"));
    for (name, features) in &made {
        assert!(
            !list.network.iter().any(|one| one == name),
            "{name} talks to a network"
        );
        // What wraps the calls of the operating system has those of sockets behind a feature.
        let wraps = ["rustix", "nix"].contains(name);
        let sockets = features
            .iter()
            .any(|one| ["net", "socket", "all-apis"].contains(&one.as_str()));
        assert!(!wraps || !sockets, "{name} with {features:?}");
    }
    for package in &told.packages {
        let own = package.source.is_none();
        assert_eq!(own, package.name == "blockside", "{}", package.name);
    }
    for (path, text) in rust_files("src") {
        for word in [
            "std::net",
            "TcpStream",
            "UdpSocket",
            "ToSocketAddrs",
            "UnixStream",
        ] {
            assert!(!text.contains(word), "{}: {word}", path.display());
        }
    }
}

fn rust_files(folder: &str) -> Vec<(PathBuf, String)> {
    let mut found = Vec::new();
    let mut folders = vec![root().join(folder)];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(&folder).expect("a folder") {
            let path = entry.expect("readable").path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|ending| ending == "rs") {
                let text = fs::read_to_string(&path).expect("text");
                found.push((path, text));
            }
        }
    }
    found
}

#[test]
fn no_code_of_ours_is_unsafe_and_none_may_become_so() {
    // The lint holds for the library, the program, the build script, the tests and the benches of a package.
    for file in ["Cargo.toml", "tests/fuzz/Cargo.toml"] {
        let table: toml::Table = text(file).parse().expect("TOML");
        let lint = &table["lints"]["rust"]["unsafe_code"];
        assert_eq!(lint.as_str(), Some("forbid"), "{file}");
    }
    let mut files = rust_files("src");
    files.extend(rust_files("tests"));
    for folder in ["tests/fuzz/src", "tests/fuzz/fuzz_targets"] {
        files.extend(rust_files(folder));
    }
    assert!(files.len() > 300);
    // Written in two parts, so that this file has none.
    let word = ["un", "safe"].concat();
    for (path, text) in files {
        for line in text.lines() {
            let code = line.split("//").next().unwrap_or_default();
            let used = code
                .split(|c: char| !c.is_alphanumeric() && c != '_')
                .any(|part| part == word);
            let quoted = code.contains('"');
            assert!(!used || quoted, "{}: {line}", path.display());
        }
    }
}
