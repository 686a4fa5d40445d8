//! The crop of a chamber in its balance: carbon dioxide, the heat that comes with it, and the air it needs.

use crate::engine::chamber::carbon;
use crate::engine::chamber::quantity::Quantity;
use crate::engine::chamber::solve::Work;
use crate::engine::climate;

/// A share of a change that counts as all of it.
const SETTLED: f64 = 0.95;

impl Work<'_> {
    /// What the crop gives off in cubic metres of carbon dioxide an hour, as measured: by the closed test or by the
    /// meter.
    fn measured_crop_m3_h(&self) -> Option<f64> {
        let by_rise = self
            .volume_m3()
            .zip(self.get(Quantity::Co2Rise))
            .map(|(volume, rise)| carbon::source_from_rise_m3_h(volume, rise));
        let by_meter = || {
            let excess = self.get(Quantity::Co2)? - self.get(Quantity::RoomCo2)?;
            Some((self.get(Quantity::Airflow)? * excess / 1e6).max(0.0))
        };
        by_rise.or_else(by_meter)
    }

    /// The heat that comes with it, where it was measured: what follows from a book is told to no one, and the
    /// chamber's temperature is. That is not known yet, so the gas is weighed at the room's, off by a third of a
    /// percent a kelvin.
    pub(super) fn crop_heat(&mut self) {
        let t = self.get(Quantity::Temperature);
        let t = t.or(self.get(Quantity::RoomTemperature)).unwrap_or(20.0);
        let source = self.measured_crop_m3_h();
        let heat = source.map(|source| {
            carbon::heat_w(1e6 * source * carbon::mg_m3_of_one_ppm(t, climate::SEA_LEVEL_PA))
        });
        self.set(Quantity::CropHeat, heat);
    }

    /// What its carbon dioxide comes to, and the air it needs.
    pub(super) fn carbon(&mut self) {
        let flow = self.get(Quantity::Airflow);
        let outside = self.get(Quantity::RoomCo2);
        let t = flow
            .and_then(|flow| self.temperature_c(flow))
            .unwrap_or(20.0);
        let by_book = || {
            let kilograms = self.get(Quantity::Blocks)? * self.get(Quantity::BlockMass)?;
            let mass = self.around.crop_mg_kg_h? * kilograms;
            Some(carbon::volume_m3_h(mass, t))
        };
        let source = self.measured_crop_m3_h().or_else(by_book);
        let grams = source.map(|source| {
            source * 1e6 * carbon::mg_m3_of_one_ppm(t, climate::SEA_LEVEL_PA) / 1000.0
        });
        let steady = || climate::steady_co2_ppm(outside?, source?, flow?);
        let limit = self.around.co2_limit_ppm;
        let needed = || climate::airflow_for_limit_m3_h(outside?, source?, limit?);
        let factor_by_meter =
            || climate::airflow_factor(self.get(Quantity::Co2)?, outside?, limit?);
        let (steady, needed) = (steady(), needed());
        let factor = needed
            .zip(flow)
            .map(|(needed, flow)| needed / flow)
            .or_else(factor_by_meter);
        let settle = self
            .get(Quantity::AirChanges)
            .filter(|&changes| changes > 0.0)
            .map(|changes| carbon::hours_to_share(SETTLED, changes));
        self.set(Quantity::CropCo2, grams);
        self.set(Quantity::SteadyCo2, steady);
        self.set(Quantity::SettleHours, settle);
        let rise = source.zip(self.volume_m3());
        let rise = rise.map(|(source, volume)| 1e6 * source / volume);
        let room_left = limit.zip(steady).map(|(limit, steady)| limit - steady);
        let stale = room_left.zip(rise).map(|(left, rise)| left / rise);
        self.set(Quantity::StaleHours, stale.filter(|&hours| hours > 0.0));
        self.set(Quantity::NeededAirflow, needed);
        self.set(Quantity::AirflowFactor, factor);
        let changes = needed.zip(self.volume_m3());
        self.set(
            Quantity::NeededChanges,
            changes.map(|(flow, volume)| flow / volume),
        );
    }
}
