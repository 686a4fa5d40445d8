//! One writer at a time.

use std::fs::{File, OpenOptions, TryLockError};
use std::io::{self, Read, Seek, Write};
use std::path::Path;
use std::thread::sleep;
use std::time::{Duration, Instant};

use crate::journal::store::error::StoreError;

/// The file that writers lock. It stays; what counts is the lock on it, which ends with the process that holds it.
pub const NAME: &str = ".lock";
/// How long a second writer waits.
///
/// judgement: a save takes some milliseconds; nobody should stare at a silent terminal longer than this.
const PATIENCE: Duration = Duration::from_secs(3);
/// How long it waits between looks.
const PAUSE: Duration = Duration::from_millis(20);
/// The longest note about a holder that is read.
const MOST_BYTES: u64 = 200;

/// The right to write, for as long as it lives.
#[derive(Debug)]
pub struct Lock {
    _file: File,
}

impl Lock {
    /// Waits a little for the right to write to a folder that is there.
    ///
    /// # Errors
    /// That another process holds it, and which; or what the operating system says.
    pub fn take(folder: &Path) -> Result<Self, StoreError> {
        Self::within(folder, PATIENCE)
    }

    /// As [`Lock::take`], waiting no longer than told.
    ///
    /// # Errors
    /// As [`Lock::take`].
    pub fn within(folder: &Path, patience: Duration) -> Result<Self, StoreError> {
        let path = folder.join(NAME);
        let fault = |error: io::Error| StoreError::writing(&path, error);
        let mut options = OpenOptions::new();
        options.read(true).write(true).create(true).truncate(false);
        #[cfg(unix)]
        {
            use std::os::unix::fs::OpenOptionsExt;
            options.mode(0o600);
        }
        let mut file = options.open(&path).map_err(fault)?;
        let since = Instant::now();
        loop {
            match file.try_lock() {
                Ok(()) => break,
                Err(TryLockError::WouldBlock) if since.elapsed() < patience => sleep(PAUSE),
                Err(TryLockError::WouldBlock) => {
                    return Err(StoreError::Busy {
                        holder: holder(&mut file),
                    });
                }
                Err(TryLockError::Error(error)) => return Err(fault(error)),
            }
        }
        // Only a help for whoever has to wait: a full disk must not keep anybody from trying.
        let _ = note(&mut file);
        Ok(Self { _file: file })
    }
}

fn note(file: &mut File) -> io::Result<()> {
    file.set_len(0)?;
    file.rewind()?;
    write!(file, "process {}", std::process::id())
}

fn holder(file: &mut File) -> String {
    let mut text = String::new();
    let read = file
        .rewind()
        .and_then(|()| file.take(MOST_BYTES).read_to_string(&mut text));
    match read {
        Ok(_) if text.starts_with("process ") => text,
        _ => "another process".to_owned(),
    }
}
