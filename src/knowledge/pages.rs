//! What the handbook is made of besides the entries themselves: how things look when drawn, rounds, and cards.

use std::ops::Range;

use toml::de::DeTable;

use crate::engine::id::{CautionId, ReadingId, SignId, StageId};
use crate::engine::knowledge::{Card, CardLimits, Draws, Round, Stroke, Swatch, Texture};
use crate::knowledge::entries::Entry;
use crate::knowledge::fields::{At, Fields};
use crate::knowledge::problem::ProblemCode;
use crate::knowledge::shape::{Kind, Shape};

/// After how many days something of the rounds can be due again.
///
/// judgement: what is due more seldom than once a year is no round.
const DAYS: std::ops::RangeInclusive<f64> = 1.0..=365.0;

/// What a drawing belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Drawn {
    /// A sign: numbers and a texture; its colour is its swatch.
    Sign,
    /// A species: numbers and the colour of the cap.
    Species,
}

impl Shape<'_, '_> {
    /// The key `draws`.
    pub(crate) fn draws(&mut self, fields: &mut Fields<'_, '_>, of: Drawn) -> Option<Draws> {
        let (table, span) = fields.table_opt("draws", &mut self.notes)?;
        let mut own = Fields::new(table, span.clone(), format!("`draws` of {}", fields.what()));
        let mut draws = Draws::default();
        for &stroke in Stroke::ALL {
            let (least, most) = stroke.range();
            let given = own.number_opt(stroke.key(), &mut self.notes);
            let value =
                given.and_then(|(value, at)| self.within(stroke.key(), value, least..=most, at));
            draws.strokes.extend(value.map(|value| (stroke, value)));
        }
        match of {
            Drawn::Species => draws.cap = self.colour(&mut own, "cap-colour"),
            Drawn::Sign => {
                let word = own.text_opt("texture", &mut self.notes);
                draws.texture =
                    word.and_then(|word| self.choose("texture", &word, &Texture::WORDS));
            }
        }
        own.finish(&mut self.notes);
        if table.is_empty() {
            self.wrong_type(
                "draws",
                span,
                "nothing",
                "at least one number of the drawing",
            );
            return None;
        }
        Some(draws)
    }

    /// A colour, `#rrggbb`.
    pub(crate) fn colour(
        &mut self,
        fields: &mut Fields<'_, '_>,
        key: &'static str,
    ) -> Option<Swatch> {
        let (text, span) = fields.text_opt(key, &mut self.notes)?;
        let colour = Swatch::parse(&text);
        if colour.is_none() {
            let message = format!("`{text}` is no colour");
            let help = "write red, green and blue as `#rrggbb`, such as `#808080`".to_owned();
            self.notes.add(
                ProblemCode::UnknownWord,
                span,
                message,
                "not a colour",
                Some(help),
            );
        }
        colour
    }

    /// Something done in rounds.
    pub fn round(&mut self, table: &DeTable<'_>, span: Range<usize>) -> Option<Entry<Round>> {
        let mut fields = Fields::new(table, span, "a round");
        let id = self.head(&mut fields, "round");
        let statement = fields.text("statement", &mut self.notes);
        let every_days = self.days(&mut fields, "every-days");
        let how = fields.text("how", &mut self.notes);
        let why = fields.text("why", &mut self.notes);
        let looks = self.names(&mut fields, "looks", Kind::Sign, SignId::new);
        let feeds = fields
            .text_opt("feeds", &mut self.notes)
            .and_then(|text| self.named(Kind::Reading, &text, ReadingId::new));
        let cautions = self.names(&mut fields, "cautions", Kind::Caution, CautionId::new);
        let asked_if = self.condition_opt(&mut fields, "asked-if");
        self.no_conclusion(asked_if.as_ref());
        let grounds = self.grounds(&mut fields, true);
        fields.finish(&mut self.notes);
        let round = Round {
            statement: statement?.0,
            every_days: every_days?,
            how: how?.0,
            why: why?.0,
            looks,
            feeds,
            cautions,
            asked_if: asked_if.map(|(condition, _)| condition),
            grounds,
            file: self.notes.file.to_owned(),
        };
        Some((id?, round))
    }

    /// A whole number of days.
    fn days(&mut self, fields: &mut Fields<'_, '_>, key: &'static str) -> Option<u32> {
        let Some((number, at)) = fields.number_opt(key, &mut self.notes) else {
            fields.missing(key, &mut self.notes);
            return None;
        };
        let days = self.within(key, number, DAYS, at.clone())?;
        if days.fract() != 0.0 {
            self.wrong_type(key, at, "a part of a day", "a whole number of days");
            return None;
        }
        // Within 1..=365 and whole, so nothing is cut off.
        Some(days as u32)
    }

    /// A card for the chamber door.
    pub fn card(&mut self, table: &DeTable<'_>, span: Range<usize>) -> Option<Entry<Card>> {
        let mut fields = Fields::new(table, span, "a card");
        let id = self.head(&mut fields, "card");
        let title = fields.text("title", &mut self.notes);
        let lead = fields.text("lead", &mut self.notes);
        let steps = fields
            .texts("steps", &mut self.notes)
            .into_iter()
            .map(|(step, _)| step)
            .collect();
        let cautions = self.names(&mut fields, "cautions", Kind::Caution, CautionId::new);
        let limits = fields
            .table_opt("limits", &mut self.notes)
            .map(|limits| self.card_limits(limits));
        let rounds = fields.flag("rounds", &mut self.notes);
        let grounds = self.grounds(&mut fields, true);
        fields.finish(&mut self.notes);
        let card = Card {
            title: title?.0,
            lead: lead?.0,
            steps,
            cautions,
            limits,
            rounds,
            grounds,
            file: self.notes.file.to_owned(),
        };
        Some((id?, card))
    }

    fn card_limits(&mut self, (table, span): At<&DeTable<'_>>) -> CardLimits {
        let mut fields = Fields::new(table, span, "the limits of a card");
        let stages = self.names(&mut fields, "stages", Kind::Stage, StageId::new);
        let readings = self.names(&mut fields, "readings", Kind::Reading, ReadingId::new);
        fields.finish(&mut self.notes);
        CardLimits { stages, readings }
    }
}
