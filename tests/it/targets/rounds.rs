//! What was written down of the rounds, and the calendar that comes of it.

use blockside::engine::observations::Observations;
use blockside::journal::rounds::Rounds;
use blockside::report::json;
use blockside::report::rounds::{calendar, rounds};
use jiff::civil::date;

use crate::targets::shown::{BASE, clean, is_json, look, text_of};

/// What was written down is refused, or written so that it reads back the same; the calendar keeps to its standard's
/// lines (RFC 5545, 3.1: at most 75 octets, ended by CR LF).
pub fn run(data: &[u8]) {
    let Ok(kept) = Rounds::parse(text_of(data)) else {
        return;
    };
    assert_eq!(Rounds::parse(&kept.to_toml()).as_ref(), Ok(&kept));
    let today = date(2028, 2, 29);
    let mut told = Observations::default();
    kept.feed(&BASE, &mut told, today);
    for measured in told.readings.values() {
        assert!(
            measured.value.is_finite() && measured.value >= 0.0,
            "{measured:?}"
        );
    }
    let due = kept.due(&BASE, &told, today);
    clean(&rounds(&BASE, &due, today, look()));
    is_json(&json::rounds(&due, today));
    for line in calendar(&due, "20280229T120000Z").split_inclusive("\r\n") {
        assert!(line.ends_with("\r\n") && line.len() <= 77, "{line:?}");
        assert_eq!(line.matches(['\r', '\n']).count(), 2, "{line:?}");
    }
}
