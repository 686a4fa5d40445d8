//! Moist air from any two of its temperature, humidity, dew point and wet bulb.

use crate::engine::climate::{
    Air, MASS_RATIO, dew_point_of_c, ratio, ratio_by_wet_bulb, saturation_pressure_pa, uncertain,
};
use crate::engine::quantity::Unit;

/// Temperatures that are worked with, in degrees Celsius.
///
/// judgement: wider than any room in which something grows; the formulas hold well beyond.
pub const TEMPERATURES_C: (f64, f64) = (-40.0, 60.0);

/// Air pressures that are worked with, in pascal: from a height of some five kilometres to the deepest valley.
///
/// judgement: where people live, with the weather on top.
pub const PRESSURES_PA: (f64, f64) = (50_000.0, 110_000.0);

/// What is known of the air; exactly two of them are needed.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Given {
    /// Its temperature, °C.
    pub temperature_c: Option<f64>,
    /// Its relative humidity, percent.
    pub humidity_percent: Option<f64>,
    /// Its dew point, °C.
    pub dew_point_c: Option<f64>,
    /// Its wet bulb, °C.
    pub wet_bulb_c: Option<f64>,
}

impl Given {
    fn list(self) -> [Option<f64>; 4] {
        let Self {
            temperature_c,
            humidity_percent,
            dew_point_c,
            wet_bulb_c,
        } = self;
        [temperature_c, humidity_percent, dew_point_c, wet_bulb_c]
    }

    fn of_list(list: [Option<f64>; 4]) -> Self {
        let [temperature_c, humidity_percent, dew_point_c, wet_bulb_c] = list;
        Self {
            temperature_c,
            humidity_percent,
            dew_point_c,
            wet_bulb_c,
        }
    }
}

/// Why there is no such air.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum PairError {
    /// One is too little, three may contradict each other.
    #[error(
        "give exactly two of temperature, humidity, dew point and wet bulb ({given} given); the rest follows from them"
    )]
    NotTwo {
        /// How many there were.
        given: usize,
    },
    /// More than saturated, or less than none.
    #[error(
        "a humidity of {} cannot be: it lies between 0 and 100 %, and what air cannot hold is fog or drops",
        number(*percent, "%")
    )]
    Humidity {
        /// As given.
        percent: f64,
    },
    /// Air without vapour has no dew point.
    #[error("air of 0 % humidity holds no water, so it has no dew point")]
    NoVapour,
    /// The dew point lies above the temperature.
    #[error(
        "the dew point, {}, cannot lie above the temperature, {}: the air would have dropped its water before; one of \
         the two is wrong",
        celsius(*dew_point_c),
        celsius(*temperature_c)
    )]
    DewPointAbove {
        /// The dew point, °C.
        dew_point_c: f64,
        /// The temperature, °C.
        temperature_c: f64,
    },
    /// The wet bulb lies above the temperature.
    #[error(
        "the wet bulb, {}, cannot lie above the temperature, {}: a wet surface in moving air can only cool; one of the \
         two is wrong, or the thermometers are mixed up",
        celsius(*wet_bulb_c),
        celsius(*temperature_c)
    )]
    WetBulbAbove {
        /// The wet bulb, °C.
        wet_bulb_c: f64,
        /// The temperature, °C.
        temperature_c: f64,
    },
    /// The dew point lies above the wet bulb.
    #[error(
        "the dew point, {}, cannot lie above the wet bulb, {}: a wet surface never cools below the dew point",
        celsius(*dew_point_c),
        celsius(*wet_bulb_c)
    )]
    DewPointAboveWetBulb {
        /// The dew point, °C.
        dew_point_c: f64,
        /// The wet bulb, °C.
        wet_bulb_c: f64,
    },
    /// Even dry air would not cool a wet surface so far.
    #[error(
        "a wet bulb of {} is too low at {}: even air without any water cools a wet surface no further than {}",
        celsius(*wet_bulb_c),
        celsius(*temperature_c),
        celsius(*least_c)
    )]
    WetBulbTooLow {
        /// The wet bulb, °C.
        wet_bulb_c: f64,
        /// The temperature, °C.
        temperature_c: f64,
        /// The least there can be, °C.
        least_c: f64,
    },
    /// The two fit no air that a chamber can have.
    #[error(
        "the two fit only air of {}, which no chamber has; one of them is wrong",
        celsius(*temperature_c)
    )]
    Beyond {
        /// The temperature that follows, °C.
        temperature_c: f64,
    },
}

fn celsius(value: f64) -> String {
    number(value, "°C")
}

/// To a hundredth, so that two values that differ look different.
fn number(value: f64, unit: &str) -> String {
    let hundredths = (value * 100.0).round() / 100.0;
    format!("{hundredths} {unit}").trim_end().to_owned()
}

/// The air of which two things are known, at an air pressure in pascal.
///
/// # Range
/// Temperatures within [`TEMPERATURES_C`] and pressures within [`PRESSURES_PA`]; the caller sees to that.
///
/// # Errors
/// Not two are given, or no air is like that.
///
/// # Source
/// ASHRAE Handbook, Fundamentals (2017), ch. 1, equations 20, 33 and 35, solved for what is not given.
pub fn air(given: Given, pressure_pa: f64) -> Result<Air, PairError> {
    if let Some(percent) = given.humidity_percent
        && !(0.0..=100.0).contains(&percent)
    {
        return Err(PairError::Humidity { percent });
    }
    let pair = given.list();
    let (temperature_c, humidity) = match pair {
        [Some(t), Some(humidity), None, None] => (t, humidity),
        [Some(t), None, Some(dew), None] => (t, by_dew_point(t, dew)?),
        [Some(t), None, None, Some(wet)] => (t, by_wet_bulb(t, wet, pressure_pa)?),
        [None, Some(humidity), Some(dew), None] => {
            let saturation = saturation_pressure_pa(dew) / (humidity / 100.0);
            if humidity <= 0.0 {
                return Err(PairError::NoVapour);
            }
            let warmest = PairError::Beyond {
                temperature_c: 200.0,
            };
            (dew_point_of_c(saturation).ok_or(warmest)?, humidity)
        }
        [None, Some(humidity), None, Some(wet)] => {
            (of_wet_and_humidity(wet, humidity, pressure_pa), humidity)
        }
        [None, None, Some(dew), Some(wet)] => {
            let t = of_dew_and_wet(dew, wet, pressure_pa)?;
            (t, by_dew_point(t, dew)?)
        }
        _ => {
            let given = pair.iter().flatten().count();
            return Err(PairError::NotTwo { given });
        }
    };
    if temperature_c > TEMPERATURES_C.1 {
        return Err(PairError::Beyond { temperature_c });
    }
    Ok(Air::new(temperature_c, humidity).at_pressure(pressure_pa))
}

fn by_dew_point(temperature_c: f64, dew_point_c: f64) -> Result<f64, PairError> {
    if dew_point_c > temperature_c {
        return Err(PairError::DewPointAbove {
            dew_point_c,
            temperature_c,
        });
    }
    Ok(100.0 * saturation_pressure_pa(dew_point_c) / saturation_pressure_pa(temperature_c))
}

fn by_wet_bulb(temperature_c: f64, wet_bulb_c: f64, pressure_pa: f64) -> Result<f64, PairError> {
    if wet_bulb_c > temperature_c {
        return Err(PairError::WetBulbAbove {
            wet_bulb_c,
            temperature_c,
        });
    }
    let humidity_ratio = ratio_by_wet_bulb(temperature_c, wet_bulb_c, pressure_pa);
    if humidity_ratio < 0.0 {
        return Err(PairError::WetBulbTooLow {
            wet_bulb_c,
            temperature_c,
            least_c: Air::new(temperature_c, 0.0)
                .at_pressure(pressure_pa)
                .wet_bulb_c(),
        });
    }
    let vapour = humidity_ratio * pressure_pa / (MASS_RATIO + humidity_ratio);
    Ok(100.0 * vapour / saturation_pressure_pa(temperature_c))
}

/// The temperature at which air of this humidity has this wet bulb. The warmer the air, the less water the wet bulb
/// tells and the more the humidity does, so that the two meet once.
fn of_wet_and_humidity(wet: f64, humidity_percent: f64, pressure_pa: f64) -> f64 {
    let share = humidity_percent / 100.0;
    // Saturated air has the temperature of its wet bulb; beyond the upper end not even dry air cools so far.
    let (mut low, mut high) = (wet, wet + 200.0);
    // Each step halves the interval; sixty leave less than a double can tell apart.
    for _ in 0..60 {
        let t = 0.5 * (low + high);
        let vapour = share * saturation_pressure_pa(t);
        let too_warm = vapour >= pressure_pa
            || ratio(vapour, pressure_pa) > ratio_by_wet_bulb(t, wet, pressure_pa);
        if too_warm {
            high = t;
        } else {
            low = t;
        }
    }
    0.5 * (low + high)
}

/// The temperature of air with this dew point and wet bulb: the equation of the wet bulb is linear in it.
fn of_dew_and_wet(dew: f64, wet: f64, pressure_pa: f64) -> Result<f64, PairError> {
    if dew > wet {
        return Err(PairError::DewPointAboveWetBulb {
            dew_point_c: dew,
            wet_bulb_c: wet,
        });
    }
    let (own, saturated) = (
        ratio(saturation_pressure_pa(dew), pressure_pa),
        ratio(saturation_pressure_pa(wet), pressure_pa),
    );
    let (at_wet, at_dew) = if wet >= 0.0 {
        (2501.0 - 2.326 * wet, 2501.0 - 4.186 * wet)
    } else {
        (2830.0 - 0.24 * wet, 2830.0 - 2.1 * wet)
    };
    let t = (at_wet * saturated + 1.006 * wet - own * at_dew) / (1.006 + 1.86 * own);
    // Rounding must not put saturated air below its own dew point.
    Ok(t.max(wet))
}

/// One standard deviation of a number of the air, from those of what is given; nought counts as exactly known.
///
/// None where the number cannot be computed.
///
/// # Source
/// See [`uncertain`].
pub fn deviation(
    given: Given,
    deviations: Given,
    pressure_pa: f64,
    of: impl Fn(Air) -> Option<f64>,
) -> Option<f64> {
    let (values, spreads) = (given.list(), deviations.list());
    let places: Vec<usize> = (0..4).filter(|&place| values[place].is_some()).collect();
    let inputs: Vec<(f64, f64)> = places
        .iter()
        .map(|&place| (values[place].unwrap_or(0.0), spreads[place].unwrap_or(0.0)))
        .collect();
    let formula = |moved: &[f64]| {
        let mut list = [None; 4];
        for (&place, &value) in places.iter().zip(moved) {
            list[place] = Some(value);
        }
        of(air(Given::of_list(list), pressure_pa).ok()?)
    };
    uncertain(formula, &inputs).map(|(_, deviation)| deviation)
}

/// A value within what is worked with.
///
/// # Errors
/// What it is and between what it lies.
pub fn believable(value: f64, unit: Unit, (least, most): (f64, f64)) -> Result<f64, String> {
    if (least..=most).contains(&value) {
        return Ok(value);
    }
    let hint = match unit {
        // Most gauges show hectopascal, and leave the unit out.
        Unit::Pascal => "; write for example `1013 hPa`",
        _ => "",
    };
    Err(format!(
        "{} lies outside what is worked with here, {least} to {}{hint}",
        number(value, ""),
        number(most, unit.symbol()),
    ))
}

#[cfg(test)]
mod tests {
    use super::{Given, PairError, air, deviation};
    use crate::engine::climate::{Air, SEA_LEVEL_PA};

    /// Temperature, humidity in percent, dew point, wet bulb, pressure.
    ///
    /// PsychroLib 2.5.0 (GetTDewPointFromRelHum, GetTWetBulbFromRelHum); it works to 0.001 °C by itself, here to 1e-8.
    const STATES: [(f64, f64, f64, f64, f64); 8] = [
        (12.0, 85.0, 9.559_267_24, 10.637_200_81, SEA_LEVEL_PA),
        (16.0, 93.0, 14.869_332_44, 15.290_515_80, SEA_LEVEL_PA),
        (18.0, 90.0, 16.336_087_07, 16.922_409_19, SEA_LEVEL_PA),
        (20.0, 50.0, 9.272_392_29, 13.783_554_47, SEA_LEVEL_PA),
        (22.0, 40.0, 7.794_189_49, 13.898_423_13, SEA_LEVEL_PA),
        (30.0, 80.0, 26.168_593_24, 27.090_967_47, SEA_LEVEL_PA),
        (18.0, 90.0, 16.336_087_07, 16.855_177_82, 84_555.932_311_43),
        (21.0, 45.0, 8.626_259_46, 13.374_252_18, 84_555.932_311_43),
    ];

    #[test]
    fn what_meters_are_off_goes_through_to_what_follows() {
        // 20 °C ± 0.3 and 90 % ± 3, rectangles; central differences with PsychroLib 2.5.0. Another step of the
        // differences: 1e-6.
        let given = Given {
            temperature_c: Some(20.0),
            humidity_percent: Some(90.0),
            ..Given::default()
        };
        let of = |warmth: f64, damp: f64, number: fn(Air) -> Option<f64>| {
            let off = Given {
                temperature_c: Some(warmth),
                humidity_percent: Some(damp),
                ..Given::default()
            };
            deviation(given, off, SEA_LEVEL_PA, number).expect("there is such air")
        };
        let dryness: fn(Air) -> Option<f64> = |air| Some(air.vapour_deficit_pa());
        let root3 = 3.0_f64.sqrt();
        for (number, per_kelvin, per_point, both) in [
            (
                Air::dew_point_c as fn(Air) -> Option<f64>,
                0.986_997_655_4,
                0.177_040_572_1,
                0.351_076_948_4,
            ),
            (dryness, 14.487_537_713_8, 23.388_037_0, 40.586_912_8),
        ] {
            for (got, wanted) in [
                (of(1.0, 0.0, number), per_kelvin),
                (of(0.0, 1.0, number), per_point),
                (of(0.3 / root3, 3.0 / root3, number), both),
            ] {
                assert!((got / wanted - 1.0).abs() < 1e-6, "{got} not {wanted}");
            }
        }
    }

    #[test]
    fn any_two_give_the_same_air() {
        for (t, humidity, dew, wet, pressure) in STATES {
            let known = [Some(t), Some(humidity), Some(dew), Some(wet)];
            for (one, other) in [(0, 1), (0, 2), (0, 3), (1, 2), (1, 3), (2, 3)] {
                let of = |place: usize| known[place].filter(|_| place == one || place == other);
                let given = Given {
                    temperature_c: of(0),
                    humidity_percent: of(1),
                    dew_point_c: of(2),
                    wet_bulb_c: of(3),
                };
                let found = air(given, pressure).expect("there is such air");
                let dew_found = found.dew_point_c().expect("it holds water");
                // The table has eight decimals; near saturation dew point and wet bulb lie close together, so that
                // rounding grows some ten times in what follows from them.
                for (what, ours, theirs) in [
                    ("temperature", found.temperature_c(), t),
                    ("humidity", found.humidity_percent(), humidity),
                    ("dew point", dew_found, dew),
                    ("wet bulb", found.wet_bulb_c(), wet),
                ] {
                    assert!((ours - theirs).abs() < 1e-6, "{given:?} {what}: {ours}");
                }
            }
        }
    }

    // ASHRAE Handbook, Fundamentals (2017), ch. 1, example 1, read off a chart: 7 °C and 14 %; computed with PsychroLib
    // 7.433611019 °C and 13.9794886 %. The chart is coarser than half a degree.
    #[test]
    fn the_printed_example_comes_out_as_near_as_its_chart() {
        let given = Given {
            temperature_c: Some(40.0),
            wet_bulb_c: Some(20.0),
            ..Given::default()
        };
        let found = air(given, SEA_LEVEL_PA).expect("there is such air");
        let dew = found.dew_point_c().expect("it holds water");
        assert!(
            (dew - 7.0).abs() < 0.5 && (dew - 7.433_611_019).abs() < 1e-7,
            "{dew}"
        );
        assert!((found.humidity_percent() - 13.979_488_6).abs() < 1e-6);
        assert!((found.humidity_ratio() - 0.006_400_785_965).abs() < 1e-11);
        assert!((found.enthalpy_kj_kg() - 56.724_584_174).abs() < 1e-7);
    }

    // PsychroLib: vapour pressure held, saturation pressure at the new temperature; what falls out from the same
    // numbers by the gas law.
    #[test]
    fn warming_and_cooling_move_the_humidity_as_computed() {
        let start = crate::engine::climate::Air::new(20.0, 90.0);
        for (change, humidity, fallen_out) in [
            (-3.0, 100.0, 1.086_046_41),
            (-2.0, 100.0, 0.195_508_61),
            (-1.0, 95.774_265_474_2, 0.0),
            (0.5, 87.260_445_137_8, 0.0),
            (1.0, 84.614_348_892_5, 0.0),
            (3.0, 74.896_524_819_2, 0.0),
        ] {
            let (then, out) = start.taken_to(20.0 + change);
            assert!(
                (then.humidity_percent() - humidity).abs() < 1e-8,
                "{change}"
            );
            assert!((out - fallen_out).abs() < 1e-7, "{change}: {out}");
        }
    }

    #[test]
    fn what_cannot_be_is_refused_with_its_reason() {
        let of = |t, humidity, dew, wet| {
            let given = Given {
                temperature_c: t,
                humidity_percent: humidity,
                dew_point_c: dew,
                wet_bulb_c: wet,
            };
            air(given, SEA_LEVEL_PA).expect_err("there is no such air")
        };
        let dew = of(Some(20.0), None, Some(20.01), None);
        assert!(
            dew.to_string().contains("20.01 °C, cannot lie above"),
            "{dew}"
        );
        let wet = of(Some(20.0), None, None, Some(21.0));
        assert!(matches!(wet, PairError::WetBulbAbove { .. }));
        let crossed = of(None, None, Some(18.0), Some(15.0));
        assert!(matches!(crossed, PairError::DewPointAboveWetBulb { .. }));
        let low = of(Some(20.0), None, None, Some(2.0));
        // PsychroLib's wet bulb of dry air at 20 °C is 5.8 °C.
        assert!(
            matches!(low, PairError::WetBulbTooLow { least_c, .. } if (5.5..6.1).contains(&least_c))
        );
        assert_eq!(
            of(Some(20.0), Some(101.0), None, None),
            PairError::Humidity { percent: 101.0 }
        );
        assert_eq!(of(None, Some(0.0), Some(5.0), None), PairError::NoVapour);
        assert!(matches!(
            of(None, Some(5.0), Some(30.0), None),
            PairError::Beyond { .. }
        ));
        assert_eq!(
            of(Some(20.0), None, None, None),
            PairError::NotTwo { given: 1 }
        );
        let three = of(Some(20.0), Some(50.0), Some(9.3), None);
        assert_eq!(three, PairError::NotTwo { given: 3 });
    }
}
