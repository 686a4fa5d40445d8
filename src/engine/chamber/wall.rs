//! How cold a wall is inside, and whether it drips.

use crate::engine::chamber::droplet::{conductivity_w_mk, diffusivity_m2_s};
use crate::engine::climate::{Air, saturation_pressure_pa};

/// Resistance between still indoor air and a wall, in square metre kelvin a watt.
///
/// # Source
/// ISO 6946, horizontal heat flow (from memory); Churchill and Chu 1975 with radiation give 0.131 to 0.146 for small
/// chambers (computed with ht 1.2.0).
pub const STILL_AIR_M2K_W: f64 = 0.13;

/// The same in a corner or behind a shelf, where air hardly moves.
///
/// # Source
/// ISO 13788, critical surface humidity (from memory).
pub const CORNER_M2K_W: f64 = 0.25;

/// Materials of walls by their names, with the heat they conduct in watts a metre and kelvin.
///
/// # Source
/// ISO 10456, design values (from memory).
pub const MATERIALS: [(&str, f64); 7] = [
    ("polypropylene", 0.22),
    ("polyethylene", 0.33),
    ("pvc", 0.17),
    ("glass", 1.0),
    ("plywood", 0.13),
    ("polystyrene", 0.035),
    ("foam", 0.035),
];

/// Resistance of one layer, in square metre kelvin a watt, from its thickness in metres.
pub fn layer_m2k_w(thickness_m: f64, conductivity_w_mk: f64) -> f64 {
    thickness_m / conductivity_w_mk
}

/// A wall between the chamber and what lies behind it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wall {
    /// Resistance of all its layers, in square metre kelvin a watt; 0 for a film.
    pub layers_m2k_w: f64,
    /// Resistance of the air inside it.
    pub inner_m2k_w: f64,
    /// Resistance of the air behind it.
    pub outer_m2k_w: f64,
}

impl Wall {
    /// Watts that pass through a square metre for each kelvin.
    ///
    /// # Source
    /// Resistances in series (ISO 6946, from memory).
    pub fn conductance_w_m2k(self) -> f64 {
        1.0 / (self.inner_m2k_w + self.layers_m2k_w + self.outer_m2k_w)
    }

    /// Temperature of its inner face, in degrees Celsius, between the air inside and the air behind.
    ///
    /// # Range
    /// Steady, without a lamp or a window that warms or cools it by radiation.
    ///
    /// # Source
    /// Resistances in series, ISO 13788 (from memory).
    pub fn inner_face_c(self, inside_c: f64, behind_c: f64) -> f64 {
        inside_c - self.conductance_w_m2k() * self.inner_m2k_w * (inside_c - behind_c)
    }

    /// The least resistance of the layers at which this air does not drip on it; below nought a film is enough. None
    /// where the air behind is as warm as the dew point or warmer, or the air holds no water.
    ///
    /// # Source
    /// [`Wall::inner_face_c`] solved for the layers.
    pub fn layers_needed_m2k_w(self, inside: Air, inside_c: f64, behind_c: f64) -> Option<f64> {
        let dew = inside.dew_point_c()?;
        let share = (dew - behind_c) / (inside_c - behind_c);
        (inside_c > behind_c && share < 1.0)
            .then(|| self.inner_m2k_w / (1.0 - share) - self.inner_m2k_w - self.outer_m2k_w)
    }
}

/// The highest humidity, in percent, at which air does not drip on a face of this temperature.
///
/// # Source
/// Definition of the dew point.
pub fn dry_up_to_percent(inside_c: f64, face_c: f64) -> f64 {
    (100.0 * saturation_pressure_pa(face_c) / saturation_pressure_pa(inside_c)).min(100.0)
}

/// Grams of water that settle on a square metre of wall in an hour; 0 where the wall is above the dew point.
///
/// `convection_w_m2k` is the heat that moves from air to wall for each square metre and kelvin, without radiation.
///
/// # Range
/// An estimate, good to about a third: convection is the weak part.
///
/// # Source
/// Analogy of Lewis between the transport of heat and of vapour (textbook, from memory); diffusivity by Massman 1998,
/// conductivity of dry air as for the drops.
pub fn condensation_g_m2_h(air: Air, air_c: f64, face_c: f64, convection_w_m2k: f64) -> f64 {
    let transport_m_s = vapour_transport_m_s(0.5 * (air_c + face_c), convection_w_m2k);
    let at_face = Air::new(face_c, 100.0).absolute_humidity_g_m3();
    (3600.0 * transport_m_s * (air.absolute_humidity_g_m3() - at_face)).max(0.0)
}

/// Speed in metres a second with which vapour crosses from air to face where heat crosses with so many watts a square
/// metre and kelvin.
///
/// # Source
/// As [`condensation_g_m2_h`].
pub fn vapour_transport_m_s(middle_c: f64, convection_w_m2k: f64) -> f64 {
    convection_w_m2k / heat_capacity_j_m3k(middle_c) * libm::pow(lewis(middle_c), -2.0 / 3.0)
}

/// Lewis's number of air: how much faster heat spreads in it than vapour does.
///
/// # Source
/// Definition, with the values that [`condensation_g_m2_h`] names.
pub fn lewis(temperature_c: f64) -> f64 {
    conductivity_w_mk(temperature_c)
        / heat_capacity_j_m3k(temperature_c)
        / diffusivity_m2_s(temperature_c)
}

/// Joules a cubic metre and kelvin: dry air of 1.2 kg/m³ at 20 °C and 1006 J/(kg K).
fn heat_capacity_j_m3k(temperature_c: f64) -> f64 {
    1.2 * 1006.0 * 293.15 / (temperature_c + 273.15)
}

#[cfg(test)]
mod tests {
    use super::{
        CORNER_M2K_W, STILL_AIR_M2K_W, Wall, condensation_g_m2_h, dry_up_to_percent, layer_m2k_w,
        lewis, vapour_transport_m_s,
    };
    use crate::engine::climate::Air;

    fn wall(layers_m2k_w: f64, inner_m2k_w: f64) -> Wall {
        Wall {
            layers_m2k_w,
            inner_m2k_w,
            outer_m2k_w: STILL_AIR_M2K_W,
        }
    }

    #[test]
    fn faces_and_margins_are_those_worked_out_with_psychrolib() {
        // Inside 20 °C and 90 %, dew point 18.310203257798 °C (PsychroLib 2.5.0); plain arithmetic, so to 1e-7.
        for (room, thickness_m, conducts, u, face, margin, corner, corner_margin) in [
            (
                18.0,
                0.0,
                1.0,
                3.846_153_85,
                19.0,
                0.689_796_74,
                18.684_210_53,
                0.374_007_27,
            ),
            (
                18.0,
                0.0025,
                0.22,
                3.685_092_13,
                19.041_876_05,
                0.731_672_79,
                18.722_415_80,
                0.412_212_54,
            ),
            (
                18.0,
                0.012,
                0.13,
                2.838_427_95,
                19.262_008_73,
                0.951_805_48,
                18.941_368_08,
                0.631_164_82,
            ),
            (
                15.0,
                0.0,
                1.0,
                3.846_153_85,
                17.5,
                -0.810_203_26,
                16.710_526_32,
                -1.599_676_94,
            ),
            (
                15.0,
                0.025,
                0.035,
                1.026_392_96,
                19.332_844_57,
                1.022_641_32,
                18.857_702_35,
                0.547_499_09,
            ),
            (
                12.0,
                0.004,
                1.0,
                3.787_878_79,
                16.060_606_06,
                -2.249_597_20,
                14.791_666_67,
                -3.518_536_59,
            ),
            (
                12.0,
                0.05,
                0.035,
                0.592_216_58,
                19.384_094_75,
                1.073_891_50,
                18.894_154_82,
                0.583_951_56,
            ),
        ] {
            let layers = layer_m2k_w(thickness_m, conducts);
            let plain = wall(layers, STILL_AIR_M2K_W);
            let air = Air::new(20.0, 90.0);
            let near = |got: f64, want: f64| assert!((got - want).abs() < 1e-7, "{got} {want}");
            near(plain.conductance_w_m2k(), u);
            near(plain.inner_face_c(20.0, room), face);
            let face_margin = air.condensation_margin_k(face).expect("damp air");
            near(face_margin, margin);
            let cold = wall(layers, CORNER_M2K_W).inner_face_c(20.0, room);
            near(cold, corner);
            near(
                air.condensation_margin_k(cold).expect("damp air"),
                corner_margin,
            );
        }
    }

    #[test]
    fn the_insulation_needed_is_that_worked_out_by_hand() {
        // PsychroLib 2.5.0 dew points in R = 0.13 / (1 - f) - 0.26; to 1e-8.
        for (inside, humidity, room, needed) in [
            (20.0, 90.0, 18.0, -0.106_135_340_7),
            (20.0, 90.0, 15.0, 0.124_661_648_2),
            (20.0, 85.0, 15.0, -0.009_743_085_0),
            (18.0, 90.0, 10.0, 0.365_032_706_7),
            (22.0, 80.0, 18.0, -0.115_861_055_4),
        ] {
            let bare = wall(0.0, STILL_AIR_M2K_W);
            let got = bare
                .layers_needed_m2k_w(Air::new(inside, humidity), inside, room)
                .expect("the room is cooler than the dew point or the chamber");
            assert!((got - needed).abs() < 1e-8, "{inside} {humidity}: {got}");
        }
        let warm_room =
            wall(0.0, STILL_AIR_M2K_W).layers_needed_m2k_w(Air::new(20.0, 90.0), 20.0, 22.0);
        assert_eq!(warm_room, None);
    }

    #[test]
    fn water_settles_about_as_fast_as_coolprop_says() {
        // The same analogy with the moist air of CoolProp 8.0.0 at 2.5 W/(m² K): air, face, Lewis's number, m/s, g/m³
        // of difference, g/(m² h). Ours is dry air with rounder values: 0.6 %; the difference is of the gas law and
        // PsychroLib 2.5.0: 1e-7.
        for (t, humidity, face, number, speed, difference, rate) in [
            (
                20.0,
                90.0,
                16.0,
                0.862_314_73,
                0.002_261_411_7,
                1.931_536_37,
                15.724_796,
            ),
            (
                20.0,
                95.0,
                17.5,
                0.862_387_76,
                0.002_267_076_2,
                1.510_862_11,
                12.330_862,
            ),
            (
                20.0,
                90.0,
                18.0,
                0.862_411_77,
                0.002_268_964_4,
                0.195_508_61,
                1.596_968,
            ),
            (
                18.0,
                95.0,
                15.0,
                0.862_164_20,
                0.002_250_084_8,
                1.770_254_84,
                14.339_604,
            ),
        ] {
            let middle = 0.5 * (t + face);
            let got = lewis(middle);
            assert!((got / number - 1.0).abs() < 6e-3, "{t} {face}: {got}");
            let got = vapour_transport_m_s(middle, 2.5);
            assert!((got / speed - 1.0).abs() < 6e-3, "{t} {face}: {got}");
            let air = Air::new(t, humidity);
            let got = air.absolute_humidity_g_m3() - Air::new(face, 100.0).absolute_humidity_g_m3();
            assert!((got / difference - 1.0).abs() < 1e-7, "{t} {face}: {got}");
            let got = condensation_g_m2_h(air, t, face, 2.5);
            assert!((got / rate - 1.0).abs() < 6e-3, "{t} {face}: {got}");
        }
        let dry = condensation_g_m2_h(Air::new(20.0, 90.0), 20.0, 19.0, 2.5);
        assert_eq!(dry, 0.0);
    }

    #[test]
    fn a_bare_film_holds_no_more_than_the_table_says() {
        // Saturation at the middle temperature over that inside, PsychroLib 2.5.0; to 1e-9.
        for (inside, room, most) in [
            (20.0, 19.0, 96.944_451_579_0),
            (20.0, 18.0, 93.970_963_446_6),
            (20.0, 16.0, 88.262_714_765_0),
            (20.0, 12.0, 77.750_841_486_1),
            (18.0, 16.0, 93.879_602_799_4),
            (24.0, 20.0, 88.597_675_267_4),
        ] {
            let face = wall(0.0, STILL_AIR_M2K_W).inner_face_c(inside, room);
            let got = dry_up_to_percent(inside, face);
            assert!((got - most).abs() < 1e-8, "{inside} {room}: {got}");
        }
        assert_eq!(dry_up_to_percent(20.0, 22.0), 100.0);
    }
}
