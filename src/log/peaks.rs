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
    /// Days with a peak.
    pub days: u64,
    last_day: Option<i64>,
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
            days: 0,
            last_day: None,
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
        self.days += u64::from(self.last_day != Some(at.day()));
        self.last_day = Some(at.day());
        let (first, _) = self.span.unwrap_or((at, at));
        self.span = Some((first, at));
    }

    /// Whether so large a share of so many peaks, on so many days, comes within three hours of the clock that it is no
    /// chance.
    pub fn at_set_hours(&self, least: f64, share: f64) -> bool {
        let (_, inside) = self.busiest();
        // judgement: two days may be alike by chance.
        self.count as f64 >= least && inside as f64 >= share * self.count as f64 && self.days >= 3
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
