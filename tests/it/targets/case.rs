//! Case files.

use blockside::journal::case::{parse, to_toml};
use blockside::knowledge::build::SourceFile;

use crate::targets::shown::{BASE, REASONER, alike, diagnosed, faulty, text_of};

/// A case is refused at a place in it, or written so that it reads back the same; and then diagnosed.
pub fn run(data: &[u8]) {
    let text = text_of(data);
    let case = match parse(&BASE, "case.toml", text) {
        Ok(case) => case,
        Err(problems) => {
            assert!(!problems.is_empty());
            let file = SourceFile {
                name: "case.toml".to_owned(),
                text: text.to_owned(),
                layer: 0,
            };
            return faulty(&problems, &[file]);
        }
    };
    let written = to_toml(&BASE, &case);
    let again = parse(&BASE, "case.toml", &written).expect("what was written can be read");
    alike(&case.observations, &again.observations);
    assert_eq!(case.expect, again.expect);
    assert_eq!(
        (&case.title, &case.from, &case.told, &case.profile),
        (&again.title, &again.from, &again.told, &again.profile)
    );
    assert_eq!(to_toml(&BASE, &again), written);
    diagnosed(&REASONER, &case.observations);
}
