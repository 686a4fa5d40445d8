//! Two kept cases side by side.

use indexmap::IndexSet;

use crate::engine::knowledge::KnowledgeBase;
use crate::journal::kept::KeptCase;
use crate::report::cases::share;
use crate::report::page::{Ink, Look, Page};
use crate::report::words::unstopped;

/// Something that differs between two cases, as each tells it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Differing {
    /// What it is about: `species`, `stage`, or an id.
    pub what: String,
    /// In the first case; nothing where it was not told.
    pub one: Option<String>,
    /// In the second.
    pub other: Option<String>,
}

/// The facts that differ, in the order of the first case, then of the second.
pub fn differing(one: &KeptCase, other: &KeptCase) -> Vec<Differing> {
    let (first, second) = (facts(one), facts(other));
    let keys: IndexSet<&String> = first.iter().chain(&second).map(|(key, _)| key).collect();
    let of = |facts: &[(String, String)], key: &String| {
        let found = facts.iter().find(|(known, _)| known == key);
        found.map(|(_, value)| value.clone())
    };
    keys.into_iter()
        .map(|key| Differing {
            what: key.clone(),
            one: of(&first, key),
            other: of(&second, key),
        })
        .filter(|fact| fact.one != fact.other)
        .collect()
}

fn facts(case: &KeptCase) -> Vec<(String, String)> {
    let mut facts = Vec::new();
    facts.extend(case.species.clone().map(|id| ("species".to_owned(), id)));
    facts.extend(case.stage.clone().map(|id| ("stage".to_owned(), id)));
    for (id, word) in case.signs.iter().chain(&case.readings).chain(&case.people) {
        facts.push((id.clone(), word.clone()));
    }
    for item in &case.setup {
        let (id, word) = item.split_once('=').unwrap_or((item, "yes"));
        facts.push((id.trim().to_owned(), word.trim().to_owned()));
    }
    facts
}

/// The comparison.
pub fn compare(base: &KnowledgeBase, one: &KeptCase, other: &KeptCase, look: Look) -> String {
    let mut page = Page::new(look);
    let ids = format!("{} / {}", one.kept.id, other.kept.id);
    page.heading(Ink::Strong, &ids);
    page.heading(Ink::Strong, "Facts that differ");
    let facts = differing(one, other);
    for fact in &facts {
        let said = |value: &Option<String>| value.clone().unwrap_or_else(|| "not told".to_owned());
        page.entry(
            2,
            "-",
            Ink::Usual,
            &format!(
                "{}: {} / {}",
                named(base, &fact.what),
                said(&fact.one),
                said(&fact.other)
            ),
        );
    }
    if facts.is_empty() {
        page.paragraph(2, Ink::Usual, "None.");
    }
    page.heading(Ink::Strong, "What came out differently");
    let (first, second) = (&one.kept.diagnosis, &other.kept.diagnosis);
    let causes = first.causes.iter().chain(&second.causes);
    let mut seen = IndexSet::new();
    let mut same = true;
    for cause in causes.filter(|cause| seen.insert(cause.id.clone())) {
        let (then, now) = (share(first, &cause.id), share(second, &cause.id));
        if then != now {
            same = false;
            let line = format!("{}: {then} / {now}", unstopped(&cause.name));
            page.entry(2, "-", Ink::Usual, &line);
        }
    }
    if same {
        page.paragraph(2, Ink::Usual, "Nothing.");
    }
    if one.kept.knowledge != other.kept.knowledge {
        page.blank();
        page.paragraph(
            0,
            Ink::Faint,
            "The two were diagnosed with different knowledge, which may be why they differ.",
        );
    }
    page.finish()
}

/// What a fact is about, in words where this knowledge has them.
fn named(base: &KnowledgeBase, id: &str) -> String {
    let sign = base.signs.get(id).map(|one| one.statement.clone());
    sign.or_else(|| Some(base.readings.get(id)?.name.clone()))
        .or_else(|| Some(base.setup.get(id)?.statement.clone()))
        .or_else(|| Some(base.people.get(id)?.statement.clone()))
        .unwrap_or_else(|| id.to_owned())
}
