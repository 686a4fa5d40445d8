//! Moist air as JSON.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::Serialize;

use crate::engine::climate::moving::OUTDOOR_CO2_PPM;
use crate::report::air::{Asked, LINES};
use crate::report::json::rounded;

/// The version of moist air as JSON.
pub const AIR_SCHEMA: &str = "blockside.air/1";

/// Moist air.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct AirReport {
    /// The contract and its version.
    pub schema: &'static str,
    /// Its temperature, °C.
    pub temperature_c: f64,
    /// Its relative humidity, percent.
    pub humidity_percent: f64,
    /// The air pressure, pascal.
    pub pressure_pa: f64,
    /// Its dew point, °C; none for air without any water.
    pub dew_point_c: Option<f64>,
    /// Its wet bulb, °C.
    pub wet_bulb_c: f64,
    /// Pressure of the water vapour, pascal.
    pub vapour_pressure_pa: f64,
    /// Pressure of the water vapour if the air were full, pascal.
    pub saturation_pressure_pa: f64,
    /// Grams of water in a cubic metre.
    pub absolute_humidity_g_m3: f64,
    /// Kilograms of water with each kilogram of dry air.
    pub humidity_ratio: f64,
    /// Vapour pressure missing to saturation, pascal.
    pub vapour_deficit_pa: f64,
    /// Heat content, kilojoules for each kilogram of dry air.
    pub enthalpy_kj_kg: f64,
    /// Kilograms of the moist air in a cubic metre, with as much carbon dioxide as outdoors.
    pub density_kg_m3: f64,
    /// How hard it dries at the speed that was asked about: vapour deficit times speed, millibar metres a minute.
    pub evaporating_power_mbar_m_min: Option<f64>,
    /// The least and the greatest speed at which it dries well, m/s, where a speed was asked about; none for full air.
    pub speeds_that_dry_well_m_s: Option<[f64; 2]>,
    /// One standard deviation of each number, where something was given with a tolerance.
    pub uncertainty: Option<BTreeMap<&'static str, f64>>,
    /// The surface that was asked about.
    pub surface: Option<SurfaceReport>,
    /// The air after it was only warmed or cooled.
    pub at: Vec<AtReport>,
}

/// A surface in the air.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct SurfaceReport {
    /// Its temperature, °C.
    pub temperature_c: f64,
    /// Whether water forms on it.
    pub condenses: bool,
    /// How much warmer it is than the dew point, K; none for air without any water.
    pub margin_k: Option<f64>,
}

/// The air at another temperature.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct AtReport {
    /// The temperature, °C.
    pub temperature_c: f64,
    /// What the humidity becomes, percent.
    pub humidity_percent: f64,
    /// Water that falls out, grams in a cubic metre.
    pub falls_out_g_m3: f64,
}

/// The air as the contract has it.
pub fn air(asked: &Asked) -> AirReport {
    let air = asked.air;
    let uncertain = LINES.iter().filter_map(|&(key, _, of)| {
        let deviation = asked.deviation(of)?;
        Some((key, small(deviation)))
    });
    let uncertainty: BTreeMap<&'static str, f64> = uncertain.collect();
    AirReport {
        schema: AIR_SCHEMA,
        temperature_c: rounded(air.temperature_c()),
        humidity_percent: rounded(air.humidity_percent()),
        pressure_pa: rounded(air.pressure_pa()),
        dew_point_c: air.dew_point_c().map(rounded),
        wet_bulb_c: rounded(air.wet_bulb_c()),
        vapour_pressure_pa: rounded(air.vapour_pressure_pa()),
        saturation_pressure_pa: rounded(air.vapour_pressure_pa() + air.vapour_deficit_pa()),
        absolute_humidity_g_m3: rounded(air.absolute_humidity_g_m3()),
        humidity_ratio: small(air.humidity_ratio()),
        vapour_deficit_pa: rounded(air.vapour_deficit_pa()),
        enthalpy_kj_kg: rounded(air.enthalpy_kj_kg()),
        density_kg_m3: rounded(air.density_kg_m3(OUTDOOR_CO2_PPM)),
        evaporating_power_mbar_m_min: asked
            .speed_m_s
            .map(|speed| rounded(air.evaporating_power_mbar_m_min(speed))),
        speeds_that_dry_well_m_s: asked
            .speed_m_s
            .and_then(|_| air.speeds_that_dry_well_m_s())
            .map(|(slow, fast)| [rounded(slow), rounded(fast)]),
        uncertainty: (!uncertainty.is_empty()).then_some(uncertainty),
        surface: asked.surface_c.map(|surface_c| {
            let margin = air.condensation_margin_k(surface_c);
            SurfaceReport {
                temperature_c: rounded(surface_c),
                condenses: margin.is_some_and(|margin| margin <= 0.0),
                margin_k: margin.map(rounded),
            }
        }),
        at: asked
            .at
            .iter()
            .map(|&temperature_c| {
                let (then, fallen_out) = air.taken_to(temperature_c);
                AtReport {
                    temperature_c: rounded(temperature_c),
                    humidity_percent: rounded(then.humidity_percent()),
                    falls_out_g_m3: rounded(fallen_out),
                }
            })
            .collect(),
    }
}

/// Nine decimals, for numbers of which six would leave only four digits.
fn small(number: f64) -> f64 {
    rounded(number * 1000.0) / 1000.0
}
