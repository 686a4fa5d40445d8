//! Choices of any kind at a terminal, for what is no step of a walk.

use std::io;

use crate::cli::ask::list::{Hot, List, Picked};
use crate::cli::ask::prompt::Prompt;
use crate::cli::ask::terminal::Terminal;
use crate::report::page::{Ink, Page};

impl Terminal<'_> {
    /// Puts a question with its choices.
    ///
    /// # Errors
    /// What the terminal says; end of input as `UnexpectedEof`.
    pub fn choose(&self, put: &Prompt, hot: &[Hot]) -> io::Result<Picked> {
        self.write("\n")?;
        self.show(put)?;
        let items = self.items(put.choices.iter().map(String::as_str));
        self.pick(&List {
            found_by: &put.found_by,
            several: put.several,
            ..self.list(&items, hot)
        })
    }

    /// Writes down what was chosen.
    ///
    /// # Errors
    /// What the terminal says.
    pub fn chosen(&self, text: &str) -> io::Result<()> {
        let mut page = Page::new(self.look);
        page.entry(2, ">", Ink::Good, text);
        self.write(&page.finish())
    }

    /// Asks a question that is answered by typing; the answer may be empty.
    ///
    /// # Errors
    /// What the terminal says.
    pub fn typed(&self, question: &str, hint: &str) -> io::Result<String> {
        self.write("\n")?;
        self.show(&Prompt {
            question: question.to_owned(),
            ..Prompt::default()
        })?;
        self.free(hint)
    }

    /// Rows of the terminal.
    pub fn rows(&self) -> usize {
        usize::from(self.term.size().0)
    }

    /// Columns of the terminal.
    pub fn columns(&self) -> usize {
        usize::from(self.term.size().1)
    }
}
