//! Which check would tell most for its effort.
//!
//! A check is one sign, the signs of a shared question, or a reading. What it would tell is the joint information about
//! the causes still in play, those that something told speaks for; a question about anything else would tell
//! something too (every cause has a base rate), but not what this grower asked. Asking stops when the causes in play are
//! settled, or when there is a verdict that no open check could turn. Then it goes on to the roots of what is concluded,
//! as long as an answer may well point to another root. A check that could reveal a hazard to health comes first.

mod every;
mod words;

pub use crate::engine::checks::every::CheckWorth;

use indexmap::IndexSet;
use rustc_hash::FxBuildHasher;

use crate::engine::diagnosis::{Ask, NextCheck};
use crate::engine::id::{CauseId, QuestionId, ReadingId, SignId};
use crate::engine::knowledge::{Asking, Finding, Hazard, Map, Shows};
use crate::engine::network::{Network, RootPart, Setting, among};
use crate::engine::question::{self, Asked, Belief};
use crate::engine::reasoner::{Reasoner, Worked, spoken_for};

/// The checks looked at for whether one could still turn the verdict: those that tell most.
///
/// judgement: what tells less than twenty others turns nothing that they do not.
const MOST_TURNED: usize = 20;

/// The open checks of one occasion.
pub(crate) struct Checks<'a, 'k> {
    reasoner: &'a Reasoner<'k>,
    worked: &'a Worked<'k>,
}

/// A check with what it would tell.
struct Candidate {
    ask: Ask,
    /// The open findings it settles, the most telling first.
    findings: Vec<Open>,
    /// Which of the beliefs it was valued by.
    belief: usize,
    chances: Vec<(SignId, f64)>,
    gain_bits: f64,
    effort: f64,
    hazard: bool,
    about_roots_of: Option<CauseId>,
}

/// A finding nothing is known of.
#[derive(Clone)]
struct Open {
    finding: Finding,
    open: question::Open,
}

/// What is believed about a set of causes or roots, and their places in the knowledge.
struct Valued {
    belief: Belief,
    places: Vec<usize>,
}

impl<'a, 'k> Checks<'a, 'k> {
    pub fn new(reasoner: &'a Reasoner<'k>, worked: &'a Worked<'k>) -> Self {
        Self { reasoner, worked }
    }

    /// The best checks, at most so many, best first; empty when nothing is worth asking.
    pub fn best(&self, most: usize) -> Vec<NextCheck> {
        let mut valued = Vec::new();
        let mut candidates = self.about_causes(&mut valued);
        // What stands behind a cause is asked once the cause is settled.
        if candidates.is_empty() {
            for part in &self.worked.network.root_parts {
                candidates.extend(self.about_roots(part, &mut valued));
            }
        }
        let asking = self.reasoner.base.scale.numbers.asking_effort;
        candidates.sort_by(|a, b| {
            let worth = |candidate: &Candidate| candidate.gain_bits / (candidate.effort + asking);
            b.hazard.cmp(&a.hazard).then(worth(b).total_cmp(&worth(a)))
        });
        candidates.truncate(most);
        candidates
            .into_iter()
            .map(|candidate| self.in_words(candidate, &valued))
            .collect()
    }

    /// Causes in play, by their place in the network: those that something told speaks for. Where nothing speaks for any,
    /// every cause still is.
    fn in_play(&self) -> Vec<usize> {
        let network = &self.worked.network;
        let least = self.reasoner.base.scale.numbers.hazard_floor;
        let spoken_for: Vec<usize> = (0..network.causes.len())
            .filter(|&cause| {
                self.worked.posterior.marginals[cause] >= least
                    && spoken_for(&network.evidence, cause)
            })
            .collect();
        if spoken_for.is_empty() {
            (0..network.causes.len()).collect()
        } else {
            spoken_for
        }
    }

    /// Whether the causes in play are settled: the leader is, and no rival is left between suspicion and certainty.
    fn settled(&self, in_play: &[usize]) -> bool {
        let numbers = &self.reasoner.base.scale.numbers;
        let sure = |&cause: &usize| self.worked.posterior.marginals[cause];
        in_play
            .iter()
            .any(|cause| sure(cause) >= numbers.settled_at)
            && in_play
                .iter()
                .all(|cause| sure(cause) >= numbers.settled_at || sure(cause) < numbers.suspect_at)
    }

    /// Whether one cause leads far enough for a verdict.
    fn decided(&self, in_play: &[usize]) -> bool {
        let numbers = &self.reasoner.base.scale.numbers;
        let mut sure: Vec<f64> = in_play
            .iter()
            .map(|&cause| self.worked.posterior.marginals[cause])
            .collect();
        sure.sort_by(|a, b| b.total_cmp(a));
        let odds = |sure: f64| sure / (1.0 - sure);
        let close = |&next: &f64| odds(sure[0]) < numbers.close_factor * odds(next);
        sure.first()
            .is_some_and(|&first| first >= numbers.decided_at)
            && !sure.get(1).is_some_and(close)
    }

    /// By how much a check would raise the chance that the likeliest of these causes is the right one.
    fn turn(&self, candidate: &Candidate, valued: &[Valued], causes: &[usize]) -> f64 {
        let open = |findings: &[Open]| -> Vec<question::Open> {
            findings
                .iter()
                .map(|finding| finding.open.clone())
                .collect()
        };
        let belief = &valued[candidate.belief].belief;
        match &candidate.ask {
            Ask::Question(id, _) if self.reasoner.base.questions[id].one_of => {
                belief.turn(Asked::OneOf(&open(&candidate.findings)), causes)
            }
            Ask::Question(..) => belief.turn(Asked::Several(&open(&candidate.findings)), causes),
            // Valued by its most telling comparison, as the information is.
            Ask::Sign(_) | Ask::Reading(_) => {
                belief.turn(Asked::Several(&open(&candidate.findings[..1])), causes)
            }
        }
    }

    /// Whether, of the checks that tell most, one has an answer that could still turn the verdict.
    fn could_turn(&self, candidates: &[Candidate], valued: &[Valued], in_play: &[usize]) -> bool {
        let mut telling: Vec<&Candidate> = candidates.iter().collect();
        telling.sort_by(|a, b| b.gain_bits.total_cmp(&a.gain_bits));
        telling.truncate(MOST_TURNED);
        let least = self.reasoner.base.scale.numbers.turn_gain;
        telling
            .into_iter()
            .any(|candidate| self.turn(candidate, valued, in_play) >= least)
    }

    /// Checks that tell the causes in play apart; none where these are settled, and where no answer could turn the verdict
    /// only those for a hazard.
    fn about_causes(&self, valued: &mut Vec<Valued>) -> Vec<Candidate> {
        let in_play = self.in_play();
        if self.settled(&in_play) {
            return Vec::new();
        }
        let candidates = self.about(&in_play, valued);
        let every = self.worked.network.causes.len();
        let nothing_yet = |&cause: &usize| {
            self.worked.posterior.marginals[cause] < self.reasoner.base.scale.numbers.report_from
        };
        if candidates.is_empty() && in_play.len() < every && in_play.iter().all(nothing_yet) {
            // What was told leads nowhere: anything else is worth a look.
            return self.about(&(0..every).collect::<Vec<_>>(), valued);
        }
        candidates
    }

    /// Checks that tell these causes apart.
    fn about(&self, in_play: &[usize], valued: &mut Vec<Valued>) -> Vec<Candidate> {
        let network = &self.worked.network;
        // Causes out of play are set aside; what they would show anyway counts as part of the leak.
        let mut priors = vec![0.0; network.priors.len()];
        for &cause in in_play {
            priors[cause] = network.priors[cause];
        }
        let open = self.open_findings(network, in_play);
        valued.push(Valued {
            belief: Belief::new(&priors, &network.evidence),
            places: network.causes.clone(),
        });
        let hazards = self.hazards_in_play(in_play);
        let mut candidates = self.grouped(open, valued);
        let least = self.reasoner.base.scale.numbers.stop_gain;
        candidates.retain(|candidate| candidate.gain_bits >= least);
        self.mark_hazards(&mut candidates, &hazards);
        if self.decided(in_play) && !self.could_turn(&candidates, valued, in_play) {
            // What could hurt somebody is looked for all the same.
            candidates.retain(|candidate| candidate.hazard);
        }
        candidates
    }

    /// Every finding of the main layer that nothing is known of and that a cause in play would show.
    fn open_findings(&self, network: &Network, in_play: &[usize]) -> Vec<Open> {
        let base = self.reasoner.base;
        let setting = self.reasoner.setting(&self.worked.facts);
        let mut place_in_net = vec![None; base.causes.len()];
        for (place, &cause) in network.causes.iter().enumerate() {
            place_in_net[cause] = Some(place);
        }
        let mut plays = vec![false; network.causes.len()];
        for &place in in_play {
            plays[place] = true;
        }
        let mut open = Vec::new();
        for (finding, links) in setting.unknown() {
            if !self.can_be_asked(setting, finding) {
                continue;
            }
            let mut kept = Vec::new();
            let mut unseen = 1.0 - setting.anyway(finding);
            for (cause, share) in setting.shown(links) {
                let Some(place) = place_in_net[cause] else {
                    continue;
                };
                if plays[place] {
                    kept.push((place, share));
                } else {
                    unseen *= 1.0 - self.worked.posterior.marginals[place] * share;
                }
            }
            if !kept.is_empty() {
                open.push(Open {
                    finding: finding.clone(),
                    open: question::Open {
                        leak: 1.0 - unseen,
                        links: kept,
                    },
                });
            }
        }
        open
    }

    /// Whether nothing is known of a finding and a person could find it out.
    fn is_open(&self, setting: Setting<'_, '_>, finding: &Finding) -> bool {
        setting.is_unknown(finding) && self.can_be_asked(setting, finding)
    }

    /// Whether a person could still find out something unknown: a sign not answered that can be there, or a reading not
    /// taken that is compared with a limit that is known.
    fn can_be_asked(&self, setting: Setting<'_, '_>, finding: &Finding) -> bool {
        let facts = &self.worked.facts;
        match finding {
            Finding::Sign(sign) => {
                !facts.observations().signs.contains_key(sign) && setting.can_be_there(finding)
            }
            Finding::Fact(_) => false,
            Finding::Reading(comparison) => {
                let reading = self.reasoner.base.readings.get(&comparison.reading);
                reading.is_some_and(|reading| reading.computed.is_none())
                    && facts.limit_value(comparison).is_some()
            }
        }
    }

    /// Gathers the findings that one check settles and values the check by the belief added last.
    fn grouped(&self, open: Vec<Open>, valued: &[Valued]) -> Vec<Candidate> {
        let place = valued.len() - 1;
        let belief = &valued[place].belief;
        let mut groups: Map<AskKey, Vec<(question::Worth, Open)>> = Map::default();
        for open in open {
            let worth = belief.worth(&open.open);
            groups
                .entry(self.key(&open.finding))
                .or_default()
                .push((worth, open));
        }
        let base = self.reasoner.base;
        let mut candidates = Vec::new();
        for (key, mut members) in groups {
            // The most telling member stands first; ties keep the order of the knowledge.
            members.sort_by(|a, b| b.0.bits.total_cmp(&a.0.bits));
            let opens: Vec<question::Open> =
                members.iter().map(|(_, open)| open.open.clone()).collect();
            let best = members.first().map_or(0.0, |(worth, _)| worth.bits);
            let mut seen: Vec<f64> = members.iter().map(|(worth, _)| worth.seen).collect();
            let (ask, gain_bits, effort) = match &key {
                AskKey::Sign(sign) => (Ask::Sign(sign.clone()), best, base.signs[sign].effort),
                AskKey::Reading(reading) => (
                    Ask::Reading(reading.clone()),
                    best,
                    base.readings[reading].effort,
                ),
                AskKey::Question(id) => {
                    let question = &base.questions[id];
                    let gain = if question.one_of {
                        let worth = belief.worth_of_one_of(&opens);
                        seen = worth.options;
                        worth.bits
                    } else {
                        belief.worth_of_first_two(&opens)
                    };
                    let facts = &self.worked.facts;
                    let setting = self.reasoner.setting(facts);
                    let asked = |sign: &&SignId| {
                        !facts.observations().signs.contains_key(*sign)
                            && setting.can_be_there(&Finding::Sign((*sign).clone()))
                    };
                    let signs = question.signs.iter().filter(asked).cloned().collect();
                    (Ask::Question(id.clone(), signs), gain, question.effort)
                }
            };
            let chances = members
                .iter()
                .zip(seen)
                .filter_map(|((_, open), seen)| match &open.finding {
                    Finding::Sign(sign) => Some((sign.clone(), seen)),
                    Finding::Reading(_) | Finding::Fact(_) => None,
                })
                .collect();
            let findings = members.into_iter().map(|(_, open)| open).collect();
            candidates.push(Candidate {
                ask,
                findings,
                belief: place,
                chances,
                gain_bits,
                effort,
                hazard: false,
                about_roots_of: None,
            });
        }
        candidates
    }

    fn key(&self, finding: &Finding) -> AskKey {
        match finding {
            Finding::Sign(sign) => {
                match self.reasoner.base.signs.get(sign).map(|sign| &sign.asking) {
                    Some(Asking::Option { question, .. }) => AskKey::Question(question.clone()),
                    _ => AskKey::Sign(sign.clone()),
                }
            }
            Finding::Reading(comparison) => AskKey::Reading(comparison.reading.clone()),
            Finding::Fact(_) => unreachable!("derived facts cannot be asked for"),
        }
    }

    /// Causes in play that can hurt people, that something told speaks for, and that are neither settled nor out of the
    /// question.
    fn hazards_in_play(&self, in_play: &[usize]) -> Vec<usize> {
        let network = &self.worked.network;
        let numbers = &self.reasoner.base.scale.numbers;
        in_play
            .iter()
            .copied()
            .filter(|&cause| {
                let entry = &self.reasoner.base.causes[network.causes[cause]];
                let sure = self.worked.posterior.marginals[cause];
                entry.hazard == Some(Hazard::Health)
                    && spoken_for(&network.evidence, cause)
                    && (numbers.hazard_floor..numbers.settled_at).contains(&sure)
            })
            .collect()
    }

    /// For each hazard in play the check that would move it most is asked first; for one that is not even suspected, no
    /// longer once its most telling sign was looked for.
    fn mark_hazards(&self, candidates: &mut [Candidate], hazards: &[usize]) {
        for &hazard in hazards {
            if !self.first_again(hazard) {
                continue;
            }
            let reach = |candidate: &Candidate| {
                let strongest = candidate
                    .findings
                    .iter()
                    .flat_map(|open| {
                        let own = open
                            .open
                            .links
                            .iter()
                            .filter(move |&&(cause, _)| cause == hazard);
                        own.map(move |&(_, share)| share * (1.0 - open.open.leak))
                    })
                    .fold(0.0, f64::max);
                strongest * candidate.gain_bits / candidate.effort
            };
            let best = candidates
                .iter_mut()
                .max_by(|a, b| reach(a).total_cmp(&reach(b)));
            if let Some(best) = best.filter(|best| reach(best) > 0.0) {
                best.hazard = true;
            }
        }
    }

    /// Whether a hazard still comes before everything else.
    fn first_again(&self, cause: usize) -> bool {
        let numbers = &self.reasoner.base.scale.numbers;
        if self.worked.posterior.marginals[cause] >= numbers.suspect_at {
            return true;
        }
        let setting = self.reasoner.setting(&self.worked.facts);
        let telling = |shows: &&Shows| shows.share * (1.0 - setting.anyway(&shows.finding));
        let entry = &self.reasoner.base.causes[self.worked.network.causes[cause]];
        let sign = |shows: &Shows| matches!(shows.finding, Finding::Sign(_));
        let shows = entry.shows.iter();
        let shows = shows.filter(|shows| sign(shows) && setting.speaks(shows));
        let most = shows.max_by(|a, b| telling(a).total_cmp(&telling(b)));
        let known = |shows: &Shows| {
            let facts = &self.worked.facts;
            facts
                .evidence(&self.reasoner.rulebook, &shows.finding)
                .is_some()
        };
        most.is_some_and(|shows| !known(shows))
    }

    /// Checks for the roots of a condition that is concluded, valued by how likely the condition is.
    fn about_roots(&self, part: &RootPart, valued: &mut Vec<Valued>) -> Vec<Candidate> {
        let base = self.reasoner.base;
        let condition = self.reasoner.cause_id(part.condition);
        let sure = self
            .worked
            .confidence
            .get(condition)
            .copied()
            .unwrap_or(0.0);
        if sure < base.scale.numbers.conclude_at {
            return Vec::new();
        }
        let setting = self.reasoner.setting(&self.worked.facts);
        let shown = part.roots.iter().flat_map(|&root| &base.causes[root].shows);
        let findings: IndexSet<&Finding, FxBuildHasher> =
            shown.map(|shows| &shows.finding).collect();
        let open: Vec<Open> = findings
            .into_iter()
            .filter(|finding| self.is_open(setting, finding))
            .map(|finding| Open {
                finding: finding.clone(),
                open: question::Open {
                    leak: setting.anyway(finding),
                    links: among(&part.roots, setting.shown_by(finding)),
                },
            })
            .filter(|open| !open.open.links.is_empty())
            .collect();
        valued.push(Valued {
            belief: Belief::new(part.net.priors(), &part.net.evidence_with_condition()),
            places: part.roots.clone(),
        });
        let mut candidates = self.grouped(open, valued);
        for candidate in &mut candidates {
            candidate.gain_bits *= sure;
            candidate.about_roots_of = Some(condition.clone());
        }
        let numbers = &base.scale.numbers;
        let every_root: Vec<usize> = (0..part.roots.len()).collect();
        candidates.retain(|candidate| {
            candidate.gain_bits >= numbers.stop_gain
                && sure * self.turn(candidate, valued, &every_root) >= numbers.root_turn_gain
        });
        candidates
    }
}

/// What one check asks for, as a key.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
enum AskKey {
    Sign(SignId),
    Question(QuestionId),
    Reading(ReadingId),
}
