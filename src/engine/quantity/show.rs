//! From a value to what is printed.

use serde::{Deserialize, Serialize};

use crate::engine::quantity::Unit;

/// The system of units a grower reads.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum System {
    /// °C, metres, litres, grams.
    #[default]
    Metric,
    /// °F, feet, US gallons, pounds.
    Imperial,
}

/// A value with its unit, rounded to what a hobby gauge can tell: three digits, temperatures to a tenth.
///
/// What [`crate::engine::quantity::parse_reading`] makes of the result differs from the value by no more than the
/// rounding. A value that is not a finite number is shown as "not known".
pub fn show(value: f64, unit: Unit, system: System) -> String {
    written(value, unit, system, false)
}

/// As [`show`], for the difference of two values: a change of 5 °C is one of 9 °F.
pub fn show_difference(value: f64, unit: Unit, system: System) -> String {
    written(value, unit, system, true)
}

fn written(value: f64, unit: Unit, system: System, difference: bool) -> String {
    if !value.is_finite() {
        return "not known".to_owned();
    }
    let (value, name, places) = match (unit, system) {
        (Unit::Celsius, System::Metric) => (value, "°C", Some(1)),
        (Unit::Celsius, System::Imperial) => {
            let zero = if difference { 0.0 } else { 32.0 };
            (value * 1.8 + zero, "°F", Some(1))
        }
        (Unit::Count, _) => (value, "", Some(0)),
        (Unit::CubicMetrePerHour, System::Imperial) => (value / 1.699_010_795_52, "CFM", None),
        // A chamber is named in gallons, a jar in quarts.
        (Unit::Litre, System::Imperial) if value.abs() >= 3.785_411_784 => {
            (value / 3.785_411_784, "gal", None)
        }
        (Unit::Litre, System::Imperial) => (value / 0.946_352_946, "qt", None),
        (Unit::Centimetre, System::Imperial) => (value / 2.54, "in", None),
        (Unit::Metre, System::Imperial) => (value / 0.3048, "ft", None),
        (Unit::Gram, System::Imperial) => (value / 28.349_523_125, "oz", None),
        (Unit::Kilogram, System::Imperial) => (value / 0.453_592_37, "lb", None),
        (Unit::MetrePerSecond, System::Imperial) => (value / 0.005_08, "ft/min", None),
        (Unit::MillimetrePerDay, System::Imperial) => (value / 25.4, "in/day", None),
        (Unit::CubicMetrePerHour, System::Metric) => (value, "m³/h", None),
        (Unit::GramPerCubicMetre, _) => (value, "g/m³", None),
        (Unit::PerHour, _) => (value, "per hour", None),
        (Unit::Day, _) => (value, "days", None),
        (Unit::Hour, _) => (value, "hours", None),
        (other, _) => (value, other.symbol(), None),
    };
    let number = rounded(value, places);
    match (name, number.as_str()) {
        ("", _) => number,
        ("days", "1") => "1 day".to_owned(),
        ("hours", "1") => "1 hour".to_owned(),
        _ => format!("{number} {name}"),
    }
}

/// The number to so many decimal places, or else to three digits; without trailing noughts.
fn rounded(value: f64, places: Option<usize>) -> String {
    let (value, places) = match places {
        Some(places) => (value, places),
        None if value == 0.0 => (0.0, 0),
        None => {
            let size = libm::floor(libm::log10(value.abs()));
            // 1e-9 is nothing any gauge here can tell from 0.
            let decimals = (2.0 - size).clamp(-300.0, 9.0);
            if decimals >= 0.0 {
                (value, decimals as usize)
            } else {
                let step = libm::pow(10.0, -decimals);
                (libm::round(value / step) * step, 0)
            }
        }
    };
    let text = format!("{value:.places$}");
    let text = if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.')
    } else {
        &text
    };
    if text == "-0" {
        "0".to_owned()
    } else {
        text.to_owned()
    }
}
