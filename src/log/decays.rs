//! Falls of carbon dioxide from which an air change follows, and its peaks.

use crate::engine::exchange::{DecayFit, fit_decay};
use crate::engine::knowledge::LogNumbers;
use crate::log::histogram::Histogram;
use crate::log::zone::Moment;

/// A fall with its air change.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Decay {
    /// Where the fall began.
    pub from: Moment,
    /// Where it was no longer followed.
    pub to: Moment,
    /// Carbon dioxide at the beginning, ppm.
    pub start_ppm: f64,
    /// Carbon dioxide at the end, ppm.
    pub end_ppm: f64,
    /// The line through its logarithm.
    pub fit: DecayFit,
}

/// How many decays are kept one by one; the rest are counted.
const MOST_KEPT: usize = 40;

/// Readings of one fall; a longer one is cut off there.
const MOST_POINTS: usize = 20_000;

/// A fall being followed.
#[derive(Debug)]
struct Fall {
    top: f64,
    low: f64,
    from: Moment,
    to: Moment,
    points: Vec<(f64, f64)>,
}

#[derive(Debug)]
enum State {
    /// No excess to speak of.
    Idle,
    /// A fall may have begun.
    Following(Fall),
    /// A fall is over; the next needs a rise first.
    Resting(f64),
}

/// Follows falls.
#[derive(Debug)]
pub struct Decays {
    numbers: LogNumbers,
    outside: f64,
    tolerance: f64,
    state: State,
    /// The first ones.
    pub kept: Vec<Decay>,
    /// How many in all.
    pub count: u64,
    /// Falls deep enough whose logarithm is no straight line.
    pub crooked: u64,
    changes: Histogram,
    /// From the first to the last.
    pub span: Option<(Moment, Moment)>,
}

impl Decays {
    /// None yet. `tolerance` is the meter's, in ppm.
    pub fn new(numbers: &LogNumbers, outside: f64, tolerance: f64) -> Self {
        Self {
            numbers: numbers.clone(),
            outside,
            tolerance,
            state: State::Idle,
            kept: Vec::new(),
            count: 0,
            crooked: 0,
            // A hundredth is finer than any interval that comes with it.
            changes: Histogram::new(0.0, 200.0, 0.01),
            span: None,
        }
    }

    /// The middle one of the air changes, per hour.
    pub fn middle(&self) -> Option<f64> {
        self.changes.quantile(0.5)
    }

    /// Nothing is known across a gap, or beyond the end.
    pub fn end(&mut self) {
        if let State::Following(fall) = std::mem::replace(&mut self.state, State::Idle) {
            self.judge(&fall);
        }
    }

    /// Takes the next value.
    pub fn add(&mut self, moment: Moment, ppm: f64) {
        let excess = ppm - self.outside;
        match &mut self.state {
            State::Idle => self.begin(moment, ppm),
            State::Resting(low) => {
                *low = low.min(ppm);
                if ppm >= *low + self.numbers.co2_peak_rise {
                    self.begin(moment, ppm);
                }
            }
            State::Following(fall) => {
                let whole = fall.top - self.outside;
                // A meter's noise is no turn.
                let wiggle = (self.numbers.decay_rebound * whole).max(self.tolerance);
                let hours = (moment.at_ms - fall.from.at_ms) as f64 / 3_600_000.0;
                if ppm >= fall.top - self.numbers.decay_rebound * whole {
                    // Still on the top: the fall begins at its end.
                    fall.top = fall.top.max(ppm);
                    fall.low = ppm;
                    fall.from = moment;
                    fall.to = moment;
                    fall.points.clear();
                    fall.points.push((0.0, ppm));
                } else if ppm > fall.low + wiggle {
                    self.end();
                    self.begin(moment, ppm);
                } else if excess <= self.numbers.decay_end * whole
                    || hours > self.numbers.decay_longest_hours
                    || fall.points.len() >= MOST_POINTS
                {
                    self.end();
                    self.state = State::Resting(ppm);
                } else {
                    fall.low = fall.low.min(ppm);
                    fall.to = moment;
                    fall.points.push((hours, ppm));
                }
            }
        }
    }

    fn begin(&mut self, moment: Moment, ppm: f64) {
        if ppm - self.outside < self.numbers.decay_least_excess {
            if !matches!(self.state, State::Resting(_)) {
                self.state = State::Idle;
            }
            return;
        }
        self.state = State::Following(Fall {
            top: ppm,
            low: ppm,
            from: moment,
            to: moment,
            points: vec![(0.0, ppm)],
        });
    }

    fn judge(&mut self, fall: &Fall) {
        let whole = fall.top - self.outside;
        if fall.top - fall.low < self.numbers.decay_depth * whole
            || (fall.points.len() as f64) < self.numbers.decay_least_points
        {
            return;
        }
        let Ok(fit) = fit_decay(&fall.points, self.outside) else {
            return;
        };
        if fit.r_squared < self.numbers.decay_fit {
            self.crooked += 1;
            return;
        }
        let ppm_at = |point: Option<&(f64, f64)>| point.map_or(f64::NAN, |point| point.1);
        self.count += 1;
        self.changes.add(fit.air_changes_per_hour, 1);
        let (first, _) = self.span.unwrap_or((fall.from, fall.to));
        self.span = Some((first, fall.to));
        if self.kept.len() < MOST_KEPT {
            self.kept.push(Decay {
                from: fall.from,
                to: fall.to,
                start_ppm: ppm_at(fall.points.first()),
                end_ppm: ppm_at(fall.points.last()),
                fit,
            });
        }
    }
}
