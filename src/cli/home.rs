//! The folder in which the program keeps what belongs to the person: `BLOCKSIDE_HOME`, or the platform's data folder.

use std::env;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};

/// Where the folder is; `None` where the environment names no place for it.
pub fn folder() -> Option<PathBuf> {
    let named = |name: &str| {
        env::var_os(name)
            .filter(|value| !value.is_empty())
            .map(PathBuf::from)
    };
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

/// Makes the folder if it is not there, for the owner alone.
///
/// # Errors
/// What the operating system says.
pub fn create(folder: &Path) -> io::Result<()> {
    let mut builder = fs::DirBuilder::new();
    builder.recursive(true);
    #[cfg(unix)]
    {
        use std::os::unix::fs::DirBuilderExt;
        builder.mode(0o700);
    }
    builder.create(folder)
}

/// Writes a file whole or not at all, readable by the owner alone. An existing file is replaced only if asked for.
///
/// # Errors
/// What the operating system says; `AlreadyExists` where a file is there and is not to be replaced.
pub fn write_whole(path: &Path, text: &str, replace: bool) -> io::Result<()> {
    use io::Write;
    let folder = match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    };
    // Temporary files are made readable by the owner alone, and stay so when they take their place.
    let mut file = tempfile::NamedTempFile::new_in(folder)?;
    file.write_all(text.as_bytes())?;
    file.as_file().sync_all()?;
    let kept = if replace {
        file.persist(path)
    } else {
        file.persist_noclobber(path)
    };
    kept.map(|_| ()).map_err(|error| error.error)
}

#[cfg(test)]
mod tests {
    use super::write_whole;

    #[test]
    fn a_file_is_replaced_only_if_asked_for() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("case.toml");
        write_whole(&path, "one", false).expect("written");
        let refused = write_whole(&path, "two", false).expect_err("it is there");
        assert_eq!(refused.kind(), std::io::ErrorKind::AlreadyExists);
        write_whole(&path, "three", true).expect("replaced");
        assert_eq!(std::fs::read_to_string(&path).expect("readable"), "three");
    }

    #[cfg(unix)]
    #[test]
    fn a_file_is_readable_by_its_owner_alone() {
        use std::os::unix::fs::PermissionsExt;
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("case.toml");
        write_whole(&path, "one", true).expect("written");
        let mode = std::fs::metadata(&path)
            .expect("there")
            .permissions()
            .mode();
        assert_eq!(mode & 0o777, 0o600);
    }
}
