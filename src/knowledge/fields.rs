//! Reads a TOML table key by key, noting every fault instead of stopping at the first.
//!
//! Deriving the shapes would stop at the first fault of a file; an author wants to see all of them. The keys are taken
//! in the order in which the shape shows them, which is also how their order in the file is checked.

use std::borrow::Cow;
use std::ops::Range;

use toml::Spanned;
use toml::de::{DeString, DeTable, DeValue};

use crate::knowledge::problem::{Problem, ProblemCode, nearest};

/// Where problems of one file are collected.
#[derive(Debug)]
pub struct Notes<'f> {
    /// The file's name.
    pub file: &'f str,
    /// What was found so far.
    pub problems: Vec<Problem>,
}

impl<'f> Notes<'f> {
    /// An empty list for a file.
    pub fn new(file: &'f str) -> Self {
        Self {
            file,
            problems: Vec::new(),
        }
    }

    /// Notes a fault at a place.
    pub fn add(
        &mut self,
        code: ProblemCode,
        span: Range<usize>,
        message: String,
        label: &str,
        help: Option<String>,
    ) {
        self.problems.push(Problem {
            code,
            file: self.file.to_owned(),
            span: Some(span),
            message,
            label: label.to_owned(),
            help,
            other: None,
        });
    }
}

/// How deep tables and lists may lie within each other.
///
/// judgement: the deepest entry that means something has about a dozen levels; everything that walks a condition does
/// so by recursion, which this keeps far from the end of the stack.
const MOST_DEPTH: usize = 32;

/// Parses a file. Faults of the TOML itself are noted; what could be read is returned.
pub fn parse<'t>(text: &'t str, notes: &mut Notes<'_>) -> DeTable<'t> {
    let (table, errors) = DeTable::parse_recoverable(text);
    let table = table.into_inner();
    if let Some(span) = too_deep(&table) {
        dismantle(table);
        note_too_deep(span, notes);
        return DeTable::new();
    }
    // The parser has a limit of its own, and stumbles over what follows once it is reached.
    if let Some(error) = errors
        .iter()
        .find(|error| error.message().contains("recurs"))
    {
        note_too_deep(error.span().unwrap_or(0..0), notes);
        return table;
    }
    for error in errors {
        let span = error.span().unwrap_or(0..0);
        let message = error.message().trim().trim_end_matches('.');
        if message.contains("duplicate key") {
            let key = text.get(span.clone()).unwrap_or("a key");
            let message = format!("`{key}` stands twice");
            let help = Some("keep one of the two".to_owned());
            notes.add(ProblemCode::RepeatedEntry, span, message, "again", help);
        } else {
            // What the parser expected helps only where it is something to type.
            let message = match message.split_once(", expected ") {
                Some((fault, expected)) if !expected.contains('`') => fault,
                _ => message,
            };
            let help = "write `key = value`: a text in straight double quotes, a list in `[..]`, a table in `{..}`";
            notes.add(
                ProblemCode::NotToml,
                span,
                message.to_owned(),
                "here",
                Some(help.to_owned()),
            );
        }
    }
    table
}

fn note_too_deep(span: Range<usize>, notes: &mut Notes<'_>) {
    notes.add(
        ProblemCode::TooDeep,
        span,
        format!("tables or lists lie more than {MOST_DEPTH} deep within each other"),
        "too deep",
        Some("say it in several entries, or derive a fact for a part of it".to_owned()),
    );
}

/// The first place that lies too deep, found without recursion.
fn too_deep(table: &DeTable<'_>) -> Option<Range<usize>> {
    let mut waiting: Vec<(&Spanned<DeValue<'_>>, usize)> =
        table.values().map(|value| (value, 1)).collect();
    let mut first: Option<Range<usize>> = None;
    while let Some((value, depth)) = waiting.pop() {
        if depth > MOST_DEPTH {
            let span = value.span();
            if first.as_ref().is_none_or(|first| span.start < first.start) {
                first = Some(span);
            }
            continue;
        }
        match value.get_ref() {
            DeValue::Table(inner) => waiting.extend(inner.values().map(|one| (one, depth + 1))),
            DeValue::Array(items) => waiting.extend(items.iter().map(|one| (one, depth + 1))),
            _ => {}
        }
    }
    first
}

/// Takes a table apart without recursion: dropping it whole would recurse as deep as it is.
fn dismantle(table: DeTable<'_>) {
    let mut waiting: Vec<DeValue<'_>> = table
        .into_iter()
        .map(|(_, value)| value.into_inner())
        .collect();
    while let Some(value) = waiting.pop() {
        match value {
            DeValue::Table(inner) => {
                waiting.extend(inner.into_iter().map(|(_, one)| one.into_inner()));
            }
            DeValue::Array(items) => waiting.extend(items.into_iter().map(Spanned::into_inner)),
            _ => {}
        }
    }
}

/// Keys of a table in which each is looked at.
const FEW_KEYS: usize = 16;

/// One table being read.
pub struct Fields<'a, 'i> {
    table: &'a DeTable<'i>,
    span: Range<usize>,
    /// What the table is, for messages: "cause".
    what: Cow<'static, str>,
    /// The id of the entry it is, where it is one: "stale-air".
    id: Option<&'a str>,
    known: Vec<&'static str>,
    /// Where the last key taken stands, and its name; keys must come in the order taken.
    last: Option<(usize, &'static str)>,
    check_order: bool,
}

/// A value with its place.
pub type At<T> = (T, Range<usize>);

impl<'a, 'i> Fields<'a, 'i> {
    /// Starts reading a table.
    pub fn new(
        table: &'a DeTable<'i>,
        span: Range<usize>,
        what: impl Into<Cow<'static, str>>,
    ) -> Self {
        Self {
            table,
            span,
            what: what.into(),
            id: None,
            known: Vec::with_capacity(table.len()),
            last: None,
            check_order: true,
        }
    }

    /// Does not mind the order of keys: for files that growers write.
    pub fn any_order(mut self) -> Self {
        self.check_order = false;
        self
    }

    /// Takes the id of an entry and calls the table by it from here on.
    pub fn head(&mut self, kind: &'static str, notes: &mut Notes<'_>) -> Option<At<String>> {
        let id = self.text("id", notes)?;
        let text = self.table.get("id").map(Spanned::get_ref);
        self.what = kind.into();
        self.id = text.and_then(DeValue::as_str).map(str::trim);
        Some(id)
    }

    /// What the table is, for messages.
    pub fn what(&self) -> String {
        match self.id {
            Some(id) => format!("{} `{id}`", self.what),
            None => self.what.to_string(),
        }
    }

    /// The place of the table.
    pub fn span(&self) -> Range<usize> {
        self.span.clone()
    }

    /// A key with its value. In a table of a few keys, as most are, looking at each is quicker than a hash.
    fn find(&self, key: &str) -> Option<(&'a Spanned<DeString<'i>>, &'a Spanned<DeValue<'i>>)> {
        if self.table.len() > FEW_KEYS {
            return self.table.get_key_value(key);
        }
        self.table
            .iter()
            .find(|(name, _)| name.get_ref().as_ref() == key)
    }

    /// Takes the value of a key, whatever it is.
    pub fn value(
        &mut self,
        key: &'static str,
        notes: &mut Notes<'_>,
    ) -> Option<&'a Spanned<DeValue<'i>>> {
        self.known.push(key);
        let (name, value) = self.find(key)?;
        let place = name.span().start;
        match self.last {
            Some((before, earlier)) if self.check_order && place < before => notes.add(
                ProblemCode::OutOfOrder,
                name.span(),
                format!("`{key}` stands before `{earlier}`"),
                "out of order",
                Some(format!(
                    "move `{key}` behind `{earlier}`: every entry of a kind keeps one order of keys"
                )),
            ),
            _ => self.last = Some((place, key)),
        }
        Some(value)
    }

    /// Notes that a key is needed.
    pub fn missing(&self, key: &str, notes: &mut Notes<'_>) {
        notes.add(
            ProblemCode::MissingKey,
            self.span(),
            format!("{} has no `{key}`", self.what()),
            "missing here",
            Some(format!("add `{key}`")),
        );
    }

    fn wrong(&self, key: &str, value: &Spanned<DeValue<'_>>, wanted: &str, notes: &mut Notes<'_>) {
        notes.add(
            ProblemCode::WrongType,
            value.span(),
            format!("`{key}` is {}", type_name(value.get_ref())),
            &format!("must be {wanted}"),
            None,
        );
    }

    /// A text that may be left out. An empty text counts as a fault.
    pub fn text_opt(&mut self, key: &'static str, notes: &mut Notes<'_>) -> Option<At<String>> {
        let value = self.value(key, notes)?;
        match value.get_ref() {
            DeValue::String(text) if !text.trim().is_empty() => {
                Some((text.trim().to_owned(), value.span()))
            }
            DeValue::String(_) => {
                self.wrong(key, value, "a text that says something", notes);
                None
            }
            _ => {
                self.wrong(key, value, "a text", notes);
                None
            }
        }
    }

    /// A text that must be there.
    pub fn text(&mut self, key: &'static str, notes: &mut Notes<'_>) -> Option<At<String>> {
        if self.find(key).is_none() {
            self.known.push(key);
            self.missing(key, notes);
            return None;
        }
        self.text_opt(key, notes)
    }

    /// A truth value; false where left out.
    pub fn flag(&mut self, key: &'static str, notes: &mut Notes<'_>) -> bool {
        let Some(value) = self.value(key, notes) else {
            return false;
        };
        value.get_ref().as_bool().unwrap_or_else(|| {
            self.wrong(key, value, "true or false", notes);
            false
        })
    }

    /// A finite number that may be left out.
    pub fn number_opt(&mut self, key: &'static str, notes: &mut Notes<'_>) -> Option<At<f64>> {
        let value = self.value(key, notes)?;
        let number = finite(key, value, notes);
        if number.is_none() && as_number(value.get_ref()).is_none() {
            self.wrong(key, value, "a number", notes);
        }
        number.map(|number| (number, value.span()))
    }

    /// A list of texts; empty where left out.
    pub fn texts(&mut self, key: &'static str, notes: &mut Notes<'_>) -> Vec<At<String>> {
        let mut texts = Vec::new();
        for item in self.items(key, notes) {
            match item.get_ref() {
                DeValue::String(text) if !text.trim().is_empty() => {
                    texts.push((text.trim().to_owned(), item.span()))
                }
                _ => self.wrong(key, item, "a list of texts", notes),
            }
        }
        texts
    }

    /// The items of a list; none where left out.
    pub fn items(
        &mut self,
        key: &'static str,
        notes: &mut Notes<'_>,
    ) -> &'a [Spanned<DeValue<'i>>] {
        let Some(value) = self.value(key, notes) else {
            return &[];
        };
        match value.get_ref() {
            DeValue::Array(items) => items,
            _ => {
                self.wrong(key, value, "a list", notes);
                &[]
            }
        }
    }

    /// The tables of a list of tables; none where left out.
    pub fn tables(&mut self, key: &'static str, notes: &mut Notes<'_>) -> Vec<At<&'a DeTable<'i>>> {
        let mut tables = Vec::new();
        for item in self.items(key, notes) {
            match item.get_ref() {
                DeValue::Table(table) => tables.push((table, item.span())),
                _ => self.wrong(key, item, "a list of tables", notes),
            }
        }
        tables
    }

    /// A table that may be left out.
    pub fn table_opt(
        &mut self,
        key: &'static str,
        notes: &mut Notes<'_>,
    ) -> Option<At<&'a DeTable<'i>>> {
        let value = self.value(key, notes)?;
        match value.get_ref() {
            DeValue::Table(table) => Some((table, value.span())),
            _ => {
                self.wrong(key, value, "a table", notes);
                None
            }
        }
    }

    /// Notes every key that was not asked for.
    pub fn finish(self, notes: &mut Notes<'_>) {
        for name in self.table.keys() {
            let key = name.get_ref().as_ref();
            if self.known.contains(&key) {
                continue;
            }
            let help = nearest(key, self.known.iter().copied())
                .map(|near| format!("did you mean `{near}`?"));
            let help = help.unwrap_or_else(|| {
                let keys: Vec<String> = self.known.iter().map(|key| format!("`{key}`")).collect();
                format!("it may have {}", keys.join(", "))
            });
            notes.add(
                ProblemCode::UnknownKey,
                name.span(),
                format!("{} has no key `{key}`", self.what()),
                "not a key of it",
                Some(help),
            );
        }
    }
}

/// A finite number, or a note why it is none; `None` without a note where it is no number at all.
pub fn finite(key: &str, value: &Spanned<DeValue<'_>>, notes: &mut Notes<'_>) -> Option<f64> {
    let number = as_number(value.get_ref())?;
    if number.is_finite() {
        return Some(number);
    }
    notes.add(
        ProblemCode::OutOfRange,
        value.span(),
        format!("`{key}` is not a finite number"),
        "not finite",
        Some("write an ordinary number".to_owned()),
    );
    None
}

/// The number a value is, if it is one.
pub fn as_number(value: &DeValue<'_>) -> Option<f64> {
    match value {
        DeValue::Integer(integer) => {
            i64::from_str_radix(&integer.as_str().replace('_', ""), integer.radix())
                .ok()
                .map(|whole| whole as f64)
        }
        DeValue::Float(float) => float.as_str().replace('_', "").parse().ok(),
        _ => None,
    }
}

/// What a value is, for messages.
pub fn type_name(value: &DeValue<'_>) -> &'static str {
    match value {
        DeValue::String(text) if text.trim().is_empty() => "an empty text",
        DeValue::String(_) => "a text",
        DeValue::Integer(_) | DeValue::Float(_) => "a number",
        DeValue::Boolean(_) => "true or false",
        DeValue::Datetime(_) => "a date",
        DeValue::Array(_) => "a list",
        DeValue::Table(_) => "a table",
    }
}
