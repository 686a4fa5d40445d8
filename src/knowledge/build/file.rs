//! What one knowledge file says by itself.

use std::collections::HashMap;
use std::hash::Hash;
use std::ops::Range;

use smol_str::SmolStr;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

use crate::engine::condition::Comparison;
use crate::engine::id::SpeciesId;
use crate::engine::knowledge::{
    Action, Card, Caution, DeriveRule, Fact, Language, Map, Output, Person, Question, Reading,
    Round, Scale, SetupItem, Sign, Source, Species, Spelling, Stage, Topic,
};
use crate::knowledge::build::{SourceFile, Spans};
use crate::knowledge::entries::Entry;
use crate::knowledge::fields::{At, Notes, type_name};
use crate::knowledge::lint;
use crate::knowledge::problem::{Problem, ProblemCode, nearest};
use crate::knowledge::rules::CauseEntry;
use crate::knowledge::shape::{Kind, Reference, Shape};

/// Lists of entries, by the key they stand under.
const LISTS: [&str; 31] = [
    "frequency",
    "base-rate",
    "effort",
    "confidence",
    "number",
    "log-number",
    "stage",
    "source",
    "reading",
    "setup",
    "person",
    "limit",
    "normal",
    "response",
    "spelling",
    "same",
    "kin",
    "word-class",
    "number-word",
    "question",
    "sign",
    "cause",
    "fact",
    "rule",
    "action",
    "caution",
    "species",
    "output",
    "round",
    "card",
    "topic",
];

/// What one file says by itself, before it is held against the others.
#[derive(Default)]
pub struct Said {
    /// Its entries.
    pub entries: Entries,
    /// American spellings, by the British word.
    pub spellings: Map<String, Spelling>,
    /// What it says of the language.
    pub language: Language,
    /// Where the responses of its species stand.
    pub responses: Option<(SpeciesId, Spans)>,
    /// Ids that it declares and that its entries may not show.
    pub declared: Vec<(Kind, SmolStr)>,
    /// Every name of another entry.
    pub references: Vec<Reference>,
    /// Every comparison with a limit, with the file and its place.
    pub comparisons: Vec<(Comparison, String, Range<usize>)>,
    /// What was found wrong with the entries.
    pub problems: Vec<Problem>,
}

macro_rules! entries {
    ($($key:literal, $read:ident, $list:ident, $kind:ident, $value:ty;)*) => {
        /// The entries of one file, by kind, in their order.
        #[derive(Default)]
        pub struct Entries {
            $(#[doc = concat!("Under `", $key, "`.")] pub $list: Vec<Entry<$value>>,)*
            /// The species, where the file is that of one.
            pub species: Option<Entry<Species>>,
        }

        fn read_entries(table: &DeTable<'_>, shape: &mut Shape<'_, '_>, entries: &mut Entries) {
            $(for (entry, span) in list(table, $key, &mut shape.notes) {
                entries.$list.extend(shape.$read(entry, span));
            })*
        }

        const KINDS: [(&str, Kind); [$($key),*].len() + 1] =
            [$(($key, Kind::$kind),)* ("species", Kind::Species)];
    };
}

entries! {
    "stage", stage, stages, Stage, Stage;
    "source", source, sources, Source, Source;
    "reading", reading, readings, Reading, Reading;
    "setup", setup_item, setup, Setup, SetupItem;
    "person", person, people, Person, Person;
    "question", question, questions, Question, Question;
    "sign", sign, signs, Sign, Sign;
    "cause", cause, causes, Cause, CauseEntry;
    "fact", fact, facts, Fact, Fact;
    "rule", derive_rule, rules, Rule, DeriveRule;
    "action", action, actions, Action, Action;
    "caution", caution, cautions, Caution, Caution;
    "output", output, outputs, Output, Output;
    "round", round, rounds, Round, Round;
    "card", card, cards, Card, Card;
    "topic", topic, topics, Topic, Topic;
}

/// Reads a file's entries.
pub fn read_file(file: &SourceFile, table: &DeTable<'_>, scale: &Scale) -> Said {
    let mut said = Said::default();
    let mut shape = Shape {
        scale,
        notes: Notes::new(&file.name),
        references: &mut said.references,
        comparisons: &mut said.comparisons,
    };
    unknown_lists(table, &mut shape.notes);
    spellings(table, &mut shape, &mut said.spellings);
    language(table, &mut shape, &mut said.language);
    read_entries(table, &mut shape, &mut said.entries);
    (said.entries.species, said.responses) = read_species(table, &mut shape);
    sorted_by_id(table, &mut shape.notes);
    lint::promises(table, &mut shape.notes);
    said.problems = shape.notes.problems;
    // Where nothing is wrong with a file, its entries themselves are all that it declares.
    declare(table, !said.problems.is_empty(), &mut said.declared);
    said
}

/// Notes lists of no kind that is known.
fn unknown_lists(table: &DeTable<'_>, notes: &mut Notes<'_>) {
    for key in table
        .keys()
        .filter(|key| !LISTS.contains(&key.get_ref().as_ref()))
    {
        let name = key.get_ref().as_ref();
        let help =
            nearest(name, LISTS.into_iter()).map(|near| format!("did you mean `[[{near}]]`?"));
        let help = help.or_else(|| {
            let kinds = LISTS.map(|kind| format!("`{kind}`"));
            Some(format!("it may have {}", kinds.join(", ")))
        });
        let message = format!("a knowledge file has no entries called `{name}`");
        notes.add(
            ProblemCode::UnknownKey,
            key.span(),
            message,
            "not a kind of entry",
            help,
        );
    }
}

/// Notes which ids and traits a file declares, whether or not its entries can be used; the traits alone where all can.
fn declare(table: &DeTable<'_>, all: bool, declared: &mut Vec<(Kind, SmolStr)>) {
    let mut unnoted = Notes::new("");
    let kinds = if all {
        KINDS.as_slice()
    } else {
        &[("species", Kind::Species)]
    };
    for &(key, kind) in kinds {
        for (entry, _) in list(table, key, &mut unnoted) {
            let id = entry.get("id").and_then(|id| id.get_ref().as_str());
            declared.extend(id.map(|id| (kind, id.trim().into())));
            let traits = entry.get("traits").map(Spanned::get_ref);
            let traits = traits.and_then(DeValue::as_array).into_iter().flatten();
            let traits = traits.filter_map(|one| one.get_ref().as_str());
            declared.extend(traits.map(|one| (Kind::Trait, one.trim().into())));
        }
    }
}

/// The tables of a list at the top of a file.
pub(super) fn list<'a, 'i>(
    table: &'a DeTable<'i>,
    key: &str,
    notes: &mut Notes<'_>,
) -> Vec<At<&'a DeTable<'i>>> {
    let Some(value) = table.get(key) else {
        return Vec::new();
    };
    let items: Vec<&Spanned<DeValue<'i>>> = match value.get_ref() {
        DeValue::Array(items) => items.iter().collect(),
        _ => vec![value],
    };
    let mut tables = Vec::new();
    for item in items {
        match item.get_ref() {
            DeValue::Table(inner) => tables.push((inner, item.span())),
            other => notes.add(
                ProblemCode::WrongType,
                item.span(),
                format!("`{key}` is {}", type_name(other)),
                &format!("must be `[[{key}]]` entries"),
                None,
            ),
        }
    }
    tables
}

/// American spellings: one for each British word, in each layer.
fn spellings(table: &DeTable<'_>, shape: &mut Shape<'_, '_>, map: &mut Map<String, Spelling>) {
    let mut first: HashMap<String, Range<usize>> = HashMap::new();
    for (entry, span) in list(table, "spelling", &mut shape.notes) {
        let Some(((british, at), spelling)) = shape.spelling(entry, span) else {
            continue;
        };
        if let Some(earlier) = first.insert(british.clone(), at.clone()) {
            let file = shape.notes.file.to_owned();
            shape.notes.problems.push(Problem {
                code: ProblemCode::RepeatedEntry,
                file: file.clone(),
                span: Some(at),
                message: format!("the spelling of `{british}` stands twice"),
                label: "here again".to_owned(),
                help: Some("keep one of the two".to_owned()),
                other: Some((file, earlier, "first here".to_owned())),
            });
            continue;
        }
        map.insert(british, spelling);
    }
}

/// What is said of the language; every layer adds to the one below.
fn language(table: &DeTable<'_>, shape: &mut Shape<'_, '_>, language: &mut Language) {
    for (entry, span) in list(table, "same", &mut shape.notes) {
        language.same.extend(shape.same_words(entry, span));
    }
    for (entry, span) in list(table, "kin", &mut shape.notes) {
        language.kin.extend(shape.same_words(entry, span));
    }
    for (entry, span) in list(table, "word-class", &mut shape.notes) {
        language.classes.extend(shape.word_class(entry, span));
    }
    for (entry, span) in list(table, "number-word", &mut shape.notes) {
        if let Some(((word, _), number)) = shape.number_word(entry, span) {
            language.numbers.insert(word, number);
        }
    }
}

/// A species' file: the species and the lists that belong to it.
fn read_species(
    table: &DeTable<'_>,
    shape: &mut Shape<'_, '_>,
) -> (Option<Entry<Species>>, Option<(SpeciesId, Spans)>) {
    let mut responses_at = None;
    let entries = list(table, "species", &mut shape.notes);
    let limits: Vec<_> = list(table, "limit", &mut shape.notes)
        .into_iter()
        .map(|(entry, span)| (shape.limit(entry, span.clone()), span))
        .collect();
    let looks: Vec<_> = list(table, "normal", &mut shape.notes)
        .into_iter()
        .map(|(entry, span)| (shape.normal_look(entry, span.clone()), span))
        .collect();
    let responses: Vec<_> = list(table, "response", &mut shape.notes)
        .into_iter()
        .map(|(entry, span)| (shape.response(entry, span.clone()), span))
        .collect();
    match entries.as_slice() {
        [(entry, span)] => {
            once_each(&limits, &mut shape.notes, |limit| {
                let what = format!("`{}` at the stage `{}`", limit.reading, limit.stage);
                ((&limit.stage, &limit.reading), what)
            });
            once_each(&looks, &mut shape.notes, |look| {
                (&look.sign, format!("`{}`", look.sign))
            });
            once_each(&responses, &mut shape.notes, |response| {
                let what = format!("`{}` as a sign of `{}`", response.sign, response.to);
                ((&response.to, &response.sign), what)
            });
            let entry = shape.species(entry, span.clone()).map(|(id, mut species)| {
                let (list, spans) = responses
                    .into_iter()
                    .filter_map(|(response, span)| Some((response?, span)))
                    .unzip();
                species.responses = list;
                if let Ok(id) = SpeciesId::new(&id.0) {
                    responses_at = Some((id, spans));
                }
                species.limits = limits.into_iter().filter_map(|(limit, _)| limit).collect();
                species.normal = looks.into_iter().filter_map(|(look, _)| look).collect();
                (id, species)
            });
            return (entry, responses_at);
        }
        [] => {
            for span in limits
                .into_iter()
                .map(|(_, span)| span)
                .chain(looks.into_iter().map(|(_, span)| span))
                .chain(responses.into_iter().map(|(_, span)| span))
            {
                let message =
                    "limits, normal looks and responses stand in the file of their species"
                        .to_owned();
                shape.notes.add(
                    ProblemCode::MissingKey,
                    span,
                    message,
                    "belongs to no species",
                    Some("move it there, or repeat the whole file of the species".to_owned()),
                );
            }
        }
        [_, (_, span), ..] => {
            let message = "one file describes one species".to_owned();
            shape.notes.add(
                ProblemCode::RepeatedEntry,
                span.clone(),
                message,
                "a second species",
                Some("give it a file of its own".to_owned()),
            );
        }
    }
    (None, None)
}

/// Notes every entry of a species' list that speaks of the same thing as an earlier one.
fn once_each<'l, T, K: Eq + Hash + 'l>(
    list: &'l [(Option<T>, Range<usize>)],
    notes: &mut Notes<'_>,
    about: impl Fn(&'l T) -> (K, String),
) {
    let mut first: HashMap<K, &Range<usize>> = HashMap::new();
    for (entry, span) in list {
        let Some((key, what)) = entry.as_ref().map(&about) else {
            continue;
        };
        let Some(earlier) = first.insert(key, span) else {
            continue;
        };
        notes.problems.push(Problem {
            code: ProblemCode::RepeatedEntry,
            file: notes.file.to_owned(),
            span: Some(span.clone()),
            message: format!("{what} stands twice in one species"),
            label: "here again".to_owned(),
            help: Some("keep one of the two".to_owned()),
            other: Some((
                notes.file.to_owned(),
                earlier.clone(),
                "first here".to_owned(),
            )),
        });
    }
}

/// Lists whose entries are sorted by id; stages stand in the course of a crop.
const SORTED: [&str; 15] = [
    "source", "reading", "setup", "person", "question", "sign", "cause", "fact", "rule", "action",
    "caution", "output", "round", "card", "topic",
];

/// Warns where entries of a list are not sorted by id.
fn sorted_by_id(table: &DeTable<'_>, notes: &mut Notes<'_>) {
    for key in SORTED {
        let Some(DeValue::Array(items)) = table.get(key).map(Spanned::get_ref) else {
            continue;
        };
        let mut before: Option<&str> = None;
        for item in items.iter() {
            let DeValue::Table(entry) = item.get_ref() else {
                continue;
            };
            let Some(id) = entry.get("id") else { continue };
            let Some(text) = id.get_ref().as_str() else {
                continue;
            };
            if let Some(before) = before.filter(|before| *before > text) {
                let message = format!("`{text}` stands behind `{before}`");
                let help = Some("sort the entries of a file by id".to_owned());
                notes.add(
                    ProblemCode::OutOfOrder,
                    id.span(),
                    message,
                    "out of order",
                    help,
                );
            }
            before = Some(text);
        }
    }
}
