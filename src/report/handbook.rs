//! The handbook: what the knowledge says, entry by entry, for a person to read.

mod advice;
pub mod cards;
pub mod compare;
pub(crate) mod entries;
mod find;
pub mod key;

use crate::engine::condition::{Comparison, Condition, Limit, Proposition, Side};
use crate::engine::facts::FactBase;
use crate::engine::knowledge::{
    Checked, Cite, Finding, Grounds, KnowledgeBase, Level, Map, Source, SourceKind,
};
use crate::engine::observations::Observations;
use crate::engine::quantity::{System, show};
use crate::engine::rulebook::Rulebook;
use crate::engine::wording::Wording;
use crate::knowledge::coverage::Coverage;
use crate::report::catalogue::counts;
use crate::report::coverage::in_short;
use crate::report::page::{Ink, Look, Page};
use crate::report::words::{percent, sentence};

pub use crate::report::handbook::find::{Entry, Looked, look_up};

/// What the handbook is printed from. The base must be the full one: a lean one has lost lay words and judgements.
#[derive(Debug, Clone, Copy)]
pub struct Book<'k> {
    /// The knowledge.
    pub base: &'k KnowledgeBase,
    /// The system of units for numbers.
    pub system: System,
    /// How it looks.
    pub look: Look,
}

impl Book<'_> {
    /// The front page: which knowledge this is, how much of it, what it stands on, and how to look things up.
    pub fn front(self, coverage: &Coverage) -> String {
        let base = self.base;
        let mut page = Page::new(self.look);
        page.heading(Ink::Strong, "The handbook of blockside");
        page.paragraph(
            0,
            Ink::Usual,
            &format!(
                "Version {}, knowledge {}.",
                env!("CARGO_PKG_VERSION"),
                base.fingerprint
            ),
        );
        page.heading(Ink::Strong, "What is in it");
        page.paragraph(0, Ink::Usual, &format!("{}.", counts(base)));
        page.heading(Ink::Strong, "What it stands on");
        in_short(&mut page, coverage);
        page.paragraph(
            0,
            Ink::Faint,
            "In full: blockside knowledge check --coverage",
        );
        page.heading(Ink::Strong, "How to look things up");
        page.paragraph(
            0,
            Ink::Usual,
            "Name any species, sign, cause, action or caution by its id, its name, or a part of it that nothing else has:",
        );
        for example in self.examples() {
            page.entry(2, "", Ink::Usual, &format!("blockside handbook {example}"));
        }
        page.paragraph(
            0,
            Ink::Usual,
            "With --detail every line says where it stands. `blockside knowledge list causes` and so on list all names.",
        );
        page.finish()
    }

    /// Examples of what can be looked up, taken from the knowledge itself.
    fn examples(self) -> Vec<String> {
        let base = self.base;
        let species = base.species.iter().find(|(_, species)| !species.default);
        let sign = base.signs.iter().find(|(_, sign)| sign.opening.is_some());
        let pair = base.causes.iter().find_map(|(id, cause)| {
            let other = cause.look_alikes.first()?;
            Some(format!("compare {id} {}", other.cause))
        });
        let first_two = || {
            let mut ids = base.causes.keys();
            Some(format!("compare {} {}", ids.next()?, ids.next()?))
        };
        let pair = pair.or_else(first_two);
        species
            .map(|(id, _)| id.to_string())
            .into_iter()
            .chain(sign.map(|(id, _)| id.to_string()))
            .chain(pair)
            .collect()
    }

    /// A page for each entry.
    pub fn pages(self, found: &[Entry<'_>]) -> String {
        let mut page = Page::new(self.look);
        for entry in found {
            page.blank();
            entries::entry(&mut page, self, *entry);
        }
        page.finish()
    }

    /// A finding as a clause, with limits of the species named as such.
    pub(crate) fn finding(self, finding: &Finding) -> String {
        match finding {
            Finding::Reading(comparison) => self.comparison(comparison),
            Finding::Sign(sign) => {
                let entry = self.base.signs.get(sign);
                entry.map_or_else(|| sign.to_string(), |sign| sign.statement.clone())
            }
            Finding::Fact(fact) => {
                let entry = self.base.facts.get(fact);
                entry.map_or_else(|| fact.to_string(), |fact| fact.statement.clone())
            }
        }
    }

    fn comparison(self, comparison: &Comparison) -> String {
        let Some(reading) = self.base.readings.get(&comparison.reading) else {
            return comparison.reading.to_string();
        };
        let side = match comparison.side {
            Side::Above => "above",
            Side::Below => "below",
        };
        let limit = match comparison.limit {
            Limit::Fixed(number) => show(number, reading.unit, self.system),
            Limit::Species { times: 1.0 } => "the limit of the crop".to_owned(),
            Limit::Species { times } => format!("{times} times the limit of the crop"),
        };
        format!("{} is {side} {limit}", reading.name)
    }

    /// A condition as a clause.
    pub(crate) fn condition(self, condition: &Condition) -> String {
        let joined = |parts: &[Condition], word: &str| {
            let parts: Vec<String> = parts
                .iter()
                .map(|part| match part {
                    Condition::Literal(_) => self.condition(part),
                    Condition::All(_) | Condition::Any(_) => format!("({})", self.condition(part)),
                })
                .collect();
            parts.join(word)
        };
        match condition {
            Condition::All(parts) => joined(parts, " and "),
            Condition::Any(parts) => joined(parts, " or "),
            Condition::Literal(literal) => match &literal.proposition {
                Proposition::Reading(comparison) if literal.holds => self.comparison(comparison),
                _ => {
                    let rulebook = Rulebook::new(&KnowledgeBase::default());
                    let facts = FactBase::new(self.base, &rulebook, &Observations::default());
                    let wording = Wording {
                        base: self.base,
                        facts: &facts,
                        system: self.system,
                    };
                    wording.literal(literal)
                }
            },
        }
    }

    /// A share with the nearest word of the scale: `usually (80 %)`.
    pub(crate) fn often(self, share: f64) -> String {
        with_word(&self.base.scale.frequency, share)
    }

    /// As [`Book::often`], for what may not be shown at all.
    pub(crate) fn often_if_at_all(self, share: f64) -> String {
        if share > 0.0 {
            self.often(share)
        } else {
            "not shown".to_owned()
        }
    }

    /// How common something is, with the nearest word of the scale.
    pub(crate) fn common(self, rate: f64) -> String {
        with_word(&self.base.scale.base_rate, rate)
    }
}

fn with_word(scale: &Map<String, Level>, share: f64) -> String {
    let nearest = scale.iter().min_by(|a, b| {
        let distance = |level: &Level| (level.value - share).abs();
        distance(a.1).total_cmp(&distance(b.1))
    });
    match nearest {
        Some((word, _)) => format!("{word} ({})", percent(share)),
        None => percent(share),
    }
}

/// Adds where something stands, on --detail: its sources by id, else that it is a judgement.
fn stands(book: Book<'_>, text: &mut String, grounds: &Grounds) {
    if !book.look.detail {
        return;
    }
    let mut notes = Vec::new();
    if !grounds.sources.is_empty() {
        notes.push(crate::report::text::causes::cited(&grounds.sources));
    }
    if let Some(judgement) = &grounds.judgement {
        notes.push(format!("judgement: {judgement}"));
    }
    if !notes.is_empty() {
        text.push_str(&format!(" [{}]", notes.join("; ")));
    }
}

/// How far a source can be relied on, where that needs saying.
pub(crate) fn mark(source: &Source) -> &'static str {
    match (source.kind, source.checked) {
        (SourceKind::Practice, _) => " (common practice)",
        (SourceKind::JudgementByProject, _) => " (our own reasoning)",
        (_, Checked::Read) => "",
        (_, Checked::SecondHand) => " (second-hand)",
        (_, Checked::Memory) => " (from memory)",
    }
}

/// The sources of an entry and its lines, each once, and every sentence on where they differ.
fn sources<'g>(
    page: &mut Page,
    base: &KnowledgeBase,
    own: &'g Grounds,
    lines: impl Iterator<Item = &'g Grounds> + Clone,
) {
    let differing: Vec<&str> = std::iter::once(own)
        .chain(lines.clone())
        .filter_map(|grounds| grounds.differ.as_deref())
        .collect();
    for text in differing {
        page.labelled(0, "Sources differ:", text);
    }
    let mut cites: Vec<&Cite> = Vec::new();
    for cite in own.sources.iter().chain(lines.flat_map(|one| &one.sources)) {
        if !cites.iter().any(|known| known.source == cite.source) {
            cites.push(cite);
        }
    }
    if !cites.is_empty() {
        page.heading(Ink::Strong, "Sources");
        for cite in cites {
            let text = base.sources.get(&cite.source).map_or_else(
                || cite.source.to_string(),
                |source| format!("{}{}", source.cite, mark(source)),
            );
            page.entry(2, "-", Ink::Faint, &text);
        }
    }
    if let Some(judgement) = &own.judgement {
        page.labelled(0, "Judgement:", &sentence(judgement));
    }
}
