//! An exam on paper, and its answer sheet.

use crate::engine::id::CauseId;
use crate::engine::reasoner::Reasoner;
use crate::report::handbook::Book;
use crate::report::page::{Ink, Page};
use crate::report::practice::debrief::RULE;
use crate::report::practice::{action, caution, complaints, found, ink_of, question, setting};
use crate::report::words::{cause_name, listed, percent, sentence, unstopped};
use crate::train::practice::choices::choices;
use crate::train::practice::due;
use crate::train::practice::exam::Sheet;
use crate::train::practice::points::{
    ACTION_SHARE, CAUSE_SHARE, CAUTION_SHARE, LATER_ACTION, NEEDLESS_COST,
};

/// An exam with what it was asked for.
#[derive(Debug, Clone)]
pub struct Paper<'a> {
    /// Its cases.
    pub sheets: &'a [Sheet],
    /// The seed.
    pub seed: u64,
    /// The level asked for, in a word.
    pub level: Option<&'a str>,
    /// The topic asked for.
    pub topic: Option<&'a str>,
}

impl Paper<'_> {
    /// What identifies the exam: with the same of all this it comes out the same.
    pub(crate) fn mark(&self, book: Book<'_>) -> String {
        let mut parts = vec![format!("Seed {}", self.seed)];
        parts.push(format!("{} cases", self.sheets.len()));
        parts.extend(self.level.map(|level| format!("level {level}")));
        parts.extend(self.topic.map(|topic| format!("topic {topic}")));
        parts.push(format!("knowledge {}", book.base.fingerprint));
        sentence(&parts.join(", "))
    }
}

/// What stands above the cases.
pub(crate) const HOW: &str = "For each case: read what is known, choose the one check you would make next, name the cause \
    or causes and how sure you are in per cent, the first action, and every caution that has to be kept.";
/// What says that another knowledge gives another exam.
pub(crate) const SAME: &str = "The same seed and the same knowledge give the same exam.";

/// The letter of a choice.
pub(crate) fn letter(place: usize) -> char {
    char::from(b'a' + u8::try_from(place % 26).unwrap_or(0))
}

/// What is known of a case, in the order in which it was found out.
pub(crate) fn known(book: Book<'_>, sheet: &Sheet) -> Vec<String> {
    let rows = sheet.found.iter();
    rows.map(|(ask, result)| {
        format!(
            "{} {}",
            question(book.base, ask),
            sentence(&found(book.base, ask, result, book.system))
        )
    })
    .collect()
}

/// The exam.
pub fn paper(book: Book<'_>, reasoner: &Reasoner<'_>, paper: &Paper<'_>) -> String {
    let base = book.base;
    let mut page = Page::new(book.look);
    page.heading(Ink::Strong, "Practice exam");
    page.paragraph(0, Ink::Usual, &paper.mark(book));
    page.paragraph(0, Ink::Faint, SAME);
    page.blank();
    page.paragraph(
        0,
        Ink::Usual,
        "Name: ____________________  Date: __________",
    );
    page.blank();
    page.paragraph(0, Ink::Usual, HOW);
    for (number, sheet) in paper.sheets.iter().enumerate() {
        page.heading(Ink::Strong, &format!("Case {}", number + 1));
        page.paragraph(0, Ink::Usual, &sentence(&setting(base, &sheet.case)));
        page.paragraph(
            0,
            Ink::Usual,
            &format!(
                "What was noticed: {}.",
                listed(&complaints(base, &sheet.case))
            ),
        );
        for row in known(book, sheet) {
            page.entry(2, "-", Ink::Usual, &row);
        }
        let offered = choices(reasoner, &sheet.case, &sheet.seen);
        let mut ask = |title: &str, texts: Vec<String>| {
            page.blank();
            page.paragraph(0, Ink::Strong, title);
            for (place, text) in texts.iter().enumerate() {
                page.entry(2, &format!("{})", letter(place)), Ink::Usual, text);
            }
        };
        let next = sheet.next.iter().map(|ask| question(base, ask)).collect();
        ask("Which one check next?", next);
        ask("The cause or causes, and how sure (%)", Vec::new());
        page.drawn(2, "______________________________ _____ %");
        page.drawn(2, "______________________________ _____ %");
        let mut ask = |title: &str, texts: Vec<String>| {
            page.blank();
            page.paragraph(0, Ink::Strong, title);
            for (place, text) in texts.iter().enumerate() {
                page.entry(2, &format!("{})", letter(place)), Ink::Usual, text);
            }
        };
        let actions = offered.actions.iter().map(|id| action(base, id)).collect();
        ask("The first action", actions);
        let cautions = offered
            .cautions
            .iter()
            .map(|id| caution(base, id))
            .collect();
        ask("Cautions to keep: all that are due, or none", cautions);
    }
    page.finish()
}

/// What is right in a case, for the answer sheet.
pub(crate) struct Right {
    /// The best check and its letter, with what each choice is worth.
    pub next: Vec<(char, f64)>,
    /// What was the case, with the program's confidence on what the paper tells.
    pub causes: Vec<(CauseId, f64)>,
    /// What the program reports that is not there.
    pub rival: Option<(CauseId, f64)>,
    /// Letters of the first actions that are right.
    pub actions: Vec<char>,
    /// Letters of the cautions that are due.
    pub cautions: Vec<char>,
}

/// Works out what is right in a case.
pub(crate) fn right(reasoner: &Reasoner<'_>, sheet: &Sheet) -> Right {
    let base = reasoner.base();
    let case = &sheet.case;
    let offered = choices(reasoner, case, &sheet.seen);
    let called_for = due::actions(base, &case.causes);
    let due = due::cautions(reasoner, &case.causes, &sheet.seen);
    let confidence = reasoner.confidence(&sheet.seen);
    let first = |place: &usize| {
        due::chosen(base, &called_for, offered.actions.get(*place)) == due::Chosen::First
    };
    let letters = |places: Vec<usize>| places.into_iter().map(letter).collect();
    Right {
        next: sheet
            .worth
            .iter()
            .enumerate()
            .map(|(place, bits)| (letter(place), *bits))
            .collect(),
        causes: case
            .causes
            .iter()
            .map(|id| (id.clone(), confidence.get(id).copied().unwrap_or(0.0)))
            .collect(),
        rival: reasoner
            .stated(&sheet.seen)
            .into_iter()
            .find(|(id, _)| !case.causes.contains(id)),
        actions: letters((0..offered.actions.len()).filter(first).collect()),
        cautions: letters(
            (0..offered.cautions.len())
                .filter(|place| due.contains(&offered.cautions[*place]))
                .collect(),
        ),
    }
}

/// The letters, or that there is none.
pub(crate) fn letters(letters: &[char]) -> String {
    if letters.is_empty() {
        return "none".to_owned();
    }
    let words: Vec<String> = letters.iter().map(char::to_string).collect();
    listed(&words)
}

/// The lines of the answer sheet for a case: label and text.
pub(crate) fn answers(book: Book<'_>, right: &Right) -> Vec<(&'static str, String)> {
    let base = book.base;
    let names: Vec<String> = right
        .causes
        .iter()
        .map(|(id, sure)| format!("{} ({})", unstopped(cause_name(base, id)), percent(*sure)))
        .collect();
    let most = right.next.iter().map(|(_, bits)| *bits).fold(0.0, f64::max);
    let best: Vec<char> = right
        .next
        .iter()
        .filter(|(_, bits)| *bits >= most && most > 0.0)
        .map(|(letter, _)| *letter)
        .collect();
    let worth: Vec<String> = right
        .next
        .iter()
        .map(|(letter, bits)| format!("{letter} {bits:.2}"))
        .collect();
    let mut lines = vec![
        ("Cautions:", format!("{}.", letters(&right.cautions))),
        (
            "It was:",
            format!(
                "{}; in brackets how sure one can be after this much.",
                listed(&names)
            ),
        ),
    ];
    if let Some((id, sure)) = &right.rival {
        let text = format!("{} ({}).", unstopped(cause_name(base, id)), percent(*sure));
        lines.push(("Looks likest otherwise:", text));
    }
    lines.push(("First action:", format!("{}.", letters(&right.actions))));
    lines.push((
        "Next check:",
        format!("{}. In bits: {}.", letters(&best), worth.join(", ")),
    ));
    lines
}

/// The answer sheet.
pub fn answer_sheet(book: Book<'_>, reasoner: &Reasoner<'_>, paper: &Paper<'_>) -> String {
    let base = book.base;
    let mut page = Page::new(book.look);
    page.heading(Ink::Strong, "Answer sheet of the practice exam");
    page.paragraph(0, Ink::Usual, &paper.mark(book));
    for (number, sheet) in paper.sheets.iter().enumerate() {
        let right = right(reasoner, sheet);
        page.heading(
            Ink::Strong,
            &format!("Case {} ({})", number + 1, sheet.case.hardness.level.word()),
        );
        for (label, text) in answers(book, &right) {
            page.labelled(2, label, &text);
        }
        for id in due::cautions(reasoner, &sheet.case.causes, &sheet.seen) {
            page.entry(4, "!", ink_of(base, &id), &caution(base, &id));
        }
    }
    page.blank();
    page.paragraph(0, Ink::Usual, &scoring());
    page.paragraph(0, Ink::Faint, RULE);
    page.finish()
}

/// How the paper is marked.
pub(crate) fn scoring() -> String {
    let of_100 = |share: f64| 100.0 * share;
    let rest = CAUSE_SHARE + ACTION_SHARE;
    format!(
        "Points of 100: cautions {:.0} (the share of those due that were named, {NEEDLESS_COST} of one off for each that is \
         not due), causes {:.0}, first action {:.0} (times {LATER_ACTION} for one that is called for later). Where no \
         caution is due, causes and action share the points as {:.0} to {:.0}. A missed caution is talked over first.",
        of_100(CAUTION_SHARE),
        of_100(CAUSE_SHARE),
        of_100(ACTION_SHARE),
        of_100(CAUSE_SHARE / rest),
        of_100(ACTION_SHARE / rest)
    )
}
