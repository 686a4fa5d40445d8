//! From what a grower writes to a value with its tolerance.

use std::ops::Range;

use crate::engine::quantity::number::{Number, number_at};
use crate::engine::quantity::spellings::{Spelling, find, nearest};
use crate::engine::quantity::{Measured, QuantityError, Unit};

/// Words before a reading that change nothing.
const ABOUT: &[&str] = &[
    "about",
    "around",
    "roughly",
    "approximately",
    "approx.",
    "approx",
    "circa",
    "ca.",
    "ca",
    "~",
    "≈",
    "=",
];

/// What stands before a tolerance.
const PLUS_MINUS: &[&str] = &[
    "±",
    "+/-",
    "+/\u{2212}",
    "+-",
    "plus or minus",
    "give or take",
];

/// What stands between the ends of a range.
const TO: &[&str] = &["to", "and", "...", "..", "…", "-", "–", "—", "\u{2212}"];

/// Reads a reading as growers write it, into `unit`: "2.9k ppm", "68 °F", "94 % ± 3", "between 80 and 85 %".
///
/// A number without a unit is taken in `unit`. Of a range the middle is taken. A range, and a tolerance after "±",
/// are limits between which any value is as likely as any other: one standard deviation is half their distance
/// divided by the square root of 3. A tolerance in percent of a reading that is not in percent is a share of it.
/// Whether the value is believable is for the caller to judge.
///
/// # Errors
/// One [`QuantityError`] with the place at fault: no number, a second number that belongs to no range, a unit that
/// is not known or of another kind, control characters, a number too large to count with.
///
/// # Source
/// Limits without a stated coverage as a rectangular distribution: JCGM 100:2008 (GUM), 4.3.7 (from memory).
///
/// # Example
/// ```
/// use blockside::engine::quantity::{Unit, parse_reading};
///
/// let warm = parse_reading("68 °F", Unit::Celsius).unwrap();
/// assert!((warm.value - 20.0).abs() < 1e-9);
/// assert_eq!(parse_reading("1,200 lux", Unit::Lux).unwrap().value, 1200.0);
/// assert!(parse_reading("500 lux", Unit::Celsius).is_err());
/// ```
pub fn parse_reading(text: &str, unit: Unit) -> Result<Measured, QuantityError> {
    Reader::new(text, unit)?.reading()
}

/// A number with the unit written after it, if any.
struct Amount {
    number: Number,
    spelling: Option<(Spelling, Range<usize>)>,
}

struct Reader<'a> {
    text: &'a str,
    /// The same with ASCII letters made small, so that positions stay.
    small: String,
    /// Where reading goes on.
    at: usize,
    /// Where the text ends but for blanks and a full stop.
    end: usize,
    unit: Unit,
}

impl<'a> Reader<'a> {
    fn new(text: &'a str, unit: Unit) -> Result<Self, QuantityError> {
        // Blanks at the ends, line ends among them, do no harm.
        let trimmed = text.trim_end().trim_end_matches('.').trim_end();
        let start = text.len() - text.trim_start().len();
        if trimmed.len() <= start {
            return Err(QuantityError::Empty {
                expected: unit,
                span: 0..text.len(),
            });
        }
        if let Some((at, c)) = trimmed[start..]
            .char_indices()
            .find(|(_, c)| c.is_control())
        {
            let at = start + at;
            return Err(QuantityError::ControlCharacter {
                expected: unit,
                span: at..at + c.len_utf8(),
            });
        }
        Ok(Self {
            text,
            small: text.to_ascii_lowercase(),
            at: start,
            end: trimmed.len(),
            unit,
        })
    }

    fn reading(mut self) -> Result<Measured, QuantityError> {
        while self.take(ABOUT).is_some() {}
        let between = self.take(&["between", "from"]);
        while self.take(ABOUT).is_some() {}
        let leading = self.leading_unit();
        let mut first = self.amount()?;
        if first.spelling.is_none() {
            first.spelling = leading;
        }
        if let Some(sign) = self.take(PLUS_MINUS) {
            let tolerance = self.tolerance(&first, sign)?;
            self.finish()?;
            let value = self.value(&first)?;
            return measured(value, Some(tolerance / 3.0_f64.sqrt()), &first);
        }
        if let Some(word) = self.take(TO) {
            let mut second = self.second(word)?;
            self.finish()?;
            // "80 to 85 %": the unit stands once, for both.
            match (&first.spelling, &second.spelling) {
                (None, Some(_)) => first.spelling.clone_from(&second.spelling),
                (Some(_), None) => second.spelling.clone_from(&first.spelling),
                _ => {}
            }
            let (one, other) = (self.value(&first)?, self.value(&second)?);
            let half = (other - one).abs() / 2.0;
            return measured((one + other) / 2.0, Some(half / 3.0_f64.sqrt()), &first);
        }
        self.finish()?;
        if let Some(word) = between {
            return Err(self.bad_tolerance(word));
        }
        let value = self.value(&first)?;
        measured(value, None, &first)
    }

    /// Passes a unit that stands before its number, as in "RH 94" or "ppm 2900", and gives it.
    fn leading_unit(&mut self) -> Option<(Spelling, Range<usize>)> {
        let rest = &self.text[self.at..self.end];
        let word = rest.split([' ', ':', '=']).next()?;
        let after = rest[word.len()..].trim_start_matches([' ', ':', '=']);
        if after.len() == rest.len() - word.len()
            || !after.starts_with(|c: char| c.is_ascii_digit())
        {
            return None;
        }
        let spelling = find(word)?;
        let span = self.at..self.at + word.len();
        self.at = self.end - after.len();
        Some((spelling, span))
    }

    /// Takes one of these words or signs, if it stands here; a word must end where a letter could not follow.
    fn take(&mut self, words: &[&str]) -> Option<Range<usize>> {
        self.skip_blanks();
        let rest = &self.small[self.at..self.end];
        let found = words.iter().find(|word| {
            let whole = word.ends_with(|c: char| c.is_ascii_alphabetic());
            rest.strip_prefix(**word)
                .is_some_and(|rest| !whole || !rest.starts_with(|c: char| c.is_alphabetic()))
        })?;
        let span = self.at..self.at + found.len();
        self.at = span.end;
        self.skip_blanks();
        Some(span)
    }

    fn skip_blanks(&mut self) {
        let rest = &self.text[self.at..self.end];
        self.at += rest.len() - rest.trim_start().len();
    }

    /// A number and the unit after it.
    fn amount(&mut self) -> Result<Amount, QuantityError> {
        let text = &self.text[..self.end];
        let Some(number) = number_at(text, self.at) else {
            let found = text[self.at..].to_owned();
            return Err(QuantityError::NoNumber {
                found: if found.is_empty() {
                    text.to_owned()
                } else {
                    found
                },
                expected: self.unit,
                span: self.at..self.end,
            });
        };
        let mut number = number?;
        self.at = number.span.end;
        self.thousands(&mut number)?;
        self.skip_blanks();
        let spelling = self.spelling()?;
        Ok(Amount { number, spelling })
    }

    /// "2.9k": thousands, unless the letter belongs to a unit or a temperature is asked for.
    fn thousands(&mut self, number: &mut Number) -> Result<(), QuantityError> {
        let rest = &self.small[self.at..self.end];
        let blank = rest.len() - rest.trim_start().len();
        let Some(after) = rest[blank..].strip_prefix('k') else {
            return Ok(());
        };
        if self.unit == Unit::Celsius || after.starts_with(|c: char| c.is_alphabetic()) {
            return Ok(());
        }
        self.at += blank + 1;
        number.span.end = self.at;
        number.value *= 1000.0;
        if number.value.is_finite() {
            return Ok(());
        }
        Err(QuantityError::TooLarge {
            found: self.text[number.span.clone()].to_owned(),
            span: number.span.clone(),
        })
    }

    /// The unit that stands here, up to the next word or sign of a range or tolerance.
    fn spelling(&mut self) -> Result<Option<(Spelling, Range<usize>)>, QuantityError> {
        let start = self.at;
        let end = self.unit_end();
        let written = self.text[start..end].trim_end();
        if written.is_empty() {
            return Ok(None);
        }
        let span = start..start + written.len();
        if let Some(spelling) = find(written) {
            self.at = end;
            return Ok(Some((spelling, span)));
        }
        // "20 30 %" or "20 % 30": a number where a unit should end.
        let mut blank = true;
        for (at, c) in written.char_indices() {
            if blank && c.is_ascii_digit() {
                let span = start + at..span.end;
                return Err(QuantityError::SecondNumber {
                    found: self.text[span.clone()].to_owned(),
                    span,
                });
            }
            blank = c.is_whitespace();
        }
        let nearest = nearest(written, self.unit).unwrap_or(self.unit.symbol());
        Err(QuantityError::UnknownUnit {
            found: written.to_owned(),
            nearest: nearest.to_owned(),
            span,
        })
    }

    /// Where the unit that starts here ends.
    fn unit_end(&self) -> usize {
        let rest = &self.small[self.at..self.end];
        let mut after_blank = true;
        for (at, c) in rest.char_indices() {
            let here = &rest[at..];
            let stops = |word: &&&str| {
                let is_word = word.starts_with(|c: char| c.is_ascii_alphabetic());
                let follows = here.strip_prefix(**word);
                // Signs may touch the unit; words need blanks on both sides, or "to" would cut "tonnes".
                follows.is_some_and(|rest| {
                    !is_word || (after_blank && !rest.starts_with(|c: char| c.is_alphabetic()))
                })
            };
            if PLUS_MINUS.iter().chain(TO).any(|word| stops(&word)) {
                return self.at + at;
            }
            after_blank = c.is_whitespace();
        }
        self.end
    }

    /// The tolerance after its sign, in the unit asked for.
    fn tolerance(&mut self, first: &Amount, sign: Range<usize>) -> Result<f64, QuantityError> {
        let second = self.second(sign.clone())?;
        if second.number.value < 0.0 {
            return Err(self.bad_tolerance(sign));
        }
        let value = self.value(first)?;
        let own = first.spelling.as_ref().map(|(spelling, _)| *spelling);
        let (base, factor) = self.unit.base();
        match (&second.spelling, own) {
            (Some((share, _)), _) if share.base == Unit::Percent && base != Unit::Percent => {
                Ok(value.abs() * second.number.value / 100.0)
            }
            (Some((spelling, span)), _) => {
                self.fits(spelling, span)?;
                Ok(second.number.value * spelling.scale / factor)
            }
            // Without a unit of its own it is in that of the value; a difference has no zero to shift.
            (None, Some(spelling)) => Ok(second.number.value * spelling.scale / factor),
            (None, None) => Ok(second.number.value),
        }
    }

    /// The number that has to follow this word or sign.
    fn second(&mut self, word: Range<usize>) -> Result<Amount, QuantityError> {
        self.skip_blanks();
        if self.at == self.end {
            return Err(self.bad_tolerance(word));
        }
        self.amount()
    }

    /// The value in the unit asked for.
    fn value(&self, amount: &Amount) -> Result<f64, QuantityError> {
        let Some((spelling, span)) = &amount.spelling else {
            return Ok(amount.number.value);
        };
        self.fits(spelling, span)?;
        let factor = self.unit.base().1;
        Ok(amount.number.value * (spelling.scale / factor) + spelling.offset / factor)
    }

    fn fits(&self, spelling: &Spelling, span: &Range<usize>) -> Result<(), QuantityError> {
        if spelling.base == self.unit.base().0 {
            return Ok(());
        }
        Err(QuantityError::WrongKind {
            found: self.text[span.clone()].to_owned(),
            expected: self.unit,
            span: span.clone(),
        })
    }

    /// Nothing may be left over.
    fn finish(&mut self) -> Result<(), QuantityError> {
        self.skip_blanks();
        if self.at == self.end {
            return Ok(());
        }
        let span = self.at..self.end;
        Err(QuantityError::SecondNumber {
            found: self.text[span.clone()].to_owned(),
            span,
        })
    }

    fn bad_tolerance(&self, span: Range<usize>) -> QuantityError {
        QuantityError::BadTolerance {
            after: self.text[span.clone()].to_owned(),
            span,
        }
    }
}

/// The finished reading; a conversion can still have made a large number infinite.
fn measured(
    value: f64,
    tolerance: Option<f64>,
    amount: &Amount,
) -> Result<Measured, QuantityError> {
    if value.is_finite() && tolerance.is_none_or(f64::is_finite) {
        return Ok(Measured { value, tolerance });
    }
    Err(QuantityError::TooLarge {
        found: amount.number.value.to_string(),
        span: amount.number.span.clone(),
    })
}
