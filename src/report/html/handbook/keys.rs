//! Keys as nested lists.

use crate::report::handbook::key::{BELOW, Key, Node};
use crate::report::html::write::Html;
use crate::report::words::{percent, sentence, unstopped};

/// A key as an article.
pub fn key(html: &mut Html, key: &Key) {
    html.open("article", &[("id", &format!("key-{}", key.sign))]);
    html.element("h3", &[], unstopped(&sentence(&key.statement)));
    html.open("p", &[("class", "faint")]);
    html.link(&format!("sign-{}", key.sign), "what counts as this sign");
    html.close();
    for stop in &key.stop {
        html.element("p", &[("class", "stop")], stop);
    }
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
        node(html, next);
        html.close();
    }
    if question.more {
        html.element("li", &[("class", "faint")], "other answers are rarer");
    }
    html.close();
}

fn leads(html: &mut Html, here: &Node) {
    if here.leads.is_empty() || !here.decided {
        html.text(if here.leads.is_empty() {
            "nothing listed stands out; look again in a day"
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
