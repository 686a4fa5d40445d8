//! Why fine mist dissolves and coarse drops pool: how long a drop lives, and how far it falls meanwhile.

use crate::engine::chamber::cooling::latent_j_g;
use crate::engine::climate::{Air, saturation_pressure_pa};

/// Gas constant of water vapour in joules a kilogram and kelvin.
///
/// # Source
/// Molar gas constant over the molar mass of water.
const GAS_CONSTANT_VAPOUR: f64 = 461.523;

/// Density of water in kilograms a cubic metre.
///
/// # Source
/// CoolProp 8.0.0 at 20 °C.
const WATER_KG_M3: f64 = 998.207_150_47;

/// Density of air in kilograms a cubic metre.
///
/// # Source
/// CoolProp 8.0.0 at 20 °C.
const AIR_KG_M3: f64 = 1.204_575_182_5;

/// Viscosity of air in pascal seconds.
///
/// # Source
/// CoolProp 8.0.0 at 20 °C.
const AIR_PA_S: f64 = 1.820_567_517_85e-5;

/// Standard gravity in metres a second squared.
const GRAVITY_M_S2: f64 = 9.806_65;

/// Mean free path of air molecules in metres, for the slip of very small drops.
///
/// # Source
/// Textbook aerosol value at 20 °C and sea level (from memory).
const FREE_PATH_M: f64 = 66e-9;

/// Speed at which a drop falls in still air, in metres a second, from its width in micrometres.
///
/// # Range
/// Up to about 50 µm; larger drops fall more slowly than this says.
///
/// # Source
/// Stokes with Cunningham's slip (textbook, from memory).
pub fn fall_m_s(width_um: f64) -> f64 {
    let width = width_um * 1e-6;
    let knudsen = 2.0 * FREE_PATH_M / width;
    let slip = 1.0 + knudsen * (1.257 + 0.4 * libm::exp(-1.1 / knudsen));
    (WATER_KG_M3 - AIR_KG_M3) * GRAVITY_M_S2 * width * width * slip / (18.0 * AIR_PA_S)
}

/// How fast the square of a drop's width shrinks, in square micrometres a second.
///
/// # Range
/// Pure water of about 1 to 100 µm, alone in its air, 10 to 30 °C.
///
/// # Source
/// The d-squared law of an evaporating drop (textbook; Holterman 2003 gives it in full). The drop is as cool as the heat
/// that air conducts to it and the vapour that leaves it make it.
pub fn shrink_um2_s(temperature_c: f64, humidity_percent: f64) -> f64 {
    let air = Air::new(temperature_c, humidity_percent);
    let vapour = air.vapour_pressure_pa() / kelvin(temperature_c);
    let leaving = |drop_c: f64| {
        let driving = saturation_pressure_pa(drop_c) / kelvin(drop_c) - vapour;
        diffusivity_m2_s(0.5 * (temperature_c + drop_c)) / GAS_CONSTANT_VAPOUR * driving
    };
    let gains = |drop_c: f64| {
        let conducted =
            conductivity_w_mk(0.5 * (temperature_c + drop_c)) * (temperature_c - drop_c);
        conducted > 1000.0 * latent_j_g(drop_c) * leaving(drop_c)
    };
    let (mut low, mut high) = (temperature_c - 40.0, temperature_c);
    // Sixty halvings leave less than a double can tell apart.
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if gains(middle) {
            low = middle;
        } else {
            high = middle;
        }
    }
    8.0 * leaving(0.5 * (low + high)) / WATER_KG_M3 * 1e12
}

fn kelvin(temperature_c: f64) -> f64 {
    temperature_c + 273.15
}

/// How quickly vapour spreads in air, in square metres a second.
///
/// # Source
/// Massman 1998, *Atmospheric Environment* 32:1111 (from memory).
pub fn diffusivity_m2_s(temperature_c: f64) -> f64 {
    0.2178e-4 * libm::pow(kelvin(temperature_c) / 273.15, 1.81)
}

/// Heat that air conducts, in watts a metre and kelvin.
///
/// # Range
/// 0 to 40 °C.
///
/// # Source
/// Straight line through the usual table values of dry air, 0.0244 at 0 °C and 0.0259 at 20 °C (from memory).
pub fn conductivity_w_mk(temperature_c: f64) -> f64 {
    0.0244 + 7.5e-5 * temperature_c
}

/// Seconds until a drop is gone, and the metres it would fall in that time; none in full air, where it never goes.
///
/// # Source
/// [`shrink_um2_s`] and [`fall_m_s`]: under the d-squared law a drop falls half as far as at its first speed.
pub fn life(width_um: f64, temperature_c: f64, humidity_percent: f64) -> Option<(f64, f64)> {
    let shrink = shrink_um2_s(temperature_c, humidity_percent);
    (shrink > 0.0).then(|| {
        let seconds = width_um * width_um / shrink;
        (seconds, 0.5 * fall_m_s(width_um) * seconds)
    })
}

#[cfg(test)]
mod tests {
    use super::{fall_m_s, life, shrink_um2_s};

    #[test]
    fn drops_fall_as_the_fluids_library_says() {
        // fluids 1.3.1 and the slip factor; to 1e-6.
        for (width, speed) in [
            (1.0, 3.478_665_181e-5),
            (3.0, 0.000_283_373_608_5),
            (10.0, 0.003_033_084_567),
            (50.0, 0.074_837_019_19),
        ] {
            let got = fall_m_s(width);
            assert!((got / speed - 1.0).abs() < 1e-6, "{width}: {got}");
        }
    }

    #[test]
    fn drops_shrink_as_coolprop_says() {
        // The same balance with CoolProp 8.0.0 for conductivity and latent heat (scipy brentq). Here both are straight
        // lines, so to 1 %.
        for (t, humidity, shrink) in [
            (20.0, 50.0, 559.588_552_20),
            (20.0, 80.0, 210.879_472_60),
            (20.0, 90.0, 103.478_656_38),
            (20.0, 95.0, 51.266_013_45),
            (20.0, 98.0, 20.394_900_15),
            (18.0, 90.0, 97.632_868_80),
            (25.0, 50.0, 648.285_905_07),
        ] {
            let got = shrink_um2_s(t, humidity);
            assert!((got / shrink - 1.0).abs() < 0.01, "{t} {humidity}: {got}");
        }
    }

    #[test]
    fn coarse_drops_reach_the_floor_and_fine_mist_does_not() {
        // Common practice: coarse droplets pool where fine mist does not. At 90 % and 20 °C a 3 µm drop is gone in a
        // tenth of a second; one of 50 µm needs 24 s and has fallen half a metre long before.
        let (seconds, fallen) = life(3.0, 20.0, 90.0).expect("the air has room");
        assert!(seconds < 0.1 && fallen < 0.001, "{seconds} {fallen}");
        let (seconds, fallen) = life(50.0, 20.0, 90.0).expect("the air has room");
        assert!(seconds > 20.0 && fallen > 0.5, "{seconds} {fallen}");
        assert!(life(3.0, 20.0, 100.0).is_none_or(|(seconds, _)| seconds > 1e6));
    }
}
