//! How units are written, and what they are worth.

use crate::engine::quantity::Unit;

/// A unit as written: how many of the base unit it is, and where its scale begins.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Spelling {
    /// As written, in small letters, without blanks.
    pub text: &'static str,
    /// The unit of the same kind in which it is counted.
    pub base: Unit,
    /// Base units in one of it.
    pub scale: f64,
    /// Base units at its zero.
    pub offset: f64,
}

const fn row(text: &'static str, base: Unit, scale: f64) -> Spelling {
    Spelling {
        text,
        base,
        scale,
        offset: 0.0,
    }
}

const fn fahrenheit(text: &'static str) -> Spelling {
    Spelling {
        text,
        base: Unit::Celsius,
        scale: 5.0 / 9.0,
        offset: -160.0 / 9.0,
    }
}

/// Cubic metres in a cubic foot; feet, inches, pounds and gallons below are exact as well.
///
/// # Source
/// NIST Special Publication 811 (2008), appendix B.
const CUBIC_FOOT_M3: f64 = 0.028_316_846_592;

/// Every spelling; plural endings in `s` need no row of their own.
///
/// # Source
/// NIST Special Publication 811 (2008), appendix B (from memory). Gallon, quart and pint are those of the United
/// States. A month counts 30.44 days, a twelfth of the mean year; a millilitre of water a gram.
pub(crate) const SPELLINGS: &[Spelling] = &[
    row("c", Unit::Celsius, 1.0),
    row("°c", Unit::Celsius, 1.0),
    row("°", Unit::Celsius, 1.0),
    row("degc", Unit::Celsius, 1.0),
    row("degreec", Unit::Celsius, 1.0),
    row("degreesc", Unit::Celsius, 1.0),
    row("celsius", Unit::Celsius, 1.0),
    row("°celsius", Unit::Celsius, 1.0),
    row("degreescelsius", Unit::Celsius, 1.0),
    fahrenheit("f"),
    fahrenheit("°f"),
    fahrenheit("degf"),
    fahrenheit("degreef"),
    fahrenheit("degreesf"),
    fahrenheit("fahrenheit"),
    fahrenheit("°fahrenheit"),
    fahrenheit("degreesfahrenheit"),
    row("%", Unit::Percent, 1.0),
    row("%rh", Unit::Percent, 1.0),
    row("rh", Unit::Percent, 1.0),
    row("percent", Unit::Percent, 1.0),
    row("percentrh", Unit::Percent, 1.0),
    row("pct", Unit::Percent, 1.0),
    row("ppm", Unit::Ppm, 1.0),
    row("ppmco2", Unit::Ppm, 1.0),
    row("lux", Unit::Lux, 1.0),
    row("lx", Unit::Lux, 1.0),
    row("klux", Unit::Lux, 1000.0),
    row("klx", Unit::Lux, 1000.0),
    row("fc", Unit::Lux, 10.763_910_416_709_722),
    row("footcandle", Unit::Lux, 10.763_910_416_709_722),
    row("m3/h", Unit::CubicMetrePerHour, 1.0),
    row("m3/hr", Unit::CubicMetrePerHour, 1.0),
    row("m3/hour", Unit::CubicMetrePerHour, 1.0),
    row("cubicmetres/hour", Unit::CubicMetrePerHour, 1.0),
    row("cubicmeters/hour", Unit::CubicMetrePerHour, 1.0),
    row("m3/min", Unit::CubicMetrePerHour, 60.0),
    row("l/min", Unit::CubicMetrePerHour, 0.06),
    row("l/s", Unit::CubicMetrePerHour, 3.6),
    row("cfm", Unit::CubicMetrePerHour, 60.0 * CUBIC_FOOT_M3),
    row("ft3/min", Unit::CubicMetrePerHour, 60.0 * CUBIC_FOOT_M3),
    row("l", Unit::Litre, 1.0),
    row("litre", Unit::Litre, 1.0),
    row("liter", Unit::Litre, 1.0),
    row("ml", Unit::Litre, 0.001),
    row("m3", Unit::Litre, 1000.0),
    row("cubicmetre", Unit::Litre, 1000.0),
    row("cubicmeter", Unit::Litre, 1000.0),
    row("gal", Unit::Litre, 3.785_411_784),
    row("gallon", Unit::Litre, 3.785_411_784),
    row("qt", Unit::Litre, 0.946_352_946),
    row("quart", Unit::Litre, 0.946_352_946),
    row("pint", Unit::Litre, 0.473_176_473),
    row("ft3", Unit::Litre, 1000.0 * CUBIC_FOOT_M3),
    row("cuft", Unit::Litre, 1000.0 * CUBIC_FOOT_M3),
    row("cu.ft", Unit::Litre, 1000.0 * CUBIC_FOOT_M3),
    row("cubicfoot", Unit::Litre, 1000.0 * CUBIC_FOOT_M3),
    row("cubicfeet", Unit::Litre, 1000.0 * CUBIC_FOOT_M3),
    row("mm", Unit::Metre, 0.001),
    row("cm", Unit::Metre, 0.01),
    row("m", Unit::Metre, 1.0),
    row("metre", Unit::Metre, 1.0),
    row("meter", Unit::Metre, 1.0),
    row("centimetre", Unit::Metre, 0.01),
    row("centimeter", Unit::Metre, 0.01),
    row("in", Unit::Metre, 0.0254),
    row("inch", Unit::Metre, 0.0254),
    row("inches", Unit::Metre, 0.0254),
    row("\"", Unit::Metre, 0.0254),
    row("ft", Unit::Metre, 0.3048),
    row("foot", Unit::Metre, 0.3048),
    row("feet", Unit::Metre, 0.3048),
    row("'", Unit::Metre, 0.3048),
    row("g/h", Unit::GramPerHour, 1.0),
    row("g/hr", Unit::GramPerHour, 1.0),
    row("g/hour", Unit::GramPerHour, 1.0),
    row("grams/hour", Unit::GramPerHour, 1.0),
    row("ml/h", Unit::GramPerHour, 1.0),
    row("ml/hr", Unit::GramPerHour, 1.0),
    row("ml/hour", Unit::GramPerHour, 1.0),
    row("l/h", Unit::GramPerHour, 1000.0),
    row("kg/h", Unit::GramPerHour, 1000.0),
    row("l/day", Unit::GramPerHour, 1000.0 / 24.0),
    row("g/day", Unit::GramPerHour, 1.0 / 24.0),
    row("mg", Unit::Kilogram, 1e-6),
    row("g", Unit::Kilogram, 0.001),
    row("gram", Unit::Kilogram, 0.001),
    row("gramme", Unit::Kilogram, 0.001),
    row("kg", Unit::Kilogram, 1.0),
    row("kilo", Unit::Kilogram, 1.0),
    row("kilogram", Unit::Kilogram, 1.0),
    row("oz", Unit::Kilogram, 0.028_349_523_125),
    row("ounce", Unit::Kilogram, 0.028_349_523_125),
    row("lb", Unit::Kilogram, 0.453_592_37),
    row("pound", Unit::Kilogram, 0.453_592_37),
    row("s", Unit::Hour, 1.0 / 3600.0),
    row("sec", Unit::Hour, 1.0 / 3600.0),
    row("second", Unit::Hour, 1.0 / 3600.0),
    row("min", Unit::Hour, 1.0 / 60.0),
    row("minute", Unit::Hour, 1.0 / 60.0),
    row("h", Unit::Hour, 1.0),
    row("hr", Unit::Hour, 1.0),
    row("hour", Unit::Hour, 1.0),
    row("d", Unit::Hour, 24.0),
    row("day", Unit::Hour, 24.0),
    row("wk", Unit::Hour, 168.0),
    row("week", Unit::Hour, 168.0),
    row("month", Unit::Hour, 30.44 * 24.0),
    row("m/s", Unit::MetrePerSecond, 1.0),
    row("cm/s", Unit::MetrePerSecond, 0.01),
    row("m/min", Unit::MetrePerSecond, 1.0 / 60.0),
    row("km/h", Unit::MetrePerSecond, 1.0 / 3.6),
    row("ft/min", Unit::MetrePerSecond, 0.005_08),
    row("fpm", Unit::MetrePerSecond, 0.005_08),
    row("ft/s", Unit::MetrePerSecond, 0.3048),
    row("mph", Unit::MetrePerSecond, 0.447_04),
    row("pa", Unit::Pascal, 1.0),
    row("pascal", Unit::Pascal, 1.0),
    row("hpa", Unit::Pascal, 100.0),
    row("mbar", Unit::Pascal, 100.0),
    row("kpa", Unit::Pascal, 1000.0),
    row("inhg", Unit::Pascal, 3_386.389),
    row("mmhg", Unit::Pascal, 133.322_4),
    row("inh2o", Unit::Pascal, 249.088_9),
    row("inwg", Unit::Pascal, 249.088_9),
    row("psi", Unit::Pascal, 6_894.757),
    row("w", Unit::Watt, 1.0),
    row("watt", Unit::Watt, 1.0),
    row("kw", Unit::Watt, 1000.0),
    row("g/m3", Unit::GramPerCubicMetre, 1.0),
    row("grams/cubicmetre", Unit::GramPerCubicMetre, 1.0),
    row("grams/cubicmeter", Unit::GramPerCubicMetre, 1.0),
    row("mg/m3", Unit::GramPerCubicMetre, 0.001),
    row("count", Unit::Count, 1.0),
    row("piece", Unit::Count, 1.0),
    row("pc", Unit::Count, 1.0),
    row("times", Unit::Times, 1.0),
    row("x", Unit::Times, 1.0),
    row("×", Unit::Times, 1.0),
    row("mm/day", Unit::MillimetrePerDay, 1.0),
    row("mm/d", Unit::MillimetrePerDay, 1.0),
    row("cm/day", Unit::MillimetrePerDay, 10.0),
    row("mm/h", Unit::MillimetrePerDay, 24.0),
    row("in/day", Unit::MillimetrePerDay, 25.4),
    row("inches/day", Unit::MillimetrePerDay, 25.4),
    row("1/h", Unit::PerHour, 1.0),
    row("1/hr", Unit::PerHour, 1.0),
    row("1/hour", Unit::PerHour, 1.0),
    row("/h", Unit::PerHour, 1.0),
    row("/hr", Unit::PerHour, 1.0),
    row("/hour", Unit::PerHour, 1.0),
    row("ach", Unit::PerHour, 1.0),
    row("times/hour", Unit::PerHour, 1.0),
    row("airchanges/hour", Unit::PerHour, 1.0),
    row("changes/hour", Unit::PerHour, 1.0),
];

/// A unit as written, brought to the form of the table.
fn canonical(written: &str) -> String {
    // Words of their own only, so that "percent" stays whole: "metres per second", "changes an hour".
    let words: Vec<&str> = written
        .split_whitespace()
        .map(|word| {
            let each = ["per", "an", "a"]
                .iter()
                .any(|each| word.eq_ignore_ascii_case(each));
            if each { "/" } else { word }
        })
        .collect();
    words
        .concat()
        .to_lowercase()
        .trim_end_matches('.')
        .replace('³', "3")
        .replace('º', "°")
        .replace('″', "\"")
        .replace('′', "'")
        .replace('^', "")
}

/// What a unit is worth as a grower wrote it; none if it is in no table.
pub(crate) fn find(written: &str) -> Option<Spelling> {
    let wanted = canonical(written);
    let exact = |text: &str| SPELLINGS.iter().find(|row| row.text == text).copied();
    exact(&wanted).or_else(|| {
        // Plurals: "lbs", "quarts"; never of a single letter, where an s means something else.
        let singular = wanted.strip_suffix('s').filter(|text| text.len() > 1)?;
        exact(singular)
    })
}

/// The spelling most like this one of those that fit `expected`; none if nothing is near.
pub(crate) fn nearest(written: &str, expected: Unit) -> Option<&'static str> {
    let wanted: Vec<char> = canonical(written).chars().collect();
    // One slip in a short unit, two in a long one.
    let allowed = if wanted.len() <= 3 { 1 } else { 2 };
    let base = expected.base().0;
    SPELLINGS
        .iter()
        .filter(|row| row.base == base)
        .map(|row| (slips(&wanted, row.text), row.text))
        .filter(|&(slips, text)| slips <= allowed && slips < wanted.len().min(text.chars().count()))
        .min_by_key(|&(slips, _)| slips)
        .map(|(_, text)| text)
}

/// Least number of letters to add, drop or change (Levenshtein's distance).
fn slips(one: &[char], other: &str) -> usize {
    let other: Vec<char> = other.chars().collect();
    let mut row: Vec<usize> = (0..=other.len()).collect();
    for (i, a) in one.iter().enumerate() {
        let mut diagonal = row[0];
        row[0] = i + 1;
        for (j, b) in other.iter().enumerate() {
            let change = diagonal + usize::from(a != b);
            diagonal = row[j + 1];
            row[j + 1] = change.min(row[j] + 1).min(diagonal + 1);
        }
    }
    row[other.len()]
}
