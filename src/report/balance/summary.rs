//! The balance in a few sentences: what has to change, and by how much.

use crate::engine::chamber::balance::{Standing, limit};
use crate::engine::chamber::quantity::Quantity;
use crate::report::balance::{Balanced, plain, verdict};
use crate::report::words::sentence;

/// What stands out, the most pressing first; one sentence that all is well where nothing does.
pub fn summary(of: &Balanced<'_>) -> Vec<(Standing, String)> {
    let mut found = Vec::new();
    air(of, &mut found);
    mister(of, &mut found);
    for quantity in [
        Quantity::Margin,
        Quantity::Peak,
        Quantity::Drops,
        Quantity::Trough,
        Quantity::Temperature,
        Quantity::SettlesAt,
        Quantity::Humidity,
        Quantity::SetPoint,
        Quantity::Light,
        Quantity::LampHours,
    ] {
        let Some(judged) = of.balance.judged(quantity) else {
            continue;
        };
        if judged.standing == Standing::Fine {
            continue;
        }
        let Some(value) = of.balance.get(quantity) else {
            continue;
        };
        let text = format!(
            "{}: {}; {}",
            quantity.name(),
            plain(quantity, value.value, of.system),
            verdict(quantity, judged, of.system)
        );
        found.push((judged.standing, sentence(&text)));
    }
    if found.is_empty() {
        let text = if of.balance.get(Quantity::Airflow).is_some() {
            "All that could be worked out lies within its limits."
        } else {
            "Nothing is out of its limits, but without the airflow most of it cannot be worked out."
        };
        found.push((Standing::Fine, text.to_owned()));
    }
    found
}

/// More fresh air, and what it asks of the mister.
fn air(of: &Balanced<'_>, found: &mut Vec<(Standing, String)>) {
    let limit = limit(of.base, of.chamber, Quantity::Co2).and_then(|limit| limit.max);
    let room = of.balance.get(Quantity::RoomCo2);
    if let (Some(limit), Some(room)) = (limit, room)
        && room.value >= limit
    {
        let shown = |value| plain(Quantity::RoomCo2, value, of.system);
        found.push((
            Standing::TooHigh,
            format!(
                "The room itself holds {}, and the crop likes {} or less: no amount of that air will do. Air the room \
                 first.",
                shown(room.value),
                shown(limit)
            ),
        ));
        return;
    }
    let Some(factor) = of.balance.get(Quantity::AirflowFactor) else {
        return;
    };
    let shown = |quantity: Quantity| {
        let value = of.balance.get(quantity)?;
        Some(plain(quantity, rounded(value.value), of.system))
    };
    let book = of.balance.rests_on_book(Quantity::AirflowFactor);
    if factor.value <= 1.0 {
        if factor.high > 1.0 && book {
            found.push((
                Standing::Fine,
                "By the book the present air is just enough, but the crop may need more: measure carbon dioxide."
                    .to_owned(),
            ));
        }
        return;
    }
    let by = if book { "By the book the" } else { "The" };
    let mut text = format!(
        "{by} crop needs more fresh air: about {:.1} times the present airflow",
        factor.value
    );
    if let Some(mist) = shown(Quantity::MistNeeded) {
        text.push_str(&format!("; the mister must then give about {mist}"));
        if let Some(tank) = shown(Quantity::TankHoursNeeded) {
            text.push_str(&format!(", its tank lasts {tank}"));
        }
    }
    found.push((Standing::TooHigh, format!("{text}.")));
}

/// Whether the mister can hold what is asked of it, now and with the air needed.
fn mister(of: &Balanced<'_>, found: &mut Vec<(Standing, String)>) {
    let too_much = |quantity: Quantity| {
        let judged = of.balance.judged(quantity);
        judged.is_some_and(|judged| judged.standing == Standing::TooHigh)
    };
    let reach = |quantity: Quantity| {
        let value = of.balance.get(quantity);
        value.map_or_else(String::new, |value| {
            format!(
                ", at most {}",
                plain(quantity, rounded(value.value), of.system)
            )
        })
    };
    if too_much(Quantity::Duty) {
        let at_most = reach(Quantity::Reach);
        found.push((
            Standing::TooLow,
            format!(
                "The mister is too weak to hold the humidity{at_most}: less air, or a stronger one."
            ),
        ));
    } else if too_much(Quantity::DutyNeeded) && too_much(Quantity::AirflowFactor) {
        let at_most = reach(Quantity::ReachNeeded);
        found.push((
            Standing::TooLow,
            format!("With that much air the mister is too weak{at_most}: it needs a stronger one."),
        ));
    }
}

/// Two digits: more would promise too much in a sentence that says "about".
fn rounded(value: f64) -> f64 {
    if value == 0.0 || !value.is_finite() {
        return value;
    }
    let step = 10f64.powi(value.abs().log10().floor() as i32 - 1);
    (value / step).round() * step
}
