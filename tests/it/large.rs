//! Far more than anybody means to write: it is refused with a plain word or done in time that grows as the input does.
//!
//! `tests/benches/large.py` does the same at full size. Times are those of the processor, compared with each other within
//! one run: ten times the input may take forty times as long, which leaves room for a busy machine, while work that grows
//! with the square of its input takes a hundred times as long.

use std::fmt::Write as _;
use std::fs;
use std::time::Duration;

use blockside::engine::id::SignId;
use blockside::engine::knowledge::KnowledgeBase;
use blockside::engine::observations::{Answer, Observations};
use blockside::engine::quantity::System;
use blockside::engine::reasoner::Reasoner;
use blockside::knowledge::build::{SourceFile, build};
use blockside::knowledge::problem::ProblemCode;
use blockside::report::catalogue;
use blockside::report::json;
use blockside::report::page::Look;
use blockside::report::text::{Told, report};

use crate::world::{Ran, World};

const SCALE: &str = include_str!("../../fixtures/broken/base/scale.toml");
const STATED: &str = "judgement = \"Made up for tests.\"\n";
const SPECIES: &str = "[species]\nid = \"any\"\nname = \"Any\"\nlatin = \"Any any\"\nalso = []\nsummary = \"It grows.\"\n\
    traits = []\nharvest-sign = \"The rims begin to flatten.\"\ndefault = true\njudgement = \"Made up for tests.\"\n";

fn file(name: &str, text: String) -> SourceFile {
    SourceFile {
        name: name.to_owned(),
        text,
        layer: 0,
    }
}

fn signs(count: usize, family: &str) -> String {
    let mut text = String::new();
    for one in 0..count {
        let _ = write!(
            text,
            "[[sign]]\nid = \"sign-{one:06}\"\nstatement = \"sign {one} is there\"\nquestion = \"Is it?\"\n\
             look = \"Look.\"\nwords = [\"sign {one:06}\"]\nanyway = \"seldom\"\n{family}effort = \"glance\"\n{STATED}\n"
        );
    }
    text
}

/// Causes, each of which shows all of these.
fn causes(count: usize, shown: &[String]) -> String {
    let mut text = String::new();
    for one in 0..count {
        let _ = write!(
            text,
            "[[cause]]\nid = \"cause-{one:06}\"\nname = \"Cause {one}\"\nkind = \"condition\"\nsummary = \"It is.\"\n\
             base-rate = \"common\"\nlook-alikes = []\nactions = []\ncautions = []\nrules = [\n"
        );
        for what in shown {
            let _ = writeln!(
                text,
                "  {{ when = {{ {what} }}, shows = \"often\", {} }},",
                STATED.trim()
            );
        }
        let _ = write!(text, "]\n{STATED}\n");
    }
    text
}

fn named(count: usize) -> Vec<String> {
    (0..count)
        .map(|one| format!("sign = \"sign-{one:06}\""))
        .collect()
}

/// A base of these files that has no fault at all.
fn base(files: Vec<(&str, String)>) -> KnowledgeBase {
    let mut all = vec![
        file("scale.toml", SCALE.to_owned()),
        file("species.toml", SPECIES.to_owned()),
    ];
    all.extend(files.into_iter().map(|(name, text)| file(name, text)));
    let built = build(&all);
    assert_eq!(built.problems, []);
    built.base
}

fn seen(count: usize) -> Observations {
    let id = |one| SignId::new(&format!("sign-{one:06}")).expect("an id");
    Observations {
        signs: (0..count).map(|one| (id(one), Answer::Yes)).collect(),
        ..Observations::default()
    }
}

/// How long this thread has kept a processor busy.
#[cfg(unix)]
fn busy() -> Duration {
    let time = rustix::time::clock_gettime(rustix::time::ClockId::ThreadCPUTime);
    Duration::try_from(time).expect("a time that has passed")
}

/// Elsewhere, how long the test has run.
#[cfg(not(unix))]
fn busy() -> Duration {
    static START: std::sync::LazyLock<std::time::Instant> =
        std::sync::LazyLock::new(std::time::Instant::now);
    START.elapsed()
}

/// The shorter of two times.
fn shorter(mut work: impl FnMut()) -> Duration {
    let mut time = || {
        let start = busy();
        work();
        busy() - start
    };
    time().min(time())
}

/// Ten times the input takes less than forty times as long; `time` is given the size.
fn grows_as_its_input(what: &str, size: usize, time: impl Fn(usize) -> Duration) {
    // What takes next to no time is measured badly.
    let small = time(size).max(Duration::from_millis(1));
    let large = time(10 * size);
    assert!(
        large < small * 40,
        "{what}: {small:?} for {size}, {large:?} for ten times as much"
    );
}

fn rules(count: usize) -> KnowledgeBase {
    let (signs_count, facts) = (count / 10, count / 100);
    let mut derive = String::new();
    for one in 0..facts {
        let _ = write!(
            derive,
            "[[fact]]\nid = \"fact-{one:06}\"\nstatement = \"fact {one} holds\"\nanyway = \"seldom\"\n{STATED}\n"
        );
    }
    for one in 0..count {
        let _ = write!(
            derive,
            "[[rule]]\nid = \"rule-{one:06}\"\nwhen = {{ all = [{{ sign = \"sign-{:06}\" }}, {{ sign = \"sign-{:06}\" }}] }}\n\
             then = {{ fact = \"fact-{:06}\" }}\ntext = \"It follows.\"\n{STATED}\n",
            one % signs_count,
            (7 * one + 1) % signs_count,
            one % facts
        );
    }
    let mut shown = String::new();
    for one in 0..facts {
        let text = causes(1, &[format!("fact = \"fact-{one:06}\"")]);
        shown.push_str(&text.replace("cause-000000", &format!("cause-{one:06}")));
    }
    base(vec![
        ("signs.toml", signs(signs_count, "")),
        ("derive.toml", derive),
        ("causes.toml", shown),
    ])
}

#[test]
fn building_knowledge_takes_time_as_there_are_rules() {
    grows_as_its_input("building", 300, |count| shorter(|| drop(rules(count))));
}

#[test]
fn lists_of_rules_take_time_as_there_are_rules() {
    grows_as_its_input("listing", 200, |count| {
        let base = base(vec![
            ("signs.toml", signs(count, "")),
            ("causes.toml", causes(1, &named(count))),
        ]);
        shorter(|| {
            let listed = catalogue::entries(&base, catalogue::Kind::Rules);
            assert_eq!(listed.len(), count);
        })
    });
}

#[test]
fn a_family_of_a_thousand_signs_takes_time_as_there_are_signs() {
    grows_as_its_input("a family", 100, |count| {
        let base = base(vec![
            ("signs.toml", signs(count, "family = \"one\"\n")),
            ("causes.toml", causes(2, &named(count))),
        ]);
        let told = seen(12);
        shorter(|| {
            let reasoner = Reasoner::new(&base, System::Metric);
            assert!(reasoner.diagnose(&told).exact);
        })
    });
}

#[test]
fn hundreds_of_causes_for_one_sign_take_time_as_there_are_causes() {
    grows_as_its_input("many causes", 50, |count| {
        let base = base(vec![
            ("signs.toml", signs(1, "")),
            ("causes.toml", causes(count, &named(1))),
        ]);
        let reasoner = Reasoner::new(&base, System::Metric);
        let told = seen(1);
        shorter(|| assert!(reasoner.diagnose(&told).nothing_wrong < 1.0))
    });
}

#[test]
fn forty_signs_at_once_are_answered_approximately_and_said_to_be() {
    let base = base(vec![
        ("signs.toml", signs(40, "")),
        ("causes.toml", causes(40, &named(40))),
    ]);
    let told = seen(40);
    let diagnosis = Reasoner::new(&base, System::Metric).diagnose(&told);
    assert!(!diagnosis.exact);
    let shown = Told {
        base: &base,
        observations: &told,
        diagnosis: &diagnosis,
    };
    let text = report(&shown, Look::of_width(100));
    assert!(text.contains("the numbers are approximate"), "{text}");
    let json = serde_json::to_value(json::diagnosis(&shown)).expect("JSON");
    assert_eq!(json["exact"], false);
    for cause in &diagnosis.causes {
        assert!(
            (0.0..=1.0).contains(&cause.confidence),
            "{}",
            cause.confidence
        );
    }
}

#[test]
fn unknown_names_in_rules_take_time_as_there_are_names() {
    grows_as_its_input("looking for names", 200, |count| {
        let unknown: Vec<String> = (0..count)
            .map(|one| format!("sign = \"sgn-{one:06}\""))
            .collect();
        let files = [
            file("scale.toml", SCALE.to_owned()),
            file("signs.toml", signs(count, "")),
            file("causes.toml", causes(1, &unknown)),
        ];
        shorter(|| {
            let problems = build(&files).problems;
            let unknown = problems
                .iter()
                .filter(|problem| problem.code == ProblemCode::UnknownSign);
            assert_eq!(unknown.count(), count);
        })
    });
}

/// The kinds of nesting that TOML has.
fn nested(depth: usize) -> [String; 4] {
    [
        format!("{} = 1\n", vec!["a"; depth].join(".")),
        format!("[{}]\nb = 1\n", vec!["a"; depth].join(".")),
        format!("a = {}{}\n", "[".repeat(depth), "]".repeat(depth)),
        format!("a = {}1{}\n", "{a=".repeat(depth), "}".repeat(depth)),
    ]
}

#[test]
fn whatever_lies_deep_in_a_file_is_refused_with_a_word() {
    let world = World::new();
    let home = world.home.path().join("home");
    fs::create_dir_all(home.join("cases")).expect("a folder");
    let depth = 20_000;
    for text in nested(depth) {
        let file = |schema: &str| {
            let text = format!("schema = \"blockside.{schema}/1\"\n{text}");
            let path = world.file("deep.toml", text);
            path.to_str().expect("a plain path").to_owned()
        };
        let beginning = &text[..20];
        for (schema, command) in [
            ("case", &["diagnose"][..]),
            ("profile", &["chamber"]),
            ("answers", &["ask", "--answers"]),
        ] {
            let path = file(schema);
            let ran = world.run(&[command, &[path.as_str()]].concat());
            assert_eq!(ran.status, 3, "{schema} {beginning}: {}", ran.err);
            assert!(
                ran.err.len() < 10_000,
                "{schema} {beginning}: {} bytes",
                ran.err.len()
            );
        }
        for (name, command, status) in [
            (
                "settings.toml",
                &["diagnose", "--sign", "long-stems"][..],
                3,
            ),
            ("rounds.toml", &["rounds"], 3),
            ("cases/20280229-01.toml", &["cases"], 0),
        ] {
            fs::write(home.join(name), &text).expect("written");
            let ran = world.run(command);
            assert_eq!(ran.status, status, "{name} {beginning}: {}", ran.err);
            let _ = fs::remove_file(home.join(name));
        }
    }
    let line = format!(
        "{{\"a\": {}1{}}}\n",
        "{\"a\":".repeat(depth),
        "}".repeat(depth)
    );
    world.file("deep.json", line);
    world
        .run(&["cases", "import", "deep.json"])
        .refused(3, &["line 1"]);
    let ran = world.run(&["diagnose", "--batch", "deep.json"]);
    assert_eq!(ran.status, 3, "{}", ran.err);
    assert!(
        ran.out.contains("\"line\":1") && ran.out.lines().count() == 1,
        "{}",
        ran.out
    );
}

#[test]
fn a_condition_that_lies_deep_is_refused_at_its_place() {
    for depth in [40, 400, 10_000] {
        let when = format!(
            "{}{{ sign = \"seen\" }}{}",
            "{ all = [".repeat(depth),
            "] }".repeat(depth)
        );
        let text = format!("[[rule]]\nid = \"deep\"\nwhen = {when}\n");
        let built = build(&[
            file("scale.toml", SCALE.to_owned()),
            file("deep.toml", text),
        ]);
        let deep = built
            .problems
            .iter()
            .find(|problem| problem.code == ProblemCode::TooDeep);
        assert!(
            deep.and_then(|problem| problem.span.clone()).is_some(),
            "{depth}"
        );
    }
}

#[test]
fn what_is_no_file_of_its_kind_is_refused_and_not_waited_for() {
    let world = World::new();
    let commands: [&[&str]; 7] = [
        &["diagnose"],
        &["chamber"],
        &["log"],
        &["ask", "--answers"],
        &["describe", "--file"],
        &["cases", "import"],
        &["knowledge", "check"],
    ];
    for command in commands {
        // Only the built-in knowledge can judge a log.
        let run = |path: &str| {
            let mut run = world.bare();
            run.args(command).arg(path);
            Ran::of(run)
        };
        if command != ["knowledge", "check"] {
            run(".").refused(3, &["folder"]);
        }
        if cfg!(unix) {
            run("/dev/zero").refused(3, &["/dev/zero"]);
        }
    }
}

#[cfg(unix)]
#[test]
fn a_pipe_is_read_and_not_waited_for_where_nobody_writes() {
    let world = World::new();
    let pipe = world.home.path().join("pipe.toml");
    let made = std::process::Command::new("mkfifo").arg(&pipe).status();
    assert!(made.expect("it runs").success());
    world
        .run(&["diagnose", "pipe.toml"])
        .refused(3, &["pipe.toml", "nobody writes"]);
    let writer = std::thread::spawn({
        let pipe = pipe.clone();
        move || {
            fs::write(
                pipe,
                "schema = \"blockside.case/1\"\n[signs]\nlong-stems = \"yes\"\n",
            )
        }
    });
    let ran = world.run(&["diagnose", "pipe.toml"]);
    writer.join().expect("it ends").expect("written");
    assert_eq!(ran.status, 0, "{}", ran.err);
}

#[test]
fn a_case_of_thousands_of_unknown_signs_is_told_so_in_few_words() {
    let world = World::new();
    let mut text = String::from("schema = \"blockside.case/1\"\n[signs]\n");
    for one in 0..5_000 {
        let _ = writeln!(text, "s{one} = \"yes\"");
    }
    let ran: Ran = world.diagnose(&text);
    ran.refused(3, &["no sign is called `s0`", "more"]);
    assert!(ran.err.len() < 200_000, "{} bytes", ran.err.len());
}
