//! Growth from sizes measured at two times: `12 mm at 2026-05-03 08:00, 19 mm at 2026-05-04 08:00`.

use std::fmt;

use jiff::civil::{Date, DateTime, time};

use crate::engine::quantity::{Measured, Unit, parse_reading};

/// Standard deviation of a size read off a ruler, in millimetres.
///
/// judgement: a ruler or a coin beside a fuzzy rim tells one millimetre from the next and no more.
const SIZE_ERROR_MM: f64 = 1.0;
/// Standard deviation of a time of which only the day is told, in days.
///
/// judgement: any hour of the day is as likely as any other, so a day divided by the square root of 12.
const DAY_ERROR: f64 = 0.29;
/// Sizes that shrink by no more than this were read off twice with an error; they count as no growth.
const LARGEST_SLIP_MM: f64 = 2.0;
/// The largest size that makes sense, in millimetres.
const LARGEST_MM: f64 = 5000.0;

/// How far a spot was across, from rim to rim, and when.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Size {
    /// Millimetres across.
    pub across_mm: f64,
    /// When; noon where only the day was told.
    pub at: DateTime,
    /// Whether only the day was told.
    pub day_only: bool,
}

/// What two sizes come to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Growth {
    /// The earlier size.
    pub from: Size,
    /// The later size.
    pub to: Size,
    /// How far the rim moved in a day, in millimetres: half of what the spot grew across.
    pub rim_mm_day: f64,
    /// Its standard deviation.
    pub error_mm_day: f64,
}

impl Size {
    /// Reads a size with its time, as in `12 mm at 2026-05-03 08:00` or `1.5 cm on 2026-05-03`.
    ///
    /// # Errors
    /// What was not understood, and how to write it.
    pub fn parse(text: &str) -> Result<Self, String> {
        let (size, when) = [" at ", " on "]
            .iter()
            .find_map(|word| text.split_once(word))
            .ok_or_else(|| format!("`{}` says no time; write it like {EXAMPLE}", text.trim()))?;
        let when = when.trim().replacen(' ', "T", 1);
        let day = when.parse::<Date>().ok().filter(|_| !when.contains('T'));
        let at = match day {
            Some(day) => Some(day.to_datetime(time(12, 0, 0, 0))),
            None => when.parse::<DateTime>().ok().map(to_the_minute),
        };
        // A year before the first could not be written so that it reads back.
        let at = at
            .filter(|at| at.year() > 0)
            .ok_or_else(|| format!("`{}` is no time; write it like {EXAMPLE}", text.trim()))?;
        Ok(Self {
            across_mm: across(size)?,
            at,
            day_only: day.is_some(),
        })
    }

    /// A size that was read off at this time.
    ///
    /// # Errors
    /// What was not understood, and how to write it.
    pub fn read_at(text: &str, at: DateTime) -> Result<Self, String> {
        Ok(Self {
            across_mm: across(text)?,
            at: to_the_minute(at),
            day_only: false,
        })
    }
}

impl fmt::Display for Size {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let at = if self.day_only {
            self.at.strftime("on %Y-%m-%d")
        } else {
            self.at.strftime("at %Y-%m-%d %H:%M")
        };
        write!(f, "{} mm {at}", self.across_mm)
    }
}

/// Parts of a minute are nothing to a spot that grows for days, and are not written down.
fn to_the_minute(at: DateTime) -> DateTime {
    let whole = at.with().second(0).subsec_nanosecond(0).build();
    whole.unwrap_or(at)
}

/// How a size is written.
const EXAMPLE: &str = "`12 mm at 2026-05-03 08:00`";

/// Millimetres across; a bare number counts millimetres.
fn across(text: &str) -> Result<f64, String> {
    let text = text.trim();
    let bare: Result<f64, _> = text.parse();
    let mm = match bare {
        Ok(mm) => mm,
        Err(_) => {
            let read = parse_reading(text, Unit::Centimetre).map_err(|error| error.to_string())?;
            10.0 * read.value
        }
    };
    // To a hundredth, so that it is shown as it was typed and reads back as it is shown.
    let mm = (mm * 100.0).round() / 100.0;
    if mm > 0.0 && mm <= LARGEST_MM {
        Ok(mm)
    } else {
        Err(format!("`{text}` cannot be the size of a spot"))
    }
}

/// Sizes with their times, parted by commas, semicolons or `then`.
///
/// # Errors
/// What was not understood, and how to write it.
pub fn sizes(text: &str) -> Result<Vec<Size>, String> {
    text.replace(" then ", ",")
        .split([',', ';'])
        .map(|part| Size::parse(part.trim()))
        .collect()
}

/// Whether a text speaks of sizes and times rather than of one number.
pub fn speaks_of_sizes(text: &str) -> bool {
    text.contains(" at ") || text.contains(" on ")
}

/// Growth from the first to the last of these sizes, whatever order they come in.
///
/// # Errors
/// Where there are fewer than two, they were taken at one time, or the spot shrank.
pub fn growth(sizes: &[Size]) -> Result<Growth, String> {
    let from = sizes.iter().min_by_key(|size| size.at);
    let to = sizes.iter().max_by_key(|size| size.at);
    let (Some(from), Some(to)) = (from, to) else {
        return Err(format!(
            "growth takes two sizes, each with its time, like {EXAMPLE}"
        ));
    };
    let days = (to.at - from.at)
        .total((jiff::Unit::Hour, from.at))
        .map_err(|error| error.to_string())?
        / 24.0;
    if days <= 0.0 {
        return Err(format!(
            "growth takes two sizes from different times; {from} and {to} are of one"
        ));
    }
    let grown = to.across_mm - from.across_mm;
    if grown < -LARGEST_SLIP_MM {
        return Err(format!(
            "it cannot have shrunk from {from} to {to}; measure from rim to rim at the same place"
        ));
    }
    let rim = grown.max(0.0) / 2.0 / days;
    let of_sizes = SIZE_ERROR_MM * std::f64::consts::SQRT_2 / 2.0 / days;
    let blurred = [from, to].iter().filter(|size| size.day_only).count() as f64;
    let of_times = rim * DAY_ERROR * blurred.sqrt() / days;
    Ok(Growth {
        from: *from,
        to: *to,
        rim_mm_day: rim,
        error_mm_day: of_sizes.hypot(of_times),
    })
}

impl Growth {
    /// It as a reading.
    pub fn measured(&self) -> Measured {
        Measured {
            value: self.rim_mm_day,
            tolerance: Some(self.error_mm_day),
        }
    }

    /// It in a sentence, with what is meant by it and how sure it is.
    pub fn in_words(&self) -> String {
        format!(
            "from {} to {}: {:.1} mm a day across, so the rim moved {:.1} mm a day, give or take {:.1} (sizes read to \
             1 mm)",
            self.from,
            self.to,
            self.rim_mm_day * 2.0,
            self.rim_mm_day,
            self.error_mm_day
        )
    }
}

#[cfg(test)]
mod tests {
    use super::{Size, growth, sizes};

    #[test]
    fn two_sizes_a_day_apart_give_the_rims_way() {
        let read = sizes("12 mm at 2026-05-03 08:00, 1.9 cm at 2026-05-04T08:00").expect("two");
        let grown = growth(&read).expect("it grew");
        // 7 mm across in a day, so 3.5 at the rim; two readings off by 1 mm each: the root of 2, halved.
        assert!((grown.rim_mm_day - 3.5).abs() < 1e-9);
        assert!((grown.error_mm_day - 0.5_f64.sqrt()).abs() < 1e-9);
        assert!(grown.in_words().contains("3.5 mm a day, give or take 0.7"));
        // The order they are told in does not matter, and twice the time halves both.
        let slower = sizes("19 at 2026-05-05 08:00; 12 at 2026-05-03 08:00").expect("two");
        let slower = growth(&slower).expect("it grew");
        assert!((slower.rim_mm_day - 1.75).abs() < 1e-9);
        assert!((slower.error_mm_day - 0.5_f64.sqrt() / 2.0).abs() < 1e-9);
    }

    #[test]
    fn a_day_without_an_hour_makes_it_less_sure() {
        let hours = growth(&sizes("12 at 2026-05-03 12:00, 32 at 2026-05-04 12:00").expect("two"));
        let days = growth(&sizes("12 mm on 2026-05-03, 32 mm on 2026-05-04").expect("two"));
        let (hours, days) = (hours.expect("it grew"), days.expect("it grew"));
        assert!((hours.rim_mm_day - days.rim_mm_day).abs() < 1e-9);
        assert!(days.error_mm_day > 2.0 * hours.error_mm_day);
    }

    #[test]
    fn what_is_no_growth_is_refused_and_a_slip_of_the_ruler_is_none() {
        let refused = |text: &str| {
            sizes(text)
                .and_then(|sizes| growth(&sizes))
                .expect_err(text)
        };
        assert!(refused("12 mm").contains("no time"));
        assert!(refused("12 mm at noon").contains("is no time"));
        assert!(refused("12 ppm at 2026-05-03 08:00").contains("ppm"));
        assert!(refused("0 at 2026-05-03 08:00").contains("cannot be the size"));
        assert!(refused("12 at 2026-05-03 08:00").contains("different times"));
        assert!(refused("20 at 2026-05-03 08:00, 12 at 2026-05-04 08:00").contains("shrunk"));
        let slip = sizes("20 at 2026-05-03 08:00, 19 at 2026-05-04 08:00").expect("two");
        assert!(growth(&slip).expect("no growth").rim_mm_day.abs() < 1e-9);
    }

    #[test]
    fn a_size_reads_back_as_it_is_written() {
        for text in ["12 mm at 2026-05-03 08:00", "12.5 mm on 2026-05-03"] {
            let size = Size::parse(text).expect("a size");
            assert_eq!(size.to_string(), text);
        }
        for (typed, written) in [
            ("5.006 on 2026-05-03", "5.01 mm on 2026-05-03"),
            ("5 at 2026-05-03 08:00:30.5", "5 mm at 2026-05-03 08:00"),
        ] {
            let size = Size::parse(typed).expect("a size");
            assert_eq!(size.to_string(), written);
            assert_eq!(Size::parse(written), Ok(size));
        }
        assert!(Size::parse("5 mm on -000001-05-03").is_err());
    }
}
