//! The folder in which the program keeps what belongs to the person: `BLOCKSIDE_HOME`, or the platform's data folder.

use std::env;
use std::path::PathBuf;

pub use crate::journal::store::file::{create_folder as create, write_whole};

/// Where the folder is; `None` where the environment names no place for it.
pub fn folder() -> Option<PathBuf> {
    if let Some(own) = named("BLOCKSIDE_HOME") {
        return Some(own);
    }
    if cfg!(windows) {
        return named("APPDATA").map(|data| data.join("blockside"));
    }
    if cfg!(target_os = "macos") {
        return named("HOME").map(|home| home.join("Library/Application Support/blockside"));
    }
    // The base directory standard asks that a relative path be passed over.
    named("XDG_DATA_HOME")
        .filter(|data| data.is_absolute())
        .or_else(|| named("HOME").map(|home| home.join(".local/share")))
        .map(|data| data.join("blockside"))
}

/// The path that a variable of the environment holds; nothing where it is empty.
pub fn named(variable: &str) -> Option<PathBuf> {
    env::var_os(variable)
        .filter(|value| !value.is_empty())
        .map(PathBuf::from)
}
