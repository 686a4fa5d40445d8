//! Practice in words: the case, what a check finds, what there is to learn, how a helper comes along.

mod debrief;
pub(crate) mod paper;
mod progress;

use crate::engine::diagnosis::Ask;
use crate::engine::id::{ActionId, CautionId};
use crate::engine::knowledge::{Asking, KnowledgeBase, Severity};
use crate::engine::quantity::{System, show};
use crate::report::page::{Ink, Look, Page};
use crate::report::text::option_names;
use crate::report::words::{listed, sentence, unstopped};
use crate::train::practice::case::PracticeCase;
use crate::train::practice::look::Found;

pub(crate) use crate::report::practice::debrief::RULE;
pub use crate::report::practice::debrief::debrief;
pub use crate::report::practice::paper::{Paper, answer_sheet, paper};
pub use crate::report::practice::progress::{helpers, progress, topics};

/// What a check asks.
pub fn question(base: &KnowledgeBase, ask: &Ask) -> String {
    match ask {
        Ask::Sign(id) => match base.signs.get(id).map(|sign| &sign.asking) {
            Some(Asking::Alone { question }) => question.clone(),
            Some(Asking::Option { option, .. }) => sentence(option),
            None => id.to_string(),
        },
        Ask::Question(id, _) => base
            .questions
            .get(id)
            .map_or_else(|| id.to_string(), |question| question.ask.clone()),
        Ask::Reading(id) => base
            .readings
            .get(id)
            .map_or_else(|| id.to_string(), |reading| reading.question.clone()),
    }
}

/// What a check is found by, when words are typed.
pub fn words_of(base: &KnowledgeBase, ask: &Ask) -> String {
    let of_sign = |id| {
        base.signs.get(id).map_or_else(String::new, |sign| {
            format!("{} {}", sign.statement, sign.words.join(" "))
        })
    };
    let more = match ask {
        Ask::Sign(id) => of_sign(id),
        Ask::Question(_, signs) => signs.iter().map(of_sign).collect::<Vec<_>>().join(" "),
        Ask::Reading(id) => base.readings.get(id).map_or_else(String::new, |reading| {
            format!("{} {}", reading.name, reading.words.join(" "))
        }),
    };
    format!("{} {more}", question(base, ask))
}

/// What a check found, as a clause.
pub fn found(base: &KnowledgeBase, ask: &Ask, found: &Found, system: System) -> String {
    match found {
        Found::Sign(true) => "yes".to_owned(),
        Found::Sign(false) => "no".to_owned(),
        Found::Which(signs) if signs.is_empty() => "none of these".to_owned(),
        Found::Which(signs) => option_names(base, signs).join("; "),
        Found::Reading(measured) => match ask {
            Ask::Reading(id) => base.readings.get(id).map_or_else(
                || measured.value.to_string(),
                |reading| show(measured.value, reading.unit, system),
            ),
            Ask::Sign(_) | Ask::Question(..) => measured.value.to_string(),
        },
        Found::Nothing => "that cannot be told here".to_owned(),
    }
}

/// An action in its first sentence.
pub fn action(base: &KnowledgeBase, id: &ActionId) -> String {
    base.actions.get(id).map_or_else(
        || id.to_string(),
        |action| first_sentence(&action.text).to_owned(),
    )
}

/// A caution in its first sentence.
pub fn caution(base: &KnowledgeBase, id: &CautionId) -> String {
    base.cautions.get(id).map_or_else(
        || id.to_string(),
        |caution| first_sentence(&caution.text).to_owned(),
    )
}

/// The first sentence of a text; a shorter one than this takes in the next.
///
/// judgement: "Stop: do not wait for symptoms." alone says too little to choose by.
const SHORT: usize = 44;

pub(crate) fn first_sentence(text: &str) -> &str {
    let mut from = 0;
    while let Some(at) = text[from..].find(". ") {
        let end = from + at + 1;
        if end >= SHORT {
            return &text[..end];
        }
        from = end;
    }
    text
}

/// The ink of a caution.
pub(crate) fn ink_of(base: &KnowledgeBase, id: &CautionId) -> Ink {
    match base.cautions.get(id).map(|caution| caution.severity) {
        Some(Severity::Stop) => Ink::Stop,
        _ => Ink::Care,
    }
}

/// What is grown and how far it is, as a sentence.
pub(crate) fn setting(base: &KnowledgeBase, case: &PracticeCase) -> String {
    let told = &case.opening;
    let species = told.species.as_ref().and_then(|id| base.species.get(id));
    let stage = told.stage.as_ref().and_then(|id| base.stages.get(id));
    let species = species.map_or("a block", |species| species.name.as_str());
    match stage {
        Some(stage) => format!(
            "{}; stage: {}",
            sentence(species).trim_end_matches('.'),
            stage.name
        ),
        None => sentence(species),
    }
}

/// What is complained of, as clauses.
pub(crate) fn complaints(base: &KnowledgeBase, case: &PracticeCase) -> Vec<String> {
    case.complaints
        .iter()
        .filter_map(|id| base.signs.get(id))
        .map(|sign| unstopped(&sign.statement).to_owned())
        .collect()
}

/// A case as a helper meets it.
pub fn opening(base: &KnowledgeBase, case: &PracticeCase, number: usize, look: Look) -> String {
    let mut page = Page::new(look);
    // How hard it is would tell how many causes to look for.
    page.heading(Ink::Strong, &format!("Case {number}"));
    page.paragraph(0, Ink::Usual, &sentence(&setting(base, case)));
    page.paragraph(
        0,
        Ink::Usual,
        &format!("What was noticed: {}.", listed(&complaints(base, case))),
    );
    if number > 1 {
        format!("\n{}", page.finish())
    } else {
        page.finish()
    }
}
