//! Air that nothing stirs: how slowly it mixes by itself, and how little gravity un-mixes it.

use std::f64::consts::PI;

/// How quickly carbon dioxide spreads in air, in square metres a second.
///
/// # Source
/// Usual table value near 20 °C (from memory).
pub const CO2_SPREADS_M2_S: f64 = 1.6e-5;

/// Grams a mole by which carbon dioxide is heavier than dry air.
///
/// # Source
/// Standard atomic weights; usual composition of outdoor air.
const HEAVIER_G_MOL: f64 = 44.0095 - 28.9647;

/// Gas constant in joules a mole and kelvin; exact by the SI.
const GAS_CONSTANT: f64 = 8.314_462_618_153_24;

/// Standard gravity in metres a second squared.
const GRAVITY_M_S2: f64 = 9.806_65;

/// Hours in which layers of carbon dioxide fade to a third by themselves in air of this depth in metres that nothing
/// stirs.
///
/// # Range
/// Perfectly still air; a lamp, a warm block or a cool wall stirs it sooner.
///
/// # Source
/// Slowest mode of diffusion between two closed ends, `L² / (π² D)` (textbook).
pub fn fades_h(depth_m: f64) -> f64 {
    depth_m * depth_m / (PI * PI * CO2_SPREADS_M2_S) / 3600.0
}

/// How many times as much carbon dioxide the floor would hold as the top, once air of this depth in metres has come to
/// rest for good.
///
/// # Source
/// Barometric formula for a gas that is heavier than the air around it (textbook).
pub fn settled_factor(depth_m: f64, temperature_c: f64) -> f64 {
    let pull = HEAVIER_G_MOL / 1000.0 * GRAVITY_M_S2 * depth_m;
    libm::exp(pull / (GAS_CONSTANT * (temperature_c + 273.15)))
}

#[cfg(test)]
mod tests {
    use super::{fades_h, settled_factor};

    #[test]
    fn still_air_mixes_within_the_hour_and_gravity_hardly_undoes_it() {
        // Closed forms worked out apart; six decimals of an hour.
        for (depth, hours) in [(0.3, 0.158_314), (0.5, 0.439_762), (1.0, 1.759_048)] {
            let got = fades_h(depth);
            assert!((got - hours).abs() < 6e-7, "{depth}: {got}");
        }
        // One metre at 18 °C, twelve decimals: 0.06 ppm in 1000.
        let factor = settled_factor(1.0, 18.0);
        assert!((factor - 1.000_060_949_388).abs() < 6e-13, "{factor}");
        assert!((1000.0 * (factor - 1.0) - 0.06_f64).abs() < 0.005);
    }
}
