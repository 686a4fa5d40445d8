//! A humidity sensor over wet salt as JSON.

use schemars::JsonSchema;
use serde::Serialize;

use crate::engine::salts::{Salt, Verdict};
use crate::report::json::rounded;
use crate::report::sensor::{Checked, verdict};

/// The version of the sensor check as JSON.
pub const SENSOR_SCHEMA: &str = "blockside.sensor/1";

/// A check, or the table of salts.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct SensorCheckReport {
    /// The contract and its version.
    pub schema: &'static str,
    /// Points that the sensor may be off; none for the table.
    pub tolerance_percent: Option<f64>,
    /// The sensor over each salt; empty for the table.
    pub points: Vec<PointReport>,
    /// From what it shows to what is true; none for the table.
    pub correction: Option<CorrectionReport>,
    /// Readings that were to be corrected.
    pub corrected: Vec<CorrectedReport>,
    /// Which salt holds which humidity; empty for a check.
    pub salts: Vec<SaltReport>,
}

/// The sensor over one salt.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct PointReport {
    /// The salt.
    pub salt: &'static str,
    /// How warm the jar was, °C.
    pub temperature_c: f64,
    /// What the humidity was.
    pub expected_percent: f64,
    /// What the sensor showed.
    pub reads_percent: f64,
    /// By how many points it shows too much.
    pub offset_percent: f64,
    /// How far the offset may be off, with about 95 %.
    pub uncertainty_percent: f64,
    /// How it stands: within, beyond, unclear.
    pub verdict: &'static str,
    /// The same in words.
    pub text: String,
}

/// From what a sensor shows to what is true: `intercept_percent + slope * shown`.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct CorrectionReport {
    /// True points for each point shown; 1 where only one salt was used.
    pub slope: f64,
    /// What is true where it shows nought.
    pub intercept_percent: f64,
}

/// A reading with what is true by the check.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct CorrectedReport {
    /// What the sensor shows.
    pub reads_percent: f64,
    /// What is true then.
    pub true_percent: f64,
}

/// The humidity above a salt.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct SaltReport {
    /// The salt.
    pub salt: &'static str,
    /// What it is called.
    pub name: &'static str,
    /// At which temperature, °C.
    pub temperature_c: f64,
    /// The humidity.
    pub expected_percent: f64,
    /// The uncertainty as printed in the source.
    pub uncertainty_percent: f64,
}

/// A check as the contract has it.
pub fn sensor(of: &Checked) -> SensorCheckReport {
    let points = of.points.iter().map(|point| PointReport {
        salt: point.salt.id,
        temperature_c: rounded(point.temperature_c),
        expected_percent: rounded(point.expected_percent),
        reads_percent: rounded(point.reads_percent),
        offset_percent: rounded(point.offset_percent),
        uncertainty_percent: rounded(point.uncertainty_percent),
        verdict: match point.verdict {
            Verdict::Within => "within",
            Verdict::Beyond => "beyond",
            Verdict::Unclear => "unclear",
        },
        text: verdict(point, of.tolerance),
    });
    let corrected = of.corrected.iter().map(|one| CorrectedReport {
        reads_percent: rounded(one.reads_percent),
        true_percent: rounded(one.true_percent),
    });
    SensorCheckReport {
        schema: SENSOR_SCHEMA,
        tolerance_percent: Some(rounded(of.tolerance)),
        points: points.collect(),
        correction: Some(CorrectionReport {
            slope: rounded(of.correction.slope),
            intercept_percent: rounded(of.correction.intercept_percent),
        }),
        corrected: corrected.collect(),
        salts: Vec::new(),
    }
}

/// The table of salts as the contract has it.
pub fn salts(salts: &[&Salt], temperatures_c: &[f64]) -> SensorCheckReport {
    let rows = salts.iter().flat_map(|salt| {
        temperatures_c.iter().map(|&temperature_c| SaltReport {
            salt: salt.id,
            name: salt.name,
            temperature_c: rounded(temperature_c),
            expected_percent: rounded(salt.humidity_percent(temperature_c)),
            uncertainty_percent: rounded(salt.uncertainty_percent(temperature_c)),
        })
    });
    SensorCheckReport {
        schema: SENSOR_SCHEMA,
        tolerance_percent: None,
        points: Vec::new(),
        correction: None,
        corrected: Vec::new(),
        salts: rows.collect(),
    }
}
