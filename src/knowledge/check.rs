//! Checks that look across entries: names that must exist, roots, cycles, things nobody uses.

mod cycles;
mod roots;
mod sense;
mod uses;

use std::ops::Range;

use rustc_hash::FxHashMap;

use crate::engine::condition::{Comparison, Limit, Side};
use crate::engine::id::CauseId;
use crate::engine::knowledge::KnowledgeBase;
use crate::knowledge::build::Gathered;
use crate::knowledge::problem::{Problem, ProblemCode, nearest};
use crate::knowledge::shape::Kind;

/// For how many unknown names the nearest known one is looked up.
///
/// judgement: nobody reads further at once, and looking up each of thousands among thousands would take minutes.
const MOST_LOOKED_UP: usize = 200;

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
    found.responses();
    found.cycles();
    // An entry or rule left out because of a fault makes others look unused or lonely. What is lacking can be told
    // only once nothing was left out.
    if !Problem::any_error(&found.gathered.problems) && !Problem::any_error(&found.problems) {
        found.limits();
        found.formulae();
        found.profiles();
        found.at_odds();
        found.defaults();
        found.brought_up();
        found.pairs();
        found.loose_roots();
        found.rates();
        found.signs_and_facts();
        found.families();
        found.rounds();
        found.topics();
        found.never_used();
    }
    let problems = found.problems;
    gathered.problems.extend(problems);
}

pub(super) struct Found<'g> {
    gathered: &'g Gathered,
    problems: Vec<Problem>,
}

impl Found<'_> {
    pub(super) fn base(&self) -> &KnowledgeBase {
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

    pub(super) fn at_entry(
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
        let references = gathered.references.iter();
        let references = references.flat_map(|(file, all)| all.iter().map(move |one| (file, one)));
        // Looked up one after the other only where a name is unknown, which is seldom.
        let mut known: FxHashMap<Kind, Vec<&str>> = FxHashMap::default();
        let mut looked_up = 0;
        for (file, reference) in references {
            let key = (reference.kind, reference.id.clone());
            if gathered.places.has(&key) || gathered.declared.contains(&key) {
                continue;
            }
            let names = known.entry(reference.kind).or_insert_with(|| {
                let declared = gathered.declared.iter();
                let declared = declared.filter(|(kind, _)| *kind == reference.kind);
                let declared = declared.map(|(_, id)| id.as_str());
                gathered
                    .places
                    .ids(reference.kind)
                    .chain(declared)
                    .collect()
            });
            let (what, code) = reference.kind.unknown();
            let near = match looked_up {
                ..MOST_LOOKED_UP => nearest(&reference.id, names.iter().copied()),
                _ => None,
            };
            looked_up += 1;
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
                (file, reference.span.clone()),
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
            // A trade that knows no species or stages needs none that stands for them.
            let Some(fallback) = fallback else {
                continue;
            };
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
            self.at_entry(
                ProblemCode::DefaultSpecies,
                (kind, found.last().unwrap_or(&fallback)),
                message,
                label,
                Some(help),
            );
        }
    }
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
        Kind::Output => base.outputs.keys().map(|id| id.as_str()).collect(),
        Kind::Round => base.rounds.keys().map(|id| id.as_str()).collect(),
        Kind::Card => base.cards.keys().map(|id| id.as_str()).collect(),
        Kind::Topic => base.topics.keys().map(|id| id.as_str()).collect(),
    }
}
