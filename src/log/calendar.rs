//! Dates of the Gregorian calendar as numbers of days.

/// The earliest and latest year that is believed.
///
/// judgement: no logger in use is older, and a clock that was never set says 1970 or 2000; those are read and then
/// stand out.
const YEARS: std::ops::RangeInclusive<i64> = 1970..=2199;

/// Days since 1970 of a date of the Gregorian calendar; none for a day that does not exist.
///
/// # Source
/// Counting years from March, so that leap days come last; Richards 2013, in Explanatory Supplement to the Astronomical
/// Almanac, ch. 15 (from memory).
pub fn days_from_date(year: i64, month: i64, day: i64) -> Option<i64> {
    if !YEARS.contains(&year) || !(1..=12).contains(&month) {
        return None;
    }
    let leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
    let last = match month {
        2 if leap => 29,
        2 => 28,
        4 | 6 | 9 | 11 => 30,
        _ => 31,
    };
    if !(1..=last).contains(&day) {
        return None;
    }
    let year = if month <= 2 { year - 1 } else { year };
    let months = (month + 9) % 12;
    let day_of_year = (153 * months + 2) / 5 + day - 1;
    // 719,468 days lie between 1 March of the year 0 and 1 January 1970.
    Some(365 * year + year / 4 - year / 100 + year / 400 + day_of_year - 719_468)
}

/// Year, month and day of a number of days since 1970.
pub fn date_from_days(days: i64) -> (i64, i64, i64) {
    let shifted = days + 719_468;
    let era = shifted.div_euclid(146_097);
    let in_era = shifted.rem_euclid(146_097);
    let year_of_era = (in_era - in_era / 1460 + in_era / 36_524 - in_era / 146_096) / 365;
    let day_of_year = in_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
    let months = (5 * day_of_year + 2) / 153;
    let day = day_of_year - (153 * months + 2) / 5 + 1;
    let month = if months < 10 { months + 3 } else { months - 9 };
    let year = year_of_era + era * 400 + i64::from(month <= 2);
    (year, month, day)
}
