//! Numbers of a profile: read in any unit, refused where they cannot be.

use std::ops::Range;

use toml::Spanned;
use toml::de::DeValue;

use crate::engine::chamber::own_units;
use crate::engine::chamber::profile::{Given, VOLUMES_L, all_given};
use crate::engine::chamber::quantity::Quantity;
use crate::engine::quantity::{Measured, QuantityError, System, Unit, parse_reading, show};
use crate::journal::chamber::reader::Reader;
use crate::knowledge::fields::{At, Fields, as_number, type_name};
use crate::knowledge::problem::ProblemCode;

/// Why the size of a chamber matters.
const WHY_SIZE: &str = "air changes, crowding and the mister's rounds all go by it";

impl Reader<'_, '_, '_> {
    /// Takes every number that may stand in a table.
    pub fn numbers(&mut self, table: &str, fields: &mut Fields<'_, '_>) {
        for given in all_given().filter(|given| given.table == table) {
            let Some(value) = fields.value(given.key, self.notes) else {
                continue;
            };
            self.present.push(given.quantity);
            if let Some(measured) = self.number(given, value) {
                self.chamber.put(given.quantity, measured);
            }
        }
    }

    /// A number within what it can be.
    fn number(&mut self, given: &Given, value: &Spanned<DeValue<'_>>) -> Option<Measured> {
        let key = match given.table {
            "" => given.key.to_owned(),
            table => format!("{table}.{}", given.key),
        };
        let unit = given.quantity.unit();
        let parse = |text: &str| own_units::parse(given.quantity, text);
        let read = self.read_by(&key, value, own_units::example(given.quantity), &parse)?;
        self.possible(&key, unit, read, (given.least, given.most), given.why)
    }

    /// A value as written, in a unit, with its place.
    pub fn read(
        &mut self,
        key: &str,
        value: &Spanned<DeValue<'_>>,
        unit: Unit,
    ) -> Option<At<Measured>> {
        self.read_by(key, value, unit.example(), &|text| {
            parse_reading(text, unit)
        })
    }

    /// A value as written, by a way to read it, with its place.
    fn read_by(
        &mut self,
        key: &str,
        value: &Spanned<DeValue<'_>>,
        shown: &str,
        parse: &impl Fn(&str) -> Result<Measured, QuantityError>,
    ) -> Option<At<Measured>> {
        let at = value.span();
        let example = || format!("write for example `\"{shown}\"`");
        let written = match value.get_ref() {
            DeValue::String(text) => text.trim().to_owned(),
            DeValue::Integer(_) | DeValue::Float(_) => {
                let number = as_number(value.get_ref()).filter(|number| number.is_finite());
                let Some(number) = number else {
                    self.bad(
                        at,
                        format!("`{key}` is not a number to count with"),
                        example(),
                    );
                    return None;
                };
                number.to_string()
            }
            other => {
                let wanted = format!("must be a number with its unit, as in \"{shown}\"");
                let message = format!("`{key}` is {}", type_name(other));
                self.notes
                    .add(ProblemCode::WrongType, at, message, &wanted, None);
                return None;
            }
        };
        match parse(&written) {
            Ok(measured) => Some((measured, at)),
            Err(error) => {
                // The sentence says first what is wrong, then what to write.
                let said = error.to_string();
                let (message, help) = said
                    .rsplit_once("; ")
                    .map_or((said.as_str(), example()), |(message, help)| {
                        (message, help.to_owned())
                    });
                self.bad(at, format!("`{key}`: {message}"), help);
                None
            }
        }
    }

    /// The value, or a note that it cannot be and why it matters.
    pub fn possible(
        &mut self,
        key: &str,
        unit: Unit,
        (measured, at): At<Measured>,
        (least, most): (f64, f64),
        why: &str,
    ) -> Option<Measured> {
        if (least..=most).contains(&measured.value) {
            return Some(measured);
        }
        let shown = |value| show(value, unit, System::Metric);
        let mut help = format!(
            "it lies between {} and {}: {why}",
            shown(least),
            shown(most)
        );
        let fahrenheit = (measured.value - 32.0) / 1.8;
        if unit == Unit::Celsius && (least..=most).contains(&fahrenheit) {
            help.push_str(&format!(
                "; if it was read in °F, write `\"{} °F\"`",
                measured.value
            ));
        }
        let message = format!("`{key}` cannot be {}", shown(measured.value));
        self.bad(at, message, help);
        None
    }

    /// A note that a value cannot be used.
    pub fn bad(&mut self, at: Range<usize>, message: String, help: String) {
        self.notes.add(
            ProblemCode::BadReading,
            at,
            message,
            "cannot be used",
            Some(help),
        );
    }

    /// Volume in litres, from `volume` or from the three lengths of `size`.
    pub fn volume(&mut self, fields: &mut Fields<'_, '_>) {
        let volume = fields.value("volume", self.notes);
        let size = fields.value("size", self.notes);
        let (key, read) = match (volume, size) {
            (Some(_), Some(size)) => {
                self.notes.add(
                    ProblemCode::RepeatedEntry,
                    size.span(),
                    "`size` and `volume` both say how large the chamber is".to_owned(),
                    "again",
                    Some("keep one of the two".to_owned()),
                );
                return;
            }
            (Some(value), None) => ("volume", self.read("volume", value, Unit::Litre)),
            (None, Some(value)) => ("size", self.size(value)),
            (None, None) => {
                let help = format!(
                    "add `size = \"60 x 45 x 160 cm\"` or `volume = \"430 L\"` at the top: {WHY_SIZE}"
                );
                self.lacks(
                    0..0,
                    "a chamber's profile has neither `size` nor `volume`",
                    &help,
                );
                return;
            }
        };
        let possible =
            read.and_then(|read| self.possible(key, Unit::Litre, read, VOLUMES_L, WHY_SIZE));
        if let Some(measured) = possible {
            self.chamber.put(Quantity::Volume, measured);
        }
    }

    /// Three lengths, `60 x 45 x 160 cm` or a list of three: they are kept, and the litres come back.
    fn size(&mut self, value: &Spanned<DeValue<'_>>) -> Option<At<Measured>> {
        let parts: Vec<String> = match value.get_ref() {
            DeValue::String(text) => split_sides(text),
            DeValue::Array(items) => items
                .iter()
                .filter_map(|item| item.get_ref().as_str().map(str::to_owned))
                .collect(),
            _ => Vec::new(),
        };
        let lengths: Vec<f64> = parts
            .iter()
            .filter_map(|part| parse_reading(part, Unit::Metre).ok())
            .map(|length| length.value)
            .filter(|&length| length > 0.0)
            .collect();
        let sides: [f64; 3] = match lengths.try_into() {
            Ok(sides) if parts.len() == 3 => sides,
            _ => {
                let help =
                    "write length, width and height inside, as in `size = \"60 x 45 x 160 cm\"`";
                self.bad(
                    value.span(),
                    "`size` is not three lengths".to_owned(),
                    help.to_owned(),
                );
                return None;
            }
        };
        self.chamber.size_m = Some(sides);
        let litres = Measured {
            value: 1000.0 * sides.iter().product::<f64>(),
            tolerance: None,
        };
        Some((litres, value.span()))
    }
}

/// The three lengths as texts; one without a unit has that of the last.
fn split_sides(text: &str) -> Vec<String> {
    let small = text.to_lowercase().replace('×', "x").replace(" by ", "x");
    let parts: Vec<&str> = small.split('x').map(str::trim).collect();
    let number = |c: char| c.is_ascii_digit() || ".,".contains(c);
    let last = parts.last().copied().unwrap_or_default();
    let unit = last.trim_start_matches(number).trim();
    parts
        .iter()
        .map(|part| {
            if part.chars().all(number) {
                format!("{part} {unit}")
            } else {
                (*part).to_owned()
            }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::split_sides;

    #[test]
    fn sides_share_the_unit_of_the_last() {
        assert_eq!(
            split_sides("60 x 45 x 160 cm"),
            ["60 cm", "45 cm", "160 cm"]
        );
        assert_eq!(
            split_sides("2 ft × 18 in by 5 ft"),
            ["2 ft", "18 in", "5 ft"]
        );
        assert_eq!(split_sides("2x2x5ft"), ["2 ft", "2 ft", "5ft"]);
    }
}
