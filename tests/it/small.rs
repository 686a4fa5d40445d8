//! A small knowledge base built by hand: enough of everything for the front to be tried without the files.

use blockside::engine::condition::{Comparison, Condition, Limit, Literal, Proposition, Side};
use blockside::engine::id::{
    ActionId, CauseId, CautionId, FactId, QuestionId, ReadingId, RuleId, SetupId, SignId, SourceId,
    SpeciesId, StageId,
};
use blockside::engine::knowledge::{
    Action, Amount, Asking, Cause, CauseKind, Caution, Checked, Cite, DeriveRule, Due, Fact,
    Finding, Formula, FormulaName, Grounds, Hazard, KnowledgeBase, Level, NormalLook, Numbers,
    Person, Purpose, Question, RaisedBy, Reading, RootLink, Scale, SetupItem, Severity, Shows,
    Sign, Source, SourceKind, Species, SpeciesLimit, Stage, Trigger,
};
use blockside::engine::quantity::Unit;

macro_rules! id {
    ($name:ident, $text:expr) => {
        $name::new($text).expect("a kebab-case id")
    };
}

/// What every entry here stands on.
fn grounds() -> Grounds {
    Grounds {
        sources: vec![Cite {
            source: id!(SourceId, "nobody-1900-tale"),
            at: Some("page 7".to_owned()),
        }],
        judgement: None,
    }
}

fn file() -> String {
    "small.toml".to_owned()
}

fn words(words: &[&str]) -> Vec<String> {
    words.iter().map(|word| (*word).to_owned()).collect()
}

/// The knowledge base.
pub fn base() -> KnowledgeBase {
    let mut base = KnowledgeBase {
        fingerprint: "5ma11ba5e0000000".to_owned(),
        scale: scale(),
        ..KnowledgeBase::default()
    };
    base.sources.insert(
        id!(SourceId, "nobody-1900-tale"),
        Source {
            cite: "Nobody N. 1900. A tale for tests".to_owned(),
            kind: SourceKind::Practice,
            checked: Checked::Memory,
            at: None,
            file: file(),
        },
    );
    for (stage, name) in [("pinning", "Pinning"), ("fruiting", "Fruiting")] {
        base.stages.insert(
            id!(StageId, stage),
            Stage {
                name: name.to_owned(),
                summary: format!("{name} goes on."),
                default: stage == "fruiting",
                grounds: grounds(),
                file: file(),
            },
        );
    }
    readings(&mut base);
    setup(&mut base);
    signs(&mut base);
    species(&mut base);
    causes(&mut base);
    derived(&mut base);
    actions(&mut base);
    cautions(&mut base);
    base
}

fn scale() -> Scale {
    let level = |value: f64| Level {
        value,
        grounds: grounds(),
    };
    Scale {
        confidence: [
            ("virtually certain", 0.99),
            ("very likely", 0.9),
            ("likely", 0.66),
            ("about as likely as not", 0.33),
            ("unlikely", 0.1),
            ("very unlikely", 0.01),
            ("exceptionally unlikely", 0.0),
        ]
        .into_iter()
        .map(|(word, from)| (word.to_owned(), level(from)))
        .collect(),
        numbers: Numbers {
            conclude_at: 0.5,
            suspect_at: 0.15,
            report_from: 0.05,
            unknown_base_rate: 0.02,
            unknown_strength: 0.1,
            copy_rate: 0.5,
            probably: 0.8,
            unsure: 0.5,
            stop_gain: 0.01,
            settled_at: 0.95,
            decided_at: 0.5,
            close_factor: 3.0,
            hazard_floor: 0.02,
            reading_true_at: 0.8,
        },
        ..Scale::default()
    }
}

fn readings(base: &mut KnowledgeBase) {
    for (id, name, unit, believable, tolerance, question) in [
        (
            "co2",
            "carbon dioxide at cap height",
            Unit::Ppm,
            (0.0, 100_000.0),
            75.0,
            "What does the CO2 meter read at cap height?",
        ),
        (
            "room-co2",
            "carbon dioxide in the room",
            Unit::Ppm,
            (300.0, 50_000.0),
            75.0,
            "What does the CO2 meter read in the room?",
        ),
        (
            "humidity",
            "humidity at cap height",
            Unit::Percent,
            (0.0, 100.0),
            3.0,
            "What does the humidity meter read?",
        ),
        (
            "temperature",
            "temperature at cap height",
            Unit::Celsius,
            (-20.0, 60.0),
            0.5,
            "What does the thermometer read?",
        ),
    ] {
        base.readings.insert(
            id!(ReadingId, id),
            Reading {
                name: name.to_owned(),
                unit,
                believable,
                tolerance,
                tolerance_share: 0.0,
                broken_gauge: 0.02,
                anyway: 0.1,
                effort: 4.0,
                effort_word: "measure".to_owned(),
                question: question.to_owned(),
                look: "Hold the meter at cap height with the lid closed for half an hour"
                    .to_owned(),
                words: words(&[name]),
                computed: None,
                assumed: None,
                grounds: grounds(),
                file: file(),
            },
        );
    }
}

fn setup(base: &mut KnowledgeBase) {
    for (id, statement, opening) in [
        (
            "side-fruited",
            "the blocks fruit from holes in the side",
            true,
        ),
        (
            "top-fruited",
            "the blocks fruit from the top of an open bag",
            true,
        ),
        ("duct-on-outlet", "a duct is fitted to the outlet", false),
    ] {
        base.setup.insert(
            id!(SetupId, id),
            SetupItem {
                statement: statement.to_owned(),
                question: format!("Is it so that {statement}?"),
                words: words(&[id]),
                opening,
                grounds: grounds(),
                file: file(),
            },
        );
    }
    base.people.insert(
        blockside::engine::id::PersonId::new("asthma").expect("a kebab-case id"),
        Person {
            statement: "someone who enters has asthma".to_owned(),
            question: "Does anyone who enters have asthma?".to_owned(),
            words: words(&["asthma"]),
            special_risk: true,
            grounds: grounds(),
            file: file(),
        },
    );
}

fn sign(base: &mut KnowledgeBase, id: &str, statement: &str, anyway: f64, opening: Option<&str>) {
    base.signs.insert(
        id!(SignId, id),
        Sign {
            statement: statement.to_owned(),
            asking: Asking::Alone {
                question: format!("Is it so that {statement}?"),
            },
            look: "Open the door and look for a minute".to_owned(),
            words: words(&[statement]),
            anyway,
            family: None,
            effort: 1.0,
            effort_word: "glance".to_owned(),
            opening: opening.map(str::to_owned),
            grounds: grounds(),
            file: file(),
        },
    );
}

fn signs(base: &mut KnowledgeBase) {
    let colours = [
        ("spot-green", "green"),
        ("spot-orange-pink", "orange or pink"),
        ("spot-black", "black"),
    ];
    let question = id!(QuestionId, "spot-colour");
    base.questions.insert(
        question.clone(),
        Question {
            ask: "What colour is the spot?".to_owned(),
            look: "Use a white torch; look at the middle and the rim".to_owned(),
            effort: 1.0,
            effort_word: "glance".to_owned(),
            one_of: true,
            signs: colours.iter().map(|(id, _)| id!(SignId, *id)).collect(),
            file: file(),
        },
    );
    sign(
        base,
        "long-stems",
        "the stems are long for the caps",
        0.1,
        Some("Leggy: long stems, small caps"),
    );
    sign(
        base,
        "caps-pale",
        "the caps are paler than usual",
        0.1,
        Some("Pale caps"),
    );
    sign(base, "small-caps", "the caps stay small", 0.1, None);
    sign(
        base,
        "spot-on-block",
        "there is a coloured spot on the block",
        0.05,
        Some("A coloured spot on the block"),
    );
    sign(
        base,
        "dust-puffs-when-touched",
        "dust puffs up when it is touched",
        0.02,
        None,
    );
    sign(
        base,
        "fan-feels-weak",
        "hardly any air comes from the fan",
        0.1,
        None,
    );
    sign(base, "lamp-off-or-dim", "the lamp is off or dim", 0.1, None);
    sign(
        base,
        "sour-smell",
        "it smells sour",
        0.05,
        Some("It smells sour"),
    );
    for (id, option) in colours {
        sign(base, id, &format!("the spot is {option}"), 0.02, None);
        if let Some(sign) = base.signs.get_mut(id) {
            sign.asking = Asking::Option {
                question: question.clone(),
                option: option.to_owned(),
            };
        }
    }
}

fn species(base: &mut KnowledgeBase) {
    let limit = |reading: &str, min: Option<f64>, max: Option<f64>| SpeciesLimit {
        stage: id!(StageId, "fruiting"),
        reading: id!(ReadingId, reading),
        min,
        max,
        grounds: grounds(),
    };
    for (id, name, latin, also, default) in [
        (
            "grey-oyster",
            "Grey oyster",
            "Pleurotus ostreatus",
            &["pearl oyster", "oyster"][..],
            true,
        ),
        (
            "shiitake",
            "Shiitake",
            "Lentinula edodes",
            &["oak mushroom"][..],
            false,
        ),
    ] {
        base.species.insert(
            id!(SpeciesId, id),
            Species {
                name: name.to_owned(),
                latin: latin.to_owned(),
                also: words(also),
                summary: format!("{name} is grown on blocks."),
                traits: Vec::new(),
                harvest_sign: "the rims begin to flatten".to_owned(),
                default,
                limits: vec![
                    limit("co2", None, Some(1000.0)),
                    limit("humidity", Some(85.0), Some(95.0)),
                ],
                normal: vec![NormalLook {
                    sign: id!(SignId, "caps-pale"),
                    anyway: if default { 0.1 } else { 0.6 },
                    note: "Caps pale as they ripen.".to_owned(),
                    grounds: grounds(),
                }],
                grounds: grounds(),
                file: file(),
            },
        );
    }
}

fn on_sign(sign: &str) -> Finding {
    Finding::Sign(id!(SignId, sign))
}

fn high_co2() -> Comparison {
    Comparison {
        reading: id!(ReadingId, "co2"),
        side: Side::Above,
        limit: Limit::Species { times: 1.0 },
    }
}

fn cause(
    base: &mut KnowledgeBase,
    id: &str,
    name: &str,
    kind: CauseKind,
    base_rate: f64,
    shows: &[(Finding, f64)],
) {
    base.causes.insert(
        id!(CauseId, id),
        Cause {
            name: name.to_owned(),
            kind,
            summary: format!("{name}, told in one plain sentence."),
            only_if: None,
            any_of: Vec::new(),
            base_rate,
            hazard: None,
            look_alikes: Vec::new(),
            actions: Vec::new(),
            cautions: Vec::new(),
            shows: shows
                .iter()
                .map(|(finding, share)| Shows {
                    finding: finding.clone(),
                    share: *share,
                    only_if: None,
                    grounds: grounds(),
                })
                .collect(),
            raised_by: Vec::new(),
            roots: Vec::new(),
            grounds: grounds(),
            file: file(),
        },
    );
}

fn causes(base: &mut KnowledgeBase) {
    cause(
        base,
        "stale-air",
        "Stale air: too much carbon dioxide",
        CauseKind::Condition,
        0.08,
        &[
            (on_sign("long-stems"), 0.8),
            (on_sign("small-caps"), 0.6),
            (Finding::Reading(high_co2()), 0.95),
        ],
    );
    cause(
        base,
        "too-dark",
        "Too little light",
        CauseKind::Condition,
        0.04,
        &[(on_sign("long-stems"), 0.6), (on_sign("caps-pale"), 0.8)],
    );
    cause(
        base,
        "green-mould",
        "Green mould",
        CauseKind::Contaminant,
        0.08,
        &[
            (on_sign("spot-on-block"), 0.95),
            (on_sign("spot-green"), 0.9),
            (on_sign("dust-puffs-when-touched"), 0.35),
        ],
    );
    cause(
        base,
        "orange-bread-mould",
        "Orange bread mould",
        CauseKind::Contaminant,
        0.008,
        &[
            (on_sign("spot-on-block"), 0.95),
            (on_sign("spot-orange-pink"), 0.9),
            (on_sign("dust-puffs-when-touched"), 0.8),
        ],
    );
    cause(
        base,
        "young-cap-colour",
        "Young caps are pale",
        CauseKind::LookAlike,
        0.08,
        &[(on_sign("caps-pale"), 0.6)],
    );
    cause(
        base,
        "mould-on-block",
        "Mould on the block",
        CauseKind::Condition,
        0.0,
        &[],
    );
    cause(
        base,
        "fan-too-slow",
        "The fan is too slow",
        CauseKind::Root,
        0.1,
        &[(on_sign("fan-feels-weak"), 0.9)],
    );
    cause(
        base,
        "vent-blocked",
        "The vent is blocked",
        CauseKind::Root,
        0.04,
        &[(on_sign("fan-feels-weak"), 0.6)],
    );
    cause(
        base,
        "lamp-failed-or-timer-off",
        "The lamp failed or its timer is off",
        CauseKind::Root,
        0.04,
        &[(on_sign("lamp-off-or-dim"), 0.9)],
    );
    cause(
        base,
        "mould-from-water",
        "Mould came with the mist water",
        CauseKind::Root,
        0.1,
        &[],
    );
    let brings = |root: &str, brings: f64| RootLink {
        cause: id!(CauseId, root),
        brings,
        grounds: grounds(),
    };
    let mut change = |id: &str, change: &dyn Fn(&mut Cause)| {
        change(base.causes.get_mut(id).expect("a cause made above"));
    };
    change("stale-air", &|cause| {
        cause.roots = vec![brings("fan-too-slow", 0.5), brings("vent-blocked", 0.6)];
        cause.actions = vec![id!(ActionId, "more-fresh-air")];
        cause.raised_by = vec![RaisedBy {
            when: Condition::holds(Proposition::Setup(id!(SetupId, "duct-on-outlet"))),
            times: 2.0,
            grounds: grounds(),
        }];
    });
    change("too-dark", &|cause| {
        cause.roots = vec![brings("lamp-failed-or-timer-off", 0.6)];
        cause.actions = vec![id!(ActionId, "add-light")];
    });
    for mould in ["green-mould", "orange-bread-mould"] {
        change(mould, &|cause| {
            cause.actions = vec![id!(ActionId, "bag-and-remove-block")];
            cause.cautions = vec![id!(CautionId, "mould-handling")];
        });
    }
    change("orange-bread-mould", &|cause| {
        cause.hazard = Some(Hazard::Health);
        cause.cautions.push(id!(CautionId, "orange-mould-spores"));
    });
    change("mould-on-block", &|cause| {
        cause.any_of = vec![
            id!(CauseId, "green-mould"),
            id!(CauseId, "orange-bread-mould"),
        ];
        cause.roots = vec![brings("mould-from-water", 0.3)];
    });
}

fn derived(base: &mut KnowledgeBase) {
    base.facts.insert(
        id!(FactId, "stretched-though-air-fine"),
        Fact {
            statement: "the stems stretched though the air is fresh".to_owned(),
            anyway: 0.02,
            family: None,
            grounds: grounds(),
            file: file(),
        },
    );
    base.rules.insert(
        id!(RuleId, "stretched-in-fresh-air"),
        DeriveRule {
            when: Condition::All(vec![
                Condition::holds(Proposition::Sign(id!(SignId, "long-stems"))),
                Condition::holds(Proposition::Reading(high_co2())).denied(),
            ]),
            then: Literal {
                proposition: Proposition::Fact(id!(FactId, "stretched-though-air-fine")),
                holds: true,
            },
            text: "The stems stretched though the air is fresh".to_owned(),
            grounds: grounds(),
            file: file(),
        },
    );
}

fn action(base: &mut KnowledgeBase, id: &str, text: &str, purpose: Purpose, when: Due) {
    base.actions.insert(
        id!(ActionId, id),
        Action {
            purpose,
            when_to_do: when,
            text: text.to_owned(),
            amount: None,
            effort: 2.0,
            effort_word: "minute".to_owned(),
            shows_in: "1 to 2 days".to_owned(),
            watch: "the next caps".to_owned(),
            disturbs: Vec::new(),
            if_failed: "Look for a second cause".to_owned(),
            rules: Vec::new(),
            grounds: grounds(),
            file: file(),
        },
    );
}

fn actions(base: &mut KnowledgeBase) {
    action(
        base,
        "more-fresh-air",
        "Give the chamber more fresh air.",
        Purpose::Fix,
        Due::Now,
    );
    action(
        base,
        "add-light",
        "Give the chamber more light.",
        Purpose::Fix,
        Due::NextDays,
    );
    action(
        base,
        "bag-and-remove-block",
        "Bag the block without touching the spot and carry it out.",
        Purpose::Contain,
        Due::Now,
    );
    let air = base.actions.get_mut("more-fresh-air").expect("made above");
    air.amount = Some(Amount {
        formula: Formula {
            name: FormulaName::AirflowFactor,
            inputs: [
                ("measured".to_owned(), id!(ReadingId, "co2")),
                ("outside".to_owned(), id!(ReadingId, "room-co2")),
            ]
            .into_iter()
            .collect(),
        },
        limit: Some(id!(ReadingId, "co2")),
        text: "about {value} times the present airflow".to_owned(),
        otherwise: "half as much again, then read CO2 after an hour".to_owned(),
    });
    air.disturbs =
        vec!["Humidity falls: the mister must give about {value} times as much.".to_owned()];
}

fn caution(base: &mut KnowledgeBase, id: &str, severity: Severity, text: &str, when: &[&str]) {
    base.cautions.insert(
        id!(CautionId, id),
        Caution {
            severity,
            text: text.to_owned(),
            special_risk: Some("Stay out of the room; let somebody else do it.".to_owned()),
            rules: when
                .iter()
                .map(|sign| Trigger {
                    when: Condition::holds(Proposition::Sign(id!(SignId, *sign))),
                    grounds: grounds(),
                })
                .collect(),
            defer_to: "a doctor".to_owned(),
            grounds: grounds(),
            file: file(),
        },
    );
}

fn cautions(base: &mut KnowledgeBase) {
    caution(
        base,
        "orange-mould-spores",
        Severity::Stop,
        "Do not touch the orange spot: its dust spreads through the whole room at a breath. Close the chamber and leave it shut.",
        &["spot-orange-pink"],
    );
    caution(
        base,
        "mould-handling",
        Severity::Care,
        "Wear a fitted dust mask before you open the chamber.",
        &["spot-on-block"],
    );
    caution(
        base,
        "eat-only-sound",
        Severity::Info,
        "Eat only sound, fresh mushrooms.",
        &["sour-smell"],
    );
}
