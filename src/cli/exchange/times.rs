//! Readings written on the command line as `TIME=PPM`.

use crate::cli::given::listed;
use crate::engine::quantity::{Unit, parse_reading};
use crate::report::sanitise::short;

/// The longest time after the first reading.
///
/// judgement: even a closed box is at the room's level within days.
const MOST_HOURS: f64 = 240.0;

/// Readings of (hours, ppm), in the order given. A clock that shows less than before has passed midnight.
///
/// # Errors
/// Every reading that cannot be understood, and what to write instead.
pub fn readings(texts: &[String]) -> Result<Vec<(f64, f64)>, String> {
    let mut readings: Vec<(f64, f64)> = Vec::new();
    let mut faults = Vec::new();
    let mut midnights = 0.0;
    for text in texts {
        let Some((time, ppm)) = text.split_once('=') else {
            faults.push(format!(
                "`{}` is no reading; write its time and value as in `0:10=3400`, or name one CSV file alone",
                short(text)
            ));
            continue;
        };
        match (hours(time), concentration(ppm)) {
            (Ok((mut hours, clock)), Ok(ppm)) => {
                hours += 24.0 * midnights;
                if clock && readings.last().is_some_and(|last| hours < last.0) {
                    midnights += 1.0;
                    hours += 24.0;
                }
                readings.push((hours, ppm));
            }
            (time, ppm) => {
                let said = [time.err(), ppm.err()].into_iter().flatten();
                faults.extend(said.map(|said| format!("`{}`: {said}", short(text))));
            }
        }
    }
    if faults.is_empty() {
        Ok(readings)
    } else {
        Err(listed(&faults))
    }
}

/// Hours, and whether they were written as on a clock.
fn hours(text: &str) -> Result<(f64, bool), String> {
    let text = text.trim();
    if text.contains(':') {
        return clock(text)
            .map(|hours| (hours, true))
            .ok_or_else(|| format!("`{}` is no time; write it as 14:05", short(text)));
    }
    // A number alone counts minutes: a fall lasts minutes to an hour or two.
    let alone = text.parse::<f64>().ok().filter(|value| value.is_finite());
    let hours = match alone {
        Some(minutes) => minutes / 60.0,
        None => {
            parse_reading(text, Unit::Hour)
                .map_err(|error| error.to_string())?
                .value
        }
    };
    if hours < 0.0 {
        return Err("a time cannot be less than 0".to_owned());
    }
    if hours > MOST_HOURS {
        return Err(format!(
            "a fall does not last longer than {MOST_HOURS} hours"
        ));
    }
    Ok((hours, false))
}

/// Hours of a time such as `14:05` or `14:05:30`.
fn clock(text: &str) -> Option<f64> {
    let parts: Vec<&str> = text.split(':').collect();
    if !(2..=3).contains(&parts.len()) {
        return None;
    }
    let mut hours = 0.0;
    let mut unit = 1.0;
    for (place, part) in parts.iter().enumerate() {
        let digits =
            (1..=2).contains(&part.len()) && part.bytes().all(|byte| byte.is_ascii_digit());
        let most = if place == 0 { 24 } else { 60 };
        let number: u32 = part
            .parse()
            .ok()
            .filter(|&number| digits && number < most)?;
        hours += f64::from(number) / unit;
        unit *= 60.0;
    }
    Some(hours)
}

fn concentration(text: &str) -> Result<f64, String> {
    let ppm = parse_reading(text, Unit::Ppm)
        .map_err(|error| error.to_string())?
        .value;
    // Beyond a tenth of the air nobody could read the meter.
    if !(0.0..=100_000.0).contains(&ppm) {
        return Err("carbon dioxide lies between 0 and 100,000 ppm".to_owned());
    }
    Ok(ppm)
}

#[cfg(test)]
mod tests {
    use super::readings;

    fn read(texts: &[&str]) -> Result<Vec<(f64, f64)>, String> {
        let texts: Vec<String> = texts.iter().map(|text| (*text).to_owned()).collect();
        readings(&texts)
    }

    #[test]
    fn times_are_read_as_growers_write_them() {
        let expected = [(0.0, 5000.0), (0.25, 3400.0), (0.5, 2300.0)];
        for texts in [
            ["0:00=5000", "0:15=3400", "0:30=2300"],
            ["0=5000", "15=3.4k ppm", "30=2,300 ppm"],
            ["0 min=5000", "15 min=3400", "0.5h=2300ppm"],
            ["0:00:00=5000", "0:15:00=3400", "30min=2300"],
        ] {
            assert_eq!(
                read(&texts).as_deref(),
                Ok(expected.as_slice()),
                "{texts:?}"
            );
        }
    }

    #[test]
    fn a_clock_passes_midnight() {
        let found = read(&["23:50=5000", "0:05=3400", "0:20=2300"]).expect("three readings");
        let minutes: Vec<f64> = found.iter().map(|one| (one.0 * 60.0).round()).collect();
        assert_eq!(minutes, [1430.0, 1445.0, 1460.0]);
    }

    #[test]
    fn all_that_is_wrong_is_said_at_once() {
        let said = read(&[
            "5000",
            "25:00=900",
            "0:61=900",
            "5=x",
            "-3=900",
            "99999=800",
        ])
        .expect_err("faults");
        for part in [
            "`5000`",
            "`25:00`",
            "`0:61`",
            "`5=x`",
            "less than 0",
            "240 hours",
        ] {
            assert!(said.contains(part), "{part}: {said}");
        }
    }
}
