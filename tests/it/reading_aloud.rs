//! The cautions read aloud: every number they print and every threshold they listen to, against figures kept apart from the
//! knowledge with what published them; and the bleach they name, against dilutions computed here.

use std::collections::BTreeSet;
use std::fs;

use blockside::engine::condition::{Condition, Limit, Proposition, Side};
use blockside::engine::formula::evaluate;
use blockside::engine::knowledge::{Caution, FormulaName, KnowledgeBase};
use blockside::knowledge::embedded;
use toml::{Table, Value};

fn fixture() -> Table {
    let path = concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/fixtures/reference/cautions.toml"
    );
    let text = fs::read_to_string(path).expect("the figures are there");
    text.parse().expect("the figures are TOML")
}

fn entries<'t>(fixture: &'t Table, kind: &str) -> Vec<&'t Table> {
    let list = fixture[kind].as_array().expect("a list of entries");
    list.iter()
        .map(|entry| entry.as_table().expect("an entry"))
        .collect()
}

fn text<'t>(entry: &'t Table, key: &str) -> &'t str {
    entry[key]
        .as_str()
        .unwrap_or_else(|| panic!("{key} of {entry} is a text"))
}

fn number(value: &Value) -> f64 {
    let whole = value.as_integer().map(|whole| whole as f64);
    value.as_float().or(whole).expect("a number")
}

/// Everything a caution prints.
fn printed(caution: &Caution) -> String {
    let more = [&caution.special_risk, &caution.grounds.differ];
    let more = more.into_iter().flatten().map(String::as_str);
    std::iter::once(caution.text.as_str())
        .chain(more)
        .collect::<Vec<_>>()
        .join(" | ")
}

/// The numbers of a text, each with the size of its last place; thousands are set apart by a space.
fn numbers(text: &str) -> Vec<(f64, f64)> {
    let characters: Vec<char> = text.chars().collect();
    let digit = |at: usize| characters.get(at).is_some_and(char::is_ascii_digit);
    let mut found = Vec::new();
    let mut at = 0;
    while at < characters.len() {
        if !digit(at) {
            at += 1;
            continue;
        }
        let mut digits = String::new();
        let mut places = None;
        loop {
            if digit(at) {
                digits.push(characters[at]);
                places = places.map(|places: i32| places + 1);
                at += 1;
            } else if characters.get(at) == Some(&'.') && digit(at + 1) && places.is_none() {
                digits.push('.');
                places = Some(0);
                at += 1;
            } else if characters.get(at) == Some(&' ')
                && (1..=3).all(|next| digit(at + next))
                && !digit(at + 4)
            {
                at += 1;
            } else {
                break;
            }
        }
        let rest: String = characters[at..].iter().take(8).collect();
        let times = if rest == " million" { 1e6 } else { 1.0 };
        let value: f64 = digits.parse().expect("digits are a number");
        found.push((value * times, times * 10_f64.powi(-places.unwrap_or(0))));
    }
    found
}

/// Years stand for nothing but themselves.
fn without_years(text: &str) -> String {
    let parts: Vec<&str> = text
        .split_inclusive(|c: char| !c.is_ascii_digit())
        .collect();
    let year = |part: &&str| {
        let digits = part.trim_end_matches(|c: char| !c.is_ascii_digit());
        digits.len() == 4 && (digits.starts_with("19") || digits.starts_with("20"))
    };
    parts.into_iter().filter(|part| !year(part)).collect()
}

#[test]
fn every_figure_of_a_caution_agrees_with_what_was_published() {
    let (base, fixture) = (embedded::base(), fixture());
    for figure in entries(&fixture, "figure") {
        let (caution, reads) = (text(figure, "caution"), text(figure, "reads"));
        let entry = base.cautions.get(caution);
        let entry = entry.unwrap_or_else(|| panic!("there is no caution {caution}"));
        assert!(
            printed(entry).contains(reads),
            "{caution} no longer reads `{reads}`"
        );
        let published = figure["published"].as_array().expect("a list of figures");
        let numbers = numbers(reads);
        assert_eq!(numbers.len(), published.len(), "{caution}: {reads}");
        let rounded_to = figure.get("rounded-to").map_or(0.0, number);
        for ((value, place), published) in numbers.into_iter().zip(published) {
            let apart = (value - number(published)).abs();
            assert!(
                apart <= place.max(rounded_to) / 2.0 + 1e-9,
                "{caution}: {value} is not {published}"
            );
        }
        assert!(!text(figure, "source").is_empty() && !text(figure, "quantity").is_empty());
    }
}

#[test]
fn no_caution_prints_a_number_that_nobody_looked_up() {
    let (base, fixture) = (embedded::base(), fixture());
    let names = fixture["names"].as_array().expect("a list of names");
    for (id, caution) in &base.cautions {
        let mut rest = printed(caution);
        for name in names {
            rest = rest.replace(name.as_str().expect("a name"), "");
        }
        let figures = entries(&fixture, "figure");
        let mut reads: Vec<&str> = figures
            .iter()
            .filter(|figure| text(figure, "caution") == id.as_str())
            .map(|figure| text(figure, "reads"))
            .collect();
        // The longest first, so that none is cut out of a longer one.
        reads.sort_by_key(|reads| std::cmp::Reverse(reads.len()));
        for reads in reads {
            rest = rest.replace(reads, "");
        }
        let rest = without_years(&rest);
        assert!(
            !rest.contains(|c: char| c.is_ascii_digit()),
            "{id} prints more: {rest}"
        );
    }
}

/// Every limit in the rules of cautions, as caution, reading, side and number.
fn thresholds(base: &KnowledgeBase) -> BTreeSet<(String, String, &'static str, u64)> {
    let mut found = BTreeSet::new();
    for (id, caution) in &base.cautions {
        let conditions = caution.rules.iter().map(|trigger| &trigger.when);
        for literal in conditions.flat_map(Condition::literals) {
            let Proposition::Reading(comparison) = &literal.proposition else {
                continue;
            };
            let side = match comparison.side {
                Side::Above => "above",
                Side::Below => "below",
            };
            let Limit::Fixed(limit) = comparison.limit else {
                panic!("{id} listens to a limit of the species");
            };
            found.insert((
                id.to_string(),
                comparison.reading.to_string(),
                side,
                limit.to_bits(),
            ));
        }
    }
    found
}

#[test]
fn every_threshold_that_a_caution_listens_to_is_a_published_one() {
    let (base, fixture) = (embedded::base(), fixture());
    let listed: BTreeSet<_> = entries(&fixture, "threshold")
        .into_iter()
        .map(|entry| {
            let side = if text(entry, "side") == "above" {
                "above"
            } else {
                "below"
            };
            let (caution, reading) = (text(entry, "caution"), text(entry, "reading"));
            let unit = base.readings[reading].unit.symbol();
            assert_eq!(text(entry, "unit"), unit, "{reading}");
            let limit = number(&entry["limit"]).to_bits();
            (caution.to_owned(), reading.to_owned(), side, limit)
        })
        .collect();
    assert_eq!(thresholds(&base), listed);
}

/// Bleach in millilitres that makes up a litre of this strength.
fn millilitres(percent: f64, ppm: f64) -> f64 {
    let inputs = |name: &str| match name {
        "strength" => Some((percent, 0.0)),
        "target" => Some((ppm, 0.0)),
        "volume" => Some((1.0, 0.0)),
        _ => None,
    };
    evaluate(FormulaName::Dilution, &inputs, None)
        .expect("all inputs are there")
        .0
}

/// Available strength times volume stays the same: C1 V1 = C2 V2, one per cent being 10 g/L or 10,000 ppm.
#[test]
fn bleach_dilutions_agree_with_the_computed_table() {
    // Millilitres of bleach made up to a litre, to a tenth; columns are 5, 5.25, 6, 7.5, 8.25 and 9 %.
    let strengths = [5.0, 5.25, 6.0, 7.5, 8.25, 9.0];
    for (ppm, row) in [
        (100.0, [2.0, 1.9, 1.7, 1.3, 1.2, 1.1]),
        (200.0, [4.0, 3.8, 3.3, 2.7, 2.4, 2.2]),
        (500.0, [10.0, 9.5, 8.3, 6.7, 6.1, 5.6]),
        (1000.0, [20.0, 19.0, 16.7, 13.3, 12.1, 11.1]),
        (2000.0, [40.0, 38.1, 33.3, 26.7, 24.2, 22.2]),
        (3000.0, [60.0, 57.1, 50.0, 40.0, 36.4, 33.3]),
        (5000.0, [100.0, 95.2, 83.3, 66.7, 60.6, 55.6]),
    ] {
        for (percent, wanted) in strengths.into_iter().zip(row) {
            let found = millilitres(percent, ppm);
            assert!(
                (found - wanted).abs() <= 0.05 + 1e-9,
                "{percent} % to {ppm} ppm: {found}"
            );
            let given_back = found / 1000.0 * percent * 10_000.0;
            assert!(
                (given_back - ppm).abs() < 1e-9 * ppm,
                "{given_back} is not {ppm}"
            );
        }
    }
}

/// Wherever the knowledge says how many millilitres of which bleach, the strength that comes of it must be the one meant.
#[test]
fn amounts_of_bleach_in_the_knowledge_give_the_strength_they_are_said_to() {
    let base = embedded::base();
    let mut read = 0;
    let actions = base.actions.values().map(|action| {
        let amount = action
            .amount
            .as_ref()
            .map(|amount| amount.otherwise.as_str());
        format!("{} {}", action.text, amount.unwrap_or_default())
    });
    let cautions = base.cautions.values().map(printed);
    for said in actions
        .chain(cautions)
        .filter(|said| said.contains("bleach"))
    {
        for (at, _) in said.match_indices(" mL of ") {
            let before = said[..at]
                .rsplit(' ')
                .next()
                .expect("something stands before it");
            let after = said[at + " mL of ".len()..]
                .split(' ')
                .next()
                .expect("and behind it");
            let (Ok(amount), Ok(percent)) = (before.parse::<f64>(), after.parse::<f64>()) else {
                continue;
            };
            // The two strengths that are named, whichever is nearer.
            let ppm = amount / 1000.0 * percent * 10_000.0;
            let meant = if ppm < 300.0 { 100.0 } else { 1000.0 };
            let exact = millilitres(percent, meant);
            assert!(
                (amount - exact).abs() <= 0.5,
                "{amount} mL of {percent} % is not {meant} ppm"
            );
            read += 1;
        }
    }
    assert!(read >= 5, "only {read} amounts were found");
}
