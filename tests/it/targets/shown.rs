//! What holds for everything that is shown, and for every diagnosis.

use std::sync::LazyLock;

use blockside::engine::diagnosis::{Diagnosis, NextCheck};
use blockside::engine::knowledge::KnowledgeBase;
use blockside::engine::observations::Observations;
use blockside::engine::quantity::System;
use blockside::engine::reasoner::Reasoner;
use blockside::knowledge::build::SourceFile;
use blockside::knowledge::embedded;
use blockside::knowledge::problem::Problem;
use blockside::report::page::Look;
use blockside::report::problems::{self, render_all};
use blockside::report::text::Told;
use blockside::report::{html, json, sanitise, text};
use serde::Serialize;

/// The knowledge that the program carries.
pub static BASE: LazyLock<KnowledgeBase> = LazyLock::new(embedded::base);
/// The same made ready for reasoning.
pub static REASONER: LazyLock<Reasoner<'static>> =
    LazyLock::new(|| Reasoner::new(&BASE, System::Metric));

/// The beginning of the bytes that is text.
pub fn text_of(data: &[u8]) -> &str {
    match std::str::from_utf8(data) {
        Ok(text) => text,
        Err(error) => {
            std::str::from_utf8(&data[..error.valid_up_to()]).expect("it is valid so far")
        }
    }
}

/// A page as narrow as one can be, in full.
pub fn look() -> Look {
    let mut look = Look::of_width(40);
    look.detail = true;
    look
}

/// Nothing in the text can steer a terminal, turn the reading direction, or hide.
pub fn clean(text: &str) {
    let stray = text.chars().find(|&letter| {
        (letter.is_control() && letter != '\n')
            || matches!(letter, '\u{200b}' | '\u{200e}' | '\u{200f}' | '\u{2028}'..='\u{202e}'
                | '\u{2066}'..='\u{2069}' | '\u{feff}' | '\u{e0000}'..='\u{e007f}')
    });
    assert_eq!(stray, None, "{text:?}");
}

/// Nothing in the page can steer, and nothing in it runs.
pub fn clean_page(page: &str) {
    clean(page);
    let small = page.to_ascii_lowercase();
    for markup in [
        "<script",
        "<iframe",
        "<img",
        " onload=",
        " onerror=",
        "javascript:",
    ] {
        assert!(!small.contains(markup), "{markup} in {page}");
    }
}

/// The value as JSON is read back as the same, and has no number that JSON cannot hold.
pub fn is_json(value: &impl Serialize) {
    let text = serde_json::to_string(value).expect("it can be written");
    let read: serde_json::Value = serde_json::from_str(&text).expect("it can be read");
    assert_eq!(serde_json::to_value(value).expect("it is a value"), read);
    let shown = sanitise::json(&text);
    clean(&shown);
    let again: serde_json::Value = serde_json::from_str(&shown).expect("it can be read");
    assert_eq!(again, read);
}

/// Problems are told, each at a place within its text, without anything that steers a terminal.
pub fn faulty(found: &[Problem], files: &[SourceFile]) {
    for problem in found {
        let other = problem.other.as_ref().map(|(file, span, _)| (file, span));
        let own = problem.span.as_ref().map(|span| (&problem.file, span));
        for (name, span) in own.into_iter().chain(other) {
            let file = files.iter().find(|file| file.name == *name);
            let file = file.expect("a file that was given");
            assert!(file.text.get(span.clone()).is_some(), "{problem:?}");
        }
        assert!(!problem.message.is_empty());
    }
    clean(&render_all(found, files, problems::Look::Plain));
    assert!(found.is_empty() || !render_all(found, files, problems::Look::Coloured).is_empty());
}

/// It lies between 0 and 1.
pub fn share(what: &str, value: f64) {
    assert!((0.0..=1.0).contains(&value), "{what} is {value}");
}

/// Diagnoses, and holds what comes out to what must be true of every diagnosis.
pub fn diagnosed(reasoner: &Reasoner<'_>, observations: &Observations) -> Diagnosis {
    let diagnosis = reasoner.diagnose(observations);
    sound(&diagnosis);
    assert_eq!(
        diagnosis,
        reasoner.diagnose(observations),
        "told the same, it says another thing"
    );
    let told = Told {
        base: reasoner.base(),
        observations,
        diagnosis: &diagnosis,
    };
    clean(&text::report(&told, look()));
    clean_page(&html::case(&told, &[], None));
    is_json(&json::diagnosis(&told));
    diagnosis
}

fn sound(diagnosis: &Diagnosis) {
    share("nothing fits", diagnosis.nothing_fits);
    share("nothing wrong", diagnosis.nothing_wrong);
    assert!(diagnosis.conflict_bits.is_finite());
    for pair in diagnosis.causes.windows(2) {
        // Causes that agree to twelve places stand in the order of their ids.
        assert!(pair[0].confidence >= pair[1].confidence - 1e-12);
    }
    for cause in &diagnosis.causes {
        share(cause.id.as_str(), cause.confidence);
        share("beforehand", cause.beforehand);
        for root in &cause.roots {
            share(root.id.as_str(), root.confidence);
        }
        for reason in cause.speaks_for.iter().chain(&cause.speaks_against) {
            assert!(!reason.weight_db.is_nan(), "{}", reason.finding.id);
        }
    }
    for step in &diagnosis.derived {
        share(&step.rule, step.degree);
    }
    for check in &diagnosis.next_checks {
        worth_making(check);
    }
    for amount in diagnosis
        .actions
        .iter()
        .filter_map(|action| action.amount.as_ref())
    {
        let numbers = [amount.value, amount.uncertainty];
        assert!(
            numbers.into_iter().flatten().all(f64::is_finite),
            "{amount:?}"
        );
    }
}

fn worth_making(check: &NextCheck) {
    // Of two that tell nothing, rounding may put one below nothing.
    assert!(
        check.gain_bits.is_finite() && check.gain_bits > -1e-9,
        "{check:?}"
    );
    assert!(check.effort > 0.0);
    for (sign, chance) in &check.chances {
        share(sign.as_str(), *chance);
    }
}

/// What holds of two observations that should be the same: readings agree to the fourteen digits that files keep.
pub fn alike(one: &Observations, other: &Observations) {
    let numbers = |told: &Observations| told.readings.clone();
    for ((id, a), (other_id, b)) in numbers(one).iter().zip(&numbers(other)) {
        assert_eq!(id, other_id);
        let close = |a: f64, b: f64| (a - b).abs() <= 1e-12 * a.abs().max(b.abs());
        assert!(close(a.value, b.value), "{a:?} {b:?}");
        assert_eq!(a.tolerance.is_some(), b.tolerance.is_some(), "{a:?} {b:?}");
        let (a, b) = (a.tolerance.unwrap_or(0.0), b.tolerance.unwrap_or(0.0));
        assert!(close(a, b), "{a} {b}");
    }
    let without = |told: &Observations| Observations {
        readings: Default::default(),
        ..told.clone()
    };
    assert_eq!(numbers(one).len(), numbers(other).len());
    assert_eq!(without(one), without(other));
}
