//! Why a cause is believed, and why it is not.

use crate::engine::condition::{Condition, Literal};
use crate::engine::diagnosis::{DerivedStep, FindingText, Reason, RootFound};
use crate::engine::id::CauseId;
use crate::engine::influence::leave_one_out_for;
use crate::engine::knowledge::{Asking, CauseKind, Finding};
use crate::engine::network::RootPart;
use crate::engine::observations::Observations;
use crate::engine::rates::PersonalRate;
use crate::engine::reasoner::{Reasoner, Worked, surer_first};
use crate::engine::weigh::{Evidence, weigh};

/// How a cause came by its confidence.
#[derive(Debug, Clone, PartialEq)]
pub struct Explanation {
    /// Which cause.
    pub cause: CauseId,
    /// What it is called.
    pub name: String,
    /// What sort of cause it is.
    pub kind: CauseKind,
    /// What it is.
    pub summary: String,
    /// Whether the setting rules it out (another species, say), so that it was not considered.
    pub ruled_out: bool,
    /// Its probability, given everything told.
    pub confidence: f64,
    /// The word of the confidence scale.
    pub words: String,
    /// How common it is before anything is told.
    pub base_rate: f64,
    /// What stands in for that with this grower.
    pub personal_rate: Option<PersonalRate>,
    /// Its probability before any sign was weighed, risk factors included.
    pub beforehand: f64,
    /// The risk factors that applied: what holds, and what the odds are multiplied by.
    pub risk_factors: Vec<(String, f64)>,
    /// Findings that speak for it, strongest first.
    pub speaks_for: Vec<Reason>,
    /// Findings that speak against it, strongest first.
    pub speaks_against: Vec<Reason>,
    /// How derived findings came about.
    pub derived: Vec<DerivedStep>,
    /// Causes that are likelier, most confident first.
    pub rivals: Vec<Rival>,
    /// Open checks that would bring it up most.
    pub would_raise: Vec<Outlook>,
    /// Open checks that would bring it down most.
    pub would_lower: Vec<Outlook>,
    /// For a root: the condition it hangs on, with its confidence. For a member of a group: the group.
    pub hangs_on: Option<Rival>,
    /// What may stand behind it.
    pub roots: Vec<RootFound>,
}

/// Another cause with its confidence.
#[derive(Debug, Clone, PartialEq)]
pub struct Rival {
    /// Which cause.
    pub id: CauseId,
    /// What it is called.
    pub name: String,
    /// Its probability.
    pub confidence: f64,
}

/// What an open check would do to the cause.
#[derive(Debug, Clone, PartialEq)]
pub struct Outlook {
    /// What would be found.
    pub finding: FindingText,
    /// How it is asked for.
    pub question: String,
    /// The cause's probability if this was found.
    pub confidence: f64,
}

/// The most open checks named in each direction.
const MOST_OUTLOOKS: usize = 3;
/// The most rivals named.
const MOST_RIVALS: usize = 3;

impl Reasoner<'_> {
    /// How a cause came by its confidence, and what would change it; `None` where the knowledge has no such cause.
    pub fn explain(&self, observations: &Observations, cause: &str) -> Option<Explanation> {
        let (place, id, entry) = self.base.causes.get_full(cause)?;
        let worked = self.work(observations);
        let in_net = worked.network.place_of(place);
        let in_roots = worked.network.root_parts.iter().find_map(|part| {
            part.roots
                .iter()
                .position(|&root| root == place)
                .map(|number| (part, number))
        });
        let confidence = worked.confidence.get(id).copied().unwrap_or(0.0);
        let setting = self.setting(&worked.facts);
        let wording = self.wording(&worked.facts);
        let risk_factors = entry
            .raised_by
            .iter()
            .filter(|raise| setting.holds(&raise.when))
            .map(|raise| {
                let holds = |literal: &Literal| setting.holds(&Condition::Literal(literal.clone()));
                (
                    wording.holding(&raise.when, &holds).join(", and "),
                    raise.times,
                )
            })
            .collect();
        let beforehand = match (in_net, in_roots) {
            (Some(place), _) => worked.network.priors[place],
            (None, Some((part, number))) => part.net.priors()[number],
            (None, None) => entry.base_rate,
        };
        let (speaks_for, speaks_against) = match (in_net, in_roots) {
            (Some(place), _) => self.reasons(&worked, place),
            (None, Some((part, number))) => self.root_weights(&worked, part, number),
            (None, None) => (Vec::new(), Vec::new()),
        };
        let over = self
            .base
            .condition_of(id)
            .or_else(|| self.base.group_of(id));
        let (would_raise, would_lower) =
            in_net.map_or_else(Default::default, |place| self.outlooks(&worked, place));
        Some(Explanation {
            cause: id.clone(),
            name: entry.name.clone(),
            kind: entry.kind,
            summary: entry.summary.clone(),
            ruled_out: in_net.is_none() && in_roots.is_none() && entry.any_of.is_empty(),
            confidence,
            words: self.confidence_word(confidence),
            base_rate: entry.base_rate,
            personal_rate: self.rates.of(id).cloned(),
            beforehand,
            risk_factors,
            speaks_for,
            speaks_against,
            derived: self.derived_steps(&worked.facts),
            rivals: self.rivals(&worked, id, confidence),
            would_raise,
            would_lower,
            hangs_on: over.map(|(id, _)| self.rival(&worked, id)),
            roots: self.roots_found(&worked, id),
        })
    }

    fn rival(&self, worked: &Worked<'_>, id: &CauseId) -> Rival {
        Rival {
            id: id.clone(),
            name: self.base.causes[id].name.clone(),
            confidence: worked.confidence.get(id).copied().unwrap_or(0.0),
        }
    }

    fn rivals(&self, worked: &Worked<'_>, cause: &CauseId, confidence: f64) -> Vec<Rival> {
        let network = &worked.network;
        let mut rivals: Vec<Rival> = network
            .causes
            .iter()
            .map(|&place| self.cause_id(place))
            .filter(|id| *id != cause && worked.heard.contains_key(*id))
            .map(|id| self.rival(worked, id))
            .filter(|rival| {
                rival.confidence > confidence
                    && rival.confidence >= self.base.scale.numbers.report_from
            })
            .collect();
        rivals.sort_by(|a, b| surer_first((a.confidence, &a.id), (b.confidence, &b.id)));
        rivals.truncate(MOST_RIVALS);
        rivals
    }

    fn reasons(&self, worked: &Worked<'_>, place: usize) -> (Vec<Reason>, Vec<Reason>) {
        let network = &worked.network;
        let weights = leave_one_out_for(&network.priors, &network.evidence, &[place]);
        let reasons = network
            .findings
            .iter()
            .filter_map(|weighed| self.reason(worked, weighed, place, weights[weighed.evidence][0]))
            .collect();
        sorted_by_side(reasons)
    }

    /// The weights of what was found out about roots alone, for one of them.
    fn root_weights(
        &self,
        worked: &Worked<'_>,
        part: &RootPart,
        number: usize,
    ) -> (Vec<Reason>, Vec<Reason>) {
        let weights = leave_one_out_for(part.net.priors(), part.net.evidence(), &[number]);
        let root = &self.base.causes[part.roots[number]];
        let reasons = part
            .findings
            .iter()
            .map(|weighed| {
                let shows = root
                    .shows
                    .iter()
                    .find(|shows| shows.finding == weighed.finding);
                Reason {
                    finding: self
                        .wording(&worked.facts)
                        .finding(&weighed.finding, weighed.seen),
                    weight_db: weights[weighed.evidence][0],
                    taken_by: None,
                    sources: shows
                        .map(|shows| shows.grounds.sources.clone())
                        .unwrap_or_default(),
                    differ: shows.and_then(|shows| shows.grounds.differ.clone()),
                }
            })
            .filter(|reason| reason.weight_db.abs() > 0.0)
            .collect();
        sorted_by_side(reasons)
    }

    /// The open findings that would move a cause most, upwards and downwards.
    fn outlooks(&self, worked: &Worked<'_>, place: usize) -> (Vec<Outlook>, Vec<Outlook>) {
        let network = &worked.network;
        let now = worked.posterior.marginals[place];
        let cause = network.causes[place];
        let mut found: Vec<(f64, Outlook)> = Vec::new();
        for shows in &self.base.causes[cause].shows {
            let setting = self.setting(&worked.facts);
            let known = worked
                .facts
                .evidence(&self.rulebook, &shows.finding)
                .is_some();
            if known
                || matches!(shows.finding, Finding::Fact(_))
                || !setting.can_be_there(&shows.finding)
                || !setting.speaks(shows)
            {
                continue;
            }
            let links: Vec<(usize, f64)> = setting
                .shown_by(&shows.finding)
                .into_iter()
                .filter_map(|(cause, share)| Some((network.place_of(cause)?, share)))
                .collect();
            let leak = setting.anyway(&shows.finding);
            for holds in [true, false] {
                let mut evidence = network.evidence.clone();
                let links = links.clone();
                evidence.push(if holds {
                    Evidence::seen(leak, links)
                } else {
                    Evidence::not_there(leak, links)
                });
                let confidence = weigh(&network.priors, &evidence).marginals[place];
                found.push((
                    confidence - now,
                    Outlook {
                        finding: self.wording(&worked.facts).finding(&shows.finding, holds),
                        question: self.question_of(&shows.finding),
                        confidence,
                    },
                ));
            }
        }
        found.sort_by(|a, b| {
            b.0.total_cmp(&a.0)
                .then_with(|| a.1.finding.id.cmp(&b.1.finding.id))
        });
        let raise = found
            .iter()
            .filter(|(by, _)| *by > 0.0)
            .take(MOST_OUTLOOKS)
            .map(|(_, one)| one.clone())
            .collect();
        let lower = found
            .iter()
            .rev()
            .filter(|(by, _)| *by < 0.0)
            .take(MOST_OUTLOOKS)
            .map(|(_, one)| one.clone())
            .collect();
        (raise, lower)
    }

    fn question_of(&self, finding: &Finding) -> String {
        match finding {
            Finding::Sign(sign) => match self.base.signs.get(sign).map(|sign| &sign.asking) {
                Some(Asking::Alone { question }) => question.clone(),
                Some(Asking::Option { question, option }) => {
                    let asked = self
                        .base
                        .questions
                        .get(question)
                        .map_or("", |question| question.ask.as_str());
                    format!("{asked} ({option})")
                }
                None => String::new(),
            },
            Finding::Reading(comparison) => self
                .base
                .readings
                .get(&comparison.reading)
                .map_or_else(String::new, |reading| reading.question.clone()),
            Finding::Fact(_) => String::new(),
        }
    }
}

fn sorted_by_side(mut reasons: Vec<Reason>) -> (Vec<Reason>, Vec<Reason>) {
    reasons.sort_by(|a, b| {
        b.weight_db
            .abs()
            .total_cmp(&a.weight_db.abs())
            .then_with(|| a.finding.id.cmp(&b.finding.id))
    });
    reasons
        .into_iter()
        .partition(|reason| reason.weight_db > 0.0)
}
