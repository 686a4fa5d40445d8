//! Asks a person at a terminal.

mod choices;
mod off_walk;
mod reading;

use std::cell::Cell;
use std::io::{self, Write};

use dialoguer::console::{Key, Term};
use dialoguer::{Confirm, Input};

use crate::cli::ask::Asker;
use crate::cli::ask::answers::Answers;
use crate::cli::ask::list::{Hot, List, Picked, heights};
use crate::cli::ask::prompt::{Prompt, in_words, nameable, prompt};
use crate::cli::ask::theme::{MARKED_INDENT, Marks};
use crate::cli::ask::typed;
use crate::cli::ask::walk::{Reply, Step};
use crate::cli::growth::Size;
use crate::engine::diagnosis::Ask;
use crate::engine::knowledge::KnowledgeBase;
use crate::engine::quantity::System;
use crate::report::page::{Ink, LEAST_WIDTH, Look, MOST_WIDTH, Page};
use crate::report::sanitise;

/// Rows that stand above and below the question and its choices.
const ROWS_BESIDE: usize = 7;

/// Rows of the line that waits for Enter, with the one the cursor waits on.
const ROWS_OF_PAUSE: usize = 2;

/// A person at a terminal.
pub struct Terminal<'a> {
    base: &'a KnowledgeBase,
    term: Term,
    theme: Marks,
    look: Look,
    system: System,
    /// Whether it can only print line below line.
    dumb: bool,
    /// Whether the width was asked for, so that it does not follow the terminal.
    fixed_width: bool,
    /// Whether somebody answers questions back.
    asides: bool,
    /// Rows of the question that was put last.
    above: Cell<usize>,
    /// Rows of what was told since the last step and has to be read.
    unread: usize,
    /// Sizes of the spot that were told before.
    sizes: Vec<Size>,
}

impl<'a> Terminal<'a> {
    /// Asks on standard error, so that standard output holds the report alone.
    pub fn new(base: &'a KnowledgeBase, look: Look, fixed_width: bool, system: System) -> Self {
        Self {
            base,
            // Written screen by screen: letter by letter it would flicker.
            term: Term::buffered_stderr(),
            theme: Marks {
                colour: look.colour,
            },
            look,
            system,
            dumb: typed::is_dumb(),
            fixed_width,
            asides: true,
            above: Cell::new(0),
            unread: 0,
            sizes: Vec::new(),
        }
    }

    /// For whoever answers no questions back, and keeps no sizes for another day.
    #[must_use]
    pub fn without_asides(mut self) -> Self {
        self.asides = false;
        self
    }

    /// Asks yes or no.
    ///
    /// # Errors
    /// What the terminal says.
    pub fn confirm(&self, question: &str) -> io::Result<bool> {
        self.yes_or_no(question, false)
    }

    /// Asks yes or no where Enter alone is yes.
    ///
    /// # Errors
    /// What the terminal says.
    pub fn agree(&self, question: &str) -> io::Result<bool> {
        self.yes_or_no(question, true)
    }

    fn yes_or_no(&self, question: &str, usual: bool) -> io::Result<bool> {
        if self.dumb {
            loop {
                let prompt = format!("{} (y or n)> ", sanitise::line(question));
                match typed::line(&self.term, &prompt)?.to_lowercase().as_str() {
                    "y" | "yes" => return Ok(true),
                    "n" | "no" => return Ok(false),
                    "" => return Ok(usual),
                    _ => {}
                }
            }
        }
        Confirm::with_theme(&self.theme)
            .with_prompt(sanitise::line(question))
            .default(usual)
            .interact_on(&self.term)
            .map_err(plain)
    }

    /// Asks for a line of text.
    ///
    /// # Errors
    /// What the terminal says.
    pub fn line(&self, question: &str, usual: &str) -> io::Result<String> {
        if self.dumb {
            let typed = typed::line(&self.term, &format!("{question} [{usual}]> "))?;
            return Ok(if typed.is_empty() {
                usual.to_owned()
            } else {
                typed
            });
        }
        Input::<String>::with_theme(&self.theme)
            .with_prompt(question)
            .default(usual.to_owned())
            .interact_text_on(&self.term)
            .map_err(plain)
    }

    /// A line of text that may be empty.
    fn free(&self, question: &str) -> io::Result<String> {
        if self.dumb {
            return typed::line(&self.term, &format!("{question}> "));
        }
        Input::with_theme(&self.theme)
            .with_prompt(question)
            .allow_empty(true)
            .report(false)
            .interact_text_on(&self.term)
            .map_err(plain)
    }

    /// Rows that a step takes about, with the line on how things look above it and the keys below.
    fn rows_of(&self, put: &Prompt) -> usize {
        let columns = usize::from(self.term.size().1);
        let room = columns.min(self.look.width).saturating_sub(MARKED_INDENT);
        let tall = |text: &str| text.len().div_ceil(room.max(1));
        let choices: usize = put.choices.iter().map(|choice| tall(choice)).sum();
        let notes: usize = put.notes.iter().map(|(_, note)| tall(note) + 1).sum();
        ROWS_BESIDE + tall(&put.question) + tall(&put.how) + choices + notes
    }

    fn show(&self, put: &Prompt) -> io::Result<()> {
        let mut page = Page::new(self.look);
        page.entry(0, "?", Ink::Strong, &put.question);
        if !put.how.is_empty() {
            page.paragraph(2, Ink::Faint, &put.how);
        }
        for (label, text) in &put.notes {
            page.labelled(2, label, text);
        }
        if !put.found_by.is_empty() && !self.dumb {
            page.paragraph(
                2,
                Ink::Faint,
                "Type a part of the name, or go with the arrows; Enter takes it.",
            );
        }
        if put.several && !self.dumb {
            page.paragraph(2, Ink::Faint, "The space bar marks, Enter goes on.");
        }
        let text = page.finish();
        self.above
            .set(heights(&text, usize::from(self.term.size().1)));
        self.write(&text)
    }

    /// Tells something that needs no answer, on lines of its own.
    ///
    /// # Errors
    /// What the terminal says.
    pub fn note(&self, text: &str) -> io::Result<()> {
        let mut page = Page::new(self.look);
        page.paragraph(2, Ink::Faint, text);
        self.write(&page.finish())
    }

    fn write(&self, text: &str) -> io::Result<()> {
        (&self.term).write_all(text.as_bytes())?;
        self.term.flush()
    }

    /// Choices as the terminal can show them.
    fn items<'c>(&self, choices: impl Iterator<Item = &'c str>) -> Vec<String> {
        choices
            .map(|choice| {
                let text = sanitise::line(choice);
                if self.look.plain {
                    sanitise::ascii(&text).into_owned()
                } else {
                    text.into_owned()
                }
            })
            .collect()
    }

    /// A list of these, for others to say what can be done with it.
    fn list<'l>(&self, items: &'l [String], hot: &'l [Hot]) -> List<'l> {
        List {
            items,
            leads: &[],
            found_by: &[],
            several: false,
            hot,
            quick: &[],
            above: self.above.get(),
            width: self.look.width,
            colour: self.look.colour,
        }
    }

    /// The keys that somebody answers.
    fn answered(&self, hot: &[Hot]) -> Vec<Hot> {
        let answered = |hot: &&Hot| self.asides || !matches!(hot.key, 'w' | 't');
        hot.iter().filter(answered).copied().collect()
    }

    /// Waits for a choice.
    fn pick(&self, list: &List<'_>) -> io::Result<Picked> {
        if self.dumb {
            typed::pick(list, &self.term)
        } else {
            list.pick(&self.term)
        }
    }
}

fn plain(error: dialoguer::Error) -> io::Error {
    let dialoguer::Error::IO(error) = error;
    error
}

impl Asker for Terminal<'_> {
    fn look(&mut self) -> Option<Look> {
        if !self.fixed_width {
            let columns = usize::from(self.term.size().1);
            self.look.width = columns.clamp(LEAST_WIDTH, MOST_WIDTH);
        }
        Some(self.look)
    }

    fn say(&mut self, text: &str) -> io::Result<()> {
        self.write(text)
    }

    fn knows(&mut self, answers: &Answers) {
        self.sizes.clone_from(&answers.sizes);
    }

    fn notice(&mut self, text: &str) -> io::Result<()> {
        let (rows, columns) = self.term.size();
        let tall = heights(text, usize::from(columns));
        // What would push out of sight what nobody has read yet waits for it.
        if self.unread > 0 && self.unread + tall + ROWS_OF_PAUSE > usize::from(rows) {
            self.pause()?;
        }
        self.unread += tall;
        self.write(text)
    }

    fn pause(&mut self) -> io::Result<()> {
        self.unread = 0;
        self.note("Press Enter when you have read this.")?;
        if self.dumb {
            return typed::line(&self.term, "> ").map(|_| ());
        }
        loop {
            match self.term.read_key()? {
                Key::Enter | Key::Char(' ') | Key::Escape => return Ok(()),
                _ => {}
            }
        }
    }

    fn ask(&mut self, step: &Step) -> io::Result<Reply> {
        let put = prompt(self.base, step);
        if self.unread > 0 && self.unread + self.rows_of(&put) > usize::from(self.term.size().0) {
            self.pause()?;
        }
        self.unread = 0;
        self.show(&put)?;
        let reply = self.reply(step, &put)?;
        let mut page = Page::new(self.look);
        let said = in_words(self.base, step, &reply, self.system);
        page.entry(2, ">", Ink::Good, &said);
        self.say(&page.finish())?;
        Ok(reply)
    }
}

impl Terminal<'_> {
    fn reply(&self, step: &Step, put: &Prompt) -> io::Result<Reply> {
        match step {
            Step::Species => {
                let ids: Vec<_> = nameable(self.base).map(|(id, _)| id.clone()).collect();
                // There is nothing to go back to from the first step.
                self.one_of(put, &ids, true, Reply::Species)
            }
            Step::Stage => {
                let ids: Vec<_> = self.base.stages.keys().cloned().collect();
                self.one_of(put, &ids, false, Reply::Stage)
            }
            Step::Setup(ids) => self.marked(put, ids, Reply::Setup),
            Step::Complaints(ids) => self.marked(put, ids, Reply::Complaints),
            Step::People(people) => self.people(put, people),
            Step::Check(check) => match &check.ask {
                Ask::Sign(_) => self.sign(put),
                Ask::Question(_, signs) => self.which(put, signs),
                Ask::Reading(id) => self.reading(id),
            },
            Step::Finished(_) => Ok(Reply::Enough),
        }
    }
}
