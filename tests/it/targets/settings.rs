//! The settings.

use std::path::Path;

use blockside::cli::settings::parse;

use crate::targets::shown::text_of;

/// Settings are refused with a reason, or read the same each time.
pub fn run(data: &[u8]) {
    let path = Path::new("home/settings.toml");
    match parse(path, text_of(data)) {
        Ok(settings) => assert_eq!(settings.file.as_deref(), Some(path)),
        Err(fault) => assert!(!fault.is_empty()),
    }
}
