//! What can be drawn from a sensor log: names for measures and findings, by which knowledge entries refer to them, and
//! the numbers a log is judged with.

use serde::{Deserialize, Serialize};

use crate::engine::knowledge::scale::numbers;

macro_rules! names {
    ($(#[$top:meta])* $enum:ident; $($(#[$doc:meta])* $variant:ident = $name:literal;)*) => {
        $(#[$top])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
        pub enum $enum {
            $($(#[$doc])* #[serde(rename = $name)] $variant,)*
        }

        impl $enum {
            /// Every one with its name.
            pub const ALL: [(Self, &'static str); [$($name),*].len()] =
                [$((Self::$variant, $name),)*];

            /// Its name.
            pub fn name(self) -> &'static str {
                match self {
                    $(Self::$variant => $name,)*
                }
            }
        }
    };
}

names! {
    /// A number that a log yields, for the `log` key of a reading.
    Measure;
    /// Mean air temperature, °C: of the time outside a limit where that is a finding, otherwise of the whole log. Its
    /// reading also gives believable range and limits of the temperature column.
    TemperatureMean = "temperature-mean";
    /// Mean humidity, %, in the same way. Its reading also gives believable range and limits of the humidity column.
    HumidityMean = "humidity-mean";
    /// Mean carbon dioxide, ppm, in the same way. Its reading also gives believable range and limits of the carbon
    /// dioxide column.
    Co2Mean = "co2-mean";
    /// Middle value of the light while it is lit, lux, or the mean of the time above the limit where that is a finding.
    /// Its reading also gives believable range and limits of the light column.
    LightWhileLit = "light-while-lit";
    /// Hours of light in a full day.
    LitHoursOfDay = "lit-hours-of-day";
    /// Distance of highest and lowest temperature of a day, °C: the middle one of the full days.
    TemperatureRangeOfDay = "temperature-range-of-day";
    /// Distance of highest and lowest humidity in an on and off cycle, points: the middle one of the cycles. Without such
    /// cycles the mean size of slower swings that the temperature does not explain.
    HuntingSwing = "hunting-swing";
    /// Air changes an hour: the middle one of the falls of carbon dioxide.
    AirChanges = "air-changes";
    /// Mean distance of the surface from the dew point, °C, while it is near it or below.
    NearMargin = "near-margin";
    /// Temperature of the surface that was given, °C.
    SurfaceGiven = "surface-given";
    /// Carbon dioxide of the air outside that was given or assumed, ppm. Its reading gives the value assumed.
    OutsideCo2 = "outside-co2";
}

names! {
    /// Something that happened in a log, for the `log` key of a sign.
    LogFinding;
    /// Nothing was logged for a while.
    Gaps = "gaps";
    /// Time went backwards.
    ClockWentBack = "clock-went-back";
    /// Stamps stand twice.
    RepeatedStamps = "repeated-stamps";
    /// Rows or cells could not be used.
    LeftOut = "left-out";
    /// The thermometer shows one value for long.
    TemperatureStuck = "temperature-stuck";
    /// The humidity meter shows one value for long, short of the top of its range.
    HumidityStuck = "humidity-stuck";
    /// The carbon dioxide meter shows one value for long.
    Co2Stuck = "co2-stuck";
    /// The humidity meter stays at the top of its range.
    HumiditySaturated = "humidity-saturated";
    /// Too cold for the species and stage.
    TemperatureBelow = "temperature-below-limit";
    /// Too warm for the species and stage.
    TemperatureAbove = "temperature-above-limit";
    /// Too dry for the species and stage.
    HumidityBelow = "humidity-below-limit";
    /// Too moist for the species and stage.
    HumidityAbove = "humidity-above-limit";
    /// Less carbon dioxide than the species and stage want.
    Co2Below = "co2-below-limit";
    /// More carbon dioxide than the species and stage want.
    Co2Above = "co2-above-limit";
    /// Too dark for the species and stage while the light is on.
    LightBelow = "light-below-limit";
    /// Too bright for the species and stage.
    LightAbove = "light-above-limit";
    /// The humidity goes up and down with the mister or its controller.
    HumidityHunting = "humidity-hunting";
    /// The humidity swings because the temperature does: the water in the air stays the same.
    SwingThermal = "humidity-swing-thermal";
    /// The humidity swings because water comes and goes.
    SwingMister = "humidity-swing-mister";
    /// The humidity swings for both reasons.
    SwingMixed = "humidity-swing-mixed";
    /// Carbon dioxide has peaks.
    Co2Peaks = "co2-peaks";
    /// Most peaks of carbon dioxide come at the same hours of the day.
    PeaksAtSetHours = "co2-peak-hours";
    /// Air changes follow from falls of carbon dioxide.
    AirChanges = "air-changes";
    /// Day and night, or the hours of a day, lie far apart in temperature.
    TemperatureSwing = "temperature-swing";
    /// The surface was near the dew point or below it.
    NearDewPoint = "near-dew-point";
}

numbers! {
    /// The numbers a sensor log is judged with; every one is given by the knowledge.
    LogNumbers;
    /// A pause longer than this many steps is a gap, of the step that nineteen of twenty do not go beyond.
    gap_factor = "gap-factor", 1.0..=1000.0;
    /// No shorter pause than this is a gap, in minutes.
    gap_least_minutes = "gap-least-minutes", 0.0..=1440.0;
    /// Hours without any change from which a thermometer or humidity meter counts as stuck.
    stuck_hours = "stuck-hours", 0.1..=1000.0;
    /// Hours without any change from which a carbon dioxide meter counts as stuck.
    stuck_co2_hours = "stuck-co2-hours", 0.1..=1000.0;
    /// Humidity from which the meter is at the top of its range, %.
    saturated_from = "saturated-from", 50.0..=100.0;
    /// Humidity up to which a wet meter's reading counts as the top and not as impossible, %.
    over_range = "over-range", 100.0..=120.0;
    /// Hours at the top without a break from which the humidity meter counts as saturated.
    saturated_hours = "saturated-hours", 0.1..=1000.0;
    /// Share of the time outside a limit from which it is a finding.
    outside_share = "outside-share", 0.0..=1.0;
    /// The least turn of the humidity that counts as a swing, points.
    hunting_swing = "hunting-swing", 0.1..=50.0;
    /// The longest cycle that counts as the controller's, minutes.
    hunting_longest_minutes = "hunting-longest-minutes", 1.0..=1440.0;
    /// Cycles from which hunting is a finding.
    hunting_least_cycles = "hunting-least-cycles", 1.0..=1000.0;
    /// How many times as long as the shorter quarter of the cycles the longer quarter may be, at most.
    hunting_evenness = "hunting-evenness", 1.0..=100.0;
    /// The least mean size from which swings slower than the controller's are told, points.
    slow_swing = "slow-swing", 0.1..=50.0;
    /// Share of the swing that temperature explains from which it is called thermal.
    thermal_from = "thermal-from", 0.5..=1.0;
    /// Share of the swing that temperature explains up to which it is called the mister's.
    mister_up_to = "mister-up-to", 0.0..=0.5;
    /// Swings from which their reason is judged.
    swings_least = "swings-least", 1.0..=1000.0;
    /// The least rise and fall of carbon dioxide that make a peak, ppm.
    co2_peak_rise = "co2-peak-rise", 10.0..=10_000.0;
    /// Peaks from which their hours are a finding.
    peak_hours_least = "peak-hours-least", 3.0..=1000.0;
    /// Share of the peaks that must come within three hours of the clock.
    peak_hours_share = "peak-hours-share", 0.5..=1.0;
    /// The least excess over the air outside at which a decay may begin, ppm.
    decay_least_excess = "decay-least-excess", 10.0..=10_000.0;
    /// Share of the excess that must be gone for a decay.
    decay_depth = "decay-depth", 0.1..=0.95;
    /// Share of the excess at which a decay is no longer followed: the meter's errors are too large a part of the rest.
    decay_end = "decay-end", 0.01..=0.9;
    /// Share of the excess by which carbon dioxide may turn up again before the decay counts as over.
    decay_rebound = "decay-rebound", 0.001..=0.5;
    /// Readings from which a decay is fitted.
    decay_least_points = "decay-least-points", 3.0..=1000.0;
    /// Share of the scatter that the line must explain.
    decay_fit = "decay-fit", 0.0..=1.0;
    /// Hours after which a decay is no longer followed.
    decay_longest_hours = "decay-longest-hours", 0.1..=48.0;
    /// Distance of highest and lowest temperature of a day from which it is a finding, °C.
    temperature_swing = "temperature-swing", 0.1..=40.0;
    /// Hours that must be logged for a day to count as a full one.
    day_hours = "day-hours", 1.0..=24.0;
    /// Hour of the clock at which night begins, where no lamp says it.
    night_from = "night-from", 0.0..=24.0;
    /// Hour of the clock at which night ends, where no lamp says it.
    night_to = "night-to", 0.0..=24.0;
    /// Light from which the lamp counts as on, lux.
    lit_from = "lit-from", 0.1..=1000.0;
    /// Distance of a surface from the dew point that counts as near, °C.
    dew_margin = "dew-margin", 0.0..=10.0;
    /// Temperature without a unit from which degrees Celsius are not believed, °C.
    unit_asked_from = "unit-asked-from", 20.0..=100.0;
}
