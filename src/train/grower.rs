//! A grower whose trouble is known, and who can look at everything: what every check would show, drawn once.
//!
//! The world is drawn from the model. The causes named are there and nothing else is. Then every sign that nobody
//! recorded is absent with probability `(1 - anyway) * product over present causes of (1 - share)`, as the network has
//! it. Of a question that allows one answer at most one sign is there. Signs of one family hang on one draw in so many
//! cases as the knowledge's copy rate says, each keeping its own share. A reading is one draw as well: how far up or
//! down the scale it lies, so that it passes its limits in the order in which they lie, each in its own share of cases.
//! The roots of a condition that is there come from the roots' own network.

use std::collections::{HashMap, HashSet};

use crate::engine::condition::{Side, Truth};
use crate::engine::facts::FactBase;
use crate::engine::id::{CauseId, FamilyId, ReadingId, SignId};
use crate::engine::knowledge::{Finding, KnowledgeBase, Reading};
use crate::engine::network::{Network, RootPart, Setting};
use crate::engine::observations::{Answer, Observations};
use crate::engine::quantity::Measured;
use crate::engine::question::exclusive;
use crate::engine::reasoner::Reasoner;
use crate::engine::weigh::weigh;
use crate::train::chance::Chance;

/// How far beyond a limit a reading is taken that has passed it, and how far within if it has not, as a multiple of the
/// meter's standard deviation.
///
/// judgement: clearly beyond what the meter could have got wrong, but not far out.
const CLEARLY: f64 = 2.0;

/// What is the case, and what a grower finds who looks at everything.
#[derive(Debug, Clone, PartialEq)]
pub struct World {
    /// All that can be told.
    pub told: Observations,
    /// The causes and roots that are there, in the order of the knowledge.
    pub there: Vec<CauseId>,
}

/// Draws what a grower would find who looks at everything: what is recorded as it is recorded, and the rest from the
/// model, with exactly these causes or roots there.
///
/// What rules derive from the recorded facts is not looked at; a sign that cannot be there, as far as the world says,
/// is not there.
pub fn world(
    reasoner: &Reasoner<'_>,
    recorded: &Observations,
    present: &[CauseId],
    chance: &mut Chance,
) -> World {
    let base = reasoner.base();
    let facts = FactBase::new(base, &reasoner.rulebook, recorded);
    let setting = reasoner.setting(&facts);
    let network = Network::new(setting);
    let mut there: HashSet<usize> = present
        .iter()
        .filter_map(|cause| base.causes.get_index_of(cause))
        .collect();
    for part in &network.root_parts {
        roots(base, part, &mut there, chance);
    }
    let draw = Draw {
        reasoner,
        setting,
        recorded,
        there,
    };
    let mut world = recorded.clone();
    draw.signs(&mut world, chance);
    for (id, reading) in &base.readings {
        if reading.computed.is_none() && !recorded.readings.contains_key(id) {
            let value = draw.reading(id, reading, chance);
            world.readings.insert(id.clone(), value);
        }
    }
    take_out_what_cannot_be(reasoner, recorded, &mut world);
    let causes = base.causes.keys().enumerate();
    World {
        told: world,
        there: causes
            .filter(|(place, _)| draw.there.contains(place))
            .map(|(_, id)| id.clone())
            .collect(),
    }
}

/// Draws the causes of an occasion of which this much is known, each by how common it is.
pub fn causes(
    reasoner: &Reasoner<'_>,
    recorded: &Observations,
    chance: &mut Chance,
) -> Vec<CauseId> {
    let facts = FactBase::new(reasoner.base(), &reasoner.rulebook, recorded);
    let network = Network::new(reasoner.setting(&facts));
    let drawn: Vec<bool> = network
        .priors
        .iter()
        .map(|&prior| chance.happens(prior))
        .collect();
    let known = network.causes.iter().zip(drawn);
    known
        .filter(|(_, drawn)| *drawn)
        .map(|(&place, _)| reasoner.cause_id(place).clone())
        .collect()
}

/// Draws the roots of a condition that is there, one after the other, each given those before it. A root that is named
/// stays.
fn roots(base: &KnowledgeBase, part: &RootPart, there: &mut HashSet<usize>, chance: &mut Chance) {
    let members = &base.causes[part.condition].any_of;
    let met = there.contains(&part.condition)
        || members.iter().any(|member| {
            let place = base.causes.get_index_of(member);
            place.is_some_and(|place| there.contains(&place))
        });
    if !met {
        return;
    }
    let evidence = part.net.evidence_with_condition();
    let mut priors = part.net.priors().to_vec();
    for (number, root) in part.roots.iter().enumerate() {
        if there.contains(root) {
            priors[number] = 1.0;
        }
    }
    for (number, &root) in part.roots.iter().enumerate() {
        let drawn = chance.happens(weigh(&priors, &evidence).marginals[number]);
        priors[number] = if drawn { 1.0 } else { 0.0 };
        if drawn {
            there.insert(root);
        }
    }
}

/// What cannot be there by the guards of the signs is not there; guards look at what is drawn as well.
fn take_out_what_cannot_be(
    reasoner: &Reasoner<'_>,
    recorded: &Observations,
    world: &mut Observations,
) {
    let base = reasoner.base();
    let facts = FactBase::new(base, &reasoner.rulebook, world);
    for (id, sign) in &base.signs {
        let Some(guard) = &sign.asked_if else {
            continue;
        };
        let truth = guard.truth(&|proposition| facts.truth(&reasoner.rulebook, proposition));
        if truth == Truth::False && !recorded.signs.contains_key(id) {
            world.signs.insert(id.clone(), Answer::No);
        }
    }
}

struct Draw<'a, 'k> {
    reasoner: &'a Reasoner<'k>,
    setting: Setting<'a, 'k>,
    recorded: &'a Observations,
    /// Places of the causes and roots that are there.
    there: HashSet<usize>,
}

impl Draw<'_, '_> {
    /// How often the causes that are there bring a finding about.
    fn share(&self, finding: &Finding) -> f64 {
        let links = self.setting.shown_by(finding).into_iter();
        let absent = links
            .filter(|(cause, _)| self.there.contains(cause))
            .fold(1.0 - self.setting.anyway(finding), |absent, (_, share)| {
                absent * (1.0 - share)
            });
        1.0 - absent
    }

    fn signs(&self, world: &mut Observations, chance: &mut Chance) {
        let base = self.reasoner.base();
        let copies = base.scale.numbers.copy_rate;
        // The place of each family on the line from 0 to 1: a sign is there if its own share lies beyond.
        let mut families: HashMap<&FamilyId, f64> = HashMap::new();
        for (id, answer) in &self.recorded.signs {
            let share = self.share(&Finding::Sign(id.clone()));
            if let Some(family) = base.signs.get(id).and_then(|sign| sign.family.as_ref()) {
                let at = match answer {
                    Answer::Yes => share * chance.share(),
                    Answer::No => share + (1.0 - share) * chance.share(),
                    Answer::Unsure | Answer::Probably => continue,
                };
                families.entry(family).or_insert(at);
            }
        }
        let mut one_of: HashSet<&SignId> = HashSet::new();
        for question in base.questions.values().filter(|question| question.one_of) {
            one_of.extend(&question.signs);
            self.one_of(&question.signs, world, chance);
        }
        for (id, sign) in &base.signs {
            if one_of.contains(id) || self.recorded.signs.contains_key(id) {
                continue;
            }
            let mut at = chance.share();
            if let Some(family) = &sign.family {
                let moves_along = chance.happens(copies);
                let of_family = *families.entry(family).or_insert(at);
                if moves_along {
                    at = of_family;
                }
            }
            let there = at < self.share(&Finding::Sign(id.clone()));
            world.signs.insert(id.clone(), yes_or_no(there));
        }
    }

    /// Draws at most one of these signs.
    fn one_of(&self, signs: &[SignId], world: &mut Observations, chance: &mut Chance) {
        let open: Vec<&SignId> = signs
            .iter()
            .filter(|id| !self.recorded.signs.contains_key(*id))
            .collect();
        let taken = signs
            .iter()
            .any(|id| self.recorded.signs.get(id) == Some(&Answer::Yes));
        let fails: Vec<f64> = open
            .iter()
            .map(|id| 1.0 - self.share(&Finding::Sign((*id).clone())))
            .collect();
        let mut left = chance.share();
        let mut drawn = taken;
        for (id, share) in open.into_iter().zip(exclusive(&fails)) {
            let there = !drawn && left < share;
            left -= share;
            drawn |= there;
            world.signs.insert(id.clone(), yes_or_no(there));
        }
    }

    /// Draws a reading: clearly beyond the limits it passes and clearly within those it does not.
    fn reading(&self, id: &ReadingId, reading: &Reading, chance: &mut Chance) -> Measured {
        let (least, most) = reading.believable;
        let at = chance.share();
        let (mut low, mut high) = (least, most);
        for (finding, _) in self.reasoner.links.iter() {
            let Finding::Reading(comparison) = finding else {
                continue;
            };
            if comparison.reading != *id {
                continue;
            }
            let Some(limit) = self.setting.facts.limit_value(comparison) else {
                continue;
            };
            // The line from 0 to 1 runs up the scale.
            let share = self.share(finding);
            let above = match comparison.side {
                Side::Above => at >= 1.0 - share,
                Side::Below => at >= share,
            };
            if above {
                low = low.max(limit);
            } else {
                high = high.min(limit);
            }
        }
        let value = between(low, high, (least, most), reading);
        Measured {
            value,
            tolerance: None,
        }
    }
}

/// A value between two limits, either of which may be an end of the believable range and then is none.
fn between(low: f64, high: f64, believable: (f64, f64), reading: &Reading) -> f64 {
    let (least, most) = believable;
    let step = |limit: f64| CLEARLY * (reading.tolerance + reading.tolerance_share * limit.abs());
    let value = if low <= least && high >= most {
        // Nothing compares it.
        f64::midpoint(least, most)
    } else if low <= least {
        (high - step(high)).max(f64::midpoint(least, high))
    } else if high >= most {
        (low + step(low)).min(f64::midpoint(low, most))
    } else {
        f64::midpoint(low, high)
    };
    value.clamp(least, most)
}

fn yes_or_no(there: bool) -> Answer {
    if there { Answer::Yes } else { Answer::No }
}

#[cfg(test)]
mod tests;
