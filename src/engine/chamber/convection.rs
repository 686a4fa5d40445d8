//! Heat that still air brings to a wall: by its own slow rise and fall along it, and by radiation.

use crate::engine::chamber::droplet::conductivity_w_mk;

/// What a wall radiates as a share of a black body: plastics, painted boards, wet faces.
///
/// # Source
/// Textbook value for what is no bare metal (from memory).
const RADIATES: f64 = 0.9;

/// Radiation of a black body in watts a square metre and the fourth power of kelvin; exact by the SI.
const BLACK_BODY: f64 = 5.670_374_419e-8;

/// Standard gravity in metres a second squared.
const GRAVITY_M_S2: f64 = 9.806_65;

/// Prandtl's number of air.
///
/// # Source
/// CoolProp 8.0.0, dry air at 20 °C, rounded; 0.711 at 0 °C and 0.707 at 30 °C.
const PRANDTL: f64 = 0.708;

/// Density of dry air times its temperature, in kilograms a cubic metre and kelvin, at sea level.
///
/// # Source
/// Ideal gas law with 287.042 J/(kg K).
const DENSITY_KELVIN: f64 = 101_325.0 / 287.042;

/// Heat capacity of dry air in joules a kilogram and kelvin.
///
/// # Source
/// ASHRAE Handbook, Fundamentals (2017), ch. 1.
const HEAT_J_KG_K: f64 = 1006.0;

/// Rayleigh's number of a wall: how strongly the difference in temperature drives the air along it.
///
/// # Range
/// Air and face of 0 to 40 °C at sea level, height in metres; 0 without a difference.
///
/// # Source
/// Definition, with the air's properties half-way between face and air.
pub fn rayleigh(face_c: f64, air_c: f64, height_m: f64) -> f64 {
    let middle_c = 0.5 * (face_c + air_c);
    let kelvin = middle_c + 273.15;
    let density = DENSITY_KELVIN / kelvin;
    let spreads = conductivity_w_mk(middle_c) / (density * HEAT_J_KG_K);
    let driven = GRAVITY_M_S2 / kelvin * (face_c - air_c).abs() * height_m * height_m * height_m;
    driven / (PRANDTL * spreads * spreads)
}

/// Watts a square metre and kelvin that still air brings to an upright face of this height in metres.
///
/// # Range
/// Rayleigh's numbers to 1e12, which is every chamber; no fan that blows along the face.
///
/// # Source
/// Churchill and Chu 1975, *International Journal of Heat and Mass Transfer* 18:1323, upright plate (from memory).
pub fn still_air_w_m2k(face_c: f64, air_c: f64, height_m: f64) -> f64 {
    let damped = libm::pow(1.0 + libm::pow(0.492 / PRANDTL, 9.0 / 16.0), 8.0 / 27.0);
    let root = 0.825 + 0.387 * libm::pow(rayleigh(face_c, air_c, height_m), 1.0 / 6.0) / damped;
    root * root * conductivity_w_mk(0.5 * (face_c + air_c)) / height_m
}

/// Watts a square metre and kelvin that come to a face by radiation from surroundings as warm as the air.
///
/// # Source
/// Stefan and Boltzmann's law for small differences, with nine tenths of a black body.
pub fn radiation_w_m2k(face_c: f64, air_c: f64) -> f64 {
    let kelvin = 0.5 * (face_c + air_c) + 273.15;
    4.0 * RADIATES * BLACK_BODY * kelvin * kelvin * kelvin
}

#[cfg(test)]
mod tests {
    use super::{radiation_w_m2k, rayleigh, still_air_w_m2k};
    use crate::engine::chamber::wall::STILL_AIR_M2K_W;

    #[test]
    fn still_air_brings_what_another_program_says() {
        // Churchill and Chu 1975 by ht 1.2.0, Nu_vertical_plate_Churchill, air of CoolProp 8.0.0: face and air in °C,
        // height in metres, Rayleigh's number, W/(m² K) by air and by radiation, resistance of both. Our air has
        // rounder properties: 0.5 % on Rayleigh's number, 0.2 % on what it brings. Radiation is the same equation:
        // 1e-9; the table printed 5.0901653733 and 0.1307655340, each with one digit off, as its own formula shows.
        for (face, air, height, driven, by_air, by_radiation, resistance) in [
            (
                19.0,
                20.0,
                0.5,
                1.306_268_77e7,
                1.739_850_729_2,
                5.116_345_012_5,
                0.145_853_478_8,
            ),
            (
                18.0,
                20.0,
                0.5,
                2.633_298_95e7,
                2.126_427_148_4,
                5.090_165_573_3,
                0.138_569_549_2,
            ),
            (
                16.0,
                20.0,
                0.5,
                5.350_872_61e7,
                2.609_205_943_2,
                5.038_074_911_0,
                0.130_765_434_0,
            ),
            (
                18.0,
                20.0,
                1.5,
                7.109_907_17e8,
                1.901_703_752_7,
                5.090_165_573_3,
                0.143_023_267_9,
            ),
        ] {
            let near = |got: f64, wanted: f64, share: f64| {
                assert!((got / wanted - 1.0).abs() < share, "{got} is not {wanted}");
            };
            near(rayleigh(face, air, height), driven, 5e-3);
            let still = still_air_w_m2k(face, air, height);
            near(still, by_air, 2e-3);
            near(radiation_w_m2k(face, air), by_radiation, 1e-9);
            near(1.0 / (by_air + by_radiation), resistance, 1e-9);
            near(1.0 / (still + radiation_w_m2k(face, air)), resistance, 1e-3);
            // The tabulated 0.13 of standards is rounded: one part in eight.
            near(STILL_AIR_M2K_W, resistance, 0.125);
        }
    }

    #[test]
    fn without_a_difference_only_radiation_is_left() {
        assert_eq!(rayleigh(20.0, 20.0, 1.0), 0.0);
        // Of a film of air as thick as the wall is high, 0.825² of the conduction through it.
        let least = still_air_w_m2k(20.0, 20.0, 1.0);
        assert!(least < 0.02 && radiation_w_m2k(20.0, 20.0) > 5.0, "{least}");
    }
}
