//! One-page cards for the chamber door.

use crate::engine::knowledge::{Card, Severity};
use crate::report::handbook::Book;
use crate::report::handbook::cards::{Sheet, Table};
use crate::report::html::write::{Html, page};
use crate::report::text::CLOSING;
use crate::report::words::sentence;

/// A page of cards, each on a sheet of its own when printed.
pub fn cards(book: Book<'_>, sheets: &[Sheet<'_>]) -> String {
    let mut html = Html::default();
    html.open("main", &[("class", "plain")]);
    let title = match sheets {
        [one] => {
            html.element("h1", &[("class", "faint")], "For the chamber door");
            one.title()
        }
        _ => {
            html.element(
                "h1",
                &[("class", "faint")],
                "For the chamber door: one card to a sheet",
            );
            "Cards for the chamber door".to_owned()
        }
    };
    for sheet in sheets {
        one(&mut html, book, *sheet, "h2");
    }
    html.close();
    page(&title, html)
}

/// A card as an article, under a heading of this rank.
pub fn one(html: &mut Html, book: Book<'_>, sheet: Sheet<'_>, heading: &'static str) {
    let id = match sheet {
        Sheet::Card(id, _) => format!("card-{id}"),
        Sheet::Species(id, _) => format!("card-{id}"),
    };
    // What is read from a step away is printed large, where there is room.
    let class = match sheet {
        Sheet::Card(_, card) if card.limits.is_none() && !card.rounds => "card large",
        Sheet::Card(..) => "card",
        Sheet::Species(..) => "card large",
    };
    html.open("article", &[("class", class), ("id", &id)]);
    html.element(heading, &[], &sheet.title());
    match sheet {
        Sheet::Card(_, card) => own(html, book, card),
        Sheet::Species(_, species) => {
            html.labelled("Harvest:", &sentence(&species.harvest_sign));
            table(html, &book.limits_of(species), "Reading");
        }
    }
    html.element("p", &[("class", "faint")], CLOSING);
    html.close();
}

fn own(html: &mut Html, book: Book<'_>, card: &Card) {
    html.element("p", &[], &card.lead);
    if !card.steps.is_empty() {
        html.open("ol", &[]);
        for step in &card.steps {
            html.element("li", &[], step);
        }
        html.close();
    }
    for caution in book.card_cautions(card) {
        let class = class_of(caution.severity);
        html.element("p", &[("class", class)], &caution.text);
    }
    if let Some(limits) = &card.limits {
        html.element("p", &[("class", "faint")], "≥ at least, ≤ at most.");
        table(html, &book.limits(limits), "Species");
    }
    if card.rounds {
        rounds(html, book);
    }
}

/// What is done in rounds, to be ticked.
pub fn rounds(html: &mut Html, book: Book<'_>) {
    for round in book.base.rounds.values() {
        html.open("div", &[]);
        html.open("p", &[]);
        html.element("span", &[("class", "tick"), ("aria-hidden", "true")], "");
        html.element("b", &[], &sentence(&round.statement));
        let only = book.only_where(round).map(|only| format!(", {only}"));
        let often = book.how_often(round);
        html.element(
            "span",
            &[],
            &format!(" {}{}. {}", often, only.unwrap_or_default(), round.how),
        );
        html.close();
        let looks = book.looks(round);
        if !looks.is_empty() {
            let asked: Vec<String> = looks
                .iter()
                .map(|look| format!("Is it so that {look}?"))
                .collect();
            html.list(&asked);
        }
        html.close();
    }
}

/// How grave a caution is, as a class of the sheet of style.
pub fn class_of(severity: Severity) -> &'static str {
    match severity {
        Severity::Stop => "stop",
        Severity::Care => "care",
        Severity::Info => "info",
    }
}

/// A table of limits. On a narrow screen its cells stand below each other, each with the name of its column.
pub fn table(html: &mut Html, table: &Table, corner: &str) {
    html.open("table", &[("class", "limits")]);
    html.open("thead", &[]);
    let two_rows = table.heads.iter().any(|(_, column)| !column.is_empty());
    html.open("tr", &[]);
    if two_rows {
        html.element("th", &[("rowspan", "2"), ("scope", "col")], corner);
        let mut at = 0;
        while let Some((group, _)) = table.heads.get(at) {
            let many = table.heads[at..]
                .iter()
                .take_while(|(one, _)| one == group)
                .count();
            html.element(
                "th",
                &[("colspan", &many.to_string()), ("scope", "colgroup")],
                group,
            );
            at += many;
        }
        html.close();
        html.open("tr", &[]);
        for (_, column) in &table.heads {
            html.element("th", &[("scope", "col")], column);
        }
    } else {
        html.element("th", &[("scope", "col")], corner);
        for (group, _) in &table.heads {
            html.element("th", &[("scope", "col")], group);
        }
    }
    html.close();
    html.close();
    html.open("tbody", &[]);
    for (name, cells) in &table.rows {
        html.open("tr", &[]);
        html.element("th", &[("scope", "row")], name);
        for ((group, column), cell) in table.heads.iter().zip(cells) {
            if cell.is_empty() {
                html.element("td", &[], "");
                continue;
            }
            html.open("td", &[]);
            let head = if column.is_empty() {
                group.clone()
            } else {
                format!("{group}, {column}")
            };
            html.element("span", &[("class", "narrow faint")], &format!("{head}: "));
            html.text(cell);
            html.close();
        }
        html.close();
    }
    html.close();
    html.close();
}
