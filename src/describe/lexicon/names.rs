//! Short names of species.

use rustc_hash::FxHashMap;

use crate::describe::lexicon::{Entry, Target};
use crate::describe::phrase::Phrase;
use crate::describe::vocabulary::Concept;

/// Phrases from which a word is one of everybody's, such as "mushroom".
const MANY_ENTRIES: usize = 40;

/// A name that is a part of the names of other kinds ("oyster") is one of each of them: standing alone it tells nothing.
pub(super) fn several_kinds(entries: &[Entry], phrases: &mut Vec<Phrase>) {
    let names: Vec<Phrase> = phrases
        .iter()
        .filter(|phrase| matches!(entries[phrase.entry].target, Target::Species(_)))
        .cloned()
        .collect();
    for short in names
        .iter()
        .filter(|phrase| phrase.words.len() == 1 && phrase.text != entries[phrase.entry].name)
    {
        let concept = short.words[0].concept;
        let mut known = vec![short.entry];
        for long in names
            .iter()
            .filter(|phrase| phrase.words.iter().any(|word| word.concept == concept))
        {
            if !known.contains(&long.entry) {
                known.push(long.entry);
                phrases.push(Phrase {
                    entry: long.entry,
                    ..short.clone()
                });
            }
        }
    }
}

/// A kind whose name begins with a word that nothing else is called by goes by that word alone: "beech" for beech
/// mushrooms.
pub(super) fn first_names(entries: &[Entry], phrases: &mut Vec<Phrase>) {
    let mut used: FxHashMap<Concept, Vec<usize>> = FxHashMap::default();
    for phrase in phrases.iter() {
        for word in &phrase.words {
            used.entry(word.concept).or_default().push(phrase.entry);
        }
    }
    let shorter: Vec<Phrase> = phrases
        .iter()
        .filter(|phrase| {
            let entry = &entries[phrase.entry];
            let name = matches!(entry.target, Target::Species(_)) && phrase.text == entry.name;
            let [first, last] = phrase.words.as_slice() else {
                return false;
            };
            let own = used[&first.concept]
                .iter()
                .all(|entry| *entry == phrase.entry);
            let of_many = used[&last.concept].len() > MANY_ENTRIES;
            name && own && of_many && !first.light && first.kin.is_none()
        })
        .map(|phrase| Phrase {
            words: phrase.words[..1].to_vec(),
            ..phrase.clone()
        })
        .collect();
    phrases.extend(shorter);
}
