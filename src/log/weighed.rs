//! Statistics of one channel, each value weighed by the time it stands for.

use crate::log::channel::Channel;
use crate::log::histogram::Histogram;
use crate::log::settings::ChannelSettings;
use crate::log::zone::Moment;

/// Half milliseconds in an hour: weights are whole numbers of them, so that sums are exact.
const HOUR: f64 = 7_200_000.0;

/// A value with its time.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Held {
    moment: Moment,
    value: f64,
    lit: bool,
    /// The hour of the clock.
    hour: u8,
    /// Half of the time back to the value before.
    carried: u64,
}

/// A mean with the hours it is from.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
struct Part {
    weight: u64,
    sum: f64,
}

/// A time outside a limit.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Outside {
    weight: u64,
    sum: f64,
    /// First and last moment outside.
    pub span: Option<(Moment, Moment)>,
    run_from: Option<Moment>,
    /// The longest time outside without a break, in hours, and when it began and ended.
    pub longest: Option<(f64, Moment, Moment)>,
}

impl Outside {
    /// Hours outside.
    pub fn hours(&self) -> f64 {
        self.weight as f64 / HOUR
    }

    /// Mean over the time outside.
    pub fn mean(&self) -> Option<f64> {
        (self.weight > 0).then(|| self.sum / self.weight as f64)
    }

    /// Counts a value with the time it stands for, if it lies outside.
    #[inline]
    fn settle(&mut self, outside: bool, weight: u64, weighted: f64) {
        if outside {
            self.weight += weight;
            self.sum += weighted;
        }
    }

    fn add(&mut self, outside: bool, moment: Moment) {
        if !outside {
            self.run_from = None;
            return;
        }
        let (first, _) = self.span.unwrap_or((moment, moment));
        self.span = Some((first, moment));
        let from = *self.run_from.get_or_insert(moment);
        let hours = (moment.at_ms - from.at_ms) as f64 / 3_600_000.0;
        if self.longest.is_none_or(|(most, ..)| hours > most) {
            self.longest = Some((hours, from, moment));
        }
    }
}

/// Gathers the values of a channel.
#[derive(Debug, Clone)]
pub struct Weighed {
    min: Option<f64>,
    max: Option<f64>,
    /// Whether only the time with the lamp on counts as below: at night it is meant to be dark.
    below_while_lit: bool,
    gap_ms: i64,
    held: Option<Held>,
    histogram: Histogram,
    lit_histogram: Option<Histogram>,
    count: u64,
    plain_sum: f64,
    all: Part,
    lit: Part,
    dark: Part,
    hours: [Part; 24],
    least: Option<(f64, Moment)>,
    most: Option<(f64, Moment)>,
    below: Outside,
    above: Outside,
}

/// What the values of a channel come to. Values in the unit that is kept.
#[derive(Debug, Clone, PartialEq)]
pub struct Statistics {
    /// How many values.
    pub count: u64,
    /// Hours that the values stand for.
    pub hours: f64,
    /// Mean over time.
    pub mean: f64,
    /// The least value and when it was first met.
    pub min: (f64, Moment),
    /// The greatest value and when it was first met.
    pub max: (f64, Moment),
    /// The values below which lie 5, 50 and 95 % of the time.
    pub quantiles: [f64; 3],
    /// Mean and hours of the day, or of the time the lamp is on.
    pub day: Option<(f64, f64)>,
    /// Mean and hours of the night, or of the time the lamp is off.
    pub night: Option<(f64, f64)>,
    /// Mean in each hour of the clock, where there is one.
    pub hours_of_day: [Option<f64>; 24],
    /// Middle value while the lamp is on, for light.
    pub lit_middle: Option<f64>,
    /// Time below the least value of the species and stage, where there is one.
    pub below: Option<Outside>,
    /// Time above the greatest value of the species and stage, where there is one.
    pub above: Option<Outside>,
}

impl Weighed {
    /// For a channel; pauses longer than `gap_ms` count as no time at all.
    pub fn new(channel: Channel, judged: &ChannelSettings, gap_ms: i64) -> Self {
        let (least, most) = judged.believable;
        let histogram = Histogram::new(least, most, channel.resolution());
        Self {
            min: judged.min,
            max: judged.max,
            below_while_lit: channel == Channel::Light,
            gap_ms,
            held: None,
            lit_histogram: (channel == Channel::Light).then(|| histogram.clone()),
            histogram,
            count: 0,
            plain_sum: 0.0,
            all: Part::default(),
            lit: Part::default(),
            dark: Part::default(),
            hours: [Part::default(); 24],
            least: None,
            most: None,
            below: Outside::default(),
            above: Outside::default(),
        }
    }

    /// Takes the next value.
    #[inline]
    pub fn add(&mut self, moment: Moment, value: f64, lit: bool) {
        let mut carried = 0;
        if let Some(held) = self.held {
            let step = moment.at_ms - held.moment.at_ms;
            if step <= self.gap_ms {
                carried = step as u64;
            } else {
                self.below.run_from = None;
                self.above.run_from = None;
            }
            self.settle(held, held.carried + carried);
        }
        self.held = Some(Held {
            moment,
            value,
            lit,
            hour: moment.hour() as u8 % 24,
            carried,
        });
        self.count += 1;
        self.plain_sum += value;
        if self.least.is_none_or(|(least, _)| value < least) {
            self.least = Some((value, moment));
        }
        if self.most.is_none_or(|(most, _)| value > most) {
            self.most = Some((value, moment));
        }
        if let Some(min) = self.min {
            let counts = lit || !self.below_while_lit;
            self.below.add(value < min && counts, moment);
        }
        if let Some(max) = self.max {
            self.above.add(value > max, moment);
        }
    }

    /// Counts a value whose weight is known: half of the time to its neighbours on either side.
    #[inline]
    fn settle(&mut self, held: Held, weight: u64) {
        let weighted = held.value * weight as f64;
        self.histogram.add(held.value, weight);
        self.all.weight += weight;
        self.all.sum += weighted;
        let part = if held.lit {
            &mut self.lit
        } else {
            &mut self.dark
        };
        part.weight += weight;
        part.sum += weighted;
        let hour = &mut self.hours[usize::from(held.hour)];
        hour.weight += weight;
        hour.sum += weighted;
        if held.lit
            && let Some(histogram) = &mut self.lit_histogram
        {
            histogram.add(held.value, weight);
        }
        let counts = held.lit || !self.below_while_lit;
        let below = self.min.is_some_and(|min| held.value < min) && counts;
        self.below.settle(below, weight, weighted);
        let above = self.max.is_some_and(|max| held.value > max);
        self.above.settle(above, weight, weighted);
    }

    /// What the values come to; none if there was none.
    pub fn finish(mut self) -> Option<Statistics> {
        if let Some(held) = self.held.take() {
            self.settle(held, held.carried);
        }
        let (min, max) = (self.least?, self.most?);
        let mean = |part: Part| (part.weight > 0).then(|| part.sum / part.weight as f64);
        let with_hours = |part: Part| Some((mean(part)?, part.weight as f64 / HOUR));
        // Values that stand alone, far from all others, stand for no time: then each counts alike.
        let quantile = |share: f64| {
            self.histogram
                .quantile(share)
                .unwrap_or(min.0 + (max.0 - min.0) * share)
                .clamp(min.0, max.0)
        };
        Some(Statistics {
            count: self.count,
            hours: self.all.weight as f64 / HOUR,
            mean: mean(self.all).unwrap_or(self.plain_sum / self.count as f64),
            min,
            max,
            quantiles: [0.05, 0.5, 0.95].map(quantile),
            day: with_hours(self.lit),
            night: with_hours(self.dark),
            hours_of_day: self.hours.map(mean),
            lit_middle: self
                .lit_histogram
                .as_ref()
                .and_then(|lit| lit.quantile(0.5)),
            below: self.min.map(|_| self.below),
            above: self.max.map(|_| self.above),
        })
    }
}
