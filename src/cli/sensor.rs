//! `sensor`: a humidity sensor over wet salt, and which salt holds which humidity.

use crate::cli::air::value;
use crate::cli::args::{Format, SensorArgs};
use crate::cli::exit::{Exit, Failure, Outcome};
use crate::cli::given::listed;
use crate::cli::session::Session;
use crate::engine::quantity::{Measured, Unit};
use crate::engine::salts::{Correction, Point, RANGE_C, SALTS, Salt, check};
use crate::knowledge::problem::nearest;
use crate::report::json;
use crate::report::sanitise::short;
use crate::report::sensor::{Checked, Corrected, report, table};

/// Points that a sensor may be off where nobody says.
///
/// # Source
/// What makers of common chips promise from 20 to 80 %, common practice; above 90 % one of them is quoted with 6.
const USUAL_TOLERANCE: f64 = 3.0;

/// Humidities a sensor can show, in percent; a wet one shows a little more than there can be.
const SHOWN_PERCENT: (f64, f64) = (0.0, 110.0);

/// Temperatures of the table where nobody names one, °C.
const USUAL_TEMPERATURES_C: [f64; 5] = [10.0, 15.0, 20.0, 25.0, 30.0];

/// Carries out the command.
///
/// # Errors
/// Where an option is wrong or missing (wrong use).
pub fn run(args: &SensorArgs, session: &Session) -> Outcome {
    let mut faults = Vec::new();
    let salts: Vec<&'static Salt> = kept(args.salt.iter().map(|text| salt(text)), &mut faults);
    let mut read = |option: &str, texts: &[String], unit, range| -> Vec<Measured> {
        kept(
            texts.iter().map(|text| value(option, text, unit, range)),
            &mut faults,
        )
    };
    let temperatures = read("--temperature", &args.temperature, Unit::Celsius, RANGE_C);
    let reads = read("--reads", &args.reads, Unit::Percent, SHOWN_PERCENT);
    let correct = read("--correct", &args.correct, Unit::Percent, SHOWN_PERCENT);
    let tolerance: Vec<String> = args.tolerance.iter().cloned().collect();
    let tolerance = read("--tolerance", &tolerance, Unit::Percent, (0.1, 50.0));
    let tolerance = tolerance.first().map_or(USUAL_TOLERANCE, |one| one.value);
    if !faults.is_empty() {
        return Err(Failure::usage(listed(&faults)));
    }
    if reads.is_empty() && correct.is_empty() && args.tolerance.is_none() {
        let temperatures: Vec<f64> = match temperatures.as_slice() {
            [] => USUAL_TEMPERATURES_C.to_vec(),
            given => given.iter().map(|one| one.value).collect(),
        };
        let salts = if salts.is_empty() {
            SALTS.iter().collect()
        } else {
            salts
        };
        match session.format {
            Format::Json => session.write_json(&json::salts(&salts, &temperatures))?,
            Format::Text => {
                session.write(&table(&salts, &temperatures, session.system, session.look))?;
            }
        }
        return Ok(Exit::Done);
    }
    fitting(&salts, &temperatures, &reads).map_err(Failure::usage)?;
    let points: Vec<Point> = salts
        .iter()
        .zip(&reads)
        .enumerate()
        .map(|(place, (salt, reads))| {
            let temperature = temperatures.get(place).unwrap_or(&temperatures[0]);
            check(
                salt,
                temperature.value,
                reads.value,
                reads.tolerance,
                tolerance,
            )
        })
        .collect();
    let correction = match points.as_slice() {
        [one, other] => Correction::of_two(one, other).ok_or_else(|| {
            Failure::usage(
                "the sensor does not show more over the damper salt, so no line leads from what it shows to what is \
                 true; see whether the readings are mixed up, or the sensor is stuck",
            )
        })?,
        [one, ..] => Correction::of_one(one),
        [] => return Err(Failure::usage(NEEDED)),
    };
    let corrected = correct.iter().map(|one| Corrected {
        reads_percent: one.value,
        true_percent: correction.apply(one.value),
    });
    let checked = Checked {
        tolerance,
        correction,
        corrected: corrected.collect(),
        points,
        system: session.system,
    };
    match session.format {
        Format::Json => session.write_json(&json::sensor(&checked))?,
        Format::Text => session.write(&report(&checked, session.look))?,
    }
    Ok(Exit::Done)
}

const NEEDED: &str = "a check needs a salt, how warm the jar is and what the sensor shows, as in \
                      --salt sodium-chloride --temperature 22C --reads \"78 %\"";

/// Those that could be read; what was wrong with the others goes to the faults.
fn kept<T>(results: impl Iterator<Item = Result<T, String>>, faults: &mut Vec<String>) -> Vec<T> {
    let mut kept = Vec::new();
    for result in results {
        match result {
            Ok(one) => kept.push(one),
            Err(fault) => faults.push(fault),
        }
    }
    kept
}

fn salt(text: &str) -> Result<&'static Salt, String> {
    Salt::named(text).ok_or_else(|| {
        let ids = || SALTS.iter().map(|salt| salt.id);
        let near = nearest(&text.trim().to_lowercase(), ids())
            .map_or_else(String::new, |near| format!(" did you mean `{near}`?"));
        let all: Vec<&str> = ids().collect();
        format!(
            "--salt: no salt is called `{}`;{near} there are {}",
            short(text),
            all.join(", ")
        )
    })
}

/// Whether salts, temperatures and readings go together.
fn fitting(
    salts: &[&'static Salt],
    temperatures: &[Measured],
    reads: &[Measured],
) -> Result<(), String> {
    if salts.is_empty() || temperatures.is_empty() || reads.is_empty() {
        return Err(NEEDED.to_owned());
    }
    if salts.len() > 2 {
        return Err("one salt or two; a line has two points".to_owned());
    }
    if salts.len() != reads.len() {
        return Err(format!(
            "{} salts and {} readings do not pair; give one --reads for each --salt",
            salts.len(),
            reads.len()
        ));
    }
    if temperatures.len() != 1 && temperatures.len() != salts.len() {
        return Err("give --temperature once for all, or once for each --salt".to_owned());
    }
    if let [one, other] = salts
        && one.id == other.id
    {
        return Err("a correction from two points needs two different salts".to_owned());
    }
    Ok(())
}
