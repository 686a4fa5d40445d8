//! "What if": one or more numbers changed, and what was measured carried along with them.

use crate::engine::chamber::balance::{Balance, CropFrom, balance};
use crate::engine::chamber::own_units;
use crate::engine::chamber::profile::{Chamber, Given, VOLUMES_L, all_given};
use crate::engine::chamber::quantity::Quantity;
use crate::engine::knowledge::KnowledgeBase;
use crate::engine::quantity::{Measured, QuantityError, System, show};

/// How one number is changed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum How {
    /// To this.
    To(Measured),
    /// To this many times what it is.
    Times(f64),
    /// Taken out: there is none.
    Without,
}

/// One number changed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Change {
    /// Which.
    pub quantity: Quantity,
    /// How.
    pub how: How,
}

/// Why a change cannot be understood or made.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum WhatIfError {
    /// There is no equals sign.
    #[error("`{0}` changes nothing; write for example `fan=2x` or `set-point=90 %`")]
    NoValue(String),
    /// No number of this name can be changed.
    #[error("no number of a profile is called `{0}`")]
    Unknown(String),
    /// The value cannot be read.
    #[error("{name}: {error}")]
    Value {
        /// The number.
        name: String,
        /// Why.
        error: QuantityError,
    },
    /// The value cannot be.
    #[error("{name} cannot be {value}; it lies between {least} and {most}")]
    Range {
        /// The number.
        name: String,
        /// The value.
        value: String,
        /// The least it can be.
        least: String,
        /// The most it can be.
        most: String,
    },
    /// There is nothing to multiply.
    #[error("{0} is not in the profile, so it cannot be multiplied; give a value instead")]
    NothingThere(String),
}

/// Reads a change as typed: `fan=2x`, `set-point=90 %`, `duct-length=none`.
///
/// # Errors
/// What was not understood, or cannot be.
pub fn parse(text: &str) -> Result<Change, WhatIfError> {
    let (name, value) = text
        .split_once('=')
        .ok_or_else(|| WhatIfError::NoValue(text.trim().to_owned()))?;
    let (name, value) = (name.trim().to_lowercase(), value.trim());
    let quantity = changeable(&name)?;
    if value.eq_ignore_ascii_case("none") {
        return Ok(Change {
            quantity,
            how: How::Without,
        });
    }
    if let Some(times) = times(value) {
        return Ok(Change {
            quantity,
            how: How::Times(times),
        });
    }
    let measured =
        own_units::parse(quantity, value).map_err(|error| WhatIfError::Value { name, error })?;
    within(quantity, measured.value)?;
    Ok(Change {
        quantity,
        how: How::To(measured),
    })
}

fn changeable(name: &str) -> Result<Quantity, WhatIfError> {
    let by_word = Quantity::parse(name)
        .filter(|&one| one == Quantity::Volume || all_given().any(|given| given.quantity == one));
    let by_key = || {
        let given = all_given().find(|given| format!("{}.{}", given.table, given.key) == name)?;
        Some(given.quantity)
    };
    by_word
        .or_else(by_key)
        .ok_or_else(|| WhatIfError::Unknown(name.to_owned()))
}

/// The words of every number that can be changed.
pub fn changeable_words() -> impl Iterator<Item = &'static str> {
    let volume = std::iter::once(Quantity::Volume);
    volume
        .chain(all_given().map(|given| given.quantity))
        .map(Quantity::word)
}

/// `2x`, `1.5 times`, `x3`: a multiple.
fn times(value: &str) -> Option<f64> {
    let small = value.to_lowercase();
    let number = ["times", "x", "×"].iter().find_map(|word| {
        small
            .strip_suffix(word)
            .or_else(|| small.strip_prefix(word))
    })?;
    let number: f64 = number.trim().replace(',', ".").parse().ok()?;
    (number.is_finite() && number > 0.0).then_some(number)
}

fn within(quantity: Quantity, value: f64) -> Result<(), WhatIfError> {
    let range = all_given()
        .find(|given| given.quantity == quantity)
        .map_or(VOLUMES_L, |&Given { least, most, .. }| (least, most));
    if (range.0..=range.1).contains(&value) {
        return Ok(());
    }
    let shown = |value| show(value, quantity.unit(), System::Metric);
    Err(WhatIfError::Range {
        name: quantity.name().to_owned(),
        value: shown(value),
        least: shown(range.0),
        most: shown(range.1),
    })
}

/// The chamber with these changes. What was measured at the present setting is carried along: the crop gives off what
/// it gave off; a measured airflow changes as the fan's would; a measured temperature as the balance of heat does.
///
/// # Errors
/// Where something is multiplied that is not there, or leaves the range of what can be.
pub fn changed(
    base: &KnowledgeBase,
    chamber: &Chamber,
    changes: &[Change],
) -> Result<Chamber, WhatIfError> {
    let mut after = chamber.clone();
    for change in changes {
        apply(&mut after, *change)?;
    }
    let touched = |quantity: Quantity| changes.iter().any(|change| change.quantity == quantity);
    let now = balance(base, chamber);
    if !touched(Quantity::Co2) && !touched(Quantity::Co2Rise) {
        keep_the_crop(chamber, &now, &mut after);
    }
    if !touched(Quantity::MeasuredAirflow) {
        follow_the_fan(base, chamber, &mut after);
    }
    for (measured, worked_out) in [
        (Quantity::Temperature, Quantity::SettlesAt),
        (Quantity::MeasuredWall, Quantity::Wall),
    ] {
        if !touched(measured) {
            shift(base, chamber, &mut after, (measured, worked_out));
        }
    }
    Ok(after)
}

fn apply(chamber: &mut Chamber, change: Change) -> Result<(), WhatIfError> {
    let quantity = change.quantity;
    let measured = match change.how {
        How::Without => {
            chamber.take(quantity);
            return Ok(());
        }
        How::To(measured) => measured,
        How::Times(times) => {
            // A fan whose speed nobody wrote down runs at full speed.
            let usual = (quantity == Quantity::FanSpeed).then_some(Measured {
                value: 100.0,
                tolerance: None,
            });
            let before = chamber
                .number(quantity)
                .or(usual)
                .ok_or_else(|| WhatIfError::NothingThere(quantity.name().to_owned()))?;
            Measured {
                value: before.value * times,
                tolerance: before.tolerance.map(|tolerance| tolerance * times),
            }
        }
    };
    within(quantity, measured.value)?;
    if quantity == Quantity::Volume {
        chamber.size_m = None;
    }
    chamber.put(quantity, measured);
    Ok(())
}

/// The crop gives off what it gave off, in step with its weight, whatever the air does.
fn keep_the_crop(before: &Chamber, now: &Balance, after: &mut Chamber) {
    let rise = match now.crop {
        CropFrom::Rise => before.number(Quantity::Co2Rise),
        CropFrom::Meter => by_meter(now),
        CropFrom::Book { .. } | CropFrom::Unknown => None,
    };
    let Some(rise) = rise else { return };
    let mass = |chamber: &Chamber| {
        let blocks = chamber.number(Quantity::Blocks)?.value;
        let each = chamber
            .number(Quantity::BlockMass)
            .map_or(1.0, |one| one.value);
        Some(blocks * each)
    };
    let volume = |chamber: &Chamber| chamber.number(Quantity::Volume).map(|one| one.value);
    let ratio = |pair: Option<(f64, f64)>| match pair {
        Some((new, old)) if old > 0.0 => new / old,
        _ => 1.0,
    };
    let more = ratio(mass(after).zip(mass(before))) / ratio(volume(after).zip(volume(before)));
    after.take(Quantity::Co2);
    after.put(
        Quantity::Co2Rise,
        Measured {
            value: rise.value * more,
            tolerance: rise.tolerance.map(|tolerance| tolerance * more),
        },
    );
}

/// The rise that a closed chamber would show, from what meter and airflow say.
fn by_meter(now: &Balance) -> Option<Measured> {
    let (co2, outside) = (now.get(Quantity::Co2)?, now.get(Quantity::RoomCo2)?);
    let changes = now.get(Quantity::AirChanges)?;
    let rise = (co2.value - outside.value).max(0.0) * changes.value;
    let crop = now.get(Quantity::CropCo2)?;
    let share = if crop.value > 0.0 {
        crop.deviation / crop.value
    } else {
        0.0
    };
    Some(Measured {
        value: rise,
        tolerance: Some(rise * share),
    })
}

/// A measured airflow changes as fan and duct would; without their curve, with the speed.
fn follow_the_fan(base: &KnowledgeBase, before: &Chamber, after: &mut Chamber) {
    let Some(measured) = after.number(Quantity::MeasuredAirflow) else {
        return;
    };
    let predicted = |chamber: &Chamber| {
        let mut unmeasured = chamber.clone();
        unmeasured.take(Quantity::MeasuredAirflow);
        // The share of time it runs comes on top of a measured flow by itself.
        unmeasured.take(Quantity::FanRuns);
        balance(base, &unmeasured).get(Quantity::Airflow)
    };
    let speed = |chamber: &Chamber| {
        chamber
            .number(Quantity::FanSpeed)
            .map_or(100.0, |one| one.value)
    };
    let ratio = match (predicted(after), predicted(before)) {
        (Some(new), Some(old)) if old.value > 0.0 => new.value / old.value,
        _ => speed(after) / speed(before),
    };
    after.put(
        Quantity::MeasuredAirflow,
        Measured {
            value: measured.value * ratio,
            tolerance: measured.tolerance.map(|tolerance| tolerance * ratio),
        },
    );
}

/// What was measured moves by as much as what is worked out does.
fn shift(
    base: &KnowledgeBase,
    before: &Chamber,
    after: &mut Chamber,
    (measured, worked_out): (Quantity, Quantity),
) {
    let Some(there) = after.number(measured) else {
        return;
    };
    let predicted = |chamber: &Chamber| {
        let mut unmeasured = chamber.clone();
        unmeasured.take(measured);
        balance(base, &unmeasured).get(worked_out)
    };
    let by = predicted(after)
        .zip(predicted(before))
        .map_or(0.0, |(new, old)| new.value - old.value);
    after.put(
        measured,
        Measured {
            value: there.value + by,
            ..there
        },
    );
}
