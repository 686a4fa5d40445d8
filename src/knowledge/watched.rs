//! What tells whether an action worked, as far as the program can ask for it: signs, readings, and when to look again.

use crate::engine::id::{ReadingId, SignId};
use crate::engine::knowledge::Watched;
use crate::knowledge::fields::{At, Fields};
use crate::knowledge::problem::ProblemCode;
use crate::knowledge::shape::{Kind, Shape};

/// The units of a span of time, each with its hours.
const UNITS: [(&str, u32); 3] = [("hour", 1), ("day", 24), ("week", 168)];
/// The longest span, in hours.
///
/// judgement: a year; whoever looks later looks at another crop.
const MOST_HOURS: u32 = 365 * 24;

impl Shape<'_, '_> {
    /// What an action says to watch.
    pub fn watched(&mut self, fields: &mut Fields<'_, '_>) -> Watched {
        let signs = self.names(fields, "watch-signs", Kind::Sign, SignId::new);
        let readings = self.names(fields, "watch-readings", Kind::Reading, ReadingId::new);
        let again = fields.text_opt("look-again", &mut self.notes);
        Watched {
            signs,
            readings,
            look_again_hours: again.and_then(|text| self.span_of_time(&text)),
        }
    }

    fn span_of_time(&mut self, (text, at): &At<String>) -> Option<u32> {
        let hours = hours(text);
        if hours.is_none() {
            self.notes.add(
                ProblemCode::OutOfRange,
                at.clone(),
                format!("`{text}` is no span of time to look again after"),
                "from an hour to a year",
                Some("write it like `1 hour`, `2 days` or `3 weeks`".to_owned()),
            );
        }
        hours
    }
}

/// The hours of a span such as `2 days`; `None` where it is none, nought or longer than a year.
fn hours(text: &str) -> Option<u32> {
    let (number, word) = text.split_once(' ')?;
    let number: u32 = number.parse().ok()?;
    let word = word.trim();
    let (_, each) = UNITS
        .iter()
        .find(|(unit, _)| word.strip_suffix('s').unwrap_or(word) == *unit)?;
    number
        .checked_mul(*each)
        .filter(|hours| (1..=MOST_HOURS).contains(hours))
}

#[cfg(test)]
mod tests {
    use super::hours;

    #[test]
    fn spans_of_time_are_read_in_hours() {
        for (text, is) in [
            ("1 hour", Some(1)),
            ("2 days", Some(48)),
            ("3 weeks", Some(504)),
            ("52 weeks", Some(8736)),
            ("53 weeks", None),
            ("0 days", None),
            ("-1 days", None),
            ("4294967295 weeks", None),
            ("two days", None),
            ("2 d", None),
            ("2", None),
        ] {
            assert_eq!(hours(text), is, "{text}");
        }
    }
}
