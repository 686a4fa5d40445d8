//! A follow-up asked at a terminal.

use std::io;

use dialoguer::console::Term;
use dialoguer::{Input, MultiSelect, Select};
use jiff::civil::Date;

use crate::cli::ask::Asker;
use crate::cli::ask::answers::Taken;
use crate::cli::ask::terminal::Terminal;
use crate::cli::ask::theme::{CHOICE_INDENT, MARKED_INDENT, Marks};
use crate::cli::ask::walk::{Reply, Step};
use crate::cli::cases::day;
use crate::cli::exit::Failure;
use crate::cli::follow_up::Looked;
use crate::cli::follow_up::questions::{Questions, questions};
use crate::cli::given;
use crate::cli::session::Session;
use crate::engine::diagnosis::{Ask, NextCheck};
use crate::engine::id::{CauseId, ReadingId, SignId};
use crate::engine::knowledge::{Asking, KnowledgeBase};
use crate::engine::observations::Observations;
use crate::journal::kept::{Done, KeptCase, Outcome};
use crate::report::page::{Ink, Look, Page};
use crate::report::sanitise;
use crate::report::words::{listed, spoken, unstopped};

/// What can be said where nothing was done, in the order offered.
const WITHOUT_DOING: [&str; 4] = [
    "too early to say",
    "the trouble is gone by itself",
    "it is better, and not gone",
    "it is as bad as before",
];
/// What can be said of the outcome, in the order offered.
const OUTCOMES: [(&str, Option<Outcome>); 4] = [
    ("too early to say", None),
    ("it worked: the trouble is gone", Some(Outcome::Worked)),
    ("it is better, and not gone", Some(Outcome::Partly)),
    ("no, it is as bad as before", Some(Outcome::No)),
];
/// Not knowing comes first, so that pressing Enter confirms nothing.
const NOT_KNOWN: &str = "not known";
const SOMETHING_ELSE: &str = "something else";
/// How many choices are shown on one page.
const MOST_SHOWN: usize = 12;
/// What to say where there are more.
const TURNING: &str = "More with left and right";

/// Asks. Nothing is written until everything is answered.
///
/// # Errors
/// Where it was broken off.
pub fn ask(
    base: &KnowledgeBase,
    case: &KeptCase,
    before: &Observations,
    session: &Session,
) -> Result<Looked, Failure> {
    let look = session.look_of_questions();
    let mut asking = Seat {
        base,
        term: Term::buffered_stderr(),
        terminal: Terminal::new(base, look, session.width_is_asked(), session.system)
            .without_asides(),
        look,
    };
    asking.all(case, before).map_err(|error| {
        Failure::unable(format!(
            "broken off ({error}); nothing was noted of the case {}",
            case.kept.id
        ))
    })
}

/// Somebody at a terminal.
struct Seat<'a> {
    base: &'a KnowledgeBase,
    term: Term,
    terminal: Terminal<'a>,
    look: Look,
}

impl Seat<'_> {
    fn all(&mut self, case: &KeptCase, before: &Observations) -> io::Result<Looked> {
        let mut case = case.clone();
        let (done, not_done) = self.done(&case)?;
        case.kept.done.extend(done.iter().cloned());
        let nothing = case.kept.done.is_empty() && !not_done.is_empty();
        let asked = questions(self.base, &case, before);
        let mut page = Page::new(self.look);
        for (action, watch) in &asked.tried {
            page.labelled(0, &format!("{}:", spoken(action)), watch);
        }
        self.terminal.say(&format!("{}\n", page.finish()))?;
        let mut looked = Looked {
            done,
            not_done,
            now: self.seen(&asked)?,
            ..Looked::default()
        };
        let tried: Vec<String> = case.tried().into_iter().map(spoken).collect();
        let (question, outcomes) = if nothing {
            let outcomes = WITHOUT_DOING.map(str::to_owned);
            ("How is it now, with nothing done?".to_owned(), outcomes)
        } else {
            let of_what = match tried.is_empty() {
                true => String::new(),
                false => format!(": {}", listed(&tried)),
            };
            (
                format!("Did it work{of_what}?"),
                OUTCOMES.map(|(words, _)| words.to_owned()),
            )
        };
        let chosen = self.choose(&question, &outcomes)?;
        looked.outcome = OUTCOMES.get(chosen).and_then(|(_, outcome)| *outcome);
        looked.found = self.found(&case)?;
        looked.note = Some(self.line("A note for yourself, or Enter alone")?)
            .map(|note| note.trim().to_owned())
            .filter(|note| !note.is_empty());
        Ok(looked)
    }

    /// Which of the advised actions were done and not noted yet, and which were not.
    fn done(&mut self, case: &KeptCase) -> io::Result<(Vec<Done>, Vec<String>)> {
        let open = case.not_noted();
        if open.is_empty() {
            return Ok((Vec::new(), Vec::new()));
        }
        let texts: Vec<String> = open.iter().map(|id| self.in_short(id)).collect();
        let marked = self.mark("Which of these did you do?", &texts)?;
        let (mut done, mut not_done) = (Vec::new(), Vec::new());
        let on = if marked.is_empty() {
            case.kept.at.date()
        } else {
            self.day(case.kept.at.date())?
        };
        for (place, id) in open.into_iter().enumerate() {
            if marked.contains(&place) {
                done.push(Done {
                    action: id.to_owned(),
                    on,
                    note: None,
                });
            } else {
                not_done.push(id.to_owned());
            }
        }
        Ok((done, not_done))
    }

    /// An action in a few words: the first clause of what it says, or its id where it is gone.
    fn in_short(&self, id: &str) -> String {
        let text = self.base.actions.get(id).map(|action| &action.text);
        text.and_then(|text| text.split(['.', ':', ';']).next())
            .map_or_else(|| spoken(id), str::to_owned)
    }

    fn day(&mut self, advised: Date) -> io::Result<Date> {
        let mut page = Page::new(self.look);
        page.blank();
        page.entry(0, "?", Ink::Strong, "On which day?");
        page.paragraph(
            2,
            Ink::Faint,
            "Write it like 2026-03-04, today or yesterday. Enter alone: the day it was advised.",
        );
        self.terminal.say(&page.finish())?;
        loop {
            let typed = self.line("Day")?;
            if typed.trim().is_empty() {
                return Ok(advised);
            }
            match day(&typed, "the day") {
                Ok(day) => return Ok(day),
                Err(failure) => self.terminal.note(&failure.message)?,
            }
        }
    }

    /// Places of the choices that are marked.
    fn mark(&mut self, question: &str, choices: &[String]) -> io::Result<Vec<usize>> {
        let mut page = Page::new(self.look);
        page.blank();
        page.entry(0, "?", Ink::Strong, question);
        page.paragraph(
            2,
            Ink::Faint,
            "Space marks, Enter goes on. Mark nothing if you did none of them.",
        );
        self.terminal.say(&page.finish())?;
        let items: Vec<String> = choices
            .iter()
            .map(|choice| self.item(choice, MARKED_INDENT))
            .collect();
        let theme = Marks {
            colour: self.look.colour,
        };
        let marked = MultiSelect::with_theme(&theme)
            .items(&items)
            .max_length(MOST_SHOWN)
            .report(false)
            .interact_on(&self.term)
            .map_err(plain)?;
        let mut page = Page::new(self.look);
        for &place in &marked {
            page.entry(
                2,
                ">",
                Ink::Good,
                choices.get(place).map_or("", |said| said),
            );
        }
        if marked.is_empty() {
            page.entry(2, ">", Ink::Good, "none of them");
        }
        self.terminal.say(&page.finish())?;
        Ok(marked)
    }

    /// What is seen and read now. Going back from a question asks the one before it again.
    fn seen(&mut self, asked: &Questions) -> io::Result<Observations> {
        let signs = asked.signs.iter().map(|id| sign_step(self.base, id));
        let readings = asked.readings.iter().map(|id| reading_step(self.base, id));
        let steps: Vec<Step> = signs.chain(readings).collect();
        let mut now = Observations::default();
        let mut place = 0;
        while let Some(step) = steps.get(place) {
            let Step::Check(check) = step else {
                break;
            };
            match (self.terminal.ask(step)?, &check.ask) {
                (Reply::Back, _) => {
                    place = place.saturating_sub(1);
                    continue;
                }
                (Reply::Enough, _) => break,
                (Reply::Sign(answer), Ask::Sign(id)) => {
                    now.signs.insert(id.clone(), answer);
                }
                (Reply::Reading(Taken { measured, .. }), Ask::Reading(id)) => {
                    now.readings.insert(id.clone(), measured);
                }
                // It cannot be looked at now, whatever was said of it before going back.
                (_, Ask::Sign(id)) => {
                    now.signs.shift_remove(id);
                }
                (_, Ask::Reading(id)) => {
                    now.readings.shift_remove(id);
                }
                (_, Ask::Question(..)) => {}
            }
            place += 1;
        }
        Ok(now)
    }

    /// The cause found in the end.
    fn found(&mut self, case: &KeptCase) -> io::Result<Vec<CauseId>> {
        let offered = offered(self.base, case);
        let mut choices = vec![NOT_KNOWN.to_owned()];
        choices.extend(
            offered
                .iter()
                .filter_map(|id| self.base.causes.get(id))
                .map(|cause| unstopped(&cause.name).to_owned()),
        );
        choices.push(SOMETHING_ELSE.to_owned());
        let chosen = self.choose("What was it in the end?", &choices)?;
        if chosen == 0 {
            return Ok(Vec::new());
        }
        if let Some(id) = offered.get(chosen - 1) {
            return Ok(vec![id.clone()]);
        }
        loop {
            let typed = self.line("Its name or id, or Enter alone if not known")?;
            if typed.trim().is_empty() {
                return Ok(Vec::new());
            }
            match given::cause(self.base, &typed) {
                Ok(id) if self.base.causes[&id].any_of.is_empty() => return Ok(vec![id]),
                Ok(_) => self
                    .terminal
                    .note("That is a group of causes; name one of it.")?,
                Err(fault) => self.terminal.note(&fault)?,
            }
        }
    }

    fn choose(&mut self, question: &str, choices: &[String]) -> io::Result<usize> {
        let mut page = Page::new(self.look);
        page.blank();
        page.entry(0, "?", Ink::Strong, question);
        self.terminal.say(&page.finish())?;
        let items: Vec<String> = choices
            .iter()
            .map(|choice| self.item(choice, CHOICE_INDENT))
            .collect();
        let tallest = items.iter().map(|item| item.lines().count()).max();
        let shown = (MOST_SHOWN / tallest.unwrap_or(1).max(1)).max(1);
        let theme = Marks {
            colour: self.look.colour,
        };
        let select = Select::with_theme(&theme)
            .items(&items)
            .default(0)
            .max_length(shown);
        let select = if items.len() > shown {
            select.with_prompt(TURNING).report(false)
        } else {
            select
        };
        let chosen = select.interact_on(&self.term).map_err(plain)?;
        let mut page = Page::new(self.look);
        page.entry(
            2,
            ">",
            Ink::Good,
            choices.get(chosen).map_or("", |said| said),
        );
        self.terminal.say(&page.finish())?;
        Ok(chosen)
    }

    /// A choice as lines that fit the terminal.
    fn item(&self, choice: &str, indent: usize) -> String {
        let mut text = sanitise::line(choice).into_owned();
        if self.look.plain {
            text = sanitise::ascii(&text).into_owned();
        }
        let room = self.look.width.saturating_sub(indent + 1);
        let below = format!("\n{}", " ".repeat(indent));
        textwrap::wrap(&text, room).join(&below)
    }

    fn line(&self, question: &str) -> io::Result<String> {
        let theme = Marks {
            colour: self.look.colour,
        };
        Input::<String>::with_theme(&theme)
            .with_prompt(question)
            .allow_empty(true)
            .interact_text_on(&self.term)
            .map_err(plain)
    }
}

fn plain(error: dialoguer::Error) -> io::Error {
    let dialoguer::Error::IO(error) = error;
    error
}

/// The causes offered: those reported, and what may stand behind each.
fn offered(base: &KnowledgeBase, case: &KeptCase) -> Vec<CauseId> {
    let mut offered: Vec<CauseId> = Vec::new();
    let latest = case.kept.follow_ups.last().map(|one| &one.diagnosis);
    let diagnoses = latest.into_iter().chain([&case.kept.diagnosis]);
    for reported in diagnoses.flat_map(|diagnosis| &diagnosis.causes) {
        let Some((id, cause)) = base.causes.get_key_value(reported.id.as_str()) else {
            continue;
        };
        let roots = cause.roots.iter().map(|link| &link.cause);
        for id in [id].into_iter().chain(roots) {
            if !offered.contains(id) {
                offered.push(id.clone());
            }
        }
    }
    offered
}

fn sign_step(base: &KnowledgeBase, id: &SignId) -> Step {
    let sign = base.signs.get(id);
    let how = sign.map_or_else(String::new, |sign| sign.look.clone());
    let question = match sign.map(|sign| &sign.asking) {
        Some(Asking::Alone { question }) => question.clone(),
        _ => format!(
            "Is it so now: {}?",
            sign.map_or(id.as_str(), |sign| &sign.statement)
        ),
    };
    check(Ask::Sign(id.clone()), question, how)
}

fn reading_step(base: &KnowledgeBase, id: &ReadingId) -> Step {
    let (question, how) = base.readings.get(id).map_or_else(
        || (id.to_string(), String::new()),
        |reading| {
            (
                format!("What is it now: {}?", reading.name),
                reading.look.clone(),
            )
        },
    );
    check(Ask::Reading(id.clone()), question, how)
}

/// A check put for what it shows, not for what it is worth.
fn check(ask: Ask, question: String, how: String) -> Step {
    Step::Check(NextCheck {
        ask,
        question,
        how,
        chances: Vec::new(),
        gain_bits: 0.0,
        effort: 1.0,
        effort_word: String::new(),
        separates: Vec::new(),
        hazard: false,
        about_roots_of: None,
    })
}
