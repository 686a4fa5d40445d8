//! How long the steps take: loading, one diagnosis, the next question, chaining over a large rule base.

use std::hint::black_box;

use blockside::engine::id::{ReadingId, SignId};
use blockside::engine::infer::{HornRule, RuleSet};
use blockside::engine::observations::{Answer, Observations};
use blockside::engine::quantity::{Measured, System};
use blockside::engine::reasoner::Reasoner;
use blockside::knowledge::{build, embedded};
use criterion::{BatchSize, Criterion, criterion_group, criterion_main};

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

/// A chain of layers: each rule asks for two atoms of the layer before.
fn rules(count: u32) -> Vec<HornRule> {
    (0..count)
        .map(|number| {
            let head = number + 100;
            HornRule {
                premises: vec![head - 100, head - 100 + (number % 7)],
                head,
            }
        })
        .collect()
}

fn chaining(criterion: &mut Criterion) {
    for count in [10_000_u32, 100_000] {
        let atoms = count as usize + 200;
        criterion.bench_function(&format!("index {count} rules"), |bench| {
            bench.iter_batched(
                || rules(count),
                |rules| RuleSet::new(atoms, rules),
                BatchSize::LargeInput,
            );
        });
        let set = RuleSet::new(atoms, rules(count));
        let given: Vec<(u32, f64)> = (0..107).map(|atom| (atom, 1.0)).collect();
        assert!(set.close(&given).holds(count + 50));
        criterion.bench_function(&format!("chain over {count} rules"), |bench| {
            bench.iter(|| set.close(black_box(&given)));
        });
    }
}

criterion_group!(benches, knowledge, diagnosis, chaining);
criterion_main!(benches);
