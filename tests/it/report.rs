//! What people read: reports of diagnoses built by hand, one of each verdict, on a wide and a narrow page.

use blockside::engine::diagnosis::{
    ActionDue, AmountDue, Ask, CauseFound, CautionDue, Contradiction, DerivedStep, Diagnosis,
    FindingText, NextCheck, Reason, RootFound, Verdict,
};
use blockside::engine::id::{ActionId, CauseId, CautionId, QuestionId, SignId, SourceId};
use blockside::engine::knowledge::{CauseKind, Cite, Due, Finding, Purpose, Severity};
use blockside::engine::observations::{Answer, Observations};
use blockside::engine::quantity::System;
use blockside::engine::reasoner::Reasoner;
use blockside::report::catalogue::{Kind, list, table};
use blockside::report::explanation::{Asked, explanation};
use blockside::report::json;
use blockside::report::page::Look;
use blockside::report::text::{Told, report};

use crate::small;

macro_rules! id {
    ($name:ident, $text:expr) => {
        $name::new($text).expect("a kebab-case id")
    };
}

fn finding(sign: &str, text: &str) -> FindingText {
    FindingText {
        finding: Finding::Sign(id!(SignId, sign)),
        id: sign.to_owned(),
        text: text.to_owned(),
    }
}

fn reason(sign: &str, text: &str, weight_db: f64) -> Reason {
    Reason {
        finding: finding(sign, text),
        weight_db,
        taken_by: None,
        sources: vec![Cite {
            source: id!(SourceId, "nobody-1900-tale"),
            at: None,
        }],
        differ: None,
    }
}

fn nothing_told() -> Diagnosis {
    Diagnosis {
        verdict: Verdict::NothingTold,
        nothing_fits: 0.02,
        nothing_wrong: 0.7,
        exact: true,
        conflict_bits: 0.0,
        causes: Vec::new(),
        unexplained: Vec::new(),
        next_checks: Vec::new(),
        actions: Vec::new(),
        cautions: Vec::new(),
        derived: Vec::new(),
        normal_looks: Vec::new(),
        contradictions: Vec::new(),
        homework: Vec::new(),
        personal_rates: Vec::new(),
    }
}

fn found(id: &str, name: &str, confidence: f64, words: &str) -> CauseFound {
    CauseFound {
        id: id!(CauseId, id),
        name: name.to_owned(),
        kind: CauseKind::Condition,
        summary: format!("{name}, told in one plain sentence that runs on for a while."),
        confidence,
        words: words.to_owned(),
        beforehand: 0.08,
        speaks_for: Vec::new(),
        speaks_against: Vec::new(),
        roots: Vec::new(),
    }
}

fn look_at_the_fan() -> NextCheck {
    NextCheck {
        ask: Ask::Sign(id!(SignId, "caps-pale")),
        question: "Are the caps paler than usual?".to_owned(),
        how: "Lay one beside a cap from the last flush".to_owned(),
        chances: Vec::new(),
        gain_bits: 0.41,
        effort: 1.0,
        effort_word: "glance".to_owned(),
        separates: vec![id!(CauseId, "stale-air"), id!(CauseId, "too-dark")],
        hazard: false,
        about_roots_of: None,
    }
}

fn decided() -> Diagnosis {
    let mut air = found(
        "stale-air",
        "Stale air: too much carbon dioxide",
        0.943,
        "very likely",
    );
    air.speaks_for = vec![
        reason(
            "co2-above-species",
            "carbon dioxide at cap height is 2900 ppm, above 1000 ppm, the limit for this crop",
            11.2,
        ),
        reason("long-stems", "the stems are long for the caps", 6.1),
    ];
    air.speaks_against = vec![reason("small-caps", "not seen: the caps stay small", -3.9)];
    air.roots = vec![RootFound {
        id: id!(CauseId, "fan-too-slow"),
        name: "The fan is too slow".to_owned(),
        confidence: 0.61,
        words: "about as likely as not".to_owned(),
        because: vec![finding(
            "fan-feels-weak",
            "hardly any air comes from the fan",
        )],
    }];
    let mut dark = found("too-dark", "Too little light", 0.21, "unlikely");
    let mut taken = reason("long-stems", "the stems are long for the caps", 0.8);
    taken.taken_by = Some(id!(CauseId, "stale-air"));
    dark.speaks_for = vec![taken];
    Diagnosis {
        verdict: Verdict::Decided,
        causes: vec![
            air,
            dark,
            found("draughty-air", "Draughty air", 0.11, "unlikely"),
            found("air-too-dry", "The air is too dry", 0.07, "very unlikely"),
        ],
        unexplained: vec![finding("sour-smell", "it smells sour")],
        next_checks: vec![look_at_the_fan()],
        actions: vec![
            ActionDue {
                id: id!(ActionId, "more-fresh-air"),
                text: "Give the chamber more fresh air.".to_owned(),
                purpose: Purpose::Fix,
                due: Due::Now,
                for_causes: vec![id!(CauseId, "stale-air")],
                amount: Some(AmountDue {
                    value: Some(3.5),
                    uncertainty: Some(0.2),
                    unit: "times",
                    text: "about 3.5 times the present airflow".to_owned(),
                    also: Vec::new(),
                }),
                effort_word: "minute".to_owned(),
                shows_in: "CO2 within the hour; new caps in 1 to 2 days".to_owned(),
                watch: "the stems of the next clusters".to_owned(),
                disturbs: vec![
                    "Humidity falls: the mister must give about 3.5 times as much.".to_owned(),
                ],
                if_failed: "Look for a blocked vent".to_owned(),
                sources: Vec::new(),
                differ: None,
            },
            ActionDue {
                id: id!(ActionId, "add-light"),
                text: "Give the chamber more light.".to_owned(),
                purpose: Purpose::Prevent,
                due: Due::NextRun,
                for_causes: vec![id!(CauseId, "too-dark")],
                amount: None,
                effort_word: "minute".to_owned(),
                shows_in: "the next flush".to_owned(),
                watch: String::new(),
                disturbs: Vec::new(),
                if_failed: String::new(),
                sources: Vec::new(),
                differ: None,
            },
        ],
        cautions: vec![
            CautionDue {
                id: id!(CautionId, "co2-over-15000"),
                severity: Severity::Stop,
                text: "Leave the room and open the door: carbon dioxide is above a workplace limit for healthy adults.".to_owned(),
                special_risk: Some("Stay out altogether.".to_owned()),
                because: vec!["carbon dioxide in the room is 21000 ppm".to_owned()],
                defer_to: "the emergency services if anyone feels faint".to_owned(),
                sources: Vec::new(),
                differ: None,
            },
            CautionDue {
                id: id!(CautionId, "co2-in-room"),
                severity: Severity::Care,
                text: "Air the room before you work in it.".to_owned(),
                special_risk: None,
                because: vec!["the chamber blows into the room".to_owned()],
                defer_to: "local rules for workplaces".to_owned(),
                sources: Vec::new(),
                differ: None,
            },
        ],
        derived: vec![DerivedStep {
            rule: "stretched-in-stale-air".to_owned(),
            text: "the stems stretched in stale air".to_owned(),
            because: vec!["the stems are long for the caps".to_owned(), "the air is stale".to_owned()],
            degree: 0.9,
        }],
        contradictions: vec![Contradiction {
            id: "fan-off".to_owned(),
            text: "the fan is said to be off and on full".to_owned(),
            between: vec!["the fan is off".to_owned(), "the fan is on full".to_owned()],
            may_be: Vec::new(),
            settle_by: None,
        }],
        personal_rates: Vec::new(),
        normal_looks: vec![finding("caps-pale", "the caps are paler than usual")],
        ..nothing_told()
    }
}

fn undecided() -> Diagnosis {
    Diagnosis {
        verdict: Verdict::Undecided,
        causes: vec![
            found(
                "stale-air",
                "Stale air: too much carbon dioxide",
                0.55,
                "about as likely as not",
            ),
            found(
                "too-dark",
                "Too little light",
                0.48,
                "about as likely as not",
            ),
        ],
        next_checks: vec![NextCheck {
            ask: Ask::Question(
                id!(QuestionId, "spot-colour"),
                vec![id!(SignId, "spot-green"), id!(SignId, "spot-black")],
            ),
            question: "What colour is the spot?".to_owned(),
            ..look_at_the_fan()
        }],
        ..nothing_told()
    }
}

fn shown(diagnosis: &Diagnosis, look: Look) -> String {
    let mut base = small::base();
    base.fingerprint = "5ma11ba5e0000000".to_owned();
    let observations = Observations::default();
    report(
        &Told {
            base: &base,
            observations: &observations,
            diagnosis,
        },
        look,
    )
}

#[test]
fn a_decided_report_on_a_wide_page() {
    insta::assert_snapshot!("decided-80", shown(&decided(), Look::of_width(80)));
}

#[test]
fn a_decided_report_on_a_narrow_page() {
    insta::assert_snapshot!("decided-40", shown(&decided(), Look::of_width(40)));
}

#[test]
fn a_decided_report_in_detail_and_plain_letters() {
    let look = Look {
        detail: true,
        plain: true,
        ..Look::of_width(80)
    };
    let text = shown(&decided(), look);
    assert!(text.is_ascii());
    insta::assert_snapshot!("decided-detail-plain", text);
}

#[test]
fn an_undecided_report_names_the_check_that_tells_the_leaders_apart() {
    insta::assert_snapshot!("undecided-80", shown(&undecided(), Look::of_width(80)));
    insta::assert_snapshot!("undecided-40", shown(&undecided(), Look::of_width(40)));
}

#[test]
fn the_other_verdicts_say_honestly_what_is_not_known() {
    let mut fits = undecided();
    fits.verdict = Verdict::NothingFits;
    fits.nothing_fits = 0.72;
    fits.causes.truncate(1);
    fits.causes[0].confidence = 0.12;
    fits.unexplained = vec![finding("sour-smell", "it smells sour")];
    insta::assert_snapshot!("nothing-fits-80", shown(&fits, Look::of_width(80)));
    let mut wrong = nothing_told();
    wrong.verdict = Verdict::NothingWrong;
    wrong.normal_looks = vec![finding("caps-pale", "the caps are paler than usual")];
    insta::assert_snapshot!("nothing-wrong-80", shown(&wrong, Look::of_width(80)));
    insta::assert_snapshot!(
        "nothing-told-40",
        shown(&nothing_told(), Look::of_width(40))
    );
}

#[test]
fn what_can_hurt_comes_before_the_verdict() {
    let text = shown(&decided(), Look::of_width(80));
    let stop = text.find("STOP").expect("the caution is shown");
    let verdict = text
        .find("This is very likely")
        .expect("the verdict is shown");
    let care = text.find("Take care").expect("the milder caution is shown");
    let act = text.find("What to do now").expect("the actions are shown");
    assert!(stop < verdict && verdict < care && care < act);
}

#[test]
fn no_report_is_wider_than_its_page() {
    for width in [40, 57, 80, 100] {
        for detail in [false, true] {
            let look = Look {
                detail,
                ..Look::of_width(width)
            };
            for diagnosis in [decided(), undecided(), nothing_told()] {
                for line in shown(&diagnosis, look).lines() {
                    assert!(line.chars().count() <= width, "{width}: {line:?}");
                }
            }
        }
    }
}

#[test]
fn colour_changes_nothing_but_the_colour() {
    let plain = shown(&decided(), Look::of_width(80));
    let coloured = shown(
        &decided(),
        Look {
            colour: true,
            ..Look::of_width(80)
        },
    );
    assert!(coloured.contains("\u{1b}["));
    assert_eq!(anstream::adapter::strip_str(&coloured).to_string(), plain);
}

#[test]
fn the_diagnosis_as_json_keeps_to_the_contract() {
    let base = small::base();
    let observations = Observations::default();
    let diagnosis = decided();
    let value = serde_json::to_value(json::diagnosis(&Told {
        base: &base,
        observations: &observations,
        diagnosis: &diagnosis,
    }))
    .expect("becomes JSON");
    assert_eq!(value["schema"], "blockside.diagnosis/1");
    assert_eq!(value["decided"], true);
    let cause = &value["causes"][0];
    assert_eq!(cause["id"], "stale-air");
    assert_eq!(cause["kind"], "condition");
    assert_eq!(cause["confidence"], 0.943);
    assert_eq!(cause["for"][1]["fact"], "long-stems");
    assert_eq!(cause["for"][1]["weight_db"], 6.1);
    assert_eq!(cause["against"][0]["fact"], "small-caps");
    assert_eq!(cause["roots"][0]["id"], "fan-too-slow");
    assert_eq!(value["next_checks"][0]["signs"][0], "caps-pale");
    assert_eq!(value["actions"][0]["when"], "now");
    assert_eq!(value["actions"][0]["for"][0], "stale-air");
    assert_eq!(value["actions"][0]["amount"]["unit"], "times");
    assert_eq!(value["cautions"][0]["severity"], "stop");
    assert_eq!(value["unexplained"][0]["fact"], "sour-smell");
    assert_eq!(value["problems"], serde_json::json!([]));
    required_are_there(&json::schema("diagnosis").expect("has a schema"), &value);
}

/// Every field that the schema requires at the top, and of the first cause, is in the value, and the other way round.
fn required_are_there(schema: &serde_json::Value, value: &serde_json::Value) {
    for (schema, value) in [
        (schema, value),
        (&schema["$defs"]["CauseReport"], &value["causes"][0]),
        (&schema["$defs"]["ActionReport"], &value["actions"][0]),
        (&schema["$defs"]["CautionReport"], &value["cautions"][0]),
        (&schema["$defs"]["CheckReport"], &value["next_checks"][0]),
    ] {
        let known = schema["properties"].as_object().expect("has properties");
        let given = value.as_object().expect("is an object");
        for name in schema["required"].as_array().expect("requires something") {
            let name = name.as_str().expect("a name");
            assert!(given.contains_key(name), "{name} is missing");
        }
        for name in given.keys() {
            assert!(known.contains_key(name), "{name} is not in the schema");
        }
    }
}

#[test]
fn why_and_why_not_read_as_answers() {
    let base = small::base();
    let mut observations = Observations::default();
    observations
        .signs
        .insert(id!(SignId, "long-stems"), Answer::Yes);
    observations
        .signs
        .insert(id!(SignId, "caps-pale"), Answer::Yes);
    observations.setup.insert(
        blockside::engine::id::SetupId::new("duct-on-outlet").expect("a kebab-case id"),
        true,
    );
    let reasoner = Reasoner::new(&base, System::Metric);
    let why = reasoner
        .explain(&observations, "too-dark")
        .expect("a cause");
    let text = explanation(&base, &why, Asked::Why, Look::of_width(80));
    assert!(text.starts_with("Why Too little light?"), "{text}");
    assert!(text.contains("+ the caps are paler than usual"), "{text}");
    let why = reasoner
        .explain(&observations, "stale-air")
        .expect("a cause");
    let text = explanation(&base, &why, Asked::WhyNot, Look::of_width(80));
    assert!(text.starts_with("Why not Stale air"), "{text}");
    assert!(
        text.contains("a duct is fitted to the outlet (odds 2 times as high)"),
        "{text}"
    );
    assert!(text.contains("What would bring it up"), "{text}");
}

#[test]
fn where_sources_differ_is_said_wherever_sources_are_shown() {
    let mut diagnosis = decided();
    diagnosis.causes[0].speaks_for[0].differ = Some("One says ten, one says twenty.".to_owned());
    diagnosis.actions[0].differ = Some("One says daily, one says weekly.".to_owned());
    diagnosis.cautions[0].differ = Some("One says gloves, one says none.".to_owned());
    let short = shown(&diagnosis, Look::of_width(80));
    let detail = Look {
        detail: true,
        ..Look::of_width(80)
    };
    let flat = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    let full = flat(&shown(&diagnosis, detail));
    for part in ["one says twenty", "one says weekly", "one says none"] {
        assert!(full.contains(part), "{part} is missing in: {full}");
        assert!(!flat(&short).contains(part), "{short}");
    }

    let mut base = small::base();
    let cause = &mut base.causes["too-dark"];
    cause.grounds.differ = Some("Whether it matters is disputed.".to_owned());
    let line = cause
        .shows
        .iter_mut()
        .find(|shows| matches!(&shows.finding, Finding::Sign(sign) if sign.as_str() == "caps-pale"))
        .expect("it shows pale caps");
    line.grounds.differ = Some("Pale to one is white to another.".to_owned());
    let mut observations = Observations::default();
    let sign = id!(SignId, "caps-pale");
    observations.signs.insert(sign, Answer::Yes);
    let why = Reasoner::new(&base, System::Metric)
        .explain(&observations, "too-dark")
        .expect("a cause");
    for look in [Look::of_width(80), detail] {
        let text = flat(&explanation(&base, &why, Asked::Why, look));
        for part in ["it matters is disputed", "Pale to one is white"] {
            assert_eq!(text.matches(part).count(), 1, "{part}: {text}");
        }
    }
}

#[test]
fn every_kind_of_entry_is_listed_with_all_its_fields() {
    let base = small::base();
    let built_in = blockside::knowledge::embedded::base();
    for &(kind, word) in Kind::ALL {
        // The small base has neither rounds nor cards.
        let base = match kind {
            Kind::Rounds | Kind::Cards => &built_in,
            _ => &base,
        };
        let value = list(base, kind);
        assert_eq!(value["kind"], word);
        let entries = value["entries"].as_array().expect("a list");
        assert!(!entries.is_empty(), "{word}");
        assert!(
            entries
                .iter()
                .all(|entry| entry["id"].is_string() && entry.get("grounds").is_none()),
            "{word}"
        );
        let text = table(base, kind, Look::of_width(60));
        assert!(
            text.ends_with(&format!("{} {word}\n", entries.len())),
            "{text}"
        );
    }
    let causes = list(&base, Kind::Causes);
    let air = causes["entries"]
        .as_array()
        .and_then(|entries| entries.iter().find(|entry| entry["id"] == "stale-air"))
        .expect("the small knowledge has it");
    assert_eq!(
        air["shows"][0]["when"],
        serde_json::json!({ "reading": { "of": "co2", "above": "species" } })
    );
    assert_eq!(
        air["raised_by"][0]["when"],
        serde_json::json!({ "setup": "duct-on-outlet" })
    );
}
