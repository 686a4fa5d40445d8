//! Asks at a terminal for what a log leaves unclear. Elsewhere the option that says it is named instead.

use std::io::{self, IsTerminal, Write};

use dialoguer::Select;
use dialoguer::console::Term;

use crate::cli::ask::theme::{CHOICE_INDENT, Marks};
use crate::cli::session::Session;
use crate::log::channel::Channel;
use crate::log::columns::What;
use crate::log::opening::{OpeningError, Said};
use crate::log::stamp::DateOrder;
use crate::log::stamp::form::{SHARED, written};
use crate::log::unit::InUnit;
use crate::report::page::{Ink, Page};
use crate::report::sanitise;

/// Asks, where one of a few answers would settle the matter and somebody sits at the terminal. Tells whether there was
/// an answer; it then stands in `said`.
///
/// # Errors
/// What the terminal says.
pub fn ask(error: &OpeningError, said: &mut Said, session: &Session) -> io::Result<bool> {
    if !(io::stdin().is_terminal() && io::stderr().is_terminal()) {
        return Ok(false);
    }
    match error {
        OpeningError::Unclear { what, columns } => {
            let Some(of) = What::named(what) else {
                return Ok(false);
            };
            let question = format!("Which column holds the {what}?");
            let names: Vec<String> = columns
                .iter()
                .map(|(number, name)| format!("{name} (column {number})"))
                .collect();
            let chosen = choose(&question, &names, session)?;
            let chosen = chosen.and_then(|place| columns.get(place));
            said.columns
                .extend(chosen.map(|(number, _)| (of, number.to_string())));
            Ok(chosen.is_some())
        }
        OpeningError::UnitUnclear {
            what,
            name,
            value,
            usual,
            other,
            ..
        } => {
            let Some(channel) = Channel::named(what) else {
                return Ok(false);
            };
            let question = format!("In which unit are the numbers of `{name}`, such as {value}?");
            let units = [(*usual).to_owned(), (*other).to_owned()];
            let chosen = choose(&question, &units, session)?;
            let unit = chosen.and_then(|place| InUnit::named(&units[place]));
            said.units.extend(unit.map(|unit| (channel, unit)));
            Ok(unit.is_some())
        }
        OpeningError::OrderUnclear { text, .. } => {
            let question = format!("What comes first in dates such as `{text}`?");
            let answers = ["the day".to_owned(), "the month".to_owned()];
            let chosen = choose(&question, &answers, session)?;
            said.order = chosen.map(|place| match place {
                0 => DateOrder::DayFirst,
                _ => DateOrder::MonthFirst,
            });
            Ok(chosen.is_some())
        }
        OpeningError::ZoneUnclear { text, shared, .. } => {
            let (name, places) = SHARED[*shared];
            let question = format!("Where does the clock of `{text}` hang? Several use {name}.");
            let answers: Vec<String> = places
                .iter()
                .map(|(offset, place)| format!("{} ({place})", written(*offset)))
                .collect();
            let chosen = choose(&question, &answers, session)?;
            said.meanings[*shared] = chosen.map(|place| places[place].0);
            Ok(chosen.is_some())
        }
        _ => Ok(false),
    }
}

fn choose(question: &str, answers: &[String], session: &Session) -> io::Result<Option<usize>> {
    let look = session.look_of_questions();
    let mut page = Page::new(look);
    page.entry(0, "?", Ink::Strong, question);
    let term = Term::buffered_stderr();
    (&term).write_all(page.finish().as_bytes())?;
    term.flush()?;
    let room = look.width.saturating_sub(CHOICE_INDENT + 1);
    let items: Vec<String> = answers
        .iter()
        .map(|answer| sanitise::line(answer).chars().take(room).collect())
        .collect();
    Select::with_theme(&Marks {
        colour: look.colour,
    })
    .items(&items)
    .default(0)
    .interact_on_opt(&term)
    .map_err(|error| match error {
        dialoguer::Error::IO(error) => error,
    })
}
