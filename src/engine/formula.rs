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
            Self::MistAtLimit => &[
                "measured",
                "outside",
                "airflow",
                "temperature",
                "humidity",
                "room-temperature",
                "room-humidity",
            ],
            Self::TankAtLimit => &[
                "measured",
                "outside",
                "airflow",
                "temperature",
                "humidity",
                "room-temperature",
                "room-humidity",
                "tank",
            ],
            Self::FallToLimit | Self::RiseToLimit => &["measured"],
            Self::Dilution => &["strength", "target", "volume"],
        }
    }

    /// The unit an input must be in; `None` where it may be any, the same for all such inputs and the limit.
    pub fn input_unit(self, input: &str) -> Option<Unit> {
        match input {
            "temperature" | "room-temperature" | "surface" => Some(Unit::Celsius),
            "humidity" | "room-humidity" | "strength" => Some(Unit::Percent),
            "target" => Some(Unit::Ppm),
            "volume" => Some(Unit::Litre),
            "airflow" => Some(Unit::CubicMetrePerHour),
            "tank" => Some(Unit::Litre),
            _ => None,
        }
    }

    /// The unit of what comes out; `None` where it is that of the inputs.
    pub fn unit(self) -> Option<Unit> {
        match self {
            Self::DewPoint | Self::CondensationMargin => Some(Unit::Celsius),
            Self::VapourDeficit => Some(Unit::Pascal),
            Self::AirflowFactor => Some(Unit::Times),
            Self::MistRate | Self::MistAtLimit => Some(Unit::GramPerHour),
            Self::TankAtLimit => Some(Unit::Hour),
            Self::Dilution => Some(Unit::Millilitre),
            Self::FallToLimit | Self::RiseToLimit => None,
        }
    }

    /// Whether the formula needs the limit of a species.
    pub fn needs_limit(self) -> bool {
        matches!(
            self,
            Self::AirflowFactor
                | Self::MistAtLimit
                | Self::TankAtLimit
                | Self::FallToLimit
                | Self::RiseToLimit
        )
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
            FormulaName::Dilution => stock_ml(x[0], x[1], x[2]),
            FormulaName::MistAtLimit => mist_at_limit(x, limit.max?),
            FormulaName::TankAtLimit => {
                mist_at_limit(x, limit.max?).map(|rate| 1000.0 * x[7] / rate)
            }
            FormulaName::FallToLimit => limit.max.map(|max| x[0] - max).filter(|&by| by > 0.0),
            FormulaName::RiseToLimit => limit.min.map(|min| min - x[0]).filter(|&by| by > 0.0),
        }
    };
    let (value, deviation) = climate::uncertain(worked, &inputs)?;
    (value.is_finite() && deviation.is_finite()).then_some((value, deviation))
}

/// Millilitres of stock to make up to `volume_l` litres with water, so that the mixture holds `target_ppm` of what the
/// stock holds `strength_percent` of; `None` where the stock is no stronger than the mixture.
///
/// Percent is taken as grams in 100 mL, so one percent is 10,000 ppm. A label that states percent of weight means up to
/// about a tenth more.
fn stock_ml(strength_percent: f64, target_ppm: f64, volume_l: f64) -> Option<f64> {
    let stock_ppm = strength_percent * 10_000.0;
    (target_ppm > 0.0 && stock_ppm > target_ppm).then(|| target_ppm / stock_ppm * volume_l * 1000.0)
}

/// Mist in grams an hour at the airflow that the limit needs; `None` where no more air or no mist is needed.
fn mist_at_limit(x: &[f64], limit: f64) -> Option<f64> {
    let factor = climate::airflow_factor(x[0], x[1], limit).filter(|&factor| factor > 1.0)?;
    let rate = climate::mist_rate_g_h(factor * x[2], Air::new(x[3], x[4]), Air::new(x[5], x[6]));
    (rate > 0.0).then_some(rate)
}

#[cfg(test)]
mod tests {
    use super::{Range, evaluate};
    use crate::engine::knowledge::FormulaName;

    fn worked(name: FormulaName, given: &[(&str, f64)], limit: Option<Range>) -> Option<f64> {
        let input = |wanted: &str| {
            let found = given.iter().find(|(name, _)| *name == wanted);
            found.map(|(_, value)| (*value, 0.0))
        };
        evaluate(name, &input, limit).map(|(value, _)| value)
    }

    const BAND: Option<Range> = Some(Range {
        min: Some(10.0),
        max: Some(21.0),
    });

    #[test]
    fn a_change_has_one_direction_and_is_silent_in_the_other() {
        let at = |measured| [("measured", measured)];
        assert_eq!(worked(FormulaName::FallToLimit, &at(24.0), BAND), Some(3.0));
        assert_eq!(worked(FormulaName::RiseToLimit, &at(8.0), BAND), Some(2.0));
        for within in [10.0, 15.0, 21.0] {
            assert_eq!(worked(FormulaName::FallToLimit, &at(within), BAND), None);
            assert_eq!(worked(FormulaName::RiseToLimit, &at(within), BAND), None);
        }
        assert_eq!(worked(FormulaName::FallToLimit, &at(8.0), BAND), None);
        assert_eq!(worked(FormulaName::FallToLimit, &at(24.0), None), None);
    }

    #[test]
    fn a_missing_input_gives_no_amount() {
        let limit = Some(Range {
            min: None,
            max: Some(1000.0),
        });
        assert_eq!(
            worked(FormulaName::AirflowFactor, &[("measured", 2900.0)], limit),
            None
        );
        let both = [("measured", 2900.0), ("outside", 420.0)];
        let factor = worked(FormulaName::AirflowFactor, &both, limit).expect("both are there");
        // Balance of one well-mixed space: (2900 - 420) / (1000 - 420).
        assert!((factor - 2480.0 / 580.0).abs() < 1e-12);
    }

    #[test]
    fn bleach_is_measured_out_by_the_strength_on_its_label() {
        // Centers for Disease Control, 2020: 5 tablespoons (73.93 mL) in a US gallon (3.7854 L), "at least 1000 ppm"
        // for stock of 5 to 9 %; from 5.25 % on that holds. 1:100 of 5.25 to 6.15 % is 525 to 615 ppm: PREMIER, 2008.
        for (strength, target, volume, ml) in [
            (5.0, 1000.0, 1.0, 20.0),
            (8.25, 1000.0, 1.0, 12.121),
            (5.0, 100.0, 1.0, 2.0),
            (6.0, 5000.0, 1.0, 83.333),
            (5.25, 525.0, 1.0, 10.0),
            (5.25, 1006.0, 3.7854 + 0.07393, 73.95),
        ] {
            let given = [
                ("strength", strength),
                ("target", target),
                ("volume", volume),
            ];
            let worked = worked(FormulaName::Dilution, &given, None).expect("stronger than wanted");
            assert!(
                (worked - ml).abs() < 5e-4 * ml,
                "{strength} %, {target} ppm: {worked}"
            );
        }
        let weak = [("strength", 0.05), ("target", 1000.0), ("volume", 1.0)];
        assert_eq!(worked(FormulaName::Dilution, &weak, None), None);
    }

    #[test]
    fn more_air_asks_more_of_the_mister_and_its_tank() {
        let limit = Some(Range {
            min: None,
            max: Some(1000.0),
        });
        let given = [
            ("measured", 2450.0),
            ("outside", 420.0),
            ("airflow", 1.0),
            ("temperature", 20.0),
            ("humidity", 90.0),
            ("room-temperature", 21.0),
            ("room-humidity", 45.0),
            ("tank", 0.5),
        ];
        // Three and a half times 7.413 g/h, the load that PsychroLib 2.5.0 gives for 1 m³/h of this air.
        let mist = worked(FormulaName::MistAtLimit, &given, limit).expect("all is there");
        assert!((mist - 3.5 * 7.413_094_31).abs() < 1e-6, "{mist}");
        let hours = worked(FormulaName::TankAtLimit, &given, limit).expect("all is there");
        assert!((hours - 500.0 / mist).abs() < 1e-9, "{hours}");
        let fresh = [
            ("measured", 800.0),
            given[1],
            given[2],
            given[3],
            given[4],
            given[5],
            given[6],
        ];
        assert_eq!(worked(FormulaName::MistAtLimit, &fresh, limit), None);
    }

    #[test]
    fn a_wall_below_the_dew_point_has_a_negative_margin() {
        let state = [("temperature", 20.0), ("humidity", 90.0), ("surface", 17.5)];
        let margin = worked(FormulaName::CondensationMargin, &state, None).expect("in range");
        // PsychroLib gives a dew point of 18.31020326 °C, so the margin is -0.81 K.
        assert!((margin - (17.5 - 18.310_203_26)).abs() < 1e-6, "{margin}");
    }
}
