//! Constants of moist air.

/// 0 °C in kelvin, by definition.
pub(crate) const CELSIUS_ZERO_K: f64 = 273.15;

/// Triple point of water in degrees Celsius.
pub(crate) const TRIPLE_POINT_C: f64 = 0.01;

/// Gas constant of dry air, J/(kg K).
///
/// # Source
/// ASHRAE Handbook, Fundamentals (2017), ch. 1.
pub(crate) const GAS_CONSTANT_DRY_AIR: f64 = 287.042;

/// Gas constant of water vapour, J/(kg K): the molar gas constant over 18.01528 g/mol.
pub(crate) const GAS_CONSTANT_VAPOUR: f64 = 461.523;

/// Molar mass of water over that of dry air.
///
/// # Source
/// ASHRAE Handbook, Fundamentals (2017), ch. 1.
pub(crate) const MASS_RATIO: f64 = 0.621_945;

/// Coefficients of the logarithm of the saturation pressure over ice: of 1/T, of T to the powers 0 to 4, of ln T.
///
/// # Source
/// ASHRAE Handbook, Fundamentals (2017), ch. 1, equation 5, C1 to C7.
pub(crate) const OVER_ICE: [f64; 7] = [
    -5.674_535_9e3,
    6.392_524_7,
    -9.677_843e-3,
    6.221_570_1e-7,
    2.074_782_5e-9,
    -9.484_024e-13,
    4.163_501_9,
];

/// The same over liquid water, where the fourth power is not used.
///
/// # Source
/// ASHRAE Handbook, Fundamentals (2017), ch. 1, equation 6, C8 to C13.
pub(crate) const OVER_WATER: [f64; 7] = [
    -5.800_220_6e3,
    1.391_499_3,
    -4.864_023_9e-2,
    4.176_476_8e-5,
    -1.445_209_3e-8,
    0.0,
    6.545_967_3,
];
