//! Answers from a file, with the rounds written down as they go.

use std::collections::VecDeque;
use std::io;
use std::path::Path;

use serde::Deserialize;

use crate::cli::exit::{Exit, Failure};
use crate::cli::given::{cause, listed, not_known};
use crate::cli::input;
use crate::cli::practise::rounds::{Next, Trainee};
use crate::engine::diagnosis::Ask;
use crate::engine::id::{ActionId, CautionId};
use crate::engine::knowledge::{Asking, KnowledgeBase};
use crate::engine::quantity::System;
use crate::report::page::{Ink, Look, Page};
use crate::report::practice::{action, caution, found, question};
use crate::report::words::{cause_name, percent, unstopped};
use crate::train::practice::choices::Choices;
use crate::train::practice::debrief::Round;
use crate::train::practice::look::Found;
use crate::train::practice::points::{Answer, Named};

/// The version of the files.
pub const SCHEMA: &str = "blockside.practice-answers/1";

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    schema: String,
    #[serde(default)]
    case: Vec<Case>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Case {
    /// Signs, questions or readings, in the order looked at.
    #[serde(default)]
    looks: Vec<String>,
    #[serde(default)]
    causes: Vec<OfCause>,
    action: Option<String>,
    #[serde(default)]
    cautions: Vec<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct OfCause {
    cause: String,
    /// In per cent.
    confidence: f64,
}

/// What is told of one case.
struct Told {
    looks: VecDeque<String>,
    answer: Answer,
}

/// Answers from a file.
pub struct Script<'a> {
    base: &'a KnowledgeBase,
    told: VecDeque<Told>,
    look: Look,
    system: System,
    out: &'a mut dyn FnMut(&str) -> Result<(), Failure>,
}

impl<'a> Script<'a> {
    /// Reads a file.
    ///
    /// # Errors
    /// Where it cannot be read, or names something that there is not: all faults at once.
    pub fn read(
        base: &'a KnowledgeBase,
        path: &Path,
        look: Look,
        system: System,
        out: &'a mut dyn FnMut(&str) -> Result<(), Failure>,
    ) -> Result<Self, Failure> {
        let read = input::read_as(path, "a file of answers", SCHEMA)?;
        let told = parse(base, &read.text).map_err(|faults| {
            Failure::unable(format!(
                "the answers in `{}` cannot be used:\n{}",
                read.name,
                listed(&faults)
            ))
        })?;
        Ok(Self {
            base,
            told,
            look,
            system,
            out,
        })
    }

    fn write(&mut self, text: &str) -> io::Result<()> {
        (self.out)(text).map_err(|failure| match failure.exit {
            Exit::Done => io::ErrorKind::BrokenPipe.into(),
            _ => io::Error::other(failure.message),
        })
    }
}

fn parse(base: &KnowledgeBase, text: &str) -> Result<VecDeque<Told>, Vec<String>> {
    let file: File = toml::from_str(text).map_err(|error| vec![error.message().to_owned()])?;
    if file.schema != SCHEMA {
        return Err(vec![format!(
            "schema: it begins with `schema = \"{SCHEMA}\"`"
        )]);
    }
    let mut faults = Vec::new();
    let mut told = VecDeque::new();
    for case in file.case {
        let mut answer = Answer::default();
        for named in case.causes {
            match cause(base, &named.cause) {
                Ok(id) if (0.0..=100.0).contains(&named.confidence) => answer.causes.push(Named {
                    cause: id,
                    confidence: named.confidence / 100.0,
                }),
                Ok(id) => faults.push(format!("{id}: confidence goes from 0 to 100 per cent")),
                Err(fault) => faults.push(fault),
            }
        }
        if let Some(id) = case.action {
            match base.actions.get_key_value(id.as_str()) {
                Some((id, _)) => answer.action = Some(id.clone()),
                None => faults.push(not_known(
                    "action",
                    "actions",
                    &id,
                    base.actions.keys().map(ActionId::as_str),
                )),
            }
        }
        for id in case.cautions {
            match base.cautions.get_key_value(id.as_str()) {
                Some((id, _)) => answer.cautions.push(id.clone()),
                None => faults.push(not_known(
                    "caution",
                    "cautions",
                    &id,
                    base.cautions.keys().map(CautionId::as_str),
                )),
            }
        }
        for id in &case.looks {
            let id = id.as_str();
            let known = base.signs.contains_key(id)
                || base.questions.contains_key(id)
                || base.readings.contains_key(id);
            if !known {
                let names = base.signs.keys().map(|one| one.as_str());
                let names = names.chain(base.readings.keys().map(|one| one.as_str()));
                faults.push(not_known("sign or reading", "signs", id, names));
            }
        }
        told.push_back(Told {
            looks: case.looks.into(),
            answer,
        });
    }
    if told.is_empty() && faults.is_empty() {
        faults.push("it holds no `[[case]]`".to_owned());
    }
    if faults.is_empty() {
        Ok(told)
    } else {
        Err(faults)
    }
}

/// The check that looks at what an id names: a sign that is an option is looked at with its question.
fn check_of(base: &KnowledgeBase, round: &Round<'_, '_>, id: &str) -> Option<Ask> {
    let asked_with = match base.signs.get(id).map(|sign| &sign.asking) {
        Some(Asking::Option { question, .. }) => Some(question.as_str()),
        _ => None,
    };
    let is = |ask: &Ask| match ask {
        Ask::Sign(sign) => sign.as_str() == id,
        Ask::Question(question, _) => question.as_str() == asked_with.unwrap_or(id),
        Ask::Reading(reading) => reading.as_str() == id,
    };
    let check = round.every.iter().find(|check| is(&check.ask));
    check.map(|check| check.ask.clone())
}

impl Trainee for Script<'_> {
    fn say(&mut self, text: &str) -> io::Result<()> {
        self.write(text)
    }

    fn next(&mut self, round: &Round<'_, '_>, _offer: &[Ask]) -> io::Result<Next> {
        let base = self.base;
        let Some(told) = self.told.front_mut() else {
            return Ok(Next::Leave);
        };
        let Some(id) = told.looks.pop_front() else {
            return Ok(Next::Answer);
        };
        check_of(base, round, &id).map(Next::Look).ok_or_else(|| {
            io::Error::other(format!(
                "`{id}` cannot be looked at in this case any more: it cannot be there, or was looked at before"
            ))
        })
    }

    fn hear(&mut self, ask: &Ask, result: &Found) -> io::Result<()> {
        let mut page = Page::new(self.look);
        page.entry(0, "?", Ink::Strong, &question(self.base, ask));
        page.entry(
            2,
            ">",
            Ink::Usual,
            &found(self.base, ask, result, self.system),
        );
        self.write(&page.finish())
    }

    fn answer(&mut self, _choices: &Choices) -> io::Result<Answer> {
        let answer = self.told.pop_front().map(|told| told.answer);
        let answer = answer.unwrap_or_default();
        let mut page = Page::new(self.look);
        page.heading(Ink::Strong, "Your answer");
        for named in &answer.causes {
            let name = unstopped(cause_name(self.base, &named.cause));
            let text = format!("{name}, {}", percent(named.confidence));
            page.entry(2, "-", Ink::Usual, &text);
        }
        if let Some(id) = &answer.action {
            page.labelled(2, "First:", &action(self.base, id));
        }
        for id in &answer.cautions {
            page.entry(2, "!", Ink::Care, &caution(self.base, id));
        }
        self.write(&format!("\n{}\n", page.finish()))?;
        Ok(answer)
    }

    fn another(&mut self) -> io::Result<bool> {
        Ok(!self.told.is_empty())
    }
}
