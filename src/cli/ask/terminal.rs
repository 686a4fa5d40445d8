//! Asks a person at a terminal.

use std::io::{self, Write};

use dialoguer::console::{Key, Term};
use dialoguer::{Confirm, Input, MultiSelect, Select};

use crate::cli::ask::Asker;
use crate::cli::ask::answers::{Taken, Which};
use crate::cli::ask::prompt::{Prompt, in_words, nameable, prompt};
use crate::cli::ask::theme::{CHOICE_INDENT, MARKED_INDENT, Marks};
use crate::cli::ask::walk::{Reply, Step};
use crate::cli::given::measured;
use crate::engine::diagnosis::Ask;
use crate::engine::id::{ReadingId, SignId};
use crate::engine::knowledge::KnowledgeBase;
use crate::engine::observations::Answer;
use crate::engine::quantity::System;
use crate::report::page::{Ink, Look, Page};
use crate::report::sanitise;

const NONE: &str = "none of these";
const UNSURE: &str = "not sure";
const NOT_KNOWN: &str = "I do not know";
const CANNOT: &str = "cannot check now";
const AGAIN: &str = "I want to mark something after all";
const BACK: &str = "back";
const ENOUGH: &str = "enough, show me the result";

/// How many choices are shown on one page.
const MOST_SHOWN: usize = 16;
/// What to say where there are more; the page is named behind it.
const TURNING: &str = "More with left and right";
/// Rows that a page of choices leaves free: the line that tells how to turn it, and the one the cursor waits on.
const ROWS_KEPT: usize = 2;

/// A person at a terminal.
pub struct Terminal<'a> {
    base: &'a KnowledgeBase,
    term: Term,
    theme: Marks,
    look: Look,
    system: System,
}

impl<'a> Terminal<'a> {
    /// Asks on standard error, so that standard output holds the report alone.
    pub fn new(base: &'a KnowledgeBase, look: Look, system: System) -> Self {
        Self {
            base,
            // Written screen by screen: letter by letter it would flicker.
            term: Term::buffered_stderr(),
            theme: Marks {
                colour: look.colour,
            },
            look,
            system,
        }
    }

    /// Asks yes or no.
    ///
    /// # Errors
    /// What the terminal says.
    pub fn confirm(&self, question: &str) -> io::Result<bool> {
        Confirm::with_theme(&self.theme)
            .with_prompt(sanitise::line(question))
            .default(false)
            .interact_on(&self.term)
            .map_err(plain)
    }

    /// Asks for a line of text.
    ///
    /// # Errors
    /// What the terminal says.
    pub fn line(&self, question: &str, usual: &str) -> io::Result<String> {
        Input::<String>::with_theme(&self.theme)
            .with_prompt(question)
            .default(usual.to_owned())
            .interact_text_on(&self.term)
            .map_err(plain)
    }

    fn show(&self, put: &Prompt) -> io::Result<()> {
        let mut page = Page::new(self.look);
        page.entry(0, "?", Ink::Strong, &put.question);
        if !put.how.is_empty() {
            page.paragraph(2, Ink::Faint, &put.how);
        }
        if put.several {
            page.paragraph(
                2,
                Ink::Faint,
                "The space bar marks, Enter goes on, Esc goes back.",
            );
        }
        self.write(&page.finish())
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

    /// Choices as lines that fit the terminal, behind so many columns of marks.
    fn items<'c>(&self, choices: impl Iterator<Item = &'c str>, indent: usize) -> Vec<String> {
        let room = self.look.width.saturating_sub(indent + 1);
        let below = format!("\n{}", " ".repeat(indent));
        choices
            .map(|choice| {
                let mut text = sanitise::line(choice).into_owned();
                if self.look.plain {
                    text = sanitise::ascii(&text).into_owned();
                }
                textwrap::wrap(&text, room).join(&below)
            })
            .collect()
    }

    /// How many of these choices fit on one page of the terminal.
    fn page_of(&self, items: &[String]) -> usize {
        let tallest = items.iter().map(|item| item.lines().count()).max();
        let rows = usize::from(self.term.size().0).saturating_sub(ROWS_KEPT);
        (rows / tallest.unwrap_or(1).max(1)).clamp(1, MOST_SHOWN)
    }

    /// One of the choices and the extra ones, by place; Esc counts as going back.
    fn select(&self, choices: &[String], extra: &[&'static str]) -> io::Result<Chosen> {
        let all = choices
            .iter()
            .map(String::as_str)
            .chain(extra.iter().copied());
        let items = self.items(all, CHOICE_INDENT);
        let page = self.page_of(&items);
        let select = Select::with_theme(&self.theme)
            .items(&items)
            .default(0)
            .max_length(page);
        let select = if items.len() > page {
            select.with_prompt(TURNING).report(false)
        } else {
            select
        };
        let chosen = select.interact_on_opt(&self.term).map_err(plain)?;
        Ok(match chosen {
            None => Chosen::Extra(BACK),
            Some(place) => match extra.get(place.wrapping_sub(choices.len())) {
                Some(extra) if place >= choices.len() => Chosen::Extra(extra),
                _ => Chosen::Place(place),
            },
        })
    }

    /// Several of the choices, by place; `None` for going back.
    fn mark(&self, choices: &[String]) -> io::Result<Option<Vec<usize>>> {
        let items = self.items(choices.iter().map(String::as_str), MARKED_INDENT);
        let page = self.page_of(&items);
        let select = MultiSelect::with_theme(&self.theme)
            .items(&items)
            .max_length(page);
        let select = if items.len() > page {
            select.with_prompt(TURNING).report(false)
        } else {
            select
        };
        select.interact_on_opt(&self.term).map_err(plain)
    }

    /// Not knowing comes first, so that pressing Enter takes nothing for granted.
    fn one_of<T: Clone>(
        &self,
        put: &Prompt,
        ids: &[T],
        extra: &[&'static str],
        reply: fn(Option<T>) -> Reply,
    ) -> io::Result<Reply> {
        let mut choices = vec![NOT_KNOWN.to_owned()];
        choices.extend_from_slice(&put.choices);
        Ok(match self.select(&choices, extra)? {
            Chosen::Place(place) => reply(
                place
                    .checked_sub(1)
                    .and_then(|place| ids.get(place))
                    .cloned(),
            ),
            Chosen::Extra(other) => aside(other),
        })
    }

    fn marked<T: Clone>(
        &self,
        put: &Prompt,
        ids: &[T],
        reply: fn(Vec<T>) -> Reply,
    ) -> io::Result<Reply> {
        Ok(match self.mark(&put.choices)? {
            None => Reply::Back,
            Some(places) => reply(
                places
                    .iter()
                    .filter_map(|&place| ids.get(place).cloned())
                    .collect(),
            ),
        })
    }

    fn sign(&self, put: &Prompt) -> io::Result<Reply> {
        Ok(
            match self.select(&put.choices, &[UNSURE, CANNOT, BACK, ENOUGH])? {
                Chosen::Place(0) => Reply::Sign(Answer::Yes),
                Chosen::Place(_) => Reply::Sign(Answer::No),
                Chosen::Extra(UNSURE) => Reply::Sign(Answer::Unsure),
                Chosen::Extra(other) => aside(other),
            },
        )
    }

    fn which(&self, put: &Prompt, signs: &[SignId]) -> io::Result<Reply> {
        if !put.several {
            let extra = [NONE, UNSURE, CANNOT, BACK, ENOUGH];
            return Ok(match self.select(&put.choices, &extra)? {
                Chosen::Place(place) => Reply::Which(Which::These(
                    signs.get(place).cloned().into_iter().collect(),
                )),
                Chosen::Extra(other) => beside(other),
            });
        }
        self.note("Enter with nothing marked leads to the other answers.")?;
        loop {
            let Some(places) = self.mark(&put.choices)? else {
                return Ok(Reply::Back);
            };
            let these: Vec<SignId> = places
                .iter()
                .filter_map(|&place| signs.get(place).cloned())
                .collect();
            if !these.is_empty() {
                return Ok(Reply::Which(Which::These(these)));
            }
            match self.select(&[], &[NONE, UNSURE, CANNOT, AGAIN, BACK, ENOUGH])? {
                Chosen::Extra(AGAIN) | Chosen::Place(_) => {}
                Chosen::Extra(other) => return Ok(beside(other)),
            }
        }
    }

    fn reading(&self, id: &ReadingId) -> io::Result<Reply> {
        let Some(reading) = self.base.readings.get(id) else {
            return Ok(Reply::CannotNow);
        };
        let unit = reading.unit.symbol();
        self.note(&format!(
            "Type the reading in {}. Enter alone: {CANNOT}. Or type: back, enough.",
            if unit.is_empty() {
                "whole numbers"
            } else {
                unit
            }
        ))?;
        loop {
            // What was typed is repeated with what was made of it, not before.
            let typed: String = Input::with_theme(&self.theme)
                .with_prompt("Reading")
                .allow_empty(true)
                .report(false)
                .interact_text_on(&self.term)
                .map_err(plain)?;
            match typed.trim() {
                "" => return Ok(Reply::CannotNow),
                "back" => return Ok(Reply::Back),
                "enough" => return Ok(Reply::Enough),
                typed => match measured(reading, typed) {
                    Ok(measured) => {
                        return Ok(Reply::Reading(Taken {
                            typed: typed.to_owned(),
                            measured,
                        }));
                    }
                    Err(fault) => {
                        let stop = if fault.ends_with('?') { "" } else { "." };
                        self.note(&format!("{typed}: {fault}{stop} Type it again."))?;
                    }
                },
            }
        }
    }
}

/// What was chosen from a list.
enum Chosen {
    /// One of the step's own choices, by place.
    Place(usize),
    /// One of the choices that every step has.
    Extra(&'static str),
}

fn aside(extra: &str) -> Reply {
    match extra {
        BACK => Reply::Back,
        ENOUGH => Reply::Enough,
        _ => Reply::CannotNow,
    }
}

/// The other answers to a question with several signs, and what every step has.
fn beside(extra: &str) -> Reply {
    match extra {
        NONE => Reply::Which(Which::None),
        UNSURE => Reply::Which(Which::Unsure),
        other => aside(other),
    }
}

fn plain(error: dialoguer::Error) -> io::Error {
    let dialoguer::Error::IO(error) = error;
    error
}

impl Asker for Terminal<'_> {
    fn say(&mut self, text: &str) -> io::Result<()> {
        self.write(text)
    }

    fn pause(&mut self) -> io::Result<()> {
        self.note("Press Enter when you have read this.")?;
        loop {
            match self.term.read_key()? {
                Key::Enter | Key::Char(' ') | Key::Escape => return Ok(()),
                _ => {}
            }
        }
    }

    fn ask(&mut self, step: &Step) -> io::Result<Reply> {
        let put = prompt(self.base, step);
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
                self.one_of(put, &ids, &[ENOUGH], Reply::Species)
            }
            Step::Stage => {
                let ids: Vec<_> = self.base.stages.keys().cloned().collect();
                self.one_of(put, &ids, &[BACK, ENOUGH], Reply::Stage)
            }
            Step::Setup(ids) => self.marked(put, ids, Reply::Setup),
            Step::Complaints(ids) => self.marked(put, ids, Reply::Complaints),
            Step::Check(check) => match &check.ask {
                Ask::Sign(_) => self.sign(put),
                Ask::Question(_, signs) => self.which(put, signs),
                Ask::Reading(id) => self.reading(id),
            },
            Step::Finished(_) => Ok(Reply::Enough),
        }
    }
}
