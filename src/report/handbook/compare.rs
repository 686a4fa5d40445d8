//! Two causes side by side, what separates them first.

use crate::engine::condition::{Condition, Proposition};
use crate::engine::id::CauseId;
use crate::engine::knowledge::{Asking, Cause, Finding, Severity, Shows};
use crate::knowledge::coverage::SEPARATES_FROM;
use crate::report::handbook::Book;
use crate::report::page::{Ink, Page};
use crate::report::words::{percent, sentence, unstopped};

/// How many of the checks that separate two causes are shown without --detail.
///
/// judgement: whoever stands at the chamber makes a few checks, not twenty.
const MOST_CHECKS: usize = 6;

/// A finding with how often each of two causes shows it.
#[derive(Debug, Clone, PartialEq)]
pub struct Beside<'k> {
    /// The finding.
    pub finding: &'k Finding,
    /// The share in which the first shows it.
    pub one: f64,
    /// The share in which the second does.
    pub other: f64,
    /// How far it tells them apart: the difference of the shares in which it is seen at all.
    pub apart: f64,
    /// Whether the knowledge names it as what tells them apart.
    pub named: bool,
}

/// Every finding that one of two causes shows, the most telling first; what the knowledge names stands before the rest.
pub fn beside<'k>(book: Book<'k>, one: &'k CauseId, other: &'k CauseId) -> Vec<Beside<'k>> {
    let (Some(a), Some(b)) = (book.base.causes.get(one), book.base.causes.get(other)) else {
        return Vec::new();
    };
    let named = |from: &Cause, to: &CauseId, finding: &Finding| {
        from.look_alikes
            .iter()
            .any(|look| look.cause == *to && look.told_apart_by == *finding)
    };
    let mut rows: Vec<Beside<'k>> = Vec::new();
    for shows in a.shows.iter().chain(&b.shows) {
        let finding = &shows.finding;
        if rows.iter().any(|row| row.finding == finding) {
            continue;
        }
        let (first, second) = (usual(a, finding), usual(b, finding));
        let is_named = named(a, other, finding) || named(b, one, finding);
        // What single species alone show stands in the pages of the causes.
        if first == 0.0 && second == 0.0 && !is_named {
            continue;
        }
        let anyway = book.base.anyway(finding, None);
        rows.push(Beside {
            finding,
            one: first,
            other: second,
            apart: (first - second).abs() * (1.0 - anyway),
            named: is_named,
        });
    }
    rows.sort_by(|a, b| {
        b.named
            .cmp(&a.named)
            .then_with(|| b.apart.total_cmp(&a.apart))
    });
    rows
}

/// The share in no species in particular: that of the line no species is named for; 0 where there is none.
fn usual(cause: &Cause, finding: &Finding) -> f64 {
    let of_a_species = |line: &&Shows| {
        let literals = line.only_if.iter().flat_map(Condition::literals);
        literals
            .filter(|literal| literal.holds)
            .any(|literal| matches!(literal.proposition, Proposition::Species(_)))
    };
    let mut lines = cause
        .general()
        .filter(|line| line.finding == *finding && !of_a_species(line));
    lines.next().map_or(0.0, |line| line.share)
}

/// The page that compares two causes.
pub fn compare(book: Book<'_>, one: &CauseId, other: &CauseId) -> String {
    let base = book.base;
    let mut page = Page::new(book.look);
    let (Some(a), Some(b)) = (base.causes.get(one), base.causes.get(other)) else {
        return page.finish();
    };
    page.heading(
        Ink::Strong,
        &format!("A: {}. B: {}", unstopped(&a.name), unstopped(&b.name)),
    );
    let rows = beside(book, one, other);
    let (telling, rest): (Vec<_>, Vec<_>) = rows
        .into_iter()
        .partition(|row| row.named || row.apart >= SEPARATES_FROM);
    page.heading(Ink::Strong, "What separates them, the best check first");
    if telling.is_empty() {
        page.paragraph(
            0,
            Ink::Care,
            "No single check does. Ask what happened before, and look again in a few days.",
        );
    }
    let most = if book.look.detail {
        telling.len()
    } else {
        MOST_CHECKS
    };
    for (number, row) in telling.iter().take(most).enumerate() {
        let points_to = if row.one > row.other { "A" } else { "B" };
        page.entry(
            1,
            &format!("{}.", number + 1),
            Ink::Usual,
            &format!(
                "{} If so, it speaks for {points_to}. A: {}; B: {}.",
                question(book, row.finding),
                book.often_if_at_all(row.one),
                book.often_if_at_all(row.other)
            ),
        );
        if let Some(look) = how(book, row.finding) {
            page.labelled(4, "How:", look);
        }
    }
    if telling.len() > most {
        let more = telling.len() - most;
        page.paragraph(4, Ink::Faint, &format!("and {more} more with --detail"));
    }
    if a.only_if != b.only_if {
        for (letter, cause) in [("A", a), ("B", b)] {
            if let Some(guard) = &cause.only_if {
                page.labelled(
                    1,
                    &format!("{letter} only where:"),
                    &sentence(&book.condition(guard)),
                );
            }
        }
    }
    if !rest.is_empty() {
        page.heading(Ink::Strong, "What tells little");
        let mut table = vec![("  A     B".to_owned(), "shown by each".to_owned())];
        table.extend(rest.iter().map(|row| {
            let cell = |share: f64| {
                if share > 0.0 {
                    format!("{:>4}", percent(share))
                } else {
                    "   -".to_owned()
                }
            };
            let shares = format!("{}  {}", cell(row.one), cell(row.other));
            (shares, book.finding(row.finding))
        }));
        page.columns(&table);
    }
    page.heading(Ink::Strong, "What each is");
    for (letter, cause) in [("A", a), ("B", b)] {
        page.entry(
            0,
            &format!("{letter}:"),
            Ink::Usual,
            &format!(
                "{} How common among those who ask: {}.",
                cause.summary,
                book.common(cause.base_rate)
            ),
        );
    }
    cautions(&mut page, book, [("A", a), ("B", b)]);
    page.heading(Ink::Strong, "What to do");
    for (letter, cause) in [("A", a), ("B", b)] {
        let actions: Vec<&str> = cause
            .actions
            .iter()
            .filter_map(|id| base.actions.get(id))
            .map(|action| unstopped(&action.text))
            .collect();
        if actions.is_empty() {
            page.entry(0, &format!("{letter}:"), Ink::Usual, "nothing is listed.");
        }
        for action in actions {
            page.entry(0, &format!("{letter}:"), Ink::Usual, &format!("{action}."));
        }
    }
    page.finish()
}

/// What to be careful of with either.
fn cautions(page: &mut Page, book: Book<'_>, pair: [(&str, &Cause); 2]) {
    let listed: Vec<_> = pair
        .into_iter()
        .flat_map(|(letter, cause)| cause.cautions.iter().map(move |id| (letter, id)))
        .filter_map(|(letter, id)| Some((letter, book.base.cautions.get(id)?)))
        .collect();
    if listed.is_empty() {
        return;
    }
    page.heading(Ink::Care, "Be careful");
    for (letter, caution) in listed {
        let ink = if caution.severity == Severity::Stop {
            Ink::Stop
        } else {
            Ink::Usual
        };
        page.entry(0, &format!("{letter} !"), ink, &caution.text);
    }
}

/// The finding as a question.
pub(crate) fn question(book: Book<'_>, finding: &Finding) -> String {
    match finding {
        Finding::Sign(sign) => match book.base.signs.get(sign).map(|sign| &sign.asking) {
            Some(Asking::Alone { question }) => question.clone(),
            _ => format!("Is it so that {}?", unstopped(&book.finding(finding))),
        },
        Finding::Reading(_) => format!("Measure: is it so that {}?", book.finding(finding)),
        Finding::Fact(_) => format!("Is it so that {}?", unstopped(&book.finding(finding))),
    }
}

fn how<'k>(book: Book<'k>, finding: &Finding) -> Option<&'k str> {
    match finding {
        Finding::Sign(sign) => book.base.signs.get(sign).map(|sign| sign.look.as_str()),
        Finding::Reading(comparison) => {
            let reading = book.base.readings.get(&comparison.reading);
            reading.map(|reading| reading.look.as_str())
        }
        Finding::Fact(_) => None,
    }
}
