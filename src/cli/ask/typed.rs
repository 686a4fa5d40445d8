//! The same choices on a terminal that cannot move its cursor: a numbered list, and an answer typed as a line.

use std::io::{self, BufRead, Write};

use dialoguer::console::Term;

use crate::cli::ask::list::{List, Picked};

/// Columns before an item.
const INDENT: usize = 4;

/// Whether the terminal can only print line below line.
pub fn is_dumb() -> bool {
    std::env::var_os("TERM").is_some_and(|name| name == "dumb")
}

/// Reads a line without its end.
///
/// # Errors
/// What the terminal says; end of input as `UnexpectedEof`.
pub fn line(term: &Term, prompt: &str) -> io::Result<String> {
    (&*term).write_all(prompt.as_bytes())?;
    term.flush()?;
    let mut typed = String::new();
    if io::stdin().lock().read_line(&mut typed)? == 0 {
        return Err(io::ErrorKind::UnexpectedEof.into());
    }
    Ok(typed.trim().to_owned())
}

/// Puts a list as numbered lines and takes a number, the first letters of a line, or one of the keys.
///
/// # Errors
/// As [`line()`].
pub fn pick(list: &List<'_>, term: &Term) -> io::Result<Picked> {
    let mut text = String::new();
    for (number, item) in list.items.iter().enumerate() {
        text.push_str(&format!(
            "{:>3} {}\n",
            number + 1,
            textwrap::wrap(item, list.width.saturating_sub(INDENT)).join("\n    ")
        ));
    }
    text.push_str(&list.foot(list.width));
    (&*term).write_all(text.as_bytes())?;
    let prompt = if list.several {
        "Numbers, or a letter> "
    } else {
        "Number or letter> "
    };
    loop {
        let typed = line(term, prompt)?;
        match understood(list, &typed) {
            Some(picked) => return Ok(picked),
            None => {
                let said = format!("`{typed}` is none of these.\n");
                (&*term).write_all(said.as_bytes())?;
            }
        }
    }
}

/// What was typed as a choice; `None` where it is none.
fn understood(list: &List<'_>, typed: &str) -> Option<Picked> {
    let small = typed.to_lowercase();
    let mut letters = small.chars();
    if let (Some(letter), None) = (letters.next(), letters.next()) {
        if list.hot.iter().any(|hot| hot.key == letter) {
            return Some(Picked::Hot(letter));
        }
        if let Some(place) = list.quick.iter().position(|key| *key == letter) {
            return Some(Picked::One(place));
        }
    }
    let number = |word: &str| {
        let number: usize = word.parse().ok()?;
        number
            .checked_sub(1)
            .filter(|&place| place < list.items.len())
    };
    if list.several {
        let places: Option<Vec<usize>> = small
            .split([' ', ','])
            .filter(|word| !word.is_empty())
            .map(number)
            .collect();
        return places.map(Picked::Marked);
    }
    if small.is_empty() {
        return None;
    }
    let found = |at: fn(&str, &str) -> bool| {
        let mut places = (0..list.items.len()).filter(|&place| {
            let item = list.items[place].to_lowercase();
            at(&item, &small)
                || list
                    .found_by
                    .get(place)
                    .is_some_and(|text| at(&text.to_lowercase(), &small))
        });
        // Only where it is clear which one is meant.
        places.next().filter(|_| places.next().is_none())
    };
    number(&small)
        .or_else(|| found(|item, typed| item == typed))
        .or_else(|| found(|item, typed| item.starts_with(typed)))
        .or_else(|| found(|item, typed| item.contains(typed)))
        .map(Picked::One)
}

#[cfg(test)]
mod tests {
    use super::understood;
    use crate::cli::ask::list::{Hot, List, Picked};

    #[test]
    fn a_line_is_taken_as_number_letter_or_name() {
        let items = ["yes", "no", "not sure"].map(str::to_owned);
        let hot = [Hot {
            key: 'w',
            word: "why",
        }];
        let list = List {
            items: &items,
            leads: &[],
            found_by: &[],
            several: false,
            hot: &hot,
            quick: &['y', 'n', 'u'],
            above: 0,
            width: 80,
            colour: false,
        };
        for (typed, picked) in [
            ("2", Some(Picked::One(1))),
            ("y", Some(Picked::One(0))),
            ("yes", Some(Picked::One(0))),
            ("No", Some(Picked::One(1))),
            ("not", Some(Picked::One(2))),
            ("w", Some(Picked::Hot('w'))),
            ("", None),
            ("4", None),
            ("perhaps", None),
        ] {
            assert_eq!(understood(&list, typed), picked, "{typed}");
        }
        let several = List {
            several: true,
            ..list
        };
        assert_eq!(
            understood(&several, "1, 3"),
            Some(Picked::Marked(vec![0, 2]))
        );
        assert_eq!(understood(&several, ""), Some(Picked::Marked(Vec::new())));
        assert_eq!(understood(&several, "1 9"), None);
    }
}
