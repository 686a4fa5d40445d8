//! How well the knowledge is founded and filled: what stands on what, and where it is thin.

use std::collections::{BTreeMap, BTreeSet};

use schemars::JsonSchema;
use serde::Serialize;

use crate::engine::condition::{Condition, Proposition};
use crate::engine::id::{CauseId, SignId, SourceId};
use crate::engine::knowledge::{
    Cause, CauseKind, Checked, Finding, Grounds, KnowledgeBase, Map, Source, SourceKind,
};
use crate::engine::wording::finding_id;

/// A finding separates two causes where the shares in which they show it differ by at least this much.
///
/// judgement: one step on the scale of words for how often; less than that lies within what such words leave open.
pub const SEPARATES_FROM: f64 = 0.2;

/// A cause with fewer rules than this is called thin.
///
/// judgement: two findings can both be missing or both be shared; from three on a cause has a face of its own.
pub const ENOUGH_RULES: usize = 3;

/// How well the knowledge is founded and filled.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Coverage {
    /// Entries by kind, each counted by the best it stands on.
    pub entries: Vec<Standing>,
    /// Numbers with grounds of their own, by what they say, each counted by the best it stands on.
    pub numbers: Vec<Standing>,
    /// Causes with fewer than three rules.
    pub thin_causes: Vec<ThinCause>,
    /// Signs that a single rule uses.
    pub single_use_signs: Vec<String>,
    /// Pairs of causes that no finding separates.
    pub inseparable: Vec<Pair>,
    /// How many published cases were read.
    pub published_cases: usize,
    /// Published cases that this knowledge cannot read.
    pub cases_left_out: Vec<String>,
    /// Causes that no published case covers.
    pub causes_without_case: Vec<String>,
}

/// How many entries or numbers stand on what.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Standing {
    /// What is counted.
    pub what: String,
    /// How many there are.
    pub count: usize,
    /// The statement was read in a source.
    pub read: usize,
    /// It was read in a work that quotes the source.
    pub second_hand: usize,
    /// It is remembered from a source and was not looked up.
    pub memory: usize,
    /// It is common practice, not published.
    pub practice: usize,
    /// It is a judgement alone.
    pub judgement: usize,
    /// It stands on nothing.
    pub nothing: usize,
}

/// A cause with few rules.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct ThinCause {
    /// Which cause.
    pub cause: String,
    /// How many different findings it shows.
    pub rules: usize,
    /// Whether it is a root, which is told from other roots of one condition only and needs less.
    pub root: bool,
}

/// Two causes that no finding separates.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Pair {
    /// The one, first in order of ids.
    pub one: String,
    /// The other.
    pub other: String,
    /// Whether they show the same findings to the same degree.
    pub identical: bool,
    /// Whether species, stage or setup rules out the one but not the other, or the other way round.
    pub setting_differs: bool,
    /// What the knowledge names to tell them apart, where it counts them as look-alikes.
    pub told_apart_by: Option<String>,
}

/// What an entry or number stands on, the best first.
///
/// What was read outranks what was quoted, that outranks what is remembered, and a remembered publication outranks
/// common practice, which outranks reasoning alone.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Basis {
    /// Read in a source.
    Read,
    /// Read in a work that quotes it.
    SecondHand,
    /// Remembered.
    Memory,
    /// Common practice.
    Practice,
    /// Judgement alone.
    Judgement,
    /// Nothing.
    Nothing,
}

impl Basis {
    /// What a source is worth.
    pub fn of_source(source: &Source) -> Self {
        match (source.kind, source.checked) {
            (SourceKind::Practice, _) => Self::Practice,
            (SourceKind::JudgementByProject, _) => Self::Judgement,
            (_, Checked::Read) => Self::Read,
            (_, Checked::SecondHand) => Self::SecondHand,
            (_, Checked::Memory) => Self::Memory,
        }
    }

    /// The best of what is listed.
    pub fn of(grounds: &Grounds, sources: &Map<SourceId, Source>) -> Self {
        let listed = grounds
            .sources
            .iter()
            .filter_map(|cite| sources.get(&cite.source))
            .map(Self::of_source);
        let judged = grounds.judgement.is_some().then_some(Self::Judgement);
        listed.chain(judged).min().unwrap_or(Self::Nothing)
    }
}

impl Standing {
    fn over<'g>(
        what: &str,
        sources: &Map<SourceId, Source>,
        grounds: impl IntoIterator<Item = &'g Grounds>,
    ) -> Self {
        let mut standing = Self {
            what: what.to_owned(),
            ..Self::default()
        };
        for one in grounds {
            standing.count += 1;
            *match Basis::of(one, sources) {
                Basis::Read => &mut standing.read,
                Basis::SecondHand => &mut standing.second_hand,
                Basis::Memory => &mut standing.memory,
                Basis::Practice => &mut standing.practice,
                Basis::Judgement => &mut standing.judgement,
                Basis::Nothing => &mut standing.nothing,
            } += 1;
        }
        standing
    }

    /// All of them together.
    pub fn sum(what: &str, standings: &[Self]) -> Self {
        let add = |field: fn(&Self) -> usize| standings.iter().map(field).sum();
        Self {
            what: what.to_owned(),
            count: add(|one| one.count),
            read: add(|one| one.read),
            second_hand: add(|one| one.second_hand),
            memory: add(|one| one.memory),
            practice: add(|one| one.practice),
            judgement: add(|one| one.judgement),
            nothing: add(|one| one.nothing),
        }
    }
}

/// What published cases there are, as far as coverage asks.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Cases {
    /// How many could be read.
    pub read: usize,
    /// Names of those that could not.
    pub left_out: Vec<String>,
    /// Every cause or root that one of them expects to lead, to be reported or to stand behind the leader.
    pub covered: BTreeSet<CauseId>,
}

/// Looks the knowledge over. It must be the full base: a lean one has lost its judgements.
pub fn coverage(base: &KnowledgeBase, cases: Cases) -> Coverage {
    let without_case = base
        .causes
        .iter()
        .filter(|(id, cause)| cause.any_of.is_empty() && !cases.covered.contains(*id))
        .map(|(id, _)| id.to_string())
        .collect();
    Coverage {
        entries: entries(base),
        numbers: numbers(base),
        thin_causes: thin_causes(base),
        single_use_signs: single_use_signs(base),
        inseparable: inseparable(base),
        published_cases: cases.read,
        cases_left_out: cases.left_out,
        causes_without_case: without_case,
    }
}

/// Entries by kind. Questions, sources and spellings are left out: they state nothing about the trade.
fn entries(base: &KnowledgeBase) -> Vec<Standing> {
    macro_rules! kinds {
        ($($field:ident),*) => {
            vec![$(Standing::over(
                stringify!($field),
                &base.sources,
                base.$field.values().map(|entry| &entry.grounds),
            )),*]
        };
    }
    kinds![
        species, stages, signs, readings, setup, people, causes, facts, rules, actions, cautions
    ]
}

/// Numbers with grounds of their own. A base rate or an `anyway` stands on the grounds of its entry and is counted
/// there; what a species shows differently is among what causes show.
fn numbers(base: &KnowledgeBase) -> Vec<Standing> {
    let causes = || base.causes.values();
    let species = || base.species.values();
    let scale = &base.scale;
    let words = scale
        .frequency
        .values()
        .chain(scale.base_rate.values())
        .chain(scale.effort.values())
        .chain(scale.confidence.iter().map(|(_, level)| level));
    let over = |what: &str, grounds: Vec<&Grounds>| Standing::over(what, &base.sources, grounds);
    vec![
        over(
            "what causes show",
            causes()
                .flat_map(|cause| &cause.shows)
                .map(|shows| &shows.grounds)
                .collect(),
        ),
        over(
            "risk factors",
            causes()
                .flat_map(|cause| &cause.raised_by)
                .map(|raise| &raise.grounds)
                .collect(),
        ),
        over(
            "what roots bring",
            causes()
                .flat_map(|cause| &cause.roots)
                .map(|link| &link.grounds)
                .collect(),
        ),
        over(
            "limits of species",
            species()
                .flat_map(|one| &one.limits)
                .map(|limit| &limit.grounds)
                .collect(),
        ),
        over(
            "normal looks",
            species()
                .flat_map(|one| &one.normal)
                .map(|look| &look.grounds)
                .collect(),
        ),
        over(
            "words of the scale",
            words.map(|level| &level.grounds).collect(),
        ),
    ]
}

/// A rule here is a finding the cause shows, whatever the number of species that show it differently.
fn thin_causes(base: &KnowledgeBase) -> Vec<ThinCause> {
    base.causes
        .iter()
        .filter(|(_, cause)| cause.any_of.is_empty())
        .map(|(id, cause)| {
            let findings: BTreeSet<String> = cause
                .general()
                .map(|shows| finding_id(&shows.finding))
                .collect();
            ThinCause {
                cause: id.to_string(),
                rules: findings.len(),
                root: cause.kind == CauseKind::Root,
            }
        })
        .filter(|cause| cause.rules < ENOUGH_RULES)
        .collect()
}

/// Every line counts once for each sign it mentions; several lines of one cause that show one sign count as one.
fn single_use_signs(base: &KnowledgeBase) -> Vec<String> {
    let mut uses: BTreeMap<&SignId, BTreeSet<String>> = BTreeMap::new();
    for (id, cause) in &base.causes {
        for shows in &cause.shows {
            if let Finding::Sign(sign) = &shows.finding {
                uses.entry(sign).or_default().insert(format!("cause {id}"));
            }
        }
        for (number, raise) in cause.raised_by.iter().enumerate() {
            mention(&mut uses, &raise.when, &format!("raise {id} {number}"));
        }
    }
    for (id, rule) in &base.rules {
        mention(&mut uses, &rule.when, &format!("rule {id}"));
        if let Proposition::Sign(sign) = &rule.then.proposition {
            uses.entry(sign).or_default().insert(format!("rule {id}"));
        }
    }
    let triggers = base
        .actions
        .iter()
        .map(|(id, action)| (id.as_str(), &action.rules))
        .chain(
            base.cautions
                .iter()
                .map(|(id, caution)| (id.as_str(), &caution.rules)),
        );
    for (id, rules) in triggers {
        for (number, rule) in rules.iter().enumerate() {
            mention(&mut uses, &rule.when, &format!("advice {id} {number}"));
        }
    }
    uses.into_iter()
        .filter(|(_, rules)| rules.len() == 1)
        .map(|(sign, _)| sign.to_string())
        .collect()
}

fn mention<'k>(uses: &mut BTreeMap<&'k SignId, BTreeSet<String>>, when: &'k Condition, rule: &str) {
    for literal in when.literals() {
        if let Proposition::Sign(sign) = &literal.proposition {
            uses.entry(sign).or_default().insert(rule.to_owned());
        }
    }
}

/// Pairs that no finding separates: causes of the main layer with each other, roots with roots of one condition.
fn inseparable(base: &KnowledgeBase) -> Vec<Pair> {
    let main: Vec<&CauseId> = base
        .causes
        .iter()
        .filter(|(_, cause)| cause.kind != CauseKind::Root && cause.any_of.is_empty())
        .map(|(id, _)| id)
        .collect();
    let mut groups = vec![main];
    groups.extend(base.causes.values().map(|cause| {
        let roots = cause.roots.iter().map(|link| &link.cause);
        roots.collect::<Vec<_>>()
    }));
    let mut pairs = Vec::new();
    for group in groups {
        for (place, one) in group.iter().enumerate() {
            for other in &group[place + 1..] {
                let (first, second) = if one <= other {
                    (*one, *other)
                } else {
                    (*other, *one)
                };
                pairs.extend(pair(base, first, second));
            }
        }
    }
    pairs.sort_by(|a, b| (&a.one, &a.other).cmp(&(&b.one, &b.other)));
    pairs.dedup();
    pairs
}

/// The pair, where nothing separates it.
fn pair(base: &KnowledgeBase, one: &CauseId, other: &CauseId) -> Option<Pair> {
    let (a, b) = (base.causes.get(one)?, base.causes.get(other)?);
    let greatest = greatest_difference(a, b);
    if greatest >= SEPARATES_FROM - f64::EPSILON {
        return None;
    }
    let named = |from: &Cause, to: &CauseId| {
        let found = from.look_alikes.iter().find(|look| look.cause == *to);
        found.map(|look| finding_id(&look.told_apart_by))
    };
    Some(Pair {
        one: one.to_string(),
        other: other.to_string(),
        identical: greatest <= f64::EPSILON,
        setting_differs: a.only_if != b.only_if,
        told_apart_by: named(a, other).or_else(|| named(b, one)),
    })
}

/// By how much the shares of two causes differ at most, over every finding and guard that one of them has.
pub fn greatest_difference(one: &Cause, other: &Cause) -> f64 {
    one.general()
        .chain(other.general())
        .filter_map(|line| {
            let guard = line.only_if.as_ref();
            let a = share_under(one, &line.finding, guard)?;
            let b = share_under(other, &line.finding, guard)?;
            Some((a - b).abs())
        })
        .fold(0.0, f64::max)
}

/// The share in which a cause shows a finding under a guard: that of the line with this very guard, else of the line
/// without one; 0 where the finding is not shown at all, and `None` where only other guards speak of it.
pub fn share_under(cause: &Cause, finding: &Finding, guard: Option<&Condition>) -> Option<f64> {
    let lines = || cause.general().filter(|line| line.finding == *finding);
    lines()
        .find(|line| line.only_if.as_ref() == guard)
        .or_else(|| lines().find(|line| line.only_if.is_none()))
        .map(|line| line.share)
        .or_else(|| lines().next().is_none().then_some(0.0))
}
