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

fn replay(kind: &str) -> usize {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("fuzz")
        .join(kind);
    let mut tried = 0;
    for (name, target) in targets::ALL {
        for path in files(&folder.join(name)) {
            let data = fs::read(&path).expect("readable");
            let outcome = catch_unwind(|| target(&data));
            assert!(outcome.is_ok(), "{} fails", path.display());
            tried += 1;
        }
    }
    tried
}

#[test]
fn what_fuzzing_reached_holds_on_every_build() {
    assert!(replay("corpus") > 100);
}

#[test]
fn what_failed_once_holds_now() {
    assert!(replay("regressions") > 0);
}

#[test]
fn every_folder_of_inputs_belongs_to_a_target() {
    for kind in ["corpus", "regressions"] {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR"))
            .join("fuzz")
            .join(kind);
        for path in files(&folder) {
            let name = path
                .file_name()
                .map(|name| name.to_string_lossy().into_owned());
            let known = targets::ALL
                .iter()
                .any(|(known, _)| Some(*known) == name.as_deref());
            assert!(known, "{}", path.display());
        }
    }
}
