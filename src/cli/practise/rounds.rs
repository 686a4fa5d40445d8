//! Case after case: looking, answering, the debrief.

use std::io;

use crate::cli::exit::Failure;
use crate::cli::practise::leave::broken_off;
use crate::cli::practise::record::Keeper;
use crate::engine::diagnosis::Ask;
use crate::engine::knowledge::Topic;
use crate::engine::reasoner::Reasoner;
use crate::report::handbook::Book;
use crate::report::page::{Ink, Look, Page};
use crate::report::practice::{debrief, opening};
use crate::train::practice::case::{PracticeCase, Wish, draw};
use crate::train::practice::choices::{Choices, choices};
use crate::train::practice::debrief::{Debrief, Round};
use crate::train::practice::level::Level;
use crate::train::practice::look::{Found, stream};
use crate::train::practice::points::Answer;

/// What somebody does next.
#[derive(Debug, Clone, PartialEq)]
pub enum Next {
    /// Looks at something.
    Look(Ask),
    /// Is sure enough to answer.
    Answer,
    /// Leaves; the case at hand counts as nothing.
    Leave,
}

/// Somebody, or something, that practises.
pub trait Trainee {
    /// How what is told should look.
    fn look(&self, usual: Look) -> Look {
        usual
    }

    /// Tells something.
    ///
    /// # Errors
    /// Where it cannot be told.
    fn say(&mut self, text: &str) -> io::Result<()>;

    /// Tells what is longer than a screen.
    ///
    /// # Errors
    /// Where it cannot be told.
    fn report(&mut self, text: &str) -> io::Result<()> {
        self.say(text)
    }

    /// What to do next.
    ///
    /// # Errors
    /// Where no reply can be had.
    fn next(&mut self, round: &Round<'_, '_>, offer: &[Ask]) -> io::Result<Next>;

    /// Hears what a check found.
    ///
    /// # Errors
    /// Where it cannot be told.
    fn hear(&mut self, ask: &Ask, found: &Found) -> io::Result<()>;

    /// The answer.
    ///
    /// # Errors
    /// Where no reply can be had.
    fn answer(&mut self, choices: &Choices) -> io::Result<Answer>;

    /// Whether to go on with another case.
    ///
    /// # Errors
    /// Where no reply can be had.
    fn another(&mut self) -> io::Result<bool>;
}

/// Which cases are put.
#[derive(Debug, Clone, Copy)]
pub struct Course<'k> {
    /// What they are drawn from.
    pub seed: u64,
    /// How hard they are.
    pub level: Option<Level>,
    /// What they are about.
    pub topic: Option<&'k Topic>,
    /// How many at the most.
    pub cases: Option<usize>,
    /// The cases of an exam: nothing is said of how it went before the last is answered.
    pub fixed: Option<&'k [PracticeCase]>,
}

impl<'k> Course<'k> {
    /// What is wished for, but for what is due again.
    pub fn wish(&self) -> Wish<'k> {
        Wish {
            level: self.level,
            topic: self.topic,
            pair: None,
        }
    }
}

/// Goes through a course, and returns what was finished.
///
/// # Errors
/// Where no reply can be had, there is no such case, or it cannot be kept.
pub fn go(
    reasoner: &Reasoner<'_>,
    book: Book<'_>,
    course: Course<'_>,
    keeper: &mut Keeper,
    trainee: &mut dyn Trainee,
) -> Result<Vec<(PracticeCase, Debrief)>, Failure> {
    let base = book.base;
    if let Some(note) = keeper.note() {
        let mut page = Page::new(book.look);
        page.paragraph(0, Ink::Faint, &note);
        let note = format!("{}\n", page.finish());
        trainee.say(&note).map_err(|error| broken_off(&error))?;
    }
    let most = course.fixed.map(<[PracticeCase]>::len).or(course.cases);
    let mut finished: Vec<(PracticeCase, Debrief)> = Vec::new();
    loop {
        let number = finished.len();
        if most.is_some_and(|most| number >= most) {
            break;
        }
        // What an exam puts is fixed, whatever is due.
        let case = match course.fixed {
            Some(cases) => cases.get(number).cloned(),
            None => {
                let points = points(keeper, &finished);
                next_case(reasoner, course, keeper, number, &points)
            }
        };
        let Some(case) = case else {
            return Err(Failure::unable(
                "no such case could be drawn; try another topic or level",
            ));
        };
        let one = round(reasoner, book, &case, number + 1, trainee);
        let Some(told) = one.map_err(|error| broken_off(&error))? else {
            break;
        };
        keeper.keep(base, &case, &told, &course)?;
        if course.fixed.is_none() {
            let text = debrief(book, &case, &told);
            trainee.report(&text).map_err(|error| broken_off(&error))?;
        }
        finished.push((case, told));
        let last = most.is_some_and(|most| finished.len() >= most);
        if !last && course.fixed.is_none() {
            let another = trainee.another().map_err(|error| broken_off(&error))?;
            if !another {
                break;
            }
        }
    }
    if course.fixed.is_some() {
        for (number, (case, told)) in finished.iter().enumerate() {
            let text = format!(
                "{}{}",
                opening(base, case, number + 1, book.look),
                debrief(book, case, told)
            );
            trainee.report(&text).map_err(|error| broken_off(&error))?;
        }
    }
    Ok(finished)
}

/// The next case: one of a pair that is due, unless the case before was one too.
fn next_case(
    reasoner: &Reasoner<'_>,
    course: Course<'_>,
    keeper: &mut Keeper,
    number: usize,
    points: &[f64],
) -> Option<PracticeCase> {
    let seed = stream(course.seed, number);
    let due = keeper.due_pair(reasoner.base());
    if let Some((one, other)) = &due {
        let wish = Wish {
            pair: Some((one, other)),
            level: None,
            topic: None,
        };
        let drawn = draw(reasoner, wish, seed);
        if drawn.is_some() {
            return drawn;
        }
    }
    let wish = Wish {
        level: course.level.or(Some(Level::rising(points))),
        ..course.wish()
    };
    draw(reasoner, wish, seed)
}

/// Points so far: those kept under a name, or those of this sitting.
fn points(keeper: &Keeper, finished: &[(PracticeCase, Debrief)]) -> Vec<f64> {
    match &keeper.record {
        Some(record) => record.rounds.iter().map(|round| round.points).collect(),
        None => finished
            .iter()
            .map(|(_, told)| told.points.total())
            .collect(),
    }
}

/// One case; `None` where it was left.
fn round(
    reasoner: &Reasoner<'_>,
    book: Book<'_>,
    case: &PracticeCase,
    number: usize,
    trainee: &mut dyn Trainee,
) -> io::Result<Option<Debrief>> {
    trainee.say(&opening(book.base, case, number, book.look))?;
    let mut round = Round::new(reasoner, case);
    loop {
        let offer = round.offer();
        match trainee.next(&round, &offer)? {
            Next::Leave => return Ok(None),
            Next::Answer => break,
            Next::Look(ask) => {
                if let Some(found) = round.look(&ask) {
                    trainee.hear(&ask, &found)?;
                }
            }
        }
    }
    let offered = choices(reasoner, case, &round.seen);
    let answer = trainee.answer(&offered)?;
    Ok(Some(round.finish(answer)))
}
