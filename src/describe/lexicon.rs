//! Every phrase by which the knowledge knows a thing, by the meanings of its words.

mod names;

use std::cell::RefCell;

use rustc_hash::{FxHashMap, FxHashSet};

use crate::describe::lexicon::names::{first_names, several_kinds};
use crate::describe::phrase::{Phrase, PhraseWord, phrase};
use crate::describe::token::tokens;
use crate::describe::unit::{Unit, units};
use crate::describe::vocabulary::{Concept, Vocabulary};
use crate::engine::id::{PersonId, QuestionId, ReadingId, SetupId, SignId, SpeciesId, StageId};
use crate::engine::knowledge::{Asking, KnowledgeBase, WordClass};

/// What a phrase stands for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Target {
    Sign(SignId),
    Setup(SetupId),
    Person(PersonId),
    Species(SpeciesId),
    Stage(StageId),
    Reading(ReadingId),
    /// All signs that a question asks for, where they are denied together.
    Question(QuestionId),
}

/// An entry of the knowledge, as far as words go.
#[derive(Debug)]
pub(super) struct Entry {
    pub target: Target,
    /// What it is called in messages.
    pub name: String,
    /// The things its words speak of.
    pub things: FxHashSet<Concept>,
    /// The kinds of thing that its words speak of, where others of the kind may stand for them.
    pub kin: FxHashSet<usize>,
}

/// All phrases.
pub(super) struct Lexicon {
    pub vocabulary: Vocabulary,
    pub entries: Vec<Entry>,
    pub phrases: Vec<Phrase>,
    /// The phrases to be tried where a word of this meaning stands: those in which it is the rarest one.
    pub anchors: FxHashMap<Concept, Vec<usize>>,
    /// The last words of the names of kinds: who speaks of them speaks of the mushrooms.
    pub kinds: FxHashSet<Concept>,
}

/// The most words of a statement that is taken for a phrase; nobody writes longer ones just so.
const MOST_WORDS_OF_STATEMENT: usize = 4;

impl Lexicon {
    pub fn new(base: &KnowledgeBase) -> Self {
        let mut texts: Vec<(Target, String, Vec<&str>, Vec<&str>)> = Vec::new();
        for (id, sign) in &base.signs {
            let said = [Some(sign.statement.as_str()), base.own_opening(sign)];
            texts.push((
                Target::Sign(id.clone()),
                sign.statement.clone(),
                sign.words.iter().map(String::as_str).collect(),
                said.into_iter().flatten().collect(),
            ));
        }
        for (id, item) in &base.setup {
            let words = item.words.iter().map(String::as_str).collect();
            let said = vec![item.statement.as_str()];
            texts.push((
                Target::Setup(id.clone()),
                item.statement.clone(),
                words,
                said,
            ));
        }
        for (id, person) in &base.people {
            let words = person.words.iter().map(String::as_str).collect();
            let said = vec![person.statement.as_str()];
            texts.push((
                Target::Person(id.clone()),
                person.statement.clone(),
                words,
                said,
            ));
        }
        for (id, species) in base.species.iter().filter(|(_, species)| !species.default) {
            let names = [species.name.as_str(), species.latin.as_str()];
            let words = names
                .into_iter()
                .chain(species.also.iter().map(String::as_str))
                .collect();
            texts.push((
                Target::Species(id.clone()),
                species.name.clone(),
                words,
                Vec::new(),
            ));
        }
        for (id, stage) in &base.stages {
            let words = vec![stage.name.as_str()];
            texts.push((
                Target::Stage(id.clone()),
                stage.name.clone(),
                words,
                Vec::new(),
            ));
        }
        for (id, reading) in &base.readings {
            let names = std::iter::once(reading.name.as_str());
            let words = names
                .chain(reading.words.iter().map(String::as_str))
                .collect();
            texts.push((
                Target::Reading(id.clone()),
                reading.name.clone(),
                words,
                Vec::new(),
            ));
        }
        for (id, question) in &base.questions {
            let words = question.words.iter().map(String::as_str).collect();
            texts.push((
                Target::Question(id.clone()),
                question.ask.clone(),
                words,
                Vec::new(),
            ));
        }
        // Signs that one question asks for together, of a thing that growers call by many names: "the spot", "the fuzz".
        // The words of the question itself are ours, and stay out of the grower's vocabulary.
        let mut asked = Vocabulary::new(base);
        let options: Vec<Target> = base
            .questions
            .values()
            .filter(|question| {
                let units = phrase_units(&question.ask, &mut asked);
                units.iter().any(|unit| unit.word.kin.is_some())
            })
            .flat_map(|question| question.signs.iter().map(|sign| Target::Sign(sign.clone())))
            .collect();
        let names: Vec<(Target, String)> = base
            .signs
            .iter()
            .filter_map(|(id, sign)| match &sign.asking {
                Asking::Option { option, .. } => Some((Target::Sign(id.clone()), option.clone())),
                Asking::Alone { .. } => None,
            })
            .collect();
        Self::gather(Vocabulary::new(base), texts, (&options, &names))
    }

    fn gather(
        mut vocabulary: Vocabulary,
        texts: Vec<(Target, String, Vec<&str>, Vec<&str>)>,
        (options, option_names): (&[Target], &[(Target, String)]),
    ) -> Self {
        let mut entries = Vec::with_capacity(texts.len());
        let mut phrases: Vec<Phrase> = Vec::new();
        for (target, name, words, statements) in texts {
            let number = entries.len();
            let mut things = FxHashSet::default();
            let mut kin = FxHashSet::default();
            let mut seen: FxHashSet<Vec<PhraseWord>> = FxHashSet::default();
            let is_name = matches!(target, Target::Species(_));
            // "Pins" are no stage, "pinning" is one.
            let is_option = options.contains(&target);
            let is_form = matches!(target, Target::Stage(_));
            let kinds = words.iter().map(|text| (text, false));
            for (text, statement) in kinds.chain(statements.iter().map(|text| (text, true))) {
                let units = phrase_units(text, &mut vocabulary);
                let named = units.iter().filter(|unit| unit.is(WordClass::Thing));
                things.extend(named.clone().map(Unit::concept));
                if is_option {
                    kin.extend(named.filter_map(|unit| unit.word.kin));
                }
                let Some(phrase) = phrase(number, text, &units, (is_name, is_form, is_option))
                else {
                    continue;
                };
                let long = phrase.words.iter().filter(|word| !word.light).count();
                if (!statement || long <= MOST_WORDS_OF_STATEMENT)
                    && seen.insert(phrase.words.clone())
                {
                    phrases.push(phrase);
                }
            }
            // A quality that an option is called by.
            let called = option_names.iter().filter(|(of, _)| *of == target);
            for (_, text) in called {
                let units = phrase_units(text, &mut vocabulary);
                // "Green like a leaf" is called green.
                let likened = units.get(1).is_none_or(|unit| unit.is(WordClass::Simile));
                let quality = likened
                    && units
                        .first()
                        .is_some_and(|unit| unit.is(WordClass::Quality));
                let called = &units[..units.len().min(1)];
                let made = phrase(number, text, called, (is_name, is_form, is_option));
                phrases.extend(made.filter(|_| quality).map(|phrase| Phrase {
                    denied_only: true,
                    ..phrase
                }));
            }
            entries.push(Entry {
                target,
                name,
                things,
                kin,
            });
        }
        several_kinds(&entries, &mut phrases);
        first_names(&entries, &mut phrases);
        vocabulary.finish();
        let mut often: FxHashMap<Concept, usize> = FxHashMap::default();
        for word in phrases.iter().flat_map(|phrase| &phrase.words) {
            *often.entry(word.concept).or_default() += 1;
        }
        let mut anchors: FxHashMap<Concept, Vec<usize>> = FxHashMap::default();
        for (number, phrase) in phrases.iter().enumerate() {
            let fixed = phrase
                .words
                .iter()
                .enumerate()
                .filter(|(at, _)| phrase.ordinal != Some(*at));
            if let Some((_, rarest)) =
                fixed.min_by_key(|(at, word)| (word.kin.is_some(), often[&word.concept], *at))
            {
                anchors.entry(rarest.concept).or_default().push(number);
            }
        }
        let names = phrases
            .iter()
            .filter(|phrase| matches!(entries[phrase.entry].target, Target::Species(_)));
        let kinds = names
            .filter_map(|phrase| phrase.words.last())
            .map(|word| word.concept)
            .collect();
        Self {
            vocabulary,
            entries,
            phrases,
            anchors,
            kinds,
        }
    }
}

fn phrase_units(text: &str, vocabulary: &mut Vocabulary) -> Vec<Unit> {
    let (found, _) = tokens(text);
    for token in found.iter().filter(|token| !token.number) {
        vocabulary.learn_word(&crate::describe::unit::small(text, &token.span));
    }
    // Looking up and learning take turns; neither is held while the other is done.
    let vocabulary = RefCell::new(vocabulary);
    let fused = vocabulary.borrow().fused.clone();
    units(
        text,
        &found,
        &fused,
        |word| vocabulary.borrow_mut().intern(word),
        |value, ordinal| vocabulary.borrow_mut().intern_number(value, ordinal),
    )
}

#[cfg(test)]
mod tests {
    use crate::describe::lexicon::{Lexicon, Target};
    use crate::describe::phrase::Denied;
    use crate::knowledge::embedded;

    #[test]
    fn a_phrase_keeps_what_it_denies_and_names_their_order() {
        let base = embedded::base();
        let lexicon = Lexicon::new(&base);
        assert!(lexicon.phrases.len() > 2000, "{}", lexicon.phrases.len());
        for phrase in &lexicon.phrases {
            assert!(!phrase.words.is_empty(), "{}", phrase.text);
            let joined = phrase.words.iter().skip(1).all(|word| word.joined);
            let name = matches!(lexicon.entries[phrase.entry].target, Target::Species(_));
            assert!(!name || joined, "{}", phrase.text);
        }
        let denying = lexicon
            .phrases
            .iter()
            .filter(|phrase| phrase.words.iter().any(|word| word.denied != Denied::Plain));
        assert!(denying.count() > 50);
    }
}
