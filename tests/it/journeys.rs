//! The three journeys that matter most, as a grower reads them: the whole report, as a snapshot.

use std::path::Path;

use assert_cmd::Command;

/// What `blockside` prints for a shipped case on a page of 80 columns.
fn report(case: &str) -> String {
    let home = tempfile::tempdir().expect("a folder of our own");
    let output = Command::cargo_bin("blockside")
        .expect("built")
        .current_dir(Path::new(env!("CARGO_MANIFEST_DIR")))
        .env("BLOCKSIDE_HOME", home.path())
        .args([
            "--width",
            "80",
            "--colour",
            "never",
            "diagnose",
            &format!("fixtures/cases/{case}.toml"),
        ])
        .output()
        .expect("it runs");
    assert_eq!(
        output.status.code(),
        Some(0),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
    String::from_utf8(output.stdout).expect("text")
}

#[test]
fn why_the_oysters_went_leggy() {
    let report = report("journey-leggy-oysters");
    assert!(
        report.starts_with("Stale air"),
        "the verdict comes first: nothing here has to stop anybody"
    );
    assert!(
        report.contains("4.3 times the present airflow"),
        "(2900 - 420) / (1000 - 420)"
    );
    insta::assert_snapshot!("journey-leggy-oysters", report);
}

#[test]
fn a_green_spot_on_a_block() {
    let report = report("journey-green-spot");
    assert!(
        report.starts_with("STOP"),
        "what can hurt somebody comes before the verdict"
    );
    let deeds = report.split("In the first minutes").nth(1).expect("deeds");
    assert!(
        deeds
            .trim_start()
            .starts_with("1. First, switch off the fan"),
        "the first deed of a mould spot is to still the air"
    );
    insta::assert_snapshot!("journey-green-spot", report);
}

#[test]
fn no_pins_on_a_shiitake_block() {
    insta::assert_snapshot!("journey-no-pins", report("journey-no-pins"));
}
