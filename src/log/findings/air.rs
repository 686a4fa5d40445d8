//! Limits, carbon dioxide, temperature and dew.

use serde_json::{Value, json};

use crate::engine::knowledge::LogFinding;
use crate::engine::quantity::{Unit, show, show_difference};
use crate::log::channel::Channel;
use crate::log::findings::wording::{counted, lasting, trimmed};
use crate::log::findings::{Writer, number};
use crate::log::settings::ChannelSettings;
use crate::log::weighed::{Outside, Statistics};

impl Writer<'_> {
    pub(crate) fn limits(&mut self) {
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
        let Some(mean) = outside.mean() else { return };
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
            "The {} is {word} {} for {}, {} % of the time{}, and then {} on average; the longest stretch lasts {}, from \
             {from} to {to}.",
            judged.name,
            show(limit, judged.unit, self.system),
            lasting(outside.hours()),
            trimmed(share * 100.0),
            if lit.is_some() {
                " with the lamp on"
            } else {
                ""
            },
            show(mean, judged.unit, self.system),
            lasting(longest)
        );
        let evidence = json!({
            "limit": number(limit),
            "hours": number(outside.hours()),
            "share": number(share),
            "mean": number(mean),
            "longest_hours": number(longest),
            "longest_from": from.iso(self.summary.instants),
            "longest_to": to.iso(self.summary.instants),
        });
        self.add(id, span, text, evidence);
    }

    pub(crate) fn peaks(&mut self) {
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
        let numbers = &self.settings.numbers;
        if peaks.at_set_hours(numbers.peak_hours_least, numbers.peak_hours_share) {
            let text = format!(
                "{inside} of {} of {} come between {from:02}:00 and {to:02}:00, on {}.",
                counted(peaks.count, "peak", "peaks"),
                self.name(Channel::Co2),
                counted(peaks.days, "day", "days")
            );
            let evidence = json!({
                "peaks": peaks.count,
                "from_hour": from,
                "to_hour": to,
                "inside": inside,
                "days": peaks.days,
            });
            self.add(LogFinding::PeaksAtSetHours, span, text, evidence);
        }
    }

    pub(crate) fn air_changes(&mut self) {
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

    pub(crate) fn temperature(&mut self) {
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

    pub(crate) fn dew(&mut self) {
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
            "near_margin_c": dew.near_margin().map(number),
            "least_margin_c": number(margin),
            "least_margin_at": at.iso(self.summary.instants),
        });
        self.add(LogFinding::NearDewPoint, span, text, evidence);
    }
}
