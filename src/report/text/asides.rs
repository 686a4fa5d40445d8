//! What a person may ask back in the middle of a walk: why a question is put, and how things look so far.

use crate::engine::diagnosis::{Diagnosis, NextCheck};
use crate::engine::knowledge::KnowledgeBase;
use crate::engine::observations::Answer;
use crate::engine::outlook::{IfAnswered, Possible, Shift};
use crate::engine::quantity::{System, show};
use crate::report::page::{Ink, Look, Page};
use crate::report::text::causes::reasons;
use crate::report::text::option_names;
use crate::report::words::{cause_name, percent, unstopped};

/// The most causes named for each answer.
const MOST_NAMED: usize = 3;
/// With more answers than this one cause is named for each: the list has to fit a screen.
const FEW_ANSWERS: usize = 4;
/// The most causes in the table of how things look.
const MOST_SO_FAR: usize = 8;

/// Why a check is asked for: what each answer would do, the effort, and whether it could show a hazard.
pub fn why_asked(
    base: &KnowledgeBase,
    check: &NextCheck,
    answers: &[IfAnswered],
    system: System,
    look: Look,
) -> String {
    let mut page = Page::new(look);
    let most = if answers.len() > FEW_ANSWERS {
        1
    } else {
        MOST_NAMED
    };
    // Two answers have room for a line for each cause.
    let in_full = answers.len() <= 2;
    let (telling, idle): (Vec<_>, Vec<_>) = answers
        .iter()
        .partition(|answered| !answered.shifts.is_empty());
    if !in_full {
        let text = format!("{}.", now(base, &telling, most).join("; "));
        page.labelled(2, "Now:", &text);
    }
    for answered in telling {
        let name = answer_name(base, check, &answered.answer, system);
        if !in_full {
            let shifts = answered.shifts.iter().take(most).map(|shift| {
                let cause = short(cause_name(base, &shift.cause));
                format!("{cause} {}", percent(shift.then))
            });
            let shifts: Vec<String> = shifts.collect();
            page.entry(
                2,
                "if",
                Ink::Usual,
                &format!("{name}: {}", shifts.join("; ")),
            );
            continue;
        }
        page.entry(2, "if", Ink::Strong, &format!("{name}:"));
        for shift in answered.shifts.iter().take(most) {
            let mark = if shift.by() > 0.0 { "+" } else { "-" };
            page.entry(5, mark, Ink::Usual, &moved(base, shift));
        }
    }
    match idle.as_slice() {
        [] => {}
        _ if idle.len() == answers.len() => page.paragraph(
            2,
            Ink::Usual,
            "By itself no answer would move a cause by a whole percent; together with another it may.",
        ),
        [one] => {
            let name = answer_name(base, check, &one.answer, system);
            page.entry(2, "if", Ink::Usual, &format!("{name}: next to nothing."));
        }
        more => page.paragraph(
            2,
            Ink::Usual,
            &format!("{} other answers would change next to nothing.", more.len()),
        ),
    }
    page.labelled(2, "Effort:", &format!("{}.", check.effort_word));
    if check.hazard {
        page.paragraph(
            2,
            Ink::Care,
            "It could show something that can hurt people or the whole chamber, so it comes early.",
        );
    }
    if let Some(condition) = &check.about_roots_of {
        page.labelled(
            2,
            "It looks for what stands behind:",
            &format!("{}.", unstopped(cause_name(base, condition))),
        );
    }
    page.finish()
}

/// The causes that the answers move most, as sure as they are now, each once.
fn now(base: &KnowledgeBase, answers: &[&IfAnswered], most: usize) -> Vec<String> {
    let mut named: Vec<String> = Vec::new();
    for shift in answers.iter().flat_map(|one| one.shifts.iter().take(most)) {
        let cause = short(cause_name(base, &shift.cause));
        let text = format!("{cause} {}", percent(shift.now));
        if !named.contains(&text) {
            named.push(text);
        }
    }
    named
}

/// The name of a cause without what explains it, for a list in which it stands many times.
fn short(name: &str) -> &str {
    unstopped(name.split_once(": ").map_or(name, |(short, _)| short))
}

fn moved(base: &KnowledgeBase, shift: &Shift) -> String {
    format!(
        "{}: {} instead of {}",
        unstopped(cause_name(base, &shift.cause)),
        percent(shift.then),
        percent(shift.now)
    )
}

fn answer_name(
    base: &KnowledgeBase,
    check: &NextCheck,
    answer: &Possible,
    system: System,
) -> String {
    match answer {
        Possible::Sign(Answer::Yes) => "yes".to_owned(),
        Possible::Sign(_) => "no".to_owned(),
        Possible::Only(sign) => option_names(base, std::slice::from_ref(sign)).join(""),
        Possible::None => "none of these".to_owned(),
        Possible::Between { from, to, value } => {
            let unit = match &check.ask {
                crate::engine::diagnosis::Ask::Reading(id) => {
                    base.readings.get(id).map(|reading| reading.unit)
                }
                _ => None,
            };
            let number = |value: f64| {
                unit.map_or_else(|| value.to_string(), |unit| show(value, unit, system))
            };
            let say = format!("(say {})", number(*value));
            match (from, to) {
                (Some(from), Some(to)) => format!("{} to {} {say}", number(*from), number(*to)),
                (None, Some(to)) => format!("below {} {say}", number(*to)),
                (Some(from), None) => format!("above {} {say}", number(*from)),
                (None, None) => number(*value),
            }
        }
    }
}

/// How things look so far: a table of the causes, what speaks for the leader, and how likely it is that nothing in the
/// book fits.
pub fn so_far(base: &KnowledgeBase, diagnosis: &Diagnosis, look: Look) -> String {
    let mut page = Page::new(look);
    if diagnosis.causes.is_empty() {
        page.paragraph(
            2,
            Ink::Usual,
            "Nothing told so far speaks for any cause in the book.",
        );
    }
    for cause in diagnosis.causes.iter().take(MOST_SO_FAR) {
        let bar = page.bar(cause.confidence);
        let share = percent(cause.confidence);
        page.paragraph(2, Ink::Strong, unstopped(&cause.name));
        page.entry(4, &bar, Ink::Usual, &format!("{share}, {}", cause.words));
    }
    if let more @ 1.. = diagnosis.causes.len().saturating_sub(MOST_SO_FAR) {
        page.paragraph(2, Ink::Faint, &format!("and {more} less likely"));
    }
    if let Some(leader) = diagnosis.causes.first() {
        page.labelled(
            2,
            "What speaks for",
            &format!("{}:", unstopped(&leader.name)),
        );
        reasons(&mut page, base, "", "+", Ink::Usual, &leader.speaks_for);
    }
    page.labelled(
        2,
        "Nothing in the book fits:",
        &format!("{}.", percent(diagnosis.nothing_fits)),
    );
    page.finish()
}
