//! The logs of `fixtures/logs`, made from a known truth. A test compares them with what is made here; run it with
//! `MAKE_LOGS=1` to write them.

use std::fmt::Write;
use std::path::{Path, PathBuf};

/// Air outside in every log, ppm.
pub const OUTSIDE: f64 = 420.0;

/// Air changes an hour of the six falls in `openings.csv`, in their order.
pub const AIR_CHANGES: [f64; 6] = [3.0, 4.0, 6.0, 3.0, 4.0, 6.0];

/// The path of a log.
pub fn path(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("fixtures/logs")
        .join(name)
}

/// Every log with its name.
pub fn all() -> Vec<(&'static str, String)> {
    vec![
        ("clock-back.csv", clock_back()),
        ("clock-forward.csv", clock_forward()),
        ("faults.csv", faults()),
        ("hunting.csv", hunting()),
        ("leap-day.csv", leap_day()),
        ("night.csv", night()),
        ("openings.csv", openings()),
        ("semicolons.csv", semicolons()),
        ("thermal.csv", thermal()),
        ("wet-meter.csv", wet_meter()),
    ]
}

/// `day` of March 2026 and the time, so many minutes into the month.
fn march(minutes: i64) -> String {
    let (day, minute) = (minutes / 1440 + 1, minutes % 1440);
    format!("2026-03-{day:02} {:02}:{:02}:00", minute / 60, minute % 60)
}

/// A day of readings each minute. Carbon dioxide rises for two hours to 2620 ppm, then falls for two hours towards the
/// air outside with the next of [`AIR_CHANGES`]; six times.
pub fn openings() -> String {
    let mut text = "Time,Temperature (°C),Humidity (%),CO2 (ppm)\n".to_owned();
    for minute in 0..1440_i64 {
        let (cycle, within) = ((minute / 240) as usize, (minute % 240) as f64);
        let co2 = if within <= 120.0 {
            OUTSIDE + 2200.0 * within / 120.0
        } else {
            OUTSIDE + 2200.0 * (-AIR_CHANGES[cycle] * (within - 120.0) / 60.0).exp()
        };
        let temperature = 19.0 + (minute % 3) as f64 / 10.0;
        let humidity = 88 + minute % 2;
        writeln!(
            text,
            "{},{temperature:.1},{humidity},{co2:.0}",
            march(minute)
        )
        .expect("written");
    }
    text
}

/// Six hours of readings each 20 seconds. Humidity goes from 84 to 92 % and back in 12 minutes, thirty times; the
/// temperature stays.
pub fn hunting() -> String {
    let mut text = "timestamp,temp_c,rh\n".to_owned();
    for step in 0..1080_i64 {
        let seconds = step * 20;
        let within = (seconds % 720) as f64 / 720.0;
        let humidity = 84.0 + 8.0 * (1.0 - (2.0 * within - 1.0).abs());
        let (hour, minute, second) = (seconds / 3600, seconds / 60 % 60, seconds % 60);
        writeln!(
            text,
            "2026-03-01T{hour:02}:{minute:02}:{second:02}Z,20.0,{humidity:.2}"
        )
        .expect("written");
    }
    text
}

/// Saturation pressure in hPa by the Magnus form of the World Meteorological Organization: another formula than the
/// program's.
fn magnus(celsius: f64) -> f64 {
    6.112 * (17.62 * celsius / (243.12 + celsius)).exp()
}

/// Four days of readings each ten minutes. The temperature goes from 16.5 to 21.5 °C and back in a day, warmest at three
/// in the afternoon; the water in the air stays what 80 % at 19 °C holds.
pub fn thermal() -> String {
    let mut text = "Date/Time;Temp (°C);RH (%)\n".to_owned();
    let vapour = 0.80 * magnus(19.0);
    for step in 0..576_i64 {
        let minute = step * 10;
        let hour = minute as f64 / 60.0;
        let celsius = 19.0 + 2.5 * (std::f64::consts::TAU * (hour - 9.0) / 24.0).sin();
        let humidity = 100.0 * vapour / magnus(celsius);
        writeln!(text, "{};{celsius:.2};{humidity:.1}", march(minute)).expect("written");
    }
    text
}

/// What a clock in central Europe shows each quarter of an hour from 20:00 on 24 October 2026 for thirteen hours:
/// clocks are put back from 03:00 to 02:00. Humidity counts the quarters.
pub fn clock_back() -> String {
    let mut text = "Time,RH\n".to_owned();
    for quarter in 0..=52_i64 {
        let ahead = if quarter < 28 { 0 } else { 60 };
        let minutes = 20 * 60 + quarter * 15 - ahead;
        let (day, minute) = (24 + minutes / 1440, minutes % 1440);
        writeln!(
            text,
            "2026-10-{day} {:02}:{:02},{}",
            minute / 60,
            minute % 60,
            40 + quarter
        )
        .expect("written");
    }
    text
}

/// The same from 22:00 on 28 March 2026 for seven hours: clocks are put forward from 02:00 to 03:00.
pub fn clock_forward() -> String {
    let mut text = "Time,RH\n".to_owned();
    for quarter in 0..=28_i64 {
        let ahead = if quarter < 16 { 0 } else { 60 };
        let minutes = 22 * 60 + quarter * 15 + ahead;
        let (day, minute) = (28 + minutes / 1440, minutes % 1440);
        writeln!(
            text,
            "2026-03-{day} {:02}:{:02},{}",
            minute / 60,
            minute % 60,
            40 + quarter
        )
        .expect("written");
    }
    text
}

/// Two days of hourly readings across 29 February 2028, with the month first, twelve-hour clock and °F: 68.0 and 69.8
/// (20 and 21 °C) in turns.
pub fn leap_day() -> String {
    let mut text = "Date,Time,Temp (°F)\n".to_owned();
    for hour in 12..=60_i64 {
        let date = ["2/28/2028", "2/29/2028", "3/1/2028"][(hour / 24) as usize];
        let (of_day, half) = (hour % 24, if hour % 24 < 12 { "AM" } else { "PM" });
        let shown = if of_day % 12 == 0 { 12 } else { of_day % 12 };
        let fahrenheit = if hour % 2 == 0 { "68.0" } else { "69.8" };
        writeln!(text, "{date},{shown}:00 {half},{fahrenheit}").expect("written");
    }
    text
}

/// Two days of readings each half hour, without a light column: 21 °C from six to ten in the evening, 17 °C at night.
pub fn night() -> String {
    let mut text = "Time,Temperature\n".to_owned();
    for step in 0..=96_i64 {
        let minute = step * 30;
        let hour = minute / 60 % 24;
        let celsius = if (6..22).contains(&hour) { 21 } else { 17 };
        writeln!(text, "{},{celsius}", march(minute)).expect("written");
    }
    text
}

/// A day of readings each five minutes from a meter that gets wet: humidity moves about 90 %, sits at 99.9 % from eight
/// to five in the afternoon, and moves again. The thermometer stands at 21.4 °C from four in the morning on. Carbon
/// dioxide stands at 5000 ppm, the end of the meter's range, from ten to two.
pub fn wet_meter() -> String {
    let mut text = "Time,Temperature (°C),Humidity (%),CO2 (ppm)\n".to_owned();
    for step in 0..288_i64 {
        let minute = step * 5;
        let wiggle = (step % 4) as f64 / 10.0;
        let humidity = if (480..=1020).contains(&minute) {
            99.9
        } else {
            90.0 + wiggle
        };
        let celsius = if minute < 240 { 21.0 + wiggle } else { 21.4 };
        let co2 = if (600..=840).contains(&minute) {
            5000
        } else {
            900 + step % 4
        };
        writeln!(text, "{},{celsius:.1},{humidity:.1},{co2}", march(minute)).expect("written");
    }
    text
}

/// What some loggers write: lines about themselves, semicolons, decimal commas, points in dates, a byte order mark, lines
/// that end as on other systems.
pub fn semicolons() -> String {
    let mut text = "\u{feff}Logger 7;;;\r\nSerial number;0042;;\r\n\r\n".to_owned();
    text.push_str("Date;Time;Temp. [°C];Rel. humidity [%]\r\n");
    for step in 0..48_i64 {
        let (hour, minute) = (step / 2, step % 2 * 30);
        write!(
            text,
            "04.03.2026;{hour:02}:{minute:02};19,{};8{},5\r\n",
            step % 10,
            step % 5
        )
        .expect("written");
    }
    text
}

/// Everything that can be wrong with rows, each kind a known number of times. One reading each minute.
pub fn faults() -> String {
    let mut text = "Time,Temperature (°C),Humidity (%),Remark\n".to_owned();
    for minute in 0..120_i64 {
        let stamp = march(minute);
        let good = format!("{stamp},20.{},8{}.0,", minute % 7, minute % 5);
        match minute {
            // No time at all, and one that is no time: two rows.
            10 => writeln!(text, ",20.1,85.0,"),
            11 => writeln!(text, "soon,20.1,85.0,"),
            // The same time twice: one row too many, twice.
            20 | 21 => writeln!(text, "{good}\n{good}again"),
            // A stamp from the future between two good ones.
            30 => writeln!(text, "2031-01-01 00:00:00,20.1,85.0,"),
            // An old row among newer ones.
            35 => writeln!(text, "{good}\n{},20.1,85.0,late", march(5)),
            // Cells lost, and a cell too many.
            40 => writeln!(text, "{stamp},20."),
            41 => writeln!(text, "{stamp},20,1,85,0,"),
            // Nothing measured.
            50 => writeln!(text, "{stamp},,N/A,"),
            // Text, blanks, values that cannot be: the other cell is used.
            60 => writeln!(text, "{stamp},ERR,85.0,"),
            61 => writeln!(text, "{stamp},20.1,,"),
            62 => writeln!(text, "{stamp},-127,85.0,"),
            63 => writeln!(text, "{stamp},20.1,655.35,"),
            64 => writeln!(text, "{stamp},20.1 lux,85.0,"),
            // A gap of half an hour.
            80..=108 => Ok(()),
            // A value in another unit is converted.
            110 => writeln!(text, "{stamp},68.0 °F,85.0,"),
            _ => writeln!(text, "{good}"),
        }
        .expect("written");
    }
    text
}
