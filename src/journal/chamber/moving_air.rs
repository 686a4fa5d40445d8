//! The fan and the duct of a profile.

use toml::de::DeTable;

use crate::engine::chamber::fan::FanCurve;
use crate::engine::chamber::profile::Statement;
use crate::engine::chamber::quantity::Quantity;
use crate::engine::quantity::{Measured, Unit};
use crate::journal::chamber::reader::Reader;
use crate::knowledge::fields::{At, Fields};

/// Where a duct hangs, and whether that is the way out.
const ENDS: [(&str, bool); 2] = [("inlet", false), ("outlet", true)];

impl Reader<'_, '_, '_> {
    /// Reads the fan.
    pub fn fan(&mut self, fields: &mut Fields<'_, '_>) {
        let Some((table, span)) = fields.table_opt("fan", self.notes) else {
            return;
        };
        let mut own = Fields::new(table, span, "`fan`").any_order();
        self.numbers("fan", &mut own);
        let none = own.value("none", self.notes);
        let none = self.yes_or_no("fan.none", none);
        let points = own.tables("curve", self.notes);
        own.finish(self.notes);
        if !points.is_empty() {
            self.curve(&points);
        }
        let there = self.present.contains(&Quantity::FanFlow);
        if let Some(none) = none.or(there.then_some(false)) {
            self.says(Statement::WithoutFan, none);
        }
        if let Some(runs) = self.chamber.number(Quantity::FanRuns) {
            self.says(Statement::FanNeverRests, runs.value >= 100.0);
        }
    }

    fn curve(&mut self, points: &[At<&DeTable<'_>>]) {
        self.present.push(Quantity::FanFlow);
        let mut read = Vec::new();
        for (table, span) in points {
            let mut own =
                Fields::new(table, span.clone(), "a point of the fan's curve").any_order();
            let flow = own.value("flow", self.notes);
            let pressure = own.value("pressure", self.notes);
            own.finish(self.notes);
            let (Some(flow), Some(pressure)) = (flow, pressure) else {
                self.lacks(
                    span.clone(),
                    "a point of the fan's curve needs `flow` and `pressure`",
                    "write `{ flow = \"60 m3/h\", pressure = \"12 Pa\" }`",
                );
                return;
            };
            let flow = self.read("fan.curve", flow, Unit::CubicMetrePerHour);
            let pressure = self.read("fan.curve", pressure, Unit::Pascal);
            let (Some((flow, _)), Some((pressure, _))) = (flow, pressure) else {
                return;
            };
            read.push((flow.value, pressure.value));
        }
        if let Some(curve) = FanCurve::through(read).filter(|curve| curve.free_flow_m3_h() > 0.0) {
            let flow = Measured {
                value: curve.free_flow_m3_h(),
                tolerance: None,
            };
            self.chamber.put(Quantity::FanFlow, flow);
            self.chamber.curve = Some(curve);
            return;
        }
        let at = points.first().map_or(0..0, |(_, span)| span.clone());
        let help = "give two or more points with different flows, the last near 0 Pa: how much a duct costs depends on \
                    it";
        self.bad(
            at,
            "these points make no curve of a fan".to_owned(),
            help.to_owned(),
        );
    }

    /// Reads the duct.
    pub fn duct(&mut self, fields: &mut Fields<'_, '_>) {
        let Some((table, span)) = fields.table_opt("duct", self.notes) else {
            return;
        };
        let mut own = Fields::new(table, span.clone(), "`duct`").any_order();
        self.numbers("duct", &mut own);
        let flexible = own.value("flexible", self.notes);
        let slack = own.value("slack", self.notes);
        let filter = own.value("filter", self.notes);
        let mist = own.value("carries-mist", self.notes);
        let end = own.text_opt("on", self.notes);
        own.finish(self.notes);
        self.chamber.flexible = self.yes_or_no("duct.flexible", flexible).unwrap_or(false);
        self.chamber.slack = self.yes_or_no("duct.slack", slack).unwrap_or(false);
        if let Some(fitted) = self.yes_or_no("duct.filter", filter) {
            self.says(Statement::FilterFitted, fitted);
        }
        if let Some(outlet) = end.and_then(|word| self.choice("duct.on", &word, &ENDS)) {
            self.says(Statement::OutletDuct, outlet);
        }
        let mist = self.yes_or_no("duct.carries-mist", mist);
        if let (Some(true), Some(length)) = (mist, self.chamber.number(Quantity::DuctLength)) {
            self.chamber.put(Quantity::HoseLength, length);
        }
        self.lacks_number(Quantity::DuctLength, span.clone());
        self.lacks_number(Quantity::DuctBore, span);
    }
}
