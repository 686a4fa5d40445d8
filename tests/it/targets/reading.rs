//! Numbers as typed: readings, changes to a chamber, sizes of a spot.

use blockside::cli::growth::Size;
use blockside::engine::chamber::own_units;
use blockside::engine::chamber::quantity::Quantity;
use blockside::engine::chamber::what_if;
use blockside::engine::quantity::{Measured, System, Unit, parse_reading, show};

use crate::targets::shown::text_of;

/// The first byte says which unit or number is asked for; the rest is what was typed.
pub fn run(data: &[u8]) {
    let Some((&which, data)) = data.split_first() else {
        return;
    };
    let text = text_of(data);
    let unit = Unit::ALL[usize::from(which) % Unit::ALL.len()];
    match parse_reading(text, unit) {
        Ok(measured) => {
            counted(measured, text);
            for system in [System::Metric, System::Imperial] {
                shown_again(measured.value, unit, system);
            }
        }
        Err(error) => {
            assert!(text.get(error.span()).is_some(), "{error:?} in {text:?}");
            assert!(!error.to_string().is_empty());
        }
    }
    let quantity = Quantity::ALL[usize::from(which) % Quantity::ALL.len()];
    if let Ok(measured) = own_units::parse(quantity, text) {
        counted(measured, text);
    }
    if let Ok(change) = what_if::parse(text) {
        assert_eq!(what_if::parse(text), Ok(change));
    }
    if let Ok(size) = Size::parse(text) {
        let written = size.to_string();
        let again = Size::parse(&written).expect("what was written can be read");
        assert_eq!(again, size, "{written}");
    }
}

fn counted(measured: Measured, text: &str) {
    assert!(measured.value.is_finite(), "{measured:?} of {text:?}");
    let tolerance = measured.tolerance.unwrap_or(0.0);
    assert!(
        tolerance.is_finite() && tolerance >= 0.0,
        "{measured:?} of {text:?}"
    );
}

/// What is shown of a value is read back as that value, but for the rounding to three digits, a tenth of a degree of
/// either scale, or one thing.
fn shown_again(value: f64, unit: Unit, system: System) {
    let shown = show(value, unit, system);
    let again = match parse_reading(&shown, unit) {
        Ok(again) => again.value,
        // The greatest numbers of all become greater by rounding or in other units.
        Err(_) if value.abs() > 1e300 => return,
        Err(error) => panic!("{value} is shown as {shown:?}: {error}"),
    };
    let step = match unit {
        Unit::Celsius => 0.051,
        Unit::Count => 0.51,
        _ => 0.0,
    };
    // No more than nine places are shown, in either system.
    let within = value.abs() * 0.0051 + step + 2e-9;
    assert!(
        (again - value).abs() <= within,
        "{value} is shown as {shown:?} and read as {again}"
    );
}
