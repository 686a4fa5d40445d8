//! How a species shows a condition: read in the file of the species, weighed as a rule of the cause.

use std::ops::Range;

use toml::de::DeTable;

use crate::engine::condition::{Condition, Finding, Proposition};
use crate::engine::id::{CauseId, SignId, SpeciesId};
use crate::engine::knowledge::{KnowledgeBase, Response, Shows};
use crate::knowledge::fields::Fields;
use crate::knowledge::shape::{Kind, Shape};

impl Shape<'_, '_> {
    /// How a species shows a cause.
    pub fn response(&mut self, table: &DeTable<'_>, span: Range<usize>) -> Option<Response> {
        let mut fields = Fields::new(table, span, "a response");
        let to = fields.text("to", &mut self.notes);
        let sign = fields.text("sign", &mut self.notes);
        let shows = self.frequency(&mut fields, "shows");
        let note = fields.text("note", &mut self.notes);
        let grounds = self.grounds(&mut fields, true);
        fields.finish(&mut self.notes);
        Some(Response {
            to: self.named(Kind::Cause, &to?, CauseId::new)?,
            sign: self.named(Kind::Sign, &sign?, SignId::new)?,
            shows: shows?,
            note: note?.0,
            grounds,
        })
    }
}

/// Turns each response into a rule of its cause that holds in that species alone, and keeps the cause's general rules
/// for the same sign out of that species.
pub fn spread(base: &mut KnowledgeBase) {
    let responses: Vec<(SpeciesId, Response)> = base
        .species
        .iter()
        .flat_map(|(id, species)| {
            let own = species.responses.iter();
            own.map(move |response| (id.clone(), response.clone()))
        })
        .collect();
    let species = |id: &SpeciesId| Condition::holds(Proposition::Species(id.clone()));
    for (id, response) in &responses {
        let finding = Finding::Sign(response.sign.clone());
        let general = base.causes.get_mut(&response.to).into_iter();
        for shows in general
            .flat_map(|cause| &mut cause.shows)
            .filter(|shows| shows.finding == finding)
        {
            shows.only_if = Some(and(shows.only_if.take(), species(id).denied()));
        }
    }
    for (id, response) in responses {
        if let Some(cause) = base.causes.get_mut(&response.to) {
            cause.shows.push(Shows {
                finding: Finding::Sign(response.sign),
                share: response.shows,
                only_if: Some(species(&id)),
                grounds: response.grounds,
            });
        }
    }
}

/// Both conditions at once.
fn and(guard: Option<Condition>, more: Condition) -> Condition {
    match guard {
        None => more,
        Some(Condition::All(mut parts)) => {
            parts.push(more);
            Condition::All(parts)
        }
        Some(other) => Condition::All(vec![other, more]),
    }
}
