//! Species, signs, causes and readings as articles.

use crate::engine::id::{CauseId, ReadingId, SignId, SpeciesId};
use crate::engine::knowledge::{Asking, Cause, CauseKind, Finding, Grounds, Shows};
use crate::engine::quantity::show;
use crate::report::handbook::Book;
use crate::report::handbook::entries::{how_often, taken_for};
use crate::report::html::cards::{class_of, table};
use crate::report::html::handbook::{head, looks, stands, stands_on};
use crate::report::html::write::Html;
use crate::report::json::kind_word;
use crate::report::words::{cause_name, listed, sentence, unstopped};

/// The article of a species.
pub fn species(html: &mut Html, book: Book<'_>, id: &SpeciesId) {
    let Some(one) = book.base.species.get(id) else {
        return;
    };
    head(
        html,
        "species",
        id.as_str(),
        &format!("{} ({})", one.name, one.latin),
    );
    if !one.also.is_empty() {
        html.labelled("Also called:", &format!("{}.", listed(&one.also)));
    }
    html.element("p", &[], &one.summary);
    looks::species(html, one);
    html.labelled("Harvest:", &sentence(&one.harvest_sign));
    if !one.limits.is_empty() {
        html.element("h4", &[], "Limits");
        table(html, &book.limits_of(one), "Reading");
        html.open("details", &[]);
        html.element("summary", &[], "Where each limit stands");
        html.open("ul", &[]);
        for limit in &one.limits {
            html.open("li", &[]);
            let name = book.base.readings.get(&limit.reading);
            let name = name.map_or(limit.reading.as_str(), |reading| &reading.name);
            let stage = book.base.stages.get(&limit.stage);
            let stage = stage.map_or(limit.stage.as_str(), |stage| &stage.name);
            html.text(&format!("{stage}, {name}: {}.", book.range(limit)));
            stands(html, &[&limit.grounds]);
            html.close();
        }
        html.close();
        html.close();
    }
    if !one.normal.is_empty() {
        html.element("h4", &[], "Looks that are no fault");
        html.open("ul", &[]);
        for look in &one.normal {
            html.open("li", &[]);
            finding(html, book, &Finding::Sign(look.sign.clone()));
            html.text(&format!(
                ": {}. {}",
                book.often(look.anyway),
                sentence(&look.note)
            ));
            stands(html, &[&look.grounds]);
            html.close();
        }
        html.close();
    }
    if !one.responses.is_empty() {
        html.element("h4", &[], "How it answers to trouble");
        html.open("ul", &[]);
        for response in &one.responses {
            html.open("li", &[]);
            cause_link(html, book, &response.to);
            html.text(": ");
            finding(html, book, &Finding::Sign(response.sign.clone()));
            html.text(&format!(
                ", {}. {}",
                book.often(response.shows),
                sentence(&response.note)
            ));
            stands(html, &[&response.grounds]);
            html.close();
        }
        html.close();
    }
    stands_on(html, &one.grounds);
    html.close();
}

/// The article of a sign.
pub fn sign(html: &mut Html, book: Book<'_>, id: &SignId) {
    let base = book.base;
    let Some(one) = base.signs.get(id) else {
        return;
    };
    head(html, "sign", id.as_str(), &one.statement);
    looks::sign(html, book, id, one);
    match &one.asking {
        Asking::Alone { question } => html.labelled("Asked:", question),
        Asking::Option { question, option } => {
            let ask = base
                .questions
                .get(question)
                .map_or(question.as_str(), |question| &question.ask);
            html.labelled("Asked:", &format!("{ask} ({option})"));
        }
    }
    html.labelled(
        "How to look:",
        &format!("{} ({})", one.look, one.effort_word),
    );
    if let Some(yes) = &one.yes {
        html.labelled("Yes is:", yes);
    }
    if let Some(other) = &one.mistaken_for {
        html.labelled("Not to mix up:", other);
    }
    if !one.words.is_empty() {
        html.labelled("People say:", &format!("{}.", one.words.join("; ")));
    }
    html.labelled(
        "With nothing wrong:",
        &format!("{}.", book.often(one.anyway)),
    );
    let normal: Vec<_> = base
        .species
        .iter()
        .filter(|(_, species)| species.normal.iter().any(|look| look.sign == *id))
        .collect();
    if !normal.is_empty() {
        html.open("p", &[]);
        html.element("b", &[], "No fault in:");
        for (place, (id, species)) in normal.iter().enumerate() {
            html.text(if place == 0 { " " } else { ", " });
            html.link(&format!("species-{id}"), &species.name);
        }
        html.close();
    }
    let wanted = Finding::Sign(id.clone());
    let mut shown: Vec<(&CauseId, Vec<&Shows>)> = base
        .causes
        .iter()
        .map(|(id, cause)| (id, lines_of(cause, &wanted)))
        .filter(|(_, lines)| !lines.is_empty())
        .collect();
    shown.sort_by(|a, b| b.1[0].share.total_cmp(&a.1[0].share));
    if !shown.is_empty() {
        html.element("h4", &[], "What shows it");
        html.open("ul", &[]);
        for (cause, lines) in &shown {
            html.open("li", &[]);
            cause_link(html, book, cause);
            html.text(&format!(": {}", how_often(book, lines)));
            html.close();
        }
        html.close();
    }
    stands_on(html, &one.grounds);
    html.close();
}

/// The lines of a cause for one finding, the strongest first.
fn lines_of<'k>(cause: &'k Cause, wanted: &Finding) -> Vec<&'k Shows> {
    let mut lines: Vec<&Shows> = cause
        .shows
        .iter()
        .filter(|shows| shows.finding == *wanted)
        .collect();
    lines.sort_by(|a, b| b.share.total_cmp(&a.share));
    lines
}

/// The article of a cause.
pub fn cause(html: &mut Html, book: Book<'_>, id: &CauseId) {
    let base = book.base;
    let Some(one) = base.causes.get(id) else {
        return;
    };
    head(html, "cause", id.as_str(), &one.name);
    // Whoever looks a cause up reads first what can hurt, the gravest of it first of all.
    let mut cautions: Vec<_> = one
        .cautions
        .iter()
        .filter_map(|id| base.cautions.get_key_value(id))
        .collect();
    cautions.sort_by_key(|(_, caution)| caution.severity);
    for (id, caution) in cautions {
        html.open("p", &[("class", class_of(caution.severity))]);
        html.text(&format!("{} ", caution.text));
        html.link(&format!("caution-{id}"), "More");
        html.close();
    }
    html.element("p", &[], &one.summary);
    looks::cause(html, book, one);
    if one.kind == CauseKind::LookAlike {
        html.element("p", &[("class", "good")], "Not a fault: it needs no cure.");
    }
    html.labelled("Kind:", &format!("{}.", kind_word(one.kind)));
    if one.any_of.is_empty() {
        html.labelled(
            "How common among those who ask:",
            &format!("{}.", book.common(one.base_rate)),
        );
    } else {
        html.open("p", &[]);
        html.element("b", &[], "It is one of:");
        for (place, member) in one.any_of.iter().enumerate() {
            html.text(if place == 0 { " " } else { "; " });
            cause_link(html, book, member);
        }
        html.close();
    }
    if let Some(guard) = &one.only_if {
        html.labelled("Only where:", &sentence(&book.condition(guard)));
    }
    if let Some((condition, _)) = base.condition_of(id) {
        html.open("p", &[]);
        html.element("b", &[], "Stands behind: ");
        cause_link(html, book, condition);
        html.close();
    }
    shown(html, book, one);
    let pairs = taken_for(base, id, one);
    if !pairs.is_empty() {
        html.element("h4", &[], "What it is taken for, and what tells them apart");
        html.open("ul", &[]);
        for (other, by) in pairs {
            html.open("li", &[]);
            cause_link(html, book, other);
            html.text(": look whether ");
            finding(html, book, by);
            html.close();
        }
        html.close();
    }
    if !one.roots.is_empty() {
        html.element("h4", &[], "What may stand behind it");
        html.open("ul", &[]);
        for link in &one.roots {
            html.open("li", &[]);
            cause_link(html, book, &link.cause);
            html.text(&format!(": brings it about {}.", book.often(link.brings)));
            stands(html, &[&link.grounds]);
            html.close();
        }
        html.close();
    }
    let actions: Vec<_> = one
        .actions
        .iter()
        .filter_map(|id| base.actions.get_key_value(id))
        .collect();
    if !actions.is_empty() {
        html.element("h4", &[], "What to do");
        html.open("ul", &[]);
        for (id, action) in actions {
            html.open("li", &[]);
            html.text(&format!("{} ", action.text));
            html.link(&format!("action-{id}"), "More");
            html.close();
        }
        html.close();
    }
    stands_on(html, &one.grounds);
    html.close();
}

fn shown(html: &mut Html, book: Book<'_>, one: &Cause) {
    let mut lines: Vec<&Shows> = one.shows.iter().collect();
    lines.sort_by(|a, b| b.share.total_cmp(&a.share));
    if !lines.is_empty() {
        html.element("h4", &[], "What it shows");
        html.open("ul", &[]);
        let mut done: Vec<&Finding> = Vec::new();
        for line in &lines {
            if done.contains(&&line.finding) {
                continue;
            }
            done.push(&line.finding);
            let same = lines_of(one, &line.finding);
            html.open("li", &[]);
            finding(html, book, &line.finding);
            html.text(&format!(": {}.", how_often(book, &same)));
            let grounds: Vec<&Grounds> = same.iter().map(|shows| &shows.grounds).collect();
            stands(html, &grounds);
            html.close();
        }
        html.close();
    }
    if !one.raised_by.is_empty() {
        html.element("h4", &[], "What makes it likelier or less likely");
        html.open("ul", &[]);
        for raise in &one.raised_by {
            let effect = if raise.times >= 1.0 {
                format!("odds {} times as high", raise.times)
            } else {
                format!("odds {:.1} times as low", 1.0 / raise.times)
            };
            html.open("li", &[]);
            html.text(&format!(
                "{}: {effect}.",
                sentence(&book.condition(&raise.when)).trim_end_matches('.')
            ));
            stands(html, &[&raise.grounds]);
            html.close();
        }
        html.close();
    }
}

/// The article of a reading.
pub fn reading(html: &mut Html, book: Book<'_>, id: &ReadingId) {
    let Some(one) = book.base.readings.get(id) else {
        return;
    };
    head(html, "reading", id.as_str(), &one.name);
    html.labelled("Asked:", &one.question);
    html.labelled(
        "How to measure:",
        &format!("{} ({})", one.look, one.effort_word),
    );
    let number = |value: f64| show(value, one.unit, book.system);
    let (least, most) = one.believable;
    html.labelled(
        "Believable:",
        &format!("{} to {}.", number(least), number(most)),
    );
    stands_on(html, &one.grounds);
    html.close();
}

/// A link to a cause by its name.
pub fn cause_link(html: &mut Html, book: Book<'_>, id: &CauseId) {
    html.link(&format!("cause-{id}"), unstopped(cause_name(book.base, id)));
}

/// A finding as a clause, linked where it has an article.
pub fn finding(html: &mut Html, book: Book<'_>, finding: &Finding) {
    let text = book.finding(finding);
    match finding {
        Finding::Sign(id) => html.link(&format!("sign-{id}"), &text),
        Finding::Reading(comparison) => {
            html.link(&format!("reading-{}", comparison.reading), &text)
        }
        Finding::Fact(_) => html.text(&text),
    }
}
