//! What became of a grower's own words, as text.

use crate::describe::{Correction, Description, Fault, Piece, Told, Topic, Understood, Why};
use crate::engine::knowledge::KnowledgeBase;
use crate::engine::observations::Answer;
use crate::engine::quantity::{Measured, System, show, show_difference};
use crate::report::page::{Ink, Look, Page};
use crate::report::sanitise::short;
use crate::report::words::listed;

/// How many pieces that gave no fact are shown, unless everything is to be shown.
///
/// judgement: who pasted a book does not want it back.
const MOST_PIECES: usize = 12;

/// What the words were taken for, and what they were not.
pub fn description(
    base: &KnowledgeBase,
    description: &Description,
    system: System,
    look: Look,
) -> String {
    let mut page = Page::new(look);
    if description.is_empty() {
        page.paragraph(
            0,
            Ink::Strong,
            "Nothing in these words is known to the book, so nothing was weighed.",
        );
        page.paragraph(
            0,
            Ink::Usual,
            "Say what is grown, what looks, feels or smells wrong and where, and what the meters read: \
             \"blue oysters, long stems, tiny caps, CO2 2900 ppm\". `blockside ask` goes through it with questions.",
        );
    } else {
        page.heading(Ink::Strong, "What your words were taken for");
        let rows: Vec<(String, String)> = description
            .understood
            .iter()
            .map(|one| (answer(&one.what).to_owned(), taken(base, one, system, look)))
            .collect();
        page.columns(&rows);
    }
    for contradiction in &description.contradictions {
        let told: Vec<String> = contradiction
            .told
            .iter()
            .map(|one| format!("{} ({})", quoted(&one.words), said(&one.what, base, system)))
            .collect();
        let left = match contradiction.topic {
            Topic::Sign(_) => "It counts as unsure.",
            _ => "It counts as not told.",
        };
        page.entry(
            0,
            "! ",
            Ink::Care,
            &format!(
                "Told in ways that do not go together: {}. {left}",
                listed(&told)
            ),
        );
    }
    if !description.not_understood.is_empty() {
        page.heading(Ink::Strong, "What was left aside");
        let most = if look.detail { usize::MAX } else { MOST_PIECES };
        for piece in description.not_understood.iter().take(most) {
            page.entry(
                0,
                "- ",
                Ink::Usual,
                &format!("{}: {}.", quoted(&piece.words), why(base, piece)),
            );
        }
        let more = description.not_understood.len().saturating_sub(most);
        if more > 0 {
            page.paragraph(
                0,
                Ink::Faint,
                &format!("And {more} more; --detail shows all."),
            );
        }
        if !description.is_empty() {
            page.paragraph(
                0,
                Ink::Faint,
                "What follows is about the rest alone. What was left aside may matter: say it in other words, or answer \
                 the questions of `blockside ask`.",
            );
        }
    }
    page.finish()
}

/// The answer in a word.
pub(crate) fn answer(what: &Told) -> &'static str {
    match what {
        Told::Species(_) | Told::Stage(_) | Told::Reading(..) => "",
        Told::Sign(_, answer) => answer.word(),
        Told::Setup(_, holds) | Told::Person(_, holds) => yes_or_no(*holds),
    }
}

fn yes_or_no(holds: bool) -> &'static str {
    if holds {
        Answer::Yes.word()
    } else {
        Answer::No.word()
    }
}

/// What was understood, and from which words.
fn taken(base: &KnowledgeBase, one: &Understood, system: System, look: Look) -> String {
    let mut text = format!(
        "{}: {}",
        statement(&one.what, base, system),
        quoted(&one.words)
    );
    for correction in &one.because.corrections {
        text.push_str(&format!("; {}", corrected(correction)));
    }
    if look.detail {
        text.push_str(&format!("; known as {}", quoted(&one.because.phrase)));
        for (cue, does) in [
            (&one.because.denied, "denied by"),
            (&one.because.hedged, "less sure by"),
        ] {
            if let Some(cue) = cue {
                text.push_str(&format!("; {does} {}", quoted(&cue.words)));
            }
        }
    }
    text
}

fn corrected(correction: &Correction) -> String {
    let (written, read) = (quoted(&correction.written), quoted(&correction.taken_for));
    match correction.fault {
        Fault::Misspelt => format!("{written} read as {read}"),
        Fault::American => format!("{written} is {read}"),
    }
}

/// What something says, as a clause.
pub(crate) fn statement(what: &Told, base: &KnowledgeBase, system: System) -> String {
    let named = |name: Option<&String>, id: &str| name.map_or_else(|| id.to_owned(), Clone::clone);
    match what {
        Told::Species(id) => named(base.species.get(id).map(|one| &one.name), id.as_str()),
        Told::Stage(id) => named(base.stages.get(id).map(|one| &one.name), id.as_str()),
        Told::Sign(id, _) => named(base.signs.get(id).map(|one| &one.statement), id.as_str()),
        Told::Setup(id, _) => named(base.setup.get(id).map(|one| &one.statement), id.as_str()),
        Told::Person(id, _) => named(base.people.get(id).map(|one| &one.statement), id.as_str()),
        Told::Reading(id, measured) => match base.readings.get(id) {
            Some(reading) => {
                let spread = measured
                    .tolerance
                    .unwrap_or(reading.tolerance + reading.tolerance_share * measured.value.abs());
                let Measured { value, .. } = measured;
                format!(
                    "{} {}, give or take {}",
                    reading.name,
                    show(*value, reading.unit, system),
                    show_difference(spread, reading.unit, system)
                )
            }
            None => id.to_string(),
        },
    }
}

/// The answer or value alone.
fn said(what: &Told, base: &KnowledgeBase, system: System) -> String {
    match answer(what) {
        "" => statement(what, base, system),
        word => word.to_owned(),
    }
}

/// Why a piece gave no fact, as a clause.
pub(crate) fn why(base: &KnowledgeBase, piece: &Piece) -> String {
    let reading = |id| {
        base.readings
            .get(id)
            .map_or("that reading", |reading| reading.name.as_str())
    };
    match &piece.why {
        Why::Unknown => "the book has no such words".to_owned(),
        Why::PartlyUnknown => "the book does not know all of these words".to_owned(),
        Why::NotTogether => {
            "the book knows the words, but as they stand here they tell it nothing".to_owned()
        }
        Why::NumberWithoutName => "a number, but of what?".to_owned(),
        Why::Bound => "a bound is no reading; say what the meter shows".to_owned(),
        Why::Asked => "asked, not told".to_owned(),
        Why::Supposed => "supposed or planned, not told".to_owned(),
        Why::Past => "it was so once; say how it is now".to_owned(),
        Why::Doubtful(names) if names.is_empty() => {
            "it can be read in more than one way".to_owned()
        }
        Why::Doubtful(names) => format!("it could mean {}", either(names)),
        Why::Impossible {
            reading: id,
            least,
            greatest,
        } => format!(
            "{} lies between {least} and {greatest}, so this cannot be",
            reading(id)
        ),
        Why::WrongUnit(id) => format!("the unit does not belong to {}", reading(id)),
        Why::SeveralSpecies => "several species are named; tell one at a time".to_owned(),
        Why::Denied => "what it is not does not say what it is".to_owned(),
    }
}

fn either(names: &[String]) -> String {
    /// judgement: three are enough to see what is missing.
    const MOST: usize = 3;
    let shown: Vec<String> = names
        .iter()
        .take(MOST)
        .map(|name| format!("\"{name}\""))
        .collect();
    let more = if names.len() > MOST {
        " or something else"
    } else {
        ""
    };
    format!("{}{more}", shown.join(" or "))
}

fn quoted(words: &str) -> String {
    format!("\"{}\"", short(words.trim()))
}
