//! Two settings side by side.

use crate::engine::chamber::balance::Standing;
use crate::engine::chamber::quantity::Quantity;
use crate::engine::quantity::Unit;
use crate::report::balance::{Balanced, is_worth_a_line, plain, shown, summary};
use crate::report::page::{Ink, Look, Page};
use crate::report::words::sentence;

/// What differs between the chamber as it is and as it would be.
pub fn comparison(
    now: &Balanced<'_>,
    then: &Balanced<'_>,
    changes: &[String],
    look: Look,
) -> String {
    let mut page = Page::new(look);
    page.heading(Ink::Strong, &format!("What if {}", changes.join(", ")));
    let rows: Vec<[String; 3]> = shown()
        .filter(|&one| is_worth_a_line(now, one) || is_worth_a_line(then, one))
        .filter_map(|quantity| row(now, then, quantity))
        .collect();
    if rows.is_empty() {
        page.paragraph(2, Ink::Usual, "Nothing that can be worked out changes.");
    } else {
        table(&mut page, &rows);
    }
    page.blank();
    page.paragraph(0, Ink::Strong, "Then");
    for (standing, text) in summary(then) {
        let fine = standing == Standing::Fine;
        let (mark, ink) = if fine {
            ("+", Ink::Good)
        } else {
            ("!", Ink::Care)
        };
        page.entry(2, mark, ink, &text);
    }
    page.finish()
}

fn row(now: &Balanced<'_>, then: &Balanced<'_>, quantity: Quantity) -> Option<[String; 3]> {
    let shown = |of: &Balanced<'_>| {
        of.balance.get(quantity).map_or_else(
            || "-".to_owned(),
            |value| plain(quantity, value.value, of.system),
        )
    };
    let (before, after) = (shown(now), shown(then));
    // A reading that was taken at the present setting has no counterpart.
    let measured = matches!(quantity, Quantity::Co2 | Quantity::Humidity);
    (before != after && !measured && differs(now, then, quantity))
        .then(|| [quantity.name().to_owned(), before, after])
}

/// Whether a change is large enough to speak of: a hundredth, or a tenth of a degree.
fn differs(now: &Balanced<'_>, then: &Balanced<'_>, quantity: Quantity) -> bool {
    let (Some(before), Some(after)) = (now.balance.get(quantity), then.balance.get(quantity))
    else {
        return true;
    };
    let least = match quantity.unit() {
        Unit::Celsius => 0.1,
        _ => 0.01 * before.value.abs(),
    };
    (after.value - before.value).abs() > least
}

/// Three columns where they fit, otherwise the numbers below their name.
fn table(page: &mut Page, rows: &[[String; 3]]) {
    let widest = |column: usize| {
        rows.iter()
            .map(|row| textwrap::core::display_width(&row[column]))
            .max()
            .unwrap_or(0)
    };
    let (name, before) = (widest(0), widest(1).max("now".len()));
    let after = widest(2).max("then".len());
    if 2 + name + 2 + before + 2 + after > page.look().width {
        for [name, before, after] in rows {
            page.entry(2, "", Ink::Usual, &sentence(name));
            page.entry(4, "", Ink::Usual, &format!("now {before}, then {after}"));
        }
        return;
    }
    let pad = |text: &str, width: usize| {
        let gap = width.saturating_sub(textwrap::core::display_width(text));
        format!("{text}{}", "\u{a0}".repeat(gap))
    };
    let line = |name_text: &str, before_text: &str, after_text: &str| {
        format!(
            "{}  {}  {after_text}",
            pad(name_text, name),
            pad(before_text, before)
        )
        .replace(' ', "\u{a0}")
    };
    page.entry(2, "", Ink::Faint, &line("", "now", "then"));
    for [name_text, before_text, after_text] in rows {
        page.entry(2, "", Ink::Usual, &line(name_text, before_text, after_text));
    }
}
