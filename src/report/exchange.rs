//! Air changes from a fall of carbon dioxide as text.

use crate::engine::exchange::USUAL_METER;
use crate::engine::exchange::judged::{Check, Judged, ROOM_OFF_PPM};
use crate::engine::quantity::{System, Unit, show};
use crate::log::fall::Fall;
use crate::log::findings::wording::{counted, lasting};
use crate::report::page::{Ink, Look, Page};
use crate::report::words::percent;

/// Where the readings are from.
#[derive(Debug, Clone)]
pub enum Readings {
    /// They were given on the command line.
    Here,
    /// From a file.
    File {
        /// What it is called.
        name: String,
        /// What was read.
        fall: Fall,
    },
}

/// An air change with what it was made from.
#[derive(Debug, Clone)]
pub struct Exchange {
    /// Where the readings are from.
    pub from: Readings,
    /// What came out.
    pub judged: Judged,
    /// Carbon dioxide of the room, ppm.
    pub room_ppm: f64,
    /// Whether that was given and not taken.
    pub room_given: bool,
    /// What the chamber holds, litres.
    pub volume_l: Option<f64>,
    /// Units for numbers.
    pub system: System,
}

/// Fresh air in cubic metres an hour, where the volume is known.
pub fn airflow_m3_h(of: &Exchange, changes: f64) -> Option<f64> {
    of.volume_l.map(|litres| changes * litres / 1000.0)
}

/// The whole answer as text.
pub fn report(of: &Exchange, look: Look) -> String {
    let judged = &of.judged;
    let mut page = Page::new(look);
    let interval = judged.fit.map(|fit| (fit.low, fit.high));
    let within = |low: String, high: String| format!(" ({low} to {high} with 95 %)");
    page.paragraph(
        0,
        Ink::Strong,
        &format!(
            "{} air changes an hour{}.",
            number(judged.air_changes_per_hour),
            interval.map_or_else(String::new, |(low, high)| within(number(low), number(high)))
        ),
    );
    let flow = |changes: f64| {
        airflow_m3_h(of, changes).map(|flow| show(flow, Unit::CubicMetrePerHour, of.system))
    };
    if let Some(fresh) = flow(judged.air_changes_per_hour) {
        let ends = interval.and_then(|(low, high)| flow(low).zip(flow(high)));
        let ends = ends.map_or_else(String::new, |(low, high)| within(low, high));
        page.paragraph(0, Ink::Strong, &format!("{fresh} of fresh air{ends}."));
    }
    let ppm = |value: f64| show(value, Unit::Ppm, of.system);
    page.paragraph(
        0,
        Ink::Faint,
        &format!(
            "{} in {}, from {} to {}; the room {} {}.",
            counted(judged.points as u64, "reading", "readings"),
            lasting(judged.hours),
            ppm(judged.ends_ppm.0),
            ppm(judged.ends_ppm.1),
            if of.room_given {
                "has"
            } else {
                "is taken to have"
            },
            ppm(of.room_ppm)
        ),
    );
    if let Readings::File { name, fall } = &of.from {
        page.paragraph(0, Ink::Faint, &read_from(name, fall));
    }
    page.heading(Ink::Strong, "What it rests on");
    for check in &judged.checks {
        let (mark, ink) = if check.holds() {
            ("+", Ink::Good)
        } else {
            ("!", Ink::Care)
        };
        page.entry(0, mark, ink, &said(check));
    }
    if let Some(scatter) = judged.scatter {
        let text = format!(
            "The readings scatter about the line by {} of what they lie above the room.",
            percent(scatter)
        );
        page.entry(0, "-", Ink::Usual, &text);
    }
    if let Some(off) = judged.meter_off {
        let (ppm_off, share_off) = USUAL_METER;
        let text = format!(
            "A usual meter, good to {} and {:.0} % of what it reads, leaves the result uncertain by ±{} (95 %), the room's \
             air included.",
            ppm(ppm_off),
            100.0 * share_off,
            number(2.0 * off)
        );
        page.entry(0, "-", Ink::Usual, &text);
    }
    if let Some((less, more)) = judged.room_off {
        let covers = match interval {
            Some(_) => " The interval does not cover that, nor a meter that is off.",
            None => "",
        };
        let text = format!(
            "If the room has {} less or more, it is {} or {}.{covers}",
            ppm(ROOM_OFF_PPM),
            number(less),
            number(more)
        );
        page.entry(0, "-", Ink::Usual, &text);
    }
    page.entry(
        0,
        "-",
        Ink::Usual,
        "Nothing in the chamber may give off carbon dioxide meanwhile: take the blocks out, or the result is too low. \
         A small fan inside should mix the air.",
    );
    page.finish()
}

fn read_from(name: &str, fall: &Fall) -> String {
    let mut text = format!("From {name}, {} to {}", fall.from, fall.to);
    let mut left = Vec::new();
    if fall.before > 0 {
        left.push(format!("{} before the top", fall.before));
    }
    if fall.after > 0 {
        left.push(format!(
            "{} after it turned up again or came near the room's level",
            fall.after
        ));
    }
    if fall.unusable > 0 {
        left.push(format!("{} that could not be used", fall.unusable));
    }
    if !left.is_empty() {
        text.push_str(&format!("; left out: {}", left.join(", ")));
    }
    text.push('.');
    if fall.after > 0 {
        text.push_str(" All falls of a long log: `blockside log`.");
    }
    text
}

/// Air changes an hour to a hundredth: as fine as a good fit tells.
fn number(changes: f64) -> String {
    format!("{changes:.2}")
}

/// How an assumption stands, in a sentence.
pub fn said(check: &Check) -> String {
    let ppm = |value: f64| show(value, Unit::Ppm, System::Metric);
    match *check {
        Check::Falls { rises: 0, .. } => "Carbon dioxide falls all the time.".to_owned(),
        Check::Falls { rises, steps } => format!(
            "In {rises} of {steps} steps carbon dioxide rises: somebody breathed near it, or the fan stopped. Use the \
             part that falls."
        ),
        Check::AboveRoom {
            least_ppm,
            wanted_ppm,
        } if check.holds() => format!(
            "All readings lie well above the room, by {} at least; {} would do.",
            ppm(least_ppm),
            ppm(wanted_ppm)
        ),
        Check::AboveRoom {
            least_ppm,
            wanted_ppm,
        } => format!(
            "The lowest reading lies only {} above the room, where the meter's errors count much. Leave out readings \
             less than {} above it.",
            ppm(least_ppm),
            ppm(wanted_ppm)
        ),
        Check::EnoughReadings { points } if check.holds() => {
            format!("{points} readings give an interval.")
        }
        Check::EnoughReadings { .. } => {
            "Two readings give no interval of their own: take five or more.".to_owned()
        }
        Check::Straight {
            first,
            second,
            meet: true,
        } => format!(
            "Both halves of the fall agree: {} and {} an hour.",
            number(first),
            number(second)
        ),
        Check::Straight { first, second, .. } => format!(
            "The halves of the fall differ: {} an hour at first, then {}. {}",
            number(first),
            number(second),
            if second < first {
                "Something goes on giving off carbon dioxide, or the room has more than was said."
            } else {
                "The fan sped up, the chamber was opened wider, or the room has less than was said."
            }
        ),
    }
}
