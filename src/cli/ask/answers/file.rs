//! The answers as a small TOML file.

use toml::{Table, Value};

use crate::cli::ask::answers::{Answers, Taken, Told, Which};
use crate::cli::given::{measured, not_known, species, stage};
use crate::cli::growth::Size;
use crate::engine::id::{PersonId, QuestionId, ReadingId, SetupId, SignId};
use crate::engine::knowledge::{Complaint, KnowledgeBase};
use crate::engine::observations::Answer;

/// The version of answers files.
pub const SCHEMA: &str = "blockside.answers/1";

/// Stands for a species or stage that is not known.
const NOT_KNOWN: &str = "not-known";
/// Stands for rather not saying who goes in.
const NOT_SAID: &str = "not-said";
/// Stands for a check that cannot be made now.
const CANNOT: &str = "cannot";
/// Stands for none of the signs of a question.
const NONE: &str = "none";
/// Names a question among the complaints.
const QUESTION: &str = "question";
/// Names a reading among the complaints.
const READING: &str = "reading";
/// Stands for not being able to tell.
const UNSURE: &str = "unsure";

/// Reads an answers file.
///
/// # Errors
/// Every fault found, as a sentence with its key.
pub fn parse(base: &KnowledgeBase, text: &str) -> Result<Answers, Vec<String>> {
    let table: Table = match text.parse() {
        Ok(table) => table,
        Err(error) => {
            let error: toml::de::Error = error;
            let before = error.span().and_then(|span| text.get(..span.start));
            let line = before.map_or(1, |before| before.matches('\n').count() + 1);
            return Err(vec![format!("line {line}: {}", error.message())]);
        }
    };
    let mut reader = Reader {
        base,
        answers: Answers::default(),
        faults: Vec::new(),
    };
    if table.get("schema").and_then(Value::as_str) != Some(SCHEMA) {
        reader.faults.push(format!(
            "schema: a file of answers begins with `schema = \"{SCHEMA}\"`; another one may need another version of \
             the program"
        ));
    }
    for (key, value) in &table {
        reader.entry(key, value);
    }
    if reader.faults.is_empty() {
        Ok(reader.answers)
    } else {
        Err(reader.faults)
    }
}

struct Reader<'k> {
    base: &'k KnowledgeBase,
    answers: Answers,
    faults: Vec<String>,
}

impl Reader<'_> {
    fn entry(&mut self, key: &str, value: &Value) {
        match key {
            "schema" => {}
            "spot" => match value.as_bool() {
                Some(spot) => self.answers.spot = spot,
                None => self.faults.push(format!("{key}: write true or false")),
            },
            "sizes" => {
                for word in self.words(key, value) {
                    match Size::parse(word) {
                        Ok(size) => self.answers.sizes.push(size),
                        Err(fault) => self.faults.push(format!("{key}: {fault}")),
                    }
                }
            }
            "species" => {
                let base = self.base;
                self.answers.species = self.named(key, value, |word| species(base, word));
            }
            "stage" => {
                let base = self.base;
                self.answers.stage = self.named(key, value, |word| stage(base, word));
            }
            "setup" => {
                let marked = self.words(key, value).into_iter().filter_map(|word| {
                    let found = self.base.setup.get_key_value(word);
                    if found.is_none() {
                        let known = self.base.setup.keys().map(SetupId::as_str);
                        self.faults
                            .push(not_known("setup item", "setup", word, known));
                    }
                    found.map(|(id, _)| id.clone())
                });
                self.answers.setup = Some(marked.collect());
            }
            "complaints" => {
                self.answers.complaints = Some(self.complaints(value));
            }
            "people" => {
                self.answers.people = Some(if value.as_str() == Some(NOT_SAID) {
                    None
                } else {
                    let words = self.words(key, value);
                    Some(self.people(&words))
                });
            }
            "signs" | "questions" | "readings" => {
                let Some(table) = value.as_table() else {
                    self.faults
                        .push(format!("{key}: a table with one answer a line is wanted here"));
                    return;
                };
                for (id, value) in table {
                    match key {
                        "signs" => self.sign(id, value),
                        "questions" => self.question(id, value),
                        _ => self.reading(id, value),
                    }
                }
            }
            other => self.faults.push(format!(
                "{other}: there is no such key; the keys are schema, spot, sizes, species, stage, setup, complaints, \
                 people, signs, questions and readings"
            )),
        }
    }

    fn named<T>(
        &mut self,
        key: &str,
        value: &Value,
        find: impl Fn(&str) -> Result<T, String>,
    ) -> Option<Option<T>> {
        let Some(word) = value.as_str() else {
            self.faults.push(format!("{key}: a text is wanted here"));
            return None;
        };
        if word == NOT_KNOWN {
            return Some(None);
        }
        match find(word) {
            Ok(id) => Some(Some(id)),
            Err(fault) => {
                self.faults.push(format!("{key}: {fault}"));
                None
            }
        }
    }

    fn words<'v>(&mut self, key: &str, value: &'v Value) -> Vec<&'v str> {
        let words: Option<Vec<&str>> = value
            .as_array()
            .and_then(|list| list.iter().map(Value::as_str).collect());
        words.unwrap_or_else(|| {
            self.faults
                .push(format!("{key}: a list of names is wanted here"));
            Vec::new()
        })
    }

    fn signs(&mut self, words: &[&str]) -> Vec<SignId> {
        let base = self.base;
        let mut signs = Vec::new();
        for word in words {
            match base.signs.get_key_value(*word) {
                Some((id, _)) => signs.push(id.clone()),
                None => {
                    let known = base.signs.keys().map(SignId::as_str);
                    self.faults.push(not_known("sign", "signs", word, known));
                }
            }
        }
        signs
    }

    /// A sign by its name alone, as it was always written, or a table that says what it is.
    fn complaints(&mut self, value: &Value) -> Vec<Complaint> {
        let Some(entries) = value.as_array() else {
            self.faults
                .push("complaints: a list of names is wanted here".to_owned());
            return Vec::new();
        };
        let mut complaints = Vec::new();
        for entry in entries {
            let base = self.base;
            let one = |key: &str| match entry.as_table() {
                Some(table) if table.len() == 1 => table.get(key)?.as_str(),
                _ => None,
            };
            if let Some(word) = entry.as_str() {
                complaints.extend(self.signs(&[word]).into_iter().map(Complaint::Sign));
            } else if let Some(word) = one(QUESTION) {
                match base.questions.get_key_value(word) {
                    Some((id, _)) => complaints.push(Complaint::Question(id.clone())),
                    None => {
                        let known = base.questions.keys().map(QuestionId::as_str);
                        self.faults
                            .push(not_known("question", "questions", word, known));
                    }
                }
            } else if let Some(word) = one(READING) {
                match base.readings.get_key_value(word) {
                    Some((id, _)) => complaints.push(Complaint::Reading(id.clone())),
                    None => {
                        let known = base.readings.keys().map(ReadingId::as_str);
                        self.faults
                            .push(not_known("reading", "readings", word, known));
                    }
                }
            } else {
                self.faults.push(format!(
                    "complaints: write each as the name of a sign, or as {{ {QUESTION} = \"...\" }} or {{ {READING} = \
                     \"...\" }}"
                ));
            }
        }
        complaints
    }

    fn people(&mut self, words: &[&str]) -> Vec<PersonId> {
        let base = self.base;
        let mut people = Vec::new();
        for word in words {
            match base.special_risks().find(|id| id.as_str() == *word) {
                Some(id) => people.push(id.clone()),
                None => {
                    let known = base.special_risks().map(PersonId::as_str);
                    self.faults
                        .push(not_known("special risk", "people", word, known));
                }
            }
        }
        people
    }

    fn sign(&mut self, id: &str, value: &Value) {
        let found = self.signs(&[id]);
        let word = value.as_str().unwrap_or_default();
        let answer = match (word, Answer::parse(word)) {
            (CANNOT, _) => Some(Told::CannotNow),
            (_, Some(answer)) => Some(Told::Answer(answer)),
            _ => {
                self.faults.push(format!(
                    "signs.{id}: write \"yes\", \"no\", \"unsure\", \"probably\" or \"{CANNOT}\""
                ));
                None
            }
        };
        if let (Some(id), Some(answer)) = (found.into_iter().next(), answer) {
            self.answers.signs.insert(id, answer);
        }
    }

    fn question(&mut self, id: &str, value: &Value) {
        let base = self.base;
        let Some((id, question)) = base.questions.get_key_value(id) else {
            let known = base.questions.keys().map(QuestionId::as_str);
            self.faults
                .push(not_known("question", "questions", id, known));
            return;
        };
        let answer = match value {
            Value::String(word) if word == CANNOT => Told::CannotNow,
            Value::String(word) if word == NONE => Told::Answer(Which::None),
            Value::String(word) if word == UNSURE => Told::Answer(Which::Unsure),
            Value::Array(_) => {
                let words = self.words(&format!("questions.{id}"), value);
                let signs = self.signs(&words);
                if let Some(stray) = signs.iter().find(|sign| !question.signs.contains(sign)) {
                    self.faults
                        .push(format!("questions.{id}: `{stray}` is none of its answers"));
                }
                if question.one_of && signs.len() > 1 {
                    self.faults.push(format!(
                        "questions.{id}: only one of its answers can be true"
                    ));
                }
                Told::Answer(Which::These(signs))
            }
            _ => {
                self.faults.push(format!(
                    "questions.{id}: write a list of signs, \"{NONE}\", \"{UNSURE}\" or \"{CANNOT}\""
                ));
                return;
            }
        };
        self.answers.questions.insert(id.clone(), answer);
    }

    fn reading(&mut self, id: &str, value: &Value) {
        let base = self.base;
        let Some((id, reading)) = base.readings.get_key_value(id) else {
            let known = base.readings.keys().map(ReadingId::as_str);
            self.faults
                .push(not_known("reading", "readings", id, known));
            return;
        };
        let Some(typed) = value.as_str() else {
            self.faults.push(format!(
                "readings.{id}: write the reading as a text, such as \"20 {}\", or \"{CANNOT}\"",
                reading.unit.symbol()
            ));
            return;
        };
        let answer = if typed == CANNOT {
            Told::CannotNow
        } else {
            match measured(reading, typed) {
                Ok(measured) => Told::Answer(Taken {
                    typed: typed.to_owned(),
                    measured,
                }),
                Err(fault) => {
                    self.faults.push(format!("readings.{id}: {fault}"));
                    return;
                }
            }
        };
        self.answers.readings.insert(id.clone(), answer);
    }
}

/// The answers as a file that [`parse`] reads back as they are.
pub fn to_toml(answers: &Answers) -> String {
    let text = |word: &str| Value::String(word.to_owned());
    let list = |ids: Vec<String>| Value::Array(ids.into_iter().map(Value::String).collect());
    let mut table = Table::new();
    if answers.spot {
        table.insert("spot".to_owned(), Value::Boolean(true));
    }
    if !answers.sizes.is_empty() {
        let sizes = answers.sizes.iter().map(ToString::to_string).collect();
        table.insert("sizes".to_owned(), list(sizes));
    }
    if let Some(species) = &answers.species {
        let word = species.as_ref().map_or(NOT_KNOWN, |id| id.as_str());
        table.insert("species".to_owned(), text(word));
    }
    if let Some(stage) = &answers.stage {
        let word = stage.as_ref().map_or(NOT_KNOWN, |id| id.as_str());
        table.insert("stage".to_owned(), text(word));
    }
    if let Some(setup) = &answers.setup {
        let ids = setup.iter().map(ToString::to_string).collect();
        table.insert("setup".to_owned(), list(ids));
    }
    if let Some(complaints) = &answers.complaints {
        let one = |key: &str, id: String| {
            Value::Table(Table::from_iter([(key.to_owned(), Value::String(id))]))
        };
        let written = complaints.iter().map(|complaint| match complaint {
            Complaint::Sign(id) => Value::String(id.to_string()),
            Complaint::Question(id) => one(QUESTION, id.to_string()),
            Complaint::Reading(id) => one(READING, id.to_string()),
        });
        table.insert("complaints".to_owned(), Value::Array(written.collect()));
    }
    if let Some(people) = &answers.people {
        let value = match people {
            Some(ids) => list(ids.iter().map(ToString::to_string).collect()),
            None => text(NOT_SAID),
        };
        table.insert("people".to_owned(), value);
    }
    let signs: Table = answers
        .signs
        .iter()
        .map(|(id, answer)| {
            let word = match answer {
                Told::Answer(answer) => answer.word(),
                Told::CannotNow => CANNOT,
            };
            (id.to_string(), text(word))
        })
        .collect();
    let questions: Table = answers
        .questions
        .iter()
        .map(|(id, answer)| {
            let value = match answer {
                Told::Answer(Which::These(signs)) => {
                    list(signs.iter().map(ToString::to_string).collect())
                }
                Told::Answer(Which::None) => text(NONE),
                Told::Answer(Which::Unsure) => text(UNSURE),
                Told::CannotNow => text(CANNOT),
            };
            (id.to_string(), value)
        })
        .collect();
    let readings: Table = answers
        .readings
        .iter()
        .map(|(id, answer)| {
            let word = match answer {
                Told::Answer(taken) => &taken.typed,
                Told::CannotNow => CANNOT,
            };
            (id.to_string(), text(word))
        })
        .collect();
    for (key, part) in [
        ("signs", signs),
        ("questions", questions),
        ("readings", readings),
    ] {
        if !part.is_empty() {
            table.insert(key.to_owned(), Value::Table(part));
        }
    }
    format!("schema = \"{SCHEMA}\"\n{table}")
}
