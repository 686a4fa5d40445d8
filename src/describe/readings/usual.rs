//! Which reading a number is that no name stands beside: by its unit, its place, or the word before it.

use crate::describe::amount::Amount;
use crate::describe::effort::look;
use crate::describe::lexicon::Target;
use crate::describe::phrase::Phrase;
use crate::describe::readings::{FARTHEST, Numbers};
use crate::describe::token::Gap;
use crate::describe::told::Why;
use crate::describe::vocabulary::Concept;
use crate::engine::id::ReadingId;
use crate::engine::knowledge::WordClass;

impl Numbers<'_> {
    /// Whether a name stands beside a number whose unit does not fit it: "CO2 0.09 %".
    pub(super) fn misnamed(&self, amount: &Amount) -> Result<Option<ReadingId>, Why> {
        let part = self.laid.places[amount.units.start].part;
        let near = self
            .names
            .partition_point(|name| name.units[0] + 4 * FARTHEST < amount.units.start);
        let names = self.names[near..]
            .iter()
            .take_while(|name| name.units[0] < amount.units.start)
            .inspect(|_| look(1));
        let beside = { names }.find(|name| {
            let last = name.units[name.units.len() - 1];
            self.laid.places[last].part == part
                && last < amount.units.start
                && amount.units.start - last <= 2
        });
        let id = beside.and_then(|name| self.reading_of(name));
        match id.filter(|id| {
            amount
                .kind
                .is_some_and(|kind| self.base.readings[*id].unit.kind() != kind)
        }) {
            Some(id) => Err(Why::WrongUnit(id.clone())),
            None => Ok(None),
        }
    }

    /// "Flush 3": the number behind the word that elsewhere stands behind a place in a row.
    pub(super) fn counted(&self, amount: &Amount) -> Option<ReadingId> {
        if amount.kind.is_some() {
            return None;
        }
        let before = self.laid.units.get(amount.units.start.checked_sub(1)?)?;
        let phrases = &self.lexicon.phrases;
        let phrase = phrases.iter().find(|phrase| {
            phrase.ordinal == Some(0)
                && phrase.words.len() == 2
                && phrase.words[1].concept == before.concept()
                && matches!(
                    self.lexicon.entries[phrase.entry].target,
                    Target::Reading(_)
                )
        })?;
        match &self.lexicon.entries[phrase.entry].target {
            Target::Reading(id) => Some(id.clone()),
            _ => None,
        }
    }

    /// The reading of another place: "620 ppm in the room". The words of its name are those of the reading it would
    /// otherwise be, and of the part the number stands in.
    pub(super) fn placed(&self, amount: &Amount, named: Option<&ReadingId>) -> Option<ReadingId> {
        let kind = amount
            .kind
            .or_else(|| named.map(|id| self.base.readings[id].unit.kind()))?;
        let usual = named.or_else(|| {
            let mut usual = self.base.readings.iter();
            usual
                .find(|(_, one)| one.usual_for_unit && one.unit.kind() == kind)
                .map(|(id, _)| id)
        })?;
        let part = self.laid.parts[self.laid.places[amount.units.start].part]
            .1
            .clone();
        let mut aliases: Vec<Concept> = Vec::new();
        let mut longer: Vec<&Phrase> = Vec::new();
        look(self.lexicon.phrases.len());
        for phrase in &self.lexicon.phrases {
            let Target::Reading(id) = &self.lexicon.entries[phrase.entry].target else {
                continue;
            };
            if id == usual && phrase.words.len() == 1 {
                aliases.push(phrase.words[0].concept);
            } else if id != usual
                && phrase.ordinal.is_none()
                && self.base.readings[id].unit.kind() == kind
            {
                longer.push(phrase);
            }
        }
        let here = |concept: Concept| {
            part.clone()
                .any(|at| self.laid.units[at].concept() == concept)
        };
        let mut found: Option<usize> = None;
        for phrase in longer {
            let alias = phrase
                .words
                .iter()
                .any(|word| aliases.contains(&word.concept));
            let fits = alias
                && phrase
                    .words
                    .iter()
                    .all(|word| aliases.contains(&word.concept) || here(word.concept))
                && phrase
                    .words
                    .iter()
                    .any(|word| !aliases.contains(&word.concept));
            match found {
                _ if !fits => {}
                None => found = Some(phrase.entry),
                Some(other) if other == phrase.entry => {}
                Some(_) => return None,
            }
        }
        match &self.lexicon.entries[found?].target {
            Target::Reading(id) => Some(id.clone()),
            _ => None,
        }
    }

    /// The reading that numbers in this unit are usually of, where nothing speaks against it.
    pub(super) fn by_unit(&self, amount: &Amount) -> Result<ReadingId, Why> {
        let kind = amount.kind.ok_or(Why::NumberWithoutName)?;
        let mut usual = self
            .base
            .readings
            .iter()
            .filter(|(_, reading)| reading.usual_for_unit && reading.unit.kind() == kind);
        let (Some((id, _)), None) = (usual.next(), usual.next()) else {
            return Err(Why::NumberWithoutName);
        };
        let place = self.laid.places[amount.units.start];
        let part = self.laid.parts[place.part].1.clone();
        if self.laid.statements[place.statement].clone().any(|at| {
            // "They should be pinning and it's 6 °C": what is wished elsewhere is not wished here.
            let here = self.laid.places[at].part == place.part;
            self.laid.units[at].is(WordClass::Aim)
                && (here || !self.laid.units[at].is(WordClass::Supposing))
        }) {
            return Err(Why::Supposed);
        }
        let entry = self
            .lexicon
            .entries
            .iter()
            .find(|entry| entry.target == Target::Reading(id.clone()));
        let from = part.start.max(amount.units.start.saturating_sub(FARTHEST));
        let nearest = (from..amount.units.start)
            .rev()
            .find(|&at| self.laid.units[at].is(WordClass::Thing));
        let strange = nearest.is_some_and(|at| {
            let known =
                entry.is_some_and(|entry| entry.things.contains(&self.laid.units[at].concept()));
            !known && !self.named[at]
        });
        let next = self
            .laid
            .units
            .get(amount.units.end)
            .filter(|unit| unit.gap <= Gap::Blank);
        let of = next.is_some_and(|unit| {
            unit.has_content() && !unit.is(WordClass::Thing) && !unit.is(WordClass::Break)
        });
        if strange || of {
            return Err(Why::NumberWithoutName);
        }
        Ok(id.clone())
    }
}
