//! The network for one occasion: which causes are considered, how likely each is beforehand, and what was found out.
//!
//! The links are indexed once for a knowledge base; only links of findings that something is known of are touched.

use indexmap::{IndexMap, IndexSet};
use rustc_hash::FxBuildHasher;

use crate::engine::condition::{Condition, Proposition, Truth};
use crate::engine::facts::{FactBase, Known};
use crate::engine::family;
use crate::engine::id::{CauseId, FamilyId, SpeciesId};
use crate::engine::knowledge::{Cause, CauseKind, Finding, KnowledgeBase, Map, Shows};
use crate::engine::rates::Rates;
use crate::engine::roots::RootNet;
use crate::engine::rulebook::Rulebook;
use crate::engine::weigh::Evidence;

/// The knowledge's links, by finding. Places are those of the causes in the knowledge.
#[derive(Debug, Clone)]
pub struct Links<'k> {
    by_finding: IndexMap<&'k Finding, Shown<'k>, FxBuildHasher>,
}

/// What shows one finding.
#[derive(Debug, Clone, Default)]
struct Shown<'k> {
    links: Vec<Link<'k>>,
    /// Whether a root is among it.
    by_root: bool,
}

/// A cause that shows a finding.
#[derive(Debug, Clone, Copy)]
pub struct Link<'k> {
    /// Place of the cause in the knowledge.
    pub cause: usize,
    /// How often the cause brings the finding about by itself.
    pub share: f64,
    /// Whether it holds on every occasion: most do, and then nothing else of the line need be looked at.
    always: bool,
    /// The line of the knowledge.
    pub shows: &'k Shows,
}

impl<'k> Links<'k> {
    /// Indexes every link.
    pub fn new(base: &'k KnowledgeBase) -> Self {
        let mut by_finding: IndexMap<&Finding, Shown<'_>, FxBuildHasher> = IndexMap::default();
        for (place, cause) in base.causes.values().enumerate() {
            for shows in &cause.shows {
                let shown = by_finding.entry(&shows.finding).or_default();
                shown.by_root |= cause.kind == CauseKind::Root;
                shown.links.push(Link {
                    cause: place,
                    share: shows.share,
                    always: shows.response_of.is_none()
                        && shows.not_in.is_empty()
                        && shows.only_if.is_none(),
                    shows,
                });
            }
        }
        Self { by_finding }
    }

    /// Every finding that some cause shows, with the causes that show it.
    pub fn iter(&self) -> impl Iterator<Item = (&'k Finding, &[Link<'k>])> {
        self.by_finding
            .iter()
            .map(|(finding, shown)| (*finding, shown.links.as_slice()))
    }

    /// The causes that show a finding.
    pub fn of(&self, finding: &Finding) -> &[Link<'k>] {
        self.by_finding
            .get(finding)
            .map_or(&[], |shown| shown.links.as_slice())
    }

    /// Whether it is a root that shows a finding.
    fn by_root(&self, finding: &Finding) -> bool {
        self.by_finding
            .get(finding)
            .is_some_and(|shown| shown.by_root)
    }
}

/// What is known of one finding, as the network takes it.
#[derive(Debug, Clone, PartialEq)]
pub struct Weighed {
    /// The finding.
    pub finding: Finding,
    /// Its place in the network's evidence.
    pub evidence: usize,
    /// Whether it is rather there than not.
    pub seen: bool,
}

/// A condition's roots with what was found out about them alone.
#[derive(Debug, Clone)]
pub struct RootPart {
    /// Place of the condition or group in the knowledge.
    pub condition: usize,
    /// Places of the roots in the knowledge.
    pub roots: Vec<usize>,
    /// The roots as a network of their own.
    pub net: RootNet,
    /// What was found out about the roots.
    pub findings: Vec<Weighed>,
}

/// The network for one occasion.
///
/// # Invariants
/// Causes are those of the main layer that are not ruled out by the setting, then the unknown cause; a prior lies
/// strictly between 0 and 1.
#[derive(Debug, Clone)]
pub struct Network {
    /// Places in the knowledge of the causes considered; the unknown cause comes after the last of them.
    pub causes: Vec<usize>,
    /// Their probabilities beforehand, the unknown cause last.
    pub priors: Vec<f64>,
    /// What was found out.
    pub evidence: Vec<Evidence>,
    /// The finding of each piece of evidence.
    pub findings: Vec<Weighed>,
    /// The roots of each condition and group.
    pub root_parts: Vec<RootPart>,
}

/// What setting up a network needs to look at.
#[derive(Clone, Copy)]
pub struct Setting<'a, 'k> {
    /// The knowledge.
    pub base: &'k KnowledgeBase,
    /// Its links.
    pub links: &'a Links<'k>,
    /// Its rules, numbered.
    pub rulebook: &'a Rulebook,
    /// What is known on this occasion.
    pub facts: &'a FactBase<'k>,
    /// Base rates of this grower's own.
    pub rates: &'a Rates,
}

impl<'k> Setting<'_, 'k> {
    fn truth(&self, condition: &Condition) -> Truth {
        condition.truth(&|proposition: &Proposition| self.facts.truth(self.rulebook, proposition))
    }

    /// Whether a guard leaves its rule in force: it does unless it is known to be false.
    pub fn in_force(&self, guard: Option<&Condition>) -> bool {
        guard.is_none_or(|guard| self.truth(guard) != Truth::False)
    }

    /// Whether a link holds on this occasion: its guard is not known to be false, and what it says is of this species.
    pub fn speaks(&self, shows: &Shows) -> bool {
        let species = self.facts.species();
        let named = |id: &SpeciesId| species == Some(id.as_str());
        shows.response_of.as_ref().is_none_or(named)
            && !shows.not_in.iter().any(named)
            && self.in_force(shows.only_if.as_ref())
    }

    /// The same of an indexed link.
    pub fn link_speaks(&self, link: &Link<'_>) -> bool {
        link.always || self.speaks(link.shows)
    }

    /// The causes that show a finding on this occasion, by their place in the knowledge, with how often. Several lines of
    /// one cause for one finding are alternatives, one for each circumstance: where it is not known which one holds, the
    /// strongest counts, and not all of them together.
    pub fn shown_by(&self, finding: &Finding) -> Vec<(usize, f64)> {
        self.shown(self.links.of(finding))
    }

    /// The same of the indexed links of one finding.
    pub fn shown(&self, links: &[Link<'_>]) -> Vec<(usize, f64)> {
        let mut shown: Vec<(usize, f64)> = Vec::with_capacity(links.len());
        for link in links.iter().filter(|link| self.link_speaks(link)) {
            // The links of a finding are indexed cause by cause.
            match shown.last_mut().filter(|(last, _)| *last == link.cause) {
                Some((_, share)) => *share = share.max(link.share),
                None => shown.push((link.cause, link.share)),
            }
        }
        shown
    }

    /// Whether a finding can be there at all, as far as is known.
    pub fn can_be_there(&self, finding: &Finding) -> bool {
        match finding {
            Finding::Sign(sign) => {
                let entry = self.base.signs.get(sign);
                entry.is_none_or(|entry| self.in_force(entry.asked_if.as_ref()))
            }
            Finding::Fact(_) | Finding::Reading(_) => true,
        }
    }

    /// What is known of a finding, as a likelihood pair. That something is missing which cannot be there says nothing:
    /// a block without pins does not speak against a cause of few pins.
    pub fn evidence(&self, finding: &Finding) -> Option<(f64, f64)> {
        match self.links.by_finding.get_index_of(finding) {
            Some(place) => self.known(place),
            None => self.weighed(finding, self.facts.evidence(self.rulebook, finding)),
        }
    }

    /// The same of the finding at a place of the links, before it is asked whether it can be there.
    fn known(&self, place: usize) -> Known {
        let findings = self.links.by_finding.keys().copied();
        let known = self.facts.known_of(self.rulebook, findings)[place];
        known.and_then(|_| self.weighed(self.finding(place)?, known))
    }

    fn finding(&self, place: usize) -> Option<&'k Finding> {
        let (finding, _) = self.links.by_finding.get_index(place)?;
        Some(finding)
    }

    fn weighed(&self, finding: &Finding, known: Known) -> Known {
        let (present, absent) = known?;
        (present > absent || self.can_be_there(finding)).then_some((present, absent))
    }

    /// Whether nothing is known of a finding: neither told nor derived.
    pub fn is_unknown(&self, finding: &Finding) -> bool {
        let findings = self.links.by_finding.keys().copied();
        match self.links.by_finding.get_index_of(finding) {
            Some(place) => self.facts.known_of(self.rulebook, findings)[place].is_none(),
            None => self.facts.evidence(self.rulebook, finding).is_none(),
        }
    }

    /// Every finding that the causes show, with them, of which nothing is known.
    pub fn unknown(&self) -> impl Iterator<Item = (&'k Finding, &[Link<'k>])> {
        let findings = self.links.by_finding.keys().copied();
        let known = self.facts.known_of(self.rulebook, findings);
        let open = self.links.iter().zip(known);
        open.filter(|(_, known)| known.is_none())
            .map(|(shown, _)| shown)
    }

    /// Whether a condition is known to hold.
    pub fn holds(&self, condition: &Condition) -> bool {
        self.truth(condition) == Truth::True
    }

    /// How often a finding is there with nothing listed wrong, in this species.
    pub fn anyway(&self, finding: &Finding) -> f64 {
        self.base.anyway(finding, self.facts.species())
    }

    /// The family of a finding. Comparisons of one reading from one side are a family of their own.
    fn family(&self, finding: &Finding) -> Option<Family> {
        match finding {
            Finding::Sign(sign) => self.base.signs.get(sign)?.family.clone().map(Family::Named),
            Finding::Fact(fact) => self.base.facts.get(fact)?.family.clone().map(Family::Named),
            Finding::Reading(comparison) => Some(Family::Reading(
                comparison.reading.as_str().to_owned(),
                comparison.side as u8,
            )),
        }
    }

    /// The cause's probability beforehand, risk factors and the grower's own rate included.
    pub fn prior(&self, id: &CauseId, cause: &Cause) -> f64 {
        raised(
            cause.base_rate,
            self.raised_times(cause) * self.rates.times(id),
        )
    }

    /// What the odds of a cause are multiplied by on this occasion.
    pub fn raised_times(&self, cause: &Cause) -> f64 {
        cause
            .raised_by
            .iter()
            .filter(|raise| self.truth(&raise.when) == Truth::True)
            .map(|raise| raise.times)
            .product()
    }
}

#[derive(Debug, Clone, PartialEq, Eq, Hash)]
enum Family {
    Named(FamilyId),
    Reading(String, u8),
}

/// A probability whose odds were multiplied.
fn raised(probability: f64, times: f64) -> f64 {
    let odds = probability / (1.0 - probability) * times;
    if odds.is_finite() {
        odds / (1.0 + odds)
    } else {
        probability
    }
}

impl Network {
    /// Sets up the network for one occasion.
    pub fn new(setting: Setting<'_, '_>) -> Self {
        let base = setting.base;
        let numbers = &base.scale.numbers;
        let mut place_in_net = vec![None; base.causes.len()];
        let mut causes = Vec::new();
        let mut priors = Vec::new();
        for (place, cause) in base.causes.values().enumerate() {
            let main = cause.kind != CauseKind::Root && cause.any_of.is_empty();
            if main && setting.in_force(cause.only_if.as_ref()) {
                place_in_net[place] = Some(causes.len());
                causes.push(place);
                priors.push(cause.base_rate);
            }
        }
        let unknown = causes.len();

        let mut root_parts = Vec::new();
        for (place, cause) in base.causes.values().enumerate() {
            if cause.roots.is_empty() {
                continue;
            }
            let part = root_part(setting, place, cause, &priors, &place_in_net);
            if let (Some(part), Some(place)) = (&part, place_in_net[place]) {
                priors[place] = part.net.condition_prior();
            }
            root_parts.extend(part);
        }
        for (prior, &place) in priors.iter_mut().zip(&causes) {
            // The grower's own rate multiplies the odds as a risk factor does: what roots and leak share stays as shipped.
            if let Some((id, cause)) = base.causes.get_index(place) {
                *prior = raised(
                    *prior,
                    setting.raised_times(cause) * setting.rates.times(id),
                );
            }
        }
        priors.push(numbers.unknown_base_rate);

        let links_of = |finding: &Finding| {
            let mut links: Vec<(usize, f64)> = setting
                .shown_by(finding)
                .into_iter()
                .filter_map(|(place, share)| Some((place_in_net[place]?, share)))
                .collect();
            if matches!(finding, Finding::Sign(_)) {
                let lifted = setting.anyway(finding) * numbers.unknown_lift;
                links.push((unknown, numbers.unknown_strength.min(lifted)));
            }
            links
        };
        let mut collected = Vec::new();
        for finding in known_findings(setting) {
            if setting.links.by_root(&finding) {
                continue;
            }
            let links = links_of(&finding);
            collected.push((finding, links));
        }
        let (evidence, findings) = gather(setting, &priors, collected);
        Self {
            causes,
            priors,
            evidence,
            findings,
            root_parts,
        }
    }

    /// Place of the unknown cause.
    pub fn unknown(&self) -> usize {
        self.causes.len()
    }

    /// Place in the network of a cause of the knowledge.
    pub fn place_of(&self, cause: usize) -> Option<usize> {
        self.causes.iter().position(|&place| place == cause)
    }
}

/// Every finding something is known of: those some cause shows, and signs that were told though no cause shows them.
fn known_findings(setting: Setting<'_, '_>) -> Vec<Finding> {
    let shown = setting.links.by_finding.keys().enumerate();
    let mut findings: Vec<Finding> = shown
        .filter(|(place, _)| setting.known(*place).is_some())
        .map(|(_, finding)| (*finding).clone())
        .collect();
    let told = setting.facts.observations().signs.keys();
    let mut alone: Vec<(usize, Finding)> = told
        .filter_map(|sign| {
            let finding = Finding::Sign(sign.clone());
            let shown = setting.links.by_finding.contains_key(&finding);
            let place = setting.base.signs.get_index_of(sign)?;
            (!shown).then_some((place, finding))
        })
        .collect();
    // In the order of the knowledge, so that it does not show what was told first.
    alone.sort_by_key(|(place, _)| *place);
    findings.extend(alone.into_iter().map(|(_, finding)| finding));
    findings
}

/// Turns findings into evidence. Members of a family come in the order of what each alone would tell, the most telling
/// first, so that the order of answers does not matter; the later ones count partly.
fn gather(
    setting: Setting<'_, '_>,
    priors: &[f64],
    collected: Vec<(Finding, Vec<(usize, f64)>)>,
) -> (Vec<Evidence>, Vec<Weighed>) {
    let mut evidence = Vec::new();
    let mut findings = Vec::new();
    let mut families: Map<Family, Vec<usize>> = Map::default();
    for (finding, links) in collected {
        let Some((if_present, if_absent)) = setting.evidence(&finding) else {
            continue;
        };
        if let Some(family) = setting.family(&finding) {
            families.entry(family).or_default().push(evidence.len());
        }
        findings.push(Weighed {
            evidence: evidence.len(),
            seen: if_present > if_absent,
            finding,
        });
        evidence.push(Evidence {
            if_present,
            if_absent,
            leak: setting.anyway(&findings[findings.len() - 1].finding),
            links,
        });
    }
    for members in families.into_values().filter(|members| members.len() > 1) {
        let mut ordered: Vec<(f64, usize)> = members
            .into_iter()
            .map(|member| (own_information(priors, &evidence[member]), member))
            .collect();
        ordered.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        let pairs: Vec<(f64, f64)> = ordered
            .iter()
            .map(|&(_, member)| (evidence[member].if_present, evidence[member].if_absent))
            .collect();
        let adjusted = family::damp(&pairs, setting.base.scale.numbers.copy_rate);
        for ((_, member), (if_present, if_absent)) in ordered.into_iter().zip(adjusted) {
            evidence[member].if_present = if_present;
            evidence[member].if_absent = if_absent;
        }
    }
    (evidence, findings)
}

/// A yardstick for how telling a finding is by itself: how far the causes lift its chance above the leak, in bits.
fn own_information(priors: &[f64], evidence: &Evidence) -> f64 {
    let entropy = |p: f64| {
        let part = |p: f64| if p > 0.0 { -p * p.log2() } else { 0.0 };
        part(p) + part(1.0 - p)
    };
    let absent: f64 = (1.0 - evidence.leak)
        * evidence
            .links
            .iter()
            .map(|&(cause, strength)| 1.0 - priors.get(cause).copied().unwrap_or(0.0) * strength)
            .product::<f64>();
    // The strongest single cause stands for all of them: enough to order a family.
    let strongest = evidence
        .links
        .iter()
        .map(|&(cause, strength)| {
            let prior = priors.get(cause).copied().unwrap_or(0.0);
            let with = 1.0 - absent / (1.0 - prior * strength) * (1.0 - strength);
            let without = 1.0 - absent / (1.0 - prior * strength);
            entropy(1.0 - absent) - prior * entropy(with) - (1.0 - prior) * entropy(without)
        })
        .fold(0.0, f64::max);
    if strongest.is_finite() {
        strongest
    } else {
        0.0
    }
}

/// Those links that come from these causes, each by its number among them.
pub(crate) fn among(places: &[usize], links: Vec<(usize, f64)>) -> Vec<(usize, f64)> {
    let mut found: Vec<(usize, f64)> = links
        .into_iter()
        .filter_map(|(place, share)| Some((places.iter().position(|&one| one == place)?, share)))
        .collect();
    found.sort_by_key(|&(number, _)| number);
    found
}

/// The roots of one condition or group with their own findings; `None` where none of it is considered.
fn root_part(
    setting: Setting<'_, '_>,
    place: usize,
    condition: &Cause,
    priors: &[f64],
    place_in_net: &[Option<usize>],
) -> Option<RootPart> {
    let base = setting.base;
    let base_rate = if condition.any_of.is_empty() {
        priors[place_in_net[place]?]
    } else {
        let members = condition
            .any_of
            .iter()
            .filter_map(|member| place_in_net[base.causes.get_index_of(member)?]);
        1.0 - members.map(|member| 1.0 - priors[member]).product::<f64>()
    };
    let mut roots = Vec::new();
    let mut root_priors = Vec::new();
    let mut usual_priors = Vec::new();
    let mut brings = Vec::new();
    for link in &condition.roots {
        let Some((root, id, cause)) = base.causes.get_full(&link.cause) else {
            continue;
        };
        if !setting.in_force(cause.only_if.as_ref()) {
            continue;
        }
        roots.push(root);
        root_priors.push(setting.prior(id, cause));
        usual_priors.push(cause.base_rate);
        brings.push(link.brings);
    }
    let findings: IndexSet<&Finding, FxBuildHasher> = roots
        .iter()
        .flat_map(|&root| base.causes[root].shows.iter().map(|shows| &shows.finding))
        .filter(|finding| setting.evidence(finding).is_some())
        .collect();
    let collected = findings
        .into_iter()
        .map(|finding| (finding.clone(), among(&roots, setting.shown_by(finding))))
        .filter(|(_, links)| !links.is_empty())
        .collect();
    let (evidence, findings) = gather(setting, &root_priors, collected);
    // What the listed roots do not account for at their usual rates is the leak; raised roots raise the condition.
    let net = RootNet::from_base_rate(base_rate, &usual_priors, &brings, &evidence)
        .with_priors(&root_priors);
    Some(RootPart {
        condition: place,
        roots,
        net,
        findings,
    })
}
