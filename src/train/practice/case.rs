//! A case to practise on, drawn from the model.
//!
//! A species and a stage are drawn evenly. Given that so many causes are there, one is each cause with a chance in
//! proportion to its odds in this setting, which is what the network says of an occasion with exactly that many causes.
//! The world is drawn by [`grower::world`], and each reading is what a meter would show: the value there, off by a normal
//! error of the meter's standard deviation. Then one or two seen signs are told, at least one for each cause. What the
//! network believes after these is the right confidence only as far as such a case is one among those it was made for: a
//! case without a complaint, or with none of a cause's signs seen, is never put, so that causes are there a little more
//! often than the network says.

use crate::engine::facts::FactBase;
use crate::engine::id::{CauseId, SignId};
use crate::engine::knowledge::{Finding, KnowledgeBase, Topic};
use crate::engine::network::Network;
use crate::engine::observations::{Answer, Observations};
use crate::engine::quantity::Measured;
use crate::engine::reasoner::Reasoner;
use crate::train::chance::Chance;
use crate::train::grower;
use crate::train::practice::level::{Hardness, Level, hardness};

/// How many draws are made for one case before the nearest is taken.
///
/// judgement: a level that fewer than one draw in twenty reaches is not there under this topic.
const MOST_DRAWS: usize = 40;

/// Chance of a second cause where no level is asked for, or the tricky one.
///
/// judgement: a helper meets one trouble at a time mostly, and must have met two at once.
const TWO_CAUSES: f64 = 0.25;
/// The same for a tricky case.
///
/// judgement: half of the tricky cases are tricky for another reason.
const TWO_CAUSES_TRICKY: f64 = 0.5;
/// Chance that a case with one cause begins with two signs.
///
/// judgement: as often as not.
const TWO_SIGNS: f64 = 0.5;

/// What is to be drawn.
#[derive(Debug, Clone, Copy, Default)]
pub struct Wish<'k> {
    /// How hard it should be.
    pub level: Option<Level>,
    /// The first cause is one of this topic.
    pub topic: Option<&'k Topic>,
    /// The first cause is one of these two, and what is told first is shown by both where that can be.
    pub pair: Option<(&'k CauseId, &'k CauseId)>,
}

/// A case to practise on.
#[derive(Debug, Clone, PartialEq)]
pub struct PracticeCase {
    /// The seed it was drawn with; equal seeds, wishes and knowledge give equal cases.
    pub seed: u64,
    /// What the helper is told: species, stage, and the signs complained of.
    pub opening: Observations,
    /// The signs complained of.
    pub complaints: Vec<SignId>,
    /// The causes that are there, without what stands behind them.
    pub causes: Vec<CauseId>,
    /// The same with what stands behind them, in the order of the knowledge.
    pub there: Vec<CauseId>,
    /// All that can be looked at.
    pub world: Observations,
    /// How hard it is.
    pub hardness: Hardness,
}

/// Draws a case; `None` where the knowledge has none like it.
pub fn draw(reasoner: &Reasoner<'_>, wish: Wish<'_>, seed: u64) -> Option<PracticeCase> {
    let mut chance = Chance::new(seed);
    let mut nearest: Option<PracticeCase> = None;
    for _ in 0..MOST_DRAWS {
        let Some(case) = once(reasoner, wish, seed, &mut chance) else {
            continue;
        };
        let apart = |case: &PracticeCase| match wish.level {
            Some(level) => case.hardness.level.apart(level),
            None => 0,
        };
        if apart(&case) == 0 {
            return Some(case);
        }
        if nearest
            .as_ref()
            .is_none_or(|best| apart(&case) < apart(best))
        {
            nearest = Some(case);
        }
    }
    nearest
}

fn once(
    reasoner: &Reasoner<'_>,
    wish: Wish<'_>,
    seed: u64,
    chance: &mut Chance,
) -> Option<PracticeCase> {
    let base = reasoner.base();
    let setting = setting(base, chance);
    let facts = FactBase::new(base, &reasoner.rulebook, &setting);
    let network = Network::new(reasoner.setting(&facts));
    let odds: Vec<(&CauseId, f64)> = network
        .causes
        .iter()
        .zip(&network.priors)
        .map(|(&place, &prior)| (reasoner.cause_id(place), prior / (1.0 - prior)))
        .collect();
    let wanted: Vec<(&CauseId, f64)> = odds
        .iter()
        .copied()
        .filter(|(id, _)| match (wish.pair, wish.topic) {
            (Some((one, other)), _) => *id == one || *id == other,
            (None, Some(topic)) => base.in_topic(topic, id),
            (None, None) => true,
        })
        // Of a pair, either is as likely: it is the difference that is practised.
        .map(|(id, odds)| (id, if wish.pair.is_some() { 1.0 } else { odds }))
        .collect();
    let first = one_of(&wanted, chance)?;
    let mut causes = vec![first.clone()];
    let second = match wish.level {
        None => TWO_CAUSES,
        Some(Level::Tricky) => TWO_CAUSES_TRICKY,
        Some(Level::Plain | Level::Middling) => 0.0,
    };
    if wish.pair.is_none() && chance.happens(second) {
        let rest: Vec<(&CauseId, f64)> = odds.into_iter().filter(|(id, _)| *id != first).collect();
        causes.extend(one_of(&rest, chance).cloned());
    }
    let drawn = grower::world(reasoner, &setting, &causes, chance);
    let mut world = drawn.told;
    measured(base, &mut world, chance);
    let complaints = complaints(reasoner, wish, &causes, &world, chance)?;
    let mut opening = setting;
    for sign in &complaints {
        opening.signs.insert(sign.clone(), Answer::Yes);
    }
    let hardness = hardness(reasoner, &opening, &world, &causes);
    Some(PracticeCase {
        seed,
        opening,
        complaints,
        causes,
        there: drawn.there,
        world,
        hardness,
    })
}

/// A species and a stage, as far as the knowledge has any.
fn setting(base: &KnowledgeBase, chance: &mut Chance) -> Observations {
    let named: Vec<_> = base
        .species
        .iter()
        .filter(|(_, one)| !one.default)
        .collect();
    let stages: Vec<_> = base.stages.keys().collect();
    let mut setting = Observations::default();
    if !named.is_empty() {
        setting.species = Some(named[chance.place(named.len())].0.clone());
    }
    if !stages.is_empty() {
        setting.stage = Some(stages[chance.place(stages.len())].clone());
    }
    setting
}

/// One of these, each in proportion to its weight; `None` of none.
fn one_of<'a>(weighed: &[(&'a CauseId, f64)], chance: &mut Chance) -> Option<&'a CauseId> {
    let all: f64 = weighed.iter().map(|(_, weight)| weight).sum();
    let mut left = chance.share() * all;
    for (id, weight) in weighed {
        left -= weight;
        if left < 0.0 {
            return Some(id);
        }
    }
    weighed.last().map(|(id, _)| *id)
}

/// Makes of every value what a meter would show.
///
/// # Source
/// Box G.E.P., Muller M.E. 1958. A note on the generation of random normal deviates. Annals of Mathematical Statistics
/// 29(2):610-611.
fn measured(base: &KnowledgeBase, world: &mut Observations, chance: &mut Chance) {
    for (id, value) in &mut world.readings {
        let Some(reading) = base.readings.get(id) else {
            continue;
        };
        let spread = reading.tolerance + reading.tolerance_share * value.value.abs();
        let size = libm::sqrt(-2.0 * libm::log(1.0 - chance.share()));
        let normal = size * libm::cos(2.0 * std::f64::consts::PI * chance.share());
        let (least, most) = reading.believable;
        let shown = (value.value + normal * spread).clamp(least, most);
        *value = Measured {
            value: to_the_digit(shown, spread),
            tolerance: None,
        };
    }
}

/// The value to the digit that a meter with such a spread shows.
fn to_the_digit(value: f64, spread: f64) -> f64 {
    if spread <= 0.0 {
        return value;
    }
    let digit = libm::pow(10.0, libm::floor(libm::log10(spread)));
    let rounded = libm::round(value / digit) * digit;
    // Powers of ten below 1 leave crumbs.
    libm::round(rounded * 1e6) / 1e6
}

/// One seen sign for each cause, and a second one now and then; `None` where a cause shows none.
fn complaints(
    reasoner: &Reasoner<'_>,
    wish: Wish<'_>,
    causes: &[CauseId],
    world: &Observations,
    chance: &mut Chance,
) -> Option<Vec<SignId>> {
    let mut told: Vec<SignId> = Vec::new();
    for cause in causes {
        let shown = seen_of(reasoner, cause, world);
        let other = wish
            .pair
            .map(|(one, other)| if one == cause { other } else { one });
        let of_both: Vec<(SignId, bool)> = match other {
            Some(other) => shown
                .iter()
                .filter(|(sign, _)| shows(reasoner, other, sign))
                .cloned()
                .collect(),
            None => Vec::new(),
        };
        let from = if of_both.is_empty() { shown } else { of_both };
        // What growers name first, where anything of it is there.
        let named_first: Vec<&SignId> = from
            .iter()
            .filter(|(_, opening)| *opening)
            .map(|(sign, _)| sign)
            .collect();
        let mut from: Vec<&SignId> = if named_first.is_empty() {
            from.iter().map(|(sign, _)| sign).collect()
        } else {
            named_first
        };
        chance.shuffle(&mut from);
        let count = if causes.len() == 1 && chance.happens(TWO_SIGNS) {
            2
        } else {
            1
        };
        if from.is_empty() {
            return None;
        }
        for sign in from.into_iter().take(count) {
            if !told.contains(sign) {
                told.push(sign.clone());
            }
        }
    }
    Some(told)
}

/// The signs of a cause that are seen in the world, with whether growers name them first.
fn seen_of(reasoner: &Reasoner<'_>, cause: &CauseId, world: &Observations) -> Vec<(SignId, bool)> {
    let base = reasoner.base();
    let seen = world
        .signs
        .iter()
        .filter(|(_, answer)| **answer == Answer::Yes);
    seen.filter(|(sign, _)| shows(reasoner, cause, sign))
        .map(|(sign, _)| {
            let opening = base
                .signs
                .get(sign)
                .is_some_and(|one| one.opening.is_some());
            (sign.clone(), opening)
        })
        .collect()
}

/// Whether a cause brings a sign about more often than it is seen anyway.
fn shows(reasoner: &Reasoner<'_>, cause: &CauseId, sign: &SignId) -> bool {
    let base = reasoner.base();
    let Some(place) = base.causes.get_index_of(cause) else {
        return false;
    };
    let finding = Finding::Sign(sign.clone());
    let anyway = base.anyway(&finding, None);
    let links = reasoner.links.of(&finding).iter();
    links
        .filter(|link| link.cause == place)
        .any(|link| link.share > anyway)
}
