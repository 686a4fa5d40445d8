//! Answers from a file, with the walk written down as it goes.

use std::io;

use crate::cli::ask::Asker;
use crate::cli::ask::answers::Answers;
use crate::cli::ask::prompt::{in_words, prompt};
use crate::cli::ask::walk::{Reply, Step};
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
}

impl Asker for Script<'_> {
    fn say(&mut self, text: &str) -> io::Result<()> {
        (self.out)(text)
    }

    fn ask(&mut self, step: &Step) -> io::Result<Reply> {
        let reply = self.answers.reply(step).unwrap_or(match step {
            Step::Species => Reply::Species(None),
            Step::Stage => Reply::Stage(None),
            Step::Setup(_) => Reply::Setup(Vec::new()),
            Step::Complaints(_) => Reply::Complaints(Vec::new()),
            Step::People(_) => Reply::People(None),
            Step::Check(_) | Step::Finished(_) => Reply::CannotNow,
        });
        let put = prompt(self.base, step);
        let mut page = Page::new(self.look);
        page.entry(0, "?", Ink::Strong, &put.question);
        if !put.how.is_empty() {
            page.paragraph(2, Ink::Faint, &put.how);
        }
        for (label, text) in &put.notes {
            page.labelled(2, label, text);
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
