//! What a sensor log came to, as JSON.

use indexmap::IndexMap;
use schemars::JsonSchema;
use serde::Serialize;
use serde_json::{Map, Value};

use crate::log::analysis::Summary;
use crate::log::channel::Channel;
use crate::log::findings::Finding;
use crate::log::left_out::{CellReason, Count, Reason};
use crate::log::settings::{ChannelSettings, Settings};
use crate::log::weighed::Statistics;

/// The version of a log as JSON.
pub const LOG_SCHEMA: &str = "blockside.log/1";

/// What a sensor log came to. Values in °C, %, ppm and lux; each is weighed by the time it stands for: half of the time
/// to the values before and after it, gaps not counted.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct LogReport {
    /// The contract and its version.
    pub schema: &'static str,
    /// Rows in the file, without the names of the columns and blank lines.
    pub rows: u64,
    /// Rows that were used.
    pub rows_used: u64,
    /// Rows left out, by reason; reasons that do not occur are not listed.
    pub rows_left_out: IndexMap<&'static str, u64>,
    /// Cells left out of rows that were used, by reading and reason.
    pub cells_left_out: IndexMap<String, IndexMap<&'static str, u64>>,
    /// Cells of humidity above 100 % that a wet meter may show, taken as 100 %.
    pub cells_taken_as_the_top: u64,
    /// The first few places of each reason.
    pub first_left_out: Vec<PlaceReport>,
    /// The first row's time.
    pub start: String,
    /// The last row's time.
    pub end: String,
    /// The time zone that was named.
    pub time_zone: Option<String>,
    /// The usual step from row to row.
    pub step_seconds: f64,
    /// Hours from the first row to the last.
    pub hours: f64,
    /// Those of them in which rows follow each other without a gap.
    pub covered_hours: f64,
    /// The species whose limits were taken.
    pub species: Option<String>,
    /// The stage whose limits were taken.
    pub stage: Option<String>,
    /// What tells night from day: the lamp or the clock.
    pub night_by: &'static str,
    /// Which column was read as what, and how.
    pub columns: Vec<ColumnReport>,
    /// Columns that were not read.
    pub columns_not_read: Vec<String>,
    /// What was taken for granted about the file.
    pub taken_for_granted: Vec<String>,
    /// Statistics by reading.
    pub readings: IndexMap<String, ReadingReport>,
    /// What happened.
    pub findings: Vec<FindingInLog>,
}

/// A place that could not be used.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct PlaceReport {
    /// Why.
    pub reason: &'static str,
    /// The line, counted from 1.
    pub line: u64,
    /// The column, counted from 1, where one is at fault.
    pub column: Option<usize>,
    /// What stands there, cut short.
    pub text: String,
}

/// A column that was read.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ColumnReport {
    /// What it holds: time, date or a reading.
    pub holds: String,
    /// Its name.
    pub name: String,
    /// Its place, counted from 1.
    pub column: usize,
    /// The unit its numbers were taken in.
    pub unit: Option<&'static str>,
}

/// Statistics of one reading.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ReadingReport {
    /// Its unit.
    pub unit: &'static str,
    /// How many values.
    pub count: u64,
    /// Hours they stand for.
    pub hours: f64,
    /// Mean over time.
    pub mean: f64,
    /// The least value.
    pub min: f64,
    /// When it was first met.
    pub min_at: String,
    /// The greatest value.
    pub max: f64,
    /// When it was first met.
    pub max_at: String,
    /// The value below which lies 5 % of the time.
    pub p05: f64,
    /// The value below which lies half of the time.
    pub p50: f64,
    /// The value below which lies 95 % of the time.
    pub p95: f64,
    /// Width of the classes from which the three were taken; each is right to half of it.
    pub resolution: f64,
    /// The least value for the species and stage.
    pub limit_min: Option<f64>,
    /// The greatest value for the species and stage.
    pub limit_max: Option<f64>,
    /// Hours below the least; for light, with the lamp on.
    pub hours_below: Option<f64>,
    /// Hours above the greatest.
    pub hours_above: Option<f64>,
    /// The day, or the time the lamp is on.
    pub day: Option<PartReport>,
    /// The night, or the time the lamp is off.
    pub night: Option<PartReport>,
}

/// A part of the time.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct PartReport {
    /// Mean over this part.
    pub mean: f64,
    /// Its hours.
    pub hours: f64,
}

/// Something that happened.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct FindingInLog {
    /// What it is called.
    pub id: &'static str,
    /// What happened.
    pub text: String,
    /// From when.
    pub from: String,
    /// To when.
    pub to: String,
    /// The numbers it rests on, with units in their names.
    pub evidence: Map<String, Value>,
}

/// Nine decimals: rounding is no part of the result, and digits beyond differ between machines.
fn tidy(value: f64) -> f64 {
    let rounded = (value * 1e9).round() / 1e9;
    // Minus nought would be printed with its sign.
    if rounded == 0.0 { 0.0 } else { rounded }
}

/// A log as JSON.
pub fn log(summary: &Summary, settings: &Settings, findings: &[Finding]) -> LogReport {
    let instants = summary.instants;
    let left_out = &summary.left_out;
    let mut first_left_out = Vec::new();
    let mut places = |reason: &'static str, count: &Count| {
        first_left_out.extend(count.first.iter().map(|place| PlaceReport {
            reason,
            line: place.line,
            column: place.column,
            text: place.text.clone(),
        }));
    };
    let mut rows_left_out = IndexMap::new();
    for reason in Reason::ALL {
        let count = left_out.of(reason);
        if count.count > 0 {
            rows_left_out.insert(reason.name(), count.count);
            places(reason.name(), count);
        }
    }
    let id = |channel: Channel| {
        let judged = settings.channel(channel);
        judged.map_or_else(
            || channel.name().to_owned(),
            |judged| judged.reading.to_string(),
        )
    };
    let mut cells_left_out = IndexMap::new();
    for channel in Channel::ALL {
        let mut reasons = IndexMap::new();
        for reason in CellReason::ALL {
            let count = left_out.of_cell(channel, reason);
            if count.count > 0 {
                reasons.insert(reason.name(), count.count);
                places(reason.name(), count);
            }
        }
        if !reasons.is_empty() {
            cells_left_out.insert(id(channel), reasons);
        }
    }
    let readings = Channel::ALL.into_iter().filter_map(|channel| {
        let statistics = summary.of(channel)?;
        let judged = settings.channel(channel)?;
        Some((id(channel), reading(channel, statistics, judged, instants)))
    });
    LogReport {
        schema: LOG_SCHEMA,
        rows: summary.rows,
        rows_used: summary.used,
        rows_left_out,
        cells_left_out,
        cells_taken_as_the_top: summary.held,
        first_left_out,
        start: summary.start.iso(instants),
        end: summary.end.iso(instants),
        time_zone: summary.zone.clone(),
        step_seconds: tidy(summary.step_ms as f64 / 1000.0),
        hours: tidy((summary.end.at_ms - summary.start.at_ms) as f64 / 3_600_000.0),
        covered_hours: tidy(summary.covered_hours),
        species: settings.species.as_ref().map(|(id, ..)| id.to_string()),
        stage: settings.stage.as_ref().map(|(id, ..)| id.to_string()),
        night_by: if summary.by_lamp { "lamp" } else { "clock" },
        columns: columns(summary, id),
        columns_not_read: summary
            .opening
            .plan
            .unused()
            .into_iter()
            .map(str::to_owned)
            .collect(),
        taken_for_granted: summary.opening.taken.clone(),
        readings: readings.collect(),
        findings: findings
            .iter()
            .map(|finding| FindingInLog {
                id: finding.id.name(),
                text: finding.text.clone(),
                from: finding.from.iso(instants),
                to: finding.to.iso(instants),
                evidence: finding.evidence.clone(),
            })
            .collect(),
    }
}

fn columns(summary: &Summary, id: impl Fn(Channel) -> String) -> Vec<ColumnReport> {
    let plan = &summary.opening.plan;
    let stamp = |holds: &str, column: usize| ColumnReport {
        holds: holds.to_owned(),
        name: plan.names[column].clone(),
        column: column + 1,
        unit: None,
    };
    let mut columns = match plan.stamp.second {
        Some(second) => vec![stamp("date", plan.stamp.first), stamp("time", second)],
        None => vec![stamp("time", plan.stamp.first)],
    };
    for channel in Channel::ALL {
        if let Some(place) = &plan.values[channel.index()] {
            columns.push(ColumnReport {
                holds: id(channel),
                name: place.name.clone(),
                column: place.column + 1,
                unit: Some(place.unit.symbol()),
            });
        }
    }
    columns
}

fn reading(
    channel: Channel,
    statistics: &Statistics,
    judged: &ChannelSettings,
    instants: bool,
) -> ReadingReport {
    let [p05, p50, p95] = statistics.quantiles.map(tidy);
    let part = |part: Option<(f64, f64)>| {
        part.map(|(mean, hours)| PartReport {
            mean: tidy(mean),
            hours: tidy(hours),
        })
    };
    ReadingReport {
        unit: judged.unit.symbol(),
        count: statistics.count,
        hours: tidy(statistics.hours),
        mean: tidy(statistics.mean),
        min: tidy(statistics.min.0),
        min_at: statistics.min.1.iso(instants),
        max: tidy(statistics.max.0),
        max_at: statistics.max.1.iso(instants),
        p05,
        p50,
        p95,
        resolution: channel.resolution(),
        limit_min: judged.min,
        limit_max: judged.max,
        hours_below: statistics.below.map(|outside| tidy(outside.hours())),
        hours_above: statistics.above.map(|outside| tidy(outside.hours())),
        day: part(statistics.day),
        night: part(statistics.night),
    }
}
