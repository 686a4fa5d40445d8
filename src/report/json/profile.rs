//! What the profile of a chamber may hold, as a JSON Schema: for editors, and for programs that write one.

use serde_json::{Map, Value, json};

use crate::engine::chamber::profile::{Given, VOLUMES_L, all_given};
use crate::engine::chamber::wall::MATERIALS;
use crate::engine::light::LampKind;
use crate::engine::quantity::Unit;
use crate::journal::chamber::{SCHEMA, THICKNESSES_M};

/// The tables of a profile, each with what it is about.
const TABLES: [(&str, &str); 8] = [
    ("room", "The air around the chamber."),
    ("fan", "The fan. Without one, `none = true`."),
    ("duct", "The hose or duct of the fan."),
    ("mister", "What makes the mist."),
    (
        "humidity",
        "What the controller holds, and where its sensor hangs.",
    ),
    ("lamp", "The light."),
    ("wall", "The wall or film of the chamber."),
    ("measured", "What was measured inside."),
];

/// The schema of a profile, with numbers in every unit that growers write.
pub fn profile() -> Value {
    let mut properties = table("");
    properties.insert("schema".to_owned(), json!({ "const": SCHEMA }));
    for (key, about) in [
        ("name", "What the chamber is called."),
        ("species", "The species, by any of its names."),
        ("stage", "The stage of the crop."),
    ] {
        properties.insert(key.to_owned(), text(about));
    }
    properties.insert(
        "volume".to_owned(),
        number(
            Unit::Litre,
            VOLUMES_L,
            "The room inside, in place of `size`",
        ),
    );
    properties.insert(
        "size".to_owned(),
        json!({
            "description": "Length, width and height inside.",
            "anyOf": [
                { "type": "string" },
                { "type": "array", "items": { "type": "string" }, "minItems": 3, "maxItems": 3 },
            ],
            "examples": ["60 x 45 x 160 cm"],
        }),
    );
    for (name, about) in TABLES {
        let mut entry = closed(table(name), &required(name));
        entry.insert("description".to_owned(), json!(about));
        if let Some(together) = together(name) {
            entry.insert("dependentRequired".to_owned(), together);
        }
        properties.insert(name.to_owned(), Value::Object(entry));
    }
    let mut schema = closed(properties, &["schema", "room"]);
    schema.insert(
        "$schema".to_owned(),
        json!("https://json-schema.org/draft/2020-12/schema"),
    );
    schema.insert("title".to_owned(), json!("The profile of a chamber"));
    schema.insert(
        "description".to_owned(),
        json!(
            "How a chamber is built and run. A number may be written with its unit as a text, or plain in the unit of its \
             description. The program checks more than can be said here, such as whether the blocks fit in."
        ),
    );
    schema.insert(
        "oneOf".to_owned(),
        json!([{ "required": ["size"] }, { "required": ["volume"] }]),
    );
    // Something has to say how much air comes in; behind a duct, how hard the fan can push.
    let no_fan = json!({
        "required": ["fan"],
        "properties": { "fan": { "required": ["none"], "properties": { "none": { "const": true } } } },
    });
    let air = [
        with("measured", &["airflow"]),
        with("fan", &["curve"]),
        no_fan,
    ];
    let mut any = air.to_vec();
    any.push(with("fan", &["flow"]));
    let mut behind_a_duct = air.to_vec();
    behind_a_duct.push(with("fan", &["flow", "pressure"]));
    schema.insert("anyOf".to_owned(), Value::Array(any));
    schema.insert("if".to_owned(), json!({ "required": ["duct"] }));
    schema.insert("then".to_owned(), json!({ "anyOf": behind_a_duct }));
    Value::Object(schema)
}

/// What a table may hold.
fn table(name: &str) -> Map<String, Value> {
    let mut properties: Map<String, Value> = all_given()
        .filter(|given| given.table == name)
        .map(|given| (given.key.to_owned(), given_number(given)))
        .collect();
    let mut add = |key: &str, value: Value| {
        properties.insert(key.to_owned(), value);
    };
    match name {
        "fan" => {
            add("none", flag("There is no fan at all."));
            add("curve", curve());
        }
        "duct" => {
            add("flexible", flag("It is a corrugated hose."));
            add("slack", flag("It is not pulled tight."));
            add("filter", flag("A filter is fitted."));
            add("carries-mist", flag("The mist comes through it too."));
            add("on", choice("Where it hangs.", &["inlet", "outlet"]));
        }
        "mister" => {
            add("inside", flag("It stands inside the chamber."));
            let kinds = ["ultrasonic", "other"];
            add("kind", choice("How it makes mist.", &kinds));
        }
        "humidity" => {
            let places = [
                "cap height",
                "in the mist",
                "in the fan's stream",
                "at the wall",
                "under the lid",
                "outside",
            ];
            add("sensor", choice("Where the sensor hangs.", &places));
        }
        "lamp" => {
            add("inside", flag("It hangs inside the chamber."));
            let names = LampKind::WORDS.map(|(name, _)| name);
            add("kind", choice("What makes the light.", &names));
        }
        "wall" => {
            let names = MATERIALS.map(|(name, _)| name);
            add("material", choice("What it is made of.", &names));
            let about = "Air stands still at its coldest place.";
            add("still-corner", flag(about));
            add("layers", layers(&names));
        }
        _ => {}
    }
    properties
}

/// What a table cannot do without.
fn required(name: &str) -> Vec<&'static str> {
    match name {
        "room" => vec!["temperature", "humidity"],
        "duct" => vec!["length", "bore"],
        _ => Vec::new(),
    }
}

/// Keys of a table that need another.
fn together(name: &str) -> Option<Value> {
    match name {
        "humidity" => Some(json!({ "band": ["set-point"] })),
        "wall" => Some(json!({ "thickness": ["material"], "material": ["thickness"] })),
        _ => None,
    }
}

/// A table that holds nothing else.
fn closed(properties: Map<String, Value>, required: &[&str]) -> Map<String, Value> {
    let mut table = Map::new();
    table.insert("type".to_owned(), json!("object"));
    table.insert("properties".to_owned(), Value::Object(properties));
    table.insert("required".to_owned(), json!(required));
    table.insert("additionalProperties".to_owned(), json!(false));
    table
}

/// That a table is there with these keys.
fn with(name: &str, keys: &[&str]) -> Value {
    let inner = json!({ "required": keys });
    json!({ "required": [name], "properties": { name: inner } })
}

fn given_number(given: &Given) -> Value {
    let why = given.why;
    number(given.quantity.unit(), (given.least, given.most), why)
}

fn number(unit: Unit, (least, most): (f64, f64), why: &str) -> Value {
    let unit_word = match unit.symbol() {
        "" => String::new(),
        symbol => format!(" Plain numbers are in {symbol}."),
    };
    json!({
        "description": format!("{why}.{unit_word}"),
        "type": ["string", "number"],
        "minimum": least,
        "maximum": most,
        "examples": [unit.example()],
    })
}

fn curve() -> Value {
    let point = |unit: Unit| json!({ "type": ["string", "number"], "examples": [unit.example()] });
    let mut points = Map::new();
    points.insert("flow".to_owned(), point(Unit::CubicMetrePerHour));
    points.insert("pressure".to_owned(), point(Unit::Pascal));
    json!({
        "description": "Points of its curve, in place of `flow` and `pressure`.",
        "type": "array",
        "minItems": 2,
        "items": closed(points, &["flow", "pressure"]),
    })
}

fn layers(materials: &[&str]) -> Value {
    let mut layer = Map::new();
    layer.insert(
        "material".to_owned(),
        choice("What it is made of.", materials),
    );
    layer.insert(
        "thickness".to_owned(),
        number(Unit::Metre, THICKNESSES_M, "How thick it is"),
    );
    json!({
        "description": "Layer upon layer, in place of `material` and `thickness`.",
        "type": "array",
        "minItems": 1,
        "items": closed(layer, &["material", "thickness"]),
    })
}

fn text(about: &str) -> Value {
    json!({ "description": about, "type": "string" })
}

fn flag(about: &str) -> Value {
    json!({ "description": about, "type": "boolean" })
}

fn choice(about: &str, words: &[&str]) -> Value {
    json!({ "description": about, "enum": words })
}
