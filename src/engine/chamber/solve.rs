//! The balance of plain numbers: from what is given to all that follows.

mod crop;
mod mist;
mod walls;

use crate::engine::chamber::band::{Control, Round, Steady, percent_of_ratio};
use crate::engine::chamber::cooling::{Exchange, heat_taken_w};
use crate::engine::chamber::duct::Duct;
use crate::engine::chamber::fan::FanCurve;
use crate::engine::chamber::minerals;
use crate::engine::chamber::profile::{Chamber, Statement};
use crate::engine::chamber::quantity::{COUNT, Numbers, Quantity};
use crate::engine::chamber::wall::STILL_AIR_M2K_W;
use crate::engine::climate::{self, Air};
use crate::engine::light::{LampKind, photons_umol_m2_s};

/// Loss of the two ends of a duct in velocity pressures: a sharp way in and a free way out.
///
/// # Source
/// Textbook, 0.5 and 1.0; the fluids library (1.3.1) gives 0.57 for the first.
const ENDS: f64 = 1.5;

/// What a balance needs besides the numbers of the chamber.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Around {
    /// Carbon dioxide from the crop in milligrams an hour for each kilogram of block, where a book has to stand in for
    /// a measurement.
    pub crop_mg_kg_h: Option<f64>,
    /// The greatest carbon dioxide the crop likes, in ppm.
    pub co2_limit_ppm: Option<f64>,
    /// The least humidity it likes, in percent.
    pub least_humidity_percent: Option<f64>,
}

/// What came out.
#[derive(Debug, Clone, PartialEq)]
pub struct Solved {
    /// All numbers, given and worked out.
    pub numbers: Numbers,
    /// Whether fan and duct have more than one meeting.
    pub unsteady_fan: bool,
    /// Why the mister does not switch, where it does not.
    pub steady: Option<Steady>,
}

/// Works out all that follows from the numbers given.
pub fn solve(given: &Numbers, chamber: &Chamber, around: Around) -> Solved {
    let mut work = Work {
        numbers: *given,
        chamber,
        around,
        unsteady_fan: false,
        steady: None,
    };
    work.air();
    work.crop_heat();
    work.heat_and_water();
    work.light();
    work.carbon();
    work.at_the_air_needed();
    work.controller();
    work.walls();
    work.drops();
    work.weight();
    Solved {
        numbers: work.numbers,
        unsteady_fan: work.unsteady_fan,
        steady: work.steady,
    }
}

struct Work<'a> {
    numbers: [Option<f64>; COUNT],
    chamber: &'a Chamber,
    around: Around,
    unsteady_fan: bool,
    steady: Option<Steady>,
}

impl Work<'_> {
    fn get(&self, quantity: Quantity) -> Option<f64> {
        self.numbers[quantity.place()]
    }

    fn set(&mut self, quantity: Quantity, value: Option<f64>) {
        self.numbers[quantity.place()] = value.filter(|value| value.is_finite());
    }

    fn pressure_pa(&self) -> f64 {
        climate::pressure_at_height_pa(self.get(Quantity::Altitude).unwrap_or(0.0))
    }

    fn room(&self) -> Option<Air> {
        let (t, rh) = (
            self.get(Quantity::RoomTemperature)?,
            self.get(Quantity::RoomHumidity)?,
        );
        Some(Air::new(t, rh).at_pressure(self.pressure_pa()))
    }

    /// The humidity that is to be held.
    fn held_percent(&self) -> Option<f64> {
        self.get(Quantity::SetPoint)
            .or(self.get(Quantity::Humidity))
    }

    fn volume_m3(&self) -> Option<f64> {
        self.get(Quantity::Volume).map(|litres| litres / 1000.0)
    }

    /// Height of the chamber; of a cube where only the volume is known.
    fn height_m(&self) -> Option<f64> {
        match self.chamber.size_m {
            Some([_, _, height]) => Some(height),
            None => self.volume_m3().map(libm::cbrt),
        }
    }

    fn light(&mut self) {
        let colour = self.get(Quantity::Colour);
        // Nearly all lamps of growers are of this kind.
        let kind = self.chamber.lamp.unwrap_or(LampKind::WhiteLed);
        let photons = self.get(Quantity::Light);
        self.set(
            Quantity::Photons,
            photons.map(|lux| photons_umol_m2_s(lux, kind, colour)),
        );
        let blue = kind.blue_share(colour);
        self.set(Quantity::Blue, blue.map(|share| 100.0 * share));
    }

    fn air(&mut self) {
        let speed = self.get(Quantity::FanSpeed).unwrap_or(100.0) / 100.0;
        let runs = self.get(Quantity::FanRuns).unwrap_or(100.0) / 100.0;
        let flow = self.get(Quantity::FanFlow);
        let free = flow.map(|flow| flow * speed);
        let through = match (self.duct(), self.curve()) {
            (None, _) => free,
            (Some(_), None) => None,
            (Some(duct), Some(curve)) => {
                let density = self
                    .room()
                    .map_or(crate::engine::chamber::duct::USUAL_DENSITY_KG_M3, |air| {
                        (1.0 + air.humidity_ratio()) / air.specific_volume_m3_kg()
                    });
                let meeting = curve
                    .at_speed(speed)
                    .meets(&|flow| duct.loss_pa(flow, density));
                self.unsteady_fan = meeting.unsteady;
                Some(meeting.flow_m3_h)
            }
        };
        if let (Some(free), Some(through), Some(_)) = (free, through, self.duct()) {
            self.set(Quantity::FreeFlow, Some(free * runs));
            self.set(Quantity::DuctLoss, Some(100.0 * (1.0 - through / free)));
        }
        let running = self.get(Quantity::MeasuredAirflow).or(through);
        self.set(Quantity::Airflow, running.map(|flow| flow * runs));
        let changes = self.get(Quantity::Airflow).zip(self.volume_m3());
        self.set(
            Quantity::AirChanges,
            changes.map(|(flow, volume)| flow / volume),
        );
        let hundreds = self.get(Quantity::Volume).map(|litres| litres / 100.0);
        let crowd = self.get(Quantity::Blocks).zip(hundreds);
        self.set(
            Quantity::BlocksPer100,
            crowd.map(|(blocks, hundreds)| blocks / hundreds),
        );
        let area = match self.chamber.size_m {
            Some([a, b, c]) => Some(2.0 * (a * b + a * c + b * c)),
            // Of all boxes of a volume the cube has the least wall.
            None => self
                .volume_m3()
                .map(|volume| 6.0 * libm::pow(volume, 2.0 / 3.0)),
        };
        self.set(Quantity::WallArea, area);
    }

    fn duct(&self) -> Option<Duct> {
        let (length_m, bore_m) = (
            self.get(Quantity::DuctLength)?,
            self.get(Quantity::DuctBore)?,
        );
        let bends = self.get(Quantity::DuctBends).unwrap_or(0.0);
        let filter = match self.chamber.says(Statement::FilterFitted) {
            Some(true) => self.get(Quantity::FilterLoss).unwrap_or(0.0),
            _ => 0.0,
        };
        Some(Duct {
            length_m,
            bore_m,
            roughness_m: self.get(Quantity::Roughness).unwrap_or(0.0),
            slack: self.get(Quantity::Slack).unwrap_or(1.0),
            minor: ENDS + bends * self.get(Quantity::BendLoss).unwrap_or(0.0) + filter,
        })
    }

    /// The curve as given, stretched to the rated flow; or the straight line.
    fn curve(&self) -> Option<FanCurve> {
        let flow = self.get(Quantity::FanFlow)?;
        match &self.chamber.curve {
            Some(curve) => Some(curve.stretched_to(flow)),
            None => FanCurve::straight(flow, self.get(Quantity::FanPressure)?),
        }
    }

    /// The temperature of the chamber at an airflow: measured, or by the balance of heat.
    fn temperature_c(&self, airflow_m3_h: f64) -> Option<f64> {
        self.get(Quantity::Temperature)
            .or_else(|| self.settles_c(airflow_m3_h))
            .or(self.get(Quantity::RoomTemperature))
    }

    fn settles_c(&self, airflow_m3_h: f64) -> Option<f64> {
        let wall = self.wall(STILL_AIR_M2K_W);
        let exchange = Exchange {
            airflow_m3_h,
            room_c: self.get(Quantity::RoomTemperature)?,
            room_percent: self.get(Quantity::RoomHumidity)?,
            hold_percent: self.held_percent()?,
            walls_w_k: wall.conductance_w_m2k() * self.get(Quantity::WallArea)?,
            devices_w: self.get(Quantity::Devices).unwrap_or(0.0)
                + self.get(Quantity::CropHeat).unwrap_or(0.0),
            pressure_pa: self.pressure_pa(),
        };
        Some(exchange.settles_c())
    }

    /// Grams of mist an hour that hold the humidity at an airflow; 0 where the room brings enough.
    fn mist_g_h(&self, airflow_m3_h: f64) -> Option<f64> {
        let held = Air::new(self.temperature_c(airflow_m3_h)?, self.held_percent()?)
            .at_pressure(self.pressure_pa());
        Some(climate::mist_rate_g_h(airflow_m3_h, held, self.room()?).max(0.0))
    }

    fn heat_and_water(&mut self) {
        let Some(flow) = self.get(Quantity::Airflow) else {
            return;
        };
        if self.get(Quantity::Temperature).is_none() {
            let settles = self.settles_c(flow);
            self.set(Quantity::SettlesAt, settles);
        }
        let mist = self.mist_g_h(flow);
        self.set(Quantity::Mist, mist);
        let output = self.get(Quantity::MisterOutput);
        let used = mist.map(|mist| output.map_or(mist, |most| mist.min(most)));
        self.set(Quantity::WaterDay, used.map(|used| used * 24.0 / 1000.0));
        // Lime is the least that is dissolved. What is not ultrasonic may evaporate, and leaves its minerals behind.
        let other = self.chamber.says(Statement::Ultrasonic) == Some(false);
        let solids = self
            .get(Quantity::WaterSolids)
            .or(self.get(Quantity::WaterHardness))
            .filter(|_| !other);
        let dust = solids
            .zip(used)
            .map(|(solids, used)| minerals::dust_mg_h(solids, used));
        self.set(Quantity::Dust, dust.map(|dust| dust * 24.0 / 1000.0));
        let hangs = dust.filter(|_| flow > 0.0);
        self.set(
            Quantity::DustInAir,
            hangs.map(|dust| minerals::most_dust_ug_m3(dust, flow)),
        );
        let cooling = used.zip(self.temperature_c(flow));
        self.set(
            Quantity::Cooling,
            cooling.map(|(used, t)| heat_taken_w(used, t)),
        );
        let (duty, tank, reach) = self.mister_at(flow, mist);
        self.set(Quantity::Duty, duty);
        self.set(Quantity::TankHours, tank);
        self.set(Quantity::Reach, reach);
        let held = self.temperature_c(flow).zip(self.held_percent());
        let drying = held.map(|(t, rh)| Air::new(t, rh).vapour_deficit_pa());
        self.set(Quantity::Drying, drying);
    }

    /// Duty in percent, hours of a tank, and the humidity the mister can hold, at an airflow and its load.
    fn mister_at(&self, flow: f64, mist: Option<f64>) -> (Option<f64>, Option<f64>, Option<f64>) {
        let output = self.get(Quantity::MisterOutput);
        let duty = mist.zip(output).map(|(mist, most)| 100.0 * mist / most);
        let tank = self
            .get(Quantity::Tank)
            .zip(mist)
            .and_then(|(litres, mist)| {
                let used = output.map_or(mist, |most| mist.min(most));
                (used > 0.0).then(|| 1000.0 * litres / used)
            });
        let reach = || {
            let room = self.room()?;
            let dry_air_kg_h = flow / room.specific_volume_m3_kg();
            let ratio = room.humidity_ratio() + output? / (1000.0 * dry_air_kg_h);
            let percent = percent_of_ratio(ratio, self.temperature_c(flow)?, self.pressure_pa());
            Some(percent.min(100.0))
        };
        (duty, tank, reach())
    }

    fn at_the_air_needed(&mut self) {
        let Some(flow) = self.get(Quantity::NeededAirflow).filter(|&flow| flow > 0.0) else {
            return;
        };
        let mist = self.mist_g_h(flow);
        let (duty, tank, reach) = self.mister_at(flow, mist);
        self.set(Quantity::MistNeeded, mist);
        self.set(Quantity::DutyNeeded, duty);
        self.set(Quantity::TankHoursNeeded, tank);
        self.set(Quantity::ReachNeeded, reach);
    }

    fn controller(&mut self) {
        let starts = self
            .get(Quantity::SetPoint)
            .zip(self.get(Quantity::Band))
            .map(|(set, band)| set - band);
        self.set(Quantity::StartsAt, starts);
        let air = || {
            let flow = self.get(Quantity::Airflow)?;
            Some(Control {
                volume_m3: self.volume_m3()?,
                changes_per_hour: self.get(Quantity::AirChanges)?,
                temperature_c: self.temperature_c(flow)?,
                room_ratio: self.room()?.humidity_ratio(),
                starts_percent: 0.0,
                stops_percent: self.held_percent()?,
                output_g_h: 0.0,
                lag_s: 0.0,
                pressure_pa: self.pressure_pa(),
            })
        };
        let air = air();
        let dry = air
            .zip(self.around.least_humidity_percent)
            .and_then(|(air, least)| air.drying_h(air.stops_percent, least));
        let control = air.and_then(|air| {
            Some(Control {
                starts_percent: starts?,
                stops_percent: self.get(Quantity::SetPoint)?,
                output_g_h: self.get(Quantity::MisterOutput)?,
                lag_s: self.get(Quantity::Lag)?,
                ..air
            })
        });
        self.set(Quantity::DryHours, dry);
        match control.map(Control::round) {
            Some(Ok(round)) => self.round(round),
            Some(Err(steady)) => self.steady = Some(steady),
            None => {}
        }
    }

    fn round(&mut self, round: Round) {
        self.set(Quantity::OnTime, Some(round.on_s));
        self.set(Quantity::OffTime, Some(round.off_s));
        self.set(Quantity::Period, Some(round.period_s()));
        self.set(Quantity::Peak, Some(round.peak_percent));
        self.set(Quantity::Trough, Some(round.trough_percent));
    }
}
