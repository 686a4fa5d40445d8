//! Horn rules as data for the Datalog library datafrog.
//!
//! A library that takes joins and not rules is given the rules as relations, so that bases of any size and shape can be
//! drawn: a rule waits for its premises one after the other, in the order written.

use std::collections::BTreeSet;

use blockside::engine::infer::HornRule;
use datafrog::{Iteration, Relation};

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
