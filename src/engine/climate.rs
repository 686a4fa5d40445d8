//! Physics of moist air and of a ventilated chamber.
//!
//! Temperatures in degrees Celsius, relative humidity in percent, pressures in pascal, airflow in cubic metres an
//! hour. Every function takes what the believable ranges of the readings let through; what lies outside a formula's
//! own range is held to its nearest end, so that the result is always a number.

use crate::engine::climate::constants::{
    CELSIUS_ZERO_K, GAS_CONSTANT_DRY_AIR, GAS_CONSTANT_VAPOUR, MASS_RATIO, OVER_ICE, OVER_WATER,
    TRIPLE_POINT_C,
};

mod constants;
pub mod moving;
pub mod pair;

/// Pressure of the standard atmosphere at sea level, in pascal.
///
/// # Source
/// ASHRAE Handbook, Fundamentals (2017), ch. 1, equation 3 at height 0.
pub const SEA_LEVEL_PA: f64 = 101_325.0;

/// Pressure of water vapour at which air of this temperature is saturated, in pascal: over ice up to 0.01 °C, over
/// liquid water above.
///
/// # Range
/// -100 to 200 °C; stated to hold within 300 ppm.
///
/// # Source
/// ASHRAE Handbook, Fundamentals (2017), ch. 1, equations 5 and 6, after Hyland & Wexler 1983; switched at the
/// triple point rather than at 0 °C, which leaves a smaller step.
pub fn saturation_pressure_pa(temperature_c: f64) -> f64 {
    libm::exp(log_saturation(temperature_c).0)
}

/// Logarithm of the saturation pressure and its slope per kelvin.
fn log_saturation(temperature_c: f64) -> (f64, f64) {
    let held = temperature_c.clamp(-100.0, 200.0);
    let t = held + CELSIUS_ZERO_K;
    let c = if held <= TRIPLE_POINT_C {
        &OVER_ICE
    } else {
        &OVER_WATER
    };
    let powers = c[1] + t * (c[2] + t * (c[3] + t * (c[4] + t * c[5])));
    let slopes = c[2] + t * (2.0 * c[3] + t * (3.0 * c[4] + t * 4.0 * c[5]));
    (
        c[0] / t + powers + c[6] * libm::log(t),
        -c[0] / (t * t) + slopes + c[6] / t,
    )
}

/// Temperature at which water vapour of this pressure saturates, in degrees Celsius; none without vapour.
///
/// # Range
/// Vapour pressures that saturate between -100 and 200 °C; others have none.
///
/// # Source
/// Found by inverting [`saturation_pressure_pa`]; the handbook's own regression (its equations 37 and 38) is less
/// accurate and narrower.
pub fn dew_point_of_c(vapour_pressure_pa: f64) -> Option<f64> {
    let (mut low, mut high) = (-100.0, 200.0);
    let reachable = saturation_pressure_pa(low)..=saturation_pressure_pa(high);
    if !reachable.contains(&vapour_pressure_pa) {
        return None;
    }
    let wanted = libm::log(vapour_pressure_pa);
    let mut at = 10.0;
    for _ in 0..100 {
        let (log, slope) = log_saturation(at);
        if log > wanted {
            high = at;
        } else {
            low = at;
        }
        let newton = at + (wanted - log) / slope;
        // The step at the triple point can throw Newton's rule out of the bracket; halving cannot fail.
        let next = if newton > low && newton < high {
            newton
        } else {
            0.5 * (low + high)
        };
        if (next - at).abs() < 1e-12 {
            return Some(next);
        }
        at = next;
    }
    Some(at)
}

/// Air of the chamber or of the room around it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Air {
    temperature_c: f64,
    humidity_percent: f64,
    pressure_pa: f64,
}

impl Air {
    /// Air at sea level.
    ///
    /// # Range
    /// Humidity is held to 0..=100; above that there is fog, not vapour.
    pub fn new(temperature_c: f64, humidity_percent: f64) -> Self {
        Self {
            temperature_c,
            humidity_percent: humidity_percent.clamp(0.0, 100.0),
            pressure_pa: SEA_LEVEL_PA,
        }
    }

    /// The same air at another air pressure.
    pub fn at_pressure(self, pressure_pa: f64) -> Self {
        Self {
            pressure_pa,
            ..self
        }
    }

    /// How warm it is, in degrees Celsius.
    pub fn temperature_c(self) -> f64 {
        self.temperature_c
    }

    /// Its relative humidity in percent, 0 to 100.
    pub fn humidity_percent(self) -> f64 {
        self.humidity_percent
    }

    /// The air pressure, in pascal.
    pub fn pressure_pa(self) -> f64 {
        self.pressure_pa
    }

    /// The same air warmed or cooled, no water added or taken away but what has to fall out, at the same pressure; and
    /// the grams that fell out of each cubic metre of the chamber.
    ///
    /// # Source
    /// The vapour pressure stays until it reaches saturation (ASHRAE Handbook, Fundamentals 2017, ch. 1); what falls
    /// out is the absolute humidity before less the one after.
    pub fn taken_to(self, temperature_c: f64) -> (Self, f64) {
        let saturation = saturation_pressure_pa(temperature_c);
        let humidity = 100.0 * self.vapour_pressure_pa() / saturation;
        let air = Self::new(temperature_c, humidity).at_pressure(self.pressure_pa);
        let fallen_out = if humidity > 100.0 {
            (self.absolute_humidity_g_m3() - air.absolute_humidity_g_m3()).max(0.0)
        } else {
            0.0
        };
        (air, fallen_out)
    }

    /// Pressure of the water vapour in the air, in pascal.
    ///
    /// # Source
    /// Definition of relative humidity; ASHRAE Handbook, Fundamentals (2017), ch. 1.
    pub fn vapour_pressure_pa(self) -> f64 {
        self.humidity_percent / 100.0 * saturation_pressure_pa(self.temperature_c)
    }

    /// How much vapour pressure is missing to saturation, in pascal: what dries the mushrooms.
    ///
    /// # Source
    /// Definition.
    pub fn vapour_deficit_pa(self) -> f64 {
        (1.0 - self.humidity_percent / 100.0) * saturation_pressure_pa(self.temperature_c)
    }

    /// Temperature of a surface on which this air begins to drop water; none for air without any vapour.
    ///
    /// # Source
    /// See [`dew_point_of_c`].
    pub fn dew_point_c(self) -> Option<f64> {
        dew_point_of_c(self.vapour_pressure_pa())
    }

    /// Grams of water vapour in a cubic metre of the air.
    ///
    /// # Source
    /// Ideal gas law; agrees with real moist air within 0.5 % at 10 to 30 °C.
    pub fn absolute_humidity_g_m3(self) -> f64 {
        1000.0 * self.vapour_pressure_pa() / (GAS_CONSTANT_VAPOUR * self.kelvin())
    }

    /// Kilograms of water vapour with each kilogram of dry air.
    ///
    /// # Range
    /// Air pressure well above the vapour pressure, which holds for any chamber.
    ///
    /// # Source
    /// ASHRAE Handbook, Fundamentals (2017), ch. 1, equation 20.
    pub fn humidity_ratio(self) -> f64 {
        ratio(self.vapour_pressure_pa(), self.pressure_pa)
    }

    /// Cubic metres that hold one kilogram of dry air.
    ///
    /// # Source
    /// ASHRAE Handbook, Fundamentals (2017), ch. 1, equation 26.
    pub fn specific_volume_m3_kg(self) -> f64 {
        GAS_CONSTANT_DRY_AIR * self.kelvin() * (1.0 + 1.607_858 * self.humidity_ratio())
            / self.pressure_pa
    }

    /// Heat content in kilojoules for each kilogram of dry air, counted from 0 °C.
    ///
    /// # Source
    /// ASHRAE Handbook, Fundamentals (2017), ch. 1, equation 30.
    pub fn enthalpy_kj_kg(self) -> f64 {
        let t = self.temperature_c;
        1.006 * t + self.humidity_ratio() * (2501.0 + 1.86 * t)
    }

    /// Temperature to which a wet surface cools in this air, in degrees Celsius.
    ///
    /// # Range
    /// The equations for a wet and an icy surface do not meet at 0 °C: within 0.3 °C of it the same air has two wet
    /// bulbs, one of which is given.
    ///
    /// # Source
    /// ASHRAE Handbook, Fundamentals (2017), ch. 1, equations 33 and 35, solved for the wet bulb by halving.
    pub fn wet_bulb_c(self) -> f64 {
        let t = self.temperature_c;
        let wanted = self.humidity_ratio();
        let (mut low, mut high) = (self.dew_point_c().unwrap_or(-100.0).min(t), t);
        // Each step halves the interval; sixty leave less than a double can tell apart.
        for _ in 0..60 {
            let wet = 0.5 * (low + high);
            let humidity = ratio_by_wet_bulb(t, wet, self.pressure_pa);
            if humidity > wanted {
                high = wet;
            } else {
                low = wet;
            }
        }
        0.5 * (low + high)
    }

    /// Kelvin by which a surface is warmer than the dew point of this air; at 0 and below, water forms on it.
    ///
    /// None for air without any vapour, which wets nothing.
    ///
    /// # Source
    /// Definition of the dew point.
    pub fn condensation_margin_k(self, surface_c: f64) -> Option<f64> {
        Some(surface_c - self.dew_point_c()?)
    }

    fn kelvin(self) -> f64 {
        self.temperature_c.max(-100.0) + CELSIUS_ZERO_K
    }
}

/// Humidity ratio of air in which a wet surface cools to `wet`; below nought where no air is as dry as that.
///
/// # Source
/// ASHRAE Handbook, Fundamentals (2017), ch. 1, equations 33 and 35.
fn ratio_by_wet_bulb(temperature_c: f64, wet: f64, pressure_pa: f64) -> f64 {
    let t = temperature_c;
    let saturated = ratio(saturation_pressure_pa(wet), pressure_pa);
    if wet >= 0.0 {
        ((2501.0 - 2.326 * wet) * saturated - 1.006 * (t - wet)) / (2501.0 + 1.86 * t - 4.186 * wet)
    } else {
        ((2830.0 - 0.24 * wet) * saturated - 1.006 * (t - wet)) / (2830.0 + 1.86 * t - 2.1 * wet)
    }
}

fn ratio(vapour_pressure_pa: f64, pressure_pa: f64) -> f64 {
    MASS_RATIO * vapour_pressure_pa / (pressure_pa - vapour_pressure_pa)
}

/// Air pressure at this height above the sea, in pascal.
///
/// # Range
/// -500 to 10,000 m.
///
/// # Source
/// ASHRAE Handbook, Fundamentals (2017), ch. 1, equation 3.
pub fn pressure_at_height_pa(height_m: f64) -> f64 {
    let held = height_m.clamp(-500.0, 10_000.0);
    SEA_LEVEL_PA * libm::pow(1.0 - 2.255_77e-5 * held, 5.2559)
}

/// By how much the fresh air must be multiplied to bring carbon dioxide from what is measured to the limit:
/// `(measured - outside) / (limit - outside)`, all in ppm. Below 1, less air would do.
///
/// None where the arithmetic has no answer: the air that comes in is itself at or above the limit, or the chamber
/// holds no more than that air.
///
/// # Source
/// Steady balance of one mixed space, see [`steady_co2_ppm`]: the excess over outside falls as the airflow rises.
pub fn airflow_factor(measured_ppm: f64, outside_ppm: f64, limit_ppm: f64) -> Option<f64> {
    let (excess, allowed) = (measured_ppm - outside_ppm, limit_ppm - outside_ppm);
    (excess > 0.0 && allowed > 0.0)
        .then(|| excess / allowed)
        .filter(|factor| factor.is_finite())
}

/// Carbon dioxide that a chamber settles at, in ppm; none without any airflow, when it never settles.
///
/// `source_m3_h` is what the crop gives off, in cubic metres of carbon dioxide an hour.
///
/// # Range
/// One well-mixed space with steady source, airflow and outside air.
///
/// # Source
/// Single-zone mass balance as used in ASTM E741 and ISO 12569 (from memory).
pub fn steady_co2_ppm(outside_ppm: f64, source_m3_h: f64, airflow_m3_h: f64) -> Option<f64> {
    (airflow_m3_h > 0.0).then(|| outside_ppm + 1e6 * source_m3_h / airflow_m3_h)
}

/// Airflow that keeps carbon dioxide at the limit, in cubic metres an hour; none if outside air is no better.
///
/// # Source
/// As [`steady_co2_ppm`], solved for the airflow.
pub fn airflow_for_limit_m3_h(outside_ppm: f64, source_m3_h: f64, limit_ppm: f64) -> Option<f64> {
    let allowed = limit_ppm - outside_ppm;
    (allowed > 0.0).then(|| 1e6 * source_m3_h / allowed)
}

/// Carbon dioxide after a time on the way from a start value to the steady one, in ppm.
///
/// # Source
/// As [`steady_co2_ppm`], the solution in time: the distance shrinks by `exp(-changes * hours)`.
pub fn co2_after_ppm(start_ppm: f64, steady_ppm: f64, changes_per_hour: f64, hours: f64) -> f64 {
    steady_ppm + (start_ppm - steady_ppm) * libm::exp(-changes_per_hour * hours)
}

/// Water that must be misted to hold the chamber's air while room air flows through, in grams an hour.
///
/// Negative when the room brings in more water than the chamber's air can keep: no mist is needed, and walls may
/// drip. Water from the crop and on walls is left out.
///
/// # Source
/// Mass balance on dry air (ASHRAE Handbook, Fundamentals; from memory): airflow over the room air's specific
/// volume, times the difference in humidity ratio.
pub fn mist_rate_g_h(airflow_m3_h: f64, chamber: Air, room: Air) -> f64 {
    1000.0 * airflow_m3_h / room.specific_volume_m3_kg()
        * (chamber.humidity_ratio() - room.humidity_ratio())
}

/// A value computed from uncertain inputs, and its standard deviation. Inputs are (value, standard deviation) and
/// taken as independent of one another; none if the value cannot be computed there.
///
/// # Range
/// Good while the formula is nearly straight over one standard deviation.
///
/// # Source
/// JCGM 100:2008 (GUM), 5.1.2, with sensitivities by central differences (5.1.3, note 2, with a smaller step).
pub fn uncertain(
    formula: impl Fn(&[f64]) -> Option<f64>,
    inputs: &[(f64, f64)],
) -> Option<(f64, f64)> {
    let at: Vec<f64> = inputs.iter().map(|input| input.0).collect();
    let value = formula(&at)?;
    let mut variance = 0.0;
    for (place, &(centre, deviation)) in inputs.iter().enumerate() {
        if deviation == 0.0 {
            continue;
        }
        // Small enough to follow the slope, large enough to keep seven digits of the difference.
        let step = deviation / 1000.0;
        let mut moved = at.clone();
        moved[place] = centre + step;
        let above = formula(&moved);
        moved[place] = centre - step;
        let below = formula(&moved);
        // At the edge of what can be computed one side has to do.
        let change = match (above, below) {
            (Some(above), Some(below)) => (above - below) / 2.0,
            (Some(above), None) => above - value,
            (None, Some(below)) => value - below,
            (None, None) => return None,
        };
        variance += (change / step * deviation) * (change / step * deviation);
    }
    Some((value, libm::sqrt(variance)))
}

#[cfg(test)]
mod tests;
