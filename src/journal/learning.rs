//! Whether diagnoses use what the journal has learned.

use std::fs;
use std::io;
use std::path::Path;

use serde::{Deserialize, Serialize};

use crate::journal::store::StoreError;
use crate::journal::store::file::{clear_unfinished, create_folder, write_whole};
use crate::journal::store::lock::Lock;

/// The file that says so, within the data folder.
const NAME: &str = "learning.toml";
/// What it says it is.
const SCHEMA: &str = "blockside.learning/1";

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Switch {
    schema: String,
    on: bool,
}

/// Whether learning is on: it is unless it was switched off. A file that cannot be understood counts as off, since
/// nobody knows what was wanted.
///
/// # Errors
/// Where the file is there and cannot be read.
pub fn is_on(data: &Path) -> Result<bool, StoreError> {
    let path = data.join(NAME);
    match fs::read_to_string(&path) {
        Ok(text) => Ok(toml::from_str::<Switch>(&text)
            .is_ok_and(|switch| switch.schema == SCHEMA && switch.on)),
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(true),
        Err(error) => Err(StoreError::reading(&path, error)),
    }
}

/// Switches learning on or off.
///
/// # Errors
/// Where another process is writing for too long, or it cannot be written down.
pub fn switch(data: &Path, on: bool) -> Result<(), StoreError> {
    let path = data.join(NAME);
    let text = toml::to_string(&Switch {
        schema: SCHEMA.to_owned(),
        on,
    })
    .expect("a text and a truth value can always be written");
    create_folder(data).map_err(|error| StoreError::writing(data, error))?;
    let _lock = Lock::take(data)?;
    clear_unfinished(data);
    write_whole(&path, &text, true).map_err(|error| StoreError::writing(&path, error))
}
