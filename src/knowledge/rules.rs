//! Entries that reason: causes, derive rules with their facts, actions and cautions.
//!
//! The order in which keys are taken is the order in which they stand in the files.

use std::ops::Range;

use toml::de::DeTable;

use crate::engine::condition::{Condition, Proposition};
use crate::engine::id::{ActionId, CauseId, CautionId, FamilyId, PersonId, ReadingId};
use crate::engine::knowledge::{
    Action, AlsoAmount, Amount, AtOdds, Cause, CauseKind, Caution, DeriveRule, Due, Fact, Hazard,
    LookAlike, Purpose, RaisedBy, RootLink, Severity, Shows, Trigger,
};
use crate::knowledge::entries::Entry;
use crate::knowledge::fields::{At, Fields};
use crate::knowledge::problem::ProblemCode;
use crate::knowledge::shape::{Kind, Shape};

pub(crate) const KINDS: [(&str, CauseKind); 9] = [
    ("condition", CauseKind::Condition),
    ("root", CauseKind::Root),
    ("contaminant", CauseKind::Contaminant),
    ("disease", CauseKind::Disease),
    ("pest", CauseKind::Pest),
    ("practice", CauseKind::Practice),
    ("instrument", CauseKind::Instrument),
    ("crop", CauseKind::Crop),
    ("look-alike", CauseKind::LookAlike),
];
pub(crate) const HAZARDS: [(&str, Hazard); 2] =
    [("health", Hazard::Health), ("loss", Hazard::Loss)];
const PURPOSES: [(&str, Purpose); 5] = [
    ("protect", Purpose::Protect),
    ("contain", Purpose::Contain),
    ("fix", Purpose::Fix),
    ("watch", Purpose::Watch),
    ("prevent", Purpose::Prevent),
];
const DUES: [(&str, Due); 3] = [
    ("now", Due::Now),
    ("next-days", Due::NextDays),
    ("next-run", Due::NextRun),
];
const SEVERITIES: [(&str, Severity); 3] = [
    ("stop", Severity::Stop),
    ("care", Severity::Care),
    ("info", Severity::Info),
];

/// Stands for the number in the text of an amount.
const PLACEHOLDER: &str = "{value}";

/// What the odds may be multiplied by: beyond this a risk factor would decide the case alone.
///
/// judgement: no risk factor published for these crops is stronger, and signs must be able to speak against it.
const RAISE: std::ops::RangeInclusive<f64> = 0.1..=20.0;

/// A cause with the places of its links, for the checks that look across entries.
pub struct CauseEntry {
    /// The cause.
    pub cause: Cause,
    /// Place of each link in `cause.shows`.
    pub shows_at: Vec<Range<usize>>,
    /// Place of each root link.
    pub roots_at: Vec<Range<usize>>,
    /// Place of each look-alike.
    pub pairs_at: Vec<Range<usize>>,
    /// Place of the entry.
    pub span: Range<usize>,
}

impl Shape<'_, '_> {
    /// A cause with everything that hangs on it.
    pub fn cause(&mut self, table: &DeTable<'_>, span: Range<usize>) -> Option<Entry<CauseEntry>> {
        let mut fields = Fields::new(table, span.clone(), "a cause");
        let id = self.head(&mut fields, "cause");
        let name = fields.text("name", &mut self.notes);
        let kind = self.choice(&mut fields, "kind", &KINDS);
        let summary = fields.text("summary", &mut self.notes);
        let only_if = self.condition_opt(&mut fields, "only-if");
        self.no_conclusion(only_if.as_ref());
        let any_of = self.names(&mut fields, "any-of", Kind::Cause, CauseId::new);
        let base_rate = if any_of.is_empty() || table.contains_key("base-rate") {
            self.base_rate(&mut fields)
        } else {
            Some(0.0)
        };
        let hazard = match fields.text_opt("hazard", &mut self.notes) {
            Some(word) => self.choose("hazard", &word, &HAZARDS),
            None => None,
        };
        let (look_alikes, pairs_at) = self.look_alikes(&mut fields);
        let actions = self.names(&mut fields, "actions", Kind::Action, ActionId::new);
        let cautions = self.names(&mut fields, "cautions", Kind::Caution, CautionId::new);
        let (shows, shows_at) = self.shows(&mut fields);
        let raised_by = self.raised_by(&mut fields);
        let (roots, roots_at) = self.roots(&mut fields);
        let grounds = self.grounds(&mut fields, true);
        let own = ["base-rate", "rules"]
            .into_iter()
            .filter_map(|key| table.get_key_value(key))
            .filter(|(key, _)| key.get_ref() == "base-rate" || !shows.is_empty());
        for (key, _) in own.filter(|_| !any_of.is_empty()) {
            let message = format!("{} is a group and has `{}`", fields.what(), key.get_ref());
            let help = "a group holds where one of its members does: leave this out, or `any-of`";
            self.notes.add(
                ProblemCode::BadGroup,
                key.span(),
                message,
                "not in a group",
                Some(help.to_owned()),
            );
        }
        fields.finish(&mut self.notes);
        let cause = Cause {
            name: name?.0,
            kind: kind?,
            summary: summary?.0,
            only_if: only_if.map(|(condition, _)| condition),
            any_of,
            base_rate: base_rate?,
            hazard,
            look_alikes,
            actions,
            cautions,
            shows,
            raised_by,
            roots,
            grounds,
            file: self.notes.file.to_owned(),
        };
        Some((
            id?,
            CauseEntry {
                cause,
                shows_at,
                roots_at,
                pairs_at,
                span,
            },
        ))
    }

    fn look_alikes(&mut self, fields: &mut Fields<'_, '_>) -> (Vec<LookAlike>, Vec<Range<usize>>) {
        let mut pairs = Vec::new();
        let mut places = Vec::new();
        for (table, span) in fields.tables("look-alikes", &mut self.notes) {
            let mut own = Fields::new(table, span.clone(), "a look-alike");
            let cause = own.text("cause", &mut self.notes);
            let by = self.condition_at(&mut own, "told-apart-by");
            own.finish(&mut self.notes);
            let (Some(cause), Some(by)) = (cause, by) else {
                continue;
            };
            let cause = self.named(Kind::Cause, &cause, CauseId::new);
            let told_apart_by = self.finding(&by);
            if let (Some(cause), Some(told_apart_by)) = (cause, told_apart_by) {
                pairs.push(LookAlike {
                    cause,
                    told_apart_by,
                });
                places.push(span);
            }
        }
        (pairs, places)
    }

    fn shows(&mut self, fields: &mut Fields<'_, '_>) -> (Vec<Shows>, Vec<Range<usize>>) {
        let mut links = Vec::new();
        let mut places = Vec::new();
        for (table, span) in fields.tables("rules", &mut self.notes) {
            let mut own = Fields::new(table, span.clone(), "a rule");
            let when = self.condition_at(&mut own, "when");
            let share = self.frequency(&mut own, "shows");
            let only_if = self.condition_opt(&mut own, "only-if");
            self.no_conclusion(only_if.as_ref());
            let grounds = self.grounds(&mut own, true);
            own.finish(&mut self.notes);
            let finding = when.and_then(|when| self.finding(&when));
            if let (Some(finding), Some(share)) = (finding, share) {
                let only_if = only_if.map(|(condition, _)| condition);
                links.push(Shows {
                    finding,
                    share,
                    only_if,
                    response_of: None,
                    not_in: Vec::new(),
                    grounds,
                });
                places.push(span);
            }
        }
        (links, places)
    }

    fn raised_by(&mut self, fields: &mut Fields<'_, '_>) -> Vec<RaisedBy> {
        let mut raises = Vec::new();
        for (table, span) in fields.tables("raised-by", &mut self.notes) {
            let mut own = Fields::new(table, span, "a risk factor");
            let when = self.condition_at(&mut own, "when");
            self.no_conclusion(when.as_ref());
            let times = own.number_opt("times", &mut self.notes);
            if times.is_none() && !table.contains_key("times") {
                own.missing("times", &mut self.notes);
            }
            let grounds = self.grounds(&mut own, true);
            own.finish(&mut self.notes);
            let times = times.and_then(|(times, at)| self.within("times", times, RAISE, at));
            if let (Some((when, _)), Some(times)) = (when, times) {
                raises.push(RaisedBy {
                    when,
                    times,
                    grounds,
                });
            }
        }
        raises
    }

    fn roots(&mut self, fields: &mut Fields<'_, '_>) -> (Vec<RootLink>, Vec<Range<usize>>) {
        let mut links = Vec::new();
        let mut places = Vec::new();
        for (table, span) in fields.tables("roots", &mut self.notes) {
            let mut own = Fields::new(table, span.clone(), "a root");
            let cause = own.text("cause", &mut self.notes);
            let brings = self.frequency(&mut own, "brings");
            let grounds = self.grounds(&mut own, true);
            own.finish(&mut self.notes);
            let cause = cause.and_then(|cause| self.named(Kind::Cause, &cause, CauseId::new));
            if let (Some(cause), Some(brings)) = (cause, brings) {
                links.push(RootLink {
                    cause,
                    brings,
                    grounds,
                });
                places.push(span);
            }
        }
        (links, places)
    }

    /// Notes where a condition asks for a conclusion although it is needed before there can be one.
    pub(super) fn no_conclusion(&mut self, condition: Option<&At<Condition>>) {
        let Some((condition, span)) = condition else {
            return;
        };
        let mut concluding = false;
        condition.each_literal(&mut |literal| {
            concluding |= matches!(
                literal.proposition,
                Proposition::Concluded(_) | Proposition::Suspected(_)
            );
        });
        if concluding {
            let help =
                "`cause` and `suspect` belong to the rules of actions and cautions".to_owned();
            let message =
                "this condition asks for a conclusion before anything is weighed".to_owned();
            self.notes.add(
                ProblemCode::EarlyConclusion,
                span.clone(),
                message,
                "too early",
                Some(help),
            );
        }
    }

    /// A fact that rules derive.
    pub fn fact(&mut self, table: &DeTable<'_>, span: Range<usize>) -> Option<Entry<Fact>> {
        let mut fields = Fields::new(table, span, "a derived fact");
        let id = self.head(&mut fields, "fact");
        let statement = fields.text("statement", &mut self.notes);
        let anyway = self.frequency(&mut fields, "anyway");
        let family = fields.text_opt("family", &mut self.notes);
        let family = family.and_then(|text| self.id(&text, FamilyId::new));
        let at_odds = fields
            .table_opt("at-odds", &mut self.notes)
            .map(|(table, span)| self.at_odds(table, span));
        let grounds = self.grounds(&mut fields, true);
        fields.finish(&mut self.notes);
        let file = self.notes.file.to_owned();
        let at_odds = match at_odds {
            Some(at_odds) => Some(at_odds?),
            None => None,
        };
        Some((
            id?,
            Fact {
                statement: statement?.0,
                anyway: anyway?,
                family,
                at_odds,
                grounds,
                file,
            },
        ))
    }

    /// What to say where things that were told do not go together.
    fn at_odds(&mut self, table: &DeTable<'_>, span: Range<usize>) -> Option<AtOdds> {
        let mut fields = Fields::new(table, span, "what is at odds");
        let says = fields.text("says", &mut self.notes);
        let may_be = self.names(&mut fields, "may-be", Kind::Cause, CauseId::new);
        fields.finish(&mut self.notes);
        Some(AtOdds {
            says: says?.0,
            may_be,
        })
    }

    /// A rule from facts to a fact.
    pub fn derive_rule(
        &mut self,
        table: &DeTable<'_>,
        span: Range<usize>,
    ) -> Option<Entry<DeriveRule>> {
        let mut fields = Fields::new(table, span, "a derive rule");
        let id = self.head(&mut fields, "derive rule");
        let when = self.condition_at(&mut fields, "when");
        self.no_conclusion(when.as_ref());
        let then = self.condition_at(&mut fields, "then");
        let text = fields.text("text", &mut self.notes);
        let grounds = self.grounds(&mut fields, true);
        fields.finish(&mut self.notes);
        let (then, then_at) = then?;
        let then = match then {
            Condition::Literal(literal)
                if matches!(
                    literal.proposition,
                    Proposition::Sign(_) | Proposition::Fact(_)
                ) =>
            {
                literal
            }
            _ => {
                let message = "a derive rule concludes one sign or fact, or its denial".to_owned();
                self.notes.add(
                    ProblemCode::NotObservable,
                    then_at,
                    message,
                    "cannot be derived",
                    Some("write `{ fact = \"..\" }`, `{ sign = \"..\" }`, or one of them under `not`".to_owned()),
                );
                return None;
            }
        };
        let file = self.notes.file.to_owned();
        Some((
            id?,
            DeriveRule {
                when: when?.0,
                then,
                text: text?.0,
                grounds,
                file,
            },
        ))
    }

    fn triggers(&mut self, fields: &mut Fields<'_, '_>) -> Vec<Trigger> {
        let mut triggers = Vec::new();
        for (table, span) in fields.tables("rules", &mut self.notes) {
            let mut own = Fields::new(table, span, "a rule");
            let when = self.condition_at(&mut own, "when");
            let grounds = self.grounds(&mut own, true);
            own.finish(&mut self.notes);
            triggers.extend(when.map(|(when, _)| Trigger { when, grounds }));
        }
        triggers
    }

    /// An action.
    pub fn action(&mut self, table: &DeTable<'_>, span: Range<usize>) -> Option<Entry<Action>> {
        let mut fields = Fields::new(table, span, "an action");
        let id = self.head(&mut fields, "action");
        let purpose = self.choice(&mut fields, "purpose", &PURPOSES);
        let when_to_do = self.choice(&mut fields, "when-to-do", &DUES);
        let text = fields.text("text", &mut self.notes);
        let first_minute = fields.texts("first-minute", &mut self.notes);
        let first = matches!(purpose, Some(Purpose::Protect | Purpose::Contain))
            && when_to_do == Some(Due::Now);
        if let Some((_, at)) = first_minute.first().filter(|_| !first) {
            self.notes.add(
                ProblemCode::LateFirstMinute,
                at.clone(),
                format!("{} is nothing for the first minute", fields.what()),
                "told before any question",
                Some(
                    "it belongs to an action that protects or contains, and is due `now`"
                        .to_owned(),
                ),
            );
        }
        let amount = fields
            .table_opt("amount", &mut self.notes)
            .map(|(table, span)| self.amount(table, span));
        let effort = self.effort(&mut fields);
        let shows_in = fields.text("shows-in", &mut self.notes);
        let watch = fields.text("watch", &mut self.notes);
        let watched = self.watched(&mut fields);
        let disturbs = fields.texts("disturbs", &mut self.notes);
        let if_failed = fields.text("if-failed", &mut self.notes);
        let plain = [&text, &shows_in, &watch, &if_failed];
        self.no_placeholder(plain.into_iter().flatten());
        self.no_placeholder(first_minute.iter());
        if amount.is_none() {
            self.no_placeholder(disturbs.iter());
        }
        let rules = self.triggers(&mut fields);
        let grounds = self.grounds(&mut fields, true);
        fields.finish(&mut self.notes);
        let amount = match amount {
            Some(amount) => Some(amount?),
            None => None,
        };
        let (effort, effort_word) = effort?;
        let action = Action {
            purpose: purpose?,
            when_to_do: when_to_do?,
            text: text?.0,
            first_minute: first_minute.into_iter().map(|(text, _)| text).collect(),
            amount,
            effort,
            effort_word,
            shows_in: shows_in?.0,
            watch: watch?.0,
            watched,
            disturbs: disturbs.into_iter().map(|(text, _)| text).collect(),
            if_failed: if_failed?.0,
            rules,
            grounds,
            file: self.notes.file.to_owned(),
        };
        Some((id?, action))
    }

    /// Notes texts that ask for an amount where none is worked out.
    fn no_placeholder<'t>(&mut self, texts: impl Iterator<Item = &'t At<String>>) {
        for (_, at) in texts.filter(|(text, _)| text.contains(PLACEHOLDER)) {
            self.notes.add(
                ProblemCode::BadPlaceholder,
                at.clone(),
                format!("`{PLACEHOLDER}` stands where no amount is known"),
                "would be shown as it is",
                Some(
                    "it belongs in the `text` of an `amount`, and in `disturbs` beside one"
                        .to_owned(),
                ),
            );
        }
    }

    fn amount(&mut self, table: &DeTable<'_>, span: Range<usize>) -> Option<Amount> {
        let mut fields = Fields::new(table, span.clone(), "an amount");
        let worked = self.worked_amount(&mut fields, span);
        let otherwise = fields.text("otherwise", &mut self.notes);
        let also = fields.tables("also", &mut self.notes);
        fields.finish(&mut self.notes);
        self.no_placeholder(otherwise.iter());
        let also = also
            .into_iter()
            .filter_map(|(table, span)| {
                let mut own = Fields::new(table, span.clone(), "what an amount also asks for");
                let worked = self.worked_amount(&mut own, span);
                own.finish(&mut self.notes);
                worked
            })
            .collect();
        let AlsoAmount {
            formula,
            limit,
            text,
        } = worked?;
        Some(Amount {
            formula,
            limit,
            text,
            otherwise: otherwise?.0,
            also,
        })
    }

    /// The keys `formula`, `inputs`, `limit` and `text`.
    fn worked_amount(
        &mut self,
        fields: &mut Fields<'_, '_>,
        span: Range<usize>,
    ) -> Option<AlsoAmount> {
        let formula = self.formula(fields);
        let limit = fields.text_opt("limit", &mut self.notes);
        let text = fields.text("text", &mut self.notes);
        if let Some((_, at)) = text
            .as_ref()
            .filter(|(text, _)| !text.contains(PLACEHOLDER))
        {
            self.notes.add(
                ProblemCode::BadPlaceholder,
                at.clone(),
                format!("the text of an amount lacks `{PLACEHOLDER}`"),
                "says no amount",
                Some(format!("write `{PLACEHOLDER}` where the number belongs")),
            );
        }
        let limit = match limit {
            Some(limit) => Some(self.named(Kind::Reading, &limit, ReadingId::new)?),
            None => None,
        };
        let formula = formula?;
        if formula.name.needs_limit() != limit.is_some() {
            let message = "the formula and `limit` do not go together".to_owned();
            let help = if limit.is_some() {
                "leave `limit` out"
            } else {
                "name the reading under `limit`"
            };
            self.notes.add(
                ProblemCode::UnknownFormula,
                span,
                message,
                "limit",
                Some(help.to_owned()),
            );
            return None;
        }
        Some(AlsoAmount {
            formula,
            limit,
            text: text?.0,
        })
    }

    /// A caution.
    pub fn caution(&mut self, table: &DeTable<'_>, span: Range<usize>) -> Option<Entry<Caution>> {
        let mut fields = Fields::new(table, span, "a caution");
        let id = self.head(&mut fields, "caution");
        let severity = self.choice(&mut fields, "severity", &SEVERITIES);
        let at_once = fields.flag("at-once", &mut self.notes);
        let only_for = fields.texts("only-for", &mut self.notes);
        let only_for = only_for
            .iter()
            .filter_map(|text| self.named(Kind::Person, text, PersonId::new))
            .collect();
        let text = fields.text("text", &mut self.notes);
        let special_risk = fields
            .text_opt("special-risk", &mut self.notes)
            .map(|(text, _)| text);
        let rules = self.triggers(&mut fields);
        let defer_to = fields.text("defer-to", &mut self.notes);
        let grounds = self.grounds(&mut fields, true);
        fields.finish(&mut self.notes);
        let caution = Caution {
            severity: severity?,
            at_once,
            only_for,
            text: text?.0,
            special_risk,
            rules,
            defer_to: defer_to?.0,
            grounds,
            file: self.notes.file.to_owned(),
        };
        Some((id?, caution))
    }
}

/// The findings a derive rule needs or denies, for finding cycles.
pub fn derivable(proposition: &Proposition) -> Option<String> {
    match proposition {
        Proposition::Sign(id) => Some(format!("sign {id}")),
        Proposition::Fact(id) => Some(format!("fact {id}")),
        _ => None,
    }
}
