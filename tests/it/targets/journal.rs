//! Kept cases: files, and lines of an export.

use blockside::engine::rates::Rates;
use blockside::journal::due::time_has_come;
use blockside::journal::kept::KeptCase;
use blockside::journal::learned::tally;
use blockside::journal::recalled::recall;
use blockside::journal::store::read::{Fault, from_table, parse};
use blockside::report::{cases, json};

use crate::targets::shown::{BASE, REASONER, clean, diagnosed, is_json, look, text_of};

/// A kept case is refused, or written so that it reads back the same, as a file and as a line of an export.
pub fn run(data: &[u8]) {
    let text = text_of(data);
    let read = if text.starts_with('{') {
        let table: Result<toml::Table, _> = serde_json::from_str(text);
        table
            .map_err(|error| Fault::Damaged(error.to_string()))
            .and_then(from_table)
    } else {
        parse(text)
    };
    let case = match read {
        Ok(case) => case,
        Err(fault) => return assert!(!fault.to_string().is_empty()),
    };
    assert_eq!(parse(&case.to_toml()).as_ref(), Ok(&case));
    let line = serde_json::to_string(&case).expect("it can be written");
    let table = serde_json::from_str(&line).expect("it can be read");
    assert_eq!(from_table(table).as_ref(), Ok(&case));
    shown(&case);
}

fn shown(case: &KeptCase) {
    clean(&cases::show(&BASE, case, look()));
    clean(&cases::list(&BASE, &[case, case], 2, look()));
    is_json(&json::cases(&[case]));
    let counted = tally(&BASE, std::slice::from_ref(case));
    for one in counted.counts.values() {
        assert!(one.found <= one.of && one.of == 1);
    }
    let now = "2026-11-25T12:00:00Z".parse().expect("an instant");
    time_has_come(std::slice::from_ref(case), now);
    assert!(REASONER.base().fingerprint.len() > 12);
    let Ok(recalled) = recall(&BASE, case) else {
        return;
    };
    let reasoner = REASONER.clone().with_rates(Rates::default());
    diagnosed(&reasoner, &recalled.observations);
}
