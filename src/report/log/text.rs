//! What a sensor log came to, for a person to read.

use std::path::Path;

use crate::engine::knowledge::{KnowledgeBase, LogFinding};
use crate::engine::observations::{Answer, Observations};
use crate::engine::quantity::{System, Unit, show};
use crate::log::analysis::Summary;
use crate::log::channel::Channel;
use crate::log::findings::Finding;
use crate::log::findings::wording::{counted, every, grouped, lasting};
use crate::log::left_out::{CellReason, Count, Reason};
use crate::log::settings::{ChannelSettings, Settings};
use crate::log::unit::InUnit;
use crate::log::weighed::{Outside, Statistics};
use crate::report::log::chart::{band, sparkline};
use crate::report::page::{Ink, Look, Page};

/// Rows of a chart.
const CHART_ROWS: usize = 6;

/// A log read, with what it was judged by.
#[derive(Debug, Clone, Copy)]
pub struct Read<'a> {
    /// The file's name.
    pub name: &'a str,
    /// What is known of it.
    pub summary: &'a Summary,
    /// What it was judged by.
    pub settings: &'a Settings,
    /// What happened.
    pub findings: &'a [Finding],
    /// The units to show.
    pub system: System,
}

/// A case that was written from a log.
#[derive(Debug, Clone, Copy)]
pub struct Into<'a> {
    /// What its entries are called.
    pub base: &'a KnowledgeBase,
    /// What it was told.
    pub told: &'a Observations,
    /// Its file.
    pub path: &'a Path,
}

/// The report.
pub fn report(read: &Read<'_>, into: Option<&Into<'_>>, look: Look) -> String {
    let mut page = Page::new(look);
    head(read, &mut page);
    for channel in Channel::ALL {
        let statistics = read.summary.of(channel);
        let judged = read.settings.channel(channel);
        if let (Some(statistics), Some(judged)) = (statistics, judged) {
            one(read, channel, statistics, judged, &mut page);
        }
    }
    happened(read, &mut page);
    left_out(read, &mut page);
    how_read(read, &mut page);
    if let Some(into) = into {
        written(into, read.system, &mut page);
    }
    page.finish()
}

fn written(into: &Into<'_>, system: System, page: &mut Page) {
    let path = into.path.display();
    page.heading(Ink::Strong, &format!("Written to {path}"));
    for (id, measured) in &into.told.readings {
        if let Some(reading) = into.base.readings.get(id) {
            let value = show(measured.value, reading.unit, system);
            page.entry(2, "-", Ink::Usual, &format!("{}: {value}", reading.name));
        }
    }
    for (id, answer) in &into.told.signs {
        if let Some(sign) = into.base.signs.get(id) {
            let denied = if *answer == Answer::No {
                "not so: "
            } else {
                ""
            };
            let text = format!("{denied}{}", sign.statement);
            page.entry(2, "-", Ink::Usual, &text);
        }
    }
    let said = into.told.from_log.iter().filter(|said| said.is_finding());
    let count = said.count();
    if count > 0 {
        let text = format!(
            "{} with time and numbers",
            counted(count as u64, "finding", "findings")
        );
        page.entry(2, "-", Ink::Usual, &text);
    }
    page.paragraph(
        2,
        Ink::Faint,
        &format!("What that points to: blockside diagnose {path}"),
    );
}

fn head(read: &Read<'_>, page: &mut Page) {
    let summary = read.summary;
    page.heading(Ink::Strong, read.name);
    let hours = (summary.end.at_ms - summary.start.at_ms) as f64 / 3_600_000.0;
    let mut text = format!("{} to {}, {}", summary.start, summary.end, lasting(hours));
    if summary.used > 1 {
        text.push_str(&format!(
            "; {} used, usually one every {}",
            counted(summary.used, "row", "rows"),
            every(summary.step_ms as f64 / 3_600_000.0)
        ));
    }
    if let Some(zone) = &summary.zone {
        text.push_str(&format!("; clock of {zone}"));
    }
    page.paragraph(2, Ink::Usual, &format!("{text}."));
    let mut kept = if summary.gaps.count == 0 {
        "No gaps.".to_owned()
    } else {
        let share = if hours > 0.0 {
            summary.covered_hours / hours * 100.0
        } else {
            0.0
        };
        format!(
            "{} of it is covered, {share:.1} %; {}.",
            lasting(summary.covered_hours),
            counted(summary.gaps.count, "gap", "gaps")
        )
    };
    let lost = summary.left_out.total_rows();
    if lost > 0 {
        kept.push_str(&format!(
            " {} of {} rows were left out; see below.",
            grouped(lost),
            grouped(summary.rows)
        ));
    }
    page.paragraph(2, Ink::Usual, &kept);
    if let (Some((_, species, named)), Some((_, stage, stage_named))) =
        (&read.settings.species, &read.settings.stage)
    {
        let stage = stage.to_lowercase();
        let species = if *named {
            format!("Limits: {species}")
        } else {
            "Limits: the wide ones, since no species was named with --species".to_owned()
        };
        let whose = if *stage_named {
            format!("{species}, {stage}.")
        } else {
            format!("{species}; {stage} is taken, since no stage was named with --stage.")
        };
        page.paragraph(2, Ink::Faint, &whose);
    }
}

fn one(
    read: &Read<'_>,
    channel: Channel,
    statistics: &Statistics,
    judged: &ChannelSettings,
    page: &mut Page,
) {
    let look = page.look();
    let shown = |value: f64| show(value, judged.unit, read.system);
    page.heading(Ink::Strong, &capital(&judged.name));
    if let Some(series) = &read.summary.series[channel.index()] {
        let limits: Vec<f64> = judged.min.into_iter().chain(judged.max).collect();
        let room = look.width.saturating_sub(16);
        let steps = room
            .min(usize::try_from(read.summary.used).unwrap_or(room))
            .max(1);
        let steps = series.in_steps(steps, read.summary.end.at_ms);
        for line in band(
            &steps,
            (&limits, 2.0 * judged.tolerance),
            CHART_ROWS,
            look.plain,
            shown,
        ) {
            page.drawn(2, &line);
        }
    }
    let [p05, p50, p95] = statistics.quantiles;
    let mut say = |text: String| page.paragraph(2, Ink::Usual, &text);
    if channel == Channel::Light {
        // A mean over day and night says nothing about a lamp.
        let lit = statistics
            .lit_middle
            .map_or("The lamp was never on".to_owned(), |middle| {
                format!("{} while the lamp is on (the middle value)", shown(middle))
            });
        let hours = read
            .summary
            .lit_hours
            .as_ref()
            .map_or_else(String::new, |lit| {
                format!(", {} a day", lasting(lit.middle))
            });
        say(format!("{lit}{hours}."));
    } else {
        say(format!(
            "Mean {}, middle value {}.",
            shown(statistics.mean),
            shown(p50)
        ));
        if shown(p05) != shown(p95) {
            say(format!(
                "Nine tenths of the time between {} and {}.",
                shown(p05),
                shown(p95)
            ));
        }
        if let (Some((day, _)), Some((night, _))) = (statistics.day, statistics.night) {
            let (one, other) = if read.summary.by_lamp {
                ("With the lamp on", "with it off")
            } else {
                ("By day", "at night")
            };
            say(format!("{one} {}, {other} {}.", shown(day), shown(night)));
        }
    }
    say(format!(
        "Least {} at {}, greatest {} at {}.",
        shown(statistics.min.0),
        statistics.min.1,
        shown(statistics.max.0),
        statistics.max.1
    ));
    let beyond: Vec<String> = [
        (judged.min, &statistics.below, "below"),
        (judged.max, &statistics.above, "above"),
    ]
    .into_iter()
    .filter_map(|(limit, outside, word)| Some(beyond(word, &shown(limit?), outside.as_ref()?)))
    .collect();
    if !beyond.is_empty() {
        say(capital(&format!("{}.", beyond.join("; "))));
    }
    by_the_hour(statistics, judged, read.system, page);
}

/// The means of the hours of the clock, where they differ by more than a meter may be off.
fn by_the_hour(statistics: &Statistics, judged: &ChannelSettings, system: System, page: &mut Page) {
    let hours = statistics.hours_of_day;
    let known = || hours.iter().flatten().copied();
    let (Some(least), Some(most)) = (known().reduce(f64::min), known().reduce(f64::max)) else {
        return;
    };
    if known().count() < 24 || most - least < judged.tolerance {
        return;
    }
    let shown = |value: f64| show(value, judged.unit, system);
    let text = format!(
        "Hour by hour of the day, {} to {}:",
        shown(least),
        shown(most)
    );
    page.paragraph(2, Ink::Usual, &text);
    let line = sparkline(&hours, page.look().plain);
    page.drawn(2, &format!("0 h {line} 23 h"));
}

fn beyond(word: &str, limit: &str, outside: &Outside) -> String {
    if outside.span.is_none() {
        return format!("never {word} {limit}");
    }
    format!("{word} {limit} for {}", lasting(outside.hours()))
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

fn happened(read: &Read<'_>, page: &mut Page) {
    page.heading(Ink::Strong, "What happened");
    // What was left out has a section of its own.
    let told = read
        .findings
        .iter()
        .filter(|one| one.id != LogFinding::LeftOut);
    let mut any = false;
    for finding in told {
        any = true;
        page.entry(2, "-", Ink::Usual, &finding.text);
    }
    if !any {
        page.paragraph(2, Ink::Usual, "Nothing that stands out.");
    }
}

fn left_out(read: &Read<'_>, page: &mut Page) {
    let left_out = &read.summary.left_out;
    let mut lines = Vec::new();
    for reason in Reason::ALL {
        let count = left_out.of(reason);
        if count.count > 0 {
            lines.push(format!(
                "{}, {}: {}",
                counted(count.count, "row", "rows"),
                reason.says(),
                places(count)
            ));
        }
    }
    for channel in Channel::ALL {
        for reason in CellReason::ALL {
            let count = left_out.of_cell(channel, reason);
            if count.count > 0 {
                lines.push(format!(
                    "{} {} of {}, {}: {}",
                    grouped(count.count),
                    if count.count == 1 { "cell" } else { "cells" },
                    channel.name(),
                    reason.says(),
                    places(count)
                ));
            }
        }
    }
    if lines.is_empty() {
        return;
    }
    page.heading(Ink::Care, "Left out");
    for line in lines {
        page.entry(2, "-", Ink::Usual, &line);
    }
}

/// The first places of a reason.
pub fn places(count: &Count) -> String {
    let mut shown: Vec<String> = count
        .first
        .iter()
        .map(|place| {
            let at = match place.column {
                Some(column) => format!("line {}, column {column}", place.line),
                None => format!("line {}", place.line),
            };
            if place.text.is_empty() {
                at
            } else {
                format!("{at} (`{}`)", place.text)
            }
        })
        .collect();
    if count.count > count.first.len() as u64 {
        shown.push("and so on".to_owned());
    }
    format!("{}.", shown.join(", "))
}

fn how_read(read: &Read<'_>, page: &mut Page) {
    let summary = read.summary;
    let opening = &summary.opening;
    let mut lines = Vec::new();
    let of: Vec<String> = Channel::ALL
        .into_iter()
        .filter_map(|channel| {
            let place = opening.plan.values[channel.index()].as_ref()?;
            let unit = if place.unit == InUnit::kept(channel) {
                String::new()
            } else {
                format!(" in {}", place.unit.symbol())
            };
            Some(format!("{} from `{}`{unit}", channel.name(), place.name))
        })
        .collect();
    lines.push(format!("{}.", capital(&of.join(", "))));
    for channel in Channel::ALL {
        let other = summary.other_units[channel.index()];
        if other > 0 {
            lines.push(format!(
                "{} of {} in another unit than the column's, converted.",
                counted(other, "cell", "cells"),
                channel.name()
            ));
        }
    }
    if summary.held > 0 {
        let top = read
            .settings
            .channel(Channel::Humidity)
            .map_or(100.0, |one| one.believable.1);
        lines.push(format!(
            "{} of humidity above {}, taken as {}: a wet meter shows a little more than there can be.",
            counted(summary.held, "cell", "cells"),
            show(top, Unit::Percent, read.system),
            show(top, Unit::Percent, read.system)
        ));
    }
    lines.extend(opening.taken.iter().cloned());
    if summary.mixed_stamps {
        lines.push(
            "Some stamps say how far the clock is from universal time and some do not; the latter are taken as \
             universal time."
                .to_owned(),
        );
    }
    let unused = opening.plan.unused();
    if !unused.is_empty() {
        let names: Vec<String> = unused
            .iter()
            .take(8)
            .map(|name| format!("`{name}`"))
            .collect();
        lines.push(format!("Not read: {}.", names.join(", ")));
    }
    page.heading(Ink::Strong, "How the file was read");
    for line in lines {
        page.paragraph(2, Ink::Usual, &line);
    }
}
