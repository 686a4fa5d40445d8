//! One-page cards for the chamber door, as text; what they hold is shared with the page of HTML.

use crate::engine::condition::Finding;
use crate::engine::id::{CardId, SpeciesId, StageId};
use crate::engine::knowledge::{
    Card, CardLimits, Caution, KnowledgeBase, Round, Species, SpeciesLimit,
};
use crate::engine::quantity::show;
use crate::report::handbook::Book;
use crate::report::handbook::advice::ink_of;
use crate::report::page::{Ink, Page};
use crate::report::text::CLOSING;
use crate::report::words::{sentence, unstopped};

/// A card: one that the knowledge holds, or the limits of one species.
#[derive(Debug, Clone, Copy)]
pub enum Sheet<'k> {
    /// One of the knowledge.
    Card(&'k CardId, &'k Card),
    /// The limits of a species at every stage.
    Species(&'k SpeciesId, &'k Species),
}

impl<'k> Sheet<'k> {
    /// The card of this name, or that of the species of this name.
    pub fn named(base: &'k KnowledgeBase, typed: &str) -> Option<Self> {
        let wanted = typed.trim().to_lowercase().replace([' ', '_'], "-");
        let card = base.cards.get_key_value(wanted.as_str());
        if let Some((id, card)) = card {
            return Some(Self::Card(id, card));
        }
        let id = base
            .species_named(typed)
            .or_else(|| base.species_named(&wanted))?;
        let (id, species) = base.species.get_key_value(id)?;
        Some(Self::Species(id, species))
    }

    /// All of the knowledge's own.
    pub fn all(base: &'k KnowledgeBase) -> Vec<Self> {
        base.cards
            .iter()
            .map(|(id, card)| Self::Card(id, card))
            .collect()
    }

    /// Its heading.
    pub fn title(self) -> String {
        match self {
            Self::Card(_, card) => card.title.clone(),
            Self::Species(_, species) => format!("{}: what the air should be", species.name),
        }
    }
}

/// Limits as a table.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Table {
    /// What the columns are: the group they stand in, and the column itself. A group of one column has no second name.
    pub heads: Vec<(String, String)>,
    /// What stands at the left, and a cell for each column; empty where there is no limit.
    pub rows: Vec<(String, Vec<String>)>,
}

impl<'k> Book<'k> {
    /// The limits of every species, for the stages and readings of a card, in few letters.
    pub fn limits(self, of: &CardLimits) -> Table {
        let base = self.base;
        let columns: Vec<(&StageId, &_)> = of
            .stages
            .iter()
            .flat_map(|stage| of.readings.iter().map(move |reading| (stage, reading)))
            .collect();
        // What all numbers of a column share is said once, above them.
        let unit = |reading: &_| {
            let one = base.readings.get(reading)?;
            let shown = show(1.0, one.unit, self.system);
            shown.find(' ').map(|at| shown[at + 1..].to_owned())
        };
        let heads = columns.iter().map(|(stage, reading)| {
            let unit = unit(*reading).map_or_else(String::new, |unit| format!(", {unit}"));
            let stage = base
                .stages
                .get(*stage)
                .map_or(stage.as_str(), |one| &one.name);
            let reading = base
                .readings
                .get(*reading)
                .map_or(reading.as_str(), |one| &one.name);
            (stage.to_owned(), format!("{reading}{unit}"))
        });
        let rows = base.species.values().map(|species| {
            let cells = columns.iter().map(|(stage, reading)| {
                let own =
                    |limit: &&SpeciesLimit| limit.stage == **stage && limit.reading == **reading;
                species
                    .limits
                    .iter()
                    .find(own)
                    .map_or_else(String::new, |limit| self.tight(limit))
            });
            (species.name.clone(), cells.collect())
        });
        Table {
            heads: heads.collect(),
            rows: rows.collect(),
        }
    }

    /// The limits of one species: a row for each reading, a column for each stage.
    pub fn limits_of(self, species: &Species) -> Table {
        let base = self.base;
        let mut stages: Vec<_> = base.stages.iter().collect();
        stages.sort_by_key(|(_, stage)| stage.place);
        stages.retain(|(id, _)| species.limits.iter().any(|limit| limit.stage == **id));
        let mut readings = Vec::new();
        for limit in &species.limits {
            if !readings.contains(&&limit.reading) {
                readings.push(&limit.reading);
            }
        }
        let rows = readings.into_iter().map(|reading| {
            let cells = stages.iter().map(|(stage, _)| {
                let own =
                    |limit: &&SpeciesLimit| limit.stage == **stage && limit.reading == *reading;
                species
                    .limits
                    .iter()
                    .find(own)
                    .map_or_else(String::new, |limit| self.range(limit))
            });
            let name = base
                .readings
                .get(reading)
                .map_or(reading.as_str(), |one| &one.name);
            (name.to_owned(), cells.collect())
        });
        Table {
            heads: stages
                .iter()
                .map(|(_, stage)| (stage.name.clone(), String::new()))
                .collect(),
            rows: rows.collect(),
        }
    }

    /// A limit: `10 to 18 °C`, `at least 80 %`.
    pub fn range(self, limit: &SpeciesLimit) -> String {
        self.between(limit, ("at least ", "at most "), false)
    }

    /// A limit in few letters and without its unit: `10 to 18`, `≥ 80`.
    fn tight(self, limit: &SpeciesLimit) -> String {
        self.between(limit, ("≥ ", "≤ "), true)
    }

    fn between(
        self,
        limit: &SpeciesLimit,
        (least_is, most_is): (&str, &str),
        bare: bool,
    ) -> String {
        let Some(reading) = self.base.readings.get(&limit.reading) else {
            return String::new();
        };
        let number = |value: f64, bare: bool| {
            let shown = show(value, reading.unit, self.system);
            match shown.find(' ') {
                Some(at) if bare => shown[..at].to_owned(),
                _ => shown,
            }
        };
        match (limit.min, limit.max) {
            (Some(least), Some(most)) => {
                format!("{} to {}", number(least, true), number(most, bare))
            }
            (Some(least), None) => format!("{least_is}{}", number(least, bare)),
            (None, Some(most)) => format!("{most_is}{}", number(most, bare)),
            (None, None) => String::new(),
        }
    }

    /// What to look for on a round, as clauses.
    pub fn looks(self, round: &Round) -> Vec<String> {
        let finding = |sign| unstopped(&self.finding(&Finding::Sign(sign))).to_owned();
        round.looks.iter().cloned().map(finding).collect()
    }

    /// Where something of the rounds belongs, if not everywhere.
    pub fn only_where(self, round: &Round) -> Option<String> {
        let condition = round.asked_if.as_ref()?;
        Some(format!("only where {}", self.condition(condition)))
    }

    /// How often something of the rounds is due.
    pub fn how_often(self, round: &Round) -> String {
        match round.every_days {
            1 => "every day".to_owned(),
            days => format!("every {days} days"),
        }
    }

    /// The cautions of a card, in its order.
    pub fn card_cautions(self, card: &Card) -> Vec<&'k Caution> {
        let base = self.base;
        card.cautions
            .iter()
            .filter_map(|id| base.cautions.get(id))
            .collect()
    }

    /// A card as text.
    pub fn card(self, sheet: Sheet<'_>) -> String {
        let mut page = Page::new(self.look);
        page.heading(Ink::Strong, &sheet.title());
        match sheet {
            Sheet::Card(_, card) => self.own(&mut page, card),
            Sheet::Species(_, species) => {
                page.labelled(0, "Harvest:", &sentence(&species.harvest_sign));
                self.by_row(&mut page, &self.limits_of(species));
            }
        }
        page.blank();
        page.paragraph(0, Ink::Faint, CLOSING);
        page.finish()
    }

    fn own(self, page: &mut Page, card: &Card) {
        page.paragraph(0, Ink::Usual, &card.lead);
        for (number, step) in card.steps.iter().enumerate() {
            page.entry(1, &format!("{}.", number + 1), Ink::Usual, step);
        }
        for caution in self.card_cautions(card) {
            page.entry(0, "!", ink_of(caution.severity), &caution.text);
        }
        if let Some(limits) = &card.limits {
            let table = self.limits(limits);
            page.paragraph(0, Ink::Usual, &self.order(&table));
            self.by_row(page, &table);
        }
        if card.rounds {
            for round in self.base.rounds.values() {
                let only = self.only_where(round);
                let often = self.how_often(round);
                let when = only.map_or_else(|| often.clone(), |only| format!("{often}, {only}"));
                page.entry(
                    0,
                    "[ ]",
                    Ink::Strong,
                    &format!("{} ({when})", unstopped(&sentence(&round.statement))),
                );
                page.paragraph(4, Ink::Usual, &round.how);
                for look in self.looks(round) {
                    page.entry(4, "?", Ink::Usual, &format!("Is it so that {look}?"));
                }
            }
        }
    }

    /// What the numbers of a row are, in their order.
    fn order(self, table: &Table) -> String {
        let mut columns: Vec<&str> = Vec::new();
        for (_, column) in &table.heads {
            if !columns.contains(&column.as_str()) {
                columns.push(column);
            }
        }
        format!(
            "In this order, - where there is no limit: {}.",
            columns.join("; ")
        )
    }

    /// A table row by row, for a page that is too narrow for its columns.
    fn by_row(self, page: &mut Page, table: &Table) {
        for (name, cells) in &table.rows {
            page.entry(0, "", Ink::Strong, unstopped(&sentence(name)));
            let mut group: Option<(&str, Vec<&str>)> = None;
            for ((head, column), cell) in table.heads.iter().zip(cells) {
                // Of several numbers the order says what they are, so each keeps its place.
                let cell = match (cell.is_empty(), column.is_empty()) {
                    (true, true) => continue,
                    (true, false) => "-",
                    (false, _) => cell.as_str(),
                };
                match &mut group {
                    Some((known, cells)) if known == head => cells.push(cell),
                    _ => {
                        said(page, group.take());
                        group = Some((head, vec![cell]));
                    }
                }
            }
            said(page, group);
        }
    }
}

fn said(page: &mut Page, group: Option<(&str, Vec<&str>)>) {
    if let Some((head, cells)) = group {
        page.labelled(2, &format!("{head}:"), &format!("{}.", cells.join("; ")));
    }
}
