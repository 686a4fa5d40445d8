//! What the days of a log have in common: how far temperature swings in one, how long the lamp is on.

use crate::engine::knowledge::LogNumbers;
use crate::log::histogram::Histogram;
use crate::log::zone::Moment;

/// A day in the making.
#[derive(Debug, Clone, Copy)]
struct Day {
    day: i64,
    from: Moment,
    to: Moment,
    least: f64,
    most: f64,
    temperature_ms: i64,
    light_ms: i64,
    lit_ms: i64,
}

/// What days come to.
#[derive(Debug, Clone, PartialEq)]
pub struct InDays {
    /// Full days.
    pub days: u64,
    /// The middle one of their values.
    pub middle: f64,
    /// The greatest of their values, and the day's beginning and end.
    pub most: (f64, Moment, Moment),
    /// From the first to the last.
    pub span: (Moment, Moment),
}

/// Values of full days.
#[derive(Debug)]
struct Full {
    values: Histogram,
    days: u64,
    most: Option<(f64, Moment, Moment)>,
    span: Option<(Moment, Moment)>,
}

impl Full {
    fn new(most: f64) -> Self {
        Self {
            values: Histogram::new(0.0, most, 0.01),
            days: 0,
            most: None,
            span: None,
        }
    }

    fn add(&mut self, value: f64, from: Moment, to: Moment) {
        self.values.add(value, 1);
        self.days += 1;
        if self.most.is_none_or(|(most, ..)| value > most) {
            self.most = Some((value, from, to));
        }
        let (first, _) = self.span.unwrap_or((from, to));
        self.span = Some((first, to));
    }

    fn finish(&self) -> Option<InDays> {
        Some(InDays {
            days: self.days,
            middle: self.values.quantile(0.5)?,
            most: self.most?,
            span: self.span?,
        })
    }
}

/// Gathers days by the log's own clock.
#[derive(Debug)]
pub struct Days {
    least_ms: i64,
    now: Option<Day>,
    ranges: Full,
    lit: Full,
}

impl Days {
    /// None yet.
    pub fn new(numbers: &LogNumbers) -> Self {
        Self {
            least_ms: (numbers.day_hours * 3_600_000.0) as i64,
            now: None,
            ranges: Full::new(100.0),
            lit: Full::new(25.0),
        }
    }

    /// Takes the next row: its temperature, whether the lamp is on where light is logged, and the time since the row
    /// before, nought after a gap.
    #[inline]
    pub fn add(&mut self, moment: Moment, temperature: f64, lit: Option<bool>, step_ms: i64) {
        let day = moment.day();
        if self.now.is_none_or(|now| now.day != day) {
            self.end();
            self.now = Some(Day {
                day,
                from: moment,
                to: moment,
                least: f64::INFINITY,
                most: f64::NEG_INFINITY,
                temperature_ms: 0,
                light_ms: 0,
                lit_ms: 0,
            });
        }
        let Some(now) = &mut self.now else { return };
        now.to = moment;
        if !temperature.is_nan() {
            now.least = now.least.min(temperature);
            now.most = now.most.max(temperature);
            now.temperature_ms += step_ms;
        }
        if let Some(lit) = lit {
            now.light_ms += step_ms;
            now.lit_ms += step_ms * i64::from(lit);
        }
    }

    /// The day is over.
    pub fn end(&mut self) {
        let Some(day) = self.now.take() else { return };
        if day.temperature_ms >= self.least_ms {
            self.ranges.add(day.most - day.least, day.from, day.to);
        }
        if day.light_ms >= self.least_ms {
            // A day with some of it missing is stretched to a whole one.
            let hours = 24.0 * day.lit_ms as f64 / day.light_ms as f64;
            self.lit.add(hours, day.from, day.to);
        }
    }

    /// Distance of highest and lowest temperature of a day.
    pub fn temperature_range(&self) -> Option<InDays> {
        self.ranges.finish()
    }

    /// Hours of light in a day.
    pub fn lit_hours(&self) -> Option<InDays> {
        self.lit.finish()
    }
}
