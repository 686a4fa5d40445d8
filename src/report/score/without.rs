//! Single statements, and what becomes of cases when a cause is missing from the book.

use schemars::JsonSchema;
use serde::Serialize;

use crate::report::json::rounded;
use crate::report::page::{Ink, Page};
use crate::report::words::percent;
use crate::train::score::Judged;
use crate::train::without::Removal;

/// What was said of one case.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct CaseStatements {
    /// The case.
    pub case: String,
    /// The causes of which one must lead; none where nothing may be reported.
    pub wanted: Vec<String>,
    /// The causes reported, most confident first.
    pub stated: Vec<Statement>,
}

/// One cause reported.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Statement {
    /// Which cause.
    pub cause: String,
    /// Its confidence, 0 to 1, with all digits.
    pub confidence: f64,
    /// Whether it was so.
    pub so: bool,
}

/// Every single statement.
pub fn statements(judged: &[Judged]) -> Vec<CaseStatements> {
    let of = |case: &Judged| CaseStatements {
        case: case.name.clone(),
        wanted: case.wanted.iter().map(ToString::to_string).collect(),
        stated: case
            .stated
            .iter()
            .map(|(cause, confidence)| Statement {
                cause: cause.to_string(),
                confidence: *confidence,
                so: case.wanted.contains(cause),
            })
            .collect(),
    };
    judged.iter().map(of).collect()
}

/// What becomes of the cases with each cause taken out of the book in turn. Sums run over all causes taken out.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct WithoutReport {
    /// How many causes were taken out, one at a time.
    pub removed: usize,
    /// Cases whose one right cause was taken out.
    pub own_cases: usize,
    /// Share of these in which a wrong cause is stated with the confidence of a verdict.
    pub misled: f64,
    /// Share of these in which something outside the book is called likelier than any cause.
    pub nothing_fits: f64,
    /// Mean probability, in these, of something outside the book, with the cause in the book.
    pub unknown_before: f64,
    /// The same without it.
    pub unknown_after: f64,
    /// Share of all other cases in which a right cause led with the whole book.
    pub others_lead_before: f64,
    /// The same without one cause, taken over all removals.
    pub others_lead_after: f64,
    /// Each cause whose removal touches anything: own cases, or whether a right cause leads in others.
    pub causes: Vec<RemovalReport>,
}

/// What becomes of the cases with one cause taken out.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct RemovalReport {
    /// The cause.
    pub cause: String,
    /// Cases whose one right cause it is.
    pub own_cases: usize,
    /// Of these, how many have a wrong cause stated with the confidence of a verdict.
    pub misled: usize,
    /// Of these, how many call something outside the book likelier than any cause.
    pub nothing_fits: usize,
    /// Mean probability, in these, of something outside the book, with the cause in the book.
    pub unknown_before: f64,
    /// The same without it.
    pub unknown_after: f64,
    /// In how many other cases a right cause leads with the whole book.
    pub others_led_before: usize,
    /// In how many of them one leads without this cause.
    pub others_led_after: usize,
}

pub(super) fn without_report(removals: &[Removal]) -> WithoutReport {
    let own_cases: usize = removals.iter().map(|one| one.own.cases).sum();
    let other_cases: usize = removals.iter().map(|one| one.others.cases).sum();
    let of_own = |sum: f64| rounded(sum / own_cases.max(1) as f64);
    let of_others = |sum: usize| rounded(sum as f64 / other_cases.max(1) as f64);
    let count = |of: &dyn Fn(&Removal) -> usize| removals.iter().map(of).sum::<usize>();
    let unknown = |of: &dyn Fn(&Removal) -> f64| -> f64 {
        removals
            .iter()
            .map(|one| of(one) * one.own.cases as f64)
            .sum()
    };
    let touches =
        |one: &&Removal| one.own.cases > 0 || one.others.led_before != one.others.led_after;
    WithoutReport {
        removed: removals.len(),
        own_cases,
        misled: of_own(count(&|one| one.own.misled) as f64),
        nothing_fits: of_own(count(&|one| one.own.nothing_fits) as f64),
        unknown_before: of_own(unknown(&|one| one.own.unknown_before)),
        unknown_after: of_own(unknown(&|one| one.own.unknown_after)),
        others_lead_before: of_others(count(&|one| one.others.led_before)),
        others_lead_after: of_others(count(&|one| one.others.led_after)),
        causes: removals
            .iter()
            .filter(touches)
            .map(|one| RemovalReport {
                cause: one.cause.to_string(),
                own_cases: one.own.cases,
                misled: one.own.misled,
                nothing_fits: one.own.nothing_fits,
                unknown_before: rounded(one.own.unknown_before),
                unknown_after: rounded(one.own.unknown_after),
                others_led_before: one.others.led_before,
                others_led_after: one.others.led_after,
            })
            .collect(),
    }
}

pub(super) fn without_text(page: &mut Page, removals: &[Removal]) {
    let all = without_report(removals);
    page.heading(
        Ink::Strong,
        &format!(
            "With each of {} causes taken out of the book in turn",
            all.removed
        ),
    );
    for (label, text) in [
        (
            "Cases whose right cause is gone:",
            format!(
                "{}; a wrong cause gets a verdict in {}, nothing in the book is said to fit in {}",
                all.own_cases,
                percent(all.misled),
                percent(all.nothing_fits)
            ),
        ),
        (
            "Something outside the book, in these:",
            format!(
                "{} on average, {} with the cause in the book",
                percent(all.unknown_after),
                percent(all.unknown_before)
            ),
        ),
        (
            "In all other cases a right cause leads:",
            format!(
                "in {:.1} %, {:.1} % with the whole book",
                all.others_lead_after * 100.0,
                all.others_lead_before * 100.0
            ),
        ),
    ] {
        page.labelled(0, label, &text);
    }
    let moved: Vec<(String, String)> = all
        .causes
        .iter()
        .filter(|one| one.misled > 0 || one.others_led_before != one.others_led_after)
        .map(|one| {
            let mut parts = Vec::new();
            if one.misled > 0 {
                parts.push(format!(
                    "{} of its {} cases misled",
                    one.misled, one.own_cases
                ));
            }
            if one.others_led_before != one.others_led_after {
                parts.push(format!(
                    "a right cause leads in {} other cases instead of {}",
                    one.others_led_after, one.others_led_before
                ));
            }
            (one.cause.clone(), parts.join("; "))
        })
        .collect();
    page.columns(&moved);
}
