//! Asks for a measurement: a typed line, taken as growers write it.

use std::io;

use jiff::ZonedDateTime;

use crate::cli::ask::answers::{Taken, is_growth, listed};
use crate::cli::ask::terminal::Terminal;
use crate::cli::ask::walk::Reply;
use crate::cli::given::measured;
use crate::cli::growth::{self, Size, speaks_of_sizes};
use crate::engine::id::ReadingId;
use crate::engine::knowledge::Reading;
use crate::engine::quantity::{Unit, parse_reading};

impl Terminal<'_> {
    pub(super) fn reading(&self, id: &ReadingId) -> io::Result<Reply> {
        let Some(reading) = self.base.readings.get(id) else {
            return Ok(Reply::CannotNow);
        };
        let unit = match reading.unit.symbol() {
            "" => "whole numbers",
            unit => unit,
        };
        let how = match self.sizes.last() {
            _ if !is_growth(reading) => format!("Type the reading in {unit}."),
            Some(size) => format!(
                "It was {size}. Type how far it is across now, as in 19 mm; growth follows from it."
            ),
            None if !self.asides => format!(
                "Type it in {unit}; or two sizes: 12 mm at 2026-05-03 08:00, 19 mm at 2026-05-04 08:00."
            ),
            None => format!(
                "Type it in {unit}; or two sizes: 12 mm at 2026-05-03 08:00, 19 mm at 2026-05-04 08:00; or today's \
                 size alone, as in 12 mm, which is kept for the next look."
            ),
        };
        self.note(&format!(
            "{how} Enter alone: cannot check now. Or type: {}back, enough.",
            if self.asides { "why, so far, " } else { "" }
        ))?;
        loop {
            // What was typed is repeated with what was made of it, not before.
            let typed = self.free("Reading")?;
            match typed.trim() {
                "" | "cannot" => return Ok(Reply::CannotNow),
                "why" if self.asides => return Ok(Reply::Why),
                "so far" if self.asides => return Ok(Reply::SoFar),
                "back" => return Ok(Reply::Back),
                "enough" => return Ok(Reply::Enough),
                typed => match self.taken(reading, typed) {
                    Ok(reply) => return Ok(reply),
                    Err(fault) => {
                        let stop = if fault.ends_with('?') { "" } else { "." };
                        self.note(&format!("{typed}: {fault}{stop} Type it again."))?;
                    }
                },
            }
        }
    }

    /// What was typed as a reading. A size is kept, or gives growth together with one that was told before.
    fn taken(&self, reading: &Reading, typed: &str) -> Result<Reply, String> {
        let size = if !is_growth(reading) {
            None
        } else if speaks_of_sizes(typed) {
            let mut told = growth::sizes(typed)?;
            told.pop().filter(|_| told.is_empty())
        } else if ends_in_a_length(typed) {
            let now = ZonedDateTime::now().datetime();
            Some(Size::read_at(typed, now)?)
        } else {
            None
        };
        let text = match (size, self.sizes.last()) {
            (Some(size), None) if self.asides => return Ok(Reply::Size(size)),
            (Some(size), Some(before)) => listed(&[*before, size]),
            (_, _) => typed.to_owned(),
        };
        let measured = measured(reading, &text)?;
        Ok(Reply::Reading(Taken {
            typed: text,
            measured,
        }))
    }
}

/// Whether a text is a length with its unit, as in `19 mm`, and not a number of them a day.
fn ends_in_a_length(typed: &str) -> bool {
    let bare = typed.trim().parse::<f64>().is_ok();
    !bare && parse_reading(typed, Unit::Centimetre).is_ok()
}
