//! Numbers of a text with what belongs to them: a range, a tolerance, a unit.

use std::ops::Range;

use crate::describe::sentence::Laid;
use crate::describe::token::Gap;
use crate::describe::unit::small;
use crate::engine::knowledge::WordClass;
use crate::engine::quantity::Unit as Measure;

/// A number, a range, or a number with its tolerance.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Amount {
    /// As `engine::quantity` reads it: numbers in digits.
    pub text: String,
    /// Its units, by number.
    pub units: Range<usize>,
    /// Its place in the text.
    pub span: Range<usize>,
    /// The kind of its unit, if it has one.
    pub kind: Option<Measure>,
    /// Whether any of it is written in digits.
    pub digits: bool,
}

/// The most words of a unit: "grams a cubic metre".
const WORDS_OF_UNIT: usize = 4;

/// Every amount of a text, in order.
pub(super) fn amounts(text: &str, laid: &Laid) -> Vec<Amount> {
    let mut found = Vec::new();
    let mut at = 0;
    while at < laid.units.len() {
        let Some(mut amount) = single(text, laid, at) else {
            at += 1;
            continue;
        };
        let goes_on = joined(text, laid, &amount).and_then(|(sign, next)| {
            let second = single(text, laid, next)?;
            let one_kind =
                amount.kind.is_none() || second.kind.is_none() || amount.kind == second.kind;
            one_kind.then_some((sign, second))
        });
        if let Some((sign, second)) = goes_on {
            amount.text = format!("{}{sign}{}", amount.text, second.text);
            amount.units.end = second.units.end;
            amount.span.end = second.span.end;
            amount.kind = amount.kind.or(second.kind);
            amount.digits |= second.digits;
        }
        at = amount.units.end;
        found.push(amount);
    }
    found
}

/// The sign of a range or tolerance behind an amount, and the number of the unit behind it.
fn joined(text: &str, laid: &Laid, amount: &Amount) -> Option<(&'static str, usize)> {
    let next = amount.units.end;
    let unit = laid.units.get(next)?;
    let between = &text[amount.span.end..unit.span.start];
    if unit.word.number.is_some() {
        let sign = between.trim();
        return match sign {
            "-" | "–" | "—" | "\u{2212}" | "..." | "…" => Some((" - ", next)),
            "±" | "+/-" | "+-" | "+/\u{2212}" => Some((" ± ", next)),
            _ => None,
        };
    }
    let follows = laid
        .units
        .get(next + 1)
        .filter(|unit| unit.word.number.is_some());
    follows?;
    let spaced = between.trim().is_empty()
        && text[unit.span.end..laid.units[next + 1].span.start]
            .trim()
            .is_empty();
    let word = small(text, &unit.span);
    let before = amount
        .units
        .start
        .checked_sub(1)
        .map(|at| small(text, &laid.units[at].span));
    // The words of `engine::quantity`, which reads what is put together here.
    match word.as_str() {
        "to" if spaced => Some((" to ", next + 1)),
        "and" if spaced && before.as_deref() == Some("between") => Some((" - ", next + 1)),
        _ => None,
    }
}

/// The number that stands here, with its unit.
fn single(text: &str, laid: &Laid, at: usize) -> Option<Amount> {
    let unit = laid.units.get(at)?;
    let (value, ordinal) = unit.word.number?;
    if ordinal {
        return None;
    }
    let mut end = at + 1;
    let mut number = if unit.digits {
        text[unit.span.clone()].to_owned()
    } else {
        let mut value = value;
        // "ninety two", "two hundred"
        while let Some((next, false)) = laid
            .units
            .get(end)
            .filter(|unit| unit.gap <= Gap::Blank && !unit.digits)
            .and_then(|unit| unit.word.number)
        {
            let tens = (20.0..100.0).contains(&value)
                && value % 10.0 == 0.0
                && (1.0..10.0).contains(&next);
            let many = next == 100.0 || next == 1000.0;
            if tens {
                value += next;
            } else if many && value < next {
                value *= next;
            } else {
                break;
            }
            end += 1;
        }
        value.to_string()
    };
    let before = text[..unit.span.start].strip_suffix(['-', '\u{2212}']);
    if unit.digits && before.is_some_and(|before| before.ends_with(char::is_whitespace)) {
        number.insert(0, '-');
    }
    // "2.9k": thousands.
    if let Some(next) = laid.units.get(end)
        && next.gap == Gap::Hyphen
        && small(text, &next.span) == "k"
    {
        number.push('k');
        end += 1;
    }
    let mut amount = Amount {
        digits: unit.digits,
        units: at..end,
        span: unit.span.start..laid.units[end - 1].span.end,
        text: number,
        kind: None,
    };
    measure(text, laid, &mut amount);
    Some(amount)
}

/// Takes in the unit of measure that follows, the longest that is one.
fn measure(text: &str, laid: &Laid, amount: &mut Amount) {
    let start = amount.span.end;
    let signs: usize = text[start..]
        .chars()
        .take_while(|c| c.is_whitespace() && *c != '\n' || matches!(c, '%' | '°' | 'º'))
        .map(char::len_utf8)
        .sum();
    let first = amount.units.end;
    for words in (0..=WORDS_OF_UNIT).rev() {
        let last = first + words;
        let end = if words == 0 {
            let end = start + text[start..start + signs].trim_end().len();
            // A sign that begins a word is no sign: `º` is a letter, too.
            if laid
                .units
                .get(first)
                .is_some_and(|next| next.span.start < end)
            {
                continue;
            }
            end
        } else {
            let Some(unit) = laid.units.get(last - 1) else {
                continue;
            };
            // Nothing but the joints inside of "m3/h" may stand between.
            let near = laid.units[first..last]
                .iter()
                .enumerate()
                .all(|(at, unit)| {
                    unit.gap <= Gap::Blank || at > 0 && text[..unit.span.start].ends_with('/')
                });
            // "90 in the tent": a short word that is also something else is no unit.
            let other = laid.units[first..last].iter().any(|unit| {
                unit.is(WordClass::Preposition)
                    || unit.is(WordClass::Break)
                    || unit.is(WordClass::And)
            });
            if !near || other {
                continue;
            }
            unit.span.end
        };
        let written = text[start..end].trim_start_matches('-').trim();
        if written.is_empty() || written.starts_with(['"', '\'']) {
            continue;
        }
        if let Some(kind) = Measure::kind_of(written) {
            amount.text = format!("{} {written}", amount.text);
            amount.kind = Some(kind);
            amount.units.end = last;
            amount.span.end = end;
            return;
        }
    }
}
