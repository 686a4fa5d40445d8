//! The balance of a chamber: every number with its uncertainty, and how it stands to what the crop likes.

use crate::engine::chamber::band::Steady;
use crate::engine::chamber::profile::Chamber;
use crate::engine::chamber::quantity::{COUNT, Numbers, Quantity};
use crate::engine::chamber::solve::{Around, Solved, solve};
use crate::engine::chamber::uncertainty::{estimate, inputs, variances};
use crate::engine::id::{OutputId, ReadingId};
use crate::engine::knowledge::{KnowledgeBase, Output, SpeciesLimit};

pub use crate::engine::chamber::uncertainty::Estimate;

/// Where the crop's carbon dioxide is from.
#[derive(Debug, Clone, PartialEq)]
pub enum CropFrom {
    /// From the rise in the closed chamber.
    Rise,
    /// From carbon dioxide and airflow as they are.
    Meter,
    /// From a range in the knowledge, in milligrams an hour for each kilogram of block.
    Book {
        /// Which entry.
        output: OutputId,
        /// Its range.
        range_mg_kg_h: (f64, f64),
    },
    /// Nobody knows.
    Unknown,
}

/// What the book has to say where that is far from what was measured.
#[derive(Debug, Clone, PartialEq)]
pub struct Doubt {
    /// Carbon dioxide from the crop by the book, in grams an hour.
    pub range_g_h: (f64, f64),
    /// How many times the mean a flush may reach.
    pub peak_times: f64,
}

/// How a number stands to its limits.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Standing {
    /// Within them.
    Fine,
    /// Above the greatest.
    TooHigh,
    /// Below the least.
    TooLow,
}

/// A number held against limits.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Judged {
    /// How its best value stands.
    pub standing: Standing,
    /// Whether the whole interval stands alike.
    pub sure: bool,
    /// The least that is right.
    pub min: Option<f64>,
    /// The greatest that is right.
    pub max: Option<f64>,
}

/// The balance of a chamber.
#[derive(Debug, Clone, PartialEq)]
pub struct Balance {
    values: Vec<Option<Estimate>>,
    /// Where the crop's carbon dioxide is from.
    pub crop: CropFrom,
    /// Set where what was measured of it is far from what the book has.
    pub doubt: Option<Doubt>,
    /// Numbers that were taken because nobody gave them, with their value.
    pub taken: Vec<(Quantity, f64)>,
    /// Whether fan and duct have more than one meeting, so that the flow may jump.
    pub unsteady_fan: bool,
    /// Why the mister does not switch, where it does not.
    pub steady: Option<Steady>,
    judged: Vec<Option<Judged>>,
}

impl Balance {
    /// The estimate of a quantity, if it could be worked out.
    pub fn get(&self, quantity: Quantity) -> Option<Estimate> {
        self.values[quantity.place()]
    }

    /// How a quantity stands, where there is a limit for it.
    pub fn judged(&self, quantity: Quantity) -> Option<Judged> {
        self.judged[quantity.place()]
    }

    /// Whether a number rests on the range of a book rather than on this chamber.
    pub fn rests_on_book(&self, quantity: Quantity) -> bool {
        let of_crop = matches!(
            quantity,
            Quantity::CropCo2
                | Quantity::SteadyCo2
                | Quantity::StaleHours
                | Quantity::NeededAirflow
                | Quantity::AirflowFactor
                | Quantity::NeededChanges
                | Quantity::MistNeeded
                | Quantity::DutyNeeded
                | Quantity::TankHoursNeeded
                | Quantity::ReachNeeded
        );
        of_crop && matches!(self.crop, CropFrom::Book { .. })
    }
}

/// Works out the balance of a chamber.
///
/// # Source
/// Uncertainty: JCGM 100:2008 (GUM), 5.1.2, inputs taken as independent. Where the crop's output is a range, the
/// interval reaches from one end of it to the other and the uncertainty of the rest is added on both sides.
pub fn balance(base: &KnowledgeBase, chamber: &Chamber) -> Balance {
    let (given, deviations, taken) = inputs(base, chamber);
    let co2_limit_ppm = limit(base, chamber, Quantity::Co2).and_then(|limit| limit.max);
    let humidity = limit(base, chamber, Quantity::Humidity);
    let least_humidity_percent = humidity.and_then(|limit| limit.min);
    let measured =
        chamber.number(Quantity::Co2Rise).is_some() || chamber.number(Quantity::Co2).is_some();
    let known = by_the_book(base, chamber);
    let book = known.as_ref().filter(|_| !measured);
    let at = |crop_mg_kg_h: Option<f64>, given: &Numbers| -> Solved {
        let around = Around {
            crop_mg_kg_h,
            co2_limit_ppm,
            least_humidity_percent,
        };
        solve(given, chamber, around)
    };
    let range = book.map(|book| book.output.co2_mg_kg_h);
    let middle = range.map(|(low, high)| 0.5 * (low + high));
    let solved = at(middle, &given);
    let variance = variances(&given, &deviations, &solved.numbers, &|given| {
        at(middle, given).numbers
    });
    let ends = range.map(|(low, high)| {
        (
            at(Some(low), &given).numbers,
            at(Some(high), &given).numbers,
        )
    });
    let values: Vec<Option<Estimate>> = Quantity::ALL
        .iter()
        .map(|&quantity| {
            let place = quantity.place();
            let value = solved.numbers[place]?;
            let deviation = libm::sqrt(variance[place]);
            let ends = ends.as_ref().map(|(low, high)| (low[place], high[place]));
            Some(estimate(quantity, value, deviation, ends))
        })
        .collect();
    let crop = if chamber.number(Quantity::Co2Rise).is_some() {
        CropFrom::Rise
    } else if solved.numbers[Quantity::CropCo2.place()].is_none() {
        CropFrom::Unknown
    } else {
        match book {
            Some(book) => CropFrom::Book {
                output: book.id.clone(),
                range_mg_kg_h: book.output.co2_mg_kg_h,
            },
            None => CropFrom::Meter,
        }
    };
    let mut balance = Balance {
        values,
        crop,
        doubt: None,
        taken,
        unsteady_fan: solved.unsteady_fan,
        steady: solved.steady,
        judged: vec![None; COUNT],
    };
    if measured {
        let crop = balance.get(Quantity::CropCo2);
        balance.doubt = crop
            .zip(known.as_ref())
            .and_then(|(crop, known)| known.doubts(crop));
    }
    for &quantity in Quantity::ALL {
        balance.judged[quantity.place()] = judge(base, chamber, &balance, quantity);
    }
    balance
}

/// The reading of the knowledge that stands for a quantity.
pub fn reading_of(base: &KnowledgeBase, quantity: Quantity) -> Option<&ReadingId> {
    let mut readings = base.readings.iter();
    readings
        .find(|(_, reading)| reading.profile == Some(quantity))
        .map(|(id, _)| id)
}

/// The limit of the chamber's species and stage for a quantity.
pub fn limit<'k>(
    base: &'k KnowledgeBase,
    chamber: &Chamber,
    quantity: Quantity,
) -> Option<&'k SpeciesLimit> {
    let reading = reading_of(base, quantity)?;
    base.limit_for(
        chamber.species.as_ref(),
        chamber.stage.as_ref(),
        reading.as_str(),
    )
}

/// What the book has for the crop of a chamber.
struct ByTheBook<'k> {
    id: &'k OutputId,
    output: &'k Output,
    kilograms: f64,
}

impl ByTheBook<'_> {
    /// The book, where what was measured lies beyond even a flush or a rest.
    fn doubts(&self, measured: Estimate) -> Option<Doubt> {
        let peak_times = self.output.peak_times;
        let (low, high) = self.output.co2_mg_kg_h;
        let range_g_h = (
            low * self.kilograms / 1000.0,
            high * self.kilograms / 1000.0,
        );
        let beyond =
            measured.low > peak_times * range_g_h.1 || measured.high < range_g_h.0 / peak_times;
        beyond.then_some(Doubt {
            range_g_h,
            peak_times,
        })
    }
}

/// What the crop gives off by the knowledge, where its species, stage and weight are known.
fn by_the_book<'k>(base: &'k KnowledgeBase, chamber: &Chamber) -> Option<ByTheBook<'k>> {
    let species = chamber.species.as_ref()?;
    let stage = chamber.stage.as_ref().or(base.default_stage())?;
    let mut outputs = base.outputs.iter();
    let (id, output) =
        outputs.find(|(_, output)| output.species.contains(species) && output.stage == *stage)?;
    let blocks = chamber.number(Quantity::Blocks)?.value;
    let mass = chamber.number(Quantity::BlockMass)?.value;
    Some(ByTheBook {
        id,
        output,
        kilograms: blocks * mass,
    })
}

/// Holds a number against the limits of the crop, or against those of physics.
fn judge(
    base: &KnowledgeBase,
    chamber: &Chamber,
    balance: &Balance,
    quantity: Quantity,
) -> Option<Judged> {
    let estimate = balance.get(quantity)?;
    let of_species = |least: bool, most: bool| {
        let limit = limit(base, chamber, quantity.judged_as())?;
        Some((limit.min.filter(|_| least), limit.max.filter(|_| most)))
    };
    let (min, max) = match quantity {
        // Water forms where the wall is no warmer than the dew point.
        Quantity::Margin => (Some(0.0), None),
        // Above saturation it is fog; more than all of the time cannot be.
        Quantity::Peak | Quantity::Duty | Quantity::DutyNeeded => (None, Some(100.0)),
        Quantity::AirflowFactor => (None, Some(1.0)),
        Quantity::Drops => (None, balance.get(Quantity::LandsFrom).map(|one| one.value)),
        // The room's air is the room's affair, though the limits of the crop are of the same kind.
        Quantity::RoomTemperature | Quantity::RoomHumidity | Quantity::RoomCo2 => return None,
        Quantity::Reach | Quantity::ReachNeeded | Quantity::StartsAt | Quantity::Trough => {
            of_species(true, false)?
        }
        _ => of_species(true, true)?,
    };
    if min.is_none() && max.is_none() {
        return None;
    }
    let above = |value: f64| max.is_some_and(|max| value > max);
    let below = |value: f64| match quantity {
        Quantity::Margin => min.is_some_and(|min| value <= min),
        _ => min.is_some_and(|min| value < min),
    };
    let standing = |value: f64| {
        if above(value) {
            Standing::TooHigh
        } else if below(value) {
            Standing::TooLow
        } else {
            Standing::Fine
        }
    };
    let at = standing(estimate.value);
    Some(Judged {
        standing: at,
        sure: standing(estimate.low) == at && standing(estimate.high) == at,
        min,
        max,
    })
}
