//! What a sensor log said, as a case keeps it.

use std::ops::Range;

use indexmap::IndexMap;
use jiff::Timestamp;
use jiff::civil::DateTime;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

use crate::engine::id::{ReadingId, SignId};
use crate::engine::knowledge::{LogFinding, Measure};
use crate::engine::observations::{Evidence, FromLog};
use crate::journal::case::reader::{Reader, Sort};
use crate::knowledge::fields::{At, Fields, as_number, type_name};
use crate::knowledge::problem::ProblemCode;

const SAID: Sort = Sort {
    what: "finding or measure of a log",
    code: ProblemCode::UnknownWord,
    listed: None,
};
const TOLD: Sort = Sort {
    what: "sign or reading",
    code: ProblemCode::UnknownSign,
    listed: Some("signs"),
};

impl Reader<'_, '_, '_> {
    /// One thing that a log said.
    pub(super) fn said_by_log(
        &mut self,
        table: &DeTable<'_>,
        span: Range<usize>,
    ) -> Option<FromLog> {
        let mut fields = Fields::new(table, span, "what a log said").any_order();
        let id = fields.text("id", self.notes);
        let text = fields.text("text", self.notes);
        let from = fields.text("from", self.notes);
        let to = fields.text("to", self.notes);
        let told = fields.texts("told", self.notes);
        let evidence = fields.table_opt("evidence", self.notes);
        fields.finish(self.notes);
        let id = id.filter(|id| self.is_said(id));
        let (from, to) = (
            from.and_then(|one| self.stamp(one)),
            to.and_then(|one| self.stamp(one)),
        );
        let (from, to) = self.in_order(from?, to?)?;
        let told = told.into_iter().filter(|word| self.is_told(word));
        let told = told.map(|(word, _)| word).collect();
        let evidence = evidence.map(|(table, _)| self.evidence_table(table));
        Some(FromLog {
            id: id?.0,
            text: text?.0,
            from,
            to,
            told,
            evidence: evidence.unwrap_or_default(),
        })
    }

    fn is_said(&mut self, word: &At<String>) -> bool {
        let findings = LogFinding::ALL.iter().map(|(_, name)| *name);
        let mut names = findings.chain(Measure::ALL.iter().map(|(_, name)| *name));
        let known = names.clone().any(|name| name == word.0);
        if !known {
            self.unknown(&SAID, word, &mut names);
        }
        known
    }

    fn is_told(&mut self, word: &At<String>) -> bool {
        let base = self.base;
        let name = word.0.as_str();
        let known = base.signs.contains_key(name) || base.readings.contains_key(name);
        if !known {
            let signs = base.signs.keys().map(SignId::as_str);
            let readings = base.readings.keys().map(ReadingId::as_str);
            self.unknown(&TOLD, word, signs.chain(readings));
        }
        known
    }

    /// A time as ISO 8601 has it, to the minute at least, with the moment to compare it by.
    fn stamp(&mut self, (text, at): At<String>) -> Option<(String, i128, Range<usize>)> {
        let shaped = text.len() >= 16
            && text
                .bytes()
                .take(16)
                .enumerate()
                .all(|(place, byte)| match place {
                    4 | 7 => byte == b'-',
                    10 => matches!(byte, b'T' | b' '),
                    13 => byte == b':',
                    _ => byte.is_ascii_digit(),
                });
        let moment = text.parse::<Timestamp>().ok();
        let clock = || {
            let clock = text.parse::<DateTime>().ok()?;
            let from_1970 = clock.duration_since(DateTime::constant(1970, 1, 1, 0, 0, 0, 0));
            Some(from_1970.as_nanos())
        };
        let at_ns = moment.map(Timestamp::as_nanosecond).or_else(clock);
        match at_ns.filter(|_| shaped) {
            Some(at_ns) => Some((text, at_ns, at)),
            None => {
                self.notes.add(
                    ProblemCode::BadReading,
                    at,
                    format!("`{text}` is no time"),
                    "cannot be read",
                    Some("write it like `2026-05-03T14:00:00`".to_owned()),
                );
                None
            }
        }
    }

    fn in_order(
        &mut self,
        from: (String, i128, Range<usize>),
        to: (String, i128, Range<usize>),
    ) -> Option<(String, String)> {
        if from.1 > to.1 {
            self.notes.add(
                ProblemCode::BadReading,
                to.2,
                format!("`{}` lies before `{}`, where it begins", to.0, from.0),
                "ends before it begins",
                Some("`from` comes before `to`".to_owned()),
            );
            return None;
        }
        Some((from.0, to.0))
    }

    fn evidence_table(&mut self, table: &DeTable<'_>) -> IndexMap<String, Evidence> {
        let mut entries: Vec<_> = table.iter().collect();
        entries.sort_by_key(|(key, _)| key.span().start);
        entries
            .into_iter()
            .filter_map(|(key, value)| Some((key.get_ref().to_string(), self.evidence(value)?)))
            .collect()
    }

    fn evidence(&mut self, value: &Spanned<DeValue<'_>>) -> Option<Evidence> {
        let whole = |text: &str| text.replace('_', "").parse().ok();
        let found = match value.get_ref() {
            DeValue::Boolean(flag) => Some(Evidence::Flag(*flag)),
            DeValue::Integer(written) if written.radix() == 10 => {
                whole(written.as_str()).map(Evidence::Count)
            }
            DeValue::String(text) => Some(Evidence::Text(text.to_string())),
            DeValue::Array(items) => Some(Evidence::List(
                items
                    .iter()
                    .filter_map(|item| self.evidence(item))
                    .collect(),
            )),
            DeValue::Table(table) => Some(Evidence::Table(self.evidence_table(table))),
            other => as_number(other)
                .filter(|number| number.is_finite())
                .map(Evidence::Number),
        };
        if found.is_none() && as_number(value.get_ref()).is_some() {
            self.notes.add(
                ProblemCode::OutOfRange,
                value.span(),
                "the evidence is not a finite number".to_owned(),
                "cannot be counted with",
                None,
            );
        } else if found.is_none() {
            self.notes.add(
                ProblemCode::WrongType,
                value.span(),
                format!("the evidence is {}", type_name(value.get_ref())),
                "must be a number, a text, true, false, a list or a table",
                None,
            );
        }
        found
    }
}
