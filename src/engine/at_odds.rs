//! What does not go together in what was told, and the check that would settle it.

use std::collections::BTreeSet;

use crate::engine::condition::{Literal, Proposition};
use crate::engine::diagnosis::{Ask, Contradiction, NextCheck};
use crate::engine::id::CauseId;
use crate::engine::knowledge::{Asking, Finding, KnowledgeBase, Map, Question, Reading, Sign};
use crate::engine::observations::Observations;
use crate::engine::reasoner::{Reasoner, Worked};
use crate::engine::rulebook::Atom;

/// The most checks that are weighed for what settles a contradiction.
///
/// judgement: each costs a few diagnoses; five leave room for a direct test, a look and a second meter.
const MOST_WEIGHED: usize = 5;

impl<'k> Reasoner<'k> {
    /// What does not go together: derived facts that the knowledge says are at odds, and signs that were told one way
    /// and follow the other way.
    pub(crate) fn contradictions(&self, worked: &Worked<'k>) -> Vec<Contradiction> {
        let holds = |literal: &Literal| {
            let number = self.rulebook.number(&Atom::Literal(literal.clone()));
            number.is_some_and(|number| worked.facts.closure().holds(number))
        };
        let wording = self.wording(&worked.facts);
        let base = self.base;
        let mut found = Vec::new();
        for (id, at_odds) in base
            .facts
            .iter()
            .filter_map(|(id, fact)| Some((id, fact.at_odds.as_ref()?)))
        {
            let literal = Literal {
                proposition: Proposition::Fact(id.clone()),
                holds: true,
            };
            if !holds(&literal) {
                continue;
            }
            // between <- the parts of every rule that leads to the fact and fires
            let between: BTreeSet<String> = base
                .rules
                .values()
                .filter(|rule| rule.then == literal && rule.when.holds_by(&holds))
                .flat_map(|rule| {
                    // What is not so is at odds with nothing.
                    wording.holding(&rule.when, &|literal: &Literal| {
                        literal.holds && holds(literal)
                    })
                })
                .collect();
            found.push(Contradiction {
                id: id.to_string(),
                text: at_odds.says.clone(),
                between: between.into_iter().collect(),
                may_be: at_odds.may_be.clone(),
                settle_by: self.settling(worked, &at_odds.may_be),
            });
        }
        for proposition in worked.facts.contradictions(&self.rulebook) {
            // What another answer ruled out was not told: the other answer is pointed out itself.
            let ruled_out = proposition
                .as_finding()
                .is_some_and(|finding| worked.facts.is_ruled_out(&finding));
            if ruled_out {
                continue;
            }
            found.push(self.told_otherwise(worked, proposition, &holds));
        }
        found
    }

    /// A sign that was told one way although what was measured leads to the other.
    fn told_otherwise(
        &self,
        worked: &Worked<'k>,
        proposition: Proposition,
        holds: &impl Fn(&Literal) -> bool,
    ) -> Contradiction {
        let wording = self.wording(&worked.facts);
        let told = match &proposition {
            Proposition::Sign(sign) => worked.facts.observations().signs.get(sign).copied(),
            _ => None,
        };
        let as_told = told.is_none_or(|answer| worked.facts.answered(answer) >= 0.5);
        let statement = |as_it_is: bool| {
            wording.literal(&Literal {
                proposition: proposition.clone(),
                holds: as_it_is,
            })
        };
        let against = self.base.rules.values().find(|rule| {
            rule.then.proposition == proposition
                && rule.then.holds != as_told
                && rule.when.holds_by(holds)
        });
        let otherwise = against.map_or_else(
            || statement(!as_told),
            |rule| wording.holding(&rule.when, holds).join(", and "),
        );
        let id = match &proposition {
            Proposition::Sign(id) => id.to_string(),
            Proposition::Fact(id) => id.to_string(),
            _ => String::new(),
        };
        Contradiction {
            id,
            text: format!(
                "You told that {}, yet {otherwise}. One of the two is a slip, or the meter is off: look again.",
                statement(as_told)
            ),
            between: vec![statement(as_told), otherwise],
            may_be: Vec::new(),
            settle_by: None,
        }
    }

    /// The open check that would move one of these causes most for its effort. Effort counts by its root: a direct test
    /// of a meter that takes an evening settles more than a glance that hints at it.
    fn settling(&self, worked: &Worked<'k>, causes: &[CauseId]) -> Option<NextCheck> {
        let observations = worked.facts.observations();
        let setting = self.setting(&worked.facts);
        let mut open: Vec<(f64, Ask)> = Vec::new();
        for shows in causes
            .iter()
            .filter_map(|id| self.base.causes.get(id))
            .flat_map(|cause| &cause.shows)
        {
            let known = worked.facts.evidence(&self.rulebook, &shows.finding);
            if known.is_some() || !setting.speaks(shows) || !setting.can_be_there(&shows.finding) {
                continue;
            }
            let Some(ask) = self.ask_for(observations, &shows.finding) else {
                continue;
            };
            let telling = shows.share * (1.0 - setting.anyway(&shows.finding));
            match open.iter_mut().find(|(_, listed)| *listed == ask) {
                Some((most, _)) => *most = most.max(telling),
                None => open.push((telling, ask)),
            }
        }
        // What is weighed exactly is first picked by rule of thumb: each answer costs a whole diagnosis.
        open.sort_by(|a, b| b.0.total_cmp(&a.0));
        open.truncate(MOST_WEIGHED);
        open.into_iter()
            .filter_map(|(_, ask)| {
                Some((self.reach(worked, &ask, causes), check_of(self.base, ask)?))
            })
            .filter(|(reach, _)| *reach > 0.0)
            .map(|(reach, check)| (reach / libm::sqrt(check.effort), check))
            .max_by(|a, b| a.0.total_cmp(&b.0))
            .map(|(_, check)| NextCheck {
                separates: causes.to_vec(),
                ..check
            })
    }

    /// By how much the answers to a check leave one of these causes apart, at the most.
    fn reach(&self, worked: &Worked<'k>, ask: &Ask, causes: &[CauseId]) -> f64 {
        let answers = self.if_answered_after(worked, ask);
        let mut ends: Map<&CauseId, (f64, f64)> = Map::default();
        for answered in &answers {
            for cause in causes {
                let by = answered
                    .shifts
                    .iter()
                    .find(|shift| shift.cause == *cause)
                    .map_or(0.0, |shift| shift.by());
                let end = ends.entry(cause).or_insert((0.0, 0.0));
                *end = (end.0.min(by), end.1.max(by));
            }
        }
        ends.values()
            .map(|(low, high)| high - low)
            .fold(0.0, f64::max)
    }

    /// How a finding that nothing is known of is asked for.
    fn ask_for(&self, observations: &Observations, finding: &Finding) -> Option<Ask> {
        match finding {
            Finding::Sign(id) => match &self.base.signs.get(id)?.asking {
                Asking::Alone { .. } => Some(Ask::Sign(id.clone())),
                Asking::Option { question, .. } => {
                    let signs = self.base.questions.get(question)?.signs.iter();
                    let open = signs.filter(|sign| !observations.signs.contains_key(*sign));
                    Some(Ask::Question(question.clone(), open.cloned().collect()))
                }
            },
            Finding::Reading(comparison) => {
                let reading = self.base.readings.get(&comparison.reading)?;
                let measured = reading.computed.is_none();
                measured.then(|| Ask::Reading(comparison.reading.clone()))
            }
            Finding::Fact(_) => None,
        }
    }
}

/// A check in words, without what it would tell on any occasion; `None` where the knowledge has no such entry.
pub fn check_of(base: &KnowledgeBase, ask: Ask) -> Option<NextCheck> {
    let (question, how, effort, effort_word) = match &ask {
        Ask::Sign(id) => of_sign(base.signs.get(id)?),
        Ask::Question(id, _) => of_question(base.questions.get(id)?),
        Ask::Reading(id) => of_reading(base.readings.get(id)?),
    };
    Some(NextCheck {
        ask,
        question: question.to_owned(),
        how: how.to_owned(),
        chances: Vec::new(),
        gain_bits: 0.0,
        effort,
        effort_word: effort_word.to_owned(),
        separates: Vec::new(),
        hazard: false,
        about_roots_of: None,
    })
}

/// Question, how to look, effort, and the word for it.
type Words<'a> = (&'a str, &'a str, f64, &'a str);

fn of_sign(sign: &Sign) -> Words<'_> {
    let question = match &sign.asking {
        Asking::Alone { question } => question,
        Asking::Option { option, .. } => option,
    };
    (question, &sign.look, sign.effort, &sign.effort_word)
}

fn of_question(question: &Question) -> Words<'_> {
    (
        &question.ask,
        &question.look,
        question.effort,
        &question.effort_word,
    )
}

fn of_reading(reading: &Reading) -> Words<'_> {
    (
        &reading.question,
        &reading.look,
        reading.effort,
        &reading.effort_word,
    )
}
