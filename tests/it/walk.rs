//! The walk through a diagnosis, without a terminal.

use std::io;

use blockside::cli::ask::answers::{Answers, Taken, Told, Which, parse, to_toml};
use blockside::cli::ask::topics::topic;
use blockside::cli::ask::walk::{End, MOST_CHECKS, Moved, Reply, Step, Walk};
use blockside::cli::ask::{Asker, Done, through};
use blockside::engine::condition::Proposition;
use blockside::engine::diagnosis::{Ask, Diagnosis, NextCheck};
use blockside::engine::id::{ReadingId, SignId};
use blockside::engine::knowledge::{Asking, CauseKind, Complaint, Finding, KnowledgeBase, Sign};
use blockside::engine::observations::Answer;
use blockside::engine::outlook::Possible;
use blockside::engine::quantity::{Measured, System};
use blockside::engine::reasoner::Reasoner;
use blockside::knowledge::embedded;
use blockside::report::page::Look;

use crate::small;

fn sign(id: &str) -> SignId {
    SignId::new(id).expect("a kebab-case id")
}

fn complaint(id: &str) -> Complaint {
    Complaint::Sign(sign(id))
}

fn check(ask: Ask) -> NextCheck {
    NextCheck {
        ask,
        question: "Is it so?".to_owned(),
        how: "Look".to_owned(),
        chances: Vec::new(),
        gain_bits: 0.5,
        effort: 1.0,
        effort_word: "glance".to_owned(),
        separates: Vec::new(),
        hazard: false,
        about_roots_of: None,
    }
}

fn with_checks(base: &KnowledgeBase, checks: Vec<NextCheck>) -> Diagnosis {
    let mut diagnosis = Reasoner::new(base, System::Metric)
        .diagnose(&Walk::new(base, Answers::default()).observations());
    diagnosis.next_checks = checks;
    diagnosis
}

/// The answers after the opening steps.
fn opened() -> Answers {
    Answers {
        species: Some(None),
        stage: Some(None),
        setup: Some(Vec::new()),
        complaints: Some(vec![complaint("spot-on-block")]),
        ..Answers::default()
    }
}

#[test]
fn the_opening_steps_come_first_and_in_order() {
    let base = small::base();
    let diagnosis = with_checks(&base, vec![check(Ask::Sign(sign("small-caps")))]);
    let mut walk = Walk::new(&base, Answers::default());
    assert_eq!(walk.step(&diagnosis), Step::Species);
    let oyster = base.species.keys().next().cloned();
    assert_eq!(
        walk.reply(&Step::Species, Reply::Species(oyster.clone())),
        Moved::On
    );
    let step = walk.step(&diagnosis);
    assert_eq!(step, Step::Stage);
    walk.reply(&step, Reply::Stage(None));
    let step = walk.step(&diagnosis);
    let Step::Setup(items) = &step else {
        panic!("{step:?}");
    };
    assert_eq!(items.len(), 2);
    walk.reply(&step, Reply::Setup(vec![items[0].clone()]));
    let step = walk.step(&diagnosis);
    let Step::Complaints(signs) = &step else {
        panic!("{step:?}");
    };
    assert_eq!(signs.len(), 4);
    walk.reply(&step, Reply::Complaints(vec![complaint("long-stems")]));
    assert!(matches!(walk.step(&diagnosis), Step::Check(_)));
    let told = walk.observations();
    assert_eq!(told.species, oyster);
    assert_eq!(
        told.setup.values().copied().collect::<Vec<_>>(),
        [true, false]
    );
    assert_eq!(told.signs.len(), 1);
}

#[test]
fn going_back_takes_back_what_was_said() {
    let base = small::base();
    let step = Step::Check(check(Ask::Sign(sign("small-caps"))));
    let mut walk = Walk::new(&base, opened());
    let before = walk.answers().clone();
    assert_eq!(walk.reply(&step, Reply::Back), Moved::Nowhere);
    assert_eq!(walk.reply(&step, Reply::Sign(Answer::No)), Moved::On);
    assert_eq!(walk.observations().signs["small-caps"], Answer::No);
    assert_eq!(walk.reply(&step, Reply::Back), Moved::Back);
    assert_eq!(*walk.answers(), before);
    assert_eq!(walk.reply(&step, Reply::Which(Which::None)), Moved::Nowhere);
}

#[test]
fn what_cannot_be_checked_now_is_not_put_again_and_tells_nothing() {
    let base = small::base();
    let checks = vec![
        check(Ask::Sign(sign("small-caps"))),
        check(Ask::Reading(
            ReadingId::new("co2").expect("a kebab-case id"),
        )),
    ];
    let diagnosis = with_checks(&base, checks);
    let mut walk = Walk::new(&base, opened());
    let told = walk.observations();
    for _ in 0..2 {
        let step = walk.step(&diagnosis);
        assert!(matches!(step, Step::Check(_)));
        walk.reply(&step, Reply::CannotNow);
    }
    assert_eq!(walk.step(&diagnosis), Step::Finished(End::NothingDoable));
    assert_eq!(walk.observations(), told);
    let settled = with_checks(&base, Vec::new());
    assert_eq!(walk.step(&settled), Step::Finished(End::NothingOpen));
}

#[test]
fn a_shared_question_settles_all_its_signs() {
    let base = small::base();
    let (id, question) = base.questions.get_key_value("spot-colour").expect("there");
    let step = Step::Check(check(Ask::Question(id.clone(), question.signs.clone())));
    for (which, green, black) in [
        (
            Which::These(vec![sign("spot-green")]),
            Answer::Yes,
            Answer::No,
        ),
        (Which::None, Answer::No, Answer::No),
        (Which::Unsure, Answer::Unsure, Answer::Unsure),
    ] {
        let mut walk = Walk::new(&base, opened());
        walk.reply(&step, Reply::Which(which));
        let told = walk.observations();
        assert_eq!(told.signs["spot-green"], green);
        assert_eq!(told.signs["spot-black"], black);
        assert_eq!(told.signs["spot-on-block"], Answer::Yes);
    }
}

#[test]
fn a_walk_is_over_after_so_many_checks_or_when_the_person_has_enough() {
    let mut base = small::base();
    let like = base.signs["small-caps"].clone();
    for number in 0..=MOST_CHECKS {
        base.signs.insert(
            sign(&format!("sign-{number}")),
            Sign {
                asking: Asking::Alone {
                    question: "Is it so?".to_owned(),
                },
                ..like.clone()
            },
        );
    }
    let checks = (0..=MOST_CHECKS)
        .map(|number| check(Ask::Sign(sign(&format!("sign-{number}")))))
        .collect();
    let diagnosis = with_checks(&small::base(), checks);
    let mut walk = Walk::new(&base, opened());
    for _ in 0..MOST_CHECKS {
        let step = walk.step(&diagnosis);
        walk.reply(&step, Reply::Sign(Answer::No));
    }
    assert_eq!(walk.step(&diagnosis), Step::Finished(End::Long));
    let mut walk = Walk::new(&base, opened());
    let step = walk.step(&diagnosis);
    walk.reply(&step, Reply::Enough);
    assert_eq!(walk.step(&diagnosis), Step::Finished(End::Enough));
}

#[test]
fn answers_come_back_from_their_file_as_they_were() {
    let base = small::base();
    let mut answers = opened();
    answers.species = Some(base.species.keys().next().cloned());
    answers
        .signs
        .insert(sign("long-stems"), Told::Answer(Answer::Probably));
    answers.signs.insert(sign("small-caps"), Told::CannotNow);
    let colour = base.questions.keys().next().cloned().expect("there");
    answers
        .questions
        .insert(colour, Told::Answer(Which::These(vec![sign("spot-green")])));
    let taken = Taken {
        typed: "68 F".to_owned(),
        measured: Measured {
            value: 20.0,
            tolerance: None,
        },
    };
    answers.readings.insert(
        ReadingId::new("temperature").expect("a kebab-case id"),
        Told::Answer(taken),
    );
    let text = to_toml(&answers);
    let back = parse(&base, &text).expect("reads back");
    assert_eq!(to_toml(&back), text);
    assert_eq!(
        back.observations(&base).signs,
        answers.observations(&base).signs
    );
    assert!((back.observations(&base).readings["temperature"].value - 20.0).abs() < 1e-9);
}

#[test]
fn faults_in_a_file_of_answers_are_told_all_at_once() {
    let base = small::base();
    let text = "schema = \"blockside.answers/9\"\nspecies = \"oister\"\ncomplaints = [\"long-stem\"]\nshape = 3\n\
        [signs]\nlong-stems = \"maybe\"\n[questions]\nspot-colour = [\"spot-green\", \"spot-black\"]\n\
        [readings]\nco2 = \"nan\"\nhumidity = \"140 %\"\n";
    let faults = parse(&base, text).expect_err("full of faults");
    for part in [
        "schema",
        "`oyster`",
        "`long-stems`",
        "shape",
        "signs.long-stems",
        "only one",
        "readings.co2",
        "readings.humidity",
    ] {
        assert!(
            faults.iter().any(|fault| fault.contains(part)),
            "{part}: {faults:#?}"
        );
    }
}

/// Says yes to everything and writes down what it was told.
struct Agreeable {
    said: Vec<String>,
    steps: usize,
}

impl Asker for Agreeable {
    fn say(&mut self, text: &str) -> io::Result<()> {
        self.said.push(text.to_owned());
        Ok(())
    }

    fn ask(&mut self, step: &Step) -> io::Result<Reply> {
        self.steps += 1;
        self.said.push(format!("step {}", self.steps));
        Ok(match step {
            Step::Complaints(_) => Reply::Complaints(vec![complaint("spot-on-block")]),
            Step::Check(check) => match &check.ask {
                Ask::Sign(_) => Reply::Sign(Answer::Yes),
                Ask::Question(_, signs) if signs.contains(&sign("spot-orange")) => {
                    Reply::Which(Which::These(vec![sign("spot-orange")]))
                }
                Ask::Question(_, signs) => Reply::Which(Which::These(signs.clone())),
                Ask::Reading(_) => Reply::CannotNow,
            },
            _ => Reply::CannotNow,
        })
    }
}

#[test]
fn a_caution_interrupts_once_and_before_the_next_step() {
    let base = small::base();
    let reasoner = Reasoner::new(&base, System::Metric);
    let mut asker = Agreeable {
        said: Vec::new(),
        steps: 0,
    };
    let mut kept = 0;
    let done = through(
        Walk::new(&base, Answers::default()),
        &reasoner,
        &mut asker,
        Look::of_width(80),
        &mut |_| {
            kept += 1;
            Ok(())
        },
    )
    .expect("comes to its end");
    assert_eq!(kept, asker.steps);
    assert_eq!(done.diagnosis.causes[0].id.as_str(), "orange-mould");
    let stops: Vec<usize> = (0..asker.said.len())
        .filter(|&place| asker.said[place].contains("STOP"))
        .collect();
    assert_eq!(stops.len(), 1, "{:#?}", asker.said);
    let colour = asker.said[..stops[0]]
        .iter()
        .rev()
        .find(|text| text.starts_with("step"));
    assert!(colour.is_some(), "it came after a step");
    let care = asker
        .said
        .iter()
        .filter(|text| text.contains("Take care"))
        .count();
    assert_eq!(care, 1);
}

#[test]
fn a_walk_gone_on_with_has_a_way_back() {
    let base = small::base();
    let reasoner = Reasoner::new(&base, System::Metric);
    let mut first = Walk::new(&base, Answers::default());
    let mut steps = Vec::new();
    for _ in 0..7 {
        let step = first.next_step(&reasoner.diagnose(&first.observations()), &reasoner);
        let reply = match &step {
            Step::Complaints(_) => Reply::Complaints(vec![complaint("long-stems")]),
            _ => Reply::CannotNow,
        };
        assert_eq!(first.reply(&step, reply), Moved::On);
        steps.push(step);
    }
    let kept = parse(&base, &to_toml(first.answers())).expect("reads back");
    let mut again = Walk::gone_on_with(&base, kept.clone(), &reasoner);
    assert_eq!(to_toml(again.answers()), to_toml(&kept));
    for before in steps.into_iter().rev() {
        let step = again.next_step(&reasoner.diagnose(&again.observations()), &reasoner);
        assert_eq!(again.reply(&step, Reply::Back), Moved::Back);
        let step = again.next_step(&reasoner.diagnose(&again.observations()), &reasoner);
        assert_eq!(step, before);
    }
    assert_eq!(*again.answers(), Answers::default());
}

#[test]
fn whoever_can_check_little_now_is_still_asked_the_rest() {
    let base = embedded::base();
    let reasoner = Reasoner::new(&base, System::Metric);
    let mut walk = Walk::new(&base, Answers::default());
    loop {
        let diagnosis = reasoner.diagnose(&walk.observations());
        let step = walk.next_step(&diagnosis, &reasoner);
        if let Step::Finished(end) = step {
            assert_eq!(end, End::Long);
            break;
        }
        let reply = match &step {
            Step::Complaints(_) => Reply::Complaints(vec![complaint("long-stems")]),
            _ => Reply::CannotNow,
        };
        walk.reply(&step, reply);
    }
    assert_eq!(walk.answers().checks(), MOST_CHECKS);
}

#[test]
fn nobody_without_mushrooms_is_asked_how_they_look() {
    let base = embedded::base();
    let reasoner = Reasoner::new(&base, System::Metric);
    let no_pins = Proposition::Sign(sign("no-pins"));
    let mushrooms = |told: &[(&str, Answer)]| {
        let mut observations = Walk::new(&base, Answers::default()).observations();
        for (id, answer) in told {
            observations.signs.insert(sign(id), *answer);
        }
        let checks = reasoner.next_checks(&observations);
        assert!(checks.len() > 5, "{told:?}");
        let gated = |sign: &SignId| {
            let guard = base.signs[sign].asked_if.iter();
            let mut literals = guard.flat_map(|guard| guard.literals());
            literals.any(|literal| literal.proposition == no_pins)
        };
        let asked = checks.iter().flat_map(|check| match &check.ask {
            Ask::Sign(sign) => vec![sign.clone()],
            Ask::Question(_, signs) => signs.clone(),
            Ask::Reading(_) => Vec::new(),
        });
        asked.filter(gated).count()
    };
    assert_eq!(mushrooms(&[("no-pins", Answer::Yes)]), 0);
    assert!(mushrooms(&[("late-flush", Answer::Yes)]) > 0);
    let answers = [("no-pins", Answer::No), ("late-flush", Answer::Yes)];
    assert!(mushrooms(&answers) > 0);
}

/// Replies from a list, then has enough; writes down what it was told and asked.
struct Reader {
    replies: std::collections::VecDeque<Reply>,
    said: String,
    asked: Vec<Step>,
}

impl Reader {
    fn new(replies: Vec<Reply>) -> Self {
        Self {
            replies: replies.into(),
            said: String::new(),
            asked: Vec::new(),
        }
    }
}

impl Asker for Reader {
    fn say(&mut self, text: &str) -> io::Result<()> {
        self.said.push_str(text);
        Ok(())
    }

    fn ask(&mut self, step: &Step) -> io::Result<Reply> {
        self.asked.push(step.clone());
        Ok(self.replies.pop_front().unwrap_or(Reply::Enough))
    }
}

fn read_through(base: &KnowledgeBase, answers: Answers, replies: Vec<Reply>) -> (Reader, Done) {
    let reasoner = Reasoner::new(base, System::Metric);
    let mut reader = Reader::new(replies);
    let done = through(
        Walk::new(base, answers),
        &reasoner,
        &mut reader,
        Look::of_width(80),
        &mut |_| Ok(()),
    )
    .expect("comes to its end");
    (reader, done)
}

#[test]
fn asking_back_puts_the_same_question_again_and_tells_nothing() {
    let base = small::base();
    let replies = vec![Reply::Why, Reply::SoFar, Reply::Why, Reply::Enough];
    let start = Answers {
        people: Some(None),
        ..opened()
    };
    let (reader, done) = read_through(&base, start.clone(), replies);
    assert_eq!(reader.asked.len(), 4);
    assert!(reader.asked.iter().all(|step| *step == reader.asked[0]));
    assert!(matches!(reader.asked[0], Step::Check(_)));
    assert_eq!(done.observations, Walk::new(&base, start).observations());
    assert!(reader.said.contains("Effort:"), "{}", reader.said);
    assert!(
        reader.said.contains("Nothing in the book fits"),
        "{}",
        reader.said
    );
    // An opening step has a reason of its own.
    let (reader, _) = read_through(&base, Answers::default(), vec![Reply::Why]);
    assert!(reader.said.contains("right for another"), "{}", reader.said);
}

#[test]
fn why_a_question_is_asked_gives_the_numbers_that_the_answer_would_bring() {
    let base = embedded::base();
    let reasoner = Reasoner::new(&base, System::Metric);
    let mut answers = opened();
    answers.complaints = Some(vec![complaint("long-stems")]);
    let told = answers.observations(&base);
    let mut kinds = [false; 3];
    for check in reasoner.next_checks(&told) {
        for answered in reasoner.if_answered(&told, &check.ask) {
            let mut with = told.clone();
            match (&check.ask, &answered.answer) {
                (Ask::Sign(id), Possible::Sign(answer)) => {
                    kinds[0] = true;
                    with.signs.insert(id.clone(), *answer);
                }
                (Ask::Question(_, signs), answer) => {
                    kinds[1] = true;
                    for id in signs {
                        let there = *answer == Possible::Only(id.clone());
                        let answer = if there { Answer::Yes } else { Answer::No };
                        with.signs.insert(id.clone(), answer);
                    }
                }
                (Ask::Reading(id), Possible::Between { from, to, value }) => {
                    kinds[2] = true;
                    assert!(from.is_none_or(|from| from < *value));
                    assert!(to.is_none_or(|to| *value < to));
                    let measured = Measured {
                        value: *value,
                        tolerance: None,
                    };
                    with.readings.insert(id.clone(), measured);
                }
                other => panic!("{other:?}"),
            }
            let after = reasoner.diagnose(&with);
            let stated = |id: &blockside::engine::id::CauseId| {
                after.causes.iter().find(|cause| cause.id == *id)
            };
            for shift in &answered.shifts {
                if let Some(cause) = stated(&shift.cause) {
                    assert!((cause.confidence - shift.then).abs() < 1e-9, "{shift:?}");
                }
            }
        }
    }
    assert_eq!(
        kinds, [true; 3],
        "sign, question and reading were all asked"
    );
}

#[test]
fn whoever_goes_back_is_told_which_answer_was_taken_back() {
    let base = small::base();
    let replies = vec![
        Reply::Species(None),
        Reply::Stage(None),
        Reply::Back,
        Reply::Back,
        Reply::Back,
    ];
    let (reader, done) = read_through(&base, Answers::default(), replies);
    let back: Vec<&str> = reader
        .said
        .lines()
        .filter(|line| line.starts_with("Taken back"))
        .collect();
    assert_eq!(
        back,
        [
            "Taken back: How far along is it? Not known.",
            "Taken back: What are you growing? Not known."
        ]
    );
    assert!(reader.said.contains("no step before this one"));
    assert!(done.observations.is_empty());
}

#[test]
fn the_complaint_that_trouble_brings_most_often_is_offered_first() {
    let base = embedded::base();
    let offered = base.complaints();
    // How often some cause or other shows any of it, by the rates and strengths of the knowledge.
    let often = |complaint: &Complaint| {
        let asks = topic(&base, complaint);
        let about = |finding: &Finding| match (finding, complaint) {
            (Finding::Sign(id), Complaint::Sign(complaint)) => id == complaint,
            (Finding::Sign(id), _) => asks.iter().any(|ask| match ask {
                Ask::Question(_, signs) => signs.contains(id),
                Ask::Sign(one) => one == id,
                Ask::Reading(_) => false,
            }),
            (Finding::Reading(one), _) => asks.contains(&Ask::Reading(one.reading.clone())),
            (Finding::Fact(_), _) => false,
        };
        let mut missing = 1.0;
        for cause in base
            .causes
            .values()
            .filter(|one| one.kind != CauseKind::Root)
        {
            for shows in cause.general() {
                if about(&shows.finding) {
                    missing *= 1.0 - cause.base_rate * shows.share;
                }
            }
        }
        1.0 - missing
    };
    let shares: Vec<f64> = offered.iter().map(often).collect();
    assert!(shares.is_sorted_by(|one, next| one >= next), "{shares:?}");
    assert!(shares[0] > 2.0 * shares[shares.len() - 1]);
}
