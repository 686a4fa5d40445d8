//! A drawing of a log: one file that needs nothing else.

use crate::engine::quantity::{System, show};
use crate::log::analysis::Summary;
use crate::log::channel::Channel;
use crate::log::series::Step;
use crate::log::settings::Settings;
use crate::report::log::chart::scale;
use crate::report::sanitise::markup as escaped;

const WIDTH: f64 = 960.0;
const PANEL: f64 = 190.0;
const LEFT: f64 = 84.0;
const RIGHT: f64 = 16.0;
const TOP: f64 = 56.0;
const INSIDE: f64 = 130.0;

/// How many steps of time a panel shows.
const STEPS: usize = 480;

/// Draws the course of every reading: a band from least to greatest value, a line through the means, limits broken, gaps
/// left empty.
pub fn draw(name: &str, summary: &Summary, settings: &Settings, system: System) -> String {
    let there: Vec<Channel> = Channel::ALL
        .into_iter()
        .filter(|channel| summary.of(*channel).is_some())
        .collect();
    let height = TOP + PANEL * there.len() as f64 + 8.0;
    let title = format!("{name}: {} to {}", summary.start, summary.end);
    let mut svg = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {WIDTH} {height}\" width=\"{WIDTH}\" \
         height=\"{height}\" role=\"img\" font-family=\"sans-serif\" font-size=\"13\">\n<title>{title}</title>\n\
         <rect width=\"100%\" height=\"100%\" fill=\"#ffffff\"/>\n\
         <text x=\"{LEFT}\" y=\"24\" font-size=\"17\" fill=\"#111111\">{title}</text>\n",
        title = escaped(&title)
    );
    for (place, channel) in there.iter().enumerate() {
        let top = TOP + PANEL * place as f64;
        panel(&mut svg, *channel, top, summary, settings, system);
    }
    svg.push_str("</svg>\n");
    svg
}

fn panel(
    svg: &mut String,
    channel: Channel,
    top: f64,
    summary: &Summary,
    settings: &Settings,
    system: System,
) {
    let (Some(series), Some(judged)) =
        (&summary.series[channel.index()], settings.channel(channel))
    else {
        return;
    };
    let count = STEPS
        .min(usize::try_from(summary.used).unwrap_or(STEPS))
        .max(1);
    let steps = series.in_steps(count, summary.end.at_ms);
    let limits: Vec<f64> = judged.min.into_iter().chain(judged.max).collect();
    let Some((least, most)) = scale(&steps, &limits, 2.0 * judged.tolerance) else {
        return;
    };
    let wide = WIDTH - LEFT - RIGHT;
    let x = |place: usize| LEFT + wide * (place as f64 + 0.5) / count as f64;
    let y = |value: f64| top + INSIDE * (1.0 - (value - least) / (most - least));
    let shown = |value: f64| escaped(&show(value, judged.unit, system));
    svg.push_str(&format!(
        "<g>\n<text x=\"{LEFT}\" y=\"{:.1}\" font-weight=\"bold\" fill=\"#111111\">{}</text>\n\
         <rect x=\"{LEFT}\" y=\"{top:.1}\" width=\"{wide:.1}\" height=\"{INSIDE}\" fill=\"none\" stroke=\"#999999\"/>\n",
        top - 6.0,
        escaped(&judged.name)
    ));
    for value in [least, (least + most) / 2.0, most] {
        svg.push_str(&format!(
            "<text x=\"{:.1}\" y=\"{:.1}\" text-anchor=\"end\" fill=\"#333333\">{}</text>\n",
            LEFT - 6.0,
            y(value) + 4.5,
            shown(value)
        ));
    }
    for run in runs(&steps) {
        let points = |value: fn(&Step) -> f64, backwards: bool| {
            let mut points: Vec<String> = run
                .clone()
                .map(|place| format!("{:.1},{:.1}", x(place), y(value(&steps[place]))))
                .collect();
            if backwards {
                points.reverse();
            }
            points.join(" ")
        };
        let mean = |step: &Step| step.mean().unwrap_or(step.least);
        svg.push_str(&format!(
            "<polygon points=\"{} {}\" fill=\"#9ecae1\" stroke=\"#9ecae1\" stroke-width=\"1\"/>\n\
             <polyline points=\"{}\" fill=\"none\" stroke=\"#08519c\" stroke-width=\"1.4\"/>\n",
            points(|step| step.most, false),
            points(|step| step.least, true),
            points(mean, false)
        ));
    }
    for (limit, word) in [(judged.min, "least"), (judged.max, "most")] {
        let Some(limit) = limit.filter(|limit| (least..=most).contains(limit)) else {
            continue;
        };
        svg.push_str(&format!(
            "<line x1=\"{LEFT}\" x2=\"{:.1}\" y1=\"{at:.1}\" y2=\"{at:.1}\" stroke=\"#b30000\" stroke-width=\"1.5\" \
             stroke-dasharray=\"7 4\"/>\n<text x=\"{:.1}\" y=\"{:.1}\" text-anchor=\"end\" fill=\"#b30000\">{word} {}</text>\n",
            LEFT + wide,
            LEFT + wide - 4.0,
            y(limit) - 4.0,
            shown(limit),
            at = y(limit)
        ));
    }
    let foot = top + INSIDE + 16.0;
    svg.push_str(&format!(
        "<text x=\"{LEFT}\" y=\"{foot:.1}\" fill=\"#333333\">{}</text>\n<text x=\"{:.1}\" y=\"{foot:.1}\" \
         text-anchor=\"end\" fill=\"#333333\">{}</text>\n</g>\n",
        summary.start,
        LEFT + wide,
        summary.end
    ));
}

/// Stretches of steps that have values.
fn runs(steps: &[Step]) -> Vec<std::ops::Range<usize>> {
    let mut found = Vec::new();
    let mut from = None;
    for (place, step) in steps.iter().enumerate() {
        match (step.count > 0, from) {
            (true, None) => from = Some(place),
            (false, Some(start)) => {
                found.push(start..place);
                from = None;
            }
            _ => {}
        }
    }
    found.extend(from.map(|start| start..steps.len()));
    found
}
