//! The one fall of carbon dioxide that a short file was logged for.

use std::io::{self, Read};

use crate::log::channel::Channel;
use crate::log::rows::Rows;
use crate::log::settings::Settings;
use crate::log::zone::Moment;

/// The most readings of a file for one fall.
///
/// judgement: a reading every second for eleven days; whoever has more wants all falls, which the log report finds.
pub const MOST_READINGS: usize = 1_000_000;

/// A fall read from a file.
#[derive(Debug, Clone, PartialEq)]
pub struct Fall {
    /// Hours since its beginning, and ppm.
    pub points: Vec<(f64, f64)>,
    /// Where it begins.
    pub from: Moment,
    /// Where it is no longer followed.
    pub to: Moment,
    /// Readings before it, while carbon dioxide rose or stood.
    pub before: usize,
    /// Readings after it: turned up again, or too near the room's level.
    pub after: usize,
    /// Readings that could not be used, as the file has them.
    pub unusable: u64,
}

/// Why there is no fall in a file.
#[derive(Debug, thiserror::Error)]
pub enum FallError {
    /// No column, or no value in it.
    #[error("it holds no carbon dioxide that can be used{}", left_out(*.unusable))]
    NoCo2 {
        /// Rows and cells left out.
        unusable: u64,
    },
    /// More than [`MOST_READINGS`].
    #[error("it holds more than {MOST_READINGS} readings; `blockside log` finds the falls in it")]
    TooLong,
    /// The operating system refuses.
    #[error("it cannot be read: {0}")]
    Io(#[from] io::Error),
}

fn left_out(unusable: u64) -> String {
    match unusable {
        0 => String::new(),
        count => format!("; {count} values were left out"),
    }
}

/// Reads the fall from the highest reading of a file on, until carbon dioxide turns up again or comes so near the
/// room's level that the meter's errors count too much.
///
/// # Errors
/// There is no carbon dioxide in it, too much of it, or the operating system refuses.
pub fn read<R: Read>(
    mut rows: Rows<R>,
    settings: &Settings,
    room_ppm: f64,
) -> Result<Fall, FallError> {
    let co2 = Channel::Co2;
    let mut readings: Vec<(Moment, f64)> = Vec::new();
    while let Some(row) = rows.next_row()? {
        let ppm = row.values[co2.index()];
        if ppm.is_nan() {
            continue;
        }
        if readings.len() >= MOST_READINGS {
            return Err(FallError::TooLong);
        }
        readings.push((row.moment, ppm));
    }
    let cells: u64 = rows.left_out().cells[co2.index()]
        .iter()
        .map(|count| count.count)
        .sum();
    let unusable = rows.left_out().total_rows() + cells;
    // Of equal tops the last: the fall begins at its end.
    let top = readings
        .iter()
        .enumerate()
        .max_by(|one, other| one.1.1.total_cmp(&other.1.1))
        .map(|(place, reading)| (place, *reading));
    let Some((before, (from, top_ppm))) = top else {
        return Err(FallError::NoCo2 { unusable });
    };
    let numbers = &settings.numbers;
    let whole = top_ppm - room_ppm;
    let noise = settings.channel(co2).map_or(0.0, |one| one.tolerance);
    let wiggle = (numbers.decay_rebound * whole).max(noise);
    let mut points = Vec::new();
    let (mut low, mut to) = (top_ppm, from);
    for &(moment, ppm) in &readings[before..] {
        if ppm > low + wiggle || ppm - room_ppm <= numbers.decay_end * whole {
            break;
        }
        let hours = (moment.at_ms - from.at_ms) as f64 / 3_600_000.0;
        points.push((hours, ppm));
        low = low.min(ppm);
        to = moment;
    }
    Ok(Fall {
        after: readings.len() - before - points.len(),
        points,
        from,
        to,
        before,
        unusable,
    })
}
