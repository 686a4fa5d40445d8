//! The rounds: what is due, as text, and as a calendar.

use std::collections::HashSet;

use icalendar::{Calendar, Component, Event};
use jiff::civil::Date;

use crate::engine::id::CautionId;
use crate::engine::knowledge::{Asking, KnowledgeBase, Severity, Sign};
use crate::journal::rounds::{Due, days_between};
use crate::report::page::{Ink, Look, Page};
use crate::report::sanitise;
use crate::report::words::{sentence, unstopped};

/// The rounds as a list, what is due first. Only what is due is told with how it is done, unless all is asked for.
pub fn rounds(base: &KnowledgeBase, due: &[Due<'_>], today: Date, look: Look) -> String {
    let mut page = Page::new(look);
    let now = due.iter().filter(|one| one.in_days(today) <= 0).count();
    let head = match now {
        0 => "Nothing of the rounds is due today.".to_owned(),
        1 => "One thing of the rounds is due.".to_owned(),
        more => format!("{more} things of the rounds are due."),
    };
    page.paragraph(0, Ink::Strong, &head);
    let mut told = HashSet::new();
    for (place, one) in due.iter().enumerate() {
        let is_due = one.in_days(today) <= 0;
        if is_due || place == now {
            page.blank();
        }
        let lead = if is_due { "[ ]" } else { " - " };
        page.entry(
            0,
            lead,
            if is_due { Ink::Strong } else { Ink::Usual },
            &format!(
                "{} {}",
                sentence(&one.round.statement),
                sentence(&when(one, today))
            ),
        );
        if is_due || look.detail {
            page.paragraph(4, Ink::Usual, &one.round.how);
            for sign in &one.round.looks {
                if let Some(sign) = base.signs.get(sign) {
                    page.entry(4, "?", Ink::Usual, &looked_for(sign));
                }
            }
            cautions(&mut page, base, one, &mut told);
            page.labelled(4, "Then:", &format!("blockside rounds done {}", one.id));
        }
        if look.detail {
            page.labelled(4, "Why:", &one.round.why);
        }
    }
    page.finish()
}

/// What to look for, as a question that a glance can answer.
fn looked_for(sign: &Sign) -> String {
    match &sign.asking {
        Asking::Alone { question } => question.clone(),
        Asking::Option { .. } => format!("{}?", unstopped(&sentence(&sign.statement))),
    }
}

/// Cautions that stop somebody are told whole where they come first; the others, and what was told before, by their first
/// sentence, unless all is asked for.
fn cautions<'k>(
    page: &mut Page,
    base: &KnowledgeBase,
    due: &Due<'k>,
    told: &mut HashSet<&'k CautionId>,
) {
    for id in &due.round.cautions {
        let Some(caution) = base.cautions.get(id) else {
            continue;
        };
        let first = told.insert(id);
        let whole = page.look().detail || (first && caution.severity == Severity::Stop);
        let text = if whole {
            caution.text.as_str()
        } else {
            first_sentence(&caution.text)
        };
        page.entry(4, "!", Ink::Care, text);
    }
}

fn first_sentence(text: &str) -> &str {
    match text.find(". ") {
        Some(at) => &text[..=at],
        None => text,
    }
}

/// When it is due and when it was done, as a clause.
fn when(due: &Due<'_>, today: Date) -> String {
    let every = match due.round.every_days {
        1 => "every day".to_owned(),
        7 => "every week".to_owned(),
        days => format!("every {days} days"),
    };
    let Some(last) = due.last else {
        return format!("{every}; not written down yet");
    };
    let ago = match days_between(last, today) {
        0 => "today".to_owned(),
        1 => "yesterday".to_owned(),
        days => format!("{days} days ago"),
    };
    let then = match due.in_days(today) {
        0 => "due today".to_owned(),
        1 => "due tomorrow".to_owned(),
        -1 => "due since yesterday".to_owned(),
        days if days < 0 => format!("due for {} days", -days),
        days => format!("due in {days} days"),
    };
    format!("{every}; done {ago}, {then}")
}

/// The due dates as an iCalendar file: an all-day event each, again and again at its interval. An event keeps its
/// identity, so that a calendar that reads the file again moves it instead of doubling it.
///
/// # Source
/// RFC 5545, Internet Calendaring and Scheduling Core Object Specification: 3.6.1 (event), 3.3.10 (recurrence rule),
/// 3.8.4.7 (unique identifier).
pub fn calendar(due: &[Due<'_>], stamp: &str) -> String {
    let mut calendar = Calendar::new();
    calendar.name("Rounds of the chamber");
    for one in due {
        let event = Event::new()
            .uid(&format!("{}@rounds.blockside", one.id))
            .add_property("DTSTAMP", stamp)
            .append_property(
                icalendar::Property::new("DTSTART", one.on.strftime("%Y%m%d").to_string())
                    .add_parameter("VALUE", "DATE")
                    .done(),
            )
            .add_property(
                "RRULE",
                format!("FREQ=DAILY;INTERVAL={}", one.round.every_days),
            )
            .summary(&sanitise::line(&sentence(&one.round.statement)))
            .description(&sanitise::block(&format!(
                "{}\n\n{}",
                one.round.how, one.round.why
            )))
            .done();
        calendar.push(event);
    }
    calendar.to_string()
}
