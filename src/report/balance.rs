//! The readable balance of a chamber: what was worked out, how it stands, what is not known, and what it tells a
//! diagnosis.

mod compare;
mod remarks;
mod rest;
mod sensor;
mod summary;
mod values;

use crate::engine::chamber::balance::{Balance, Judged, Standing};
use crate::engine::chamber::facts::ProfileFacts;
use crate::engine::chamber::profile::{Chamber, Statement};
use crate::engine::chamber::quantity::Quantity;
use crate::engine::knowledge::KnowledgeBase;
use crate::engine::quantity::System;
use crate::report::page::{Ink, Look, Page};
use crate::report::words::sentence;

pub use crate::report::balance::compare::comparison;
pub use crate::report::balance::remarks::hardness;
pub use crate::report::balance::rest::{told_clauses, unknowns};
pub use crate::report::balance::sensor::{SensorWord, sensor_word};
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

const AIR: &str = "Fresh air";
const CARBON: &str = "Carbon dioxide";
const WATER: &str = "Water";
const LIGHT: &str = "Light";
const ROUNDS: &str = "The mister's rounds";

/// The lines of the balance by section.
const SECTIONS: [(&str, &[Quantity]); 6] = [
    (
        AIR,
        &[
            Quantity::FreeFlow,
            Quantity::DuctLoss,
            Quantity::Airflow,
            Quantity::AirChanges,
            Quantity::BlocksPer100,
        ],
    ),
    (
        CARBON,
        &[
            Quantity::Co2,
            Quantity::CropCo2,
            Quantity::SteadyCo2,
            Quantity::SettleHours,
            Quantity::StaleHours,
            Quantity::StillHours,
            Quantity::NeededAirflow,
            Quantity::AirflowFactor,
        ],
    ),
    (
        WATER,
        &[
            Quantity::Humidity,
            Quantity::SetPoint,
            Quantity::Mist,
            Quantity::WaterDay,
            Quantity::WaterSolids,
            Quantity::WaterHardness,
            Quantity::Dust,
            Quantity::DustInAir,
            Quantity::Duty,
            Quantity::Reach,
            Quantity::TankHours,
            Quantity::DryHours,
            Quantity::AirRoom,
            Quantity::FullIn,
            Quantity::Drops,
            Quantity::DropLife,
            Quantity::DropFall,
            Quantity::LandsFrom,
            Quantity::MistNeeded,
            Quantity::DutyNeeded,
            Quantity::ReachNeeded,
            Quantity::TankHoursNeeded,
        ],
    ),
    (
        ROUNDS,
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
            Quantity::CropHeat,
            Quantity::Wall,
            Quantity::DewPoint,
            Quantity::Margin,
            Quantity::DryUpTo,
            Quantity::WallWater,
        ],
    ),
    (
        LIGHT,
        &[
            Quantity::Light,
            Quantity::Photons,
            Quantity::Blue,
            Quantity::LampHours,
        ],
    ),
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
        remarks::remarks(&mut page, of, heading);
    }
    sensor::sensor(&mut page, of);
    rest::taken(&mut page, of);
    rest::unknown(&mut page, of);
    rest::told(&mut page, of);
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
pub fn is_worth_a_line(of: &Balanced<'_>, quantity: Quantity) -> bool {
    match quantity {
        // Where it was measured the chamber has settled there.
        Quantity::SteadyCo2 => of.balance.get(Quantity::Co2).is_none(),
        Quantity::SettlesAt => of.balance.get(Quantity::Temperature).is_none(),
        // Air that a fan stirs all the time is never still.
        Quantity::StillHours => of.chamber.says(Statement::FanNeverRests) != Some(true),
        Quantity::LandsFrom => of.balance.get(Quantity::Drops).is_some(),
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
    let class = match hardness(of) {
        Some((class, _)) if quantity == Quantity::WaterHardness => {
            format!("; {} water", class.word())
        }
        _ => String::new(),
    };
    page.entry(2, mark, ink, &format!("{name}: {value}{verdict}{class}."));
}

/// How a number stands, in words.
pub fn verdict(quantity: Quantity, judged: Judged, system: System) -> String {
    let shown = |value: f64| plain(quantity, value, system);
    let fine = judged.standing == Standing::Fine;
    // `~` is where "probably" belongs, if the interval reaches beyond the limit.
    let text = match (quantity, fine) {
        (Quantity::Margin, true) => "the wall ~stays dry".to_owned(),
        (Quantity::Margin, false) => "water ~forms on the wall".to_owned(),
        (Quantity::Peak, true) => "~below saturation".to_owned(),
        (Quantity::Peak, false) => "~above saturation, so the excess is fog and drip".to_owned(),
        (Quantity::Duty | Quantity::DutyNeeded, true) => "the mister is ~enough".to_owned(),
        (Quantity::Duty | Quantity::DutyNeeded, false) => {
            "~more than the mister can give".to_owned()
        }
        (Quantity::Drops, true) => "they are ~gone before they land".to_owned(),
        (Quantity::Drops, false) => "they ~land and wet what is below".to_owned(),
        (Quantity::AirflowFactor, true) => "the present air is ~enough".to_owned(),
        (Quantity::AirflowFactor, false) => "more fresh air is ~needed".to_owned(),
        _ => {
            let how = match judged.standing {
                Standing::Fine => "fine",
                Standing::TooHigh => "too high",
                Standing::TooLow => "too low",
            };
            format!("~{how}, {}", limits(judged, &shown))
        }
    };
    text.replace('~', if judged.sure { "" } else { "probably " })
}

fn limits(judged: Judged, shown: &impl Fn(f64) -> String) -> String {
    match (judged.min, judged.max) {
        (Some(min), Some(max)) => format!("right is {} to {}", shown(min), shown(max)),
        (Some(min), None) => format!("right is {} or more", shown(min)),
        (None, Some(max)) => format!("right is {} or less", shown(max)),
        (None, None) => "there is no limit".to_owned(),
    }
}
