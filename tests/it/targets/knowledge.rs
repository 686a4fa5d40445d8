//! Knowledge files: a folder of them, from one text.

use blockside::engine::observations::{Answer, Observations};
use blockside::engine::quantity::System;
use blockside::engine::reasoner::Reasoner;
use blockside::knowledge::build::{SourceFile, build};
use blockside::knowledge::problem::Problem;
use blockside::report::catalogue;

use crate::targets::shown::{clean, diagnosed, faulty, look, text_of};

/// What stands between the files in one text.
const NEXT_FILE: &str = "\n#%\n";
/// The words for numbers, without which no file can be read.
const SCALE: &str = include_str!("../../../fixtures/broken/base/scale.toml");

/// The knowledge is built from its files in whatever order, every problem has its place, and what is usable can be
/// reasoned with.
pub fn run(data: &[u8]) {
    let text = text_of(data);
    let mut files = vec![SourceFile {
        name: "scale.toml".to_owned(),
        text: SCALE.to_owned(),
        layer: 0,
    }];
    for (number, text) in text.split(NEXT_FILE).take(8).enumerate() {
        files.push(SourceFile {
            name: format!("file-{number}.toml"),
            text: text.to_owned(),
            // The last of several stands in for entries of the others.
            layer: usize::from(number > 2),
        });
    }
    let built = build(&files);
    faulty(&built.problems, &files);
    if text.len().is_multiple_of(4) {
        let turned: Vec<SourceFile> = files.iter().rev().cloned().collect();
        let again = build(&turned);
        assert_eq!(again.problems, built.problems, "in another order");
        assert_eq!(again.base.fingerprint, built.base.fingerprint);
    }
    if Problem::any_error(&built.problems) {
        return;
    }
    let base = built.base;
    let reasoner = Reasoner::new(&base, System::Metric);
    for answer in [Answer::Yes, Answer::No] {
        let told = Observations {
            signs: base
                .signs
                .keys()
                .take(12)
                .map(|id| (id.clone(), answer))
                .collect(),
            setup: base.setup.keys().map(|id| (id.clone(), true)).collect(),
            ..Observations::default()
        };
        diagnosed(&reasoner, &told);
    }
    for (kind, _) in catalogue::Kind::ALL {
        clean(&catalogue::table(&base, *kind, look()));
    }
}
