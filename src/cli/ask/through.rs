//! Goes through a walk to its end, whoever answers.

use std::collections::HashSet;
use std::io;

use crate::cli::ask::Asker;
use crate::cli::ask::answers::Answers;
use crate::cli::ask::homework::homework;
use crate::cli::ask::prompt::{in_words, prompt, running, why_opening};
use crate::cli::ask::walk::{End, MOST_CHECKS, Moved, Reply, Step, Walk};
use crate::engine::diagnosis::{CautionDue, Contradiction, Diagnosis};
use crate::engine::id::CautionId;
use crate::engine::knowledge::{KnowledgeBase, Severity};
use crate::engine::observations::Observations;
use crate::engine::reasoner::Reasoner;
use crate::report::page::{Ink, Look, Page};
use crate::report::text::asides::{so_far, why_asked};
use crate::report::text::interruptions;
use crate::report::words::sentence;

/// Where a walk came out.
#[derive(Debug, Clone, PartialEq)]
pub struct Done {
    /// What was told.
    pub observations: Observations,
    /// What it comes to.
    pub diagnosis: Diagnosis,
}

/// Goes through a walk to its end. The answers are kept after every step.
///
/// # Errors
/// Where no reply can be had any more.
pub fn through(
    mut walk: Walk<'_>,
    reasoner: &Reasoner<'_>,
    asker: &mut dyn Asker,
    look: Look,
    keep: &mut dyn FnMut(&Answers) -> io::Result<()>,
) -> io::Result<Done> {
    let mut warned: HashSet<CautionId> = HashSet::new();
    let mut pointed_out: HashSet<String> = HashSet::new();
    loop {
        let look = asker.look().unwrap_or(look);
        let observations = walk.observations();
        let mut diagnosis = reasoner.diagnose(&observations);
        diagnosis
            .contradictions
            .extend(twice_told(&walk, reasoner.base()));
        interrupt(&diagnosis, &mut warned, asker, look)?;
        point_out(&diagnosis, &mut pointed_out, asker, look)?;
        let step = walk.next_step(&diagnosis, reasoner);
        if let Step::Finished(end) = step {
            let mut page = Page::new(look);
            page.paragraph(0, Ink::Faint, ending(end));
            page.blank();
            asker.say(&page.finish())?;
            diagnosis.homework = homework(&walk, &diagnosis, reasoner);
            return Ok(Done {
                observations,
                diagnosis,
            });
        }
        let mut page = Page::new(look);
        // An empty line parts the steps.
        let mut head = String::from("\n");
        if let Some(line) = running(&diagnosis) {
            page.paragraph(0, Ink::Faint, &line);
            head.push_str(&page.finish());
        }
        asker.say(&head)?;
        asker.knows(walk.answers());
        let reply = loop {
            let reply = asker.ask(&step)?;
            // The window may have been made narrower meanwhile.
            let look = asker.look().unwrap_or(look);
            match reply {
                Reply::Why => {
                    let why = why(reasoner, &observations, &step, look);
                    asker.notice(&format!("{why}\n"))?;
                }
                Reply::SoFar => {
                    asker.notice(&format!("{}\n", so_far(reasoner.base(), &diagnosis, look)))?;
                }
                reply => break reply,
            }
        };
        let note = match walk.reply(&step, reply) {
            Moved::On => None,
            Moved::Nowhere => Some("There is no step before this one.".to_owned()),
            Moved::Back => walk
                .undone()
                .map(|(step, reply)| taken_back(reasoner, step, reply)),
        };
        if let Some(note) = note {
            let mut page = Page::new(look);
            page.paragraph(0, Ink::Faint, &note);
            asker.notice(&page.finish())?;
        }
        if let Err(error) = keep(walk.answers()) {
            let mut page = Page::new(look);
            page.paragraph(
                0,
                Ink::Care,
                &format!(
                    "Your answers cannot be kept in case of a break ({error}); the walk goes on."
                ),
            );
            asker.say(&page.finish())?;
        }
    }
}

/// What was told twice and differently.
fn twice_told(walk: &Walk<'_>, base: &KnowledgeBase) -> Vec<Contradiction> {
    walk.answers()
        .told_twice(base)
        .into_iter()
        .filter_map(|id| {
            let statement = &base.signs.get(&id)?.statement;
            Some(Contradiction {
                id: id.to_string(),
                text: format!(
                    "You named at first that {statement}, and answered later that it is not so: one of the two is a \
                     slip. Go back to put it right."
                ),
                between: vec![statement.clone(), format!("not seen: {statement}")],
                may_be: Vec::new(),
                settle_by: None,
            })
        })
        .collect()
}

/// Says what does not go together, each once.
fn point_out(
    diagnosis: &Diagnosis,
    pointed_out: &mut HashSet<String>,
    asker: &mut dyn Asker,
    look: Look,
) -> io::Result<()> {
    for one in &diagnosis.contradictions {
        if !pointed_out.insert(one.id.clone()) {
            continue;
        }
        let mut page = Page::new(look);
        page.heading(Ink::Care, "This does not go together");
        page.entry(2, "!", Ink::Usual, &sentence(&one.text));
        asker.notice(&format!("\n{}", page.finish()))?;
    }
    Ok(())
}

/// Why a step is put.
fn why(reasoner: &Reasoner<'_>, observations: &Observations, step: &Step, look: Look) -> String {
    if let Step::Check(check) = step {
        let answers = reasoner.if_answered(observations, &check.ask);
        return why_asked(reasoner.base(), check, &answers, reasoner.system(), look);
    }
    let mut page = Page::new(look);
    page.paragraph(2, Ink::Usual, why_opening(step));
    page.finish()
}

/// Which answer was taken back, in words.
fn taken_back(reasoner: &Reasoner<'_>, step: &Step, reply: &Reply) -> String {
    let base = reasoner.base();
    format!(
        "Taken back: {} {}",
        prompt(base, step).question,
        sentence(&in_words(base, step, reply, reasoner.system()))
    )
}

/// Tells every new caution that cannot wait for the report, each once.
fn interrupt(
    diagnosis: &Diagnosis,
    warned: &mut HashSet<CautionId>,
    asker: &mut dyn Asker,
    look: Look,
) -> io::Result<()> {
    let cautions = diagnosis.cautions.iter();
    let due: Vec<&CautionDue> = cautions
        .filter(|due| due.severity != Severity::Info && warned.insert(due.id.clone()))
        .collect();
    for (place, text) in interruptions(&due, look).into_iter().enumerate() {
        let gap = if place == 0 { "\n" } else { "" };
        asker.notice(&format!("{gap}{text}"))?;
    }
    // What is due at once shares one pause.
    if due.iter().any(|due| due.severity == Severity::Stop) {
        asker.pause()?;
    }
    Ok(())
}

fn ending(end: End) -> &'static str {
    const { assert!(MOST_CHECKS == 9, "the sentence below names the number") };
    match end {
        End::Enough => "That was enough. The result:",
        End::NothingOpen => "Nothing is left that is worth asking. The result:",
        End::NothingDoable => "What is left to look at cannot be checked now. The result:",
        End::Long => "Nine checks are enough for one visit. The result:",
    }
}
