//! Every check that can still be made, with what it would tell: for judging which one somebody else chooses.
//!
//! Where a diagnosis proposes checks it stops once nothing is worth asking. Here nothing is left out: a check that tells
//! nothing is worth 0 bits, and stands in the list.

use std::collections::HashSet;

use crate::engine::checks::{Checks, Valued};
use crate::engine::diagnosis::Ask;
use crate::engine::id::{CauseId, SignId};
use crate::engine::knowledge::{Asking, Finding, Map};
use crate::engine::observations::Observations;
use crate::engine::question::Belief;
use crate::engine::reasoner::Reasoner;

/// A check with what it would tell.
#[derive(Debug, Clone, PartialEq)]
pub struct CheckWorth {
    /// What is looked at.
    pub ask: Ask,
    /// Joint information of its answer and the causes in play, in bits; not negative.
    pub bits: f64,
    /// Effort, as a multiple of a glance.
    pub effort: f64,
}

impl Checks<'_, '_> {
    /// Every check still open, the most telling first; of equals, in the order of the knowledge.
    pub(crate) fn every(&self) -> Vec<CheckWorth> {
        let network = &self.worked.network;
        let base = self.reasoner.base;
        let in_play = self.in_play();
        let mut priors = vec![0.0; network.priors.len()];
        for &cause in &in_play {
            priors[cause] = network.priors[cause];
        }
        let valued = [Valued {
            belief: Belief::new(&priors, &network.evidence),
            places: network.causes.clone(),
        }];
        let open = self.open_findings(network, &in_play);
        let mut every: Vec<CheckWorth> = self
            .grouped(open, &valued)
            .into_iter()
            .map(|candidate| CheckWorth {
                ask: candidate.ask,
                bits: candidate.gain_bits,
                effort: candidate.effort,
            })
            .collect();
        let told: HashSet<Ask> = every.iter().map(|one| one.ask.clone()).collect();
        let rest = self.askable().into_iter();
        every.extend(rest.filter(|one| !told.contains(&one.ask)));
        // A stable sort: nothing hangs on how equals come.
        every.sort_by(|a, b| b.bits.total_cmp(&a.bits));
        every.retain(|one| match &one.ask {
            Ask::Question(_, signs) => !signs.is_empty(),
            Ask::Sign(sign) => base.signs.contains_key(sign),
            Ask::Reading(reading) => base.readings.contains_key(reading),
        });
        every
    }

    /// Whatever can be looked at, as if it told nothing.
    fn askable(&self) -> Vec<CheckWorth> {
        let base = self.reasoner.base;
        let worth = |ask: Ask, effort: f64| CheckWorth {
            ask,
            bits: 0.0,
            effort,
        };
        let setting = self.reasoner.setting(&self.worked.facts);
        let open = |finding: &Finding| self.is_open(setting, finding);
        let mut all = Vec::new();
        for (id, sign) in &base.signs {
            let alone = matches!(sign.asking, Asking::Alone { .. });
            if alone && open(&Finding::Sign(id.clone())) {
                all.push(worth(Ask::Sign(id.clone()), sign.effort));
            }
        }
        for (id, question) in &base.questions {
            let facts = &self.worked.facts;
            let asked = |sign: &&SignId| {
                !facts.observations().signs.contains_key(*sign)
                    && setting.can_be_there(&Finding::Sign((*sign).clone()))
            };
            let signs: Vec<_> = question.signs.iter().filter(asked).cloned().collect();
            if signs.iter().any(|sign| open(&Finding::Sign(sign.clone()))) {
                all.push(worth(Ask::Question(id.clone(), signs), question.effort));
            }
        }
        for (finding, _) in self.reasoner.links.iter() {
            let Finding::Reading(comparison) = finding else {
                continue;
            };
            let ask = Ask::Reading(comparison.reading.clone());
            if open(finding) && !all.iter().any(|one| one.ask == ask) {
                all.push(worth(ask, base.readings[&comparison.reading].effort));
            }
        }
        all
    }
}

impl Reasoner<'_> {
    /// Every check that can still be made, the most telling first.
    pub fn every_check(&self, observations: &Observations) -> Vec<CheckWorth> {
        Checks::new(self, &self.work(observations)).every()
    }

    /// Confidence of every cause considered, of groups and of roots, whether or not anything told speaks for it.
    pub fn confidence(&self, observations: &Observations) -> Map<CauseId, f64> {
        self.work(observations).confidence
    }
}
