//! The chaining against a plain one of twenty lines, and on the built-in rules.

use blockside::engine::condition::{Condition, Literal, Proposition, Truth};
use blockside::engine::facts::FactBase;
use blockside::engine::id::{FactId, RuleId, SignId};
use blockside::engine::infer::{HornRule, RuleSet};
use blockside::engine::knowledge::{DeriveRule, Grounds, KnowledgeBase};
use blockside::engine::observations::{Answer, Observations};
use blockside::engine::quantity::System;
use blockside::engine::reasoner::Reasoner;
use blockside::engine::rulebook::Rulebook;
use blockside::knowledge::embedded;
use proptest::prelude::*;

const ATOMS: u32 = 12;

/// The degree of every atom: rounds over all rules until nothing changes.
fn plain(rules: &[HornRule], given: &[(u32, f64)]) -> Vec<f64> {
    let mut degree = vec![0.0_f64; ATOMS as usize];
    for &(atom, sure) in given {
        degree[atom as usize] = degree[atom as usize].max(sure);
    }
    loop {
        let mut changed = false;
        for rule in rules {
            let least = rule
                .premises
                .iter()
                .map(|&premise| degree[premise as usize])
                .fold(1.0, f64::min);
            if least > degree[rule.head as usize] {
                degree[rule.head as usize] = least;
                changed = true;
            }
        }
        if !changed {
            return degree;
        }
    }
}

fn degrees(rules: &RuleSet, given: &[(u32, f64)]) -> Vec<f64> {
    let closure = rules.close(given);
    (0..ATOMS).map(|atom| closure.degree(atom)).collect()
}

fn some_rules() -> impl Strategy<Value = Vec<HornRule>> {
    let rule = (prop::collection::vec(0..ATOMS, 0..4), 0..ATOMS);
    prop::collection::vec(
        rule.prop_map(|(premises, head)| HornRule { premises, head }),
        0..25,
    )
}

fn some_facts() -> impl Strategy<Value = Vec<(u32, f64)>> {
    let degree = prop_oneof![Just(1.0), Just(0.9), Just(0.8), 0.01..1.0_f64];
    prop::collection::vec((0..ATOMS, degree), 0..8)
}

proptest! {
    #[test]
    fn it_derives_what_a_plain_chainer_derives(rules in some_rules(), given in some_facts()) {
        let set = RuleSet::new(ATOMS as usize, rules.clone());
        prop_assert_eq!(degrees(&set, &given), plain(&rules, &given));
    }

    #[test]
    fn the_order_of_rules_and_facts_does_not_matter(rules in some_rules(), given in some_facts()) {
        let (mut turned, mut told) = (rules.clone(), given.clone());
        turned.reverse();
        told.reverse();
        let one = degrees(&RuleSet::new(ATOMS as usize, rules), &given);
        prop_assert_eq!(one, degrees(&RuleSet::new(ATOMS as usize, turned), &told));
    }

    #[test]
    fn more_facts_take_nothing_away(rules in some_rules(), given in some_facts(), more in some_facts()) {
        let set = RuleSet::new(ATOMS as usize, rules);
        let few = degrees(&set, &given);
        let all: Vec<(u32, f64)> = given.into_iter().chain(more).collect();
        for (few, many) in few.into_iter().zip(degrees(&set, &all)) {
            prop_assert!(many >= few);
        }
    }

    #[test]
    fn every_trace_replays(rules in some_rules(), given in some_facts()) {
        let set = RuleSet::new(ATOMS as usize, rules);
        let closure = set.close(&given);
        prop_assert_eq!(set.replay(&given, &closure), Ok(()));
    }

    /// A rule of any shape fires exactly where Kleene's logic says that its condition holds.
    #[test]
    fn a_rule_fires_where_its_condition_holds(condition in some_condition(), known in prop::collection::vec(0..3_u8, 4)) {
        let mut base = KnowledgeBase::default();
        base.scale.numbers.reading_true_at = 0.8;
        let then = Proposition::Fact(FactId::new("it-follows").expect("kebab-case"));
        let rule = DeriveRule {
            when: condition.clone(),
            then: Literal { proposition: then.clone(), holds: true },
            text: String::new(),
            grounds: Grounds::default(),
            file: String::new(),
        };
        base.rules.insert(RuleId::new("the-rule").expect("kebab-case"), rule);
        let mut told = Observations::default();
        for (number, &known) in known.iter().enumerate().filter(|(_, known)| **known < 2) {
            let answer = if known == 0 { Answer::Yes } else { Answer::No };
            told.signs.insert(SignId::new(&format!("s{number}")).expect("kebab-case"), answer);
        }
        let truth = |proposition: &Proposition| {
            let Proposition::Sign(sign) = proposition else { return Truth::Unknown };
            let place: usize = sign.as_str()[1..].parse().expect("a number behind the letter");
            [Truth::True, Truth::False, Truth::Unknown][usize::from(known[place])]
        };
        let rulebook = Rulebook::new(&base);
        let facts = FactBase::new(&base, &rulebook, &told);
        let fired = facts.truth(&rulebook, &then) == Truth::True;
        prop_assert_eq!(fired, condition.truth(&truth) == Truth::True);
        prop_assert_eq!(condition.clone().denied().truth(&truth) == Truth::True, condition.truth(&truth) == Truth::False);
    }
}

fn some_condition() -> impl Strategy<Value = Condition> {
    let literal = (0..4_u8, any::<bool>()).prop_map(|(number, holds)| {
        let sign = SignId::new(&format!("s{number}")).expect("kebab-case");
        Condition::Literal(Literal {
            proposition: Proposition::Sign(sign),
            holds,
        })
    });
    literal.prop_recursive(3, 12, 3, |inner| {
        prop_oneof![
            prop::collection::vec(inner.clone(), 1..4).prop_map(Condition::All),
            prop::collection::vec(inner, 1..4).prop_map(Condition::Any),
        ]
    })
}

/// Answers to a handful of signs of the built-in knowledge.
fn some_answers() -> impl Strategy<Value = Vec<(usize, usize)>> {
    prop::collection::vec((0..10_000_usize, 0..4_usize), 0..7)
}

fn observations(answers: &[(usize, usize)]) -> Observations {
    let base = embedded::lean();
    let mut told = Observations::default();
    for &(sign, answer) in answers {
        let (id, _) = base
            .signs
            .get_index(sign % base.signs.len())
            .expect("in range");
        told.signs.insert(id.clone(), Answer::WORDS[answer].0);
    }
    told
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    #[test]
    fn whatever_is_told_the_numbers_make_sense_and_the_trace_replays(answers in some_answers()) {
        let base = embedded::lean();
        let rulebook = Rulebook::new(&base);
        let told = observations(&answers);
        let facts = FactBase::new(&base, &rulebook, &told);
        prop_assert_eq!(rulebook.rules().replay(facts.given(), facts.closure()), Ok(()));

        let found = Reasoner::new(&base, System::Metric).diagnose(&told);
        for cause in &found.causes {
            prop_assert!((0.0..=1.0).contains(&cause.confidence));
            prop_assert!(cause.roots.iter().all(|root| (0.0..=1.0).contains(&root.confidence)));
        }
        // Causes that agree to twelve places stand in the order of their ids.
        prop_assert!(found.causes.is_sorted_by(|a, b| a.confidence >= b.confidence - 1e-12));
        prop_assert!((0.0..=1.0).contains(&found.nothing_fits) && (0.0..=1.0).contains(&found.nothing_wrong));
        prop_assert!(found.next_checks.iter().all(|check| check.gain_bits.is_finite() && check.gain_bits > 0.0));
    }

    #[test]
    fn the_order_of_answers_changes_nothing(answers in some_answers()) {
        let base = embedded::lean();
        let reasoner = Reasoner::new(&base, System::Metric);
        let told = observations(&answers);
        let mut turned = told.clone();
        turned.signs.reverse();
        prop_assert_eq!(reasoner.diagnose(&told), reasoner.diagnose(&turned));
    }
}

#[test]
fn where_nothing_is_told_nothing_is_concluded() {
    let base = embedded::lean();
    let found = Reasoner::new(&base, System::Metric).diagnose(&Observations::default());
    assert!(
        found.causes.is_empty(),
        "what is merely common is not reported"
    );
    assert!(found.cautions.is_empty() && found.actions.is_empty() && found.derived.is_empty());
    assert!(
        !found.next_checks.is_empty(),
        "but there is something to ask"
    );
}
