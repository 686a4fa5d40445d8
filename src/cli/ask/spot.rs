//! A walk that begins with a spot: the first minute before any question, and sizes that were taken.

use std::io;

use crate::cli::args::AskArgs;
use crate::cli::ask::Asker;
use crate::cli::ask::answers::Answers;
use crate::cli::exit::Failure;
use crate::cli::growth::Size;
use crate::engine::knowledge::KnowledgeBase;
use crate::report::page::{Ink, Look, Page};

/// These answers as the start of a walk at a spot, with the sizes given as options beside those kept before.
///
/// # Errors
/// Where a size was not understood or they come to nothing (wrong use).
pub fn start(args: &AskArgs, kept: Answers, base: &KnowledgeBase) -> Result<Answers, Failure> {
    let mut answers = kept;
    answers.spot |= args.spot;
    for text in &args.spot_sizes {
        let size =
            Size::parse(text).map_err(|fault| Failure::usage(format!("--spot-sizes: {fault}")))?;
        if !answers.sizes.contains(&size) {
            answers.sizes.push(size);
        }
    }
    answers
        .with_growth(base)
        .map_err(|fault| Failure::usage(format!("--spot-sizes: {fault}")))
}

/// Tells what to do in the first minute, and waits until it is done.
///
/// # Errors
/// Where it cannot be told.
pub fn first_minute(base: &KnowledgeBase, asker: &mut dyn Asker, look: Look) -> io::Result<()> {
    let steps: Vec<&String> = base
        .actions
        .values()
        .flat_map(|action| &action.first_minute)
        .collect();
    if steps.is_empty() {
        return Ok(());
    }
    let mut page = Page::new(look);
    page.heading(Ink::Stop, "A spot: the first sixty seconds");
    for (number, step) in steps.iter().enumerate() {
        page.entry(1, &format!("{}.", number + 1), Ink::Usual, step);
    }
    asker.say(&page.finish())?;
    asker.pause()
}
