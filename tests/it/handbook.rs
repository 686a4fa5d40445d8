//! The handbook: looking up, comparing, and what it says where nothing or too much fits.

use blockside::engine::id::CauseId;
use blockside::engine::knowledge::Cause;
use blockside::engine::quantity::System;
use blockside::knowledge::embedded;
use blockside::report::handbook::compare::beside;
use blockside::report::handbook::{Book, Entry, Looked, look_up};
use blockside::report::page::Look;

use crate::small;
use crate::world::{Ran, World, assert_clean};

fn page(args: &[&str]) -> String {
    let ran = World::new().run(&[&["handbook"], args].concat());
    assert_eq!(ran.status, 0, "{}", ran.err);
    ran.out
}

#[test]
fn the_front_page_counts_entries_and_shows_how_to_look_them_up() {
    let base = small::base();
    let front = page(&[]);
    let flat = front.split_whitespace().collect::<Vec<_>>().join(" ");
    for part in [
        base.fingerprint.as_str(),
        &format!("{} causes,", base.causes.len()),
        &format!("{} species,", base.species.len()),
        "All entries:",
        "All numbers:",
        "blockside handbook compare",
    ] {
        assert!(flat.contains(part), "{part} is missing in: {flat}");
    }
}

#[test]
fn every_example_of_the_front_page_works() {
    let world = World::new();
    let mut command = world.bare();
    command.arg("handbook");
    let front = Ran::of(command).out;
    let mut tried = 0;
    for line in front.lines() {
        let Some(words) = line.trim().strip_prefix("blockside handbook ") else {
            continue;
        };
        let mut command = world.bare();
        command.arg("handbook").args(words.split(' '));
        let ran = Ran::of(command);
        assert_eq!(ran.status, 0, "{words}: {}", ran.err);
        tried += 1;
    }
    assert_eq!(tried, 3, "{front}");
}

#[test]
fn a_species_a_sign_and_a_cause_read_well() {
    insta::assert_snapshot!("handbook-species", page(&["grey oyster", "--detail"]));
    insta::assert_snapshot!("handbook-sign", page(&["long-stems"]));
    insta::assert_snapshot!("handbook-cause", page(&["stale-air"]));
}

#[test]
fn an_action_and_a_caution_read_well() {
    insta::assert_snapshot!("handbook-action", page(&["bag-and-remove-block"]));
    insta::assert_snapshot!("handbook-caution", page(&["mould-handling"]));
}

#[test]
fn two_causes_stand_side_by_side_with_the_best_check_first() {
    let compared = page(&["compare", "stale-air", "too-dark"]);
    insta::assert_snapshot!("handbook-compare", compared);
}

/// What the knowledge names to tell two causes apart must be the first thing that a comparison shows.
#[test]
fn what_tells_look_alikes_apart_comes_first() {
    let base = embedded::base();
    let look = Look::of_width(80);
    let book = Book {
        base: &base,
        system: System::Metric,
        look,
    };
    let mut pairs = 0;
    for (id, cause) in &base.causes {
        for other in &cause.look_alikes {
            let (other, _) = base
                .causes
                .get_key_value(&other.cause)
                .expect("checked by the builder");
            let rows = beside(book, id, other);
            let first = rows.first().expect("they show something");
            let named = |from: &Cause, to: &CauseId| {
                from.look_alikes
                    .iter()
                    .any(|look| look.cause == *to && look.told_apart_by == *first.finding)
            };
            assert!(
                named(cause, other) || named(&base.causes[other], id),
                "{id} and {other}"
            );
            pairs += 1;
        }
    }
    assert!(pairs > 50, "{pairs}");
}

#[test]
fn every_entry_has_a_page_that_fits_and_is_found_by_its_id() {
    let base = embedded::base();
    let look = Look::of_width(60);
    let book = Book {
        base: &base,
        system: System::Imperial,
        look,
    };
    let ids = base
        .species
        .keys()
        .map(ToString::to_string)
        .chain(base.signs.keys().map(ToString::to_string))
        .chain(base.causes.keys().map(ToString::to_string))
        .chain(base.actions.keys().map(ToString::to_string))
        .chain(base.cautions.keys().map(ToString::to_string));
    for id in ids {
        let Looked::Found(found) = look_up(&base, &id) else {
            panic!("{id} is not found by its own id");
        };
        assert!(found.iter().any(|entry| entry.id() == id), "{id}");
        let text = book.pages(&found);
        assert_clean(&text);
        assert!(text.lines().count() > 3, "{id}: {text}");
        assert!(!text.contains("{value}"), "{id}: {text}");
        for line in text.lines() {
            assert!(line.chars().count() <= 60, "{id}: {line}");
        }
    }
}

#[test]
fn names_lay_words_and_parts_find_an_entry() {
    let base = embedded::base();
    let one = |typed: &str| match look_up(&base, typed) {
        Looked::Found(found) => found.iter().map(|entry| entry.id().to_owned()).collect(),
        other => panic!("{typed}: {other:?}"),
    };
    let (id, species) = base.species.first().expect("there are species");
    let by_name: Vec<String> = one(&species.latin.to_uppercase());
    assert_eq!(by_name, [id.to_string()]);
    let alone = base
        .signs
        .iter()
        .flat_map(|(id, sign)| sign.words.iter().map(move |word| (id, word)))
        .find(|(_, word)| matches!(look_up(&base, word), Looked::Found(found) if matches!(found[..], [Entry::Sign(_)])));
    let (id, word) = alone.expect("a lay word that one sign has");
    assert_eq!(one(word), vec![id.to_string()]);
}

#[test]
fn unknown_and_unclear_words_are_refused_with_what_could_be_meant() {
    let world = World::new();
    world
        .run(&["handbook", "stail-air"])
        .refused(2, &["nothing called `stail-air`", "stale-air (cause)"]);
    world
        .run(&["handbook", "qqqqqq"])
        .refused(2, &["nothing called", "knowledge list"]);
    world
        .run(&["handbook", "mould"])
        .refused(2, &["several entries fit", "(cause)"]);
    world
        .run(&["handbook", "compare", "stale-air"])
        .refused(2, &["compare A B"]);
    world
        .run(&["handbook", "compare", "stale-air", "stale-air"])
        .refused(2, &["itself"]);
    world
        .run(&["handbook", "compare", "stale-air", "long-stems"])
        .refused(2, &["no cause"]);
    world
        .run(&["handbook", "\u{1b}[31m\u{202e}"])
        .refused(2, &["nothing called"]);
    world
        .run(&["handbook", "--format", "json"])
        .refused(2, &["knowledge list KIND"]);
}
