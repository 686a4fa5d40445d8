//! Logs by chance: statistics by their definitions, files in pieces, whatever may stand in a row.

use std::io::{self, Read};

use blockside::engine::knowledge::KnowledgeBase;
use blockside::engine::quantity::System;
use blockside::journal::case::{CaseFile, parse, to_toml};
use blockside::knowledge::embedded;
use blockside::log::analysis::{Analysed, Summary, analyse};
use blockside::log::case::observations;
use blockside::log::channel::Channel;
use blockside::log::findings::findings;
use blockside::log::findings::measures::measures;
use blockside::log::opening::Said;
use blockside::log::rows::Rows;
use blockside::log::settings::Settings;
use blockside::log::zone::Zone;
use blockside::report::json;
use proptest::prelude::{any, prop};
use proptest::{prop_assert, prop_assert_eq, proptest};

fn base() -> &'static KnowledgeBase {
    static BASE: std::sync::OnceLock<KnowledgeBase> = std::sync::OnceLock::new();
    BASE.get_or_init(embedded::lean)
}

fn settings() -> Settings {
    let mut settings = Settings::new(base(), None, None).expect("logs can be judged");
    settings.surface_c = Some(17.0);
    settings
}

fn read(source: impl Read) -> Option<Box<Summary>> {
    let settings = settings();
    let rows = Rows::open(source, &Said::default(), Zone::as_written(), &settings).ok()?;
    match analyse(rows, &settings, |_| {}).expect("memory can be read") {
        Analysed::Read(summary) => Some(summary),
        Analysed::Nothing(_) => None,
    }
}

/// Gives what it holds in pieces of so many bytes.
struct Slowly<'a>(&'a [u8], usize);

impl Read for Slowly<'_> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        let count = self.1.min(self.0.len()).min(buffer.len());
        let (now, later) = self.0.split_at(count);
        buffer[..count].copy_from_slice(now);
        self.0 = later;
        Ok(count)
    }
}

/// The statistics from their definitions: sorted values, weights beside them.
fn plainly(rows: &[(i64, f64)], gap_ms: i64) -> (f64, [f64; 3], f64) {
    let step = |pair: &[(i64, f64)]| {
        let step = pair[1].0 - pair[0].0;
        if step <= gap_ms { step as f64 } else { 0.0 }
    };
    let steps: Vec<f64> = rows.windows(2).map(step).collect();
    let mut weighed: Vec<(f64, f64)> = (0..rows.len())
        .map(|at| {
            let before = if at > 0 { steps[at - 1] } else { 0.0 };
            let after = steps.get(at).copied().unwrap_or(0.0);
            (rows[at].1, (before + after) / 2.0)
        })
        .collect();
    let total: f64 = weighed.iter().map(|one| one.1).sum();
    let mean = weighed.iter().map(|one| one.0 * one.1).sum::<f64>() / total;
    weighed.sort_by(|a, b| a.0.total_cmp(&b.0));
    let quantile = |share: f64| {
        let mut sum = 0.0;
        let found = weighed.iter().find(|(_, weight)| {
            sum += weight;
            *weight > 0.0 && sum >= share * total
        });
        found.expect("there is some weight").0
    };
    (mean, [0.05, 0.5, 0.95].map(quantile), total / 3_600_000.0)
}

proptest! {
    #[test]
    fn statistics_are_those_of_their_definitions(
        steps in prop::collection::vec((1_i64..400, 0_u32..10_000), 2..200)
    ) {
        let mut text = "time,rh %\n".to_owned();
        let mut at = 1_772_600_000_i64;
        let mut rows = Vec::new();
        for (step, hundredths) in steps {
            at += step;
            let value = f64::from(hundredths) / 100.0;
            text.push_str(&format!("{at},{value}\n"));
            rows.push((at * 1000, value));
        }
        let summary = read(text.as_bytes()).expect("a log");
        let statistics = summary.of(Channel::Humidity).expect("humidity");
        let (mean, quantiles, hours) = plainly(&rows, summary.gap_ms);
        prop_assert!((statistics.mean - mean).abs() < 1e-9);
        prop_assert!((statistics.hours - hours).abs() < 1e-9);
        for (ours, plain) in statistics.quantiles.iter().zip(quantiles) {
            prop_assert!((ours - plain).abs() < 1e-9, "{} {}", ours, plain);
        }
    }

    #[test]
    fn it_does_not_matter_in_which_pieces_a_file_arrives(piece in 1_usize..5000) {
        let text = crate::log_made::faults();
        let whole = read(text.as_bytes()).expect("a log");
        let slowly = read(Slowly(text.as_bytes(), piece)).expect("a log");
        let settings = settings();
        let system = blockside::engine::quantity::System::Metric;
        let told = |summary: &Summary| {
            json::log(summary, &settings, &findings(summary, &settings, system))
        };
        prop_assert_eq!(told(&whole), told(&slowly));
    }

    #[test]
    fn whatever_stands_in_a_file_every_row_is_used_or_counted(
        lines in prop::collection::vec("[0-9:;,.\" TCF%a-z\u{b0}-]{0,40}|2026-03-0[1-9] [0-2][0-9]:[0-5][0-9],[0-9]{1,3},[0-9]{1,3}", 0..60),
        tail in any::<Vec<u8>>(),
    ) {
        let mut text = "time,temp c,rh\n".to_owned().into_bytes();
        for line in &lines {
            text.extend_from_slice(line.as_bytes());
            text.push(b'\n');
        }
        text.extend_from_slice(&tail);
        if let Some(summary) = read(text.as_slice()) {
            let left_out = summary.left_out.total_rows();
            prop_assert_eq!(summary.rows, summary.used + left_out);
            prop_assert!(summary.end.at_ms >= summary.start.at_ms);
            let settings = settings();
            let found = findings(&summary, &settings, System::Imperial);
            for finding in &found {
                prop_assert!(finding.from.at_ms <= finding.to.at_ms);
            }
            let measured = measures(&summary, &settings, &found, System::Imperial);
            for one in &measured {
                prop_assert!(one.value.is_finite(), "{:?}", one);
            }
            // Whatever was found, the case that is written of it reads back as the same.
            let told = observations(base(), &settings, &summary, &measured, &found);
            prop_assert!(found.len() <= told.from_log.len());
            let case = CaseFile { observations: told, ..CaseFile::default() };
            let written = to_toml(base(), &case);
            let again = parse(base(), "case.toml", &written).ok();
            prop_assert_eq!(again.as_ref(), Some(&case), "{}", written);
        }
    }
}
