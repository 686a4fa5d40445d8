//! Asks a person at a terminal.

use std::io::{self, Write};

use dialoguer::console::{Key, Term};
use dialoguer::theme::{ColorfulTheme, SimpleTheme, Theme};
use dialoguer::{Confirm, Input, MultiSelect, Select};

use crate::cli::ask::Asker;
use crate::cli::ask::answers::{Taken, Which};
use crate::cli::ask::prompt::{Prompt, in_words, nameable, prompt};
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
const BACK: &str = "back";
const ENOUGH: &str = "enough, show me the result";

/// How many choices are shown on one page.
const MOST_SHOWN: usize = 16;
/// What to say where they are; the page is named behind it.
const TURNING: &str = "Left and right turn the page";

/// A person at a terminal.
pub struct Terminal<'a> {
    base: &'a KnowledgeBase,
    term: Term,
    theme: Box<dyn Theme>,
    look: Look,
    system: System,
}

impl<'a> Terminal<'a> {
    /// Asks on standard error, so that standard output holds the report alone.
    pub fn new(base: &'a KnowledgeBase, look: Look, system: System) -> Self {
        let theme: Box<dyn Theme> = if look.colour {
            Box::new(ColorfulTheme::default())
        } else {
            Box::new(SimpleTheme)
        };
        Self {
            base,
            term: Term::stderr(),
            theme,
            look,
            system,
        }
    }

    /// Asks yes or no.
    ///
    /// # Errors
    /// What the terminal says.
    pub fn confirm(&self, question: &str) -> io::Result<bool> {
        Confirm::with_theme(self.theme.as_ref())
            .with_prompt(question)
            .default(false)
            .interact_on(&self.term)
            .map_err(plain)
    }

    /// Asks for a line of text.
    ///
    /// # Errors
    /// What the terminal says.
    pub fn line(&self, question: &str, usual: &str) -> io::Result<String> {
        Input::<String>::with_theme(self.theme.as_ref())
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
        (&self.term).write_all(page.finish().as_bytes())
    }

    fn fit(&self, choice: &str) -> String {
        let clean = sanitise::line(choice);
        if self.look.plain {
            sanitise::ascii(&clean).into_owned()
        } else {
            clean.into_owned()
        }
    }

    /// One of the choices and the extra ones, by place; Esc counts as going back.
    fn select(&self, choices: &[String], extra: &[&'static str]) -> io::Result<Chosen> {
        let items: Vec<String> = choices
            .iter()
            .map(|choice| self.fit(choice))
            .chain(extra.iter().map(|one| (*one).to_owned()))
            .collect();
        let select = Select::with_theme(self.theme.as_ref())
            .items(&items)
            .default(0)
            .max_length(MOST_SHOWN);
        let select = if items.len() > MOST_SHOWN {
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
    fn mark(&self, choices: &[String], extra: &[&'static str]) -> io::Result<Option<Vec<usize>>> {
        let items: Vec<String> = choices
            .iter()
            .map(|choice| self.fit(choice))
            .chain(extra.iter().map(|one| (*one).to_owned()))
            .collect();
        let select = MultiSelect::with_theme(self.theme.as_ref())
            .items(&items)
            .max_length(MOST_SHOWN);
        let select = if items.len() > MOST_SHOWN {
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
        reply: fn(Option<T>) -> Reply,
    ) -> io::Result<Reply> {
        let mut choices = vec![NOT_KNOWN.to_owned()];
        choices.extend_from_slice(&put.choices);
        Ok(match self.select(&choices, &[BACK, ENOUGH])? {
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
        Ok(match self.mark(&put.choices, &[])? {
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
        const EXTRA: [&str; 5] = [NONE, UNSURE, CANNOT, BACK, ENOUGH];
        if !put.several {
            return Ok(match self.select(&put.choices, &EXTRA)? {
                Chosen::Place(place) => Reply::Which(Which::These(
                    signs.get(place).cloned().into_iter().collect(),
                )),
                Chosen::Extra(NONE) => Reply::Which(Which::None),
                Chosen::Extra(UNSURE) => Reply::Which(Which::Unsure),
                Chosen::Extra(other) => aside(other),
            });
        }
        loop {
            let Some(places) = self.mark(&put.choices, &EXTRA)? else {
                return Ok(Reply::Back);
            };
            let these: Vec<SignId> = places
                .iter()
                .filter_map(|&place| signs.get(place).cloned())
                .collect();
            let extra: Vec<&str> = places
                .iter()
                .filter_map(|&place| EXTRA.get(place.checked_sub(put.choices.len())?).copied())
                .collect();
            match (these.is_empty(), extra.as_slice()) {
                (false, []) => return Ok(Reply::Which(Which::These(these))),
                (true, [NONE]) => return Ok(Reply::Which(Which::None)),
                (true, [UNSURE]) => return Ok(Reply::Which(Which::Unsure)),
                (true, [other]) => return Ok(aside(other)),
                _ => self.term.write_line(
                    "  Mark what you see, or exactly one of the lines below it, with the space bar.",
                )?,
            }
        }
    }

    fn reading(&self, id: &ReadingId) -> io::Result<Reply> {
        let Some(reading) = self.base.readings.get(id) else {
            return Ok(Reply::CannotNow);
        };
        let unit = reading.unit.symbol();
        self.term.write_line(&format!(
            "  Type the reading in {}. Enter alone: {CANNOT}. Or type: back, enough.",
            if unit.is_empty() {
                "whole numbers"
            } else {
                unit
            }
        ))?;
        loop {
            let typed: String = Input::with_theme(self.theme.as_ref())
                .with_prompt("Reading")
                .allow_empty(true)
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
                    Err(fault) => self.term.write_line(&self.fit(&format!("  {fault}")))?,
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

fn plain(error: dialoguer::Error) -> io::Error {
    let dialoguer::Error::IO(error) = error;
    error
}

impl Asker for Terminal<'_> {
    fn say(&mut self, text: &str) -> io::Result<()> {
        (&self.term).write_all(text.as_bytes())
    }

    fn pause(&mut self) -> io::Result<()> {
        self.term
            .write_line("  Press Enter when you have read this.")?;
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
                self.one_of(put, &ids, Reply::Species)
            }
            Step::Stage => {
                let ids: Vec<_> = self.base.stages.keys().cloned().collect();
                self.one_of(put, &ids, Reply::Stage)
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
