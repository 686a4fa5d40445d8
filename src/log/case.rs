//! From a log to what a case can be told: readings and signs that lay claim to what the log yields.

use crate::engine::knowledge::KnowledgeBase;
use crate::engine::observations::{Answer, Observations};
use crate::engine::quantity::{Measured, Unit};
use crate::log::findings::Finding;
use crate::log::settings::{Settings, reading};

/// What the log tells a case. Which reading or sign takes what is said by the `log` keys of the knowledge.
pub fn observations(
    base: &KnowledgeBase,
    settings: &Settings,
    measures: &[(crate::engine::knowledge::Measure, f64)],
    findings: &[Finding],
) -> Observations {
    let mut told = Observations::default();
    let named = settings.species.as_ref().filter(|(.., named)| *named);
    told.species = named.map(|(id, ..)| id.clone());
    let named = settings.stage.as_ref().filter(|(.., named)| *named);
    told.stage = named.map(|(id, ..)| id.clone());
    for (measure, value) in measures {
        if let Some((id, reading)) = reading(base, *measure) {
            let (least, most) = reading.believable;
            let measured = Measured {
                value: rounded(*value, reading.unit).clamp(least, most),
                tolerance: None,
            };
            told.readings.insert(id.clone(), measured);
        }
    }
    for (id, sign) in &base.signs {
        let shown = sign
            .log
            .is_some_and(|wanted| findings.iter().any(|finding| finding.id == wanted));
        if shown {
            told.signs.insert(id.clone(), Answer::Yes);
        }
    }
    told
}

/// As fine as a meter shows: whole ppm and lux, tenths of anything else.
fn rounded(value: f64, unit: Unit) -> f64 {
    match unit {
        Unit::Ppm | Unit::Lux => value.round(),
        _ => (value * 10.0).round() / 10.0,
    }
}
