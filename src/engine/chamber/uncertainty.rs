//! How far the numbers of a balance may be off: from what was given, by way of what is taken, to what comes out.

use crate::engine::chamber::balance::reading_of;
use crate::engine::chamber::duct::bend_loss;
use crate::engine::chamber::profile::{Chamber, Spread, all_given};
use crate::engine::chamber::quantity::{COUNT, Numbers, Quantity};
use crate::engine::chamber::wall::STILL_AIR_M2K_W;
use crate::engine::knowledge::KnowledgeBase;
use crate::engine::quantity::Unit;

/// How many standard deviations the ends of an interval lie from its middle.
///
/// # Source
/// JCGM 100:2008 (GUM), 6.3.3: about 95 % of a normal distribution.
const COVERAGE: f64 = 2.0;

/// A number with how far it may be off.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate {
    /// The best single value.
    pub value: f64,
    /// One standard deviation from what was measured and assumed, without the range of a book.
    pub deviation: f64,
    /// The lower end of where it lies with about 95 %.
    pub low: f64,
    /// The upper end.
    pub high: f64,
}

/// The numbers given with those that are taken in their stead, their standard deviations, and what was taken.
pub fn inputs(
    base: &KnowledgeBase,
    chamber: &Chamber,
) -> (Numbers, [f64; COUNT], Vec<(Quantity, f64)>) {
    let mut given = chamber.plain();
    let mut deviations = [0.0; COUNT];
    let mut taken = Vec::new();
    for (quantity, measured) in &chamber.numbers {
        let usual = usual_deviation(base, *quantity, measured.value);
        deviations[quantity.place()] = measured.tolerance.unwrap_or(usual);
    }
    let mut take = |quantity: Quantity, value: f64, deviation: f64, tell: bool| {
        if given[quantity.place()].is_none() {
            given[quantity.place()] = Some(value);
            deviations[quantity.place()] = deviation;
            if tell {
                taken.push((quantity, value));
            }
        }
    };
    let reading = reading_of(base, Quantity::RoomCo2).and_then(|id| base.readings.get(id));
    if let Some((reading, value)) = reading.and_then(|one| Some((one, one.assumed?))) {
        let usual = reading.tolerance + reading.tolerance_share * value;
        take(Quantity::RoomCo2, value, usual, true);
    }
    // judgement: mist needs some seconds through hose and air, and a small sensor about as many to follow.
    if chamber.number(Quantity::SetPoint).is_some() && chamber.number(Quantity::Band).is_some() {
        take(Quantity::Lag, 20.0, 10.0, true);
    }
    if chamber.has_duct() {
        // Smooth plastic 0.0015 mm; a stretched wire helix 1 to 3 mm (ASHRAE roughness classes, from memory).
        match chamber.flexible {
            true => take(Quantity::Roughness, 0.002, 0.001 / 3f64.sqrt(), false),
            false => take(Quantity::Roughness, 1.5e-6, 0.0, false),
        }
        if chamber.flexible && chamber.slack {
            // Four times for moderate slack, near ten for more (Abushakra, Walker and Sherman 2004).
            take(Quantity::Slack, 7.0, 3.0 / 3f64.sqrt(), true);
        }
        // Friction of 0.03; a rougher duct loses more in its bends as well.
        let bend = |radius: f64| bend_loss(0.03, radius);
        match chamber
            .number(Quantity::BendRadius)
            .zip(chamber.number(Quantity::DuctBore))
        {
            Some((radius, bore)) => {
                let loss = bend((radius.value / bore.value).max(0.5));
                take(Quantity::BendLoss, loss, 0.15 * loss, false);
            }
            // judgement: bends are bent over 1 to 1.5 bores.
            None => {
                let (tight, wide) = (bend(1.0), bend(1.5));
                let half = 0.5 * (tight - wide);
                take(Quantity::BendLoss, tight - half, half / 3f64.sqrt(), false);
            }
        }
        // 1 to 10 (common practice).
        take(Quantity::FilterLoss, 5.5, 4.5 / 3f64.sqrt(), false);
    }
    // judgement: the rate at which water settles is good to a third, of which convection is the weak part.
    take(Quantity::Stirring, 1.0, 0.3, false);
    // 0.131 to 0.146 by theory in still air, less near a fan (ISO 6946 and Churchill and Chu 1975, from memory).
    take(Quantity::InnerResistance, STILL_AIR_M2K_W, 0.02, false);
    (given, deviations, taken)
}

/// How far a number is off where nobody says so: by the reading that stands for it, or by the table.
fn usual_deviation(base: &KnowledgeBase, quantity: Quantity, value: f64) -> f64 {
    let reading = reading_of(base, quantity).and_then(|id| base.readings.get(id));
    if let Some(reading) = reading {
        let chosen = all_given().any(|one| one.quantity == quantity && one.spread == Spread::None);
        return if chosen {
            0.0
        } else {
            reading.tolerance + reading.tolerance_share * value.abs()
        };
    }
    match all_given()
        .find(|one| one.quantity == quantity)
        .map(|one| one.spread)
    {
        Some(Spread::Share(share)) => share * value.abs(),
        Some(Spread::Own(own)) => own,
        Some(Spread::None) | None => 0.0,
    }
}

/// The variance of every number, by central differences.
pub fn variances(
    given: &Numbers,
    deviations: &[f64; COUNT],
    centre: &Numbers,
    solve: &impl Fn(&Numbers) -> Numbers,
) -> [f64; COUNT] {
    let mut variances = [0.0; COUNT];
    for (place, &deviation) in deviations.iter().enumerate() {
        let Some(value) = given[place].filter(|_| deviation > 0.0) else {
            continue;
        };
        // Small enough to follow the slope, large enough to keep seven digits of the difference.
        let step = deviation / 1000.0;
        let mut moved = *given;
        moved[place] = Some(value + step);
        let above = solve(&moved);
        moved[place] = Some(value - step);
        let below = solve(&moved);
        for (out, variance) in variances.iter_mut().enumerate() {
            let Some(middle) = centre[out] else { continue };
            // At the edge of what can be computed one side has to do.
            let change = match (above[out], below[out]) {
                (Some(above), Some(below)) => (above - below) / 2.0,
                (Some(above), None) => above - middle,
                (None, Some(below)) => middle - below,
                (None, None) => 0.0,
            };
            *variance += (change * 1000.0) * (change * 1000.0);
        }
    }
    variances
}

/// A value with its interval, wide enough for the two ends of a book's range.
pub fn estimate(
    quantity: Quantity,
    value: f64,
    deviation: f64,
    ends: Option<(Option<f64>, Option<f64>)>,
) -> Estimate {
    let (first, last) = match ends {
        Some((Some(one), Some(other))) => (one.min(other).min(value), one.max(other).max(value)),
        _ => (value, value),
    };
    let (mut low, mut high) = (first - COVERAGE * deviation, last + COVERAGE * deviation);
    if value >= 0.0 && quantity.unit() != Unit::Celsius && !quantity.is_difference() {
        low = low.max(0.0);
    }
    if quantity.judged_as() == Quantity::Humidity || quantity == Quantity::DryUpTo {
        high = high.min(100.0_f64.max(value));
    }
    Estimate {
        value,
        deviation,
        low,
        high,
    }
}
