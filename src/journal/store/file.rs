//! Files that are whole or not there at all, and that their owner alone can read.

use std::fs::{self, File};
use std::io::{self, Write};
use std::path::Path;

/// How the names of files begin that are still being written.
pub const UNFINISHED: &str = ".unfinished-";

/// Makes a folder if it is not there, for the owner alone.
///
/// # Errors
/// What the operating system says.
pub fn create_folder(folder: &Path) -> io::Result<()> {
    let mut builder = fs::DirBuilder::new();
    builder.recursive(true);
    #[cfg(unix)]
    {
        use std::os::unix::fs::DirBuilderExt;
        builder.mode(0o700);
    }
    builder.create(folder)
}

/// Writes a file whole or not at all, readable by the owner alone, and returns only when it is on the disk. An existing
/// file is replaced only if asked for.
///
/// # Errors
/// What the operating system says; `AlreadyExists` where a file is there and is not to be replaced.
pub fn write_whole(path: &Path, text: &str, replace: bool) -> io::Result<()> {
    let folder = match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    };
    // Temporary files are made readable by the owner alone, and stay so when they take their place.
    let mut file = tempfile::Builder::new()
        .prefix(UNFINISHED)
        .tempfile_in(folder)?;
    file.write_all(text.as_bytes())?;
    file.as_file().sync_all()?;
    let kept = if replace {
        file.persist(path)
    } else {
        file.persist_noclobber(path)
    };
    kept.map_err(|error| error.error)?;
    sync_folder(folder)
}

/// Moves a file within the same disk, and returns only when that is on the disk. Nothing is replaced.
///
/// # Errors
/// What the operating system says; `AlreadyExists` where something is there already.
pub fn move_aside(from: &Path, to: &Path) -> io::Result<()> {
    if to.symlink_metadata().is_ok() {
        return Err(io::ErrorKind::AlreadyExists.into());
    }
    fs::rename(from, to)?;
    for folder in [to.parent(), from.parent()].into_iter().flatten() {
        sync_folder(folder)?;
    }
    Ok(())
}

/// Clears away what a process that was killed left half written in a folder. Only for whoever holds its lock: nobody else
/// is writing there then.
pub fn clear_unfinished(folder: &Path) {
    for entry in fs::read_dir(folder).into_iter().flatten().flatten() {
        if entry.file_name().to_string_lossy().starts_with(UNFINISHED) {
            // Whatever cannot be cleared away does no harm.
            let _ = fs::remove_file(entry.path());
        }
    }
}

/// A new name is on the disk only once its folder is.
fn sync_folder(folder: &Path) -> io::Result<()> {
    // Elsewhere folders cannot be opened as files.
    if cfg!(unix) {
        File::open(folder)?.sync_all()?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::{move_aside, write_whole};

    #[test]
    fn a_file_is_replaced_only_if_asked_for() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("case.toml");
        write_whole(&path, "one", false).expect("written");
        let refused = write_whole(&path, "two", false).expect_err("it is there");
        assert_eq!(refused.kind(), std::io::ErrorKind::AlreadyExists);
        write_whole(&path, "three", true).expect("replaced");
        assert_eq!(std::fs::read_to_string(&path).expect("readable"), "three");
        assert_eq!(folder.path().read_dir().expect("a folder").count(), 1);
    }

    #[test]
    fn nothing_is_replaced_by_moving_aside() {
        let folder = tempfile::tempdir().expect("a folder");
        let (one, two) = (folder.path().join("one"), folder.path().join("two"));
        std::fs::write(&one, "one").expect("written");
        std::fs::write(&two, "two").expect("written");
        let refused = move_aside(&one, &two).expect_err("it is there");
        assert_eq!(refused.kind(), std::io::ErrorKind::AlreadyExists);
        assert_eq!(std::fs::read_to_string(&two).expect("readable"), "two");
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
