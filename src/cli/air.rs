//! `air`: moist air from any two of temperature, humidity, dew point and wet bulb.

use crate::cli::args::{AirArgs, Format};
use crate::cli::exit::{Exit, Failure, Outcome};
use crate::cli::given::listed;
use crate::cli::session::Session;
use crate::engine::climate::pair::{Given, PRESSURES_PA, TEMPERATURES_C, air, believable};
use crate::engine::climate::{SEA_LEVEL_PA, pressure_at_height_pa};
use crate::engine::quantity::{Measured, Unit, parse_reading};
use crate::report::air::{Asked, report};
use crate::report::json;

/// Heights that are worked with, in metres.
///
/// judgement: the lowest and nearly the highest places where people live.
const HEIGHTS_M: (f64, f64) = (-500.0, 5_000.0);

/// Air speeds that are worked with, in metres a second.
///
/// judgement: from air that stands to a fan that blows straight at the caps.
const SPEEDS_M_S: (f64, f64) = (0.0, 20.0);

/// Any humidity is read; what there cannot be has a message of its own.
const ANY: (f64, f64) = (f64::NEG_INFINITY, f64::INFINITY);

/// Carries out the command.
///
/// # Errors
/// Where an option is wrong, or two of them contradict each other (wrong use).
pub fn run(args: &AirArgs, session: &Session) -> Outcome {
    let mut faults = Vec::new();
    let mut read = |option: &str, text: Option<&String>, unit, range| {
        let text = text?;
        value(option, text, unit, range)
            .map_err(|fault| faults.push(fault))
            .ok()
    };
    let celsius = Unit::Celsius;
    let temperature = read(
        "--temperature",
        args.temperature.as_ref(),
        celsius,
        TEMPERATURES_C,
    );
    let humidity = read("--humidity", args.humidity.as_ref(), Unit::Percent, ANY);
    let dew_point = read(
        "--dew-point",
        args.dew_point.as_ref(),
        celsius,
        TEMPERATURES_C,
    );
    let wet_bulb = read(
        "--wet-bulb",
        args.wet_bulb.as_ref(),
        celsius,
        TEMPERATURES_C,
    );
    let pressure = read(
        "--pressure",
        args.pressure.as_ref(),
        Unit::Pascal,
        PRESSURES_PA,
    );
    let altitude = read("--altitude", args.altitude.as_ref(), Unit::Metre, HEIGHTS_M);
    let surface = read("--surface", args.surface.as_ref(), celsius, TEMPERATURES_C);
    let speed = read(
        "--air-speed",
        args.air_speed.as_ref(),
        Unit::MetrePerSecond,
        SPEEDS_M_S,
    );
    let at: Vec<f64> = args
        .at
        .iter()
        .filter_map(|text| read("--at", Some(text), celsius, TEMPERATURES_C))
        .map(|measured| measured.value)
        .collect();
    if !faults.is_empty() {
        return Err(Failure::usage(listed(&faults)));
    }
    let pressure_pa = match (pressure, altitude) {
        (Some(pressure), _) => pressure.value,
        (None, Some(height)) => pressure_at_height_pa(height.value),
        (None, None) => SEA_LEVEL_PA,
    };
    let of = |part: fn(Measured) -> Option<f64>| Given {
        temperature_c: temperature.and_then(part),
        humidity_percent: humidity.and_then(part),
        dew_point_c: dew_point.and_then(part),
        wet_bulb_c: wet_bulb.and_then(part),
    };
    let given = of(|measured| Some(measured.value));
    let asked = Asked {
        air: air(given, pressure_pa).map_err(|error| Failure::usage(error.to_string()))?,
        given,
        deviations: of(|measured| measured.tolerance),
        surface_c: surface.map(|measured| measured.value),
        speed_m_s: speed.map(|measured| measured.value),
        at,
        system: session.system,
    };
    match session.format {
        Format::Json => session.write_json(&json::air(&asked))?,
        Format::Text => session.write(&report(&asked, session.look))?,
    }
    Ok(Exit::Done)
}

/// A value given as an option, in its unit and within a range.
///
/// # Errors
/// What is wrong with it, with the option's name.
pub(crate) fn value(
    option: &str,
    text: &str,
    unit: Unit,
    range: (f64, f64),
) -> Result<Measured, String> {
    let fault = |said: String| format!("{option}: {said}");
    let measured = parse_reading(text, unit).map_err(|error| fault(error.to_string()))?;
    believable(measured.value, unit, range).map_err(fault)?;
    Ok(measured)
}
