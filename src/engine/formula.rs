//! The formulae that knowledge can call by name, with the uncertainty of their inputs carried through.

use crate::engine::climate::{self, Air};
use crate::engine::knowledge::FormulaName;
use crate::engine::quantity::Unit;

/// A value with its standard deviation.
pub type Uncertain = (f64, f64);

/// Between what values a reading should stay.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Range {
    /// The least value.
    pub min: Option<f64>,
    /// The greatest value.
    pub max: Option<f64>,
}

impl FormulaName {
    /// The names of the inputs, in the order the formula takes them.
    pub fn inputs(self) -> &'static [&'static str] {
        match self {
            Self::DewPoint | Self::VapourDeficit => &["temperature", "humidity"],
            Self::CondensationMargin => &["temperature", "humidity", "surface"],
            Self::AirflowFactor => &["measured", "outside"],
            Self::MistRate => &[
                "airflow",
                "temperature",
                "humidity",
                "room-temperature",
                "room-humidity",
            ],
            Self::ChangeToLimit => &["measured"],
        }
    }

    /// The unit an input must be in; `None` where it may be any, the same for all such inputs and the limit.
    pub fn input_unit(self, input: &str) -> Option<Unit> {
        match input {
            "temperature" | "room-temperature" | "surface" => Some(Unit::Celsius),
            "humidity" | "room-humidity" => Some(Unit::Percent),
            "airflow" => Some(Unit::CubicMetrePerHour),
            _ => None,
        }
    }

    /// The unit of what comes out; `None` where it is that of the inputs.
    pub fn unit(self) -> Option<Unit> {
        match self {
            Self::DewPoint | Self::CondensationMargin => Some(Unit::Celsius),
            Self::VapourDeficit => Some(Unit::Pascal),
            Self::AirflowFactor => Some(Unit::Times),
            Self::MistRate => Some(Unit::GramPerHour),
            Self::ChangeToLimit => None,
        }
    }

    /// Whether the formula needs the limit of a species.
    pub fn needs_limit(self) -> bool {
        matches!(self, Self::AirflowFactor | Self::ChangeToLimit)
    }
}

/// Works a formula out from its named inputs, each a value with its standard deviation; `None` where an input or the
/// limit is missing, or where there is nothing to change.
///
/// The standard deviation follows from central differences, inputs taken as independent.
///
/// # Source
/// Guide to the expression of uncertainty in measurement, JCGM 100:2008, 5.1.2.
pub fn evaluate(
    name: FormulaName,
    input: &impl Fn(&str) -> Option<Uncertain>,
    limit: Option<Range>,
) -> Option<Uncertain> {
    let inputs: Vec<Uncertain> = name
        .inputs()
        .iter()
        .map(|name| input(name))
        .collect::<Option<_>>()?;
    let limit = limit.unwrap_or_default();
    let worked = |x: &[f64]| -> Option<f64> {
        match name {
            FormulaName::DewPoint => Air::new(x[0], x[1]).dew_point_c(),
            FormulaName::VapourDeficit => Some(Air::new(x[0], x[1]).vapour_deficit_pa()),
            FormulaName::CondensationMargin => Air::new(x[0], x[1]).condensation_margin_k(x[2]),
            FormulaName::AirflowFactor => climate::airflow_factor(x[0], x[1], limit.max?),
            FormulaName::MistRate => {
                // Room air that carries enough already needs no mist.
                let rate = climate::mist_rate_g_h(x[0], Air::new(x[1], x[2]), Air::new(x[3], x[4]));
                (rate > 0.0).then_some(rate)
            }
            FormulaName::ChangeToLimit => {
                let measured = x[0];
                let above = limit.max.filter(|&max| measured > max);
                let below = limit.min.filter(|&min| measured < min);
                above.or(below).map(|aim| aim - measured)
            }
        }
    };
    let (value, deviation) = climate::uncertain(worked, &inputs)?;
    (value.is_finite() && deviation.is_finite()).then_some((value, deviation))
}
