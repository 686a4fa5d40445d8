//! Checks of what entries mean together: formulae get what they can work with, answers can be told apart, roots stay
//! one step deep.

use std::collections::HashMap;

use crate::engine::id::ReadingId;
use crate::engine::knowledge::{Asking, CauseKind, Formula};
use crate::engine::quantity::Unit;
use crate::knowledge::check::Found;
use crate::knowledge::problem::{Problem, ProblemCode};
use crate::knowledge::shape::Kind;

impl Found<'_> {
    /// Each formula gets readings in the units it works in, and a computed reading is in the unit that comes out.
    pub(super) fn formulae(&mut self) {
        let gathered = self.gathered;
        let mut faults: Vec<(Kind, &str, String, String)> = Vec::new();
        for (id, reading) in &gathered.base.readings {
            let Some(formula) = &reading.computed else {
                continue;
            };
            let found = self.inputs_that_do_not_fit(formula, None);
            let found = found.into_iter().chain(comes_out(formula, reading.unit));
            faults.extend(found.map(|(message, help)| (Kind::Reading, id.as_str(), message, help)));
        }
        for (id, action) in &gathered.base.actions {
            let Some(amount) = &action.amount else {
                continue;
            };
            let also = amount
                .also
                .iter()
                .map(|also| (&also.formula, also.limit.as_ref()));
            let all = std::iter::once((&amount.formula, amount.limit.as_ref())).chain(also);
            let found =
                all.flat_map(|(formula, limit)| self.inputs_that_do_not_fit(formula, limit));
            faults.extend(found.map(|(message, help)| (Kind::Action, id.as_str(), message, help)));
        }
        for (kind, id, message, help) in faults {
            let message = format!("the formula of `{id}` {message}");
            let code = ProblemCode::UnknownFormula;
            self.at_entry(
                code,
                (kind, id),
                message,
                "cannot be worked out",
                Some(help),
            );
        }
    }

    /// A reading is in the unit of the number of a profile that it stands for, and no two stand for the same.
    pub(super) fn profiles(&mut self) {
        let base = &self.gathered.base;
        let mut faults: Vec<(ProblemCode, String, String, String)> = Vec::new();
        let mut seen: HashMap<&str, &str> = HashMap::new();
        for (id, reading) in &base.readings {
            let Some(quantity) = reading.profile else {
                continue;
            };
            let word = quantity.word();
            if quantity.unit() != reading.unit {
                let message = format!(
                    "`{id}` is in {}, and `{word}` of a chamber's profile in {}",
                    reading.unit,
                    quantity.unit()
                );
                let help = "give the reading that unit, or leave `profile` out".to_owned();
                faults.push((ProblemCode::WrongType, id.to_string(), message, help));
            }
            if let Some(first) = seen.insert(word, id.as_str()) {
                let message = format!("`{id}` stands for `{word}` as `{first}` does");
                let help = "let one reading stand for each number".to_owned();
                faults.push((ProblemCode::RepeatedEntry, id.to_string(), message, help));
            }
        }
        for (code, id, message, help) in faults {
            self.at_entry(
                code,
                (Kind::Reading, &id),
                message,
                "does not go together",
                Some(help),
            );
        }
    }

    /// What is wrong with the units of a formula's inputs and limit, each with what to do.
    fn inputs_that_do_not_fit(
        &self,
        formula: &Formula,
        limit: Option<&ReadingId>,
    ) -> Vec<(String, String)> {
        let base = &self.gathered.base;
        let unit_of = |id: &ReadingId| base.readings.get(id).map(|reading| reading.unit);
        let mut faults = Vec::new();
        // Inputs in any unit must share one: they are compared with each other and with the limit.
        let mut shared: Option<(&ReadingId, Unit)> = None;
        let inputs = formula.name.inputs().iter().filter_map(|name| {
            let wanted = formula.name.input_unit(name);
            Some((*name, wanted, formula.inputs.get(*name)?))
        });
        for (name, wanted, id) in inputs.chain(limit.map(|id| ("limit", None, id))) {
            let Some(unit) = unit_of(id) else { continue };
            match (wanted, shared) {
                (Some(wanted), _) if wanted != unit => faults.push((
                    format!("takes `{name}` in {wanted}, and `{id}` is in {unit}"),
                    format!("name a reading in {wanted}"),
                )),
                (None, Some((first, first_unit))) if first_unit != unit => faults.push((
                    format!("holds `{first}` in {first_unit} against `{id}` in {unit}"),
                    "name readings in the same unit".to_owned(),
                )),
                (None, None) => shared = Some((id, unit)),
                _ => {}
            }
        }
        // The first input may be the odd one out: then it is at odds with all others alike.
        faults.dedup();
        faults
    }

    /// Under one question no two signs have the same option.
    pub(super) fn options(&mut self) {
        let gathered = self.gathered;
        let mut seen: HashMap<(&str, String), &str> = HashMap::new();
        for (id, sign) in &gathered.base.signs {
            let Asking::Option { question, option } = &sign.asking else {
                continue;
            };
            let key = (question.as_str(), option.to_lowercase());
            let Some(first) = seen.insert(key, id.as_str()) else {
                continue;
            };
            let place = |id: &str| {
                let (file, span) = gathered.places.of(Kind::Sign, id)?;
                Some((file.to_owned(), span))
            };
            let Some((file, span)) = place(id.as_str()) else {
                continue;
            };
            self.problems.push(Problem {
                code: ProblemCode::RepeatedEntry,
                file,
                span: Some(span),
                message: format!("`{option}` answers the question `{question}` for two signs"),
                label: "for this one too".to_owned(),
                help: Some("give each sign an option of its own".to_owned()),
                other: place(first).map(|(file, span)| (file, span, "for this one".to_owned())),
            });
        }
    }

    /// A root is the last step back: what stands behind it is not weighed.
    pub(super) fn roots_of_roots(&mut self) {
        let gathered = self.gathered;
        for (id, entry) in &gathered.causes {
            let (CauseKind::Root, Some(at)) = (entry.cause.kind, entry.roots_at.first()) else {
                continue;
            };
            let message = format!("the root `{id}` has roots of its own");
            let help = "list them under the condition, beside this one";
            let code = ProblemCode::RootWithoutCondition;
            self.at_cause(code, id, at.clone(), message, "never weighed", help);
        }
    }
}

/// Whether a formula comes out in another unit than wanted, with what to do.
fn comes_out(formula: &Formula, wanted: Unit) -> Option<(String, String)> {
    let unit = formula.name.unit().filter(|unit| *unit != wanted)?;
    Some((
        format!("comes out in {unit}, and the reading is in {wanted}"),
        format!("give the reading `unit = \"{unit}\"`"),
    ))
}
