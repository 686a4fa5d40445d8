//! Every field of an entry as JSON, conditions in the form the knowledge files have.

use serde::Serialize;
use serde_json::{Map, Value, json};

use crate::engine::condition::{Comparison, Condition, Limit, Proposition, Side};
use crate::engine::id::CauseId;
use crate::engine::knowledge::{
    Action, Asking, Cause, Caution, Cite, DeriveRule, Finding, FromProfile, Grounds, KnowledgeBase,
    RaisedBy, Reading, RootLink, Round, SetupItem, Shows, Sign, Species, Trigger,
};
use crate::engine::wording::finding_id;

type Fields = Map<String, Value>;

/// The fields as they are, with the grounds laid open.
pub fn plain<T: Serialize>(entry: &T) -> Fields {
    // These are structs of texts, numbers and lists: none of them can fail to become JSON.
    let mut fields = match serde_json::to_value(entry) {
        Ok(Value::Object(fields)) => fields,
        Ok(_) | Err(_) => Fields::new(),
    };
    if let Some(Value::Object(grounds)) = fields.shift_remove("grounds") {
        fields.extend(grounds);
    }
    fields
}

pub fn species(species: &Species) -> Fields {
    let mut fields = plain(species);
    let limits = species
        .limits
        .iter()
        .map(|limit| Value::Object(plain(limit)));
    fields.insert("limits".to_owned(), limits.collect());
    let normal = species.normal.iter().map(|look| Value::Object(plain(look)));
    fields.insert("normal".to_owned(), normal.collect());
    let responses = species.responses.iter();
    let responses = responses.map(|one| Value::Object(plain(one)));
    fields.insert("responses".to_owned(), responses.collect());
    fields
}

pub fn sign(base: &KnowledgeBase, sign: &Sign) -> Fields {
    let mut fields = plain(sign);
    fields.shift_remove("asking");
    fields.insert(
        "asked_if".to_owned(),
        json!(sign.asked_if.as_ref().map(condition)),
    );
    fields.insert("profile".to_owned(), from_profile(sign.profile));
    fields.insert(
        "swatch".to_owned(),
        json!(sign.swatch.map(|swatch| swatch.to_string())),
    );
    match &sign.asking {
        Asking::Alone { question } => {
            fields.insert("question".to_owned(), json!(question));
        }
        Asking::Option { question, option } => {
            fields.insert("asked_by".to_owned(), json!(question));
            fields.insert("option".to_owned(), json!(option));
            let ask = base.questions.get(question).map(|question| &question.ask);
            fields.insert("question".to_owned(), json!(ask));
        }
    }
    fields
}

pub fn reading(reading: &Reading) -> Fields {
    let mut fields = plain(reading);
    fields.insert("unit".to_owned(), json!(reading.unit.symbol()));
    let profile = reading.profile.map(|quantity| quantity.word());
    fields.insert("profile".to_owned(), json!(profile));
    fields
}

pub fn setup(item: &SetupItem) -> Fields {
    let mut fields = plain(item);
    fields.insert("profile".to_owned(), from_profile(item.profile));
    fields
}

pub fn round(round: &Round) -> Fields {
    let mut fields = plain(round);
    fields.insert(
        "asked_if".to_owned(),
        json!(round.asked_if.as_ref().map(condition)),
    );
    fields
}

pub fn number(value: f64, meaning: &str) -> Fields {
    let mut fields = Fields::new();
    fields.insert("value".to_owned(), json!(value));
    fields.insert("meaning".to_owned(), json!(meaning.trim()));
    fields
}

fn from_profile(from: Option<FromProfile>) -> Value {
    match from {
        None => Value::Null,
        Some(FromProfile::Says(statement)) => json!(statement.word()),
        Some(FromProfile::Compares(quantity, side, limit)) => {
            let side = match side {
                Side::Above => "above",
                Side::Below => "below",
            };
            json!({ "of": quantity.word(), side: limit })
        }
    }
}

pub fn cause(cause: &Cause) -> Fields {
    let mut fields = plain(cause);
    fields.insert(
        "only_if".to_owned(),
        json!(cause.only_if.as_ref().map(condition)),
    );
    let look_alikes: Vec<Value> = cause
        .look_alikes
        .iter()
        .map(|pair| json!({ "cause": pair.cause, "told_apart_by": finding(&pair.told_apart_by) }))
        .collect();
    fields.insert("look_alikes".to_owned(), json!(look_alikes));
    let shows: Vec<Value> = cause.shows.iter().map(shows_line).collect();
    fields.insert("shows".to_owned(), json!(shows));
    let raised: Vec<Value> = cause.raised_by.iter().map(raised_line).collect();
    fields.insert("raised_by".to_owned(), json!(raised));
    let roots = cause.roots.iter().map(|link| Value::Object(plain(link)));
    fields.insert("roots".to_owned(), roots.collect());
    fields
}

pub fn action(action: &Action) -> Fields {
    let mut fields = plain(action);
    fields.insert("rules".to_owned(), triggers(&action.rules));
    fields
}

pub fn caution(caution: &Caution) -> Fields {
    let mut fields = plain(caution);
    fields.insert("rules".to_owned(), triggers(&caution.rules));
    fields
}

pub fn rule(rule: &DeriveRule) -> Fields {
    let mut fields = of_sort("derive");
    fields.extend(plain(rule));
    fields.insert("when".to_owned(), condition(&rule.when));
    let then = proposition(&rule.then.proposition);
    let then = if rule.then.holds {
        then
    } else {
        json!({ "not": then })
    };
    fields.insert("then".to_owned(), then);
    fields
}

pub fn shows(cause: &CauseId, shows: &Shows) -> Fields {
    about(cause.as_str(), "shows", shows_line(shows))
}

pub fn raised_by(cause: &CauseId, raise: &RaisedBy) -> Fields {
    about(cause.as_str(), "raised-by", raised_line(raise))
}

pub fn root(condition: &CauseId, link: &RootLink) -> Fields {
    let mut fields = of_sort("root");
    fields.insert("condition".to_owned(), json!(condition));
    fields.extend(plain(link));
    fields
}

pub fn trigger(of: &str, sort: &str, trigger: &Trigger) -> Fields {
    about(of, sort, trigger_line(trigger))
}

fn of_sort(sort: &str) -> Fields {
    let mut fields = Fields::new();
    fields.insert("sort".to_owned(), json!(sort));
    fields
}

fn about(of: &str, sort: &str, line: Value) -> Fields {
    let mut fields = of_sort(sort);
    fields.insert("of".to_owned(), json!(of));
    if let Value::Object(line) = line {
        fields.extend(line);
    }
    fields
}

fn with_grounds(line: Value, grounds: &Grounds) -> Value {
    let mut fields = match line {
        Value::Object(fields) => fields,
        _ => Fields::new(),
    };
    fields.insert(
        "sources".to_owned(),
        grounds.sources.iter().map(cite).collect(),
    );
    fields.insert("differ".to_owned(), json!(grounds.differ));
    fields.insert("judgement".to_owned(), json!(grounds.judgement));
    Value::Object(fields)
}

fn cite(cite: &Cite) -> Value {
    json!({ "source": cite.source, "at": cite.at })
}

fn shows_line(shows: &Shows) -> Value {
    let line = json!({
        "when": finding(&shows.finding),
        "shows": shows.share,
        "only_if": shows.only_if.as_ref().map(condition),
        "response_of": shows.response_of,
        "not_in": shows.not_in,
    });
    with_grounds(line, &shows.grounds)
}

fn raised_line(raise: &RaisedBy) -> Value {
    with_grounds(
        json!({ "when": condition(&raise.when), "times": raise.times }),
        &raise.grounds,
    )
}

fn triggers(list: &[Trigger]) -> Value {
    list.iter().map(trigger_line).collect()
}

fn trigger_line(trigger: &Trigger) -> Value {
    with_grounds(
        json!({ "when": condition(&trigger.when) }),
        &trigger.grounds,
    )
}

fn finding(finding: &Finding) -> Value {
    match finding {
        Finding::Sign(id) => json!({ "sign": id }),
        Finding::Fact(id) => json!({ "fact": id }),
        Finding::Reading(one) => comparison(one),
    }
}

fn comparison(comparison: &Comparison) -> Value {
    let side = match comparison.side {
        Side::Above => "above",
        Side::Below => "below",
    };
    let mut fields = Fields::new();
    fields.insert("of".to_owned(), json!(comparison.reading));
    match comparison.limit {
        Limit::Fixed(number) => {
            fields.insert(side.to_owned(), json!(number));
        }
        Limit::Species { times } => {
            fields.insert(side.to_owned(), json!("species"));
            if times != 1.0 {
                fields.insert("times".to_owned(), json!(times));
            }
        }
    }
    json!({ "reading": fields })
}

/// A condition in the form the knowledge files have.
pub fn condition(condition: &Condition) -> Value {
    match condition {
        Condition::Literal(literal) if literal.holds => proposition(&literal.proposition),
        Condition::Literal(literal) => json!({ "not": proposition(&literal.proposition) }),
        Condition::All(parts) => json!({ "all": conditions(parts) }),
        Condition::Any(parts) => json!({ "any": conditions(parts) }),
    }
}

fn conditions(parts: &[Condition]) -> Vec<Value> {
    parts.iter().map(condition).collect()
}

fn proposition(proposition: &Proposition) -> Value {
    match proposition {
        Proposition::Sign(id) => json!({ "sign": id }),
        Proposition::Setup(id) => json!({ "setup": id }),
        Proposition::Fact(id) => json!({ "fact": id }),
        Proposition::Reading(one) => comparison(one),
        Proposition::Species(id) => json!({ "species": [id] }),
        Proposition::Stage(id) => json!({ "stage": [id] }),
        Proposition::Trait(id) => json!({ "trait": id }),
        Proposition::Person(id) => json!({ "person": id }),
        Proposition::Concluded(id) => json!({ "cause": id }),
        Proposition::Suspected(id) => json!({ "suspect": id }),
    }
}

/// A proposition in a word or two.
pub fn proposition_words(proposition: &Proposition) -> String {
    match proposition {
        Proposition::Sign(id) => id.to_string(),
        Proposition::Setup(id) => id.to_string(),
        Proposition::Fact(id) => id.to_string(),
        Proposition::Reading(one) => finding_id(&Finding::Reading(one.clone())),
        Proposition::Species(id) => id.to_string(),
        Proposition::Stage(id) => id.to_string(),
        Proposition::Trait(id) => id.to_string(),
        Proposition::Person(id) => id.to_string(),
        Proposition::Concluded(id) => id.to_string(),
        Proposition::Suspected(id) => format!("suspicion of {id}"),
    }
}
