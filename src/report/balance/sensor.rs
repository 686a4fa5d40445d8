//! How far the humidity sensor can be believed: by where it hangs, and by what such sensors are good to.

use crate::engine::chamber::balance::reading_of;
use crate::engine::chamber::profile::SensorPlace;
use crate::engine::chamber::quantity::Quantity;
use crate::report::balance::{Balanced, plain};
use crate::report::page::{Ink, Page};

/// What can be said of the sensor.
#[derive(Debug, Clone, PartialEq)]
pub struct SensorWord {
    /// Whether it hangs where the crop is; none where nobody said where.
    pub at_the_crop: Option<bool>,
    /// What its place does.
    pub place: Option<&'static str>,
    /// One standard deviation of such a sensor, in points of humidity.
    pub deviation_points: f64,
    /// The humidity held, by the sensor, in percent.
    pub says_percent: f64,
    /// The lower end of what the air may hold then, with about 95 %.
    pub low_percent: f64,
    /// The upper end.
    pub high_percent: f64,
    /// By how much more strongly the air dries, in percent, if the sensor reads one standard deviation high; none in full
    /// air.
    pub dries_more_percent: Option<f64>,
}

/// What can be said of the sensor; none where nothing is held by it.
///
/// # Source
/// The deviation is that of the reading in the knowledge; drying goes with the vapour deficit (its definition).
pub fn sensor_word(of: &Balanced<'_>) -> Option<SensorWord> {
    let set = of.chamber.number(Quantity::SetPoint);
    let says = set.or(of.chamber.number(Quantity::Humidity))?.value;
    let reading = reading_of(of.base, Quantity::Humidity)?;
    let reading = of.base.readings.get(reading)?;
    let deviation = reading.tolerance + reading.tolerance_share * says;
    Some(SensorWord {
        at_the_crop: of.chamber.sensor.map(|place| place == SensorPlace::Caps),
        place: of.chamber.sensor.map(word_of),
        deviation_points: deviation,
        says_percent: says,
        low_percent: (says - 2.0 * deviation).max(0.0),
        high_percent: (says + 2.0 * deviation).min(100.0),
        dries_more_percent: (says < 100.0).then(|| 100.0 * deviation / (100.0 - says)),
    })
}

fn word_of(place: SensorPlace) -> &'static str {
    match place {
        SensorPlace::Caps => "It hangs at cap height, where it counts.",
        SensorPlace::Mist => {
            "It hangs in the mist: it reads too high, stops the mister early, and a wet sensor reads 100 % for hours. Hang \
             it at cap height, out of the mist."
        }
        SensorPlace::Fan => {
            "It hangs in the fan's stream and reads what comes in, not what the caps feel. Hang it at cap height, out of \
             the stream."
        }
        SensorPlace::Wall => {
            "It hangs at the wall, which may be colder or wetter than the air. Hang it at cap height, a hand from the wall."
        }
        SensorPlace::Top => {
            "It hangs under the lid, where it is warmer and drips fall. Hang it at cap height under a small roof."
        }
        SensorPlace::Outside => {
            "It hangs outside and reads the room, not the chamber. Hang it at cap height inside."
        }
    }
}

/// Puts it on the page.
pub fn sensor(page: &mut Page, of: &Balanced<'_>) {
    let Some(word) = sensor_word(of) else { return };
    page.heading(Ink::Strong, "The humidity sensor");
    if let Some(text) = word.place {
        let (mark, ink) = match word.at_the_crop {
            Some(true) => ("+", Ink::Good),
            _ => ("!", Ink::Care),
        };
        page.entry(2, mark, ink, text);
    }
    let shown = |value| plain(Quantity::Humidity, value, of.system);
    let deviation = word.deviation_points;
    let mut text = format!(
        "A hobby sensor is good to about {deviation:.0} points (one standard deviation): where it says {}, the air may \
         hold {} to {}",
        shown(word.says_percent),
        shown(word.low_percent),
        shown(word.high_percent)
    );
    if let Some(more) = word.dries_more_percent {
        text.push_str(&format!(
            "; if it reads {deviation:.0} points high, the air dries {more:.0} % more strongly than you think"
        ));
    }
    let text = format!("{text}. `blockside sensor` checks it with table salt.");
    page.entry(2, "-", Ink::Usual, &text);
}
