//! Entries that describe: scale, sources, readings, setup, people, species, questions and signs.
//!
//! The order in which keys are taken is the order in which they stand in the files.

use std::ops::{Range, RangeInclusive};

use toml::de::{DeTable, DeValue};

use crate::engine::condition::{Comparison, Limit, Side};
use crate::engine::id::{FamilyId, QuestionId, ReadingId, SignId, StageId, TraitId};
use crate::engine::knowledge::{
    Asking, Checked, Formula, FormulaName, Level, LogFinding, Map, Measure, NormalLook, Person,
    Question, Reading, Scale, SetupItem, Sign, Source, SourceKind, Species, SpeciesLimit, Spelling,
    Stage,
};
use crate::engine::quantity::Unit;
use crate::knowledge::fields::{At, Fields, as_number, finite, type_name};
use crate::knowledge::pages::Drawn;
use crate::knowledge::shape::{Kind, Shape};

/// Words of the source kinds.
const SOURCE_KINDS: [(&str, SourceKind); 7] = [
    ("paper", SourceKind::Paper),
    ("book", SourceKind::Book),
    ("agency", SourceKind::Agency),
    ("standard", SourceKind::Standard),
    ("extension", SourceKind::Extension),
    ("practice", SourceKind::Practice),
    ("judgement-by-project", SourceKind::JudgementByProject),
];

/// Words for how far a source was checked.
const CHECKED: [(&str, Checked); 3] = [
    ("read", Checked::Read),
    ("second-hand", Checked::SecondHand),
    ("memory", Checked::Memory),
];

/// Names of the formulae.
pub const FORMULAE: [(&str, FormulaName); 10] = [
    ("dew-point", FormulaName::DewPoint),
    ("vapour-deficit", FormulaName::VapourDeficit),
    ("condensation-margin", FormulaName::CondensationMargin),
    ("airflow-factor", FormulaName::AirflowFactor),
    ("mist-rate", FormulaName::MistRate),
    ("mist-at-limit", FormulaName::MistAtLimit),
    ("tank-at-limit", FormulaName::TankAtLimit),
    ("fall-to-limit", FormulaName::FallToLimit),
    ("rise-to-limit", FormulaName::RiseToLimit),
    ("dilution", FormulaName::Dilution),
];

/// An entry with its id and the place of the id.
pub type Entry<T> = (At<String>, T);

impl Shape<'_, '_> {
    /// Takes the id of an entry and names the table after it.
    pub(crate) fn head(
        &mut self,
        fields: &mut Fields<'_, '_>,
        kind: &'static str,
    ) -> Option<At<String>> {
        fields.head(kind, &mut self.notes)
    }

    /// A word of the frequency, base-rate, effort or confidence scale. One whose number is at fault still counts as a
    /// word, so that not every entry that uses it seems to be at fault too.
    pub fn scale_word(
        &mut self,
        table: &DeTable<'_>,
        span: Range<usize>,
        key: &'static str,
        range: RangeInclusive<f64>,
    ) -> Option<Entry<Level>> {
        let mut fields = Fields::new(table, span, "a word of the scale");
        let word = fields.text("word", &mut self.notes);
        let value = fields.number_opt(key, &mut self.notes);
        if value.is_none() && !table.contains_key(key) {
            fields.missing(key, &mut self.notes);
        }
        let grounds = self.grounds(&mut fields, true);
        fields.finish(&mut self.notes);
        let value = value.and_then(|(value, at)| self.within(key, value, range, at));
        let value = value.unwrap_or_default();
        Some((word?, Level { value, grounds }))
    }

    /// A number of the engine; `None` in place of the number where that is at fault.
    pub fn scale_number(
        &mut self,
        table: &DeTable<'_>,
        span: Range<usize>,
    ) -> Option<Entry<Option<At<f64>>>> {
        let mut fields = Fields::new(table, span, "a number");
        let id = self.head(&mut fields, "number");
        let value = fields.number_opt("value", &mut self.notes);
        if value.is_none() && !table.contains_key("value") {
            fields.missing("value", &mut self.notes);
        }
        self.grounds(&mut fields, true);
        fields.finish(&mut self.notes);
        Some((id?, value))
    }

    /// A British word and its American spelling.
    pub fn spelling(&mut self, table: &DeTable<'_>, span: Range<usize>) -> Option<Entry<Spelling>> {
        let mut fields = Fields::new(table, span, "a spelling");
        let british = fields.text("british", &mut self.notes);
        let american = fields.text("american", &mut self.notes);
        let grounds = self.grounds(&mut fields, true);
        fields.finish(&mut self.notes);
        let american = american?.0;
        Some((british?, Spelling { american, grounds }))
    }

    /// The key `log` of a reading: a measure of a sensor log, by its name.
    fn measure(&mut self, fields: &mut Fields<'_, '_>) -> Option<Measure> {
        let word = fields.text_opt("log", &mut self.notes)?;
        self.log_word(&word, &Measure::ALL, "measure")
    }

    /// Findings of a sensor log by their names, one or a list.
    fn log_findings(
        &mut self,
        fields: &mut Fields<'_, '_>,
        table: &DeTable<'_>,
        key: &'static str,
    ) -> Vec<LogFinding> {
        let listed = table
            .get(key)
            .is_some_and(|value| value.get_ref().is_array());
        let words = if listed {
            fields.texts(key, &mut self.notes)
        } else {
            fields.text_opt(key, &mut self.notes).into_iter().collect()
        };
        words
            .iter()
            .filter_map(|word| self.log_word(word, &LogFinding::ALL, "finding"))
            .collect()
    }

    fn log_word<T: Copy>(
        &mut self,
        (word, at): &At<String>,
        known: &[(T, &'static str)],
        what: &str,
    ) -> Option<T> {
        use crate::knowledge::problem::{ProblemCode, nearest};
        let found = known.iter().find(|(_, name)| name == word);
        if found.is_none() {
            let help = nearest(word, known.iter().map(|(_, name)| *name))
                .map(|near| format!("did you mean `{near}`?"));
            self.notes.add(
                ProblemCode::UnknownWord,
                at.clone(),
                format!("reading a log yields no {what} `{word}`"),
                &format!("not a {what} of a log"),
                help,
            );
        }
        found.map(|(found, _)| *found)
    }

    /// A stage.
    pub fn stage(&mut self, table: &DeTable<'_>, span: Range<usize>) -> Option<Entry<Stage>> {
        let mut fields = Fields::new(table, span, "a stage");
        let id = self.head(&mut fields, "stage");
        let name = fields.text("name", &mut self.notes);
        let summary = fields.text("summary", &mut self.notes);
        let place = fields.number_opt("place", &mut self.notes);
        let default = fields.flag("default", &mut self.notes);
        let grounds = self.grounds(&mut fields, true);
        fields.finish(&mut self.notes);
        let file = self.notes.file.to_owned();
        Some((
            id?,
            Stage {
                name: name?.0,
                summary: summary?.0,
                place: place.map_or(0, |(place, _)| place as i64),
                default,
                grounds,
                file,
            },
        ))
    }

    /// A source.
    pub fn source(&mut self, table: &DeTable<'_>, span: Range<usize>) -> Option<Entry<Source>> {
        let mut fields = Fields::new(table, span, "a source");
        let id = self.head(&mut fields, "source");
        let cite = fields.text("cite", &mut self.notes);
        let kind = self.choice(&mut fields, "kind", &SOURCE_KINDS);
        let checked = self.choice(&mut fields, "checked", &CHECKED);
        let at = fields.text_opt("at", &mut self.notes).map(|(text, _)| text);
        fields.finish(&mut self.notes);
        let file = self.notes.file.to_owned();
        Some((
            id?,
            Source {
                cite: cite?.0,
                kind: kind?,
                checked: checked?,
                at,
                file,
            },
        ))
    }

    fn words(&mut self, fields: &mut Fields<'_, '_>) -> Vec<String> {
        fields
            .texts("words", &mut self.notes)
            .into_iter()
            .map(|(word, _)| word)
            .collect()
    }

    /// A reading.
    pub fn reading(&mut self, table: &DeTable<'_>, span: Range<usize>) -> Option<Entry<Reading>> {
        let mut fields = Fields::new(table, span, "a reading");
        let id = self.head(&mut fields, "reading");
        let name = fields.text("name", &mut self.notes);
        let unit = fields.text("unit", &mut self.notes).and_then(|unit| {
            let found = Unit::parse(&unit.0);
            if found.is_none() {
                self.notes.add(
                    crate::knowledge::problem::ProblemCode::UnknownWord,
                    unit.1,
                    format!("`{}` is no unit", unit.0),
                    "not a unit",
                    Some(
                        "write a unit such as `C`, `%`, `ppm`, `lux`, `m3/h`, `hour` or `count`"
                            .to_owned(),
                    ),
                );
            }
            found
        });
        let believable = self.pair(&mut fields, "believable");
        let tolerance = fields.number_opt("tolerance", &mut self.notes);
        let tolerance_share = fields.number_opt("tolerance-share", &mut self.notes);
        let broken_gauge = self.frequency(&mut fields, "broken-gauge");
        let anyway = self.frequency(&mut fields, "anyway");
        let effort = self.effort(&mut fields);
        let question = fields.text("question", &mut self.notes);
        let look = fields.text("look", &mut self.notes);
        let words = self.words(&mut fields);
        let usual_for_unit = fields.flag("usual-for-unit", &mut self.notes);
        let opening = fields
            .text_opt("opening", &mut self.notes)
            .map(|(text, _)| text);
        let triage = fields.number_opt("triage", &mut self.notes);
        let assumed = fields
            .number_opt("assumed", &mut self.notes)
            .map(|(value, _)| value);
        let computed = fields
            .table_opt("computed", &mut self.notes)
            .and_then(|(table, span)| self.formula_table(table, span));
        let profile = fields
            .text_opt("profile", &mut self.notes)
            .and_then(|word| self.quantity(&word));
        let log = self.measure(&mut fields);
        let grounds = self.grounds(&mut fields, true);
        if tolerance.is_none() && !table.contains_key("tolerance") {
            fields.missing("tolerance", &mut self.notes);
        }
        fields.finish(&mut self.notes);
        let tolerance = self.not_negative("tolerance", tolerance?)?;
        let tolerance_share = match tolerance_share {
            Some(share) => self.not_negative("tolerance-share", share)?,
            None => 0.0,
        };
        let (effort, effort_word) = effort?;
        let reading = Reading {
            name: name?.0,
            unit: unit?,
            believable: believable?,
            tolerance,
            tolerance_share,
            broken_gauge: broken_gauge?,
            anyway: anyway?,
            effort,
            effort_word,
            question: question?.0,
            look: look?.0,
            words,
            usual_for_unit,
            opening,
            triage: triage.map(|(place, _)| place),
            assumed,
            computed,
            profile,
            log,
            grounds,
            file: self.notes.file.to_owned(),
        };
        Some((id?, reading))
    }

    fn not_negative(&mut self, key: &str, (number, at): At<f64>) -> Option<f64> {
        self.within(key, number, 0.0..=1e9, at)
    }

    pub(crate) fn pair(
        &mut self,
        fields: &mut Fields<'_, '_>,
        key: &'static str,
    ) -> Option<(f64, f64)> {
        let Some(value) = fields.value(key, &mut self.notes) else {
            fields.missing(key, &mut self.notes);
            return None;
        };
        let wanted = "two numbers, the lesser first";
        let items = match value.get_ref() {
            DeValue::Array(items) if items.len() == 2 => items,
            other => {
                self.wrong_type(key, value.span(), type_name(other), wanted);
                return None;
            }
        };
        let mut numbers = Vec::new();
        for item in items.iter() {
            if as_number(item.get_ref()).is_none() {
                self.wrong_type(key, item.span(), type_name(item.get_ref()), wanted);
                return None;
            }
            numbers.push(finite(key, item, &mut self.notes)?);
        }
        match numbers.as_slice() {
            [low, high] if low < high => Some((*low, *high)),
            _ => {
                self.wrong_type(key, value.span(), "two numbers, the greater first", wanted);
                None
            }
        }
    }

    /// A formula with its inputs, in a table of its own.
    fn formula_table(&mut self, table: &DeTable<'_>, span: Range<usize>) -> Option<Formula> {
        let mut fields = Fields::new(table, span, "a formula");
        let formula = self.formula(&mut fields);
        fields.finish(&mut self.notes);
        formula
    }

    /// The keys `formula` and `inputs`.
    pub(crate) fn formula(&mut self, fields: &mut Fields<'_, '_>) -> Option<Formula> {
        use crate::knowledge::problem::ProblemCode;
        let name_at = fields.text("formula", &mut self.notes);
        let inputs_at = fields.table_opt("inputs", &mut self.notes);
        let name_at = name_at?;
        let Some((_, name)) = FORMULAE.into_iter().find(|(name, _)| *name == name_at.0) else {
            let near = crate::knowledge::problem::nearest(
                &name_at.0,
                FORMULAE.iter().map(|(name, _)| *name),
            );
            let help = near.map(|near| format!("did you mean `{near}`?"));
            let message = format!("the engine has no formula `{}`", name_at.0);
            self.notes.add(
                ProblemCode::UnknownFormula,
                name_at.1,
                message,
                "not a formula",
                help,
            );
            return None;
        };
        let (table, span) = inputs_at?;
        let mut inputs = Map::default();
        let mut own = Fields::new(table, span.clone(), "the inputs of a formula").any_order();
        for input in name.inputs() {
            if let Some(text) = own.text(input, &mut self.notes) {
                let reading = self.named(Kind::Reading, &text, ReadingId::new)?;
                inputs.insert((*input).to_owned(), reading);
            }
        }
        own.finish(&mut self.notes);
        (inputs.len() == name.inputs().len()).then_some(Formula { name, inputs })
    }

    /// A setup item.
    pub fn setup_item(
        &mut self,
        table: &DeTable<'_>,
        span: Range<usize>,
    ) -> Option<Entry<SetupItem>> {
        let mut fields = Fields::new(table, span, "a setup item");
        let id = self.head(&mut fields, "setup item");
        let statement = fields.text("statement", &mut self.notes);
        let question = fields.text("question", &mut self.notes);
        let words = self.words(&mut fields);
        let opening = fields.flag("opening", &mut self.notes);
        let profile = self.profile_key(&mut fields);
        let grounds = self.grounds(&mut fields, true);
        fields.finish(&mut self.notes);
        let file = self.notes.file.to_owned();
        Some((
            id?,
            SetupItem {
                statement: statement?.0,
                question: question?.0,
                words,
                opening,
                profile,
                grounds,
                file,
            },
        ))
    }

    /// Something about people.
    pub fn person(&mut self, table: &DeTable<'_>, span: Range<usize>) -> Option<Entry<Person>> {
        let mut fields = Fields::new(table, span, "an entry about people");
        let id = self.head(&mut fields, "person");
        let statement = fields.text("statement", &mut self.notes);
        let question = fields.text("question", &mut self.notes);
        let words = self.words(&mut fields);
        let special_risk = fields.flag("special-risk", &mut self.notes);
        let grounds = self.grounds(&mut fields, true);
        fields.finish(&mut self.notes);
        let file = self.notes.file.to_owned();
        Some((
            id?,
            Person {
                statement: statement?.0,
                question: question?.0,
                words,
                special_risk,
                grounds,
                file,
            },
        ))
    }

    /// A species, without its limits, normal looks and responses.
    pub fn species(&mut self, table: &DeTable<'_>, span: Range<usize>) -> Option<Entry<Species>> {
        let mut fields = Fields::new(table, span, "a species");
        let id = self.head(&mut fields, "species");
        let name = fields.text("name", &mut self.notes);
        let latin = fields.text("latin", &mut self.notes);
        let also = fields
            .texts("also", &mut self.notes)
            .into_iter()
            .map(|(name, _)| name)
            .collect();
        let summary = fields.text("summary", &mut self.notes);
        let traits = fields.texts("traits", &mut self.notes);
        let traits = traits
            .iter()
            .filter_map(|text| self.id(text, TraitId::new))
            .collect();
        let harvest_sign = fields.text("harvest-sign", &mut self.notes);
        let place = fields.number_opt("place", &mut self.notes);
        let default = fields.flag("default", &mut self.notes);
        let draws = self.draws(&mut fields, Drawn::Species);
        let grounds = self.grounds(&mut fields, true);
        fields.finish(&mut self.notes);
        let species = Species {
            name: name?.0,
            latin: latin?.0,
            also,
            summary: summary?.0,
            traits,
            harvest_sign: harvest_sign?.0,
            place: place.map(|(place, _)| place as i64),
            default,
            draws,
            limits: Vec::new(),
            normal: Vec::new(),
            responses: Vec::new(),
            grounds,
            file: self.notes.file.to_owned(),
        };
        Some((id?, species))
    }

    /// A limit of a species.
    pub fn limit(&mut self, table: &DeTable<'_>, span: Range<usize>) -> Option<SpeciesLimit> {
        use crate::knowledge::problem::ProblemCode;
        let mut fields = Fields::new(table, span.clone(), "a limit");
        let stage = fields.text("stage", &mut self.notes);
        let reading = fields.text("reading", &mut self.notes);
        let min = fields.number_opt("min", &mut self.notes);
        let max = fields.number_opt("max", &mut self.notes);
        let grounds = self.grounds(&mut fields, true);
        fields.finish(&mut self.notes);
        match (&min, &max) {
            (None, None) => fields_missing(self, &span),
            (Some((min, _)), Some((max, at))) if min > max => {
                let message = format!("`min` {min} lies above `max` {max}");
                self.notes.add(
                    ProblemCode::OutOfRange,
                    at.clone(),
                    message,
                    "below `min`",
                    Some("swap the two".to_owned()),
                );
                return None;
            }
            _ => {}
        }
        let stage = self.named(Kind::Stage, &stage?, StageId::new)?;
        let reading = self.named(Kind::Reading, &reading?, ReadingId::new)?;
        // A limit is a number the reading is compared with: it must be believable too.
        for (side, limit) in [(Side::Below, &min), (Side::Above, &max)] {
            let Some((number, at)) = limit else { continue };
            let comparison = Comparison {
                reading: reading.clone(),
                side,
                limit: Limit::Fixed(*number),
            };
            let file = self.notes.file.to_owned();
            self.comparisons.push((comparison, file, at.clone()));
        }
        Some(SpeciesLimit {
            stage,
            reading,
            min: min.map(|(min, _)| min),
            max: max.map(|(max, _)| max),
            grounds,
        })
    }

    /// A look that is normal in a species.
    pub fn normal_look(&mut self, table: &DeTable<'_>, span: Range<usize>) -> Option<NormalLook> {
        let mut fields = Fields::new(table, span, "a normal look");
        let sign = fields.text("sign", &mut self.notes);
        let anyway = self.frequency(&mut fields, "anyway");
        let note = fields.text("note", &mut self.notes);
        let grounds = self.grounds(&mut fields, true);
        fields.finish(&mut self.notes);
        let sign = self.named(Kind::Sign, &sign?, SignId::new)?;
        Some(NormalLook {
            sign,
            anyway: anyway?,
            note: note?.0,
            grounds,
        })
    }

    /// A question for several signs; the signs name it themselves.
    pub fn question(&mut self, table: &DeTable<'_>, span: Range<usize>) -> Option<Entry<Question>> {
        let mut fields = Fields::new(table, span, "a question");
        let id = self.head(&mut fields, "question");
        let ask = fields.text("ask", &mut self.notes);
        let look = fields.text("look", &mut self.notes);
        let words = self.words(&mut fields);
        let effort = self.effort(&mut fields);
        let one_of = fields.flag("one-of", &mut self.notes);
        let opening = fields
            .text_opt("opening", &mut self.notes)
            .map(|(text, _)| text);
        let triage = fields.number_opt("triage", &mut self.notes);
        fields.finish(&mut self.notes);
        let (effort, effort_word) = effort?;
        let file = self.notes.file.to_owned();
        Some((
            id?,
            Question {
                ask: ask?.0,
                look: look?.0,
                effort,
                effort_word,
                words,
                one_of,
                opening,
                triage: triage.map(|(place, _)| place),
                signs: Vec::new(),
                file,
            },
        ))
    }

    /// A sign. One asked by a shared question takes its effort from there.
    pub fn sign(&mut self, table: &DeTable<'_>, span: Range<usize>) -> Option<Entry<Sign>> {
        use crate::knowledge::problem::ProblemCode;
        let mut fields = Fields::new(table, span.clone(), "a sign");
        let id = self.head(&mut fields, "sign");
        let statement = fields.text("statement", &mut self.notes);
        let question = fields.text_opt("question", &mut self.notes);
        let asked_by = fields.text_opt("asked-by", &mut self.notes);
        let option = fields.text_opt("option", &mut self.notes);
        let asking = match (question, asked_by, option) {
            (Some((question, _)), None, None) => Some(Asking::Alone { question }),
            (None, Some(asked_by), Some((option, _))) => {
                let question = self.named(Kind::Question, &asked_by, QuestionId::new);
                question.map(|question| Asking::Option { question, option })
            }
            _ => {
                let message = format!("{} is not asked for in exactly one way", fields.what());
                self.notes.add(
                    ProblemCode::AskedBadly,
                    span,
                    message,
                    "none, half of one, or two",
                    Some("give it `question` alone, or `asked-by` and `option`".to_owned()),
                );
                None
            }
        };
        let look = fields.text("look", &mut self.notes);
        let yes = fields.text_opt("yes", &mut self.notes);
        let mistaken_for = fields.text_opt("mistaken-for", &mut self.notes);
        let swatch = self.colour(&mut fields, "swatch");
        let words = self.words(&mut fields);
        let anyway = self.frequency(&mut fields, "anyway");
        let family = fields.text_opt("family", &mut self.notes);
        let family = family.and_then(|text| self.id(&text, FamilyId::new));
        let shared = matches!(asking, Some(Asking::Option { .. }));
        let effort = if shared && !table.contains_key("effort") {
            Some((0.0, String::new()))
        } else {
            self.effort(&mut fields)
        };
        let opening = fields
            .text_opt("opening", &mut self.notes)
            .map(|(text, _)| text);
        let asked_if = self.condition_opt(&mut fields, "asked-if");
        self.no_conclusion(asked_if.as_ref());
        let draws = self.draws(&mut fields, Drawn::Sign);
        let profile = self.profile_key(&mut fields);
        let log = self.log_findings(&mut fields, table, "log");
        let log_against = self.log_findings(&mut fields, table, "log-against");
        let grounds = self.grounds(&mut fields, true);
        fields.finish(&mut self.notes);
        let (effort, effort_word) = effort?;
        let sign = Sign {
            statement: statement?.0,
            asking: asking?,
            look: look?.0,
            yes: yes.map(|(text, _)| text),
            mistaken_for: mistaken_for.map(|(text, _)| text),
            swatch,
            words,
            anyway: anyway?,
            family,
            effort,
            effort_word,
            opening,
            asked_if: asked_if.map(|(condition, _)| condition),
            draws,
            profile,
            log,
            log_against,
            grounds,
            file: self.notes.file.to_owned(),
        };
        Some((id?, sign))
    }
}

fn fields_missing(shape: &mut Shape<'_, '_>, span: &Range<usize>) {
    use crate::knowledge::problem::ProblemCode;
    let message = "a limit needs `min`, `max` or both".to_owned();
    shape.notes.add(
        ProblemCode::MissingKey,
        span.clone(),
        message,
        "limits nothing",
        Some("add the one that is known, or take the entry out".to_owned()),
    );
}

/// Puts the words of a scale in order: confidence from high to low.
pub fn sort_confidence(scale: &mut Scale) {
    scale
        .confidence
        .sort_by(|a, b| b.1.value.total_cmp(&a.1.value));
}
