//! Topics to practise: read, and checked for taking in something.

use std::ops::Range;

use toml::de::DeTable;

use crate::engine::id::CauseId;
use crate::engine::knowledge::{CauseKind, Topic};
use crate::knowledge::check::Found;
use crate::knowledge::entries::Entry;
use crate::knowledge::fields::Fields;
use crate::knowledge::problem::ProblemCode;
use crate::knowledge::rules::{HAZARDS, KINDS};
use crate::knowledge::shape::{Kind, Shape};

impl Shape<'_, '_> {
    /// A topic to practise.
    pub fn topic(&mut self, table: &DeTable<'_>, span: Range<usize>) -> Option<Entry<Topic>> {
        let mut fields = Fields::new(table, span, "a topic");
        let id = self.head(&mut fields, "topic");
        let title = fields.text("title", &mut self.notes);
        let summary = fields.text("summary", &mut self.notes);
        let kinds = self.kinds(&mut fields, "kinds");
        let taken_for = self.kinds(&mut fields, "taken-for");
        let hazard = fields.text_opt("hazard", &mut self.notes);
        let hazard = hazard.and_then(|word| self.choose("hazard", &word, &HAZARDS));
        let causes = self.names(&mut fields, "causes", Kind::Cause, CauseId::new);
        let grounds = self.grounds(&mut fields, true);
        fields.finish(&mut self.notes);
        let topic = Topic {
            title: title?.0,
            summary: summary?.0,
            kinds,
            taken_for,
            hazard,
            causes,
            grounds,
            file: self.notes.file.to_owned(),
        };
        Some((id?, topic))
    }

    fn kinds(&mut self, fields: &mut Fields<'_, '_>, key: &'static str) -> Vec<CauseKind> {
        let words = fields.texts(key, &mut self.notes);
        let kinds = words.iter();
        kinds
            .filter_map(|word| self.choose(key, word, &KINDS))
            .collect()
    }
}

impl Found<'_> {
    /// A topic takes in at least one cause that a helper can be asked to find: a root or a group is never drawn by itself.
    pub(super) fn topics(&mut self) {
        let base = self.base();
        let drawn = |topic: &Topic| {
            base.causes.iter().any(|(id, cause)| {
                cause.kind != CauseKind::Root && cause.any_of.is_empty() && base.in_topic(topic, id)
            })
        };
        let empty: Vec<String> = base
            .topics
            .iter()
            .filter(|(_, topic)| !drawn(topic))
            .map(|(id, _)| id.to_string())
            .collect();
        for id in empty {
            self.at_entry(
                ProblemCode::EmptyTopic,
                (Kind::Topic, &id),
                format!("the topic `{id}` takes in no cause"),
                "nothing to practise",
                Some(
                    "name kinds or causes; roots and groups are not drawn by themselves".to_owned(),
                ),
            );
        }
    }
}
