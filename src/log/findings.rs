//! What happened in a log, in sentences with their evidence.

mod air;
mod faults;
mod humidity;
pub mod wording;

use serde_json::{Map, Value, json};

use crate::engine::knowledge::{LogFinding, Measure};
use crate::engine::quantity::System;
use crate::log::analysis::Summary;
use crate::log::channel::Channel;
use crate::log::findings::humidity::hunts;
use crate::log::settings::Settings;
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
pub(crate) fn number(value: f64) -> Value {
    let rounded = (value * 1000.0).round() / 1000.0;
    // Minus nought would be printed with its sign.
    json!(if rounded == 0.0 { 0.0 } else { rounded })
}

/// Gathers findings.
pub(crate) struct Writer<'a> {
    pub(crate) summary: &'a Summary,
    pub(crate) settings: &'a Settings,
    pub(crate) system: System,
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
    /// Adds a finding; its evidence is a table.
    pub(crate) fn add(
        &mut self,
        id: LogFinding,
        span: (Moment, Moment),
        text: String,
        evidence: Value,
    ) {
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

    /// The log from its beginning to its end.
    pub(crate) fn whole(&self) -> (Moment, Moment) {
        (self.summary.start, self.summary.end)
    }

    /// What a channel is called.
    pub(crate) fn name(&self, channel: Channel) -> String {
        let judged = self.settings.channel(channel);
        judged.map_or_else(|| channel.name().to_owned(), |judged| judged.name.clone())
    }
}

/// The numbers of the log that readings of the knowledge may stand for, in the unit that is kept.
pub fn measures(summary: &Summary, settings: &Settings) -> Vec<(Measure, f64)> {
    let mean = |channel: Channel| summary.of(channel).map(|statistics| statistics.mean);
    let hunting = hunts(summary, settings);
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
