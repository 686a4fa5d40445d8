//! The knowledge's rules as one set of Horn rules: derivation, actions and cautions alike.
//!
//! Every statement that some rule mentions gets a number here; so do actions and cautions, which are heads of rules
//! like any other. Conclusions are facts too: once the network has spoken they are given to the same rules.

use indexmap::IndexSet;
use rustc_hash::{FxBuildHasher, FxHashMap};

use crate::engine::condition::{Condition, Literal, Proposition};
use crate::engine::id::{ActionId, CauseId, CautionId};
use crate::engine::infer::{HornRule, RuleSet};
use crate::engine::knowledge::KnowledgeBase;

/// A statement or a piece of advice, as numbered for the chaining.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum Atom {
    /// A proposition or its denial.
    Literal(Literal),
    /// An action is due.
    Action(ActionId),
    /// A caution applies.
    Caution(CautionId),
    /// A part of a condition holds. Parts keep the rules as many as the conditions are long, where unfolding them into
    /// alternatives would multiply.
    Part(u32),
}

/// Where a Horn rule comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RuleOrigin {
    /// A rule from facts to facts, by its place in the knowledge.
    Derive(usize),
    /// A cause names an action or caution.
    Cause,
    /// A part of a condition follows from its own parts.
    Part,
    /// A trigger of an action, by the places of both.
    Action(usize, usize),
    /// A trigger of a caution, by the places of both.
    Caution(usize, usize),
}

/// All rules of a knowledge base, numbered.
#[derive(Debug, Clone)]
pub struct Rulebook {
    atoms: IndexSet<Atom, FxBuildHasher>,
    origins: Vec<RuleOrigin>,
    rules: RuleSet,
    /// Numbers of the statements that a rule may lead to, and of their denials. Few of all statements are among them, so
    /// that most are found not to be derived without being looked up twice.
    derivable: FxHashMap<Proposition, Sides>,
}

/// The numbers of a statement and of its denial, as far as a rule leads to them.
#[derive(Debug, Clone, Copy, Default)]
struct Sides {
    holds: Option<u32>,
    denied: Option<u32>,
}

impl Rulebook {
    /// Numbers every statement and unfolds every condition.
    pub fn new(base: &KnowledgeBase) -> Self {
        let mut writer = Writer {
            atoms: IndexSet::default(),
            origins: Vec::new(),
            rules: Vec::new(),
        };
        for (place, rule) in base.rules.values().enumerate() {
            writer.add(
                &rule.when,
                Atom::Literal(rule.then.clone()),
                RuleOrigin::Derive(place),
            );
        }
        for (id, cause) in &base.causes {
            // due(action) <- concluded(cause), the cause names the action.
            for action in &cause.actions {
                writer.add(
                    &concluded(id),
                    Atom::Action(action.clone()),
                    RuleOrigin::Cause,
                );
            }
            // applies(caution) <- suspected(cause), the cause names the caution: cautions speak early.
            for caution in &cause.cautions {
                writer.add(
                    &suspected(id),
                    Atom::Caution(caution.clone()),
                    RuleOrigin::Cause,
                );
            }
        }
        for (place, (id, action)) in base.actions.iter().enumerate() {
            for (number, trigger) in action.rules.iter().enumerate() {
                writer.add(
                    &trigger.when,
                    Atom::Action(id.clone()),
                    RuleOrigin::Action(place, number),
                );
            }
        }
        for (place, (id, caution)) in base.cautions.iter().enumerate() {
            for (number, trigger) in caution.rules.iter().enumerate() {
                writer.add(
                    &trigger.when,
                    Atom::Caution(id.clone()),
                    RuleOrigin::Caution(place, number),
                );
            }
        }
        let mut derivable: FxHashMap<Proposition, Sides> = FxHashMap::default();
        for rule in &writer.rules {
            let Some(Atom::Literal(Literal { proposition, holds })) =
                writer.atoms.get_index(rule.head as usize)
            else {
                continue;
            };
            let sides = derivable.entry(proposition.clone()).or_default();
            *(if *holds {
                &mut sides.holds
            } else {
                &mut sides.denied
            }) = Some(rule.head);
        }
        let rules = RuleSet::new(writer.atoms.len(), writer.rules);
        Self {
            atoms: writer.atoms,
            origins: writer.origins,
            rules,
            derivable,
        }
    }

    /// The numbers of a statement and of its denial, as far as some rule leads to them.
    pub fn derivable(&self, proposition: &Proposition) -> (Option<u32>, Option<u32>) {
        let sides = self.derivable.get(proposition);
        sides.map_or((None, None), |sides| (sides.holds, sides.denied))
    }

    /// The numbered rules.
    pub fn rules(&self) -> &RuleSet {
        &self.rules
    }

    /// Where a numbered rule comes from.
    pub fn origin(&self, rule: u32) -> RuleOrigin {
        self.origins[rule as usize]
    }

    /// The number of an atom, if any rule mentions it.
    pub fn number(&self, atom: &Atom) -> Option<u32> {
        self.atoms.get_index_of(atom).map(|index| index as u32)
    }

    /// The atom of a number.
    pub fn atom(&self, number: u32) -> &Atom {
        &self.atoms[number as usize]
    }

    /// Every atom with its number.
    pub fn atoms(&self) -> impl Iterator<Item = (u32, &Atom)> {
        (0_u32..).zip(&self.atoms)
    }
}

fn concluded(cause: &CauseId) -> Condition {
    Condition::holds(Proposition::Concluded(cause.clone()))
}

fn suspected(cause: &CauseId) -> Condition {
    Condition::holds(Proposition::Suspected(cause.clone()))
}

struct Writer {
    atoms: IndexSet<Atom, FxBuildHasher>,
    origins: Vec<RuleOrigin>,
    rules: Vec<HornRule>,
}

impl Writer {
    /// Adds the rule `head <- when`; a condition with alternatives makes one rule of each.
    fn add(&mut self, when: &Condition, head: Atom, origin: RuleOrigin) {
        let head = self.number(head);
        self.rules_for(when, head, origin);
    }

    fn rules_for(&mut self, when: &Condition, head: u32, origin: RuleOrigin) {
        match when {
            Condition::Literal(literal) => {
                let premise = self.number(Atom::Literal(literal.clone()));
                self.push(vec![premise], head, origin);
            }
            Condition::All(parts) => {
                let premises = parts.iter().map(|part| self.premise(part)).collect();
                self.push(premises, head, origin);
            }
            Condition::Any(parts) => {
                for part in parts {
                    self.rules_for(part, head, origin);
                }
            }
        }
    }

    /// The atom that holds where a part of a condition does.
    fn premise(&mut self, part: &Condition) -> u32 {
        match part {
            Condition::Literal(literal) => self.number(Atom::Literal(literal.clone())),
            Condition::All(_) | Condition::Any(_) => {
                let atom = self.number(Atom::Part(self.atoms.len() as u32));
                self.rules_for(part, atom, RuleOrigin::Part);
                atom
            }
        }
    }

    fn push(&mut self, premises: Vec<u32>, head: u32, origin: RuleOrigin) {
        self.rules.push(HornRule { premises, head });
        self.origins.push(origin);
    }

    fn number(&mut self, atom: Atom) -> u32 {
        self.atoms.insert_full(atom).0 as u32
    }
}
