//! Ups and downs of the humidity: how fast, how far, and whether the temperature or the water in the air makes them.

use crate::engine::climate::{Air, saturation_pressure_pa};
use crate::engine::knowledge::LogNumbers;
use crate::log::histogram::Histogram;
use crate::log::zigzag::{Point, Turn, Zigzag};
use crate::log::zone::Moment;

/// What is known at a turning point beside the humidity.
#[derive(Debug, Clone, Copy, PartialEq)]
struct At {
    moment: Moment,
    temperature_c: f64,
}

/// What explains swings of one pace.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Reasons {
    /// Swings from a turn to the next that have a temperature at both ends.
    pub swings: u64,
    /// Sum of their sizes in points.
    pub size: f64,
    /// Sum of what the temperature alone would have given in the direction of the swing, in points.
    pub thermal: f64,
    /// Sum of the temperature changes from trough to peak, in °C; negative where it falls while the humidity rises.
    pub temperature_rise: f64,
    /// Sums of the water in the air at the peaks and at the troughs, in g/m3.
    pub water: (f64, f64),
    /// From and to when.
    pub span: Option<(Moment, Moment)>,
}

impl Reasons {
    /// Share of the swing that the temperature alone explains.
    pub fn thermal_share(&self) -> Option<f64> {
        (self.swings > 0 && self.size > 0.0).then(|| self.thermal / self.size)
    }

    fn add(&mut self, (turn, end): (Turn, Point<At>), start: Point<At>) {
        let (from, to) = (start.with, end.with);
        if from.temperature_c.is_nan() || to.temperature_c.is_nan() {
            return;
        }
        // RH2 = RH1 pws(t1) / pws(t2): what it would read at the end with the water of the start.
        let same_water = start.value * saturation_pressure_pa(from.temperature_c)
            / saturation_pressure_pa(to.temperature_c);
        let rising = turn == Turn::Peak;
        let direction = if rising { 1.0 } else { -1.0 };
        self.swings += 1;
        self.size += (end.value - start.value) * direction;
        self.thermal += (same_water - start.value) * direction;
        self.temperature_rise += (to.temperature_c - from.temperature_c) * direction;
        let water = |point: Point<At>| {
            Air::new(point.with.temperature_c, point.value).absolute_humidity_g_m3()
        };
        let (peak, trough) = if rising { (end, start) } else { (start, end) };
        self.water.0 += water(peak);
        self.water.1 += water(trough);
        let (first, _) = self.span.unwrap_or((from.moment, to.moment));
        self.span = Some((first, to.moment));
    }
}

/// Cycles of the controller.
#[derive(Debug, Clone, PartialEq)]
pub struct Hunting {
    /// How many, from peak to peak.
    pub cycles: u64,
    /// The middle one of their lengths, in minutes.
    pub period_minutes: f64,
    /// The mean of their lengths, in minutes: finer than the step of the log where cycles are many and even.
    pub period_minutes_mean: f64,
    /// The middle one of their sizes, in points.
    pub swing: f64,
    /// The size that one in twenty goes beyond, in points.
    pub swing_p95: f64,
    /// How many times as long the cycle is that a quarter goes beyond, as the one that a quarter falls short of.
    pub unevenness: f64,
    /// Hours in such cycles.
    pub hours: f64,
    /// From and to when.
    pub span: (Moment, Moment),
}

/// Gathers swings.
#[derive(Debug)]
pub struct Swings {
    longest_ms: i64,
    zigzag: Zigzag<At>,
    turns: [Option<(Turn, Point<At>)>; 2],
    periods: Histogram,
    sizes: Histogram,
    cycles: u64,
    cycle_ms: i64,
    span: Option<(Moment, Moment)>,
    /// Swings in the pace of a controller.
    pub fast: Reasons,
    /// Slower ones.
    pub slow: Reasons,
}

impl Swings {
    /// None yet.
    pub fn new(numbers: &LogNumbers) -> Self {
        Self {
            longest_ms: (numbers.hunting_longest_minutes * 60_000.0) as i64,
            zigzag: Zigzag::new(numbers.hunting_swing),
            turns: [None, None],
            // Seconds and tenths of a point: finer than any logger's step or meter.
            periods: Histogram::new(0.0, numbers.hunting_longest_minutes * 60.0, 1.0),
            sizes: Histogram::new(0.0, 100.0, 0.1),
            cycles: 0,
            cycle_ms: 0,
            span: None,
            fast: Reasons::default(),
            slow: Reasons::default(),
        }
    }

    /// Nothing is known across a gap.
    pub fn gap(&mut self) {
        self.zigzag.reset();
        self.turns = [None, None];
    }

    /// Takes the next humidity, with the temperature of the same row if there is one.
    #[inline]
    pub fn add(&mut self, moment: Moment, humidity: f64, temperature_c: f64) {
        let with = At {
            moment,
            temperature_c,
        };
        let Some(turn) = self.zigzag.push(humidity, with) else {
            return;
        };
        let [before_last, last] = self.turns;
        if let Some((_, start)) = last {
            let lasted = turn.1.with.moment.at_ms - start.with.moment.at_ms;
            let reasons = if 2 * lasted <= self.longest_ms {
                &mut self.fast
            } else {
                &mut self.slow
            };
            reasons.add(turn, start);
        }
        // Peak, trough, peak: a cycle.
        if let (Some((Turn::Peak, first)), Some((Turn::Trough, low)), (Turn::Peak, second)) =
            (before_last, last, turn)
        {
            let (from, to) = (first.with.moment, second.with.moment);
            let length = to.at_ms - from.at_ms;
            if length <= self.longest_ms {
                self.cycles += 1;
                self.cycle_ms += length;
                self.periods.add(length as f64 / 1000.0, 1);
                self.sizes
                    .add((first.value + second.value) / 2.0 - low.value, 1);
                let (begin, _) = self.span.unwrap_or((from, to));
                self.span = Some((begin, to));
            }
        }
        self.turns = [last, Some(turn)];
    }

    /// The controller's cycles, if there are any.
    pub fn hunting(&self) -> Option<Hunting> {
        let (short, long) = (self.periods.quantile(0.25)?, self.periods.quantile(0.75)?);
        Some(Hunting {
            // Cycles of less than a second are those of a log that has several rows in one.
            unevenness: long / short.max(1.0),
            cycles: self.cycles,
            period_minutes: self.periods.quantile(0.5)? / 60.0,
            period_minutes_mean: self.cycle_ms as f64 / 60_000.0 / self.cycles as f64,
            swing: self.sizes.quantile(0.5)?,
            swing_p95: self.sizes.quantile(0.95)?,
            hours: self.cycle_ms as f64 / 3_600_000.0,
            span: self.span?,
        })
    }
}
