//! README and DEVELOPERS say what the program does: their console blocks are run, their knowledge blocks are loaded.

use std::fs;
use std::path::Path;

use assert_cmd::Command;
use blockside::engine::chamber::profile::{Statement, all_given};
use blockside::engine::chamber::quantity::Quantity;
use blockside::engine::knowledge::{LogFinding, Measure};
use blockside::knowledge::build::{SourceFile, build};
use blockside::knowledge::embedded;
use blockside::knowledge::problem::{Gravity, Problem, ProblemCode};

fn page(name: &str) -> String {
    fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(name)).expect("the page is there")
}

/// The fenced blocks of a page that have this language tag.
fn blocks(page: &str, tag: &str) -> Vec<String> {
    let mut found = Vec::new();
    let mut inside: Option<(bool, String)> = None;
    for line in page.lines() {
        match (&mut inside, line.strip_prefix("```")) {
            (None, Some(rest)) => inside = Some((rest == tag, String::new())),
            (Some((wanted, text)), Some(_)) => {
                if *wanted {
                    found.push(std::mem::take(text));
                }
                inside = None;
            }
            (Some((_, text)), None) => {
                text.push_str(line);
                text.push('\n');
            }
            (None, None) => {}
        }
    }
    found
}

/// Runs each `$ blockside ...` of a console block and compares what it prints with what stands below it.
fn run_console(page_name: &str, least: usize) {
    let home = tempfile::tempdir().expect("a folder of our own");
    let mut run = 0;
    for block in blocks(&page(page_name), "console") {
        for part in block.split("$ ").filter(|part| !part.trim().is_empty()) {
            let (line, expected) = part.split_once('\n').expect("a command and what it prints");
            let words: Vec<&str> = line.split_whitespace().collect();
            let args: &[&str] = match words.as_slice() {
                ["cargo", "run", "--release", "--", rest @ ..] | ["blockside", rest @ ..] => rest,
                _ => continue,
            };
            let output = Command::cargo_bin("blockside")
                .expect("built")
                .current_dir(env!("CARGO_MANIFEST_DIR"))
                .env("BLOCKSIDE_HOME", home.path())
                .env_remove("COLUMNS")
                .args(args)
                .output()
                .expect("it runs");
            let printed = String::from_utf8(output.stdout).expect("text");
            let tidy = |text: &str| {
                text.lines()
                    .map(str::trim_end)
                    .collect::<Vec<_>>()
                    .join("\n")
                    .trim()
                    .to_owned()
            };
            assert_eq!(tidy(&printed), tidy(expected), "{page_name}: {line}");
            run += 1;
        }
    }
    assert!(
        run >= least,
        "{page_name} shows {run} commands with their output"
    );
}

#[test]
fn the_readme_shows_what_the_program_prints() {
    run_console("README.md", 2);
}

#[test]
fn example_entries_for_contributors_load_without_a_fault() {
    let examples = blocks(&page("DEVELOPERS.md"), "toml");
    assert!(!examples.is_empty());
    let mut files = embedded::files();
    files.extend(
        examples
            .into_iter()
            .enumerate()
            .map(|(number, text)| SourceFile {
                name: format!("DEVELOPERS.md example {number}"),
                text,
                layer: 1,
            }),
    );
    let errors: Vec<Problem> = build(&files)
        .problems
        .into_iter()
        .filter(|problem| problem.code.gravity() == Gravity::Error)
        .collect();
    assert!(errors.is_empty(), "{errors:#?}");
}

#[test]
fn developers_page_lists_every_problem_code() {
    let page = page("DEVELOPERS.md");
    for code in ProblemCode::ALL {
        let row = format!("| `{}` | {} |", code.name(), code.about());
        assert!(page.contains(&row), "DEVELOPERS.md lacks: {row}");
    }
}

#[test]
fn the_readme_shows_the_profile_as_it_stands() {
    let name = "fixtures/chambers/crowded-tent.toml";
    let profile = page(name);
    assert!(
        blocks(&page("README.md"), "toml").contains(&profile),
        "{name}"
    );
}

#[test]
fn developers_page_lists_all_that_a_profile_holds_and_a_log_yields() {
    let page = page("DEVELOPERS.md");
    let row = |key: &str, names: Vec<&str>| {
        let names: Vec<String> = names.iter().map(|name| format!("`{name}`")).collect();
        format!("| {key} | {} |", names.join(", "))
    };
    let numbers = Quantity::ALL.iter().map(|one| one.word()).collect();
    let statements = Statement::WORDS.iter().map(|(word, _)| *word).collect();
    let measures = Measure::ALL.iter().map(|(_, name)| *name).collect();
    let findings = LogFinding::ALL.iter().map(|(_, name)| *name).collect();
    for row in [
        row(
            "`profile` of a reading, `of` of a setup item or sign",
            numbers,
        ),
        row("`profile` of a setup item or sign", statements),
        row("`log` of a reading", measures),
        row("`log` of a sign", findings),
    ] {
        assert!(page.contains(&row), "DEVELOPERS.md lacks: {row}");
    }
}

#[test]
fn the_readme_names_every_key_of_a_profile() {
    let page = page("README.md");
    for given in all_given() {
        assert!(page.contains(&format!("`{}`", given.key)), "{}", given.key);
    }
}
