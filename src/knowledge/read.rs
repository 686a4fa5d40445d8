//! Reads a folder of knowledge files; the only file access of the knowledge.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::mpsc;
use std::thread;
use std::time::Duration;

use thiserror::Error;

use crate::knowledge::build::SourceFile;

/// The largest file that is read.
pub const MOST_BYTES: u64 = 16 * 1024 * 1024;
/// The most bytes that are read from one folder.
pub const MOST_BYTES_IN_ALL: u64 = 64 * 1024 * 1024;
/// How deep folders may lie within each other; a link that leads back up ends here.
const MOST_DEPTH: usize = 16;

/// Why a folder or file could not be read.
#[derive(Debug, Error)]
pub enum ReadError {
    /// There is nothing at the path.
    #[error("there is no file or folder `{0}`")]
    Missing(String),
    /// A folder was wanted.
    #[error("`{0}` is a file; a folder is wanted here")]
    NotAFolder(String),
    /// A file was wanted.
    #[error("`{0}` is a folder; a file is wanted here")]
    NotAFile(String),
    /// The file is not text.
    #[error("`{path}` is not UTF-8 text: the byte at {at} does not belong there")]
    NotText {
        /// The file.
        path: String,
        /// Where the first wrong byte stands.
        at: usize,
    },
    /// The file or folder is too large.
    #[error("`{path}` is larger than {}", in_bytes(*most))]
    TooLarge {
        /// The file or folder.
        path: String,
        /// The most bytes that are read.
        most: u64,
    },
    /// There is nothing in the folder that could be read.
    #[error("there is no `.toml` file in the folder `{0}`")]
    NoFiles(String),
    /// Folders lie too deep, perhaps because a link leads back up.
    #[error("the folders under `{0}` lie too deep within each other")]
    TooDeep(String),
    /// The operating system refused.
    #[error("`{path}` cannot be read: {reason}")]
    Refused {
        /// The file or folder.
        path: String,
        /// What the operating system says.
        reason: io::Error,
    },
}

/// A round number of bytes in words.
fn in_bytes(bytes: u64) -> String {
    match bytes / 1024 {
        small @ ..1024 => format!("{small} KiB"),
        large => format!("{} MiB", large / 1024),
    }
}

/// Reads every `.toml` file under a folder, sorted by name. Other files are left alone.
///
/// # Errors
/// [`ReadError`] for the first file or folder that cannot be read, and for a folder with nothing to read in it.
pub fn read_folder(folder: &Path, layer: usize) -> Result<Vec<SourceFile>, ReadError> {
    let shown = folder.display().to_string();
    if !folder.exists() {
        return Err(ReadError::Missing(shown));
    }
    if !folder.is_dir() {
        return Err(ReadError::NotAFolder(shown));
    }
    let mut paths = Vec::new();
    collect(folder, 0, &mut paths)?;
    // Most likely the wrong folder; nothing to complain of would be the wrong answer.
    if paths.is_empty() {
        return Err(ReadError::NoFiles(shown));
    }
    paths.sort();
    let mut total = 0;
    let mut files = Vec::new();
    for path in paths {
        let text = read_text(&path, MOST_BYTES)?;
        total += text.len() as u64;
        if total > MOST_BYTES_IN_ALL {
            return Err(ReadError::TooLarge {
                path: shown,
                most: MOST_BYTES_IN_ALL,
            });
        }
        let name = path
            .components()
            .map(|part| part.as_os_str().to_string_lossy())
            .collect::<Vec<_>>()
            .join("/");
        files.push(SourceFile {
            // The root is a part of its own: joined, an absolute path would begin with two strokes.
            name: name.replacen("//", "/", 1),
            text,
            layer,
        });
    }
    Ok(files)
}

fn collect(folder: &Path, depth: usize, paths: &mut Vec<PathBuf>) -> Result<(), ReadError> {
    if depth > MOST_DEPTH {
        return Err(ReadError::TooDeep(folder.display().to_string()));
    }
    let refused = |reason| ReadError::Refused {
        path: folder.display().to_string(),
        reason,
    };
    for entry in fs::read_dir(folder).map_err(refused)? {
        let path = entry.map_err(refused)?.path();
        if path.is_dir() {
            collect(&path, depth + 1, paths)?;
        } else if path
            .extension()
            .is_some_and(|extension| extension == "toml")
        {
            paths.push(path);
        }
    }
    Ok(())
}

/// How long a pipe may take until somebody writes into it.
///
/// judgement: whoever starts both ends at once needs far less.
const MOST_WAIT: Duration = Duration::from_secs(3);

/// Opens a file. A pipe that nobody writes into is not waited for without end.
///
/// # Errors
/// What the operating system says, or that nobody writes into the pipe.
pub fn open(path: &Path) -> io::Result<fs::File> {
    if !is_pipe(path) {
        return fs::File::open(path);
    }
    let (sender, receiver) = mpsc::channel();
    let path = path.to_owned();
    // Opening a pipe waits for the other end, and nothing can call it off; where nobody comes the thread is left behind.
    thread::spawn(move || _ = sender.send(fs::File::open(path)));
    receiver.recv_timeout(MOST_WAIT).unwrap_or_else(|_| {
        let why = "it is a pipe that nobody writes into";
        Err(io::Error::new(io::ErrorKind::TimedOut, why))
    })
}

#[cfg(unix)]
fn is_pipe(path: &Path) -> bool {
    use std::os::unix::fs::FileTypeExt;
    path.metadata()
        .is_ok_and(|about| about.file_type().is_fifo())
}

#[cfg(not(unix))]
fn is_pipe(_: &Path) -> bool {
    false
}

/// Reads a text file of at most so many bytes.
///
/// # Errors
/// [`ReadError`] where it is missing, a folder, too large, not UTF-8, or refused by the operating system.
pub fn read_text(path: &Path, most: u64) -> Result<String, ReadError> {
    use io::Read;
    let shown = path.display().to_string();
    let refused = |reason: io::Error| match reason.kind() {
        io::ErrorKind::NotFound => ReadError::Missing(shown.clone()),
        _ => ReadError::Refused {
            path: shown.clone(),
            reason,
        },
    };
    if path.is_dir() {
        return Err(ReadError::NotAFile(shown));
    }
    let mut bytes = Vec::new();
    // One byte more than allowed tells a file of just that size from a larger one, whatever the file claims to be.
    open(path)
        .map_err(&refused)?
        .take(most + 1)
        .read_to_end(&mut bytes)
        .map_err(&refused)?;
    if bytes.len() as u64 > most {
        return Err(ReadError::TooLarge { path: shown, most });
    }
    String::from_utf8(bytes).map_err(|error| ReadError::NotText {
        path: shown,
        at: error.utf8_error().valid_up_to(),
    })
}
