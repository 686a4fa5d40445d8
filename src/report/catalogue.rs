//! What is loaded, kind by kind: as a table to read and as JSON with every field.

mod fields;

use std::collections::HashMap;

use serde_json::{Map, Value, json};

use crate::engine::condition::Literal;
use crate::engine::knowledge::{Finding, KnowledgeBase};
use crate::report::json::{kind_word, severity_word};
use crate::report::page::{Ink, Look, Page};

pub use crate::report::catalogue::fields::condition;

/// The version of a list as JSON.
pub const LIST_SCHEMA: &str = "blockside.list/1";

macro_rules! kinds {
    ($($(#[$doc:meta])* $name:ident = $word:literal;)*) => {
        /// A kind of entry in the knowledge.
        #[derive(Debug, Clone, Copy, PartialEq, Eq)]
        pub enum Kind {
            $($(#[$doc])* $name,)*
        }

        impl Kind {
            /// Every kind with its word.
            pub const ALL: &'static [(Kind, &'static str)] = &[$((Kind::$name, $word),)*];
        }
    };
}

kinds! {
    /// The species.
    Species = "species";
    /// The signs.
    Signs = "signs";
    /// The causes.
    Causes = "causes";
    /// Every line that links or derives something.
    Rules = "rules";
    /// The actions.
    Actions = "actions";
    /// The cautions.
    Cautions = "cautions";
    /// The sources.
    Sources = "sources";
    /// The readings.
    Readings = "readings";
    /// The setup items.
    Setup = "setup";
    /// What may hold of people.
    People = "people";
    /// The derived facts.
    Facts = "facts";
    /// The questions that ask for several signs.
    Questions = "questions";
    /// What crops give off.
    Outputs = "outputs";
    /// What is done again and again.
    Rounds = "rounds";
    /// What hangs on the chamber door.
    Cards = "cards";
    /// The stages of a crop.
    Stages = "stages";
    /// The numbers that the weighing works with.
    Numbers = "numbers";
}

impl Kind {
    /// What most of the knowledge is made of.
    pub const MAIN: &'static [Kind] = &[
        Kind::Species,
        Kind::Signs,
        Kind::Causes,
        Kind::Rules,
        Kind::Actions,
        Kind::Cautions,
        Kind::Sources,
    ];

    /// The kind a word stands for.
    pub fn parse(word: &str) -> Option<Self> {
        Self::ALL
            .iter()
            .find(|(_, known)| *known == word)
            .map(|(kind, _)| *kind)
    }

    /// Its word.
    pub fn word(self) -> &'static str {
        Self::ALL
            .iter()
            .find(|(kind, _)| *kind == self)
            .map_or("", |(_, word)| word)
    }
}

/// One entry of a list.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    /// Its id.
    pub id: String,
    /// What it says, on one line.
    pub text: String,
    /// Every field.
    pub fields: Map<String, Value>,
}

/// The list as a table.
pub fn table(base: &KnowledgeBase, kind: Kind, look: Look) -> String {
    let mut page = Page::new(look);
    let entries = entries(base, kind);
    let rows: Vec<(String, String)> = entries
        .iter()
        .map(|entry| (entry.id.clone(), entry.text.clone()))
        .collect();
    page.columns(&rows);
    page.blank();
    page.paragraph(0, Ink::Faint, &format!("{} {}", entries.len(), kind.word()));
    page.finish()
}

/// The list as JSON, every entry with its id first.
pub fn list(base: &KnowledgeBase, kind: Kind) -> Value {
    let entries: Vec<Value> = entries(base, kind)
        .into_iter()
        .map(|entry| {
            let mut fields = Map::new();
            fields.insert("id".to_owned(), Value::String(entry.id));
            fields.extend(entry.fields);
            Value::Object(fields)
        })
        .collect();
    json!({ "schema": LIST_SCHEMA, "kind": kind.word(), "knowledge": base.fingerprint, "entries": entries })
}

/// How much there is of what most of the knowledge is made of, in words.
pub fn counts(base: &KnowledgeBase) -> String {
    let counts: Vec<String> = Kind::MAIN
        .iter()
        .map(|&kind| format!("{} {}", entries(base, kind).len(), kind.word()))
        .collect();
    counts.join(", ")
}

/// Every entry of a kind: species as they are offered, others in the order of the knowledge.
pub fn entries(base: &KnowledgeBase, kind: Kind) -> Vec<Entry> {
    let entry = |id: &dyn ToString, text: &str, fields: Map<String, Value>| Entry {
        id: id.to_string(),
        text: text.to_owned(),
        fields,
    };
    match kind {
        Kind::Species => base
            .species_by_place()
            .map(|(id, one)| {
                let text = format!("{} ({})", one.name, one.latin);
                entry(id, &text, fields::species(one))
            })
            .collect(),
        Kind::Signs => base
            .signs
            .iter()
            .map(|(id, one)| entry(id, &one.statement, fields::sign(base, one)))
            .collect(),
        Kind::Causes => base
            .causes
            .iter()
            .map(|(id, one)| {
                let text = format!("{} [{}]", one.name, kind_word(one.kind));
                entry(id, &text, fields::cause(one))
            })
            .collect(),
        Kind::Rules => rules(base),
        Kind::Actions => base
            .actions
            .iter()
            .map(|(id, one)| entry(id, &one.text, fields::action(one)))
            .collect(),
        Kind::Cautions => base
            .cautions
            .iter()
            .map(|(id, one)| {
                let text = format!("[{}] {}", severity_word(one.severity), one.text);
                entry(id, &text, fields::caution(one))
            })
            .collect(),
        Kind::Sources => base
            .sources
            .iter()
            .map(|(id, one)| entry(id, &one.cite, fields::plain(one)))
            .collect(),
        Kind::Readings => base
            .readings
            .iter()
            .map(|(id, one)| {
                let text = format!("{} ({})", one.name, one.unit.symbol());
                entry(id, &text, fields::reading(one))
            })
            .collect(),
        Kind::Setup => base
            .setup
            .iter()
            .map(|(id, one)| entry(id, &one.statement, fields::setup(one)))
            .collect(),
        Kind::People => base
            .people
            .iter()
            .map(|(id, one)| entry(id, &one.statement, fields::plain(one)))
            .collect(),
        Kind::Facts => base
            .facts
            .iter()
            .map(|(id, one)| entry(id, &one.statement, fields::plain(one)))
            .collect(),
        Kind::Questions => base
            .questions
            .iter()
            .map(|(id, one)| entry(id, &one.ask, fields::plain(one)))
            .collect(),
        Kind::Outputs => base
            .outputs
            .iter()
            .map(|(id, one)| {
                let (low, high) = one.co2_mg_kg_h;
                let text =
                    format!("{low} to {high} mg of carbon dioxide an hour for each kilogram");
                entry(id, &text, fields::plain(one))
            })
            .collect(),
        Kind::Rounds => base
            .rounds
            .iter()
            .map(|(id, one)| entry(id, &one.statement, fields::round(one)))
            .collect(),
        Kind::Cards => base
            .cards
            .iter()
            .map(|(id, one)| entry(id, &one.title, fields::plain(one)))
            .collect(),
        Kind::Stages => base
            .stages
            .iter()
            .map(|(id, one)| entry(id, &one.name, fields::plain(one)))
            .collect(),
        Kind::Numbers => base
            .scale
            .numbers
            .listed()
            .into_iter()
            .map(|(id, value, meaning)| {
                let text = format!("{value}: {}", meaning.trim().trim_end_matches('.'));
                entry(&id, &text, fields::number(value, meaning))
            })
            .collect(),
    }
}

/// Every line that links or derives something, with what sort of rule it is.
fn rules(base: &KnowledgeBase) -> Vec<Entry> {
    let mut rules = Vec::new();
    for (id, rule) in &base.rules {
        rules.push(Entry {
            id: id.to_string(),
            text: rule.text.clone(),
            fields: fields::rule(rule),
        });
    }
    let mut named = HashMap::new();
    for (id, cause) in &base.causes {
        for shows in &cause.shows {
            let what = finding_words(&shows.finding);
            // One finding may be shown to different degrees in different species.
            let name = format!("{id}.shows.{what}");
            let times = named.entry(name.clone()).or_insert(0_usize);
            *times += 1;
            rules.push(Entry {
                id: match times {
                    1 => name,
                    more => format!("{name}#{more}"),
                },
                text: format!(
                    "{id} alone shows {what} in {:.0} of 100 cases{}",
                    shows.share * 100.0,
                    shows
                        .response_of
                        .as_ref()
                        .map_or_else(String::new, |species| format!(" in {species}"))
                ),
                fields: fields::shows(id, shows),
            });
        }
        for (number, raise) in cause.raised_by.iter().enumerate() {
            rules.push(Entry {
                id: format!("{id}.raised-by.{}", number + 1),
                text: format!(
                    "{id} has {} times the odds where {} holds",
                    raise.times,
                    condition_words(&raise.when.literals())
                ),
                fields: fields::raised_by(id, raise),
            });
        }
        for link in &cause.roots {
            rules.push(Entry {
                id: format!("{id}.root.{}", link.cause),
                text: format!(
                    "{} alone brings about {id} in {:.0} of 100 cases",
                    link.cause,
                    link.brings * 100.0
                ),
                fields: fields::root(id, link),
            });
        }
    }
    let triggers = base
        .actions
        .iter()
        .map(|(id, action)| (id.as_str(), "action", &action.rules))
        .chain(
            base.cautions
                .iter()
                .map(|(id, caution)| (id.as_str(), "caution", &caution.rules)),
        );
    for (id, sort, list) in triggers {
        for (number, trigger) in list.iter().enumerate() {
            rules.push(Entry {
                id: format!("{id}.when.{}", number + 1),
                text: format!(
                    "{id} is brought up by {}",
                    condition_words(&trigger.when.literals())
                ),
                fields: fields::trigger(id, sort, trigger),
            });
        }
    }
    rules
}

fn finding_words(finding: &Finding) -> String {
    crate::engine::wording::finding_id(finding)
}

fn condition_words(literals: &[&Literal]) -> String {
    let words: Vec<String> = literals
        .iter()
        .map(|literal| {
            let word = fields::proposition_words(&literal.proposition);
            if literal.holds {
                word
            } else {
                format!("not {word}")
            }
        })
        .collect();
    words.join(", ")
}
