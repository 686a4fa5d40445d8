//! The exact sum over one connected part, in three ways: over states of the causes where these are few, else over
//! subsets of the signs, quick with terms that cancel or slower without.

use crate::engine::weigh::net::{Finding, Odds, Solved};

/// Greatest cancellation for which the quick sum is kept.
///
/// # Source
/// The rounding error of a marginal was measured against 45-digit arithmetic as about 3e-17 times the
/// cancellation (development notes of this project), so this keeps it near 3e-14.
const MOST_CANCELLATION: f64 = 1e3;

/// Solves one connected part exactly; nothing if its findings cannot happen.
///
/// Every finding has a likelihood above 0 if present; every cause is undecided.
pub(crate) fn solve(causes: &[Odds], findings: &[Finding]) -> Option<Solved> {
    let (quick, kappa) = if causes.len() <= findings.len() {
        (States::solve(causes, findings), 1.0)
    } else {
        InclusionExclusion::solve(causes, findings)
    };
    let sums = if kappa <= MOST_CANCELLATION {
        quick
    } else {
        covered(causes, findings)
    };
    // Never negative: the quick sum is kept only when it is positive, the other has no signs.
    (sums.total > 0.0).then(|| Solved {
        marginals: sums.marginals,
        log: libm::log(sums.total),
        exact: true,
        kappa,
    })
}

/// Weight of all terms, and for each cause the share of those in which it is present.
struct Sums {
    marginals: Vec<f64>,
    total: f64,
}

/// Sum over the states of the causes. Work doubles with each cause; a finding's likelihood enters at its last cause.
struct States<'a> {
    causes: &'a [Odds],
    findings: &'a [Finding],
    /// For each cause, the findings it is linked to, with the strength.
    links: Vec<Vec<(usize, f64)>>,
    /// For each cause, the findings that have no later one.
    ending: Vec<Vec<usize>>,
    /// For each finding the probabilities that it is brought about and that it is not, in the state at hand.
    /// Both are kept, so that a very small leak is not lost in a difference.
    chance: Vec<(f64, f64)>,
    /// Earlier values of `chance`, to be put back.
    saved: Vec<(f64, f64)>,
    /// Sum of the terms in which each cause is present.
    present: Vec<f64>,
}

impl<'a> States<'a> {
    fn solve(causes: &'a [Odds], findings: &'a [Finding]) -> Sums {
        let links = links_by_cause(causes.len(), findings);
        let mut ending = vec![Vec::new(); causes.len()];
        for (at, finding) in findings.iter().enumerate() {
            if let Some(last) = finding.links.iter().map(|link| link.0).max() {
                ending[last].push(at);
            }
        }
        let mut sum = Self {
            causes,
            findings,
            links,
            ending,
            chance: findings.iter().map(|f| (f.leak, 1.0 - f.leak)).collect(),
            saved: Vec::new(),
            present: vec![0.0; causes.len()],
        };
        let total = sum.branch(0, 1.0);
        let marginals = sum.present.iter().map(|present| present / total).collect();
        Sums { marginals, total }
    }

    /// Sum over the states of the causes from `cause` on, for the state chosen so far.
    fn branch(&mut self, cause: usize, weight: f64) -> f64 {
        if weight == 0.0 || cause == self.causes.len() {
            return weight;
        }
        let odds = self.causes[cause];
        let absent = self.branch(cause + 1, weight * odds.absent * self.closing(cause));
        let start = self.saved.len();
        for &(finding, strength) in &self.links[cause] {
            let (brought, not) = self.chance[finding];
            self.saved.push((brought, not));
            self.chance[finding] = (brought + strength * not, not * (1.0 - strength));
        }
        let present = self.branch(cause + 1, weight * odds.present * self.closing(cause));
        for (&(finding, _), &chance) in self.links[cause].iter().zip(&self.saved[start..]) {
            self.chance[finding] = chance;
        }
        self.saved.truncate(start);
        self.present[cause] += present;
        absent + present
    }

    /// Likelihood of the findings that no cause after this one can change.
    fn closing(&self, cause: usize) -> f64 {
        self.ending[cause]
            .iter()
            .map(|&at| {
                let (brought, not) = self.chance[at];
                self.findings[at].present * brought + self.findings[at].absent * not
            })
            .product()
    }
}

/// For each cause the findings it is linked to, with the strength.
fn links_by_cause(causes: usize, findings: &[Finding]) -> Vec<Vec<(usize, f64)>> {
    let mut links = vec![Vec::new(); causes];
    for (at, finding) in findings.iter().enumerate() {
        for &(cause, strength) in &finding.links {
            links[cause].push((at, strength));
        }
    }
    links
}

/// Sum over the subsets T of the findings: each finding is `present + (absent - present) * q`, and the product
/// over T of the q's factorises cause by cause. Work doubles with each finding; each branch touches linked
/// causes only, and a cause's own factor enters at its last finding.
struct InclusionExclusion<'a> {
    causes: &'a [Odds],
    findings: Vec<&'a Finding>,
    /// For each finding the causes that have no later one.
    ending: Vec<Vec<usize>>,
    /// Product over the findings taken so far of (1 - strength), for each cause.
    fails: Vec<f64>,
    /// Sum of the terms in which each cause is present.
    present: Vec<f64>,
    /// Earlier values of `fails`, to be put back.
    saved: Vec<f64>,
}

impl<'a> InclusionExclusion<'a> {
    fn solve(causes: &'a [Odds], findings: &'a [Finding]) -> (Sums, f64) {
        let mut ordered: Vec<&Finding> = findings.iter().collect();
        // The deep branches are the many ones: let them touch few causes.
        ordered.sort_by_key(|finding| std::cmp::Reverse(finding.links.len()));
        let mut last = vec![0; causes.len()];
        for (at, finding) in ordered.iter().enumerate() {
            for &(cause, _) in &finding.links {
                last[cause] = at;
            }
        }
        let mut ending = vec![Vec::new(); ordered.len()];
        for (cause, &at) in last.iter().enumerate() {
            ending[at].push(cause);
        }
        let mut sum = Self {
            causes,
            findings: ordered,
            ending,
            fails: vec![1.0; causes.len()],
            present: vec![0.0; causes.len()],
            saved: Vec::new(),
        };
        let (total, sizes) = sum.branch(0, 1.0);
        let kappa = sizes / total.abs();
        let kappa = if kappa.is_nan() { f64::INFINITY } else { kappa };
        // A sum that came out negative is all rounding.
        let kappa = if total > 0.0 { kappa } else { f64::INFINITY };
        let marginals = sum.present.iter().map(|present| present / total).collect();
        (Sums { marginals, total }, kappa)
    }

    /// Sum of the terms, and of their sizes, over the choices from finding `at` on.
    fn branch(&mut self, at: usize, coefficient: f64) -> (f64, f64) {
        if coefficient == 0.0 {
            return (0.0, 0.0);
        }
        let Some(&finding) = self.findings.get(at) else {
            return (coefficient, coefficient.abs());
        };
        let left_out = self.close(at, coefficient * finding.present);
        let start = self.saved.len();
        for &(cause, strength) in &finding.links {
            self.saved.push(self.fails[cause]);
            self.fails[cause] *= 1.0 - strength;
        }
        let taken = self.close(
            at,
            coefficient * (finding.absent - finding.present) * (1.0 - finding.leak),
        );
        for (&(cause, _), &fails) in finding.links.iter().zip(&self.saved[start..]) {
            self.fails[cause] = fails;
        }
        self.saved.truncate(start);
        (left_out.0 + taken.0, left_out.1 + taken.1)
    }

    /// Brings in the causes that end at this finding and goes on to the next.
    fn close(&mut self, at: usize, mut coefficient: f64) -> (f64, f64) {
        for &cause in &self.ending[at] {
            let odds = self.causes[cause];
            coefficient *= odds.absent + odds.present * self.fails[cause];
        }
        let sums = self.branch(at + 1, coefficient);
        for &cause in &self.ending[at] {
            let odds = self.causes[cause];
            let with = odds.present * self.fails[cause];
            self.present[cause] += sums.0 * with / (odds.absent + with);
        }
        sums
    }
}

/// The same sum without cancellation: the distribution over which signs are brought about, cause by cause.
///
/// Each present cause brings about each linked sign by its own draw, so a vector over the subsets of signs is
/// enough, every number in it is a probability, and nothing is ever subtracted. To get one cause apart from all
/// others without dividing, the list of causes is halved: each half is solved with the other half already in.
fn covered(causes: &[Odds], findings: &[Finding]) -> Sums {
    let leaks = outer(findings.iter().map(|f| (1.0 - f.leak, f.leak)));
    let likelihood = outer(findings.iter().map(|f| (f.absent, f.present)));
    let mut covering = Covering {
        causes,
        links: links_by_cause(causes.len(), findings),
        likelihood,
        scratch: Vec::new(),
        sums: Sums {
            marginals: vec![0.0; causes.len()],
            total: 0.0,
        },
    };
    let all: Vec<usize> = (0..causes.len()).collect();
    covering.halve(&all, leaks);
    covering.sums
}

struct Covering<'a> {
    causes: &'a [Odds],
    links: Vec<Vec<(usize, f64)>>,
    likelihood: Vec<f64>,
    scratch: Vec<f64>,
    sums: Sums,
}

impl Covering<'_> {
    /// Solves for these causes, all others being in `others` already.
    fn halve(&mut self, causes: &[usize], others: Vec<f64>) {
        if let [cause] = *causes {
            let odds = self.causes[cause];
            let absent = odds.absent * dot(&others, &self.likelihood);
            let mut with = others;
            for &(bit, strength) in &self.links[cause] {
                bring_about(&mut with, bit, strength);
            }
            let present = odds.present * dot(&with, &self.likelihood);
            self.sums.total = absent + present;
            self.sums.marginals[cause] = present / (absent + present);
            return;
        }
        let (one, other) = causes.split_at(causes.len() / 2);
        let mut with_other = others.clone();
        self.include(other, &mut with_other);
        self.halve(one, with_other);
        let mut with_one = others;
        self.include(one, &mut with_one);
        self.halve(other, with_one);
    }

    /// Brings these causes into the distribution.
    fn include(&mut self, causes: &[usize], distribution: &mut [f64]) {
        for &cause in causes {
            let odds = self.causes[cause];
            self.scratch.clear();
            self.scratch.extend_from_slice(distribution);
            for &(bit, strength) in &self.links[cause] {
                bring_about(&mut self.scratch, bit, strength);
            }
            for (sum, with) in distribution.iter_mut().zip(&self.scratch) {
                *sum = odds.absent * *sum + odds.present * with;
            }
        }
    }
}

/// One draw: moves a share of the probability from "sign `bit` not brought about" to "brought about".
fn bring_about(distribution: &mut [f64], bit: usize, strength: f64) {
    let step = 1 << bit;
    for block in distribution.chunks_exact_mut(2 * step) {
        let (without, with) = block.split_at_mut(step);
        for (without, with) in without.iter_mut().zip(with) {
            *with += strength * *without;
            *without *= 1.0 - strength;
        }
    }
}

/// Products over all subsets: the second of each pair for members, the first for the others.
fn outer(pairs: impl Iterator<Item = (f64, f64)>) -> Vec<f64> {
    let mut products = vec![1.0];
    for (without, with) in pairs {
        let half = products.len();
        products.extend_from_within(..);
        for value in &mut products[..half] {
            *value *= without;
        }
        for value in &mut products[half..] {
            *value *= with;
        }
    }
    products
}

fn dot(one: &[f64], other: &[f64]) -> f64 {
    one.iter().zip(other).map(|(a, b)| a * b).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The ways are independent of one another, so their agreement says something about each.
    #[test]
    fn all_ways_of_summing_agree() {
        let causes: Vec<Odds> = [0.1, 0.05, 0.2, 0.02]
            .iter()
            .map(|&prior| Odds::of_prior(prior))
            .collect();
        let finding = |present, absent, leak, links: &[(usize, f64)]| Finding {
            present,
            absent,
            leak,
            links: links.to_vec(),
        };
        let findings = [
            finding(1.0, 0.0, 0.02, &[(0, 0.8), (1, 0.3)]),
            finding(1.0, 0.25, 0.05, &[(0, 0.6), (2, 0.4)]),
            finding(0.3, 1.0, 0.01, &[(1, 0.9), (3, 1.0)]),
            finding(1.0, 0.0, 0.10, &[(2, 0.7), (3, 0.7)]),
        ];
        let (quick, kappa) = InclusionExclusion::solve(&causes, &findings);
        let slow = covered(&causes, &findings);
        assert!(kappa > 1.0 && kappa < MOST_CANCELLATION, "{kappa}");
        assert!((quick.total / slow.total - 1.0).abs() < 1e-13);
        let states = States::solve(&causes, &findings);
        assert!((states.total / slow.total - 1.0).abs() < 1e-13);
        for (cause, slow) in slow.marginals.iter().enumerate() {
            for other in [&quick, &states] {
                assert!((other.marginals[cause] - slow).abs() < 1e-13);
            }
        }
    }

    #[test]
    fn findings_that_cannot_happen_have_no_solution() {
        let causes = [Odds::of_prior(0.1), Odds::of_prior(0.2)];
        let finding = Finding {
            present: 1.0,
            absent: 0.0,
            leak: 0.0,
            links: Vec::new(),
        };
        assert!(solve(&causes, &[finding]).is_none());
    }
}
