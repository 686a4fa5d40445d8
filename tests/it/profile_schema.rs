//! The JSON Schema of a chamber's profile says what the reader says: the same keys, the same choices, the same files.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

use blockside::engine::knowledge::KnowledgeBase;
use blockside::journal::chamber::parse;
use blockside::knowledge::embedded;
use blockside::knowledge::problem::{Problem, ProblemCode};
use blockside::report::json::schema;
use serde_json::Value;

use crate::world::{Ran, World};

fn the_schema() -> Value {
    schema("profile").expect("there is one")
}

/// A profile as the value that a schema judges.
fn value(text: &str) -> Value {
    let table: toml::Table = toml::from_str(text).expect("TOML");
    serde_json::to_value(table).expect("JSON")
}

/// Why a value does not fit, by the words that the schema uses: a small part of JSON Schema, and a panic at any other.
fn misfits(schema: &Value, value: &Value, at: &str) -> Vec<String> {
    let mut found = Vec::new();
    let fits = |schema: &Value| misfits(schema, value, at).is_empty();
    let list = |words: &Value| words.as_array().expect("a list").clone();
    let has = |key: &Value| value.get(key.as_str().expect("a key")).is_some();
    for (word, says) in schema.as_object().expect("a table") {
        let fine = match word.as_str() {
            "$schema" | "title" | "description" | "examples" | "then" => true,
            "type" => {
                let is = |kind: &Value| match kind.as_str().expect("a type") {
                    "object" => value.is_object(),
                    "string" => value.is_string(),
                    "number" => value.is_number(),
                    "boolean" => value.is_boolean(),
                    "array" => value.is_array(),
                    other => panic!("no type {other}"),
                };
                says.as_array()
                    .map_or_else(|| is(says), |kinds| kinds.iter().any(is))
            }
            "const" => value == says,
            "enum" => list(says).contains(value),
            "minimum" => value
                .as_f64()
                .is_none_or(|number| number >= says.as_f64().expect("one")),
            "maximum" => value
                .as_f64()
                .is_none_or(|number| number <= says.as_f64().expect("one")),
            "minItems" => value
                .as_array()
                .is_none_or(|items| items.len() as u64 >= says.as_u64().expect("one")),
            "maxItems" => value
                .as_array()
                .is_none_or(|items| items.len() as u64 <= says.as_u64().expect("one")),
            "items" => {
                let items = value.as_array().into_iter().flatten();
                items.for_each(|item| found.extend(misfits(says, item, at)));
                true
            }
            "required" => list(says).iter().all(has),
            "dependentRequired" => {
                let pairs = says.as_object().expect("a table");
                pairs
                    .iter()
                    .all(|(key, needs)| value.get(key).is_none() || list(needs).iter().all(has))
            }
            "properties" => {
                for (key, inner) in says.as_object().expect("a table") {
                    if let Some(value) = value.get(key) {
                        found.extend(misfits(inner, value, &format!("{at}.{key}")));
                    }
                }
                true
            }
            "additionalProperties" => {
                let known = &schema["properties"];
                let mut keys = value.as_object().into_iter().flat_map(|table| table.keys());
                keys.all(|key| known.get(key).is_some())
            }
            "anyOf" => list(says).iter().any(fits),
            "oneOf" => list(says).iter().filter(|one| fits(one)).count() == 1,
            "if" => !fits(says) || fits(&schema["then"]),
            other => panic!("the test does not know the word `{other}`"),
        };
        if !fine {
            found.push(format!("{at}: {word}"));
        }
    }
    found
}

fn problems(base: &KnowledgeBase, text: &str) -> Vec<Problem> {
    parse(base, "profile.toml", text).err().unwrap_or_default()
}

/// The least that a profile needs, with more lines at the top and below.
fn profile(top: &str, below: &str) -> String {
    format!(
        "schema = \"blockside.profile/1\"\nvolume = \"400 L\"\n{top}\n[room]\ntemperature = \"20 °C\"\nhumidity = \
         \"40 %\"\n{below}"
    )
}

#[test]
fn the_profiles_of_the_fixtures_fit_and_the_faulty_ones_do_not() {
    let schema = the_schema();
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/chambers");
    let read = |folder: &Path| -> Vec<(String, String)> {
        let files = fs::read_dir(folder).expect("a folder");
        let paths = files.map(|file| file.expect("a file").path());
        paths
            .filter(|path| path.extension().is_some_and(|ending| ending == "toml"))
            .map(|path| {
                (
                    path.display().to_string(),
                    fs::read_to_string(path).expect("a text"),
                )
            })
            .collect()
    };
    let (sound, faulty) = (read(&folder), read(&folder.join("faulty")));
    assert!(sound.len() >= 2 && faulty.len() >= 3);
    for (name, text) in sound {
        assert_eq!(
            misfits(&schema, &value(&text), ""),
            Vec::<String>::new(),
            "{name}"
        );
    }
    for (name, text) in faulty {
        assert!(!misfits(&schema, &value(&text), "").is_empty(), "{name}");
    }
}

/// What the reader knows stands in its own words: the help for a key that it does not know lists all it does.
#[test]
fn the_schema_and_the_reader_know_the_same_keys() {
    let base = embedded::base();
    let schema = the_schema();
    let known = |entry: &Value| -> BTreeSet<String> {
        entry["properties"]
            .as_object()
            .expect("a table")
            .keys()
            .cloned()
            .collect()
    };
    let read = |text: &str| -> BTreeSet<String> {
        let found = problems(&base, text);
        let unknown = found
            .iter()
            .find(|problem| problem.code == ProblemCode::UnknownKey);
        let help = unknown
            .and_then(|problem| problem.help.clone())
            .expect("a help");
        let keys = help
            .strip_prefix("it may have ")
            .unwrap_or_else(|| panic!("{help}"));
        keys.split(", ")
            .map(|key| key.trim_matches('`').to_owned())
            .collect()
    };
    assert_eq!(known(&schema), read(&profile("qqqqqqqqqqqq = 1", "")));
    let tables = schema["properties"].as_object().expect("a table");
    let tables: Vec<(&String, &Value)> = tables
        .iter()
        .filter(|(_, entry)| entry["type"] == "object")
        .collect();
    assert_eq!(tables.len(), 8);
    for (name, entry) in tables {
        let text = if name == "room" {
            profile("", "qqqqqqqqqqqq = 1\n")
        } else {
            profile("", &format!("[{name}]\nqqqqqqqqqqqq = 1\n"))
        };
        assert_eq!(known(entry), read(&text), "{name}");
    }
}

/// Each choice of the schema is one of the reader's, and the reader's help for another word names no more.
#[test]
fn the_schema_and_the_reader_have_the_same_choices() {
    let base = embedded::base();
    let mut choices = 0;
    for (table, entry) in the_schema()["properties"].as_object().expect("a table") {
        let keys = entry["properties"].as_object().into_iter().flatten();
        for (key, of) in keys.filter(|(_, of)| of.get("enum").is_some()) {
            let words = of["enum"].as_array().expect("a list");
            let said = |word: &str| {
                let text = profile("", &format!("[{table}]\n{key} = \"{word}\"\n"));
                let found = problems(&base, &text);
                let found = found
                    .into_iter()
                    .find(|one| one.code == ProblemCode::UnknownWord);
                found.map(|problem| problem.help.unwrap_or_default())
            };
            for word in words {
                assert_eq!(said(word.as_str().expect("a word")), None, "{table}.{key}");
            }
            let listed: Vec<&str> = words.iter().filter_map(Value::as_str).collect();
            let help = said("qqqqqqqqqqqq").expect("it is refused");
            assert_eq!(
                help,
                format!("write one of {}", listed.join(", ")),
                "{table}.{key}"
            );
            choices += 1;
        }
    }
    assert_eq!(choices, 5);
}

/// The ends of each range are read, and what lies beyond is refused by the reader as by the schema.
#[test]
fn the_schema_and_the_reader_have_the_same_ranges() {
    let base = embedded::base();
    let schema = the_schema();
    let mut ranges = 0;
    for (table, entry) in schema["properties"].as_object().expect("a table") {
        let single = serde_json::Map::from_iter([(table.clone(), entry.clone())]);
        let (name, keys) = match entry["properties"].as_object() {
            Some(keys) => (table.as_str(), keys),
            None => ("", &single),
        };
        for (key, of) in keys {
            let (Some(least), Some(most)) = (of["minimum"].as_f64(), of["maximum"].as_f64()) else {
                continue;
            };
            let refused = |number: f64| {
                let line = format!("{key} = {number:?}\n");
                let text = match name {
                    "" if key == "volume" => {
                        profile("", "").replace("\"400 L\"", &format!("{number:?}"))
                    }
                    "" => profile(&line, ""),
                    "room" if ["temperature", "humidity"].contains(&key.as_str()) => {
                        let others = profile("", "");
                        let kept = others
                            .lines()
                            .filter(|kept| !kept.starts_with(&format!("{key} =")));
                        kept.collect::<Vec<_>>().join("\n") + "\n" + &line
                    }
                    "room" => profile("", &line),
                    _ => profile("", &format!("[{name}]\n{line}")),
                };
                let by_reader = problems(&base, &text).iter().any(|problem| {
                    problem.code == ProblemCode::BadReading && problem.message.contains("cannot be")
                });
                let path = if name.is_empty() {
                    format!(".{key}")
                } else {
                    format!(".{name}.{key}")
                };
                let misfits = misfits(&schema, &value(&text), "");
                let by_schema = misfits
                    .iter()
                    .any(|misfit| misfit.starts_with(&format!("{path}: m")));
                assert_eq!(by_reader, by_schema, "{path} = {number}: {misfits:?}");
                by_reader
            };
            assert!(!refused(least) && !refused(most), "{name}.{key}");
            let beyond = (most - least).max(1.0);
            assert!(
                refused(least - beyond) && refused(most + beyond),
                "{name}.{key}"
            );
            ranges += 1;
        }
    }
    assert!(ranges > 30, "{ranges}");
}

#[test]
fn the_command_prints_it() {
    let world = World::new();
    let mut command = world.bare();
    command.args(["schema", "profile"]);
    let ran = Ran::of(command);
    assert_eq!(ran.status, 0, "{}", ran.err);
    let printed: Value = serde_json::from_str(&ran.out).expect("JSON");
    assert_eq!(printed, the_schema());
    assert_eq!(
        printed["properties"]["schema"]["const"],
        "blockside.profile/1"
    );
}

#[test]
fn the_species_and_stage_of_a_profile_can_be_named_anew() {
    let world = World::new();
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/chambers");
    let run = |options: &[&str]| {
        let mut command = world.bare();
        command.args(["chamber", "--format", "json"]);
        command.arg(folder.join("hall-shelf.toml")).args(options);
        Ran::of(command)
    };
    let json = |options: &[&str]| -> Value {
        let ran = run(options);
        assert_eq!(ran.status, 0, "{}", ran.err);
        serde_json::from_str(&ran.out).expect("JSON")
    };
    let own = json(&[]);
    assert_eq!(
        (&own["species"], &own["stage"]),
        (&"grey-oyster".into(), &"fruiting".into())
    );
    let other = json(&["--species", "lion's mane", "--stage", "pinning"]);
    assert_eq!(
        (&other["species"], &other["stage"]),
        (&"lions-mane".into(), &"pinning".into())
    );
    // The limits follow: what is enough air for one is not for the other.
    assert_ne!(own["values"], other["values"]);
    run(&["--species", "lions mane of old"]).refused(2, &["no species is called"]);
    run(&["--stage", "sleeping"]).refused(2, &["no stage is called `sleeping`"]);
}
