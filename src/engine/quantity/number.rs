//! Numbers as people write them: 2900, 1,200, 1 200, 0.5, 0,5.

use std::ops::Range;

use crate::engine::quantity::QuantityError;

/// Blanks that stand inside numbers to mark thousands: no-break, narrow no-break and thin.
const THOUSANDS_BLANKS: [char; 3] = ['\u{a0}', '\u{202f}', '\u{2009}'];

/// Minus signs: hyphen and the typographic one.
const MINUS: [char; 2] = ['-', '\u{2212}'];

/// A number found in a text.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Number {
    /// Its value.
    pub value: f64,
    /// Its place in the text, sign included.
    pub span: Range<usize>,
}

/// Reads the number that starts exactly at byte `start`; none if there is none.
pub(crate) fn number_at(text: &str, start: usize) -> Option<Result<Number, QuantityError>> {
    let rest = &text[start..];
    let unsigned = rest.strip_prefix(MINUS).or_else(|| rest.strip_prefix('+'));
    let negative = rest.starts_with(MINUS);
    let body = unsigned.unwrap_or(rest);
    let length = length(body);
    if length == 0 {
        return None;
    }
    let digits = &body[..length];
    let span = start..start + (rest.len() - body.len()) + length;
    let value = match plain(digits).and_then(|plain| plain.parse::<f64>().ok()) {
        Some(value) if value.is_finite() => value,
        Some(_) => {
            let found = digits.to_owned();
            return Some(Err(QuantityError::TooLarge { found, span }));
        }
        None => {
            let found = digits.to_owned();
            return Some(Err(QuantityError::BadNumber { found, span }));
        }
    };
    let value = if negative { -value } else { value };
    Some(Ok(Number { value, span }))
}

/// Bytes of the run of digits and separators at the start; separators count only before a digit.
fn length(text: &str) -> usize {
    let mut end = 0;
    let mut pending = 0;
    for c in text.chars() {
        if c.is_ascii_digit() {
            end += pending + 1;
            pending = 0;
        } else if pending == 0 && (c == '.' || c == ',' || THOUSANDS_BLANKS.contains(&c)) {
            pending = c.len_utf8();
        } else {
            break;
        }
    }
    end
}

/// The digits with a decimal point at most; none if the separators make no sense.
///
/// A comma before exactly three digits marks thousands (1,200), unless only a nought stands before it (0,250);
/// any other single comma is a decimal comma. Where both stand, the last one is decimal.
fn plain(digits: &str) -> Option<String> {
    let last = digits.rfind(['.', ',']);
    let Some(last) = last else {
        return without_thousands(digits, &THOUSANDS_BLANKS);
    };
    let mark = &digits[last..=last];
    let once = digits.matches(mark).count() == 1;
    let other = if mark == "," { '.' } else { ',' };
    let before = &digits[..last];
    let after = &digits[last + 1..];
    let looks_like_thousands = after.len() == 3 && (1..=3).contains(&before.len()) && before != "0";
    let decimal = once && (mark == "." || before.contains(other) || !looks_like_thousands);
    if !decimal {
        return without_thousands(digits, &[mark.chars().next()?]);
    }
    if !after.bytes().all(|byte| byte.is_ascii_digit()) {
        return None;
    }
    let whole = if before.is_empty() {
        "0".to_owned()
    } else {
        without_thousands(before, &[other, '\u{a0}', '\u{202f}', '\u{2009}'])?
    };
    Some(format!("{whole}.{after}"))
}

/// Digits in groups of three with one of these marks between; none if the groups are not of three.
fn without_thousands(digits: &str, marks: &[char]) -> Option<String> {
    let groups: Vec<&str> = digits.split(marks).collect();
    let (first, others) = groups.split_first()?;
    let digits_only = |group: &&str| group.bytes().all(|byte| byte.is_ascii_digit());
    let sound = groups.iter().all(digits_only)
        && !first.is_empty()
        && (others.is_empty() || first.len() <= 3)
        && others.iter().all(|group| group.len() == 3);
    sound.then(|| groups.concat())
}
