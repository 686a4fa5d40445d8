//! The readable balance of a chamber: what was worked out, how it stands, what is not known, and what it tells a
//! diagnosis.

mod compare;
mod summary;
mod values;

use crate::engine::chamber::balance::{Balance, CropFrom, Judged, Standing, reading_of};
use crate::engine::chamber::band::Steady;
use crate::engine::chamber::facts::ProfileFacts;
use crate::engine::chamber::profile::{Chamber, SensorPlace, Statement};
use crate::engine::chamber::quantity::Quantity;
use crate::engine::knowledge::KnowledgeBase;
use crate::engine::quantity::{System, show};
use crate::report::page::{Ink, Look, Page};
use crate::report::words::sentence;

pub use crate::report::balance::compare::comparison;
pub use crate::report::balance::summary::summary;
pub use crate::report::balance::values::{plain, ranged};

/// A balance with what it was made from.
#[derive(Debug, Clone, Copy)]
pub struct Balanced<'a> {
    /// The knowledge it was judged with.
    pub base: &'a KnowledgeBase,
    /// The chamber as written down.
    pub chamber: &'a Chamber,
    /// What came out.
    pub balance: &'a Balance,
    /// What it tells a diagnosis.
    pub facts: &'a ProfileFacts,
    /// Units for numbers.
    pub system: System,
}

/// The lines of the balance by section.
const SECTIONS: [(&str, &[Quantity]); 6] = [
    (
        "Fresh air",
        &[
            Quantity::FreeFlow,
            Quantity::DuctLoss,
            Quantity::Airflow,
            Quantity::AirChanges,
            Quantity::BlocksPer100,
        ],
    ),
    (
        "Carbon dioxide",
        &[
            Quantity::Co2,
            Quantity::CropCo2,
            Quantity::SteadyCo2,
            Quantity::SettleHours,
            Quantity::NeededAirflow,
            Quantity::AirflowFactor,
        ],
    ),
    (
        "Water",
        &[
            Quantity::Humidity,
            Quantity::SetPoint,
            Quantity::Mist,
            Quantity::WaterDay,
            Quantity::Duty,
            Quantity::Reach,
            Quantity::TankHours,
            Quantity::MistNeeded,
            Quantity::DutyNeeded,
            Quantity::ReachNeeded,
            Quantity::TankHoursNeeded,
        ],
    ),
    (
        "The mister's rounds",
        &[
            Quantity::StartsAt,
            Quantity::OnTime,
            Quantity::OffTime,
            Quantity::Peak,
            Quantity::Trough,
        ],
    ),
    (
        "Warmth and walls",
        &[
            Quantity::Temperature,
            Quantity::SettlesAt,
            Quantity::Cooling,
            Quantity::Wall,
            Quantity::DewPoint,
            Quantity::Margin,
            Quantity::DryUpTo,
        ],
    ),
    ("Light", &[Quantity::Light, Quantity::LampHours]),
];

/// The quantities that reports show, in their order.
pub fn shown() -> impl Iterator<Item = Quantity> {
    SECTIONS.iter().flat_map(|(_, lines)| lines.iter().copied())
}

/// The whole balance as text.
pub fn report(of: &Balanced<'_>, look: Look) -> String {
    let mut page = Page::new(look);
    headline(&mut page, of);
    for (heading, lines) in SECTIONS {
        let there: Vec<Quantity> = lines
            .iter()
            .copied()
            .filter(|&one| of.balance.get(one).is_some() && is_worth_a_line(of, one))
            .collect();
        if there.is_empty() {
            continue;
        }
        page.heading(Ink::Strong, heading);
        for quantity in there {
            line(&mut page, of, quantity);
        }
        remarks(&mut page, of, heading);
    }
    sensor(&mut page, of);
    taken(&mut page, of);
    unknown(&mut page, of);
    told(&mut page, of);
    page.finish()
}

fn headline(page: &mut Page, of: &Balanced<'_>) {
    let name = of.chamber.name.as_deref().unwrap_or("The chamber");
    let volume = of.balance.get(Quantity::Volume);
    let volume = volume.map_or_else(String::new, |volume| {
        format!(", {}", plain(Quantity::Volume, volume.value, of.system))
    });
    page.paragraph(0, Ink::Strong, &format!("{name}{volume}"));
    page.paragraph(0, Ink::Faint, &judged_for(of));
    page.blank();
    for (standing, text) in summary(of) {
        let ink = if standing == Standing::Fine {
            Ink::Good
        } else {
            Ink::Care
        };
        let mark = if standing == Standing::Fine { "+" } else { "!" };
        page.entry(0, mark, ink, &text);
    }
}

/// Which limits were used.
fn judged_for(of: &Balanced<'_>) -> String {
    let species = of
        .chamber
        .species
        .as_ref()
        .and_then(|id| of.base.species.get(id));
    let species = species.map_or_else(
        || "No species is named, so general limits are used".to_owned(),
        |species| format!("Judged for {}", species.name),
    );
    let stage = of.chamber.stage.as_ref().or(of.base.default_stage());
    let stage = stage.and_then(|id| of.base.stages.get(id));
    match stage {
        Some(stage) => format!("{species}; stage: {}.", stage.name.to_lowercase()),
        None => format!("{species}."),
    }
}

/// What stands in another line already is not said again.
fn is_worth_a_line(of: &Balanced<'_>, quantity: Quantity) -> bool {
    match quantity {
        // Where it was measured the chamber has settled there.
        Quantity::SteadyCo2 => of.balance.get(Quantity::Co2).is_none(),
        Quantity::SettlesAt => of.balance.get(Quantity::Temperature).is_none(),
        // What needs the present air or less needs no second look at the mister.
        Quantity::MistNeeded
        | Quantity::DutyNeeded
        | Quantity::ReachNeeded
        | Quantity::TankHoursNeeded => of
            .balance
            .get(Quantity::AirflowFactor)
            .is_some_and(|factor| factor.high > 1.0),
        _ => true,
    }
}

fn line(page: &mut Page, of: &Balanced<'_>, quantity: Quantity) {
    let Some(estimate) = of.balance.get(quantity) else {
        return;
    };
    let value = ranged(quantity, estimate, of.system);
    let name = sentence(quantity.name());
    let name = name.trim_end_matches('.');
    let (mark, ink, verdict) = match of.balance.judged(quantity) {
        None => ("-", Ink::Usual, String::new()),
        Some(judged) => {
            let (mark, ink) = match (judged.standing, judged.sure) {
                (Standing::Fine, true) => ("+", Ink::Good),
                (Standing::Fine, false) => ("?", Ink::Usual),
                (_, true) => ("!", Ink::Care),
                (_, false) => ("?", Ink::Care),
            };
            (
                mark,
                ink,
                format!("; {}", verdict(quantity, judged, of.system)),
            )
        }
    };
    page.entry(2, mark, ink, &format!("{name}: {value}{verdict}."));
}

/// How a number stands, in words.
pub fn verdict(quantity: Quantity, judged: Judged, system: System) -> String {
    let shown = |value: f64| plain(quantity, value, system);
    let likely = if judged.sure { "" } else { "probably " };
    let text = match (quantity, judged.standing) {
        (Quantity::Margin, Standing::Fine) => "the wall stays dry".to_owned(),
        (Quantity::Margin, _) => "water forms on the wall".to_owned(),
        (Quantity::Peak, Standing::Fine) => "below saturation".to_owned(),
        (Quantity::Peak, _) => "above saturation, so the excess is fog and drip".to_owned(),
        (Quantity::Duty | Quantity::DutyNeeded, Standing::Fine) => {
            "the mister is enough".to_owned()
        }
        (Quantity::Duty | Quantity::DutyNeeded, _) => "more than the mister can give".to_owned(),
        (Quantity::AirflowFactor, Standing::Fine) => "the present air is enough".to_owned(),
        (Quantity::AirflowFactor, _) => "more fresh air is needed".to_owned(),
        (_, Standing::Fine) => format!("fine, {}", limits(judged, &shown)),
        (_, Standing::TooHigh) => format!("too high, {}", limits(judged, &shown)),
        (_, Standing::TooLow) => format!("too low, {}", limits(judged, &shown)),
    };
    format!("{likely}{text}")
}

fn limits(judged: Judged, shown: &impl Fn(f64) -> String) -> String {
    match (judged.min, judged.max) {
        (Some(min), Some(max)) => format!("right is {} to {}", shown(min), shown(max)),
        (Some(min), None) => format!("right is {} or more", shown(min)),
        (None, Some(max)) => format!("right is {} or less", shown(max)),
        (None, None) => "there is no limit".to_owned(),
    }
}

/// What a section needs said besides its numbers.
fn remarks(page: &mut Page, of: &Balanced<'_>, heading: &str) {
    let mut say = |text: &str| page.paragraph(4, Ink::Faint, text);
    let balance = of.balance;
    if heading == SECTIONS[0].0 && balance.unsteady_fan {
        say("Fan and duct meet at more than one flow: the fan may surge between them.");
    }
    if heading == SECTIONS[1].0
        && let CropFrom::Book {
            output,
            range_mg_kg_h: (low, high),
        } = &balance.crop
    {
        let entry = of.base.outputs.get(output);
        let sources = entry.map_or_else(Vec::new, |entry| entry.grounds.sources.clone());
        let sources: Vec<String> = sources.iter().map(|cite| cite.source.to_string()).collect();
        say(&format!(
            "By the book, {low} to {high} mg an hour for each kilogram of block ({}). Nobody measured yours.",
            sources.join(", ")
        ));
    }
    if heading == SECTIONS[2].0
        && balance
            .get(Quantity::Mist)
            .is_some_and(|one| one.value == 0.0)
    {
        say(
            "The room brings in as much water as the chamber's air can keep: no mist is needed, and walls may drip.",
        );
    }
    if heading == SECTIONS[2].0 {
        say(
            "Water from the crop and on the walls is left out: wet caps give some back, cold walls take some.",
        );
    }
    if heading == SECTIONS[3].0 {
        match balance.steady {
            Some(Steady::AlwaysOn) => {
                say("The mister never reaches the set point and never stops.")
            }
            Some(Steady::AlwaysOff) => {
                say("The room keeps the chamber above the start: the mister never starts.")
            }
            None => {
                say("For the air alone; wet walls and blocks store water and lengthen every time.")
            }
        }
    }
}

fn sensor(page: &mut Page, of: &Balanced<'_>) {
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
        "A hobby sensor is good to about {} (one standard deviation): where it says {}, the air may hold {} to {}",
        shown(deviation),
        shown(held.value),
        shown(low),
        shown(high)
    );
    if held.value < 100.0 {
        let more = 100.0 * deviation / (100.0 - held.value);
        text.push_str(&format!(
            "; if it reads {} too high, the air dries {more:.0} % more strongly than you think",
            shown(deviation)
        ));
    }
    page.entry(
        2,
        "-",
        Ink::Usual,
        &format!("{text}. `blockside sensor` checks it with table salt."),
    );
}

fn taken(page: &mut Page, of: &Balanced<'_>) {
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

fn unknown(page: &mut Page, of: &Balanced<'_>) {
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
    clauses
}

fn told(page: &mut Page, of: &Balanced<'_>) {
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
