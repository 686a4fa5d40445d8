//! The knowledge that is built into the program.
//!
//! The build script checks the files under `knowledge/`, and leaves for the program to carry: the finished base; the
//! same without what no diagnosis reads, since that one is decoded at each start; and the texts of the files, which are
//! built again only together with a folder that adds to them; and the
//! texts of the published cases, against which the knowledge is measured.

use crate::engine::knowledge::KnowledgeBase;
use crate::knowledge::build::SourceFile;

/// The base, as the build script encoded it.
static BASE: &[u8] = include_bytes!(concat!(env!("OUT_DIR"), "/base.postcard"));
/// The base without what no diagnosis reads, as the build script encoded it.
static LEAN: &[u8] = include_bytes!(concat!(env!("OUT_DIR"), "/lean.postcard"));
/// Names and texts of the files, as the build script encoded them.
static FILES: &[u8] = include_bytes!(concat!(env!("OUT_DIR"), "/files.postcard"));

/// Names and texts of the published cases, as the build script encoded them.
static CASES: &[u8] = include_bytes!(concat!(env!("OUT_DIR"), "/cases.postcard"));

/// The built-in knowledge.
pub fn base() -> KnowledgeBase {
    postcard::from_bytes(BASE).expect("the build script encoded it with the same types")
}

/// The built-in knowledge without judgements, lay words and file names: all that reasoning and reports need.
pub fn lean() -> KnowledgeBase {
    postcard::from_bytes(LEAN).expect("the build script encoded it with the same types")
}

/// The files it was built from, as the first layer.
pub fn files() -> Vec<SourceFile> {
    decoded(FILES)
}

/// The published cases that came with it, as written.
pub fn published_cases() -> Vec<SourceFile> {
    decoded(CASES)
}

fn decoded(encoded: &[u8]) -> Vec<SourceFile> {
    let files: Vec<(String, String)> =
        postcard::from_bytes(encoded).expect("the build script encoded it with the same types");
    files
        .into_iter()
        .map(|(name, text)| SourceFile {
            name,
            text,
            layer: 0,
        })
        .collect()
}
