//! What a person comes with: the list at the opening, and what each complaint leads to.

use blockside::cli::ask::answers::{Answers, Taken, Told, Which, parse, to_toml};
use blockside::cli::ask::topics::{is_beyond, topic};
use blockside::cli::ask::walk::{MOST_CHECKS, Reply, Step, Walk};
use blockside::engine::diagnosis::Ask;
use blockside::engine::id::{QuestionId, ReadingId, SignId};
use blockside::engine::knowledge::{Complaint, KnowledgeBase};
use blockside::engine::observations::{Answer, Observations};
use blockside::engine::quantity::{Measured, System};
use blockside::engine::reasoner::Reasoner;
use blockside::knowledge::embedded;

/// A list this long fits a terminal of 24 rows under its question.
const MOST_LINES: usize = 18;

fn question(id: &str) -> Complaint {
    Complaint::Question(QuestionId::new(id).expect("a kebab-case id"))
}

fn sign(id: &str) -> SignId {
    SignId::new(id).expect("a kebab-case id")
}

/// The answers of somebody who came with this.
fn came_with(complaint: Complaint) -> Answers {
    Answers {
        species: Some(None),
        stage: Some(None),
        setup: Some(Vec::new()),
        complaints: Some(vec![complaint]),
        people: Some(None),
        ..Answers::default()
    }
}

/// What is put next, and the walk that puts it.
fn next<'k>(reasoner: &Reasoner<'_>, walk: &Walk<'k>) -> Step {
    walk.next_step(&reasoner.diagnose(&walk.observations()), reasoner)
}

/// Which question a step puts.
fn asked(step: &Step) -> &str {
    match step {
        Step::Check(check) => match &check.ask {
            Ask::Question(id, _) => id.as_str(),
            Ask::Sign(id) => id.as_str(),
            Ask::Reading(id) => id.as_str(),
        },
        other => panic!("{other:?}"),
    }
}

#[test]
fn the_list_is_short_and_each_line_of_it_too() {
    let base = embedded::base();
    let offered = base.complaints();
    assert!(offered.len() <= MOST_LINES, "{}", offered.len());
    for complaint in &offered {
        let words = base.opening_of(complaint).expect("it is offered");
        assert!(words.len() <= 38, "{words}");
    }
    // What shares its words is one line.
    let mut words: Vec<_> = offered.iter().map(|one| base.opening_of(one)).collect();
    words.sort_unstable();
    words.dedup();
    assert_eq!(words.len(), offered.len());
}

#[test]
fn a_topic_tells_nothing_by_itself_and_is_asked_about_before_all_else() {
    let base = embedded::base();
    let reasoner = Reasoner::new(&base, System::Metric);
    for complaint in base.complaints() {
        let asks = topic(&base, &complaint);
        if asks.is_empty() {
            continue;
        }
        let walk = Walk::new(&base, came_with(complaint.clone()));
        assert!(walk.observations().signs.is_empty(), "{complaint:?}");
        let step = next(&reasoner, &walk);
        let Step::Check(check) = &step else {
            panic!("{complaint:?}: {step:?}");
        };
        let is_it = |ask: &Ask| match (ask, &check.ask) {
            (Ask::Question(one, _), Ask::Question(other, _)) => one == other,
            (one, other) => one == other,
        };
        assert!(asks.iter().any(is_it), "{complaint:?}: {:?}", check.ask);
    }
}

#[test]
fn the_checks_of_a_topic_follow_each_other_until_one_finds_something() {
    let base = embedded::base();
    let reasoner = Reasoner::new(&base, System::Metric);
    let mut walk = Walk::new(&base, came_with(question("animals-seen")));
    let first = next(&reasoner, &walk);
    walk.reply(&first, Reply::Which(Which::None));
    let second = next(&reasoner, &walk);
    let mut both = [asked(&first), asked(&second)];
    both.sort_unstable();
    assert_eq!(both, ["animals-seen", "moving-specks"]);

    // What is found first ends it: what comes then is what tells most about that.
    let mut walk = Walk::new(&base, came_with(question("animals-seen")));
    let Step::Check(check) = next(&reasoner, &walk) else {
        panic!("a check");
    };
    let Ask::Question(_, signs) = &check.ask else {
        panic!("a shared question");
    };
    let these = Which::These(signs[..1].to_vec());
    walk.reply(&Step::Check(check.clone()), Reply::Which(these));
    let told = reasoner.next_checks(&walk.observations());
    assert_eq!(
        asked(&next(&reasoner, &walk)),
        asked(&Step::Check(told[0].clone()))
    );
}

#[test]
fn the_checks_of_a_topic_count_and_never_go_beyond_the_most() {
    let base = embedded::base();
    let reasoner = Reasoner::new(&base, System::Metric);
    let mut answers = came_with(question("animals-seen"));
    answers.complaints = Some(base.complaints());
    let mut walk = Walk::new(&base, answers);
    let mut put = 0;
    loop {
        let step = next(&reasoner, &walk);
        if matches!(step, Step::Finished(_)) {
            break;
        }
        put += 1;
        walk.reply(&step, Reply::CannotNow);
    }
    assert_eq!(put, MOST_CHECKS);
}

/// A grey oyster at 25 °C, which is above its limit, and at 15 °C, which is not.
#[test]
fn a_reading_that_lies_within_its_limits_explains_no_complaint_about_a_meter() {
    let base = embedded::base();
    let reasoner = Reasoner::new(&base, System::Metric);
    let temperature = ReadingId::new("temperature").expect("a kebab-case id");
    let meter = base
        .complaints()
        .into_iter()
        .find(|one| topic(&base, one).contains(&Ask::Reading(temperature.clone())))
        .expect("a meter may read oddly");
    let put = |celsius: f64| {
        let mut answers = came_with(meter.clone());
        answers.species = Some(base.species_named("grey-oyster").cloned());
        answers.stage = Some(base.stage_named("fruiting").cloned());
        let taken = Taken {
            typed: format!("{celsius} C"),
            measured: Measured {
                value: celsius,
                tolerance: None,
            },
        };
        answers
            .readings
            .insert(temperature.clone(), Told::Answer(taken));
        let told = answers.observations(&base);
        let walk = Walk::new(&base, answers);
        let asks = topic(&base, &meter);
        let step = next(&reasoner, &walk);
        let Step::Check(check) = step else {
            panic!("{step:?}");
        };
        let about_it = asks.iter().any(|ask| match (ask, &check.ask) {
            (Ask::Question(one, _), Ask::Question(other, _)) => one == other,
            (one, other) => one == other,
        });
        (is_beyond(&base, &told, &temperature, celsius), about_it)
    };
    assert_eq!(put(15.0), (false, true));
    assert!(put(25.0).0);
}

#[test]
fn complaints_are_kept_as_they_are_and_files_of_signs_alone_are_still_read() {
    let base = embedded::base();
    let mut answers = came_with(Complaint::Sign(sign("caps-wet-for-hours")));
    answers.complaints = Some(base.complaints());
    assert_eq!(parse(&base, &to_toml(&answers)), Ok(answers));
    // Tables alone, with other keys behind them.
    let mut answers = came_with(question("animals-seen"));
    answers
        .signs
        .insert(sign("caps-wet-for-hours"), Told::Answer(Answer::No));
    assert_eq!(parse(&base, &to_toml(&answers)), Ok(answers));

    let old = "schema = \"blockside.answers/1\"\ncomplaints = [\"long-stems\"]\n";
    let read = parse(&base, old).expect("an older file");
    assert_eq!(
        read.complaints,
        Some(vec![Complaint::Sign(sign("long-stems"))])
    );
    assert_eq!(
        read.observations(&base).signs[&sign("long-stems")],
        Answer::Yes
    );

    let faulty = "schema = \"blockside.answers/1\"\ncomplaints = [{ question = \"animal-seen\" }, { smell = \"x\" }, \
                  { reading = \"heat\" }]\n";
    let faults = parse(&base, faulty).expect_err("three faults");
    assert_eq!(faults.len(), 3, "{faults:?}");
    assert!(faults[0].contains("animals-seen"), "{}", faults[0]);
}

/// What is due about a green spot where so much was said of the people.
fn about_green(base: &KnowledgeBase, people: &[(&str, bool)]) -> Vec<(String, Vec<String>)> {
    let mut told = Observations::default();
    told.signs.insert(sign("spot-green"), Answer::Yes);
    told.signs.insert(sign("spot-on-block"), Answer::Yes);
    for id in base.special_risks() {
        if let Some((_, there)) = people
            .iter()
            .find(|(one, _)| *one == "all" || *one == id.as_str())
        {
            told.people.insert(id.clone(), *there);
        }
    }
    let due = Reasoner::new(base, System::Metric).diagnose(&told).cautions;
    due.into_iter()
        .map(|caution| (caution.id.to_string(), caution.because))
        .collect()
}

#[test]
fn a_caution_for_some_people_is_due_until_it_is_known_that_none_of_them_goes_in() {
    let base = embedded::base();
    let due = |people: &[(&str, bool)]| {
        let due = about_green(&base, people);
        due.iter().any(|(id, _)| id == "mould-special-risk")
    };
    assert!(due(&[]), "nobody said who goes in");
    assert!(!due(&[("all", false)]), "none of them goes in");
    assert!(due(&[("asthma", true), ("all", false)]));
    // What is for everybody stays.
    let all = about_green(&base, &[("all", false)]);
    assert!(all.iter().any(|(id, _)| id == "mould-handling"));
}

#[test]
fn what_a_caution_suspects_is_said_in_one_clause() {
    let base = embedded::base();
    let reasoner = Reasoner::new(&base, System::Metric);
    let mut several = 0;
    let colours = &base.questions["spot-colour"].signs;
    for colour in colours {
        let mut told = Observations::default();
        told.signs.insert(colour.clone(), Answer::Yes);
        for caution in reasoner.diagnose(&told).cautions {
            let because = caution.because;
            let clauses = because.iter().filter(|one| one.starts_with("it could be"));
            assert!(clauses.clone().count() <= 1, "{}: {because:?}", caution.id);
            several += clauses.filter(|one| one.contains(" or ")).count();
        }
    }
    assert!(several > 0, "more than one mould has the same colour");
}
