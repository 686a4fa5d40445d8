//! What can stand between a journal and its files.

use std::io;
use std::path::{Path, PathBuf};

/// Why the journal did not do what was asked. Whatever it is, no kept case was lost or half written.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    /// Another process is writing.
    #[error(
        "the journal is being written by {holder}; nothing was changed. Try again when it is done"
    )]
    Busy {
        /// Who holds the lock.
        holder: String,
    },
    /// No case begins or ends like this.
    #[error("no kept case is called `{0}`; `blockside cases` lists them")]
    NoSuch(String),
    /// Several cases begin or end like this.
    #[error("`{word}` could be {}; write more of it", some_of(ids))]
    Several {
        /// What was written.
        word: String,
        /// The cases it could be.
        ids: Vec<String>,
    },
    /// The case was changed by somebody else, or is gone.
    #[error("the case {0} cannot be read any more; nothing was changed")]
    Gone(String),
    /// A folder or file cannot be read.
    #[error("`{}` cannot be read: {error}", path.display())]
    Reading {
        /// Which.
        path: PathBuf,
        /// What the operating system says.
        error: io::Error,
    },
    /// A folder or file cannot be written.
    #[error("`{}` cannot be written: {}; nothing was changed", path.display(), plainly(error))]
    Writing {
        /// Which.
        path: PathBuf,
        /// What the operating system says.
        error: io::Error,
    },
}

impl StoreError {
    /// That something cannot be read.
    pub fn reading(path: &Path, error: io::Error) -> Self {
        Self::Reading {
            path: path.to_owned(),
            error,
        }
    }

    /// That something cannot be written.
    pub fn writing(path: &Path, error: io::Error) -> Self {
        Self::Writing {
            path: path.to_owned(),
            error,
        }
    }
}

/// How many cases are named where several are meant.
const MOST_NAMED: usize = 6;

/// The first few ids, and how many more there are.
fn some_of(ids: &[String]) -> String {
    let named = ids[..ids.len().min(MOST_NAMED)].join(", ");
    match ids.len().saturating_sub(MOST_NAMED) {
        0 => named,
        more => format!("{named} and {more} more"),
    }
}

/// The commonest faults in plain words.
fn plainly(error: &io::Error) -> String {
    match error.kind() {
        io::ErrorKind::StorageFull => "the disk is full".to_owned(),
        io::ErrorKind::FileTooLarge => "the file would be larger than is allowed".to_owned(),
        io::ErrorKind::PermissionDenied | io::ErrorKind::ReadOnlyFilesystem => {
            "writing there is not allowed".to_owned()
        }
        _ => error.to_string(),
    }
}
