//! Kept cases as text.

mod compare;
pub mod learned;
mod notes;

use std::collections::BTreeSet;

use textwrap::core::display_width;

use crate::engine::id::SignId;
use crate::engine::knowledge::{Action, KnowledgeBase, Map};
use crate::journal::kept::{FollowUp, KeptCase, KeptDiagnosis, Outcome, State};
use crate::report::page::{Ink, Look, Page};
use crate::report::words::{listed, percent, sentence, spoken, unstopped};

pub use crate::report::cases::compare::{Differing, compare, differing};
pub use crate::report::cases::notes::{brought_in, reminders};

/// Columns of the longest state.
const STATE_WIDTH: usize = State::FollowedUp.words().len();
/// The fewest columns in which a cause is named on the line of its case.
const LEAST_ROOM: usize = 16;
/// Stands for the rest of a name.
const CUT: &str = "...";

/// The list, newest first as given, of so many that are kept.
pub fn list(base: &KnowledgeBase, cases: &[&KeptCase], kept: usize, look: Look) -> String {
    let mut page = Page::new(look);
    if kept == 0 {
        page.paragraph(
            0,
            Ink::Usual,
            "No case is kept yet. `blockside diagnose --save ...` keeps one.",
        );
        return page.finish();
    }
    let widest = |texts: &[String]| {
        let widths = texts.iter().map(|text| display_width(text));
        widths.max().unwrap_or(0)
    };
    let names: Vec<String> = cases.iter().map(|case| species(base, case)).collect();
    let ids: Vec<String> = cases.iter().map(|case| case.kept.id.clone()).collect();
    let (of_id, of_name) = (widest(&ids), widest(&names));
    for ((case, id), name) in cases.iter().zip(&ids).zip(&names) {
        let head = format!(
            "{}  {}  {}  {} ",
            padded(id, of_id),
            case.kept.at.date(),
            padded(case.state().words(), STATE_WIDTH),
            padded(name, of_name)
        );
        let room = look.width.saturating_sub(display_width(&head) + 1);
        if room < LEAST_ROOM {
            // A page too narrow for one line a case.
            page.paragraph(0, Ink::Usual, head.trim_end());
            page.paragraph(4, Ink::Usual, &leader(&case.kept.diagnosis));
        } else {
            let rest = leader_within(&case.kept.diagnosis, room);
            page.entry(0, &head, Ink::Usual, &rest);
        }
    }
    if cases.is_empty() {
        page.paragraph(0, Ink::Usual, "None of the kept cases is like that.");
    }
    page.finish()
}

/// The text with blanks behind it.
fn padded(text: &str, width: usize) -> String {
    let gap = width.saturating_sub(display_width(text));
    format!("{text}{}", " ".repeat(gap))
}

fn species(base: &KnowledgeBase, case: &KeptCase) -> String {
    case.species.as_ref().map_or_else(
        || "no species".to_owned(),
        |id| {
            base.species
                .get(id.as_str())
                .map_or_else(|| id.clone(), |one| one.name.clone())
        },
    )
}

/// The leading cause with its confidence, or the verdict where none stands out.
pub fn leader(diagnosis: &KeptDiagnosis) -> String {
    leader_within(diagnosis, usize::MAX)
}

/// As [`leader`], the cause's name cut short so that the whole takes no more than these columns.
fn leader_within(diagnosis: &KeptDiagnosis, room: usize) -> String {
    let leader = match diagnosis.verdict.as_str() {
        "decided" | "undecided" => diagnosis.leader(),
        _ => None,
    };
    let Some(cause) = leader else {
        return diagnosis.verdict.replace('-', " ");
    };
    let share = percent(cause.confidence);
    let room = room.saturating_sub(display_width(&share) + 1);
    let mut name = unstopped(&cause.name).to_owned();
    if display_width(&name) > room {
        while display_width(&name) + CUT.len() > room && name.pop().is_some() {}
        name = format!("{}{CUT}", name.trim_end());
    }
    format!("{name} {share}")
}

/// A whole case.
pub fn show(base: &KnowledgeBase, case: &KeptCase, look: Look) -> String {
    let mut page = Page::new(look);
    let kept = &case.kept;
    page.heading(Ink::Strong, &format!("Case {}", kept.id));
    page.labelled(
        0,
        "Kept:",
        &format!("{}; {}.", kept.at.short(), case.state().words()),
    );
    page.labelled(0, "Species:", &sentence(&species(base, case)));
    if let Some(stage) = &case.stage {
        let name = base.stages.get(stage.as_str()).map(|one| &one.name);
        page.labelled(0, "Stage:", &sentence(name.unwrap_or(stage)));
    }
    if let Some(profile) = &kept.profile {
        page.labelled(0, "Profile of the chamber:", &sentence(profile));
    }
    if let Some(log) = &case.log {
        page.labelled(0, "Sensor log:", &sentence(log));
    }
    told(&mut page, base, case);
    page.heading(Ink::Strong, "What came out");
    diagnosis(&mut page, &kept.diagnosis);
    if !kept.diagnosis.actions.is_empty() {
        let ids: Vec<&String> = kept.diagnosis.actions.iter().map(|one| &one.id).collect();
        page.labelled(2, "Due:", &format!("{}.", listed(&ids)));
    }
    if page.look().detail {
        let knowledge = kept.knowledge.get(..12).unwrap_or(&kept.knowledge);
        page.labelled(
            2,
            "With:",
            &format!("program {}, knowledge {knowledge}.", kept.program),
        );
    }
    if !kept.done.is_empty() {
        page.heading(Ink::Strong, "What was done");
        for done in &kept.done {
            let note = done
                .note
                .as_deref()
                .map_or_else(String::new, |note| format!(" {}", sentence(note)));
            page.entry(
                2,
                "-",
                Ink::Usual,
                &format!("{}: {}.{note}", done.on, done.action),
            );
        }
    }
    for one in &kept.follow_ups {
        follow_up(&mut page, base, case, one);
    }
    page.finish()
}

fn told(page: &mut Page, base: &KnowledgeBase, case: &KeptCase) {
    let mut lines = answers(base, &case.signs);
    lines.extend(readings(base, &case.readings));
    for item in &case.setup {
        let (id, holds) = item
            .split_once('=')
            .map_or((item.as_str(), true), |(id, word)| {
                (id.trim(), word.trim() != "no")
            });
        let statement = base.setup.get(id).map_or(id, |one| &one.statement);
        lines.push(answered(statement, if holds { "yes" } else { "no" }));
    }
    for (id, word) in &case.people {
        let statement = base
            .people
            .get(id.as_str())
            .map_or(id, |one| &one.statement);
        lines.push(answered(statement, word));
    }
    if lines.is_empty() {
        return;
    }
    page.heading(Ink::Strong, "What was told");
    for line in lines {
        page.entry(2, "-", Ink::Usual, &line);
    }
}

fn answered(statement: &str, word: &str) -> String {
    match word {
        "yes" => sentence(statement),
        word => format!("{word}: {}", sentence(unstopped(statement))),
    }
}

fn answers(base: &KnowledgeBase, signs: &Map<String, String>) -> Vec<String> {
    signs
        .iter()
        .map(|(id, word)| answered(&statement(base, id), word))
        .collect()
}

fn readings(base: &KnowledgeBase, readings: &Map<String, String>) -> Vec<String> {
    readings
        .iter()
        .map(|(id, value)| {
            let name = base.readings.get(id.as_str()).map_or(id, |one| &one.name);
            sentence(&format!("{name}: {value}"))
        })
        .collect()
}

fn statement(base: &KnowledgeBase, id: &str) -> String {
    let found = SignId::new(id).ok().and_then(|id| base.signs.get(&id));
    found.map_or_else(|| id.to_owned(), |sign| sign.statement.clone())
}

fn diagnosis(page: &mut Page, diagnosis: &KeptDiagnosis) {
    for cause in &diagnosis.causes {
        page.entry(
            2,
            "-",
            Ink::Usual,
            &format!(
                "{} {} ({})",
                unstopped(&cause.name),
                percent(cause.confidence),
                cause.id
            ),
        );
    }
    if diagnosis.causes.is_empty() {
        page.paragraph(2, Ink::Usual, &sentence(&leader(diagnosis)));
    }
    if diagnosis.personal_rates {
        page.paragraph(
            2,
            Ink::Faint,
            "Your own confirmed cases went into these numbers.",
        );
    }
}

/// How it turned out, with what had been done by then.
fn outcome(case: &KeptCase, one: &FollowUp) -> String {
    let day = one.at.date();
    let done = case.kept.done.iter().filter(|done| done.on <= day);
    let mut done: Vec<String> = done.map(|done| spoken(&done.action)).collect();
    done.dedup();
    if done.is_empty() && !one.not_done.is_empty() {
        return match one.outcome {
            Some(Outcome::Worked) => "The trouble is gone; nothing that was advised was done.",
            Some(Outcome::Partly) => "It is better; nothing that was advised was done.",
            Some(Outcome::No) => "It is as bad as before; nothing that was advised was done.",
            None => "Nothing that was advised has been done.",
        }
        .to_owned();
    }
    let said = match one.outcome {
        Some(Outcome::Worked) => "It worked",
        Some(Outcome::Partly) => "It worked in part",
        Some(Outcome::No) => "It did not work",
        None => "Too early to say whether it worked",
    };
    match done.is_empty() {
        true => format!("{said}."),
        false => format!("{said}: {}.", listed(&done)),
    }
}

fn follow_up(page: &mut Page, base: &KnowledgeBase, case: &KeptCase, one: &FollowUp) {
    page.heading(Ink::Strong, &format!("Looked at again {}", one.at.short()));
    page.paragraph(2, Ink::Usual, &outcome(case, one));
    if !one.not_done.is_empty() {
        let not_done: Vec<String> = one.not_done.iter().map(|id| spoken(id)).collect();
        page.labelled(2, "Not done:", &format!("{}.", listed(&not_done)));
    }
    if !one.found.is_empty() {
        page.labelled(
            2,
            "Found in the end:",
            &format!("{}.", listed(&cause_names(base, &one.found))),
        );
    }
    if let Some(note) = &one.note {
        page.labelled(2, "Note:", &sentence(note));
    }
    let mut seen = answers(base, &one.signs);
    seen.extend(readings(base, &one.readings));
    for line in seen {
        page.entry(2, "-", Ink::Usual, &line);
    }
    page.labelled(2, "Then came out:", &sentence(&leader(&one.diagnosis)));
}

/// What causes are called; their ids where this knowledge does not have them.
pub fn cause_names(base: &KnowledgeBase, ids: &[String]) -> Vec<String> {
    ids.iter()
        .map(|id| {
            base.causes
                .get(id.as_str())
                .map_or_else(|| id.clone(), |cause| unstopped(&cause.name).to_owned())
        })
        .collect()
}

/// What a follow-up changed: the outcome, the causes before and now, and what to do where it did not work.
pub fn followed_up(base: &KnowledgeBase, case: &KeptCase, look: Look) -> String {
    let mut page = Page::new(look);
    let Some((last, earlier)) = case.kept.follow_ups.split_last() else {
        return page.finish();
    };
    let before = earlier
        .last()
        .map_or(&case.kept.diagnosis, |one| &one.diagnosis);
    follow_up(&mut page, base, case, last);
    let causes = before.causes.iter().chain(&last.diagnosis.causes);
    let mut ids: BTreeSet<&str> = BTreeSet::new();
    let moved: Vec<_> = causes.filter(|cause| ids.insert(&cause.id)).collect();
    if !moved.is_empty() {
        page.heading(Ink::Strong, "Before, and with what is seen now");
    }
    for cause in moved {
        let then = share(before, &cause.id);
        let now = share(&last.diagnosis, &cause.id);
        let line = format!("{}: {then}, now {now}", unstopped(&cause.name));
        page.entry(2, "-", Ink::Usual, &line);
    }
    let tried = case.tried();
    if tried.is_empty() && last.outcome != Some(Outcome::Worked) {
        let wanting = last.not_done.iter();
        let wanting: Vec<(&String, &Action)> = wanting
            .filter_map(|id| Some((id, base.actions.get(id.as_str())?)))
            .collect();
        if !wanting.is_empty() {
            page.heading(Ink::Strong, "Still to do");
        }
        for (id, action) in wanting {
            page.entry(
                2,
                "-",
                Ink::Usual,
                &format!("{id}: {}", sentence(&action.text)),
            );
        }
    } else if matches!(last.outcome, Some(Outcome::No | Outcome::Partly)) {
        page.heading(Ink::Strong, "As it did not work, or not wholly");
        for id in tried {
            if let Some(action) = base.actions.get(id) {
                page.entry(
                    2,
                    "-",
                    Ink::Usual,
                    &format!("{id}: {}", sentence(&action.if_failed)),
                );
            }
        }
    }
    page.blank();
    page.paragraph(
        0,
        Ink::Faint,
        &format!(
            "What was not looked at again was taken as it was told. The case is {}.",
            match case.state() {
                State::Closed => "closed",
                State::Open | State::FollowedUp => "not closed",
            }
        ),
    );
    page.finish()
}

/// How likely a cause was in a diagnosis, in words.
pub fn share(diagnosis: &KeptDiagnosis, id: &str) -> String {
    let found = diagnosis.causes.iter().find(|cause| cause.id == id);
    found.map_or_else(
        || "not reported".to_owned(),
        |cause| percent(cause.confidence),
    )
}
