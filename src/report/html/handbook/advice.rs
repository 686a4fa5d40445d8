//! Actions, cautions and rounds as articles.

use crate::engine::id::{ActionId, CauseId, CautionId, RoundId};
use crate::engine::knowledge::{Due, Finding, Trigger};
use crate::report::handbook::Book;
use crate::report::html::cards::class_of;
use crate::report::html::handbook::entries::{cause_link, finding};
use crate::report::html::handbook::{head, short, stands, stands_on};
use crate::report::html::write::Html;
use crate::report::json::severity_word;
use crate::report::words::sentence;

/// The article of an action.
pub fn action(html: &mut Html, book: Book<'_>, id: &ActionId) {
    let base = book.base;
    let Some(one) = base.actions.get(id) else {
        return;
    };
    head(html, "action", id.as_str(), &short(&one.text));
    html.element("p", &[], &one.text);
    let due = match one.when_to_do {
        Due::Now => "now",
        Due::NextDays => "in the next days",
        Due::NextRun => "with the next run",
    };
    html.labelled("When:", &format!("{due}; effort: {}.", one.effort_word));
    if let Some(amount) = &one.amount {
        html.labelled("How much:", &sentence(&amount.otherwise));
    }
    for (label, text) in [
        ("Shows in:", &one.shows_in),
        ("Watch:", &one.watch),
        ("If that does not help:", &one.if_failed),
    ] {
        if !text.is_empty() {
            html.labelled(label, &sentence(text));
        }
    }
    for disturbed in &one.disturbs {
        // An amount is known only on an occasion.
        html.labelled(
            "It also changes:",
            &sentence(&disturbed.replace("{value}", "that many")),
        );
    }
    let causes = base
        .causes
        .iter()
        .filter(|(_, cause)| cause.actions.contains(id));
    let causes: Vec<&CauseId> = causes.map(|(id, _)| id).collect();
    brought_up(html, book, &causes, &one.rules);
    stands_on(html, &one.grounds);
    html.close();
}

/// The article of a caution.
pub fn caution(html: &mut Html, book: Book<'_>, id: &CautionId) {
    let base = book.base;
    let Some(one) = base.cautions.get(id) else {
        return;
    };
    head(html, "caution", id.as_str(), &short(&one.text));
    html.open("p", &[("class", class_of(one.severity))]);
    html.element("b", &[], &format!("{}: ", severity_word(one.severity)));
    html.text(&one.text);
    html.close();
    if let Some(stricter) = &one.special_risk {
        html.labelled("If someone is at special risk:", stricter);
    }
    if !one.defer_to.is_empty() {
        html.labelled("The last word has:", &sentence(&one.defer_to));
    }
    let causes = base
        .causes
        .iter()
        .filter(|(_, cause)| cause.cautions.contains(id));
    let causes: Vec<&CauseId> = causes.map(|(id, _)| id).collect();
    brought_up(html, book, &causes, &one.rules);
    stands_on(html, &one.grounds);
    html.close();
}

fn brought_up(html: &mut Html, book: Book<'_>, causes: &[&CauseId], rules: &[Trigger]) {
    if causes.is_empty() && rules.is_empty() {
        return;
    }
    html.element("h4", &[], "What brings it up");
    html.open("ul", &[]);
    for cause in causes {
        html.open("li", &[]);
        cause_link(html, book, cause);
        html.close();
    }
    for trigger in rules {
        html.open("li", &[]);
        html.text(&sentence(&book.condition(&trigger.when)));
        stands(html, &[&trigger.grounds]);
        html.close();
    }
    html.close();
}

/// The article of something done in rounds.
pub fn round(html: &mut Html, book: Book<'_>, id: &RoundId) {
    let base = book.base;
    let Some(one) = base.rounds.get(id) else {
        return;
    };
    head(html, "round", id.as_str(), &one.statement);
    let only = book
        .only_where(one)
        .map_or_else(String::new, |only| format!(", {only}"));
    html.labelled("When:", &format!("{}{only}.", book.how_often(one)));
    html.labelled("How:", &one.how);
    html.labelled("Why:", &one.why);
    if !one.looks.is_empty() {
        html.element("h4", &[], "What to look for");
        html.open("ul", &[]);
        for sign in &one.looks {
            html.open("li", &[]);
            finding(html, book, &Finding::Sign(sign.clone()));
            html.close();
        }
        html.close();
    }
    for (id, caution) in one
        .cautions
        .iter()
        .filter_map(|id| base.cautions.get_key_value(id))
    {
        html.open("p", &[("class", class_of(caution.severity))]);
        html.text(&format!("{} ", caution.text));
        html.link(&format!("caution-{id}"), "More");
        html.close();
    }
    stands_on(html, &one.grounds);
    html.close();
}
