//! The balance of a chamber as JSON.

use std::collections::BTreeMap;

use indexmap::IndexMap;
use schemars::JsonSchema;
use serde::Serialize;

use crate::engine::chamber::balance::{CropFrom, Standing};
use crate::engine::chamber::band::Steady;
use crate::engine::chamber::quantity::Quantity;
use crate::report::balance::{Balanced, hardness, sensor_word, summary, unknowns, verdict};
use crate::report::json::rounded;

/// The version of the balance as JSON.
pub const BALANCE_SCHEMA: &str = "blockside.chamber/1";

/// The balance of a chamber.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct BalanceReport {
    /// The contract and its version.
    pub schema: &'static str,
    /// What the chamber is called.
    pub name: Option<String>,
    /// The species it is judged for.
    pub species: Option<String>,
    /// The stage it is judged for.
    pub stage: Option<String>,
    /// What stands out, the most pressing first.
    pub summary: Vec<String>,
    /// Every number that was given or worked out; the key says what it is and ends in its unit.
    #[schemars(with = "BTreeMap<String, ValueReport>")]
    pub values: IndexMap<&'static str, ValueReport>,
    /// Where the crop's carbon dioxide is from: rise, meter, book or unknown.
    pub crop_from: &'static str,
    /// The entry of the book, where it is from there.
    pub crop_output: Option<String>,
    /// Whether fan and duct meet at more than one flow.
    pub unsteady_fan: bool,
    /// Whether and why the mister does not switch: always-on, always-off.
    pub mister: Option<&'static str>,
    /// How hard the water is: soft, moderately hard, hard, very hard.
    pub water_hardness: Option<&'static str>,
    /// Whether the hardness was told; if not, it is the most it can be by what is dissolved.
    pub water_hardness_told: Option<bool>,
    /// How far the humidity sensor can be believed.
    pub sensor: Option<SensorReport>,
    /// Keys of numbers that were taken because nobody gave them.
    pub taken: Vec<&'static str>,
    /// What is not known, and how to find out.
    pub not_known: Vec<NotKnownReport>,
    /// What it tells a diagnosis.
    pub facts: Vec<FactReport>,
    /// The chamber with the changes that were asked about.
    pub what_if: Option<WhatIfReport>,
}

/// A number.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ValueReport {
    /// The best single value.
    pub value: f64,
    /// Its standard deviation from what was measured and taken.
    pub uncertainty: f64,
    /// The lower end of where it lies with about 95 %; with a range from a book, from one end of that to the other.
    pub low: f64,
    /// The upper end.
    pub high: f64,
    /// How it stands: fine, too-high, too-low; none where there is no limit.
    pub standing: Option<&'static str>,
    /// Whether the whole interval stands alike.
    pub sure: Option<bool>,
    /// The least that is right.
    pub limit_min: Option<f64>,
    /// The greatest that is right.
    pub limit_max: Option<f64>,
    /// How it stands, in words.
    pub verdict: Option<String>,
}

/// How far the humidity sensor can be believed.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct SensorReport {
    /// Whether it hangs where the crop is; none where nobody said where.
    pub at_the_crop: Option<bool>,
    /// What its place does, in words.
    pub place: Option<&'static str>,
    /// One standard deviation of such a sensor, in points of humidity.
    pub uncertainty_percent: f64,
    /// What it is to hold.
    pub says_percent: f64,
    /// The lower end of what the air may hold then, with about 95 %.
    pub low_percent: f64,
    /// The upper end.
    pub high_percent: f64,
}

/// Something that is not known.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct NotKnownReport {
    /// What.
    pub what: String,
    /// How to find out.
    pub how: String,
}

/// A fact for the rule base.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct FactReport {
    /// Reading, setup or sign.
    pub kind: &'static str,
    /// Which.
    pub id: String,
    /// The value of a reading, in its unit.
    pub value: Option<f64>,
    /// Its standard deviation, where it is not the reading's usual one.
    pub uncertainty: Option<f64>,
    /// Its unit.
    pub unit: Option<&'static str>,
    /// Whether a setup item or sign holds.
    pub holds: Option<bool>,
}

/// The chamber with changes.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct WhatIfReport {
    /// The changes as they were asked.
    pub changes: Vec<String>,
    /// What stands out then.
    pub summary: Vec<String>,
    /// The numbers then.
    #[schemars(with = "BTreeMap<String, ValueReport>")]
    pub values: IndexMap<&'static str, ValueReport>,
}

/// The balance as the contract has it.
pub fn balance(now: &Balanced<'_>, then: Option<(&Balanced<'_>, &[String])>) -> BalanceReport {
    let taken = now.balance.taken.iter().map(|(one, _)| one.key()).collect();
    let unknown = unknowns(now).into_iter();
    let output = match &now.balance.crop {
        CropFrom::Book { output, .. } => Some(output.to_string()),
        _ => None,
    };
    BalanceReport {
        schema: BALANCE_SCHEMA,
        name: now.chamber.name.clone(),
        species: now.chamber.species.as_ref().map(ToString::to_string),
        stage: now.chamber.stage.as_ref().map(ToString::to_string),
        summary: sentences(now),
        values: values(now),
        crop_from: match now.balance.crop {
            CropFrom::Rise => "rise",
            CropFrom::Meter => "meter",
            CropFrom::Book { .. } => "book",
            CropFrom::Unknown => "unknown",
        },
        crop_output: output,
        unsteady_fan: now.balance.unsteady_fan,
        mister: now.balance.steady.map(|steady| match steady {
            Steady::AlwaysOn => "always-on",
            Steady::AlwaysOff => "always-off",
        }),
        water_hardness: hardness(now).map(|(class, _)| class.word()),
        water_hardness_told: hardness(now).map(|(_, told)| told),
        sensor: sensor_word(now).map(|word| SensorReport {
            at_the_crop: word.at_the_crop,
            place: word.place,
            uncertainty_percent: rounded(word.deviation_points),
            says_percent: rounded(word.says_percent),
            low_percent: rounded(word.low_percent),
            high_percent: rounded(word.high_percent),
        }),
        taken,
        not_known: unknown
            .map(|(what, how)| NotKnownReport { what, how })
            .collect(),
        facts: facts(now),
        what_if: then.map(|(then, changes)| WhatIfReport {
            changes: changes.to_vec(),
            summary: sentences(then),
            values: values(then),
        }),
    }
}

fn sentences(of: &Balanced<'_>) -> Vec<String> {
    summary(of).into_iter().map(|(_, text)| text).collect()
}

fn values(of: &Balanced<'_>) -> IndexMap<&'static str, ValueReport> {
    let there = |&quantity: &Quantity| Some((quantity, of.balance.get(quantity)?));
    let mut values = IndexMap::new();
    for (quantity, estimate) in Quantity::ALL.iter().filter_map(there) {
        let judged = of.balance.judged(quantity);
        let value = ValueReport {
            value: rounded(estimate.value),
            uncertainty: rounded(estimate.deviation),
            low: rounded(estimate.low),
            high: rounded(estimate.high),
            standing: judged.map(|judged| match judged.standing {
                Standing::Fine => "fine",
                Standing::TooHigh => "too-high",
                Standing::TooLow => "too-low",
            }),
            sure: judged.map(|judged| judged.sure),
            limit_min: judged.and_then(|judged| judged.min),
            limit_max: judged.and_then(|judged| judged.max),
            verdict: judged.map(|judged| verdict(quantity, judged, of.system)),
        };
        values.insert(quantity.key(), value);
    }
    values
}

fn facts(of: &Balanced<'_>) -> Vec<FactReport> {
    let readings = of.facts.readings.iter().map(|(id, measured)| FactReport {
        kind: "reading",
        id: id.to_string(),
        value: Some(rounded(measured.value)),
        uncertainty: measured.tolerance.map(rounded),
        unit: of
            .base
            .readings
            .get(id)
            .map(|reading| reading.unit.symbol()),
        holds: None,
    });
    let yes_or_no = |kind: &'static str, id: String, holds: bool| FactReport {
        kind,
        id,
        value: None,
        uncertainty: None,
        unit: None,
        holds: Some(holds),
    };
    let setup = of.facts.setup.iter();
    let setup = setup.map(|(id, holds)| yes_or_no("setup", id.to_string(), *holds));
    let signs = of.facts.signs.iter();
    let signs = signs.map(|(id, holds)| yes_or_no("sign", id.to_string(), *holds));
    readings.chain(setup).chain(signs).collect()
}
