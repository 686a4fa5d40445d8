//! What each answer to a check would do to the causes: exactly, with the answer added to what was told.

use crate::engine::condition::{Comparison, Literal, Proposition};
use crate::engine::diagnosis::Ask;
use crate::engine::id::{CauseId, ReadingId, SignId};
use crate::engine::knowledge::Map;
use crate::engine::observations::{Answer, Observations};
use crate::engine::quantity::Measured;
use crate::engine::reasoner::{Reasoner, Worked};
use crate::engine::rulebook::Atom;

/// The most answers to a measurement that are told apart.
///
/// judgement: low, fitting and high, and one more; nobody reads a longer list for one number.
const MOST_BANDS: usize = 4;
/// A cause is named if an answer moves its confidence by at least this much.
const LEAST_SHIFT: f64 = 0.01;

/// A possible answer.
#[derive(Debug, Clone, PartialEq)]
pub enum Possible {
    /// The sign asked for is there, or not.
    Sign(Answer),
    /// This one of several signs is there, and none of the others.
    Only(SignId),
    /// None of several signs is there.
    None,
    /// The reading lies between these, as weighed for one value in between.
    Between {
        /// The lower end; `None` for no end.
        from: Option<f64>,
        /// The upper end; `None` for no end.
        to: Option<f64>,
        /// The value that was weighed.
        value: f64,
    },
}

/// What a possible answer would do.
#[derive(Debug, Clone, PartialEq)]
pub struct IfAnswered {
    /// The answer.
    pub answer: Possible,
    /// The causes it would move, the most moved first.
    pub shifts: Vec<Shift>,
}

/// A cause that an answer would move.
#[derive(Debug, Clone, PartialEq)]
pub struct Shift {
    /// Which cause.
    pub cause: CauseId,
    /// Its confidence now.
    pub now: f64,
    /// Its confidence with the answer.
    pub then: f64,
}

impl Reasoner<'_> {
    /// What each answer to a check would do to the causes.
    pub fn if_answered(&self, observations: &Observations, ask: &Ask) -> Vec<IfAnswered> {
        self.if_answered_after(&self.work(observations), ask)
    }

    /// The same, where what was told is worked out already.
    pub(crate) fn if_answered_after(&self, before: &Worked<'_>, ask: &Ask) -> Vec<IfAnswered> {
        let observations = before.facts.observations();
        match ask {
            Ask::Sign(sign) => [Answer::Yes, Answer::No]
                .into_iter()
                .map(|answer| {
                    let mut told = observations.clone();
                    told.signs.insert(sign.clone(), answer);
                    self.answered(before, &self.work(&told), Possible::Sign(answer))
                })
                .collect(),
            Ask::Question(_, signs) => {
                let none = std::iter::once(None);
                let one = signs.iter().map(Some);
                one.chain(none)
                    .map(|there| {
                        let mut told = observations.clone();
                        for sign in signs {
                            let answer = if Some(sign) == there {
                                Answer::Yes
                            } else {
                                Answer::No
                            };
                            told.signs.insert(sign.clone(), answer);
                        }
                        let answer = there.map_or(Possible::None, |id| Possible::Only(id.clone()));
                        self.answered(before, &self.work(&told), answer)
                    })
                    .collect()
            }
            Ask::Reading(id) => self.if_read(observations, before, id),
        }
    }

    fn answered(&self, before: &Worked<'_>, after: &Worked<'_>, answer: Possible) -> IfAnswered {
        let sure = |map: &Map<CauseId, f64>, id: &CauseId| map.get(id).copied().unwrap_or(0.0);
        let mut shifts: Vec<Shift> = self
            .base
            .causes
            .iter()
            // A group is as sure as its members together, and those are named themselves.
            .filter(|(_, cause)| cause.any_of.is_empty())
            .map(|(id, _)| id)
            .filter(|&id| before.heard.contains_key(id) || after.heard.contains_key(id))
            .map(|id| Shift {
                cause: id.clone(),
                now: sure(&before.confidence, id),
                then: sure(&after.confidence, id),
            })
            .filter(|shift| shift.by().abs() >= LEAST_SHIFT)
            .collect();
        shifts.sort_by(|a, b| {
            b.by()
                .abs()
                .total_cmp(&a.by().abs())
                .then_with(|| a.cause.cmp(&b.cause))
        });
        IfAnswered { answer, shifts }
    }

    /// The answers to a measurement: a value below the least limit that anything compares it with, one between every
    /// two, and one above the greatest; those that come to much the same are taken together.
    fn if_read(
        &self,
        observations: &Observations,
        before: &Worked<'_>,
        id: &ReadingId,
    ) -> Vec<IfAnswered> {
        let Some(reading) = self.base.readings.get(id) else {
            return Vec::new();
        };
        let limits = self.limits_of(before, id);
        let (Some(&first), Some(&last)) = (limits.first(), limits.last()) else {
            return Vec::new();
        };
        let clear = |limit: f64| 3.0 * (reading.tolerance + reading.tolerance_share * limit.abs());
        let (least, most) = reading.believable;
        let mut values = vec![(first - clear(first)).max((least + first) / 2.0)];
        values.extend(limits.windows(2).map(|pair| (pair[0] + pair[1]) / 2.0));
        values.push((last + clear(last)).min((most + last) / 2.0));
        let mut bands: Vec<IfAnswered> = values
            .iter()
            .enumerate()
            .map(|(number, &value)| {
                let mut told = observations.clone();
                let measured = Measured {
                    value,
                    tolerance: None,
                };
                told.readings.insert(id.clone(), measured);
                let answer = Possible::Between {
                    from: number.checked_sub(1).map(|below| limits[below]),
                    to: limits.get(number).copied(),
                    value,
                };
                self.answered(before, &self.work(&told), answer)
            })
            .collect();
        while bands.len() > 1 {
            let alike: Vec<f64> = bands
                .windows(2)
                .map(|pair| difference(&pair[0], &pair[1]))
                .collect();
            let closest = (0..alike.len()).min_by(|&a, &b| alike[a].total_cmp(&alike[b]));
            let Some(at) = closest.filter(|&at| bands.len() > MOST_BANDS || alike[at] < ALIKE)
            else {
                break;
            };
            let upper = bands.remove(at + 1);
            bands[at] = together(&bands[at], &upper);
        }
        bands
    }

    /// Every limit that a rule or link compares a reading with, from small to large.
    fn limits_of(&self, worked: &Worked<'_>, id: &ReadingId) -> Vec<f64> {
        let value = |comparison: &Comparison| worked.facts.limit_value(comparison);
        let mut limits: Vec<f64> = self
            .rulebook
            .atoms()
            .filter_map(|(_, atom)| match atom {
                Atom::Literal(Literal { proposition, .. }) => Some(proposition.clone()),
                _ => None,
            })
            .chain(self.links.iter().map(|(finding, _)| finding.proposition()))
            .filter_map(|proposition| match proposition {
                Proposition::Reading(comparison) if comparison.reading == *id => value(&comparison),
                _ => None,
            })
            .collect();
        limits.sort_by(f64::total_cmp);
        limits.dedup();
        limits
    }
}

/// Two answers that differ by less than this in every cause come to much the same.
///
/// judgement: a smaller difference hardly changes a word of the confidence scale.
const ALIKE: f64 = 0.05;

/// The greatest difference that two answers make to one cause.
fn difference(one: &IfAnswered, other: &IfAnswered) -> f64 {
    let by = |answered: &IfAnswered, cause: &CauseId| {
        let found = answered.shifts.iter().find(|shift| shift.cause == *cause);
        found.map_or(0.0, Shift::by)
    };
    one.shifts
        .iter()
        .chain(&other.shifts)
        .map(|shift| (by(one, &shift.cause) - by(other, &shift.cause)).abs())
        .fold(0.0, f64::max)
}

/// Two neighbouring answers as one, weighed as the one that moves more.
fn together(lower: &IfAnswered, upper: &IfAnswered) -> IfAnswered {
    let moves = |one: &IfAnswered| one.shifts.first().map_or(0.0, |shift| shift.by().abs());
    let stronger = if moves(upper) > moves(lower) {
        upper
    } else {
        lower
    };
    let answer = match (&lower.answer, &upper.answer, &stronger.answer) {
        (
            Possible::Between { from, .. },
            Possible::Between { to, .. },
            Possible::Between { value, .. },
        ) => Possible::Between {
            from: *from,
            to: *to,
            value: *value,
        },
        _ => stronger.answer.clone(),
    };
    IfAnswered {
        answer,
        shifts: stronger.shifts.clone(),
    }
}

impl Shift {
    /// By how much the confidence would rise; negative where it would fall.
    pub fn by(&self) -> f64 {
        self.then - self.now
    }
}
