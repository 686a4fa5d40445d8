//! How long the steps take: loading, one diagnosis, the next question, chaining over a large rule base.

#[path = "../it/datalog/closure.rs"]
mod datalog;

use std::collections::BTreeSet;
use std::hint::black_box;

use blockside::engine::id::{ReadingId, SignId};
use blockside::engine::infer::{HornRule, RuleSet};
use blockside::engine::observations::{Answer, Observations};
use blockside::engine::quantity::{Measured, System};
use blockside::engine::reasoner::Reasoner;
use blockside::knowledge::{build, embedded};
use criterion::{BatchSize, Criterion, criterion_group, criterion_main};

use crate::datalog::closure;

/// Five signs and two readings, the first ones of the knowledge that a cause shows: what a grower types.
fn told(reasoner: &Reasoner<'_>) -> Observations {
    let base = reasoner.base();
    let mut told = Observations::default();
    let shown = base
        .causes
        .values()
        .flat_map(|cause| &cause.shows)
        .map(|shows| &shows.finding);
    for finding in shown {
        match finding {
            blockside::engine::knowledge::Finding::Sign(sign) if told.signs.len() < 5 => {
                told.signs.insert(SignId::clone(sign), Answer::Yes);
            }
            blockside::engine::knowledge::Finding::Reading(comparison)
                if told.readings.len() < 2 =>
            {
                let reading = &base.readings[&comparison.reading];
                let value = f64::midpoint(reading.believable.0, reading.believable.1);
                told.readings.insert(
                    ReadingId::clone(&comparison.reading),
                    Measured {
                        value,
                        tolerance: None,
                    },
                );
            }
            _ => {}
        }
    }
    told
}

fn knowledge(criterion: &mut Criterion) {
    criterion.bench_function("decode the built-in knowledge", |bench| {
        bench.iter(embedded::base)
    });
    let base = embedded::base();
    criterion.bench_function("index it for reasoning", |bench| {
        bench.iter(|| Reasoner::new(black_box(&base), System::Metric));
    });
    let files = embedded::files();
    criterion.bench_function("build it from its files", |bench| {
        bench.iter(|| build::build(black_box(&files)))
    });
}

fn diagnosis(criterion: &mut Criterion) {
    let base = embedded::base();
    let reasoner = Reasoner::new(&base, System::Metric);
    let told = told(&reasoner);
    criterion.bench_function("one diagnosis", |bench| {
        bench.iter(|| reasoner.diagnose(black_box(&told)))
    });
    criterion.bench_function("the next question", |bench| {
        bench.iter(|| reasoner.next_checks(black_box(&told)))
    });
    let nothing = Observations::default();
    criterion.bench_function("the first question of all", |bench| {
        bench.iter(|| reasoner.next_checks(black_box(&nothing)));
    });
}

/// Rules of one to three premises, each a told atom or one of the fifty before the head, four rules to a head.
fn rules(count: u32) -> Vec<HornRule> {
    // Knuth's MMIX generator (The Art of Computer Programming, vol. 2, 3.3.4): any will do that is the same everywhere.
    let mut state = 1_u64;
    let mut lot = |below: u32| {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        ((state >> 33) % u64::from(below)) as u32
    };
    let facts = (count / 4).max(20);
    (0..count)
        .map(|number| {
            let fact = if number < facts { number } else { lot(facts) };
            let premises = (0..=lot(3)).map(|_| match lot(10) {
                0..3 => lot(SIGNS),
                _ if fact == 0 => lot(SIGNS),
                _ => SIGNS + fact - 1 - lot(fact.min(50)),
            });
            HornRule {
                premises: premises.collect(),
                head: SIGNS + fact,
            }
        })
        .collect()
}

/// Atoms that may be told, the first ones.
const SIGNS: u32 = 100;

fn chaining(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("chaining");
    for count in [300_u32, 3_000, 30_000, 100_000] {
        let atoms = (SIGNS + (count / 4).max(20)) as usize;
        let rules = rules(count);
        let told: Vec<u32> = (0..60).collect();
        let given: Vec<(u32, f64)> = told.iter().map(|&atom| (atom, 1.0)).collect();
        let set = RuleSet::new(atoms, rules.clone());
        let ours: BTreeSet<u32> = set.close(&given).order().iter().copied().collect();
        assert_eq!(ours, closure(&rules, &told), "{count} rules");
        assert!(ours.len() > 80, "something follows");
        group.sample_size(if count < 30_000 { 100 } else { 10 });
        group.bench_function(format!("index {count} rules"), |bench| {
            bench.iter_batched(
                || rules.clone(),
                |rules| RuleSet::new(atoms, rules),
                BatchSize::LargeInput,
            );
        });
        group.bench_function(format!("chain over {count} rules"), |bench| {
            bench.iter(|| set.close(black_box(&given)));
        });
        group.bench_function(format!("datafrog over {count} rules"), |bench| {
            bench.iter(|| closure(black_box(&rules), &told));
        });
    }
    group.finish();
}

criterion_group!(benches, knowledge, diagnosis, chaining);
criterion_main!(benches);
