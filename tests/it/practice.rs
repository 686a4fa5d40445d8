//! Practice: drawn cases, the score, the offer, the exam.

use blockside::engine::id::{CauseId, CautionId};
use blockside::engine::knowledge::KnowledgeBase;
use blockside::engine::observations::Answer as Told;
use blockside::engine::quantity::System;
use blockside::engine::reasoner::Reasoner;
use blockside::knowledge::embedded;
use blockside::report::handbook::Book;
use blockside::report::page::Look;
use blockside::report::practice::{Paper, answer_sheet, debrief, paper};
use blockside::train::chance::Chance;
use blockside::train::practice::case::{PracticeCase, Wish, draw};
use blockside::train::practice::choices::choices;
use blockside::train::practice::debrief::{Debrief, Round};
use blockside::train::practice::due;
use blockside::train::practice::exam::{exam, sheet};
use blockside::train::practice::level::Level;
use blockside::train::practice::look::stream;
use blockside::train::practice::points::{
    ACTION_SHARE, Answer, CAUSE_SHARE, CAUTION_SHARE, Named, Points, of_causes, of_cautions,
    quadratic,
};
use proptest::prelude::{ProptestConfig, proptest};

fn cause(id: &str) -> CauseId {
    CauseId::new(id).expect("an id")
}

fn caution(id: &str) -> CautionId {
    CautionId::new(id).expect("an id")
}

fn named(id: &str, confidence: f64) -> Named {
    Named {
        cause: cause(id),
        confidence,
    }
}

/// Brier 1950 in the form given beside the code, worked out by hand.
#[test]
fn points_agree_with_those_worked_out_by_hand() {
    for (confidence, there, worth) in [
        (0.0, true, 0.0),
        (0.0, false, 0.0),
        (1.0, true, 1.0),
        (1.0, false, -1.0),
        (0.5, true, 0.75),
        (0.8, true, 0.96),
        (0.8, false, -0.64),
    ] {
        let found = quadratic(confidence, there);
        assert!(
            (found - worth).abs() < 1e-12,
            "{confidence} {there}: {found}"
        );
    }
    let there = [cause("a"), cause("b")];
    // 0.96 for the one that is there, nothing for the one not named, -0.25 for the wrong one, over two causes.
    let found = of_causes(&there, &[named("a", 0.8), named("c", 0.5)]);
    assert!((found - 0.355).abs() < 1e-12, "{found}");
    // However much is named wrongly, it is no worse than one certain error.
    let wrong = [named("c", 1.0), named("d", 1.0)];
    assert_eq!(of_causes(&there[..1], &wrong), -1.0);
    let due = [caution("x"), caution("y")];
    assert_eq!(of_cautions(&due, &[caution("x")], 0), Some(0.5));
    assert_eq!(
        of_cautions(&due, &[caution("x"), caution("z")], 1),
        Some(0.375)
    );
    assert_eq!(of_cautions(&due, &[caution("z")], 1), Some(0.0));
    assert_eq!(of_cautions(&[], &[caution("z")], 1), None);
    let perfect = Points {
        causes: 1.0,
        cautions: Some(1.0),
        action: 1.0,
    };
    assert!((perfect.total() - 100.0).abs() < 1e-9);
    let none_due = Points {
        cautions: None,
        ..perfect
    };
    assert!((none_due.total() - 100.0).abs() < 1e-9);
}

#[test]
fn the_shares_add_up_and_no_name_makes_up_for_missed_cautions() {
    assert!((CAUTION_SHARE + CAUSE_SHARE + ACTION_SHARE - 1.0).abs() < 1e-12);
    let missed = Points {
        causes: 1.0,
        cautions: Some(0.0),
        action: 1.0,
    };
    let minded = Points {
        causes: 0.0,
        cautions: Some(1.0),
        action: 0.0,
    };
    assert!(missed.total() <= minded.total());
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(512))]

    /// Gneiting and Raftery 2007: strictly proper.
    #[test]
    fn the_expected_score_is_best_for_whoever_states_the_true_confidence(
        truth in 0.0..=1.0_f64,
        stated in 0.0..=1.0_f64,
    ) {
        let expected =
            |sure: f64| truth * quadratic(sure, true) + (1.0 - truth) * quadratic(sure, false);
        assert!(expected(truth) >= expected(stated) - 1e-12);
        if (stated - truth).abs() > 1e-3 {
            assert!(expected(truth) > expected(stated));
        }
        // The more one can know, the more there is to be had.
        assert!((expected(truth) - truth * truth).abs() < 1e-12);
    }
}

fn cases<'k>(
    reasoner: &Reasoner<'k>,
    wish: Wish<'_>,
    seed: u64,
    count: usize,
) -> Vec<PracticeCase> {
    let drawn = exam(reasoner, wish, seed, count);
    assert_eq!(drawn.len(), count);
    drawn
}

#[test]
fn every_case_begins_with_signs_that_are_there_and_that_its_causes_show() {
    let base = embedded::base();
    let reasoner = Reasoner::new(&base, System::Metric);
    for case in cases(&reasoner, Wish::default(), 11, 30) {
        assert!(!case.causes.is_empty() && case.causes.len() <= 2);
        assert!(case.causes.iter().all(|id| case.there.contains(id)));
        assert!(
            (1..=2).contains(&case.complaints.len()),
            "{:?}",
            case.complaints
        );
        for sign in &case.complaints {
            assert_eq!(case.world.signs.get(sign), Some(&Told::Yes));
            assert_eq!(case.opening.signs.get(sign), Some(&Told::Yes));
        }
        assert_eq!(case.opening.signs.len(), case.complaints.len());
        assert!(case.opening.readings.is_empty());
        // What the program makes of the complaint takes every cause that is there into account.
        let confidence = reasoner.confidence(&case.opening);
        for id in &case.causes {
            assert!(confidence[id] > base.causes[id].base_rate, "{id}");
        }
        for (id, measured) in &case.world.readings {
            let (least, most) = base.readings[id].believable;
            assert!((least..=most).contains(&measured.value), "{id}");
        }
    }
}

#[test]
fn a_case_is_of_the_topic_and_level_asked_for() {
    let base = embedded::base();
    let reasoner = Reasoner::new(&base, System::Metric);
    for (id, topic) in &base.topics {
        let wish = Wish {
            topic: Some(topic),
            ..Wish::default()
        };
        for case in cases(&reasoner, wish, 5, 3) {
            assert!(base.in_topic(topic, &case.causes[0]), "{id}");
        }
    }
    for (level, word) in Level::WORDS {
        let wish = Wish {
            level: Some(level),
            ..Wish::default()
        };
        for case in cases(&reasoner, wish, 6, 6) {
            assert_eq!(case.hardness.level, level, "{word}");
            let one = case.causes.len() == 1 && case.hardness.clear;
            assert!(one || level == Level::Tricky);
        }
    }
}

#[test]
fn a_pair_that_is_due_is_put_by_what_both_show() {
    let base = embedded::base();
    let reasoner = Reasoner::new(&base, System::Metric);
    let mut alike = 0;
    let pairs: Vec<(&CauseId, &CauseId)> = base
        .causes
        .iter()
        .flat_map(|(id, one)| one.look_alikes.iter().map(move |look| (id, &look.cause)))
        .take(12)
        .collect();
    for (one, other) in &pairs {
        let wish = Wish {
            pair: Some((one, other)),
            ..Wish::default()
        };
        let case = draw(&reasoner, wish, 9).expect("there is one");
        assert_eq!(case.causes.len(), 1);
        assert!([*one, *other].contains(&&case.causes[0]));
        let confidence = reasoner.confidence(&case.opening);
        let raised =
            |id: &CauseId| confidence.get(id).copied().unwrap_or(0.0) > base.causes[id].base_rate;
        alike += usize::from(raised(one) && raised(other));
    }
    assert!(alike * 2 > pairs.len(), "{alike} of {}", pairs.len());
}

#[test]
fn equal_seeds_give_equal_exams_and_other_seeds_others() {
    let base = embedded::base();
    let reasoner = Reasoner::new(&base, System::Metric);
    let printed = |seed: u64| {
        let sheets: Vec<_> = cases(&reasoner, Wish::default(), seed, 4)
            .into_iter()
            .map(|case| sheet(&reasoner, case))
            .collect();
        let exam = Paper {
            sheets: &sheets,
            seed,
            level: None,
            topic: None,
        };
        let book = book(&base);
        (
            paper(book, &reasoner, &exam),
            answer_sheet(book, &reasoner, &exam),
        )
    };
    let (one, answers) = printed(3);
    assert_eq!((one.clone(), answers.clone()), printed(3));
    assert_ne!(one, printed(4).0);
    for text in [&one, &answers] {
        assert!(
            text.contains(&base.fingerprint),
            "another knowledge gives another exam"
        );
    }
    // The exam gives nothing away: no cause is named on it.
    for case in cases(&reasoner, Wish::default(), 3, 4) {
        let name = &base.causes[&case.causes[0]].name;
        assert!(
            answers.replace('\n', " ").contains(name.as_str()) || name.len() > 40,
            "{name}"
        );
    }
}

fn book(base: &KnowledgeBase) -> Book<'_> {
    Book {
        base,
        system: System::Metric,
        look: Look::of_width(80),
    }
}

/// Somebody who looks by this rule so many times, and then says what the program would say of what was seen.
fn looked(
    reasoner: &Reasoner<'_>,
    case: &PracticeCase,
    checks: usize,
    mut choose: impl FnMut(&Round<'_, '_>) -> usize,
) -> Debrief {
    let mut round = Round::new(reasoner, case);
    for _ in 0..checks {
        if round.every.is_empty() {
            break;
        }
        let ask = round.every[choose(&round)].ask.clone();
        round.look(&ask).expect("it is open");
    }
    let stated = reasoner.stated(&round.seen);
    let causes = stated
        .into_iter()
        .take(3)
        .map(|(cause, confidence)| Named { cause, confidence });
    let answer = Answer {
        causes: causes.collect(),
        ..Answer::default()
    };
    round.finish(answer)
}

#[test]
fn who_makes_the_best_check_each_time_scores_better_than_who_picks_at_random() {
    let base = embedded::base();
    let reasoner = Reasoner::new(&base, System::Metric);
    let mut chance = Chance::new(1);
    let drawn = cases(&reasoner, Wish::default(), 21, 40);
    let (mut best, mut random, mut won, mut lost) = (0.0, 0.0, 0, 0);
    for case in &drawn {
        let one = looked(&reasoner, case, 4, |_| 0);
        let other = looked(&reasoner, case, 4, |round| chance.place(round.every.len()));
        let (bits, most) = one.bits();
        assert!((bits - most).abs() < 1e-12, "there is no better one");
        assert!(other.bits().0 <= other.bits().1 + 1e-12);
        let (a, b) = (one.points.causes, other.points.causes);
        best += a;
        random += b;
        won += usize::from(a > b + 1e-9);
        lost += usize::from(b > a + 1e-9);
    }
    let count = drawn.len() as f64;
    assert!(
        best / count > random / count + 0.1 && won > lost,
        "{:.3} against {:.3}, {won} won and {lost} lost",
        best / count,
        random / count
    );
}

#[test]
fn a_due_caution_that_was_missed_is_always_said_first() {
    let base = embedded::base();
    let reasoner = Reasoner::new(&base, System::Metric);
    let hazards = base.topics.values().find(|topic| topic.hazard.is_some());
    let wish = Wish {
        topic: hazards,
        ..Wish::default()
    };
    let mut missed = 0;
    for case in cases(&reasoner, wish, 31, 12) {
        let round = Round::new(&reasoner, &case);
        let due = due::cautions(&reasoner, &case.causes, &round.seen);
        let offered = choices(&reasoner, &case, &round.seen);
        assert!(
            due.iter().all(|id| offered.cautions.contains(id)),
            "each can be chosen"
        );
        let first = offered.actions.iter().map(|id| {
            let called_for = due::actions(&base, &case.causes);
            due::chosen(&base, &called_for, Some(id))
        });
        assert!(first.into_iter().any(|chosen| chosen == due::Chosen::First));
        let told = round.finish(Answer::default());
        let text = debrief(book(&base), &case, &told);
        let start = text.lines().next().expect("some");
        if due.is_empty() {
            assert_eq!(start, "No caution was due here.");
            continue;
        }
        missed += 1;
        assert_eq!(told.missed, due);
        assert!(
            start.starts_with("Missed, and it comes before everything else"),
            "{text}"
        );
        let gravest = &base.cautions[&due[0]].text;
        let flat = text.split_whitespace().collect::<Vec<_>>().join(" ");
        let at = flat.find(&gravest[..40]).expect("it is said");
        assert!(at < flat.find("What it was").expect("that too"), "{text}");
    }
    assert!(missed > 6, "{missed}");
}

#[test]
fn each_turn_has_a_stream_of_its_own() {
    let all: std::collections::BTreeSet<u64> = (0..100).map(|turn| stream(7, turn)).collect();
    assert_eq!(all.len(), 100);
    assert_ne!(stream(7, 0), stream(8, 0));
}
