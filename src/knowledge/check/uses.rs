//! What brings a cause up, what tells it apart, and what nobody uses.

use std::collections::{BTreeMap, HashSet};

use rustc_hash::FxHashSet;

use crate::engine::condition::{Condition, Finding, Proposition};
use crate::engine::knowledge::{Cause, CauseKind};
use crate::engine::quantity::Unit;
use crate::engine::wording::finding_id;
use crate::knowledge::check::{Found, names_of};
use crate::knowledge::problem::ProblemCode;
use crate::knowledge::shape::Kind;

/// Kinds of which every entry should be named somewhere.
const USABLE: [Kind; 5] = [
    Kind::Source,
    Kind::Action,
    Kind::Caution,
    Kind::Setup,
    Kind::Person,
];

/// Signs and facts that are spoken of.
#[derive(Default)]
struct Told<'b> {
    signs: FxHashSet<&'b str>,
    facts: FxHashSet<&'b str>,
}

impl<'b> Told<'b> {
    fn proposition(&mut self, proposition: &'b Proposition) {
        match proposition {
            Proposition::Sign(sign) => _ = self.signs.insert(sign.as_str()),
            Proposition::Fact(fact) => _ = self.facts.insert(fact.as_str()),
            _ => {}
        }
    }

    fn condition(&mut self, condition: &'b Condition) {
        condition.each_literal(&mut |literal| self.proposition(&literal.proposition));
    }

    fn finding(&mut self, finding: &'b Finding) {
        match finding {
            Finding::Sign(sign) => _ = self.signs.insert(sign.as_str()),
            Finding::Fact(fact) => _ = self.facts.insert(fact.as_str()),
            Finding::Reading(_) => {}
        }
    }
}

impl Found<'_> {
    /// Each cause shows nothing twice.
    pub(super) fn causes(&mut self) {
        let gathered = self.gathered;
        for (id, entry) in &gathered.causes {
            let cause = &entry.cause;
            let mut seen: Vec<(&Finding, String)> = Vec::new();
            for (shows, span) in cause.shows.iter().zip(&entry.shows_at) {
                let key = (&shows.finding, format!("{:?}", shows.only_if));
                if seen.contains(&key) {
                    let message = format!("`{id}` shows `{}` twice", finding_id(&shows.finding));
                    self.at_cause(
                        ProblemCode::RepeatedRule,
                        id,
                        span.clone(),
                        message,
                        "again",
                        "keep one of the two",
                    );
                }
                seen.push(key);
            }
        }
    }

    /// Each cause can be brought up.
    pub(super) fn brought_up(&mut self) {
        let gathered = self.gathered;
        for (id, entry) in &gathered.causes {
            let cause = &entry.cause;
            let reachable = !cause.shows.is_empty()
                || !cause.any_of.is_empty()
                || cause.kind == CauseKind::Root
                || !cause.roots.is_empty();
            if !reachable {
                let message = format!("nothing brings `{id}` up");
                let help = "give it rules: what does it show?";
                self.at_cause(
                    ProblemCode::UnreachableCause,
                    id,
                    entry.span.clone(),
                    message,
                    "shows nothing",
                    help,
                );
            }
        }
    }

    /// What is at odds is accounted for by causes that show it.
    pub(super) fn at_odds(&mut self) {
        let base = self.base();
        let mut lacking: Vec<(String, Option<String>)> = Vec::new();
        for (id, fact) in &base.facts {
            let Some(at_odds) = &fact.at_odds else {
                continue;
            };
            if at_odds.may_be.is_empty() {
                lacking.push((id.to_string(), None));
            }
            let finding = Finding::Fact(id.clone());
            for cause in &at_odds.may_be {
                let shown = base.causes.get(cause);
                if shown.is_some_and(|cause| !shows(cause, &finding)) {
                    lacking.push((id.to_string(), Some(cause.to_string())));
                }
            }
        }
        for (fact, cause) in lacking {
            let (message, help) = match cause {
                None => (
                    format!("`{fact}` is at odds and nothing is named that it may be"),
                    "name under `may-be` the causes that would account for it".to_owned(),
                ),
                Some(cause) => (
                    format!("`{fact}` is at odds and may be `{cause}`, which does not show it"),
                    format!(
                        "add a rule with `{{ fact = \"{fact}\" }}` to the cause, or name another"
                    ),
                ),
            };
            self.at_entry(
                ProblemCode::BadContradiction,
                (Kind::Fact, &fact),
                message,
                "accounted for by nothing",
                Some(help),
            );
        }
    }

    /// Each cause is told apart from its look-alikes by what it says.
    pub(super) fn pairs(&mut self) {
        let gathered = self.gathered;
        for (id, entry) in &gathered.causes {
            let cause = &entry.cause;
            for (pair, span) in cause.look_alikes.iter().zip(&entry.pairs_at) {
                let Some(other) = gathered.base.causes.get(&pair.cause) else {
                    continue;
                };
                if shows(cause, &pair.told_apart_by) == shows(other, &pair.told_apart_by) {
                    let both = if shows(cause, &pair.told_apart_by) {
                        "both show it"
                    } else {
                        "neither shows it"
                    };
                    let message = format!(
                        "`{}` does not tell `{id}` and `{}` apart: {both}",
                        finding_id(&pair.told_apart_by),
                        pair.cause
                    );
                    let help = "name a finding that is a rule of one of them alone";
                    self.at_cause(
                        ProblemCode::BadPair,
                        id,
                        span.clone(),
                        message,
                        "tells nothing",
                        help,
                    );
                }
            }
        }
    }

    pub(super) fn signs_and_facts(&mut self) {
        let base = &self.gathered.base;
        let mut used = Told::default();
        for cause in base.causes.values() {
            for shows in &cause.shows {
                used.finding(&shows.finding);
                shows.only_if.iter().for_each(|guard| used.condition(guard));
            }
            cause.only_if.iter().for_each(|guard| used.condition(guard));
            let raises = cause.raised_by.iter();
            raises.for_each(|raise| used.condition(&raise.when));
        }
        let species = base.species.values();
        let responses = species.flat_map(|species| &species.responses);
        used.signs
            .extend(responses.map(|response| response.sign.as_str()));
        let triggers = base.actions.values().flat_map(|action| &action.rules);
        let triggers = triggers.chain(base.cautions.values().flat_map(|caution| &caution.rules));
        triggers.for_each(|trigger| used.condition(&trigger.when));
        let guards = base.signs.values();
        let guards = guards.filter_map(|sign| sign.asked_if.as_ref());
        guards.for_each(|guard| used.condition(guard));
        let mut derived = Told::default();
        for rule in base.rules.values() {
            used.condition(&rule.when);
            derived.proposition(&rule.then.proposition);
        }
        for sign in base.signs.keys().map(|id| id.as_str()) {
            if !used.signs.contains(sign) {
                let help = Some("let a cause show it, or take it out".to_owned());
                let message = format!("no rule uses the sign `{sign}`");
                self.at_entry(
                    ProblemCode::UnusedSign,
                    (Kind::Sign, sign),
                    message,
                    "means nothing",
                    help,
                );
            }
        }
        for fact in base.facts.keys().map(|id| id.as_str()) {
            let (message, help) = match (used.facts.contains(fact), derived.facts.contains(fact)) {
                (true, true) => continue,
                (_, false) => (
                    format!("no rule derives the fact `{fact}`"),
                    "add a `[[rule]]` with this fact under `then`, or take it out",
                ),
                (false, true) => (
                    format!("nothing uses the fact `{fact}`"),
                    "let a cause, an action or a caution ask for it, or take it out",
                ),
            };
            self.at_entry(
                ProblemCode::UnusedFact,
                (Kind::Fact, fact),
                message,
                "leads nowhere",
                Some(help.to_owned()),
            );
        }
        let empty: Vec<String> = self
            .base()
            .questions
            .iter()
            .filter(|(_, one)| one.signs.is_empty())
            .map(|(id, _)| id.to_string())
            .collect();
        for question in empty {
            let message = format!("no sign is asked by the question `{question}`");
            self.at_entry(
                ProblemCode::NeverUsed,
                (Kind::Question, &question),
                message,
                "asks nothing",
                Some("name it under `asked-by` of a sign, or take it out".to_owned()),
            );
        }
    }

    pub(super) fn families(&mut self) {
        let base = self.base();
        let mut members: BTreeMap<String, Vec<(Kind, String)>> = BTreeMap::new();
        for (id, sign) in &base.signs {
            if let Some(family) = &sign.family {
                members
                    .entry(family.to_string())
                    .or_default()
                    .push((Kind::Sign, id.to_string()));
            }
        }
        for (id, fact) in &base.facts {
            if let Some(family) = &fact.family {
                members
                    .entry(family.to_string())
                    .or_default()
                    .push((Kind::Fact, id.to_string()));
            }
        }
        for (family, members) in members {
            if let [(kind, id)] = members.as_slice() {
                let message = format!("`{id}` is the only member of the family `{family}`");
                let help = Some(
                    "a family holds signs that move together; leave it out for one alone"
                        .to_owned(),
                );
                self.at_entry(
                    ProblemCode::LonelyFamily,
                    (*kind, id),
                    message,
                    "alone",
                    help,
                );
            }
        }
    }

    /// What a round feeds counts days.
    pub(super) fn rounds(&mut self) {
        let gathered = self.gathered;
        for (id, round) in &gathered.base.rounds {
            let fed = round.feeds.as_ref();
            let fed = fed.and_then(|feeds| gathered.base.readings.get_key_value(feeds));
            let Some((feeds, reading)) = fed.filter(|(_, reading)| reading.unit != Unit::Day)
            else {
                continue;
            };
            let message = format!(
                "`{id}` feeds `{feeds}`, which is given in {} and not in days",
                reading.unit.symbol()
            );
            let help = Some("name a reading that counts days since it was done".to_owned());
            self.at_entry(
                ProblemCode::WrongType,
                (Kind::Round, id.as_str()),
                message,
                "feeds no count of days",
                help,
            );
        }
    }

    pub(super) fn never_used(&mut self) {
        let gathered = self.gathered;
        let references = gathered.references.iter().flat_map(|(_, all)| all);
        let referred: FxHashSet<(Kind, &str)> = references
            .filter(|reference| USABLE.contains(&reference.kind))
            .map(|reference| (reference.kind, reference.id.as_str()))
            .collect();
        let with_rules: HashSet<&str> = {
            let base = &gathered.base;
            let actions = base
                .actions
                .iter()
                .filter(|(_, one)| !one.rules.is_empty())
                .map(|(id, _)| id.as_str());
            let cautions = base
                .cautions
                .iter()
                .filter(|(_, one)| !one.rules.is_empty())
                .map(|(id, _)| id.as_str());
            actions.chain(cautions).collect()
        };
        for kind in USABLE {
            let names: Vec<String> = names_of(&gathered.base, kind)
                .into_iter()
                .map(str::to_owned)
                .collect();
            for name in names {
                let advice = matches!(kind, Kind::Action | Kind::Caution)
                    && with_rules.contains(name.as_str());
                let risk = kind == Kind::Person
                    && gathered
                        .base
                        .people
                        .get(name.as_str())
                        .is_some_and(|one| one.special_risk);
                if !referred.contains(&(kind, name.as_str())) && !advice && !risk {
                    let message = format!("nothing uses the {} `{name}`", kind.unknown().0);
                    self.at_entry(
                        ProblemCode::NeverUsed,
                        (kind, &name),
                        message,
                        "never used",
                        Some("name it where it belongs, or take it out".to_owned()),
                    );
                }
            }
        }
    }
}

/// Whether a cause shows a finding.
fn shows(cause: &Cause, finding: &Finding) -> bool {
    cause.shows.iter().any(|shows| shows.finding == *finding)
}
