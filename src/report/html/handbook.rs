//! The whole knowledge as one page.

mod advice;
mod entries;
mod keys;
mod looks;

use crate::engine::chamber::profile::Chamber;
use crate::engine::id::SourceId;
use crate::engine::knowledge::{Checked, Grounds};
use crate::report::catalogue::counts;
use crate::report::handbook::cards::Sheet;
use crate::report::handbook::key::Key;
use crate::report::handbook::{Book, mark};
use crate::report::html::cards;
use crate::report::html::drawing::chamber;
use crate::report::html::write::{Html, page};
use crate::report::text::CLOSING;
use crate::report::words::{sentence, unstopped};

/// What the page is made from.
#[derive(Debug, Clone, Copy)]
pub struct Drawn<'a> {
    /// The knowledge, the full one, with the units of numbers.
    pub book: Book<'a>,
    /// Keys to the first complaints.
    pub keys: &'a [Key],
    /// The chamber that is drawn; the plain one if none is given.
    pub chamber: Option<&'a Chamber>,
}

/// A section of the page: its place, its heading, and the entries in it with their places and names.
struct Section {
    place: &'static str,
    heading: &'static str,
    entries: Vec<(String, String)>,
    body: Html,
}

/// The page.
pub fn handbook(all: &Drawn<'_>) -> String {
    let base = all.book.base;
    let sections = sections(all);
    let mut html = Html::default();
    html.element(
        "a",
        &[("class", "skip"), ("href", "#contents")],
        "To the contents",
    );
    html.open("header", &[]);
    html.element("h1", &[], "The handbook of blockside");
    html.element(
        "p",
        &[("class", "faint")],
        &format!(
            "Version {}, knowledge {}: {}.",
            env!("CARGO_PKG_VERSION"),
            base.fingerprint,
            counts(base)
        ),
    );
    html.element("p", &[("class", "care")], CLOSING);
    html.close();
    html.open(
        "nav",
        &[("id", "contents"), ("aria-labelledby", "contents-heading")],
    );
    html.element("h2", &[("id", "contents-heading")], "Contents");
    html.open("ul", &[]);
    for section in &sections {
        html.open("li", &[]);
        html.link(section.place, section.heading);
        if !section.entries.is_empty() {
            html.open("details", &[]);
            html.element("summary", &[], &format!("all {}", section.entries.len()));
            html.open("ul", &[("class", "columns")]);
            let mut entries: Vec<&(String, String)> = section.entries.iter().collect();
            entries.sort_by_key(|(_, name)| name.to_lowercase());
            for (place, name) in entries {
                html.open("li", &[]);
                html.link(place, name);
                html.close();
            }
            html.close();
            html.close();
        }
        html.close();
    }
    html.close();
    html.close();
    html.open("main", &[]);
    for section in sections {
        let heading = format!("{}-heading", section.place);
        html.open(
            "section",
            &[("id", section.place), ("aria-labelledby", &heading)],
        );
        html.element("h2", &[("id", &heading)], section.heading);
        html.put(section.body);
        html.close();
    }
    html.close();
    page("The handbook of blockside", html)
}

fn sections(all: &Drawn<'_>) -> Vec<Section> {
    let book = all.book;
    let base = book.base;
    let mut sections = Vec::new();
    let mut add = |place, heading, entries: Vec<(String, String)>, body| {
        sections.push(Section {
            place,
            heading,
            entries,
            body,
        });
    };
    let name = |text: &str| unstopped(&sentence(text)).to_owned();
    // What can hurt comes first, the gravest of it first of all.
    let mut cautions: Vec<_> = base.cautions.iter().collect();
    cautions.sort_by_key(|(_, caution)| (caution.severity, !caution.at_once));
    let mut body = Html::default();
    for (id, _) in &cautions {
        advice::caution(&mut body, book, id);
    }
    let named = cautions
        .iter()
        .map(|(id, caution)| (format!("caution-{id}"), short(&caution.text)));
    add("cautions", "Cautions", named.collect(), body);

    let mut body = Html::default();
    for sheet in Sheet::all(base) {
        cards::one(&mut body, book, sheet, "h3");
    }
    let named = base
        .cards
        .iter()
        .map(|(id, card)| (format!("card-{id}"), card.title.clone()));
    add("cards", "For the chamber door", named.collect(), body);

    let mut body = Html::default();
    for key in all.keys {
        keys::key(&mut body, key);
    }
    let named = all
        .keys
        .iter()
        .map(|key| (format!("key-{}", key.sign), name(&key.statement)));
    add(
        "keys",
        "Keys: from what you see to what it may be",
        named.collect(),
        body,
    );

    let mut body = Html::default();
    for id in base.species.keys() {
        entries::species(&mut body, book, id);
    }
    let named = base
        .species
        .iter()
        .map(|(id, one)| (format!("species-{id}"), one.name.clone()));
    add("species", "Species", named.collect(), body);

    let mut body = Html::default();
    for id in base.signs.keys() {
        entries::sign(&mut body, book, id);
    }
    let named = base
        .signs
        .iter()
        .map(|(id, one)| (format!("sign-{id}"), name(&one.statement)));
    add("signs", "Signs", named.collect(), body);

    let mut body = Html::default();
    for id in base.causes.keys() {
        entries::cause(&mut body, book, id);
    }
    let named = base
        .causes
        .iter()
        .map(|(id, one)| (format!("cause-{id}"), name(&one.name)));
    add("causes", "Causes", named.collect(), body);

    let mut body = Html::default();
    for id in base.actions.keys() {
        advice::action(&mut body, book, id);
    }
    let named = base
        .actions
        .iter()
        .map(|(id, one)| (format!("action-{id}"), short(&one.text)));
    add("actions", "Actions", named.collect(), body);

    let mut body = Html::default();
    for id in base.rounds.keys() {
        advice::round(&mut body, book, id);
    }
    let named = base
        .rounds
        .iter()
        .map(|(id, one)| (format!("round-{id}"), name(&one.statement)));
    add("rounds", "The round", named.collect(), body);

    add(
        "chamber",
        "The chamber and its air",
        Vec::new(),
        air_path(all),
    );

    let mut body = Html::default();
    for id in base.readings.keys() {
        entries::reading(&mut body, book, id);
    }
    let named = base
        .readings
        .iter()
        .map(|(id, one)| (format!("reading-{id}"), name(&one.name)));
    add("readings", "Readings", named.collect(), body);

    add("sources", "Sources", Vec::new(), sources(book));
    sections
}

/// The beginning of a long text, at the end of a sentence or a word.
fn short(text: &str) -> String {
    const MOST: usize = 70;
    let first = text.split_inclusive(['.', ':']).next().unwrap_or(text);
    if first.chars().count() <= MOST {
        return unstopped(first).trim_end_matches(':').to_owned();
    }
    let mut short = String::new();
    for word in first.split(' ') {
        if short.chars().count() + word.chars().count() + 1 > MOST {
            break;
        }
        if !short.is_empty() {
            short.push(' ');
        }
        short.push_str(word);
    }
    format!("{}…", short.trim_end_matches(','))
}

fn air_path(all: &Drawn<'_>) -> Html {
    let seen = chamber::draw(all.chamber, all.book.system);
    let mut html = Html::default();
    html.open("figure", &[("class", "wide")]);
    html.drawing(&seen.drawing);
    html.element("figcaption", &[], &sentence(&seen.drawing.title));
    html.close();
    html.open("ul", &[]);
    for (part, place) in &seen.parts {
        html.open("li", &[]);
        html.element("b", &[], &format!("{part}: "));
        html.text(place);
        html.close();
    }
    html.close();
    html
}

fn sources(book: Book<'_>) -> Html {
    let mut html = Html::default();
    html.element(
        "p",
        &[],
        "Second-hand: read in a work that quotes it. From memory: not looked up again.",
    );
    html.open("ul", &[]);
    for (id, source) in &book.base.sources {
        html.open("li", &[("id", &format!("source-{id}"))]);
        html.element("code", &[], id.as_str());
        html.text(&format!(": {}{}", source.cite, mark(source)));
        if let Some(at) = source
            .at
            .as_ref()
            .filter(|_| source.checked != Checked::Memory)
        {
            html.text(&format!(" {at}"));
        }
        html.close();
    }
    html.close();
    html
}

/// What a line stands on: links to its sources, and its judgement.
fn stands(html: &mut Html, grounds: &[&Grounds]) {
    let mut done: Vec<&SourceId> = Vec::new();
    let cites = grounds.iter().flat_map(|grounds| &grounds.sources);
    let cites: Vec<_> = cites
        .filter(|cite| {
            let new = !done.contains(&&cite.source);
            done.push(&cite.source);
            new
        })
        .collect();
    let judgements: Vec<&str> = grounds
        .iter()
        .filter_map(|grounds| grounds.judgement.as_deref())
        .collect();
    let differ: Vec<&str> = grounds
        .iter()
        .filter_map(|grounds| grounds.differ.as_deref())
        .collect();
    if cites.is_empty() && judgements.is_empty() {
        return;
    }
    html.text(" ");
    html.open("small", &[]);
    for (place, cite) in cites.iter().enumerate() {
        html.text(if place == 0 { "[" } else { "; " });
        html.link(&format!("source-{}", cite.source), cite.source.as_str());
        if let Some(at) = &cite.at {
            html.text(&format!(", {at}"));
        }
    }
    if !cites.is_empty() {
        html.text("] ");
    }
    for text in differ {
        html.text(&format!("Sources differ: {} ", sentence(text)));
    }
    for text in judgements {
        html.text(&format!("Judgement: {} ", sentence(text)));
    }
    html.close();
}

/// What an entry stands on, as a paragraph of its own.
fn stands_on(html: &mut Html, grounds: &Grounds) {
    html.open("p", &[]);
    stands(html, &[grounds]);
    html.close();
}

/// Opens the article of an entry with its heading and id.
fn head(html: &mut Html, kind: &str, id: &str, name: &str) {
    html.open("article", &[("id", &format!("{kind}-{id}"))]);
    html.element("h3", &[], unstopped(&sentence(name)));
    html.element("p", &[("class", "faint")], &format!("{kind} {id}"));
}
