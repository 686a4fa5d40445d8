//! Keys as nested lists.

use crate::report::handbook::key::{BELOW, Key, NOTHING, Node, Stop};
use crate::report::html::write::Html;
use crate::report::words::{percent, sentence, unstopped};

/// A key as an article.
pub fn key(html: &mut Html, key: &Key) {
    html.open("article", &[("id", &format!("key-{}", key.sign))]);
    html.element("h3", &[], unstopped(&sentence(&key.statement)));
    html.open("p", &[("class", "faint")]);
    html.link(&format!("sign-{}", key.sign), "what counts as this sign");
    html.close();
    stops(html, &key.stop);
    node(html, &key.root);
    html.element("p", &[("class", "faint")], BELOW);
    html.close();
}

fn node(html: &mut Html, here: &Node) {
    let Some(question) = &here.question else {
        leads(html, here);
        return;
    };
    html.element("b", &[], &question.text);
    html.text(" ");
    html.element("small", &[], &question.how);
    html.open("ul", &[]);
    for (answer, next) in &question.answers {
        html.open("li", &[]);
        html.element("em", &[], &format!("{answer}: "));
        if next.question.is_some() {
            stops(html, &next.stop);
            node(html, next);
        } else {
            node(html, next);
            stops(html, &next.stop);
        }
        html.close();
    }
    html.close();
}

fn leads(html: &mut Html, here: &Node) {
    if here.leads.is_empty() || !here.decided {
        html.text(if here.leads.is_empty() {
            NOTHING
        } else {
            "not sure yet: "
        });
    }
    for (place, lead) in here.leads.iter().enumerate() {
        if place > 0 {
            html.text("; or ");
        }
        html.link(&format!("cause-{}", lead.id), &lead.name);
        html.text(&format!(" ({}, {})", percent(lead.confidence), lead.words));
    }
}

fn stops(html: &mut Html, stops: &[Stop]) {
    for stop in stops {
        html.open("p", &[("class", "stop")]);
        html.text(&format!("{} ", stop.text));
        html.link(&format!("caution-{}", stop.id), "In full");
        html.close();
    }
}
