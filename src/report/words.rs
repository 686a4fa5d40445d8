//! Wording that several reports share: numbers, weights, lists and the verdict in one sentence.

use crate::engine::diagnosis::{CauseFound, Diagnosis, NextCheck, Verdict};
use crate::engine::id::CauseId;
use crate::engine::knowledge::{CauseKind, KnowledgeBase};

/// A probability as a person reads it: `94 %`, never a round 0 or 100 for what is not certain.
pub fn percent(share: f64) -> String {
    let hundredths = share * 100.0;
    if hundredths > 0.0 && hundredths < 1.0 {
        "under 1 %".to_owned()
    } else if hundredths > 99.0 && hundredths < 100.0 {
        "over 99 %".to_owned()
    } else {
        format!("{hundredths:.0} %")
    }
}

/// How much a finding counts, in a word, by its weight in decibans.
///
/// judgement: the steps at 5, 10 and 15 decibans are those Jeffreys proposed (Theory of Probability, 1961, appendix
/// B); the words are ours.
pub fn strength(weight_db: f64) -> &'static str {
    match weight_db.abs() {
        db if db >= 15.0 => "very strongly",
        db if db >= 10.0 => "strongly",
        db if db >= 5.0 => "clearly",
        db if db >= 2.0 => "somewhat",
        _ => "a little",
    }
}

/// By how much a weight in decibans multiplies the odds, as `x 4.1`; below one as `/ 4.1`.
pub fn odds_factor(weight_db: f64) -> String {
    let factor = 10f64.powf(weight_db.abs() / 10.0);
    let number = if factor >= 1e6 {
        "over a million".to_owned()
    } else if factor >= 10.0 {
        format!("{factor:.0}")
    } else {
        format!("{factor:.1}")
    };
    let sign = if weight_db < 0.0 { "/" } else { "×" };
    format!("{sign} {number}")
}

/// Words joined as in a sentence: `a, b and c`.
pub fn listed<T: AsRef<str>>(words: &[T]) -> String {
    match words {
        [] => String::new(),
        [one] => one.as_ref().to_owned(),
        [rest @ .., last] => {
            let rest: Vec<&str> = rest.iter().map(AsRef::as_ref).collect();
            format!("{} and {}", rest.join(", "), last.as_ref())
        }
    }
}

/// The clause as a sentence: a capital first and a full stop last.
pub fn sentence(clause: &str) -> String {
    let clause = clause.trim();
    let mut letters = clause.chars();
    let Some(first) = letters.next() else {
        return String::new();
    };
    let ended = clause.ends_with(['.', '!', '?']);
    format!(
        "{}{}{}",
        first.to_uppercase(),
        letters.as_str(),
        if ended { "" } else { "." }
    )
}

/// The text without the full stop at its end, to stand inside a sentence.
pub fn unstopped(text: &str) -> &str {
    text.trim().trim_end_matches('.')
}

/// What a cause is called; its id where the knowledge has no such cause.
pub fn cause_name<'a>(base: &'a KnowledgeBase, id: &'a CauseId) -> &'a str {
    base.causes.get(id).map_or(id.as_str(), |cause| &cause.name)
}

/// The causes that stand too close to the leader to choose between, the leader first.
pub fn close_causes<'a>(base: &KnowledgeBase, diagnosis: &'a Diagnosis) -> Vec<&'a CauseFound> {
    let Some(leader) = diagnosis.causes.first() else {
        return Vec::new();
    };
    let odds = |share: f64| share / (1.0 - share);
    diagnosis
        .causes
        .iter()
        .filter(|cause| {
            odds(cause.confidence) * base.scale.numbers.close_factor >= odds(leader.confidence)
        })
        .take(4)
        .collect()
}

/// The open check that tells the most of these causes apart, if any of them.
pub fn separating_check<'a>(
    diagnosis: &'a Diagnosis,
    causes: &[&CauseFound],
) -> Option<&'a NextCheck> {
    let told_apart = |check: &NextCheck| {
        causes
            .iter()
            .filter(|cause| check.separates.contains(&cause.id))
            .count()
    };
    let most = diagnosis.next_checks.iter().map(told_apart).max()?;
    diagnosis
        .next_checks
        .iter()
        .find(|check| most > 0 && told_apart(check) == most)
}

/// The verdict in a sentence or two.
pub fn verdict(base: &KnowledgeBase, diagnosis: &Diagnosis) -> String {
    match diagnosis.verdict {
        Verdict::NothingTold => "Nothing has been told that could be weighed, so there is no \
            verdict. Name what you see, smell or measure."
            .to_owned(),
        Verdict::NothingWrong => "What you told points to no trouble.".to_owned(),
        Verdict::NothingFits => {
            let mut text = format!(
                "Nothing in the book explains this well: something it does not know is the best \
                 account ({}).",
                percent(diagnosis.nothing_fits)
            );
            if let Some(nearest) = diagnosis.causes.first() {
                text.push_str(&format!(
                    " The nearest it has is {} ({}).",
                    unstopped(&nearest.name),
                    percent(nearest.confidence)
                ));
            }
            text
        }
        Verdict::Decided => decided(base, diagnosis),
        Verdict::Undecided => undecided(base, diagnosis),
    }
}

fn decided(base: &KnowledgeBase, diagnosis: &Diagnosis) -> String {
    let least = base.scale.numbers.decided_at;
    let clear: Vec<&CauseFound> = diagnosis
        .causes
        .iter()
        .filter(|cause| cause.confidence >= least)
        .collect();
    let Some(leader) = clear.first().copied().or(diagnosis.causes.first()) else {
        return "One cause stands out.".to_owned();
    };
    let mut text = format!(
        "{}. This is {} ({}).",
        unstopped(&leader.name),
        leader.words,
        percent(leader.confidence)
    );
    if leader.kind == CauseKind::LookAlike {
        text.push_str(" It only looks like trouble and needs no cure.");
    }
    let others: Vec<String> = clear
        .iter()
        .skip(1)
        .map(|cause| {
            format!(
                "{} ({}, {})",
                unstopped(&cause.name),
                cause.words,
                percent(cause.confidence)
            )
        })
        .collect();
    if !others.is_empty() {
        text.push_str(&format!(" At the same time: {}.", listed(&others)));
    }
    text
}

fn undecided(base: &KnowledgeBase, diagnosis: &Diagnosis) -> String {
    let close = close_causes(base, diagnosis);
    let named: Vec<String> = close
        .iter()
        .map(|cause| format!("{} ({})", unstopped(&cause.name), percent(cause.confidence)))
        .collect();
    let mut text = match named.as_slice() {
        [] => "Undecided: what you told is too little to point to one cause.".to_owned(),
        [one] => {
            format!("Undecided: the likeliest is {one}, but it is not sure enough to act on alone.")
        }
        [_, _] => format!("Undecided: two causes are close, {}.", listed(&named)),
        _ => format!("Undecided: several causes are close, {}.", listed(&named)),
    };
    match separating_check(diagnosis, &close) {
        Some(check) if named.len() > 1 => text.push_str(&format!(
            " One look would help to tell them apart: {}",
            check.question
        )),
        _ => {
            if let Some(check) = diagnosis.next_checks.first() {
                text.push_str(&format!(" The next thing to look at: {}", check.question));
            }
        }
    }
    text
}

/// An id as people say it: blanks for hyphens.
pub fn spoken(id: &str) -> String {
    id.replace('-', " ")
}

#[cfg(test)]
mod tests {
    use super::{listed, odds_factor, percent, sentence, strength};

    #[test]
    fn what_is_not_certain_is_never_shown_as_certain() {
        assert_eq!(percent(0.94), "94 %");
        assert_eq!(percent(0.999), "over 99 %");
        assert_eq!(percent(0.001), "under 1 %");
        assert_eq!(percent(0.0), "0 %");
        assert_eq!(percent(1.0), "100 %");
    }

    #[test]
    fn weights_have_words_and_factors() {
        assert_eq!(strength(6.1), "clearly");
        assert_eq!(strength(-16.0), "very strongly");
        assert_eq!(odds_factor(6.128), "× 4.1");
        assert_eq!(odds_factor(-10.0), "/ 10");
        assert_eq!(odds_factor(400.0), "× over a million");
    }

    #[test]
    fn lists_and_sentences_read_as_written_by_hand() {
        assert_eq!(listed(&["a", "b", "c"]), "a, b and c");
        assert_eq!(listed::<&str>(&[]), "");
        assert_eq!(sentence("the stems are long"), "The stems are long.");
        assert_eq!(sentence("Is it?"), "Is it?");
    }
}
