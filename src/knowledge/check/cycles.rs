//! Derive rules must not lead back to where they start.

use std::collections::{BTreeMap, BTreeSet, HashSet};

use rustc_hash::FxHashMap;

use crate::engine::condition::Proposition;
use crate::engine::knowledge::KnowledgeBase;
use crate::knowledge::check::Found;
use crate::knowledge::problem::{Problem, ProblemCode};
use crate::knowledge::rules::derivable;
use crate::knowledge::shape::Kind;

impl Found<'_> {
    /// Derive rules must not lead back to where they start.
    pub(super) fn cycles(&mut self) {
        let base = self.base();
        if !any_circle(base) {
            return;
        }
        let mut leads: BTreeMap<String, Vec<(String, String)>> = BTreeMap::new();
        for (id, rule) in &base.rules {
            let Some(head) = derivable(&rule.then.proposition) else {
                continue;
            };
            for literal in rule.when.literals() {
                if let Some(from) = derivable(&literal.proposition) {
                    leads
                        .entry(from)
                        .or_default()
                        .push((head.clone(), id.to_string()));
                }
            }
        }
        let mut done: BTreeSet<String> = BTreeSet::new();
        let starts: Vec<String> = leads.keys().cloned().collect();
        for start in starts {
            if let Some((path, rules)) = find_cycle(&start, &leads, &mut done) {
                let place = |rule: Option<&String>| {
                    let (file, span) = self.gathered.places.of(Kind::Rule, rule?)?;
                    Some((file.to_owned(), span))
                };
                let (Some((file, span)), first) = (place(rules.last()), place(rules.first()))
                else {
                    continue;
                };
                let message = format!("derive rules go in a circle: `{}`", path.join("` -> `"));
                let help = Some("a fact cannot be its own reason; take one step out".to_owned());
                self.problems.push(Problem {
                    code: ProblemCode::RuleCycle,
                    other: first
                        .filter(|_| rules.len() > 1)
                        .map(|(file, span)| (file, span, "opens it".to_owned())),
                    file,
                    span: Some(span),
                    message,
                    label: "closes the circle".to_owned(),
                    help,
                });
            }
        }
    }
}

/// Whether some rules go in a circle, by taking away what no rule that is left leads to until nothing more goes (Kahn
/// 1962, Commun ACM 5:558-562): linear in the literals, and nearly always all that there is to do.
fn any_circle(base: &KnowledgeBase) -> bool {
    let mut numbers: FxHashMap<&Proposition, usize> = FxHashMap::default();
    let mut number = |proposition| {
        let next = numbers.len();
        *numbers.entry(proposition).or_insert(next)
    };
    let is_derivable =
        |one: &Proposition| matches!(one, Proposition::Sign(_) | Proposition::Fact(_));
    let mut leads: Vec<(usize, usize)> = Vec::new();
    for rule in base.rules.values() {
        if !is_derivable(&rule.then.proposition) {
            continue;
        }
        let head = number(&rule.then.proposition);
        rule.when.each_literal(&mut |literal| {
            if is_derivable(&literal.proposition) {
                leads.push((number(&literal.proposition), head));
            }
        });
    }
    leads.sort_unstable();
    let mut led_to = vec![0_usize; numbers.len()];
    leads.iter().for_each(|(_, head)| led_to[*head] += 1);
    let mut free: Vec<usize> = (0..led_to.len()).filter(|&one| led_to[one] == 0).collect();
    let mut left = led_to.len();
    while let Some(one) = free.pop() {
        left -= 1;
        let first = leads.partition_point(|(from, _)| *from < one);
        for (_, head) in leads[first..].iter().take_while(|(from, _)| *from == one) {
            led_to[*head] -= 1;
            if led_to[*head] == 0 {
                free.push(*head);
            }
        }
    }
    left > 0
}

/// A circle that can be reached from a start, with the rules that lead round it. Depth first, without recursion: a chain of
/// rules may be as long as the file.
fn find_cycle(
    start: &str,
    leads: &BTreeMap<String, Vec<(String, String)>>,
    done: &mut BTreeSet<String>,
) -> Option<(Vec<String>, Vec<String>)> {
    let mut path: Vec<(String, usize)> = vec![(start.to_owned(), 0)];
    let mut on_path: HashSet<String> = HashSet::from([start.to_owned()]);
    while let Some((node, next)) = path.last_mut() {
        let step = leads
            .get(node.as_str())
            .and_then(|steps| steps.get(*next))
            .filter(|_| !done.contains(node.as_str()));
        let Some((to, _)) = step else {
            done.insert(node.clone());
            on_path.remove(node.as_str());
            path.pop();
            continue;
        };
        *next += 1;
        if on_path.contains(to) {
            let from = path.iter().position(|(node, _)| node == to).unwrap_or(0);
            let mut circle: Vec<String> =
                path[from..].iter().map(|(node, _)| node.clone()).collect();
            circle.push(to.clone());
            // The step last taken from each node on the path is the one before the next to try.
            let rules = path[from..]
                .iter()
                .map(|(node, next)| leads[node][next - 1].1.clone())
                .collect();
            done.extend(path.iter().map(|(node, _)| node.clone()));
            return Some((circle, rules));
        }
        on_path.insert(to.clone());
        path.push((to.clone(), 0));
    }
    None
}
