//! Files of answers, and the walks they drive.

use blockside::cli::ask::answers::{Answers, parse, to_toml};
use blockside::cli::ask::script::Script;
use blockside::cli::ask::through;
use blockside::cli::ask::walk::Walk;
use blockside::engine::quantity::System;

use crate::targets::shown::{BASE, REASONER, clean, look, text_of};

/// Answers are refused, or written so that they read back the same; and then they drive a walk to its end.
pub fn run(data: &[u8]) {
    let answers = match parse(&BASE, text_of(data)) {
        Ok(answers) => answers,
        Err(faults) => return assert!(!faults.is_empty()),
    };
    let written = to_toml(&answers);
    assert_eq!(parse(&BASE, &written).as_ref(), Ok(&answers), "{written}");
    let Ok(answers) = answers.with_growth(&BASE) else {
        return;
    };
    let mut said = String::new();
    let mut out = |text: &str| {
        said.push_str(text);
        Ok(())
    };
    let start = Answers {
        spot: answers.spot,
        sizes: answers.sizes.clone(),
        ..Answers::default()
    };
    let mut script = Script::new(&BASE, answers, look(), System::Metric, &mut out);
    let walk = Walk::new(&BASE, start);
    let done = through(walk, &REASONER, &mut script, look(), &mut |_| Ok(()));
    done.expect("nothing that is read or written can fail");
    clean(&said);
}
