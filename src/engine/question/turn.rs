//! By how much an answer would better the guess at what is wrong.
//!
//! Information is the yardstick for which question comes next; whether any is worth another moment with the door open
//! is measured by what it does to the verdict.

use crate::engine::question::{Belief, Open, Sign, exclusive_into};

/// Most signs looked at together of which any number may hold.
///
/// judgement: sixteen combinations of answers are enough to see whether the verdict could turn.
const MOST_TOGETHER: usize = 4;

/// What is asked at once.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Asked<'a> {
    /// Signs of which any number may hold, the most telling first; those beyond the first four are not looked at.
    Several(&'a [Open]),
    /// Signs of which at most one holds.
    OneOf(&'a [Open]),
}

impl Asked<'_> {
    fn signs(&self) -> &[Open] {
        match self {
            Self::Several(signs) => &signs[..signs.len().min(MOST_TOGETHER)],
            Self::OneOf(signs) => signs,
        }
    }
}

impl Belief {
    /// By how much asking raises the chance that the likeliest of `causes` (positions in the priors) is there: the mean
    /// over the answers of the highest confidence after the answer, less the highest confidence now.
    ///
    /// 0 where no answer would put another cause first.
    ///
    /// # Range
    /// 0..=1. Causes outside the sets, the unlikeliest, are passed over: they lead after no answer.
    ///
    /// # Source
    /// Expected value of sample information for a choice that is right or wrong: Raiffa & Schlaifer 1961, Applied
    /// Statistical Decision Theory, ch. 4 (from memory).
    pub fn turn(&self, asked: Asked<'_>, causes: &[usize]) -> f64 {
        let signs: Vec<Sign> = asked.signs().iter().map(|open| self.sign(open)).collect();
        let answers = match asked {
            Asked::OneOf(_) => signs.len() + 1,
            Asked::Several(_) => 1 << signs.len(),
        };
        let known = causes
            .iter()
            .filter_map(|&cause| *self.bit.get(cause)?)
            .fold(0_u32, |known, bit| known | 1 << bit);
        let members = known
            .checked_ilog2()
            .map_or(0, |highest| highest as usize + 1);
        // Probability of each answer together with each cause, one row of causes an answer.
        let mut joint = vec![0.0; answers * members];
        let mut shares = Vec::with_capacity(answers);
        let mut fails = Vec::with_capacity(signs.len());
        for &(set, mass) in &self.sets {
            let mut of_set = set & known;
            if of_set == 0 {
                continue;
            }
            shares.clear();
            match asked {
                Asked::OneOf(_) => {
                    fails.clear();
                    fails.extend(signs.iter().map(|sign| sign.fails(set)));
                    exclusive_into(&fails, &mut shares);
                    shares.iter_mut().for_each(|share| *share *= mass);
                }
                Asked::Several(_) => {
                    shares.push(mass);
                    for sign in &signs {
                        split(&mut shares, sign.fails(set));
                    }
                }
            }
            while of_set != 0 {
                let bit = of_set.trailing_zeros() as usize;
                of_set &= of_set - 1;
                for (answer, share) in shares.iter().enumerate() {
                    joint[answer * members + bit] += share;
                }
            }
        }
        let mut now = vec![0.0; members];
        let mut after = 0.0;
        for answer in joint.chunks(members.max(1)) {
            after += answer.iter().copied().fold(0.0, f64::max);
            for (sum, share) in now.iter_mut().zip(answer) {
                *sum += share;
            }
        }
        (after - now.into_iter().fold(0.0, f64::max)).max(0.0)
    }
}

/// Splits the share of each combination of answers by one more sign: seen first, then not there.
fn split(shares: &mut Vec<f64>, fails: f64) {
    for at in 0..shares.len() {
        shares.push(shares[at] * fails);
        shares[at] *= 1.0 - fails;
    }
}
