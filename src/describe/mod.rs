//! Free text read by the words of the knowledge: what was understood, what was not, and why.
//!
//! Nothing is guessed. What could mean several things, what is asked or supposed, and what is over gives no fact; it is
//! handed back with the reason. The same text and the same knowledge always give the same answer, in time that grows
//! with the length of the text alone.
//!
//! The text is cut into words (`token`), each of which is looked up (`vocabulary`, `unit`); the words are laid out in
//! sentences, statements and parts, and each quality is given its thing (`sentence`); denials and the like are followed
//! (`scope`); the phrases of the knowledge (`lexicon`) are found among the words (`matching`), and numbers (`amount`) as
//! readings (`readings`); what came of it is put together (`gather`).

mod amount;
mod effort;
mod gather;
mod lexicon;
mod matching;
mod phrase;
mod readings;
mod scope;
mod sentence;
mod token;
mod told;
mod unit;
mod vocabulary;

use rustc_hash::FxHashMap;

pub use crate::describe::told::{
    Because, Contradiction, Correction, Cue, Description, Fault, Piece, Told, Topic, Understood,
    Why,
};

use crate::describe::lexicon::Lexicon;
use crate::describe::sentence::Laid;
use crate::describe::vocabulary::Word;
use crate::engine::knowledge::KnowledgeBase;

/// Reads texts by the words of one knowledge base.
pub struct Reader<'k> {
    base: &'k KnowledgeBase,
    lexicon: Lexicon,
}

impl<'k> Reader<'k> {
    /// Gathers the words of a base, which must be a whole one: that cut down for diagnoses has none.
    pub fn new(base: &'k KnowledgeBase) -> Self {
        let lexicon = Lexicon::new(base);
        Self { base, lexicon }
    }

    /// Reads a text. A base that says nothing of the language understands nothing.
    pub fn read(&self, text: &str) -> Description {
        effort::begin();
        let (tokens, question) = token::tokens(text);
        effort::look(tokens.len());
        let vocabulary = &self.lexicon.vocabulary;
        let mut known: FxHashMap<String, Word> = FxHashMap::default();
        let units = unit::units(
            text,
            &tokens,
            &vocabulary.fused,
            |written| match known.get(written) {
                Some(word) => word.clone(),
                None => {
                    let word = vocabulary.look_up(written);
                    known.insert(written.to_owned(), word.clone());
                    word
                }
            },
            |value, ordinal| vocabulary.number(value, ordinal),
        );
        // Who does not know what denies would take "no mould" for mould.
        let units = if self.base.language.is_empty() {
            unit::without_meaning(units)
        } else {
            units
        };
        let laid = Laid::new(unit::without_other_tongues(units), question);
        let mut description = gather::gather(self.base, &self.lexicon, text, &laid);
        description.effort = effort::looks();
        description
    }
}
