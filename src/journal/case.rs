//! The case file: what was told on one occasion, and, for a case that is known, what must come out.

use std::ops::Range;

use indexmap::IndexMap;
use serde::Serialize;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

use crate::engine::id::{ActionId, CauseId, CautionId, PersonId, SetupId};
use crate::engine::knowledge::{KnowledgeBase, Reading};
use crate::engine::observations::{Answer, Observations};
use crate::engine::quantity::{Measured, System, parse_reading, show};
use crate::knowledge::fields::{At, Fields, Notes, as_number, parse as parse_toml, type_name};
use crate::knowledge::problem::{Problem, ProblemCode, nearest};

/// What a case file says it is.
pub const SCHEMA: &str = "blockside.case/1";
/// The same without its version.
const SCHEMA_NAME: &str = "blockside.case/";

/// A case.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct CaseFile {
    /// What the case is about, in a few words.
    pub title: Option<String>,
    /// Where the case is from.
    pub from: Option<String>,
    /// What was told.
    pub observations: Observations,
    /// What must come out, for a case that is known.
    pub expect: Option<Expect>,
}

/// What must come out of a known case.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Expect {
    /// One of these must be the most confident cause; none where no cause may be reported.
    pub leads: Vec<CauseId>,
    /// These must be reported.
    pub among: Vec<CauseId>,
    /// None of these may be concluded.
    pub not: Vec<CauseId>,
    /// This must be the most confident root of the leading cause.
    pub root: Option<CauseId>,
    /// These must be raised.
    pub cautions: Vec<CautionId>,
    /// These must be due.
    pub actions: Vec<ActionId>,
}

/// Reads a case. Species may be given by any of their names.
///
/// # Errors
/// Every fault found, with its place: an unknown name with the nearest known one, a reading that cannot be, an answer
/// given twice, a file of another kind or of a newer version.
pub fn parse(base: &KnowledgeBase, name: &str, text: &str) -> Result<CaseFile, Vec<Problem>> {
    let mut notes = Notes::new(name);
    if text.trim().is_empty() {
        let help = Some(format!("a case begins with `schema = \"{SCHEMA}\"`"));
        notes.add(
            ProblemCode::WrongSchema,
            0..0,
            "the file is empty".to_owned(),
            "nothing here",
            help,
        );
        return Err(notes.problems);
    }
    let table = parse_toml(text, &mut notes);
    let mut case = CaseFile::default();
    if schema_fits(&table, &mut notes) {
        case = Reader {
            base,
            text,
            notes: &mut notes,
        }
        .case(&table);
    }
    if notes.problems.is_empty() {
        Ok(case)
    } else {
        Problem::sort(&mut notes.problems);
        Err(notes.problems)
    }
}

/// Whether the file is a case of this version. A file that could not be read as TOML is not judged by what it lacks.
fn schema_fits(table: &DeTable<'_>, notes: &mut Notes<'_>) -> bool {
    let broken = notes
        .problems
        .iter()
        .any(|problem| problem.code == ProblemCode::NotToml);
    let Some(value) = table.get("schema") else {
        if !broken {
            let help = Some(format!("begin the file with `schema = \"{SCHEMA}\"`"));
            let message = "the file does not say that it is a case".to_owned();
            notes.add(ProblemCode::WrongSchema, 0..0, message, "no `schema`", help);
        }
        return false;
    };
    let written = value.get_ref().as_str().unwrap_or_default();
    if written == SCHEMA {
        return true;
    }
    let newer = written
        .strip_prefix(SCHEMA_NAME)
        .and_then(|version| version.parse::<u32>().ok())
        .is_some_and(|v| v > 1);
    let (message, help) = if newer {
        (
            format!("`{written}` was written by a newer version of the program"),
            "use that version, or update this one",
        )
    } else {
        (
            format!("`{written}` is not a case of this program"),
            "a case has `schema = \"blockside.case/1\"`",
        )
    };
    notes.add(
        ProblemCode::WrongSchema,
        value.span(),
        message,
        "another schema",
        Some(help.to_owned()),
    );
    false
}

struct Reader<'b, 'n, 'f> {
    base: &'b KnowledgeBase,
    text: &'b str,
    notes: &'n mut Notes<'f>,
}

impl Reader<'_, '_, '_> {
    fn case(&mut self, table: &DeTable<'_>) -> CaseFile {
        let base = self.base;
        let mut fields = Fields::new(table, 0..0, "a case").any_order();
        let mut told = Observations::default();
        fields.value("schema", self.notes);
        let title = fields.text_opt("title", self.notes).map(|(text, _)| text);
        let from = fields.text_opt("from", self.notes).map(|(text, _)| text);
        if let Some(species) = fields.text_opt("species", self.notes) {
            told.species = base.species_named(&species.0).cloned();
            if told.species.is_none() {
                let names = base.species.iter().flat_map(|(id, one)| {
                    std::iter::once(id.as_str())
                        .chain([one.name.as_str()])
                        .chain(one.also.iter().map(String::as_str))
                });
                self.unknown(ProblemCode::UnknownSpecies, "species", &species, names);
            }
        }
        if let Some(stage) = fields.text_opt("stage", self.notes) {
            told.stage = base
                .stages
                .get_key_value(stage.0.as_str())
                .map(|(id, _)| id.clone());
            if told.stage.is_none() {
                self.unknown(
                    ProblemCode::UnknownStage,
                    "stage",
                    &stage,
                    base.stages.keys().map(|id| id.as_str()),
                );
            }
        }
        for item in fields.texts("setup", self.notes) {
            self.setup(&item, &mut told.setup);
        }
        if let Some((signs, _)) = fields.table_opt("signs", self.notes) {
            self.signs(signs, &mut told);
        }
        if let Some((readings, _)) = fields.table_opt("readings", self.notes) {
            self.readings(readings, &mut told);
        }
        if let Some((people, _)) = fields.table_opt("people", self.notes) {
            self.people(people, &mut told.people);
        }
        let expect = fields
            .table_opt("expect", self.notes)
            .map(|(table, span)| self.expect(table, span));
        fields.finish(self.notes);
        CaseFile {
            title,
            from,
            observations: told,
            expect,
        }
    }

    fn unknown<'n>(
        &mut self,
        code: ProblemCode,
        what: &str,
        word: &At<String>,
        known: impl Iterator<Item = &'n str>,
    ) {
        let help = nearest(&word.0, known).map(|near| format!("did you mean `{near}`?"));
        let message = format!("no {what} is called `{}`", word.0);
        self.notes
            .add(code, word.1.clone(), message, "not known", help);
    }

    /// `"id"`, or `"id = no"` for what does not hold.
    fn setup(&mut self, item: &At<String>, setup: &mut IndexMap<SetupId, bool>) {
        let (name, answer) = item
            .0
            .split_once('=')
            .map_or((item.0.as_str(), "yes"), |(name, answer)| {
                (name.trim(), answer.trim())
            });
        let Some((id, _)) = self.base.setup.get_key_value(name) else {
            let word = (name.to_owned(), item.1.clone());
            self.unknown(
                ProblemCode::UnknownSetup,
                "setup item",
                &word,
                self.base.setup.keys().map(|id| id.as_str()),
            );
            return;
        };
        let Some(holds) = yes_or_no(answer) else {
            self.no_answer(&(answer.to_owned(), item.1.clone()), "write yes or no");
            return;
        };
        if setup.insert(id.clone(), holds).is_some() {
            self.repeated(name, item.1.clone());
        }
    }

    fn repeated(&mut self, id: &str, span: Range<usize>) {
        let message = format!("`{id}` is answered twice");
        self.notes.add(
            ProblemCode::RepeatedEntry,
            span,
            message,
            "again",
            Some("keep one answer".to_owned()),
        );
    }

    fn no_answer(&mut self, word: &At<String>, help: &str) {
        let message = format!("`{}` is no answer", word.0);
        self.notes.add(
            ProblemCode::UnknownWord,
            word.1.clone(),
            message,
            "not an answer",
            Some(help.to_owned()),
        );
    }

    /// The text of a value, or a note that it is none.
    fn word(
        &mut self,
        key: &str,
        value: &Spanned<DeValue<'_>>,
        wanted: &str,
    ) -> Option<At<String>> {
        match value.get_ref() {
            DeValue::String(text) => Some((text.trim().to_owned(), value.span())),
            other => {
                let message = format!("`{key}` is {}", type_name(other));
                self.notes.add(
                    ProblemCode::WrongType,
                    value.span(),
                    message,
                    &format!("must be {wanted}"),
                    None,
                );
                None
            }
        }
    }

    fn signs(&mut self, table: &DeTable<'_>, told: &mut Observations) {
        let base = self.base;
        for (key, value) in table {
            let name = key.get_ref().as_ref();
            let Some((id, _)) = base.signs.get_key_value(name) else {
                let word = (name.to_owned(), key.span());
                self.unknown(
                    ProblemCode::UnknownSign,
                    "sign",
                    &word,
                    base.signs.keys().map(|id| id.as_str()),
                );
                continue;
            };
            let Some(word) = self.word(name, value, "\"yes\", \"no\", \"unsure\" or \"probably\"")
            else {
                continue;
            };
            match Answer::parse(&word.0) {
                Some(answer) => _ = told.signs.insert(id.clone(), answer),
                None => self.no_answer(&word, "write yes, no, unsure or probably"),
            }
        }
    }

    /// The place of a part of a value; the whole value where that is written with escapes, or the part is empty.
    fn part(&self, (value, at): &At<String>, part: Range<usize>) -> Range<usize> {
        let inside = self
            .text
            .get(at.clone())
            .and_then(|written| written.find(value.as_str()));
        match inside {
            Some(start) if !part.is_empty() => {
                let start = at.start + start;
                start + part.start..start + part.end
            }
            _ => at.clone(),
        }
    }

    fn readings(&mut self, table: &DeTable<'_>, told: &mut Observations) {
        let base = self.base;
        for (key, value) in table {
            let name = key.get_ref().as_ref();
            let Some((id, reading)) = base.readings.get_key_value(name) else {
                let word = (name.to_owned(), key.span());
                self.unknown(
                    ProblemCode::UnknownReading,
                    "reading",
                    &word,
                    base.readings.keys().map(|id| id.as_str()),
                );
                continue;
            };
            let written = match as_number(value.get_ref()) {
                Some(number) => (format!("{number}"), value.span()),
                None => match self.word(name, value, "a number with its unit, as in \"900 ppm\"") {
                    Some(word) => word,
                    None => continue,
                },
            };
            match read(&written.0, reading) {
                Ok(measured) => _ = told.readings.insert(id.clone(), measured),
                Err((message, help, part)) => {
                    let place = self.part(&written, part);
                    self.notes.add(
                        ProblemCode::BadReading,
                        place,
                        message,
                        "cannot be used",
                        Some(help),
                    );
                }
            }
        }
    }

    fn people(&mut self, table: &DeTable<'_>, people: &mut IndexMap<PersonId, bool>) {
        let base = self.base;
        for (key, value) in table {
            let name = key.get_ref().as_ref();
            let Some((id, _)) = base.people.get_key_value(name) else {
                let word = (name.to_owned(), key.span());
                let known = base.people.keys().map(|id| id.as_str());
                self.unknown(
                    ProblemCode::UnknownPerson,
                    "entry about people",
                    &word,
                    known,
                );
                continue;
            };
            let Some(word) = self.word(name, value, "\"yes\" or \"no\"") else {
                continue;
            };
            match yes_or_no(&word.0) {
                Some(holds) => _ = people.insert(id.clone(), holds),
                None => self.no_answer(&word, "write yes or no"),
            }
        }
    }

    fn expect(&mut self, table: &DeTable<'_>, span: Range<usize>) -> Expect {
        let base = self.base;
        let mut fields = Fields::new(table, span, "what is expected").any_order();
        let leads = fields.texts("leads", self.notes);
        let among = fields.texts("among", self.notes);
        let not = fields.texts("not", self.notes);
        let root = fields.text_opt("root", self.notes);
        let cautions = fields.texts("cautions", self.notes);
        let actions = fields.texts("actions", self.notes);
        fields.finish(self.notes);
        let mut causes = |words: Vec<At<String>>| {
            let mut found = Vec::new();
            for word in words {
                match base.causes.get_key_value(word.0.as_str()) {
                    Some((id, _)) => found.push(id.clone()),
                    None => self.unknown(
                        ProblemCode::UnknownCause,
                        "cause",
                        &word,
                        base.causes.keys().map(|id| id.as_str()),
                    ),
                }
            }
            found
        };
        let (leads, among, not) = (causes(leads), causes(among), causes(not));
        let root = causes(root.into_iter().collect()).pop();
        let mut expect = Expect {
            leads,
            among,
            not,
            root,
            cautions: Vec::new(),
            actions: Vec::new(),
        };
        for word in cautions {
            match base.cautions.get_key_value(word.0.as_str()) {
                Some((id, _)) => expect.cautions.push(id.clone()),
                None => self.unknown(
                    ProblemCode::UnknownCaution,
                    "caution",
                    &word,
                    base.cautions.keys().map(|id| id.as_str()),
                ),
            }
        }
        for word in actions {
            match base.actions.get_key_value(word.0.as_str()) {
                Some((id, _)) => expect.actions.push(id.clone()),
                None => self.unknown(
                    ProblemCode::UnknownAction,
                    "action",
                    &word,
                    base.actions.keys().map(|id| id.as_str()),
                ),
            }
        }
        expect
    }
}

fn yes_or_no(word: &str) -> Option<bool> {
    match word {
        "yes" => Some(true),
        "no" => Some(false),
        _ => None,
    }
}

/// Reads a reading as it was written, and refuses what cannot be.
///
/// # Errors
/// What is wrong with it and what to do about it, for a grower, and the part of the text at fault.
fn read(written: &str, reading: &Reading) -> Result<Measured, (String, String, Range<usize>)> {
    let measured = parse_reading(written, reading.unit).map_err(|error| {
        let text = error.to_string();
        let (message, help) = match text.split_once("; ") {
            Some((message, help)) => (message.to_owned(), help.to_owned()),
            None => {
                let help = format!("write it like `{}`", reading.unit.example());
                (text, help)
            }
        };
        (message, help, error.span())
    })?;
    let (low, high) = reading.believable;
    if (low..=high).contains(&measured.value) {
        return Ok(measured);
    }
    let shown = |value| show(value, reading.unit, System::Metric);
    let message = format!("{} cannot be {}", reading.name, shown(measured.value));
    let help = format!("it lies between {} and {}", shown(low), shown(high));
    Err((message, help, 0..written.len()))
}

/// A case as it is written.
#[derive(Serialize)]
struct Written {
    schema: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    title: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    from: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    species: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    stage: Option<String>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    setup: Vec<String>,
    #[serde(skip_serializing_if = "IndexMap::is_empty")]
    signs: IndexMap<String, &'static str>,
    #[serde(skip_serializing_if = "IndexMap::is_empty")]
    readings: IndexMap<String, String>,
    #[serde(skip_serializing_if = "IndexMap::is_empty")]
    people: IndexMap<String, &'static str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    expect: Option<WrittenExpect>,
}

#[derive(Serialize)]
struct WrittenExpect {
    leads: Vec<String>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    among: Vec<String>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    not: Vec<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    root: Option<String>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    cautions: Vec<String>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    actions: Vec<String>,
}

/// The case as a file; reading it gives the case back.
pub fn to_toml(base: &KnowledgeBase, case: &CaseFile) -> String {
    let told = &case.observations;
    let yes = |holds: bool| if holds { "yes" } else { "no" };
    let setup = |(id, holds): (&SetupId, &bool)| {
        if *holds {
            id.to_string()
        } else {
            format!("{id} = no")
        }
    };
    let reading = |(id, measured): (&crate::engine::id::ReadingId, &Measured)| {
        let unit = base
            .readings
            .get(id)
            .map_or("", |reading| reading.unit.symbol());
        let value = format!("{} {unit}", measured.value).trim().to_owned();
        let written = match measured.tolerance {
            // Read back, a tolerance is taken as the half width of a rectangle.
            Some(tolerance) => format!("{value} ± {}", tolerance * 3.0_f64.sqrt()),
            None => value,
        };
        (id.to_string(), written)
    };
    let texts = |ids: &[CauseId]| ids.iter().map(ToString::to_string).collect();
    let written = Written {
        schema: SCHEMA,
        title: case.title.clone(),
        from: case.from.clone(),
        species: told.species.as_ref().map(ToString::to_string),
        stage: told.stage.as_ref().map(ToString::to_string),
        setup: told.setup.iter().map(setup).collect(),
        signs: told
            .signs
            .iter()
            .map(|(id, answer)| (id.to_string(), answer.word()))
            .collect(),
        readings: told.readings.iter().map(reading).collect(),
        people: told
            .people
            .iter()
            .map(|(id, holds)| (id.to_string(), yes(*holds)))
            .collect(),
        expect: case.expect.as_ref().map(|expect| WrittenExpect {
            leads: texts(&expect.leads),
            among: texts(&expect.among),
            not: texts(&expect.not),
            root: expect.root.as_ref().map(ToString::to_string),
            cautions: expect.cautions.iter().map(ToString::to_string).collect(),
            actions: expect.actions.iter().map(ToString::to_string).collect(),
        }),
    };
    toml::to_string(&written).expect("tables of texts can always be written")
}
