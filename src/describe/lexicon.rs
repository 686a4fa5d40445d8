//! Every phrase by which the knowledge knows a thing, by the meanings of its words.

use std::cell::RefCell;

use rustc_hash::{FxHashMap, FxHashSet};

use crate::describe::token::{Gap, tokens};
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

/// How a word is denied.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(super) enum Denied {
    /// It is not.
    Plain,
    /// As by "no": there is none of it.
    No,
    /// As by "is not": it does not do so.
    Not,
    /// As by "never".
    Never,
}

impl Denied {
    /// How a word denies.
    pub fn by(unit: &Unit) -> Self {
        if unit.is(WordClass::Never) {
            Self::Never
        } else if unit.is(WordClass::Copula) {
            Self::Not
        } else {
            Self::No
        }
    }
}

/// A word that a phrase needs.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(super) struct PhraseWord {
    pub concept: Concept,
    /// What a unit must be to be met by it where the phrase is this word alone: its stem, or for names its very form.
    pub alone: Concept,
    pub stem: Concept,
    /// Bytes of the word.
    pub length: usize,
    pub denied: Denied,
    /// Whether it must stand right behind the word before it.
    pub joined: bool,
    /// The kind of thing that may stand for it.
    pub kin: Option<usize>,
    /// Whether it is one that a text may also leave out of account.
    pub light: bool,
}

/// A phrase of the knowledge.
#[derive(Debug, Clone)]
pub(super) struct Phrase {
    /// The entry, by its number.
    pub entry: usize,
    /// As written.
    pub text: String,
    pub words: Vec<PhraseWord>,
    /// Whether its words keep their order.
    pub ordered: bool,
    /// Whether every word of it says little by itself; then nothing may stand between them.
    pub light: bool,
    /// The place of a word that stands for any place in a row ("third flush").
    pub ordinal: Option<usize>,
    /// Whether it counts where it is denied only: "no green anywhere" denies green spots, "green" alone says nothing.
    pub denied_only: bool,
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
}

/// Letters of a word of which only the very form is taken where it stands for a whole phrase.
const LONGEST_SHORT_WORD: usize = 5;
/// Phrases from which a word is one of everybody's, such as "mushroom".
const MANY_ENTRIES: usize = 40;
/// The most words of a statement that is taken for a phrase; nobody writes longer ones just so.
const MOST_WORDS_OF_STATEMENT: usize = 4;

impl Lexicon {
    pub fn new(base: &KnowledgeBase) -> Self {
        let mut texts: Vec<(Target, String, Vec<&str>, Vec<&str>)> = Vec::new();
        for (id, sign) in &base.signs {
            let said = [Some(sign.statement.as_str()), sign.opening.as_deref()];
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
        // Signs that one question asks for together.
        let options: Vec<Target> = base
            .questions
            .values()
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
                let quality = units.len() == 1 && units[0].is(WordClass::Quality);
                let made = phrase(number, text, &units, (is_name, is_form, is_option));
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
        Self {
            vocabulary,
            entries,
            phrases,
            anchors,
        }
    }
}

/// A name that is a part of the names of other kinds ("oyster") is one of each of them: standing alone it tells nothing.
fn several_kinds(entries: &[Entry], phrases: &mut Vec<Phrase>) {
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
fn first_names(entries: &[Entry], phrases: &mut Vec<Phrase>) {
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

/// The phrase that these words make; none where nothing would be left to look for.
fn phrase(
    entry: usize,
    text: &str,
    units: &[Unit],
    (is_name, is_form, is_option): (bool, bool, bool),
) -> Option<Phrase> {
    let counts = |unit: &&Unit| !unit.is(WordClass::Filler) || unit.is(WordClass::Thing);
    // Of "a shock" or "I smoke" hardly anything would be left: there the small words count as well.
    let denial = |unit: &&Unit| unit.is(WordClass::Denial) || unit.is(WordClass::Never);
    let articles = units
        .iter()
        .any(|unit| unit.is(WordClass::Determiner) && unit.is(WordClass::Filler));
    let all = is_name
        || units.len() > 1 && units.iter().filter(counts).count() == 1
        || articles
            && units
                .iter()
                .filter(counts)
                .filter(|unit| !denial(unit))
                .count()
                == 1;
    let mut words: Vec<PhraseWord> = Vec::new();
    let mut denied = Denied::Plain;
    let mut ordinal = None;
    let mut ordered = false;
    let mut right_behind = false;
    for unit in units {
        if unit.is(WordClass::Denial) || unit.is(WordClass::Never) {
            denied = Denied::by(unit);
            right_behind = false;
            // "Nothing" is what is denied, too.
            if !unit.is(WordClass::Thing) {
                continue;
            }
        }
        if unit.is(WordClass::Break) || unit.is(WordClass::And) {
            denied = Denied::Plain;
        }
        // "At the tear": where a phrase begins with its preposition, that is the phrase.
        let leads = words.is_empty() && unit.is(WordClass::Preposition);
        let passed_over = !leads && unit.is(WordClass::Filler) && !unit.is(WordClass::Thing)
            || unit.is(WordClass::And);
        if passed_over && !all {
            right_behind = false;
            continue;
        }
        ordered |= unit.is(WordClass::Ordering) && !words.is_empty();
        if unit.word.number.is_some_and(|(_, ordinal)| ordinal) {
            ordinal = Some(words.len());
        }
        let joined = !words.is_empty() && (all || right_behind && unit.gap == Gap::Hyphen);
        words.push(PhraseWord {
            concept: unit.concept(),
            // Of short words other forms are soon other words: "flies" and "I fly".
            alone: if is_form || unit.span.len() <= LONGEST_SHORT_WORD {
                unit.word.form
            } else {
                unit.word.stem
            },
            stem: unit.word.stem,
            length: unit.span.len(),
            denied,
            joined,
            kin: unit.word.kin.filter(|_| is_option),
            light: !unit.has_content(),
        });
        right_behind = true;
    }
    // "White mushroom" is the name of a kind, but mostly just what it says.
    let describes = units.len() > 1
        && units
            .first()
            .is_some_and(|unit| unit.is(WordClass::Quality))
        && units[1..].iter().all(|unit| unit.is(WordClass::Thing));
    // "Pins do not": what is denied must be there.
    let denies = units
        .iter()
        .any(|unit| unit.is(WordClass::Denial) || unit.is(WordClass::Never));
    if denies && words.iter().all(|word| word.denied == Denied::Plain) {
        return None;
    }
    let light = words.iter().all(|word| word.light);
    if words.is_empty() || light && words.len() == 1 || is_name && describes {
        return None;
    }
    // Words that say little each must stand as they do in the phrase.
    ordered |= light;
    Some(Phrase {
        entry,
        text: text.to_owned(),
        words,
        ordered,
        light,
        ordinal,
        denied_only: false,
    })
}

#[cfg(test)]
mod tests {
    use crate::describe::lexicon::{Denied, Lexicon, Target};
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
