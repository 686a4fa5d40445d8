//! What every command needs: the knowledge, how to write, and where to.

use std::ffi::OsString;
use std::io::{self, IsTerminal, Write};
use std::path::{Path, PathBuf};

use anstream::{AutoStream, ColorChoice};
use clap::ValueEnum;
use dialoguer::console::Term;
use serde::Serialize;

use crate::cli::args::{Colour, Common, Format, Units};
use crate::cli::exit::Failure;
use crate::cli::settings::{self, Settings};
use crate::engine::knowledge::KnowledgeBase;
use crate::engine::quantity::System;
use crate::knowledge::build::{SourceFile, build};
use crate::knowledge::embedded;
use crate::knowledge::problem::Problem;
use crate::knowledge::read::read_folder;
use crate::report::page::{LEAST_WIDTH, Look, MOST_WIDTH};
use crate::report::problems;
use crate::report::sanitise;

/// How many problems of a case or folder that is refused are shown.
///
/// judgement: nobody reads on before these are put right; `knowledge check` shows all.
const MOST_PROBLEMS: usize = 50;

/// Columns where no terminal tells.
const USUAL_WIDTH: usize = 80;

/// What every command needs.
#[derive(Debug)]
pub struct Session {
    /// What the result is written as.
    pub format: Format,
    /// How text looks.
    pub look: Look,
    /// Units for numbers shown.
    pub system: System,
    /// Whether what goes to standard error may be coloured.
    pub errors_in_colour: bool,
    width_asked: Option<usize>,
    folders: Vec<PathBuf>,
    only: Option<PathBuf>,
    /// What the grower said once for all commands.
    pub settings: Settings,
}

impl Session {
    /// Takes the options of every command together with what the terminal and the environment say.
    ///
    /// # Errors
    /// Where there are settings that cannot be read.
    pub fn new(common: &Common) -> Result<Self, Failure> {
        let settings = settings::read()?;
        let units = match (common.units, &settings.units) {
            (Some(units), _) => units,
            (None, Some(word)) => Units::from_str(word, true).map_err(|_| {
                Failure::unable(format!(
                    "the settings in `{}` cannot be used: `units` is `metric` or `us`",
                    settings.file.as_deref().unwrap_or(Path::new("")).display()
                ))
            })?,
            (None, None) => Units::Metric,
        };
        let plain = common.plain || settings.plain;
        let colour = |auto: ColorChoice| match common.colour {
            Colour::Always => true,
            Colour::Never => false,
            Colour::Auto => auto != ColorChoice::Never,
        };
        let width = common.width.unwrap_or_else(|| {
            Term::stdout()
                .size_checked()
                .filter(|_| io::stdout().is_terminal())
                .map_or(USUAL_WIDTH, |(_, columns)| usize::from(columns))
        });
        Ok(Self {
            format: common.format,
            look: Look {
                width: width.clamp(LEAST_WIDTH, MOST_WIDTH),
                colour: !plain && colour(AutoStream::choice(&io::stdout())),
                plain,
                detail: common.detail,
            },
            system: match units {
                Units::Metric => System::Metric,
                Units::Us => System::Imperial,
            },
            errors_in_colour: !plain && colour(AutoStream::choice(&io::stderr())),
            width_asked: common.width,
            folders: common.knowledge.clone(),
            only: common.knowledge_only.clone(),
            settings,
        })
    }

    /// The knowledge asked for; the built-in one without what no diagnosis reads. It lives until the process ends:
    /// taking thousands of texts apart again would take longer than a diagnosis.
    ///
    /// # Errors
    /// Where a folder cannot be read, or its files have faults.
    pub fn base(&self) -> Result<&'static KnowledgeBase, Failure> {
        let built_in = self.folders.is_empty() && self.only.is_none();
        let base = if built_in {
            embedded::lean()
        } else {
            self.built()?
        };
        Ok(Box::leak(Box::new(base)))
    }

    /// The knowledge asked for with all that its entries say.
    ///
    /// # Errors
    /// Where a folder cannot be read, or its files have faults.
    pub fn full_base(&self) -> Result<KnowledgeBase, Failure> {
        let built_in = self.folders.is_empty() && self.only.is_none();
        if built_in {
            Ok(embedded::base())
        } else {
            self.built()
        }
    }

    fn built(&self) -> Result<KnowledgeBase, Failure> {
        let files = self.files()?;
        build(&files)
            .usable()
            .map_err(|problems| Failure::drawn(self.drawn(&problems, &files)))
    }

    /// The knowledge files asked for, layer by layer.
    ///
    /// # Errors
    /// Where a folder cannot be read.
    pub fn files(&self) -> Result<Vec<SourceFile>, Failure> {
        let mut files = match &self.only {
            Some(folder) => read_folder(folder, 0)?,
            None => embedded::files(),
        };
        for (number, folder) in self.folders.iter().enumerate() {
            files.extend(read_folder(folder, number + 1)?);
        }
        Ok(files)
    }

    /// Whether other knowledge than the built-in one stands in its place.
    pub fn other_knowledge(&self) -> bool {
        self.only.is_some()
    }

    /// The options that name the knowledge asked for, as they were given.
    pub fn knowledge_options(&self) -> Vec<OsString> {
        let only = self.only.iter().map(|folder| ("--knowledge-only", folder));
        let added = self.folders.iter().map(|folder| ("--knowledge", folder));
        only.chain(added)
            .flat_map(|(option, folder)| [option.into(), folder.clone().into_os_string()])
            .collect()
    }

    /// Whether a width was asked for, whatever the terminal has.
    pub fn width_is_asked(&self) -> bool {
        self.width_asked.is_some()
    }

    /// How questions look: they go to standard error, which may be another terminal than standard output, or none.
    pub fn look_of_questions(&self) -> Look {
        let columns = Term::stderr()
            .size_checked()
            .map_or(self.look.width, |(_, columns)| usize::from(columns));
        Look {
            colour: self.errors_in_colour,
            width: self
                .width_asked
                .unwrap_or(columns)
                .clamp(LEAST_WIDTH, MOST_WIDTH),
            ..self.look
        }
    }

    /// Problems drawn like a compiler's, as standard error or, for `check`, standard output may show them.
    pub fn drawn(&self, problems: &[Problem], files: &[SourceFile]) -> String {
        let look = if self.errors_in_colour {
            problems::Look::Coloured
        } else {
            problems::Look::Plain
        };
        let shown = &problems[..problems.len().min(MOST_PROBLEMS)];
        let mut text = problems::render_all(shown, files, look);
        if let more @ 1.. = problems.len() - shown.len() {
            text.push_str(&format!("and {more} more problems\n"));
        }
        text
    }

    /// Writes a text to standard output.
    ///
    /// # Errors
    /// Where it cannot be written; nobody reading any more ends the command as a success.
    pub fn write(&self, text: &str) -> Result<(), Failure> {
        let choice = if self.look.colour {
            ColorChoice::Always
        } else {
            ColorChoice::Never
        };
        let mut out = AutoStream::new(io::stdout(), choice);
        out.write_all(text.as_bytes())
            .and_then(|()| out.flush())
            .map_err(|error| Failure::writing(&error))
    }

    /// Writes a value to standard output as JSON, laid out for reading.
    ///
    /// # Errors
    /// As [`Session::write`].
    pub fn write_json(&self, value: &impl Serialize) -> Result<(), Failure> {
        let mut text = serde_json::to_string_pretty(value)
            .map_err(|error| Failure::unable(format!("the result is not JSON: {error}")))?;
        text.push('\n');
        self.write(&sanitise::json(&text))
    }
}
