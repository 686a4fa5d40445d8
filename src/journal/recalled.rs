//! From a kept case back to what was observed, as far as the knowledge of today has a name for it.

use crate::engine::knowledge::{KnowledgeBase, Map};
use crate::engine::observations::{Answer, Observations};
use crate::journal::case::{SCHEMA, parse};
use crate::journal::kept::KeptCase;
use crate::knowledge::problem::Problem;

/// What was observed, and what of it could not be taken over.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Recalled {
    /// What was observed.
    pub observations: Observations,
    /// What this knowledge has no name for.
    pub left_out: Vec<String>,
}

/// Recalls what a kept case told.
///
/// # Errors
/// Where something has a name here and cannot be true, such as a reading beyond what is believable.
pub fn recall(base: &KnowledgeBase, case: &KeptCase) -> Result<Recalled, Vec<Problem>> {
    let mut left_out = Vec::new();
    let species = case
        .species
        .clone()
        .filter(|name| known(base.species_named(name).is_some(), name, &mut left_out));
    let stage = case
        .stage
        .clone()
        .filter(|name| known(base.stage_named(name).is_some(), name, &mut left_out));
    let mut setup = case.setup.clone();
    setup.retain(|item| {
        let id = item.split('=').next().unwrap_or(item).trim();
        known(base.setup.contains_key(id), id, &mut left_out)
    });
    let mut table = toml::Table::new();
    table.insert("schema".to_owned(), SCHEMA.into());
    table.extend(species.map(|name| ("species".to_owned(), name.into())));
    table.extend(stage.map(|name| ("stage".to_owned(), name.into())));
    table.insert("setup".to_owned(), setup.into());
    let mut part = |key: &str, told: &Map<String, String>, has: &dyn Fn(&str) -> bool| {
        let part: toml::Table = told
            .iter()
            .filter(|(id, _)| known(has(id), id, &mut left_out))
            .map(|(id, word)| (id.clone(), word.clone().into()))
            .collect();
        table.insert(key.to_owned(), part.into());
    };
    part("signs", &case.signs, &|id| base.signs.contains_key(id));
    part("readings", &case.readings, &|id| {
        base.readings.contains_key(id)
    });
    part("people", &case.people, &|id| base.people.contains_key(id));
    let text = table.to_string();
    let mut observations = parse(base, &case.kept.id, &text)?.observations;
    let from_profile = case.kept.from_profile.iter();
    observations.from_profile = from_profile.cloned().collect();
    Ok(Recalled {
        observations,
        left_out,
    })
}

fn known(known: bool, name: &str, left_out: &mut Vec<String>) -> bool {
    if !known {
        left_out.push(name.to_owned());
    }
    known
}

/// Puts what was seen now in place of what was told before. Where only one sign of a question can be there, the one
/// seen now takes the place of the other.
pub fn overlaid(
    base: &KnowledgeBase,
    mut before: Observations,
    now: &Observations,
) -> Observations {
    for question in base.questions.values().filter(|question| question.one_of) {
        let seen = |sign| now.signs.get(sign) == Some(&Answer::Yes);
        if question.signs.iter().any(seen) {
            for sign in &question.signs {
                before.signs.shift_remove(sign);
            }
        }
    }
    for (id, answer) in &now.signs {
        before.signs.insert(id.clone(), *answer);
        before.from_profile.remove(id.as_str());
    }
    for (id, measured) in &now.readings {
        before.readings.insert(id.clone(), *measured);
        before.from_profile.remove(id.as_str());
    }
    before
}
