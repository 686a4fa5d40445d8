//! A hostile journal, hostile notes and hostile imports.

use std::fs;

use toml::Value;

use crate::hostile::{MARK, TOLD, Trap, harmless, hostile};

#[test]
fn a_hostile_journal_and_hostile_imports_are_shown_harmlessly() {
    let trap = Trap::new();
    let ran = trap.run(&[&["diagnose", "--save"][..], &TOLD].concat());
    assert_eq!(ran.status, 0, "{}", ran.err);
    let without = hostile().replace('\0', "");
    for args in [
        &["cases", "done", "01", "more-fresh-air", "--note", &without][..],
        &["follow-up", "01", "--outcome", "partly", "--note", &without],
    ] {
        let ran = trap.run(args);
        assert_eq!(ran.status, 0, "{}", ran.err);
        harmless("a note", &ran.out);
    }
    let shown = |trap: &Trap| {
        let mut all = String::new();
        for args in [
            &["cases"][..],
            &["cases", "show", "01"],
            &["cases", "compare", "01", "01"],
            &["cases", "export", "--all"],
            &["cases", "learned"],
        ] {
            for look in [&["--detail"][..], &["--format", "json"]] {
                let ran = trap.run(&[look, args].concat());
                harmless(&format!("{args:?}"), &ran.out);
                harmless(&format!("{args:?}"), &ran.err);
                all.push_str(&ran.out);
                all.push_str(&ran.err);
            }
        }
        all
    };
    assert!(shown(&trap).contains(MARK));
    let exported = trap.run(&["cases", "export", "--all"]).out;
    let mut value: serde_json::Value = serde_json::from_str(&exported).expect("JSON");
    spoil_texts(&mut value);
    for line in [
        value.to_string(),
        exported.replace("grey-oyster", "zq9\\u001b[2J"),
        hostile(),
    ] {
        trap.world.file("import.jsonl", line);
        let ran = trap.run(&["cases", "import", "import.jsonl"]);
        harmless("an import", &ran.out);
        harmless("an import", &ran.err);
        shown(&trap);
    }
    // A file of the journal that somebody changed, text by text.
    let file = fs::read_dir(trap.world.home.path().join("home/cases"))
        .expect("a folder")
        .map(|entry| entry.expect("readable").path())
        .find(|path| path.extension().is_some_and(|ending| ending == "toml"))
        .expect("a case");
    let mut table: Value = toml::from_str(&fs::read_to_string(&file).expect("text")).expect("TOML");
    for key in ["profile", "program", "knowledge"] {
        table["kept"]
            .as_table_mut()
            .expect("a table")
            .insert(key.to_owned(), Value::String(hostile()));
    }
    spoil_kept(&mut table["kept"]["diagnosis"]);
    fs::write(&file, toml::to_string(&table).expect("TOML")).expect("written");
    assert!(shown(&trap).contains(MARK));
    fs::write(&file, hostile()).expect("written");
    shown(&trap);
}

/// Puts something hostile behind every text.
fn spoil_texts(value: &mut serde_json::Value) {
    match value {
        serde_json::Value::String(text) => text.push_str(&hostile()),
        serde_json::Value::Array(items) => items.iter_mut().for_each(spoil_texts),
        serde_json::Value::Object(table) => table.values_mut().for_each(spoil_texts),
        _ => {}
    }
}

fn spoil_kept(value: &mut Value) {
    match value {
        Value::String(text) => text.push_str(&hostile()),
        Value::Array(items) => items.iter_mut().for_each(spoil_kept),
        Value::Table(table) => table.iter_mut().for_each(|(_, value)| spoil_kept(value)),
        _ => {}
    }
}
