//! Which reading a number is.

mod usual;

use crate::describe::amount::{Amount, amounts};
use crate::describe::effort::look;
use crate::describe::lexicon::{Lexicon, Target};
use crate::describe::matching::{Match, Says};
use crate::describe::scope::{Hedge, Mode, State};
use crate::describe::sentence::Laid;
use crate::describe::token::Gap;
use crate::describe::told::Why;
use crate::engine::id::ReadingId;
use crate::engine::knowledge::{KnowledgeBase, WordClass};
use crate::engine::quantity::{Measured, Unit, parse_reading};

/// A reading that was told, or a number that is none.
pub(super) struct Told {
    /// The units of the number and of what names it.
    pub units: Vec<usize>,
    /// The place of the number with its name.
    pub span: std::ops::Range<usize>,
    pub outcome: Result<(ReadingId, Measured), Why>,
    /// The phrase that names it; none where its unit does.
    pub phrase: Option<usize>,
    pub hedged: Option<(Hedge, usize)>,
}

/// How many words may stand between a number and its name.
const FARTHEST: usize = 6;

pub(super) struct Numbers<'a> {
    pub base: &'a KnowledgeBase,
    pub lexicon: &'a Lexicon,
    pub laid: &'a Laid,
    pub states: &'a [State],
    /// The names of readings that were found, in order of place; none that is part of a longer one.
    pub names: &'a [&'a Match],
    /// Units taken by other phrases, numbers among them.
    pub taken: &'a [bool],
    /// Units that name a species.
    pub named: &'a [bool],
}

impl Numbers<'_> {
    /// Every number of the text that no phrase has taken.
    pub fn read(&self, text: &str) -> Vec<Told> {
        let mut told = Vec::new();
        for amount in amounts(text, self.laid) {
            if amount.units.clone().any(|at| self.taken[at]) {
                continue;
            }
            told.extend(self.one(text, &amount));
        }
        for name in self.names.iter().filter(|name| name.ordinal.is_some()) {
            told.push(self.ordinal(name));
        }
        told
    }

    fn reading_of(&self, name: &Match) -> Option<&ReadingId> {
        match &self.lexicon.entries[self.lexicon.phrases[name.phrase].entry].target {
            Target::Reading(id) => Some(id),
            _ => None,
        }
    }

    /// "Third flush": a place in a row.
    fn ordinal(&self, name: &Match) -> Told {
        let first = name.units[0];
        let span = self.laid.units[first].span.start
            ..self.laid.units[name.units[name.units.len() - 1]].span.end;
        let state = &self.states[first];
        let after = first
            .checked_sub(1)
            .is_some_and(|at| self.laid.units[at].is(WordClass::Ordering));
        let part = self.laid.parts[self.laid.places[first].part].1.clone();
        let after = after
            || part
                .clone()
                .any(|at| self.laid.units[at].is(WordClass::Was));
        let value = name.ordinal.unwrap_or_default();
        let outcome = match (name.says, self.reading_of(name)) {
            (Says::No(mode), _) => Err(why(mode)),
            _ if after => Err(Why::Past),
            (Says::Holds, Some(id)) if state.hedged.is_none() => self.believable(
                id,
                Measured {
                    value,
                    tolerance: None,
                },
            ),
            _ => Err(Why::Doubtful(Vec::new())),
        };
        Told {
            units: name.units.clone(),
            span,
            outcome,
            phrase: Some(name.phrase),
            hedged: None,
        }
    }

    fn one(&self, text: &str, amount: &Amount) -> Option<Told> {
        let name = self.name_of(amount);
        // A number word without unit and name ("two misters") is no number that anybody asks for.
        if !amount.digits && amount.kind.is_none() && name.is_none() {
            return None;
        }
        let counted = self.counted(amount);
        let mut units: Vec<usize> = amount.units.clone().collect();
        let mut span = amount.span.clone();
        if let Some(name) = name {
            units.extend(&name.units);
            let first = &self.laid.units[name.units[0]].span;
            let last = &self.laid.units[name.units[name.units.len() - 1]].span;
            span = span.start.min(first.start)..span.end.max(last.end);
        }
        let id = name.and_then(|name| self.reading_of(name)).cloned();
        let place = self.placed(amount, id.as_ref());
        let outcome = match self.refused(text, amount, name, place.is_some()) {
            Some(why) => Err(why),
            None => match place
                .or(id)
                .or(counted)
                .map_or_else(|| self.misnamed(amount), |id| Ok(Some(id)))
            {
                Err(why) => Err(why),
                Ok(id) => match id.map_or_else(|| self.by_unit(amount), Ok) {
                    Ok(id) => self.value(amount, &id),
                    Err(why) => Err(why),
                },
            },
        };
        let hedged = units
            .iter()
            .filter_map(|&at| self.states[at].hedged)
            .max_by_key(|(kind, _)| *kind);
        let outcome = match hedged {
            Some((Hedge::Unsure, _)) if outcome.is_ok() => Err(Why::Doubtful(Vec::new())),
            _ => outcome,
        };
        if outcome.is_err() {
            units = amount.units.clone().collect();
            span = amount.span.clone();
        }
        Some(Told {
            units,
            span,
            outcome,
            phrase: name.map(|name| name.phrase),
            hedged,
        })
    }

    /// Why a number is no reading, whatever it may be of.
    fn refused(
        &self,
        text: &str,
        amount: &Amount,
        name: Option<&Match>,
        placed: bool,
    ) -> Option<Why> {
        let state = &self.states[amount.units.start];
        // How long ago something was is told in the past.
        let ago = state.mode == Mode::Past
            && name.is_some()
            && amount.kind.is_none_or(|kind| kind == Unit::Hour);
        if state.mode > Mode::Told && !ago {
            return Some(why(state.mode));
        }
        let before = text[..amount.span.start].trim_end();
        let after = text[amount.span.end..].trim_start();
        let sign = before.ends_with(['<', '>', '≤', '≥']) || after.starts_with('+');
        if sign || self.beside(amount, WordClass::Bound, 2) {
            return Some(Why::Bound);
        }
        let part = self.laid.parts[self.laid.places[amount.units.start].part]
            .1
            .clone();
        let statement =
            self.laid.statements[self.laid.places[amount.units.start].statement].clone();
        let here = part.clone().any(|at| {
            self.laid.units[at].is(WordClass::Preposition)
                && self.laid.units[at].is(WordClass::Light)
        });
        let elsewhere = (if here { part } else { statement }).any(|at| {
            self.laid.units[at].is(WordClass::Elsewhere)
                && name.is_none_or(|name| !name.units.contains(&at))
        });
        if elsewhere && !placed {
            return Some(Why::NumberWithoutName);
        }
        let aimed = self.beside(amount, WordClass::Aim, 3);
        if aimed
            && name.is_none_or(|name| {
                !name
                    .units
                    .iter()
                    .any(|&at| self.laid.units[at].is(WordClass::Aim))
            })
        {
            return Some(Why::Supposed);
        }
        let of_a_difference = name.is_some_and(|name| {
            name.units
                .iter()
                .any(|&at| self.laid.units[at].is(WordClass::Difference))
        });
        if !of_a_difference && self.beside(amount, WordClass::Difference, 1) {
            return Some(Why::NumberWithoutName);
        }
        (state.denied.is_some() || state.open).then(|| Why::Doubtful(Vec::new()))
    }

    /// Whether a word of this class stands so near before or right behind a number, in the same statement.
    fn beside(&self, amount: &Amount, class: WordClass, before: usize) -> bool {
        let statement = self.laid.places[amount.units.start].statement;
        let here = |at: usize| {
            self.laid
                .places
                .get(at)
                .is_some_and(|place| place.statement == statement)
                && self.laid.units[at].is(class)
        };
        let mut at = amount.units.start;
        let mut steps = 0;
        while steps < before && at > 0 {
            at -= 1;
            if here(at) {
                return true;
            }
            // Words that say nothing do not keep them apart.
            let empty = self.laid.units[at].is(WordClass::Filler);
            steps += usize::from(!empty);
            if amount.units.start - at > FARTHEST {
                break;
            }
        }
        let next = amount.units.end;
        self.laid
            .units
            .get(next)
            .is_some_and(|unit| unit.gap < Gap::Soft && !unit.is(WordClass::Preposition))
            && here(next)
    }

    /// The name that stands nearest: in the same part rather than another, before the number rather than behind it.
    fn name_of(&self, amount: &Amount) -> Option<&Match> {
        let place = self.laid.places[amount.units.start];
        let near = self
            .names
            .partition_point(|name| name.units[0] + 4 * FARTHEST < amount.units.start);
        self.names[near..]
            .iter()
            .take_while(|name| name.units[0] <= amount.units.end + FARTHEST)
            .inspect(|_| look(1))
            .filter(|name| name.ordinal.is_none() && name.says != Says::Open)
            .filter(|name| self.laid.places[name.units[0]].statement == place.statement)
            .filter(|name| {
                let reading = self
                    .reading_of(name)
                    .and_then(|id| self.base.readings.get(id));
                reading.is_some_and(|reading| {
                    amount.kind.is_none_or(|kind| reading.unit.kind() == kind)
                })
            })
            .filter_map(|name| {
                let (first, last) = (name.units[0], name.units[name.units.len() - 1]);
                let behind = first >= amount.units.end;
                let distance = if behind {
                    first - amount.units.end
                } else {
                    amount.units.start.saturating_sub(last + 1)
                };
                let other = self.laid.places[first].part != place.part;
                let crossed = self.number_between(
                    first.min(amount.units.start),
                    last.max(amount.units.end),
                    amount,
                );
                // A number word alone ("three") is soon a count of something else.
                let doubtful = amount.kind.is_none() && !amount.digits && (other || distance > 2);
                (distance <= FARTHEST && !crossed && !doubtful)
                    .then_some(((other, distance, behind), name))
            })
            .min_by_key(|(key, _)| *key)
            .map(|(_, name)| *name)
    }

    /// Whether another number stands between a number and its name.
    fn number_between(&self, from: usize, to: usize, amount: &Amount) -> bool {
        (from..to).any(|at| !amount.units.contains(&at) && self.laid.units[at].digits)
    }

    fn value(&self, amount: &Amount, id: &ReadingId) -> Result<(ReadingId, Measured), Why> {
        let Some(reading) = self.base.readings.get(id) else {
            return Err(Why::NumberWithoutName);
        };
        match parse_reading(&amount.text, reading.unit) {
            // "Humidity 0.9" may be a share of one.
            Ok(measured)
                if amount.kind.is_none()
                    && reading.unit == Unit::Percent
                    && measured.value <= 1.0 =>
            {
                Err(Why::Doubtful(Vec::new()))
            }
            Ok(measured) => self.believable(id, measured),
            Err(_) if amount.kind.is_some_and(|kind| kind != reading.unit.kind()) => {
                Err(Why::WrongUnit(id.clone()))
            }
            Err(_) => Err(Why::NumberWithoutName),
        }
    }

    fn believable(&self, id: &ReadingId, measured: Measured) -> Result<(ReadingId, Measured), Why> {
        let Some(reading) = self.base.readings.get(id) else {
            return Err(Why::NumberWithoutName);
        };
        let (least, most) = reading.believable;
        if (least..=most).contains(&measured.value) {
            return Ok((id.clone(), measured));
        }
        let show = |value: f64| match reading.unit {
            Unit::Count => value.to_string(),
            unit => format!("{value} {unit}"),
        };
        Err(Why::Impossible {
            reading: id.clone(),
            least: show(least),
            greatest: show(most),
        })
    }
}

/// The reason that a mode is.
pub(super) fn why(mode: Mode) -> Why {
    match mode {
        Mode::Told => Why::Unknown,
        Mode::Past => Why::Past,
        Mode::Supposed => Why::Supposed,
        Mode::Asked => Why::Asked,
    }
}
