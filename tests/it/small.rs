//! The small knowledge base of `fixtures/small`: enough of everything to try the front without the real knowledge.

use std::path::{Path, PathBuf};

use blockside::engine::knowledge::KnowledgeBase;
use blockside::knowledge::build::build;
use blockside::knowledge::read::read_folder;
use blockside::report::problems::{Look, render_all};

/// The folder it stands in.
pub fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/small")
}

/// The knowledge base.
pub fn base() -> KnowledgeBase {
    let files = read_folder(&folder(), 0).expect("the folder is there");
    let built = build(&files);
    assert!(
        built.problems.is_empty(),
        "{}",
        render_all(&built.problems, &files, Look::Plain)
    );
    built.base
}
