//! The network while it is being solved: simplified, split into parts, held together by few causes.

use crate::engine::weigh::few;
use crate::engine::weigh::sums;
use crate::engine::weigh::{Evidence, unit};

/// A part with more signs and more causes than this is not summed exactly; each more doubles the work.
///
/// judgement: twenty take up to a tenth of a second, and explaining asks for one such run per finding.
const MOST_DOUBLINGS: usize = 20;

/// In a part of no more signs than this no cause is looked for that holds it together.
///
/// judgement: the looking itself takes longer than summing such a part as it is.
const FEW_SIGNS: usize = 5;

/// How many of the best connected causes of a part are tried as those that hold it together.
///
/// judgement: the causes worth trying are linked to most signs of the part, and few are.
const HOLDERS_TRIED: usize = 6;

/// A cause's two weights, absent and present; they sum to 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Odds {
    /// Weight of being absent.
    pub absent: f64,
    /// Weight of being present.
    pub present: f64,
}

impl Odds {
    /// The two weights of a cause with this prior.
    pub(crate) fn of_prior(prior: f64) -> Self {
        let present = unit(prior);
        Self {
            absent: 1.0 - present,
            present,
        }
    }

    /// Multiplies both weights, restores their sum to 1 and returns the factor taken out.
    fn update(&mut self, if_absent: f64, if_present: f64) -> f64 {
        self.absent *= if_absent;
        self.present *= if_present;
        let sum = self.absent + self.present;
        if sum > 0.0 {
            self.absent /= sum;
            self.present /= sum;
        }
        sum
    }
}

/// One sign with what was found out about it; the greater likelihood of the two is 1.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Finding {
    /// Likelihood if the sign is present.
    pub present: f64,
    /// Likelihood if it is absent.
    pub absent: f64,
    /// Probability of the sign without any linked cause.
    pub leak: f64,
    /// Cause and strength.
    pub links: Vec<(usize, f64)>,
}

impl Finding {
    /// Likelihood of what was found out when the sign is absent with probability `fails`.
    pub(crate) fn likelihood(&self, fails: f64) -> f64 {
        self.present * (1.0 - fails) + self.absent * fails
    }

    /// Takes a way of bringing the sign about, with this strength, into the leak.
    pub(crate) fn fold(&mut self, strength: f64) {
        // Kept as a sum so that a very small leak is not lost in 1 - (1 - leak).
        self.leak += strength * (1.0 - self.leak);
    }

    /// Likelihood with the leak alone; like [`Finding::likelihood`] but exact for tiny leaks.
    fn likelihood_of_leak(&self) -> f64 {
        self.present * self.leak + self.absent * (1.0 - self.leak)
    }

    /// Likelihood with the leak and one more way of this strength.
    fn likelihood_with(&self, strength: f64) -> f64 {
        let fired = self.leak + strength * (1.0 - self.leak);
        self.present * fired + self.absent * (1.0 - self.leak) * (1.0 - strength)
    }
}

/// Causes with their weights, the findings that still tie them together, and the logarithm of all factors
/// already taken out.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Net {
    /// Weights of the causes.
    pub causes: Vec<Odds>,
    /// What is left to weigh.
    pub findings: Vec<Finding>,
    log: f64,
}

/// A solved network.
#[derive(Debug, Clone)]
pub(crate) struct Solved {
    /// Probability of each cause.
    pub marginals: Vec<f64>,
    /// Logarithm of the probability of the findings.
    pub log: f64,
    /// Whether every part was summed exactly.
    pub exact: bool,
}

impl Solved {
    /// The answer when there is nothing to weigh.
    pub(crate) fn of_priors(causes: &[Odds]) -> Self {
        Self {
            marginals: causes.iter().map(|odds| odds.present).collect(),
            log: 0.0,
            exact: true,
        }
    }
}

/// Parts that were solved already, for networks that have most parts in common.
#[derive(Debug, Default)]
pub(crate) struct Solutions {
    kept: Option<Vec<(Net, usize, Option<Solved>)>>,
}

impl Solutions {
    /// Keeps every part for the networks to come.
    pub(crate) fn kept() -> Self {
        Self {
            kept: Some(Vec::new()),
        }
    }

    /// The solution of a part.
    fn of(&mut self, part: Net, holders: usize) -> Option<Solved> {
        let Some(kept) = &self.kept else {
            return part.solve_part(holders, self);
        };
        let same = kept
            .iter()
            .find(|(one, with, _)| *with == holders && *one == part);
        if let Some((_, _, solved)) = same {
            return solved.clone();
        }
        let solved = part.clone().solve_part(holders, self);
        if let Some(kept) = &mut self.kept {
            kept.push((part, holders, solved.clone()));
        }
        solved
    }
}

impl Net {
    /// The network of these priors and this evidence; neutral evidence is left out.
    pub(crate) fn new(priors: &[f64], evidence: &[Evidence]) -> Self {
        let causes: Vec<Odds> = priors.iter().map(|&prior| Odds::of_prior(prior)).collect();
        let mut log = 0.0;
        let mut findings = Vec::with_capacity(evidence.len());
        for item in evidence {
            let (present, absent) = item.held();
            let scale = present.max(absent);
            // libm's own logarithm of 0 is minus infinity: evidence that cannot happen.
            log += libm::log(scale);
            if present == absent {
                continue;
            }
            findings.push(Finding {
                present: present / scale,
                absent: absent / scale,
                leak: unit(item.leak),
                links: merged(&item.links, causes.len()),
            });
        }
        Self {
            causes,
            findings,
            log,
        }
    }

    /// The same network without one of its findings. What the findings' scales put into the logarithm stays.
    pub(crate) fn without(&self, finding: usize) -> Self {
        let (before, after) = (&self.findings[..finding], &self.findings[finding + 1..]);
        Self {
            causes: self.causes.clone(),
            findings: before.iter().chain(after).cloned().collect(),
            log: self.log,
        }
    }

    /// The posterior, or nothing if the findings cannot happen; conditions on up to `holders` causes.
    pub(crate) fn solve(self, holders: usize) -> Option<Solved> {
        self.solve_with(holders, &mut Solutions::default())
    }

    /// The same, with the parts that were solved before at hand.
    pub(crate) fn solve_with(mut self, holders: usize, known: &mut Solutions) -> Option<Solved> {
        if !self.simplify() {
            return None;
        }
        let mut solved = Solved {
            log: self.log,
            ..Solved::of_priors(&self.causes)
        };
        for (part, causes) in self.parts() {
            let answer = known.of(part, holders)?;
            for (&cause, marginal) in causes.iter().zip(&answer.marginals) {
                solved.marginals[cause] = marginal.clamp(0.0, 1.0);
            }
            solved.log += answer.log;
            solved.exact &= answer.exact;
        }
        Some(solved)
    }

    /// Takes out every finding that touches at most one undecided cause or that factorises over its causes.
    /// Returns false if the findings cannot happen.
    pub(crate) fn simplify(&mut self) -> bool {
        let Self {
            causes,
            findings,
            log,
        } = self;
        loop {
            let before = findings.len();
            findings.retain_mut(|finding| {
                let mut leak = finding.leak;
                finding.links.retain(|&(cause, strength)| {
                    let odds = causes[cause];
                    if odds.absent == 0.0 {
                        leak += strength * (1.0 - leak);
                    }
                    odds.absent > 0.0 && odds.present > 0.0 && strength > 0.0
                });
                finding.leak = leak.min(1.0);
                if finding.leak == 1.0 {
                    finding.links.clear();
                }
                if finding.present == 0.0 {
                    // A sign that is not there: absent * (1 - leak) * product of (1 - strength), cause by cause.
                    *log += libm::log(finding.likelihood_of_leak());
                    for &(cause, strength) in &finding.links {
                        *log += libm::log(causes[cause].update(1.0, 1.0 - strength));
                    }
                    return false;
                }
                match finding.links[..] {
                    [] => {
                        *log += libm::log(finding.likelihood_of_leak());
                        false
                    }
                    [(cause, strength)] => {
                        let factor = causes[cause].update(
                            finding.likelihood_of_leak(),
                            finding.likelihood_with(strength),
                        );
                        *log += libm::log(factor);
                        false
                    }
                    _ => true,
                }
            });
            if *log == f64::NEG_INFINITY {
                return false;
            }
            // A cause may have become certain or impossible, which shortens what was looked at before.
            if findings.len() == before {
                return true;
            }
        }
    }

    /// The connected parts, each as a network of its own with the causes' places in this one.
    fn parts(&self) -> Vec<(Self, Vec<usize>)> {
        let group = connected(&self.findings, self.causes.len(), &[]);
        let mut parts: Vec<(Self, Vec<usize>)> = Vec::new();
        let mut part_of_group = vec![usize::MAX; self.findings.len()];
        let mut place = vec![usize::MAX; self.causes.len()];
        for (finding, &root) in self.findings.iter().zip(&group) {
            if part_of_group[root] == usize::MAX {
                part_of_group[root] = parts.len();
                let empty = Self {
                    causes: Vec::new(),
                    findings: Vec::new(),
                    log: 0.0,
                };
                parts.push((empty, Vec::new()));
            }
            let (part, causes) = &mut parts[part_of_group[root]];
            let mut local = finding.clone();
            for link in &mut local.links {
                if place[link.0] == usize::MAX {
                    place[link.0] = causes.len();
                    causes.push(link.0);
                    part.causes.push(self.causes[link.0]);
                }
                link.0 = place[link.0];
            }
            part.findings.push(local);
        }
        parts
    }

    /// Solves one connected part.
    fn solve_part(self, holders: usize, known: &mut Solutions) -> Option<Solved> {
        if let Some(holder) = self.holder(holders) {
            return self.solve_by_cases(holder, holders - 1, known);
        }
        if self.findings.len().min(self.causes.len()) > MOST_DOUBLINGS {
            return few::solve(&self.causes, &self.findings);
        }
        sums::solve(&self.causes, &self.findings)
    }

    /// Takes one cause as absent and as present in turn and mixes the two answers.
    fn solve_by_cases(self, cause: usize, holders: usize, known: &mut Solutions) -> Option<Solved> {
        let odds = self.causes[cause];
        let mut with = self.clone();
        with.causes[cause] = Odds::of_prior(1.0);
        let mut without = self;
        without.causes[cause] = Odds::of_prior(0.0);
        let cases = [
            (libm::log(odds.absent), without.solve_with(holders, known)),
            (libm::log(odds.present), with.solve_with(holders, known)),
        ];
        let most = cases
            .iter()
            .filter_map(|(log, case)| Some(log + case.as_ref()?.log))
            .fold(f64::NEG_INFINITY, f64::max);
        let mut mixed: Option<Solved> = None;
        let mut total = 0.0;
        for (log, case) in cases {
            let Some(case) = case else { continue };
            let weight = libm::exp(log + case.log - most);
            total += weight;
            let sum = mixed.get_or_insert_with(|| Solved {
                marginals: vec![0.0; case.marginals.len()],
                log: 0.0,
                exact: true,
            });
            for (sum, marginal) in sum.marginals.iter_mut().zip(&case.marginals) {
                *sum += weight * marginal;
            }
            sum.exact &= case.exact;
        }
        let mut mixed = mixed?;
        for marginal in &mut mixed.marginals {
            *marginal /= total;
        }
        mixed.log = most + libm::log(total);
        Some(mixed)
    }

    /// A cause that holds this part together so well that taking it by cases makes less work, if there is one.
    fn holder(&self, holders: usize) -> Option<usize> {
        if holders == 0 || self.findings.len() <= FEW_SIGNS {
            return None;
        }
        let mut degree = vec![0_usize; self.causes.len()];
        for finding in &self.findings {
            for &(cause, _) in &finding.links {
                degree[cause] += 1;
            }
        }
        let mut tried: Vec<usize> = (0..self.causes.len()).collect();
        tried.sort_by_key(|&cause| (std::cmp::Reverse(degree[cause]), cause));
        tried.truncate(HOLDERS_TRIED);

        let mut best = None;
        let mut least = self.work_without(&[]);
        for (at, &first) in tried.iter().enumerate() {
            let seconds = if holders > 1 { &tried[at + 1..] } else { &[] };
            let alone = std::iter::once((vec![first], 2.0));
            let pairs = seconds.iter().map(|&second| (vec![first, second], 4.0));
            for (removed, cases) in alone.chain(pairs) {
                let work = cases * self.work_without(&removed);
                // Small savings are not worth the second set-up.
                if work < 0.75 * least {
                    least = work;
                    best = Some(first);
                }
            }
        }
        best
    }

    /// Terms to be summed once these causes are decided; infinite if some part would stay too large.
    fn work_without(&self, removed: &[usize]) -> f64 {
        let group = connected(&self.findings, self.causes.len(), removed);
        let mut signs = vec![0_usize; self.findings.len()];
        let mut causes = vec![0_usize; self.findings.len()];
        let mut counted = vec![false; self.causes.len()];
        for (finding, &root) in self.findings.iter().zip(&group) {
            let live = |link: &&(usize, f64)| !removed.contains(&link.0);
            if finding.links.iter().filter(live).count() < 2 {
                continue;
            }
            signs[root] += 1;
            for &(cause, _) in finding.links.iter().filter(live) {
                if !counted[cause] {
                    counted[cause] = true;
                    causes[root] += 1;
                }
            }
        }
        signs
            .iter()
            .zip(&causes)
            .map(|(&signs, &causes)| match signs.min(causes) {
                0 => 0.0,
                doublings if doublings > MOST_DOUBLINGS => f64::INFINITY,
                doublings => libm::exp2(doublings as f64),
            })
            .sum()
    }
}

/// Links in order of cause, each cause once, without those to causes that do not exist.
pub(super) fn merged(links: &[(usize, f64)], causes: usize) -> Vec<(usize, f64)> {
    let mut sorted: Vec<(usize, f64)> = links
        .iter()
        .filter(|&&(cause, _)| cause < causes)
        .map(|&(cause, strength)| (cause, unit(strength)))
        .collect();
    // Nearly always they come in order.
    if sorted.is_sorted_by(|one, other| one.0 < other.0) {
        return sorted;
    }
    sorted.sort_by_key(|&(cause, _)| cause);
    sorted.dedup_by(|next, kept| {
        let same = next.0 == kept.0;
        if same {
            kept.1 += next.1 * (1.0 - kept.1);
        }
        same
    });
    sorted
}

/// For each finding the first finding of its connected group, when these causes are left out.
fn connected(findings: &[Finding], causes: usize, removed: &[usize]) -> Vec<usize> {
    fn root(parent: &mut [usize], mut at: usize) -> usize {
        while parent[at] != at {
            parent[at] = parent[parent[at]];
            at = parent[at];
        }
        at
    }
    let mut parent: Vec<usize> = (0..findings.len()).collect();
    let mut first_with = vec![usize::MAX; causes];
    for (at, finding) in findings.iter().enumerate() {
        let live = |link: &&(usize, f64)| !removed.contains(&link.0);
        // A finding left with one cause goes into that cause's odds and ties nothing together.
        if finding.links.iter().filter(live).count() < 2 {
            continue;
        }
        for &(cause, _) in finding.links.iter().filter(live) {
            if first_with[cause] == usize::MAX {
                first_with[cause] = at;
            } else {
                let (one, other) = (root(&mut parent, first_with[cause]), root(&mut parent, at));
                parent[one.max(other)] = one.min(other);
            }
        }
    }
    (0..findings.len())
        .map(|at| root(&mut parent, at))
        .collect()
}
