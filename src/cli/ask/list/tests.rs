//! Lists, key by key.

use dialoguer::console::{Key, measure_text_width};

use super::{Hot, List, Picked, State, heights};

const HOT: &[Hot] = &[
    Hot {
        key: 'w',
        word: "why do you ask?",
    },
    Hot {
        key: 'b',
        word: "back",
    },
];

fn list<'a>(items: &'a [String], found_by: &'a [String]) -> List<'a> {
    List {
        items,
        leads: &[],
        found_by,
        several: false,
        hot: if found_by.is_empty() { HOT } else { &[] },
        quick: &['y', 'n'],
        above: 3,
        width: 80,
        colour: false,
    }
}

fn many() -> Vec<String> {
    (0..40)
        .map(|number| format!("choice {number} with some more words behind it"))
        .collect()
}

fn press(list: &List<'_>, state: &mut State, keys: &[Key]) -> Option<Picked> {
    let mut picked = None;
    for key in keys {
        picked = list.take(state, key).expect("no end of input");
    }
    picked
}

fn fresh(list: &List<'_>) -> State {
    State {
        marked: vec![false; list.items.len()],
        ..State::default()
    }
}

#[test]
fn single_keys_answer_without_enter() {
    let items = ["yes", "no", "not sure"].map(str::to_owned);
    let list = list(&items, &[]);
    for (key, picked) in [
        ('n', Picked::One(1)),
        ('Y', Picked::One(0)),
        ('3', Picked::One(2)),
        ('w', Picked::Hot('w')),
    ] {
        let state = &mut fresh(&list);
        assert_eq!(press(&list, state, &[Key::Char(key)]), Some(picked));
    }
    for key in [Key::Char('x'), Key::Char('4'), Key::Char('0'), Key::Unknown] {
        let state = &mut fresh(&list);
        assert_eq!(press(&list, state, &[key]), None);
    }
    assert!(list.take(&mut fresh(&list), &Key::Char('\u{4}')).is_err());
}

#[test]
fn what_is_typed_finds_a_name_and_leaves_the_other_answers_in_sight() {
    let items = ["I do not know", "Grey oyster", "Shiitake", "back"].map(str::to_owned);
    let found_by = ["", "grey oyster pearl", "shiitake oak", ""].map(str::to_owned);
    let list = list(&items, &found_by);
    let mut state = fresh(&list);
    let keys = ["p", "e", "a"].map(|key| Key::Char(key.chars().next().unwrap_or(' ')));
    assert_eq!(press(&list, &mut state, &keys), None);
    let drawn = list.drawn(&mut state, 24, 80);
    assert!(drawn.contains("find: pea"), "{drawn}");
    assert!(drawn.contains("> Grey oyster"), "{drawn}");
    assert!(!drawn.contains("Shiitake"), "{drawn}");
    assert!(drawn.contains("back"), "{drawn}");
    assert_eq!(
        press(&list, &mut state, &[Key::Enter]),
        Some(Picked::One(1))
    );
    // Esc takes the search back before it goes back itself.
    assert_eq!(press(&list, &mut state, &[Key::Escape]), None);
    assert_eq!(
        press(&list, &mut state, &[Key::Escape]),
        Some(Picked::Escape)
    );
}

#[test]
fn several_are_marked_with_the_space_bar() {
    let items = many();
    let list = List {
        several: true,
        ..list(&items, &[])
    };
    let mut state = fresh(&list);
    let keys = [
        Key::Char(' '),
        Key::ArrowDown,
        Key::ArrowDown,
        Key::Char(' '),
        Key::ArrowUp,
        Key::Char(' '),
        Key::Char(' '),
        Key::Enter,
    ];
    let picked = press(&list, &mut state, &keys);
    assert_eq!(picked, Some(Picked::Marked(vec![0, 2])));
}

#[test]
fn the_line_that_is_meant_is_in_sight_on_every_screen_and_fits_it() {
    let items = many();
    let list = list(&items, &[]);
    for (rows, columns) in [(24, 80), (20, 40), (10, 30), (6, 12), (1, 1)] {
        let mut state = fresh(&list);
        for step in 0..90 {
            let drawn = list.drawn(&mut state, rows, columns);
            assert!(drawn.contains("> "), "{rows} x {columns}, {step}: {drawn}");
            if rows >= 10 {
                // The cursor waits below, and the question stays above where there is room.
                assert!(
                    heights(&drawn, columns) < rows,
                    "{rows} x {columns}: {drawn}"
                );
            }
            if columns >= 30 {
                let widest = drawn.lines().map(measure_text_width).max();
                assert!(widest <= Some(columns), "{columns}: {drawn}");
            }
            let key = if step < 50 {
                Key::ArrowDown
            } else {
                Key::ArrowUp
            };
            press(&list, &mut state, &[key]);
        }
    }
}
