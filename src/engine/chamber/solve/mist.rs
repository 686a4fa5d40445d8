//! The mist of a chamber in its balance: drops, the room that the air has for them, and how heavy that air is.

use crate::engine::chamber::droplet::{disc_drops_um, lands_from_um, life, room_for_water_g};
use crate::engine::chamber::quantity::Quantity;
use crate::engine::chamber::solve::Work;
use crate::engine::chamber::still::fades_h;
use crate::engine::climate::Air;

/// A life of drops in seconds beyond which they may as well last for ever.
///
/// judgement: an hour; in air as full as that even the finest mist settles or drifts away first.
const FOR_EVER_S: f64 = 3600.0;

impl Work<'_> {
    /// The air that the mister holds.
    fn held_air(&self) -> Option<Air> {
        let flow = self.get(Quantity::Airflow).unwrap_or(0.0);
        let t = self.temperature_c(flow)?;
        Some(Air::new(t, self.held_percent()?).at_pressure(self.pressure_pa()))
    }

    /// What becomes of the mister's drops, and how much the air takes up.
    pub(super) fn drops(&mut self) {
        let by_disc = self.get(Quantity::Frequency);
        let width = self
            .get(Quantity::Drops)
            .or(by_disc.map(|megahertz| disc_drops_um(1e6 * megahertz)));
        self.set(Quantity::Drops, width);
        let Some(air) = self.held_air() else {
            return;
        };
        let (t, humidity) = (air.temperature_c(), air.humidity_percent());
        let life = width
            .and_then(|width| life(width, t, humidity))
            .filter(|&(seconds, _)| seconds < FOR_EVER_S);
        self.set(Quantity::DropLife, life.map(|(seconds, _)| seconds));
        self.set(Quantity::DropFall, life.map(|(_, metres)| 1000.0 * metres));
        // Caps stand half-way.
        let lands = self
            .height_m()
            .and_then(|height| lands_from_um(0.5 * height, t, humidity));
        self.set(Quantity::LandsFrom, lands);
        let room = self.volume_m3().map(|volume| room_for_water_g(air, volume));
        self.set(Quantity::AirRoom, room);
        let full = room.zip(self.get(Quantity::MisterOutput));
        self.set(
            Quantity::FullIn,
            full.map(|(grams, output)| 3600.0 * grams / output),
        );
    }

    /// How heavy the air of the chamber is beside that of the room, and how slowly layers of it fade.
    pub(super) fn weight(&mut self) {
        let inside = self.get(Quantity::Co2).or(self.get(Quantity::SteadyCo2));
        let heavier = || {
            let (held, room) = (self.held_air()?, self.room()?);
            let share = held.heavier_by(inside?, room, self.get(Quantity::RoomCo2)?);
            Some(100.0 * share)
        };
        let heavier = heavier();
        self.set(Quantity::Heavier, heavier);
        let fades = self.height_m().map(fades_h);
        self.set(Quantity::StillHours, fades);
    }
}
