//! The readable report of a diagnosis.
//!
//! What can hurt somebody comes before everything else; then the verdict, what cannot wait, why, what to do, and what
//! to look at next.

pub(crate) mod advice;
pub mod asides;
pub(crate) mod causes;
mod personal;

use crate::engine::diagnosis::{ActionDue, Ask, Diagnosis, FindingText, NextCheck, Verdict};
use crate::engine::id::{SignId, StageId};
use crate::engine::knowledge::{Asking, KnowledgeBase, Severity};
use crate::engine::observations::{FromLog, Observations};
use crate::report::page::{Ink, Look, Page};
use crate::report::words::{cause_name, listed, sentence, unstopped, verdict};

pub use crate::report::text::advice::interruptions;

/// A diagnosis with what it was made from.
#[derive(Debug, Clone, Copy)]
pub struct Told<'a> {
    /// The knowledge it was made with.
    pub base: &'a KnowledgeBase,
    /// What was told.
    pub observations: &'a Observations,
    /// What came out.
    pub diagnosis: &'a Diagnosis,
}

/// The last line of every report.
pub const CLOSING: &str = "This is help for growing, and it can be wrong. Whoever feels ill sees a doctor; in an \
    emergency call the emergency number first. Wiring, gas and the building are for licensed trades, and local rules \
    come before anything said here. Eat nothing you are not certain of.";

/// The whole report.
pub fn report(told: &Told<'_>, look: Look) -> String {
    let mut page = Page::new(look);
    advice::cautions(&mut page, told, Severity::Stop);
    headline(&mut page, told);
    advice::urgent(&mut page, told);
    causes::causes(&mut page, told);
    findings(&mut page, told);
    // Care is called for before the work that needs it.
    advice::cautions(&mut page, told, Severity::Care);
    advice::actions(&mut page, told);
    advice::cautions(&mut page, told, Severity::Info);
    next_checks(&mut page, told);
    homework(&mut page, told);
    page.blank();
    page.paragraph(0, Ink::Faint, CLOSING);
    page.finish()
}

fn headline(page: &mut Page, told: &Told<'_>) {
    let diagnosis = told.diagnosis;
    let ink = if diagnosis.verdict == Verdict::NothingWrong {
        Ink::Good
    } else {
        Ink::Strong
    };
    page.heading(ink, &verdict(told.base, diagnosis));
    if let Some(limits) = weighed_for(told) {
        page.paragraph(0, Ink::Faint, &limits);
    }
    if let Some(line) = personal::personal(told) {
        page.paragraph(0, Ink::Faint, &line);
    }
    if !diagnosis.exact {
        page.paragraph(0, Ink::Usual, APPROXIMATE);
    }
    if let Some(counsel) = counsel(diagnosis.verdict) {
        page.paragraph(0, Ink::Usual, counsel);
    }
    if page.look().detail {
        page.paragraph(
            0,
            Ink::Faint,
            &format!(
                "Something outside the book: {:.3}. Nothing wrong at all: {:.3}. How badly the findings fit each \
                 other: {:.1} bits. Knowledge {}.",
                diagnosis.nothing_fits,
                diagnosis.nothing_wrong,
                diagnosis.conflict_bits,
                told.base.fingerprint.get(..12).unwrap_or(&told.base.fingerprint)
            ),
        );
    }
}

/// What is said where so much was told that the sum is not exact.
const APPROXIMATE: &str =
    "So much was told that the numbers are approximate: close, but not the exact sum.";

/// What to do where no cause stands out.
fn counsel(verdict: Verdict) -> Option<&'static str> {
    match verdict {
        Verdict::NothingTold => Some(
            "`blockside ask` goes through it one question at a time; `blockside knowledge list signs` shows every \
             sign there is a name for.",
        ),
        Verdict::NothingFits => Some(
            "Do not act on a guess. Keep the block apart, mark the edge of what you see, write down size, colour and \
             smell each day without putting your nose to it, and ask somebody who can see it.",
        ),
        Verdict::NothingWrong => Some(
            "Leave things as they are and keep up the weekly round. Look again if something changes.",
        ),
        Verdict::Decided | Verdict::Undecided => None,
    }
}

/// What stands below the verdict: for what it was weighed, whether it is exact, what to do where no cause stands out.
pub(crate) fn headline_notes(told: &Told<'_>) -> Vec<String> {
    let exact = told.diagnosis.exact;
    let notes = [
        (!exact).then_some(APPROXIMATE),
        counsel(told.diagnosis.verdict),
    ];
    let notes = notes.into_iter().flatten().map(str::to_owned);
    weighed_for(told)
        .into_iter()
        .chain(personal::personal(told))
        .chain(notes)
        .collect()
}

/// The causes an action is for, each with how likely it is.
pub(crate) fn advice_for(told: &Told<'_>, action: &ActionDue) -> Vec<String> {
    let causes = action.for_causes.iter();
    causes
        .map(|id| advice::with_confidence(told.base, told, id))
        .collect()
}

/// Which limits were used; `None` where the knowledge has none to choose from.
fn weighed_for(told: &Told<'_>) -> Option<String> {
    let (base, observations) = (told.base, told.observations);
    if base.species.is_empty() && base.stages.is_empty() {
        return None;
    }
    let name = |id: &str| {
        base.species
            .get(id)
            .map_or_else(|| id.to_owned(), |species| species.name.clone())
    };
    // The species that stands for "not named" is no species that anybody grows.
    let species = match &observations.species {
        Some(id) if base.default_species() != Some(id) => {
            let usual = if observations.usual_species {
                " (as your settings say)"
            } else {
                ""
            };
            format!("Weighed for {}{usual}", name(id.as_str()))
        }
        _ => "No species was named, so general limits were used".to_owned(),
    };
    let name = |id: &StageId| {
        base.stages
            .get(id)
            .map_or_else(|| id.to_string(), |stage| stage.name.to_lowercase())
    };
    let stage = match (&observations.stage, base.default_stage()) {
        (Some(id), _) => format!("stage: {}", name(id)),
        (None, Some(id)) => format!("no stage was named, so {} is taken", name(id)),
        (None, None) => "no stage was named".to_owned(),
    };
    Some(format!("{species}; {stage}."))
}

fn findings(page: &mut Page, told: &Told<'_>) {
    let diagnosis = told.diagnosis;
    list(
        page,
        "Not explained by anything in the book",
        &diagnosis.unexplained,
    );
    if !diagnosis.contradictions.is_empty() {
        page.heading(Ink::Care, "Does not go together; please look again");
        for contradiction in &diagnosis.contradictions {
            page.entry(2, "-", Ink::Usual, &sentence(&contradiction.text));
            if !contradiction.between.is_empty() && page.look().detail {
                page.labelled(
                    4,
                    "Told:",
                    &format!("{}.", contradiction.between.join("; ")),
                );
            }
            if let Some(check) = &contradiction.settle_by {
                page.labelled(4, "What settles it:", &check.question);
            }
        }
    }
    list(page, "Normal for this species", &diagnosis.normal_looks);
    from_log(page, told);
    if page.look().detail && !diagnosis.derived.is_empty() {
        page.heading(Ink::Strong, "Worked out from what you told");
        for step in &diagnosis.derived {
            page.entry(2, "-", Ink::Usual, &sentence(&step.text));
            page.labelled(
                4,
                "Because",
                &format!("{} (rule {}).", listed(&step.because), step.rule),
            );
        }
    }
}

/// What a sensor log found, with the numbers it rests on; what else it told, and what nothing in the book has a use for,
/// with all details alone.
fn from_log(page: &mut Page, told: &Told<'_>) {
    let detail = page.look().detail;
    let shown = |said: &&FromLog| detail || (said.is_finding() && !said.told.is_empty());
    let mut said = told.observations.from_log.iter().filter(shown).peekable();
    if said.peek().is_none() {
        return;
    }
    page.heading(Ink::Strong, "From the log");
    for one in said {
        page.entry(2, "-", Ink::Usual, &one.text);
    }
}

fn list(page: &mut Page, heading: &str, findings: &[FindingText]) {
    if findings.is_empty() {
        return;
    }
    page.heading(Ink::Strong, heading);
    for finding in findings {
        page.entry(2, "-", Ink::Usual, &sentence(&finding.text));
    }
}

fn next_checks(page: &mut Page, told: &Told<'_>) {
    let put_off = &told.diagnosis.homework;
    let open = |check: &&NextCheck| !put_off.iter().any(|later| later.ask == check.ask);
    let checks: Vec<&NextCheck> = told.diagnosis.next_checks.iter().filter(open).collect();
    let most = if page.look().detail { checks.len() } else { 1 };
    if checks.is_empty() || told.diagnosis.verdict == Verdict::NothingTold {
        return;
    }
    page.heading(Ink::Strong, "What to look at next");
    for check in checks.iter().take(most) {
        next_check(page, told.base, check);
    }
}

fn next_check(page: &mut Page, base: &KnowledgeBase, check: &NextCheck) {
    page.entry(2, "?", Ink::Usual, &check.question);
    if let Ask::Question(question, signs) = &check.ask {
        let one = base
            .questions
            .get(question)
            .is_some_and(|shared| shared.one_of);
        let label = if one { "One of:" } else { "Any of:" };
        page.labelled(
            4,
            label,
            &format!(
                "{}; or none of these.",
                option_names(base, signs).join(", ")
            ),
        );
    }
    page.labelled(4, "How:", &sentence(&check.how));
    if let Ask::Sign(sign) = &check.ask {
        let sign = base.signs.get(sign);
        if let Some(yes) = sign.and_then(|sign| sign.yes.as_ref()) {
            page.labelled(4, "Yes is:", yes);
        }
        if let Some(other) = sign.and_then(|sign| sign.mistaken_for.as_ref()) {
            page.labelled(4, "Not to mix up:", other);
        }
    }
    if check.hazard {
        page.labelled(
            4,
            "Why first:",
            "it could show something that can hurt people or the whole chamber.",
        );
    }
    if !check.separates.is_empty() {
        let names: Vec<&str> = check
            .separates
            .iter()
            .map(|id| unstopped(cause_name(base, id)))
            .collect();
        let joined = names.join(" / ");
        let label = if names.len() > 1 {
            "Tells apart:"
        } else {
            "Settles:"
        };
        page.labelled(4, label, &format!("{joined}."));
    }
    if page.look().detail {
        page.labelled(
            4,
            "Worth:",
            &format!(
                "{:.2} bits; effort: {}.",
                check.gain_bits, check.effort_word
            ),
        );
    }
}

/// What was put off, the most telling first.
fn homework(page: &mut Page, told: &Told<'_>) {
    if told.diagnosis.homework.is_empty() {
        return;
    }
    page.heading(
        Ink::Strong,
        "Homework: what you could not check, the most telling first",
    );
    for check in &told.diagnosis.homework {
        next_check(page, told.base, check);
    }
}

/// What the options of a shared question are called.
pub fn option_names(base: &KnowledgeBase, signs: &[SignId]) -> Vec<String> {
    signs
        .iter()
        .map(|id| match base.signs.get(id).map(|sign| &sign.asking) {
            Some(Asking::Option { option, .. }) => option.clone(),
            Some(Asking::Alone { .. }) | None => base
                .signs
                .get(id)
                .map_or_else(|| id.to_string(), |sign| sign.statement.clone()),
        })
        .collect()
}
