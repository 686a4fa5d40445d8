//! Moving air: how heavy it is, and how hard it dries a cap.

use crate::engine::climate::Air;
use crate::engine::climate::constants::CELSIUS_ZERO_K;

/// Gas constant in joules a mole and kelvin; exact by the SI.
const GAS_CONSTANT: f64 = 8.314_462_618_153_24;

/// Molar mass of dry air with 420 ppm of carbon dioxide, in grams a mole.
///
/// # Source
/// Usual composition of outdoor air.
const DRY_AIR_G_MOL: f64 = 28.9647;

/// Molar mass of water in grams a mole.
///
/// # Source
/// Standard atomic weights.
const WATER_G_MOL: f64 = 18.015_28;

/// Molar mass of carbon dioxide in grams a mole.
///
/// # Source
/// Standard atomic weights.
const CO2_G_MOL: f64 = 44.0095;

/// Carbon dioxide of outdoor air, which the molar mass of dry air already holds, in ppm.
///
/// # Source
/// The usual value for outdoor air of the 2020s, rounded.
pub const OUTDOOR_CO2_PPM: f64 = 420.0;

/// Evaporating powers between which caps lose water at a good rate, in millibar metres a minute.
///
/// # Source
/// Bowman 1989, *Mushroom Science* 12(1), article 53 (abstract read), quoting earlier work on one cropped kind.
pub const EVAPORATING_POWERS: (f64, f64) = (4.0, 10.0);

/// Millibar metres a minute in a pascal metre a second.
const MBAR_M_MIN: f64 = 60.0 / 100.0;

impl Air {
    /// Kilograms of moist air in a cubic metre, with so much carbon dioxide in its dry part, in ppm.
    ///
    /// # Range
    /// Ideal gas; 0 to a million ppm.
    ///
    /// # Source
    /// Ideal gas law, parts by their molar masses.
    pub fn density_kg_m3(self, co2_ppm: f64) -> f64 {
        let vapour = self.vapour_pressure_pa();
        let extra = (co2_ppm - OUTDOOR_CO2_PPM) * 1e-6 * (CO2_G_MOL - DRY_AIR_G_MOL);
        let dry = (self.pressure_pa() - vapour) * (DRY_AIR_G_MOL + extra);
        let wet = vapour * WATER_G_MOL;
        (dry + wet) / (1000.0 * GAS_CONSTANT * (self.temperature_c() + CELSIUS_ZERO_K))
    }

    /// The share by which air with so much carbon dioxide, in ppm, is heavier than other air; below nought it is
    /// lighter.
    ///
    /// # Source
    /// [`Air::density_kg_m3`].
    pub fn heavier_by(self, co2_ppm: f64, other: Self, other_co2_ppm: f64) -> f64 {
        self.density_kg_m3(co2_ppm) / other.density_kg_m3(other_co2_ppm) - 1.0
    }

    /// Kelvin by which this air would have to cool to be heavier by a share.
    ///
    /// # Range
    /// Small shares: it is the slope at this temperature.
    ///
    /// # Source
    /// Ideal gas law: density goes with one over the absolute temperature.
    pub fn as_if_cooler_by_k(self, share: f64) -> f64 {
        share * (self.temperature_c() + CELSIUS_ZERO_K)
    }

    /// How hard air of this speed in metres a second dries a cap, in millibar metres a minute.
    ///
    /// # Source
    /// Bowman 1989: vapour deficit in millibar times air speed in metres a minute.
    pub fn evaporating_power_mbar_m_min(self, speed_m_s: f64) -> f64 {
        self.vapour_deficit_pa() * speed_m_s * MBAR_M_MIN
    }

    /// The least and the greatest speed in metres a second at which this air dries within [`EVAPORATING_POWERS`];
    /// none where it is full of water and dries nothing at any speed.
    ///
    /// # Source
    /// [`Air::evaporating_power_mbar_m_min`] solved for the speed.
    pub fn speeds_that_dry_well_m_s(self) -> Option<(f64, f64)> {
        let of_one = self.evaporating_power_mbar_m_min(1.0);
        let (least, most) = EVAPORATING_POWERS;
        (of_one > 0.0).then(|| (least / of_one, most / of_one))
    }
}

#[cfg(test)]
mod tests {
    use crate::engine::climate::Air;

    #[test]
    fn evaporating_powers_are_deficit_times_speed() {
        // Bowman 1989 with the vapour deficit of PsychroLib 2.5.0; the same equations, so to 1e-7, half of the last of
        // the digits printed.
        for (t, rh, speed, deficit_mbar, power, least, most) in [
            (
                16.0,
                93.0,
                0.1,
                1.272_907_69,
                7.637_446_14,
                0.052_373_53,
                0.130_933_82,
            ),
            (
                18.0,
                90.0,
                0.1,
                2.064_291_64,
                12.385_749_83,
                0.032_295_18,
                0.080_737_95,
            ),
            (
                18.0,
                90.0,
                0.05,
                2.064_291_64,
                6.192_874_92,
                0.032_295_18,
                0.080_737_95,
            ),
            (
                20.0,
                85.0,
                0.1,
                3.508_205_55,
                21.049_233_30,
                0.019_003_07,
                0.047_507_67,
            ),
            (
                18.0,
                95.0,
                0.2,
                1.032_145_82,
                12.385_749_83,
                0.064_590_36,
                0.161_475_89,
            ),
            (
                16.0,
                85.0,
                0.05,
                2.727_659_34,
                8.182_978_01,
                0.024_440_98,
                0.061_102_45,
            ),
        ] {
            let air = Air::new(t, rh);
            let (slow, fast) = air.speeds_that_dry_well_m_s().expect("it dries");
            for (got, wanted) in [
                (air.vapour_deficit_pa() / 100.0, deficit_mbar),
                (air.evaporating_power_mbar_m_min(speed), power),
                (slow, least),
                (fast, most),
            ] {
                assert!(
                    (got / wanted - 1.0).abs() < 3e-7,
                    "{t} {rh} {speed}: {got} not {wanted}"
                );
            }
        }
        assert_eq!(Air::new(18.0, 100.0).speeds_that_dry_well_m_s(), None);
    }

    #[test]
    fn densities_and_what_changes_them() {
        // Ideal gas with scipy.constants.R and the saturation pressure of PsychroLib 2.5.0; the same equations. Half of
        // the last printed digit, and the twelve digits of the saturation pressure: 2e-9 kg/m³. Then the same in
        // percent, eight decimals, and in kelvin of warming, six decimals.
        let base = Air::new(18.0, 90.0);
        let usual = base.density_kg_m3(420.0);
        assert!((usual - 1.203_965_192_0).abs() < 2e-9, "{usual}");
        #[rustfmt::skip]
        let table = [
            (18.0, 90.0, 1_000.0, 0.000_358_544_5, 0.029_780_30, -0.086_705),
            (18.0, 90.0, 2_000.0, 0.000_976_724_6, 0.081_125_65, -0.236_197),
            (18.0, 90.0, 5_000.0, 0.002_831_265_1, 0.235_161_71, -0.684_673),
            (18.0, 90.0, 10_000.0, 0.005_922_165_9, 0.491_888_46, -1.432_133),
            (18.0, 90.0, 100_000.0, 0.061_558_379_9, 5.112_970_06, -14.886_412),
            (18.0, 80.0, 420.0, 0.000_933_708_2, 0.077_552_76, -0.225_795),
            (18.0, 100.0, 420.0, -0.000_933_708_2, -0.077_552_76, 0.225_795),
            (17.0, 90.0, 420.0, 0.004_665_550_3, 0.387_515_38, -1.128_251),
            (19.0, 90.0, 420.0, -0.004_662_665_9, -0.387_275_81, 1.127_554),
        ];
        for (t, rh, ppm, change, percent, warming) in table {
            let air = Air::new(t, rh);
            let got = air.density_kg_m3(ppm) - usual;
            assert!((got - change).abs() < 2e-9, "{t} {rh} {ppm}: {got}");
            let share = air.heavier_by(ppm, base, 420.0);
            assert!(
                (100.0 * share - percent).abs() < 2e-7,
                "{t} {rh} {ppm}: {share}"
            );
            let cooling = base.as_if_cooler_by_k(share);
            assert!(
                (cooling + warming).abs() < 2e-6,
                "{t} {rh} {ppm}: {cooling}"
            );
        }
        for (t, rh, ppm, density) in [
            (21.0, 45.0, 420.0, 1.194_991_98),
            (18.0, 90.0, 1_000.0, 1.204_323_74),
            (20.0, 90.0, 1_000.0, 1.194_996_55),
        ] {
            let got = Air::new(t, rh).density_kg_m3(ppm);
            assert!((got - density).abs() < 6e-9, "{t} {rh} {ppm}: {got}");
        }
    }
}
