//! Signs that move together: the copy model.
//!
//! Two signs that share a driver beyond the cause (how bad it is, say) would be counted twice if each counted in full.
//! The copy model says: with probability `r` a later sign of the family merely repeats the first one, and then it tells
//! nothing new.

/// The likelihood pairs `(if present, if absent)` of a family's members once copying is allowed for. The first member
/// counts in full; a later one that agrees with it is drawn towards telling nothing; one that disagrees counts in full.
///
/// `rate` is the chance, 0..=1, that a later member merely repeats the first.
///
/// # Source
/// Derived for the project: for a later sign seen like the first, P(seen | state) becomes r + (1 - r) P(seen | state).
pub fn copies(members: &[(f64, f64)], rate: f64) -> Vec<(f64, f64)> {
    let Some(&(first_present, first_absent)) = members.first() else {
        return Vec::new();
    };
    let first_seen = first_present > first_absent;
    let mut adjusted = vec![(first_present, first_absent)];
    for &(present, absent) in &members[1..] {
        let agrees = (present > absent) == first_seen && present != absent;
        if agrees {
            // A certain answer (1, 0) becomes (1, r); a soft one keeps its own doubt on top.
            let most = present.max(absent);
            adjusted.push((
                rate * most + (1.0 - rate) * present,
                rate * most + (1.0 - rate) * absent,
            ));
        } else {
            adjusted.push((present, absent));
        }
    }
    adjusted
}

#[cfg(test)]
mod tests {
    use super::copies;

    #[test]
    fn a_later_member_that_agrees_is_drawn_towards_telling_nothing() {
        assert_eq!(
            copies(&[(1.0, 0.0), (1.0, 0.0), (0.0, 1.0)], 0.5),
            [(1.0, 0.0), (1.0, 0.5), (0.0, 1.0)]
        );
        assert_eq!(
            copies(&[(0.0, 1.0), (0.0, 1.0)], 0.7),
            [(0.0, 1.0), (0.7, 1.0)]
        );
        assert_eq!(copies(&[], 0.5), []);
    }

    /// Signs of one family, each .8 given a hidden condition and .1 without it, the condition .9 given the cause and .1
    /// without, prior .1. The copy model with r = .5 gives likelihood ratios 4.29 6.35 9.39 13.9 20.5.
    ///
    /// Source: sourcebook "inference", worked example DC2 (constructed and recomputed there).
    #[test]
    fn five_signs_of_one_family_tell_little_more_than_two() {
        let given_cause = 0.9 * 0.8 + 0.1 * 0.1;
        let given_none = 0.1 * 0.8 + 0.9 * 0.1;
        let ratio = |(present, absent): (f64, f64)| {
            (present * given_cause + absent * (1.0 - given_cause))
                / (present * given_none + absent * (1.0 - given_none))
        };
        let mut product = 1.0;
        for (pair, published) in copies(&[(1.0, 0.0); 5], 0.5)
            .into_iter()
            .zip([4.29, 6.35, 9.39, 13.9, 20.5])
        {
            product *= ratio(pair);
            assert!(
                (product / published - 1.0_f64).abs() < 0.003,
                "{product} against {published}"
            );
        }
    }
}
