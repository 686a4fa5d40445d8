//! From a case to the text of its file.

use indexmap::IndexMap;
use serde::Serialize;

use crate::engine::id::ReadingId;
use crate::engine::knowledge::{KnowledgeBase, Map};
use crate::engine::observations::{Evidence, FromLog};
use crate::engine::quantity::Measured;
use crate::journal::case::{CaseFile, Expect, SCHEMA};

/// A case as it is written.
#[derive(Serialize)]
struct Written {
    schema: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    title: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    from: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    told: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    species: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    stage: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    profile: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    log: Option<String>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    setup: Vec<String>,
    #[serde(skip_serializing_if = "Map::is_empty")]
    signs: Map<String, &'static str>,
    #[serde(skip_serializing_if = "Map::is_empty")]
    readings: Map<String, String>,
    #[serde(skip_serializing_if = "Map::is_empty")]
    people: Map<String, &'static str>,
    #[serde(rename = "from-log", skip_serializing_if = "Vec::is_empty")]
    from_log: Vec<WrittenFromLog>,
    #[serde(skip_serializing_if = "Option::is_none")]
    expect: Option<WrittenExpect>,
}

#[derive(Serialize)]
struct WrittenFromLog {
    id: String,
    text: String,
    from: String,
    to: String,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    told: Vec<String>,
    #[serde(skip_serializing_if = "IndexMap::is_empty")]
    evidence: IndexMap<String, Evidence>,
}

#[derive(Serialize)]
struct WrittenExpect {
    leads: Vec<String>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    among: Vec<String>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    not: Vec<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    root: Option<String>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    cautions: Vec<String>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    actions: Vec<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    missed: Option<String>,
}

/// The case as a file; reading it gives the case back, tolerances to fourteen digits.
pub fn to_toml(base: &KnowledgeBase, case: &CaseFile) -> String {
    let told = &case.observations;
    // What the profile tells is not written down a second time beside its name.
    let own = |id: &str| case.profile.is_none() || !told.from_profile.contains(id);
    let written = Written {
        schema: SCHEMA,
        title: case.title.clone(),
        from: case.from.clone(),
        told: case.told.clone(),
        species: told.species.as_ref().map(ToString::to_string),
        stage: told.stage.as_ref().map(ToString::to_string),
        profile: case.profile.clone(),
        log: case.log.clone(),
        setup: told
            .setup
            .iter()
            .filter(|(id, _)| own(id.as_str()))
            .map(|(id, holds)| match holds {
                true => id.to_string(),
                false => format!("{id} = no"),
            })
            .collect(),
        signs: told
            .signs
            .iter()
            .filter(|(id, _)| own(id.as_str()))
            .map(|(id, answer)| (id.to_string(), answer.word()))
            .collect(),
        readings: told
            .readings
            .iter()
            .filter(|(id, _)| own(id.as_str()))
            .map(|(id, measured)| (id.to_string(), reading(base, id, measured)))
            .collect(),
        people: told
            .people
            .iter()
            .map(|(id, holds)| (id.to_string(), if *holds { "yes" } else { "no" }))
            .collect(),
        from_log: told.from_log.iter().map(from_log).collect(),
        expect: case.expect.as_ref().map(expect),
    };
    toml::to_string(&written).expect("tables of texts can always be written")
}

fn reading(base: &KnowledgeBase, id: &ReadingId, measured: &Measured) -> String {
    let unit = base
        .readings
        .get(id)
        .map_or("", |reading| reading.unit.symbol());
    let value = format!("{} {unit}", measured.value);
    match measured.tolerance {
        Some(tolerance) => format!("{} ± {}", value.trim_end(), half_width(tolerance)),
        None => value.trim_end().to_owned(),
    }
}

/// The number to write behind `±`: half the width of the rectangle that has this standard deviation.
fn half_width(tolerance: f64) -> f64 {
    let exact = tolerance * 3.0_f64.sqrt();
    // Fourteen digits: what was typed as 3 is written as 3 again, not as 2.9999999999999996.
    format!("{exact:.13e}").parse().unwrap_or(exact)
}

fn from_log(said: &FromLog) -> WrittenFromLog {
    WrittenFromLog {
        id: said.id.clone(),
        text: said.text.clone(),
        from: said.from.clone(),
        to: said.to.clone(),
        told: said.told.clone(),
        evidence: said.evidence.clone(),
    }
}

fn expect(expect: &Expect) -> WrittenExpect {
    WrittenExpect {
        leads: texts(&expect.leads),
        among: texts(&expect.among),
        not: texts(&expect.not),
        root: expect.root.as_ref().map(ToString::to_string),
        cautions: texts(&expect.cautions),
        actions: texts(&expect.actions),
        missed: expect.missed.clone(),
    }
}

fn texts(ids: &[impl ToString]) -> Vec<String> {
    ids.iter().map(ToString::to_string).collect()
}
