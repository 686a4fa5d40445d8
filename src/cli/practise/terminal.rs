//! Practising at a terminal.

use std::io;

use crate::cli::ask::Asker;
use crate::cli::ask::list::{Hot, Picked, heights};
use crate::cli::ask::prompt::Prompt;
use crate::cli::ask::terminal::Terminal;
use crate::cli::practise::rounds::{Next, Trainee};
use crate::cli::session::Session;
use crate::engine::diagnosis::Ask;
use crate::engine::id::CauseId;
use crate::engine::knowledge::{CauseKind, KnowledgeBase};
use crate::engine::quantity::System;
use crate::report::page::Look;
use crate::report::practice::{action, caution, found, question, words_of};
use crate::report::words::{percent, unstopped};
use crate::train::practice::choices::Choices;
use crate::train::practice::debrief::Round;
use crate::train::practice::look::Found;
use crate::train::practice::points::{Answer, Named};

/// The most causes that can be named.
///
/// judgement: a case has two at the most; a third may be guessed.
const MOST_NAMED: usize = 3;
/// Rows kept free below a part of a long text, for the line that asks to go on.
const ROWS_BELOW: usize = 3;

/// What begins left of this column begins an item.
const ITEM_COLUMN: usize = 3;

const SURE: Hot = Hot {
    key: 'a',
    word: "answer: I am sure",
};
const SEARCH: Hot = Hot {
    key: 's',
    word: "something else",
};
const LEAVE: Hot = Hot {
    key: 'q',
    word: "leave",
};
const NOTHING: Hot = Hot {
    key: 'n',
    word: "nothing special",
};
const BACK: &str = "back to the short list";
const CANNOT_TELL: &str = "I cannot tell";
const NO_MORE: &str = "nothing else";

/// Somebody at a terminal.
pub struct Seat<'a> {
    base: &'a KnowledgeBase,
    terminal: Terminal<'a>,
    look: Look,
    system: System,
}

impl<'a> Seat<'a> {
    /// Takes a seat.
    pub fn new(base: &'a KnowledgeBase, session: &Session) -> Self {
        let look = session.look_of_questions();
        Self {
            base,
            terminal: Terminal::new(base, look, session.width_is_asked(), session.system)
                .without_asides(),
            look,
            system: session.system,
        }
    }

    /// A check out of all that can be made, found by typing; `None` for going back.
    fn search(&self, round: &Round<'_, '_>) -> io::Result<Option<Ask>> {
        let base = self.base;
        // By their words: in the order of what they tell, the list would give it away.
        let mut all: Vec<(String, &Ask)> = round
            .every
            .iter()
            .map(|check| (question(base, &check.ask), &check.ask))
            .collect();
        all.sort_by(|a, b| a.0.cmp(&b.0));
        let mut put = Prompt {
            question: "What do you look at?".to_owned(),
            choices: vec![BACK.to_owned()],
            found_by: vec![String::new()],
            ..Prompt::default()
        };
        for (text, ask) in &all {
            put.choices.push(text.clone());
            put.found_by.push(words_of(base, ask));
        }
        match self.terminal.choose(&put, &[])? {
            Picked::One(place @ 1..) => Ok(all.get(place - 1).map(|(_, ask)| (*ask).clone())),
            _ => Ok(None),
        }
    }

    /// The causes, each with how sure.
    fn causes(&self) -> io::Result<Vec<Named>> {
        let base = self.base;
        let mut all: Vec<(&str, &CauseId)> = base
            .causes
            .iter()
            .filter(|(_, cause)| cause.kind != CauseKind::Root && cause.any_of.is_empty())
            .map(|(id, cause)| (unstopped(&cause.name), id))
            .collect();
        all.sort_unstable();
        let mut named: Vec<Named> = Vec::new();
        while named.len() < MOST_NAMED {
            let left: Vec<&(&str, &CauseId)> = all
                .iter()
                .filter(|(_, id)| !named.iter().any(|one| one.cause == **id))
                .collect();
            let (question, first) = if named.is_empty() {
                ("What is it?", CANNOT_TELL)
            } else {
                ("And at the same time?", NO_MORE)
            };
            let mut put = Prompt {
                question: question.to_owned(),
                choices: vec![first.to_owned()],
                found_by: vec![String::new()],
                ..Prompt::default()
            };
            for (name, id) in &left {
                put.choices.push((*name).to_owned());
                put.found_by
                    .push(format!("{name} {}", id.as_str().replace('-', " ")));
            }
            let picked = self.terminal.choose(&put, &[])?;
            let cause = match picked {
                Picked::One(place @ 1..) => left.get(place - 1),
                _ => None,
            };
            let Some((name, id)) = cause else {
                self.terminal.chosen(first)?;
                break;
            };
            self.terminal.chosen(name)?;
            named.push(Named {
                cause: (*id).clone(),
                confidence: self.confidence()?,
            });
        }
        Ok(named)
    }

    /// How sure, 0 to 1.
    fn confidence(&self) -> io::Result<f64> {
        loop {
            let typed = self
                .terminal
                .typed("How sure are you, in per cent?", "0 to 100")?;
            let number = typed.trim().trim_end_matches('%').trim();
            match number.replace(',', ".").parse::<f64>() {
                Ok(sure) if (0.0..=100.0).contains(&sure) => {
                    self.terminal.chosen(&percent(sure / 100.0))?;
                    return Ok(sure / 100.0);
                }
                _ => self.terminal.note("A number from 0 to 100, such as 70.")?,
            }
        }
    }
}

/// A text cut into screens of so many rows: where a part ends, or, in a part that is taller than a screen, where one of
/// its items begins.
fn screens(text: &str, room: usize, columns: usize) -> Vec<String> {
    let mut pieces: Vec<String> = Vec::new();
    for part in text.split_inclusive("\n\n") {
        if heights(part, columns) <= room {
            pieces.push(part.to_owned());
            continue;
        }
        for (number, line) in part.split_inclusive('\n').enumerate() {
            let begins = line
                .find(|letter| letter != ' ')
                .is_some_and(|at| at < ITEM_COLUMN);
            match pieces.last_mut() {
                // A heading stays with what it heads.
                Some(piece) if number > 0 && (!begins || number == 1) => piece.push_str(line),
                _ => pieces.push(line.to_owned()),
            }
        }
    }
    let mut screens: Vec<String> = Vec::new();
    for piece in pieces {
        match screens.last_mut() {
            Some(screen) if heights(screen, columns) + heights(&piece, columns) <= room => {
                screen.push_str(&piece);
            }
            _ => screens.push(piece),
        }
    }
    screens
}

impl Trainee for Seat<'_> {
    fn look(&self, _usual: Look) -> Look {
        self.look
    }

    fn say(&mut self, text: &str) -> io::Result<()> {
        self.terminal.say(text)
    }

    /// Screen by screen, each ending where a part ends, as far as that fits.
    fn report(&mut self, text: &str) -> io::Result<()> {
        let room = self.terminal.rows().saturating_sub(ROWS_BELOW).max(1);
        let screens = screens(text, room, self.terminal.columns());
        for (number, screen) in screens.iter().enumerate() {
            if number > 0 {
                self.terminal.pause()?;
            }
            self.terminal.say(screen)?;
        }
        Ok(())
    }

    fn next(&mut self, round: &Round<'_, '_>, offer: &[Ask]) -> io::Result<Next> {
        let put = Prompt {
            question: "What do you look at next?".to_owned(),
            choices: offer.iter().map(|ask| question(self.base, ask)).collect(),
            ..Prompt::default()
        };
        loop {
            match self.terminal.choose(&put, &[SURE, SEARCH, LEAVE])? {
                Picked::One(place) => {
                    if let Some(ask) = offer.get(place) {
                        return Ok(Next::Look(ask.clone()));
                    }
                }
                Picked::Hot('a') => {
                    self.terminal.chosen("I am sure enough")?;
                    return Ok(Next::Answer);
                }
                Picked::Hot('s') => {
                    self.terminal.chosen(SEARCH.word)?;
                    if let Some(ask) = self.search(round)? {
                        return Ok(Next::Look(ask));
                    }
                }
                Picked::Hot(_) => {
                    self.terminal.note("Left; this case counts for nothing.")?;
                    return Ok(Next::Leave);
                }
                Picked::Marked(_) | Picked::Escape => {}
            }
        }
    }

    fn hear(&mut self, ask: &Ask, result: &Found) -> io::Result<()> {
        let text = found(self.base, ask, result, self.system);
        self.terminal
            .chosen(&format!("{} {text}", question(self.base, ask)))
    }

    fn answer(&mut self, choices: &Choices) -> io::Result<Answer> {
        let causes = self.causes()?;
        let put = Prompt {
            question: "What do you do first?".to_owned(),
            choices: choices
                .actions
                .iter()
                .map(|id| action(self.base, id))
                .collect(),
            ..Prompt::default()
        };
        let first = loop {
            if let Picked::One(place) = self.terminal.choose(&put, &[])? {
                break choices.actions.get(place).cloned();
            }
        };
        if let Some(id) = &first {
            self.terminal.chosen(&action(self.base, id))?;
        }
        let put = Prompt {
            question: "Which cautions have to be kept here, for you and others?".to_owned(),
            how: "Mark every one that is due.".to_owned(),
            choices: choices
                .cautions
                .iter()
                .map(|id| caution(self.base, id))
                .collect(),
            several: true,
            ..Prompt::default()
        };
        let cautions = loop {
            match self.terminal.choose(&put, &[NOTHING])? {
                Picked::Hot(_) => break Vec::new(),
                Picked::Marked(places) if !places.is_empty() => break places,
                _ => self
                    .terminal
                    .note("Nothing is marked: the space bar marks; n is for nothing special.")?,
            }
        };
        let cautions: Vec<_> = cautions
            .into_iter()
            .filter_map(|place| choices.cautions.get(place).cloned())
            .collect();
        if cautions.is_empty() {
            self.terminal.chosen(NOTHING.word)?;
        }
        for id in &cautions {
            self.terminal.chosen(&caution(self.base, id))?;
        }
        Ok(Answer {
            causes,
            action: first,
            cautions,
        })
    }

    fn another(&mut self) -> io::Result<bool> {
        self.terminal.agree("Another case?")
    }
}

#[cfg(test)]
mod tests {
    use super::screens;

    #[test]
    fn a_long_text_is_cut_where_parts_end_and_tall_parts_where_items_begin() {
        let text = "One\n  ! a\n    b\n  ! c\n\nTwo\n  - d\n";
        assert_eq!(screens(text, 10, 80), [text]);
        assert_eq!(screens(text, 5, 80).concat(), text);
        assert_eq!(screens(text, 5, 80)[1], "Two\n  - d\n");
        let tall = screens(text, 3, 80);
        assert_eq!(tall[0], "One\n  ! a\n    b\n");
        assert_eq!(tall[1], "  ! c\n\n");
        assert_eq!(tall.concat(), text);
        assert!(screens("", 3, 80).is_empty());
    }
}
