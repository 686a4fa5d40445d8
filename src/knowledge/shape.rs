//! The pieces that entries of every kind are made of: ids, grounds, words of the scale, conditions, comparisons.

use std::ops::Range;

use smol_str::SmolStr;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

use crate::engine::condition::{Comparison, Condition, Finding, Limit, Literal, Proposition, Side};
use crate::engine::id::{
    CauseId, FactId, IdError, PersonId, ReadingId, SetupId, SignId, SourceId, SpeciesId, StageId,
    TraitId,
};
use crate::engine::knowledge::{Cite, Grounds, Level, Map, Scale};
use crate::knowledge::fields::{At, Fields, Notes, as_number, finite, type_name};
use crate::knowledge::problem::{ProblemCode, nearest};

/// What a share or base rate can be.
///
/// judgement: nothing about a living crop is certain. A chance of 0 or 1 could never be outweighed by any sign, and
/// would leave the sums of the network nothing to divide by.
pub const CHANCE: std::ops::RangeInclusive<f64> = 0.0001..=0.9999;

/// The kinds of entry that other entries refer to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Kind {
    /// A sign.
    Sign,
    /// A reading.
    Reading,
    /// A setup item.
    Setup,
    /// Something about people.
    Person,
    /// A derived fact.
    Fact,
    /// A species.
    Species,
    /// A stage.
    Stage,
    /// A trait; there is one where a species bears it.
    Trait,
    /// A cause.
    Cause,
    /// An action.
    Action,
    /// A caution.
    Caution,
    /// A source.
    Source,
    /// A question for several signs.
    Question,
    /// A derive rule.
    Rule,
    /// What a crop gives off.
    Output,
    /// Something done in rounds.
    Round,
    /// A card for the chamber door.
    Card,
    /// A topic to practise.
    Topic,
}

impl Kind {
    /// What an entry of the kind is called, and the code for an id that is none.
    pub fn unknown(self) -> (&'static str, ProblemCode) {
        match self {
            Self::Sign => ("sign", ProblemCode::UnknownSign),
            Self::Reading => ("reading", ProblemCode::UnknownReading),
            Self::Setup => ("setup item", ProblemCode::UnknownSetup),
            Self::Person => ("entry about people", ProblemCode::UnknownPerson),
            Self::Fact => ("derived fact", ProblemCode::UnknownFact),
            Self::Species => ("species", ProblemCode::UnknownSpecies),
            Self::Stage => ("stage", ProblemCode::UnknownStage),
            Self::Trait => ("species with the trait", ProblemCode::UnknownTrait),
            Self::Cause => ("cause", ProblemCode::UnknownCause),
            Self::Action => ("action", ProblemCode::UnknownAction),
            Self::Caution => ("caution", ProblemCode::UnknownCaution),
            Self::Source => ("source", ProblemCode::UnknownSource),
            Self::Question => ("question", ProblemCode::UnknownQuestion),
            Self::Rule => ("derive rule", ProblemCode::RepeatedEntry),
            Self::Output => ("output of a crop", ProblemCode::RepeatedEntry),
            Self::Round => ("round", ProblemCode::RepeatedEntry),
            Self::Card => ("card", ProblemCode::RepeatedEntry),
            Self::Topic => ("topic", ProblemCode::RepeatedEntry),
        }
    }
}

/// One entry naming another, to be looked up once every file is read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reference {
    /// What kind of entry is named.
    pub kind: Kind,
    /// The name.
    pub id: SmolStr,
    /// Its place in the file.
    pub span: Range<usize>,
}

/// What the readers of entries share: the scale, the notes of the file being read, and every reference made.
pub struct Shape<'s, 'f> {
    /// Words for numbers.
    pub scale: &'s Scale,
    /// Problems of the file being read.
    pub notes: Notes<'f>,
    /// Names of other entries in the file.
    pub references: &'s mut Vec<Reference>,
    /// Comparisons with a species limit, to be looked up likewise.
    pub comparisons: &'s mut Vec<(Comparison, String, Range<usize>)>,
}

impl Shape<'_, '_> {
    /// Notes that an entry names another.
    pub fn refer(&mut self, kind: Kind, id: &str, span: Range<usize>) {
        let id = id.into();
        self.references.push(Reference { kind, id, span });
    }

    /// Makes an id of a text, or notes why it is none.
    pub fn id<I>(
        &mut self,
        (text, at): &At<impl AsRef<str>>,
        make: impl Fn(&str) -> Result<I, IdError>,
    ) -> Option<I> {
        let text = text.as_ref();
        make(text)
            .map_err(|error| {
                let help = text.to_lowercase().replace([' ', '_'], "-");
                self.notes.add(
                    ProblemCode::BadId,
                    at.clone(),
                    error.to_string(),
                    "not an id",
                    Some(format!("write it like `{help}`")),
                );
            })
            .ok()
    }

    /// An id of another entry, noted as a reference.
    pub fn named<I>(
        &mut self,
        kind: Kind,
        text: &At<impl AsRef<str>>,
        make: impl Fn(&str) -> Result<I, IdError>,
    ) -> Option<I> {
        let id = self.id(text, make)?;
        self.refer(kind, text.0.as_ref(), text.1.clone());
        Some(id)
    }

    /// Ids of other entries under a key; none where it is left out.
    pub fn names<I>(
        &mut self,
        fields: &mut Fields<'_, '_>,
        key: &'static str,
        kind: Kind,
        make: impl Fn(&str) -> Result<I, IdError>,
    ) -> Vec<I> {
        let texts = fields.texts(key, &mut self.notes);
        let mut ids = Vec::new();
        for (at, text) in texts.iter().enumerate() {
            if texts[..at].iter().any(|earlier| earlier.0 == text.0) {
                self.notes.add(
                    ProblemCode::RepeatedEntry,
                    text.1.clone(),
                    format!("`{}` stands twice under `{key}`", text.0),
                    "again",
                    Some("keep one of the two".to_owned()),
                );
                continue;
            }
            ids.extend(self.named(kind, text, &make));
        }
        ids
    }

    /// What sources say of each other, sources and judgement, the last keys of most tables; at least one of them must be there.
    pub fn grounds(&mut self, fields: &mut Fields<'_, '_>, needed: bool) -> Grounds {
        let mut grounds = Grounds::default();
        let differ = fields.text_opt("sources-differ", &mut self.notes);
        for item in fields.items("sources", &mut self.notes) {
            grounds.sources.extend(self.cite(item));
        }
        grounds.judgement = fields
            .text_opt("judgement", &mut self.notes)
            .map(|(text, _)| text);
        if let Some((text, at)) = differ {
            if grounds.sources.len() < 2 {
                self.notes.add(
                    ProblemCode::OneSource,
                    at,
                    format!(
                        "{} says that sources differ and names fewer than two",
                        fields.what()
                    ),
                    "differ from what?",
                    Some(
                        "list every source that the sentence speaks of under `sources`".to_owned(),
                    ),
                );
            }
            grounds.differ = Some(text);
        }
        if needed && grounds.sources.is_empty() && grounds.judgement.is_none() {
            self.notes.add(
                ProblemCode::NoGrounds,
                fields.span(),
                format!("{} has neither `sources` nor `judgement`", fields.what()),
                "on what grounds?",
                Some("name a source, or give a judgement in a sentence".to_owned()),
            );
        }
        grounds
    }

    fn cite(&mut self, item: &Spanned<DeValue<'_>>) -> Option<Cite> {
        match item.get_ref() {
            DeValue::String(text) => {
                let source = self.named(
                    Kind::Source,
                    &(text.to_string(), item.span()),
                    SourceId::new,
                )?;
                Some(Cite { source, at: None })
            }
            DeValue::Table(table) => {
                let mut fields = Fields::new(table, item.span(), "a source with its place");
                let id = fields.text("id", &mut self.notes);
                let at = fields.text_opt("at", &mut self.notes).map(|(text, _)| text);
                fields.finish(&mut self.notes);
                let source = self.named(Kind::Source, &id?, SourceId::new)?;
                Some(Cite { source, at })
            }
            other => {
                self.wrong_type("sources", item.span(), type_name(other), "source ids");
                None
            }
        }
    }

    pub(crate) fn wrong_type(&mut self, key: &str, span: Range<usize>, found: &str, wanted: &str) {
        self.notes.add(
            ProblemCode::WrongType,
            span,
            format!("`{key}` holds {found}"),
            &format!("must be {wanted}"),
            None,
        );
    }

    /// A probability in words of the frequency scale or as a number; noted as missing where it must be there.
    pub fn frequency(&mut self, fields: &mut Fields<'_, '_>, key: &'static str) -> Option<f64> {
        let scale = self.scale;
        self.level(fields, key, &scale.frequency)
            .map(|(value, _)| value)
    }

    /// A base rate in words or as a number.
    pub fn base_rate(&mut self, fields: &mut Fields<'_, '_>) -> Option<f64> {
        let scale = self.scale;
        self.level(fields, "base-rate", &scale.base_rate)
            .map(|(value, _)| value)
    }

    /// An effort in words: its cost and the word.
    pub fn effort(&mut self, fields: &mut Fields<'_, '_>) -> Option<(f64, String)> {
        let word = fields.text("effort", &mut self.notes)?;
        let scale = self.scale;
        self.word(&word, &scale.effort).map(|cost| (cost, word.0))
    }

    fn level(
        &mut self,
        fields: &mut Fields<'_, '_>,
        key: &'static str,
        words: &Map<String, Level>,
    ) -> Option<(f64, Range<usize>)> {
        let Some(value) = fields.value(key, &mut self.notes) else {
            fields.missing(key, &mut self.notes);
            return None;
        };
        let span = value.span();
        if let DeValue::String(word) = value.get_ref() {
            return self
                .word(&(word.to_string(), span.clone()), words)
                .map(|number| (number, span));
        }
        let Some(number) = finite(key, value, &mut self.notes) else {
            if as_number(value.get_ref()).is_none() {
                self.wrong_type(
                    key,
                    span,
                    type_name(value.get_ref()),
                    "a word of the scale or a number",
                );
            }
            return None;
        };
        self.within(key, number, CHANCE, span.clone())
            .map(|number| (number, span))
    }

    fn word(&mut self, word: &At<String>, words: &Map<String, Level>) -> Option<f64> {
        if let Some(level) = words.get(&word.0) {
            return Some(level.value);
        }
        let near = nearest(&word.0, words.keys().map(String::as_str))
            .map(|near| format!("did you mean `{near}`?"));
        let all: Vec<String> = words.keys().map(|word| format!("`{word}`")).collect();
        let help = near.unwrap_or_else(|| format!("the scale has {}", all.join(", ")));
        self.notes.add(
            ProblemCode::UnknownWord,
            word.1.clone(),
            format!("`{}` is no word of the scale", word.0),
            "not on the scale",
            Some(help),
        );
        None
    }

    /// A number if it lies within a range, otherwise a note.
    pub fn within(
        &mut self,
        key: &str,
        number: f64,
        range: std::ops::RangeInclusive<f64>,
        span: Range<usize>,
    ) -> Option<f64> {
        if range.contains(&number) {
            return Some(number);
        }
        let message = format!("`{key}` is {number}");
        let help = format!("it must lie between {} and {}", range.start(), range.end());
        self.notes.add(
            ProblemCode::OutOfRange,
            span,
            message,
            "out of range",
            Some(help),
        );
        None
    }

    /// One choice out of a list of words.
    pub fn choice<T: Copy>(
        &mut self,
        fields: &mut Fields<'_, '_>,
        key: &'static str,
        choices: &[(&str, T)],
    ) -> Option<T> {
        let word = fields.text(key, &mut self.notes)?;
        self.choose(key, &word, choices)
    }

    /// The choice a word stands for, or a note.
    pub fn choose<T: Copy>(
        &mut self,
        key: &str,
        word: &At<String>,
        choices: &[(&str, T)],
    ) -> Option<T> {
        let found = choices
            .iter()
            .find(|(name, _)| *name == word.0)
            .map(|(_, choice)| *choice);
        if found.is_none() {
            let names: Vec<String> = choices
                .iter()
                .map(|(name, _)| format!("`{name}`"))
                .collect();
            let near = nearest(&word.0, choices.iter().map(|(name, _)| *name));
            let help = near.map_or_else(
                || format!("it can be {}", names.join(", ")),
                |near| format!("did you mean `{near}`?"),
            );
            self.notes.add(
                ProblemCode::UnknownWord,
                word.1.clone(),
                format!("`{}` is no `{key}`", word.0),
                "not one of the choices",
                Some(help),
            );
        }
        found
    }

    /// The condition under a key, if it is there.
    pub fn condition_opt(
        &mut self,
        fields: &mut Fields<'_, '_>,
        key: &'static str,
    ) -> Option<At<Condition>> {
        let (table, span) = fields.table_opt(key, &mut self.notes)?;
        self.condition(table, span.clone())
            .map(|condition| (condition, span))
    }

    /// The condition under a key that must be there.
    pub fn condition_at(
        &mut self,
        fields: &mut Fields<'_, '_>,
        key: &'static str,
    ) -> Option<At<Condition>> {
        let before = self.notes.problems.len();
        let found = self.condition_opt(fields, key);
        if found.is_none() && self.notes.problems.len() == before {
            fields.missing(key, &mut self.notes);
        }
        found
    }

    /// A condition: a table with exactly one key.
    pub fn condition(&mut self, table: &DeTable<'_>, span: Range<usize>) -> Option<Condition> {
        let mut keys = table.iter();
        let (Some((key, value)), None) = (keys.next(), keys.next()) else {
            let message = format!("a condition has {} keys", table.len());
            let help =
                "join conditions with `{ all = [ {..}, {..} ] }` or `{ any = [ {..}, {..} ] }`"
                    .to_owned();
            self.notes.add(
                ProblemCode::WrongType,
                span,
                message,
                "must have exactly one",
                Some(help),
            );
            return None;
        };
        match key.get_ref().as_ref() {
            "all" => self.parts(value).map(Condition::All),
            "any" => self.parts(value).map(Condition::Any),
            "not" => match value.get_ref() {
                DeValue::Table(inner) => self.condition(inner, value.span()).map(Condition::denied),
                other => {
                    self.wrong_type("not", value.span(), type_name(other), "a condition");
                    None
                }
            },
            "reading" => match value.get_ref() {
                DeValue::Table(inner) => {
                    let comparison = self.comparison(inner, value.span())?;
                    Some(Condition::holds(Proposition::Reading(comparison)))
                }
                other => {
                    self.wrong_type(
                        "reading",
                        value.span(),
                        type_name(other),
                        "`{ of = .., above = .. }`",
                    );
                    None
                }
            },
            name => self.statement(name, key.span(), value),
        }
    }

    fn parts(&mut self, value: &Spanned<DeValue<'_>>) -> Option<Vec<Condition>> {
        let DeValue::Array(items) = value.get_ref() else {
            self.wrong_type(
                "all/any",
                value.span(),
                type_name(value.get_ref()),
                "a list of conditions",
            );
            return None;
        };
        let mut parts = Vec::new();
        for item in items.iter() {
            match item.get_ref() {
                DeValue::Table(table) => parts.push(self.condition(table, item.span())?),
                other => {
                    self.wrong_type(
                        "all/any",
                        item.span(),
                        type_name(other),
                        "a list of conditions",
                    );
                    return None;
                }
            }
        }
        if parts.is_empty() {
            self.wrong_type(
                "all/any",
                value.span(),
                "an empty list",
                "a list of conditions",
            );
            return None;
        }
        Some(parts)
    }

    /// A statement about one entry, or about one of several (`{ species = ["a", "b"] }`).
    fn statement(
        &mut self,
        name: &str,
        at: Range<usize>,
        value: &Spanned<DeValue<'_>>,
    ) -> Option<Condition> {
        const NAMES: [&str; 13] = [
            "sign", "setup", "fact", "reading", "species", "stage", "trait", "person", "cause",
            "suspect", "not", "all", "any",
        ];
        if !NAMES.contains(&name) {
            let help = nearest(name, NAMES.into_iter()).map_or_else(
                || {
                    format!(
                        "it can be {}",
                        NAMES.map(|name| format!("`{name}`")).join(", ")
                    )
                },
                |near| format!("did you mean `{near}`?"),
            );
            self.notes.add(
                ProblemCode::UnknownKey,
                at,
                format!("a condition has no key `{name}`"),
                "not a condition",
                Some(help),
            );
            return None;
        }
        let texts: Vec<At<&str>> = match value.get_ref() {
            DeValue::String(text) => {
                let proposition = self.proposition(name, &(text.as_ref(), value.span()));
                return proposition.map(Condition::holds);
            }
            DeValue::Array(items) => {
                let mut texts = Vec::new();
                for item in items.iter() {
                    match item.get_ref() {
                        DeValue::String(text) => texts.push((text.as_ref(), item.span())),
                        other => self.wrong_type(name, item.span(), type_name(other), "ids"),
                    }
                }
                texts
            }
            other => {
                self.wrong_type(
                    name,
                    value.span(),
                    type_name(other),
                    "an id or a list of ids",
                );
                return None;
            }
        };
        let mut alternatives: Vec<Condition> = Vec::new();
        for text in &texts {
            alternatives.push(Condition::holds(self.proposition(name, text)?));
        }
        match alternatives.len() {
            0 => {
                self.wrong_type(name, value.span(), "an empty list", "an id");
                None
            }
            1 => alternatives.pop(),
            _ => Some(Condition::Any(alternatives)),
        }
    }

    fn proposition(&mut self, name: &str, text: &At<&str>) -> Option<Proposition> {
        Some(match name {
            "sign" => Proposition::Sign(self.named(Kind::Sign, text, SignId::new)?),
            "setup" => Proposition::Setup(self.named(Kind::Setup, text, SetupId::new)?),
            "fact" => Proposition::Fact(self.named(Kind::Fact, text, FactId::new)?),
            "species" => Proposition::Species(self.named(Kind::Species, text, SpeciesId::new)?),
            "stage" => Proposition::Stage(self.named(Kind::Stage, text, StageId::new)?),
            "trait" => Proposition::Trait(self.named(Kind::Trait, text, TraitId::new)?),
            "person" => Proposition::Person(self.named(Kind::Person, text, PersonId::new)?),
            "cause" => Proposition::Concluded(self.named(Kind::Cause, text, CauseId::new)?),
            _ => Proposition::Suspected(self.named(Kind::Cause, text, CauseId::new)?),
        })
    }

    /// A reading against a limit: `{ of = "co2", above = 1000 }`, `{ of = "co2", below = "species", times = 0.5 }`.
    fn comparison(&mut self, table: &DeTable<'_>, span: Range<usize>) -> Option<Comparison> {
        let mut fields = Fields::new(table, span.clone(), "a compared reading");
        let of = fields.text("of", &mut self.notes);
        let above = fields.value("above", &mut self.notes);
        let below = fields.value("below", &mut self.notes);
        let times = fields.number_opt("times", &mut self.notes);
        fields.finish(&mut self.notes);
        let reading = self.named(Kind::Reading, &of?, ReadingId::new)?;
        let (side, value) = match (above, below) {
            (Some(value), None) => (Side::Above, value),
            (None, Some(value)) => (Side::Below, value),
            _ => {
                let message = "a compared reading needs either `above` or `below`".to_owned();
                self.notes.add(
                    ProblemCode::MissingKey,
                    span,
                    message,
                    "one of the two",
                    Some("keep `above` or `below`".to_owned()),
                );
                return None;
            }
        };
        let limit = match value.get_ref() {
            DeValue::String(word) if word == "species" => Limit::Species {
                times: times.as_ref().map_or(1.0, |(times, _)| *times),
            },
            DeValue::String(_) => {
                self.wrong_type(
                    "above/below",
                    value.span(),
                    "a text",
                    "a number or \"species\"",
                );
                return None;
            }
            other => match finite("above/below", value, &mut self.notes) {
                Some(number) => Limit::Fixed(number),
                None => {
                    if as_number(other).is_none() {
                        self.wrong_type(
                            "above/below",
                            value.span(),
                            type_name(other),
                            "a number or \"species\"",
                        );
                    }
                    return None;
                }
            },
        };
        if let (Limit::Fixed(_), Some((_, at))) = (limit, &times) {
            self.notes.add(
                ProblemCode::UnknownKey,
                at.clone(),
                "`times` goes with the limit of a species".to_owned(),
                "not with a number",
                Some("multiply the number itself".to_owned()),
            );
        }
        if let Some((factor, at)) = &times {
            self.within("times", *factor, 0.01..=100.0, at.clone())?;
        }
        let comparison = Comparison {
            reading,
            side,
            limit,
        };
        self.comparisons
            .push((comparison.clone(), self.notes.file.to_owned(), value.span()));
        Some(comparison)
    }

    /// The single finding a condition states; a note where it states anything else.
    pub fn finding(&mut self, condition: &At<Condition>) -> Option<Finding> {
        let found = match &condition.0 {
            Condition::Literal(Literal {
                proposition,
                holds: true,
            }) => proposition.as_finding(),
            _ => None,
        };
        if found.is_none() {
            self.notes.add(
                ProblemCode::NotObservable,
                condition.1.clone(),
                "a link goes to one sign, fact or reading".to_owned(),
                "cannot be weighed",
                Some(
                    "use `only-if` for a guard, `raised-by` for a risk factor, or derive a fact"
                        .to_owned(),
                ),
            );
        }
        found
    }
}
