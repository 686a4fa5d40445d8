//! The words of the knowledge and of the language, and the way from a written word to the one that is meant.

mod slips;

use std::sync::Arc;

use rust_stemmers::{Algorithm, Stemmer};
use rustc_hash::{FxHashMap, FxHashSet};

use crate::describe::effort::look;
use crate::describe::told::Fault;
use crate::engine::knowledge::{KnowledgeBase, WordClass};

/// A meaning: one number for all words that mean the same.
pub(super) type Concept = u32;

/// The meaning of words that the knowledge does not have.
pub(super) const UNKNOWN: Concept = u32::MAX;

/// The classes of a word, a bit each.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub(super) struct Classes(u64);

impl Classes {
    pub fn add(&mut self, class: WordClass) {
        self.0 |= 1 << class as u32;
    }

    pub fn has(self, class: WordClass) -> bool {
        self.0 & (1 << class as u32) != 0
    }

    pub fn any(self, classes: &[WordClass]) -> bool {
        classes.iter().any(|class| self.has(*class))
    }
}

/// What is known of a written word.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Word {
    /// What it means.
    pub concept: Concept,
    /// The word without its endings, which tells it from others of the same meaning.
    pub stem: Concept,
    /// The very form of the word, in British spelling.
    pub form: Concept,
    /// The kind of thing it is, where things of one kind may stand for each other.
    pub kin: Option<usize>,
    /// What it does.
    pub classes: Classes,
    /// Whether it names several things.
    pub plural: bool,
    /// The number it stands for, and whether that is a place in a row.
    pub number: Option<(f64, bool)>,
    /// What it was corrected to, and what was wrong.
    pub corrected: Option<(Fault, String)>,
}

impl Word {
    /// A word that nothing is known of.
    pub fn unknown() -> Self {
        Self {
            concept: UNKNOWN,
            stem: UNKNOWN,
            form: UNKNOWN,
            kin: None,
            classes: Classes::default(),
            plural: false,
            number: None,
            corrected: None,
        }
    }

    /// Whether nothing is known of it.
    pub fn is_unknown(&self) -> bool {
        self.concept == UNKNOWN && self.classes == Classes::default() && self.number.is_none()
    }
}

/// Phrases that count as one word, by their first word, the longest first: the words that follow, and the whole.
pub(super) type Fused = FxHashMap<String, Vec<(Vec<String>, String)>>;

/// Every word with its meaning.
pub(super) struct Vocabulary {
    stemmer: Stemmer,
    /// American and British spelling.
    american: Vec<(String, String)>,
    /// Words of the same meaning as another.
    same: FxHashMap<String, String>,
    /// Every stem or row of words that mean the same.
    concepts: FxHashMap<String, Concept>,
    kin: FxHashMap<Concept, usize>,
    classes: FxHashMap<String, Classes>,
    /// What a word does that is a thing or a quality, by its stem: other forms do the same.
    stem_classes: FxHashMap<String, Classes>,
    numbers: FxHashMap<String, (f64, bool)>,
    /// Written words that are known.
    known: FxHashSet<String>,
    /// Phrases that count as one word.
    pub fused: Arc<Fused>,
    /// Known words by what is left of them when letters are dropped.
    shortened: FxHashMap<u64, Vec<u32>>,
    /// The words that `shortened` counts.
    correct: Vec<String>,
    not_misspelt: FxHashSet<String>,
}

impl Vocabulary {
    pub fn new(base: &KnowledgeBase) -> Self {
        let mut vocabulary = Self {
            stemmer: Stemmer::create(Algorithm::English),
            american: base
                .spellings
                .iter()
                .map(|(british, spelling)| (spelling.american.clone(), british.clone()))
                .collect(),
            same: FxHashMap::default(),
            concepts: FxHashMap::default(),
            kin: FxHashMap::default(),
            classes: FxHashMap::default(),
            stem_classes: FxHashMap::default(),
            numbers: FxHashMap::default(),
            known: FxHashSet::default(),
            fused: Arc::default(),
            shortened: FxHashMap::default(),
            correct: Vec::new(),
            not_misspelt: FxHashSet::default(),
        };
        let mut fused = Fused::default();
        let language = &base.language;
        let listed: FxHashSet<&str> = language
            .same
            .iter()
            .flatten()
            .chain(language.classes.iter().flat_map(|(_, words)| words))
            .map(String::as_str)
            .collect();
        for row in &language.same {
            for word in row {
                vocabulary.learn(word, &mut fused);
                vocabulary
                    .same
                    .entry(word.clone())
                    .or_insert_with(|| row[0].clone());
            }
            // Other forms of the same words, but where the bare stem is a word of another meaning ("lights").
            for word in row.iter().filter(|word| !word.contains(' ')) {
                let stem = vocabulary.stem(word);
                if row.contains(&stem) || !word.ends_with('s') && !listed.contains(stem.as_str()) {
                    vocabulary
                        .same
                        .entry(stem)
                        .or_insert_with(|| row[0].clone());
                }
            }
        }
        for (class, words) in &language.classes {
            for word in words {
                if *class == WordClass::NotMisspelt {
                    vocabulary.not_misspelt.insert(word.clone());
                    continue;
                }
                vocabulary.learn(word, &mut fused);
                vocabulary
                    .classes
                    .entry(word.clone())
                    .or_default()
                    .add(*class);
                let in_all_forms = [WordClass::Thing, WordClass::Quality, WordClass::Foreign];
                if in_all_forms.contains(class) && !word.contains(' ') {
                    let stem = vocabulary.stem(word);
                    vocabulary.stem_classes.entry(stem).or_default().add(*class);
                }
            }
        }
        for (word, number) in &language.numbers {
            vocabulary.known.insert(word.clone());
            vocabulary
                .numbers
                .insert(word.clone(), (number.value, number.ordinal));
        }
        for phrases in fused.values_mut() {
            phrases.sort_by(|(a, whole), (b, other)| (b.len(), whole).cmp(&(a.len(), other)));
            phrases.dedup();
        }
        vocabulary.fused = Arc::new(fused);
        for (kin, words) in language.kin.iter().enumerate() {
            for word in words {
                vocabulary.known.insert(word.clone());
                let stem = vocabulary.intern(word).stem;
                vocabulary.kin.insert(stem, kin);
            }
        }
        vocabulary
    }

    /// Takes in a word or a phrase that counts as one.
    fn learn(&mut self, text: &str, fused: &mut Fused) {
        let mut words = text.split(' ').map(str::to_owned);
        let Some(first) = words.next() else { return };
        let rest: Vec<String> = words.collect();
        self.known.insert(first.clone());
        self.known.extend(rest.iter().cloned());
        if !rest.is_empty() {
            fused
                .entry(first)
                .or_default()
                .push((rest, text.to_owned()));
        }
    }

    /// Takes in a word of the knowledge's entries.
    pub fn learn_word(&mut self, word: &str) {
        if !self.known.contains(word) {
            self.known.insert(word.to_owned());
        }
    }

    fn stem(&self, word: &str) -> String {
        self.stemmer.stem(word).into_owned()
    }

    /// A written word in British spelling, without the ending of possession.
    fn british(&self, word: &str) -> (String, bool) {
        let bare = word
            .strip_suffix("'s")
            .filter(|_| !self.known.contains(word))
            .unwrap_or(word);
        for (american, british) in &self.american {
            if bare.contains(american.as_str()) && !bare.contains(british.as_str()) {
                return (
                    bare.replace(american.as_str(), british),
                    bare.starts_with(american.as_str()),
                );
            }
        }
        (bare.to_owned(), false)
    }

    fn number_of(&mut self, key: String) -> Concept {
        let next = self.concepts.len() as Concept;
        *self.concepts.entry(key).or_insert(next)
    }

    fn key(&self, word: &str) -> (String, String) {
        let stem = self.stem(word);
        let meaning = self.same.get(word).or_else(|| self.same.get(&stem));
        let key = meaning.map_or_else(|| stem.clone(), |meaning| format!("={meaning}"));
        (key, format!("~{stem}"))
    }

    /// The meaning of a word of the knowledge; it gets a new number where it has none yet. Phrases that count as one word
    /// are looked up whole.
    pub fn intern(&mut self, word: &str) -> Word {
        let (british, _) = self.british(word);
        let (key, stem) = self.key(&british);
        let meaning = [key, stem, format!("!{british}")].map(|key| self.number_of(key));
        self.word(&british, meaning, None)
    }

    /// The meaning of a number.
    pub fn intern_number(&mut self, value: f64, ordinal: bool) -> Concept {
        self.number_of(number_key(value, ordinal))
    }

    /// The meaning of a number, if the knowledge speaks of it.
    pub fn number(&self, value: f64, ordinal: bool) -> Concept {
        let key = number_key(value, ordinal);
        self.concepts.get(&key).copied().unwrap_or(UNKNOWN)
    }

    fn word(
        &self,
        british: &str,
        [concept, stem, form]: [Concept; 3],
        corrected: Option<(Fault, String)>,
    ) -> Word {
        let mut classes = self.classes.get(british).copied().unwrap_or_default();
        if classes == Classes::default() {
            // Other forms of a word do what it does.
            let stem = self.stem(british);
            let meaning = self.same.get(british).or_else(|| self.same.get(&stem));
            let meaning = meaning.and_then(|one| self.classes.get(one));
            classes = meaning
                .or_else(|| self.stem_classes.get(&stem))
                .copied()
                .unwrap_or_default();
            // "Pins" are things, "pinning" is none.
            if classes.has(WordClass::Thing) && !british.ends_with('s') && meaning.is_none() {
                classes = Classes::default();
            }
        }
        Word {
            concept,
            stem,
            form,
            kin: self.kin.get(&stem).copied(),
            classes,
            plural: british.len() > 3
                && british.ends_with('s')
                && self.stem(british).len() + 1 >= british.len() - 2
                && self.stem(british) != british,
            number: self.numbers.get(british).copied(),
            corrected,
        }
    }

    /// What a written word, in small letters, means.
    pub fn look_up(&self, written: &str) -> Word {
        look(1);
        let (british, american) = self.british(written);
        let fault = american.then(|| (Fault::American, british.clone()));
        let found = self.find(&british);
        if found[0] != UNKNOWN
            || self.known.contains(&british)
            || self.numbers.contains_key(&british)
        {
            return self.word(&british, found, fault);
        }
        if let Some(correct) = self.correction(&british) {
            let found = self.find(correct);
            if found[0] != UNKNOWN {
                return self.word(correct, found, Some((Fault::Misspelt, correct.to_owned())));
            }
        }
        self.word(&british, [UNKNOWN; 3], None)
    }

    fn find(&self, word: &str) -> [Concept; 3] {
        let (key, stem) = self.key(word);
        let get = |key: &str| self.concepts.get(key).copied().unwrap_or(UNKNOWN);
        [get(&key), get(&stem), get(&format!("!{word}"))]
    }
}

/// Ordinals and numbers have keys of their own, which no word has.
fn number_key(value: f64, ordinal: bool) -> String {
    format!("#{value}{}", if ordinal { "." } else { "" })
}

#[cfg(test)]
mod tests {
    use crate::describe::lexicon::Lexicon;
    use crate::describe::told::Fault;
    use crate::knowledge::embedded;

    #[test]
    fn words_are_known_in_other_forms_spellings_and_with_a_slip() {
        let base = embedded::base();
        let vocabulary = Lexicon::new(&base).vocabulary;
        let meaning = |word: &str| vocabulary.look_up(word).concept;
        for (one, other) in [
            ("caps", "cap"),
            ("mold", "mould"),
            ("stalks", "stem"),
            ("cracking", "cracked"),
            ("crakced", "cracked"),
            ("colonizing", "colonising"),
        ] {
            assert_eq!(meaning(one), meaning(other), "{one}");
        }
        assert_ne!(meaning("cap"), meaning("stem"));
        let corrected = vocabulary.look_up("humidty").corrected;
        assert_eq!(corrected, Some((Fault::Misspelt, "humidity".to_owned())));
        // Short words and words far from all others are left as they are.
        for word in ["cep", "quonked", "zzzzzzzzzzzz"] {
            assert!(vocabulary.look_up(word).is_unknown(), "{word}");
        }
    }
}
