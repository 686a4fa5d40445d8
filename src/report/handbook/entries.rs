//! One page for each kind of entry.

use crate::engine::condition::{Condition, Literal, Proposition};
use crate::engine::id::{CauseId, SignId, SpeciesId};
use crate::engine::knowledge::{
    Asking, Cause, CauseKind, Finding, KnowledgeBase, Shows, SpeciesLimit,
};
use crate::engine::quantity::show;
use crate::report::handbook::advice::{action, caution, ink_of};
use crate::report::handbook::{Book, Entry, sources, stands};
use crate::report::json::kind_word;
use crate::report::page::{Ink, Page};
use crate::report::words::{cause_name, listed, sentence, unstopped};

/// Writes the page of an entry.
pub fn entry(page: &mut Page, book: Book<'_>, entry: Entry<'_>) {
    match entry {
        Entry::Species(id) => species(page, book, id),
        Entry::Sign(id) => sign(page, book, id),
        Entry::Cause(id) => cause(page, book, id),
        Entry::Action(id) => action(page, book, id),
        Entry::Caution(id) => caution(page, book, id),
    }
}

pub(super) fn title(page: &mut Page, name: &str, kind: &str, id: &str) {
    page.heading(Ink::Strong, unstopped(&sentence(name)));
    page.paragraph(0, Ink::Faint, &format!("{kind} {id}"));
}

fn species(page: &mut Page, book: Book<'_>, id: &SpeciesId) {
    let Some(one) = book.base.species.get(id) else {
        return;
    };
    title(
        page,
        &format!("{} ({})", one.name, one.latin),
        "species",
        id.as_str(),
    );
    if !one.also.is_empty() {
        page.labelled(0, "Also called:", &format!("{}.", listed(&one.also)));
    }
    page.paragraph(0, Ink::Usual, &one.summary);
    page.labelled(0, "Harvest:", &sentence(&one.harvest_sign));
    let mut stages: Vec<_> = book.base.stages.iter().collect();
    stages.sort_by_key(|(_, stage)| stage.place);
    for (stage, entry) in stages {
        let own: Vec<&SpeciesLimit> = one
            .limits
            .iter()
            .filter(|limit| limit.stage == *stage)
            .collect();
        if own.is_empty() {
            continue;
        }
        page.heading(Ink::Strong, &format!("Limits: {}", entry.name));
        for limit in own {
            let mut text = limit_text(book, limit);
            stands(book, &mut text, &limit.grounds);
            page.entry(2, "-", Ink::Usual, &text);
            if let Some(differ) = &limit.grounds.differ {
                page.labelled(4, "Sources differ:", differ);
            }
        }
    }
    if !one.normal.is_empty() {
        page.heading(Ink::Strong, "Looks that are no fault");
        for look in &one.normal {
            let seen = book.finding(&Finding::Sign(look.sign.clone()));
            let mut text = format!(
                "{}: {}. {}",
                seen,
                book.often(look.anyway),
                sentence(&look.note)
            );
            stands(book, &mut text, &look.grounds);
            page.entry(2, "-", Ink::Usual, &text);
        }
    }
    if !one.responses.is_empty() {
        page.heading(Ink::Strong, "How it answers to trouble");
        for response in &one.responses {
            let mut text = format!(
                "{}: {}, {}. {}",
                unstopped(cause_name(book.base, &response.to)),
                book.finding(&Finding::Sign(response.sign.clone())),
                book.often(response.shows),
                sentence(&response.note)
            );
            stands(book, &mut text, &response.grounds);
            page.entry(2, "-", Ink::Usual, &text);
        }
    }
    page.blank();
    // What limits differ on stands beside them already.
    let lines = one
        .normal
        .iter()
        .map(|look| &look.grounds)
        .chain(one.responses.iter().map(|response| &response.grounds));
    sources(page, book.base, &one.grounds, lines);
}

fn limit_text(book: Book<'_>, limit: &SpeciesLimit) -> String {
    let Some(reading) = book.base.readings.get(&limit.reading) else {
        return limit.reading.to_string();
    };
    let number = |value: f64| show(value, reading.unit, book.system);
    let range = match (limit.min, limit.max) {
        (Some(least), Some(most)) => format!("{} to {}", number(least), number(most)),
        (Some(least), None) => format!("at least {}", number(least)),
        (None, Some(most)) => format!("at most {}", number(most)),
        (None, None) => "no limit".to_owned(),
    };
    format!("{}: {range}", reading.name)
}

fn sign(page: &mut Page, book: Book<'_>, id: &SignId) {
    let base = book.base;
    let Some(one) = base.signs.get(id) else {
        return;
    };
    title(page, &one.statement, "sign", id.as_str());
    match &one.asking {
        Asking::Alone { question } => page.labelled(0, "Asked:", question),
        Asking::Option { question, option } => {
            let ask = base
                .questions
                .get(question)
                .map_or(question.as_str(), |question| &question.ask);
            page.labelled(0, "Asked:", &format!("{ask} ({option})"));
        }
    }
    page.labelled(
        0,
        "How to look:",
        &format!("{} ({})", one.look, one.effort_word),
    );
    if let Some(yes) = &one.yes {
        page.labelled(0, "Yes is:", yes);
    }
    if let Some(other) = &one.mistaken_for {
        page.labelled(0, "Not to mix up:", other);
    }
    if !one.words.is_empty() {
        page.labelled(0, "People say:", &format!("{}.", one.words.join("; ")));
    }
    page.labelled(
        0,
        "With nothing wrong:",
        &format!("{}.", book.often(one.anyway)),
    );
    let normal: Vec<&str> = base
        .species
        .values()
        .filter(|species| species.normal.iter().any(|look| look.sign == *id))
        .map(|species| species.name.as_str())
        .collect();
    if !normal.is_empty() {
        page.labelled(0, "No fault in:", &format!("{}.", listed(&normal)));
    }
    let finding = Finding::Sign(id.clone());
    let mut shown: Vec<(&Cause, &Shows)> = base
        .causes
        .values()
        .flat_map(|cause| cause.shows.iter().map(move |shows| (cause, shows)))
        .filter(|(_, shows)| shows.finding == finding)
        .collect();
    // A stable sort keeps equals in the order of the knowledge.
    shown.sort_by(|a, b| b.1.share.total_cmp(&a.1.share));
    if !shown.is_empty() {
        page.heading(Ink::Strong, "What shows it");
        let mut done: Vec<&str> = Vec::new();
        for (cause, _) in &shown {
            if done.contains(&cause.name.as_str()) {
                continue;
            }
            done.push(&cause.name);
            let lines: Vec<&Shows> = shown
                .iter()
                .filter(|(other, _)| other.name == cause.name)
                .map(|(_, shows)| *shows)
                .collect();
            let text = format!("{}: {}", unstopped(&cause.name), how_often(book, &lines));
            page.entry(2, "-", Ink::Usual, &text);
        }
    }
    page.blank();
    sources(page, base, &one.grounds, std::iter::empty());
}

/// How often one cause shows one finding: in general first, then by species where they differ, each line with the
/// condition it hangs on and, on --detail, where it stands.
pub(crate) fn how_often(book: Book<'_>, lines: &[&Shows]) -> String {
    let mut general = Vec::new();
    // Species of one share stand together, the greatest share first as the lines come.
    let mut by_share: Vec<(f64, Vec<String>)> = Vec::new();
    for shows in lines {
        let mut rest = Vec::new();
        let mut species = shows.response_of.as_ref();
        for part in shows.only_if.iter().flat_map(parts) {
            match part {
                Condition::Literal(Literal {
                    proposition: Proposition::Species(id),
                    holds: true,
                }) => species = Some(id),
                _ => rest.push(book.condition(part)),
            }
        }
        let mut note = if rest.is_empty() {
            String::new()
        } else {
            format!(", where {}", rest.join(" and "))
        };
        stands(book, &mut note, &shows.grounds);
        let Some(species) = species else {
            general.push(format!("{}{note}", book.often(shows.share)));
            continue;
        };
        let name = book
            .base
            .species
            .get(species)
            .map_or(species.as_str(), |species| &species.name);
        let named = format!("{name}{note}");
        match by_share.iter_mut().find(|(share, _)| *share == shows.share) {
            Some((_, names)) => names.push(named),
            None => by_share.push((shows.share, vec![named])),
        }
    }
    let in_species = by_share
        .iter()
        .map(|(share, names)| format!("{} in {}", book.often(*share), listed(names)));
    let all: Vec<String> = general.into_iter().chain(in_species).collect();
    all.join("; ")
}

/// The parts that must all hold.
fn parts(condition: &Condition) -> Vec<&Condition> {
    match condition {
        Condition::All(all) => all.iter().flat_map(parts).collect(),
        Condition::Literal(_) | Condition::Any(_) => vec![condition],
    }
}

fn cause(page: &mut Page, book: Book<'_>, id: &CauseId) {
    let base = book.base;
    let Some(one) = base.causes.get(id) else {
        return;
    };
    title(page, &one.name, "cause", id.as_str());
    page.paragraph(0, Ink::Usual, &one.summary);
    if one.kind == CauseKind::LookAlike {
        page.paragraph(0, Ink::Good, "Not a fault: it needs no cure.");
    }
    page.labelled(0, "Kind:", &format!("{}.", kind_word(one.kind)));
    if one.any_of.is_empty() {
        page.labelled(
            0,
            "How common among those who ask:",
            &format!("{}.", book.common(one.base_rate)),
        );
    } else {
        let members: Vec<&str> = one
            .any_of
            .iter()
            .map(|member| cause_name(base, member))
            .collect();
        page.labelled(0, "It is one of:", &format!("{}.", members.join("; ")));
    }
    if let Some(guard) = &one.only_if {
        page.labelled(0, "Only where:", &sentence(&book.condition(guard)));
    }
    if let Some((_, condition)) = base.condition_of(id) {
        page.labelled(0, "Stands behind:", &sentence(&condition.name));
    }
    shown_by(page, book, one);
    look_alikes(page, book, id, one);
    behind(page, book, one);
    advice(page, book, one);
    page.blank();
    let lines = one
        .shows
        .iter()
        .map(|shows| &shows.grounds)
        .chain(one.raised_by.iter().map(|raise| &raise.grounds))
        .chain(one.roots.iter().map(|link| &link.grounds));
    sources(page, base, &one.grounds, lines);
}

fn shown_by(page: &mut Page, book: Book<'_>, one: &Cause) {
    let mut lines: Vec<&Shows> = one.shows.iter().collect();
    lines.sort_by(|a, b| b.share.total_cmp(&a.share));
    if !lines.is_empty() {
        page.heading(Ink::Strong, "What it shows");
        let mut done: Vec<&Finding> = Vec::new();
        for line in &lines {
            if done.contains(&&line.finding) {
                continue;
            }
            done.push(&line.finding);
            let same: Vec<&Shows> = lines
                .iter()
                .copied()
                .filter(|other| other.finding == line.finding)
                .collect();
            let text = format!(
                "{}: {}",
                book.finding(&line.finding),
                how_often(book, &same)
            );
            page.entry(2, "-", Ink::Usual, &text);
        }
    }
    if !one.raised_by.is_empty() {
        page.heading(Ink::Strong, "What makes it likelier or less likely");
        for raise in &one.raised_by {
            let effect = if raise.times >= 1.0 {
                format!("odds {} times as high", raise.times)
            } else {
                format!("odds {:.1} times as low", 1.0 / raise.times)
            };
            let mut text = format!("{}: {effect}", book.condition(&raise.when));
            stands(book, &mut text, &raise.grounds);
            page.entry(2, "-", Ink::Usual, &text);
        }
    }
}

/// What a cause is taken for, and what tells the two apart.
pub(crate) fn taken_for<'k>(
    base: &'k KnowledgeBase,
    id: &CauseId,
    one: &'k Cause,
) -> Vec<(&'k CauseId, &'k Finding)> {
    let mut rows: Vec<(&CauseId, &Finding)> = one
        .look_alikes
        .iter()
        .map(|look| (&look.cause, &look.told_apart_by))
        .collect();
    // A pair may be written at the other cause alone.
    for (other, cause) in &base.causes {
        for look in cause.look_alikes.iter().filter(|look| look.cause == *id) {
            if !rows.iter().any(|(known, _)| *known == other) {
                rows.push((other, &look.told_apart_by));
            }
        }
    }
    rows
}

fn look_alikes(page: &mut Page, book: Book<'_>, id: &CauseId, one: &Cause) {
    let rows = taken_for(book.base, id, one);
    if rows.is_empty() {
        return;
    }
    page.heading(
        Ink::Strong,
        "What it is taken for, and what tells them apart",
    );
    for (other, by) in rows {
        page.entry(
            2,
            "-",
            Ink::Usual,
            &format!(
                "{}: look whether {}",
                unstopped(cause_name(book.base, other)),
                unstopped(&book.finding(by))
            ),
        );
    }
}

fn behind(page: &mut Page, book: Book<'_>, one: &Cause) {
    if one.roots.is_empty() {
        return;
    }
    page.heading(Ink::Strong, "What may stand behind it");
    for link in &one.roots {
        let mut text = format!(
            "{}: brings it about {}",
            unstopped(cause_name(book.base, &link.cause)),
            book.often(link.brings)
        );
        stands(book, &mut text, &link.grounds);
        page.entry(2, ">", Ink::Usual, &text);
    }
}

fn advice(page: &mut Page, book: Book<'_>, one: &Cause) {
    // Whoever looks a cause up reads first what can hurt.
    let cautions: Vec<_> = one
        .cautions
        .iter()
        .filter_map(|id| book.base.cautions.get(id))
        .collect();
    if !cautions.is_empty() {
        page.heading(Ink::Care, "Be careful");
        for caution in cautions {
            page.entry(2, "!", ink_of(caution.severity), &caution.text);
        }
    }
    let actions: Vec<_> = one
        .actions
        .iter()
        .filter_map(|id| book.base.actions.get(id))
        .collect();
    if !actions.is_empty() {
        page.heading(Ink::Strong, "What to do");
        for action in actions {
            page.entry(2, "-", Ink::Usual, &action.text);
        }
    }
}
