//! The answers of a walk: what they mean, and the file they are kept in.
//!
//! A walk is nothing but its answers: they tell what was observed, and which step comes next. So a walk that was
//! broken off goes on from its answers, and a file of answers drives a walk without a terminal.

mod file;

use indexmap::IndexMap;

use crate::cli::ask::walk::{Reply, Step};
use crate::cli::growth::{Size, growth};
use crate::engine::diagnosis::Ask;
use crate::engine::id::{PersonId, QuestionId, ReadingId, SetupId, SignId, SpeciesId, StageId};
use crate::engine::knowledge::{Complaint, KnowledgeBase, Reading};
use crate::engine::observations::{Answer, Observations};
use crate::engine::quantity::{Measured, Unit};

pub use crate::cli::ask::answers::file::{SCHEMA, parse, to_toml};

/// The answers given so far.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Answers {
    /// Whether it is a spot that is looked at first.
    pub spot: bool,
    /// Sizes of the spot with their times, kept for the next look.
    pub sizes: Vec<Size>,
    /// The species; `Some(None)` where it is not known.
    pub species: Option<Option<SpeciesId>>,
    /// The stage; `Some(None)` where it is not known.
    pub stage: Option<Option<StageId>>,
    /// The opening setup items that hold.
    pub setup: Option<Vec<SetupId>>,
    /// The first complaints.
    pub complaints: Option<Vec<Complaint>>,
    /// Which of the people at special risk go in; `Some(None)` where that is rather not said.
    pub people: Option<Option<Vec<PersonId>>>,
    /// Signs asked for one at a time.
    pub signs: IndexMap<SignId, Told<Answer>>,
    /// Questions that ask for several signs.
    pub questions: IndexMap<QuestionId, Told<Which>>,
    /// Readings.
    pub readings: IndexMap<ReadingId, Told<Taken>>,
}

/// An answer, or that there is none to be had now.
#[derive(Debug, Clone, PartialEq)]
pub enum Told<T> {
    /// The answer.
    Answer(T),
    /// It cannot be checked now.
    CannotNow,
}

/// Which signs of a shared question hold.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Which {
    /// These, and none of the others.
    These(Vec<SignId>),
    /// None of them.
    None,
    /// Looked, and could not tell.
    Unsure,
}

/// A reading as typed and as understood.
#[derive(Debug, Clone, PartialEq)]
pub struct Taken {
    /// As typed.
    pub typed: String,
    /// As understood.
    pub measured: Measured,
}

impl Answers {
    /// How many checks were put, answered or not.
    pub fn checks(&self) -> usize {
        self.signs.len() + self.questions.len() + self.readings.len()
    }

    /// How many steps were gone, the opening ones included.
    pub fn steps(&self) -> usize {
        usize::from(self.species.is_some())
            + usize::from(self.stage.is_some())
            + usize::from(self.setup.is_some())
            + usize::from(self.complaints.is_some())
            + usize::from(self.people.is_some())
            + self.checks()
    }

    /// The same with growth worked out, where there are sizes enough and nothing was told of it.
    ///
    /// # Errors
    /// Why the sizes come to nothing.
    pub fn with_growth(mut self, base: &KnowledgeBase) -> Result<Self, String> {
        if self.sizes.len() < 2 {
            return Ok(self);
        }
        let typed = listed(&self.sizes);
        let measured = growth(&self.sizes)?.measured();
        for (id, _) in base.readings.iter().filter(|(_, one)| is_growth(one)) {
            let open = matches!(self.readings.get(id), None | Some(Told::CannotNow));
            if open {
                let typed = typed.clone();
                let taken = Told::Answer(Taken { typed, measured });
                self.readings.insert(id.clone(), taken);
            }
        }
        Ok(self)
    }

    /// Whether this check was put already.
    pub fn was_put(&self, ask: &Ask) -> bool {
        match ask {
            Ask::Sign(id) => self.signs.contains_key(id),
            Ask::Question(id, _) => self.questions.contains_key(id),
            Ask::Reading(id) => self.readings.contains_key(id),
        }
    }

    /// Whether this check was put off.
    pub fn was_put_off(&self, ask: &Ask) -> bool {
        match ask {
            Ask::Sign(id) => self.signs.get(id) == Some(&Told::CannotNow),
            Ask::Question(id, _) => self.questions.get(id) == Some(&Told::CannotNow),
            Ask::Reading(id) => self.readings.get(id) == Some(&Told::CannotNow),
        }
    }

    /// How many checks were put off.
    pub fn put_off(&self) -> usize {
        let mut fewer = self.clone();
        fewer.take_up();
        self.checks() - fewer.checks()
    }

    /// Takes up what was put off: it may be asked again.
    pub fn take_up(&mut self) {
        self.signs.retain(|_, told| *told != Told::CannotNow);
        self.questions.retain(|_, told| *told != Told::CannotNow);
        self.readings.retain(|_, told| *told != Told::CannotNow);
    }

    /// Signs that were told twice and differently: named among the first complaints, and denied later.
    pub fn told_twice(&self, base: &KnowledgeBase) -> Vec<SignId> {
        self.signs_complained_of()
            .filter(|id| {
                let alone = self.signs.get(*id) == Some(&Told::Answer(Answer::No));
                let shared = self.questions.iter().any(|(question, told)| {
                    let asked = base.questions.get(question);
                    let named = asked.is_some_and(|one| one.signs.contains(id));
                    named
                        && match told {
                            Told::Answer(Which::These(these)) => !these.contains(id),
                            Told::Answer(Which::None) => true,
                            Told::Answer(Which::Unsure) | Told::CannotNow => false,
                        }
                });
                alone || (shared && !self.signs.contains_key(*id))
            })
            .cloned()
            .collect()
    }

    /// The signs among the first complaints.
    fn signs_complained_of(&self) -> impl Iterator<Item = &SignId> {
        let complaints = self.complaints.iter().flatten();
        complaints.filter_map(|complaint| match complaint {
            Complaint::Sign(id) => Some(id),
            Complaint::Question(_) | Complaint::Reading(_) => None,
        })
    }

    /// What these answers reply to a step, if they do.
    pub fn reply(&self, step: &Step) -> Option<Reply> {
        match step {
            Step::Species => self.species.clone().map(Reply::Species),
            Step::Stage => self.stage.clone().map(Reply::Stage),
            Step::Setup(_) => self.setup.clone().map(Reply::Setup),
            Step::Complaints(_) => self.complaints.clone().map(Reply::Complaints),
            Step::People(_) => self.people.clone().map(Reply::People),
            Step::Check(check) => match &check.ask {
                Ask::Sign(id) => told(self.signs.get(id)?, Reply::Sign),
                Ask::Question(id, _) => told(self.questions.get(id)?, Reply::Which),
                Ask::Reading(id) => told(self.readings.get(id)?, Reply::Reading),
            },
            Step::Finished(_) => None,
        }
    }

    /// What the answers tell. Items of the opening list that were not marked do not hold, if any was marked; if none
    /// was, nothing is taken for granted. Complaints that were not marked stay open.
    pub fn observations(&self, base: &KnowledgeBase) -> Observations {
        let mut told = Observations {
            species: self.species.clone().flatten(),
            stage: self.stage.clone().flatten(),
            ..Observations::default()
        };
        if let Some(marked) = self.setup.as_ref().filter(|marked| !marked.is_empty()) {
            for (id, _) in base.setup.iter().filter(|(_, item)| item.opening) {
                told.setup.insert(id.clone(), marked.contains(id));
            }
        }
        for id in self.signs_complained_of() {
            told.signs.insert(id.clone(), Answer::Yes);
        }
        if let Some(Some(there)) = &self.people {
            for id in base.special_risks() {
                told.people.insert(id.clone(), there.contains(id));
            }
        }
        for (id, answer) in &self.questions {
            let Told::Answer(which) = answer else {
                continue;
            };
            let Some(question) = base.questions.get(id) else {
                continue;
            };
            for sign in &question.signs {
                let answer = match which {
                    Which::These(marked) if marked.contains(sign) => Answer::Yes,
                    Which::These(_) | Which::None => Answer::No,
                    Which::Unsure => Answer::Unsure,
                };
                // A first complaint stands, whatever was marked later among its like.
                told.signs.entry(sign.clone()).or_insert(answer);
            }
        }
        for (id, answer) in &self.signs {
            if let Told::Answer(answer) = answer {
                told.signs.insert(id.clone(), *answer);
            }
        }
        for (id, answer) in &self.readings {
            if let Told::Answer(taken) = answer {
                told.readings.insert(id.clone(), taken.measured);
            }
        }
        told
    }
}

/// Whether a reading is growth: it can be told by two sizes.
pub fn is_growth(reading: &Reading) -> bool {
    reading.unit == Unit::MillimetrePerDay
}

/// Sizes as they are typed.
pub fn listed(sizes: &[Size]) -> String {
    let texts: Vec<String> = sizes.iter().map(ToString::to_string).collect();
    texts.join(", ")
}

fn told<T: Clone>(answer: &Told<T>, reply: impl Fn(T) -> Reply) -> Option<Reply> {
    Some(match answer {
        Told::Answer(answer) => reply(answer.clone()),
        Told::CannotNow => Reply::CannotNow,
    })
}
