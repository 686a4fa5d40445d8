//! What growers write, and what must be refused.

use super::*;
use proptest::prelude::*;

#[track_caller]
fn read(text: &str, unit: Unit) -> Measured {
    parse_reading(text, unit).unwrap_or_else(|problem| panic!("`{text}`: {problem}"))
}

#[track_caller]
fn reads(text: &str, unit: Unit, value: f64) {
    let got = read(text, unit);
    assert!(
        (got.value - value).abs() <= 1e-9 * value.abs().max(1.0),
        "`{text}`: {got:?}"
    );
    assert_eq!(got.tolerance, None, "`{text}`");
}

#[track_caller]
fn reads_with(text: &str, unit: Unit, value: f64, half_width: f64) {
    let got = read(text, unit);
    assert!((got.value - value).abs() < 1e-9, "`{text}`: {got:?}");
    // Limits without a stated coverage: divided by the root of 3 (GUM 4.3.7).
    let tolerance = got
        .tolerance
        .unwrap_or_else(|| panic!("`{text}`: no tolerance"));
    assert!(
        (tolerance - half_width / 3.0_f64.sqrt()).abs() < 1e-9,
        "`{text}`: {got:?}"
    );
}

/// The part of the text that is at fault.
#[track_caller]
fn fault(text: &str, unit: Unit) -> (QuantityError, &str) {
    let problem = match parse_reading(text, unit) {
        Err(problem) => problem,
        Ok(got) => panic!("`{text}` was read as {got:?}"),
    };
    let span = problem.span();
    (problem, &text[span])
}

#[test]
fn plain_readings() {
    reads("2900 ppm", Unit::Ppm, 2900.0);
    reads("2.9k ppm", Unit::Ppm, 2900.0);
    reads("2.9 k ppm", Unit::Ppm, 2900.0);
    reads("3K", Unit::Ppm, 3000.0);
    reads("2900", Unit::Ppm, 2900.0);
    reads("  900ppm\n", Unit::Ppm, 900.0);
    reads("about 90%", Unit::Percent, 90.0);
    reads("~90 % RH", Unit::Percent, 90.0);
    reads("approx. 90 percent", Unit::Percent, 90.0);
    reads("90 %.", Unit::Percent, 90.0);
    reads("3", Unit::Count, 3.0);
    reads("2 x", Unit::Times, 2.0);
    reads("2 times", Unit::Times, 2.0);
}

#[test]
fn a_unit_may_stand_before_its_number() {
    reads("RH 94", Unit::Percent, 94.0);
    reads("RH: 94", Unit::Percent, 94.0);
    reads("rh=94 %", Unit::Percent, 94.0);
    reads("about RH 94", Unit::Percent, 94.0);
    reads("ppm 2900", Unit::Ppm, 2900.0);
    reads_with("RH 80 to 85", Unit::Percent, 82.5, 2.5);
    // It has to fit, and to be followed by a number.
    assert_eq!(fault("RH 94", Unit::Celsius).1, "RH");
    assert_eq!(fault("RH", Unit::Percent).1, "RH");
}

#[test]
fn what_stands_in_a_growers_notes() {
    reads("68F", Unit::Celsius, 20.0);
    reads("about 90%", Unit::Percent, 90.0);
    reads("2.9k ppm", Unit::Ppm, 2900.0);
    reads_with("between 80 and 85 %", Unit::Percent, 82.5, 2.5);
    // NIST Special Publication 811 (2008), appendix B: 1 ft3 = 28.316 846 592 L, 1 qt = 0.946 352 946 L.
    reads("15 cu ft", Unit::Litre, 15.0 * 28.316_846_592);
    reads("70 qt", Unit::Litre, 70.0 * 0.946_352_946);
    reads("94", Unit::Percent, 94.0);
}

#[test]
fn temperatures() {
    reads("68F", Unit::Celsius, 20.0);
    reads("68 °F", Unit::Celsius, 20.0);
    reads("68 degrees F", Unit::Celsius, 20.0);
    reads("20 °C", Unit::Celsius, 20.0);
    reads("20C", Unit::Celsius, 20.0);
    reads("20º", Unit::Celsius, 20.0);
    reads("-3 °C", Unit::Celsius, -3.0);
    reads("\u{2212}3 degrees celsius", Unit::Celsius, -3.0);
    reads("-40 f", Unit::Celsius, -40.0);
}

#[test]
fn thousands_and_decimals() {
    reads("1,200 lux", Unit::Lux, 1200.0);
    reads("1\u{202f}200 lux", Unit::Lux, 1200.0);
    reads("1,200.5 lux", Unit::Lux, 1200.5);
    reads("1.200,5 lux", Unit::Lux, 1200.5);
    reads("1,200,000", Unit::Lux, 1_200_000.0);
    reads("1.200.000", Unit::Lux, 1_200_000.0);
    reads("0,5 m", Unit::Metre, 0.5);
    reads("0,250 m", Unit::Metre, 0.25);
    reads("1,25 m", Unit::Metre, 1.25);
    reads(".5 m/s", Unit::MetrePerSecond, 0.5);
    reads("0.5 m/s", Unit::MetrePerSecond, 0.5);
}

#[test]
fn units_of_both_systems() {
    // NIST SP 811, appendix B.
    reads("12 CFM", Unit::CubicMetrePerHour, 20.388_129_546_24);
    reads("12 m³/h", Unit::CubicMetrePerHour, 12.0);
    reads("12 cubic metres per hour", Unit::CubicMetrePerHour, 12.0);
    reads("100 ft/min", Unit::MetrePerSecond, 0.508);
    reads("2 ft", Unit::Metre, 0.6096);
    reads("2 ft", Unit::Centimetre, 60.96);
    reads("10 in", Unit::Centimetre, 25.4);
    reads("10\"", Unit::Centimetre, 25.4);
    reads("1.5 m", Unit::Centimetre, 150.0);
    reads("3 weeks", Unit::Day, 21.0);
    reads("23 days", Unit::Day, 23.0);
    reads("36 h", Unit::Day, 1.5);
    reads("2 days", Unit::Hour, 48.0);
    reads("30 minutes", Unit::Hour, 0.5);
    reads("1.5 kg", Unit::Gram, 1500.0);
    reads("2 lb", Unit::Kilogram, 0.907_184_74);
    reads("2 lbs", Unit::Gram, 907.184_74);
    reads("70 qt", Unit::Litre, 66.244_706_22);
    reads("10 gallons", Unit::Litre, 37.854_117_84);
    reads("0.25 m3", Unit::Litre, 250.0);
    reads("20 s", Unit::Second, 20.0);
    reads("1.5 min", Unit::Second, 90.0);
    reads("45 seconds", Unit::Hour, 0.0125);
    reads("12 W", Unit::Watt, 12.0);
    reads("1.5 kW", Unit::Watt, 1500.0);
    reads("15 cu. ft", Unit::Litre, 424.752_698_88);
    reads("0.1 inWG", Unit::Pascal, 24.908_89);
    reads("300 mL/h", Unit::GramPerHour, 300.0);
    reads("2.3 hPa", Unit::Pascal, 230.0);
    reads("12 g/m3", Unit::GramPerCubicMetre, 12.0);
    reads("1 in/day", Unit::MillimetrePerDay, 25.4);
    reads("4 1/h", Unit::PerHour, 4.0);
    reads("4 per hour", Unit::PerHour, 4.0);
    reads("4 air changes an hour", Unit::PerHour, 4.0);
    reads("4 ACH", Unit::PerHour, 4.0);
}

#[test]
fn tolerances() {
    reads_with("94 % ± 3", Unit::Percent, 94.0, 3.0);
    reads_with("94% +/- 3", Unit::Percent, 94.0, 3.0);
    reads_with("94 ± 3 %", Unit::Percent, 94.0, 3.0);
    reads_with("94 +- 3", Unit::Percent, 94.0, 3.0);
    reads_with("94 % plus or minus 3 %", Unit::Percent, 94.0, 3.0);
    // A difference of 1.8 °F is one of 1 °C; the zero does not shift.
    reads_with("68 °F ± 1.8", Unit::Celsius, 20.0, 1.0);
    reads_with("68 °F ± 1 °C", Unit::Celsius, 20.0, 1.0);
    reads_with("20 ± 1.8 F", Unit::Celsius, 20.0, 1.0);
    // A share of the reading, where the reading is not in percent itself.
    reads_with("2000 ppm ± 5 %", Unit::Ppm, 2000.0, 100.0);
    reads_with("2k ppm ± 0.1k", Unit::Ppm, 2000.0, 100.0);
    reads_with("50 cm ± 10 mm", Unit::Metre, 0.5, 0.01);
    assert_eq!(read("94 % ± 0", Unit::Percent).tolerance, Some(0.0));
}

#[test]
fn ranges() {
    reads_with("between 80 and 85 %", Unit::Percent, 82.5, 2.5);
    reads_with("80 to 85 %", Unit::Percent, 82.5, 2.5);
    reads_with("80-85%", Unit::Percent, 82.5, 2.5);
    reads_with("80 % – 85 %", Unit::Percent, 82.5, 2.5);
    reads_with("80..85", Unit::Percent, 82.5, 2.5);
    reads_with("from 85 to 80 %", Unit::Percent, 82.5, 2.5);
    reads_with(
        "about 64 to 68 F",
        Unit::Celsius,
        18.888_888_888_888_89,
        10.0 / 9.0,
    );
    reads_with("-5 to -3 °C", Unit::Celsius, -4.0, 1.0);
    reads_with("-5--3 °C", Unit::Celsius, -4.0, 1.0);
    reads_with("2 ft to 1 m", Unit::Metre, 0.8048, 0.1952);
    reads_with("2k-3k ppm", Unit::Ppm, 2500.0, 500.0);
}

#[test]
fn what_is_no_number_is_refused_where_it_stands() {
    for text in [
        "nan",
        "inf",
        "-inf",
        "infinity",
        "lots",
        "ppm x 900",
        "-",
        "∞",
    ] {
        let (problem, at) = fault(text, Unit::Ppm);
        assert!(
            matches!(problem, QuantityError::NoNumber { .. }),
            "{problem:?}"
        );
        assert_eq!(at, text);
    }
    for text in ["", "   ", "\n", " . "] {
        assert!(matches!(
            fault(text, Unit::Ppm).0,
            QuantityError::Empty { .. }
        ));
    }
    let (problem, at) = fault("about lots", Unit::Ppm);
    assert!(matches!(problem, QuantityError::NoNumber { .. }));
    assert_eq!(at, "lots");
    for text in ["1,2,3", "1.2.3", "1,20,000", "1,2.3,4", "1.200,5,6"] {
        let (problem, at) = fault(text, Unit::Ppm);
        assert!(
            matches!(problem, QuantityError::BadNumber { .. }),
            "{problem:?}"
        );
        assert_eq!(at, text);
    }
    let huge = "9".repeat(400);
    assert!(matches!(
        fault(&huge, Unit::Ppm).0,
        QuantityError::TooLarge { .. }
    ));
    let nearly = "9".repeat(307);
    for text in [
        format!("{nearly} klux"),
        format!("{nearly}k"),
        format!("0 to {nearly} klux"),
    ] {
        assert!(
            matches!(fault(&text, Unit::Lux).0, QuantityError::TooLarge { .. }),
            "{text}"
        );
    }
}

#[test]
fn a_second_number_is_refused_where_it_stands() {
    for (text, wanted) in [
        ("20 30 %", "30 %"),
        ("20 % 30", "30"),
        ("20 % 30 %", "30 %"),
        ("80 to 85 to 90 %", "to 90 %"),
        ("80 ± 3 ± 2", "± 2"),
        ("2 ft 3 in", "3 in"),
    ] {
        let (problem, at) = fault(text, Unit::Percent);
        assert!(
            matches!(problem, QuantityError::SecondNumber { .. }),
            "`{text}`: {problem:?}"
        );
        assert_eq!(at, wanted);
    }
}

#[test]
fn a_missing_or_negative_tolerance_is_refused() {
    for (text, wanted) in [
        ("94 % ±", "±"),
        ("94 % +/-", "+/-"),
        ("94 % ± -3", "±"),
        ("80 to", "to"),
        ("between 80 %", "between"),
        ("94±", "±"),
        // A blank of more than one byte before the sign once cut a character in two.
        ("94 %\u{a0}±", "±"),
        ("94 %\u{a0}plus or minus", "plus or minus"),
    ] {
        let (problem, at) = fault(text, Unit::Percent);
        assert!(
            matches!(problem, QuantityError::BadTolerance { .. }),
            "`{text}`: {problem:?}"
        );
        assert_eq!(at, wanted);
    }
}

#[test]
fn an_unknown_unit_is_named_with_the_nearest_known_one() {
    for (text, unit, wrong, wanted) in [
        ("900 pmm", Unit::Ppm, "pmm", "ppm"),
        ("500 luxx", Unit::Lux, "luxx", "lux"),
        ("20 celcius", Unit::Celsius, "celcius", "celsius"),
        ("20 K", Unit::Celsius, "K", "C"),
        ("3 fortnights", Unit::Day, "fortnights", "day"),
        ("12 galons", Unit::Litre, "galons", "gallon"),
        ("1e3 ppm", Unit::Ppm, "e3 ppm", "ppm"),
    ] {
        let (problem, at) = fault(text, unit);
        let QuantityError::UnknownUnit { nearest, .. } = &problem else {
            panic!("`{text}`: {problem:?}");
        };
        assert_eq!((nearest.as_str(), at), (wanted, wrong), "`{text}`");
    }
    assert_eq!(
        fault("900 pmm", Unit::Ppm).0.to_string(),
        "the unit `pmm` is not known; did you mean `ppm`?"
    );
}

#[test]
fn a_unit_of_another_kind_is_refused_where_it_stands() {
    for (text, unit, wanted) in [
        ("500 lux", Unit::Celsius, "lux"),
        ("20 °C", Unit::Percent, "°C"),
        ("90 %", Unit::Ppm, "%"),
        ("5 m/s", Unit::Metre, "m/s"),
        ("5 L", Unit::GramPerHour, "L"),
        ("94 % ± 3 °C", Unit::Percent, "°C"),
        ("20 °C to 30 %", Unit::Celsius, "%"),
    ] {
        let (problem, at) = fault(text, unit);
        assert!(
            matches!(problem, QuantityError::WrongKind { .. }),
            "`{text}`: {problem:?}"
        );
        assert_eq!(at, wanted);
    }
    assert_eq!(
        fault("500 lux", Unit::Celsius).0.to_string(),
        "`lux` does not fit here; a value in C is asked for, for example `20 °C`"
    );
}

#[test]
fn control_characters_are_refused_where_they_stand() {
    for (text, wanted) in [
        ("9\u{0}0 %", "\u{0}"),
        ("90\t%", "\t"),
        ("\u{1b}[31m90 %", "\u{1b}"),
    ] {
        let (problem, at) = fault(text, Unit::Percent);
        assert!(matches!(problem, QuantityError::ControlCharacter { .. }));
        assert_eq!(at, wanted);
        assert!(!problem.to_string().contains(char::is_control));
    }
}

#[test]
fn symbols_lead_back_to_their_units() {
    for unit in Unit::ALL {
        assert_eq!(Unit::parse(unit.symbol()), Some(unit));
        // The files' symbols and the examples in messages are understood from growers as well.
        assert_eq!(read(&format!("7 {unit}"), unit).value, 7.0);
        assert!(
            parse_reading(unit.example(), unit).is_ok(),
            "{}",
            unit.example()
        );
        let json = serde_json::to_string(&unit).expect("a name");
        assert_eq!(json, format!("\"{}\"", unit.symbol()));
    }
    assert_eq!(Unit::parse("furlong"), None);
    assert_eq!(Unit::parse("c"), None);
}

#[test]
fn every_spelling_stands_once_in_canonical_form() {
    let mut seen = std::collections::BTreeSet::new();
    for row in spellings::SPELLINGS {
        assert!(seen.insert(row.text), "`{}` stands twice", row.text);
        assert_eq!(spellings::find(row.text), Some(*row));
        assert_eq!(row.base.base(), (row.base, 1.0), "`{}`", row.text);
    }
}

#[test]
fn values_are_shown_to_three_digits() {
    for (value, unit, metric, imperial) in [
        (20.0, Unit::Celsius, "20 °C", "68 °F"),
        (18.31, Unit::Celsius, "18.3 °C", "65 °F"),
        (-0.01, Unit::Celsius, "0 °C", "32 °F"),
        (90.0, Unit::Percent, "90 %", "90 %"),
        (0.4567, Unit::Percent, "0.457 %", "0.457 %"),
        (2900.0, Unit::Ppm, "2900 ppm", "2900 ppm"),
        (12_345.0, Unit::Ppm, "12300 ppm", "12300 ppm"),
        (12.0, Unit::CubicMetrePerHour, "12 m³/h", "7.06 CFM"),
        (66.0, Unit::Litre, "66 L", "17.4 gal"),
        (2.0, Unit::Litre, "2 L", "2.11 qt"),
        (25.4, Unit::Centimetre, "25.4 cm", "10 in"),
        (1.5, Unit::Metre, "1.5 m", "4.92 ft"),
        (7.413, Unit::GramPerHour, "7.41 g/h", "7.41 g/h"),
        (400.0, Unit::Gram, "400 g", "14.1 oz"),
        (2.5, Unit::Kilogram, "2.5 kg", "5.51 lb"),
        (1.0, Unit::Day, "1 day", "1 day"),
        (12.0, Unit::Day, "12 days", "12 days"),
        (0.5, Unit::Hour, "0.5 hours", "0.5 hours"),
        (0.2, Unit::MetrePerSecond, "0.2 m/s", "39.4 ft/min"),
        (3.0, Unit::Count, "3", "3"),
        (3.5, Unit::Times, "3.5 times", "3.5 times"),
        (15.0, Unit::MillimetrePerDay, "15 mm/day", "0.591 in/day"),
        (4.0, Unit::PerHour, "4 per hour", "4 per hour"),
        (0.0, Unit::Lux, "0 lux", "0 lux"),
        (f64::NAN, Unit::Lux, "not known", "not known"),
    ] {
        assert_eq!(show(value, unit, System::Metric), metric);
        assert_eq!(show(value, unit, System::Imperial), imperial);
    }
    assert_eq!(
        show_difference(5.0, Unit::Celsius, System::Imperial),
        "9 °F"
    );
    assert_eq!(show_difference(5.0, Unit::Celsius, System::Metric), "5 °C");
}

fn any_unit() -> impl Strategy<Value = Unit> {
    proptest::sample::select(&Unit::ALL[..])
}

proptest! {
    #[test]
    fn what_is_shown_reads_back_as_itself(value in 0.01..90_000.0, unit in any_unit(), imperial: bool) {
        let system = if imperial { System::Imperial } else { System::Metric };
        let shown = show(value, unit, system);
        let back = read(&shown, unit).value;
        // Three digits, a tenth of a degree, or a whole count.
        let within = match unit {
            Unit::Celsius => 0.051,
            Unit::Count => 0.5,
            _ => 0.0051 * value,
        };
        prop_assert!((back - value).abs() <= within + 1e-9, "{shown}: {back} for {value}");
    }

    #[test]
    fn nothing_that_is_typed_stops_the_reader(text in "\\PC{0,24}", unit in any_unit()) {
        match parse_reading(&text, unit) {
            Ok(read) => prop_assert!(read.value.is_finite()),
            Err(problem) => {
                // The span is a part of the text, on character boundaries.
                prop_assert!(text.get(problem.span()).is_some(), "{text:?}: {problem:?}");
                prop_assert!(!problem.to_string().is_empty());
            }
        }
    }

    #[test]
    fn pieces_of_readings_never_stop_the_reader(
        pieces in proptest::collection::vec(
            proptest::sample::select(vec![
                "80", "-", "±", " ", "to", "°F", "%", "k", "1,200", ".", "between", "and", "ppm", "\u{a0}", "+/-", "é",
            ]),
            0..8,
        ),
        unit in any_unit(),
    ) {
        let text = pieces.concat();
        match parse_reading(&text, unit) {
            Ok(read) => prop_assert!(read.value.is_finite() && read.tolerance.is_none_or(|t| t >= 0.0)),
            Err(problem) => prop_assert!(text.get(problem.span()).is_some(), "{text:?}: {problem:?}"),
        }
    }
}
