//! Answers from a file, with the walk written down as it goes.

use std::io;

use crate::cli::ask::Asker;
use crate::cli::ask::answers::{Answers, Told};
use crate::cli::ask::prompt::{in_words, prompt};
use crate::cli::ask::walk::{Reply, Step};
use crate::engine::diagnosis::Ask;
use crate::engine::knowledge::KnowledgeBase;
use crate::engine::quantity::System;
use crate::report::page::{Ink, Look, Page};

/// Answers from a file. A check that is not in the file cannot be checked now.
pub struct Script<'a> {
    base: &'a KnowledgeBase,
    answers: Answers,
    look: Look,
    system: System,
    out: &'a mut dyn FnMut(&str) -> io::Result<()>,
}

impl<'a> Script<'a> {
    /// Answers these, writing the walk down.
    pub fn new(
        base: &'a KnowledgeBase,
        answers: Answers,
        look: Look,
        system: System,
        out: &'a mut dyn FnMut(&str) -> io::Result<()>,
    ) -> Self {
        Self {
            base,
            answers,
            look,
            system,
            out,
        }
    }

    fn reply(&self, step: &Step) -> Reply {
        let answers = &self.answers;
        match step {
            Step::Species => Reply::Species(answers.species.clone().flatten()),
            Step::Stage => Reply::Stage(answers.stage.clone().flatten()),
            Step::Setup(_) => Reply::Setup(answers.setup.clone().unwrap_or_default()),
            Step::Complaints(_) => {
                Reply::Complaints(answers.complaints.clone().unwrap_or_default())
            }
            Step::Check(check) => match &check.ask {
                Ask::Sign(id) => told(answers.signs.get(id), Reply::Sign),
                Ask::Question(id, _) => told(answers.questions.get(id), Reply::Which),
                Ask::Reading(id) => told(answers.readings.get(id), Reply::Reading),
            },
            Step::Finished(_) => Reply::Enough,
        }
    }
}

fn told<T: Clone>(answer: Option<&Told<T>>, reply: impl Fn(T) -> Reply) -> Reply {
    match answer {
        Some(Told::Answer(answer)) => reply(answer.clone()),
        Some(Told::CannotNow) | None => Reply::CannotNow,
    }
}

impl Asker for Script<'_> {
    fn say(&mut self, text: &str) -> io::Result<()> {
        (self.out)(text)
    }

    fn ask(&mut self, step: &Step) -> io::Result<Reply> {
        let reply = self.reply(step);
        let put = prompt(self.base, step);
        let mut page = Page::new(self.look);
        page.entry(0, "?", Ink::Strong, &put.question);
        if !put.how.is_empty() {
            page.paragraph(2, Ink::Faint, &put.how);
        }
        page.entry(
            2,
            ">",
            Ink::Usual,
            &in_words(self.base, step, &reply, self.system),
        );
        (self.out)(&page.finish())?;
        Ok(reply)
    }
}
