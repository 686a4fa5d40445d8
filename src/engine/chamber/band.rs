//! The on/off round of a humidity controller: how long the mister runs and rests, and how far it overshoots.

use crate::engine::climate::{Air, saturation_pressure_pa};

/// What an on/off controller works with.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Control {
    /// Inside volume in cubic metres.
    pub volume_m3: f64,
    /// Air changes an hour.
    pub changes_per_hour: f64,
    /// Temperature of the chamber in degrees Celsius.
    pub temperature_c: f64,
    /// Kilograms of water with each kilogram of dry air in the room.
    pub room_ratio: f64,
    /// Humidity at which the mister starts, in percent.
    pub starts_percent: f64,
    /// Humidity at which it stops, in percent.
    pub stops_percent: f64,
    /// What the mister gives while it runs, in grams an hour.
    pub output_g_h: f64,
    /// Seconds until a change shows on the sensor: hose, hanging mist, the sensor itself.
    pub lag_s: f64,
    /// Air pressure in pascal.
    pub pressure_pa: f64,
}

/// One round of the mister.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Round {
    /// Seconds it runs.
    pub on_s: f64,
    /// Seconds it rests.
    pub off_s: f64,
    /// The highest humidity, in percent; above 100 the excess is fog and drip.
    pub peak_percent: f64,
    /// The lowest humidity, in percent.
    pub trough_percent: f64,
}

impl Round {
    /// Seconds from one start to the next.
    pub fn period_s(self) -> f64 {
        self.on_s + self.off_s
    }

    /// The share of time it runs, 0 to 1.
    pub fn duty(self) -> f64 {
        self.on_s / self.period_s()
    }
}

/// Why there is no round.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Steady {
    /// The mister cannot reach the upper end and never stops.
    AlwaysOn,
    /// The room air keeps the chamber above the lower end and the mister never starts.
    AlwaysOff,
}

impl Control {
    /// The round that the mister settles to, or why it does not switch.
    ///
    /// # Range
    /// The air alone: wet walls, blocks and hanging mist store water and lengthen every time.
    ///
    /// # Source
    /// First-order system under relay control with dead time (textbook, from memory); an event simulation agreed
    /// within 0.1 %.
    pub fn round(self) -> Result<Round, Steady> {
        let ratio = |percent: f64| self.ratio(percent);
        let middle = 0.5 * (self.starts_percent + self.stops_percent);
        let air = Air::new(self.temperature_c, middle).at_pressure(self.pressure_pa);
        let dry_air_kg = self.volume_m3 / air.specific_volume_m3_kg();
        let (low, high) = (ratio(self.starts_percent), ratio(self.stops_percent));
        let off = self.room_ratio;
        let on = off + self.output_g_h / (1000.0 * dry_air_kg * self.changes_per_hour);
        if off >= low {
            return Err(Steady::AlwaysOff);
        }
        if on <= high {
            return Err(Steady::AlwaysOn);
        }
        let seconds = 3600.0 / self.changes_per_hour;
        let lagged = libm::exp(-self.lag_s / seconds);
        let peak = on - (on - high) * lagged;
        let trough = off + (low - off) * lagged;
        Ok(Round {
            on_s: self.lag_s + seconds * libm::log((on - trough) / (on - high)),
            off_s: self.lag_s + seconds * libm::log((peak - off) / (low - off)),
            peak_percent: self.percent(peak),
            trough_percent: self.percent(trough),
        })
    }

    /// The humidity at which the chamber settles while the mister runs without a break, in percent; above 100 the
    /// excess is fog and drip.
    ///
    /// # Source
    /// Steady mass balance on dry air, as [`crate::engine::climate::mist_rate_g_h`].
    pub fn reach_percent(self, airflow_m3_h: f64, room: Air) -> f64 {
        let dry_air_kg_h = airflow_m3_h / room.specific_volume_m3_kg();
        self.percent(room.humidity_ratio() + self.output_g_h / (1000.0 * dry_air_kg_h))
    }

    /// Hours until the air, left without mist, has fallen from one humidity to another; none if it never does.
    ///
    /// # Source
    /// First-order decay towards the room's humidity ratio.
    pub fn drying_h(self, from_percent: f64, to_percent: f64) -> Option<f64> {
        let (from, to) = (
            self.ratio(from_percent) - self.room_ratio,
            self.ratio(to_percent) - self.room_ratio,
        );
        (from > to && to > 0.0).then(|| libm::log(from / to) / self.changes_per_hour)
    }

    fn ratio(self, percent: f64) -> f64 {
        Air::new(self.temperature_c, percent)
            .at_pressure(self.pressure_pa)
            .humidity_ratio()
    }

    /// The humidity of this much water; counted on above 100 for air that cannot hold it.
    fn percent(self, ratio: f64) -> f64 {
        percent_of_ratio(ratio, self.temperature_c, self.pressure_pa)
    }
}

/// Relative humidity in percent of air with this humidity ratio, counted on above 100 for what would be fog.
///
/// # Source
/// ASHRAE Handbook, Fundamentals (2017), ch. 1, equation 20, solved for the vapour pressure.
pub fn percent_of_ratio(ratio: f64, temperature_c: f64, pressure_pa: f64) -> f64 {
    // Of water and dry air at equal pressure and temperature; the handbook's own ratio of molar masses.
    const MASS_RATIO: f64 = 0.621_945;
    let vapour_pa = ratio * pressure_pa / (MASS_RATIO + ratio);
    100.0 * vapour_pa / saturation_pressure_pa(temperature_c)
}

#[cfg(test)]
mod tests {
    use super::{Control, Steady};
    use crate::engine::climate::{Air, SEA_LEVEL_PA};

    fn control(volume: f64, changes: f64, t: f64, room: f64, band: (f64, f64)) -> Control {
        Control {
            volume_m3: volume,
            changes_per_hour: changes,
            temperature_c: t,
            room_ratio: Air::new(t, room).humidity_ratio(),
            starts_percent: band.0,
            stops_percent: band.1,
            output_g_h: 300.0,
            lag_s: 0.0,
            pressure_pa: SEA_LEVEL_PA,
        }
    }

    #[test]
    fn rounds_are_those_worked_out_with_psychrolib() {
        // PsychroLib 2.5.0 humidity ratios in the closed form; the same equations, so to 1e-6.
        #[rustfmt::skip]
        let rows = [
            (0.5, 6.0, 20.0, 45.0, (88.0, 92.0), 300.0, 0.0, 4.598_291_44, 53.934_216_76, 92.0, 88.0),
            (0.5, 6.0, 20.0, 45.0, (88.0, 92.0), 300.0, 20.0, 26.192_840_90, 261.217_698_42, 108.961_332_80, 86.603_971_99),
            (0.5, 6.0, 20.0, 45.0, (88.0, 92.0), 60.0, 20.0, 66.618_450_53, 101.515_551_30, 94.185_601_56, 86.603_971_99),
            (0.5, 6.0, 20.0, 45.0, (85.0, 95.0), 300.0, 20.0, 32.970_123_67, 331.855_915_30, 111.839_889_04, 83.700_481_21),
            (0.25, 4.0, 20.0, 45.0, (85.0, 95.0), 250.0, 30.0, 37.408_519_91, 812.750_549_26, 139.231_243_34, 83.700_481_21),
            (0.1, 2.0, 21.0, 45.0, (88.0, 92.0), 250.0, 30.0, 31.277_329_46, 2_370.566_754_19, 198.454_882_76, 87.296_735_46),
            (1.0, 10.0, 18.0, 50.0, (85.0, 92.0), 400.0, 60.0, 80.162_826_91, 335.318_453_17, 124.580_704_50, 79.659_662_00),
        ];
        for (volume, changes, t, room, band, output, lag, on, off, peak, trough) in rows {
            let round = Control {
                output_g_h: output,
                lag_s: lag,
                ..control(volume, changes, t, room, band)
            }
            .round()
            .expect("the mister switches");
            for (got, want) in [
                (round.on_s, on),
                (round.off_s, off),
                (round.peak_percent, peak),
                (round.trough_percent, trough),
            ] {
                assert!((got / want - 1.0).abs() < 1e-6, "{volume} m³: {got} {want}");
            }
            assert!((round.duty() - on / (on + off)).abs() < 1e-6);
        }
    }

    #[test]
    fn a_weak_mister_never_stops_and_a_damp_room_never_starts_it() {
        let weak = Control {
            output_g_h: 20.0,
            ..control(0.5, 6.0, 20.0, 45.0, (88.0, 92.0))
        };
        assert_eq!(weak.round(), Err(Steady::AlwaysOn));
        let damp = control(0.5, 6.0, 20.0, 90.0, (84.0, 86.0));
        assert_eq!(damp.round(), Err(Steady::AlwaysOff));
    }

    #[test]
    fn drying_times_are_those_worked_out_with_psychrolib() {
        // From 90 % at 20 °C, room at the same temperature and 45 %; minutes, to 1e-6.
        for (changes, to, minutes) in [
            (1.0, 85.0, 7.137_656_138_4),
            (1.0, 60.0, 66.339_537_977_5),
            (4.0, 80.0, 3.805_032_636_5),
            (4.0, 60.0, 16.584_884_494_4),
            (10.0, 70.0, 3.554_939_797_7),
        ] {
            let dry = control(0.5, changes, 20.0, 45.0, (84.0, 86.0))
                .drying_h(90.0, to)
                .expect("it falls");
            assert!((60.0 * dry / minutes - 1.0).abs() < 1e-6, "{changes} {to}");
        }
        let never = control(0.5, 4.0, 20.0, 45.0, (84.0, 86.0)).drying_h(90.0, 40.0);
        assert_eq!(never, None);
    }

    #[test]
    fn more_air_at_the_same_mist_dries() {
        // From 20 °C 90 % with a room of 21 °C 45 % the air is multiplied by k; PsychroLib 2.5.0, to 1e-6.
        let room = Air::new(21.0, 45.0);
        let load = crate::engine::climate::mist_rate_g_h(1.0, Air::new(20.0, 90.0), room);
        let chamber = Control {
            output_g_h: load,
            ..control(0.25, 4.0, 20.0, 45.0, (88.0, 92.0))
        };
        for (k, humidity) in [
            (1.0, 90.0),
            (1.5, 76.047_129_17),
            (2.0, 69.036_219_30),
            (3.0, 62.002_174_78),
        ] {
            let got = chamber.reach_percent(k, room);
            assert!((got / humidity - 1.0).abs() < 1e-6, "{k}: {got}");
        }
    }
}
