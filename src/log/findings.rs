//! What happened in a log, in sentences with their evidence.

mod air;
mod faults;
mod humidity;
pub mod measures;
pub mod wording;

use serde_json::{Map, Value, json};

use crate::engine::knowledge::LogFinding;
use crate::engine::quantity::System;
use crate::log::analysis::Summary;
use crate::log::channel::Channel;
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
