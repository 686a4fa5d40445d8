//! Looking at a case: what a check finds, and which checks are offered.

use crate::engine::checks::CheckWorth;
use crate::engine::diagnosis::Ask;
use crate::engine::id::SignId;
use crate::engine::knowledge::KnowledgeBase;
use crate::engine::observations::{Answer, Observations};
use crate::engine::quantity::Measured;
use crate::train::chance::Chance;

/// How many of the offered checks are telling ones: the best, and others out of the next few.
///
/// judgement: enough that the best is not the only sensible line, few enough to be read at a glance.
const TELLING: usize = 3;
/// Out of how many of the next best the others are taken.
const NEXT_BEST: usize = 6;
/// How many of the offered checks tell little.
///
/// judgement: as many again and one more, so that picking blindly costs something.
const POOR: usize = 4;
/// A check tells little where it tells at most this share of what the best one does.
///
/// judgement: four such checks would not make up for the best.
const POOR_SHARE: f64 = 0.25;

/// What a check found.
#[derive(Debug, Clone, PartialEq)]
pub enum Found {
    /// Whether the sign is there.
    Sign(bool),
    /// Which of the signs asked for are there.
    Which(Vec<SignId>),
    /// What the meter shows.
    Reading(Measured),
    /// The world has nothing to say of it.
    Nothing,
}

/// What a check finds in a world.
pub fn look(world: &Observations, ask: &Ask) -> Found {
    let there = |sign: &SignId| world.signs.get(sign) == Some(&Answer::Yes);
    match ask {
        Ask::Sign(sign) => Found::Sign(there(sign)),
        Ask::Question(_, signs) => {
            Found::Which(signs.iter().filter(|sign| there(sign)).cloned().collect())
        }
        Ask::Reading(reading) => match world.readings.get(reading) {
            Some(measured) => Found::Reading(*measured),
            None => Found::Nothing,
        },
    }
}

/// What a check finds, written down among what was seen.
pub fn reveal(
    base: &KnowledgeBase,
    world: &Observations,
    ask: &Ask,
    seen: &mut Observations,
) -> Found {
    let found = look(world, ask);
    let answer = |holds: bool| if holds { Answer::Yes } else { Answer::No };
    match (ask, &found) {
        (Ask::Sign(sign), Found::Sign(holds)) => {
            seen.signs.insert(sign.clone(), answer(*holds));
        }
        (Ask::Question(id, signs), Found::Which(these)) => {
            let one_of = base.questions.get(id).is_some_and(|one| one.one_of);
            for sign in signs {
                // Where one answer rules the others out, that is how it is told elsewhere too.
                if these.contains(sign) || !one_of || these.is_empty() {
                    let holds = these.contains(sign);
                    seen.signs.insert(sign.clone(), answer(holds));
                }
            }
        }
        (Ask::Reading(reading), Found::Reading(measured)) => {
            seen.readings.insert(reading.clone(), *measured);
        }
        _ => {}
    }
    found
}

/// The checks that are offered: the most telling one, some other telling ones, and poor ones, in no order.
///
/// `every` holds all open checks, the most telling first. Equal seeds and turns give equal offers.
pub fn offered(every: &[CheckWorth], seed: u64, turn: usize) -> Vec<Ask> {
    let mut chance = Chance::new(stream(seed, turn));
    let Some(best) = every.first() else {
        return Vec::new();
    };
    let poor_at = every
        .iter()
        .position(|check| check.bits <= best.bits * POOR_SHARE)
        .unwrap_or(every.len())
        .max(1);
    let mut next: Vec<&CheckWorth> = every[1..poor_at].iter().take(NEXT_BEST).collect();
    chance.shuffle(&mut next);
    let mut poor: Vec<&CheckWorth> = every[poor_at..].iter().collect();
    chance.shuffle(&mut poor);
    let mut offered = vec![best.ask.clone()];
    offered.extend(
        next.into_iter()
            .take(TELLING - 1)
            .map(|one| one.ask.clone()),
    );
    let room = TELLING + POOR - offered.len();
    offered.extend(poor.into_iter().take(room).map(|one| one.ask.clone()));
    chance.shuffle(&mut offered);
    offered
}

/// A stream of its own for each turn of a case, and for each case of an exam.
///
/// # Source
/// The odd constant is that of SplitMix64: Steele G.L., Lea D., Flood C.H. 2014. Fast splittable pseudorandom number
/// generators. OOPSLA 2014.
pub fn stream(seed: u64, turn: usize) -> u64 {
    seed.wrapping_add((turn as u64 + 1).wrapping_mul(0x9E37_79B9_7F4A_7C15))
}

#[cfg(test)]
mod tests {
    use super::{POOR, TELLING, offered};
    use crate::engine::checks::CheckWorth;
    use crate::engine::diagnosis::Ask;
    use crate::engine::id::SignId;

    fn every(bits: &[f64]) -> Vec<CheckWorth> {
        let id = |place: usize| SignId::new(&format!("sign-{place}")).expect("an id");
        let worth = |(place, &bits): (usize, &f64)| CheckWorth {
            ask: Ask::Sign(id(place)),
            bits,
            effort: 1.0,
        };
        bits.iter().enumerate().map(worth).collect()
    }

    #[test]
    fn the_best_check_is_always_offered_and_poor_ones_with_it() {
        let mut bits = vec![0.5, 0.4, 0.3, 0.2];
        bits.extend([0.01; 20]);
        let every = every(&bits);
        let poor = |ask: &Ask| every[4..].iter().any(|one| one.ask == *ask);
        let mut places = std::collections::BTreeSet::new();
        for seed in 0..40 {
            let offer = offered(&every, seed, 0);
            assert_eq!(offer.len(), TELLING + POOR);
            assert_eq!(offer.iter().filter(|ask| poor(ask)).count(), POOR);
            places.insert(offer.iter().position(|ask| *ask == every[0].ask));
            assert_eq!(offer, offered(&every, seed, 0));
        }
        assert!(places.len() > 4 && !places.contains(&None), "{places:?}");
        assert!(offered(&[], 1, 0).is_empty());
        assert_eq!(offered(&every[..1], 1, 0).len(), 1);
    }
}
