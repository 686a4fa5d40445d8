//! What the journal has learned, as text: what moved, by how much, and from which cases.

use crate::engine::knowledge::KnowledgeBase;
use crate::engine::rates::{PersonalRate, Rates};
use crate::journal::learned::Tally;
use crate::report::page::{Ink, Look, Page};
use crate::report::words::{listed, unstopped};

/// What was learned.
#[derive(Debug, Clone, Copy)]
pub struct Learned<'a> {
    /// The knowledge whose rates were moved.
    pub base: &'a KnowledgeBase,
    /// Whether diagnoses use it.
    pub on: bool,
    /// The rates.
    pub rates: &'a Rates,
    /// What was counted.
    pub tally: &'a Tally,
}

/// What was learned, as text.
pub fn learned(shown: &Learned<'_>, look: Look) -> String {
    let mut page = Page::new(look);
    let cases = shown.tally.cases.len();
    let (state, how) = if shown.on {
        ("on: diagnoses use these rates", "off")
    } else {
        ("off: diagnoses use the shipped rates alone", "on")
    };
    page.paragraph(
        0,
        Ink::Strong,
        &format!("Learning is {state}. To change that: blockside cases learned --{how}"),
    );
    page.blank();
    if cases == 0 {
        page.paragraph(
            0,
            Ink::Usual,
            "No kept case says yet what it was in the end. `blockside follow-up CASE` asks for that.",
        );
        return page.finish();
    }
    page.paragraph(
        0,
        Ink::Usual,
        &format!(
            "How common each cause is taken to be with you, from {} in which a cause was found in the end. A shipped \
             rate counts as much as {} cases.",
            so_many(cases),
            shown.base.scale.numbers.pseudo_cases
        ),
    );
    let (found, others): (Vec<&PersonalRate>, Vec<&PersonalRate>) =
        shown.rates.iter().partition(|rate| rate.counted.found > 0);
    for rate in found {
        line(&mut page, shown, rate);
    }
    if look.detail {
        for rate in others {
            line(&mut page, shown, rate);
        }
    } else if !others.is_empty() {
        page.paragraph(
            2,
            Ink::Faint,
            &format!(
                "{} other causes were never found and count for a little less; --detail lists them.",
                others.len()
            ),
        );
    }
    page.finish()
}

fn line(page: &mut Page, shown: &Learned<'_>, rate: &PersonalRate) {
    let name = shown
        .base
        .causes
        .get(&rate.cause)
        .map_or(rate.cause.as_str(), |cause| unstopped(&cause.name));
    let mut text = format!("{name}: {}", moved(rate));
    if rate.counted.found > 0 {
        let ids = shown.tally.found_in(&rate.cause);
        text.push_str(&format!("; {}", listed(&ids)));
    }
    page.entry(2, "-", Ink::Usual, &text);
}

/// How a rate moved, and by what: `8.0 % shipped, now 11.5 %, found in 2 of 9 cases`.
pub fn moved(rate: &PersonalRate) -> String {
    format!(
        "{} shipped, now {}, found in {} of {}",
        tenths(rate.shipped),
        tenths(rate.used),
        rate.counted.found,
        so_many(rate.counted.of as usize)
    )
}

/// Rates are small, and move by less than a hundredth: a decimal more than other shares.
fn tenths(share: f64) -> String {
    format!("{:.1} %", share * 100.0)
}

fn so_many(cases: usize) -> String {
    match cases {
        1 => "1 case".to_owned(),
        cases => format!("{cases} cases"),
    }
}
