//! Faults of the log itself and of the meters.

use serde_json::{Value, json};

use crate::engine::knowledge::LogFinding;
use crate::engine::quantity::{Unit, show};
use crate::log::channel::Channel;
use crate::log::findings::wording::{counted, lasting};
use crate::log::findings::{Writer, number};
use crate::log::left_out::{CellReason, Reason};
use crate::log::runs::Runs;

impl Writer<'_> {
    pub(crate) fn faults_of_data(&mut self) {
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

    pub(crate) fn faults_of_meters(&mut self) {
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
}
