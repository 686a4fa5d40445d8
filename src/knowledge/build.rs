//! From the text of knowledge files to a checked [`KnowledgeBase`], with every fault found on the way.

use std::collections::{HashMap, HashSet};
use std::hash::Hash;
use std::ops::Range;

use crate::engine::knowledge::Map;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

use crate::engine::condition::Comparison;
use crate::engine::id::{
    ActionId, CardId, CauseId, CautionId, FactId, IdError, OutputId, PersonId, QuestionId,
    ReadingId, RoundId, RuleId, SetupId, SignId, SourceId, SpeciesId, StageId, TopicId,
};
use crate::engine::knowledge::{
    Asking, KnowledgeBase, Language, LogNumbers, Numbers, Scale, Species, Spelling,
};
use crate::knowledge::check;
use crate::knowledge::entries::{Entry, sort_confidence};
use crate::knowledge::fields::{At, Notes, parse, type_name};
use crate::knowledge::lint;
use crate::knowledge::problem::{Problem, ProblemCode, nearest};
use crate::knowledge::response;
use crate::knowledge::rules::CauseEntry;
use crate::knowledge::shape::{CHANCE, Kind, Reference, Shape};

/// A knowledge file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SourceFile {
    /// Its name, with `/` between folders.
    pub name: String,
    /// What it says.
    pub text: String,
    /// Which layer it belongs to: an entry of a later layer stands in for one of the same id in an earlier layer.
    pub layer: usize,
}

/// What came of building.
#[derive(Debug)]
pub struct Built {
    /// The knowledge; its invariants hold when no problem is an error.
    pub base: KnowledgeBase,
    /// Every fault found, sorted by file and place.
    pub problems: Vec<Problem>,
}

impl Built {
    /// The knowledge, or the problems that make it unusable.
    ///
    /// # Errors
    /// All problems, where at least one of them is an error.
    pub fn usable(self) -> Result<KnowledgeBase, Vec<Problem>> {
        if Problem::any_error(&self.problems) {
            Err(self.problems)
        } else {
            Ok(self.base)
        }
    }
}

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

/// Where things stand in a file, in bytes.
pub type Spans = Vec<Range<usize>>;

/// Where entries stand, for problems found across entries.
#[derive(Debug, Default)]
pub struct Places {
    places: HashMap<(Kind, String), (usize, String, Range<usize>)>,
}

impl Places {
    /// File and place of an entry's id.
    pub fn of(&self, kind: Kind, id: &str) -> Option<(&str, Range<usize>)> {
        self.places
            .get(&(kind, id.to_owned()))
            .map(|(_, file, span)| (file.as_str(), span.clone()))
    }
}

/// Everything gathered while reading, before the checks across entries.
#[derive(Default)]
pub struct Gathered {
    /// The knowledge so far.
    pub base: KnowledgeBase,
    /// Where each entry stands.
    pub places: Places,
    /// The causes' own places.
    pub causes: Map<CauseId, CauseEntry>,
    /// Where the responses of each species stand.
    pub responses: Map<SpeciesId, Spans>,
    /// Every id that a file declares, also of entries that were left out because of a fault of their own.
    pub declared: HashSet<(Kind, String)>,
    /// Every name of another entry.
    pub references: Vec<Reference>,
    /// Every comparison with a limit, with its file and place.
    pub comparisons: Vec<(Comparison, String, Range<usize>)>,
    /// What was found so far.
    pub problems: Vec<Problem>,
}

/// Builds the knowledge from its files. The order of the files does not matter.
pub fn build(files: &[SourceFile]) -> Built {
    let mut files: Vec<&SourceFile> = files.iter().collect();
    files.sort_by(|a, b| (a.layer, &a.name).cmp(&(b.layer, &b.name)));
    let mut gathered = Gathered::default();
    let mut parsed: Vec<(&SourceFile, DeTable<'_>)> = Vec::new();
    let mut faults_of_toml: Vec<Problem> = Vec::new();
    for file in &files {
        let mut notes = Notes::new(&file.name);
        let table = parse(&file.text, &mut notes);
        declare(&table, &mut gathered.declared);
        parsed.push((file, table));
        faults_of_toml.append(&mut notes.problems);
    }
    let unread: HashSet<String> = faults_of_toml
        .iter()
        .filter(|problem| problem.code != ProblemCode::RepeatedEntry)
        .map(|problem| problem.file.clone())
        .collect();
    let scale = read_scale(&parsed, unread.is_empty(), &mut gathered);
    // Without words for numbers every entry would seem to be at fault.
    let readable =
        !scale.frequency.is_empty() && !scale.base_rate.is_empty() && !scale.effort.is_empty();
    if readable {
        for (file, table) in &parsed {
            read_file(file, table, &scale, &mut gathered);
        }
    }
    // What seems to be missing from a file that could be read in part may well stand in it.
    gathered
        .problems
        .retain(|problem| !unread.contains(&problem.file));
    gathered.problems.append(&mut faults_of_toml);
    gathered.base.scale = scale;
    // In the course of a crop; the sort is stable, so that stages without a place keep the order of the files.
    gathered
        .base
        .stages
        .sort_by(|_, a, _, b| a.place.cmp(&b.place));
    gathered.base.fingerprint = fingerprint(&files);
    if readable {
        finish(&mut gathered);
        check::across(&mut gathered);
        // After the checks, which speak of the rules as they are written.
        response::spread(&mut gathered.base);
    }
    Problem::sort(&mut gathered.problems);
    Built {
        base: gathered.base,
        problems: gathered.problems,
    }
}

/// Notes which ids a file declares, whether or not its entries can be used.
fn declare(table: &DeTable<'_>, declared: &mut HashSet<(Kind, String)>) {
    const KINDS: [(&str, Kind); 17] = [
        ("stage", Kind::Stage),
        ("source", Kind::Source),
        ("reading", Kind::Reading),
        ("setup", Kind::Setup),
        ("person", Kind::Person),
        ("question", Kind::Question),
        ("sign", Kind::Sign),
        ("cause", Kind::Cause),
        ("fact", Kind::Fact),
        ("rule", Kind::Rule),
        ("action", Kind::Action),
        ("caution", Kind::Caution),
        ("species", Kind::Species),
        ("output", Kind::Output),
        ("round", Kind::Round),
        ("card", Kind::Card),
        ("topic", Kind::Topic),
    ];
    let mut unnoted = Notes::new("");
    for (key, kind) in KINDS {
        for (entry, _) in list(table, key, &mut unnoted) {
            let id = entry.get("id").and_then(|id| id.get_ref().as_str());
            declared.extend(id.map(|id| (kind, id.trim().to_owned())));
            let traits = entry.get("traits").map(Spanned::get_ref);
            let traits = traits.and_then(DeValue::as_array).into_iter().flatten();
            let traits = traits.filter_map(|one| one.get_ref().as_str());
            declared.extend(traits.map(|one| (Kind::Trait, one.trim().to_owned())));
        }
    }
}

/// The tables of a list at the top of a file.
fn list<'a, 'i>(
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

/// Reads the words for numbers and the engine's numbers; `whole` says whether every file could be read.
fn read_scale(
    parsed: &[(&SourceFile, DeTable<'_>)],
    whole: bool,
    gathered: &mut Gathered,
) -> Scale {
    let mut scale = Scale::default();
    let empty = Scale::default();
    let mut log = LogNumbers::default();
    let mut seen_numbers: Vec<(&str, String)> = Vec::new();
    let mut last: Option<(String, Range<usize>)> = None;
    let mut stands: HashMap<(&str, String), (usize, String, Range<usize>)> = HashMap::new();
    for (file, table) in parsed {
        let mut shape = Shape {
            scale: &empty,
            notes: Notes::new(&file.name),
            references: &mut gathered.references,
            comparisons: &mut gathered.comparisons,
        };
        for (key, value_key, range) in [
            ("frequency", "value", CHANCE),
            ("base-rate", "value", CHANCE),
            ("effort", "cost", 0.1..=1000.0),
            ("confidence", "from", 0.0..=1.0),
        ] {
            for (entry, span) in list(table, key, &mut shape.notes) {
                let Some((word, level)) = shape.scale_word(entry, span, value_key, range.clone())
                else {
                    continue;
                };
                let (word, at) = word;
                if !stands_once(&mut stands, file, (key, &word), at, &mut shape.notes) {
                    continue;
                }
                match key {
                    "frequency" => _ = scale.frequency.insert(word, level),
                    "base-rate" => _ = scale.base_rate.insert(word, level),
                    "effort" => _ = scale.effort.insert(word, level),
                    _ => {
                        scale.confidence.retain(|(known, _)| *known != word);
                        scale.confidence.push((word, level));
                    }
                }
            }
        }
        for (key, ranges) in [
            ("number", Numbers::RANGES),
            ("log-number", LogNumbers::RANGES),
        ] {
            for (entry, span) in list(table, key, &mut shape.notes) {
                let Some((id, value)) = shape.scale_number(entry, span) else {
                    continue;
                };
                let known = ranges.iter().find(|(name, ..)| *name == id.0);
                let Some(&(name, least, most)) = known else {
                    let near = nearest(&id.0, ranges.iter().map(|(name, ..)| *name));
                    let help = near.map(|near| format!("did you mean `{near}`?"));
                    let message = format!("the engine has no number `{}`", id.0);
                    shape.notes.add(
                        ProblemCode::UnknownWord,
                        id.1,
                        message,
                        "not a number of the engine",
                        help,
                    );
                    continue;
                };
                if !stands_once(
                    &mut stands,
                    file,
                    (key, name),
                    id.1.clone(),
                    &mut shape.notes,
                ) {
                    continue;
                }
                // A number that is at fault is there all the same: it is not lacking.
                seen_numbers.push((key, id.0));
                last = Some((file.name.clone(), id.1));
                let value =
                    value.and_then(|(value, at)| shape.within(name, value, least..=most, at));
                let slot = match key {
                    "number" => scale.numbers.slot(name),
                    _ => log.slot(name),
                };
                if let (Some(value), Some(slot)) = (value, slot) {
                    *slot = value;
                }
            }
        }
        gathered.problems.append(&mut shape.notes.problems);
    }
    sort_confidence(&mut scale);
    // A base may do without logs; one that speaks of them at all needs every number.
    if seen_numbers.iter().any(|(key, _)| *key == "log-number") {
        gathered.base.log = Some(log);
    }
    if whole {
        missing_scale(&scale, &seen_numbers, last, gathered);
    }
    scale
}

/// Whether a word or number of the scale stands only once in its layer; a note where it is a repeat.
fn stands_once<'k>(
    stands: &mut HashMap<(&'k str, String), (usize, String, Range<usize>)>,
    file: &SourceFile,
    (kind, word): (&'k str, &str),
    at: Range<usize>,
    notes: &mut Notes<'_>,
) -> bool {
    let place = (file.layer, file.name.clone(), at.clone());
    match stands.insert((kind, word.to_owned()), place) {
        Some((layer, earlier, first)) if layer == file.layer => {
            notes.problems.push(Problem {
                code: ProblemCode::RepeatedEntry,
                file: file.name.clone(),
                span: Some(at),
                message: format!("`{word}` stands twice under `{kind}`"),
                label: "here again".to_owned(),
                help: Some("keep one of the two".to_owned()),
                other: Some((earlier, first, "first here".to_owned())),
            });
            false
        }
        _ => true,
    }
}

fn missing_scale(
    scale: &Scale,
    numbers: &[(&str, String)],
    last: Option<(String, Range<usize>)>,
    gathered: &mut Gathered,
) {
    let mut lacking: Vec<String> = Vec::new();
    let logs = if gathered.base.log.is_some() {
        LogNumbers::RANGES
    } else {
        &[]
    };
    for (list, ranges) in [("number", Numbers::RANGES), ("log-number", logs)] {
        let given = |name: &str| numbers.iter().any(|(key, id)| *key == list && id == name);
        let absent = ranges.iter().filter(|(name, ..)| !given(name));
        lacking.extend(absent.map(|(name, ..)| format!("the {} `{name}`", list.replace('-', " "))));
    }
    for (empty, what) in [
        (scale.frequency.is_empty(), "words for `frequency`"),
        (scale.base_rate.is_empty(), "words for `base-rate`"),
        (scale.effort.is_empty(), "words for `effort`"),
        (
            scale
                .confidence
                .last()
                .is_none_or(|(_, level)| level.value > 0.0),
            "a word for `confidence` from 0 up",
        ),
    ] {
        if empty {
            lacking.push(what.to_owned());
        }
    }
    if lacking.is_empty() {
        return;
    }
    let (file, span) = last.map_or(("scale.toml".to_owned(), None), |(file, span)| {
        (file, Some(span))
    });
    gathered.problems.push(Problem {
        code: ProblemCode::MissingScale,
        file,
        span,
        message: format!("the scale lacks {}", lacking.join(", ")),
        label: "after this entry".to_owned(),
        help: Some("copy what is lacking from the built-in scale, and adjust it".to_owned()),
        other: None,
    });
}

/// Puts an entry into its map. An entry of the same layer with the same id is a repeat; one of an earlier layer is
/// replaced in its place.
fn keep<K: Hash + Eq, V>(
    map: &mut Map<K, V>,
    places: &mut Places,
    problems: &mut Vec<Problem>,
    (file, kind): (&SourceFile, Kind),
    entry: Option<Entry<V>>,
    make: impl Fn(&str) -> Result<K, IdError>,
) {
    let Some((id, value)) = entry else { return };
    let key = match make(&id.0) {
        Ok(key) => key,
        Err(error) => {
            problems.push(Problem {
                code: ProblemCode::BadId,
                file: file.name.clone(),
                span: Some(id.1),
                message: error.to_string(),
                label: "not an id".to_owned(),
                help: Some(format!(
                    "write it like `{}`",
                    id.0.to_lowercase().replace([' ', '_'], "-")
                )),
                other: None,
            });
            return;
        }
    };
    let place = (kind, id.0.clone());
    if let Some((layer, earlier, span)) = places.places.get(&place)
        && *layer == file.layer
    {
        problems.push(Problem {
            code: ProblemCode::RepeatedEntry,
            file: file.name.clone(),
            span: Some(id.1),
            message: format!("the {} `{}` stands twice", kind.unknown().0, id.0),
            label: "here again".to_owned(),
            help: Some("join the two entries, or give one another id".to_owned()),
            other: Some((earlier.clone(), span.clone(), "first here".to_owned())),
        });
        return;
    }
    places
        .places
        .insert(place, (file.layer, file.name.clone(), id.1));
    map.insert(key, value);
}

fn read_file(file: &SourceFile, table: &DeTable<'_>, scale: &Scale, gathered: &mut Gathered) {
    let Gathered {
        base,
        places,
        causes,
        responses,
        references,
        comparisons,
        problems,
        declared: _,
    } = gathered;
    let mut shape = Shape {
        scale,
        notes: Notes::new(&file.name),
        references,
        comparisons,
    };
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
        shape.notes.add(
            ProblemCode::UnknownKey,
            key.span(),
            message,
            "not a kind of entry",
            help,
        );
    }
    spellings(file, table, &mut shape, (&mut base.spellings, problems));
    language(table, &mut shape, &mut base.language);
    macro_rules! entries {
        ($key:literal, $read:ident, $map:expr, $kind:ident, $id:ident) => {
            for (entry, span) in list(table, $key, &mut shape.notes) {
                let entry = shape.$read(entry, span);
                keep(
                    &mut $map,
                    places,
                    problems,
                    (file, Kind::$kind),
                    entry,
                    $id::new,
                );
            }
        };
    }
    entries!("stage", stage, base.stages, Stage, StageId);
    entries!("source", source, base.sources, Source, SourceId);
    entries!("reading", reading, base.readings, Reading, ReadingId);
    entries!("setup", setup_item, base.setup, Setup, SetupId);
    entries!("person", person, base.people, Person, PersonId);
    entries!("question", question, base.questions, Question, QuestionId);
    entries!("sign", sign, base.signs, Sign, SignId);
    entries!("cause", cause, *causes, Cause, CauseId);
    entries!("fact", fact, base.facts, Fact, FactId);
    entries!("rule", derive_rule, base.rules, Rule, RuleId);
    entries!("action", action, base.actions, Action, ActionId);
    entries!("caution", caution, base.cautions, Caution, CautionId);
    entries!("output", output, base.outputs, Output, OutputId);
    entries!("round", round, base.rounds, Round, RoundId);
    entries!("card", card, base.cards, Card, CardId);
    entries!("topic", topic, base.topics, Topic, TopicId);
    read_species(
        file,
        table,
        &mut shape,
        (&mut base.species, responses, places, problems),
    );
    sorted_by_id(table, &mut shape.notes);
    lint::promises(table, &mut shape.notes);
    problems.append(&mut shape.notes.problems);
}

/// American spellings: one for each British word, in each layer.
fn spellings(
    file: &SourceFile,
    table: &DeTable<'_>,
    shape: &mut Shape<'_, '_>,
    (map, problems): (&mut Map<String, Spelling>, &mut Vec<Problem>),
) {
    let mut first: HashMap<String, Range<usize>> = HashMap::new();
    for (entry, span) in list(table, "spelling", &mut shape.notes) {
        let Some(((british, at), spelling)) = shape.spelling(entry, span) else {
            continue;
        };
        if let Some(earlier) = first.insert(british.clone(), at.clone()) {
            problems.push(Problem {
                code: ProblemCode::RepeatedEntry,
                file: file.name.clone(),
                span: Some(at),
                message: format!("the spelling of `{british}` stands twice"),
                label: "here again".to_owned(),
                help: Some("keep one of the two".to_owned()),
                other: Some((file.name.clone(), earlier, "first here".to_owned())),
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
    file: &SourceFile,
    table: &DeTable<'_>,
    shape: &mut Shape<'_, '_>,
    (map, responses_at, places, problems): (
        &mut Map<SpeciesId, Species>,
        &mut Map<SpeciesId, Spans>,
        &mut Places,
        &mut Vec<Problem>,
    ),
) {
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
                    responses_at.insert(id, spans);
                }
                species.limits = limits.into_iter().filter_map(|(limit, _)| limit).collect();
                species.normal = looks.into_iter().filter_map(|(look, _)| look).collect();
                (id, species)
            });
            keep(
                map,
                places,
                problems,
                (file, Kind::Species),
                entry,
                SpeciesId::new,
            );
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

/// Warns where entries of a list are not sorted by id.
fn sorted_by_id(table: &DeTable<'_>, notes: &mut Notes<'_>) {
    for key in [
        "source", "reading", "setup", "person", "question", "sign", "cause", "fact", "rule",
        "action", "caution", "output", "round", "card", "topic",
    ] {
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

/// Joins what entries say of each other.
fn finish(gathered: &mut Gathered) {
    let base = &mut gathered.base;
    for (id, entry) in &gathered.causes {
        base.causes.insert(id.clone(), entry.cause.clone());
    }
    let KnowledgeBase {
        spellings,
        signs,
        readings,
        setup,
        people,
        ..
    } = base;
    let words = signs
        .values_mut()
        .map(|one| &mut one.words)
        .chain(readings.values_mut().map(|one| &mut one.words))
        .chain(setup.values_mut().map(|one| &mut one.words))
        .chain(people.values_mut().map(|one| &mut one.words));
    for words in words {
        spell_both_ways(words, spellings);
    }
    for (id, sign) in &mut base.signs {
        let Asking::Option { question, .. } = &sign.asking else {
            continue;
        };
        if let Some(question) = base.questions.get_mut(question) {
            question.signs.push(id.clone());
            if sign.effort_word.is_empty() {
                sign.effort = question.effort;
                sign.effort_word.clone_from(&question.effort_word);
            }
        }
    }
}

/// Adds the American spelling of each word that has one.
fn spell_both_ways(words: &mut Vec<String>, spellings: &Map<String, Spelling>) {
    for at in 0..words.len() {
        let american = spellings
            .iter()
            .fold(words[at].clone(), |word, (british, spelling)| {
                word.replace(british.as_str(), &spelling.american)
            });
        if !words.contains(&american) {
            words.push(american);
        }
    }
}

/// A fingerprint of names and texts: 64-bit FNV-1a, as hexadecimal digits.
///
/// # Source
/// Fowler, Noll & Vo, FNV-1a, offset basis 14695981039346656037 and prime 1099511628211.
fn fingerprint(files: &[&SourceFile]) -> String {
    let mut hash: u64 = 14_695_981_039_346_656_037;
    for file in files {
        for byte in file
            .name
            .bytes()
            .chain([0])
            .chain(file.text.bytes())
            .chain([0])
        {
            hash = (hash ^ u64::from(byte)).wrapping_mul(1_099_511_628_211);
        }
    }
    format!("{hash:016x}")
}
