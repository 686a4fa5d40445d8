//! An exam as a page to be printed, a case a sheet.

use crate::engine::knowledge::Severity;
use crate::engine::reasoner::Reasoner;
use crate::report::handbook::Book;
use crate::report::html::cards::class_of;
use crate::report::html::write::{Html, page};
use crate::report::practice::paper::{HOW, SAME, answers, known, right, scoring};
use crate::report::practice::{Paper, RULE, action, caution, complaints, question, setting};
use crate::report::words::{listed, sentence};
use crate::train::practice::choices::choices;
use crate::train::practice::due;

/// The page of an exam, or of its answer sheet.
pub fn exam(book: Book<'_>, reasoner: &Reasoner<'_>, paper: &Paper<'_>, answered: bool) -> String {
    let title = if answered {
        "Answer sheet of the practice exam"
    } else {
        "Practice exam"
    };
    let mut html = Html::default();
    html.open("main", &[("class", "plain")]);
    html.element("h1", &[], title);
    html.element("p", &[], &paper.mark(book));
    if answered {
        sheet_of_answers(&mut html, book, reasoner, paper);
    } else {
        cases(&mut html, book, reasoner, paper);
    }
    html.close();
    page(title, html)
}

fn cases(html: &mut Html, book: Book<'_>, reasoner: &Reasoner<'_>, paper: &Paper<'_>) {
    let base = book.base;
    html.element("p", &[("class", "faint")], SAME);
    html.element("p", &[], "Name: ____________________ Date: __________");
    html.element("p", &[], HOW);
    for (number, sheet) in paper.sheets.iter().enumerate() {
        html.element("h2", &[], &format!("Case {}", number + 1));
        html.element("p", &[], &sentence(&setting(base, &sheet.case)));
        html.labelled(
            "What was noticed:",
            &format!("{}.", listed(&complaints(base, &sheet.case))),
        );
        html.list(&known(book, sheet));
        let offered = choices(reasoner, &sheet.case, &sheet.seen);
        let next: Vec<String> = sheet.next.iter().map(|ask| question(base, ask)).collect();
        lettered(html, "Which one check next?", &next);
        html.element("h3", &[], "The cause or causes, and how sure");
        html.element("p", &[], "______________________________ _____ %");
        html.element("p", &[], "______________________________ _____ %");
        let actions: Vec<String> = offered.actions.iter().map(|id| action(base, id)).collect();
        lettered(html, "The first action", &actions);
        let cautions: Vec<String> = offered
            .cautions
            .iter()
            .map(|id| caution(base, id))
            .collect();
        lettered(
            html,
            "Cautions to keep: all that are due, or none",
            &cautions,
        );
    }
}

fn lettered(html: &mut Html, title: &str, texts: &[String]) {
    html.element("h3", &[], title);
    html.open("ol", &[("type", "a")]);
    for text in texts {
        html.element("li", &[], text);
    }
    html.close();
}

fn sheet_of_answers(html: &mut Html, book: Book<'_>, reasoner: &Reasoner<'_>, paper: &Paper<'_>) {
    let base = book.base;
    for (number, sheet) in paper.sheets.iter().enumerate() {
        let level = sheet.case.hardness.level.word();
        html.element("h2", &[], &format!("Case {} ({level})", number + 1));
        for (label, text) in answers(book, &right(reasoner, sheet)) {
            html.labelled(label, &text);
        }
        for id in due::cautions(reasoner, &sheet.case.causes, &sheet.seen) {
            let severity = base.cautions.get(&id).map(|one| one.severity);
            let class = class_of(severity.unwrap_or(Severity::Care));
            html.element("p", &[("class", class)], &caution(base, &id));
        }
    }
    html.element("h2", &[], "Marking");
    html.element("p", &[], &scoring());
    html.element("p", &[("class", "faint")], RULE);
}
