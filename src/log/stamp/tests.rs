use crate::log::calendar::{date_from_days, days_from_date};
use crate::log::stamp::form::{CERTAIN, Form, SHARED};
use crate::log::stamp::{DateOrder, Stamp, is_ambiguous, offset, read, unclear_zone};

/// 2026-03-04 05:06:07 on a clock that shows universal time.
const MOMENT: i64 = 1_772_600_767_000;

#[test]
fn stamps_of_any_common_form_give_the_same_moment() {
    for text in [
        "2026-03-04 05:06:07",
        "2026-03-04T05:06:07",
        "2026/03/04 05:06:07",
        "2026.03.04 5:06:07",
        "04.03.2026 05:06:07",
        "04.03.26 05:06:07",
        "20260304T050607",
        "20260304050607",
        "4 Mar 2026 05:06:07",
        "04-Mar-2026 05:06:07 AM",
        "March 4, 2026 5:06:07 a.m.",
        "Wed Mar  4 05:06:07 2026",
        "Wed, 04 Mar 2026 05:06:07",
        "05:06:07 2026-03-04",
        "2026-03-04, 05:06:07",
    ] {
        assert_eq!(
            read(text.as_bytes(), None),
            Some(Stamp::Clock(MOMENT)),
            "{text}"
        );
    }
    for (text, order) in [
        ("04/03/2026 05:06:07", DateOrder::DayFirst),
        ("03/04/2026 05:06:07", DateOrder::MonthFirst),
        ("3/4/26 5:06:07 AM", DateOrder::MonthFirst),
    ] {
        assert!(is_ambiguous(text.as_bytes(), None), "{text}");
        assert_eq!(
            read(text.as_bytes(), Some(order)),
            Some(Stamp::Clock(MOMENT)),
            "{text}"
        );
        assert_eq!(read(text.as_bytes(), None), None, "{text}");
    }
    for (text, offset) in [
        ("2026-03-04T05:06:07Z", 0),
        ("2026-03-04 06:06:07+01:00", 3600),
        ("2026-03-03T21:36:07 -0730", -27_000),
        ("2026-03-04 07:06:07 UTC+2", 7200),
        ("1772600767", 0),
        ("1772600767000", 0),
        ("1772600767000000000", 0),
    ] {
        let wanted = Some(Stamp::Instant(MOMENT, offset));
        assert_eq!(read(text.as_bytes(), None), wanted, "{text}");
    }
    let parts = [
        ("2026-03-04 05:06:07.250", Stamp::Clock(MOMENT + 250)),
        ("2026-03-04 05:06:07,2509999", Stamp::Clock(MOMENT + 250)),
        ("1772600767.25", Stamp::Instant(MOMENT + 250, 0)),
        ("2026-03-04 05:06", Stamp::Clock(MOMENT - 7000)),
        (
            "3/14/2026 12:00 PM",
            Stamp::Clock(MOMENT + 10 * 86_400_000 + 24_833_000),
        ),
        (
            "14/3/2026 12:00 AM",
            Stamp::Clock(MOMENT + 10 * 86_400_000 - 18_367_000),
        ),
        ("2026-03-03 24:00", Stamp::Clock(MOMENT - 18_367_000)),
        ("2026-03-04", Stamp::Clock(MOMENT - 18_367_000)),
    ];
    for (text, wanted) in parts {
        assert_eq!(read(text.as_bytes(), None), Some(wanted), "{text}");
    }
}

#[test]
fn what_is_no_stamp_is_not_read() {
    for text in [
        "",
        "yesterday",
        "2026-02-29 00:00",
        "2026-13-01",
        "31/04/2026 10:00",
        "2026-03-04 25:00",
        "2026-03-04 05:61",
        "2026-03-04 13:00 PM",
        "60",
        "2026-03-04 05:06:07 XYZ",
        "04/03/2026/1",
        "2026-03-04 05:06:07 x",
        "12:30",
        "99999999",
        "2026-03-04 5",
    ] {
        let read = read(text.as_bytes(), Some(DateOrder::DayFirst));
        assert_eq!(read, None, "{text}");
    }
}

#[test]
fn dates_go_there_and_back_with_leap_days() {
    assert_eq!(days_from_date(1970, 1, 1), Some(0));
    assert_eq!(days_from_date(2000, 2, 29), Some(11_016));
    assert_eq!(days_from_date(2024, 2, 29), Some(19_782));
    assert_eq!(days_from_date(2026, 2, 29), None);
    assert_eq!(days_from_date(2100, 2, 29), None);
    for days in 0..84_000 {
        let (year, month, day) = date_from_days(days);
        assert_eq!(days_from_date(year, month, day), Some(days));
    }
}

#[test]
fn zones_by_their_usual_letters_are_read_and_shared_ones_asked_for() {
    // Noon there is so many hours before or after noon in Greenwich.
    let noon = 1_772_625_600_000;
    for (letters, hours) in [
        ("UTC", 0.0),
        ("gmt", 0.0),
        ("CET", 1.0),
        ("CEST", 2.0),
        ("EST", -5.0),
        ("EDT", -4.0),
        ("CDT", -5.0),
        ("MST", -7.0),
        ("MDT", -6.0),
        ("PST", -8.0),
        ("PDT", -7.0),
        ("ACST", 9.5),
        ("UTC +2", 2.0),
        ("GMT-0330", -3.5),
    ] {
        let seconds = (hours * 3600.0) as i32;
        let wanted = Some(Stamp::Instant(noon - i64::from(seconds) * 1000, seconds));
        for text in [
            format!("2026-03-04 12:00:00 {letters}"),
            format!("4 Mar 2026 12:00 {letters}"),
        ] {
            assert_eq!(read(text.as_bytes(), None), wanted, "{text}");
        }
    }
    // As the clock of a Unix system writes it.
    let unix = "Wed Mar  4 12:00:00 CET 2026";
    assert_eq!(
        read(unix.as_bytes(), None),
        Some(Stamp::Instant(noon - 3_600_000, 3600))
    );
    for (place, (letters, meanings)) in SHARED.iter().enumerate() {
        let text = format!("2026-03-04 12:00 {letters}");
        assert_eq!(read(text.as_bytes(), None), None, "{text}");
        assert_eq!(
            unclear_zone(text.as_bytes(), Form::default()),
            Some(place),
            "{text}"
        );
        for (offset, _) in *meanings {
            let mut form = Form::default();
            form.meanings[place] = Some(*offset);
            let wanted = Stamp::Instant(noon - i64::from(*offset) * 1000, *offset);
            assert_eq!(read(text.as_bytes(), form), Some(wanted), "{text}");
            assert_eq!(unclear_zone(text.as_bytes(), form), None);
        }
        assert!(CERTAIN.iter().all(|(name, _)| name != letters));
    }
    for text in [
        "2026-03-04 12:00 XYZ",
        "2026-03-04 12:00",
        "CST",
        "03/04/2026",
    ] {
        assert_eq!(
            unclear_zone(text.as_bytes(), Form::default()),
            None,
            "{text}"
        );
    }
    assert_eq!(read(b"2026-03-04 12:00 XYZ", None), None);
    for (text, seconds) in [
        ("-06:00", Some(-21_600)),
        ("+5:30", Some(19_800)),
        ("UTC-6", Some(-21_600)),
        ("EST", Some(-18_000)),
        ("CST", None),
        ("6", None),
        ("+99", None),
        ("", None),
    ] {
        assert_eq!(offset(text), seconds, "{text}");
    }
}

/// 45992 days after 30 December 1899 are 1 December 2025, by the calendar of Python's `datetime`.
#[test]
fn the_day_numbers_of_a_spreadsheet_are_read_where_the_column_counts_days() {
    let counting = Form {
        day_numbers: true,
        ..Form::default()
    };
    let midnight = days_from_date(2025, 12, 1).expect("a day") * 86_400_000;
    for (text, ms) in [
        ("45992", 0),
        ("45992.0", 0),
        ("45992.5208333333", 45_000_000),
        ("45992,5208333333", 45_000_000),
        // Four decimals are good to nine seconds.
        ("45992.5208", 44_997_120),
        ("45992 12:30:00", 45_000_000),
        ("45992.99999", 86_399_136),
    ] {
        assert_eq!(
            read(text.as_bytes(), counting),
            Some(Stamp::Clock(midnight + ms)),
            "{text}"
        );
        assert_eq!(read(text.as_bytes(), None), None, "{text}");
    }
    for text in [
        "36525",
        "73051",
        "4599",
        "459920",
        "45992.5.1",
        "45992.5e2",
        "-45992",
        "45992.",
    ] {
        let read = read(text.as_bytes(), counting);
        assert!(read.is_none() || text == "45992.", "{text}: {read:?}");
    }
}
