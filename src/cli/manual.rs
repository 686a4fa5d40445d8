//! What the program says of itself: completions for shells, manual pages, the settings.

use std::path::Path;

use clap::CommandFactory;
use clap_complete::Shell;

use crate::cli::args::{Cli, Format};
use crate::cli::examples;
use crate::cli::exit::{Exit, Failure, Outcome};
use crate::cli::home::create;
use crate::cli::session::Session;
use crate::cli::settings;
use crate::engine::quantity::System;
use crate::report::json::{SETTINGS_SCHEMA, SettingsReport};
use crate::report::page::{Ink, Page};

/// What people type to start the program.
const NAME: &str = "blockside";

/// The command line with its examples.
pub fn command() -> clap::Command {
    examples::shown_by(Cli::command())
}

/// Prints the completions for a shell.
///
/// # Errors
/// Where they cannot be written.
pub fn completions(shell: Shell, session: &Session) -> Outcome {
    let mut text = Vec::new();
    clap_complete::generate(shell, &mut Cli::command(), NAME, &mut text);
    session.write(&String::from_utf8_lossy(&text))?;
    Ok(Exit::Done)
}

/// Prints the manual page of the whole, or writes a page for each command into a folder.
///
/// # Errors
/// Where something cannot be written.
pub fn pages(folder: Option<&Path>, session: &Session) -> Outcome {
    let mut whole = command();
    whole.build();
    let Some(folder) = folder else {
        session.write(&page(&whole)?)?;
        return Ok(Exit::Done);
    };
    create(folder)
        .and_then(|()| clap_mangen::generate_to(whole, folder))
        .map_err(|error| {
            Failure::unable(format!(
                "the pages could not be written into `{}`: {error}",
                folder.display()
            ))
        })?;
    Ok(Exit::Done)
}

fn page(command: &clap::Command) -> Result<String, Failure> {
    let mut text = Vec::new();
    clap_mangen::Man::new(command.clone())
        .render(&mut text)
        .map_err(|error| Failure::unable(format!("the manual page cannot be made: {error}")))?;
    Ok(String::from_utf8_lossy(&text).into_owned())
}

/// Shows the settings.
///
/// # Errors
/// Where they cannot be written.
pub fn settings(session: &Session) -> Outcome {
    let said = &session.settings;
    let units = match session.system {
        System::Metric => "metric",
        System::Imperial => "us",
    };
    if session.format == Format::Json {
        let shown = |path: &Path| path.display().to_string();
        session.write_json(&SettingsReport {
            schema: SETTINGS_SCHEMA,
            file: said.file.as_deref().map(shown),
            looked_for_at: settings::place().as_deref().map(shown),
            species: said.species.clone(),
            profile: said.profile.as_deref().map(shown),
            units,
            plain: session.look.plain,
        })?;
        return Ok(Exit::Done);
    }
    let mut page = Page::new(session.look);
    let shown = |path: &Path| path.display().to_string();
    match (&said.file, settings::place()) {
        (Some(file), _) => page.labelled(0, "From:", &shown(file)),
        (None, Some(place)) => {
            page.labelled(0, "No settings; looked for at:", &shown(&place));
        }
        (None, None) => page.paragraph(
            0,
            Ink::Usual,
            "No settings, and the environment names no place for them; `BLOCKSIDE_HOME` would.",
        ),
    }
    let none = || "none".to_owned();
    let rows = [
        ("species", said.species.clone().unwrap_or_else(none)),
        ("profile", said.profile.as_deref().map_or_else(none, shown)),
        ("units", units.to_owned()),
        ("plain", session.look.plain.to_string()),
    ];
    page.columns(&rows.map(|(name, text)| (name.to_owned(), text)));
    page.paragraph(
        0,
        Ink::Faint,
        "A line such as `species = \"blue oyster\"`, `profile = \"chamber.toml\"`, `units = \"us\"` or `plain = true` \
         each. They stand in for what `ask`, `describe` and options leave open; a case file stands by itself.",
    );
    session.write(&page.finish())?;
    Ok(Exit::Done)
}
