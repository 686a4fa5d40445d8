//! From the TOML of a profile to the chamber, with every fault found on the way.

use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use crate::engine::chamber::profile::{Chamber, SensorPlace, Statement, all_given};
use crate::engine::chamber::quantity::Quantity;
use crate::engine::knowledge::KnowledgeBase;
use crate::engine::light::LampKind;
use crate::journal::case::reader::Reader as Names;
use crate::knowledge::fields::{At, Fields, Notes, type_name};
use crate::knowledge::problem::{ProblemCode, nearest};

/// Words for where a sensor hangs.
const PLACES: [(&str, SensorPlace); 6] = [
    ("cap height", SensorPlace::Caps),
    ("in the mist", SensorPlace::Mist),
    ("in the fan's stream", SensorPlace::Fan),
    ("at the wall", SensorPlace::Wall),
    ("under the lid", SensorPlace::Top),
    ("outside", SensorPlace::Outside),
];

/// What makes the mist, and whether that is ultrasound.
const MISTERS: [(&str, bool); 2] = [("ultrasonic", true), ("other", false)];

/// Reads one profile.
pub struct Reader<'b, 'n, 'f> {
    /// The knowledge whose names the profile uses.
    pub base: &'b KnowledgeBase,
    /// The whole file, to find places inside its values.
    pub text: &'b str,
    /// Where faults go.
    pub notes: &'n mut Notes<'f>,
    /// What was read so far.
    pub chamber: Chamber,
    /// The numbers that stand in the file, right or wrong: one that is wrong is not missing too.
    pub present: Vec<Quantity>,
}

impl Reader<'_, '_, '_> {
    /// Reads the whole table of the file.
    pub fn chamber(mut self, table: &DeTable<'_>) -> Chamber {
        let mut fields = Fields::new(table, 0..0, "a chamber's profile").any_order();
        fields.value("schema", self.notes);
        let name = fields.text_opt("name", self.notes);
        self.chamber.name = name.map(|(text, _)| text);
        let species = fields.text_opt("species", self.notes);
        let stage = fields.text_opt("stage", self.notes);
        let mut names = Names {
            base: self.base,
            text: self.text,
            notes: self.notes,
        };
        self.chamber.species = species.and_then(|word| names.species(&word));
        self.chamber.stage = stage.and_then(|word| names.stage(&word));
        self.volume(&mut fields);
        self.numbers("", &mut fields);
        self.room(&mut fields);
        self.fan(&mut fields);
        self.duct(&mut fields);
        self.mister(&mut fields);
        self.humidity(&mut fields);
        self.lamp(&mut fields);
        self.wall(&mut fields);
        if let Some((table, span)) = fields.table_opt("measured", self.notes) {
            let mut own = Fields::new(table, span, "`measured`").any_order();
            self.numbers("measured", &mut own);
            own.finish(self.notes);
        }
        fields.finish(self.notes);
        self.sense(table);
        self.chamber
    }

    /// A note that something needed is not there.
    pub fn lacks(&mut self, at: Range<usize>, message: &str, help: &str) {
        self.notes.add(
            ProblemCode::MissingKey,
            at,
            message.to_owned(),
            "missing here",
            Some(help.to_owned()),
        );
    }

    /// A note that a number is not there, and why it matters.
    pub fn lacks_number(&mut self, quantity: Quantity, at: Range<usize>) {
        if self.present.contains(&quantity) {
            return;
        }
        let Some(given) = all_given().find(|one| one.quantity == quantity) else {
            return;
        };
        let message = format!("`{}` has no `{}`", given.table, given.key);
        let help = format!(
            "add `{} = \"{}\"` below `[{}]`: {}",
            given.key,
            example(quantity),
            given.table,
            given.why
        );
        self.lacks(at, &message, &help);
    }

    fn room(&mut self, fields: &mut Fields<'_, '_>) {
        let Some((table, span)) = fields.table_opt("room", self.notes) else {
            self.lacks(
                0..0,
                "a chamber's profile has no `[room]`",
                "add `[room]` with `temperature` and `humidity`: the fresh air comes from there and brings its warmth \
                 and water",
            );
            return;
        };
        let mut own = Fields::new(table, span.clone(), "`room`").any_order();
        self.numbers("room", &mut own);
        own.finish(self.notes);
        self.lacks_number(Quantity::RoomTemperature, span.clone());
        self.lacks_number(Quantity::RoomHumidity, span);
    }

    fn mister(&mut self, fields: &mut Fields<'_, '_>) {
        let Some((table, span)) = fields.table_opt("mister", self.notes) else {
            return;
        };
        let mut own = Fields::new(table, span, "`mister`").any_order();
        self.numbers("mister", &mut own);
        let inside = own.value("inside", self.notes);
        let kind = own.text_opt("kind", self.notes);
        own.finish(self.notes);
        if let Some(inside) = self.yes_or_no("mister.inside", inside) {
            self.says(Statement::MisterInside, inside);
        }
        let ultrasonic = kind.and_then(|word| self.choice("mister.kind", &word, &MISTERS));
        if let Some(ultrasonic) = ultrasonic {
            self.says(Statement::Ultrasonic, ultrasonic);
        }
    }

    fn humidity(&mut self, fields: &mut Fields<'_, '_>) {
        let Some((table, span)) = fields.table_opt("humidity", self.notes) else {
            return;
        };
        let mut own = Fields::new(table, span.clone(), "`humidity`").any_order();
        self.numbers("humidity", &mut own);
        let sensor = own.text_opt("sensor", self.notes);
        own.finish(self.notes);
        let place = sensor.and_then(|word| self.choice("humidity.sensor", &word, &PLACES));
        if let Some(place) = place {
            self.chamber.sensor = Some(place);
            self.says(Statement::SensorInside, place != SensorPlace::Outside);
            self.says(Statement::SensorAway, place != SensorPlace::Caps);
        }
        let set = self.chamber.number(Quantity::SetPoint);
        let band = self.chamber.number(Quantity::Band);
        if set.is_some() {
            self.says(Statement::Controlled, true);
        }
        if self.present.contains(&Quantity::Band) {
            self.lacks_number(Quantity::SetPoint, span.clone());
        }
        if let (Some(set), Some(band)) = (set, band)
            && band.value >= set.value
        {
            let help = "`band` says how many points below `set-point` the mister starts, as in `band = \"2 %\"`";
            self.bad(
                span,
                "the band reaches down to no humidity at all".to_owned(),
                help.to_owned(),
            );
        }
    }

    fn lamp(&mut self, fields: &mut Fields<'_, '_>) {
        let Some((table, span)) = fields.table_opt("lamp", self.notes) else {
            return;
        };
        let mut own = Fields::new(table, span, "`lamp`").any_order();
        self.numbers("lamp", &mut own);
        let inside = own.value("inside", self.notes);
        let kind = own.text_opt("kind", self.notes);
        own.finish(self.notes);
        self.chamber.lamp = kind.and_then(|word| self.choice("lamp.kind", &word, &LampKind::WORDS));
        if let Some(inside) = self.yes_or_no("lamp.inside", inside) {
            self.says(Statement::LampInside, inside);
        }
    }

    /// What no single value shows: no way to know the airflow, more block than chamber.
    fn sense(&mut self, table: &DeTable<'_>) {
        let at = |key: &str| {
            let found = table.get_key_value(key);
            found.map_or(0..0, |(name, _)| name.span())
        };
        let there = |quantity: Quantity| self.present.contains(&quantity);
        let measured = there(Quantity::MeasuredAirflow);
        let without = self.chamber.says(Statement::WithoutFan) == Some(true);
        let flow = there(Quantity::FanFlow);
        let pressure = there(Quantity::FanPressure) || self.chamber.curve.is_some();
        if !measured && !flow && !without {
            self.lacks(
                at("fan"),
                "nothing says how much fresh air comes in",
                "add `[fan]` with `flow = \"12 m3/h\"` from its label, or `[measured]` with `airflow`, or `[fan]` with \
                 `none = true`: everything else follows from it",
            );
        } else if !measured && flow && self.chamber.has_duct() && !pressure {
            self.lacks(
                at("fan"),
                "`fan` has a duct to push through but no `pressure`",
                "add the fan's greatest pressure, as in `pressure = \"30 Pa\"`, or points of its `curve`, or a measured \
                 `airflow` below `[measured]`: how much a duct costs depends on how hard the fan can push",
            );
        }
        let blocks = self.chamber.number(Quantity::Blocks);
        let each = self.chamber.number(Quantity::BlockMass);
        let volume = self.chamber.number(Quantity::Volume);
        if let (Some(blocks), Some(each), Some(volume)) = (blocks, each, volume)
            && blocks.value * each.value > volume.value
        {
            let message = format!(
                "{} blocks of {} kg do not fit into {:.0} litres",
                blocks.value, each.value, volume.value
            );
            let help = "a litre of block weighs about a kilogram; check `blocks`, `block-mass` and the size";
            self.bad(at("blocks"), message, help.to_owned());
        }
    }

    /// Notes a statement.
    pub fn says(&mut self, statement: Statement, holds: bool) {
        self.chamber.statements.push((statement, holds));
    }

    /// A truth value, or a note that it is none.
    pub fn yes_or_no(&mut self, key: &str, value: Option<&Spanned<DeValue<'_>>>) -> Option<bool> {
        let value = value?;
        let holds = value.get_ref().as_bool();
        if holds.is_none() {
            self.notes.add(
                ProblemCode::WrongType,
                value.span(),
                format!("`{key}` is {}", type_name(value.get_ref())),
                "must be true or false",
                None,
            );
        }
        holds
    }

    /// What a word stands for among those known, or a note that it is none of them.
    pub fn choice<T: Copy>(
        &mut self,
        key: &str,
        word: &At<String>,
        known: &[(&str, T)],
    ) -> Option<T> {
        let small = word.0.to_lowercase();
        let found = known.iter().find(|(name, _)| *name == small);
        if found.is_none() {
            let names: Vec<&str> = known.iter().map(|(name, _)| *name).collect();
            let help = nearest(&small, names.iter().copied()).map_or_else(
                || format!("write one of {}", names.join(", ")),
                |near| format!("did you mean `{near}`?"),
            );
            self.notes.add(
                ProblemCode::UnknownWord,
                word.1.clone(),
                format!("`{key}` cannot be `{}`", word.0),
                "not one of the choices",
                Some(help),
            );
        }
        found.map(|(_, value)| *value)
    }
}

/// A value as one could type it: of the size that such a thing has.
fn example(quantity: Quantity) -> &'static str {
    match quantity {
        Quantity::DuctBore => "100 mm",
        Quantity::WallThickness => "2 mm",
        other => other.unit().example(),
    }
}
