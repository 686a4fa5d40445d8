//! What the walk does besides asking: contradictions, who goes in, what was put off.

use std::collections::VecDeque;
use std::io;

use blockside::cli::ask::answers::{Answers, Taken, Told, Which, parse, to_toml};
use blockside::cli::ask::walk::{Reply, Step, Walk};
use blockside::cli::ask::{Asker, Done, through};
use blockside::cli::given::measured;
use blockside::engine::diagnosis::{Ask, Diagnosis, NextCheck};
use blockside::engine::id::{CauseId, ReadingId, SignId};
use blockside::engine::knowledge::{Complaint, Finding, KnowledgeBase};
use blockside::engine::observations::{Answer, Observations};
use blockside::engine::quantity::System;
use blockside::engine::reasoner::Reasoner;
use blockside::knowledge::embedded;
use blockside::report::page::Look;
use blockside::report::text::asides::{so_far, why_asked};

use crate::world::{Ran, World};

fn sign(id: &str) -> SignId {
    SignId::new(id).expect("a kebab-case id")
}

fn complaint(id: &str) -> Complaint {
    Complaint::Sign(sign(id))
}

fn observed(base: &KnowledgeBase, signs: &[&str], readings: &[(&str, &str)]) -> Observations {
    let mut told = Observations::default();
    for id in signs {
        told.signs.insert(sign(id), Answer::Yes);
    }
    for (id, typed) in readings {
        let reading = &base.readings[*id];
        let value = measured(reading, typed).expect("a reading");
        told.readings
            .insert(ReadingId::new(id).expect("a kebab-case id"), value);
    }
    told
}

/// Answers the checks as given, has nothing else to say, and writes down what it was told and asked.
struct Grower<'a> {
    answers: &'a dyn Fn(&Step) -> Reply,
    said: String,
    asked: Vec<Step>,
}

impl Asker for Grower<'_> {
    fn say(&mut self, text: &str) -> io::Result<()> {
        self.said.push_str(text);
        Ok(())
    }

    fn ask(&mut self, step: &Step) -> io::Result<Reply> {
        self.asked.push(step.clone());
        self.said.push_str("[step]");
        Ok((self.answers)(step))
    }
}

/// Goes through a walk that begins with these complaints; species, stage and setup are not named.
fn walked<'a>(
    base: &KnowledgeBase,
    complaints: &[&str],
    answers: &'a dyn Fn(&Step) -> Reply,
) -> (Grower<'a>, Done) {
    gone_through(base, begun(complaints), answers)
}

fn begun(complaints: &[&str]) -> Answers {
    Answers {
        species: Some(None),
        stage: Some(None),
        setup: Some(Vec::new()),
        complaints: Some(complaints.iter().map(|id| complaint(id)).collect()),
        ..Answers::default()
    }
}

fn gone_through<'a>(
    base: &KnowledgeBase,
    start: Answers,
    answers: &'a dyn Fn(&Step) -> Reply,
) -> (Grower<'a>, Done) {
    let reasoner = Reasoner::new(base, System::Metric);
    let mut grower = Grower {
        answers,
        said: String::new(),
        asked: Vec::new(),
    };
    let walk = Walk::new(base, start);
    let look = Look::of_width(80);
    let done = through(walk, &reasoner, &mut grower, look, &mut |_| Ok(())).expect("it ends");
    (grower, done)
}

fn asks(step: &Step) -> Option<&Ask> {
    match step {
        Step::Check(check) => Some(&check.ask),
        _ => None,
    }
}

/// Whether a check asks for something that one of these causes shows.
fn is_shown_by(base: &KnowledgeBase, check: &NextCheck, causes: &[CauseId]) -> bool {
    let signs = match &check.ask {
        Ask::Sign(id) => vec![id.clone()],
        Ask::Question(_, signs) => signs.clone(),
        Ask::Reading(_) => Vec::new(),
    };
    causes.iter().any(|cause| {
        let shows = &base.causes[cause].shows;
        shows.iter().any(|shows| match &shows.finding {
            Finding::Sign(id) => signs.contains(id),
            _ => false,
        })
    })
}

#[test]
fn moist_air_and_cracked_caps_are_at_odds_and_a_check_of_the_meter_settles_it() {
    let base = embedded::base();
    let reasoner = Reasoner::new(&base, System::Metric);
    let told = observed(&base, &["caps-cracked"], &[("humidity", "95 %")]);
    let diagnosis = reasoner.diagnose(&told);
    let [one] = diagnosis.contradictions.as_slice() else {
        panic!("{:?}", diagnosis.contradictions);
    };
    assert!(one.text.contains("humidity meter"), "{}", one.text);
    let sides = one.between.join("; ");
    assert!(sides.contains("is 95 %, above"), "{sides}");
    assert!(sides.contains("cap"), "{sides}");
    let settling = one.settle_by.as_ref().expect("a check is open");
    assert!(is_shown_by(&base, settling, &one.may_be), "{settling:?}");
    // Either side alone is nothing odd.
    for told in [
        observed(&base, &["caps-cracked"], &[]),
        observed(&base, &[], &[("humidity", "95 %")]),
    ] {
        assert_eq!(reasoner.diagnose(&told).contradictions, []);
    }
}

#[test]
fn the_walk_points_a_contradiction_out_once_and_asks_next_what_settles_it() {
    let base = embedded::base();
    let humid = Taken {
        typed: "95 %".to_owned(),
        measured: measured(&base.readings["humidity"], "95 %").expect("a reading"),
    };
    let humidity = ReadingId::new("humidity").expect("a kebab-case id");
    let mut start = begun(&["caps-cracked"]);
    start.readings.insert(humidity, Told::Answer(humid));
    let cannot = |_: &Step| Reply::CannotNow;
    let (grower, done) = gone_through(&base, start, &cannot);
    let heading = "This does not go together";
    assert_eq!(grower.said.matches(heading).count(), 1, "{}", grower.said);
    let before = grower.said.find(heading).expect("said");
    assert_eq!(grower.said[..before].matches("[step]").count(), 0);
    let Step::Check(check) = &grower.asked[0] else {
        panic!("{:?}", grower.asked[0]);
    };
    let one = &done.diagnosis.contradictions[0];
    assert!(is_shown_by(&base, check, &one.may_be), "{check:?}");
    // It was put off, and is the first of the homework.
    assert_eq!(done.diagnosis.homework[0].ask, check.ask);
}

#[test]
fn a_sign_that_a_reading_denies_is_pointed_out_with_both_sides() {
    let base = embedded::base();
    let reasoner = Reasoner::new(&base, System::Metric);
    let told = observed(
        &base,
        &["spot-grows-slowly"],
        &[("spot-growth", "20 mm/day")],
    );
    let found = reasoner.diagnose(&told).contradictions;
    assert_eq!(found.len(), 1, "{found:?}");
    assert_eq!(found[0].id, "spot-grows-slowly");
    assert!(found[0].text.contains("20 mm/day"), "{}", found[0].text);
}

#[test]
fn the_same_sign_told_twice_and_differently_is_pointed_out() {
    let base = embedded::base();
    let mut answers = Answers {
        complaints: Some(vec![complaint("long-stems"), complaint("spot-on-block")]),
        ..Answers::default()
    };
    assert_eq!(answers.told_twice(&base), []);
    answers
        .signs
        .insert(sign("long-stems"), Told::Answer(Answer::No));
    let place = base.questions.get_key_value("spot-place").expect("there");
    answers
        .questions
        .insert(place.0.clone(), Told::Answer(Which::None));
    assert_eq!(
        answers.told_twice(&base),
        [sign("long-stems"), sign("spot-on-block")]
    );
}

#[test]
fn people_are_asked_about_once_and_only_where_a_caution_depends_on_them() {
    let base = embedded::base();
    let people = |grower: &Grower<'_>| {
        let asked = grower.asked.iter();
        asked.filter(|step| matches!(step, Step::People(_))).count()
    };
    let cannot = |_: &Step| Reply::CannotNow;
    let (grower, _) = walked(&base, &["long-stems"], &cannot);
    assert_eq!(people(&grower), 0);
    let child = base
        .special_risks()
        .find(|id| id.as_str() == "child-present")
        .cloned();
    let answers = |step: &Step| match step {
        Step::People(ids) => {
            assert!(ids.iter().all(|id| base.people[id].special_risk));
            Reply::People(Some(child.iter().cloned().collect()))
        }
        Step::Check(check) => match &check.ask {
            Ask::Question(_, signs) if signs.contains(&sign("spot-green")) => {
                Reply::Which(Which::These(vec![sign("spot-green")]))
            }
            _ => Reply::CannotNow,
        },
        _ => Reply::CannotNow,
    };
    let (grower, done) = walked(&base, &["spot-on-block"], &answers);
    assert_eq!(people(&grower), 1);
    let told = &done.observations.people;
    assert_eq!(told.len(), base.special_risks().count());
    assert!(told["child-present"] && !told["asthma"]);
    // They bring cautions and weigh no cause.
    let reasoner = Reasoner::new(&base, System::Metric);
    let mut nobody = done.observations.clone();
    nobody.people.clear();
    let without = reasoner.diagnose(&nobody);
    assert_eq!(without.causes, done.diagnosis.causes);
    // Nobody said: every stricter line stands. A child alone: those stand as well, and one caution of its own is due.
    let stricter = |diagnosis: &Diagnosis| {
        let cautions = diagnosis.cautions.iter();
        cautions.filter(|one| one.special_risk.is_some()).count()
    };
    assert!(stricter(&without) > 0);
    assert!(stricter(&done.diagnosis) >= stricter(&without));
    nobody.people = base.special_risks().map(|id| (id.clone(), false)).collect();
    let none = reasoner.diagnose(&nobody);
    assert_eq!((none.causes == without.causes, stricter(&none)), (true, 0));
}

#[test]
fn who_goes_in_may_be_left_unsaid_and_is_kept_as_said() {
    let base = embedded::base();
    let asthma = base.special_risks().find(|id| id.as_str() == "asthma");
    for people in [
        None,
        Some(None),
        Some(Some(Vec::new())),
        Some(Some(asthma.into_iter().cloned().collect())),
    ] {
        let answers = Answers {
            people: people.clone(),
            ..Answers::default()
        };
        let back = parse(&base, &to_toml(&answers)).expect("reads back");
        assert_eq!(back.people, people);
        let said = people.clone().flatten();
        let told = back.observations(&base).people;
        assert_eq!(told.is_empty(), said.is_none(), "{people:?}");
        let risky = told.values().filter(|holds| **holds).count();
        assert_eq!(risky, said.map_or(0, |ids| ids.len()));
    }
    let fault = parse(
        &base,
        "schema = \"blockside.answers/1\"\npeople = [\"fever\", \"astma\"]\n",
    )
    .expect_err("neither is a special risk");
    assert!(fault[1].contains("did you mean `asthma`"), "{fault:?}");
}

#[test]
fn what_was_put_off_comes_back_as_homework_the_most_telling_first() {
    let base = embedded::base();
    let cannot = |_: &Step| Reply::CannotNow;
    let (grower, done) = walked(&base, &["long-stems"], &cannot);
    let homework = &done.diagnosis.homework;
    let checks = grower.asked.iter().filter_map(asks).count();
    assert_eq!(homework.len(), checks);
    let gains: Vec<f64> = homework.iter().map(|check| check.gain_bits).collect();
    assert!(gains.is_sorted_by(|a, b| a >= b), "{gains:?}");
    assert!(homework.iter().all(|check| !check.how.is_empty()));
    assert!(homework.iter().any(|check| !check.separates.is_empty()));
    // What is told meanwhile is taken off the list.
    let first = homework[0].ask.clone();
    let answers = |step: &Step| match (step, asks(step)) {
        (Step::Check(_), Some(ask)) if *ask == first => match ask {
            Ask::Sign(_) => Reply::Sign(Answer::No),
            Ask::Question(..) => Reply::Which(Which::None),
            Ask::Reading(_) => Reply::Enough,
        },
        _ => Reply::CannotNow,
    };
    let (_, done) = walked(&base, &["long-stems"], &answers);
    let asks_first = |check: &NextCheck| check.ask == first;
    assert!(!done.diagnosis.homework.iter().any(asks_first));
}

#[test]
fn what_was_put_off_can_be_taken_up() {
    let mut waiting: VecDeque<(&str, Told<Answer>)> = VecDeque::from([
        ("long-stems", Told::Answer(Answer::Yes)),
        ("small-caps", Told::CannotNow),
        ("caps-pale", Told::CannotNow),
    ]);
    let mut answers = Answers::default();
    while let Some((id, told)) = waiting.pop_front() {
        answers.signs.insert(sign(id), told);
    }
    assert_eq!(answers.put_off(), 2);
    answers.take_up();
    assert_eq!((answers.put_off(), answers.checks()), (0, 1));
}

#[test]
fn a_script_tells_its_homework_in_text_and_json() {
    let world = World::new();
    world.file(
        "answers.toml",
        "schema = \"blockside.answers/1\"\nspecies = \"grey-oyster\"\nstage = \"fruiting\"\n\
         complaints = [\"long-stems\"]\n",
    );
    let text = world.run(&["ask", "--answers", "answers.toml"]);
    assert_eq!(text.status, 0, "{}", text.err);
    assert!(text.out.contains("Homework"), "{}", text.out);
    let json = world.run(&["--format", "json", "ask", "--answers", "answers.toml"]);
    let value: serde_json::Value = serde_json::from_str(&json.out).expect("JSON");
    let homework = value["homework"].as_array().expect("a list");
    assert!(homework.len() >= 3, "{homework:?}");
    assert!(
        homework[0]["how"]
            .as_str()
            .is_some_and(|how| !how.is_empty())
    );
    // A diagnosis without a walk has none.
    let plain = world.run(&["--format", "json", "diagnose", "--sign", "long-stems"]);
    let value: serde_json::Value = serde_json::from_str(&plain.out).expect("JSON");
    assert_eq!(value["homework"], serde_json::json!([]));
}

#[test]
fn a_spot_is_contained_before_anything_is_asked_and_then_looked_at_in_order() {
    let world = World::new();
    world.file(
        "answers.toml",
        "schema = \"blockside.answers/1\"\n[questions]\nspot-colour = [\"spot-green\"]\n\
         spot-place = [\"spot-on-block\"]\n",
    );
    let mut command = world.bare();
    command.args([
        "--width",
        "40",
        "ask",
        "--spot",
        "--answers",
        "answers.toml",
    ]);
    let ran = Ran::of(command);
    assert_eq!(ran.status, 0, "{}", ran.err);
    // The first minute fits a small screen, above the question.
    let first: Vec<&str> = ran
        .out
        .lines()
        .take_while(|line| !line.starts_with('?'))
        .collect();
    assert!(first[0].contains("first sixty seconds"), "{first:?}");
    assert!((6..=20).contains(&first.len()), "{}", first.len());
    assert!(first.iter().all(|line| line.chars().count() <= 40));
    let asked: Vec<&str> = ran
        .out
        .lines()
        .filter(|line| line.starts_with("? "))
        .collect();
    let order = [
        "colour",
        "surface",
        "Where",
        "rim",
        "Touched",
        "any of this hold",
        "growing",
    ];
    for (line, word) in asked.iter().zip(order) {
        assert!(line.contains(word), "{word}: {asked:#?}");
    }
    assert!(!ran.out.contains("What looks wrong?"));
    // Tomorrow's look is on the list whatever it is.
    let homework = ran.out.split("Homework").nth(1).expect("homework");
    let flat: Vec<&str> = homework.split_whitespace().collect();
    assert!(flat.join(" ").contains("coin or ruler"), "{homework}");
}

#[test]
fn sizes_of_a_spot_at_two_times_are_weighed_as_its_growth() {
    let world = World::new();
    world.file(
        "answers.toml",
        "schema = \"blockside.answers/1\"\nspot = true\nsizes = [\"12 mm at 2026-05-03 08:00\"]\n\
         [questions]\nspot-colour = [\"spot-green\"]\nspot-place = [\"spot-on-block\"]\n\
         [readings]\nspot-growth = \"cannot\"\n",
    );
    let run = |sizes: &[&str]| {
        let mut command = world.bare();
        command.args([
            "--format",
            "json",
            "ask",
            "--spot",
            "--answers",
            "answers.toml",
        ]);
        for size in sizes {
            command.args(["--spot-sizes", size]);
        }
        Ran::of(command)
    };
    let json = |ran: &Ran| -> serde_json::Value {
        assert_eq!(ran.status, 0, "{}", ran.err);
        serde_json::from_str(&ran.out).expect("JSON")
    };
    // Yesterday's size stands in the file, today's is given: 24 mm across in a day, 12 at the rim.
    let grown = json(&run(&["36 mm at 2026-05-04 08:00"]));
    let derived = grown["derived"].to_string();
    assert!(
        derived.contains("growth of the spot is 12 mm/day"),
        "{derived}"
    );
    let put_off = |value: &serde_json::Value| value["homework"].to_string().contains("spot-growth");
    assert!(!put_off(&grown), "{}", grown["homework"]);
    let open = json(&run(&[]));
    assert!(put_off(&open), "{}", open["homework"]);
    assert!(
        open["homework"]
            .to_string()
            .contains("It was 12 mm at 2026-05-03 08:00")
    );
    let shrunk = run(&["9 mm at 2026-05-04 08:00"]);
    assert_eq!(shrunk.status, 2);
    assert!(shrunk.err.contains("cannot have shrunk"), "{}", shrunk.err);
    let vague = run(&["big"]);
    assert!(
        (vague.status, vague.err.contains("says no time")) == (2, true),
        "{}",
        vague.err
    );
}

#[test]
fn a_spot_walk_keeps_its_sizes_and_goes_on_as_one() {
    let base = embedded::base();
    let text = "schema = \"blockside.answers/1\"\nspot = true\nsizes = [\"12 mm at 2026-05-03 08:00\"]\n\
        [questions]\nspot-colour = [\"spot-green\"]\n";
    let answers = parse(&base, text).expect("reads");
    assert_eq!(
        to_toml(&answers).trim(),
        to_toml(&parse(&base, &to_toml(&answers)).expect("reads")).trim()
    );
    let reasoner = Reasoner::new(&base, System::Metric);
    let walk = Walk::gone_on_with(&base, answers.clone(), &reasoner);
    assert_eq!(*walk.answers(), answers);
    let step = walk.next_step(&reasoner.diagnose(&walk.observations()), &reasoner);
    assert!(
        matches!(asks(&step), Some(Ask::Question(id, _)) if id.as_str() == "spot-texture"),
        "{step:?}"
    );
}

/// A check of the built-in knowledge by its sign, or its question's.
fn check_for(reasoner: &Reasoner<'_>, told: &Observations, id: &str) -> NextCheck {
    let wanted = sign(id);
    reasoner
        .next_checks(told)
        .into_iter()
        .find(|check| match &check.ask {
            Ask::Sign(sign) => *sign == wanted,
            Ask::Question(_, signs) => signs.contains(&wanted),
            Ask::Reading(reading) => reading.as_str() == id,
        })
        .expect("it is worth asking")
}

#[test]
fn why_and_so_far_fit_forty_columns_of_plain_letters() {
    let base = embedded::base();
    let reasoner = Reasoner::new(&base, System::Metric);
    let told = observed(&base, &["long-stems"], &[]);
    let look = Look {
        plain: true,
        ..Look::of_width(40)
    };
    let mut texts = vec![so_far(&base, &reasoner.diagnose(&told), look)];
    for id in ["small-caps", "co2"] {
        let check = check_for(&reasoner, &told, id);
        let answers = reasoner.if_answered(&told, &check.ask);
        texts.push(why_asked(&base, &check, &answers, System::Metric, look));
    }
    for text in &texts {
        assert!(text.is_ascii(), "{text}");
        assert!(text.lines().all(|line| line.len() <= 40), "{text}");
    }
    insta::assert_snapshot!("aside_so_far_40", texts[0]);
    insta::assert_snapshot!("aside_why_sign_40", texts[1]);
    insta::assert_snapshot!("aside_why_reading_40", texts[2]);
}

#[test]
fn a_contradiction_stands_in_the_report_for_people_and_for_programs() {
    let world = World::new();
    let case = ["--sign", "caps-cracked", "--reading", "humidity=95 %"];
    let run = |options: &[&str]| {
        let mut command = world.bare();
        command.args(options).arg("diagnose").args(case);
        let ran = Ran::of(command);
        assert_eq!(ran.status, 0, "{}", ran.err);
        ran.out
    };
    let text = run(&[]);
    assert!(text.contains("Does not go together"), "{text}");
    assert!(text.contains("What settles it: "), "{text}");
    let json: serde_json::Value = serde_json::from_str(&run(&["--format", "json"])).expect("JSON");
    let one = &json["at_odds"][0];
    assert_eq!(one["id"], "humidity-reads-fine-caps-dry");
    assert_eq!(one["text"], json["contradictions"][0]);
    assert_eq!(one["between"].as_array().map(Vec::len), Some(2));
    assert!(one["settle_by"]["question"].is_string(), "{one}");
}
