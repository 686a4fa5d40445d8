//! One pass over the rows of a log.

use std::io::{self, Read};

use crate::log::channel::{CHANNELS, Channel};
use crate::log::days::{Days, InDays};
use crate::log::decays::Decays;
use crate::log::dew::Dew;
use crate::log::left_out::Reason;
use crate::log::opening::Opening;
use crate::log::peaks::Peaks;
use crate::log::rows::{LeftOut, Row, Rows};
use crate::log::runs::Runs;
use crate::log::series::Series;
use crate::log::settings::Settings;
use crate::log::swings::{Hunting, Reasons, Swings};
use crate::log::weighed::{Statistics, Weighed};
use crate::log::zone::Moment;

/// Rows from which the usual step is learned.
const LEARNING_ROWS: usize = 4096;

/// How many gaps are kept one by one.
const MOST_GAPS: usize = 5;

/// Pauses in the log.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Gaps {
    /// How many.
    pub count: u64,
    /// Their hours together.
    pub hours: f64,
    /// The longest ones, from the last row before to the first row after.
    pub longest: Vec<(Moment, Moment)>,
    /// From the beginning of the first to the end of the last.
    pub span: Option<(Moment, Moment)>,
}

impl Gaps {
    fn add(&mut self, from: Moment, to: Moment) {
        let length = |gap: &(Moment, Moment)| gap.1.at_ms - gap.0.at_ms;
        self.count += 1;
        self.hours += (to.at_ms - from.at_ms) as f64 / 3_600_000.0;
        self.longest.push((from, to));
        // The longest first; of equal ones the earlier.
        self.longest
            .sort_by_key(|gap| std::cmp::Reverse(length(gap)));
        self.longest.truncate(MOST_GAPS);
        let (first, _) = self.span.unwrap_or((from, to));
        self.span = Some((first, to));
    }
}

/// What is known of a log once it has been read.
#[derive(Debug)]
pub struct Summary {
    /// How the file was read.
    pub opening: Opening,
    /// The time zone, where one was given.
    pub zone: Option<String>,
    /// Whether instants are known: a zone was given, or stamps said how far the clock is from universal time.
    pub instants: bool,
    /// Whether some stamps said so and some did not.
    pub mixed_stamps: bool,
    /// Rows in the file.
    pub rows: u64,
    /// Rows that were used.
    pub used: u64,
    /// What could not be used.
    pub left_out: LeftOut,
    /// Values of the humidity a little above what there can be, taken as the greatest there can be.
    pub held: u64,
    /// Cells that named a unit other than their column's.
    pub other_units: [u64; CHANNELS],
    /// The first row.
    pub start: Moment,
    /// The last row.
    pub end: Moment,
    /// The usual step from row to row, in milliseconds.
    pub step_ms: i64,
    /// The pause from which there is a gap, in milliseconds.
    pub gap_ms: i64,
    /// Hours covered by rows that follow each other without a gap.
    pub covered_hours: f64,
    /// Gaps.
    pub gaps: Gaps,
    /// Whether night and day are told apart by the lamp and not by the clock.
    pub by_lamp: bool,
    /// Statistics of each channel.
    pub statistics: [Option<Statistics>; CHANNELS],
    /// The course of each channel.
    pub series: [Option<Series>; CHANNELS],
    /// Long times at one value, of each channel but light.
    pub stuck: [Runs; 3],
    /// Long times at the top of the humidity meter's range.
    pub saturated: Runs,
    /// The controller's cycles.
    pub hunting: Option<Hunting>,
    /// What explains quick swings of the humidity.
    pub fast: Reasons,
    /// What explains slow ones.
    pub slow: Reasons,
    /// Peaks of carbon dioxide.
    pub peaks: Peaks,
    /// Falls of carbon dioxide.
    pub decays: Option<Decays>,
    /// How far temperature swings in a day.
    pub temperature_range: Option<InDays>,
    /// How long the lamp is on in a day.
    pub lit_hours: Option<InDays>,
    /// The surface.
    pub dew: Option<Dew>,
}

/// Reads all rows. `progress` is told now and then how many bytes have been read.
///
/// # Errors
/// What the operating system says.
pub fn analyse<R: Read>(
    mut rows: Rows<R>,
    settings: &Settings,
    mut progress: impl FnMut(u64),
) -> io::Result<Analysed> {
    let mut learning = Vec::with_capacity(LEARNING_ROWS);
    while learning.len() < LEARNING_ROWS
        && let Some(row) = rows.next_row()?
    {
        learning.push(row);
    }
    let Some(first) = learning.first().copied() else {
        return Ok(Analysed::Nothing(Box::new(Unusable {
            rows: rows.rows(),
            left_out: rows.left_out().clone(),
        })));
    };
    let mut pass = Pass::new(&rows, settings, &learning);
    for row in &learning {
        pass.take(row);
    }
    drop(learning);
    let mut until_told = 0_u32;
    while let Some(row) = rows.next_row()? {
        pass.take(&row);
        until_told += 1;
        if until_told == 65_536 {
            until_told = 0;
            progress(rows.bytes());
        }
    }
    progress(rows.bytes());
    Ok(Analysed::Read(Box::new(pass.finish(&rows, first))))
}

/// What came of a log.
#[derive(Debug)]
pub enum Analysed {
    /// What is known of it.
    Read(Box<Summary>),
    /// No row could be used.
    Nothing(Box<Unusable>),
}

/// A log of which no row could be used.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unusable {
    /// Rows in the file.
    pub rows: u64,
    /// Why they could not be used.
    pub left_out: LeftOut,
}

struct Pass<'s> {
    settings: &'s Settings,
    light_logged: bool,
    step_ms: i64,
    gaps_ms: [i64; CHANNELS],
    gap_ms: i64,
    used: u64,
    last: Option<Moment>,
    last_of: [Option<i64>; CHANNELS],
    lit: bool,
    covered_ms: i64,
    gaps: Gaps,
    weighed: [Option<Weighed>; CHANNELS],
    series: [Option<Series>; CHANNELS],
    stuck: [Runs; 3],
    saturated: Runs,
    swings: Swings,
    peaks: Peaks,
    decays: Option<Decays>,
    days: Days,
    dew: Option<Dew>,
}

impl<'s> Pass<'s> {
    fn new<R: Read>(rows: &Rows<R>, settings: &'s Settings, learning: &[Row]) -> Self {
        let numbers = &settings.numbers;
        let plan = &rows.opening().plan;
        let of_rows = steps(learning.iter().map(|row| row.moment.at_ms));
        let step_ms = usual_step(&of_rows).unwrap_or(0);
        let long_ms = long_step(&of_rows).unwrap_or(0);
        let gap = |step: i64| {
            let least = (numbers.gap_least_minutes * 60_000.0) as i64;
            least.max((numbers.gap_factor * step as f64) as i64)
        };
        // A column may be filled in more seldom than the others.
        let gaps_ms = Channel::ALL.map(|channel| {
            let times = learning
                .iter()
                .filter(|row| !row.values[channel.index()].is_nan())
                .map(|row| row.moment.at_ms);
            gap(long_step(&steps(times)).unwrap_or(long_ms))
        });
        let there = |channel: Channel| plan.values[channel.index()].is_some();
        let start = learning.first().map_or(0, |row| row.moment.at_ms);
        let weighed = Channel::ALL.map(|channel| {
            let judged = settings.channel(channel).filter(|_| there(channel))?;
            Some(Weighed::new(channel, judged, gaps_ms[channel.index()]))
        });
        let series = Channel::ALL.map(|channel| there(channel).then(|| Series::new(start)));
        let co2 = settings
            .channel(Channel::Co2)
            .filter(|_| there(Channel::Co2));
        let decays = match (settings.outside_ppm, co2) {
            (Some(outside), Some(co2)) => Some(Decays::new(numbers, outside, co2.tolerance)),
            _ => None,
        };
        let both = there(Channel::Temperature) && there(Channel::Humidity);
        let dew = settings.surface_c.filter(|_| both).map(|surface| {
            Dew::new(
                surface,
                numbers.dew_margin,
                gaps_ms[Channel::Humidity.index()],
            )
        });
        Self {
            settings,
            light_logged: there(Channel::Light),
            step_ms,
            gaps_ms,
            gap_ms: gap(long_ms),
            used: 0,
            last: None,
            last_of: [None; CHANNELS],
            lit: false,
            covered_ms: 0,
            gaps: Gaps::default(),
            weighed,
            series,
            stuck: [
                Runs::new(numbers.stuck_hours),
                Runs::new(numbers.stuck_hours),
                Runs::new(numbers.stuck_co2_hours),
            ],
            saturated: Runs::new(numbers.saturated_hours),
            swings: Swings::new(numbers),
            peaks: Peaks::new(numbers.co2_peak_rise, co2.and_then(|co2| co2.max)),
            decays,
            days: Days::new(numbers),
            dew,
        }
    }

    fn take(&mut self, row: &Row) {
        let moment = row.moment;
        let mut step = 0;
        if let Some(last) = self.last {
            let length = moment.at_ms - last.at_ms;
            if length > self.gap_ms {
                self.gaps.add(last, moment);
            } else {
                step = length;
                self.covered_ms += length;
            }
        }
        self.last = Some(moment);
        self.used += 1;
        let [temperature, humidity, co2, light] = row.values;
        let numbers = &self.settings.numbers;
        if !self.light_logged {
            self.lit = !is_night(moment.hour(), numbers.night_from, numbers.night_to);
        } else if !light.is_nan() {
            self.lit = light >= numbers.lit_from;
        }
        for (index, value) in row.values.into_iter().enumerate() {
            if value.is_nan() {
                continue;
            }
            let gap =
                self.last_of[index].is_some_and(|last| moment.at_ms - last > self.gaps_ms[index]);
            self.last_of[index] = Some(moment.at_ms);
            if gap {
                self.gap_in(index);
            }
            if let Some(weighed) = &mut self.weighed[index] {
                weighed.add(moment, value, self.lit);
            }
            if let Some(series) = &mut self.series[index] {
                series.add(moment.at_ms, value);
            }
            if let Some(stuck) = self.stuck.get_mut(index) {
                // The top of the humidity meter's range is a finding of its own.
                let counts = index != Channel::Humidity.index() || value < numbers.saturated_from;
                stuck.add(moment, value, counts, |same| same == value);
            }
        }
        if !humidity.is_nan() {
            self.saturated
                .add(moment, humidity, humidity >= numbers.saturated_from, |_| {
                    true
                });
            self.swings.add(moment, humidity, temperature);
            if let (Some(dew), false) = (&mut self.dew, temperature.is_nan()) {
                dew.add(moment, temperature, humidity);
            }
        }
        if !co2.is_nan() {
            self.peaks.add(moment, co2);
            if let Some(decays) = &mut self.decays {
                decays.add(moment, co2);
            }
        }
        let lit = self.light_logged.then_some(self.lit);
        self.days.add(moment, temperature, lit, step);
    }

    fn gap_in(&mut self, index: usize) {
        if let Some(stuck) = self.stuck.get_mut(index) {
            stuck.end();
        }
        if index == Channel::Humidity.index() {
            self.saturated.end();
            self.swings.gap();
        }
        if index == Channel::Co2.index() {
            self.peaks.gap();
            if let Some(decays) = &mut self.decays {
                decays.end();
            }
        }
    }

    fn finish<R: Read>(mut self, rows: &Rows<R>, first: Row) -> Summary {
        for index in 0..CHANNELS {
            self.gap_in(index);
        }
        self.days.end();
        if let Some(dew) = &mut self.dew {
            dew.end();
        }
        let (offsets, clocks) = rows.offsets_and_clocks();
        let zone = rows.zone().name().map(str::to_owned);
        Summary {
            opening: rows.opening().clone(),
            instants: rows.zone().is_known() || offsets,
            mixed_stamps: !rows.zone().is_known() && offsets && clocks,
            zone,
            rows: rows.rows(),
            used: self.used,
            left_out: rows.left_out().clone(),
            held: rows.held(),
            other_units: Channel::ALL.map(|channel| rows.other_units(channel)),
            start: first.moment,
            end: self.last.unwrap_or(first.moment),
            step_ms: self.step_ms,
            gap_ms: self.gap_ms,
            covered_hours: self.covered_ms as f64 / 3_600_000.0,
            gaps: self.gaps,
            by_lamp: self.light_logged,
            statistics: self
                .weighed
                .map(|weighed| weighed.and_then(Weighed::finish)),
            series: self.series,
            stuck: self.stuck,
            saturated: self.saturated,
            hunting: self.swings.hunting(),
            fast: self.swings.fast,
            slow: self.swings.slow,
            peaks: self.peaks,
            decays: self.decays,
            temperature_range: self.days.temperature_range(),
            lit_hours: self.days.lit_hours(),
            dew: self.dew,
        }
    }
}

impl Summary {
    /// Statistics of a channel.
    pub fn of(&self, channel: Channel) -> Option<&Statistics> {
        self.statistics[channel.index()].as_ref()
    }

    /// Whether rows were left out because time went backwards.
    pub fn went_back(&self) -> bool {
        self.left_out.of(Reason::TimeBackwards).count > 0
    }
}

/// The steps between times, sorted.
fn steps(times: impl Iterator<Item = i64>) -> Vec<i64> {
    let times: Vec<i64> = times.collect();
    let mut steps: Vec<i64> = times.windows(2).map(|pair| pair[1] - pair[0]).collect();
    steps.sort_unstable();
    steps
}

/// The middle one of the steps; none without any.
fn usual_step(steps: &[i64]) -> Option<i64> {
    steps.get(steps.len() / 2).copied()
}

/// The step that nineteen of twenty do not go beyond, since some loggers write only when something changes; with fewer
/// than twenty steps, the middle one.
fn long_step(steps: &[i64]) -> Option<i64> {
    if steps.len() < 20 {
        usual_step(steps)
    } else {
        steps.get(steps.len() * 19 / 20).copied()
    }
}

fn is_night(hour: f64, from: f64, to: f64) -> bool {
    if from > to {
        hour >= from || hour < to
    } else {
        (from..to).contains(&hour)
    }
}
