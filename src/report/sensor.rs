//! A humidity sensor over wet salt as text.

use crate::engine::quantity::{System, Unit, show};
use crate::engine::salts::{Correction, Point, Salt, Verdict};
use crate::report::page::{Ink, Look, Page};
use crate::report::words::sentence;

/// A reading with what is true by the check.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Corrected {
    /// What the sensor shows, percent.
    pub reads_percent: f64,
    /// What is true then, percent.
    pub true_percent: f64,
}

/// A check that was made.
#[derive(Debug, Clone)]
pub struct Checked {
    /// One point, or two.
    pub points: Vec<Point>,
    /// Points that the sensor may be off.
    pub tolerance: f64,
    /// From what it shows to what is true.
    pub correction: Correction,
    /// Readings that were to be corrected.
    pub corrected: Vec<Corrected>,
    /// Units for numbers.
    pub system: System,
}

/// The verdict on one point in a sentence.
pub fn verdict(point: &Point, allowed: f64) -> String {
    let tolerance = points(allowed);
    match point.verdict {
        Verdict::Within => format!("It keeps within {tolerance}."),
        Verdict::Beyond => format!(
            "It is off by more than {tolerance}: correct what it shows, or dry it out for a day, check again, and \
             replace it if it stays off."
        ),
        Verdict::Unclear => format!(
            "It is {} {tolerance}, but so near that this check cannot be sure. Give the jar a night and read again.",
            if point.offset_percent.abs() <= allowed {
                "probably within"
            } else {
                "probably off by more than"
            }
        ),
    }
}

/// A number of points of humidity.
fn points(value: f64) -> String {
    let text = show(value, Unit::Count, System::Metric);
    let tenths = format!("{value:.1}");
    let text = if tenths.ends_with(".0") { text } else { tenths };
    format!("{text} {}", if text == "1" { "point" } else { "points" })
}

fn tenth(value: f64) -> String {
    format!("{value:.1} %")
}

/// The whole answer as text.
pub fn report(of: &Checked, look: Look) -> String {
    let mut page = Page::new(look);
    for point in &of.points {
        page.heading(
            Ink::Strong,
            &format!(
                "Over {} at {}",
                point.salt.name,
                show(point.temperature_c, Unit::Celsius, of.system)
            ),
        );
        let side = if point.offset_percent < 0.0 {
            "too little"
        } else {
            "too much"
        };
        let rows = [
            ("should show", tenth(point.expected_percent)),
            ("shows", tenth(point.reads_percent)),
            (
                "off by",
                format!(
                    "{} {side}, give or take {}",
                    points(point.offset_percent.abs()),
                    format_args!("{:.1}", point.uncertainty_percent)
                ),
            ),
        ];
        let rows: Vec<(String, String)> = rows
            .into_iter()
            .map(|(name, text)| (format!("  {name}"), text))
            .collect();
        page.columns(&rows);
        let (mark, ink) = match point.verdict {
            Verdict::Within => ("+", Ink::Good),
            Verdict::Beyond => ("!", Ink::Care),
            Verdict::Unclear => ("?", Ink::Care),
        };
        page.entry(0, mark, ink, &verdict(point, of.tolerance));
    }
    page.heading(Ink::Strong, "What is true");
    let Correction {
        slope,
        intercept_percent,
    } = of.correction;
    if of.points.len() == 2 {
        let text = format!(
            "Multiply what it shows by {slope:.3} and {} {:.1}.",
            if intercept_percent < 0.0 {
                "take off"
            } else {
                "add"
            },
            intercept_percent.abs()
        );
        page.entry(0, "-", Ink::Usual, &text);
    } else {
        let text = format!(
            "{} {:.1} {} what it shows. One salt says nothing of how it runs elsewhere: far from {}, check with a \
             second salt.",
            if intercept_percent < 0.0 {
                "Take"
            } else {
                "Add"
            },
            intercept_percent.abs(),
            if intercept_percent < 0.0 {
                "from"
            } else {
                "to"
            },
            tenth(
                of.points
                    .first()
                    .map_or(0.0, |point| point.expected_percent)
            ),
        );
        page.entry(0, "-", Ink::Usual, &text);
    }
    for one in &of.corrected {
        let text = format!(
            "Where it shows {}, the air has about {}.",
            tenth(one.reads_percent),
            tenth(one.true_percent)
        );
        page.entry(0, "-", Ink::Usual, &text);
    }
    page.blank();
    page.paragraph(0, Ink::Faint, HOW);
    page.finish()
}

const HOW: &str = "The check holds for a wet slurry with salt left undissolved, in a small closed jar, the sensor above \
                   it and touching nothing, all at one temperature for a night. One degree between sensor and slurry \
                   costs about five points. Label the jar, wear gloves, and taste nothing.";

/// Which salt holds which humidity, as text.
pub fn table(salts: &[&Salt], temperatures_c: &[f64], system: System, look: Look) -> String {
    let mut page = Page::new(look);
    page.paragraph(
        0,
        Ink::Strong,
        "The humidity above a wet salt in a closed jar, and how far it may be off",
    );
    for salt in salts {
        page.blank();
        page.paragraph(
            0,
            Ink::Strong,
            &format!(
                "{} (--salt {})",
                sentence(salt.name).trim_end_matches('.'),
                salt.id
            ),
        );
        page.paragraph(
            2,
            Ink::Faint,
            &sentence(&format!("sold as {}", salt.sold_as)),
        );
        let rows: Vec<(String, String)> = temperatures_c
            .iter()
            .map(|&t| {
                let humidity = format!(
                    "{:.1} %, ± {:.1}",
                    salt.humidity_percent(t),
                    salt.uncertainty_percent(t)
                );
                (format!("  {}", show(t, Unit::Celsius, system)), humidity)
            })
            .collect();
        page.columns(&rows);
    }
    page.blank();
    page.paragraph(
        0,
        Ink::Usual,
        "For a fruiting chamber take table salt and potassium chloride: the air lies between or just above them.",
    );
    page.paragraph(0, Ink::Faint, HOW);
    page.finish()
}
