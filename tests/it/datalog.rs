//! Our chaining held against the Datalog library datafrog.

mod closure;

use std::collections::BTreeSet;

use blockside::engine::infer::{HornRule, RuleSet};
use proptest::prelude::*;

use crate::datalog::closure::closure;

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
