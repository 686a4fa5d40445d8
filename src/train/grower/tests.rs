//! The frequencies of the simulator against the exact marginals of the network.
//!
//! Each of several hundred frequencies is compared with the 99 % bounds of the binomial distribution. By chance one in a
//! hundred lies outside; how many may do so is the 99 % bound of that count.

use std::collections::HashMap;

use crate::engine::condition::Side;
use crate::engine::facts::FactBase;
use crate::engine::knowledge::{CauseKind, Finding, KnowledgeBase};
use crate::engine::network::Network;
use crate::engine::observations::{Answer, Observations};
use crate::engine::quantity::System;
use crate::engine::reasoner::Reasoner;
use crate::engine::weigh::{Evidence, weigh};
use crate::knowledge::embedded;
use crate::train::chance::Chance;
use crate::train::grower::{causes, world};
use crate::train::score::binomial_interval;

const DRAWS: usize = 3000;

/// The setting in which most is known: the first named species at the stage of the most causes.
fn setting(base: &KnowledgeBase) -> Observations {
    let species = base.species.iter().find(|(_, one)| !one.default);
    Observations {
        species: species.map(|(id, _)| id.clone()),
        stage: base.stages.keys().nth(base.stages.len() / 2).cloned(),
        ..Observations::default()
    }
}

/// A finding, how often it is there anyway, and the causes in the network with their shares.
type Linked<'k> = (&'k Finding, f64, Vec<(usize, f64)>);

/// Compared frequencies: how many lie outside their bounds, and which.
#[derive(Default)]
struct Compared {
    all: usize,
    outside: Vec<String>,
}

impl Compared {
    fn add(&mut self, what: &str, count: usize, trials: usize, exact: f64) {
        let (low, high) = binomial_interval(trials, exact.clamp(0.0, 1.0));
        self.all += 1;
        if !(low..=high).contains(&count) {
            self.outside
                .push(format!("{what}: {count} of {trials}, exactly {exact:.4}"));
        }
    }

    fn check(&self, least: usize) {
        let (_, most) = binomial_interval(self.all, 0.01);
        assert!(self.all >= least, "{} compared", self.all);
        assert!(
            self.outside.len() <= most,
            "{} of {} outside, at most {most}: {:#?}",
            self.outside.len(),
            self.all,
            self.outside
        );
    }
}

/// Exact: priors of the causes are the network's; a sign of a noisy-OR node whose causes are independent is absent with
/// probability `(1 - anyway) * product of (1 - prior * share)` (Pearl 1988, Probabilistic Reasoning in Intelligent Systems,
/// 4.3.2); a cause given one seen sign is what summing over all causes gives.
#[test]
fn frequencies_of_the_simulator_agree_with_the_exact_marginals_of_the_network() {
    let base = embedded::base();
    let reasoner = Reasoner::new(&base, System::Metric);
    let told = setting(&base);
    let facts = FactBase::new(&base, &reasoner.rulebook, &told);
    let setting = reasoner.setting(&facts);
    let network = Network::new(setting);
    let mut chance = Chance::new(20);
    let mut of_cause: HashMap<usize, usize> = HashMap::new();
    let mut of_finding: HashMap<Finding, usize> = HashMap::new();
    let mut of_both: HashMap<(usize, Finding), usize> = HashMap::new();

    // Findings of the main layer alone, each drawn by itself: no option of a question that allows one answer, nothing
    // that a guard can take away, and of readings such as pass a single limit.
    let exclusive = |finding: &Finding| {
        let Finding::Sign(sign) = finding else {
            return false;
        };
        base.questions
            .values()
            .any(|question| question.one_of && question.signs.contains(sign))
            || base.signs[sign].asked_if.is_some()
    };
    let limits = |of: &Finding| {
        let Finding::Reading(of) = of else {
            return 1;
        };
        let same = reasoner.links.iter().filter(
            |(finding, _)| matches!(finding, Finding::Reading(one) if one.reading == of.reading),
        );
        same.count()
    };
    let findings: Vec<Linked<'_>> = reasoner
        .links
        .iter()
        .filter(|(finding, links)| {
            !matches!(finding, Finding::Fact(_))
                && !exclusive(finding)
                && limits(finding) == 1
                && links
                    .iter()
                    .all(|link| base.causes[link.cause].kind != CauseKind::Root)
        })
        .map(|(finding, links)| {
            let spoken = links.iter().filter(|link| setting.link_speaks(link));
            let links = spoken
                .filter_map(|link| Some((network.place_of(link.cause)?, link.share)))
                .collect();
            (finding, setting.anyway(finding), links)
        })
        .collect();

    for _ in 0..DRAWS {
        let drawn = causes(&reasoner, &told, &mut chance);
        let drawn_world = world(&reasoner, &told, &drawn, &mut chance).told;
        let places: Vec<usize> = drawn
            .iter()
            .filter_map(|id| network.place_of(base.causes.get_index_of(id)?))
            .collect();
        for &place in &places {
            *of_cause.entry(place).or_default() += 1;
        }
        for (finding, _, links) in &findings {
            let there = match finding {
                Finding::Sign(sign) => drawn_world.signs.get(sign) == Some(&Answer::Yes),
                Finding::Reading(comparison) => {
                    let limit = setting.facts.limit_value(comparison);
                    let value = drawn_world.readings.get(&comparison.reading);
                    match (limit, value) {
                        (Some(limit), Some(value)) => match comparison.side {
                            Side::Above => value.value > limit,
                            Side::Below => value.value < limit,
                        },
                        _ => continue,
                    }
                }
                Finding::Fact(_) => continue,
            };
            if there {
                *of_finding.entry((*finding).clone()).or_default() += 1;
                for (place, _) in links {
                    if places.contains(place) {
                        *of_both.entry((*place, (*finding).clone())).or_default() += 1;
                    }
                }
            }
        }
    }

    let mut compared = Compared::default();
    for (place, prior) in network.priors[..network.causes.len()].iter().enumerate() {
        let count = of_cause.get(&place).copied().unwrap_or(0);
        compared.add(&format!("cause {place}"), count, DRAWS, *prior);
    }
    compared.check(80);

    let mut compared = Compared::default();
    let mut given = Compared::default();
    for (finding, anyway, links) in &findings {
        if let Finding::Reading(comparison) = finding
            && setting.facts.limit_value(comparison).is_none()
        {
            continue;
        }
        let absent = links.iter().fold(1.0 - anyway, |absent, (place, share)| {
            absent * (1.0 - network.priors[*place] * share)
        });
        let count = of_finding.get(*finding).copied().unwrap_or(0);
        compared.add(&format!("{finding:?}"), count, DRAWS, 1.0 - absent);
        if count == 0 {
            continue;
        }
        // The unknown cause is not drawn, and so left out of the sum too.
        let priors = &network.priors[..network.causes.len()];
        let evidence = [Evidence::seen(*anyway, links.clone())];
        let exact = weigh(priors, &evidence).marginals;
        for (place, _) in links {
            let both = of_both.get(&(*place, (*finding).clone())).copied();
            let what = format!("cause {place} given {finding:?}");
            given.add(&what, both.unwrap_or(0), count, exact[*place]);
        }
    }
    compared.check(100);
    given.check(300);
}
