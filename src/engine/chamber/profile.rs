//! What a grower writes down about a chamber.

use serde::{Deserialize, Serialize};

use crate::engine::chamber::fan::FanCurve;
use crate::engine::chamber::quantity::{COUNT, Quantity};
use crate::engine::id::{SpeciesId, StageId};
use crate::engine::light::LampKind;
use crate::engine::quantity::Measured;

/// How far a number may be off where nothing is written after `±`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Spread {
    /// Counted or chosen: not at all, as far as matters here.
    None,
    /// By this share of the value, as one standard deviation.
    Share(f64),
    /// By this much in its unit, as one standard deviation.
    Own(f64),
}

/// A number that a profile may hold.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Given {
    /// Which number.
    pub quantity: Quantity,
    /// The table it stands in; empty for the top of the file.
    pub table: &'static str,
    /// Its key there.
    pub key: &'static str,
    /// The least value that can be.
    pub least: f64,
    /// The greatest value that can be.
    pub most: f64,
    /// How far it is off where nobody says so and no reading of the knowledge stands for it.
    pub spread: Spread,
    /// Why it matters.
    pub why: &'static str,
}

const fn given(
    quantity: Quantity,
    (table, key): (&'static str, &'static str),
    (least, most): (f64, f64),
    spread: Spread,
    why: &'static str,
) -> Given {
    Given {
        quantity,
        table,
        key,
        least,
        most,
        spread,
        why,
    }
}

/// Every number that a profile may hold besides its volume, in the order in which files show them.
///
/// judgement: the ranges span what a tote, tent or small room can have; the spreads are what tapes, kitchen scales and
/// makers' labels are usually good to; a small fan and its label differ by a sixth and more; that of a disc's frequency
/// stands for the formula of its drops, which holds at 1 MHz to 8 %.
#[rustfmt::skip]
pub const GIVEN: [Given; 35] = [
    given(Quantity::Altitude, ("", "altitude"), (-500.0, 9000.0), Spread::None, "thin air carries more water for each kilogram"),
    given(Quantity::Blocks, ("", "blocks"), (0.0, 5000.0), Spread::None, "the crop's carbon dioxide goes with its weight"),
    given(Quantity::BlockMass, ("", "block-mass"), (0.05, 50.0), Spread::Share(0.1), "the crop's carbon dioxide goes with its weight"),
    given(Quantity::Devices, ("", "heat-inside"), (0.0, 3000.0), Spread::Share(0.2), "lamps and motors warm what the mist cools"),
    given(Quantity::RoomTemperature, ("room", "temperature"), (-10.0, 50.0), Spread::Own(0.5), "the fresh air comes from the room and brings its warmth and water"),
    given(Quantity::RoomHumidity, ("room", "humidity"), (1.0, 100.0), Spread::Own(4.0), "the drier the room, the more mist the same air takes"),
    given(Quantity::RoomCo2, ("room", "co2"), (300.0, 20_000.0), Spread::Own(50.0), "the chamber can never be fresher than its room"),
    given(Quantity::FanFlow, ("fan", "flow"), (0.1, 5000.0), Spread::Share(0.15), "everything else follows from how much air comes in"),
    given(Quantity::FanPressure, ("fan", "pressure"), (0.5, 5000.0), Spread::Share(0.2), "how much a duct costs depends on how hard the fan can push"),
    given(Quantity::FanSpeed, ("fan", "speed"), (5.0, 400.0), Spread::None, "a slower fan loses pressure twice over"),
    given(Quantity::FanRuns, ("fan", "runs"), (0.5, 100.0), Spread::None, "a fan on a timer brings air only while it runs"),
    given(Quantity::DuctLength, ("duct", "length"), (0.0, 50.0), Spread::Share(0.02), "a duct costs airflow"),
    given(Quantity::DuctBore, ("duct", "bore"), (0.005, 1.0), Spread::Share(0.02), "half the bore costs some thirty times the pressure"),
    given(Quantity::DuctBends, ("duct", "bends"), (0.0, 30.0), Spread::None, "each bend costs about as much as a metre of duct"),
    given(Quantity::BendRadius, ("duct", "bend-radius"), (0.002, 10.0), Spread::Share(0.1), "a tight bend costs more than a wide one"),
    given(Quantity::MisterOutput, ("mister", "output"), (0.5, 50_000.0), Spread::Share(0.1), "it decides whether the humidity can be held, and how far it overshoots"),
    given(Quantity::Tank, ("mister", "tank"), (0.02, 5000.0), Spread::Share(0.05), "it decides how long the mister runs alone"),
    given(Quantity::WaterSolids, ("mister", "water-solids"), (0.0, 5000.0), Spread::Share(0.1), "a mister throws what is dissolved in its water into the air as dust"),
    given(Quantity::WaterHardness, ("mister", "hardness"), (0.0, 2000.0), Spread::Share(0.1), "lime is most of the dust that a mister leaves"),
    given(Quantity::Frequency, ("mister", "frequency"), (0.01, 10.0), Spread::Share(0.15), "the faster the disc swings, the finer its drops"),
    given(Quantity::Drops, ("mister", "drops"), (0.5, 1000.0), Spread::Share(0.2), "fine drops are gone before they land, coarse ones wet what is below"),
    given(Quantity::HoseLength, ("mister", "hose"), (0.0, 50.0), Spread::None, "water settles in a long hose"),
    given(Quantity::Lag, ("mister", "lag"), (0.0, 1800.0), Spread::Share(0.3), "until mist shows on the sensor the mister runs on"),
    given(Quantity::SetPoint, ("humidity", "set-point"), (20.0, 100.0), Spread::None, "the mist needed follows from the humidity to be held"),
    given(Quantity::Band, ("humidity", "band"), (0.1, 50.0), Spread::None, "it says when the mister starts again"),
    given(Quantity::LampHours, ("lamp", "hours"), (0.0, 24.0), Spread::None, "most kinds need some light and none needs all day"),
    given(Quantity::Light, ("lamp", "light"), (0.0, 150_000.0), Spread::Share(0.15), "most kinds need some light at the block"),
    given(Quantity::Colour, ("lamp", "colour"), (1500.0, 20_000.0), Spread::Share(0.05), "the bluer the light, the more it does for the same lux"),
    given(Quantity::WallThickness, ("wall", "thickness"), (0.000_001, 1.0), Spread::Share(0.1), "a thick wall is warmer inside"),
    given(Quantity::Insulation, ("wall", "insulation"), (0.0, 1.0), Spread::Share(0.1), "an insulated wall is warmer inside and drips less"),
    given(Quantity::Behind, ("wall", "behind"), (-40.0, 60.0), Spread::Own(1.0), "the coldest wall drips first"),
    given(Quantity::Temperature, ("measured", "temperature"), (-10.0, 60.0), Spread::Own(0.5), "warm air holds more water"),
    given(Quantity::Humidity, ("measured", "humidity"), (1.0, 100.0), Spread::Own(3.0), "it tells what the mister really holds"),
    given(Quantity::Co2, ("measured", "co2"), (300.0, 100_000.0), Spread::Own(80.0), "with the airflow it tells what the crop gives off"),
    given(Quantity::Co2Rise, ("measured", "co2-rise"), (0.0, 100_000.0), Spread::Share(0.1), "it tells what the crop gives off, by itself"),
];

/// Two more that were measured and stand for what else would be worked out.
#[rustfmt::skip]
pub const GIVEN_INSTEAD: [Given; 2] = [
    given(Quantity::MeasuredAirflow, ("measured", "airflow"), (0.01, 5000.0), Spread::Share(0.2), "a measured flow is worth more than any label"),
    given(Quantity::MeasuredWall, ("measured", "wall"), (-20.0, 60.0), Spread::Own(0.7), "the coldest wall drips first"),
];

/// The range of volumes in litres.
///
/// judgement: from a bucket to a large room.
pub const VOLUMES_L: (f64, f64) = (2.0, 200_000.0);

/// Every number that may be given in a file or asked "what if" about.
pub fn all_given() -> impl Iterator<Item = &'static Given> {
    GIVEN.iter().chain(&GIVEN_INSTEAD)
}

/// Where the humidity sensor hangs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SensorPlace {
    /// At cap height, out of mist and drips.
    Caps,
    /// Where the mist reaches it.
    Mist,
    /// In the stream of the fan or inlet.
    Fan,
    /// At a wall.
    Wall,
    /// Above the crop, under the lid.
    Top,
    /// Outside the chamber.
    Outside,
}

/// Something a profile says that is so or not so.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum Statement {
    /// There is no fan.
    WithoutFan,
    /// The fan never rests.
    FanNeverRests,
    /// A duct hangs on the way out.
    OutletDuct,
    /// A filter is fitted.
    FilterFitted,
    /// A controller switches the mister.
    Controlled,
    /// The mister makes its mist with ultrasound.
    Ultrasonic,
    /// The mister stands inside.
    MisterInside,
    /// The humidity sensor hangs inside.
    SensorInside,
    /// The humidity sensor hangs inside, but not where the crop is.
    SensorAway,
    /// The lamp hangs inside.
    LampInside,
}

impl Statement {
    /// Every statement with its word in knowledge files.
    pub const WORDS: [(&'static str, Self); 10] = [
        ("without-fan", Self::WithoutFan),
        ("fan-never-rests", Self::FanNeverRests),
        ("outlet-duct", Self::OutletDuct),
        ("filter-fitted", Self::FilterFitted),
        ("controlled", Self::Controlled),
        ("ultrasonic", Self::Ultrasonic),
        ("mister-inside", Self::MisterInside),
        ("sensor-inside", Self::SensorInside),
        ("sensor-away", Self::SensorAway),
        ("lamp-inside", Self::LampInside),
    ];

    /// Its word.
    pub fn word(self) -> &'static str {
        let mut words = Self::WORDS.iter();
        words
            .find(|(_, statement)| *statement == self)
            .map_or("", |(word, _)| word)
    }

    /// The statement of this word.
    pub fn parse(word: &str) -> Option<Self> {
        Self::WORDS
            .iter()
            .find(|(known, _)| *known == word)
            .map(|(_, statement)| *statement)
    }
}

/// What the walls are made of.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Material {
    /// Its name.
    pub name: &'static str,
    /// Heat it conducts in watts a metre and kelvin.
    pub conductivity_w_mk: f64,
}

/// A chamber as written down.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Chamber {
    /// What it is called.
    pub name: Option<String>,
    /// The species in it.
    pub species: Option<SpeciesId>,
    /// Its stage.
    pub stage: Option<StageId>,
    /// Length, width and height inside in metres, where given.
    pub size_m: Option<[f64; 3]>,
    /// The numbers that were given.
    pub numbers: Vec<(Quantity, Measured)>,
    /// The fan's curve at full speed, where points of it were given.
    pub curve: Option<FanCurve>,
    /// Whether the duct is flexible.
    pub flexible: bool,
    /// Whether a flexible duct hangs slack.
    pub slack: bool,
    /// The material of the walls, where given; otherwise a thin film.
    pub material: Option<Material>,
    /// What kind of lamp gives the light, where told.
    pub lamp: Option<LampKind>,
    /// Whether the coldest place is a still corner.
    pub still_corner: bool,
    /// Where the sensor hangs.
    pub sensor: Option<SensorPlace>,
    /// What else is so or not so.
    pub statements: Vec<(Statement, bool)>,
}

impl Chamber {
    /// A number as given.
    pub fn number(&self, quantity: Quantity) -> Option<Measured> {
        self.numbers
            .iter()
            .find(|(one, _)| *one == quantity)
            .map(|(_, measured)| *measured)
    }

    /// Puts a number in, in place of one that is there.
    pub fn put(&mut self, quantity: Quantity, measured: Measured) {
        self.take(quantity);
        self.numbers.push((quantity, measured));
    }

    /// Takes a number out.
    pub fn take(&mut self, quantity: Quantity) -> Option<Measured> {
        let place = self.numbers.iter().position(|(one, _)| *one == quantity)?;
        Some(self.numbers.remove(place).1)
    }

    /// Whether a statement holds; `None` where nothing was said.
    pub fn says(&self, statement: Statement) -> Option<bool> {
        self.statements
            .iter()
            .find(|(one, _)| *one == statement)
            .map(|(_, holds)| *holds)
    }

    /// Whether there is a duct with length and bore.
    pub fn has_duct(&self) -> bool {
        self.number(Quantity::DuctLength).is_some() && self.number(Quantity::DuctBore).is_some()
    }

    /// The plain numbers, without their tolerances.
    pub fn plain(&self) -> [Option<f64>; COUNT] {
        let mut plain = [None; COUNT];
        for (quantity, measured) in &self.numbers {
            plain[quantity.place()] = Some(measured.value);
        }
        plain
    }
}
