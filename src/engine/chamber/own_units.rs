//! Numbers of a profile that are written in units of their own: width of drops, hardness and conductivity of water,
//! colour.

use crate::engine::chamber::minerals::{
    LIME_OF_FRENCH_DEGREE, LIME_OF_GERMAN_DEGREE, SOLIDS_OF_MICROSIEMENS,
};
use crate::engine::chamber::quantity::Quantity;
use crate::engine::quantity::{Measured, QuantityError, parse_reading};

/// A unit as written in small letters, what it is worth in the unit of the number, and how far that worth may be off,
/// as one standard deviation and a share.
type Own = (&'static str, f64, f64);

/// Grains for each gallon of the United States in milligrams a litre.
///
/// # Source
/// 64.79891 mg in 3.785411784 L (NIST Special Publication 811, from memory).
const GRAIN_A_GALLON: f64 = 64.798_91 / 3.785_411_784;

const WIDTHS: &[Own] = &[
    ("micrometres", 1.0, 0.0),
    ("micrometers", 1.0, 0.0),
    ("microns", 1.0, 0.0),
    ("micron", 1.0, 0.0),
    ("µm", 1.0, 0.0),
    ("μm", 1.0, 0.0),
    ("um", 1.0, 0.0),
    ("mm", 1000.0, 0.0),
];

const FREQUENCIES: &[Own] = &[("mhz", 1.0, 0.0), ("khz", 1e-3, 0.0)];

const LIME: &[Own] = &[
    ("°dh", LIME_OF_GERMAN_DEGREE, 0.0),
    ("dh", LIME_OF_GERMAN_DEGREE, 0.0),
    ("°fh", LIME_OF_FRENCH_DEGREE, 0.0),
    ("fh", LIME_OF_FRENCH_DEGREE, 0.0),
    ("gpg", GRAIN_A_GALLON, 0.0),
    ("mg/l", 1.0, 0.0),
];

/// The middle of [`SOLIDS_OF_MICROSIEMENS`].
const SOLIDS: f64 = SOLIDS_OF_MICROSIEMENS.0;

/// What a rectangle of its width is, as a standard deviation and a share: the width over the square root of 3.
const SOLIDS_OFF: f64 =
    SOLIDS_OF_MICROSIEMENS.1 / SOLIDS_OF_MICROSIEMENS.0 / 1.732_050_807_568_877_2;

const DISSOLVED: &[Own] = &[
    ("ms/cm", 1000.0 * SOLIDS, SOLIDS_OFF),
    ("µs/cm", SOLIDS, SOLIDS_OFF),
    ("μs/cm", SOLIDS, SOLIDS_OFF),
    ("us/cm", SOLIDS, SOLIDS_OFF),
    ("mg/l", 1.0, 0.0),
];

const COLOURS: &[Own] = &[("kelvin", 1.0, 0.0), ("k", 1.0, 0.0)];

/// The units of its own that a number may be written in; a longer one stands before what it ends in.
fn own_units(quantity: Quantity) -> &'static [Own] {
    match quantity {
        Quantity::Drops => WIDTHS,
        Quantity::Frequency => FREQUENCIES,
        Quantity::WaterHardness => LIME,
        Quantity::WaterSolids => DISSOLVED,
        Quantity::Colour => COLOURS,
        _ => &[],
    }
}

/// How one writes such a number, for a hint.
pub fn example(quantity: Quantity) -> &'static str {
    match quantity {
        Quantity::Drops => "5 µm",
        Quantity::Frequency => "1.7 MHz",
        Quantity::WaterHardness => "14 °dH",
        Quantity::WaterSolids => "300 mg/L",
        Quantity::Colour => "4000 K",
        other => other.unit().example(),
    }
}

/// Reads a number in its own units or in those that all readings share; conductivity becomes what is dissolved.
///
/// # Errors
/// As [`parse_reading`].
pub fn parse(quantity: Quantity, text: &str) -> Result<Measured, QuantityError> {
    let small = text.to_lowercase();
    let own = own_units(quantity)
        .iter()
        .find(|(unit, _, _)| small.contains(unit));
    let Some(&(unit, worth, off)) = own else {
        return parse_reading(text, quantity.unit());
    };
    let bare = small.replace(unit, " ");
    let read = parse_reading(bare.trim(), quantity.unit())?;
    let value = worth * read.value;
    let tolerance = match (read.tolerance, off > 0.0) {
        (None, false) => None,
        (tolerance, _) => {
            // judgement: a cheap meter is good to a tenth.
            let own = tolerance.map_or(0.1 * value.abs(), |one| worth * one);
            Some(libm::sqrt(own * own + off * off * value * value))
        }
    };
    Ok(Measured { value, tolerance })
}

#[cfg(test)]
mod tests {
    use super::{example, parse};
    use crate::engine::chamber::quantity::Quantity;

    #[test]
    fn numbers_with_units_of_their_own_are_understood() {
        // Degrees of hardness by their definitions; a grain a gallon is 17.118 mg/L (NIST SP 811).
        for (quantity, text, value) in [
            (Quantity::Drops, "5 µm", 5.0),
            (Quantity::Drops, "0.1 mm", 100.0),
            (Quantity::Frequency, "1.7 MHz", 1.7),
            (Quantity::Frequency, "113 kHz", 0.113),
            (Quantity::WaterHardness, "10 °dH", 178.5),
            (Quantity::WaterHardness, "10 fH", 100.0),
            (Quantity::WaterHardness, "1 gpg", 17.118_06),
            (Quantity::WaterHardness, "150", 150.0),
            (Quantity::WaterSolids, "480 µS/cm", 300.0),
            (Quantity::WaterSolids, "0.48 mS/cm", 300.0),
            (Quantity::WaterSolids, "300 ppm", 300.0),
            (Quantity::WaterSolids, "300 mg/L", 300.0),
            (Quantity::Colour, "4000 K", 4000.0),
            (Quantity::Colour, "6500", 6500.0),
            (Quantity::Band, "2 %", 2.0),
        ] {
            let read = parse(quantity, text).expect("understood");
            assert!(
                (read.value - value).abs() < 1e-5 * value,
                "{text}: {read:?}"
            );
        }
        for quantity in [
            Quantity::Drops,
            Quantity::Frequency,
            Quantity::WaterHardness,
            Quantity::WaterSolids,
            Quantity::Colour,
        ] {
            assert!(parse(quantity, example(quantity)).is_ok(), "{quantity:?}");
            assert!(parse(quantity, "5 kg").is_err(), "{quantity:?}");
        }
    }

    #[test]
    fn conductivity_carries_what_it_does_not_know_of_the_salts() {
        // 0.55 to 0.7 is 0.625 ± 0.075; over the square root of 3 that is 0.0433 of 0.625, 6.9 %. A tenth of the meter
        // on top.
        let read = parse(Quantity::WaterSolids, "480 µS/cm").expect("understood");
        let share = read.tolerance.expect("it has one") / 300.0;
        assert!(
            (share - (0.0693_f64.powi(2) + 0.01).sqrt()).abs() < 1e-4,
            "{share}"
        );
        let sharp = parse(Quantity::WaterSolids, "480 ± 0.1 µS/cm").expect("understood");
        let share = sharp.tolerance.expect("it has one") / 300.0;
        assert!((share - 0.0693).abs() < 1e-4, "{share}");
        let plain = parse(Quantity::WaterSolids, "300 mg/L").expect("understood");
        assert_eq!(plain.tolerance, None);
    }
}
