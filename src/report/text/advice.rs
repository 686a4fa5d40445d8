//! What to do, and what to be careful of.

use crate::engine::diagnosis::{ActionDue, CautionDue, Verdict};
use crate::engine::knowledge::{Due, KnowledgeBase, Purpose, Severity};
use crate::report::page::{Ink, Look, Page};
use crate::report::text::causes::cited;
use crate::report::text::{Told, advice_for};
use crate::report::words::{cause_name, listed, percent, sentence, unstopped};

/// How many cautions of the two milder severities are shown in full.
const MOST_CAUTIONS: usize = 6;

/// The cautions of one severity, with their heading.
pub fn cautions(page: &mut Page, told: &Told<'_>, severity: Severity) {
    let due: Vec<&CautionDue> = told
        .diagnosis
        .cautions
        .iter()
        .filter(|caution| caution.severity == severity)
        .collect();
    if due.is_empty() {
        return;
    }
    let most = if severity == Severity::Stop || page.look().detail {
        due.len()
    } else {
        MOST_CAUTIONS
    };
    let (heading, ink) = heading_of(severity);
    page.heading(ink, heading);
    for caution in due.iter().take(most) {
        one_caution(page, caution);
    }
    if due.len() > most {
        page.paragraph(
            2,
            Ink::Faint,
            &format!("and {} more with --detail", due.len() - most),
        );
    }
}

/// Cautions that interrupt a walk, each a text of its own; of one severity the first has the heading. One alone is told
/// in full; of several what to do comes first, and the reasons stand in the report.
pub fn interruptions(cautions: &[&CautionDue], look: Look) -> Vec<String> {
    let mut above = None;
    let texts = cautions.iter().map(|caution| {
        let mut page = Page::new(look);
        if above.replace(caution.severity) != Some(caution.severity) {
            let (heading, ink) = heading_of(caution.severity);
            page.heading(ink, heading);
        }
        if cautions.len() == 1 {
            one_caution(&mut page, caution);
        } else {
            what_to_do(&mut page, caution);
        }
        page.finish()
    });
    texts.collect()
}

pub(crate) fn heading_of(severity: Severity) -> (&'static str, Ink) {
    match severity {
        Severity::Stop => ("STOP. Read this first", Ink::Stop),
        Severity::Care => ("Take care", Ink::Care),
        Severity::Info => ("Good to know", Ink::Strong),
    }
}

/// What a caution asks for, and of whom more than that.
fn what_to_do(page: &mut Page, caution: &CautionDue) {
    let ink = if caution.severity == Severity::Stop {
        Ink::Stop
    } else {
        Ink::Usual
    };
    page.entry(2, "!", ink, &caution.text);
    if let Some(stricter) = &caution.special_risk {
        page.labelled(4, "If someone is at special risk:", stricter);
    }
}

fn one_caution(page: &mut Page, caution: &CautionDue) {
    what_to_do(page, caution);
    // For what is merely good to know the reason and the last word would drown the report.
    if caution.severity != Severity::Info || page.look().detail {
        if !caution.because.is_empty() {
            page.labelled(4, "Because:", &format!("{}.", listed(&caution.because)));
        }
        if !caution.defer_to.is_empty() {
            page.labelled(
                4,
                "The last word has:",
                &format!("{}.", unstopped(&caution.defer_to)),
            );
        }
    }
    if page.look().detail && !caution.sources.is_empty() {
        page.labelled(4, "Sources:", &cited(&caution.sources));
    }
    if let Some(differ) = caution.differ.as_ref().filter(|_| page.look().detail) {
        page.labelled(4, "Sources differ:", differ);
    }
}

/// Whether an action cannot wait until the report is read: it protects people or keeps a trouble from spreading, now.
pub(crate) fn is_urgent(action: &ActionDue) -> bool {
    action.due == Due::Now && matches!(action.purpose, Purpose::Protect | Purpose::Contain)
}

/// What cannot wait until the report is read.
pub fn urgent(page: &mut Page, told: &Told<'_>) {
    some_actions(page, told, "In the first minutes", is_urgent);
}

/// The other actions, by when they are due.
pub fn actions(page: &mut Page, told: &Told<'_>) {
    for (due, heading) in [
        (Due::Now, "What to do now"),
        (Due::NextDays, "In the next days"),
        (Due::NextRun, "With the next run"),
    ] {
        some_actions(page, told, heading, |action| {
            action.due == due && !is_urgent(action)
        });
    }
}

fn some_actions(
    page: &mut Page,
    told: &Told<'_>,
    heading: &str,
    wanted: impl Fn(&ActionDue) -> bool,
) {
    let actions = told.diagnosis.actions.iter();
    let actions: Vec<&ActionDue> = actions.filter(|action| wanted(action)).collect();
    if actions.is_empty() {
        return;
    }
    page.heading(Ink::Strong, heading);
    for (number, action) in actions.iter().enumerate() {
        one_action(page, told, number + 1, action);
    }
}

fn one_action(page: &mut Page, told: &Told<'_>, number: usize, action: &ActionDue) {
    page.entry(1, &format!("{number}."), Ink::Strong, &action.text);
    if let Some(amount) = &action.amount {
        page.labelled(4, "How much:", &sentence(&amount.text));
    }
    if !action.shows_in.is_empty() {
        page.labelled(4, "Shows in:", &sentence(&action.shows_in));
    }
    if !action.watch.is_empty() {
        page.labelled(4, "Watch:", &sentence(&action.watch));
    }
    for disturbed in &action.disturbs {
        page.labelled(4, "It also changes:", &sentence(disturbed));
    }
    if !action.if_failed.is_empty() {
        page.labelled(4, "If that does not help:", &sentence(&action.if_failed));
    }
    // In a clear case everything is for the leading cause unless it says otherwise.
    let leader = told.diagnosis.causes.first().map(|cause| &cause.id);
    let plain = told.diagnosis.verdict == Verdict::Decided
        && leader.is_some_and(|leader| action.for_causes.contains(leader));
    if (!plain || page.look().detail) && !action.for_causes.is_empty() {
        let names = advice_for(told, action);
        page.labelled(4, "For:", &format!("{}.", names.join("; ")));
    }
    if page.look().detail {
        let mut notes = action.effort_word.clone();
        if !action.sources.is_empty() {
            notes.push_str(&format!("; sources: {}", cited(&action.sources)));
        }
        page.labelled(4, "Effort:", &notes);
        if let Some(differ) = &action.differ {
            page.labelled(4, "Sources differ:", differ);
        }
    }
}

pub(crate) fn with_confidence(
    base: &KnowledgeBase,
    told: &Told<'_>,
    id: &crate::engine::id::CauseId,
) -> String {
    let name = unstopped(cause_name(base, id)).to_owned();
    let found = told.diagnosis.causes.iter().find(|cause| cause.id == *id);
    match found {
        Some(cause) => format!("{name} ({})", percent(cause.confidence)),
        None => name,
    }
}
