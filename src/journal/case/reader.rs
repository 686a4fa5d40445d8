//! From the TOML of a case to the case, with every fault found on the way.

use std::borrow::{Borrow, Cow};
use std::hash::Hash;
use std::ops::Range;

use indexmap::IndexMap;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

use crate::engine::id::{PersonId, SetupId, SpeciesId, StageId};
use crate::engine::knowledge::{KnowledgeBase, Map, Reading};
use crate::engine::observations::{Answer, Observations};
use crate::engine::quantity::{Measured, System, Unit, parse_reading, show};
use crate::journal::case::{CaseFile, Expect};
use crate::knowledge::fields::{At, Fields, Notes, as_number, type_name};
use crate::knowledge::problem::{ProblemCode, nearest};

/// A sort of thing that a case names: its name in messages, its code, and the word under which the command lists it.
pub(super) struct Sort {
    pub(super) what: &'static str,
    pub(super) code: ProblemCode,
    pub(super) listed: Option<&'static str>,
}

const SPECIES: Sort = sort("species", ProblemCode::UnknownSpecies, "species");
const STAGE: Sort = Sort {
    what: "stage",
    code: ProblemCode::UnknownStage,
    listed: None,
};
const SETUP: Sort = sort("setup item", ProblemCode::UnknownSetup, "setup");
const SIGN: Sort = sort("sign", ProblemCode::UnknownSign, "signs");
const READING: Sort = sort("reading", ProblemCode::UnknownReading, "readings");
const PERSON: Sort = sort("entry about people", ProblemCode::UnknownPerson, "people");
const CAUSE: Sort = sort("cause", ProblemCode::UnknownCause, "causes");
const CAUTION: Sort = sort("caution", ProblemCode::UnknownCaution, "cautions");
const ACTION: Sort = sort("action", ProblemCode::UnknownAction, "actions");

const fn sort(what: &'static str, code: ProblemCode, listed: &'static str) -> Sort {
    Sort {
        what,
        code,
        listed: Some(listed),
    }
}

/// A key and its value.
type Entry<'a, 'i> = (&'a Spanned<Cow<'i, str>>, &'a Spanned<DeValue<'i>>);

/// Reads one case.
pub struct Reader<'b, 'n, 'f> {
    /// The knowledge whose names the case uses.
    pub base: &'b KnowledgeBase,
    /// The whole file, to find places inside its values.
    pub text: &'b str,
    /// Where faults go.
    pub notes: &'n mut Notes<'f>,
}

impl Reader<'_, '_, '_> {
    /// Reads the whole table of the file.
    pub fn case(&mut self, table: &DeTable<'_>) -> CaseFile {
        let mut fields = Fields::new(table, 0..0, "a case").any_order();
        let mut told = Observations::default();
        fields.value("schema", self.notes);
        // What the journal adds to a kept case is read there alone.
        fields.value("kept", self.notes);
        let title = fields.text_opt("title", self.notes).map(|(text, _)| text);
        let from = fields.text_opt("from", self.notes).map(|(text, _)| text);
        let words = fields.text_opt("told", self.notes).map(|(text, _)| text);
        if let Some(word) = fields.text_opt("species", self.notes) {
            told.species = self.species(&word);
        }
        if let Some(word) = fields.text_opt("stage", self.notes) {
            told.stage = self.stage(&word);
        }
        let profile = fields.text_opt("profile", self.notes);
        let profile = profile.map(|(path, _)| path);
        let log = fields.text_opt("log", self.notes).map(|(path, _)| path);
        for item in fields.texts("setup", self.notes) {
            self.setup(&item, &mut told.setup);
        }
        if let Some((signs, _)) = fields.table_opt("signs", self.notes) {
            self.signs(signs, &mut told);
            self.only_one(signs, &told);
        }
        if let Some((readings, _)) = fields.table_opt("readings", self.notes) {
            self.readings(readings, &mut told);
        }
        if let Some((people, _)) = fields.table_opt("people", self.notes) {
            self.people(people, &mut told.people);
        }
        for (table, span) in fields.tables("from-log", self.notes) {
            told.from_log.extend(self.said_by_log(table, span));
        }
        let expect = fields
            .table_opt("expect", self.notes)
            .map(|(table, span)| self.expect(table, span));
        fields.finish(self.notes);
        CaseFile {
            title,
            from,
            told: words,
            profile,
            log,
            observations: told,
            expect,
        }
    }

    /// The species of a name.
    pub fn species(&mut self, word: &At<String>) -> Option<SpeciesId> {
        let base = self.base;
        let found = base.species_named(&word.0).cloned();
        if found.is_none() {
            let names = base.species.iter().flat_map(|(id, one)| {
                let also = one.also.iter().map(String::as_str);
                [id.as_str(), one.name.as_str(), one.latin.as_str()]
                    .into_iter()
                    .chain(also)
            });
            self.unknown(&SPECIES, word, names);
        }
        found
    }

    /// The stage of a name.
    pub fn stage(&mut self, word: &At<String>) -> Option<StageId> {
        let base = self.base;
        let found = base.stage_named(&word.0).cloned();
        if found.is_none() {
            self.unknown(&STAGE, word, base.stages.keys().map(StageId::as_str));
        }
        found
    }

    /// The id a word stands for; a note where there is none.
    fn known<K, V>(&mut self, sort: &Sort, word: &At<String>, map: &Map<K, V>) -> Option<K>
    where
        K: Borrow<str> + Clone + Hash + Eq,
    {
        let found = map.get_key_value(word.0.as_str()).map(|(id, _)| id.clone());
        if found.is_none() {
            self.unknown(sort, word, map.keys().map(Borrow::borrow));
        }
        found
    }

    pub(super) fn unknown<'k>(
        &mut self,
        sort: &Sort,
        word: &At<String>,
        known: impl Iterator<Item = &'k str>,
    ) {
        let known: Vec<&str> = known.collect();
        let near = nearest(&word.0, known.iter().copied());
        let help = match (near, sort.listed) {
            (Some(near), _) => format!("did you mean `{near}`?"),
            (None, Some(listed)) => {
                format!("`blockside knowledge list {listed}` shows all of them")
            }
            (None, None) => format!("there are {}", known.join(", ")),
        };
        let message = format!("no {} is called `{}`", sort.what, word.0);
        self.notes.add(
            sort.code,
            word.1.clone(),
            message,
            "not in the knowledge",
            Some(help),
        );
    }

    /// `"id"`, or `"id = no"` for what does not hold.
    fn setup(&mut self, item: &At<String>, setup: &mut IndexMap<SetupId, bool>) {
        let (name, answer) = match item.0.split_once('=') {
            Some((name, answer)) => (name.trim_end(), Some(answer.trim_start())),
            None => (item.0.as_str(), None),
        };
        let name_at = match answer {
            Some(_) => self.inside(item, 0..name.len()),
            None => item.1.clone(),
        };
        let word = (name.to_owned(), name_at.clone());
        let base = self.base;
        let Some(id) = self.known(&SETUP, &word, &base.setup) else {
            return;
        };
        let whole = item.0.len();
        let holds = answer.map_or(Some(true), |answer| {
            let at = self.inside(item, whole - answer.len()..whole);
            self.yes_or_no(&(answer.to_owned(), at))
        });
        let Some(holds) = holds else { return };
        if setup.insert(id, holds).is_some() {
            self.notes.add(
                ProblemCode::RepeatedEntry,
                name_at,
                format!("`{name}` is answered twice"),
                "again",
                Some("keep one answer".to_owned()),
            );
        }
    }

    fn yes_or_no(&mut self, word: &At<String>) -> Option<bool> {
        let holds = match word.0.as_str() {
            "yes" => Some(true),
            "no" => Some(false),
            _ => None,
        };
        if holds.is_none() {
            self.no_answer(word, "write yes or no");
        }
        holds
    }

    fn no_answer(&mut self, word: &At<String>, help: &str) {
        self.notes.add(
            ProblemCode::UnknownWord,
            word.1.clone(),
            format!("`{}` is no answer", word.0),
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
        if let DeValue::String(text) = value.get_ref() {
            return Some((text.trim().to_owned(), value.span()));
        }
        self.notes.add(
            ProblemCode::WrongType,
            value.span(),
            format!("`{key}` is {}", type_name(value.get_ref())),
            &format!("must be {wanted}"),
            None,
        );
        None
    }

    fn signs(&mut self, table: &DeTable<'_>, told: &mut Observations) {
        let base = self.base;
        for (key, value) in in_order(table) {
            let Some(id) = self.known(&SIGN, &name(key), &base.signs) else {
                continue;
            };
            let wanted = "\"yes\", \"no\", \"unsure\" or \"probably\"";
            let Some(word) = self.word(id.as_str(), value, wanted) else {
                continue;
            };
            match Answer::parse(&word.0) {
                Some(answer) => _ = told.signs.insert(id, answer),
                None => self.no_answer(&word, "write yes, no, unsure or probably"),
            }
        }
    }

    /// Of the signs of some questions at most one can be there.
    fn only_one(&mut self, table: &DeTable<'_>, told: &Observations) {
        for question in self.base.questions.values().filter(|one| one.one_of) {
            let mut there = in_order(table)
                .into_iter()
                .map(|(key, _)| key)
                .filter(|key| {
                    let name = key.get_ref().as_ref();
                    told.signs.get(name) == Some(&Answer::Yes)
                        && question.signs.iter().any(|sign| sign.as_str() == name)
                });
            let Some(first) = there.next() else { continue };
            for key in there {
                self.notes.add(
                    ProblemCode::RepeatedEntry,
                    key.span(),
                    format!("only one answer to \"{}\" can be true", question.ask),
                    "one too many",
                    Some(format!(
                        "`{}` is there already; keep one of them",
                        first.get_ref()
                    )),
                );
            }
        }
    }

    fn readings(&mut self, table: &DeTable<'_>, told: &mut Observations) {
        let base = self.base;
        for (key, value) in in_order(table) {
            let Some(id) = self.known(&READING, &name(key), &base.readings) else {
                continue;
            };
            let Some(reading) = base.readings.get(&id) else {
                continue;
            };
            let written = match value.get_ref() {
                DeValue::Integer(_) | DeValue::Float(_) => self.plain_number(reading, value),
                _ => {
                    let example = reading.unit.example();
                    let wanted = format!("a number with its unit, as in \"{example}\"");
                    self.word(id.as_str(), value, &wanted)
                }
            };
            if let Some(measured) = written.and_then(|written| self.measured(reading, &written)) {
                told.readings.insert(id, measured);
            }
        }
    }

    /// A number without quotes as a grower would write it: `1_200` and `0x10` are the same to TOML.
    fn plain_number(
        &mut self,
        reading: &Reading,
        value: &Spanned<DeValue<'_>>,
    ) -> Option<At<String>> {
        let number = as_number(value.get_ref()).filter(|number| number.is_finite());
        if number.is_none() {
            let written = self.text.get(value.span()).unwrap_or("the value");
            let message = format!("`{written}` is not a number to count with");
            let help = format!("write for example `{}`", reading.unit.example());
            self.bad_reading(value.span(), message, help);
        }
        number.map(|number| (number.to_string(), value.span()))
    }

    /// A reading as written, in its unit and within what can be true.
    fn measured(&mut self, reading: &Reading, written: &At<String>) -> Option<Measured> {
        let measured = match parse_reading(&written.0, reading.unit) {
            Ok(measured) => measured,
            Err(error) => {
                // The sentence says first what is wrong, then what to write.
                let said = error.to_string();
                let (message, help) = said.rsplit_once("; ").map_or_else(
                    || {
                        (
                            said.as_str(),
                            format!("write for example `{}`", reading.unit.example()),
                        )
                    },
                    |(message, help)| (message, help.to_owned()),
                );
                let at = self.inside(written, error.span());
                self.bad_reading(at, message.to_owned(), help);
                return None;
            }
        };
        let (least, most) = reading.believable;
        if (least..=most).contains(&measured.value) {
            return Some(measured);
        }
        let shown = |value| show(value, reading.unit, System::Metric);
        let message = format!("{} cannot be {}", reading.name, shown(measured.value));
        let mut help = format!("it lies between {} and {}", shown(least), shown(most));
        if let Some(other) = other_scale(reading, &written.0) {
            help.push_str(&format!("; if it was read in °F, write `{other}`"));
        }
        let at = self.inside(written, 0..written.0.len());
        self.bad_reading(at, message, help);
        None
    }

    fn bad_reading(&mut self, at: Range<usize>, message: String, help: String) {
        self.notes.add(
            ProblemCode::BadReading,
            at,
            message,
            "cannot be used",
            Some(help),
        );
    }

    fn people(&mut self, table: &DeTable<'_>, people: &mut IndexMap<PersonId, bool>) {
        let base = self.base;
        for (key, value) in in_order(table) {
            let Some(id) = self.known(&PERSON, &name(key), &base.people) else {
                continue;
            };
            let word = self.word(id.as_str(), value, "\"yes\" or \"no\"");
            if let Some(holds) = word.and_then(|word| self.yes_or_no(&word)) {
                people.insert(id, holds);
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
        let missed = fields.text_opt("missed", self.notes);
        fields.finish(self.notes);
        Expect {
            leads: self.all(&CAUSE, &leads, &base.causes),
            among: self.all(&CAUSE, &among, &base.causes),
            not: self.all(&CAUSE, &not, &base.causes),
            root: root.and_then(|word| self.known(&CAUSE, &word, &base.causes)),
            cautions: self.all(&CAUTION, &cautions, &base.cautions),
            actions: self.all(&ACTION, &actions, &base.actions),
            missed: missed.map(|(reason, _)| reason),
        }
    }

    fn all<K, V>(&mut self, sort: &Sort, words: &[At<String>], map: &Map<K, V>) -> Vec<K>
    where
        K: Borrow<str> + Clone + Hash + Eq,
    {
        words
            .iter()
            .filter_map(|word| self.known(sort, word, map))
            .collect()
    }

    /// The place of a part of a text value, where the file has it letter by letter; otherwise the whole value.
    pub fn inside(&self, value: &At<String>, part: Range<usize>) -> Range<usize> {
        let (text, span) = value;
        let between_quotes = self
            .text
            .get(span.clone())
            .and_then(|raw| raw.get(1..raw.len().checked_sub(1)?));
        match between_quotes {
            Some(inner) if inner.trim() == text && !part.is_empty() => {
                let start = span.start + 1 + inner.len() - inner.trim_start().len();
                start + part.start..start + part.end
            }
            _ => span.clone(),
        }
    }
}

/// The entries of a table in the order of the file: what a grower wrote stays in that order when written again.
fn in_order<'a, 'i>(table: &'a DeTable<'i>) -> Vec<Entry<'a, 'i>> {
    let mut entries: Vec<Entry<'_, '_>> = table.iter().collect();
    entries.sort_by_key(|(key, _)| key.span().start);
    entries
}

/// A key as a word with its place.
fn name(key: &Spanned<Cow<'_, str>>) -> At<String> {
    (key.get_ref().to_string(), key.span())
}

/// The same number in degrees Fahrenheit, where a temperature was written without a scale and could be true in that.
fn other_scale(reading: &Reading, written: &str) -> Option<String> {
    let bare = !written.contains(|letter: char| letter.is_alphabetic() || letter == '°');
    if reading.unit != Unit::Celsius || !bare {
        return None;
    }
    let other = format!("{written} °F");
    let (least, most) = reading.believable;
    let measured = parse_reading(&other, reading.unit).ok()?;
    (least..=most).contains(&measured.value).then_some(other)
}
