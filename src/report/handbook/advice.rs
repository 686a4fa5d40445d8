//! The pages of actions and cautions.

use crate::engine::id::{ActionId, CautionId};
use crate::engine::knowledge::{Due, Grounds, Severity, Trigger};
use crate::report::handbook::entries::title;
use crate::report::handbook::{Book, sources, stands};
use crate::report::json::severity_word;
use crate::report::page::{Ink, Page};
use crate::report::words::{sentence, unstopped};

/// The page of an action.
pub(super) fn action(page: &mut Page, book: Book<'_>, id: &ActionId) {
    let base = book.base;
    let Some(one) = base.actions.get(id) else {
        return;
    };
    title(page, &one.text, "action", id.as_str());
    let due = match one.when_to_do {
        Due::Now => "now",
        Due::NextDays => "in the next days",
        Due::NextRun => "with the next run",
    };
    page.labelled(0, "When:", &format!("{due}; effort: {}.", one.effort_word));
    if let Some(amount) = &one.amount {
        page.labelled(0, "How much:", &sentence(&amount.otherwise));
    }
    for (label, text) in [
        ("Shows in:", &one.shows_in),
        ("Watch:", &one.watch),
        ("If that does not help:", &one.if_failed),
    ] {
        if !text.is_empty() {
            page.labelled(0, label, &sentence(text));
        }
    }
    for disturbed in &one.disturbs {
        // An amount is known only on an occasion.
        let text = disturbed.replace("{value}", "that many");
        page.labelled(0, "It also changes:", &sentence(&text));
    }
    let causes = base.causes.values();
    let causes: Vec<&str> = causes
        .filter(|cause| cause.actions.contains(id))
        .map(|cause| unstopped(&cause.name))
        .collect();
    brought_up(page, book, &causes, &one.rules);
    page.blank();
    sources(page, base, &one.grounds, grounds_of(&one.rules));
}

/// The page of a caution.
pub(super) fn caution(page: &mut Page, book: Book<'_>, id: &CautionId) {
    let base = book.base;
    let Some(one) = base.cautions.get(id) else {
        return;
    };
    page.heading(ink_of(one.severity), &one.text);
    page.paragraph(
        0,
        Ink::Faint,
        &format!("caution {id} [{}]", severity_word(one.severity)),
    );
    if let Some(stricter) = &one.special_risk {
        page.labelled(0, "If someone is at special risk:", stricter);
    }
    if !one.defer_to.is_empty() {
        page.labelled(0, "The last word has:", &sentence(&one.defer_to));
    }
    let causes = base.causes.values();
    let causes: Vec<&str> = causes
        .filter(|cause| cause.cautions.contains(id))
        .map(|cause| unstopped(&cause.name))
        .collect();
    brought_up(page, book, &causes, &one.rules);
    page.blank();
    sources(page, base, &one.grounds, grounds_of(&one.rules));
}

fn grounds_of(rules: &[Trigger]) -> impl Iterator<Item = &Grounds> + Clone {
    rules.iter().map(|trigger| &trigger.grounds)
}

fn brought_up(page: &mut Page, book: Book<'_>, causes: &[&str], rules: &[Trigger]) {
    if causes.is_empty() && rules.is_empty() {
        return;
    }
    page.heading(Ink::Strong, "What brings it up");
    for cause in causes {
        page.entry(2, "-", Ink::Usual, cause);
    }
    for trigger in rules {
        let mut text = book.condition(&trigger.when);
        stands(book, &mut text, &trigger.grounds);
        page.entry(2, "-", Ink::Usual, &text);
    }
}

/// The ink of a caution.
pub(super) fn ink_of(severity: Severity) -> Ink {
    match severity {
        Severity::Stop => Ink::Stop,
        Severity::Care => Ink::Care,
        Severity::Info => Ink::Usual,
    }
}
