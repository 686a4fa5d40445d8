//! Forward chaining to a fixed point over numbered statements.
//!
//! Every statement is an *atom*, a number below the size of the rule set; a statement and its denial are two atoms,
//! so the rules are Horn rules and more facts never take a derived one away. Each atom gets a *degree* in 0..=1: 1
//! for what was told outright, less for what a meter with a tolerance says. A rule's head is as sure as its least sure
//! premise, and an atom is as sure as the best rule for it. Atoms are settled from the surest down, so the first rule
//! that reaches an atom is already its best one (Knuth 1977, "A generalization of Dijkstra's algorithm", Inf Process
//! Lett 6:1-5). Unmet premises are counted per rule (Dowling & Gallier 1984, J Logic Program 1:267-284): with facts
//! told outright the work is linear in the number of literals.

use std::cmp::Ordering;
use std::collections::{BinaryHeap, VecDeque};

use thiserror::Error;

/// A rule: when all premises hold, the head follows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HornRule {
    /// The atoms that must hold; none for a rule that always speaks.
    pub premises: Vec<u32>,
    /// The atom that follows.
    pub head: u32,
}

/// Rules indexed by premise, ready for chaining.
///
/// # Invariants
/// Every atom in a rule is below `atoms`; a premise stands once in a rule.
#[derive(Debug, Clone, Default)]
pub struct RuleSet {
    atoms: usize,
    rules: Vec<HornRule>,
    /// For atom `a`, `users[starts[a]..starts[a + 1]]` are the rules that ask for it.
    starts: Vec<u32>,
    users: Vec<u32>,
}

/// Why an atom holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Reached {
    /// It was told or measured.
    Given,
    /// This rule, by its place in the rule set, derived it.
    By(u32),
}

/// What holds once nothing more follows.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Closure {
    degree: Vec<f64>,
    reached: Vec<Option<Reached>>,
    order: Vec<u32>,
}

/// Why a trace does not stand up when replayed.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum ReplayError {
    /// A step's premise had not been reached before it.
    #[error("statement {head} was derived before its premise {premise}")]
    PremiseMissing {
        /// The derived atom.
        head: u32,
        /// The premise that was not there.
        premise: u32,
    },
    /// The rule named in a step has another head.
    #[error("statement {head} is credited to rule {rule}, which says something else")]
    WrongRule {
        /// The derived atom.
        head: u32,
        /// The rule named in the step.
        rule: u32,
    },
    /// A step is surer than its least sure premise.
    #[error("statement {head} is surer than its premises")]
    TooSure {
        /// The derived atom.
        head: u32,
    },
    /// An atom counts as given but was not.
    #[error("statement {atom} was never told")]
    NotGiven {
        /// The atom.
        atom: u32,
    },
}

impl RuleSet {
    /// Indexes the rules. Repeated premises in a rule count once.
    ///
    /// # Panics
    /// When a rule names an atom at or above `atoms`: a slip of the caller.
    pub fn new(atoms: usize, mut rules: Vec<HornRule>) -> Self {
        let mut starts = vec![0_u32; atoms + 1];
        for rule in &mut rules {
            rule.premises.sort_unstable();
            rule.premises.dedup();
            assert!(
                (rule.head as usize) < atoms,
                "a rule's head lies outside the atoms"
            );
            for &premise in &rule.premises {
                starts[premise as usize + 1] += 1;
            }
        }
        for atom in 0..atoms {
            starts[atom + 1] += starts[atom];
        }
        let mut next = starts.clone();
        let mut users = vec![0_u32; starts[atoms] as usize];
        for (number, rule) in (0_u32..).zip(&rules) {
            for &premise in &rule.premises {
                let place = &mut next[premise as usize];
                users[*place as usize] = number;
                *place += 1;
            }
        }
        Self {
            atoms,
            rules,
            starts,
            users,
        }
    }

    /// The rules, in the order given.
    pub fn rules(&self) -> &[HornRule] {
        &self.rules
    }

    /// Number of atoms.
    pub fn atoms(&self) -> usize {
        self.atoms
    }

    /// Everything that follows from the given atoms, each with its degree in 0..=1 (an atom given twice keeps the
    /// greater). Atoms with degree 0 or below are taken as not given. The order of `given` does not matter.
    pub fn close(&self, given: &[(u32, f64)]) -> Closure {
        let mut state = Chaining {
            closure: Closure {
                degree: vec![0.0; self.atoms],
                reached: vec![None; self.atoms],
                order: Vec::new(),
            },
            sure: VecDeque::new(),
            less_sure: BinaryHeap::new(),
        };
        let mut unmet: Vec<u32> = self
            .rules
            .iter()
            .map(|rule| rule.premises.len() as u32)
            .collect();
        let mut sorted = given.to_vec();
        sorted.sort_by(|a, b| a.0.cmp(&b.0).then(b.1.total_cmp(&a.1)));
        for (atom, degree) in sorted {
            state.offer(atom, degree.min(1.0), Reached::Given);
        }
        // holds(head) <- every premise holds; a rule without premises always speaks.
        for (number, rule) in (0_u32..).zip(&self.rules) {
            if rule.premises.is_empty() {
                state.offer(rule.head, 1.0, Reached::By(number));
            }
        }
        while let Some(atom) = state.settle_next() {
            let degree = state.closure.degree[atom as usize];
            let (from, to) = (
                self.starts[atom as usize] as usize,
                self.starts[atom as usize + 1] as usize,
            );
            for &number in &self.users[from..to] {
                unmet[number as usize] -= 1;
                if unmet[number as usize] == 0 {
                    // Atoms come in falling degree, so the last premise to arrive is the least sure one.
                    state.offer(
                        self.rules[number as usize].head,
                        degree,
                        Reached::By(number),
                    );
                }
            }
        }
        state.closure
    }

    /// Walks a closure again, step by step, and checks that each step follows from earlier ones and from what was
    /// given.
    ///
    /// # Errors
    /// The first step that does not stand up.
    pub fn replay(&self, given: &[(u32, f64)], closure: &Closure) -> Result<(), ReplayError> {
        let mut held = vec![None; self.atoms];
        for &atom in closure.order() {
            let degree = closure.degree(atom);
            match closure.reached[atom as usize] {
                Some(Reached::Given) => {
                    if !given
                        .iter()
                        .any(|&(told, sure)| told == atom && sure.min(1.0) >= degree)
                    {
                        return Err(ReplayError::NotGiven { atom });
                    }
                }
                Some(Reached::By(number)) => {
                    let rule = self
                        .rules
                        .get(number as usize)
                        .filter(|rule| rule.head == atom);
                    let rule = rule.ok_or(ReplayError::WrongRule {
                        head: atom,
                        rule: number,
                    })?;
                    for &premise in &rule.premises {
                        let Some(sure) = held[premise as usize] else {
                            return Err(ReplayError::PremiseMissing {
                                head: atom,
                                premise,
                            });
                        };
                        if sure < degree {
                            return Err(ReplayError::TooSure { head: atom });
                        }
                    }
                }
                None => return Err(ReplayError::NotGiven { atom }),
            }
            held[atom as usize] = Some(degree);
        }
        Ok(())
    }
}

impl Closure {
    /// How sure the atom is: 0 where it does not follow.
    pub fn degree(&self, atom: u32) -> f64 {
        self.degree[atom as usize]
    }

    /// Whether the atom follows.
    pub fn holds(&self, atom: u32) -> bool {
        self.reached[atom as usize].is_some()
    }

    /// Why the atom holds.
    pub fn reached(&self, atom: u32) -> Option<Reached> {
        self.reached[atom as usize]
    }

    /// The atoms that hold, in the order they were settled.
    pub fn order(&self) -> &[u32] {
        &self.order
    }
}

/// A candidate waiting to be settled, the surest first; ties by atom, then by rule, so that the order in which things
/// were told never shows.
struct Waiting {
    degree: f64,
    atom: u32,
    reached: Reached,
}

impl Waiting {
    fn rank(&self) -> (u32, u32) {
        match self.reached {
            Reached::Given => (self.atom, 0),
            Reached::By(number) => (self.atom, number + 1),
        }
    }
}

impl PartialEq for Waiting {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl Eq for Waiting {}

impl PartialOrd for Waiting {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Waiting {
    fn cmp(&self, other: &Self) -> Ordering {
        self.degree
            .total_cmp(&other.degree)
            .then_with(|| other.rank().cmp(&self.rank()))
    }
}

/// The chaining under way. What is certain goes through a plain queue; only what is less sure needs a sorted one.
struct Chaining {
    closure: Closure,
    sure: VecDeque<u32>,
    less_sure: BinaryHeap<Waiting>,
}

impl Chaining {
    fn offer(&mut self, atom: u32, degree: f64, reached: Reached) {
        if self.closure.reached[atom as usize].is_some() || degree.is_nan() || degree <= 0.0 {
            return;
        }
        if degree >= 1.0 {
            self.closure.reached[atom as usize] = Some(reached);
            self.closure.degree[atom as usize] = 1.0;
            self.sure.push_back(atom);
        } else {
            self.less_sure.push(Waiting {
                degree,
                atom,
                reached,
            });
        }
    }

    fn settle_next(&mut self) -> Option<u32> {
        let atom = self.sure.pop_front().or_else(|| {
            while let Some(next) = self.less_sure.pop() {
                if self.closure.reached[next.atom as usize].is_none() {
                    self.closure.reached[next.atom as usize] = Some(next.reached);
                    self.closure.degree[next.atom as usize] = next.degree;
                    return Some(next.atom);
                }
            }
            None
        })?;
        self.closure.order.push(atom);
        Some(atom)
    }
}

#[cfg(test)]
mod tests {
    use super::{HornRule, Reached, ReplayError, RuleSet};

    fn rule(premises: &[u32], head: u32) -> HornRule {
        HornRule {
            premises: premises.to_vec(),
            head,
        }
    }

    #[test]
    fn a_chain_is_followed_to_its_end_and_a_cycle_ends() {
        let rules = RuleSet::new(
            5,
            vec![
                rule(&[0], 1),
                rule(&[1], 2),
                rule(&[2], 0),
                rule(&[2, 3], 4),
            ],
        );
        let closure = rules.close(&[(0, 1.0)]);
        assert_eq!(closure.order(), [0, 1, 2]);
        assert!(!closure.holds(4), "one of its premises was never told");
        assert_eq!(closure.reached(2), Some(Reached::By(1)));
    }

    #[test]
    fn an_atom_is_as_sure_as_its_best_rule_and_a_rule_as_its_least_sure_premise() {
        let rules = RuleSet::new(5, vec![rule(&[0, 1], 3), rule(&[2], 3), rule(&[3], 4)]);
        let closure = rules.close(&[(0, 1.0), (1, 0.9), (2, 0.85)]);
        assert_eq!(closure.degree(3), 0.9);
        assert_eq!(closure.degree(4), 0.9);
        assert_eq!(closure.reached(3), Some(Reached::By(0)));
    }

    #[test]
    fn a_rule_without_premises_always_speaks() {
        let closure = RuleSet::new(2, vec![rule(&[], 0), rule(&[0], 1)]).close(&[]);
        assert!(closure.holds(1));
    }

    #[test]
    fn a_forged_step_is_found_on_replay() {
        let rules = RuleSet::new(3, vec![rule(&[0], 1), rule(&[0, 1], 2)]);
        let honest = rules.close(&[(0, 1.0)]);
        assert_eq!(rules.replay(&[(0, 1.0)], &honest), Ok(()));
        assert_eq!(
            rules.replay(&[], &honest),
            Err(ReplayError::NotGiven { atom: 0 })
        );

        let mut forged = honest.clone();
        forged.order = vec![0, 2, 1];
        assert_eq!(
            rules.replay(&[(0, 1.0)], &forged),
            Err(ReplayError::PremiseMissing {
                head: 2,
                premise: 1
            })
        );
        let mut forged = honest;
        forged.reached[1] = Some(Reached::By(1));
        assert_eq!(
            rules.replay(&[(0, 1.0)], &forged),
            Err(ReplayError::WrongRule { head: 1, rule: 1 })
        );
    }
}
