//! What is said of several cases at once: which are due, and what became of those that were brought in.

use crate::journal::due::TimeHasCome;
use crate::journal::store::BroughtIn;
use crate::report::page::{Ink, Look, Page};
use crate::report::words::{sentence, spoken};

/// The most cases that are named as due.
///
/// judgement: more would push what was asked for off the screen.
const MOST_DUE: usize = 3;
/// The most cases of which it is told what became of them.
const MOST_TOLD: usize = 20;

/// The cases that it is time to look at again, a line each.
pub fn reminders(come: &[TimeHasCome], look: Look) -> String {
    let mut page = Page::new(look);
    for one in come.iter().take(MOST_DUE) {
        page.paragraph(
            0,
            Ink::Care,
            &format!(
                "{} since {}{}. Look again: {} blockside follow-up {}",
                ago(one.hours),
                spoken(&one.action),
                if one.done { "" } else { " was advised" },
                sentence(&one.watch),
                one.id
            ),
        );
    }
    if let more @ 1.. = come.len().saturating_sub(MOST_DUE) {
        page.paragraph(
            0,
            Ink::Care,
            &format!("{more} more are due: blockside cases --open"),
        );
    }
    page.finish()
}

/// A span of time in words: hours up to two days, then days.
fn ago(hours: u32) -> String {
    match hours {
        1 => "An hour".to_owned(),
        hours @ 0..48 => format!("{hours} hours"),
        hours => format!("{} days", hours / 24),
    }
}

/// What became of cases that were brought in.
pub fn brought_in(outcomes: &[BroughtIn], look: Look) -> String {
    let mut page = Page::new(look);
    let new = outcomes
        .iter()
        .filter(|one| !matches!(one, BroughtIn::Duplicate(_)))
        .count();
    let told: Vec<String> = outcomes
        .iter()
        .filter_map(|one| match one {
            BroughtIn::New(_) => None,
            BroughtIn::Renamed(wanted, id) => Some(format!(
                "{wanted} is another case here; it was kept as {id}."
            )),
            BroughtIn::Duplicate(id) => {
                Some(format!("{id} is here already and was not kept twice."))
            }
        })
        .collect();
    for line in told.iter().take(MOST_TOLD) {
        page.entry(2, "-", Ink::Usual, line);
    }
    if let more @ 1.. = told.len().saturating_sub(MOST_TOLD) {
        page.entry(2, "-", Ink::Usual, &format!("and {more} more like these."));
    }
    page.paragraph(
        0,
        Ink::Usual,
        &format!("{new} of {} cases kept.", outcomes.len()),
    );
    page.finish()
}
