//! How a species shows a condition: read in the file of the species, weighed as a rule of the cause.

use std::ops::Range;

use toml::de::DeTable;

use crate::engine::condition::Finding;
use crate::engine::id::{CauseId, SignId};
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
    for (id, species) in &base.species {
        for response in &species.responses {
            let Some(cause) = base.causes.get_mut(&response.to) else {
                continue;
            };
            let finding = Finding::Sign(response.sign.clone());
            let general = cause.shows.iter_mut();
            for shows in
                general.filter(|shows| shows.finding == finding && shows.response_of.is_none())
            {
                shows.not_in.push(id.clone());
            }
            cause.shows.push(Shows {
                finding,
                share: response.shows,
                only_if: None,
                response_of: Some(id.clone()),
                not_in: Vec::new(),
                grounds: response.grounds.clone(),
            });
        }
    }
}
