//! Moist air as text.

use crate::engine::climate::Air;
use crate::engine::climate::moving::{EVAPORATING_POWERS, OUTDOOR_CO2_PPM};
use crate::engine::climate::pair::{Given, deviation};
use crate::engine::quantity::{System, Unit, show, show_difference};
use crate::report::page::{Ink, Look, Page};

/// Kelvin above the dew point below which a dry surface is called nearly wet.
///
/// judgement: a hobby meter of 3 points puts the dew point off by half a kelvin near saturation, a thermometer adds
/// as much.
const NEARLY_WET_K: f64 = 1.0;

/// Grains in a pound, exact by definition.
const GRAINS_IN_POUND: f64 = 7000.0;

/// British thermal units a pound in a kilojoule a kilogram: a kilojoule is 1/1.05505585262 units, a pound 0.45359237
/// kg.
///
/// # Source
/// NIST Special Publication 811 (2008), appendix B (from memory).
const BTU_LB_IN_KJ_KG: f64 = 0.453_592_37 / 1.055_055_852_62;

/// Kilojoules that warm a kilogram of dry air from 0 °F, where charts of the United States begin, to 0 °C, where metric
/// ones do; both count the water from 0 °C.
///
/// # Source
/// ASHRAE Handbook, Fundamentals (2017), ch. 1: heat capacity of dry air in equation 30.
const FROM_0_F_KJ_KG: f64 = 1.006 * 160.0 / 9.0;

/// Air, and what was asked of it.
#[derive(Debug, Clone)]
pub struct Asked {
    /// The air.
    pub air: Air,
    /// What was given of it.
    pub given: Given,
    /// One standard deviation of what was given, where a tolerance stood beside it.
    pub deviations: Given,
    /// A surface to look at, °C.
    pub surface_c: Option<f64>,
    /// How fast the air moves over the caps, m/s.
    pub speed_m_s: Option<f64>,
    /// Temperatures to which the air is only warmed or cooled, °C.
    pub at: Vec<f64>,
    /// Units for numbers.
    pub system: System,
}

impl Asked {
    /// One standard deviation of a number of the air; none where nothing was given with a tolerance.
    pub fn deviation(&self, of: impl Fn(Air) -> Option<f64>) -> Option<f64> {
        if self.deviations == Given::default() {
            return None;
        }
        deviation(self.given, self.deviations, self.air.pressure_pa(), of)
    }
}

/// A number of the air: its key in results, its name, and how it is worked out.
pub type Line = (&'static str, &'static str, fn(Air) -> Option<f64>);

/// The numbers, in the order in which they are shown.
pub const LINES: [Line; 11] = [
    ("temperature_c", "temperature", |air| {
        Some(air.temperature_c())
    }),
    ("humidity_percent", "relative humidity", |air| {
        Some(air.humidity_percent())
    }),
    ("dew_point_c", "dew point", Air::dew_point_c),
    ("wet_bulb_c", "wet bulb", |air| Some(air.wet_bulb_c())),
    ("vapour_pressure_pa", "vapour pressure", |air| {
        Some(air.vapour_pressure_pa())
    }),
    ("saturation_pressure_pa", "saturation pressure", |air| {
        Some(air.vapour_pressure_pa() + air.vapour_deficit_pa())
    }),
    ("vapour_deficit_pa", "vapour deficit, what dries", |air| {
        Some(air.vapour_deficit_pa())
    }),
    ("absolute_humidity_g_m3", "absolute humidity", |air| {
        Some(air.absolute_humidity_g_m3())
    }),
    ("humidity_ratio", "humidity ratio", |air| {
        Some(air.humidity_ratio())
    }),
    ("enthalpy_kj_kg", "enthalpy", |air| {
        Some(air.enthalpy_kj_kg())
    }),
    ("density_kg_m3", "density at outdoor CO2", |air| {
        Some(air.density_kg_m3(OUTDOOR_CO2_PPM))
    }),
];

/// A number in its unit, with the spread that 95 of 100 readings stay within, where there is one.
fn written(key: &str, value: f64, spread: Option<f64>, system: System) -> String {
    let (value, unit) = if key.ends_with("_c") {
        apart(show(value, Unit::Celsius, system))
    } else if key.ends_with("_percent") {
        apart(show(value, Unit::Percent, system))
    } else if key.ends_with("_pa") {
        (format!("{value:.0}"), "Pa".to_owned())
    } else if key.ends_with("_g_m3") {
        apart(show(value, Unit::GramPerCubicMetre, system))
    } else if key.ends_with("_kg_m3") {
        (format!("{value:.3}"), "kg/m³".to_owned())
    } else if key == "humidity_ratio" && system == System::Imperial {
        let grains = format!("{:.1}", GRAINS_IN_POUND * value);
        (grains, "grains for each lb of dry air".to_owned())
    } else if key == "humidity_ratio" {
        let grams = format!("{:.2}", 1000.0 * value);
        (grams, "g for each kg of dry air".to_owned())
    } else if system == System::Imperial {
        let heat = format!("{:.1}", BTU_LB_IN_KJ_KG * (value + FROM_0_F_KJ_KG));
        let unit = "BTU for each lb of dry air, counted from 0 °F";
        (heat, unit.to_owned())
    } else {
        let heat = format!("{value:.1}");
        let unit = "kJ for each kg of dry air";
        (heat, unit.to_owned())
    };
    let spread = spread.map(|spread| match (key, system) {
        ("humidity_ratio", System::Imperial) => GRAINS_IN_POUND * spread,
        ("humidity_ratio", _) => 1000.0 * spread,
        ("enthalpy_kj_kg", System::Imperial) => BTU_LB_IN_KJ_KG * spread,
        (key, System::Imperial) if key.ends_with("_c") => 1.8 * spread,
        _ => spread,
    });
    // What does not reach the last digit shown is left out.
    let least = if key.ends_with("_kg_m3") { 0.0005 } else { 0.0 };
    match spread.filter(|spread| *spread > least) {
        // A spread is known to two digits at best.
        Some(spread) if key.ends_with("_kg_m3") => format!("{value} ± {spread:.3} {unit}"),
        Some(spread) if spread < 1.0 && !key.ends_with("_c") => {
            format!("{value} ± {spread:.2} {unit}")
        }
        Some(spread) if spread < 10.0 => format!("{value} ± {spread:.1} {unit}"),
        Some(spread) => format!("{value} ± {spread:.0} {unit}"),
        None => format!("{value} {unit}"),
    }
}

/// A number and the unit behind it.
fn apart(shown: String) -> (String, String) {
    match shown.split_once(' ') {
        Some((number, unit)) => (number.to_owned(), unit.to_owned()),
        None => (shown, String::new()),
    }
}

/// The whole answer as text.
pub fn report(asked: &Asked, look: Look) -> String {
    let air = asked.air;
    let mut page = Page::new(look);
    let celsius = |value: f64| show(value, Unit::Celsius, asked.system);
    page.paragraph(
        0,
        Ink::Strong,
        &format!(
            "Air of {} and {} at {:.0} hPa",
            celsius(air.temperature_c()),
            show(air.humidity_percent(), Unit::Percent, asked.system),
            air.pressure_pa() / 100.0
        ),
    );
    let rows: Vec<(String, String)> = LINES
        .iter()
        .map(|&(key, name, of)| {
            let spread = asked.deviation(of).map(|deviation| 2.0 * deviation);
            let text = of(air).map_or_else(
                || "none, the air is dry".to_owned(),
                |value| written(key, value, spread, asked.system),
            );
            (format!("  {name}"), text)
        })
        .collect();
    page.columns(&rows);
    if asked.deviations != Given::default() {
        page.paragraph(
            2,
            Ink::Faint,
            "Behind ± stands what 95 of 100 such readings stay within.",
        );
    }
    let told = asked.given.wet_bulb_c;
    if told.is_some_and(|told| (told - air.wet_bulb_c()).abs() > 0.05) {
        page.paragraph(
            2,
            Ink::Faint,
            "Around freezing the wick may be wet or ice, and the same air has two wet bulbs: the one above is not the \
             one given.",
        );
    }
    if let Some(surface) = asked.surface_c {
        page.blank();
        on_surface(&mut page, asked, surface);
    }
    if let Some(speed) = asked.speed_m_s {
        page.blank();
        drying(&mut page, asked, speed);
    }
    if !asked.at.is_empty() {
        page.heading(Ink::Strong, "If only the temperature changes");
    }
    for &temperature in &asked.at {
        let (then, fallen_out) = air.taken_to(temperature);
        let humidity = show(then.humidity_percent(), Unit::Percent, asked.system);
        if fallen_out > 0.0 {
            let water = show(fallen_out, Unit::GramPerCubicMetre, asked.system);
            let text = format!(
                "At {} it is full, {humidity}; {water} of water falls out as fog, or on walls and caps.",
                celsius(temperature)
            );
            page.entry(0, "!", Ink::Care, &text);
        } else {
            let text = format!("At {} the humidity is {humidity}.", celsius(temperature));
            page.entry(0, "-", Ink::Usual, &text);
        }
    }
    page.finish()
}

/// How hard the moving air dries, against the range that was found.
fn drying(page: &mut Page, asked: &Asked, speed_m_s: f64) {
    let speed = |value: f64| show(value, Unit::MetrePerSecond, asked.system);
    let power = asked.air.evaporating_power_mbar_m_min(speed_m_s);
    let (least, most) = EVAPORATING_POWERS;
    let (mark, ink, verdict) = if power < least {
        ("!", Ink::Care, "too little: caps stay wet")
    } else if power > most {
        ("!", Ink::Care, "too much: caps dry out and crack")
    } else {
        ("+", Ink::Good, "within what was found good")
    };
    let range = asked.air.speeds_that_dry_well_m_s().map_or_else(
        || "This air is full, it dries nothing at any speed.".to_owned(),
        |(slow, fast)| format!("In this air that takes {} to {}.", speed(slow), speed(fast)),
    );
    let text = format!(
        "Moving at {}, it dries with {power:.1} mbar m/min, which is {verdict}. {least:.0} to {most:.0} was found good \
         for one kind that grows on beds; for others take it as a hint. {range}",
        speed(speed_m_s)
    );
    page.entry(0, mark, ink, &text);
}

fn on_surface(page: &mut Page, asked: &Asked, surface_c: f64) {
    let surface = show(surface_c, Unit::Celsius, asked.system);
    let apart = |margin: f64| show_difference(margin.abs(), Unit::Celsius, asked.system);
    let (mark, ink, text) = match asked.air.condensation_margin_k(surface_c) {
        None => (
            "+",
            Ink::Good,
            format!("A surface of {surface} stays dry: there is no water in the air."),
        ),
        Some(margin) if margin <= 0.0 => (
            "!",
            Ink::Care,
            format!(
                "Water forms on a surface of {surface}: it is {} below the dew point.",
                apart(margin)
            ),
        ),
        Some(margin) if margin < NEARLY_WET_K => (
            "?",
            Ink::Care,
            format!(
                "A surface of {surface} stays dry, but only just: it is {} above the dew point, which is no more than \
                 meters may be off.",
                apart(margin)
            ),
        ),
        Some(margin) => (
            "+",
            Ink::Good,
            format!(
                "A surface of {surface} stays dry: it is {} above the dew point.",
                apart(margin)
            ),
        ),
    };
    page.entry(0, mark, ink, &text);
}
