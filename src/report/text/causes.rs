//! The causes, each with its confidence, what speaks for and against it, and what may stand behind it.

use crate::engine::diagnosis::{CauseFound, Reason, RootFound};
use crate::engine::knowledge::{CauseKind, Cite, KnowledgeBase};
use crate::report::page::{Ink, Page};
use crate::report::text::Told;
use crate::report::words::{cause_name, listed, odds_factor, percent, strength, unstopped};

/// How many causes are shown in full.
const IN_FULL: usize = 3;
/// How many findings are shown for each side of a cause.
const MOST_REASONS: usize = 4;
/// Findings that weigh less than this, in decibans, are counted and not shown.
///
/// judgement: one deciban changes the odds by a quarter, and no word of the confidence scale.
const LEAST_SHOWN_DB: f64 = 1.0;
/// How many roots are shown for a cause.
const MOST_ROOTS: usize = 3;

/// The section on causes.
pub fn causes(page: &mut Page, told: &Told<'_>) {
    let causes = &told.diagnosis.causes;
    if causes.is_empty() {
        return;
    }
    page.heading(Ink::Strong, "What it may be");
    let detail = page.look().detail;
    // What is hardly suspected gets a line; the leader is always shown in full.
    let suspected = |cause: &&CauseFound| cause.confidence >= told.base.scale.numbers.suspect_at;
    let full = if detail {
        causes.len()
    } else {
        causes
            .iter()
            .take(IN_FULL)
            .take_while(suspected)
            .count()
            .max(1)
    };
    let mut told_roots: Vec<&[RootFound]> = Vec::new();
    for (number, cause) in causes.iter().take(full).enumerate() {
        if number > 0 {
            page.blank();
        }
        in_full(page, told.base, number + 1, cause);
        // Members of one group share the question of how it got in: it is answered once.
        if !cause.roots.is_empty() && !told_roots.contains(&cause.roots.as_slice()) {
            roots(page, told.base, cause);
            told_roots.push(&cause.roots);
        }
    }
    if causes.len() > full {
        page.blank();
        page.paragraph(2, Ink::Usual, "Less likely:");
        for cause in causes.iter().skip(full) {
            page.entry(
                4,
                "-",
                Ink::Usual,
                &format!(
                    "{} ({}, {})",
                    unstopped(&cause.name),
                    cause.words,
                    percent(cause.confidence)
                ),
            );
        }
    }
}

fn in_full(page: &mut Page, base: &KnowledgeBase, number: usize, cause: &CauseFound) {
    page.entry(0, &format!("{number}."), Ink::Strong, &cause.name);
    let bar = page.bar(cause.confidence);
    let share = percent(cause.confidence);
    let beside = format!("{share}, {}", cause.words);
    let room = page.look().width.saturating_sub(4 + bar.chars().count());
    if beside.chars().count() <= room {
        page.entry(3, &bar, Ink::Usual, &beside);
    } else {
        page.entry(3, &bar, Ink::Usual, &share);
        page.paragraph(3, Ink::Usual, &cause.words);
    }
    page.paragraph(3, Ink::Usual, &cause.summary);
    if cause.kind == CauseKind::LookAlike {
        page.paragraph(3, Ink::Good, "Not a fault: it needs no cure.");
    }
    if page.look().detail {
        page.labelled(
            3,
            "Before anything was seen:",
            &format!("{:.1} % ({}).", cause.beforehand * 100.0, cause.id),
        );
    }
    reasons(page, base, "For it:", "+", Ink::Good, &cause.speaks_for);
    reasons(
        page,
        base,
        "Against it:",
        "-",
        Ink::Care,
        &cause.speaks_against,
    );
}

/// The findings on one side, strongest first; without a label where that is said already.
pub fn reasons(
    page: &mut Page,
    base: &KnowledgeBase,
    label: &str,
    mark: &str,
    ink: Ink,
    reasons: &[Reason],
) {
    let detail = page.look().detail;
    let shown: Vec<&Reason> = if detail {
        reasons.iter().collect()
    } else {
        let heavy = |reason: &&Reason| reason.weight_db.abs() >= LEAST_SHOWN_DB;
        reasons.iter().filter(heavy).take(MOST_REASONS).collect()
    };
    if shown.is_empty() {
        return;
    }
    if !label.is_empty() {
        page.paragraph(3, ink, label);
    }
    for reason in &shown {
        page.entry(5, mark, Ink::Usual, &one_reason(base, reason, detail));
    }
    let weaker = reasons.len() - shown.len();
    if weaker > 0 {
        page.paragraph(7, Ink::Faint, &format!("and {weaker} weaker"));
    }
}

fn one_reason(base: &KnowledgeBase, reason: &Reason, detail: bool) -> String {
    let mut text = format!("{} ({}", reason.finding.text, strength(reason.weight_db));
    if detail {
        text.push_str(&format!(
            ", {:+.1} dB, odds {}",
            reason.weight_db,
            odds_factor(reason.weight_db)
        ));
    }
    if let Some(rival) = reason.taken_by.as_ref().filter(|_| reason.weight_db > 0.0) {
        text.push_str(&format!(
            "; also explained by: {}",
            unstopped(cause_name(base, rival))
        ));
    }
    text.push(')');
    if detail && !reason.sources.is_empty() {
        text.push_str(&format!(" [{}]", cited(&reason.sources)));
    }
    if let Some(differ) = reason.differ.as_ref().filter(|_| detail) {
        text.push_str(&format!(" Sources differ: {differ}"));
    }
    text
}

/// Sources with their places: `surname-1999, table 2; surname-2004`.
pub fn cited(sources: &[Cite]) -> String {
    let cites: Vec<String> = sources
        .iter()
        .map(|cite| match &cite.at {
            Some(at) => format!("{}, {at}", cite.source),
            None => cite.source.to_string(),
        })
        .collect();
    cites.join("; ")
}

fn roots(page: &mut Page, base: &KnowledgeBase, cause: &CauseFound) {
    let most = if page.look().detail {
        cause.roots.len()
    } else {
        MOST_ROOTS
    };
    page.paragraph(3, Ink::Usual, roots_label(base, cause));
    for root in cause.roots.iter().take(most) {
        let mut text = format!(
            "{} ({}, {})",
            unstopped(&root.name),
            root.words,
            percent(root.confidence)
        );
        if !root.because.is_empty() {
            let because: Vec<&str> = root
                .because
                .iter()
                .map(|finding| finding.text.as_str())
                .collect();
            text.push_str(&format!(": {}", listed(&because)));
        }
        page.entry(5, ">", Ink::Usual, &text);
    }
}

/// A member of a group came in from somewhere; a condition has something behind it.
pub(crate) fn roots_label(base: &KnowledgeBase, cause: &CauseFound) -> &'static str {
    let group = base
        .causes
        .get(&cause.id)
        .is_some_and(|own| !own.any_of.is_empty());
    if group || base.group_of(&cause.id).is_some() {
        "How it got in:"
    } else {
        "Behind it:"
    }
}
