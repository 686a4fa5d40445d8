//! What a balance says besides its numbers: the sensor, what was taken, what is not known, what it tells a diagnosis.

use crate::engine::chamber::balance::{CropFrom, reading_of};
use crate::engine::chamber::profile::{SensorPlace, Statement};
use crate::engine::chamber::quantity::Quantity;
use crate::engine::quantity::show;
use crate::report::balance::{Balanced, plain};
use crate::report::page::{Ink, Page};
use crate::report::words::sentence;

/// Where the sensor hangs and how far its word goes.
pub fn sensor(page: &mut Page, of: &Balanced<'_>) {
    let held = of
        .chamber
        .number(Quantity::SetPoint)
        .or(of.chamber.number(Quantity::Humidity));
    let Some(held) = held else { return };
    page.heading(Ink::Strong, "The humidity sensor");
    if let Some(place) = of.chamber.sensor {
        let (mark, ink, text) = match place {
            SensorPlace::Caps => ("+", Ink::Good, "It hangs at cap height, where it counts."),
            SensorPlace::Mist => (
                "!",
                Ink::Care,
                "It hangs in the mist: it reads too high, stops the mister early, and a wet sensor reads 100 % for hours. Hang it at cap height, out of the mist.",
            ),
            SensorPlace::Fan => (
                "!",
                Ink::Care,
                "It hangs in the fan's stream and reads what comes in, not what the caps feel. Hang it at cap height, out of the stream.",
            ),
            SensorPlace::Wall => (
                "?",
                Ink::Usual,
                "It hangs at the wall, which may be colder or wetter than the air. Hang it at cap height, a hand from the wall.",
            ),
            SensorPlace::Top => (
                "?",
                Ink::Usual,
                "It hangs under the lid, where it is warmer and drips fall. Hang it at cap height under a small roof.",
            ),
            SensorPlace::Outside => (
                "!",
                Ink::Care,
                "It hangs outside and reads the room, not the chamber. Hang it at cap height inside.",
            ),
        };
        page.entry(2, mark, ink, text);
    }
    let reading = reading_of(of.base, Quantity::Humidity).and_then(|id| of.base.readings.get(id));
    let Some(reading) = reading else { return };
    let deviation = reading.tolerance + reading.tolerance_share * held.value;
    let (low, high) = (
        held.value - 2.0 * deviation,
        (held.value + 2.0 * deviation).min(100.0),
    );
    let shown = |value| plain(Quantity::Humidity, value, of.system);
    let mut text = format!(
        "A hobby sensor is good to about {deviation:.0} points (one standard deviation): where it says {}, the air may \
         hold {} to {}",
        shown(held.value),
        shown(low),
        shown(high)
    );
    if held.value < 100.0 {
        let more = 100.0 * deviation / (100.0 - held.value);
        text.push_str(&format!(
            "; if it reads {deviation:.0} points high, the air dries {more:.0} % more strongly than you think"
        ));
    }
    page.entry(
        2,
        "-",
        Ink::Usual,
        &format!("{text}. `blockside sensor` checks it with table salt."),
    );
}

/// What was taken because nobody gave it.
pub fn taken(page: &mut Page, of: &Balanced<'_>) {
    let mut taken: Vec<String> = of
        .balance
        .taken
        .iter()
        .map(|(quantity, value)| {
            format!(
                "{}: {}",
                quantity.name(),
                plain(*quantity, *value, of.system)
            )
        })
        .collect();
    if of.chamber.size_m.is_none() && of.balance.get(Quantity::SettlesAt).is_some() {
        taken.push("walls as of a cube, since only the volume is known".to_owned());
    }
    if taken.is_empty() {
        return;
    }
    page.heading(Ink::Strong, "Taken, because nobody gave it");
    for text in taken {
        page.entry(2, "-", Ink::Usual, &sentence(&text));
    }
}

/// What is not known, why it matters, and how to find out.
pub fn unknowns(of: &Balanced<'_>) -> Vec<(String, String)> {
    let balance = of.balance;
    let mut list = Vec::new();
    let how = |quantity: Quantity| {
        let reading = reading_of(of.base, quantity).and_then(|id| of.base.readings.get(id));
        reading.map_or_else(String::new, |reading| reading.look.clone())
    };
    if balance.get(Quantity::Airflow).is_none() {
        list.push((
            "How much fresh air comes in, and all that follows from it".to_owned(),
            how(Quantity::Airflow),
        ));
    } else if of.chamber.number(Quantity::MeasuredAirflow).is_none() {
        list.push((
            "The real airflow: it was worked out from labels".to_owned(),
            how(Quantity::Airflow),
        ));
    }
    match balance.crop {
        CropFrom::Rise | CropFrom::Meter => {}
        CropFrom::Book { .. } | CropFrom::Unknown => list.push((
            "How much carbon dioxide your crop gives off".to_owned(),
            "Stop the fan, close the vents and read CO2 for 10 to 20 minutes; write the rise of an hour as `co2-rise` \
             below `[measured]`. Or read CO2 after half an hour with the fan as usual and write it as `co2`."
                .to_owned(),
        )),
    }
    for quantity in [
        Quantity::RoomCo2,
        Quantity::MisterOutput,
        Quantity::Tank,
        Quantity::Temperature,
        Quantity::Wall,
    ] {
        let measured = match quantity {
            Quantity::Wall => Quantity::MeasuredWall,
            other => other,
        };
        if of.chamber.number(measured).is_none() {
            let name = match quantity {
                Quantity::Wall => "the coldest wall inside, measured",
                other => other.name(),
            };
            let name = sentence(name);
            list.push((name.trim_end_matches('.').to_owned(), how(quantity)));
        }
    }
    list
}

/// What is not known, and how to find out.
pub fn unknown(page: &mut Page, of: &Balanced<'_>) {
    let unknowns = unknowns(of);
    if unknowns.is_empty() {
        return;
    }
    page.heading(Ink::Strong, "Not known, and how to find out");
    for (what, how) in unknowns {
        page.entry(
            2,
            "?",
            Ink::Usual,
            &format!("{}.", what.trim_end_matches('.')),
        );
        if !how.is_empty() {
            page.labelled(4, "How:", &how);
        }
    }
}

/// The facts as clauses: readings with their values, setup items as they hold.
pub fn told_clauses(of: &Balanced<'_>) -> Vec<String> {
    let mut clauses: Vec<String> = of
        .facts
        .readings
        .iter()
        .filter_map(|(id, measured)| {
            let reading = of.base.readings.get(id)?;
            let value = show(measured.value, reading.unit, of.system);
            Some(format!("{} {value}", reading.name))
        })
        .collect();
    clauses.extend(of.facts.setup.iter().filter_map(|(id, holds)| {
        let statement = &of.base.setup.get(id)?.statement;
        Some(match holds {
            true => statement.clone(),
            false => format!("not so: {statement}"),
        })
    }));
    clauses.extend(of.facts.signs.iter().filter_map(|(id, holds)| {
        let statement = &of.base.signs.get(id)?.statement;
        Some(match holds {
            true => statement.clone(),
            false => format!("not so: {statement}"),
        })
    }));
    clauses
}

/// What the profile tells a diagnosis.
pub fn told(page: &mut Page, of: &Balanced<'_>) {
    let clauses = told_clauses(of);
    if clauses.is_empty() {
        return;
    }
    page.heading(Ink::Strong, "What it tells a diagnosis");
    if page.look().detail {
        for clause in &clauses {
            page.entry(2, "-", Ink::Usual, &sentence(clause));
        }
    } else {
        page.paragraph(2, Ink::Usual, &sentence(&clauses.join("; ")));
    }
    let without = of.chamber.says(Statement::WithoutFan) == Some(true);
    if without {
        page.paragraph(
            2,
            Ink::Faint,
            "Without a fan the air changes by warmth and draughts alone; only a measurement tells how much.",
        );
    }
}
