//! What became of a grower's own words, as JSON.

use schemars::JsonSchema;
use serde::Serialize;

use crate::describe::{Description, Fault, Piece, Told, Topic, Understood, Why};
use crate::engine::knowledge::KnowledgeBase;
use crate::report::description;
use crate::report::json::{DiagnosisReport, diagnosis, rounded};
use crate::report::text::Told as Weighed;

/// The version of the description as JSON.
pub const DESCRIPTION_SCHEMA: &str = "blockside.description/1";

/// What a text was taken for, and what that comes to.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct DescriptionReport {
    /// The contract and its version.
    pub schema: &'static str,
    /// What was understood, in order of place.
    pub understood: Vec<UnderstoodReport>,
    /// The words that gave no fact, in order of place.
    pub not_understood: Vec<String>,
    /// The same with their places and the reason.
    pub left_aside: Vec<PieceReport>,
    /// What was told in ways that do not go together.
    pub contradictions: Vec<ContradictionReport>,
    /// What it comes to.
    pub diagnosis: DiagnosisReport,
}

/// One thing that was understood.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct UnderstoodReport {
    /// species, stage, sign, setup, person or reading.
    pub kind: &'static str,
    /// Which.
    pub id: String,
    /// For a sign yes, no, unsure or probably; for setup and people yes or no; nothing for the rest.
    pub answer: Option<&'static str>,
    /// The value of a reading, in `unit`.
    pub value: Option<f64>,
    /// Its standard deviation, where the text tells one.
    pub tolerance: Option<f64>,
    /// The unit of `value`.
    pub unit: Option<&'static str>,
    /// The text's own words.
    pub words: String,
    /// Where they begin and where they end, in Unicode characters from the start of the text.
    pub at: [usize; 2],
    /// The words of the knowledge they were taken for.
    pub taken_for: String,
    /// Words that were corrected first.
    pub corrections: Vec<CorrectionReport>,
    /// The word that denies it.
    pub denied_by: Option<String>,
    /// The word that leaves it open or likely only.
    pub hedged_by: Option<String>,
}

/// A word that was taken for another.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct CorrectionReport {
    /// As it stands in the text.
    pub written: String,
    /// What it was taken for.
    pub taken_for: String,
    /// misspelt or american.
    pub fault: &'static str,
}

/// A piece of the text that gave no fact.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct PieceReport {
    /// The text's own words.
    pub words: String,
    /// Where they begin and where they end, in Unicode characters from the start of the text.
    pub at: [usize; 2],
    /// The reason in one word: unknown, partly-unknown, not-together, number-without-name, bound, asked, supposed, past, doubtful, impossible,
    /// wrong-unit, several-species or denied.
    pub why: &'static str,
    /// The reason as a clause.
    pub text: String,
}

/// One thing that was told in ways that do not go together.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ContradictionReport {
    /// species, stage, sign, setup, person or reading.
    pub kind: &'static str,
    /// Which; nothing for species and stage.
    pub id: Option<String>,
    /// Every statement about it, in order of place.
    pub told: Vec<UnderstoodReport>,
}

/// A description with its diagnosis as JSON. Places are counted in the characters of `text`.
pub fn description_of(text: &str, from: &Description, told: &Weighed<'_>) -> DescriptionReport {
    let places = Places::of(text);
    let base = told.base;
    DescriptionReport {
        schema: DESCRIPTION_SCHEMA,
        understood: from
            .understood
            .iter()
            .map(|one| understood(base, &places, one))
            .collect(),
        not_understood: from
            .not_understood
            .iter()
            .map(|piece| piece.words.clone())
            .collect(),
        left_aside: from
            .not_understood
            .iter()
            .map(|piece| left_aside(base, &places, piece))
            .collect(),
        contradictions: from
            .contradictions
            .iter()
            .map(|one| {
                let (kind, id) = topic(&one.topic);
                ContradictionReport {
                    kind,
                    id,
                    told: one
                        .told
                        .iter()
                        .map(|one| understood(base, &places, one))
                        .collect(),
                }
            })
            .collect(),
        diagnosis: diagnosis(told),
    }
}

fn understood(base: &KnowledgeBase, places: &Places, one: &Understood) -> UnderstoodReport {
    let (kind, id) = topic(&one.what.topic());
    let id = id.unwrap_or_else(|| match &one.what {
        Told::Species(id) => id.to_string(),
        Told::Stage(id) => id.to_string(),
        // Every other topic names itself.
        Told::Sign(..) | Told::Setup(..) | Told::Person(..) | Told::Reading(..) => String::new(),
    });
    let answer = match description::answer(&one.what) {
        "" => None,
        word => Some(word),
    };
    let (value, tolerance, unit) = match &one.what {
        Told::Reading(id, measured) => (
            Some(rounded(measured.value)),
            measured.tolerance.map(rounded),
            base.readings.get(id).map(|reading| reading.unit.symbol()),
        ),
        _ => (None, None, None),
    };
    let words = |cue: &Option<crate::describe::Cue>| cue.as_ref().map(|cue| cue.words.clone());
    UnderstoodReport {
        kind,
        id,
        answer,
        value,
        tolerance,
        unit,
        words: one.words.clone(),
        at: [places.at(one.span.start), places.at(one.span.end)],
        taken_for: one.because.phrase.clone(),
        corrections: one
            .because
            .corrections
            .iter()
            .map(|one| CorrectionReport {
                written: one.written.clone(),
                taken_for: one.taken_for.clone(),
                fault: match one.fault {
                    Fault::Misspelt => "misspelt",
                    Fault::American => "american",
                },
            })
            .collect(),
        denied_by: words(&one.because.denied),
        hedged_by: words(&one.because.hedged),
    }
}

fn left_aside(base: &KnowledgeBase, places: &Places, piece: &Piece) -> PieceReport {
    PieceReport {
        words: piece.words.clone(),
        at: [places.at(piece.span.start), places.at(piece.span.end)],
        why: match piece.why {
            Why::Unknown => "unknown",
            Why::PartlyUnknown => "partly-unknown",
            Why::NotTogether => "not-together",
            Why::NumberWithoutName => "number-without-name",
            Why::Bound => "bound",
            Why::Asked => "asked",
            Why::Supposed => "supposed",
            Why::Past => "past",
            Why::Doubtful(_) => "doubtful",
            Why::Impossible { .. } => "impossible",
            Why::WrongUnit(_) => "wrong-unit",
            Why::SeveralSpecies => "several-species",
            Why::Denied => "denied",
        },
        text: description::why(base, piece),
    }
}

/// What sort of thing it is about, and which.
fn topic(topic: &Topic) -> (&'static str, Option<String>) {
    match topic {
        Topic::Species => ("species", None),
        Topic::Stage => ("stage", None),
        Topic::Sign(id) => ("sign", Some(id.to_string())),
        Topic::Setup(id) => ("setup", Some(id.to_string())),
        Topic::Person(id) => ("person", Some(id.to_string())),
        Topic::Reading(id) => ("reading", Some(id.to_string())),
    }
}

/// From places in bytes to places in characters, without counting from the start each time.
struct Places {
    /// The byte at which each character begins; none where every character is one byte.
    starts: Option<Vec<usize>>,
}

impl Places {
    fn of(text: &str) -> Self {
        let starts = (!text.is_ascii()).then(|| text.char_indices().map(|(at, _)| at).collect());
        Self { starts }
    }

    fn at(&self, byte: usize) -> usize {
        match &self.starts {
            None => byte,
            Some(starts) => starts.partition_point(|&start| start < byte),
        }
    }
}
