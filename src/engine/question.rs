//! What a question would tell, and what a finding told.
//!
//! The value of a question is the information its answer carries about all causes together. It is worked out over the
//! likeliest sets of causes rather than over every set: that moves no confidence, it only ranks questions.

use crate::engine::weigh::{Evidence, weigh};

/// The causes that sets are made of: the likeliest ones.
const CANDIDATES: usize = 24;
/// The most causes in one set.
const MOST_CAUSES: usize = 4;
/// Sets are kept, likeliest first, until they hold this share of the probability.
///
/// # Source
/// Project's measurement on sixty random 14-cause networks: with four causes of 24 and 99.5 % of the mass the best
/// question was found 59 times and at most .001 bit was lost.
const MASS_KEPT: f64 = 0.995;
/// A set, and every larger one that contains it, is left out below this share of the likeliest set's probability.
const LEAST_SHARE: f64 = 1e-5;

/// A finding nothing is known of.
#[derive(Debug, Clone, PartialEq)]
pub struct OpenFinding {
    /// Probability that it is there with no linked cause present.
    pub leak: f64,
    /// The causes that show it, by place, each with its strength by itself.
    pub links: Vec<(usize, f64)>,
}

/// What finding it out would tell.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gain {
    /// Information about the causes, in bits.
    pub bits: f64,
    /// Probability that it is there.
    pub seen: f64,
}

/// Joint information about the causes of each open finding, given the evidence.
pub fn information(priors: &[f64], evidence: &[Evidence], open: &[OpenFinding]) -> Vec<Gain> {
    let sets = likely_sets(priors, evidence);
    open.iter()
        .map(|finding| {
            let chances = sets.chances(finding);
            let seen: f64 = sets
                .iter()
                .zip(&chances)
                .map(|(weight, chance)| weight * chance)
                .sum();
            let given: f64 = sets
                .iter()
                .zip(&chances)
                .map(|(weight, &chance)| weight * entropy(chance))
                .sum();
            Gain {
                bits: (entropy(seen) - given).max(0.0),
                seen,
            }
        })
        .collect()
}

/// Joint information of a question that asks which one of several findings is there, or none of them.
///
/// Given a set of causes, an answer's chance is that of this finding being there and the others not, all answers made
/// to sum to one: the person names the one that fits best.
pub fn one_of_information(priors: &[f64], evidence: &[Evidence], options: &[OpenFinding]) -> f64 {
    let sets = likely_sets(priors, evidence);
    let chances: Vec<Vec<f64>> = options.iter().map(|option| sets.chances(option)).collect();
    let mut overall = vec![0.0; options.len() + 1];
    let mut given = 0.0;
    for (number, weight) in sets.iter().enumerate() {
        let none: f64 = chances.iter().map(|option| 1.0 - option[number]).product();
        let mut answers: Vec<f64> = (0..options.len())
            .map(|this| {
                let others = (0..options.len()).filter(|&other| other != this);
                chances[this][number]
                    * others
                        .map(|other| 1.0 - chances[other][number])
                        .product::<f64>()
            })
            .collect();
        answers.push(none);
        let total: f64 = answers.iter().sum();
        if total <= 0.0 {
            continue;
        }
        for (answer, all) in answers.iter_mut().zip(&mut overall) {
            *answer /= total;
            *all += weight * *answer;
        }
        given += weight * answers.iter().copied().map(surprise).sum::<f64>();
    }
    (overall.into_iter().map(surprise).sum::<f64>() - given).max(0.0)
}

/// Joint information of two findings asked together.
pub fn pair_information(
    priors: &[f64],
    evidence: &[Evidence],
    first: &OpenFinding,
    second: &OpenFinding,
) -> f64 {
    let sets = likely_sets(priors, evidence);
    let (first, second) = (sets.chances(first), sets.chances(second));
    let mut overall = [0.0; 4];
    let mut given = 0.0;
    for ((weight, &a), &b) in sets.iter().zip(&first).zip(&second) {
        let answers = [a * b, a * (1.0 - b), (1.0 - a) * b, (1.0 - a) * (1.0 - b)];
        for (all, answer) in overall.iter_mut().zip(answers) {
            *all += weight * answer;
        }
        given += weight * answers.into_iter().map(surprise).sum::<f64>();
    }
    (overall.into_iter().map(surprise).sum::<f64>() - given).max(0.0)
}

/// By how much the findings fit each other badly, in bits: log2 of the product of their single probabilities over
/// their joint one. Above 0 they pull apart, or the case is rare.
///
/// # Source
/// Jensen, Chamberlain, Nordahl & Jensen 1991, analysis in data conflict (from memory).
pub fn conflict(priors: &[f64], evidence: &[Evidence]) -> f64 {
    if evidence.len() < 2 {
        return 0.0;
    }
    let single: f64 = evidence
        .iter()
        .map(|one| weigh(priors, std::slice::from_ref(one)).log_evidence)
        .sum();
    (single - weigh(priors, evidence).log_evidence) / std::f64::consts::LN_2
}

/// What each finding adds to each chosen cause, in decibans (10 log10 of the odds ratio): the cause's odds with all
/// findings over its odds with this one left out. Rows are findings, columns the chosen causes.
pub fn leave_one_out(priors: &[f64], evidence: &[Evidence], chosen: &[usize]) -> Vec<Vec<f64>> {
    let with = weigh(priors, evidence).marginals;
    (0..evidence.len())
        .map(|left_out| {
            let rest: Vec<Evidence> = evidence
                .iter()
                .enumerate()
                .filter(|(place, _)| *place != left_out)
                .map(|(_, one)| one.clone())
                .collect();
            let without = weigh(priors, &rest).marginals;
            chosen
                .iter()
                .map(|&cause| 10.0 * (log10_odds(with[cause]) - log10_odds(without[cause])))
                .collect()
        })
        .collect()
}

fn log10_odds(probability: f64) -> f64 {
    (probability / (1.0 - probability)).log10()
}

fn surprise(probability: f64) -> f64 {
    if probability > 0.0 {
        -probability * probability.log2()
    } else {
        0.0
    }
}

fn entropy(probability: f64) -> f64 {
    surprise(probability) + surprise(1.0 - probability)
}

/// The likeliest sets of causes given the evidence, with weights that sum to one.
struct Sets {
    members: Vec<Vec<usize>>,
    weights: Vec<f64>,
}

impl Sets {
    fn iter(&self) -> impl Iterator<Item = f64> {
        self.weights.iter().copied()
    }

    /// Probability of a finding given each set.
    fn chances(&self, finding: &OpenFinding) -> Vec<f64> {
        let most = finding
            .links
            .iter()
            .map(|&(cause, _)| cause + 1)
            .max()
            .unwrap_or(0);
        let mut strength = vec![0.0; most];
        for &(cause, link) in &finding.links {
            strength[cause] = 1.0 - (1.0 - strength[cause]) * (1.0 - link);
        }
        self.members
            .iter()
            .map(|set| {
                let unseen: f64 = set
                    .iter()
                    .filter_map(|&cause| strength.get(cause))
                    .map(|strength| 1.0 - strength)
                    .product();
                1.0 - (1.0 - finding.leak) * unseen
            })
            .collect()
    }
}

fn likely_sets(priors: &[f64], evidence: &[Evidence]) -> Sets {
    let marginals = weigh(priors, evidence).marginals;
    let mut candidates: Vec<usize> = (0..priors.len())
        .filter(|&cause| priors[cause] > 0.0)
        .collect();
    candidates.sort_by(|&a, &b| marginals[b].total_cmp(&marginals[a]).then(a.cmp(&b)));
    candidates.truncate(CANDIDATES);

    // Unseen[j]: probability that finding j is absent given the set so far; the causes that are no candidates are
    // taken at their marginal and folded into the leak.
    let mut strengths = vec![vec![0.0; evidence.len()]; candidates.len()];
    let mut unseen = vec![1.0; evidence.len()];
    for (place, finding) in evidence.iter().enumerate() {
        unseen[place] = 1.0 - finding.leak;
        for &(cause, strength) in &finding.links {
            match candidates.iter().position(|&candidate| candidate == cause) {
                Some(candidate) => strengths[candidate][place] = strength,
                None => {
                    unseen[place] *= 1.0 - marginals.get(cause).copied().unwrap_or(0.0) * strength
                }
            }
        }
    }
    let odds: Vec<f64> = candidates
        .iter()
        .map(|&cause| priors[cause] / (1.0 - priors[cause]).max(f64::MIN_POSITIVE))
        .collect();
    let mut search = Search {
        evidence,
        strengths,
        odds,
        found: Vec::new(),
        best: 0.0,
    };
    search.extend(&mut Vec::new(), 0, 1.0, &unseen);

    let mut found = search.found;
    found.sort_by(|a, b| b.0.total_cmp(&a.0).then_with(|| a.1.cmp(&b.1)));
    let total: f64 = found.iter().map(|(weight, _)| weight).sum();
    let mut kept = 0.0;
    let mut sets = Sets {
        members: Vec::new(),
        weights: Vec::new(),
    };
    for (weight, members) in found {
        if total <= 0.0 || kept >= MASS_KEPT * total {
            break;
        }
        kept += weight;
        sets.weights.push(weight);
        sets.members.push(
            members
                .into_iter()
                .map(|candidate| candidates[candidate])
                .collect(),
        );
    }
    for weight in &mut sets.weights {
        *weight /= kept;
    }
    sets
}

/// The search for likely sets: depth first over candidates in falling marginal.
struct Search<'e> {
    evidence: &'e [Evidence],
    strengths: Vec<Vec<f64>>,
    odds: Vec<f64>,
    found: Vec<(f64, Vec<usize>)>,
    best: f64,
}

impl Search<'_> {
    fn extend(&mut self, set: &mut Vec<usize>, next: usize, prior: f64, unseen: &[f64]) {
        let likelihood: f64 = self
            .evidence
            .iter()
            .zip(unseen)
            .map(|(finding, unseen)| {
                finding.if_present * (1.0 - unseen) + finding.if_absent * unseen
            })
            .product();
        let weight = prior * likelihood;
        self.best = self.best.max(weight);
        if weight > 0.0 && weight >= LEAST_SHARE * self.best {
            self.found.push((weight, set.clone()));
        }
        if set.len() == MOST_CAUSES {
            return;
        }
        for candidate in next..self.odds.len() {
            let prior = prior * self.odds[candidate];
            // However well further causes explain the findings, the prior bounds the weight.
            if prior < LEAST_SHARE * self.best {
                continue;
            }
            let unseen: Vec<f64> = unseen
                .iter()
                .zip(&self.strengths[candidate])
                .map(|(unseen, strength)| unseen * (1.0 - strength))
                .collect();
            set.push(candidate);
            self.extend(set, candidate + 1, prior, &unseen);
            set.pop();
        }
    }
}
