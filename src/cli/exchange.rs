//! `exchange`: air changes from a fall of carbon dioxide.

mod times;

use std::path::Path;

use crate::cli::air::value;
use crate::cli::args::{ExchangeArgs, Format};
use crate::cli::exit::{Exit, Failure, Outcome};
use crate::cli::log::{measured, name_of, open};
use crate::cli::session::Session;
use crate::engine::exchange::judged::judge;
use crate::engine::knowledge::Measure;
use crate::engine::quantity::Unit;
use crate::log::channel::Channel;
use crate::log::fall;
use crate::log::settings::Settings;
use crate::report::exchange::{Exchange, Readings, report};
use crate::report::json;

/// Volumes that are worked with, in litres.
///
/// judgement: from a jar to a hall.
const VOLUMES_L: (f64, f64) = (0.1, 1e7);

/// Carries out the command.
///
/// # Errors
/// Where an option or reading is wrong or readings given here are no fall (wrong use), or a file shows none (could not
/// finish).
pub fn run(args: &ExchangeArgs, session: &Session) -> Outcome {
    let base = session.base()?;
    let settings =
        Settings::new(base, None, None).map_err(|error| Failure::unable(error.to_string()))?;
    let room = measured(base, Measure::OutsideCo2, "--room", args.room.as_deref())?;
    let Some(room_ppm) = room.or(settings.outside_ppm) else {
        return Err(Failure::usage(
            "say what the room's air holds: --room \"450 ppm\"",
        ));
    };
    let volume_l = args.volume.as_deref();
    let volume_l = volume_l
        .map(|text| value("--volume", text, Unit::Litre, VOLUMES_L))
        .transpose()
        .map_err(Failure::usage)?
        .map(|measured| measured.value);
    let tolerance = settings
        .channel(Channel::Co2)
        .map_or(0.0, |one| one.tolerance);
    let (from, judged) = match args.readings.as_slice() {
        [file] if !file.contains('=') || Path::new(file).is_file() => {
            let path = Path::new(file);
            let name = name_of(path);
            let unable =
                |said: String| Failure::unable(format!("`{name}` gives no air change: {said}"));
            let (rows, _) = open(path, &args.how, &settings, session)?;
            let fall =
                fall::read(rows, &settings, room_ppm).map_err(|error| unable(error.to_string()))?;
            if fall.points.len() < 2 {
                let said = if fall.points.is_empty() {
                    "no reading lies above the room's level; see whether --room is right"
                } else if fall.after == 0 {
                    "carbon dioxide is highest at its last reading, so nothing falls"
                } else {
                    "after its highest reading carbon dioxide does not fall step by step, or is at the room's level \
                     at once; log more often"
                };
                return Err(unable(said.to_owned()));
            }
            let judged = judge(&fall.points, room_ppm, tolerance)
                .map_err(|error| unable(error.to_string()))?;
            (Readings::File { name, fall }, judged)
        }
        texts => {
            let readings = times::readings(texts).map_err(Failure::usage)?;
            let judged = judge(&readings, room_ppm, tolerance)
                .map_err(|error| Failure::usage(error.to_string()))?;
            (Readings::Here, judged)
        }
    };
    let found = Exchange {
        from,
        judged,
        room_ppm,
        room_given: room.is_some(),
        volume_l,
        system: session.system,
    };
    match session.format {
        Format::Json => session.write_json(&json::exchange(&found))?,
        Format::Text => session.write(&report(&found, session.look))?,
    }
    Ok(Exit::Done)
}
