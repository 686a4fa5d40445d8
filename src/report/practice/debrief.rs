//! What there is to learn from a round: what was missed of the cautions first.

use crate::engine::id::CauseId;
use crate::engine::knowledge::Severity;
use crate::report::handbook::Book;
use crate::report::handbook::compare::{beside, question as finding_question};
use crate::report::page::{Ink, Page};
use crate::report::practice::{action, caution, first_sentence, found, ink_of, question};
use crate::report::words::{cause_name, listed, percent, sentence, unstopped};
use crate::train::practice::case::PracticeCase;
use crate::train::practice::debrief::Debrief;
use crate::train::practice::due::Chosen;
use crate::train::practice::points::{ACTION_SHARE, CAUSE_SHARE, CAUTION_SHARE};

/// How many checks that tell two causes apart are named.
///
/// judgement: three can be kept in mind until the next case.
const MOST_ROWS: usize = 3;
/// A check counts as the best one where it tells at least this share of what the best does.
///
/// judgement: a difference of a tenth is nothing that anybody could see at the chamber.
const AS_GOOD: f64 = 0.9;

/// The debrief of a round.
pub fn debrief(book: Book<'_>, case: &PracticeCase, told: &Debrief) -> String {
    let mut page = Page::new(book.look);
    cautions(&mut page, book, told);
    causes(&mut page, book, case, told);
    for (there, named) in &told.mixed_up {
        apart(&mut page, book, there, named);
    }
    actions(&mut page, book, told);
    checks(&mut page, book, case, told);
    points(&mut page, told);
    page.finish()
}

fn cautions(page: &mut Page, book: Book<'_>, told: &Debrief) {
    let base = book.base;
    if told.missed.is_empty() {
        let text = if told.due.is_empty() {
            "No caution was due here."
        } else {
            "You minded every caution that was due."
        };
        page.heading(Ink::Good, text);
    } else {
        page.heading(
            Ink::Stop,
            "Missed, and it comes before everything else: somebody could have been hurt",
        );
        for id in &told.missed {
            let Some(entry) = base.cautions.get(id) else {
                continue;
            };
            let whole = entry.severity == Severity::Stop || book.look.detail;
            let text = if whole {
                entry.text.as_str()
            } else {
                first_sentence(&entry.text)
            };
            page.entry(2, "!", ink_of(base, id), text);
        }
    }
    if !told.needless.is_empty() {
        let count = match told.needless.len() {
            1 => "One caution that you named was not called for; better one too many than one too few:".to_owned(),
            more => format!(
                "{more} cautions that you named were not called for; better one too many than one too few:"
            ),
        };
        page.paragraph(2, Ink::Faint, &count);
        for id in &told.needless {
            page.entry(4, "-", Ink::Faint, &caution(base, id));
        }
    }
}

fn causes(page: &mut Page, book: Book<'_>, case: &PracticeCase, told: &Debrief) {
    let base = book.base;
    page.heading(Ink::Strong, "What it was");
    for (id, right) in &told.of_causes {
        let summary = base
            .causes
            .get(id)
            .map_or("", |cause| cause.summary.as_str());
        page.entry(
            2,
            "-",
            Ink::Usual,
            &format!("{}. {summary}", unstopped(cause_name(base, id))),
        );
        page.labelled(
            4,
            "How sure one could be after what you saw:",
            &format!("{}.", percent(*right)),
        );
    }
    let behind: Vec<&CauseId> = case
        .there
        .iter()
        .filter(|id| !case.causes.contains(id))
        .collect();
    if !behind.is_empty() {
        let names: Vec<&str> = behind
            .iter()
            .map(|id| unstopped(cause_name(base, id)))
            .collect();
        page.labelled(2, "Behind it:", &format!("{}.", listed(&names)));
    }
    page.heading(Ink::Strong, "What you named");
    if told.answer.causes.is_empty() {
        page.paragraph(2, Ink::Care, "Nothing.");
    }
    for (named, right) in told.answer.causes.iter().zip(&told.of_named) {
        let there = case.causes.contains(&named.cause);
        let (ink, word) = if there {
            (Ink::Good, "right")
        } else {
            (Ink::Care, "wrong")
        };
        page.entry(
            2,
            "-",
            ink,
            &format!(
                "{}: {word}. You said {}; on what you saw, {} would have been right.",
                unstopped(cause_name(base, &named.cause)),
                percent(named.confidence),
                percent(*right)
            ),
        );
    }
    let left: Vec<&str> = told
        .of_causes
        .iter()
        .filter(|(id, _)| !told.answer.causes.iter().any(|one| one.cause == *id))
        .map(|(id, _)| unstopped(cause_name(base, id)))
        .collect();
    if !left.is_empty() && !told.answer.causes.is_empty() {
        page.labelled(2, "Not named:", &format!("{}.", listed(&left)));
    }
}

/// What separates a cause that was there from the one that was named.
fn apart(page: &mut Page, book: Book<'_>, there: &CauseId, named: &CauseId) {
    let base = book.base;
    let (Some((there, a)), Some((named, b))) = (
        base.causes.get_key_value(there),
        base.causes.get_key_value(named),
    ) else {
        return;
    };
    page.heading(
        Ink::Strong,
        &format!("{} or {}?", unstopped(&a.name), unstopped(&b.name)),
    );
    let rows = beside(book, there, named);
    for row in rows.iter().take(MOST_ROWS) {
        page.entry(
            2,
            "?",
            Ink::Usual,
            &format!(
                "{} {} with the first, {} with the second.",
                finding_question(book, row.finding),
                book.often_if_at_all(row.one),
                book.often_if_at_all(row.other)
            ),
        );
    }
    page.labelled(
        2,
        "Side by side:",
        &format!("blockside handbook compare {there} {named}"),
    );
}

fn actions(page: &mut Page, book: Book<'_>, told: &Debrief) {
    let base = book.base;
    page.heading(Ink::Strong, "The first action");
    let best = told.actions.first();
    let (ink, text) = match told.chosen {
        Chosen::First => (Ink::Good, "Right."),
        Chosen::Later => (Ink::Care, "Called for, but something else comes first."),
        Chosen::Wrong => (Ink::Care, "Not called for here."),
        Chosen::None => (Ink::Care, "None named."),
    };
    page.paragraph(2, ink, text);
    match best.and_then(|id| base.actions.get(id)) {
        Some(first) if told.chosen == Chosen::First => {
            let chosen = told.answer.action.as_ref();
            let chosen = chosen.and_then(|id| base.actions.get(id)).unwrap_or(first);
            page.labelled(2, "In full:", &chosen.text);
        }
        Some(first) => {
            page.labelled(2, "First of all:", &first.text);
        }
        None => page.paragraph(2, Ink::Usual, "There is nothing to do about it."),
    }
    if told.chosen == Chosen::Wrong
        && let Some(id) = &told.answer.action
    {
        page.labelled(2, "You chose:", &action(base, id));
    }
}

fn checks(page: &mut Page, book: Book<'_>, case: &PracticeCase, told: &Debrief) {
    let base = book.base;
    page.heading(Ink::Strong, "What your checks were worth");
    if told.checks.is_empty() {
        page.paragraph(2, Ink::Usual, "You made none.");
    }
    for (number, made) in told.checks.iter().enumerate() {
        let as_good = made.bits >= made.best.1 * AS_GOOD;
        page.entry(
            1,
            &format!("{}.", number + 1),
            Ink::Usual,
            &format!(
                "{} {}",
                question(base, &made.ask),
                sentence(&found(base, &made.ask, &made.found, book.system))
            ),
        );
        let worth = format!("{:.2} bits of {:.2}", made.bits, made.best.1);
        if as_good {
            page.paragraph(4, Ink::Good, &format!("{worth}: there was no better one."));
        } else {
            page.paragraph(
                4,
                Ink::Faint,
                &format!("{worth}. Better: {}", question(base, &made.best.0)),
            );
        }
    }
    if !told.checks.is_empty() {
        let (bits, best) = told.bits();
        page.paragraph(
            2,
            Ink::Faint,
            &format!(
                "Together {bits:.2} bits of {best:.2}. A bit is what a fair yes or no tells; a check is valued by what it \
                 could be expected to tell before you looked."
            ),
        );
    }
    let hard = &case.hardness;
    let checks = hard.best.len();
    let needed = match (hard.clear, checks) {
        (true, 0) => "The complaint alone would have been enough.".to_owned(),
        (true, 1) => "One check would have been enough.".to_owned(),
        (true, more) => format!("The best checks, one after the other, need {more}."),
        (false, more) => format!("Even after the best {more} it stays unclear."),
    };
    let level = hard.level.word();
    page.paragraph(2, Ink::Faint, &format!("{needed} A {level} case."));
}

fn points(page: &mut Page, told: &Debrief) {
    let points = told.points;
    page.heading(Ink::Strong, &format!("{:.0} of 100 points", points.total()));
    // Where no caution was due, the others share the points.
    let whole = match points.cautions {
        Some(_) => 1.0,
        None => CAUSE_SHARE + ACTION_SHARE,
    };
    let part = |share: f64, value: f64| {
        let share = 100.0 * share / whole;
        format!("{:.0} of {share:.0}", share * value)
    };
    let mut parts = Vec::new();
    parts.extend(
        points
            .cautions
            .map(|cautions| format!("cautions {}", part(CAUTION_SHARE, cautions))),
    );
    parts.push(format!("causes {}", part(CAUSE_SHARE, points.causes)));
    parts.push(format!(
        "first action {}",
        part(ACTION_SHARE, points.action)
    ));
    page.paragraph(2, Ink::Usual, &sentence(&parts.join("; ")));
    page.paragraph(2, Ink::Faint, RULE);
}

/// How a cause that is named is scored, in one line.
pub(crate) const RULE: &str = "A cause named with confidence c earns 1 - (1 - c)² if it is there and costs c² if it is not: \
    in the long run nothing beats saying how sure you are (Brier's score).";
