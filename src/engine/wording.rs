//! Statements and findings in the knowledge's own words.

use crate::engine::condition::{Comparison, Condition, Limit, Literal, Proposition, Side};
use crate::engine::diagnosis::FindingText;
use crate::engine::facts::FactBase;
use crate::engine::id::CauseId;
use crate::engine::knowledge::{Finding, KnowledgeBase};
use crate::engine::quantity::{System, show};

/// Puts statements into words for one occasion.
#[derive(Clone, Copy)]
pub struct Wording<'a, 'k> {
    /// The knowledge.
    pub base: &'k KnowledgeBase,
    /// What is known on this occasion.
    pub facts: &'a FactBase<'k>,
    /// The system of units for numbers.
    pub system: System,
}

impl Wording<'_, '_> {
    /// A literal as a clause.
    pub fn literal(&self, literal: &Literal) -> String {
        let clause = self.proposition(&literal.proposition, literal.holds);
        let inverted = matches!(literal.proposition, Proposition::Reading(_)) || literal.holds;
        if inverted {
            clause
        } else {
            format!("it is not so that {clause}")
        }
    }

    /// That it could be one of these causes, as one clause; none of none.
    pub fn could_be<'c>(&self, causes: impl IntoIterator<Item = &'c CauseId>) -> Option<String> {
        let name = |id: &CauseId| {
            let cause = self.base.causes.get(id);
            cause.map_or_else(|| id.to_string(), |cause| cause.name.clone())
        };
        let names: Vec<String> = causes.into_iter().map(name).collect();
        let (last, rest) = names.split_last()?;
        Some(if rest.is_empty() {
            format!("it could be {last}")
        } else {
            format!("it could be {} or {last}", rest.join(", "))
        })
    }

    /// The parts of a condition that hold, as clauses.
    pub fn holding(&self, condition: &Condition, holds: &impl Fn(&Literal) -> bool) -> Vec<String> {
        condition
            .literals()
            .into_iter()
            .filter(|literal| holds(literal))
            .map(|literal| self.literal(literal))
            .collect()
    }

    fn proposition(&self, proposition: &Proposition, holds: bool) -> String {
        let base = self.base;
        match proposition {
            Proposition::Sign(id) => {
                let sign = base.signs.get(id);
                let statement = sign.map_or(id.as_str(), |sign| &sign.statement);
                let by = match self.facts.observations().signs.contains_key(id) {
                    true => self.by(id.as_str()),
                    false => self.derived_by(proposition),
                };
                format!("{statement}{by}")
            }
            Proposition::Setup(id) => {
                let item = base.setup.get(id);
                let statement = item.map_or(id.as_str(), |item| &item.statement);
                format!("{statement}{}", self.by(id.as_str()))
            }
            Proposition::Fact(id) => {
                let fact = base.facts.get(id);
                let statement = fact.map_or(id.as_str(), |fact| &fact.statement);
                format!("{statement}{}", self.derived_by(proposition))
            }
            Proposition::Person(id) => base
                .people
                .get(id)
                .map_or_else(|| id.to_string(), |person| person.statement.clone()),
            Proposition::Reading(comparison) => self.comparison(comparison, holds),
            Proposition::Species(id) => {
                format!(
                    "the crop is {}",
                    base.species
                        .get(id)
                        .map_or(id.as_str(), |species| &species.name)
                )
            }
            Proposition::Stage(id) => {
                format!(
                    "the stage is {}",
                    base.stages.get(id).map_or(id.as_str(), |stage| &stage.name)
                )
            }
            Proposition::Trait(id) => {
                format!("this crop is marked: {}", id.as_str().replace('-', " "))
            }
            Proposition::Concluded(id) => {
                format!(
                    "the findings point to: {}",
                    base.causes.get(id).map_or(id.as_str(), |cause| &cause.name)
                )
            }
            Proposition::Suspected(id) => self.could_be([id]).unwrap_or_default(),
        }
    }

    /// A compared reading as a clause, with the value where there is one.
    pub fn comparison(&self, comparison: &Comparison, holds: bool) -> String {
        let Some(reading) = self.base.readings.get(&comparison.reading) else {
            return comparison.reading.to_string();
        };
        let side = match (comparison.side, holds) {
            (Side::Above, true) => "above",
            (Side::Below, true) => "below",
            (Side::Above, false) => "not above",
            (Side::Below, false) => "not below",
        };
        let limit = match (self.facts.limit_value(comparison), comparison.limit) {
            (Some(limit), Limit::Species { times: 1.0 }) => {
                format!(
                    "{}, the limit for this crop",
                    show(limit, reading.unit, self.system)
                )
            }
            (Some(limit), Limit::Species { times }) => {
                format!(
                    "{}, {times} times the limit for this crop",
                    show(limit, reading.unit, self.system)
                )
            }
            (Some(limit), Limit::Fixed(_)) => show(limit, reading.unit, self.system),
            (None, _) => "the limit for this crop".to_owned(),
        };
        match self.facts.value(comparison.reading.as_str()) {
            Some(value) => format!(
                "{} is {}{}, {side} {limit}",
                reading.name,
                show(value.value, reading.unit, self.system),
                self.by(comparison.reading.as_str())
            ),
            None => format!("{} is {side} {limit}", reading.name),
        }
    }

    /// Who told it, where that was the profile of the chamber or a sensor log.
    fn by(&self, id: &str) -> String {
        if self.facts.by_profile(id) {
            " (chamber profile)".to_owned()
        } else if let Some(said) = self.facts.by_log(id) {
            format!(" (from the log, {})", said.span())
        } else {
            String::new()
        }
    }

    /// The log that a derived statement rests on, where what was read from one is among the premises of a rule for it.
    fn derived_by(&self, proposition: &Proposition) -> String {
        // Mostly there is no log, and then no rule need be looked through.
        if self.facts.observations().from_log.is_empty() {
            return String::new();
        }
        let rests = |literal: &&Literal| match &literal.proposition {
            Proposition::Sign(id) => self.facts.by_log(id.as_str()).is_some(),
            Proposition::Reading(comparison) => {
                let sure = self.base.scale.numbers.reading_true_at;
                let told = self.facts.comparison(comparison);
                let holds = told.map(|told| if literal.holds { told } else { 1.0 - told });
                self.facts.by_log(comparison.reading.as_str()).is_some()
                    && holds.is_some_and(|holds| holds >= sure)
            }
            _ => false,
        };
        let mut rules = self
            .base
            .rules
            .values()
            .filter(|rule| rule.then.proposition == *proposition && rule.then.holds);
        let found = rules.find_map(|rule| rule.when.literals().into_iter().find(rests));
        match found.map(|literal| &literal.proposition) {
            Some(Proposition::Sign(id)) => self.by(id.as_str()),
            Some(Proposition::Reading(comparison)) => self.by(comparison.reading.as_str()),
            _ => String::new(),
        }
    }

    /// A finding with its id and its clause, as found (`holds`) or denied.
    pub fn finding(&self, finding: &Finding, holds: bool) -> FindingText {
        let proposition = finding.proposition();
        let text = match (finding, holds) {
            (Finding::Reading(_), _) | (_, true) => self.proposition(&proposition, holds),
            (_, false) => format!("not seen: {}", self.proposition(&proposition, true)),
        };
        FindingText {
            finding: finding.clone(),
            id: finding_id(finding),
            text,
        }
    }
}

/// A finding's id for machines: the sign's, the fact's, or reading, side and limit joined (`co2-above-species`).
pub fn finding_id(finding: &Finding) -> String {
    match finding {
        Finding::Sign(sign) => sign.to_string(),
        Finding::Fact(fact) => fact.to_string(),
        Finding::Reading(comparison) => {
            let side = match comparison.side {
                Side::Above => "above",
                Side::Below => "below",
            };
            match comparison.limit {
                Limit::Species { times: 1.0 } => format!("{}-{side}-species", comparison.reading),
                Limit::Species { times } => {
                    format!("{}-{side}-{times}-times-species", comparison.reading)
                }
                Limit::Fixed(number) => format!("{}-{side}-{number}", comparison.reading),
            }
        }
    }
}
