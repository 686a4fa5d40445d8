//! Air changes as JSON.

use schemars::JsonSchema;
use serde::Serialize;

use crate::report::exchange::{Exchange, Readings, airflow_m3_h, said};
use crate::report::json::rounded;

/// The version of air changes as JSON.
pub const EXCHANGE_SCHEMA: &str = "blockside.exchange/1";

/// Air changes from a fall of carbon dioxide.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ExchangeReport {
    /// The contract and its version.
    pub schema: &'static str,
    /// Air changes an hour.
    pub air_changes_per_hour: f64,
    /// The lower end of the 95 % interval; none for two readings.
    pub low: Option<f64>,
    /// The upper end.
    pub high: Option<f64>,
    /// Readings used.
    pub points: usize,
    /// Standard error of the air changes an hour.
    pub standard_error: Option<f64>,
    /// Standard deviation that a usual meter leaves to two readings, ±(30 ppm + 3 %) each; none for more.
    pub meter_uncertainty: Option<f64>,
    /// Share of the scatter that the line explains.
    pub r_squared: Option<f64>,
    /// Distance of the readings from the line, as a share of the excess.
    pub scatter: Option<f64>,
    /// From the first reading to the last.
    pub hours: f64,
    /// The first reading.
    pub start_ppm: f64,
    /// The last reading.
    pub end_ppm: f64,
    /// Carbon dioxide of the room.
    pub room_ppm: f64,
    /// Whether that was given and not taken.
    pub room_given: bool,
    /// Air changes an hour if the room has 40 ppm less.
    pub with_less_in_room: Option<f64>,
    /// Air changes an hour if the room has 40 ppm more.
    pub with_more_in_room: Option<f64>,
    /// Fresh air, where the volume was given.
    pub airflow_m3_h: Option<f64>,
    /// What the method rests on.
    pub assumptions: Vec<AssumptionReport>,
    /// What was read from the file.
    pub file: Option<FallReport>,
}

/// What the method rests on.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct AssumptionReport {
    /// Which: falls, above-room, enough-readings, straight.
    pub id: &'static str,
    /// Whether it holds.
    pub holds: bool,
    /// In words.
    pub text: String,
}

/// The part of a file that was used.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct FallReport {
    /// Where it begins, on the clock of the file.
    pub from: String,
    /// Where it ends.
    pub to: String,
    /// Readings before it.
    pub before: usize,
    /// Readings after it.
    pub after: usize,
    /// Values that could not be used.
    pub unusable: u64,
}

/// Air changes as the contract has them.
pub fn exchange(of: &Exchange) -> ExchangeReport {
    let judged = &of.judged;
    let fit = judged.fit;
    ExchangeReport {
        schema: EXCHANGE_SCHEMA,
        air_changes_per_hour: rounded(judged.air_changes_per_hour),
        low: fit.map(|fit| rounded(fit.low)),
        high: fit.map(|fit| rounded(fit.high)),
        points: judged.points,
        standard_error: fit.map(|fit| rounded(fit.standard_error)),
        meter_uncertainty: judged.meter_off.map(rounded),
        r_squared: fit.map(|fit| rounded(fit.r_squared)),
        scatter: judged.scatter.map(rounded),
        hours: rounded(judged.hours),
        start_ppm: rounded(judged.ends_ppm.0),
        end_ppm: rounded(judged.ends_ppm.1),
        room_ppm: rounded(of.room_ppm),
        room_given: of.room_given,
        with_less_in_room: judged.room_off.map(|(less, _)| rounded(less)),
        with_more_in_room: judged.room_off.map(|(_, more)| rounded(more)),
        airflow_m3_h: airflow_m3_h(of, judged.air_changes_per_hour).map(rounded),
        assumptions: judged
            .checks
            .iter()
            .map(|check| AssumptionReport {
                id: check.id(),
                holds: check.holds(),
                text: said(check),
            })
            .collect(),
        file: match &of.from {
            Readings::Here => None,
            Readings::File { fall, .. } => Some(FallReport {
                from: fall.from.to_string(),
                to: fall.to.to_string(),
                before: fall.before,
                after: fall.after,
                unusable: fall.unusable,
            }),
        },
    }
}
