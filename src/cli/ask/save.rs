//! Saves the case a walk came to.

use std::io;
use std::path::{Path, PathBuf};

use crate::cli::ask::terminal::Terminal;
use crate::cli::home::write_whole;
use crate::engine::knowledge::KnowledgeBase;
use crate::engine::observations::Observations;
use crate::journal::case::{CaseFile, to_toml};

/// What the file is called if the person names no other.
const USUAL_NAME: &str = "case.toml";

/// Offers to save the case, and goes on offering while it does not work out: a walk is too long to be lost to a wrong
/// folder name.
///
/// # Errors
/// What the terminal says.
pub fn offer(
    base: &KnowledgeBase,
    observations: &Observations,
    named: &Path,
    terminal: &mut Terminal<'_>,
) -> io::Result<()> {
    let mut path = named.to_owned();
    loop {
        let shown = path.display();
        let replace = path.is_file()
            && terminal.confirm(&format!("{shown} is there already. Replace it?"))?;
        let said = match case(base, observations, &path, replace) {
            Ok(()) => {
                return terminal.note(&format!(
                    "Saved. To see it again: blockside diagnose {shown}"
                ));
            }
            Err(fault) => fault,
        };
        terminal.note(&said)?;
        if !terminal.confirm("Save it under another name?")? {
            return Ok(());
        }
        path = file_name(terminal)?;
    }
}

fn file_name(terminal: &Terminal<'_>) -> io::Result<PathBuf> {
    let name = terminal.line("File", USUAL_NAME)?;
    Ok(PathBuf::from(name.trim()))
}

/// Saves the case.
///
/// # Errors
/// Why it was not saved, in a sentence.
pub fn case(
    base: &KnowledgeBase,
    observations: &Observations,
    path: &Path,
    replace: bool,
) -> Result<(), String> {
    let case = CaseFile {
        observations: observations.clone(),
        ..CaseFile::default()
    };
    whole_case(base, &case, path, replace)
}

/// As [`case`], with all that a case file holds.
///
/// # Errors
/// As [`case`].
pub fn whole_case(
    base: &KnowledgeBase,
    case: &CaseFile,
    path: &Path,
    replace: bool,
) -> Result<(), String> {
    write_whole(path, &to_toml(base, case), replace).map_err(|error| {
        let shown = path.display();
        match error.kind() {
            io::ErrorKind::AlreadyExists => {
                format!("`{shown}` is there already and was left as it is; the case was not saved")
            }
            io::ErrorKind::NotFound => {
                format!("the case could not be saved to `{shown}`: there is no such folder")
            }
            io::ErrorKind::PermissionDenied => {
                format!("the case could not be saved to `{shown}`: writing there is not allowed")
            }
            _ => format!("the case could not be saved to `{shown}`: {error}"),
        }
    })
}
