//! Hostile words of the command line, texts without end, and what the program says of itself.

use std::fs;

use crate::hostile::{Trap, harmless, hostile};

#[test]
fn hostile_words_of_the_command_line_are_repeated_harmlessly() {
    let trap = Trap::new();
    let nasty = hostile().replace('\0', "");
    let of = |option: &str| format!("{option}={nasty}");
    let (sign, reading) = (of("long-stems"), of("co2"));
    for args in [
        &[nasty.as_str()][..],
        &["diagnose", &nasty],
        &[
            "diagnose",
            "--species",
            &nasty,
            "--stage",
            &nasty,
            "--sign",
            &nasty,
            "--setup",
            &nasty,
            "--person",
            &nasty,
        ],
        &["diagnose", "--sign", &sign, "--reading", &reading],
        &["diagnose", "--batch", &nasty],
        &[
            "diagnose",
            "--sign",
            "long-stems",
            "--html",
            &nasty,
            "--chart",
            &nasty,
        ],
        &["ask", &nasty],
        &["ask", "--answers", &nasty],
        &["ask", "--resume", &nasty],
        &["ask", "--spot-sizes", &nasty],
        &["describe", &nasty],
        &["describe", "--yes", &nasty],
        &["describe", "--file", &nasty],
        &["why", &nasty],
        &["why-not", &nasty],
        &["handbook", &nasty],
        &["handbook", "compare", &nasty, &nasty],
        &["handbook", "key", &nasty],
        &["handbook", "card", &nasty],
        &["rounds", "done", &nasty],
        &["rounds", "done", "wipe", "--on", &nasty],
        &["practise", "--helper", &nasty, "--topic", &nasty],
        &["practise", "progress", "--helper", &nasty],
        &["practise", "exam", "--seed", "1", "--topic", &nasty],
        &["cases", "show", &nasty],
        &["cases", "--species", &nasty, "--cause", &nasty],
        &["cases", "--since", &nasty],
        &["cases", "import", &nasty],
        &["cases", "done", &nasty, &nasty],
        &["follow-up", &nasty],
        &["chamber", &nasty],
        &["air", "--temperature", &nasty],
        &["exchange", &nasty],
        &["sensor", "--salt", &nasty],
        &["log", &nasty, "--time-zone", &nasty],
        &["knowledge", "list", &nasty],
        &["knowledge", "check", &nasty],
        &["knowledge", "score", &nasty],
        &["schema", &nasty],
        &["completions", &nasty],
        &["--knowledge", &nasty, "diagnose"],
        &["--units", &nasty, "diagnose"],
    ] {
        for look in [&[][..], &["--format", "json"]] {
            let ran = trap.run(&[look, args].concat());
            harmless(&format!("{args:?}"), &ran.out);
            harmless(&format!("{args:?}"), &ran.err);
        }
    }
}

#[test]
fn manual_pages_completions_and_help_are_plain_text() {
    let trap = Trap::new();
    for args in [
        &["man"][..],
        &["help"],
        &["completions", "bash"],
        &["completions", "zsh"],
        &["completions", "fish"],
        &["completions", "powershell"],
        &["completions", "elvish"],
    ] {
        let ran = trap.run(args);
        assert_eq!(ran.status, 0, "{}", ran.err);
        // Completions are indented with tabs.
        harmless(&format!("{args:?}"), &ran.out.replace('\t', " "));
    }
}

/// A million letters without a blank, from everywhere, are told in lines that fit.
#[test]
fn a_text_without_end_and_without_a_blank_fits_the_page() {
    let trap = Trap::new();
    let long = "W".repeat(1_000_000);
    let signs = trap
        .knowledge
        .as_ref()
        .expect("a folder")
        .join("signs.toml");
    let sign = fs::read_to_string(&signs).expect("text");
    let start = sign.find("id = \"long-stems\"").expect("it is one of them");
    let told = "statement = \"";
    let at = start + sign[start..].find(told).expect("it has one") + told.len();
    let longer = format!("{}{long}{}", &sign[..at], &sign[at..]);
    fs::write(signs, longer).expect("written");
    trap.world.file(
        "case.toml",
        format!("schema = \"blockside.case/1\"\nspecies = \"{long}\"\n"),
    );
    trap.world.file(
        "log.csv",
        format!("Time,Temperature (°C),{long}\n2026-03-01 00:00:00,19,{long}\n"),
    );
    trap.world
        .file("settings.toml", format!("species = \"{long}\"\n"));
    for args in [
        &["diagnose", "--sign", "long-stems"][..],
        &["handbook", "long-stems"],
        &["diagnose", "case.toml"],
        &["log", "log.csv"],
    ] {
        let ran = trap.run(&[&["--width", "60"], args].concat());
        // A message of some hundred letters and the line of a file in which a fault lies are not wrapped.
        for line in ran.out.lines().chain(ran.err.lines()) {
            assert!(
                line.chars().count() <= 500,
                "{args:?}: {} letters",
                line.chars().count()
            );
        }
    }
}
