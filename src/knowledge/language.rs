//! Entries about the language that free text is written in: words that mean the same, what words do, words for numbers.

use std::ops::Range;

use toml::de::DeTable;

use crate::engine::knowledge::{NumberWord, WordClass};
use crate::knowledge::entries::Entry;
use crate::knowledge::fields::{At, Fields};
use crate::knowledge::problem::{ProblemCode, nearest};
use crate::knowledge::shape::Shape;

impl Shape<'_, '_> {
    /// Words that mean the same: two at least.
    pub fn same_words(&mut self, table: &DeTable<'_>, span: Range<usize>) -> Option<Vec<String>> {
        let mut fields = Fields::new(table, span.clone(), "words that mean the same");
        let words = fields.texts("words", &mut self.notes);
        self.grounds(&mut fields, true);
        fields.finish(&mut self.notes);
        if words.len() < 2 {
            self.too_few("words that mean the same", 2, span);
            return None;
        }
        Some(self.small_words(words))
    }

    /// The words that do one thing in a sentence.
    pub fn word_class(
        &mut self,
        table: &DeTable<'_>,
        span: Range<usize>,
    ) -> Option<(WordClass, Vec<String>)> {
        let mut fields = Fields::new(table, span.clone(), "a word class");
        let id = self.head(&mut fields, "word class");
        let words = fields.texts("words", &mut self.notes);
        self.grounds(&mut fields, true);
        fields.finish(&mut self.notes);
        let (id, at) = id?;
        let Some((class, _)) = WordClass::ALL.iter().find(|(_, name)| *name == id) else {
            let help = nearest(&id, WordClass::ALL.iter().map(|(_, name)| *name))
                .map(|near| format!("did you mean `{near}`?"));
            let message = format!("words have no class `{id}`");
            self.notes.add(
                ProblemCode::UnknownWord,
                at,
                message,
                "not a class of words",
                help,
            );
            return None;
        };
        if words.is_empty() {
            self.too_few("a word class", 1, span);
            return None;
        }
        Some((*class, self.small_words(words)))
    }

    /// A word for a number.
    pub fn number_word(
        &mut self,
        table: &DeTable<'_>,
        span: Range<usize>,
    ) -> Option<Entry<NumberWord>> {
        let mut fields = Fields::new(table, span, "a word for a number");
        let word = fields.text("word", &mut self.notes);
        let value = fields.number_opt("value", &mut self.notes);
        if value.is_none() && !table.contains_key("value") {
            fields.missing("value", &mut self.notes);
        }
        let ordinal = fields.flag("ordinal", &mut self.notes);
        self.grounds(&mut fields, true);
        fields.finish(&mut self.notes);
        let (value, at) = value?;
        let value = self.within("value", value, 0.0..=1000.0, at)?;
        Some((word?, NumberWord { value, ordinal }))
    }

    /// Words are compared in small letters; a capital among them would never be met.
    fn small_words(&mut self, words: Vec<At<String>>) -> Vec<String> {
        let mut small = Vec::with_capacity(words.len());
        for (word, at) in words {
            if word.to_lowercase() != word {
                self.notes.add(
                    ProblemCode::UnknownWord,
                    at,
                    format!("`{word}` has capitals"),
                    "words of the language are written small",
                    Some(format!("write `{}`", word.to_lowercase())),
                );
                continue;
            }
            small.push(word);
        }
        small
    }

    fn too_few(&mut self, what: &str, least: usize, span: Range<usize>) {
        let message = format!("{what} has fewer than {least} `words`");
        self.notes.add(
            ProblemCode::MissingKey,
            span,
            message,
            "too few words",
            Some("list them under `words`".to_owned()),
        );
    }
}
