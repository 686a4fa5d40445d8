//! Numbers of a balance as people read them, no finer than they are known.

use crate::engine::chamber::balance::Estimate;
use crate::engine::chamber::quantity::Quantity;
use crate::engine::quantity::{System, Unit, show, show_difference};

/// A value with its unit.
pub fn plain(quantity: Quantity, value: f64, system: System) -> String {
    match quantity.unit() {
        // Two minutes are easier to picture than 120 seconds.
        Unit::Second if value >= 120.0 => format!("{} minutes", number(value / 60.0, 2)),
        Unit::Second => format!("{} s", number(value, 2)),
        Unit::Celsius if quantity.is_difference() => show_difference(value, Unit::Celsius, system),
        Unit::Hour if value > 0.0 && value < 1.0 / 60.0 => {
            format!("{} s", number(value * 3600.0, 2))
        }
        Unit::Hour if value < 1.0 => format!("{} minutes", number(value * 60.0, 2)),
        Unit::Hour if value >= 96.0 => format!("{} days", number(value / 24.0, 2)),
        Unit::Count => number(value, 2),
        unit => show(value, unit, system),
    }
}

/// A value with its unit and the interval it lies in, rounded to what the interval leaves certain.
pub fn ranged(quantity: Quantity, estimate: Estimate, system: System) -> String {
    let Estimate {
        value, low, high, ..
    } = estimate;
    // In other units the steps would not be round; there three digits have to do.
    let width = match system {
        System::Metric => high - low,
        System::Imperial => 0.0,
    };
    let shown = |value: f64| plain(quantity, to_step(value, width), system);
    let (low, high) = (shown(low), shown(high));
    let value = shown(value);
    if low == high {
        return value;
    }
    // One unit does for all three.
    let unit = unit_of(&value);
    if unit_of(&low) == unit && unit_of(&high) == unit {
        return format!("{value} ({} to {})", number_of(&low), number_of(&high));
    }
    format!("{value} ({low} to {high})")
}

fn number_of(text: &str) -> &str {
    text.split_once(' ').map_or(text, |(number, _)| number)
}

fn unit_of(text: &str) -> &str {
    text.split_once(' ').map_or("", |(_, unit)| unit)
}

/// The value rounded to the digit in which a quarter of the interval begins, one standard deviation of it.
///
/// # Source
/// JCGM 100:2008 (GUM), 7.2.6: one or two digits of the uncertainty, and the value to the same place.
fn to_step(value: f64, width: f64) -> f64 {
    if width <= 0.0 || !width.is_finite() {
        return value;
    }
    let step = 10f64.powf((width / 4.0).log10().floor());
    // Dividing by a whole number keeps 8.4 from becoming 8.4000000000000004.
    if step < 1.0 {
        let parts = (1.0 / step).round();
        (value * parts).round() / parts
    } else {
        (value / step).round() * step
    }
}

/// The value rounded to so many digits.
fn to_digits(value: f64, digits: i32) -> f64 {
    if value == 0.0 || !value.is_finite() {
        return value;
    }
    let size = value.abs().log10().floor() as i32;
    let step = 10f64.powi(size - digits + 1);
    (value / step).round() * step
}

/// A bare number to so many digits, whole numbers as they are.
fn number(value: f64, digits: i32) -> String {
    if value == value.round() && value.abs() < 1e6 {
        return format!("{value:.0}");
    }
    let rounded = to_digits(value, digits);
    let decimals = (digits - 1 - rounded.abs().max(1e-9).log10().floor() as i32).clamp(0, 6);
    let text = format!("{rounded:.0$}", usize::try_from(decimals).unwrap_or(0));
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}

#[cfg(test)]
mod tests {
    use super::{plain, ranged};
    use crate::engine::chamber::balance::Estimate;
    use crate::engine::chamber::quantity::Quantity;
    use crate::engine::quantity::System;

    fn estimate(value: f64, deviation: f64) -> Estimate {
        Estimate {
            value,
            deviation,
            low: value - 2.0 * deviation,
            high: value + 2.0 * deviation,
        }
    }

    #[test]
    fn numbers_are_no_finer_than_they_are_known() {
        let metric = System::Metric;
        let wide = ranged(Quantity::Mist, estimate(41.34, 5.1), metric);
        assert_eq!(wide, "41 g/h (31 to 52)");
        let exact = ranged(Quantity::SetPoint, estimate(86.0, 0.0), metric);
        assert_eq!(exact, "86 %");
        let sharp = ranged(Quantity::Trough, estimate(78.96, 2.4), metric);
        assert_eq!(sharp, "79 % (74 to 84)");
        let cool = ranged(Quantity::Wall, estimate(18.04, 0.4), metric);
        assert_eq!(cool, "18 °C (17.2 to 18.8)");
    }

    #[test]
    fn long_times_are_told_in_minutes_and_days() {
        let metric = System::Metric;
        assert_eq!(plain(Quantity::OnTime, 26.2, metric), "26 s");
        assert_eq!(plain(Quantity::OffTime, 264.0, metric), "4.4 minutes");
        assert_eq!(plain(Quantity::SettleHours, 0.25, metric), "15 minutes");
        assert_eq!(plain(Quantity::DryHours, 0.0065, metric), "23 s");
        assert_eq!(plain(Quantity::TankHours, 181.0, metric), "7.5 days");
        assert_eq!(plain(Quantity::TankHours, 12.0, metric), "12 hours");
        assert_eq!(plain(Quantity::Margin, -0.81, metric), "-0.8 °C");
        assert_eq!(plain(Quantity::Margin, 1.0, System::Imperial), "1.8 °F");
    }
}
