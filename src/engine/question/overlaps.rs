//! How much of the mass of sets holds given causes together.

/// For each group of few causes the mass of the sets that hold all of them.
///
/// With it, a sign is valued by looking at the few combinations of its own causes instead of at thousands of sets.
#[derive(Debug, Clone)]
pub(crate) struct Overlaps {
    /// `choose[n][k]`: number of ways to take k of n.
    choose: Vec<Vec<usize>>,
    /// Where groups of each size begin in `mass`; no group is larger.
    start: Vec<usize>,
    mass: Vec<f64>,
}

impl Overlaps {
    /// Groups of at most `most` of so many members.
    pub(crate) fn of(sets: &[(u32, f64)], members: usize, most: usize) -> Self {
        let mut choose = vec![vec![0; most + 1]; members + 1];
        for n in 0..=members {
            choose[n][0] = 1;
            for k in 1..=most.min(n) {
                choose[n][k] = choose[n - 1][k - 1] + choose[n - 1][k];
            }
        }
        let mut start = Vec::with_capacity(most + 1);
        let mut groups = 0;
        for count in &choose[members] {
            start.push(groups);
            groups += count;
        }
        let mut overlaps = Self {
            choose,
            start,
            mass: vec![0.0; groups],
        };
        let mut places = Vec::new();
        for &(set, mass) in sets {
            let bits = (0..u32::BITS).filter(|bit| set >> bit & 1 == 1);
            overlaps.places(bits, &mut places);
            for &(rank, size) in &places {
                overlaps.mass[overlaps.start[size] + rank] += mass;
            }
        }
        overlaps
    }

    /// Every combination of these bits, given in rising order, as its rank among combinations of its size.
    fn places(&self, bits: impl Iterator<Item = u32>, places: &mut Vec<(usize, usize)>) {
        places.clear();
        places.push((0, 0));
        for bit in bits {
            for at in 0..places.len() {
                let (rank, size) = places[at];
                // Combinations larger than any set keep their place in the list, and hold nothing.
                let step = self.choose[bit as usize].get(size + 1).unwrap_or(&0);
                places.push((rank + step, size + 1));
            }
        }
    }

    /// For each combination of these bits, given in rising order, the mass of sets that hold exactly these of them.
    pub(crate) fn masses(&self, bits: impl Iterator<Item = u32>) -> Vec<f64> {
        let mut places = Vec::new();
        self.places(bits, &mut places);
        let mut masses: Vec<f64> = places
            .iter()
            .map(|&(rank, size)| {
                self.start
                    .get(size)
                    .map_or(0.0, |start| self.mass[start + rank])
            })
            .collect();
        // From "at least these" to "exactly these", one bit at a time.
        let mut step = 1;
        while step < masses.len() {
            for block in masses.chunks_exact_mut(2 * step) {
                let (without, with) = block.split_at_mut(step);
                for (without, with) in without.iter_mut().zip(with) {
                    *without -= *with;
                }
            }
            step *= 2;
        }
        masses
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn overlaps_give_back_the_mass_of_each_combination() {
        let sets = [(0b0000, 0.4), (0b0001, 0.3), (0b0101, 0.2), (0b1001, 0.1)];
        let overlaps = Overlaps::of(&sets, 4, 2);
        let masses = overlaps.masses([0, 2, 3].into_iter());
        let wanted = [0.4, 0.3, 0.0, 0.2, 0.0, 0.1, 0.0, 0.0];
        for (mass, wanted) in masses.iter().zip(wanted) {
            assert!((mass - wanted).abs() < 1e-15, "{masses:?}");
        }
    }
}
