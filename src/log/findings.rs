//! What happened in a log, in sentences with their evidence.

use serde_json::{Map, Value, json};

use crate::engine::knowledge::{LogFinding, Measure};
use crate::engine::quantity::{System, Unit, show, show_difference};
use crate::log::analysis::Summary;
use crate::log::channel::Channel;
use crate::log::left_out::{CellReason, Reason};
use crate::log::runs::Runs;
use crate::log::settings::{ChannelSettings, Settings};
use crate::log::swings::Reasons;
use crate::log::weighed::{Outside, Statistics};
use crate::log::zone::Moment;

/// Something that happened.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// What it is called.
    pub id: LogFinding,
    /// What happened, in a few sentences.
    pub text: String,
    /// From when.
    pub from: Moment,
    /// To when.
    pub to: Moment,
    /// The numbers it rests on, with units in their names.
    pub evidence: Map<String, Value>,
}

/// Three decimals: finer than any gauge, and the same on every machine.
fn number(value: f64) -> Value {
    let rounded = (value * 1000.0).round() / 1000.0;
    // Minus nought would be printed with its sign.
    json!(if rounded == 0.0 { 0.0 } else { rounded })
}

/// A text with a count and a noun, in the plural but for one.
pub fn counted(count: u64, one: &str, many: &str) -> String {
    format!("{} {}", grouped(count), if count == 1 { one } else { many })
}

/// A whole number with its thousands apart.
pub fn grouped(number: u64) -> String {
    let digits = number.to_string();
    let mut text = String::new();
    for (at, digit) in digits.chars().enumerate() {
        if at > 0 && (digits.len() - at) % 3 == 0 {
            text.push(',');
        }
        text.push(digit);
    }
    text
}

/// A length of time in the unit that suits it.
pub fn lasting(hours: f64) -> String {
    let minutes = hours * 60.0;
    if minutes < 1.0 {
        counted((minutes * 60.0).round() as u64, "second", "seconds")
    } else if minutes < 119.5 {
        counted(minutes.round() as u64, "minute", "minutes")
    } else if hours < 48.0 {
        format!("{} hours", trimmed(hours))
    } else {
        format!("{} days", trimmed(hours / 24.0))
    }
}

/// How often something comes, behind the word "every": "minute", "18 minutes".
pub fn every(hours: f64) -> String {
    let text = lasting(hours);
    text.strip_prefix("1 ").map_or(text.clone(), str::to_owned)
}

fn trimmed(value: f64) -> String {
    let text = format!("{value:.1}");
    text.strip_suffix(".0").map_or(text.clone(), str::to_owned)
}

struct Writer<'a> {
    summary: &'a Summary,
    settings: &'a Settings,
    system: System,
    found: Vec<Finding>,
}

/// What happened, in the order of [`LogFinding::ALL`].
pub fn findings(summary: &Summary, settings: &Settings, system: System) -> Vec<Finding> {
    let mut writer = Writer {
        summary,
        settings,
        system,
        found: Vec::new(),
    };
    writer.faults_of_data();
    writer.faults_of_meters();
    writer.limits();
    writer.hunting();
    writer.reasons_of_swings();
    writer.peaks();
    writer.air_changes();
    writer.temperature();
    writer.dew();
    let mut found = writer.found;
    found.sort_by_key(|finding| finding.id);
    found
}

impl Writer<'_> {
    fn add(&mut self, id: LogFinding, span: (Moment, Moment), text: String, evidence: Value) {
        let Value::Object(evidence) = evidence else {
            return;
        };
        self.found.push(Finding {
            id,
            text,
            from: span.0,
            to: span.1,
            evidence,
        });
    }

    fn whole(&self) -> (Moment, Moment) {
        (self.summary.start, self.summary.end)
    }

    fn name(&self, channel: Channel) -> String {
        let judged = self.settings.channel(channel);
        judged.map_or_else(|| channel.name().to_owned(), |judged| judged.name.clone())
    }

    fn faults_of_data(&mut self) {
        let summary = self.summary;
        let gaps = &summary.gaps;
        if let (Some(span), Some((from, to))) = (gaps.span, gaps.longest.first()) {
            let longest = (to.at_ms - from.at_ms) as f64 / 3_600_000.0;
            let text = if gaps.count == 1 {
                format!(
                    "Nothing was logged for {}, from {from} to {to}.",
                    lasting(longest)
                )
            } else {
                format!(
                    "Nothing was logged in {}, {} in all; the longest lasted {}, from {from} to {to}.",
                    counted(gaps.count, "gap", "gaps"),
                    lasting(gaps.hours),
                    lasting(longest)
                )
            };
            let listed: Vec<Value> = gaps
                .longest
                .iter()
                .map(|(from, to)| {
                    json!({ "from": from.iso(summary.instants), "to": to.iso(summary.instants) })
                })
                .collect();
            let evidence = json!({
                "gaps": gaps.count,
                "hours": number(gaps.hours),
                "longest_hours": number(longest),
                "longest": listed,
                "from_minutes": number(summary.gap_ms as f64 / 60_000.0),
            });
            self.add(LogFinding::Gaps, span, text, evidence);
        }
        let first_line = |reason: Reason| {
            let place = summary.left_out.of(reason).first.first();
            place.map_or(0, |place| place.line)
        };
        let back = summary.left_out.of(Reason::TimeBackwards).count;
        if back > 0 {
            let line = first_line(Reason::TimeBackwards);
            let hint = if summary.instants {
                ""
            } else {
                " If clocks were put back for winter there, name the place with `--time-zone`."
            };
            let text = format!(
                "Time goes backwards: {} a time before that of earlier rows, the first in line {line}. They were left \
                 out.{hint}",
                counted(back, "row has", "rows have")
            );
            let evidence = json!({ "rows": back, "first_line": line });
            self.add(LogFinding::ClockWentBack, self.whole(), text, evidence);
        }
        let repeated = summary.left_out.of(Reason::RepeatedTime).count;
        if repeated > 0 {
            let line = first_line(Reason::RepeatedTime);
            let text = format!(
                "{} the same time as the row before, the first in line {line}. Only the first row of each time was used.",
                counted(repeated, "row has", "rows have")
            );
            let evidence = json!({ "rows": repeated, "first_line": line });
            self.add(LogFinding::RepeatedStamps, self.whole(), text, evidence);
        }
        self.left_out();
    }

    fn left_out(&mut self) {
        let left_out = &self.summary.left_out;
        let rows = Reason::ALL
            .into_iter()
            .filter(|reason| !matches!(reason, Reason::TimeBackwards | Reason::RepeatedTime))
            .map(|reason| left_out.of(reason).count)
            .sum::<u64>();
        let mut cells = 0;
        for channel in Channel::ALL {
            for reason in CellReason::ALL {
                cells += left_out.of_cell(channel, reason).count;
            }
        }
        if rows + cells == 0 {
            return;
        }
        let text = match (rows, cells) {
            (0, cells) => format!("{} could not be used.", counted(cells, "cell", "cells")),
            (rows, 0) => format!("{} could not be used.", counted(rows, "row", "rows")),
            (rows, cells) => format!(
                "{} and {} could not be used.",
                counted(rows, "row", "rows"),
                counted(cells, "cell", "cells")
            ),
        };
        let evidence = json!({ "rows": rows, "cells": cells });
        self.add(LogFinding::LeftOut, self.whole(), text, evidence);
    }

    fn faults_of_meters(&mut self) {
        let ids = [
            (Channel::Temperature, LogFinding::TemperatureStuck),
            (Channel::Humidity, LogFinding::HumidityStuck),
            (Channel::Co2, LogFinding::Co2Stuck),
        ];
        let (summary, settings, system) = (self.summary, self.settings, self.system);
        for ((channel, id), runs) in ids.into_iter().zip(&summary.stuck) {
            let Some(judged) = settings.channel(channel) else {
                continue;
            };
            let unit = judged.unit;
            self.run(id, runs, |run, shown| {
                format!(
                    "The {} reads exactly {} from {} to {}, {shown}. A meter that works moves in that time.",
                    judged.name,
                    show(run.value, unit, system),
                    run.from,
                    run.to
                )
            });
        }
        let from = settings.numbers.saturated_from;
        self.run(LogFinding::HumiditySaturated, &summary.saturated, |run, shown| {
            format!(
                "The humidity meter stays at {} or more from {} to {}, {shown}. Up there it cannot tell \
                 moist air from fog, and may itself be wet.",
                show(from, Unit::Percent, system),
                run.from,
                run.to
            )
        });
    }

    fn run(
        &mut self,
        id: LogFinding,
        runs: &Runs,
        text: impl Fn(&crate::log::runs::Run, &str) -> String,
    ) {
        let (Some(longest), Some(span)) = (runs.longest, runs.span) else {
            return;
        };
        let mut text = text(&longest, &lasting(longest.hours()));
        if runs.count > 1 {
            text.push_str(&format!(
                " That is the longest of {} times, {} in all.",
                runs.count,
                lasting(runs.hours)
            ));
        }
        let evidence = json!({
            "times": runs.count,
            "hours": number(runs.hours),
            "longest_hours": number(longest.hours()),
            "longest_from": longest.from.iso(self.summary.instants),
            "longest_to": longest.to.iso(self.summary.instants),
            "value": number(longest.value),
            "values": longest.count,
        });
        self.add(id, span, text, evidence);
    }

    fn limits(&mut self) {
        let summary = self.summary;
        for channel in Channel::ALL {
            let (Some(statistics), Some(judged)) =
                (summary.of(channel), self.settings.channel(channel))
            else {
                continue;
            };
            let (below, above) = channel.outside();
            for (id, outside, limit, word) in [
                (below, &statistics.below, judged.min, "below"),
                (above, &statistics.above, judged.max, "above"),
            ] {
                if let (Some(outside), Some(limit)) = (outside, limit) {
                    self.outside(id, judged, statistics, outside, (limit, word));
                }
            }
        }
    }

    fn outside(
        &mut self,
        id: LogFinding,
        judged: &ChannelSettings,
        statistics: &Statistics,
        outside: &Outside,
        (limit, word): (f64, &str),
    ) {
        let (Some(span), Some((longest, from, to))) = (outside.span, outside.longest) else {
            return;
        };
        let lit = match (id, statistics.day) {
            (LogFinding::LightBelow, Some((_, hours))) => Some(hours),
            _ => None,
        };
        let hours = lit.unwrap_or(statistics.hours);
        let share = outside.hours() / hours;
        if share < self.settings.numbers.outside_share || share.is_nan() {
            return;
        }
        let text = format!(
            "The {} is {word} {} for {}, {} % of the time{}; the longest stretch lasts {}, from {from} to {to}.",
            judged.name,
            show(limit, judged.unit, self.system),
            lasting(outside.hours()),
            trimmed(share * 100.0),
            if lit.is_some() {
                " with the lamp on"
            } else {
                ""
            },
            lasting(longest)
        );
        let evidence = json!({
            "limit": number(limit),
            "hours": number(outside.hours()),
            "share": number(share),
            "longest_hours": number(longest),
            "longest_from": from.iso(self.summary.instants),
            "longest_to": to.iso(self.summary.instants),
        });
        self.add(id, span, text, evidence);
    }

    fn hunting(&mut self) {
        let Some(hunting) = &self.summary.hunting else {
            return;
        };
        if (hunting.cycles as f64) < self.settings.numbers.hunting_least_cycles {
            return;
        }
        let step_minutes = self.summary.step_ms as f64 / 60_000.0;
        // judgement: four readings a cycle show its length; its peaks and troughs need more.
        let coarse = hunting.period_minutes < 4.0 * step_minutes;
        let mut text = format!(
            "The humidity hunts: it goes up and down by {} points every {}, {} lasting {} in all.",
            trimmed(hunting.swing),
            every(hunting.period_minutes / 60.0),
            counted(hunting.cycles, "cycle", "cycles"),
            lasting(hunting.hours)
        );
        if coarse {
            text.push_str(&format!(
                " There is only one reading every {}, so the true cycle may be quicker and wider.",
                every(step_minutes / 60.0)
            ));
        }
        let evidence = json!({
            "cycles": hunting.cycles,
            "period_minutes": number(hunting.period_minutes),
            "swing_points": number(hunting.swing),
            "swing_points_p95": number(hunting.swing_p95),
            "hours": number(hunting.hours),
            "logged_often_enough": !coarse,
        });
        self.add(LogFinding::HumidityHunting, hunting.span, text, evidence);
    }

    fn reasons_of_swings(&mut self) {
        let summary = self.summary;
        for (pace, reasons) in [("quick", &summary.fast), ("slow", &summary.slow)] {
            self.reason(pace, reasons);
        }
    }

    fn reason(&mut self, pace: &str, reasons: &Reasons) {
        let numbers = &self.settings.numbers;
        let (Some(share), Some(span)) = (reasons.thermal_share(), reasons.span) else {
            return;
        };
        if (reasons.swings as f64) < numbers.swings_least {
            return;
        }
        let count = reasons.swings as f64;
        let (peak, trough) = (reasons.water.0 / count, reasons.water.1 / count);
        let size = trimmed(reasons.size / count);
        let water = format!(
            "the water in the air is {} at the peaks and {} in the troughs",
            show(peak, Unit::GramPerCubicMetre, self.system),
            show(trough, Unit::GramPerCubicMetre, self.system)
        );
        let percent = trimmed((share * 100.0).clamp(0.0, 100.0));
        let degrees = show_difference(
            (reasons.temperature_rise / count).abs(),
            Unit::Celsius,
            self.system,
        );
        let (id, text) = if share >= numbers.thermal_from {
            let text = format!(
                "The {pace} swings of the humidity, {size} points on average, are thermal: the temperature moves the \
                 other way by {degrees}, which explains {percent} % of them, while {water}."
            );
            (LogFinding::SwingThermal, text)
        } else if share <= numbers.mister_up_to {
            let text = format!(
                "The {pace} swings of the humidity, {size} points on average, are made by mist or fresh air and not \
                 by the temperature, which explains {percent} % of them: {water}."
            );
            (LogFinding::SwingMister, text)
        } else {
            let text = format!(
                "The {pace} swings of the humidity, {size} points on average, have both reasons: the temperature \
                 explains {percent} % of them, and {water}."
            );
            (LogFinding::SwingMixed, text)
        };
        let evidence = json!({
            "pace": pace,
            "swings": reasons.swings,
            "size_points": number(reasons.size / count),
            "thermal_share": number(share),
            "temperature_rise_c": number(reasons.temperature_rise / count),
            "water_at_peaks_g_m3": number(peak),
            "water_in_troughs_g_m3": number(trough),
        });
        self.add(id, span, text, evidence);
    }

    fn peaks(&mut self) {
        let peaks = &self.summary.peaks;
        let (Some(span), Some((highest, at))) = (peaks.span, peaks.highest) else {
            return;
        };
        let (from, inside) = peaks.busiest();
        let to = (from + 3) % 24;
        let mut text = format!(
            "{} of {}{} {} at {at}",
            counted(peaks.count, "peak", "peaks"),
            self.name(Channel::Co2),
            if peaks.count == 1 {
                ":"
            } else {
                ", the highest"
            },
            show(highest, Unit::Ppm, self.system)
        );
        // Hours are worth telling where they hold most of the peaks.
        if peaks.count > 2 && 2 * inside > peaks.count {
            text.push_str(&format!(
                "; {inside} of {} between {from:02}:00 and {to:02}:00",
                peaks.count
            ));
        }
        text.push('.');
        let limit = self
            .settings
            .channel(Channel::Co2)
            .and_then(|judged| judged.max);
        if let Some(limit) = limit {
            let shown = show(limit, Unit::Ppm, self.system);
            text.push_str(&match (peaks.above_limit, peaks.count) {
                (0, _) => format!(" None goes above {shown}."),
                (1, 1) => format!(" It goes above {shown}."),
                (above, count) if above == count => format!(" All of them go above {shown}."),
                (above, _) => format!(" Above {shown}: {above} of them."),
            });
        }
        let evidence = json!({
            "peaks": peaks.count,
            "highest_ppm": number(highest),
            "highest_at": at.iso(self.summary.instants),
            "above_limit": limit.map(|_| peaks.above_limit),
            "by_hour": peaks.hours,
            "busiest_from_hour": from,
            "busiest_to_hour": to,
            "in_busiest": inside,
        });
        self.add(LogFinding::Co2Peaks, span, text, evidence);
    }

    fn air_changes(&mut self) {
        let (Some(decays), Some(outside)) = (&self.summary.decays, self.settings.outside_ppm)
        else {
            return;
        };
        let (Some(middle), Some(span), Some(first)) =
            (decays.middle(), decays.span, decays.kept.first())
        else {
            return;
        };
        let figure = |value: f64| format!("{value:.1}");
        let mut text = if decays.count == 1 {
            format!(
                "A fall of carbon dioxide from {} gives {} air changes an hour (95 % interval {} to {}).",
                first.from,
                figure(first.fit.air_changes_per_hour),
                figure(first.fit.low),
                figure(first.fit.high)
            )
        } else {
            let of = |value: fn(&crate::log::decays::Decay) -> f64| decays.kept.iter().map(value);
            let least = of(|decay| decay.fit.air_changes_per_hour).fold(f64::INFINITY, f64::min);
            let most = of(|decay| decay.fit.air_changes_per_hour).fold(0.0, f64::max);
            let (least, most) = (figure(least), figure(most));
            let falls = counted(decays.count, "fall", "falls");
            if least == most {
                format!("{falls} of carbon dioxide give {least} air changes an hour.")
            } else {
                format!(
                    "{falls} of carbon dioxide give {least} to {most} air changes an hour, the middle one {}.",
                    figure(middle)
                )
            }
        };
        text.push_str(&format!(
            " The air outside is {} to hold {}; with the crop inside the true figure is higher.",
            if self.settings.outside_given {
                "said"
            } else {
                "taken"
            },
            show(outside, Unit::Ppm, self.system)
        ));
        let listed: Vec<Value> = decays
            .kept
            .iter()
            .map(|decay| {
                json!({
                    "from": decay.from.iso(self.summary.instants),
                    "to": decay.to.iso(self.summary.instants),
                    "start_ppm": number(decay.start_ppm),
                    "end_ppm": number(decay.end_ppm),
                    "air_changes_per_hour": number(decay.fit.air_changes_per_hour),
                    "low": number(decay.fit.low),
                    "high": number(decay.fit.high),
                    "r_squared": number(decay.fit.r_squared),
                    "points": decay.fit.points,
                })
            })
            .collect();
        let evidence = json!({
            "decays": decays.count,
            "air_changes_per_hour": number(middle),
            "outside_ppm": number(outside),
            "outside_given": self.settings.outside_given,
            "falls_of_no_single_air_change": decays.crooked,
            "list": listed,
        });
        self.add(LogFinding::AirChanges, span, text, evidence);
    }

    fn temperature(&mut self) {
        let Some(range) = &self.summary.temperature_range else {
            return;
        };
        if range.middle < self.settings.numbers.temperature_swing {
            return;
        }
        let (most, from, _) = range.most;
        let shown = |value: f64| show_difference(value, Unit::Celsius, self.system);
        let day = from.to_string();
        let day = day.split(' ').next().unwrap_or_default();
        let text = format!(
            "In a day highest and lowest {} lie {} apart (the middle one of {}); at most {}, on {day}.",
            self.name(Channel::Temperature),
            shown(range.middle),
            counted(range.days, "full day", "full days"),
            shown(most)
        );
        let evidence = json!({
            "days": range.days,
            "range_of_day_c": number(range.middle),
            "greatest_range_c": number(most),
            "greatest_on": day,
        });
        self.add(LogFinding::TemperatureSwing, range.span, text, evidence);
    }

    fn dew(&mut self) {
        let Some(dew) = &self.summary.dew else { return };
        let (near, wet, all) = dew.hours();
        let (Some(span), Some((margin, at))) = (dew.span, dew.least_margin()) else {
            return;
        };
        let shown = |value: f64| show_difference(value, Unit::Celsius, self.system);
        let surface = show(dew.surface_c(), Unit::Celsius, self.system);
        let mut text = format!(
            "A surface at {surface} is within {} of the dew point, or below it, for {}",
            shown(self.settings.numbers.dew_margin),
            lasting(near)
        );
        text.push_str(&if wet > 0.0 {
            format!("; for {} of that water forms on it.", lasting(wet))
        } else {
            ", but water does not form on it.".to_owned()
        });
        text.push_str(&if margin >= 0.0 {
            format!(" It comes nearest at {at}, {} above.", shown(margin))
        } else {
            format!(" At {at} it is {} below.", shown(-margin))
        });
        let evidence = json!({
            "surface_c": number(dew.surface_c()),
            "hours": number(near),
            "hours_wet": number(wet),
            "of_hours": number(all),
            "least_margin_c": number(margin),
            "least_margin_at": at.iso(self.summary.instants),
        });
        self.add(LogFinding::NearDewPoint, span, text, evidence);
    }
}

/// The numbers of the log that readings of the knowledge may stand for, in the unit that is kept.
pub fn measures(summary: &Summary, settings: &Settings) -> Vec<(Measure, f64)> {
    let mean = |channel: Channel| summary.of(channel).map(|statistics| statistics.mean);
    let hunting = summary
        .hunting
        .as_ref()
        .filter(|hunting| hunting.cycles as f64 >= settings.numbers.hunting_least_cycles);
    let all = [
        (Measure::TemperatureMean, mean(Channel::Temperature)),
        (Measure::HumidityMean, mean(Channel::Humidity)),
        (Measure::Co2Mean, mean(Channel::Co2)),
        (
            Measure::LightWhileLit,
            summary
                .of(Channel::Light)
                .and_then(|light| light.lit_middle),
        ),
        (
            Measure::LitHoursOfDay,
            summary.lit_hours.as_ref().map(|lit| lit.middle),
        ),
        (
            Measure::TemperatureRangeOfDay,
            summary.temperature_range.as_ref().map(|range| range.middle),
        ),
        (Measure::HuntingSwing, hunting.map(|hunting| hunting.swing)),
        (Measure::SurfaceGiven, settings.surface_c),
        (
            Measure::OutsideCo2,
            settings.outside_ppm.filter(|_| settings.outside_given),
        ),
    ];
    all.into_iter()
        .filter_map(|(measure, value)| Some((measure, value?)))
        .collect()
}
