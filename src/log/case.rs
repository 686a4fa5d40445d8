//! From a log to what a case can be told: readings and signs that lay claim to what the log yields.

use serde_json::Value;

use crate::engine::knowledge::{KnowledgeBase, LogFinding};
use crate::engine::observations::{Answer, Evidence, FromLog, Observations};
use crate::engine::quantity::{Measured, Unit};
use crate::log::analysis::Summary;
use crate::log::findings::Finding;
use crate::log::findings::measures::{self, RestsOn};
use crate::log::settings::{Settings, reading};

/// What the log tells a case: readings and signs by the `log` keys of the knowledge, and every finding with its time and
/// evidence, whether the knowledge has a use for it or not.
pub fn observations(
    base: &KnowledgeBase,
    settings: &Settings,
    summary: &Summary,
    measures: &[measures::Measured],
    findings: &[Finding],
) -> Observations {
    let mut told = Observations::default();
    let named = settings.species.as_ref().filter(|(.., named)| *named);
    told.species = named.map(|(id, ..)| id.clone());
    let named = settings.stage.as_ref().filter(|(.., named)| *named);
    told.stage = named.map(|(id, ..)| id.clone());
    // Which entries rest on each finding.
    let mut resting: Vec<(LogFinding, String)> = Vec::new();
    let mut ordinary = Vec::new();
    for one in measures {
        let Some((id, reading)) = reading(base, one.measure) else {
            continue;
        };
        let (least, most) = reading.believable;
        let measured = Measured {
            value: rounded(one.value, reading.unit).clamp(least, most),
            tolerance: None,
        };
        told.readings.insert(id.clone(), measured);
        match &one.rests_on {
            RestsOn::Finding(finding) => resting.push((*finding, id.to_string())),
            RestsOn::Values {
                text,
                span,
                evidence,
            } => ordinary.push(FromLog {
                id: one.measure.name().to_owned(),
                text: text.clone(),
                from: span.0.iso(summary.instants),
                to: span.1.iso(summary.instants),
                told: vec![id.to_string()],
                evidence: table(evidence),
            }),
            RestsOn::Given => {}
        }
    }
    let found = |wanted: &LogFinding| findings.iter().any(|finding| finding.id == *wanted);
    for (id, sign) in &base.signs {
        // Seen beats not seen: the quick swings of a log may have another reason than its slow ones.
        let seen = sign.log.iter().filter(|wanted| found(wanted));
        let denied = sign.log_against.iter().filter(|wanted| found(wanted));
        let (answer, by): (_, Vec<_>) = match seen.collect::<Vec<_>>() {
            seen if !seen.is_empty() => (Answer::Yes, seen),
            _ => (Answer::No, denied.collect()),
        };
        if by.is_empty() {
            continue;
        }
        told.signs.insert(id.clone(), answer);
        resting.extend(by.into_iter().map(|finding| (*finding, id.to_string())));
    }
    told.from_log = findings
        .iter()
        .map(|finding| FromLog {
            id: finding.id.name().to_owned(),
            text: finding.text.clone(),
            from: finding.from.iso(summary.instants),
            to: finding.to.iso(summary.instants),
            told: resting
                .iter()
                .filter(|(id, _)| *id == finding.id)
                .map(|(_, entry)| entry.clone())
                .collect(),
            evidence: table(&Value::Object(finding.evidence.clone())),
        })
        .chain(ordinary)
        .collect();
    told
}

/// The numbers of a finding as a case keeps them; what is not known is left out.
fn table(value: &Value) -> indexmap::IndexMap<String, Evidence> {
    let known = value.as_object().into_iter().flatten();
    known
        .filter_map(|(name, value)| Some((name.clone(), evidence(value)?)))
        .collect()
}

fn evidence(value: &Value) -> Option<Evidence> {
    Some(match value {
        Value::Null => return None,
        Value::Bool(flag) => Evidence::Flag(*flag),
        Value::Number(number) => match number.as_i64() {
            Some(count) => Evidence::Count(count),
            None => Evidence::Number(number.as_f64()?),
        },
        Value::String(text) => Evidence::Text(text.clone()),
        Value::Array(several) => Evidence::List(several.iter().filter_map(evidence).collect()),
        Value::Object(_) => Evidence::Table(table(value)),
    })
}

/// As fine as a meter shows: whole ppm and lux, tenths of anything else.
fn rounded(value: f64, unit: Unit) -> f64 {
    match unit {
        Unit::Ppm | Unit::Lux => value.round(),
        _ => (value * 10.0).round() / 10.0,
    }
}
