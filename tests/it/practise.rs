//! The command `practise` from outside: answers from a file, progress, exams, damaged files.

use std::fs;

use serde_json::Value;

use crate::coverage::keeps_to_schema;
use crate::world::{Ran, World};

const SCHEMA: &str = "schema = \"blockside.practice-answers/1\"\n";
const NOTHING: &str = "schema = \"blockside.practice-answers/1\"\n[[case]]\n";

fn run(world: &World, args: &[&str]) -> Ran {
    let mut command = world.bare();
    command.args(args);
    Ran::of(command)
}

fn json(world: &World, args: &[&str]) -> Value {
    let ran = run(world, &[args, &["--format", "json"]].concat());
    assert_eq!(ran.status, 0, "{}", ran.err);
    let value = serde_json::from_str(&ran.out).expect("JSON");
    keeps_to_schema("practice", &value);
    value
}

/// The single round of a report.
fn round(report: &Value) -> &Value {
    let rounds = report["rounds"].as_array().expect("a list");
    assert_eq!(rounds.len(), 1);
    &rounds[0]
}

fn texts(value: &Value) -> Vec<String> {
    let items = value.as_array().expect("a list").iter();
    items
        .map(|item| item.as_str().expect("a text").to_owned())
        .collect()
}

/// A file of answers that says what is right in a case, with this confidence.
fn right(round: &Value, confidence: u32) -> String {
    let causes: Vec<String> = texts(&round["case"]["causes"])
        .iter()
        .map(|id| format!("{{ cause = \"{id}\", confidence = {confidence} }}"))
        .collect();
    format!(
        "{NOTHING}looks = {:?}\ncauses = [{}]\naction = {:?}\ncautions = {:?}\n",
        texts(&round["case"]["best_checks"]),
        causes.join(", "),
        round["actions"][0].as_str().expect("an action"),
        texts(&round["cautions_due"])
    )
}

#[test]
fn a_round_from_a_file_of_answers_is_judged_and_comes_out_the_same_again() {
    let world = World::new();
    world.file("blank.toml", NOTHING);
    let args = ["practise", "--seed", "7", "--answers", "blank.toml"];
    let blank = json(&world, &args);
    assert_eq!(json(&world, &args), blank);
    let first = round(&blank);
    assert_eq!(first["points"]["causes"], 0.0);
    assert_eq!(first["action_chosen"], "none");
    assert_eq!(first["cautions_missed"], first["cautions_due"]);

    world.file("right.toml", right(first, 100));
    let told = json(
        &world,
        &["practise", "--seed", "7", "--answers", "right.toml"],
    );
    let judged = round(&told);
    assert_eq!(judged["case"], first["case"]);
    assert_eq!(judged["points"]["causes"], 1.0);
    assert_eq!(judged["points"]["action"], 1.0);
    assert_eq!(judged["mixed_up"], Value::Array(Vec::new()));
    for check in judged["checks"].as_array().expect("a list") {
        assert_eq!(
            check["bits"], check["best_bits"],
            "each was the best: {check}"
        );
        assert_eq!(check["check"], check["best"]);
    }
    // 0.75 for half the confidence.
    world.file("half.toml", right(first, 50));
    let told = json(
        &world,
        &["practise", "--seed", "7", "--answers", "half.toml"],
    );
    assert_eq!(round(&told)["points"]["causes"], 0.75);
}

#[test]
fn the_text_says_what_was_asked_and_what_there_is_to_learn() {
    let world = World::new();
    world.file("blank.toml", NOTHING);
    let seen = json(
        &world,
        &["practise", "--seed", "7", "--answers", "blank.toml"],
    );
    world.file("right.toml", right(round(&seen), 80));
    let ran = run(
        &world,
        &["practise", "--seed", "7", "--answers", "right.toml"],
    );
    assert_eq!(ran.status, 0, "{}", ran.err);
    insta::assert_snapshot!("practise_right", ran.out);
    let narrow = run(
        &world,
        &[
            "practise",
            "--seed",
            "7",
            "--answers",
            "right.toml",
            "--width",
            "40",
            "--plain",
        ],
    );
    assert!(narrow.out.is_ascii());
    assert!(
        narrow.out.lines().all(|line| line.len() <= 40),
        "{}",
        narrow.out
    );
}

#[test]
fn answers_with_faults_are_refused_with_every_fault() {
    let world = World::new();
    world.file(
        "wrong.toml",
        format!(
            "{NOTHING}looks = [\"no-such-look\"]\ncauses = [{{ cause = \"stale-air\", confidence = 120 }}, {{ cause = \
             \"stael-air\", confidence = 20 }}]\naction = \"mroe-fresh-air\"\ncautions = [\"nothing-known\"]\n"
        ),
    );
    run(&world, &["practise", "--answers", "wrong.toml"]).refused_later(&[
        "no-such-look",
        "confidence goes from 0 to 100",
        "did you mean `stale-air`?",
        "did you mean `more-fresh-air`?",
        "nothing-known",
    ]);
    for (text, said) in [
        (
            "schema = \"blockside.answers/1\"\n",
            "blockside.practice-answers/1",
        ),
        (
            "schema = \"blockside.practice-answers/1\"\n",
            "no `[[case]]`",
        ),
        ("what\n", "cannot be used"),
        (
            "schema = \"blockside.practice-answers/1\"\n[[case]]\nlook = []\n",
            "look",
        ),
    ] {
        world.file("wrong.toml", text);
        run(&world, &["practise", "--answers", "wrong.toml"]).refused_later(&[said]);
    }
    let ran = run(&world, &["practise"]);
    ran.refused(2, &["needs a terminal", "--answers FILE", "practise exam"]);
    let ran = run(
        &world,
        &["practise", "--topic", "moulsd", "--answers", "wrong.toml"],
    );
    ran.refused(
        2,
        &["no topic is called `moulsd`", "did you mean `moulds`?"],
    );
    let ran = run(
        &world,
        &["practise", "--helper", "..", "--answers", "wrong.toml"],
    );
    ran.refused(2, &["cannot be the name of a helper"]);
}

impl Ran {
    /// It could not finish and said each of these.
    fn refused_later(&self, said: &[&str]) {
        assert_eq!(self.status, 3, "{}{}", self.out, self.err);
        let flat = self.err.split_whitespace().collect::<Vec<_>>().join(" ");
        for part in said {
            assert!(flat.contains(part), "{part} is missing in: {}", self.err);
        }
    }
}

#[test]
fn what_a_helper_mixes_up_is_kept_and_comes_again() {
    let world = World::new();
    world.file("blank.toml", NOTHING);
    let seed = ["practise", "--seed", "3", "--topic", "moulds", "--answers"];
    let seen = json(&world, &[&seed[..], &["blank.toml"]].concat());
    let there = texts(&round(&seen)["case"]["causes"])[0].clone();
    let base = blockside::knowledge::embedded::base();
    let (id, _) = base.causes.get_key_value(there.as_str()).expect("there");
    let other = base.taken_for(id).next().expect("something is like it");
    world.file(
        "wrong.toml",
        format!("{NOTHING}causes = [{{ cause = \"{other}\", confidence = 90 }}]\n"),
    );
    let helper = ["--helper", "Mira"];
    let told = json(&world, &[&seed[..], &["wrong.toml"], &helper].concat());
    assert_eq!(round(&told)["mixed_up"][0]["named"], other.as_str());
    let progress = &told["progress"][0];
    assert_eq!(progress["helper"], "Mira");
    let today = jiff::ZonedDateTime::now().date().to_string();
    assert_eq!(
        progress["pairs"][0]["due"],
        today.as_str(),
        "the same day again"
    );

    // The next case is one of the two, whatever the topic.
    let args = [
        "practise",
        "--seed",
        "99",
        "--topic",
        "air",
        "--answers",
        "blank.toml",
    ];
    let next = json(&world, &[&args[..], &["--helper", "mira"]].concat());
    let causes = texts(&round(&next)["case"]["causes"]);
    assert!(
        causes == [there.as_str()] || causes == [other.as_str()],
        "{causes:?}"
    );

    // Told apart, it is due later and not before.
    world.file("right.toml", right(round(&next), 90));
    let args = [
        "practise",
        "--seed",
        "99",
        "--topic",
        "air",
        "--answers",
        "right.toml",
    ];
    let after = json(&world, &[&args[..], &helper].concat());
    let pair = &after["progress"][0]["pairs"][0];
    assert_eq!(pair["repetitions"], 1);
    assert_ne!(pair["due"], today.as_str());
    let free = json(
        &world,
        &[
            &[
                "practise",
                "--seed",
                "98",
                "--topic",
                "air",
                "--answers",
                "blank.toml",
            ][..],
            &helper,
        ]
        .concat(),
    );
    let cause = texts(&round(&free)["case"]["causes"]);
    assert!(
        cause != [there.as_str()] && cause != [other.as_str()],
        "{cause:?}"
    );

    let shown = run(
        &world,
        &["practise", "progress", "--helper", "Mira", "--plain"],
    );
    assert_eq!(shown.status, 0, "{}", shown.err);
    for said in [
        "Mira: 4 cases practised",
        "Points, from first to last",
        "cases 1 to 4:",
        "90 to 100 %",
        "Mixed up",
    ] {
        assert!(shown.out.contains(said), "{said}: {}", shown.out);
    }
    assert!(shown.out.is_ascii());
    let all = run(&world, &["practise", "progress"]);
    assert!(
        all.out.contains("Mira") && all.out.contains("4 cases"),
        "{}",
        all.out
    );
    assert_eq!(
        json(&world, &["practise", "progress"])["progress"][0]["points"]
            .as_array()
            .map(Vec::len),
        Some(4)
    );
}

#[test]
fn nothing_is_kept_without_a_name() {
    let world = World::new();
    world.file("blank.toml", NOTHING);
    let ran = run(&world, &["practise", "--answers", "blank.toml"]);
    assert_eq!(ran.status, 0, "{}", ran.err);
    assert!(ran.out.contains("Nothing is kept of this"), "{}", ran.out);
    assert!(!world.home.path().join("home").exists());
    let ran = run(&world, &["practise", "progress"]);
    assert!(ran.out.contains("Nobody has practised"), "{}", ran.out);
}

#[test]
fn a_damaged_record_is_set_aside_and_one_of_a_newer_version_left_alone() {
    let world = World::new();
    world.file("blank.toml", NOTHING);
    let args = ["practise", "--answers", "blank.toml", "--helper", "Mira"];
    assert_eq!(run(&world, &args).status, 0);
    let folder = world.home.path().join("home/practice");
    let file = folder.join("mira.toml");
    let sound = fs::read_to_string(&file).expect("kept");
    for (number, damaged) in [
        "cut off [[".to_owned(),
        sound.replace("practice-record/1", "something/1"),
        sound.replace("points = ", "points = nan # "),
        sound[..sound.len() / 2].to_owned(),
    ]
    .iter()
    .enumerate()
    {
        fs::write(&file, damaged).expect("written");
        let ran = run(&world, &args);
        assert_eq!(ran.status, 0, "{}", ran.err);
        let flat = ran.out.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(flat.contains("set aside"), "{}", ran.out);
        let aside = match number {
            0 => "damaged/mira.toml".to_owned(),
            number => format!("damaged/mira.{number}.toml"),
        };
        let kept = fs::read_to_string(folder.join(&aside)).expect("set aside, not deleted");
        assert_eq!(kept, *damaged);
        let anew = fs::read_to_string(&file).expect("begun anew");
        assert_eq!(anew.matches("[[round]]").count(), 1, "{anew}");
    }
    let newer = sound.replace("practice-record/1", "practice-record/2");
    fs::write(&file, &newer).expect("written");
    run(&world, &args).refused_later(&["newer version"]);
    assert_eq!(fs::read_to_string(&file).expect("there"), newer);
}

#[cfg(unix)]
#[test]
fn a_record_can_be_read_by_its_owner_alone() {
    use std::os::unix::fs::PermissionsExt;
    let world = World::new();
    world.file("blank.toml", NOTHING);
    let ran = run(
        &world,
        &["practise", "--answers", "blank.toml", "--helper", "Mira"],
    );
    assert_eq!(ran.status, 0, "{}", ran.err);
    let home = world.home.path().join("home/practice");
    for (path, wanted) in [(home.clone(), 0o700), (home.join("mira.toml"), 0o600)] {
        let mode = fs::metadata(&path).expect("there").permissions().mode();
        assert_eq!(mode & 0o777, wanted, "{}", path.display());
    }
    let left: Vec<_> = fs::read_dir(home).expect("readable").flatten().collect();
    assert!(
        left.iter()
            .all(|one| !one.file_name().to_string_lossy().starts_with(".unfinished")),
        "{left:?}"
    );
}

#[test]
fn an_exam_is_the_same_for_the_same_seed_on_paper_on_a_page_and_at_the_table() {
    let world = World::new();
    let args = ["practise", "exam", "--seed", "3", "--cases", "2"];
    let printed = run(&world, &args).out;
    assert_eq!(printed, run(&world, &args).out);
    insta::assert_snapshot!("practice_exam", tidy(&printed));
    let answers = run(&world, &[&args[..], &["--answer-sheet"]].concat()).out;
    insta::assert_snapshot!("practice_answer_sheet", tidy(&answers));
    let report = json(&world, &args);
    let sheets = report["exam"]["sheets"].as_array().expect("a list");
    assert_eq!(sheets.len(), 2);
    for sheet in sheets {
        let due = texts(&sheet["cautions_due"]);
        let offered = texts(&sheet["cautions"]);
        assert!(due.iter().all(|id| offered.contains(id)));
    }
    // Sat from a file, the cases are the same, and nothing is said before the last is answered.
    world.file("two.toml", format!("{NOTHING}[[case]]\n"));
    let sat = json(
        &world,
        &[&args[..], &["--answers", "two.toml", "--helper", "Mira"]].concat(),
    );
    for (sheet, round) in sheets.iter().zip(sat["rounds"].as_array().expect("a list")) {
        assert_eq!(sheet["case"], round["case"]);
    }
    let text = run(&world, &[&args[..], &["--answers", "two.toml"]].concat()).out;
    let last = text.rfind("Your answer").expect("there");
    assert!(text.find("What it was").expect("there") > last, "{text}");
    let record = fs::read_to_string(world.home.path().join("home/practice/mira.toml"));
    assert_eq!(record.expect("kept").matches("exam = \"3\"").count(), 2);

    for (more, name) in [
        (&[][..], "exam.html"),
        (&["--answer-sheet"][..], "answers.html"),
    ] {
        let ran = run(&world, &[&args[..], more, &["--html", name]].concat());
        assert_eq!(ran.status, 0, "{}", ran.err);
        let page = fs::read_to_string(world.home.path().join(name)).expect("written");
        assert!(
            page.contains("<h1>") && page.contains("Seed 3, 2 cases"),
            "{page}"
        );
        let again = run(&world, &[&args[..], more, &["--html", name]].concat());
        assert_eq!(again.status, 3);
    }
}

/// Without the fingerprint, which changes with every line of knowledge.
fn tidy(text: &str) -> String {
    let print = &blockside::knowledge::embedded::base().fingerprint;
    text.replace(print.as_str(), "KNOWLEDGE")
}

#[test]
fn topics_are_knowledge_and_can_be_listed() {
    let world = World::new();
    let ran = run(&world, &["practise", "topics"]);
    let base = blockside::knowledge::embedded::base();
    assert!(base.topics.len() >= 5);
    for (id, topic) in &base.topics {
        assert!(ran.out.contains(id.as_str()), "{id}");
        assert!(!topic.summary.is_empty());
    }
    let report = json(&world, &["practise", "topics"]);
    for topic in report["topics"].as_array().expect("a list") {
        assert!(texts(&topic["causes"]).len() >= 3, "{topic}");
    }
    // The small base has none, and any case can be practised all the same.
    let ran = world.run(&["practise", "topics"]);
    assert!(ran.out.contains("no topics"), "{}", ran.out);
    world.file("blank.toml", NOTHING);
    let ran = world.run(&["practise", "--answers", "blank.toml"]);
    assert_eq!(ran.status, 0, "{}", ran.err);
    assert!(ran.out.contains("What it was"), "{}", ran.out);
}

/// Two processes that finish a round at the same time both keep it.
#[test]
fn helpers_who_finish_at_the_same_time_lose_nothing() {
    let world = World::new();
    world.file("blank.toml", NOTHING);
    let args = ["practise", "--answers", "blank.toml", "--helper", "Mira"];
    let started: Vec<_> = (0..4)
        .map(|_| {
            let mut command = world.bare();
            command.args(args).stdout(std::process::Stdio::null());
            command.spawn().expect("it starts")
        })
        .collect();
    for mut child in started {
        assert!(child.wait().expect("it ends").success());
    }
    let record = fs::read_to_string(world.home.path().join("home/practice/mira.toml"));
    assert_eq!(record.expect("kept").matches("[[round]]").count(), 4);
}

#[test]
fn cases_begin_plain_and_grow_harder_for_whoever_does_well() {
    let world = World::new();
    let blank = format!("{NOTHING}{}", "[[case]]\n".repeat(7));
    world.file("answers.toml", blank);
    let args = ["practise", "--seed", "4", "--answers", "answers.toml"];
    let levels = |report: &Value| -> Vec<String> {
        let rounds = report["rounds"].as_array().expect("a list").iter();
        rounds
            .map(|round| round["case"]["level"].as_str().expect("a word").to_owned())
            .collect()
    };
    let poor = json(&world, &args);
    assert_eq!(levels(&poor), ["plain"; 8]);
    // The first five cases are the same, and answered rightly now.
    let rounds = poor["rounds"].as_array().expect("a list").iter();
    let right: Vec<String> = rounds.map(|round| right(round, 100)).collect();
    let cases: String = right.iter().map(|text| text.replace(SCHEMA, "")).collect();
    world.file("answers.toml", format!("{SCHEMA}{cases}"));
    let well = json(
        &world,
        &[
            "practise",
            "--seed",
            "4",
            "--cases",
            "6",
            "--answers",
            "answers.toml",
        ],
    );
    assert_eq!(levels(&well)[..5], ["plain"; 5]);
    assert_eq!(levels(&well)[5], "tricky");
}
