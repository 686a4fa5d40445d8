//! Free text.

use std::collections::HashSet;
use std::sync::LazyLock;

use blockside::describe::{Description, Reader, Understood};
use blockside::engine::quantity::System;
use blockside::journal::case::{CaseFile, parse, to_toml};
use blockside::report::description::description;

use crate::targets::shown::{BASE, REASONER, alike, clean, diagnosed, look, text_of};

static READER: LazyLock<Reader<'static>> = LazyLock::new(|| Reader::new(&BASE));

/// A text is taken apart at places within it; what was told can be kept as a case and read back.
pub fn run(data: &[u8]) {
    let text = text_of(data);
    let found = READER.read(text);
    in_place(text, &found);
    clean(&description(&BASE, &found, System::Metric, look()));
    let observations = found.observations();
    let case = CaseFile {
        observations,
        ..CaseFile::default()
    };
    let again = parse(&BASE, "case.toml", &to_toml(&BASE, &case));
    alike(&case.observations, &again.expect("a case").observations);
    // A diagnosis takes a hundred times as long as a short text.
    if text.len().is_multiple_of(16) {
        assert_eq!(found, READER.read(text));
        diagnosed(&REASONER, &case.observations);
    }
}

fn in_place(text: &str, found: &Description) {
    let said = |one: &Understood| {
        assert_eq!(
            text.get(one.span.clone()),
            Some(one.words.as_str()),
            "{one:?}"
        );
        for correction in &one.because.corrections {
            let written = text.get(correction.span.clone());
            assert_eq!(written, Some(correction.written.as_str()), "{correction:?}");
        }
        let cues = [&one.because.denied, &one.because.hedged];
        for cue in cues.into_iter().flatten() {
            assert_eq!(
                text.get(cue.span.clone()),
                Some(cue.words.as_str()),
                "{cue:?}"
            );
        }
    };
    found.understood.iter().for_each(said);
    let contradicted = found.contradictions.iter();
    contradicted.flat_map(|one| &one.told).for_each(said);
    for piece in &found.not_understood {
        assert_eq!(
            text.get(piece.span.clone()),
            Some(piece.words.as_str()),
            "{piece:?}"
        );
    }
    let mut topics = HashSet::new();
    let understood = found.understood.iter().map(|one| one.what.topic());
    let contradicted = found.contradictions.iter().map(|one| one.topic.clone());
    for topic in understood.chain(contradicted) {
        assert!(topics.insert(topic.clone()), "{topic:?} is told twice");
    }
}
