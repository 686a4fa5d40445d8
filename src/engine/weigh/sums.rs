//! The exact sum over one connected part: over states of the causes where these are few, else over subsets of the
//! signs.
//!
//! Both add positive numbers only. Inclusion-exclusion, the textbook way (Heckerman 1989), adds terms of both signs
//! whose sum can be 1e12 times smaller than they are; it was tried, lost digits from six signs on, and was no
//! quicker. The tests still compare with it.

use crate::engine::weigh::net::{Finding, Odds, Solved};

/// Solves one connected part exactly; nothing if the probability of its findings is too small for a number.
///
/// Every finding has a likelihood above 0 if present and at least two links; every cause is undecided.
pub(crate) fn solve(causes: &[Odds], findings: &[Finding]) -> Option<Solved> {
    let sums = if causes.len() <= findings.len() {
        States::solve(causes, findings)
    } else {
        covered(causes, findings)
    };
    (sums.total > 0.0).then(|| Solved {
        marginals: sums.marginals,
        log: libm::log(sums.total),
        exact: true,
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

/// The distribution over which signs are brought about, cause by cause.
///
/// Each present cause brings about each linked sign by its own draw, so a vector over the subsets of signs is
/// enough, every number in it is a probability, and nothing is ever subtracted. To get one cause apart from all
/// others without dividing, the list of causes is halved: each half is solved with the other half already in. A
/// sign enters the vector when its first cause does and is summed out after its last, so that the vector is
/// mostly much shorter than all subsets.
///
/// Causes that show only one of these signs are taken together, sign by sign, as one that is always there: what each of
/// them did follows from how often the others leave the sign out.
fn covered(causes: &[Odds], findings: &[Finding]) -> Sums {
    let mut links = links_by_cause(causes.len(), findings);
    let mut alone = vec![Vec::new(); findings.len()];
    let mut taken = Vec::with_capacity(causes.len());
    for (cause, links) in links.iter().enumerate() {
        match links[..] {
            [(sign, strength)] => alone[sign].push((cause, strength)),
            _ => taken.push(cause),
        }
    }
    for (sign, alone) in alone.iter().enumerate() {
        if !alone.is_empty() {
            let by_one = |&(cause, strength): &(usize, f64)| causes[cause].present * strength;
            let brought = alone.iter().map(by_one);
            let brought = brought.fold(0.0, |any, one| any + one * (1.0 - any));
            taken.push(links.len());
            links.push(vec![(sign, brought)]);
        }
    }
    let order = neighbours_together(taken, &links, findings.len());
    let mut covering = Covering {
        causes,
        findings,
        links,
        alone,
        spare: Vec::new(),
        sums: Sums {
            marginals: vec![0.0; causes.len()],
            total: 0.0,
        },
    };
    let nothing = Distribution {
        signs: Vec::new(),
        shares: vec![1.0],
    };
    covering.halve(&order, nothing);
    covering.sums
}

/// The causes in an order in which each brings as few new signs as can be.
fn neighbours_together(
    mut left: Vec<usize>,
    links: &[Vec<(usize, f64)>],
    signs: usize,
) -> Vec<usize> {
    let mut met = vec![false; signs];
    let mut order = Vec::with_capacity(left.len());
    let new_signs = |cause: usize, met: &[bool]| links[cause].iter().filter(|l| !met[l.0]).count();
    while let Some(at) = (0..left.len()).min_by_key(|&at| (new_signs(left[at], &met), left[at])) {
        let cause = left.remove(at);
        for &(sign, _) in &links[cause] {
            met[sign] = true;
        }
        order.push(cause);
    }
    order
}

/// Probability of each subset of `signs` having been brought about, times the likelihood of signs summed out.
#[derive(Clone)]
struct Distribution {
    /// Bit `k` of a place in `shares` stands for `signs[k]`.
    signs: Vec<usize>,
    shares: Vec<f64>,
}

struct Covering<'a> {
    causes: &'a [Odds],
    findings: &'a [Finding],
    /// Links of the causes, then of what stands for those that show one sign only.
    links: Vec<Vec<(usize, f64)>>,
    /// For each sign the causes that show no other, with the strength.
    alone: Vec<Vec<(usize, f64)>>,
    /// Room for the distribution in which a cause is present.
    spare: Vec<f64>,
    sums: Sums,
}

impl Covering<'_> {
    /// Solves for these causes, all others being in `others` already.
    fn halve(&mut self, causes: &[usize], others: Distribution) {
        if let [cause] = *causes {
            if cause >= self.causes.len() {
                let (sign, _) = self.links[cause][0];
                self.apart(sign, others);
                return;
            }
            let odds = self.causes[cause];
            let mut with = others.clone();
            for &(sign, strength) in &self.links[cause] {
                with.bring_about(sign, strength, self.findings);
            }
            // Signs of this cause alone are not in the others' distribution yet.
            let mut without = others;
            for &(sign, _) in &self.links[cause] {
                without.bring_about(sign, 0.0, self.findings);
            }
            let absent = odds.absent * without.likelihood(self.findings);
            let present = odds.present * with.likelihood(self.findings);
            self.sums.total = absent + present;
            self.sums.marginals[cause] = present / (absent + present);
            return;
        }
        let (one, other) = causes.split_at(causes.len() / 2);
        let with_other = self.include(other, others.clone(), one);
        self.halve(one, with_other);
        let with_one = self.include(one, others, other);
        self.halve(other, with_one);
    }

    /// Solves for the causes that show this sign only, all others being in `others` already.
    fn apart(&mut self, sign: usize, mut others: Distribution) {
        others.enter(sign, self.findings);
        while let Some(&other) = others.signs.iter().rfind(|&&other| other != sign) {
            others.sum_out(other, &self.findings[other]);
        }
        let (left_out, brought) = (others.shares[0], others.shares[1]);
        let finding = &self.findings[sign];
        let alone = &self.alone[sign];
        // Probability that the causes behind each do and do not bring the sign about; both are kept, as above.
        let mut behind = vec![(0.0, 1.0); alone.len()];
        for at in (1..alone.len()).rev() {
            let (cause, strength) = alone[at];
            let one = self.causes[cause].present * strength;
            let (any, none) = behind[at];
            behind[at - 1] = (any + one * none, none * (1.0 - one));
        }
        let mut before = (0.0, 1.0);
        for (&(cause, strength), behind) in alone.iter().zip(behind) {
            let odds = self.causes[cause];
            let clear = left_out * before.1 * behind.1;
            let met = brought + left_out * (before.0 + before.1 * behind.0);
            let absent = odds.absent * (finding.absent * clear + finding.present * met);
            let shown = met + clear * strength;
            let missed = clear * (1.0 - strength);
            let present = odds.present * (finding.absent * missed + finding.present * shown);
            self.sums.total = absent + present;
            self.sums.marginals[cause] = present / (absent + present);
            let one = odds.present * strength;
            before = (before.0 + one * before.1, before.1 * (1.0 - one));
        }
    }

    /// Brings `causes` into the distribution and sums out every sign that `later` will not need.
    fn include(
        &mut self,
        causes: &[usize],
        mut distribution: Distribution,
        later: &[usize],
    ) -> Distribution {
        let mut needed = vec![0_usize; self.findings.len()];
        for &cause in causes.iter().chain(later) {
            for &(sign, _) in &self.links[cause] {
                needed[sign] += 1;
            }
        }
        for &cause in causes {
            let links = &self.links[cause];
            match self.causes.get(cause) {
                None => {
                    let (sign, strength) = links[0];
                    distribution.bring_about(sign, strength, self.findings);
                }
                Some(odds) => {
                    for &(sign, _) in links {
                        distribution.enter(sign, self.findings);
                    }
                    self.spare.clear();
                    self.spare.extend_from_slice(&distribution.shares);
                    for &(sign, strength) in links {
                        let at = distribution.enter(sign, self.findings);
                        draw(&mut self.spare, 1 << at, strength);
                    }
                    for (sum, with) in distribution.shares.iter_mut().zip(&self.spare) {
                        *sum = odds.absent * *sum + odds.present * with;
                    }
                }
            }
            for &(sign, _) in links {
                needed[sign] -= 1;
                if needed[sign] == 0 {
                    distribution.sum_out(sign, &self.findings[sign]);
                }
            }
        }
        distribution
    }
}

impl Distribution {
    /// Place of a sign, which enters with its leak if it is not in yet.
    fn enter(&mut self, sign: usize, findings: &[Finding]) -> usize {
        if let Some(at) = self.signs.iter().position(|&known| known == sign) {
            return at;
        }
        let leak = findings[sign].leak;
        let half = self.shares.len();
        self.shares.extend_from_within(..);
        for share in &mut self.shares[..half] {
            *share *= 1.0 - leak;
        }
        for share in &mut self.shares[half..] {
            *share *= leak;
        }
        self.signs.push(sign);
        self.signs.len() - 1
    }

    /// One draw: moves a share of the probability from "not brought about" to "brought about".
    fn bring_about(&mut self, sign: usize, strength: f64, findings: &[Finding]) {
        let step = 1 << self.enter(sign, findings);
        draw(&mut self.shares, step, strength);
    }

    /// Weighs what was found out about a sign and drops the sign.
    fn sum_out(&mut self, sign: usize, finding: &Finding) {
        let Some(at) = self.signs.iter().position(|&known| known == sign) else {
            return;
        };
        let step = 1 << at;
        let half = self.shares.len() / 2;
        // In place: what is written never lies behind what is still to be read.
        for to in 0..half {
            let from = (to / step) * 2 * step + to % step;
            self.shares[to] =
                finding.absent * self.shares[from] + finding.present * self.shares[from + step];
        }
        self.shares.truncate(half);
        self.signs.remove(at);
    }

    /// Probability of everything found out.
    fn likelihood(mut self, findings: &[Finding]) -> f64 {
        while let Some(&sign) = self.signs.last() {
            self.sum_out(sign, &findings[sign]);
        }
        self.shares[0]
    }
}

/// One draw for the sign whose places lie so far apart.
fn draw(shares: &mut [f64], step: usize, strength: f64) {
    for block in shares.chunks_exact_mut(2 * step) {
        let (without, with) = block.split_at_mut(step);
        for (without, with) in without.iter_mut().zip(with) {
            *with += strength * *without;
            *without *= 1.0 - strength;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The two ways are independent of each other, so their agreement says something about both.
    #[test]
    fn both_ways_of_summing_agree() {
        let causes: Vec<Odds> = [0.1, 0.05, 0.2, 0.02, 0.3, 0.15, 0.4]
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
            finding(1.0, 0.0, 0.02, &[(0, 0.8), (1, 0.3), (4, 0.5), (6, 0.2)]),
            finding(1.0, 0.25, 0.05, &[(0, 0.6), (2, 0.4), (5, 0.7)]),
            finding(0.3, 1.0, 0.01, &[(1, 0.9), (3, 1.0)]),
            finding(1.0, 0.0, 0.0, &[(2, 0.7), (3, 0.7)]),
        ];
        let states = States::solve(&causes, &findings);
        let subsets = covered(&causes, &findings);
        assert!((states.total / subsets.total - 1.0).abs() < 1e-14);
        for (one, other) in states.marginals.iter().zip(&subsets.marginals) {
            assert!((one - other).abs() < 1e-14, "{one} is not {other}");
        }
    }
}
