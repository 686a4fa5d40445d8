//! Randomness that comes out the same for ever: the one place where chance enters the program.

use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};

/// A stream of random numbers, fixed by its seed.
///
/// The generator is ChaCha with 8 rounds, whose output for a seed is fixed by its authors; how numbers are made from
/// its bits is written out here, so that no library's change of taste can change a case.
///
/// # Source
/// Bernstein D.J. 2008. ChaCha, a variant of Salsa20. Workshop record of SASC 2008.
#[derive(Debug, Clone)]
pub struct Chance(ChaCha8Rng);

impl Chance {
    /// The stream of this seed.
    pub fn new(seed: u64) -> Self {
        Self(ChaCha8Rng::seed_from_u64(seed))
    }

    /// A number from 0 up to, but not including, 1: the upper 53 bits of the next 64.
    pub fn share(&mut self) -> f64 {
        const STEPS: f64 = (1_u64 << 53) as f64;
        (self.0.next_u64() >> 11) as f64 / STEPS
    }

    /// Whether something of this probability happens.
    pub fn happens(&mut self, probability: f64) -> bool {
        self.share() < probability
    }

    /// A place in a list of this length, which must not be empty.
    ///
    /// # Range
    /// The last place is never passed. Lists here are short: the unevenness of scaling 53 bits does not show.
    pub fn place(&mut self, length: usize) -> usize {
        let place = (self.share() * length as f64) as usize;
        place.min(length.saturating_sub(1))
    }

    /// Shuffles a list, every order as likely as every other.
    ///
    /// # Source
    /// Durstenfeld R. 1964. Algorithm 235: random permutation. Communications of the ACM 7(7):420.
    pub fn shuffle<T>(&mut self, list: &mut [T]) {
        for last in (1..list.len()).rev() {
            let other = self.place(last + 1);
            list.swap(last, other);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::Chance;

    #[test]
    fn a_seed_gives_the_same_numbers_for_ever() {
        let mut chance = Chance::new(1);
        let drawn: Vec<String> = (0..4).map(|_| format!("{:.6}", chance.share())).collect();
        insta::assert_snapshot!(drawn.join(" "), @"0.402486 0.080384 0.596560 0.219325");
    }

    #[test]
    fn shares_lie_between_nought_and_one_and_spread_evenly() {
        let mut chance = Chance::new(2);
        let drawn: Vec<f64> = (0..10_000).map(|_| chance.share()).collect();
        assert!(drawn.iter().all(|share| (0.0..1.0).contains(share)));
        let mean = drawn.iter().sum::<f64>() / 10_000.0;
        assert!((mean - 0.5).abs() < 0.015, "{mean}");
    }

    #[test]
    fn a_shuffled_list_keeps_its_members() {
        let mut list: Vec<usize> = (0..50).collect();
        Chance::new(3).shuffle(&mut list);
        assert_ne!(list, (0..50).collect::<Vec<_>>());
        list.sort_unstable();
        assert_eq!(list, (0..50).collect::<Vec<_>>());
    }
}
