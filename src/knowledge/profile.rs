//! What ties the knowledge to a chamber's profile: the keys `profile`, and what crops give off.

use std::ops::Range;

use toml::de::{DeTable, DeValue};

use crate::engine::chamber::profile::Statement;
use crate::engine::chamber::quantity::Quantity;
use crate::engine::condition::Side;
use crate::engine::id::{SpeciesId, StageId};
use crate::engine::knowledge::{FromProfile, Output};
use crate::knowledge::entries::Entry;
use crate::knowledge::fields::{At, Fields, type_name};
use crate::knowledge::problem::{ProblemCode, nearest};
use crate::knowledge::shape::{Kind, Shape};

/// The most carbon dioxide that a kilogram of block can give off, in milligrams an hour.
///
/// judgement: some fifty times what is published for mushrooms at room temperature.
const MOST_MG_KG_H: f64 = 10_000.0;

impl Shape<'_, '_> {
    /// The quantity of a profile or balance that a word stands for.
    pub(crate) fn quantity(&mut self, word: &At<String>) -> Option<Quantity> {
        let found = Quantity::parse(&word.0);
        if found.is_none() {
            let words = Quantity::ALL.iter().map(|one| one.word());
            self.no_such_word(word, "number", words);
        }
        found
    }

    fn no_such_word<'w>(
        &mut self,
        word: &At<String>,
        what: &str,
        words: impl Iterator<Item = &'w str>,
    ) {
        let words: Vec<&str> = words.collect();
        let help = nearest(&word.0, words.iter().copied()).map_or_else(
            || format!("there are {}", words.join(", ")),
            |near| format!("did you mean `{near}`?"),
        );
        self.notes.add(
            ProblemCode::UnknownWord,
            word.1.clone(),
            format!("a chamber's profile has no {what} `{}`", word.0),
            "not in a profile",
            Some(help),
        );
    }

    /// The key `profile` of a setup item: a statement, or a number compared with another.
    pub(crate) fn profile_key(&mut self, fields: &mut Fields<'_, '_>) -> Option<FromProfile> {
        let value = fields.value("profile", &mut self.notes)?;
        match value.get_ref() {
            DeValue::String(text) => {
                let word = (text.trim().to_owned(), value.span());
                let found = Statement::parse(&word.0);
                if found.is_none() {
                    let words = Statement::WORDS.iter().map(|(word, _)| *word);
                    self.no_such_word(&word, "statement", words);
                }
                found.map(FromProfile::Says)
            }
            DeValue::Table(table) => {
                let mut own = Fields::new(table, value.span(), "a number of a profile");
                let of = own.text("of", &mut self.notes);
                let above = own.number_opt("above", &mut self.notes);
                let below = own.number_opt("below", &mut self.notes);
                if above.is_some() == below.is_some() {
                    own.missing("above` or `below", &mut self.notes);
                }
                own.finish(&mut self.notes);
                let quantity = self.quantity(&of?)?;
                match (above, below) {
                    (Some((limit, _)), None) => {
                        Some(FromProfile::Compares(quantity, Side::Above, limit))
                    }
                    (None, Some((limit, _))) => {
                        Some(FromProfile::Compares(quantity, Side::Below, limit))
                    }
                    _ => None,
                }
            }
            other => {
                let wanted = "a statement of a profile, or `{ of = .., above = .. }`";
                self.wrong_type("profile", value.span(), type_name(other), wanted);
                None
            }
        }
    }

    /// What a crop gives off.
    pub fn output(&mut self, table: &DeTable<'_>, span: Range<usize>) -> Option<Entry<Output>> {
        let mut fields = Fields::new(table, span, "an output of a crop");
        let id = self.head(&mut fields, "output");
        let species = fields.texts("species", &mut self.notes);
        if species.is_empty() {
            fields.missing("species", &mut self.notes);
        }
        let stage = fields.text("stage", &mut self.notes);
        let range_at = fields.span();
        let range = self.pair(&mut fields, "co2-mg-per-kg-hour");
        let peak = fields.number_opt("peak-times", &mut self.notes);
        if peak.is_none() && !table.contains_key("peak-times") {
            fields.missing("peak-times", &mut self.notes);
        }
        let grounds = self.grounds(&mut fields, true);
        fields.finish(&mut self.notes);
        let species = species
            .iter()
            .filter_map(|word| self.named(Kind::Species, word, SpeciesId::new))
            .collect();
        let stage = self.named(Kind::Stage, &stage?, StageId::new)?;
        let (low, high) = range?;
        for end in [low, high] {
            self.within(
                "co2-mg-per-kg-hour",
                end,
                0.0..=MOST_MG_KG_H,
                range_at.clone(),
            )?;
        }
        let (peak, peak_at) = peak?;
        let peak_times = self.within("peak-times", peak, 1.0..=100.0, peak_at)?;
        let output = Output {
            species,
            stage,
            co2_mg_kg_h: (low, high),
            peak_times,
            grounds,
            file: self.notes.file.to_owned(),
        };
        Some((id?, output))
    }
}
