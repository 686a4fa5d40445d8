//! What was done in the rounds and when, what is due again, and what a diagnosis learns from it.

use std::fs;
use std::io;
use std::path::Path;

use jiff::ToSpan;
use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use crate::engine::condition::Truth;
use crate::engine::facts::FactBase;
use crate::engine::id::RoundId;
use crate::engine::knowledge::{KnowledgeBase, Round};
use crate::engine::observations::Observations;
use crate::engine::quantity::Measured;
use crate::engine::rulebook::Rulebook;
use crate::journal::store::StoreError;
use crate::journal::store::file::{create_folder, write_whole};
use crate::journal::store::lock::Lock;

/// The file within the data folder.
const NAME: &str = "rounds.toml";
/// What it says it is.
const SCHEMA: &str = "blockside.rounds/1";

/// What was done, in the order in which it was written down.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Rounds {
    done: Vec<Done>,
}

/// Something that was done on a day.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Done {
    /// Its id, which later knowledge may not have any more.
    pub what: String,
    /// When.
    pub on: Date,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Written {
    schema: String,
    #[serde(default)]
    done: Vec<Done>,
}

/// Something that is due again, or will be.
#[derive(Debug, Clone, PartialEq)]
pub struct Due<'k> {
    /// Which.
    pub id: &'k RoundId,
    /// What it says.
    pub round: &'k Round,
    /// When it was done last; never, as far as was written down, where there is nothing.
    pub last: Option<Date>,
    /// When it is due: on the day asked about where it was never done.
    pub on: Date,
}

impl Due<'_> {
    /// Days from today until it is due; none or less where it is due.
    pub fn in_days(&self, today: Date) -> i32 {
        days_between(today, self.on)
    }
}

/// Whole days from one day to another.
pub fn days_between(from: Date, to: Date) -> i32 {
    // Both are days of this calendar, at most some thousand years apart.
    from.until(to).map_or(0, |span| span.get_days())
}

impl Rounds {
    /// Reads what was written down; nothing where there is no file.
    ///
    /// # Errors
    /// Where the file is there and cannot be read or understood.
    pub fn read(data: &Path) -> Result<Self, StoreError> {
        let path = data.join(NAME);
        let text = match fs::read_to_string(&path) {
            Ok(text) => text,
            Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(Self::default()),
            Err(error) => return Err(StoreError::reading(&path, error)),
        };
        Self::parse(&text).map_err(|why| {
            StoreError::reading(&path, io::Error::new(io::ErrorKind::InvalidData, why))
        })
    }

    /// Reads the text of the file.
    ///
    /// # Errors
    /// What cannot be understood in it.
    pub fn parse(text: &str) -> Result<Self, String> {
        let written: Written = toml::from_str(text).map_err(|error| error.message().to_owned())?;
        if written.schema != SCHEMA {
            return Err(format!("it does not begin with `schema = \"{SCHEMA}\"`"));
        }
        Ok(Self { done: written.done })
    }

    /// The text of the file.
    pub fn to_toml(&self) -> String {
        let written = Written {
            schema: SCHEMA.to_owned(),
            done: self.done.clone(),
        };
        toml::to_string(&written).expect("texts and days can always be written")
    }

    /// Writes down that these were done on a day, with what was written down before.
    ///
    /// # Errors
    /// Where another process is writing for too long, or it cannot be read or written.
    pub fn note(data: &Path, what: &[RoundId], on: Date) -> Result<Self, StoreError> {
        create_folder(data).map_err(|error| StoreError::writing(data, error))?;
        let _lock = Lock::take(data)?;
        let mut rounds = Self::read(data)?;
        for id in what {
            let done = Done {
                what: id.to_string(),
                on,
            };
            // Told twice, it was still done once.
            if !rounds.done.contains(&done) {
                rounds.done.push(done);
            }
        }
        let path = data.join(NAME);
        write_whole(&path, &rounds.to_toml(), true)
            .map_err(|error| StoreError::writing(&path, error))?;
        Ok(rounds)
    }

    /// What was done, in the order in which it was written down.
    pub fn done(&self) -> &[Done] {
        &self.done
    }

    /// When something was done last; days that are still to come, as after the clock was set back, do not count.
    pub fn last(&self, id: &RoundId, today: Date) -> Option<Date> {
        self.done
            .iter()
            .filter(|done| done.what == id.as_str() && done.on <= today)
            .map(|done| done.on)
            .max()
    }

    /// Everything that belongs to the rounds of this chamber, what is due first; of equals, in the order of the
    /// knowledge. What cannot be there, by what is known of the chamber, is left out.
    pub fn due<'k>(
        &self,
        base: &'k KnowledgeBase,
        known: &Observations,
        today: Date,
    ) -> Vec<Due<'k>> {
        let rulebook = Rulebook::new(base);
        let facts = FactBase::new(base, &rulebook, known);
        let belongs = |round: &Round| {
            round.asked_if.as_ref().is_none_or(|condition| {
                condition.truth(&|proposition| facts.truth(&rulebook, proposition)) != Truth::False
            })
        };
        let mut due: Vec<Due<'k>> = base
            .rounds
            .iter()
            .filter(|(_, round)| belongs(round))
            .map(|(id, round)| {
                let last = self.last(id, today);
                let again = |last: Date| {
                    last.checked_add(i64::from(round.every_days).days())
                        .unwrap_or(Date::MAX)
                };
                Due {
                    id,
                    round,
                    last,
                    on: last.map_or(today, again),
                }
            })
            .collect();
        due.sort_by_key(|one| one.on);
        due
    }

    /// Adds the days since something was done to what is told, where nobody told them on this occasion.
    pub fn feed(&self, base: &KnowledgeBase, told: &mut Observations, today: Date) {
        for (id, round) in &base.rounds {
            let (Some(reading), Some(last)) = (&round.feeds, self.last(id, today)) else {
                continue;
            };
            if told.readings.contains_key(reading) {
                continue;
            }
            let measured = Measured {
                value: f64::from(days_between(last, today)),
                tolerance: None,
            };
            told.readings.insert(reading.clone(), measured);
            told.from_rounds.insert(reading.to_string());
        }
    }
}
