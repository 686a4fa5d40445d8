//! What a section of the balance needs said besides its numbers.

use crate::engine::chamber::balance::CropFrom;
use crate::engine::chamber::band::Steady;
use crate::engine::chamber::minerals::Hardness;
use crate::engine::chamber::quantity::Quantity;
use crate::engine::chamber::still::settled_factor;
use crate::engine::climate::Air;
use crate::engine::light::{LAMP_SPREAD, LampKind};
use crate::engine::quantity::{Unit, show_difference};
use crate::report::balance::{AIR, Balanced, CARBON, LIGHT, ROUNDS, WATER, plain};
use crate::report::page::{Ink, Page};

/// How warm the chamber is, measured or worked out.
fn chamber_c(of: &Balanced<'_>) -> Option<f64> {
    let measured = of.balance.get(Quantity::Temperature);
    let warm = measured.or(of.balance.get(Quantity::SettlesAt));
    warm.map(|warm| warm.value)
}

/// How hard the water is, and whether that was told; otherwise it is the most it can be by what is dissolved.
pub fn hardness(of: &Balanced<'_>) -> Option<(Hardness, bool)> {
    let number = |quantity: Quantity| of.balance.get(quantity).map(|one| one.value);
    let told = number(Quantity::WaterHardness).map(|lime| (Hardness::of(lime), true));
    told.or(number(Quantity::WaterSolids).map(|solids| (Hardness::of(solids), false)))
        .filter(|&(class, told)| told || class < Hardness::VeryHard)
}

/// What a section needs said besides its numbers.
pub fn remarks(page: &mut Page, of: &Balanced<'_>, heading: &str) {
    let page_detail = page.look().detail;
    let mut say = |text: &str| page.paragraph(4, Ink::Faint, text);
    let balance = of.balance;
    if heading == AIR && balance.unsteady_fan {
        say("Fan and duct meet at more than one flow: the fan may surge between them.");
    }
    if heading == CARBON
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
    if heading == CARBON
        && let Some(doubt) = &balance.doubt
    {
        let crop = balance
            .get(Quantity::CropCo2)
            .map_or(0.0, |crop| crop.value);
        let shown = |grams: f64| plain(Quantity::CropCo2, grams, of.system);
        say(&format!(
            "This does not fit together: so the crop would give off {}, and the book has {} to {} for this weight, in a \
             flush at most {:.0} times that. Check the airflow first, then the meter, then the room's carbon dioxide.",
            shown(crop),
            shown(doubt.range_g_h.0),
            shown(doubt.range_g_h.1),
            doubt.peak_times
        ));
    }
    if heading == LIGHT && balance.get(Quantity::Photons).is_some() {
        let colour = balance.get(Quantity::Colour);
        let colour = colour.map_or_else(String::new, |one| format!(" of {:.0} K", one.value));
        let lamp = match of.chamber.lamp {
            Some(kind) if kind != LampKind::WhiteLed => {
                format!("lamps of the kind \"{}\"{colour}", kind.word())
            }
            _ if colour.is_empty() => "ordinary white LED".to_owned(),
            _ => format!("white LED{colour}"),
        };
        say(&format!(
            "Photons are counted for {lamp}, which adds ±{:.0} %; not for purple lamps.",
            100.0 * LAMP_SPREAD
        ));
    }
    if heading == AIR
        && page_detail
        && let Some((weight, chamber_c)) = balance.get(Quantity::Heavier).zip(chamber_c(of))
    {
        let kelvin = Air::new(chamber_c, 0.0).as_if_cooler_by_k(weight.value / 100.0);
        let shown = show_difference(kelvin.abs(), Unit::Celsius, of.system);
        let (how, where_to) = if kelvin >= 0.0 {
            ("cooler", "low")
        } else {
            ("warmer", "high")
        };
        say(&format!(
            "By warmth, water and carbon dioxide together this air weighs as if it were {shown} {how} than the \
             room's, and runs out of {where_to} openings.",
        ));
    }
    if heading == CARBON
        && page_detail
        && let (Some(ppm), Some(height), Some(chamber_c)) = (
            balance
                .get(Quantity::Co2)
                .or(balance.get(Quantity::SteadyCo2)),
            of.chamber.size_m.map(|[_, _, height]| height),
            chamber_c(of),
        )
    {
        let more = ppm.value * (settled_factor(height, chamber_c) - 1.0);
        say(&format!(
            "Carbon dioxide goes where the air goes: left to its weight alone, the floor would hold {more:.2} ppm more \
             than the top.",
        ));
    }
    if heading == WATER && balance.get(Quantity::Dust).is_some() {
        match hardness(of) {
            Some((class, true)) if of.chamber.number(Quantity::WaterSolids).is_none() => {
                say(&format!(
                    "The dust is counted from the lime of this {} water alone, so it is the least there is.",
                    class.word()
                ))
            }
            Some((class, false)) => say(&format!(
                "By what is dissolved this water is {} at most; its hardness stands on the bill or a test strip.",
                class.word()
            )),
            _ => {}
        }
    }
    if heading == WATER && balance.get(Quantity::Drops).is_some() {
        say(
            "Half of the drops are narrower than that; a few wide ones, splashes and what runs together in the hose, \
             carry most of the water that rains out.",
        );
    }
    if heading == WATER
        && balance
            .get(Quantity::Mist)
            .is_some_and(|one| one.value == 0.0)
    {
        say(
            "The room brings in as much water as the chamber's air can keep: no mist is needed, and walls may drip.",
        );
    }
    if heading == WATER {
        say(
            "Water from the crop and on the walls is left out: wet caps and walls give some back and slow the drying, cold walls take some.",
        );
    }
    if heading == ROUNDS {
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
