//! The numbers of a log that readings of the knowledge may stand for, each with the finding it is about.
//!
//! A mean over days hides that a limit was passed for an hour each night. So where that is a finding, the number is the
//! mean of the time outside; only where nothing is amiss is it the mean of the whole log.

use serde_json::{Value, json};

use crate::engine::knowledge::{LogFinding, Measure};
use crate::engine::quantity::{System, Unit, show, show_difference};
use crate::log::analysis::Summary;
use crate::log::channel::Channel;
use crate::log::days::InDays;
use crate::log::findings::humidity::{hunts, slow_swings};
use crate::log::findings::wording::{counted, lasting};
use crate::log::findings::{Finding, number};
use crate::log::settings::Settings;
use crate::log::zone::Moment;

/// A number of the log.
#[derive(Debug, Clone, PartialEq)]
pub struct Measured {
    /// What it is.
    pub measure: Measure,
    /// The number, in the unit that is kept.
    pub value: f64,
    /// What stands behind it.
    pub rests_on: RestsOn,
}

/// What stands behind a number of the log.
#[derive(Debug, Clone, PartialEq)]
pub enum RestsOn {
    /// A finding.
    Finding(LogFinding),
    /// Ordinary values of this time, in a sentence and with their numbers.
    Values {
        /// The sentence.
        text: String,
        /// From and to when.
        span: (Moment, Moment),
        /// The numbers, a table.
        evidence: Value,
    },
    /// What was given together with the log.
    Given,
}

/// The numbers of the log that readings of the knowledge may stand for.
pub fn measures(
    summary: &Summary,
    settings: &Settings,
    findings: &[Finding],
    system: System,
) -> Vec<Measured> {
    let told = Telling {
        summary,
        settings,
        findings,
        system,
    };
    let given = |measure, value: Option<f64>| {
        value.map(|value| Measured {
            measure,
            value,
            rests_on: RestsOn::Given,
        })
    };
    let outside = settings.outside_ppm.filter(|_| settings.outside_given);
    [
        told.level(Channel::Temperature, Measure::TemperatureMean),
        told.level(Channel::Humidity, Measure::HumidityMean),
        told.level(Channel::Co2, Measure::Co2Mean),
        told.light(),
        told.lit_hours(),
        told.temperature_range(),
        told.swing(),
        told.air_changes(),
        told.near_margin(),
        given(Measure::SurfaceGiven, settings.surface_c),
        given(Measure::OutsideCo2, outside),
    ]
    .into_iter()
    .flatten()
    .collect()
}

struct Telling<'a> {
    summary: &'a Summary,
    settings: &'a Settings,
    findings: &'a [Finding],
    system: System,
}

impl Telling<'_> {
    fn found(&self, id: LogFinding) -> bool {
        self.findings.iter().any(|finding| finding.id == id)
    }

    fn by_finding(&self, measure: Measure, value: f64, id: LogFinding) -> Option<Measured> {
        self.found(id).then_some(Measured {
            measure,
            value,
            rests_on: RestsOn::Finding(id),
        })
    }

    fn by_values(
        measure: Measure,
        value: f64,
        text: String,
        span: (Moment, Moment),
        evidence: Value,
    ) -> Measured {
        Measured {
            measure,
            value,
            rests_on: RestsOn::Values {
                text,
                span,
                evidence,
            },
        }
    }

    /// The side of its limits on which a channel was longer, of those that are a finding and by which some cause shows
    /// itself: hours and mean of that time.
    fn outside(&self, channel: Channel) -> Option<(LogFinding, f64)> {
        let statistics = self.summary.of(channel)?;
        let shows = self.settings.channel(channel)?.shows;
        let (below, above) = channel.outside();
        // At the top of its range a meter does not say how far above the limit it is, or whether it is at all.
        let at_the_top = channel == Channel::Humidity && self.found(LogFinding::HumiditySaturated);
        [
            (below, &statistics.below, shows.0),
            (above, &statistics.above, shows.1 && !at_the_top),
        ]
        .into_iter()
        .filter(|(id, _, counts)| *counts && self.found(*id))
        .filter_map(|(id, outside, _)| {
            let outside = outside.as_ref()?;
            Some((outside.hours(), id, outside.mean()?))
        })
        .max_by(|one, other| one.0.total_cmp(&other.0))
        .map(|(_, id, mean)| (id, mean))
    }

    fn level(&self, channel: Channel, measure: Measure) -> Option<Measured> {
        let statistics = self.summary.of(channel)?;
        if let Some((id, mean)) = self.outside(channel) {
            return self.by_finding(measure, mean, id);
        }
        let judged = self.settings.channel(channel)?;
        let text = format!(
            "The {} is {} on average over the whole log.",
            judged.name,
            show(statistics.mean, judged.unit, self.system)
        );
        let evidence =
            json!({ "mean": number(statistics.mean), "hours": number(statistics.hours) });
        let span = (self.summary.start, self.summary.end);
        Some(Self::by_values(
            measure,
            statistics.mean,
            text,
            span,
            evidence,
        ))
    }

    /// Light is a dose: an hour of dusk does no harm, an hour of sun does.
    fn light(&self) -> Option<Measured> {
        let measure = Measure::LightWhileLit;
        let statistics = self.summary.of(Channel::Light)?;
        if let Some((id @ LogFinding::LightAbove, mean)) = self.outside(Channel::Light) {
            return self.by_finding(measure, mean, id);
        }
        let middle = statistics.lit_middle?;
        let judged = self.settings.channel(Channel::Light)?;
        let dim = judged.min.is_some_and(|min| middle < min);
        if let Some(told) = dim
            .then(|| self.by_finding(measure, middle, LogFinding::LightBelow))
            .flatten()
        {
            return Some(told);
        }
        let text = format!(
            "The {} is {} while the lamp is on (the middle value).",
            judged.name,
            show(middle, judged.unit, self.system)
        );
        let evidence = json!({ "middle_lux": number(middle) });
        let span = (self.summary.start, self.summary.end);
        Some(Self::by_values(measure, middle, text, span, evidence))
    }

    fn lit_hours(&self) -> Option<Measured> {
        let lit = self.summary.lit_hours.as_ref()?;
        let text = format!(
            "The lamp is on for {} a day (the middle one of {}).",
            lasting(lit.middle),
            full_days(lit)
        );
        let evidence = json!({ "hours_of_day": number(lit.middle), "days": lit.days });
        let measure = Measure::LitHoursOfDay;
        Some(Self::by_values(
            measure, lit.middle, text, lit.span, evidence,
        ))
    }

    fn temperature_range(&self) -> Option<Measured> {
        let measure = Measure::TemperatureRangeOfDay;
        let range = self.summary.temperature_range.as_ref()?;
        self.by_finding(measure, range.middle, LogFinding::TemperatureSwing)
            .or_else(|| {
                let text = format!(
                    "In a day highest and lowest temperature lie {} apart (the middle one of {}).",
                    show_difference(range.middle, Unit::Celsius, self.system),
                    full_days(range)
                );
                let evidence =
                    json!({ "range_of_day_c": number(range.middle), "days": range.days });
                Some(Self::by_values(
                    measure,
                    range.middle,
                    text,
                    range.span,
                    evidence,
                ))
            })
    }

    fn swing(&self) -> Option<Measured> {
        let measure = Measure::HuntingSwing;
        if let Some(hunting) = hunts(self.summary, self.settings) {
            return self.by_finding(measure, hunting.swing, LogFinding::HumidityHunting);
        }
        // Without cycles of a controller only slow swings have their reasons told.
        let size = slow_swings(self.summary, self.settings)?;
        self.by_finding(measure, size, LogFinding::SwingMister)
            .or_else(|| self.by_finding(measure, size, LogFinding::SwingMixed))
    }

    fn air_changes(&self) -> Option<Measured> {
        let middle = self.summary.decays.as_ref()?.middle()?;
        self.by_finding(Measure::AirChanges, middle, LogFinding::AirChanges)
    }

    fn near_margin(&self) -> Option<Measured> {
        let margin = self.summary.dew.as_ref()?.near_margin()?;
        self.by_finding(Measure::NearMargin, margin, LogFinding::NearDewPoint)
    }
}

fn full_days(days: &InDays) -> String {
    counted(days.days, "full day", "full days")
}
