//! How well stated confidence holds, as text and as JSON.

mod without;

use schemars::JsonSchema;
use serde::Serialize;

use crate::engine::id::CauseId;
use crate::report::json::rounded;
use crate::report::page::{Ink, Look, Page};
pub use crate::report::score::without::{CaseStatements, WithoutReport, statements};

use crate::report::score::without::{without_report, without_text};
use crate::report::words::{listed, percent};
use crate::train::score::{Estimate, Miss, Score};
use crate::train::without::Removal;

/// The version of a score as JSON.
pub const SCORE_SCHEMA: &str = "blockside.score/1";

/// How many cases left out are named without --detail.
const MOST_NAMED: usize = 10;

/// Where the cases came from.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Origin {
    /// Case files.
    Files {
        /// The folder, or nothing for the published cases that came with the program.
        folder: Option<String>,
        /// Files without anything to hold them against, or not written for this knowledge.
        left_out: Vec<String>,
        /// The seed for putting strengths off.
        seed: u64,
        /// By what factor, at most, each strength of the book was put off; 1 for the book as it is.
        off_by: f64,
    },
    /// Cases drawn from the knowledge.
    Simulated {
        /// The seed.
        seed: u64,
        /// By what factor, at most, each strength of the simulator was off.
        off_by: f64,
        /// How many signs could be told, and how many there are.
        tellable: (usize, usize),
        /// Draws dropped because nothing told was seen.
        dropped: usize,
    },
}

/// How well stated confidence holds.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ScoreReport {
    /// The contract and its version.
    pub schema: &'static str,
    /// Fingerprint of the knowledge.
    pub knowledge: String,
    /// Where the cases came from.
    pub origin: Origin,
    /// How many cases were scored.
    pub cases: usize,
    /// Share of cases in which a right cause leads, or rightly nothing is reported.
    pub leads: EstimateReport,
    /// Share of cases in which a right cause is among the first three, or rightly nothing is reported.
    pub first_three: EstimateReport,
    /// Brier score a case, over the reported causes; 1 more where a right cause was wanted and none is reported.
    pub brier: EstimateReport,
    /// Mean square of confidence minus outcome, over all single statements.
    pub brier_each: EstimateReport,
    /// Expected calibration error over the bins.
    pub expected_calibration_error: EstimateReport,
    /// Stated confidence against what was so, tenth by tenth.
    pub reliability: Vec<BinReport>,
    /// Cases in which no right cause leads.
    pub misses: Vec<MissReport>,
    /// What becomes of the cases with each cause taken out of the book in turn, where that was asked for.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub without: Option<WithoutReport>,
    /// Every single statement that was scored, with all digits; with `--detail` alone.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub statements: Option<Vec<CaseStatements>>,
}

/// A number with its 95 % bootstrap interval.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct EstimateReport {
    /// The number.
    pub value: f64,
    /// The lower end.
    pub low: f64,
    /// The upper end.
    pub high: f64,
}

/// One tenth of stated confidence.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct BinReport {
    /// From this confidence up.
    pub from: f64,
    /// Below this one.
    pub to: f64,
    /// How many statements.
    pub count: usize,
    /// Their mean confidence.
    pub stated: f64,
    /// The share that was so.
    pub observed: f64,
    /// The least share that chance leaves in 99 of 100 cases.
    pub expected_low: f64,
    /// The greatest such share.
    pub expected_high: f64,
}

/// A case in which no right cause leads.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct MissReport {
    /// The case.
    pub case: String,
    /// What had to lead.
    pub wanted: Vec<CauseName>,
    /// What led, if anything.
    pub led: Option<CauseName>,
    /// The place of the first right cause among those reported, from 1.
    pub place: Option<usize>,
    /// Why, where the case says so itself.
    pub missed: Option<String>,
}

/// The id of a cause.
pub type CauseName = String;

/// The score as JSON.
pub fn score_report(
    knowledge: &str,
    origin: Origin,
    score: &Score,
    removals: Option<&[Removal]>,
) -> ScoreReport {
    let number = |one: Estimate| EstimateReport {
        value: rounded(one.value),
        low: rounded(one.low),
        high: rounded(one.high),
    };
    // Thousands of drawn cases need no list of their own.
    let listed = matches!(origin, Origin::Files { .. });
    ScoreReport {
        schema: SCORE_SCHEMA,
        knowledge: knowledge.to_owned(),
        origin,
        cases: score.cases,
        leads: number(score.leads),
        first_three: number(score.first_three),
        brier: number(score.brier),
        brier_each: number(score.brier_each),
        expected_calibration_error: number(score.calibration_error),
        reliability: score
            .bins
            .iter()
            .map(|bin| BinReport {
                from: rounded(bin.from),
                to: rounded(bin.to),
                count: bin.count,
                stated: rounded(bin.stated),
                observed: rounded(bin.observed),
                expected_low: rounded(bin.expected_low),
                expected_high: rounded(bin.expected_high),
            })
            .collect(),
        misses: score
            .misses
            .iter()
            .filter(|_| listed)
            .map(|miss| MissReport {
                case: miss.name.clone(),
                wanted: miss.wanted.iter().map(ToString::to_string).collect(),
                led: miss.led.as_ref().map(ToString::to_string),
                place: miss.place,
                missed: miss.reason.clone(),
            })
            .collect(),
        without: removals.map(without_report),
        statements: None,
    }
}

/// The score as text.
pub fn score_text(
    origin: &Origin,
    score: &Score,
    removals: Option<&[Removal]>,
    look: Look,
) -> String {
    let mut page = Page::new(look);
    heading(&mut page, origin, score);
    page.blank();
    let share = |one: Estimate| {
        let (low, high) = (percent(one.low), percent(one.high));
        format!("{} (95 % interval {low} to {high})", percent(one.value))
    };
    let number = |one: Estimate| {
        let Estimate { value, low, high } = one;
        format!("{value:.3} (95 % interval {low:.3} to {high:.3})")
    };
    for (label, text) in [
        ("A right cause leads:", share(score.leads)),
        (
            "A right cause is in the first three:",
            share(score.first_three),
        ),
        (
            "Brier score a case, over reported causes:",
            number(score.brier),
        ),
        ("Brier score a statement:", number(score.brier_each)),
        (
            "Expected calibration error:",
            number(score.calibration_error),
        ),
    ] {
        page.labelled(0, label, &text);
    }
    page.heading(Ink::Strong, "Stated confidence against what was so");
    let rows: Vec<(String, String)> = score
        .bins
        .iter()
        .map(|bin| {
            let name = format!("{:.0} to {:.0} %", bin.from * 100.0, bin.to * 100.0);
            let text = if bin.count == 0 {
                "nothing stated".to_owned()
            } else {
                format!(
                    "{} stated, {:.1} % on average; {:.1} % were so (chance leaves {:.1} to {:.1} %){}",
                    bin.count,
                    bin.stated * 100.0,
                    bin.observed * 100.0,
                    bin.expected_low * 100.0,
                    bin.expected_high * 100.0,
                    if bin.within() { "" } else { " *" }
                )
            };
            (name, text)
        })
        .collect();
    page.columns(&rows);
    if score.bins.iter().any(|bin| !bin.within()) {
        page.paragraph(
            0,
            Ink::Faint,
            "* outside of what chance alone leaves in 99 of 100 cases.",
        );
    }
    if matches!(origin, Origin::Files { .. }) {
        misses(&mut page, &score.misses);
    }
    if let Some(removals) = removals {
        without_text(&mut page, removals);
    }
    page.finish()
}

fn heading(page: &mut Page, origin: &Origin, score: &Score) {
    match origin {
        Origin::Files {
            folder,
            left_out,
            seed,
            off_by,
        } => {
            let of = folder.as_ref().map_or_else(
                || "published cases that came with the program".to_owned(),
                |folder| format!("cases of `{folder}`"),
            );
            page.heading(Ink::Strong, &format!("{} {of}", score.cases));
            if *off_by > 1.0 {
                page.paragraph(
                    0,
                    Ink::Usual,
                    &format!(
                        "Each strength of the book is off by a factor of its own, up to {off_by} times more or less, \
                         seed {seed}."
                    ),
                );
            }
            if !left_out.is_empty() {
                let names = if left_out.len() <= MOST_NAMED || page.look().detail {
                    format!(": {}", listed(left_out))
                } else {
                    String::new()
                };
                page.paragraph(
                    0,
                    Ink::Care,
                    &format!(
                        "Left out, since they expect nothing or name what this knowledge does not have: {} cases{names}.",
                        left_out.len()
                    ),
                );
            }
        }
        Origin::Simulated {
            seed,
            off_by,
            tellable,
            dropped,
        } => {
            page.heading(
                Ink::Strong,
                &format!(
                    "{} cases drawn from the knowledge, seed {seed}",
                    score.cases
                ),
            );
            page.paragraph(
                0,
                Ink::Usual,
                &format!(
                    "Signs are told alone, no readings: {} of {} signs, those that nothing but the network looks at. \
                     {dropped} draws in which nothing told was seen are dropped.",
                    tellable.0, tellable.1
                ),
            );
            let strengths = if *off_by > 1.0 {
                format!(
                    "Each strength of the simulator is off by a factor of its own, up to {off_by} times more or less; \
                     the program keeps those of the knowledge."
                )
            } else {
                "The simulator has the strengths of the knowledge.".to_owned()
            };
            page.paragraph(0, Ink::Usual, &strengths);
        }
    }
}

fn misses(page: &mut Page, misses: &[Miss]) {
    page.heading(Ink::Strong, &format!("Missed: {}", misses.len()));
    for miss in misses {
        let wanted: Vec<&str> = miss.wanted.iter().map(CauseId::as_str).collect();
        let wanted = if wanted.is_empty() {
            "nothing".to_owned()
        } else {
            wanted.join(" or ")
        };
        let led = miss.led.as_ref().map_or("nothing", CauseId::as_str);
        let place = match miss.place {
            Some(place) => format!(", the right one in place {place}"),
            None => String::new(),
        };
        page.entry(
            2,
            "-",
            Ink::Usual,
            &format!("{}: wanted {wanted}, {led} leads{place}", miss.name),
        );
        let reason = miss.reason.as_deref().unwrap_or("no reason is written");
        page.labelled(4, "Why:", reason);
    }
}
