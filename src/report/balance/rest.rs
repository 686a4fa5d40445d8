//! What a balance says besides its numbers: what was taken, what is not known, what it tells a diagnosis.

use crate::engine::chamber::balance::{CropFrom, reading_of};
use crate::engine::chamber::profile::Statement;
use crate::engine::chamber::quantity::Quantity;
use crate::engine::quantity::show;
use crate::report::balance::{Balanced, plain};
use crate::report::page::{Ink, Page};
use crate::report::words::sentence;

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
    let by_line = of.chamber.curve.is_none() && of.chamber.has_duct();
    if by_line && of.balance.get(Quantity::DuctLoss).is_some() {
        taken.push(
            "a straight line for the fan's curve, since only its ends are known: it may move up to a sixth more"
                .to_owned(),
        );
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
