//! Horn rules as data for the Datalog library datafrog, and our chaining held against it.
//!
//! A library that takes joins and not rules is given the rules as relations, so that bases of any size and shape can be
//! drawn: a rule waits for its premises one after the other, in the order written.

use std::collections::BTreeSet;

use blockside::engine::infer::{HornRule, RuleSet};
use datafrog::{Iteration, Relation};
use proptest::prelude::*;

/// Every atom that follows from the given ones.
///
/// ```text
/// wants(p, r, k)    <- met(r, k), premise(r, k, p).
/// met(r, k + 1)     <- wants(p, r, k), holds(p).
/// holds(h)          <- met(r, n), head(r, n, h).
/// ```
pub fn closure(rules: &[HornRule], given: &[u32]) -> BTreeSet<u32> {
    let mut premises = Vec::new();
    let mut heads = Vec::new();
    for (rule, number) in rules.iter().zip(0_u32..) {
        for (&premise, place) in rule.premises.iter().zip(0_u32..) {
            premises.push(((number, place), premise));
        }
        heads.push(((number, rule.premises.len() as u32), rule.head));
    }
    let premises: Relation<((u32, u32), u32)> = premises.into();
    let heads: Relation<((u32, u32), u32)> = heads.into();

    let mut iteration = Iteration::new();
    let holds = iteration.variable::<(u32, ())>("holds");
    let met = iteration.variable::<((u32, u32), ())>("met");
    let wants = iteration.variable::<(u32, (u32, u32))>("wants");
    holds.insert(given.iter().map(|&atom| (atom, ())).collect());
    met.insert(
        (0..rules.len() as u32)
            .map(|rule| ((rule, 0), ()))
            .collect(),
    );
    while iteration.changed() {
        wants.from_join(&met, &premises, |&at, (), &premise| (premise, at));
        met.from_join(&wants, &holds, |_, &(rule, place), ()| {
            ((rule, place + 1), ())
        });
        holds.from_join(&met, &heads, |_, (), &head| (head, ()));
    }
    holds.complete().iter().map(|&(atom, ())| atom).collect()
}

fn ours(set: &RuleSet, given: &[(u32, f64)]) -> BTreeSet<u32> {
    set.close(given).order().iter().copied().collect()
}

/// A base of so many atoms with up to twice as many rules, chains and circles among them.
fn base(atoms: u32) -> impl Strategy<Value = (Vec<HornRule>, Vec<(u32, f64)>)> {
    let near = (0..atoms, prop::collection::vec(0..6_u32, 1..3));
    let chain = near.prop_map(move |(head, back)| HornRule {
        // Premises shortly before the head make long chains, which rules drawn at random do not.
        premises: back
            .iter()
            .map(|back| (head + atoms - 1 - back) % atoms)
            .collect(),
        head,
    });
    let any = (prop::collection::vec(0..atoms, 0..4), 0..atoms)
        .prop_map(|(premises, head)| HornRule { premises, head });
    let rule = prop_oneof![8 => chain, 1 => any];
    let degree = prop_oneof![3 => Just(1.0), 1 => Just(0.9), 1 => Just(0.8)];
    (
        prop::collection::vec(rule, 0..2 * atoms as usize),
        prop::collection::vec((0..atoms, degree), 0..8),
    )
}

#[test]
fn rules_as_relations_follow_a_chain_and_wait_for_every_premise() {
    let rule = |premises: &[u32], head| HornRule {
        premises: premises.to_vec(),
        head,
    };
    let rules = [
        rule(&[], 0),
        rule(&[0, 1], 2),
        rule(&[2], 3),
        rule(&[3, 4], 5),
    ];
    assert_eq!(closure(&rules, &[1]), BTreeSet::from([0, 1, 2, 3]));
    assert_eq!(closure(&rules, &[]), BTreeSet::from([0]));
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, ..ProptestConfig::default() })]

    #[test]
    fn a_datalog_library_derives_the_same_facts((rules, given) in base(150)) {
        let set = RuleSet::new(150, rules.clone());
        let told: Vec<u32> = given.iter().map(|&(atom, _)| atom).collect();
        prop_assert_eq!(ours(&set, &given), closure(&rules, &told));
    }

    /// An atom is as sure as the highest level at which it follows from what is that sure.
    #[test]
    fn degrees_are_the_levels_at_which_a_datalog_library_derives_it((rules, given) in base(60)) {
        let closed = RuleSet::new(60, rules.clone()).close(&given);
        for level in [0.8, 0.9, 1.0] {
            let told: Vec<u32> = given.iter().filter(|one| one.1 >= level).map(|one| one.0).collect();
            let sure: BTreeSet<u32> = (0..60).filter(|&atom| closed.degree(atom) >= level).collect();
            prop_assert_eq!(sure, closure(&rules, &told));
        }
    }
}
