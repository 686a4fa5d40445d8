//! Checks that look across entries: names that must exist, roots, cycles, things nobody uses.

mod sense;

use std::collections::{BTreeMap, BTreeSet, HashMap, HashSet};
use std::ops::Range;

use crate::engine::condition::{Comparison, Finding, Limit, Proposition, Side};
use crate::engine::id::CauseId;
use crate::engine::knowledge::{Cause, CauseKind, KnowledgeBase};
use crate::engine::roots::RootNet;
use crate::engine::wording::finding_id;
use crate::knowledge::build::Gathered;
use crate::knowledge::problem::{Problem, ProblemCode, nearest};
use crate::knowledge::rules::derivable;
use crate::knowledge::shape::Kind;

/// Runs every check across entries.
pub fn across(gathered: &mut Gathered) {
    let mut found = Found {
        gathered,
        problems: Vec::new(),
    };
    found.references();
    found.comparisons();
    found.causes();
    found.roots();
    found.groups();
    found.roots_of_roots();
    found.options();
    found.cycles();
    // An entry or rule left out because of a fault makes others look unused or lonely. What is lacking can be told
    // only once nothing was left out.
    if !Problem::any_error(&found.gathered.problems) && !Problem::any_error(&found.problems) {
        found.limits();
        found.formulae();
        found.defaults();
        found.brought_up();
        found.pairs();
        found.loose_roots();
        found.rates();
        found.signs_and_facts();
        found.families();
        found.never_used();
    }
    let problems = found.problems;
    gathered.problems.extend(problems);
}

struct Found<'g> {
    gathered: &'g Gathered,
    problems: Vec<Problem>,
}

impl Found<'_> {
    fn base(&self) -> &KnowledgeBase {
        &self.gathered.base
    }

    fn at(
        &mut self,
        code: ProblemCode,
        place: (&str, Range<usize>),
        message: String,
        label: &str,
        help: Option<String>,
    ) {
        self.problems.push(Problem {
            code,
            file: place.0.to_owned(),
            span: Some(place.1),
            message,
            label: label.to_owned(),
            help,
            other: None,
        });
    }

    fn at_entry(
        &mut self,
        code: ProblemCode,
        (kind, id): (Kind, &str),
        message: String,
        label: &str,
        help: Option<String>,
    ) {
        let place = self
            .gathered
            .places
            .of(kind, id)
            .map(|(file, span)| (file.to_owned(), span));
        if let Some((file, span)) = place {
            self.at(code, (&file, span), message, label, help);
        }
    }

    fn at_cause(
        &mut self,
        code: ProblemCode,
        id: &CauseId,
        span: Range<usize>,
        message: String,
        label: &str,
        help: &str,
    ) {
        let file = self.base().causes[id].file.clone();
        self.at(code, (&file, span), message, label, Some(help.to_owned()));
    }

    /// Adds a second place, in the file of a cause, to the last problem.
    fn and_at_cause(&mut self, id: &CauseId, span: Range<usize>, words: &str) {
        let file = self.base().causes[id].file.clone();
        if let Some(problem) = self.problems.last_mut() {
            problem.other = Some((file, span, words.to_owned()));
        }
    }

    /// Every name must be that of an entry. An entry left out because of its own fault still counts as there, so that
    /// one fault does not bring up a dozen others.
    fn references(&mut self) {
        let gathered = self.gathered;
        let mut known: HashMap<Kind, HashSet<&str>> = HashMap::new();
        for reference in &gathered.references {
            let names = known.entry(reference.kind).or_insert_with(|| {
                let declared = gathered.declared.iter();
                declared
                    .filter(|(kind, _)| *kind == reference.kind)
                    .map(|(_, id)| id.as_str())
                    .collect()
            });
            if names.contains(reference.id.as_str()) {
                continue;
            }
            let (what, code) = reference.kind.unknown();
            let near = nearest(&reference.id, names.iter().copied());
            let help = near.map_or_else(
                || "name one that is there, or add it".to_owned(),
                |near| format!("did you mean `{near}`?"),
            );
            let message = if reference.kind == Kind::Trait {
                format!("no species has the trait `{}`", reference.id)
            } else {
                format!("no {what} is called `{}`", reference.id)
            };
            self.at(
                code,
                (&reference.file, reference.span.clone()),
                message,
                "not in the knowledge",
                Some(help),
            );
        }
    }

    fn comparisons(&mut self) {
        let gathered = self.gathered;
        for (comparison, file, span) in &gathered.comparisons {
            let Some(reading) = gathered.base.readings.get(&comparison.reading) else {
                continue;
            };
            match comparison.limit {
                Limit::Fixed(number)
                    if !(reading.believable.0..=reading.believable.1).contains(&number) =>
                {
                    let (low, high) = reading.believable;
                    let help = format!(
                        "`{}` is believable from {low} to {high} {}",
                        comparison.reading,
                        reading.unit.symbol()
                    );
                    let message = format!("no {} is ever {number}", reading.name);
                    self.at(
                        ProblemCode::OutOfRange,
                        (file, span.clone()),
                        message,
                        "not believable",
                        Some(help),
                    );
                }
                _ => {}
            }
        }
    }

    /// A reading compared with the limit of the species needs a species that has one.
    fn limits(&mut self) {
        let gathered = self.gathered;
        for (comparison, file, span) in &gathered.comparisons {
            match comparison.limit {
                Limit::Species { .. } if !self.any_limit(comparison) => {
                    let side = if comparison.side == Side::Above {
                        "max"
                    } else {
                        "min"
                    };
                    let message = format!("no species has a `{side}` for `{}`", comparison.reading);
                    let help = "compare with a number, or give the species a limit".to_owned();
                    self.at(
                        ProblemCode::NoSuchLimit,
                        (file, span.clone()),
                        message,
                        "compared with nothing",
                        Some(help),
                    );
                }
                _ => {}
            }
        }
    }

    fn any_limit(&self, comparison: &Comparison) -> bool {
        self.base()
            .species
            .values()
            .flat_map(|species| &species.limits)
            .any(|limit| {
                limit.reading == comparison.reading
                    && match comparison.side {
                        Side::Above => limit.max.is_some(),
                        Side::Below => limit.min.is_some(),
                    }
            })
    }

    fn defaults(&mut self) {
        let base = &self.gathered.base;
        let species: Vec<String> = base
            .species
            .iter()
            .filter(|(_, one)| one.default)
            .map(|(id, _)| id.to_string())
            .collect();
        let marked = |ids: &[String]| {
            let ids: Vec<String> = ids.iter().map(|id| format!("`{id}`")).collect();
            ids.join(" and ")
        };
        let stages: Vec<String> = base
            .stages
            .iter()
            .filter(|(_, one)| one.default)
            .map(|(id, _)| id.to_string())
            .collect();
        let first = |ids: Vec<&str>| ids.first().map(|id| (*id).to_owned());
        for (kind, what, found, fallback) in [
            (
                Kind::Species,
                "species",
                species,
                first(names_of(base, Kind::Species)),
            ),
            (
                Kind::Stage,
                "stage",
                stages,
                first(names_of(base, Kind::Stage)),
            ),
        ] {
            let (message, label) = match found.len() {
                1 => continue,
                0 => (
                    format!("no {what} has `default = true`"),
                    "for example here",
                ),
                _ => (
                    format!("{} each have `default = true`", marked(&found)),
                    "the last of them",
                ),
            };
            let help = format!("mark exactly one {what}: it stands for one that was not named");
            match found.last().or(fallback.as_ref()) {
                Some(id) => self.at_entry(
                    ProblemCode::DefaultSpecies,
                    (kind, &id.clone()),
                    message,
                    label,
                    Some(help),
                ),
                None => self.problems.push(Problem {
                    code: ProblemCode::DefaultSpecies,
                    file: "species".to_owned(),
                    span: None,
                    message,
                    label: String::new(),
                    help: Some(help),
                    other: None,
                }),
            }
        }
    }

    /// Each cause shows nothing twice.
    fn causes(&mut self) {
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
    fn brought_up(&mut self) {
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

    /// Each cause is told apart from its look-alikes by what it says.
    fn pairs(&mut self) {
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

    fn roots(&mut self) {
        let gathered = self.gathered;
        let mut above: BTreeMap<&CauseId, Vec<(&CauseId, Range<usize>)>> = BTreeMap::new();
        for (id, entry) in &gathered.causes {
            for (link, span) in entry.cause.roots.iter().zip(&entry.roots_at) {
                above
                    .entry(&link.cause)
                    .or_default()
                    .push((id, span.clone()));
                let Some(root) = gathered.base.causes.get(&link.cause) else {
                    continue;
                };
                if root.kind != CauseKind::Root {
                    let message = format!(
                        "`{}` is listed as a root but is of another kind",
                        link.cause
                    );
                    let help = "give it `kind = \"root\"`, or take it out of the list";
                    self.at_cause(
                        ProblemCode::RootWithoutCondition,
                        id,
                        span.clone(),
                        message,
                        "not a root",
                        help,
                    );
                }
            }
        }
        for (root, conditions) in &above {
            if let [(first, first_span), (second, span), ..] = conditions.as_slice() {
                let message = format!("`{root}` hangs on `{first}` and on `{second}`");
                let help = "a root hangs on one condition; make a second root of its own name";
                self.at_cause(
                    ProblemCode::RootOnTwo,
                    second,
                    span.clone(),
                    message,
                    "second condition",
                    help,
                );
                self.and_at_cause(first, first_span.clone(), "first condition");
            }
        }
        self.shared_root_signs(&above);
    }

    /// Each root hangs on a condition.
    fn loose_roots(&mut self) {
        let gathered = self.gathered;
        let causes = gathered.causes.values();
        let hanging: HashSet<&CauseId> = causes
            .flat_map(|entry| &entry.cause.roots)
            .map(|link| &link.cause)
            .collect();
        for (id, entry) in gathered
            .causes
            .iter()
            .filter(|(_, entry)| entry.cause.kind == CauseKind::Root)
        {
            if !hanging.contains(id) {
                let message = format!("the root `{id}` hangs on no condition");
                let help = "list it under `roots` of a condition";
                self.at_cause(
                    ProblemCode::RootWithoutCondition,
                    id,
                    entry.span.clone(),
                    message,
                    "behind nothing",
                    help,
                );
            }
        }
    }

    /// What a root shows is shown by no cause of the main layer and by no root of another condition.
    fn shared_root_signs(&mut self, above: &BTreeMap<&CauseId, Vec<(&CauseId, Range<usize>)>>) {
        let gathered = self.gathered;
        let condition_of = |id: &CauseId| {
            above
                .get(id)
                .and_then(|conditions| conditions.first())
                .map(|(id, _)| *id)
        };
        let mut shown_by: HashMap<&Finding, Vec<(&CauseId, &Range<usize>)>> = HashMap::new();
        for (id, entry) in &gathered.causes {
            for (shows, span) in entry.cause.shows.iter().zip(&entry.shows_at) {
                let places = shown_by.entry(&shows.finding).or_default();
                places.push((id, span));
            }
        }
        for (id, entry) in gathered
            .causes
            .iter()
            .filter(|(_, entry)| entry.cause.kind == CauseKind::Root)
        {
            for (shows, span) in entry.cause.shows.iter().zip(&entry.shows_at) {
                let other = shown_by[&shows.finding].iter().find(|(other, _)| {
                    let cause = &gathered.base.causes[*other];
                    *other != id
                        && (cause.kind != CauseKind::Root
                            || condition_of(other) != condition_of(id))
                });
                if let Some((other, other_span)) = other {
                    let message = format!(
                        "the root `{id}` and `{other}` both show `{}`",
                        finding_id(&shows.finding)
                    );
                    let help =
                        "give the root a sign of its own, or use the shared one under `raised-by`";
                    self.at_cause(
                        ProblemCode::SharedRootSign,
                        id,
                        span.clone(),
                        message,
                        "shown by the root",
                        help,
                    );
                    self.and_at_cause(other, (*other_span).clone(), "and here");
                }
            }
        }
    }

    /// The roots of a condition do not bring it about more often than it is met.
    fn rates(&mut self) {
        let gathered = self.gathered;
        for (id, entry) in &gathered.causes {
            self.roots_within_rate(id, &entry.cause, entry.span.clone());
        }
    }

    fn roots_within_rate(&mut self, id: &CauseId, cause: &Cause, span: Range<usize>) {
        let base = self.base();
        let members = cause
            .any_of
            .iter()
            .filter_map(|member| base.causes.get(member));
        let rate = if cause.any_of.is_empty() {
            cause.base_rate
        } else {
            1.0 - members
                .map(|member| 1.0 - member.base_rate)
                .product::<f64>()
        };
        let links = cause
            .roots
            .iter()
            .filter_map(|link| Some((base.causes.get(&link.cause)?.base_rate, link.brings)));
        let (priors, brings): (Vec<f64>, Vec<f64>) = links.unzip();
        if priors.is_empty() || !RootNet::from_base_rate(rate, &priors, &brings, &[]).overfull() {
            return;
        }
        let without: f64 = priors
            .iter()
            .zip(&brings)
            .map(|(prior, brings)| 1.0 - prior * brings)
            .product();
        let message = format!(
            "the roots of `{id}` bring it about in {:.3} of cases, but it is met in {rate:.3}",
            1.0 - without
        );
        let help = "lower the roots' base rates or what they bring, or raise that of the condition";
        self.at_cause(
            ProblemCode::RootsExceedRate,
            id,
            span,
            message,
            "more often than it is met",
            help,
        );
    }

    fn groups(&mut self) {
        let gathered = self.gathered;
        for (id, entry) in gathered
            .causes
            .iter()
            .filter(|(_, entry)| !entry.cause.any_of.is_empty())
        {
            for member in &entry.cause.any_of {
                let Some(cause) = gathered.base.causes.get(member) else {
                    continue;
                };
                if !cause.any_of.is_empty() || cause.kind == CauseKind::Root {
                    let message = format!("the group `{id}` counts `{member}` among its members");
                    let help = "members are causes of the main layer, neither groups nor roots";
                    self.at_cause(
                        ProblemCode::BadGroup,
                        id,
                        entry.span.clone(),
                        message,
                        "cannot be a member",
                        help,
                    );
                }
            }
        }
    }

    fn signs_and_facts(&mut self) {
        let base = self.base();
        let mut used: BTreeSet<String> = BTreeSet::new();
        let mut note = |proposition: &Proposition| used.extend(derivable(proposition));
        for cause in base.causes.values() {
            cause
                .shows
                .iter()
                .for_each(|shows| note(&shows.finding.proposition()));
            let guards = cause.only_if.iter().chain(
                cause
                    .shows
                    .iter()
                    .filter_map(|shows| shows.only_if.as_ref()),
            );
            let raises = cause.raised_by.iter().map(|raise| &raise.when);
            guards
                .chain(raises)
                .flat_map(|condition| condition.literals())
                .for_each(|literal| note(&literal.proposition));
        }
        let triggers = base.actions.values().flat_map(|action| &action.rules);
        let triggers = triggers.chain(base.cautions.values().flat_map(|caution| &caution.rules));
        triggers
            .flat_map(|trigger| trigger.when.literals())
            .for_each(|literal| note(&literal.proposition));
        let mut derived: BTreeSet<String> = BTreeSet::new();
        for rule in base.rules.values() {
            rule.when
                .literals()
                .into_iter()
                .for_each(|literal| note(&literal.proposition));
            derived.extend(derivable(&rule.then.proposition));
        }
        let signs: Vec<String> = base.signs.keys().map(ToString::to_string).collect();
        let facts: Vec<String> = base.facts.keys().map(ToString::to_string).collect();
        for sign in signs {
            if !used.contains(&format!("sign {sign}")) {
                let help = Some("let a cause show it, or take it out".to_owned());
                let message = format!("no rule uses the sign `{sign}`");
                self.at_entry(
                    ProblemCode::UnusedSign,
                    (Kind::Sign, &sign),
                    message,
                    "means nothing",
                    help,
                );
            }
        }
        for fact in facts {
            let key = format!("fact {fact}");
            let (message, help) = match (used.contains(&key), derived.contains(&key)) {
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
                (Kind::Fact, &fact),
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

    fn families(&mut self) {
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

    /// Derive rules must not lead back to where they start.
    fn cycles(&mut self) {
        let base = self.base();
        let mut leads: BTreeMap<String, Vec<(String, String)>> = BTreeMap::new();
        for (id, rule) in &base.rules {
            let Some(head) = derivable(&rule.then.proposition) else {
                continue;
            };
            for literal in rule.when.literals() {
                if let Some(from) = derivable(&literal.proposition) {
                    leads
                        .entry(from)
                        .or_default()
                        .push((head.clone(), id.to_string()));
                }
            }
        }
        let mut done: BTreeSet<String> = BTreeSet::new();
        let starts: Vec<String> = leads.keys().cloned().collect();
        for start in starts {
            if let Some((path, rules)) = find_cycle(&start, &leads, &mut done) {
                let place = |rule: Option<&String>| {
                    let (file, span) = self.gathered.places.of(Kind::Rule, rule?)?;
                    Some((file.to_owned(), span))
                };
                let (Some((file, span)), first) = (place(rules.last()), place(rules.first()))
                else {
                    continue;
                };
                let message = format!("derive rules go in a circle: `{}`", path.join("` -> `"));
                let help = Some("a fact cannot be its own reason; take one step out".to_owned());
                self.problems.push(Problem {
                    code: ProblemCode::RuleCycle,
                    other: first
                        .filter(|_| rules.len() > 1)
                        .map(|(file, span)| (file, span, "opens it".to_owned())),
                    file,
                    span: Some(span),
                    message,
                    label: "closes the circle".to_owned(),
                    help,
                });
            }
        }
    }

    fn never_used(&mut self) {
        let gathered = self.gathered;
        let referred: HashSet<(Kind, &str)> = gathered
            .references
            .iter()
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
        for kind in [
            Kind::Source,
            Kind::Action,
            Kind::Caution,
            Kind::Setup,
            Kind::Person,
        ] {
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

/// A circle that can be reached from a start, with the rules that lead round it. Depth first, without recursion: a chain of
/// rules may be as long as the file.
fn find_cycle(
    start: &str,
    leads: &BTreeMap<String, Vec<(String, String)>>,
    done: &mut BTreeSet<String>,
) -> Option<(Vec<String>, Vec<String>)> {
    let mut path: Vec<(String, usize)> = vec![(start.to_owned(), 0)];
    let mut on_path: HashSet<String> = HashSet::from([start.to_owned()]);
    while let Some((node, next)) = path.last_mut() {
        let step = leads
            .get(node.as_str())
            .and_then(|steps| steps.get(*next))
            .filter(|_| !done.contains(node.as_str()));
        let Some((to, _)) = step else {
            done.insert(node.clone());
            on_path.remove(node.as_str());
            path.pop();
            continue;
        };
        *next += 1;
        if on_path.contains(to) {
            let from = path.iter().position(|(node, _)| node == to).unwrap_or(0);
            let mut circle: Vec<String> =
                path[from..].iter().map(|(node, _)| node.clone()).collect();
            circle.push(to.clone());
            // The step last taken from each node on the path is the one before the next to try.
            let rules = path[from..]
                .iter()
                .map(|(node, next)| leads[node][next - 1].1.clone())
                .collect();
            done.extend(path.iter().map(|(node, _)| node.clone()));
            return Some((circle, rules));
        }
        on_path.insert(to.clone());
        path.push((to.clone(), 0));
    }
    None
}

/// The ids of a kind.
fn names_of(base: &KnowledgeBase, kind: Kind) -> Vec<&str> {
    match kind {
        Kind::Sign => base.signs.keys().map(|id| id.as_str()).collect(),
        Kind::Reading => base.readings.keys().map(|id| id.as_str()).collect(),
        Kind::Setup => base.setup.keys().map(|id| id.as_str()).collect(),
        Kind::Person => base.people.keys().map(|id| id.as_str()).collect(),
        Kind::Fact => base.facts.keys().map(|id| id.as_str()).collect(),
        Kind::Species => base.species.keys().map(|id| id.as_str()).collect(),
        Kind::Stage => base.stages.keys().map(|id| id.as_str()).collect(),
        Kind::Trait => base
            .species
            .values()
            .flat_map(|one| one.traits.iter().map(|id| id.as_str()))
            .collect(),
        Kind::Cause => base.causes.keys().map(|id| id.as_str()).collect(),
        Kind::Action => base.actions.keys().map(|id| id.as_str()).collect(),
        Kind::Caution => base.cautions.keys().map(|id| id.as_str()).collect(),
        Kind::Source => base.sources.keys().map(|id| id.as_str()).collect(),
        Kind::Question => base.questions.keys().map(|id| id.as_str()).collect(),
        Kind::Rule => base.rules.keys().map(|id| id.as_str()).collect(),
    }
}
