//! What a log is judged by: numbers, believable ranges and limits, all from the knowledge.

use crate::engine::condition::Side;
use crate::engine::id::{ReadingId, SpeciesId, StageId};
use crate::engine::knowledge::{Finding, KnowledgeBase, LogNumbers, Measure, Reading};
use crate::engine::quantity::Unit;
use crate::log::channel::{CHANNELS, Channel};

/// What the values of a channel are judged by.
#[derive(Debug, Clone, PartialEq)]
pub struct ChannelSettings {
    /// The reading of the knowledge that the channel is.
    pub reading: ReadingId,
    /// What it is called.
    pub name: String,
    /// Its unit.
    pub unit: Unit,
    /// Least and greatest value that is believed.
    pub believable: (f64, f64),
    /// Standard deviation of a hobby meter.
    pub tolerance: f64,
    /// The least value for the species and stage.
    pub min: Option<f64>,
    /// The greatest value for the species and stage.
    pub max: Option<f64>,
    /// Whether some cause shows itself by values below, and above, a limit.
    pub shows: (bool, bool),
}

/// What a log is judged by.
#[derive(Debug, Clone, PartialEq)]
pub struct Settings {
    /// The numbers.
    pub numbers: LogNumbers,
    /// Each channel that the knowledge has a reading for.
    pub channels: [Option<ChannelSettings>; CHANNELS],
    /// Temperature of a surface to be watched, °C.
    pub surface_c: Option<f64>,
    /// Carbon dioxide of the air outside, ppm.
    pub outside_ppm: Option<f64>,
    /// Whether that was given and not assumed.
    pub outside_given: bool,
    /// The species whose limits hold, and whether it was named.
    pub species: Option<(SpeciesId, String, bool)>,
    /// The stage whose limits hold, and whether it was named.
    pub stage: Option<(StageId, String, bool)>,
}

/// The knowledge has nothing to judge a log by.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error(
    "this knowledge has no `log-number` entries, so no log can be judged by it; copy log.toml from the built-in \
     knowledge"
)]
pub struct NoLogs;

impl Settings {
    /// Gathers what the knowledge says for a species and a stage; without a name, for those that stand for none.
    ///
    /// # Errors
    /// The knowledge says nothing of logs.
    pub fn new(
        base: &KnowledgeBase,
        species: Option<&SpeciesId>,
        stage: Option<&StageId>,
    ) -> Result<Self, NoLogs> {
        let numbers = base.log.clone().ok_or(NoLogs)?;
        let of_species = species.or_else(|| base.default_species()).cloned();
        let of_stage = stage.or_else(|| base.default_stage()).cloned();
        let channels = Channel::ALL.map(|channel| {
            let (id, reading) = reading(base, channel.measure())?;
            let limit = match (&of_species, &of_stage) {
                (Some(species), Some(stage)) => {
                    base.species_limit(species.as_str(), stage.as_str(), id.as_str())
                }
                _ => None,
            };
            Some(ChannelSettings {
                reading: id.clone(),
                name: reading.name.clone(),
                unit: reading.unit,
                believable: reading.believable,
                tolerance: reading.tolerance,
                min: limit.and_then(|limit| limit.min),
                max: limit.and_then(|limit| limit.max),
                shows: (shown(base, id, Side::Below), shown(base, id, Side::Above)),
            })
        });
        Ok(Self {
            numbers,
            channels,
            surface_c: None,
            outside_ppm: reading(base, Measure::OutsideCo2).and_then(|(_, one)| one.assumed),
            outside_given: false,
            species: of_species.map(|id| {
                let name = base
                    .species
                    .get(&id)
                    .map_or_else(String::new, |one| one.name.clone());
                (id, name, species.is_some())
            }),
            stage: of_stage.map(|id| {
                let name = base
                    .stages
                    .get(&id)
                    .map_or_else(String::new, |one| one.name.clone());
                (id, name, stage.is_some())
            }),
        })
    }

    /// What the values of a channel are judged by.
    pub fn channel(&self, channel: Channel) -> Option<&ChannelSettings> {
        self.channels[channel.index()].as_ref()
    }
}

/// Whether some cause shows itself by this reading on this side of a limit.
fn shown(base: &KnowledgeBase, reading: &ReadingId, side: Side) -> bool {
    let mut shows = base.causes.values().flat_map(|cause| &cause.shows);
    shows.any(|shown| {
        matches!(&shown.finding, Finding::Reading(compared) if compared.reading == *reading && compared.side == side)
    })
}

/// The reading that lays claim to a measure.
pub fn reading(base: &KnowledgeBase, measure: Measure) -> Option<(&ReadingId, &Reading)> {
    base.readings
        .iter()
        .find(|(_, reading)| reading.log == Some(measure))
}
