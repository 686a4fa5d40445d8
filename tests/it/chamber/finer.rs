//! The finer things of a balance: drops, hardness of the water, colour of the lamp, layers of the wall.

use std::fs;

use blockside::engine::chamber::balance::{Standing, balance};
use blockside::engine::chamber::facts::facts;
use blockside::engine::chamber::profile::Chamber;
use blockside::engine::chamber::quantity::Quantity;
use blockside::engine::knowledge::KnowledgeBase;
use blockside::engine::quantity::System;
use blockside::journal::chamber::parse;
use blockside::knowledge::embedded;
use blockside::report::balance::{Balanced, report};
use blockside::report::page::Look;

use crate::chamber::{chamber, fixture, read, value};

/// A chamber of half a cubic metre with its mister, lamp and wall as written.
fn with(base: &KnowledgeBase, mister: &str, lamp: &str, wall: &str) -> Chamber {
    let text = format!(
        "schema = \"blockside.profile/1\"\nsize = \"100 x 50 x 100 cm\"\n[room]\ntemperature = \"16 C\"\nhumidity = \"45 %\"\n\
         [humidity]\nset-point = \"90 %\"\n[measured]\ntemperature = \"20 C\"\nairflow = \"3 m3/h\"\n\
         [lamp]\nlight = \"700 lux\"\n{lamp}\n[mister]\noutput = \"300 g/h\"\n{mister}\n[wall]\n{wall}\n"
    );
    chamber(base, &text)
}

fn screen(base: &KnowledgeBase, chamber: &Chamber, look: Look) -> String {
    let found = balance(base, chamber);
    let told = facts(base, chamber, &found);
    let text = report(
        &Balanced {
            base,
            chamber,
            balance: &found,
            facts: &told,
            system: System::Metric,
        },
        look,
    );
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn fine_drops_are_gone_before_they_land_and_coarse_ones_wet_what_is_below() {
    let base = embedded::base();
    // Lang 1962: a disc of 1.7 MHz throws 2.92 µm; life and width from CoolProp 8.0.0 at 20 °C and 90 %: 103.4787
    // µm²/s, so 0.0825 s, and 43.154718 µm that die within half a metre; our rounder values are good to 0.2 %, on the width to 0.06 %.
    let disc = with(&base, "frequency = \"1.7 MHz\"", "", "");
    let found = balance(&base, &disc);
    assert!((value(&found, Quantity::Drops) / 2.921_436_643 - 1.0).abs() < 1e-8);
    assert!((value(&found, Quantity::DropLife) / 0.082_479 - 1.0).abs() < 2e-3);
    assert!((value(&found, Quantity::LandsFrom) / 43.154_718 - 1.0).abs() < 6e-4);
    // 0.86433187 g of room by the gas law; 300 g/h fill it in 10.372 s.
    assert!((value(&found, Quantity::AirRoom) / 0.864_331_87 - 1.0).abs() < 1e-7);
    assert!((value(&found, Quantity::FullIn) / 10.371_982 - 1.0).abs() < 1e-6);
    let drops = found.judged(Quantity::Drops).expect("judged");
    assert_eq!((drops.standing, drops.sure), (Standing::Fine, true));
    assert!(screen(&base, &disc, Look::of_width(80)).contains("gone before they land"));

    let spray = with(&base, "drops = \"120 µm\"", "", "");
    let found = balance(&base, &spray);
    let drops = found.judged(Quantity::Drops).expect("judged");
    assert_eq!((drops.standing, drops.sure), (Standing::TooHigh, true));
    assert!(screen(&base, &spray, Look::of_width(80)).contains("land and wet what is below"));
    // Nobody told: nothing is said of drops.
    let untold = with(&base, "", "", "");
    assert!(balance(&base, &untold).get(Quantity::Drops).is_none());
    assert!(!screen(&base, &untold, Look::of_width(80)).contains("rops land"));
}

#[test]
fn hard_water_is_named_beside_its_dust() {
    let base = embedded::base();
    let told = with(
        &base,
        "hardness = \"14 °dH\"\nwater-solids = \"480 µS/cm\"",
        "",
        "",
    );
    let found = balance(&base, &told);
    // 14 degrees of 17.85 mg/L; 480 µS/cm at 0.625 mg/L each.
    assert!((value(&found, Quantity::WaterHardness) - 249.9).abs() < 1e-9);
    assert!((value(&found, Quantity::WaterSolids) - 300.0).abs() < 1e-9);
    let text = screen(&base, &told, Look::of_width(80));
    assert!(text.contains("very hard water"), "{text}");
    // Lime alone is the least dust there is.
    let lime = with(&base, "hardness = \"100 mg/L\"", "", "");
    let found = balance(&base, &lime);
    let dust = value(&found, Quantity::Dust) / value(&found, Quantity::WaterDay);
    assert!((dust - 0.1).abs() < 1e-9, "{dust}");
    let text = screen(&base, &lime, Look::of_width(80));
    assert!(text.contains("the least there is"), "{text}");
    // Water can be no harder than what is dissolved in it.
    let solids = with(&base, "water-solids = \"50 mg/L\"", "", "");
    let text = screen(&base, &solids, Look::of_width(80));
    assert!(text.contains("this water is soft at most"), "{text}");
}

#[test]
fn the_colour_of_a_lamp_tells_how_blue_it_is() {
    let base = embedded::base();
    // LED-B3 of CIE 15:2018: 4102.5 K, 69.749970 lux for one micromole, 18.44 % blue.
    let found = balance(&base, &with(&base, "", "colour = \"4102.5 K\"", ""));
    assert!((value(&found, Quantity::Photons) - 700.0 / 69.749_97).abs() < 1e-9);
    assert!((value(&found, Quantity::Blue) - 18.44).abs() < 1e-9);
    // FL4, warm: 80.528872 lux for one micromole.
    let tube = with(
        &base,
        "",
        "kind = \"fluorescent\"\ncolour = \"2937.9 K\"",
        "",
    );
    let photons = value(&balance(&base, &tube), Quantity::Photons);
    assert!((photons - 700.0 / 80.528_872).abs() < 1e-9, "{photons}");
    let text = screen(&base, &tube, Look::of_width(80));
    assert!(
        text.contains("lamps of the kind \"fluorescent\" of 2938 K"),
        "{text}"
    );
    assert!(
        balance(&base, &with(&base, "", "", ""))
            .get(Quantity::Blue)
            .is_none()
    );
}

#[test]
fn layers_of_a_wall_add_up() {
    let base = embedded::base();
    let plywood = "material = \"plywood\", thickness = \"12 mm\"";
    let foam = "material = \"polystyrene\", thickness = \"25 mm\"";
    // One layer is what `material` gives: plywood at 20 °C inside and 16 °C behind, 0.13 either side, by hand:
    // 20 - 4 · 0.13 / (0.26 + 0.012 / 0.13) = 18.5240.
    let one = with(&base, "", "", &format!("layers = [{{ {plywood} }}]"));
    let same = with(
        &base,
        "",
        "",
        "material = \"plywood\"\nthickness = \"12 mm\"",
    );
    let face = |chamber: &Chamber| value(&balance(&base, chamber), Quantity::Wall);
    assert!((face(&one) - (20.0 - 4.0 * 0.13 / (0.26 + 0.012 / 0.13))).abs() < 1e-9);
    assert!((face(&one) - face(&same)).abs() < 1e-9);
    let off = |chamber: &Chamber| {
        balance(&base, chamber)
            .get(Quantity::Wall)
            .map(|one| one.deviation)
    };
    let (listed, plain) = (off(&one).expect("there"), off(&same).expect("there"));
    assert!((listed / plain - 1.0).abs() < 0.01, "{listed} {plain}");
    let both = with(
        &base,
        "",
        "",
        &format!("layers = [{{ {plywood} }}, {{ {foam} }}]"),
    );
    let resists = 0.012 / 0.13 + 0.025 / 0.035;
    assert!((value(&balance(&base, &both), Quantity::WallLayers) - resists).abs() < 1e-9);
    assert!((face(&both) - (20.0 - 4.0 * 0.13 / (0.26 + resists))).abs() < 1e-9);
    for (wall, said) in [
        (
            format!("material = \"plywood\"\nthickness = \"12 mm\"\nlayers = [{{ {foam} }}]"),
            "both say what the wall is made of",
        ),
        (
            "layers = [{ material = \"plywood\" }]".to_owned(),
            "needs `material` and `thickness`",
        ),
        (
            "layers = [{ material = \"plywod\", thickness = \"1 mm\" }]".to_owned(),
            "`wall.layers` cannot be `plywod`",
        ),
        (
            "layers = [{ material = \"plywood\", thickness = \"12 m\" }]".to_owned(),
            "`wall.layers` cannot be 12 m",
        ),
    ] {
        let text =
            format!("schema = \"blockside.profile/1\"\nvolume = \"500 L\"\n[wall]\n{wall}\n");
        let problems = parse(&base, "profile.toml", &text).expect_err("it cannot be");
        assert!(
            problems.iter().any(|one| one.message.contains(said)),
            "{said}: {problems:#?}"
        );
    }
}

#[test]
fn still_air_sets_what_a_cold_wall_takes_and_a_straight_fan_curve_is_said() {
    let base = embedded::base();
    // Churchill and Chu 1975 by ht 1.2.0: a face of 18 °C in air of 20 °C, here a film half-way to a room of 16 °C and
    // a metre high: between 1.90 for 1.5 m and 2.13 for half a metre.
    let found = balance(&base, &with(&base, "", "", ""));
    let convection = value(&found, Quantity::Convection);
    assert!((1.90..2.13).contains(&convection), "{convection}");
    assert!((value(&found, Quantity::Wall) - 18.0).abs() < 1e-9);
    // A tight bend costs more than a wide one, and an untold one lies between.
    let text = fs::read_to_string(fixture("crowded-tent.toml")).expect("there");
    let bent = |radius: &str| {
        let text = text.replace(
            "bends = 2",
            &format!("bends = 2\nbend-radius = \"{radius}\""),
        );
        value(&balance(&base, &chamber(&base, &text)), Quantity::Airflow)
    };
    let untold = value(
        &balance(&base, &read(&base, "crowded-tent.toml")),
        Quantity::Airflow,
    );
    assert!(bent("30 mm") < untold && untold < bent("150 mm"));
    // A fan known by flow and pressure alone is taken as a straight line, and that is said; points of its curve are
    // not.
    let ends = read(&base, "crowded-tent.toml");
    let said = "a straight line for the fan's curve";
    assert!(
        screen(&base, &ends, Look::of_width(80))
            .to_lowercase()
            .contains(said)
    );
    let points = text.replace(
        "flow = \"18 m3/h\"\npressure = \"14 Pa\"",
        "curve = [{ flow = \"0 m3/h\", pressure = \"14 Pa\" }, { flow = \"18 m3/h\", pressure = \"0 Pa\" }]",
    );
    assert_ne!(points, text);
    let known = chamber(&base, &points);
    assert!(
        !screen(&base, &known, Look::of_width(80))
            .to_lowercase()
            .contains(said)
    );
}
