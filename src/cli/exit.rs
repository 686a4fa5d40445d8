//! How the program ends, and what it says when it could not do what was asked.

use std::io;

use crate::knowledge::read::ReadError;

/// The exit status.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Exit {
    /// Finished.
    Done,
    /// Finished, and the answer is no.
    No,
    /// The command was used wrongly.
    Usage,
    /// Could not finish.
    Unable,
    /// Broken off with Ctrl-C.
    Interrupted,
}

impl Exit {
    /// Every exit status with its meaning, for the documents.
    pub const TABLE: [(Self, &'static str); 5] = [
        (
            Self::Done,
            "finished; a diagnosis, or \"nothing points to trouble\", is success",
        ),
        (
            Self::No,
            "finished, and the answer is no: the knowledge check found errors",
        ),
        (Self::Usage, "the command was used wrongly"),
        (
            Self::Unable,
            "could not finish: a file is missing, unreadable or malformed",
        ),
        (
            Self::Interrupted,
            "broken off with Ctrl-C, as shells expect it",
        ),
    ];

    /// The number.
    pub fn status(self) -> i32 {
        match self {
            Self::Done => 0,
            Self::No => 1,
            Self::Usage => 2,
            Self::Unable => 3,
            Self::Interrupted => 130,
        }
    }
}

/// Why a command did not do what was asked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Failure {
    /// The exit status.
    pub exit: Exit,
    /// What to tell the person, empty for nothing; may hold line breaks.
    pub message: String,
    /// Whether the message is laid out already and must not be wrapped.
    pub laid_out: bool,
}

impl Failure {
    /// The command was used wrongly.
    pub fn usage(message: impl Into<String>) -> Self {
        Self {
            exit: Exit::Usage,
            message: message.into(),
            laid_out: false,
        }
    }

    /// Something needed could not be had.
    pub fn unable(message: impl Into<String>) -> Self {
        Self {
            exit: Exit::Unable,
            message: message.into(),
            laid_out: false,
        }
    }

    /// Problems drawn like a compiler's.
    pub fn drawn(message: String) -> Self {
        Self {
            exit: Exit::Unable,
            message,
            laid_out: true,
        }
    }

    /// What went wrong with writing. Nobody reading any more is no failure.
    pub fn writing(error: &io::Error) -> Self {
        if error.kind() == io::ErrorKind::BrokenPipe {
            Self {
                exit: Exit::Done,
                message: String::new(),
                laid_out: false,
            }
        } else {
            Self::unable(format!("the result could not be written: {error}"))
        }
    }
}

impl From<ReadError> for Failure {
    fn from(error: ReadError) -> Self {
        Self::unable(error.to_string())
    }
}

/// What a command comes to.
pub type Outcome = Result<Exit, Failure>;
