//! Stretches of time in which something stays the same.

use crate::log::zone::Moment;

/// Hours of a number of milliseconds.
pub const HOUR_MS: f64 = 3_600_000.0;

/// A stretch of time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Run {
    /// When it began.
    pub from: Moment,
    /// When it was last met.
    pub to: Moment,
    /// The value in it.
    pub value: f64,
    /// How many values it has.
    pub count: u64,
}

impl Run {
    /// How long it lasted.
    pub fn hours(&self) -> f64 {
        (self.to.at_ms - self.from.at_ms) as f64 / HOUR_MS
    }
}

/// Long stretches, told by their first, longest and last, and their number and hours.
#[derive(Debug, Clone)]
pub struct Runs {
    least_hours: f64,
    now: Option<Run>,
    /// How many long ones.
    pub count: u64,
    /// Their hours together.
    pub hours: f64,
    /// The longest.
    pub longest: Option<Run>,
    /// From the beginning of the first to the end of the last.
    pub span: Option<(Moment, Moment)>,
}

impl Runs {
    /// Stretches count from this length.
    pub fn new(least_hours: f64) -> Self {
        Self {
            least_hours,
            now: None,
            count: 0,
            hours: 0.0,
            longest: None,
            span: None,
        }
    }

    /// Takes the next value: it belongs to the stretch if `same` says so of the stretch's value.
    #[inline]
    pub fn add(&mut self, moment: Moment, value: f64, counts: bool, same: impl Fn(f64) -> bool) {
        match &mut self.now {
            Some(run) if counts && same(run.value) => {
                run.to = moment;
                run.count += 1;
            }
            _ => {
                self.end();
                self.now = counts.then_some(Run {
                    from: moment,
                    to: moment,
                    value,
                    count: 1,
                });
            }
        }
    }

    /// Ends the stretch, as at a gap or at the end of the log.
    pub fn end(&mut self) {
        let Some(run) = self.now.take() else { return };
        if run.hours() < self.least_hours {
            return;
        }
        self.count += 1;
        self.hours += run.hours();
        if self
            .longest
            .is_none_or(|longest| run.hours() > longest.hours())
        {
            self.longest = Some(run);
        }
        let (first, _) = self.span.unwrap_or((run.from, run.to));
        self.span = Some((first, run.to));
    }
}
