//! Profiles of chambers.

use blockside::engine::chamber::balance::balance;
use blockside::engine::chamber::facts::facts;
use blockside::engine::chamber::profile::Chamber;
use blockside::engine::chamber::quantity::Quantity;
use blockside::engine::chamber::what_if::{changed, parse as change};
use blockside::engine::observations::Observations;
use blockside::engine::quantity::System;
use blockside::journal::chamber::parse;
use blockside::knowledge::build::SourceFile;
use blockside::report::balance::{Balanced, report};
use blockside::report::json;

use crate::targets::shown::{BASE, REASONER, clean, diagnosed, faulty, is_json, look, text_of};

/// A profile is refused at a place in it, or its balance has numbers that can be counted with.
pub fn run(data: &[u8]) {
    let text = text_of(data);
    let chamber = match parse(&BASE, "profile.toml", text) {
        Ok(chamber) => chamber,
        Err(problems) => {
            assert!(!problems.is_empty());
            let file = SourceFile {
                name: "profile.toml".to_owned(),
                text: text.to_owned(),
                layer: 0,
            };
            return faulty(&problems, &[file]);
        }
    };
    balanced(&chamber);
    for typed in ["fan=2x", "set-point=90 %", "duct-length=none", "blocks=1"] {
        let change = change(typed).expect("a change");
        if let Ok(after) = changed(&BASE, &chamber, &[change]) {
            balanced(&after);
        }
    }
}

fn balanced(chamber: &Chamber) {
    let balance = balance(&BASE, chamber);
    for &quantity in Quantity::ALL.iter() {
        let Some(found) = balance.get(quantity) else {
            continue;
        };
        let numbers = [found.value, found.deviation, found.low, found.high];
        assert!(
            numbers.iter().all(|one| one.is_finite()),
            "{quantity:?}: {found:?}"
        );
        assert!(
            found.deviation >= 0.0 && found.low <= found.high,
            "{quantity:?}: {found:?}"
        );
    }
    let facts = facts(&BASE, chamber, &balance);
    let shown = Balanced {
        base: &BASE,
        chamber,
        balance: &balance,
        facts: &facts,
        system: System::Imperial,
    };
    clean(&report(&shown, look()));
    is_json(&json::balance(&shown, None));
    let mut told = Observations::default();
    told.add_profile(chamber, &facts);
    diagnosed(&REASONER, &told);
}
