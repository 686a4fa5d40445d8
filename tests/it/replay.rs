//! The inputs of the fuzz targets, replayed: a small set that reaches what fuzzing reached, and all that ever failed.

use std::fs;
use std::panic::catch_unwind;
use std::path::{Path, PathBuf};

use crate::targets;

/// The files of a folder, sorted; none where there is no such folder.
fn files(folder: &Path) -> Vec<PathBuf> {
    let Ok(entries) = fs::read_dir(folder) else {
        return Vec::new();
    };
    let mut paths: Vec<PathBuf> = entries
        .map(|entry| entry.expect("readable").path())
        .collect();
    paths.sort();
    paths
}

fn folder(kind: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/fuzz")
        .join(kind)
}

/// Runs a target on all of its inputs.
fn replay(name: &str) {
    let mut paths = files(&folder("corpus").join(name));
    assert!(paths.len() >= 5, "{} inputs", paths.len());
    paths.extend(files(&folder("regressions").join(name)));
    for path in paths {
        let data = fs::read(&path).expect("readable");
        let outcome = catch_unwind(|| targets::run(name, &data));
        assert!(outcome.is_ok(), "{} fails", path.display());
    }
}

/// One test a target, so that they run side by side.
macro_rules! replays {
    ($($name:ident)*) => {
        $(
            #[test]
            fn $name() {
                replay(stringify!($name));
            }
        )*

        const REPLAYED: &[&str] = &[$(stringify!($name),)*];
    };
}

replays! { answers case csv diagnosis journal knowledge profile reading rounds settings words }

#[test]
fn every_target_is_replayed_and_every_input_belongs_to_one() {
    let known: Vec<&str> = targets::ALL.iter().map(|(name, _)| *name).collect();
    assert_eq!(known, REPLAYED);
    for path in files(&folder("corpus"))
        .into_iter()
        .chain(files(&folder("regressions")))
    {
        let name = path
            .file_name()
            .expect("a name")
            .to_string_lossy()
            .into_owned();
        assert!(known.contains(&name.as_str()), "{}", path.display());
    }
}
