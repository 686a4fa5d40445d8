//! Every number of a chamber, written down or worked out: one table that files, reports and knowledge share.

use serde::{Deserialize, Serialize};

use crate::engine::quantity::Unit;

macro_rules! quantities {
    ($($(#[$doc:meta])* $variant:ident = $word:literal, $key:literal, $unit:ident, $name:literal;)*) => {
        /// A number of a chamber. The doc comment of each says what it counts; its unit is the one of the table.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
        pub enum Quantity {
            $($(#[$doc])* $variant,)*
        }

        impl Quantity {
            /// Every quantity, in the order of reports.
            pub const ALL: &[Self] = &[$(Self::$variant,)*];

            /// The word for it in knowledge files and on the command line.
            pub fn word(self) -> &'static str {
                match self { $(Self::$variant => $word,)* }
            }

            /// Its key in JSON, which ends in the unit.
            pub fn key(self) -> &'static str {
                match self { $(Self::$variant => $key,)* }
            }

            /// The unit of its values.
            pub fn unit(self) -> Unit {
                match self { $(Self::$variant => Unit::$unit,)* }
            }

            /// What people call it.
            pub fn name(self) -> &'static str {
                match self { $(Self::$variant => $name,)* }
            }
        }
    };
}

quantities! {
    /// Inside volume.
    Volume = "volume", "volume_l", Litre, "inside volume";
    /// Area of all walls, floor and lid, in square metres.
    WallArea = "wall-area", "wall_area_m2", Count, "area of the walls";
    /// Height above the sea.
    Altitude = "altitude", "altitude_m", Metre, "height above the sea";
    /// How many blocks stand in it.
    Blocks = "blocks", "blocks", Count, "blocks";
    /// What one block weighs.
    BlockMass = "block-mass", "block_mass_kg", Kilogram, "weight of a block";
    /// Electric power that turns into heat inside.
    Devices = "heat-inside", "heat_inside_w", Watt, "heat of devices inside";
    /// Temperature of the room.
    RoomTemperature = "room-temperature", "room_temperature_c", Celsius, "temperature in the room";
    /// Humidity of the room.
    RoomHumidity = "room-humidity", "room_humidity_percent", Percent, "humidity in the room";
    /// Carbon dioxide of the room.
    RoomCo2 = "room-co2", "room_co2_ppm", Ppm, "carbon dioxide in the room";
    /// Temperature measured in the chamber.
    Temperature = "temperature", "temperature_c", Celsius, "temperature in the chamber";
    /// Humidity measured in the chamber.
    Humidity = "humidity", "humidity_percent", Percent, "humidity in the chamber, measured";
    /// Carbon dioxide measured in the chamber.
    Co2 = "co2", "co2_ppm", Ppm, "carbon dioxide in the chamber, measured";
    /// How far carbon dioxide rises in an hour without any fresh air.
    Co2Rise = "co2-rise", "co2_rise_ppm_h", Ppm, "rise of carbon dioxide in an hour, closed";
    /// Fresh air as measured.
    MeasuredAirflow = "measured-airflow", "measured_airflow_m3_h", CubicMetrePerHour, "fresh air, measured";
    /// Temperature measured on the coldest wall.
    MeasuredWall = "measured-wall", "measured_wall_c", Celsius, "temperature of the coldest wall, measured";
    /// The fan's flow in free air at full speed.
    FanFlow = "fan-flow", "fan_flow_m3_h", CubicMetrePerHour, "rated flow of the fan";
    /// The pressure at which the fan at full speed moves nothing any more.
    FanPressure = "fan-pressure", "fan_pressure_pa", Pascal, "greatest pressure of the fan";
    /// The fan's speed as a share of full speed.
    FanSpeed = "fan", "fan_speed_percent", Percent, "speed of the fan";
    /// The share of time the fan runs.
    FanRuns = "fan-runs", "fan_runs_percent", Percent, "share of time the fan runs";
    /// Length of the air duct.
    DuctLength = "duct-length", "duct_length_m", Metre, "length of the duct";
    /// Inner diameter of the air duct.
    DuctBore = "duct-bore", "duct_bore_m", Metre, "bore of the duct";
    /// How many right-angled bends the duct has.
    DuctBends = "duct-bends", "duct_bends", Count, "bends of the duct";
    /// Unevenness of the duct's wall.
    Roughness = "roughness", "roughness_m", Metre, "roughness of the duct";
    /// By how much slack multiplies the duct's friction.
    Slack = "slack", "slack_times", Times, "friction added by slack";
    /// Radius of the middle of a bend.
    BendRadius = "bend-radius", "bend_radius_m", Metre, "radius of a bend";
    /// Loss of one bend in velocity pressures.
    BendLoss = "bend-loss", "bend_loss", Count, "loss of a bend";
    /// Loss of a filter in velocity pressures.
    FilterLoss = "filter-loss", "filter_loss", Count, "loss of the filter";
    /// Flow that the fan would move without duct and filter.
    FreeFlow = "free-flow", "free_flow_m3_h", CubicMetrePerHour, "air the fan would move without the duct";
    /// Share of the free flow that the duct costs.
    DuctLoss = "duct-loss", "duct_loss_percent", Percent, "share of the air that the duct costs";
    /// Fresh air on the mean of time.
    Airflow = "airflow", "airflow_m3_h", CubicMetrePerHour, "fresh air";
    /// Air changes an hour.
    AirChanges = "air-changes", "air_changes_per_hour", PerHour, "air changes";
    /// Share by which the air of the chamber is heavier than that of the room; below nought it is lighter.
    Heavier = "heavier", "heavier_percent", Percent, "air heavier than the room's by";
    /// Carbon dioxide that the crop gives off.
    CropCo2 = "crop-co2", "crop_co2_g_h", GramPerHour, "carbon dioxide from the crop";
    /// Carbon dioxide at which the chamber settles.
    SteadyCo2 = "steady-co2", "steady_co2_ppm", Ppm, "carbon dioxide it settles at";
    /// Hours until 95 % of a change in carbon dioxide is done.
    SettleHours = "settle-hours", "settle_hours", Hour, "time to settle there";
    /// Hours in which layers of it fade by themselves where nothing stirs the air.
    StillHours = "still-hours", "still_hours", Hour, "where nothing stirs the air, layers of it last";
    /// Hours until carbon dioxide is at the limit of the crop when the fresh air stops.
    StaleHours = "stale-hours", "stale_hours", Hour, "without fresh air the limit is reached in";
    /// Least airflow that keeps carbon dioxide at the limit of the crop.
    NeededAirflow = "needed-airflow", "needed_airflow_m3_h", CubicMetrePerHour, "fresh air the crop needs";
    /// That airflow as a multiple of the present one.
    AirflowFactor = "airflow-factor", "airflow_factor", Times, "in multiples of the present air";
    /// That airflow in air changes.
    NeededChanges = "needed-air-changes", "needed_air_changes_per_hour", PerHour, "air changes that needs";
    /// The humidity that starts and stops the mister at its upper end.
    SetPoint = "set-point", "set_point_percent", Percent, "humidity set point";
    /// How far below the set point the mister starts.
    Band = "band", "band_percent", Percent, "band below the set point";
    /// Seconds until mist shows on the sensor.
    Lag = "lag", "lag_s", Second, "time until mist shows on the sensor";
    /// What the mister gives while it runs.
    MisterOutput = "mister-output", "mister_output_g_h", GramPerHour, "output of the mister";
    /// How fast the disc of an ultrasonic mister swings, in megahertz.
    Frequency = "frequency", "frequency_mhz", Count, "frequency of the mister's disc, MHz";
    /// Width of the mister's drops in micrometres, half of them smaller by number.
    Drops = "drops", "drops_um", Count, "width of the mister's drops, µm";
    /// Seconds until such a drop is gone in the held air.
    DropLife = "drop-life", "drop_life_s", Second, "such a drop is gone after";
    /// How far it would fall meanwhile, in millimetres.
    DropFall = "drop-fall", "drop_fall_mm", Count, "it falls meanwhile, mm";
    /// Width in micrometres from which drops land before they are gone, when they fall half the height of the chamber.
    LandsFrom = "lands-from", "lands_from_um", Count, "drops land from a width of, µm";
    /// Water that the held air takes up before it is full.
    AirRoom = "air-room", "air_room_g", Gram, "water the held air still takes up";
    /// Seconds in which the mister, running without a break, gives that much.
    FullIn = "full-in", "full_in_s", Second, "the mister gives that much in";
    /// What the tank holds.
    Tank = "tank", "tank_l", Litre, "tank";
    /// Length of the mist hose.
    HoseLength = "hose-length", "hose_length_m", Metre, "length of the mist hose";
    /// Water that holds the humidity at the present airflow.
    Mist = "mist", "mist_g_h", GramPerHour, "mist needed now";
    /// The same water in a day.
    WaterDay = "water-day", "water_l_day", Litre, "water in a day";
    /// What is dissolved in the water, in milligrams a litre, which is a millionth of its weight.
    WaterSolids = "water-solids", "water_solids_ppm", Ppm, "dissolved in the water";
    /// Lime in the water, as calcium carbonate in milligrams a litre.
    WaterHardness = "water-hardness", "water_hardness_ppm", Ppm, "lime in the water";
    /// Dust that this leaves in a day.
    Dust = "dust", "dust_g_day", Gram, "mineral dust in a day";
    /// The most of it that can hang in the air, in micrograms a cubic metre.
    DustInAir = "dust-in-air", "dust_in_air_ug_m3", Count, "dust in the air at most, µg/m³";
    /// Water that holds the humidity at the airflow the limit needs.
    MistNeeded = "mist-needed", "mist_needed_g_h", GramPerHour, "mist needed with that air";
    /// Share of time the mister runs at the present airflow.
    Duty = "duty", "duty_percent", Percent, "share of time the mister runs";
    /// Share of time the mister would run at the airflow the limit needs.
    DutyNeeded = "duty-needed", "duty_needed_percent", Percent, "share of time with that air";
    /// Hours that a full tank lasts at the present airflow.
    TankHours = "tank-hours", "tank_hours", Hour, "a full tank lasts";
    /// Hours that it lasts at the airflow the limit needs.
    TankHoursNeeded = "tank-hours-needed", "tank_hours_needed", Hour, "a full tank lasts with that air";
    /// The highest humidity that the mister can hold at the present airflow.
    Reach = "reach", "reach_percent", Percent, "highest humidity the mister can hold";
    /// The same at the airflow the limit needs.
    ReachNeeded = "reach-needed", "reach_needed_percent", Percent, "highest humidity it can hold with that air";
    /// Hours until the air, left without mist, is at the least humidity the crop likes.
    DryHours = "dry-hours", "dry_hours", Hour, "without mist the least humidity is reached in";
    /// Water that settles on the walls where they are below the dew point, all of them taken as cold as the coldest.
    WallWater = "wall-water", "wall_water_g_h", GramPerHour, "water that may settle on the walls";
    /// Humidity at which the mister starts.
    StartsAt = "starts-at", "starts_at_percent", Percent, "the mister starts at";
    /// Seconds the mister runs in a round.
    OnTime = "on-time", "on_s", Second, "it runs for";
    /// Seconds the mister rests in a round.
    OffTime = "off-time", "off_s", Second, "it rests for";
    /// Seconds of a whole round.
    Period = "period", "period_s", Second, "a round takes";
    /// The highest humidity of a round; above 100 the excess is fog.
    Peak = "peak", "peak_percent", Percent, "highest humidity of a round";
    /// The lowest humidity of a round.
    Trough = "trough", "trough_percent", Percent, "lowest humidity of a round";
    /// How strongly the air dries at the set point.
    Drying = "drying", "drying_pa", Pascal, "how strongly the held air dries";
    /// Heat that the mist takes.
    Cooling = "cooling", "cooling_w", Watt, "heat that the mist takes";
    /// Heat that the crop gives off as it breathes.
    CropHeat = "crop-heat", "crop_heat_w", Watt, "heat that the crop gives off";
    /// Temperature at which the chamber settles by its balance of heat.
    SettlesAt = "settles-at", "settles_at_c", Celsius, "temperature it settles at";
    /// Dew point of the air that the mister holds.
    DewPoint = "dew-point", "dew_point_c", Celsius, "dew point of the held air";
    /// What lies behind the coldest wall.
    Behind = "behind", "behind_c", Celsius, "temperature behind the coldest wall";
    /// Thickness of the wall itself.
    WallThickness = "wall-thickness", "wall_thickness_m", Metre, "thickness of the wall";
    /// Thickness of foam on it.
    Insulation = "insulation", "insulation_m", Metre, "insulation on the wall";
    /// Resistance of the layers of the wall that were listed one by one, in square metre kelvin a watt.
    WallLayers = "wall-layers", "wall_layers_m2k_w", Count, "resistance of the wall's layers";
    /// How many times as much heat moves from air to wall as would in still air.
    Stirring = "stirring", "stirring_times", Times, "convection at the wall, times that of still air";
    /// Heat that moves from air to wall by convection, in watts a square metre and kelvin.
    Convection = "convection", "convection_w_m2k", Count, "convection at the wall";
    /// Resistance of the air inside the wall, in square metre kelvin a watt.
    InnerResistance = "inner-resistance", "inner_resistance_m2k_w", Count, "resistance of the air at the wall";
    /// Temperature of the coldest wall inside, measured or worked out.
    Wall = "wall-temperature", "wall_temperature_c", Celsius, "coldest wall inside";
    /// Kelvin by which that wall is above the dew point.
    Margin = "margin", "margin_k", Celsius, "wall above the dew point by";
    /// Humidity up to which that wall stays dry.
    DryUpTo = "dry-up-to", "dry_up_to_percent", Percent, "the wall stays dry up to";
    /// Blocks for every hundred litres.
    BlocksPer100 = "blocks-per-100", "blocks_per_100_l", Count, "blocks for every 100 litres";
    /// Hours of light a day.
    LampHours = "lamp-hours", "lamp_hours", Hour, "hours of light a day";
    /// Light at the block.
    Light = "light", "light_lux", Lux, "light at the block";
    /// Colour of the lamp in kelvin.
    Colour = "colour", "colour_k", Count, "colour of the light, K";
    /// The light in photons, in micromoles a square metre and second.
    Photons = "photons", "photons_umol_m2_s", Count, "that light in photons, µmol/m² s";
    /// Share of its photons that are blue, 400 to 500 nm.
    Blue = "blue", "blue_percent", Percent, "blue among its photons";
}

/// How many quantities there are.
pub const COUNT: usize = Quantity::ALL.len();

/// One number for each quantity, as far as known.
pub type Numbers = [Option<f64>; COUNT];

impl Quantity {
    /// The quantity of this word.
    pub fn parse(word: &str) -> Option<Self> {
        Self::ALL.iter().copied().find(|one| one.word() == word)
    }

    /// Its place in [`Numbers`].
    pub fn place(self) -> usize {
        self as usize
    }

    /// Whether values are differences, which have no zero of their own.
    pub fn is_difference(self) -> bool {
        matches!(self, Self::Margin | Self::Heavier)
    }

    /// The quantity whose limits hold for this one too.
    pub fn judged_as(self) -> Self {
        match self {
            Self::SteadyCo2 => Self::Co2,
            Self::SetPoint | Self::StartsAt | Self::Reach | Self::ReachNeeded | Self::Trough => {
                Self::Humidity
            }
            Self::SettlesAt => Self::Temperature,
            other => other,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::Quantity;
    use std::collections::HashSet;

    #[test]
    fn words_and_keys_are_unique_and_places_are_in_order() {
        let words: HashSet<&str> = Quantity::ALL.iter().map(|one| one.word()).collect();
        let keys: HashSet<&str> = Quantity::ALL.iter().map(|one| one.key()).collect();
        assert_eq!(
            (words.len(), keys.len()),
            (Quantity::ALL.len(), Quantity::ALL.len())
        );
        for (place, one) in Quantity::ALL.iter().enumerate() {
            assert_eq!(one.place(), place);
            assert_eq!(Quantity::parse(one.word()), Some(*one));
        }
        assert_eq!(Quantity::parse("caps"), None);
    }
}
