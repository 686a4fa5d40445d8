//! The walls of a chamber in its balance.

use crate::engine::chamber::convection::still_air_w_m2k;
use crate::engine::chamber::quantity::Quantity;
use crate::engine::chamber::solve::Work;
use crate::engine::chamber::wall::{
    CORNER_M2K_W, STILL_AIR_M2K_W, Wall, condensation_g_m2_h, dry_up_to_percent, layer_m2k_w,
};
use crate::engine::climate::Air;

/// Heat that insulating foam conducts, in watts a metre and kelvin.
///
/// # Source
/// ISO 10456, expanded polystyrene (from memory).
const FOAM_W_MK: f64 = 0.035;

impl Work<'_> {
    /// The wall, with this resistance of the air inside it.
    pub(super) fn wall(&self, inner_m2k_w: f64) -> Wall {
        let own = self
            .get(Quantity::WallThickness)
            .zip(self.chamber.material)
            .map_or(0.0, |(thickness, material)| {
                layer_m2k_w(thickness, material.conductivity_w_mk)
            });
        let foam = layer_m2k_w(self.get(Quantity::Insulation).unwrap_or(0.0), FOAM_W_MK);
        Wall {
            layers_m2k_w: own + foam + self.get(Quantity::WallLayers).unwrap_or(0.0),
            inner_m2k_w,
            outer_m2k_w: STILL_AIR_M2K_W,
        }
    }

    /// How cold the walls are inside, and whether they drip.
    pub(super) fn walls(&mut self) {
        let flow = self.get(Quantity::Airflow).unwrap_or(0.0);
        let Some(t) = self.temperature_c(flow) else {
            return;
        };
        let inner = if self.chamber.still_corner {
            CORNER_M2K_W
        } else {
            self.get(Quantity::InnerResistance)
                .unwrap_or(STILL_AIR_M2K_W)
        };
        let behind = self
            .get(Quantity::Behind)
            .or(self.get(Quantity::RoomTemperature));
        let worked_out = behind.map(|behind| self.wall(inner).inner_face_c(t, behind));
        let face = self.get(Quantity::MeasuredWall).or(worked_out);
        self.set(Quantity::Wall, face);
        let held = self.held_percent().map(|percent| Air::new(t, percent));
        self.set(Quantity::DewPoint, held.and_then(Air::dew_point_c));
        let margin = held
            .zip(face)
            .and_then(|(air, face)| air.condensation_margin_k(face));
        self.set(Quantity::Margin, margin);
        let still = face
            .zip(self.height_m())
            .map(|(face, height)| still_air_w_m2k(face, t, height));
        let convection = still
            .zip(self.get(Quantity::Stirring))
            .map(|(still, times)| still * times);
        self.set(Quantity::Convection, convection);
        let settles = held
            .zip(face)
            .zip(convection)
            .map(|((air, face), convection)| condensation_g_m2_h(air, t, face, convection));
        let settles = settles.zip(self.get(Quantity::WallArea));
        let settles = settles.map(|(each, area)| each * area);
        self.set(Quantity::WallWater, settles.filter(|&rate| rate > 0.0));
        self.set(
            Quantity::DryUpTo,
            face.map(|face| dry_up_to_percent(t, face)),
        );
    }
}
