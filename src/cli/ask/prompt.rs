//! How a step is put to a person: the question, how to look, and the choices.

use crate::cli::ask::answers::{Taken, Which};
use crate::cli::ask::walk::{Reply, Step};
use crate::cli::growth;
use crate::engine::diagnosis::{Ask, Diagnosis};
use crate::engine::id::SpeciesId;
use crate::engine::knowledge::{Complaint, KnowledgeBase, Reading, Species, Swatch};
use crate::engine::quantity::{System, show, show_difference};
use crate::report::text::option_names;
use crate::report::words::{percent, sentence, unstopped};

/// How many leading causes the running line names.
const MOST_LEADERS: usize = 3;

/// A step in words.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Prompt {
    /// The question.
    pub question: String,
    /// How to look, or what to keep in mind.
    pub how: String,
    /// What a plain yes looks like, and what it is taken for; label and sentence.
    pub notes: Vec<(&'static str, String)>,
    /// The colour of each choice, where it is one; empty where none is.
    pub colours: Vec<Option<Swatch>>,
    /// What can be chosen; empty for a reading.
    pub choices: Vec<String>,
    /// What is typed to find each choice; empty for a list too short to be searched.
    pub found_by: Vec<String>,
    /// Whether several can be chosen.
    pub several: bool,
}

/// The species that can be named, as they are offered: all but the one that stands for "not named".
pub fn nameable(base: &KnowledgeBase) -> impl Iterator<Item = (&SpeciesId, &Species)> {
    let default = base.default_species();
    base.species_by_place()
        .filter(move |(id, _)| Some(*id) != default)
}

/// Puts a step into words.
pub fn prompt(base: &KnowledgeBase, step: &Step) -> Prompt {
    match step {
        Step::Species => Prompt {
            question: "What are you growing?".to_owned(),
            how: "Limits and normal looks differ from one to the next.".to_owned(),
            choices: nameable(base).map(|(_, one)| one.name.clone()).collect(),
            found_by: nameable(base)
                .map(|(_, one)| format!("{} {} {}", one.name, one.latin, one.also.join(" ")))
                .collect(),
            ..Prompt::default()
        },
        Step::Stage => Prompt {
            question: "How far along is it?".to_owned(),
            how: "Take the stage of the block that worries you.".to_owned(),
            choices: base
                .stages
                .values()
                .map(|one| format!("{}: {}", one.name, unstopped(&one.summary)))
                .collect(),
            ..Prompt::default()
        },
        Step::Setup(items) => Prompt {
            question: "How is it grown?".to_owned(),
            how: "Mark everything that holds. If you mark nothing, nothing is taken for granted."
                .to_owned(),
            choices: items
                .iter()
                .filter_map(|id| base.setup.get(id))
                .map(|item| item.statement.clone())
                .collect(),
            several: true,
            ..Prompt::default()
        },
        Step::Complaints(offered) => Prompt {
            question: "What looks wrong?".to_owned(),
            how: "Mark everything you see. If nothing does, mark nothing.".to_owned(),
            choices: offered
                .iter()
                .filter_map(|complaint| Some(base.opening_of(complaint)?.to_owned()))
                .collect(),
            several: true,
            ..Prompt::default()
        },
        Step::People(people) => Prompt {
            question: "Does any of this hold for somebody who goes in, or who lives there?".to_owned(),
            how: "It changes cautions and nothing else: no cause is weighed by it. It stays in your own files. You need \
                not say."
                .to_owned(),
            choices: people
                .iter()
                .filter_map(|id| base.people.get(id))
                .map(|one| one.statement.clone())
                .collect(),
            several: true,
            ..Prompt::default()
        },
        Step::Check(check) => {
            let (choices, several) = match &check.ask {
                Ask::Sign(_) => (vec!["yes".to_owned(), "no".to_owned()], false),
                Ask::Question(id, signs) => (
                    option_names(base, signs),
                    base.questions
                        .get(id)
                        .is_some_and(|question| !question.one_of),
                ),
                Ask::Reading(_) => (Vec::new(), false),
            };
            Prompt {
                question: check.question.clone(),
                how: sentence(&check.how),
                notes: notes(base, &check.ask),
                colours: colours(base, &check.ask),
                choices,
                found_by: Vec::new(),
                several,
            }
        }
        Step::Finished(_) => Prompt::default(),
    }
}

/// What a plain yes to a check looks like, and what it is taken for.
fn notes(base: &KnowledgeBase, ask: &Ask) -> Vec<(&'static str, String)> {
    let Ask::Sign(id) = ask else {
        return Vec::new();
    };
    let sign = base.signs.get(id);
    let yes = sign.and_then(|sign| sign.yes.as_deref());
    let other = sign.and_then(|sign| sign.mistaken_for.as_deref());
    [("Yes is:", yes), ("Not to mix up:", other)]
        .into_iter()
        .filter_map(|(label, text)| Some((label, sentence(text?))))
        .collect()
}

/// The colour of each of the signs asked for.
fn colours(base: &KnowledgeBase, ask: &Ask) -> Vec<Option<Swatch>> {
    let Ask::Question(_, signs) = ask else {
        return Vec::new();
    };
    let colours: Vec<Option<Swatch>> = signs.iter().map(|id| base.signs.get(id)?.swatch).collect();
    if colours.iter().all(Option::is_none) {
        Vec::new()
    } else {
        colours
    }
}

/// Why an opening step is put; what a check would tell is worked out for the occasion.
pub fn why_opening(step: &Step) -> &'static str {
    match step {
        Step::Species => {
            "What is too warm, too dry or too stale for one kind is right for another, and what looks like trouble in \
             one is how another always looks."
        }
        Step::Stage => {
            "Limits change as the crop goes on: what pins need would spoil mushrooms that are half grown."
        }
        Step::Setup(_) => {
            "How it is built and run makes some causes likelier before anything is seen. Nothing is concluded from it \
             alone."
        }
        Step::Complaints(_) => {
            "Everything that is asked afterwards follows from what you name here."
        }
        Step::People(_) => {
            "What may be there is worse for some people than for others, and they should not be the ones to deal with it."
        }
        Step::Check(_) | Step::Finished(_) => "",
    }
}

/// The leading causes on one line; `None` while there are none.
pub fn running(diagnosis: &Diagnosis) -> Option<String> {
    let leaders: Vec<String> = diagnosis
        .causes
        .iter()
        .take(MOST_LEADERS)
        .map(|cause| format!("{} {}", unstopped(&cause.name), percent(cause.confidence)))
        .collect();
    (!leaders.is_empty()).then(|| format!("So far: {}", leaders.join(" | ")))
}

/// A reply in words, for the record.
pub fn in_words(base: &KnowledgeBase, step: &Step, reply: &Reply, system: System) -> String {
    let not_known = || "not known".to_owned();
    let marked = |words: Vec<String>| {
        if words.is_empty() {
            "nothing marked".to_owned()
        } else {
            words.join("; ")
        }
    };
    match reply {
        Reply::Species(id) => id
            .as_ref()
            .and_then(|id| base.species.get(id))
            .map_or_else(not_known, |one| one.name.clone()),
        Reply::Stage(id) => id
            .as_ref()
            .and_then(|id| base.stages.get(id))
            .map_or_else(not_known, |one| one.name.clone()),
        Reply::Setup(ids) => marked(
            ids.iter()
                .filter_map(|id| Some(base.setup.get(id)?.statement.clone()))
                .collect(),
        ),
        Reply::Complaints(complaints) => marked(
            complaints
                .iter()
                .filter_map(|complaint| {
                    let words = base.opening_of(complaint).or_else(|| match complaint {
                        Complaint::Sign(id) => Some(&base.signs.get(id)?.statement),
                        Complaint::Question(id) => Some(&base.questions.get(id)?.ask),
                        Complaint::Reading(id) => Some(&base.readings.get(id)?.question),
                    });
                    words.map(str::to_owned)
                })
                .collect(),
        ),
        Reply::People(None) => "rather not said".to_owned(),
        Reply::People(Some(ids)) if ids.is_empty() => "none of these".to_owned(),
        Reply::People(Some(ids)) => marked(
            ids.iter()
                .filter_map(|id| Some(base.people.get(id)?.statement.clone()))
                .collect(),
        ),
        Reply::Sign(answer) => answer.word().to_owned(),
        Reply::Which(Which::These(signs)) => option_names(base, signs).join("; "),
        Reply::Which(Which::None) => "none of these".to_owned(),
        Reply::Which(Which::Unsure) => "not sure".to_owned(),
        Reply::Reading(taken) => {
            let reading = match step {
                Step::Check(check) => match &check.ask {
                    Ask::Reading(id) => base.readings.get(id),
                    Ask::Sign(_) | Ask::Question(..) => None,
                },
                _ => None,
            };
            reading.map_or_else(|| taken.typed.clone(), |one| understood(one, taken, system))
        }
        Reply::Size(size) => format!("{size}, kept for the next look"),
        Reply::CannotNow => "cannot check now".to_owned(),
        Reply::Why => "why do you ask?".to_owned(),
        Reply::SoFar => "what do you think so far?".to_owned(),
        Reply::Back => "back".to_owned(),
        Reply::Enough => "enough".to_owned(),
    }
}

/// What was typed, what it was taken for, and how far off it is taken to be at most.
fn understood(reading: &Reading, taken: &Taken, system: System) -> String {
    let grown = growth::sizes(&taken.typed).and_then(|sizes| growth::growth(&sizes));
    if let Ok(grown) = grown {
        return grown.in_words();
    }
    let measured = taken.measured;
    let spread = match measured.tolerance {
        // Limits between which any value is as likely as any other: half of what lies between them.
        Some(deviation) => deviation * 3.0_f64.sqrt(),
        None => reading.tolerance + reading.tolerance_share * measured.value.abs(),
    };
    let value = show(measured.value, reading.unit, system);
    if spread <= 0.0 {
        return format!("{}: taken as {value}", taken.typed);
    }
    let spread = show_difference(spread, reading.unit, system);
    let whose = if measured.tolerance.is_some() {
        "as you said"
    } else {
        "usual for such a reading"
    };
    format!(
        "{}: taken as {value}, give or take {spread} ({whose})",
        taken.typed
    )
}
