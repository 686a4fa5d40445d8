//! Why a cause is believed, and why not, as text.

use crate::engine::explain::{Explanation, Outlook, Rival};
use crate::engine::knowledge::KnowledgeBase;
use crate::report::cases::learned::moved;
use crate::report::page::{Ink, Look, Page};
use crate::report::text::causes::reasons;
use crate::report::words::{listed, percent, sentence, unstopped};

/// Which way the question was put.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Asked {
    /// Why this cause?
    Why,
    /// Why not this cause?
    WhyNot,
}

/// The whole explanation.
pub fn explanation(base: &KnowledgeBase, told: &Explanation, asked: Asked, look: Look) -> String {
    let mut page = Page::new(look);
    page.heading(Ink::Strong, &headline(told, asked));
    page.paragraph(0, Ink::Usual, &told.summary);
    if told.ruled_out {
        page.paragraph(
            0,
            Ink::Usual,
            "It was not considered: what you told of species, stage or setup rules it out. If that is wrong, put it \
             right and ask again.",
        );
        return page.finish();
    }
    beforehand(&mut page, base, told);
    page.blank();
    let (first, second) = match asked {
        Asked::Why => (&told.speaks_for, &told.speaks_against),
        Asked::WhyNot => (&told.speaks_against, &told.speaks_for),
    };
    for (side, for_it) in [(first, asked == Asked::Why), (second, asked != Asked::Why)] {
        let (label, mark, ink) = if for_it {
            ("For it:", "+", Ink::Good)
        } else {
            ("Against it:", "-", Ink::Care)
        };
        reasons(&mut page, base, label, mark, ink, side);
    }
    if told.speaks_for.is_empty() && told.speaks_against.is_empty() {
        page.paragraph(
            3,
            Ink::Usual,
            "Nothing you told speaks for it or against it.",
        );
    }
    differing(&mut page, base, told);
    derived(&mut page, told);
    rivals(&mut page, told);
    roots(&mut page, told);
    match asked {
        Asked::Why => {
            outlooks(&mut page, "What would bring it down", &told.would_lower);
            outlooks(&mut page, "What would make it surer", &told.would_raise);
        }
        Asked::WhyNot => {
            outlooks(&mut page, "What would bring it up", &told.would_raise);
            outlooks(
                &mut page,
                "What would settle that it is not this",
                &told.would_lower,
            );
        }
    }
    page.finish()
}

/// Where the sources of the cause itself and of what was weighed do not agree. On --detail each finding says it itself.
fn differing(page: &mut Page, base: &KnowledgeBase, told: &Explanation) {
    let own = base
        .causes
        .get(&told.cause)
        .and_then(|cause| cause.grounds.differ.as_deref());
    let mut said: Vec<&str> = own.into_iter().collect();
    if !page.look().detail {
        for reason in told.speaks_for.iter().chain(&told.speaks_against) {
            if let Some(differ) = reason.differ.as_deref().filter(|one| !said.contains(one)) {
                said.push(differ);
            }
        }
    }
    if said.is_empty() {
        return;
    }
    page.heading(Ink::Strong, "Where the sources differ");
    for differ in said {
        page.entry(3, "-", Ink::Usual, differ);
    }
}

fn headline(told: &Explanation, asked: Asked) -> String {
    let name = unstopped(&told.name);
    let sure = format!("{} ({})", told.words, percent(told.confidence));
    match asked {
        Asked::Why => format!("Why {name}? It is {sure}."),
        Asked::WhyNot if told.confidence >= 0.5 => {
            format!("Why not {name}? In fact it is {sure}.")
        }
        Asked::WhyNot => format!("Why not {name}? It is {sure}."),
    }
}

fn beforehand(page: &mut Page, base: &KnowledgeBase, told: &Explanation) {
    // A group is as common as its members make it; it has no rate of its own.
    let group = base
        .causes
        .get(&told.cause)
        .is_some_and(|cause| !cause.any_of.is_empty());
    if !group {
        page.paragraph(
        0,
        Ink::Usual,
        &format!(
            "How common it is among those who ask for help: {}. In your setting, before any sign: {}.",
            percent(told.base_rate),
            percent(told.beforehand)
        ),
    );
    }
    if let Some(rate) = &told.personal_rate {
        page.entry(
            3,
            "*",
            Ink::Usual,
            &format!(
                "Your own confirmed cases count: {} (blockside cases learned)",
                moved(rate)
            ),
        );
    }
    for (holds, times) in &told.risk_factors {
        let effect = if *times >= 1.0 {
            format!("odds {} times as high", short(*times))
        } else {
            format!("odds {} times as low", short(1.0 / times))
        };
        page.entry(3, "*", Ink::Usual, &format!("{} ({effect})", holds));
    }
    if let Some(over) = &told.hangs_on {
        page.paragraph(
            0,
            Ink::Usual,
            &format!(
                "It hangs on: {} ({}).",
                unstopped(&over.name),
                percent(over.confidence)
            ),
        );
    }
}

fn short(number: f64) -> String {
    let text = format!("{number:.1}");
    text.strip_suffix(".0").map_or(text.clone(), str::to_owned)
}

fn derived(page: &mut Page, told: &Explanation) {
    if told.derived.is_empty() || !page.look().detail {
        return;
    }
    page.heading(Ink::Strong, "Worked out from what you told");
    for step in &told.derived {
        page.entry(3, "-", Ink::Usual, &sentence(&step.text));
        page.labelled(
            5,
            "Because",
            &format!("{} (rule {}).", listed(&step.because), step.rule),
        );
    }
}

fn rivals(page: &mut Page, told: &Explanation) {
    if told.rivals.is_empty() {
        return;
    }
    page.heading(Ink::Strong, "Likelier than this");
    for Rival {
        name, confidence, ..
    } in &told.rivals
    {
        page.entry(
            3,
            "-",
            Ink::Usual,
            &format!("{} ({})", unstopped(name), percent(*confidence)),
        );
    }
}

fn roots(page: &mut Page, told: &Explanation) {
    if told.roots.is_empty() {
        return;
    }
    page.heading(Ink::Strong, "What may stand behind it");
    for root in &told.roots {
        page.entry(
            3,
            ">",
            Ink::Usual,
            &format!(
                "{} ({}, {})",
                unstopped(&root.name),
                root.words,
                percent(root.confidence)
            ),
        );
    }
}

fn outlooks(page: &mut Page, heading: &str, outlooks: &[Outlook]) {
    if outlooks.is_empty() {
        return;
    }
    page.heading(Ink::Strong, heading);
    for outlook in outlooks {
        page.entry(
            3,
            "?",
            Ink::Usual,
            &format!(
                "{} {}: {}.",
                outlook.question,
                if_clause(&outlook.finding.text),
                percent(outlook.confidence)
            ),
        );
    }
}

/// The finding as a condition; a denial of what was just asked needs no repeating.
fn if_clause(text: &str) -> String {
    match text.strip_prefix("not seen: ") {
        Some(_) => "If not".to_owned(),
        None => format!("If {text}"),
    }
}
