//! Sensor logs.

use std::io::{self, Read};
use std::sync::LazyLock;

use blockside::engine::quantity::System;
use blockside::journal::case::{CaseFile, parse, to_toml};
use blockside::log::analysis::{Analysed, Summary, analyse};
use blockside::log::case::observations;
use blockside::log::channel::Channel;
use blockside::log::findings::findings;
use blockside::log::findings::measures::measures;
use blockside::log::opening::Said;
use blockside::log::rows::{Rows, RowsError};
use blockside::log::settings::Settings;
use blockside::log::stamp::DateOrder;
use blockside::log::zone::Zone;
use blockside::report::json;
use blockside::report::log::{svg, text};

use crate::targets::shown::{BASE, alike, clean, clean_page, is_json, look};

static SETTINGS: LazyLock<Settings> = LazyLock::new(|| {
    let settings = Settings::new(&BASE, None, None);
    settings.expect("the knowledge says what logs are judged by")
});
static ZONE: LazyLock<Zone> = LazyLock::new(|| Zone::named("Europe/Oslo").expect("a zone"));

/// A log is refused, or its numbers hold together; the same comes of it however few bytes arrive at a time. By the
/// length of the text, something is said beforehand of the surface, the zone and the order of dates.
pub fn run(data: &[u8]) {
    let mut settings = SETTINGS.clone();
    let mut said = Said::default();
    let mut zone = Zone::as_written();
    if data.len() % 2 == 1 {
        settings.surface_c = Some(14.5);
        said.order = Some(DateOrder::DayFirst);
    }
    if data.len() % 4 >= 2 {
        zone = ZONE.clone();
    }
    let whole = read(data, &said, zone.clone(), &settings);
    if data.len().is_multiple_of(8) {
        let few = Few(data, 1 + data.len() % 7);
        assert_eq!(whole, read(few, &said, zone, &settings), "in small pieces");
    }
}

/// Some bytes at a time.
struct Few<'a>(&'a [u8], usize);

impl Read for Few<'_> {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        let most = into.len().min(self.1);
        self.0.read(&mut into[..most])
    }
}

/// What is said of a log.
fn read(source: impl Read, said: &Said, zone: Zone, settings: &Settings) -> String {
    let rows = match Rows::open(source, said, zone, settings) {
        Ok(rows) => rows,
        Err(RowsError::Opening(error)) => return error.to_string(),
        Err(RowsError::Io(error)) => panic!("{error}"),
    };
    let summary = match analyse(rows, settings, |_| {}).expect("it can be read") {
        Analysed::Read(summary) => summary,
        Analysed::Nothing(unusable) => {
            assert!(unusable.left_out.total_rows() <= unusable.rows);
            return String::new();
        }
    };
    holds_together(&summary, settings);
    let found = findings(&summary, settings, System::Metric);
    let shown = text::Read {
        name: "log.csv",
        summary: &summary,
        settings,
        findings: &found,
        system: System::Imperial,
    };
    let report = text::report(&shown, None, look());
    clean(&report);
    clean_page(&svg::draw("log.csv", &summary, settings, System::Metric));
    is_json(&json::log(&summary, settings, &found));
    let measured = measures(&summary, settings, &found, System::Metric);
    let case = CaseFile {
        observations: observations(&BASE, settings, &summary, &measured, &found),
        ..CaseFile::default()
    };
    let written = to_toml(&BASE, &case);
    let again = parse(&BASE, "case.toml", &written).expect("the log gives a case");
    alike(&case.observations, &again.observations);
    report
}

fn holds_together(summary: &Summary, settings: &Settings) {
    assert_eq!(summary.used + summary.left_out.total_rows(), summary.rows);
    assert!(summary.used > 0 && summary.start.at_ms <= summary.end.at_ms);
    let whole = (summary.end.at_ms - summary.start.at_ms) as f64 / 3_600_000.0;
    let covered = summary.covered_hours;
    assert!(
        (0.0..=whole * 1.000_001).contains(&covered),
        "{covered} of {whole} hours"
    );
    for channel in Channel::ALL {
        let Some(found) = summary.of(channel) else {
            continue;
        };
        let judged = settings.channel(channel).expect("it was judged");
        let (least, most) = judged.believable;
        let (min, max) = (found.min.0, found.max.0);
        assert!(least <= min && min <= max && max <= most, "{found:?}");
        let slack = channel.resolution() + 1e-6 * most.abs();
        assert!(
            min - slack <= found.mean && found.mean <= max + slack,
            "{found:?}"
        );
        let [low, middle, high] = found.quantiles;
        assert!(low <= middle && middle <= high, "{found:?}");
        assert!(min - slack <= low && high <= max + slack, "{found:?}");
        assert!(
            found.hours >= 0.0 && found.count <= summary.used,
            "{found:?}"
        );
    }
}
