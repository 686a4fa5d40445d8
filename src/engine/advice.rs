//! Actions and cautions that are due, in the order to heed them.

use std::cmp::Reverse;

use indexmap::IndexSet;

use crate::engine::condition::{Condition, Literal, Proposition, Truth};
use crate::engine::diagnosis::{ActionDue, AlsoDue, AmountDue, CautionDue};
use crate::engine::facts::FactBase;
use crate::engine::formula::{self, Range};
use crate::engine::id::{CauseId, PersonId, ReadingId};
use crate::engine::knowledge::{Action, AlsoAmount, Amount, Caution, Formula, KnowledgeBase, Map};
use crate::engine::quantity::{System, Unit, show};
use crate::engine::rulebook::{Atom, Rulebook};
use crate::engine::wording::Wording;

/// What advice is drawn from.
#[derive(Clone, Copy)]
pub struct Advisor<'a, 'k> {
    /// The knowledge.
    pub base: &'k KnowledgeBase,
    /// Its rules, numbered.
    pub rulebook: &'a Rulebook,
    /// What is known, conclusions included.
    pub facts: &'a FactBase<'k>,
    /// Confidence of each cause and root.
    pub confidence: &'a Map<CauseId, f64>,
    /// The system of units for numbers.
    pub system: System,
}

impl Advisor<'_, '_> {
    /// The actions that are due: by when, then protect, contain, fix, watch, prevent; then for the likelier cause and
    /// the smaller effort.
    pub fn actions(&self) -> Vec<ActionDue> {
        let mut due: Vec<(f64, f64, usize, ActionDue)> = Vec::new();
        for (place, (id, action)) in self.base.actions.iter().enumerate() {
            let fires = self
                .rulebook
                .number(&Atom::Action(id.clone()))
                .is_some_and(|n| self.facts.closure().holds(n));
            if !fires {
                continue;
            }
            let for_causes: Vec<(f64, CauseId)> = self
                .base
                .causes
                .iter()
                .filter(|(cause, entry)| {
                    entry.actions.contains(id)
                        && self.sure(cause) >= self.base.scale.numbers.conclude_at
                })
                .map(|(cause, _)| (self.sure(cause), cause.clone()))
                .collect();
            let sure = for_causes.iter().map(|(sure, _)| *sure).fold(0.0, f64::max);
            // What was told brings it up directly: as pressing as a cause that is certain.
            let sure = if for_causes.is_empty() { 1.0 } else { sure };
            let for_causes = for_causes.into_iter().map(|(_, cause)| cause).collect();
            due.push((
                sure,
                action.effort,
                place,
                self.action_due(id, action, for_causes),
            ));
        }
        due.sort_by(|a, b| {
            (a.3.due, a.3.purpose)
                .cmp(&(b.3.due, b.3.purpose))
                .then(Reverse(ordered(a.0)).cmp(&Reverse(ordered(b.0))))
                .then(a.1.total_cmp(&b.1))
                .then(a.2.cmp(&b.2))
        });
        due.into_iter().map(|(.., action)| action).collect()
    }

    /// The cautions that apply: the gravest first, of these what must be done at once, then in the order of the knowledge.
    pub fn cautions(&self) -> Vec<CautionDue> {
        let mut due: Vec<CautionDue> = self
            .base
            .cautions
            .iter()
            .filter(|(id, _)| {
                let number = self.rulebook.number(&Atom::Caution((*id).clone()));
                number.is_some_and(|number| self.facts.closure().holds(number))
            })
            .filter(|(_, caution)| self.may_concern_somebody(caution))
            .map(|(id, caution)| CautionDue {
                id: id.clone(),
                severity: caution.severity,
                text: caution.text.clone(),
                special_risk: self.special_risk(caution),
                because: self.because(id.as_str(), caution),
                defer_to: caution.defer_to.clone(),
                sources: caution.grounds.sources.clone(),
                differ: caution.grounds.differ.clone(),
            })
            .collect();
        due.sort_by_key(|caution| {
            let at_once = self
                .base
                .cautions
                .get(&caution.id)
                .is_some_and(|entry| entry.at_once);
            (caution.severity, Reverse(at_once))
        });
        due
    }

    fn sure(&self, cause: &CauseId) -> f64 {
        self.confidence.get(cause).copied().unwrap_or(0.0)
    }

    /// The stricter line applies where somebody at special risk is named, and where nobody said who enters.
    fn special_risk(&self, caution: &Caution) -> Option<String> {
        let people = &self.facts.observations().people;
        let risky = |id: &str| {
            self.base
                .people
                .get(id)
                .is_some_and(|person| person.special_risk)
        };
        let mut told = people
            .iter()
            .filter(|(id, _)| risky(id.as_str()))
            .peekable();
        let applies = told.peek().is_none() || told.any(|(_, &holds)| holds);
        caution.special_risk.clone().filter(|_| applies)
    }

    /// Whether it is for anybody, or for somebody who is there as far as was told.
    fn may_concern_somebody(&self, caution: &Caution) -> bool {
        let people = &self.facts.observations().people;
        let is_there = |id: &PersonId| people.get(id).copied().unwrap_or(true);
        caution.only_for.is_empty() || caution.only_for.iter().any(is_there)
    }

    fn because(&self, id: &str, caution: &Caution) -> Vec<String> {
        let wording = Wording {
            base: self.base,
            facts: self.facts,
            system: self.system,
        };
        let holds = |literal: &Literal| {
            self.truth(&literal.proposition)
                == if literal.holds {
                    Truth::True
                } else {
                    Truth::False
                }
        };
        let mut because = Vec::new();
        let mut suspected: IndexSet<CauseId> = IndexSet::new();
        for trigger in &caution.rules {
            if self.condition(&trigger.when) == Truth::True {
                because.extend(wording.holding(&trigger.when, &|literal: &Literal| {
                    let suspicion = match &literal.proposition {
                        Proposition::Suspected(cause) if literal.holds => Some(cause),
                        _ => None,
                    };
                    suspicion.is_none() && holds(literal)
                }));
                let literals = trigger.when.literals();
                suspected.extend(literals.iter().filter(|literal| holds(literal)).filter_map(
                    |literal| match &literal.proposition {
                        Proposition::Suspected(cause) if literal.holds => Some(cause.clone()),
                        _ => None,
                    },
                ));
            }
        }
        for (cause, entry) in &self.base.causes {
            let names = entry.cautions.iter().any(|caution| caution.as_str() == id);
            if names && self.sure(cause) >= self.base.scale.numbers.suspect_at {
                suspected.insert(cause.clone());
            }
        }
        because.extend(wording.could_be(&suspected));
        let mut seen = std::collections::HashSet::new();
        because.retain(|clause| seen.insert(clause.clone()));
        because
    }

    fn truth(&self, proposition: &Proposition) -> Truth {
        let numbers = &self.base.scale.numbers;
        let reached = |cause: &CauseId, least: f64| {
            if self.sure(cause) >= least {
                Truth::True
            } else {
                Truth::False
            }
        };
        match proposition {
            Proposition::Concluded(cause) => reached(cause, numbers.conclude_at),
            Proposition::Suspected(cause) => reached(cause, numbers.suspect_at),
            other => self.facts.truth(self.rulebook, other),
        }
    }

    fn condition(&self, condition: &Condition) -> Truth {
        condition.truth(&|proposition: &Proposition| self.truth(proposition))
    }

    fn action_due(
        &self,
        id: &crate::engine::id::ActionId,
        action: &Action,
        for_causes: Vec<CauseId>,
    ) -> ActionDue {
        let amount = action.amount.as_ref().map(|amount| self.amount(amount));
        let value = amount
            .as_ref()
            .and_then(|amount| amount.value.map(plain_number));
        let filled = |text: &String| match &value {
            Some(value) => Some(text.replace("{value}", value)),
            None if text.contains("{value}") => None,
            None => Some(text.clone()),
        };
        ActionDue {
            id: id.clone(),
            text: action.text.clone(),
            purpose: action.purpose,
            due: action.when_to_do,
            for_causes,
            amount,
            effort_word: action.effort_word.clone(),
            shows_in: action.shows_in.clone(),
            watch: action.watch.clone(),
            disturbs: action.disturbs.iter().filter_map(filled).collect(),
            if_failed: action.if_failed.clone(),
            sources: action.grounds.sources.clone(),
            differ: action.grounds.differ.clone(),
        }
    }

    fn amount(&self, amount: &Amount) -> AmountDue {
        let main = AlsoAmount {
            formula: amount.formula.clone(),
            limit: amount.limit.clone(),
            text: amount.text.clone(),
        };
        let mut assumed: Vec<String> = Vec::new();
        let unit = self.unit(&amount.formula).symbol();
        let Some(worked) = self.worked_out(&main, &mut assumed) else {
            return AmountDue {
                value: None,
                uncertainty: None,
                unit,
                text: amount.otherwise.clone(),
                also: Vec::new(),
            };
        };
        let also: Vec<AlsoDue> = amount
            .also
            .iter()
            .filter_map(|also| self.worked_out(also, &mut assumed))
            .collect();
        let mut text = worked.text;
        for also in &also {
            text.push_str("; ");
            text.push_str(&also.text);
        }
        if !assumed.is_empty() {
            text.push_str(&format!(" ({}; not measured)", assumed.join(", ")));
        }
        AmountDue {
            value: Some(worked.value),
            uncertainty: Some(worked.uncertainty),
            unit,
            text,
            also,
        }
    }

    /// An amount from what was told; what had to be assumed is noted once.
    fn worked_out(&self, amount: &AlsoAmount, assumed: &mut Vec<String>) -> Option<AlsoDue> {
        let formula = &amount.formula;
        let assumption = |id: &ReadingId| {
            let reading = self.base.readings.get(id)?;
            Some((reading, reading.assumed?))
        };
        let input = |name: &str| {
            let id = formula.inputs.get(name)?;
            match self.facts.value(id.as_str()) {
                Some(value) => Some((value.value, value.tolerance)),
                None => assumption(id).map(|(_, value)| (value, 0.0)),
            }
        };
        let limit = amount
            .limit
            .as_ref()
            .and_then(|reading| self.facts.limit(reading.as_str()));
        let range = limit.map(|limit| Range {
            min: limit.min,
            max: limit.max,
        });
        let (value, uncertainty) = formula::evaluate(formula.name, &input, range)?;
        for name in formula.name.inputs() {
            let id = formula.inputs.get(*name);
            let id = id.filter(|id| self.facts.value(id.as_str()).is_none());
            if let Some((reading, value)) = id.and_then(assumption) {
                let shown = show(value, reading.unit, self.system);
                let note = format!("{} taken as {shown}", reading.name);
                if !assumed.contains(&note) {
                    assumed.push(note);
                }
            }
        }
        Some(AlsoDue {
            value,
            uncertainty,
            unit: self.unit(formula).symbol(),
            text: amount.text.replace("{value}", &plain_number(value)),
        })
    }

    fn unit(&self, formula: &Formula) -> Unit {
        formula.name.unit().unwrap_or_else(|| {
            let measured = formula.inputs.get("measured");
            let measured = measured.and_then(|id| self.base.readings.get(id));
            measured.map_or(Unit::Count, |reading| reading.unit)
        })
    }
}

/// An order on confidences, none of which is NaN.
fn ordered(confidence: f64) -> u64 {
    // Confidences lie in 0..=1, where the bit patterns of floats rise with the numbers.
    confidence.to_bits()
}

/// A number as people write it, without a unit: the text around it names the unit.
fn plain_number(value: f64) -> String {
    if value.abs() >= 10.0 {
        format!("{value:.0}")
    } else {
        format!("{value:.1}")
    }
}
