//! The broken examples of `fixtures/broken`: one folder for each problem code, laid over a tiny sound base.
//!
//! The files of a folder are a layer over `base`. Where a folder holds `in-place-of-base`, its files stand in for those
//! of the same name in `base` instead. Where it holds `case.toml`, that file is read as a case over the base.

use std::fs;
use std::path::{Path, PathBuf};

use blockside::engine::knowledge::KnowledgeBase;
use blockside::journal::case;
use blockside::knowledge::build::{Built, SourceFile, build};
use blockside::knowledge::problem::{Problem, ProblemCode};
use blockside::knowledge::read::read_folder;
use blockside::report::problems::{Look, render_all};

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// The knowledge files of a folder under the crate's root, named from there.
pub fn folder(path: &str, layer: usize) -> Vec<SourceFile> {
    let prefix = format!("{}/", root().display());
    let mut files = read_folder(&root().join(path), layer).expect("the folder can be read");
    for file in &mut files {
        file.name = file.name.replace(&prefix, "");
    }
    files
}

/// The files of the sound base.
pub fn base_files() -> Vec<SourceFile> {
    folder("fixtures/broken/base", 0)
}

/// The sound base.
pub fn base() -> KnowledgeBase {
    build(&base_files())
        .usable()
        .expect("the base has no fault")
}

/// The sound base with a further file laid over it.
pub fn with(text: &str) -> (Built, Vec<SourceFile>) {
    let mut files = base_files();
    files.push(SourceFile {
        name: "own.toml".to_owned(),
        text: text.to_owned(),
        layer: 1,
    });
    (build(&files), files)
}

/// All problems of a code's example, with the files they are in.
fn problems(code: ProblemCode) -> (Vec<Problem>, Vec<SourceFile>) {
    let path = format!("fixtures/broken/{}", code.name());
    let own: PathBuf = root().join(&path);
    assert!(
        own.is_dir(),
        "{path} is missing: every problem code has a broken example"
    );
    if own.join("case.toml").exists() {
        let name = format!("{path}/case.toml");
        let text = fs::read_to_string(root().join(&name)).expect("text");
        let found = case::parse(&base(), &name, &text).expect_err("the case is broken");
        let layer = 0;
        return (found, vec![SourceFile { name, text, layer }]);
    }
    let mut files = base_files();
    if own.join("in-place-of-base").exists() {
        let last = |name: &str| name.rsplit('/').next().map(str::to_owned);
        let instead = folder(&path, 0);
        let names: Vec<Option<String>> = instead.iter().map(|file| last(&file.name)).collect();
        files.retain(|file| !names.contains(&last(&file.name)));
        files.extend(instead);
    } else {
        files.extend(folder(&path, 1));
    }
    (build(&files).problems, files)
}

#[test]
fn the_base_of_the_broken_examples_has_no_problem_at_all() {
    let files = base_files();
    let found = build(&files).problems;
    assert!(
        found.is_empty(),
        "{}",
        render_all(&found, &files, Look::Plain)
    );
}

#[test]
fn every_problem_code_has_an_example_that_shows_it_alone() {
    let mut wrong = String::new();
    for code in ProblemCode::ALL {
        let (found, files) = problems(*code);
        let text = render_all(&found, &files, Look::Plain);
        if found.len() != 1 || found[0].code != *code {
            wrong.push_str(&format!("== {}\n{text}\n", code.name()));
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
}

#[test]
fn every_problem_reads_like_a_compilers() {
    for code in ProblemCode::ALL {
        let (found, files) = problems(*code);
        for problem in &found {
            let first = problem.message.chars().next().expect("a message");
            assert!(
                !first.is_uppercase(),
                "{}: {}",
                code.name(),
                problem.message
            );
            assert!(!problem.message.ends_with('.'), "{}", problem.message);
            assert!(problem.span.is_some(), "{} has no place", code.name());
            let remedy = problem.help.is_some() || problem.label.starts_with("must be");
            assert!(remedy, "{} does not say what to do", code.name());
        }
        let text = render_all(&found, &files, Look::Plain);
        insta::assert_snapshot!(format!("broken-{}", code.name()), text.trim_end());
    }
}

#[test]
fn no_broken_example_stands_without_a_code() {
    for entry in fs::read_dir(root().join("fixtures/broken")).expect("readable") {
        let name = entry.expect("readable").file_name();
        let name = name.to_string_lossy();
        let known = ProblemCode::ALL.iter().any(|code| code.name() == name);
        assert!(known || name == "base", "{name} is no problem code");
    }
}
