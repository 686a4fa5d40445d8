//! Names of kept cases: the day, and a number within it. They sort by time and are short to type.

use std::collections::BTreeSet;

use jiff::civil::Date;

/// The digits of the number: in this order they sort as text does.
const DIGITS: &[u8; 36] = b"0123456789abcdefghijklmnopqrstuvwxyz";
/// The most digits of a number.
///
/// judgement: two are enough for a thousand cases a day, six for more than anybody will bring in.
const MOST_DIGITS: usize = 6;

/// The first number of a day.
const FIRST: &str = "01";

/// Whether a text is the name of a kept case: `20260304-01`. No name reaches out of the folder.
pub fn is_id(text: &str) -> bool {
    let Some((day, number)) = text.split_once('-') else {
        return false;
    };
    day.len() == 8
        && day.bytes().all(|byte| byte.is_ascii_digit())
        && (2..=MOST_DIGITS).contains(&number.len())
        && number.bytes().all(|byte| DIGITS.contains(&byte))
}

/// The next name on a day, after those there are; where none is left behind them, the first between them.
pub fn next(day: Date, taken: &BTreeSet<String>) -> String {
    let (year, month, date) = (day.year().max(0), day.month(), day.day());
    let day = format!("{year:04}{month:02}{date:02}-");
    let last = taken.iter().filter_map(|id| id.strip_prefix(&day)).max();
    let mut id = format!("{day}{}", last.map_or_else(|| FIRST.to_owned(), after));
    if !is_id(&id) {
        let mut number = FIRST.to_owned();
        id = format!("{day}{number}");
        // There are more names than any folder holds files.
        while taken.contains(&id) {
            number = after(&number);
            id = format!("{day}{number}");
        }
    }
    id
}

/// The number after this one: as people count up to `99`, and with letters behind that.
fn after(number: &str) -> String {
    let decimal = number.len() == 2 && number.bytes().all(|byte| byte.is_ascii_digit());
    if let (true, Ok(number @ 0..=98)) = (decimal, number.parse::<u32>()) {
        return format!("{:02}", number + 1);
    }
    if decimal {
        return "a0".to_owned();
    }
    let mut digits = number.as_bytes().to_vec();
    for at in (0..digits.len()).rev() {
        let place = DIGITS.iter().position(|digit| *digit == digits[at]);
        match place.and_then(|place| DIGITS.get(place + 1)) {
            Some(next) => {
                digits[at] = *next;
                return String::from_utf8_lossy(&digits).into_owned();
            }
            None => digits[at] = DIGITS[0],
        }
    }
    // Every digit was the last one: longer names sort behind it.
    format!("{number}00")
}

/// The names that a word stands for: the one it is, or those that begin or end with it.
pub fn meant<'n>(word: &str, ids: impl Iterator<Item = &'n str> + Clone) -> Vec<&'n str> {
    if let Some(exact) = ids.clone().find(|id| *id == word) {
        return vec![exact];
    }
    ids.filter(|id| !word.is_empty() && (id.starts_with(word) || id.ends_with(word)))
        .collect()
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use jiff::civil::date;

    use super::{is_id, meant, next};

    #[test]
    fn names_of_one_day_are_all_different_and_sort_by_time() {
        let day = date(2028, 2, 29);
        let mut taken = BTreeSet::new();
        let mut names: Vec<String> = Vec::new();
        for _ in 0..2500 {
            let name = next(day, &taken);
            assert!(is_id(&name), "{name}");
            assert!(names.last().is_none_or(|last| *last < name), "{name}");
            taken.insert(name.clone());
            names.push(name);
        }
        assert_eq!(names[0], "20280229-01");
        assert_eq!(names[9], "20280229-10");
        assert_eq!(
            names[98..101],
            ["20280229-99", "20280229-a0", "20280229-a1"]
        );
        let later = next(date(2028, 3, 1), &taken);
        assert!(later > names[2499] && later == "20280301-01");
    }

    // A name from another journal may be the last one there can be.
    #[test]
    fn behind_the_last_name_of_all_the_free_ones_are_given() {
        let mut taken = BTreeSet::from(["20280229-zzzzzz".to_owned(), "20280229-01".to_owned()]);
        for expected in ["20280229-02", "20280229-03"] {
            let name = next(date(2028, 2, 29), &taken);
            assert_eq!(name, expected);
            taken.insert(name);
        }
    }

    #[test]
    fn nothing_that_reaches_elsewhere_is_a_name() {
        for text in [
            "",
            "-",
            "..",
            "../20280229-01",
            "20280229-01/..",
            "20280229-..",
            "20280229-0\0",
            "20280229-01.toml",
            "20280229-0A",
            "2028022-01",
            "20280229",
            "20280229-1",
            "C:20280229-01",
            "20280229-01 ",
            "２０２８０２２９-01",
            "20280229-0000000",
            "120280229-01",
        ] {
            assert!(!is_id(text), "{text:?}");
        }
    }

    #[test]
    fn a_name_can_be_cut_short_where_only_one_is_meant() {
        let ids = ["20280229-01", "20280229-02", "20280301-01"];
        let find = |word| meant(word, ids.into_iter());
        assert_eq!(find("20280301"), ["20280301-01"]);
        assert_eq!(find("29-02"), ["20280229-02"]);
        assert_eq!(find("02"), ["20280229-02"]);
        assert_eq!(find("20280229-01"), ["20280229-01"]);
        assert_eq!(find("01").len(), 2);
        assert_eq!(find("x").len(), 0);
        assert_eq!(find("").len(), 0);
    }
}
