//! How far mist cools a chamber: the heat that water takes when it evaporates.

use crate::engine::climate::Air;

/// Heat that a gram of water takes when it evaporates, in joules.
///
/// # Range
/// 0 to 40 °C.
///
/// # Source
/// ASHRAE Handbook, Fundamentals (2017), ch. 1: the bracket of equation 33 where wet and dry bulb agree.
pub fn latent_j_g(temperature_c: f64) -> f64 {
    2501.0 - 2.326 * temperature_c
}

/// Heat that evaporating mist takes, in watts.
pub fn heat_taken_w(mist_g_h: f64, temperature_c: f64) -> f64 {
    mist_g_h / 3600.0 * latent_j_g(temperature_c)
}

/// A chamber that exchanges air and heat with its room.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Exchange {
    /// Fresh air in cubic metres an hour.
    pub airflow_m3_h: f64,
    /// Temperature of the room in degrees Celsius.
    pub room_c: f64,
    /// Humidity of the room in percent.
    pub room_percent: f64,
    /// Humidity that the mist holds, in percent.
    pub hold_percent: f64,
    /// Watts that its walls let in for each kelvin the room is warmer.
    pub walls_w_k: f64,
    /// Heat of devices and crop inside, in watts.
    pub devices_w: f64,
    /// Air pressure in pascal.
    pub pressure_pa: f64,
}

impl Exchange {
    /// Temperature at which the chamber settles, in degrees Celsius.
    ///
    /// # Range
    /// Water as warm as the room; what the crop gives off counts among the devices. A room that needs no mist changes
    /// only what its walls and devices do.
    ///
    /// # Source
    /// Energy balance on dry air: enthalpy of the air that comes and goes, of the water put in, heat through the walls
    /// and of devices; solved by halving.
    pub fn settles_c(self) -> f64 {
        let (mut low, mut high) = (self.room_c - 40.0, self.room_c + 60.0);
        // Sixty halvings of a hundred kelvin leave less than a double can tell apart.
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            if self.gain_w(middle) > 0.0 {
                low = middle;
            } else {
                high = middle;
            }
        }
        0.5 * (low + high)
    }

    /// Heat that a chamber of this temperature gains, in watts.
    fn gain_w(self, chamber_c: f64) -> f64 {
        let room = Air::new(self.room_c, self.room_percent).at_pressure(self.pressure_pa);
        let held = Air::new(chamber_c, self.hold_percent).at_pressure(self.pressure_pa);
        // Near the boiling point there is no end to the water that air takes up, nor to the heat for it.
        if held.vapour_pressure_pa() > 0.9 * self.pressure_pa {
            return f64::NEG_INFINITY;
        }
        let dry_air_kg_s = self.airflow_m3_h / 3600.0 / room.specific_volume_m3_kg();
        // A mister only adds; what a colder chamber cannot hold runs down its walls and gives its heat back there.
        let added = held.humidity_ratio() - room.humidity_ratio();
        let water = added * 4186.0 * self.room_c;
        let air = dry_air_kg_s * (1000.0 * (room.enthalpy_kj_kg() - held.enthalpy_kj_kg()) + water);
        air + self.walls_w_k * (self.room_c - chamber_c) + self.devices_w
    }
}

#[cfg(test)]
mod tests {
    use super::{Exchange, heat_taken_w};
    use crate::engine::climate::SEA_LEVEL_PA;

    #[test]
    fn the_heat_taken_is_that_of_the_loads_worked_out() {
        // Loads by PsychroLib 2.5.0 times the latent heat at the chamber's temperature; to 1e-4, since the two latent
        // heats are rounded differently.
        for (mist, t, watts) in [
            (1.686_461_14, 21.0, 1.148_740),
            (7.413_094_31, 20.0, 5.054_248),
            (17.946_961_04, 18.0, 12.259_429),
            (93.753_611_58, 15.0, 64.224_089),
        ] {
            let got = heat_taken_w(mist, t);
            assert!((got / watts - 1.0).abs() < 1e-4, "{mist}: {got}");
        }
    }

    #[test]
    fn even_a_furnace_in_thin_air_settles_below_boiling() {
        let got = Exchange {
            airflow_m3_h: 0.1,
            room_c: 50.0,
            room_percent: 1.0,
            hold_percent: 100.0,
            walls_w_k: 0.1,
            devices_w: 3000.0,
            pressure_pa: 30_000.0,
        }
        .settles_c();
        // Water boils at 69 °C under that pressure.
        assert!((50.0..69.0).contains(&got), "{got}");
    }

    #[test]
    fn the_chamber_settles_where_scipy_says() {
        // 0.5 m³, room 21 °C 45 %, held at 90 %; scipy.optimize.brentq over PsychroLib 2.5.0; to 1e-6 °C, but 1e-3
        // without walls, where the reference counted the water at the room's temperature by another rounding.
        for (changes, walls, heat, settles) in [
            (6.0, 13.475, 0.0, 19.960_388_275_474),
            (6.0, 13.475, 5.0, 20.262_866_843_453),
            (6.0, 13.475, 15.0, 20.865_837_010_287),
            (20.0, 13.475, 0.0, 18.559_339_004_012),
            (6.0, 0.0, 0.0, 14.890_962_091),
        ] {
            let got = Exchange {
                airflow_m3_h: 0.5 * changes,
                room_c: 21.0,
                room_percent: 45.0,
                hold_percent: 90.0,
                walls_w_k: walls,
                devices_w: heat,
                pressure_pa: SEA_LEVEL_PA,
            }
            .settles_c();
            assert!(
                (got - settles).abs() < 1e-6,
                "{changes} {walls} {heat}: {got}"
            );
        }
    }
}
