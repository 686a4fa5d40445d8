//! Cases drawn from the model itself, so that what is the case is known and the right confidence is too.
//!
//! A case is drawn as the network would have it: a species and a stage, the causes by how common they are, each sign
//! absent with probability `(1 - anyway) * product over present causes of (1 - share)`. Then some of the signs are told,
//! chosen without regard to how they came out. What is told is a condition on the data alone, and so is dropping a case
//! in which nothing told is seen: both leave a well-calibrated program well calibrated.
//!
//! Only what the network takes as independent given the causes is told, since the program weighs the rest by rules that
//! are no draw from a single model. Left out are readings, signs that a guard, a risk factor or a derive rule looks at,
//! and signs of roots. Of a family one member is told at most; of a question that allows one answer, all signs or none.

use std::collections::{HashMap, HashSet};

use crate::engine::condition::{Condition, Proposition};
use crate::engine::facts::FactBase;
use crate::engine::id::{CauseId, FamilyId, SignId, SpeciesId, StageId};
use crate::engine::knowledge::{CauseKind, Finding, KnowledgeBase};
use crate::engine::network::Network;
use crate::engine::observations::{Answer, Observations};
use crate::engine::reasoner::Reasoner;
use crate::train::chance::Chance;

/// The least and greatest share of the signs that is told in one case.
///
/// judgement: from a hasty look to a thorough one; a walk through the questions gives about as much.
const TOLD_SHARE: (f64, f64) = (0.05, 0.5);

/// A strength that was put off is held to at most this.
///
/// judgement: nothing a grower sees is certain; at 1 a single "no" would rule a cause out for good.
const MOST_STRENGTH: f64 = 0.99;

/// How many draws in vain are made for each case wanted before giving up.
const MOST_IN_VAIN: usize = 1000;

/// A drawn case.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawn {
    /// What is told.
    pub observations: Observations,
    /// What is the case, in the order of the knowledge.
    pub present: Vec<CauseId>,
}

/// What is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wish {
    /// How many cases.
    pub cases: usize,
    /// The seed: equal seeds give equal cases.
    pub seed: u64,
    /// Every strength of the simulator is multiplied by a factor of its own between one over this and this, evenly
    /// spread on the logarithm; at 1 the simulator keeps the strengths of the knowledge.
    pub off_by: f64,
}

/// Cases drawn from the knowledge.
#[derive(Debug, Clone, PartialEq)]
pub struct Simulated {
    /// The cases, fewer than wished for only where the knowledge gives too little to see.
    pub cases: Vec<Drawn>,
    /// How many signs can be told.
    pub tellable: usize,
    /// How many draws were dropped because nothing told was seen.
    pub dropped: usize,
}

/// Draws cases.
pub fn simulate(reasoner: &Reasoner<'_>, wish: Wish) -> Simulated {
    let base = reasoner.base();
    let units = units(base);
    let tellable: Vec<&SignId> = units.iter().flatten().copied().collect();
    let mut chance = Chance::new(wish.seed);
    let factors = factors(base, wish.off_by, &mut chance);
    let settings = settings(base, reasoner, &tellable);
    let mut simulated = Simulated {
        cases: Vec::new(),
        tellable: tellable.len(),
        dropped: 0,
    };
    if settings.is_empty() {
        return simulated;
    }
    let most = wish.cases.saturating_mul(MOST_IN_VAIN);
    while simulated.cases.len() < wish.cases && simulated.dropped < most {
        let setting = &settings[chance.place(settings.len())];
        match draw(base, setting, &units, &factors, &mut chance) {
            Some(drawn) => simulated.cases.push(drawn),
            None => simulated.dropped += 1,
        }
    }
    simulated
}

/// A species and a stage with the network that holds in them.
struct Place {
    species: Option<SpeciesId>,
    stage: Option<StageId>,
    network: Network,
}

/// Every species at every stage, but for the species that stands for "not named", and but for those in which the
/// setting alone already says something to the network.
fn settings(base: &KnowledgeBase, reasoner: &Reasoner<'_>, tellable: &[&SignId]) -> Vec<Place> {
    let mut settings = Vec::new();
    let named = base.species.iter().filter(|(_, species)| !species.default);
    // A base may do without species and stages.
    let mut species: Vec<Option<&SpeciesId>> = named.map(|(id, _)| Some(id)).collect();
    let mut stages: Vec<Option<&StageId>> = base.stages.keys().map(Some).collect();
    if species.is_empty() {
        species.push(None);
    }
    if stages.is_empty() {
        stages.push(None);
    }
    for species in species {
        for &stage in &stages {
            let mut told = Observations {
                species: species.cloned(),
                stage: stage.cloned(),
                ..Observations::default()
            };
            if !network(base, reasoner, &told).evidence.is_empty() {
                continue;
            }
            for sign in tellable {
                told.signs.insert((*sign).clone(), Answer::Yes);
            }
            settings.push(Place {
                species: species.cloned(),
                stage: stage.cloned(),
                network: network(base, reasoner, &told),
            });
        }
    }
    settings
}

fn network(base: &KnowledgeBase, reasoner: &Reasoner<'_>, told: &Observations) -> Network {
    let facts = FactBase::new(base, &reasoner.rulebook, told);
    Network::new(reasoner.setting(&facts))
}

/// What the simulator's strengths are multiplied by, for each cause and finding.
type Factors<'k> = HashMap<(usize, &'k Finding), f64>;

fn factors<'k>(base: &'k KnowledgeBase, off_by: f64, chance: &mut Chance) -> Factors<'k> {
    let mut factors = HashMap::new();
    if off_by <= 1.0 {
        return factors;
    }
    let widest = libm::log(off_by);
    for (place, cause) in base.causes.values().enumerate() {
        for shows in &cause.shows {
            let factor = libm::exp((2.0 * chance.share() - 1.0) * widest);
            factors.insert((place, &shows.finding), factor);
        }
    }
    factors
}

/// The knowledge with every strength put off by a factor of its own between one over `off_by` and `off_by`, evenly
/// spread on the logarithm: a book whose numbers are that wrong. Equal seeds give equal books.
pub fn put_off(base: &KnowledgeBase, off_by: f64, seed: u64) -> KnowledgeBase {
    let mut chance = Chance::new(seed);
    let widest = libm::log(off_by.max(1.0));
    let mut book = base.clone();
    for cause in book.causes.values_mut() {
        for shows in &mut cause.shows {
            let factor = libm::exp((2.0 * chance.share() - 1.0) * widest);
            shows.share = (shows.share * factor).min(MOST_STRENGTH.max(shows.share));
        }
    }
    book
}

/// Draws one case; `None` where nothing told is seen.
fn draw(
    base: &KnowledgeBase,
    setting: &Place,
    units: &[Vec<&SignId>],
    factors: &Factors<'_>,
    chance: &mut Chance,
) -> Option<Drawn> {
    let network = &setting.network;
    let present: Vec<bool> = network
        .priors
        .iter()
        .map(|&prior| chance.happens(prior))
        .collect();
    let mut seen: HashMap<&SignId, bool> = HashMap::new();
    for weighed in &network.findings {
        let Finding::Sign(sign) = &weighed.finding else {
            continue;
        };
        let evidence = &network.evidence[weighed.evidence];
        let mut absent = 1.0 - evidence.leak;
        for &(cause, strength) in evidence.links.iter().filter(|(cause, _)| present[*cause]) {
            let place = network.causes.get(cause);
            let factor = place.and_then(|&place| factors.get(&(place, &weighed.finding)));
            absent *=
                1.0 - factor.map_or(strength, |factor| (strength * factor).min(MOST_STRENGTH));
        }
        seen.insert(sign, !chance.happens(absent));
    }
    let mut observations = Observations {
        species: setting.species.clone(),
        stage: setting.stage.clone(),
        ..Observations::default()
    };
    for sign in told(base, units, chance) {
        let answer = if seen.get(sign).copied().unwrap_or(false) {
            Answer::Yes
        } else {
            Answer::No
        };
        observations.signs.insert(sign.clone(), answer);
    }
    let something = observations
        .signs
        .values()
        .any(|&answer| answer == Answer::Yes);
    let causes = network.causes.iter().zip(&present);
    something.then(|| Drawn {
        observations,
        present: causes
            .filter(|(_, present)| **present)
            .filter_map(|(&place, _)| base.causes.get_index(place))
            .map(|(id, _)| id.clone())
            .collect(),
    })
}

/// Chooses the signs to tell, without looking at how they came out.
fn told<'k>(
    base: &KnowledgeBase,
    units: &[Vec<&'k SignId>],
    chance: &mut Chance,
) -> Vec<&'k SignId> {
    let (least, most) = TOLD_SHARE;
    let share = least + (most - least) * chance.share();
    let mut order: Vec<usize> = (0..units.len()).collect();
    chance.shuffle(&mut order);
    let mut families: HashSet<&FamilyId> = HashSet::new();
    let mut told = Vec::new();
    for unit in order {
        let wanted = chance.happens(share);
        let own: Vec<&FamilyId> = units[unit]
            .iter()
            .filter_map(|sign| base.signs.get(*sign)?.family.as_ref())
            .collect();
        if wanted && !own.iter().any(|family| families.contains(family)) {
            families.extend(own);
            told.extend(units[unit].iter().copied());
        }
    }
    told
}

/// The signs that can be told, those of a question that allows one answer together.
fn units(base: &KnowledgeBase) -> Vec<Vec<&SignId>> {
    let kept_out = kept_out(base);
    let one_of: Vec<&Vec<SignId>> = base
        .questions
        .values()
        .filter(|question| question.one_of)
        .map(|question| &question.signs)
        .collect();
    let mut units: Vec<Vec<&SignId>> = base
        .signs
        .keys()
        .filter(|sign| !one_of.iter().any(|signs| signs.contains(sign)))
        .map(|sign| vec![sign])
        .collect();
    units.extend(one_of.iter().map(|signs| signs.iter().collect()));
    units.retain(|unit| {
        let families: Vec<&FamilyId> = unit
            .iter()
            .filter_map(|sign| base.signs.get(*sign)?.family.as_ref())
            .collect();
        let different: HashSet<&FamilyId> = families.iter().copied().collect();
        !unit.iter().any(|sign| kept_out.contains(sign)) && different.len() == families.len()
    });
    units
}

/// Signs that something other than the network looks at, and signs of roots.
fn kept_out(base: &KnowledgeBase) -> HashSet<&SignId> {
    let mut found = HashSet::new();
    for cause in base.causes.values() {
        let guards = cause
            .shows
            .iter()
            .filter_map(|shows| shows.only_if.as_ref());
        let raised = cause.raised_by.iter().map(|raise| &raise.when);
        for when in cause.only_if.iter().chain(guards).chain(raised) {
            found.extend(looked_at(when));
        }
        let of_roots = cause
            .shows
            .iter()
            .filter(|_| cause.kind == CauseKind::Root)
            .filter_map(|shows| match &shows.finding {
                Finding::Sign(sign) => Some(sign),
                Finding::Fact(_) | Finding::Reading(_) => None,
            });
        found.extend(of_roots);
    }
    for rule in base.rules.values() {
        found.extend(looked_at(&rule.when));
        if let Proposition::Sign(sign) = &rule.then.proposition {
            found.insert(sign);
        }
    }
    found
}

fn looked_at(when: &Condition) -> impl Iterator<Item = &SignId> {
    when.literals()
        .into_iter()
        .filter_map(|literal| match &literal.proposition {
            Proposition::Sign(sign) => Some(sign),
            _ => None,
        })
}
