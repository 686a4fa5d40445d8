//! The coverage of the knowledge as text and as JSON.

use schemars::JsonSchema;
use serde::Serialize;

use crate::engine::knowledge::KnowledgeBase;
use crate::knowledge::coverage::{Coverage, ENOUGH_RULES, SEPARATES_FROM, Standing};
use crate::report::page::{Ink, Look, Page};
use crate::report::words::{listed, percent};

/// The version of the coverage as JSON.
pub const COVERAGE_SCHEMA: &str = "blockside.coverage/1";

/// How well the knowledge is founded and filled.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct CoverageReport {
    /// The contract and its version.
    pub schema: &'static str,
    /// Fingerprint of the knowledge.
    pub knowledge: String,
    /// Errors that the check found.
    pub errors: usize,
    /// Warnings that the check found.
    pub warnings: usize,
    /// What was counted.
    #[serde(flatten)]
    pub coverage: Coverage,
}

/// The coverage in full.
pub fn coverage(base: &KnowledgeBase, found: &Coverage, look: Look) -> String {
    let mut page = Page::new(look);
    page.heading(Ink::Strong, "What it stands on");
    page.paragraph(
        0,
        Ink::Usual,
        "Everything is counted once, by the best it stands on: read in a source, read in a work that quotes it, \
         remembered, common practice, judgement alone. Base rates and the like stand on the sources of their entry.",
    );
    for (all, parts) in [("entries", &found.entries), ("numbers", &found.numbers)] {
        page.blank();
        page.labelled(
            0,
            &format!("All {all}:"),
            &standing(&Standing::sum(all, parts)),
        );
        for part in parts.iter().filter(|part| part.count > 0) {
            page.labelled(2, &format!("{}:", part.what), &standing(part));
        }
    }
    let thin = |root: bool| {
        found
            .thin_causes
            .iter()
            .filter(move |cause| cause.root == root)
            .map(|cause| format!("{} ({})", cause.cause, cause.rules))
            .collect::<Vec<_>>()
    };
    list(
        &mut page,
        &format!("Causes with fewer than {ENOUGH_RULES} rules"),
        &thin(false),
    );
    list(
        &mut page,
        &format!("Roots with fewer than {ENOUGH_RULES} rules"),
        &thin(true),
    );
    list(
        &mut page,
        "Signs that a single rule uses",
        &found.single_use_signs,
    );
    pairs(&mut page, base, found);
    let mut heading = "Causes that no published case covers".to_owned();
    heading.push_str(&format!(
        " (of {} cases; a case covers what must lead, be reported or stand behind it)",
        found.published_cases
    ));
    list(&mut page, &heading, &found.causes_without_case);
    if !found.cases_left_out.is_empty() {
        // Where other knowledge is looked over, none of the built-in cases fits it.
        let shown: &[String] = if look.detail {
            &found.cases_left_out
        } else {
            &[]
        };
        let count = found.cases_left_out.len();
        page.heading(
            Ink::Strong,
            &format!("Cases this knowledge cannot read: {count}"),
        );
        if !shown.is_empty() {
            page.paragraph(2, Ink::Usual, &shown.join(", "));
        }
    }
    page.finish()
}

/// The coverage in a few lines, for the front page of the handbook.
pub fn in_short(page: &mut Page, found: &Coverage) {
    for (all, parts) in [("entries", &found.entries), ("numbers", &found.numbers)] {
        page.labelled(
            0,
            &format!("All {all}:"),
            &standing(&Standing::sum(all, parts)),
        );
    }
    page.paragraph(
        0,
        Ink::Usual,
        &format!(
            "Causes with fewer than {ENOUGH_RULES} rules: {}; roots: {}. Signs that a single rule uses: {}. Pairs of \
             causes that nothing separates: {}. Causes that none of {} published cases covers: {}.",
            found.thin_causes.iter().filter(|cause| !cause.root).count(),
            found.thin_causes.iter().filter(|cause| cause.root).count(),
            found.single_use_signs.len(),
            found.inseparable.len(),
            found.published_cases,
            found.causes_without_case.len()
        ),
    );
}

fn pairs(page: &mut Page, base: &KnowledgeBase, found: &Coverage) {
    page.heading(
        Ink::Strong,
        &format!("Pairs that nothing separates: {}", found.inseparable.len()),
    );
    page.paragraph(
        0,
        Ink::Faint,
        &format!(
            "No finding is shown by the two with shares that differ by {SEPARATES_FROM} or more under the same guard."
        ),
    );
    for pair in &found.inseparable {
        let name = |id: &str| {
            let cause = base.causes.get(id);
            cause.map_or_else(|| id.to_owned(), |cause| cause.name.clone())
        };
        let mut text = format!("{} / {}", name(&pair.one), name(&pair.other));
        let mut notes = Vec::new();
        if pair.identical {
            notes.push("the same in every finding".to_owned());
        }
        if pair.setting_differs {
            notes.push("species, stage or setup may settle it".to_owned());
        }
        if let Some(by) = &pair.told_apart_by {
            notes.push(format!("named as look-alikes, told apart by {by}"));
        }
        if !notes.is_empty() {
            text.push_str(&format!(" ({})", notes.join("; ")));
        }
        page.entry(2, "-", Ink::Usual, &text);
    }
}

fn list(page: &mut Page, heading: &str, items: &[String]) {
    page.heading(Ink::Strong, &format!("{heading}: {}", items.len()));
    if !items.is_empty() {
        page.paragraph(2, Ink::Usual, &items.join(", "));
    }
}

/// How many stand on what, in words with shares.
fn standing(standing: &Standing) -> String {
    let share = |count: usize| percent(count as f64 / standing.count.max(1) as f64);
    let parts: Vec<String> = [
        (standing.read, "read"),
        (standing.second_hand, "second-hand"),
        (standing.memory, "from memory"),
        (standing.practice, "common practice"),
        (standing.judgement, "judgement only"),
        (standing.nothing, "on nothing"),
    ]
    .into_iter()
    .filter(|(count, _)| *count > 0)
    .map(|(count, word)| format!("{} {word}", share(count)))
    .collect();
    format!("{}; {}.", standing.count, listed(&parts))
}
