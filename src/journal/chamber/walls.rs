//! The walls of a profile: one material, or layer upon layer.

use toml::de::DeTable;

use crate::engine::chamber::profile::Material;
use crate::engine::chamber::quantity::Quantity;
use crate::engine::chamber::wall::{MATERIALS, layer_m2k_w};
use crate::engine::quantity::{Measured, Unit};
use crate::journal::chamber::reader::Reader;
use crate::knowledge::fields::{At, Fields};
use crate::knowledge::problem::ProblemCode;

/// How far the thickness of a layer may be off where nobody says so, as a share.
///
/// judgement: sheets are sold in whole millimetres and foam gets pressed.
const USUAL_SPREAD: f64 = 0.1;

/// The thickness of one layer in metres, from a film to a cavity wall.
///
/// judgement: beyond that a figure has the wrong unit.
pub const THICKNESSES_M: (f64, f64) = (0.000_001, 1.0);

/// Why layers matter.
const WHY: &str = "how warm a wall is inside depends on what it is made of";

impl Reader<'_, '_, '_> {
    /// Reads the walls.
    pub fn wall(&mut self, fields: &mut Fields<'_, '_>) {
        let Some((table, span)) = fields.table_opt("wall", self.notes) else {
            return;
        };
        let mut own = Fields::new(table, span.clone(), "`wall`").any_order();
        self.numbers("wall", &mut own);
        let material = own.text_opt("material", self.notes);
        let corner = own.value("still-corner", self.notes);
        let layers = own.tables("layers", self.notes);
        own.finish(self.notes);
        self.chamber.still_corner = self.yes_or_no("wall.still-corner", corner).unwrap_or(false);
        if let (Some((_, at)), false) = (&material, layers.is_empty()) {
            self.notes.add(
                ProblemCode::RepeatedEntry,
                at.clone(),
                "`material` and `layers` both say what the wall is made of".to_owned(),
                "again",
                Some("keep one of the two; `layers` may hold a single one".to_owned()),
            );
            return;
        }
        self.layers(&layers);
        let Some(word) = material else {
            if self.present.contains(&Quantity::WallThickness) {
                let names = MATERIALS.map(|(name, _)| name).join(", ");
                let help = format!("add one of {names}: how warm a wall is inside depends on it");
                self.lacks(span, "`wall` has a thickness but no `material`", &help);
            }
            return;
        };
        self.chamber.material = self.choice("wall.material", &word, &materials());
        self.lacks_number(Quantity::WallThickness, span);
    }

    /// The resistances of the layers, one upon the other.
    fn layers(&mut self, layers: &[At<&DeTable<'_>>]) {
        let (mut sum, mut variance) = (0.0, 0.0);
        for (table, span) in layers {
            let mut own = Fields::new(table, span.clone(), "a layer of the wall").any_order();
            let material = own.text_opt("material", self.notes);
            let thickness = own.value("thickness", self.notes);
            own.finish(self.notes);
            let (Some(material), Some(thickness)) = (material, thickness) else {
                self.lacks(
                    span.clone(),
                    "a layer of the wall needs `material` and `thickness`",
                    "write `{ material = \"plywood\", thickness = \"12 mm\" }`",
                );
                continue;
            };
            let material = self.choice("wall.layers", &material, &materials());
            let thickness = self.read("wall.layers", thickness, Unit::Metre);
            let thickness = thickness.and_then(|read| {
                self.possible("wall.layers", Unit::Metre, read, THICKNESSES_M, WHY)
            });
            let (Some(material), Some(thickness)) = (material, thickness) else {
                continue;
            };
            let resists = |metres: f64| layer_m2k_w(metres, material.conductivity_w_mk);
            let off = thickness
                .tolerance
                .unwrap_or(USUAL_SPREAD * thickness.value);
            sum += resists(thickness.value);
            variance += resists(off) * resists(off);
        }
        if sum > 0.0 {
            let measured = Measured {
                value: sum,
                tolerance: Some(variance.sqrt()),
            };
            self.chamber.put(Quantity::WallLayers, measured);
        }
    }
}

/// The materials by their names.
fn materials() -> [(&'static str, Material); MATERIALS.len()] {
    MATERIALS.map(|(name, conductivity_w_mk)| {
        let material = Material {
            name,
            conductivity_w_mk,
        };
        (name, material)
    })
}
