//! From the text of knowledge files to a checked [`KnowledgeBase`], with every fault found on the way.

mod each;
mod file;
mod places;
mod scale;

use std::collections::HashSet;
use std::hash::Hash;
use std::ops::Range;

use rustc_hash::FxHashSet;
use smol_str::SmolStr;
use toml::de::DeTable;

use crate::engine::condition::Comparison;
use crate::engine::id::{
    ActionId, CardId, CauseId, CautionId, FactId, IdError, OutputId, PersonId, QuestionId,
    ReadingId, RoundId, RuleId, SetupId, SignId, SourceId, SpeciesId, StageId, TopicId,
};
use crate::engine::knowledge::{Asking, KnowledgeBase, Language, Map, Spelling};
use crate::knowledge::build::each::{each, threads};
use crate::knowledge::build::file::{Said, read_file};
use crate::knowledge::build::places::Places;
use crate::knowledge::build::scale::{may_tell, missing_scale, read_scale};
use crate::knowledge::check;
use crate::knowledge::entries::Entry;
use crate::knowledge::fields::{Notes, parse};
use crate::knowledge::problem::{Problem, ProblemCode};
use crate::knowledge::response;
use crate::knowledge::rules::CauseEntry;
use crate::knowledge::shape::{Kind, Reference};

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

/// Where things stand in a file, in bytes.
pub type Spans = Vec<Range<usize>>;

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
    /// Every trait, and every id of an entry that was left out because of a fault of its own.
    pub declared: FxHashSet<(Kind, SmolStr)>,
    /// Every name of another entry, by file.
    pub references: Vec<(String, Vec<Reference>)>,
    /// Every comparison with a limit, with its file and place.
    pub comparisons: Vec<(Comparison, String, Range<usize>)>,
    /// What was found so far.
    pub problems: Vec<Problem>,
}

/// Builds the knowledge from its files. The order of the files does not matter.
pub fn build(files: &[SourceFile]) -> Built {
    let mut files: Vec<&SourceFile> = files.iter().collect();
    files.sort_by(|a, b| (a.layer, &a.name).cmp(&(b.layer, &b.name)));
    let threads = threads(&files);
    // The scale comes first: every other entry is read with it. Other files are parsed only when their turn comes, so
    // that few of the large tables are there at a time.
    let early = each(files.len(), threads, |number| {
        let file = files[number];
        may_tell(&file.text).then(|| Parsed::new(file))
    });
    let mut gathered = Gathered::default();
    let parsed = files.iter().zip(&early);
    let parsed = parsed.filter_map(|(file, parsed)| Some((*file, &parsed.as_ref()?.table)));
    let (scale, given) = read_scale(parsed, &mut gathered);
    // Without words for numbers every entry would seem to be at fault.
    let readable =
        !scale.frequency.is_empty() && !scale.base_rate.is_empty() && !scale.effort.is_empty();
    let said = each(files.len(), threads, |number| {
        let file = files[number];
        let late;
        let parsed = match &early[number] {
            Some(parsed) => parsed,
            None => {
                late = Parsed::new(file);
                &late
            }
        };
        let said = readable.then(|| read_file(file, &parsed.table, &scale));
        (said.unwrap_or_default(), parsed.faults.clone())
    });
    drop(early);
    let mut faults_of_toml: Vec<Problem> = Vec::new();
    for (file, (said, mut faults)) in files.iter().zip(said) {
        take_in(file, said, &mut gathered);
        faults_of_toml.append(&mut faults);
    }
    let unread: HashSet<String> = faults_of_toml
        .iter()
        .filter(|problem| problem.code != ProblemCode::RepeatedEntry)
        .map(|problem| problem.file.clone())
        .collect();
    // What seems to be missing from a file that could be read in part may well stand in it.
    if unread.is_empty() {
        missing_scale(&scale, given, &mut gathered);
    }
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

/// A file's tables, and the faults of its TOML.
struct Parsed<'t> {
    table: DeTable<'t>,
    faults: Vec<Problem>,
}

impl<'t> Parsed<'t> {
    fn new(file: &'t SourceFile) -> Self {
        let mut notes = Notes::new(&file.name);
        let table = parse(&file.text, &mut notes);
        Self {
            table,
            faults: notes.problems,
        }
    }
}

/// Puts what a file says to what the files before it said.
fn take_in(file: &SourceFile, said: Said, gathered: &mut Gathered) {
    let Gathered {
        base,
        places,
        causes,
        responses,
        declared,
        references,
        comparisons,
        problems,
    } = gathered;
    places.enter(file);
    base.spellings.extend(said.spellings);
    let Language {
        same,
        kin,
        classes,
        numbers,
    } = said.language;
    base.language.same.extend(same);
    base.language.kin.extend(kin);
    base.language.classes.extend(classes);
    base.language.numbers.extend(numbers);
    responses.extend(said.responses);
    declared.extend(said.declared);
    references.push((file.name.clone(), said.references));
    comparisons.extend(said.comparisons);
    problems.extend(said.problems);
    let said = said.entries;
    let mut keeping = Keeping {
        file,
        places,
        problems,
    };
    keeping.all(said.stages, &mut base.stages, Kind::Stage, StageId::new);
    keeping.all(said.sources, &mut base.sources, Kind::Source, SourceId::new);
    keeping.all(
        said.readings,
        &mut base.readings,
        Kind::Reading,
        ReadingId::new,
    );
    keeping.all(said.setup, &mut base.setup, Kind::Setup, SetupId::new);
    keeping.all(said.people, &mut base.people, Kind::Person, PersonId::new);
    keeping.all(
        said.questions,
        &mut base.questions,
        Kind::Question,
        QuestionId::new,
    );
    keeping.all(said.signs, &mut base.signs, Kind::Sign, SignId::new);
    keeping.all(said.causes, causes, Kind::Cause, CauseId::new);
    keeping.all(said.facts, &mut base.facts, Kind::Fact, FactId::new);
    keeping.all(said.rules, &mut base.rules, Kind::Rule, RuleId::new);
    keeping.all(said.actions, &mut base.actions, Kind::Action, ActionId::new);
    keeping.all(
        said.cautions,
        &mut base.cautions,
        Kind::Caution,
        CautionId::new,
    );
    keeping.all(said.outputs, &mut base.outputs, Kind::Output, OutputId::new);
    keeping.all(said.rounds, &mut base.rounds, Kind::Round, RoundId::new);
    keeping.all(said.cards, &mut base.cards, Kind::Card, CardId::new);
    keeping.all(said.topics, &mut base.topics, Kind::Topic, TopicId::new);
    keeping.all(
        said.species,
        &mut base.species,
        Kind::Species,
        SpeciesId::new,
    );
}

/// What puts entries into their maps.
struct Keeping<'g> {
    file: &'g SourceFile,
    places: &'g mut Places,
    problems: &'g mut Vec<Problem>,
}

impl Keeping<'_> {
    /// Puts entries of a kind into their map. An entry of the same layer with the same id is a repeat; one of an
    /// earlier layer is replaced in its place.
    fn all<K: Hash + Eq, V>(
        &mut self,
        entries: impl IntoIterator<Item = Entry<V>>,
        map: &mut Map<K, V>,
        kind: Kind,
        make: impl Fn(&str) -> Result<K, IdError>,
    ) {
        for ((id, span), value) in entries {
            let fault = match make(&id) {
                Ok(key) => match self.places.put(kind, &id, &span) {
                    Ok(()) => {
                        map.insert(key, value);
                        continue;
                    }
                    Err(earlier) => self.repeated(kind, &id, span, earlier),
                },
                Err(error) => self.no_id(&id, span, &error),
            };
            self.problems.push(fault);
        }
    }

    fn repeated(
        &self,
        kind: Kind,
        id: &str,
        span: Range<usize>,
        (file, first): (String, Range<usize>),
    ) -> Problem {
        Problem {
            code: ProblemCode::RepeatedEntry,
            file: self.file.name.clone(),
            span: Some(span),
            message: format!("the {} `{id}` stands twice", kind.unknown().0),
            label: "here again".to_owned(),
            help: Some("join the two entries, or give one another id".to_owned()),
            other: Some((file, first, "first here".to_owned())),
        }
    }

    fn no_id(&self, id: &str, span: Range<usize>, error: &IdError) -> Problem {
        Problem {
            code: ProblemCode::BadId,
            file: self.file.name.clone(),
            span: Some(span),
            message: error.to_string(),
            label: "not an id".to_owned(),
            help: Some(format!(
                "write it like `{}`",
                id.to_lowercase().replace([' ', '_'], "-")
            )),
            other: None,
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
