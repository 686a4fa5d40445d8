//! When something that was mixed up is practised again.
//!
//! # Source
//! Algorithm SM-2: Wozniak P.A. 1990. Optimization of learning. Master's thesis, Poznań University of Technology, section
//! 3.2 (from memory). Intervals: I(1) = 1 day, I(2) = 6 days, then I(n) = I(n-1) * E. After an answer of quality q, 0 to 5,
//! E becomes E + 0.1 - (5 - q)(0.08 + (5 - q) 0.02), never below 1.3. With q below 3 repetitions start again, E staying as it
//! is. Whatever was answered with less than 4 is put again the same day until it reaches 4.

/// The factor of something new.
const FIRST_EASINESS: f64 = 2.5;
/// The least factor.
const LEAST_EASINESS: f64 = 1.3;
/// The first interval and the second, in days.
const FIRST_INTERVALS: [u32; 2] = [1, 6];
/// From this quality on an answer is right.
const RIGHT: u8 = 3;
/// From this quality on it is not put again the same day.
const GOOD: u8 = 4;
/// The longest interval, in days.
///
/// judgement: who has not met a pair for a year is tried again whatever the sum says.
const LONGEST: u32 = 365;

/// How far something has been learned.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Learned {
    /// Right answers in a row.
    pub repetitions: u32,
    /// The factor by which intervals grow; at least 1.3.
    pub easiness: f64,
    /// Days until it is due again.
    pub interval: u32,
    /// Whether it is due the same day.
    pub again: bool,
}

impl Default for Learned {
    /// Something that was just mixed up: due at once.
    fn default() -> Self {
        Self {
            repetitions: 0,
            easiness: FIRST_EASINESS,
            interval: FIRST_INTERVALS[0],
            again: true,
        }
    }
}

impl Learned {
    /// The same after an answer of this quality, 0 to 5.
    #[must_use]
    pub fn after(self, quality: u8) -> Self {
        let quality = quality.min(5);
        // Put again the same day it is drill: the interval was set by the first answer.
        if self.again && self.repetitions > 0 {
            return Self {
                again: quality < GOOD,
                ..self
            };
        }
        if quality < RIGHT {
            return Self {
                repetitions: 0,
                interval: FIRST_INTERVALS[0],
                again: true,
                ..self
            };
        }
        let short = f64::from(5 - quality);
        let easiness = self.easiness + 0.1 - short * (0.08 + short * 0.02);
        let interval = match self.repetitions {
            0 => FIRST_INTERVALS[0],
            1 => FIRST_INTERVALS[1],
            // Wozniak rounds up to whole days.
            _ => (f64::from(self.interval) * self.easiness)
                .ceil()
                .min(f64::from(LONGEST)) as u32,
        };
        Self {
            repetitions: self.repetitions + 1,
            easiness: easiness.max(LEAST_EASINESS),
            interval,
            again: quality < GOOD,
        }
    }
}

/// The quality of an answer: whether the pair was told apart, and how sure the helper was of it, 0 to 1.
///
/// judgement: the scale of SM-2 goes from "complete blackout" to "perfect"; here confidence stands for how readily it came.
/// A wrong answer that was not believed is nearer to knowing than one that was.
pub fn quality(right: bool, confidence: f64) -> u8 {
    match (right, confidence) {
        (true, sure) if sure >= 0.8 => 5,
        (true, sure) if sure >= 0.5 => 4,
        (true, _) => 3,
        (false, sure) if sure < 0.5 => 2,
        (false, sure) if sure < 0.8 => 1,
        (false, _) => 0,
    }
}

#[cfg(test)]
mod tests {
    use super::{Learned, quality};

    /// The intervals that the thesis' formulas give by hand for an item that is always known perfectly: factor 2.5, then
    /// 2.6, 2.7 and so on, each interval by the factor before the answer.
    #[test]
    fn perfect_answers_follow_the_published_intervals() {
        let mut learned = Learned {
            again: false,
            ..Learned::default()
        };
        let mut intervals = Vec::new();
        for _ in 0..5 {
            learned = learned.after(5);
            intervals.push(learned.interval);
        }
        // 1; 6; 6 * 2.7 = 16.2; 17 * 2.8 = 47.6; 48 * 2.9 = 139.2.
        assert_eq!(intervals, [1, 6, 17, 48, 140]);
        assert!((learned.easiness - 3.0).abs() < 1e-12);
        assert!(!learned.again);
    }

    #[test]
    fn the_factor_moves_by_the_published_formula_and_never_below_its_least() {
        let fresh = Learned {
            again: false,
            ..Learned::default()
        };
        // q = 4 leaves it, q = 3 takes 0.14 off.
        assert!((fresh.after(4).easiness - 2.5).abs() < 1e-12);
        assert!((fresh.after(3).easiness - 2.36).abs() < 1e-12);
        let mut poor = fresh;
        for _ in 0..40 {
            poor = Learned {
                again: false,
                ..poor.after(3)
            };
        }
        assert!((poor.easiness - 1.3).abs() < 1e-12);
    }

    #[test]
    fn a_wrong_answer_starts_again_and_is_put_again_the_same_day() {
        let known = Learned {
            repetitions: 4,
            easiness: 2.2,
            interval: 40,
            again: false,
        };
        for wrong in 0..3 {
            let after = known.after(wrong);
            assert_eq!((after.repetitions, after.interval), (0, 1));
            assert!(after.again && after.easiness == 2.2);
        }
        // Right but hard: the interval grows, and it is put again today until it comes readily.
        let hard = known.after(3);
        assert!(hard.again && hard.repetitions == 5 && hard.interval == 88);
        let drilled = hard.after(4);
        assert!(!drilled.again && drilled.interval == 88 && drilled.repetitions == 5);
    }

    #[test]
    fn quality_rises_with_being_right_and_with_how_sure_one_was() {
        let all: Vec<u8> = [
            (false, 0.9),
            (false, 0.6),
            (false, 0.2),
            (true, 0.2),
            (true, 0.6),
            (true, 0.9),
        ]
        .map(|(right, sure)| quality(right, sure))
        .to_vec();
        assert_eq!(all, [0, 1, 2, 3, 4, 5]);
    }
}
