//! The front door: knowledge and observations in, a diagnosis out.

use std::cmp::Ordering;

use crate::engine::advice::Advisor;
use crate::engine::checks::Checks;
use crate::engine::condition::Literal;
use crate::engine::diagnosis::{
    CauseFound, DerivedStep, Diagnosis, FindingText, NextCheck, Reason, RootFound, Verdict,
};
use crate::engine::facts::{FactBase, Origin};
use crate::engine::id::CauseId;
use crate::engine::influence::{conflict_given, leave_one_out_given};
use crate::engine::knowledge::{Finding, KnowledgeBase, Map};
use crate::engine::network::{Links, Network, RootPart, Setting, Weighed};
use crate::engine::observations::{Answer, Observations};
use crate::engine::quantity::System;
use crate::engine::rates::{PersonalRate, Rates};
use crate::engine::rulebook::{Atom, Rulebook};
use crate::engine::weigh::{Evidence, Posterior, none_given, weigh};
use crate::engine::wording::Wording;

/// The most checks that a diagnosis proposes.
const MOST_CHECKS: usize = 5;

/// A knowledge base made ready for reasoning.
#[derive(Debug, Clone)]
pub struct Reasoner<'k> {
    pub(crate) base: &'k KnowledgeBase,
    pub(crate) links: Links<'k>,
    pub(crate) rulebook: Rulebook,
    pub(crate) system: System,
    pub(crate) rates: Rates,
}

/// Everything worked out for one occasion, before it is put into words.
#[derive(Debug, Clone)]
pub(crate) struct Worked<'k> {
    /// What was told, measured and derived.
    pub facts: FactBase<'k>,
    /// The network set up from it.
    pub network: Network,
    /// What the network says.
    pub posterior: Posterior,
    /// Confidence of every cause considered, of groups and of roots.
    pub confidence: Map<CauseId, f64>,
    /// The same for those that something told speaks for; advice listens to these alone, since what is merely common
    /// would otherwise bring up cautions in every healthy chamber.
    pub heard: Map<CauseId, f64>,
}

impl<'k> Reasoner<'k> {
    /// Indexes the knowledge. Numbers in texts are given in this system of units.
    pub fn new(base: &'k KnowledgeBase, system: System) -> Self {
        Self {
            base,
            links: Links::new(base),
            rulebook: Rulebook::new(base),
            system,
            rates: Rates::default(),
        }
    }

    /// The same with base rates of a grower's own in place of the shipped ones.
    #[must_use]
    pub fn with_rates(mut self, rates: Rates) -> Self {
        self.rates = rates;
        self
    }

    /// The causes that this occasion rules out beforehand: they could not have been found.
    pub fn out_of_question(&self, observations: &Observations) -> Vec<CauseId> {
        let facts = FactBase::new(self.base, &self.rulebook, observations);
        let setting = self.setting(&facts);
        let causes = self.base.causes.iter();
        causes
            .filter(|(_, cause)| !setting.in_force(cause.only_if.as_ref()))
            .map(|(id, _)| id.clone())
            .collect()
    }

    /// The knowledge it reasons with.
    pub fn base(&self) -> &'k KnowledgeBase {
        self.base
    }

    /// The system of units for numbers in texts.
    pub fn system(&self) -> System {
        self.system
    }

    /// Works out what is wrong, how sure that is, what to do, what to be careful of and what to check next. Equal
    /// observations give equal results, whatever the order they were told in.
    pub fn diagnose(&self, observations: &Observations) -> Diagnosis {
        let worked = self.work(observations);
        let base = self.base;
        let numbers = &base.scale.numbers;
        let causes = self.causes_found(&worked);
        let unknown = worked.network.unknown();
        let nothing_fits = worked.posterior.marginals[unknown];
        let everything: Vec<usize> = (0..=unknown).collect();
        let log_evidence = worked.posterior.log_evidence;
        let nothing_wrong = none_given(
            &worked.network.priors,
            &worked.network.evidence,
            &everything,
            log_evidence,
        );
        let unexplained = self.unexplained(&worked);
        let verdict = match verdict(base, &causes, nothing_fits, nothing_wrong) {
            // What somebody looked at and could not tell is no reason to say that all is well.
            _ if worked.network.findings.is_empty() => Verdict::NothingTold,
            Verdict::NothingWrong if only_unsure(&worked) => Verdict::NothingTold,
            verdict => verdict,
        };
        let concluded = worked.facts.with_conclusions(&self.rulebook, &worked.heard);
        let advisor = Advisor {
            base,
            rulebook: &self.rulebook,
            facts: &concluded,
            confidence: &worked.heard,
            system: self.system,
        };
        Diagnosis {
            verdict,
            nothing_fits,
            nothing_wrong,
            exact: worked.posterior.exact,
            conflict_bits: conflict_given(
                &worked.network.priors,
                &worked.network.evidence,
                log_evidence,
            ),
            actions: advisor.actions(),
            cautions: advisor.cautions(),
            next_checks: Checks::new(self, &worked).best(MOST_CHECKS),
            derived: self.derived_steps(&worked.facts),
            normal_looks: self.normal_looks(&worked),
            contradictions: self.contradictions(&worked),
            homework: Vec::new(),
            unexplained,
            personal_rates: self.personal_rates(&causes),
            causes: causes
                .into_iter()
                .filter(|cause| cause.confidence >= numbers.report_from)
                .collect(),
        }
    }

    /// The rates of the grower's own behind the causes reported and their roots.
    fn personal_rates(&self, causes: &[CauseFound]) -> Vec<PersonalRate> {
        let reported = |rate: &&PersonalRate| {
            causes.iter().any(|cause| {
                cause.id == rate.cause || cause.roots.iter().any(|root| root.id == rate.cause)
            })
        };
        self.rates.iter().filter(reported).cloned().collect()
    }

    /// The causes that [`Reasoner::diagnose`] reports with their confidence, and nothing else: for scoring thousands of
    /// cases.
    pub fn stated(&self, observations: &Observations) -> Vec<(CauseId, f64)> {
        self.stated_and_unknown(observations).0
    }

    /// The same, with the probability that something outside the book is at work.
    pub fn stated_and_unknown(&self, observations: &Observations) -> (Vec<(CauseId, f64)>, f64) {
        let worked = self.work(observations);
        let network = &worked.network;
        let mut stated: Vec<(CauseId, f64)> = network
            .causes
            .iter()
            .enumerate()
            .filter(|&(cause, _)| {
                worked.posterior.marginals[cause] >= self.base.scale.numbers.report_from
                    && spoken_for(&network.evidence, cause)
            })
            .map(|(cause, &place)| {
                (
                    self.cause_id(place).clone(),
                    worked.posterior.marginals[cause],
                )
            })
            .collect();
        stated.sort_by(|a, b| surer_first((a.1, &a.0), (b.1, &b.0)));
        (stated, worked.posterior.marginals[network.unknown()])
    }

    /// Every check still worth making, best first: for a walk in which some cannot be made now.
    pub fn next_checks(&self, observations: &Observations) -> Vec<NextCheck> {
        Checks::new(self, &self.work(observations)).best(usize::MAX)
    }

    /// Derives, weighs and solves the roots, without putting anything into words.
    pub(crate) fn work(&self, observations: &Observations) -> Worked<'k> {
        let facts = FactBase::new(self.base, &self.rulebook, observations);
        let network = Network::new(self.setting(&facts));
        let posterior = weigh(&network.priors, &network.evidence);
        let mut confidence = Map::default();
        let mut heard = Map::default();
        for (place, (&cause, &sure)) in network.causes.iter().zip(&posterior.marginals).enumerate()
        {
            let id = self.cause_id(cause);
            confidence.insert(id.clone(), sure);
            if spoken_for(&network.evidence, place) {
                heard.insert(id.clone(), sure);
            }
        }
        for (id, group) in self
            .base
            .causes
            .iter()
            .filter(|(_, cause)| !cause.any_of.is_empty())
        {
            let members: Vec<usize> = group
                .any_of
                .iter()
                .filter_map(|member| network.place_of(self.base.causes.get_index_of(member)?))
                .collect();
            let some_of = |causes: &[usize]| {
                let log_evidence = posterior.log_evidence;
                1.0 - none_given(&network.priors, &network.evidence, causes, log_evidence)
            };
            let any = some_of(&members);
            confidence.insert(id.clone(), any);
            let told: Vec<usize> = members
                .iter()
                .copied()
                .filter(|&member| spoken_for(&network.evidence, member))
                .collect();
            if !told.is_empty() {
                let all = told.len() == members.len();
                heard.insert(id.clone(), if all { any } else { some_of(&told) });
            }
        }
        let setting = self.setting(&facts);
        for part in &network.root_parts {
            let condition = confidence
                .get(self.cause_id(part.condition))
                .copied()
                .unwrap_or(0.0);
            for (number, (&root, sure)) in part
                .roots
                .iter()
                .zip(part.net.given_condition(condition))
                .enumerate()
            {
                let id = self.cause_id(root);
                confidence.insert(id.clone(), sure);
                if spoken_for(part.net.evidence(), number)
                    || setting.raised_times(&self.base.causes[root]) > 1.0
                {
                    heard.insert(id.clone(), sure);
                }
            }
        }
        Worked {
            facts,
            network,
            posterior,
            confidence,
            heard,
        }
    }

    pub(crate) fn setting<'a>(&'a self, facts: &'a FactBase<'k>) -> Setting<'a, 'k> {
        Setting {
            base: self.base,
            links: &self.links,
            rulebook: &self.rulebook,
            facts,
            rates: &self.rates,
        }
    }

    pub(crate) fn wording<'a>(&self, facts: &'a FactBase<'k>) -> Wording<'a, 'k> {
        Wording {
            base: self.base,
            facts,
            system: self.system,
        }
    }

    pub(crate) fn cause_id(&self, place: usize) -> &'k CauseId {
        let (id, _) = self
            .base
            .causes
            .get_index(place)
            .expect("places come from this knowledge base");
        id
    }

    /// The word of the confidence scale.
    pub(crate) fn confidence_word(&self, confidence: f64) -> String {
        let found = self
            .base
            .scale
            .confidence
            .iter()
            .find(|(_, level)| confidence >= level.value);
        found.map_or_else(String::new, |(word, _)| word.clone())
    }

    /// Causes of the main layer that something told speaks for, most confident first. What is merely common is not
    /// reported: it would be named in every healthy chamber.
    fn causes_found(&self, worked: &Worked<'k>) -> Vec<CauseFound> {
        let network = &worked.network;
        let numbers = &self.base.scale.numbers;
        let supported: Vec<usize> = (0..network.causes.len())
            .filter(|&cause| {
                worked.posterior.marginals[cause] >= numbers.report_from
                    && spoken_for(&network.evidence, cause)
            })
            .collect();
        let weights = leave_one_out_given(
            &network.priors,
            &network.evidence,
            &supported,
            &worked.posterior,
        );
        let mut found: Vec<CauseFound> = supported
            .iter()
            .enumerate()
            .map(|(column, &cause)| {
                let reasons: Vec<Reason> = network
                    .findings
                    .iter()
                    .filter_map(|weighed| {
                        let weight_db = weights[weighed.evidence][column];
                        self.reason(worked, weighed, cause, weight_db)
                    })
                    .collect();
                self.cause_found(worked, cause, reasons)
            })
            .collect();
        found.sort_by(|a, b| surer_first((a.confidence, &a.id), (b.confidence, &b.id)));
        found
    }

    fn cause_found(
        &self,
        worked: &Worked<'k>,
        cause: usize,
        mut reasons: Vec<Reason>,
    ) -> CauseFound {
        let id = self.cause_id(worked.network.causes[cause]);
        let entry = &self.base.causes[id];
        let confidence = worked.posterior.marginals[cause];
        reasons.sort_by(|a, b| {
            b.weight_db
                .abs()
                .total_cmp(&a.weight_db.abs())
                .then_with(|| a.finding.id.cmp(&b.finding.id))
        });
        let (speaks_for, speaks_against) = reasons
            .into_iter()
            .partition(|reason| reason.weight_db > 0.0);
        CauseFound {
            id: id.clone(),
            name: entry.name.clone(),
            kind: entry.kind,
            summary: entry.summary.clone(),
            confidence,
            words: self.confidence_word(confidence),
            beforehand: worked.network.priors[cause],
            speaks_for,
            speaks_against,
            roots: self.roots_found(worked, id),
        }
    }

    /// A finding's weight for one cause, in words; `None` where it moves the cause by less than a tenth of a deciban,
    /// or was never told: the other colours of a spot that is green need no line each.
    pub(crate) fn reason(
        &self,
        worked: &Worked<'k>,
        weighed: &Weighed,
        cause: usize,
        weight_db: f64,
    ) -> Option<Reason> {
        const LEAST_DB: f64 = 0.1;
        if weight_db.is_nan()
            || weight_db.abs() < LEAST_DB
            || worked.facts.is_ruled_out(&weighed.finding)
        {
            return None;
        }
        let network = &worked.network;
        let evidence = &network.evidence[weighed.evidence];
        let place = network.causes.get(cause)?;
        let setting = self.setting(&worked.facts);
        let link = self
            .links
            .of(&weighed.finding)
            .iter()
            .filter(|link| link.cause == *place && setting.link_speaks(link))
            .max_by(|a, b| a.share.total_cmp(&b.share));
        let rival = evidence
            .links
            .iter()
            .filter(|&&(other, _)| other != cause && other != network.unknown())
            .map(|&(other, strength)| (worked.posterior.marginals[other] * strength, other))
            .filter(|&(taken, other)| {
                taken > evidence.leak
                    && worked.posterior.marginals[other] > worked.posterior.marginals[cause]
            })
            .max_by(|a, b| a.0.total_cmp(&b.0).then(b.1.cmp(&a.1)));
        Some(Reason {
            finding: self
                .wording(&worked.facts)
                .finding(&weighed.finding, weighed.seen),
            weight_db,
            taken_by: rival
                .filter(|_| weighed.seen)
                .map(|(_, other)| self.cause_id(network.causes[other]).clone()),
            sources: link
                .map(|link| link.shows.grounds.sources.clone())
                .unwrap_or_default(),
            differ: link.and_then(|link| link.shows.grounds.differ.clone()),
        })
    }

    /// The roots of a condition, or the ways in of the group a cause belongs to, most confident first.
    pub(crate) fn roots_found(&self, worked: &Worked<'k>, cause: &CauseId) -> Vec<RootFound> {
        let over = self.base.group_of(cause).map_or(cause, |(group, _)| group);
        let Some(part) = worked
            .network
            .root_parts
            .iter()
            .find(|part| self.cause_id(part.condition) == over)
        else {
            return Vec::new();
        };
        let mut found: Vec<RootFound> = part
            .roots
            .iter()
            .enumerate()
            .map(|(number, &root)| {
                let id = self.cause_id(root);
                let confidence = worked.confidence.get(id).copied().unwrap_or(0.0);
                RootFound {
                    id: id.clone(),
                    name: self.base.causes[id].name.clone(),
                    confidence,
                    words: self.confidence_word(confidence),
                    because: self.root_reasons(worked, part, number, root),
                }
            })
            .filter(|root| root.confidence >= self.base.scale.numbers.report_from)
            .collect();
        found.sort_by(|a, b| surer_first((a.confidence, &a.id), (b.confidence, &b.id)));
        found
    }

    fn root_reasons(
        &self,
        worked: &Worked<'k>,
        part: &RootPart,
        number: usize,
        root: usize,
    ) -> Vec<FindingText> {
        let wording = self.wording(&worked.facts);
        let setting = self.setting(&worked.facts);
        let shown = part
            .findings
            .iter()
            .filter(|weighed| weighed.seen)
            .filter(|weighed| {
                part.net.evidence()[weighed.evidence]
                    .links
                    .iter()
                    .any(|&(of, _)| of == number)
            })
            .map(|weighed| wording.finding(&weighed.finding, true));
        let raised = self.base.causes[root]
            .raised_by
            .iter()
            .filter(|raise| raise.times > 1.0 && setting.holds(&raise.when))
            .flat_map(|raise| {
                raise
                    .when
                    .literals()
                    .into_iter()
                    .filter(|literal| literal.holds)
            })
            .filter_map(|literal| literal.proposition.as_finding())
            .map(|finding| wording.finding(&finding, true));
        shown.chain(raised).collect()
    }

    /// What was seen though no cause explains it well.
    fn unexplained(&self, worked: &Worked<'k>) -> Vec<FindingText> {
        let network = &worked.network;
        let wording = self.wording(&worked.facts);
        network
            .findings
            .iter()
            .filter(|weighed| weighed.seen)
            .filter(|weighed| {
                let evidence = &network.evidence[weighed.evidence];
                let listed = evidence
                    .links
                    .iter()
                    .filter(|&&(cause, _)| cause != network.unknown());
                let unshown: f64 = listed
                    .map(|&(cause, share)| 1.0 - worked.posterior.marginals[cause] * share)
                    .product();
                evidence.leak < UNEXPLAINED_BELOW
                    && 1.0 - unshown < UNEXPLAINED_BELOW
                    && !self.is_normal(worked, &weighed.finding)
            })
            .map(|weighed| wording.finding(&weighed.finding, true))
            .collect()
    }

    fn is_normal(&self, worked: &Worked<'k>, finding: &Finding) -> bool {
        let (Finding::Sign(sign), Some(species)) = (finding, worked.facts.species()) else {
            return false;
        };
        self.base
            .species
            .get(species)
            .is_some_and(|species| species.normal.iter().any(|look| look.sign == *sign))
    }

    /// Signs that were seen and are no fault in this species, each with the species' note.
    fn normal_looks(&self, worked: &Worked<'k>) -> Vec<FindingText> {
        let Some(species) = worked
            .facts
            .species()
            .and_then(|species| self.base.species.get(species))
        else {
            return Vec::new();
        };
        let seen = |finding: &Finding| {
            worked
                .network
                .findings
                .iter()
                .any(|weighed| weighed.seen && weighed.finding == *finding)
        };
        species
            .normal
            .iter()
            .map(|look| (Finding::Sign(look.sign.clone()), &look.note))
            .filter(|(finding, _)| seen(finding))
            .map(|(finding, note)| FindingText {
                text: note.clone(),
                ..self.wording(&worked.facts).finding(&finding, true)
            })
            .collect()
    }

    pub(crate) fn derived_steps(&self, facts: &FactBase<'k>) -> Vec<DerivedStep> {
        let wording = self.wording(facts);
        let mut steps = Vec::new();
        for &number in facts.closure().order() {
            let Some(Origin::Derived(place)) = facts.origin(&self.rulebook, number) else {
                continue;
            };
            let Some((id, rule)) = self.base.rules.get_index(place) else {
                continue;
            };
            let holds = |literal: &Literal| {
                let number = self.rulebook.number(&Atom::Literal(literal.clone()));
                number.is_some_and(|number| facts.closure().holds(number))
            };
            steps.push(DerivedStep {
                rule: id.to_string(),
                text: rule.text.clone(),
                because: wording.holding(&rule.when, &holds),
                degree: facts.closure().degree(number),
            });
        }
        steps
    }
}

/// A finding is called unexplained where the causes together, as sure as they are, would show it less often than
/// this. One that is seen anyway at least as often needs no explaining.
///
/// judgement: what is accounted for in fewer than one case in five has to be named as open.
const UNEXPLAINED_BELOW: f64 = 0.2;

/// The surer one first; ids settle ties, so that nothing hangs on the order of the knowledge. Two that differ in the last
/// digits only are tied: what rounding left there would settle it otherwise.
pub(crate) fn surer_first(a: (f64, &CauseId), b: (f64, &CauseId)) -> Ordering {
    let told = |sure: f64| libm::round(sure * 1e12);
    told(b.0).total_cmp(&told(a.0)).then_with(|| a.1.cmp(b.1))
}

/// Whether something told speaks for a cause: a finding rather there than not that the cause would show.
pub(crate) fn spoken_for(evidence: &[Evidence], cause: usize) -> bool {
    evidence.iter().any(|evidence| {
        evidence.if_present > evidence.if_absent
            && evidence
                .links
                .iter()
                .any(|&(shown_by, strength)| shown_by == cause && strength > 0.0)
    })
}

/// Whether nothing was told, or only what nobody could tell.
fn only_unsure(worked: &Worked<'_>) -> bool {
    let signs = &worked.facts.observations().signs;
    worked.network.findings.iter().all(|weighed| {
        matches!(&weighed.finding, Finding::Sign(sign) if signs.get(sign) == Some(&Answer::Unsure))
    })
}

fn verdict(
    base: &KnowledgeBase,
    causes: &[CauseFound],
    nothing_fits: f64,
    nothing_wrong: f64,
) -> Verdict {
    let numbers = &base.scale.numbers;
    let odds = |confidence: f64| confidence / (1.0 - confidence);
    match causes {
        [] if nothing_fits >= numbers.conclude_at => Verdict::NothingFits,
        [] => Verdict::NothingWrong,
        [leader, ..] if nothing_fits >= numbers.conclude_at && leader.confidence < nothing_fits => {
            Verdict::NothingFits
        }
        [leader, ..]
            if nothing_wrong > leader.confidence && leader.confidence < numbers.conclude_at =>
        {
            Verdict::NothingWrong
        }
        [leader, rest @ ..] => {
            let close = rest.first().is_some_and(|rival| {
                rival.confidence < numbers.decided_at
                    && odds(rival.confidence) * numbers.close_factor > odds(leader.confidence)
            });
            if leader.confidence >= numbers.decided_at && !close {
                Verdict::Decided
            } else {
                Verdict::Undecided
            }
        }
    }
}
