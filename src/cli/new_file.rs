//! Files that the program writes for people: whole or not at all, and never over one that is there.

use std::io;
use std::path::Path;

use crate::cli::exit::Failure;
use crate::cli::home::write_whole;

/// Makes sure that no file of this name is there, before the work is done.
///
/// # Errors
/// One is.
pub fn free(path: &Path) -> Result<(), Failure> {
    if path.exists() {
        return Err(taken(path));
    }
    Ok(())
}

/// Writes a text whole or not at all; an existing file is left as it is.
///
/// # Errors
/// That one is there, or what the operating system says.
pub fn put(path: &Path, text: &str) -> Result<(), Failure> {
    write_whole(path, text, false).map_err(|error| match error.kind() {
        io::ErrorKind::AlreadyExists => taken(path),
        _ => Failure::unable(format!(
            "`{}` could not be written: {error}",
            path.display()
        )),
    })
}

fn taken(path: &Path) -> Failure {
    Failure::unable(format!(
        "`{}` is there already and was left as it is; name another file",
        path.display()
    ))
}
