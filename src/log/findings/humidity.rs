//! Ups and downs of the humidity.

use serde_json::json;

use crate::engine::knowledge::LogFinding;
use crate::engine::quantity::{Unit, show, show_difference};
use crate::log::analysis::Summary;
use crate::log::findings::wording::{counted, every, lasting, trimmed};
use crate::log::findings::{Writer, number};
use crate::log::settings::Settings;
use crate::log::swings::{Hunting, Reasons};

/// The controller's cycles, where they are many and even enough.
pub(crate) fn hunts<'s>(summary: &'s Summary, settings: &Settings) -> Option<&'s Hunting> {
    let numbers = &settings.numbers;
    summary.hunting.as_ref().filter(|hunting| {
        hunting.cycles as f64 >= numbers.hunting_least_cycles
            && hunting.unevenness <= numbers.hunting_evenness
    })
}

/// The mean size of swings slower than the controller's, in points, where it is worth telling.
pub(crate) fn slow_swings(summary: &Summary, settings: &Settings) -> Option<f64> {
    let size = summary.slow.size / summary.slow.swings.max(1) as f64;
    (size >= settings.numbers.slow_swing).then_some(size)
}

impl Writer<'_> {
    pub(crate) fn hunting(&mut self) {
        let Some(hunting) = hunts(self.summary, self.settings) else {
            return;
        };
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
            "period_minutes_mean": number(hunting.period_minutes_mean),
            "swing_points": number(hunting.swing),
            "swing_points_p95": number(hunting.swing_p95),
            "unevenness": number(hunting.unevenness),
            "hours": number(hunting.hours),
            "logged_often_enough": !coarse,
        });
        self.add(LogFinding::HumidityHunting, hunting.span, text, evidence);
    }

    pub(crate) fn reasons_of_swings(&mut self) {
        let summary = self.summary;
        // Quick swings that are no cycles may be a meter's noise, and so may slow ones that are small.
        if hunts(summary, self.settings).is_some() {
            self.reason("quick", &summary.fast);
        }
        if slow_swings(summary, self.settings).is_some() {
            self.reason("slow", &summary.slow);
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
}
