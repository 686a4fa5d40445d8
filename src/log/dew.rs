//! How near a surface comes to the dew point.

use crate::engine::climate::{dew_point_of_c, saturation_pressure_pa};
use crate::log::zone::Moment;

/// Half milliseconds in an hour.
const HOUR: f64 = 7_200_000.0;

/// Follows the water in the air beside a surface.
#[derive(Debug, Clone)]
pub struct Dew {
    surface_c: f64,
    /// Vapour pressure from which the dew point is near the surface's temperature, and from which it is above.
    near_pa: f64,
    wet_pa: f64,
    gap_ms: i64,
    held: Option<(Moment, f64, u64)>,
    near: u64,
    near_sum: f64,
    wet: u64,
    all: u64,
    most: Option<(f64, Moment)>,
    /// From the first to the last time it was near.
    pub span: Option<(Moment, Moment)>,
}

impl Dew {
    /// For a surface of this temperature; near is within `margin` degrees of the dew point.
    pub fn new(surface_c: f64, margin: f64, gap_ms: i64) -> Self {
        Self {
            surface_c,
            near_pa: saturation_pressure_pa(surface_c - margin),
            wet_pa: saturation_pressure_pa(surface_c),
            gap_ms,
            held: None,
            near: 0,
            near_sum: 0.0,
            wet: 0,
            all: 0,
            most: None,
            span: None,
        }
    }

    /// The surface's temperature, °C.
    pub fn surface_c(&self) -> f64 {
        self.surface_c
    }

    /// Takes the next row.
    pub fn add(&mut self, moment: Moment, temperature_c: f64, humidity: f64) {
        // The dew point rises with the vapour pressure, so that can be compared in its place.
        let pressure = humidity / 100.0 * saturation_pressure_pa(temperature_c);
        let mut carried = 0;
        if let Some((before, held, half)) = self.held {
            let step = moment.at_ms - before.at_ms;
            if step <= self.gap_ms {
                carried = step as u64;
            }
            self.settle(held, half + carried);
        }
        self.held = Some((moment, pressure, carried));
        if self.most.is_none_or(|(most, _)| pressure > most) {
            self.most = Some((pressure, moment));
        }
        if pressure >= self.near_pa {
            let (first, _) = self.span.unwrap_or((moment, moment));
            self.span = Some((first, moment));
        }
    }

    fn settle(&mut self, pressure: f64, weight: u64) {
        self.all += weight;
        if pressure >= self.near_pa {
            self.near += weight;
            self.near_sum += pressure * weight as f64;
        }
        self.wet += weight * u64::from(pressure >= self.wet_pa);
    }

    /// The last row was the last.
    pub fn end(&mut self) {
        if let Some((_, pressure, carried)) = self.held.take() {
            self.settle(pressure, carried);
        }
    }

    /// Hours near the dew point, those at or below it among them; hours at or below it; hours in all.
    pub fn hours(&self) -> (f64, f64, f64) {
        (
            self.near as f64 / HOUR,
            self.wet as f64 / HOUR,
            self.all as f64 / HOUR,
        )
    }

    /// The distance of the surface from the dew point, °C, at the mean vapour pressure of the time it is near or below:
    /// within a few degrees the dew point goes nearly straight with the pressure.
    pub fn near_margin(&self) -> Option<f64> {
        if self.near == 0 {
            return None;
        }
        let pressure = self.near_sum / self.near as f64;
        Some(self.surface_c - dew_point_of_c(pressure)?)
    }

    /// The least distance of the surface from the dew point, °C, and when it was.
    pub fn least_margin(&self) -> Option<(f64, Moment)> {
        let (pressure, moment) = self.most?;
        Some((self.surface_c - dew_point_of_c(pressure)?, moment))
    }
}
