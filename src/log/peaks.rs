//! Peaks of carbon dioxide and the hours in which they come.

use crate::log::zigzag::{Turn, Zigzag};
use crate::log::zone::Moment;

/// Follows peaks.
#[derive(Debug, Clone)]
pub struct Peaks {
    zigzag: Zigzag<Moment>,
    limit: Option<f64>,
    /// How many.
    pub count: u64,
    /// How many of them above the limit.
    pub above_limit: u64,
    /// The highest.
    pub highest: Option<(f64, Moment)>,
    /// Peaks in each hour of the clock.
    pub hours: [u64; 24],
    /// From the first to the last.
    pub span: Option<(Moment, Moment)>,
}

impl Peaks {
    /// None yet; a peak rises and falls by `rise` at least.
    pub fn new(rise: f64, limit: Option<f64>) -> Self {
        Self {
            zigzag: Zigzag::new(rise),
            limit,
            count: 0,
            above_limit: 0,
            highest: None,
            hours: [0; 24],
            span: None,
        }
    }

    /// Nothing is known across a gap.
    pub fn gap(&mut self) {
        self.zigzag.reset();
    }

    /// Takes the next value.
    pub fn add(&mut self, moment: Moment, ppm: f64) {
        let Some((Turn::Peak, peak)) = self.zigzag.push(ppm, moment) else {
            return;
        };
        let at = peak.with;
        self.count += 1;
        self.above_limit += u64::from(self.limit.is_some_and(|limit| peak.value > limit));
        if self.highest.is_none_or(|(most, _)| peak.value > most) {
            self.highest = Some((peak.value, at));
        }
        self.hours[at.hour() as usize % 24] += 1;
        let (first, _) = self.span.unwrap_or((at, at));
        self.span = Some((first, at));
    }

    /// The three hours of the clock with most peaks: when they begin, and how many peaks they hold.
    pub fn busiest(&self) -> (usize, u64) {
        let in_three = |from: usize| {
            (0..3)
                .map(|step| self.hours[(from + step) % 24])
                .sum::<u64>()
        };
        let mut best = (0, 0);
        for from in 0..24 {
            let count = in_three(from);
            if count > best.1 {
                best = (from, count);
            }
        }
        best
    }
}
