//! Light as a plant lamp's seller counts it: photons instead of lux.

/// Lux for each micromole of photons a square metre and second, under ordinary white LED.
///
/// # Range
/// White LED that is pumped by blue, warm to cool, within a tenth; not purple lamps, to which a lux meter is nearly blind.
///
/// # Source
/// Spectra of CIE 15:2018 (LED-B1 to LED-B5 and LED-BH1) give 67 to 73, see the tests.
pub const LUX_OF_ONE_UMOL: f64 = 70.0;

/// How far a lamp of that kind may be off, as a share.
///
/// # Source
/// See [`LUX_OF_ONE_UMOL`], with room for lamps outside the standard.
pub const LAMP_SPREAD: f64 = 0.1;

/// Micromoles of photons a square metre and second of ordinary white LED of so many lux.
///
/// # Range
/// As [`LUX_OF_ONE_UMOL`].
///
/// # Source
/// Definition of both, with [`LUX_OF_ONE_UMOL`].
pub fn photons_umol_m2_s(lux: f64) -> f64 {
    lux / LUX_OF_ONE_UMOL
}

#[cfg(test)]
mod tests {
    use super::{LAMP_SPREAD, photons_umol_m2_s};

    /// Lamp, lux for one micromole, micromoles for 1000 lux, and whether it is ordinary white LED.
    ///
    /// Spectra of CIE 15:2018 as in colour-science 0.4.7, integrated by trapezoids of 1 nm.
    const LAMPS: [(&str, f64, f64, bool); 15] = [
        ("LED-B1", 67.067_001, 14.910_463, true),
        ("LED-B2", 67.905_304, 14.726_390, true),
        ("LED-B3", 69.749_970, 14.336_924, true),
        ("LED-B4", 71.656_624, 13.955_444, true),
        ("LED-B5", 69.400_930, 14.409_029, true),
        ("LED-BH1", 73.272_352, 13.647_713, true),
        ("LED-RGB1", 60.538_490, 16.518_417, false),
        ("LED-V1", 53.078_227, 18.840_117, false),
        ("LED-V2", 56.573_234, 17.676_204, false),
        ("illuminant A", 50.256_608, 19.897_881, false),
        ("D50", 56.197_307, 17.794_447, false),
        ("D65", 55.497_857, 18.018_714, false),
        ("FL2", 76.480_920, 13.075_156, false),
        ("FL4", 80.528_872, 12.417_906, false),
        ("FL11", 76.038_849, 13.151_172, false),
    ];

    #[test]
    fn ordinary_white_led_lies_within_the_spread_and_lamps_of_other_kinds_need_not() {
        let used = photons_umol_m2_s(1000.0);
        for (lamp, lux, umol, ordinary) in LAMPS {
            // The two columns are each other's inverse, to the last printed digit.
            assert!((lux * umol / 1000.0 - 1.0).abs() < 1e-7, "{lamp}");
            let off = (used / umol - 1.0).abs();
            if ordinary {
                assert!(off < LAMP_SPREAD, "{lamp} is off by {off}");
            }
        }
        // Violet-pumped LED is off by a quarter, which is why the promise leaves it out.
        let violet = (used / 18.840_117 - 1.0).abs();
        assert!(violet > 2.0 * LAMP_SPREAD, "{violet}");
        // Worked for LED-B3: 100, 230, 500 and 1000 lux.
        for (lux, umol) in [
            (100.0, 1.433_692),
            (230.0, 3.297_493),
            (500.0, 7.168_462),
            (1000.0, 14.336_924),
        ] {
            let got = photons_umol_m2_s(lux);
            assert!((got / umol - 1.0).abs() < LAMP_SPREAD, "{lux}: {got}");
        }
    }
}
