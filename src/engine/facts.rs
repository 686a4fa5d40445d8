//! What is known on one occasion: what was told, what meters say against limits, and what rules derive from it.

use std::sync::OnceLock;

use crate::engine::condition::{Comparison, Limit, Literal, Proposition, Side, Truth};
use crate::engine::formula;
use crate::engine::id::{CauseId, ReadingId, SignId};
use crate::engine::infer::{Closure, Reached};
use crate::engine::knowledge::{Finding, KnowledgeBase, Map, Reading, SpeciesLimit};
use crate::engine::normal::limit_exceeded;
use crate::engine::observations::{Answer, FromLog, Observations};
use crate::engine::quantity::Measured;
use crate::engine::rulebook::{Atom, RuleOrigin, Rulebook};
use rustc_hash::FxHashSet;

/// A measured or computed value with its standard deviation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Value {
    /// The value, in the reading's own unit.
    pub value: f64,
    /// Its standard deviation, in the same unit.
    pub tolerance: f64,
    /// Whether physics gave it rather than a meter.
    pub computed: bool,
}

/// The facts of one occasion, each with its origin.
///
/// # Invariants
/// What was told outranks what rules derive; a derived fact's degree never exceeds that of its premises; the facts do
/// not depend on the order in which anything was told.
#[derive(Debug, Clone)]
pub struct FactBase<'k> {
    base: &'k KnowledgeBase,
    observations: Observations,
    /// Signs ruled out because another sign of the same one-of question was seen.
    ruled_out: FxHashSet<&'k SignId>,
    values: Map<ReadingId, Value>,
    given: Vec<(u32, f64)>,
    closure: Closure,
    /// What is known of each finding that the causes show, in their order; worked out when first asked for.
    known: OnceLock<Vec<Known>>,
}

/// A likelihood pair, where something is known.
pub type Known = Option<(f64, f64)>;

/// Where a fact comes from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Origin {
    /// The grower told it.
    Told,
    /// A meter or a formula says it.
    Measured,
    /// The profile of the chamber says it.
    Profile,
    /// It comes with the species or the stage.
    Context,
    /// A derive rule, by its place in the knowledge.
    Derived(usize),
    /// The network concluded it.
    Concluded,
}

impl<'k> FactBase<'k> {
    /// Takes in what was told, computes what physics gives, and derives what follows.
    pub fn new(base: &'k KnowledgeBase, rulebook: &Rulebook, observations: &Observations) -> Self {
        let mut facts = Self {
            base,
            observations: observations.clone(),
            ruled_out: ruled_out(base, observations),
            values: values(base, observations),
            given: Vec::new(),
            closure: Closure::default(),
            known: OnceLock::new(),
        };
        let sure = base.scale.numbers.reading_true_at;
        for (number, atom) in rulebook.atoms() {
            let Atom::Literal(Literal { proposition, holds }) = atom else {
                continue;
            };
            let Some(told) = facts.told(proposition) else {
                continue;
            };
            let degree = if *holds { told } else { 1.0 - told };
            if degree >= sure {
                facts.given.push((number, degree));
            }
        }
        facts.closure = rulebook.rules().close(&facts.given);
        facts
    }

    /// The facts with conclusions of the network added, each cause with what it reached.
    pub fn with_conclusions(&self, rulebook: &Rulebook, confidence: &Map<CauseId, f64>) -> Self {
        let mut given = self.given.clone();
        let numbers = &self.base.scale.numbers;
        let reached =
            |cause: &CauseId, least: f64| confidence.get(cause).is_some_and(|&sure| sure >= least);
        for (number, atom) in rulebook.atoms() {
            let Atom::Literal(Literal { proposition, holds }) = atom else {
                continue;
            };
            let truth = match proposition {
                Proposition::Concluded(cause) => reached(cause, numbers.conclude_at),
                Proposition::Suspected(cause) => reached(cause, numbers.suspect_at),
                _ => continue,
            };
            if truth == *holds {
                given.push((number, 1.0));
            }
        }
        Self {
            base: self.base,
            observations: self.observations.clone(),
            ruled_out: self.ruled_out.clone(),
            values: self.values.clone(),
            closure: rulebook.rules().close(&given),
            given,
            known: OnceLock::new(),
        }
    }

    /// What was told.
    pub fn observations(&self) -> &Observations {
        &self.observations
    }

    /// The species that was named, unless it is the one that stands for "not named".
    pub fn species(&self) -> Option<&str> {
        let named = self.observations.species.as_ref()?;
        (self.base.default_species() != Some(named)).then(|| named.as_str())
    }

    /// The value of a reading, measured or computed.
    pub fn value(&self, reading: &str) -> Option<Value> {
        self.values.get(reading).copied()
    }

    /// Whether a reading, setup item or sign was told by the profile of the chamber.
    pub fn by_profile(&self, id: &str) -> bool {
        self.observations.from_profile.contains(id)
    }

    /// What a reading or sign rests on, where it is from a sensor log.
    pub fn by_log(&self, id: &str) -> Option<&FromLog> {
        self.observations.by_log(id)
    }

    /// Whether a finding is known only because another answer of the same question rules it out.
    pub fn is_ruled_out(&self, finding: &Finding) -> bool {
        matches!(finding, Finding::Sign(sign) if self.ruled_out.contains(sign))
    }

    /// Everything given to the rules, for replaying.
    pub fn given(&self) -> &[(u32, f64)] {
        &self.given
    }

    /// What holds once nothing more follows.
    pub fn closure(&self) -> &Closure {
        &self.closure
    }

    /// The limit of the species and stage for a reading; those of the species and stage that stand for "not named"
    /// where none was.
    pub fn limit(&self, reading: &str) -> Option<&'k SpeciesLimit> {
        let told = &self.observations;
        self.base
            .limit_for(told.species.as_ref(), told.stage.as_ref(), reading)
    }

    /// The number a comparison compares with, in the reading's own unit.
    pub fn limit_value(&self, comparison: &Comparison) -> Option<f64> {
        match comparison.limit {
            Limit::Fixed(number) => Some(number),
            Limit::Species { times } => {
                let limit = self.limit(comparison.reading.as_str())?;
                let number = match comparison.side {
                    Side::Above => limit.max,
                    Side::Below => limit.min,
                };
                number.map(|number| number * times)
            }
        }
    }

    /// Probability that a comparison holds, from the reading, its tolerance and the chance of a broken gauge; `None`
    /// where nothing was measured or there is no limit.
    ///
    /// # Source
    /// Guide to uncertainty in conformity assessment, JCGM 106:2012; the floor is the project's judgement.
    pub fn comparison(&self, comparison: &Comparison) -> Option<f64> {
        let value = self.value(comparison.reading.as_str())?;
        let limit = self.limit_value(comparison)?;
        let broken = self
            .base
            .readings
            .get(&comparison.reading)
            .map_or(0.0, |reading| reading.broken_gauge);
        let above = limit_exceeded(value.value, value.tolerance, limit, broken);
        Some(match comparison.side {
            Side::Above => above,
            Side::Below => 1.0 - above,
        })
    }

    /// Probability of a proposition from what was told or measured alone; `None` where nobody said anything.
    fn told(&self, proposition: &Proposition) -> Option<f64> {
        let yes_no = |truth: bool| if truth { 1.0 } else { 0.0 };
        match proposition {
            Proposition::Sign(sign) => match self.observations.signs.get(sign) {
                Some(answer) => Some(self.answered(*answer)),
                None => self.ruled_out.contains(sign).then_some(0.0),
            },
            Proposition::Setup(setup) => self
                .observations
                .setup
                .get(setup)
                .map(|&holds| yes_no(holds)),
            Proposition::Person(person) => self
                .observations
                .people
                .get(person)
                .map(|&holds| yes_no(holds)),
            Proposition::Reading(comparison) => self.comparison(comparison),
            Proposition::Species(species) => self
                .species()
                .map(|named| yes_no(named == species.as_str())),
            Proposition::Stage(stage) => self
                .observations
                .stage
                .as_ref()
                .map(|named| yes_no(named == stage)),
            Proposition::Trait(of_species) => {
                let species = self.base.species.get(self.species()?)?;
                Some(yes_no(species.traits.contains(of_species)))
            }
            Proposition::Fact(_) | Proposition::Concluded(_) | Proposition::Suspected(_) => None,
        }
    }

    /// Probability of the sign that an answer stands for.
    pub fn answered(&self, answer: Answer) -> f64 {
        match answer {
            Answer::Yes => 1.0,
            Answer::No => 0.0,
            Answer::Unsure => self.base.scale.numbers.unsure,
            Answer::Probably => self.base.scale.numbers.probably,
        }
    }

    /// What is known of a proposition, told or derived.
    pub fn truth(&self, rulebook: &Rulebook, proposition: &Proposition) -> Truth {
        let sure = self.base.scale.numbers.reading_true_at;
        match self.told(proposition) {
            Some(probability) if probability >= sure => return Truth::True,
            Some(probability) if 1.0 - probability >= sure => return Truth::False,
            Some(_) => return Truth::Unknown,
            None => {}
        }
        match self.derived(rulebook, proposition) {
            (0.0, 0.0) => Truth::Unknown,
            (holds, denied) if holds > denied => Truth::True,
            (holds, denied) if holds < denied => Truth::False,
            _ => Truth::Unknown,
        }
    }

    /// Degrees to which a statement and its denial follow by rules, of one that nobody told; 0 where they do not.
    fn derived(&self, rulebook: &Rulebook, proposition: &Proposition) -> (f64, f64) {
        let degree = |number: Option<u32>| number.map_or(0.0, |number| self.closure.degree(number));
        let (holds, denied) = rulebook.derivable(proposition);
        (degree(holds), degree(denied))
    }

    /// What is known of these findings, in their order: the findings that the causes show, always the same ones.
    pub fn known_of<'f>(
        &self,
        rulebook: &Rulebook,
        findings: impl Iterator<Item = &'f Finding>,
    ) -> &[Known] {
        self.known.get_or_init(|| {
            findings
                .map(|finding| self.evidence(rulebook, finding))
                .collect()
        })
    }

    /// The likelihood pair of a finding: how well what is known fits its presence and its absence. `None` where
    /// nothing is known of it.
    pub fn evidence(&self, rulebook: &Rulebook, finding: &Finding) -> Option<(f64, f64)> {
        if let Finding::Reading(comparison) = finding {
            return self
                .comparison(comparison)
                .map(|probability| (probability, 1.0 - probability));
        }
        let proposition = finding.proposition();
        if let Some(probability) = self.told(&proposition) {
            return Some((probability, 1.0 - probability));
        }
        let (holds, denied) = self.derived(rulebook, &proposition);
        if holds > denied {
            Some((holds, 1.0 - holds))
        } else if denied > holds {
            Some((1.0 - denied, denied))
        } else {
            None
        }
    }

    /// Where a numbered atom that holds comes from.
    pub fn origin(&self, rulebook: &Rulebook, number: u32) -> Option<Origin> {
        let atom = rulebook.atom(number);
        Some(match self.closure.reached(number)? {
            Reached::By(rule) => match rulebook.origin(rule) {
                RuleOrigin::Derive(place) => Origin::Derived(place),
                RuleOrigin::Cause
                | RuleOrigin::Part
                | RuleOrigin::Action(..)
                | RuleOrigin::Caution(..) => Origin::Concluded,
            },
            Reached::Given => match atom {
                Atom::Literal(Literal { proposition, .. }) => match proposition {
                    Proposition::Reading(comparison)
                        if self.by_profile(comparison.reading.as_str()) =>
                    {
                        Origin::Profile
                    }
                    Proposition::Sign(sign) if self.by_profile(sign.as_str()) => Origin::Profile,
                    Proposition::Setup(setup) if self.by_profile(setup.as_str()) => Origin::Profile,
                    Proposition::Reading(_) => Origin::Measured,
                    Proposition::Species(_) | Proposition::Stage(_) | Proposition::Trait(_) => {
                        Origin::Context
                    }
                    Proposition::Concluded(_) | Proposition::Suspected(_) => Origin::Concluded,
                    _ => Origin::Told,
                },
                Atom::Action(_) | Atom::Caution(_) | Atom::Part(_) => Origin::Concluded,
            },
        })
    }

    /// Propositions that were told one way and derived the other, or derived both ways.
    pub fn contradictions(&self, rulebook: &Rulebook) -> Vec<Proposition> {
        let mut settled = self.closure.order().to_vec();
        // In the order of the numbers, so that it does not show what was told first.
        settled.sort_unstable();
        let mut found = Vec::new();
        for number in settled {
            let Atom::Literal(Literal {
                proposition,
                holds: true,
            }) = rulebook.atom(number)
            else {
                continue;
            };
            let denied = Literal {
                proposition: proposition.clone(),
                holds: false,
            };
            let denied = rulebook.number(&Atom::Literal(denied));
            if denied.is_some_and(|denied| self.closure.holds(denied)) {
                found.push(proposition.clone());
            }
        }
        found
    }
}

/// Where a question allows one answer and that was given, the other signs are not there.
fn ruled_out<'k>(base: &'k KnowledgeBase, observations: &Observations) -> FxHashSet<&'k SignId> {
    let mut ruled_out = FxHashSet::default();
    for question in base.questions.values().filter(|question| question.one_of) {
        let seen = |sign: &&SignId| observations.signs.get(*sign) == Some(&Answer::Yes);
        if question.signs.iter().any(|sign| seen(&sign)) {
            ruled_out.extend(
                question
                    .signs
                    .iter()
                    .filter(|sign| !observations.signs.contains_key(*sign)),
            );
        }
    }
    ruled_out
}

/// The measured values, and those that physics adds to them: a formula is worked out once its inputs are there.
fn values(base: &KnowledgeBase, observations: &Observations) -> Map<ReadingId, Value> {
    let mut values = Map::default();
    for (id, reading) in &base.readings {
        if let Some(measured) = observations.readings.get(id) {
            values.insert(id.clone(), measured_value(reading, *measured));
        }
    }
    loop {
        let before = values.len();
        for (id, reading) in &base.readings {
            let Some(formula) = &reading.computed else {
                continue;
            };
            if values.contains_key(id) {
                continue;
            }
            let input = |name: &str| {
                let value: &Value = values.get(formula.inputs.get(name)?)?;
                Some((value.value, value.tolerance))
            };
            if let Some((value, tolerance)) = formula::evaluate(formula.name, &input, None) {
                values.insert(
                    id.clone(),
                    Value {
                        value,
                        tolerance,
                        computed: true,
                    },
                );
            }
        }
        if values.len() == before {
            return values;
        }
    }
}

fn measured_value(reading: &Reading, measured: Measured) -> Value {
    let usual = reading.tolerance + reading.tolerance_share * measured.value.abs();
    Value {
        value: measured.value,
        tolerance: measured.tolerance.unwrap_or(usual),
        computed: false,
    }
}
