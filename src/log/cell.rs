//! Numbers in cells: quickly where they are plain, with units and decimal commas where they are not.

use crate::log::unit::InUnit;

/// What stands in a cell.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Cell {
    /// A number, with the unit written behind it, if any.
    Number(f64, Option<InUnit>),
    /// Nothing, or a word for nothing.
    Blank,
    /// Something else.
    Text,
}

/// Powers of ten that a double holds exactly.
const TENS: [f64; 16] = [
    1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15,
];

/// Words for nothing measured.
const NOTHING: [&str; 9] = [
    "-", "--", "na", "n/a", "nan", "null", "none", "nil", "\u{2014}",
];

/// Reads a plain number such as `-21.45`; none where anything else stands in the cell.
///
/// A whole number of up to fifteen digits divided by a power of ten is rounded once, so the result is the double
/// nearest to what is written.
pub fn plain(cell: &[u8]) -> Option<f64> {
    let (negative, digits) = match cell {
        [b'-', rest @ ..] => (true, rest),
        [b'+', rest @ ..] => (false, rest),
        rest => (false, rest),
    };
    if digits.len() > 16 {
        return None;
    }
    let mut whole: u64 = 0;
    let mut seen = 0;
    let mut point = None;
    for (at, byte) in digits.iter().enumerate() {
        match byte {
            b'0'..=b'9' => {
                whole = whole * 10 + u64::from(byte - b'0');
                seen += 1;
            }
            b'.' if point.is_none() => point = Some(at),
            _ => return None,
        }
    }
    if seen == 0 || seen > 15 {
        return None;
    }
    let places = point.map_or(0, |at| digits.len() - at - 1);
    let value = whole as f64 / TENS[places];
    Some(if negative { -value } else { value })
}

/// Reads any cell. With `decimal_comma` a comma is the decimal mark and points mark thousands; without, commas mark
/// thousands and must stand before groups of three digits.
pub fn read(cell: &[u8], decimal_comma: bool) -> Cell {
    let cell = cell.trim_ascii();
    if cell.is_empty() {
        return Cell::Blank;
    }
    if !decimal_comma && let Some(value) = plain(cell) {
        return Cell::Number(value, None);
    }
    let text = String::from_utf8_lossy(cell);
    let small = text.trim().to_lowercase();
    if NOTHING.contains(&small.as_str()) {
        return Cell::Blank;
    }
    let mut number = String::new();
    let mut letters = small.char_indices().peekable();
    let mut end = 0;
    while let Some((at, letter)) = letters.next() {
        let next_digit = letters.peek().is_some_and(|(_, c)| c.is_ascii_digit());
        match letter {
            '0'..='9' => number.push(letter),
            '-' | '\u{2212}' if number.is_empty() => number.push('-'),
            '+' if number.is_empty() => {}
            '.' | ',' => number.push(letter),
            '\u{a0}' | '\u{202f}' | '\u{2009}' if next_digit => number.push('_'),
            'e' if number.ends_with(|c: char| c.is_ascii_digit())
                && letters
                    .peek()
                    .is_some_and(|(_, c)| c.is_ascii_digit() || *c == '-' || *c == '+') =>
            {
                number.push('e');
                if let Some((_, sign)) = letters.next_if(|(_, c)| *c == '-' || *c == '+') {
                    number.push(sign);
                }
            }
            _ => {
                end = at;
                break;
            }
        }
        end = at + letter.len_utf8();
    }
    let Some(value) = value_of(&number, decimal_comma) else {
        return Cell::Text;
    };
    let rest = small[end..].trim();
    if rest.is_empty() {
        return Cell::Number(value, None);
    }
    match InUnit::named(rest) {
        Some(unit) => Cell::Number(value, Some(unit)),
        None => Cell::Text,
    }
}

fn value_of(number: &str, decimal_comma: bool) -> Option<f64> {
    let (decimal, thousands) = if decimal_comma {
        (',', '.')
    } else {
        ('.', ',')
    };
    let (mantissa, exponent) = number.split_once('e').map_or((number, ""), |split| split);
    let (whole, fraction) = match mantissa.split_once(decimal) {
        Some((whole, fraction)) => (whole, Some(fraction)),
        None => (mantissa, None),
    };
    let unsigned = whole.strip_prefix('-').unwrap_or(whole);
    let mut groups = unsigned.split([thousands, '_']);
    let first = groups.next()?;
    let mut digits = first.to_owned();
    for group in groups {
        if group.len() != 3 || first.is_empty() || first.len() > 3 {
            return None;
        }
        digits.push_str(group);
    }
    let fraction = fraction.unwrap_or("");
    let all_digits = |text: &str| text.bytes().all(|byte| byte.is_ascii_digit());
    if !all_digits(&digits) || !all_digits(fraction) || digits.len() + fraction.len() == 0 {
        return None;
    }
    let sign = if whole.starts_with('-') { "-" } else { "" };
    let exponent = if exponent.is_empty() { "0" } else { exponent };
    let value: f64 = format!("{sign}0{digits}.{fraction}0e{exponent}")
        .parse()
        .ok()?;
    value.is_finite().then_some(value)
}

#[cfg(test)]
mod tests {
    use super::{Cell, plain, read};
    use crate::log::unit::InUnit;

    #[test]
    fn plain_numbers_are_the_doubles_nearest_to_them() {
        for text in [
            "0",
            "-21.45",
            "98.30",
            "1234",
            ".5",
            "5.",
            "0.1",
            "123456.789012345",
        ] {
            assert_eq!(plain(text.as_bytes()), text.parse().ok(), "{text}");
        }
        for text in [
            "",
            "-",
            ".",
            "1e3",
            "1,2",
            "21 C",
            "1.2.3",
            "1234567890123456",
        ] {
            assert_eq!(plain(text.as_bytes()), None, "{text}");
        }
    }

    #[test]
    fn cells_may_carry_units_commas_and_words_for_nothing() {
        let number = |value| Cell::Number(value, None);
        for (text, decimal_comma, wanted) in [
            ("21.4", false, number(21.4)),
            (" 21.4 ", false, number(21.4)),
            ("21,4", true, number(21.4)),
            ("21,400", true, number(21.4)),
            ("1,200", false, number(1200.0)),
            ("1.200,5", true, number(1200.5)),
            ("1,20", false, Cell::Text),
            ("\u{2212}3.5", false, number(-3.5)),
            ("2.5e3", false, number(2500.0)),
            ("21.4 °C", false, Cell::Number(21.4, Some(InUnit::Celsius))),
            (
                "70,5 °F",
                true,
                Cell::Number(70.5, Some(InUnit::Fahrenheit)),
            ),
            ("88%", false, Cell::Number(88.0, Some(InUnit::Percent))),
            ("900 ppm", false, Cell::Number(900.0, Some(InUnit::Ppm))),
            ("", false, Cell::Blank),
            ("N/A", false, Cell::Blank),
            ("NaN", false, Cell::Blank),
            ("ERR", false, Cell::Text),
            ("inf", false, Cell::Text),
            ("21.4 parsec", false, Cell::Text),
            ("1e999", false, Cell::Text),
        ] {
            assert_eq!(read(text.as_bytes(), decimal_comma), wanted, "{text}");
        }
    }
}
