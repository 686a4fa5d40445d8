//! Signs that move together even given the cause: the later members of a family count only partly.

/// The pairs of likelihoods of one family's members after damping, in the order given.
///
/// `members` are (likelihood if present, likelihood if absent), most telling first; the order is the caller's, so
/// that it does not hang on the order of answers. The first member that says anything enters as it is. A later
/// one that agrees with it is damped: with probability `rate` it merely repeats the first. One that disagrees
/// cannot be a repetition and enters at full strength. Members that say nothing stay as they are.
///
/// # Range
/// `rate` is held to 0..=1; at 0 nothing is damped, at 1 members that agree with the first say nothing new. Of
/// likelihoods only the ratio matters.
///
/// # Source
/// Copy model, derived in the development notes of this project; it is the exact rule for hard answers.
/// judgement: for soft answers the first member is taken as having come out on the side it leans to.
pub fn damp(members: &[(f64, f64)], rate: f64) -> Vec<(f64, f64)> {
    let rate = if rate.is_nan() {
        0.0
    } else {
        rate.clamp(0.0, 1.0)
    };
    let mut first: Option<bool> = None;
    members
        .iter()
        .map(|&(present, absent)| {
            let speaks_for = present > absent;
            let says_something = present != absent;
            match first {
                _ if !says_something => (present, absent),
                None => {
                    first = Some(speaks_for);
                    (present, absent)
                }
                Some(first) if first != speaks_for => (present, absent),
                // It would have come out like the first anyway, whatever its own state, in `rate` of cases.
                Some(true) => (present, rate * present + (1.0 - rate) * absent),
                Some(false) => (rate * absent + (1.0 - rate) * present, absent),
            }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    const SEEN: (f64, f64) = (1.0, 0.0);
    const ABSENT: (f64, f64) = (0.0, 1.0);

    #[test]
    fn a_later_sign_that_agrees_is_damped_and_one_that_disagrees_is_not() {
        // Development notes of this project, section 1: (1, r) if seen, (r, 1) if absent.
        assert_eq!(damp(&[SEEN, SEEN, ABSENT], 0.5), [SEEN, (1.0, 0.5), ABSENT]);
        assert_eq!(
            damp(&[ABSENT, ABSENT, SEEN], 0.7),
            [ABSENT, (0.7, 1.0), SEEN]
        );
    }

    #[test]
    fn a_member_that_says_nothing_is_not_the_first() {
        let nothing = (0.4, 0.4);
        assert_eq!(
            damp(&[nothing, SEEN, nothing, SEEN], 0.5),
            [nothing, SEEN, nothing, (1.0, 0.5)]
        );
    }

    #[test]
    fn a_rate_of_nought_damps_nothing_and_of_one_everything_that_agrees() {
        let members = [(0.9, 0.2), (0.8, 0.3), (0.1, 0.6)];
        assert_eq!(damp(&members, 0.0), members);
        let damped = damp(&members, 1.0);
        assert_eq!(damped[1].0, damped[1].1);
        assert_eq!(damped[2], members[2]);
        assert_eq!(damp(&members, f64::NAN), members);
    }

    #[test]
    fn a_soft_answer_stays_on_its_side() {
        for rate in [0.0, 0.3, 0.5, 0.99] {
            let damped = damp(&[SEEN, (0.8, 0.2)], rate)[1];
            assert!(damped.0 > damped.1 && damped.0 / damped.1 <= 4.0);
            let damped = damp(&[ABSENT, (0.2, 0.8)], rate)[1];
            assert!(damped.0 < damped.1 && damped.1 / damped.0 <= 4.0);
        }
    }

    #[test]
    fn several_signs_of_one_hidden_condition_add_up_as_printed() {
        // Development notes of this project, DC2: P(sign | H) = .73, P(sign | not H) = .17, prior .1; the copy
        // model on these, two printed decimals or three digits.
        for (rate, ratios, posteriors) in [
            (
                0.5,
                [4.294, 6.35, 9.39, 13.9, 20.5],
                [0.323, 0.414, 0.511, 0.607, 0.695],
            ),
            (
                0.7,
                [4.294, 5.26, 6.43, 7.87, 9.63],
                [0.323, 0.369, 0.417, 0.466, 0.517],
            ),
        ] {
            let damped = damp(&[SEEN; 5], rate);
            let mut ratio = 1.0;
            for (k, (present, absent)) in damped.into_iter().enumerate() {
                let factor = |sign: f64| present * sign + absent * (1.0 - sign);
                ratio *= factor(0.73) / factor(0.17);
                assert!((ratio / ratios[k] - 1.0).abs() < 5e-3, "{ratio}");
                let odds = ratio * 0.1 / 0.9;
                assert!((odds / (1.0 + odds) - posteriors[k]).abs() < 5.5e-4);
            }
        }
    }
}
