//! The examples that `--help` shows. They name entries of the built-in knowledge and so are data, not code; a test runs
//! every one of them.

use serde::Deserialize;

/// The file of examples.
const FILE: &str = include_str!("../../fixtures/help/examples.toml");

/// An example.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Example {
    /// The command it belongs to.
    pub of: String,
    /// What to type.
    pub line: String,
    /// What that gives.
    pub does: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    example: Vec<Example>,
}

/// Every example.
pub fn examples() -> Vec<Example> {
    let file: File = toml::from_str(FILE).expect("the file of examples is read by a test");
    file.example
}

/// Puts its examples below the help of every command that has any.
#[must_use]
pub fn shown_by(command: clap::Command) -> clap::Command {
    let examples = examples();
    let names: Vec<String> = command
        .get_subcommands()
        .map(|sub| sub.get_name().to_owned())
        .collect();
    names.into_iter().fold(command, |command, name| {
        let lines: Vec<String> = examples
            .iter()
            .filter(|example| example.of == name)
            .map(|example| format!("  {}\n      {}", example.line, example.does))
            .collect();
        if lines.is_empty() {
            return command;
        }
        command.mut_subcommand(name, |sub| {
            sub.after_help(format!("Examples:\n{}", lines.join("\n")))
        })
    })
}
