//! A list to choose from: arrows and Enter, single keys for what every question allows, typing to find a name.
//!
//! Drawn by hand, since the lists of the dialogue library know no keys of their own, and a line of choices for going
//! back, asking why and the like would bury the question on a narrow screen.

use std::io::{self, Write};

use dialoguer::console::{Key, Style, Term, measure_text_width};

use crate::cli::ask::theme::{CHOICE_INDENT, MARKED_INDENT};

/// Rows that a list takes at the least, however much stands above it.
const LEAST_ROWS: usize = 4;
/// The key that the terminal sends for the end of input.
const END_OF_INPUT: char = '\u{4}';

/// A key of its own for something that is on no line of the list.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Hot {
    /// The key.
    pub key: char,
    /// What it does, in a word or two.
    pub word: &'static str,
}

/// A list.
#[derive(Debug, Clone, Copy)]
pub struct List<'a> {
    /// What can be chosen.
    pub items: &'a [String],
    /// What stands before each item, such as a patch of its colour, all of one width; empty for nothing.
    pub leads: &'a [String],
    /// What is typed to find each item; empty for a list that is not searched. Items without text stay in sight.
    pub found_by: &'a [String],
    /// Whether several can be marked.
    pub several: bool,
    /// Keys of their own.
    pub hot: &'a [Hot],
    /// Keys that stand for the first items, such as `y` and `n`.
    pub quick: &'a [char],
    /// Rows of the question above, which is to stay in sight.
    pub above: usize,
    /// Columns at the most, whatever the terminal has.
    pub width: usize,
    /// Whether colour may be used.
    pub colour: bool,
}

/// What was chosen.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Picked {
    /// One item, by place.
    One(usize),
    /// The marked items, by place.
    Marked(Vec<usize>),
    /// A key of its own.
    Hot(char),
    /// Esc.
    Escape,
}

/// What the list looks like at the moment.
#[derive(Debug, Clone, Default)]
struct State {
    active: usize,
    marked: Vec<bool>,
    typed: String,
    /// The first item drawn.
    top: usize,
}

impl List<'_> {
    /// Waits for a choice.
    ///
    /// # Errors
    /// What the terminal says; end of input as `UnexpectedEof`.
    pub fn pick(&self, term: &Term) -> io::Result<Picked> {
        let mut state = State {
            marked: vec![false; self.items.len()],
            ..State::default()
        };
        term.hide_cursor()?;
        let picked = self.picked(term, &mut state);
        // Whatever became of it, the terminal is left as it was.
        term.show_cursor()?;
        term.flush()?;
        picked
    }

    fn picked(&self, term: &Term, state: &mut State) -> io::Result<Picked> {
        let mut drawn = String::new();
        let picked = loop {
            let (rows, columns) = term.size();
            let text = self.drawn(state, usize::from(rows), usize::from(columns));
            wipe(term, &drawn, usize::from(columns))?;
            (&*term).write_all(text.as_bytes())?;
            term.flush()?;
            drawn = text;
            if let Some(picked) = self.take(state, &term.read_key()?)? {
                break picked;
            }
        };
        wipe(term, &drawn, usize::from(term.size().1))?;
        Ok(picked)
    }

    fn is_searched(&self) -> bool {
        !self.found_by.is_empty()
    }

    /// Items in sight: all, or those that what was typed finds.
    fn in_sight(&self, typed: &str) -> Vec<usize> {
        let typed = typed.trim().to_lowercase();
        (0..self.items.len())
            .filter(|&place| {
                let text = self.found_by.get(place).map_or("", String::as_str);
                typed.is_empty() || text.is_empty() || text.to_lowercase().contains(&typed)
            })
            .collect()
    }

    /// Moves to the first item that what was typed finds, past those that are always in sight.
    fn find(&self, state: &mut State) {
        let sight = self.in_sight(&state.typed);
        let found = sight.iter().find(|&&place| {
            !state.typed.trim().is_empty()
                && self
                    .found_by
                    .get(place)
                    .is_some_and(|text| !text.is_empty())
        });
        state.active = *found.or(sight.first()).unwrap_or(&0);
    }

    fn take(&self, state: &mut State, key: &Key) -> io::Result<Option<Picked>> {
        let sight = self.in_sight(&state.typed);
        let at = sight
            .iter()
            .position(|&place| place == state.active)
            .unwrap_or(0);
        let to = |place: usize| sight.get(place).copied().unwrap_or(0);
        match key {
            Key::ArrowDown | Key::Tab => state.active = to((at + 1) % sight.len().max(1)),
            Key::ArrowUp | Key::BackTab => {
                state.active = to((at + sight.len().max(1) - 1) % sight.len().max(1));
            }
            Key::Home => state.active = to(0),
            Key::End => state.active = to(sight.len().saturating_sub(1)),
            Key::PageDown | Key::ArrowRight => {
                state.active = to((at + PAGE).min(sight.len().saturating_sub(1)));
            }
            Key::PageUp | Key::ArrowLeft => state.active = to(at.saturating_sub(PAGE)),
            Key::Escape if !state.typed.is_empty() => {
                state.typed.clear();
                self.find(state);
            }
            Key::Escape => return Ok(Some(Picked::Escape)),
            Key::Enter if self.several => {
                let marked = (0..self.items.len()).filter(|&place| state.marked[place]);
                return Ok(Some(Picked::Marked(marked.collect())));
            }
            Key::Enter if !sight.is_empty() => return Ok(Some(Picked::One(state.active))),
            Key::Char(END_OF_INPUT) => return Err(io::ErrorKind::UnexpectedEof.into()),
            Key::Backspace => {
                state.typed.pop();
                self.find(state);
            }
            Key::Char(' ') if self.several => {
                if let Some(mark) = state.marked.get_mut(state.active) {
                    *mark = !*mark;
                }
            }
            Key::Char(letter) if self.is_searched() && !letter.is_control() => {
                state.typed.push(*letter);
                self.find(state);
            }
            Key::Char(letter) => return Ok(self.by_key(*letter)),
            _ => {}
        }
        Ok(None)
    }

    fn by_key(&self, letter: char) -> Option<Picked> {
        let small = letter.to_ascii_lowercase();
        if let Some(hot) = self.hot.iter().find(|hot| hot.key == small) {
            return Some(Picked::Hot(hot.key));
        }
        if self.several {
            return None;
        }
        let quick = self.quick.iter().position(|key| *key == small);
        let number = letter
            .to_digit(10)
            .and_then(|digit| (digit as usize).checked_sub(1));
        quick
            .or(number)
            .filter(|&place| place < self.items.len())
            .map(Picked::One)
    }

    /// The list as text that fits so many rows and columns.
    fn drawn(&self, state: &mut State, rows: usize, columns: usize) -> String {
        let sight = self.in_sight(&state.typed);
        let mut head = String::new();
        if !state.typed.is_empty() {
            head = format!("  find: {}_\n", state.typed);
        }
        let foot = self.foot(columns);
        // The cursor waits on a line of its own.
        let beside = heights(&head, columns) + heights(&foot, columns) + 1;
        let room = rows
            .saturating_sub(self.above + beside)
            .max(LEAST_ROWS.min(rows.saturating_sub(beside)))
            .max(1);
        let lines: Vec<String> = sight
            .iter()
            .map(|&place| self.line(state, place, columns))
            .collect();
        let tall: Vec<usize> = lines.iter().map(|line| heights(line, columns)).collect();
        let at = sight
            .iter()
            .position(|&place| place == state.active)
            .unwrap_or(0);
        let all = tall.iter().sum::<usize>() <= room;
        // Two rows tell that there is more above and below.
        let room = if all {
            room
        } else {
            room.saturating_sub(2).max(1)
        };
        state.top = state.top.min(at);
        while tall[state.top.min(tall.len())..=at.min(tall.len().saturating_sub(1))]
            .iter()
            .sum::<usize>()
            > room
            && state.top < at
        {
            state.top += 1;
        }
        if all {
            state.top = 0;
        }
        let mut text = head;
        let mut left = room;
        let mut shown = state.top;
        while let Some(line) = lines.get(shown) {
            if tall[shown] > left && shown > at {
                break;
            }
            left = left.saturating_sub(tall[shown]);
            shown += 1;
            if shown == state.top + 1 && !all {
                text.push_str(&more(state.top, "above"));
            }
            text.push_str(line);
        }
        if !all {
            text.push_str(&more(lines.len() - shown, "below"));
        }
        if sight.is_empty() {
            text.push_str("  nothing is called that\n");
        }
        text.push_str(&foot);
        text
    }

    fn line(&self, state: &State, place: usize, columns: usize) -> String {
        let active = place == state.active;
        let mark = if active { '>' } else { ' ' };
        let box_ = match (self.several, state.marked.get(place)) {
            (false, _) => "",
            (true, Some(true)) => "[x] ",
            (true, _) => "[ ] ",
        };
        let indent = if self.several {
            MARKED_INDENT
        } else {
            CHOICE_INDENT
        };
        let lead = self.leads.get(place).map_or("", String::as_str);
        let indent = indent + measure_text_width(lead);
        let room = columns.min(self.width).saturating_sub(indent + 1).max(1);
        let below = format!("\n{}", " ".repeat(indent));
        let item = textwrap::wrap(&self.items[place], room).join(&below);
        let (before, behind) = (format!("{mark} {box_}"), format!("{item}\n"));
        if self.colour && active {
            let style = Style::new().cyan().bold().force_styling(true);
            let (before, behind) = (style.apply_to(before), style.apply_to(behind.trim_end()));
            format!("{before}{lead}{behind}\n")
        } else {
            format!("{before}{lead}{behind}")
        }
    }

    /// The keys that stand for something, on as few lines as they fit.
    pub fn foot(&self, columns: usize) -> String {
        let words: Vec<String> = self
            .hot
            .iter()
            .map(|hot| format!("{} {}", hot.key, hot.word))
            .collect();
        let mut text = String::new();
        let mut line = String::new();
        for word in words {
            if !line.is_empty() && line.len() + 2 + word.len() + 1 > columns {
                text.push_str(&self.faint(&line));
                line.clear();
            }
            line.push_str("  ");
            line.push_str(&word);
        }
        if !line.is_empty() {
            text.push_str(&self.faint(&line));
        }
        text
    }

    fn faint(&self, line: &str) -> String {
        if self.colour {
            format!(
                "{}\n",
                Style::new().dim().force_styling(true).apply_to(line)
            )
        } else {
            format!("{line}\n")
        }
    }
}

/// How far a page goes.
const PAGE: usize = 8;

fn more(count: usize, where_: &str) -> String {
    if count == 0 {
        String::new()
    } else {
        format!("  ({count} more {where_})\n")
    }
}

/// Rows that a text takes on a terminal of this width, each line of it ended.
pub fn heights(text: &str, columns: usize) -> usize {
    text.lines()
        .map(|line| measure_text_width(line).div_ceil(columns.max(1)).max(1))
        .sum()
}

/// Takes what was drawn away again, as it stands on a terminal that may have been made narrower meanwhile.
fn wipe(term: &Term, drawn: &str, columns: usize) -> io::Result<()> {
    if drawn.is_empty() {
        return Ok(());
    }
    term.clear_last_lines(heights(drawn, columns))
}

#[cfg(test)]
mod tests;
