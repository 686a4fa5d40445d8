//! The knowledge loader: all faults at once, layers, and the folders it refuses.

use std::fs;
use std::path::Path;

use blockside::engine::knowledge::KnowledgeBase;
use blockside::knowledge::build::{SourceFile, build};
use blockside::knowledge::embedded;
use blockside::knowledge::problem::{Problem, ProblemCode};
use blockside::knowledge::read::{MOST_BYTES, ReadError, read_folder, read_text};
use blockside::report::problems::{Look, render_all};
use tempfile::TempDir;

use crate::broken;

/// A sound caution; the tests change one thing about it.
const CAUTION: &str = r#"[[caution]]
id = "own"
severity = "care"
text = "Wear gloves."
rules = [ { when = { sign = "long-stems" }, judgement = "Made up." } ]
defer-to = "a doctor"
judgement = "Made up."
"#;

fn codes(problems: &[Problem]) -> Vec<ProblemCode> {
    problems.iter().map(|problem| problem.code).collect()
}

#[test]
fn all_faults_of_a_file_come_at_once_sorted_by_place() {
    let text = r#"
[[action]]
id = "own-action"
purpose = "mend"
when-to-do = "now"
text = 7
effort = "long"
shows-in = ""
watch = "the caps"
disturbs = "nothing"
if-failed = "Look again."

[[caution]]
id = "Own Caution"
severity = "stop"
text = "Mind the step."
rules = [
  { when = { sign = "long-stem" }, judgement = "Made up." },
  { when = { sign = "long-stems", setup = "duct-on-outlet" }, judgement = "Made up." },
  { when = { reading = { of = "co2", above = nan } } },
]
defer-to = "a doctor"
colour = "red"
judgement = "Made up."
"#;
    let (built, files) = broken::with(text);
    let drawn = render_all(&built.problems, &files, Look::Plain);
    use ProblemCode as Code;
    assert_eq!(
        codes(&built.problems),
        [
            Code::NoGrounds,
            Code::UnknownWord,
            Code::WrongType,
            Code::UnknownWord,
            Code::WrongType,
            Code::WrongType,
            Code::BadId,
            Code::UnknownSign,
            Code::WrongType,
            Code::NoGrounds,
            Code::OutOfRange,
            Code::UnknownKey,
        ],
        "{drawn}"
    );
    let places: Vec<usize> = built
        .problems
        .iter()
        .map(|problem| problem.span.as_ref().expect("a place").start)
        .collect();
    assert!(places.is_sorted(), "{drawn}");
    assert!(
        built
            .problems
            .iter()
            .all(|problem| problem.file == "own.toml"),
        "{drawn}"
    );
}

#[test]
fn one_key_left_out_is_one_problem() {
    // Once an entry that was left out made everything that names it, or that it used, look at fault too.
    let optional = [
        "word",
        "id",
        "default",
        "one-of",
        "also",
        "traits",
        "special-risk",
        "at",
        "words",
        "max",
        "look-alikes",
        "actions",
        "cautions",
        "disturbs",
        "rules",
        "raised-by",
        "roots",
        "option",
        "question",
        "asked-by",
    ];
    let base = broken::base_files();
    let mut tried = 0;
    for (number, file) in base.iter().enumerate() {
        let lines: Vec<&str> = file.text.lines().collect();
        for (at, line) in lines.iter().enumerate() {
            let Some((key, _)) = line.split_once(" = ") else {
                continue;
            };
            if !key.chars().all(|c| c.is_ascii_lowercase() || c == '-') || optional.contains(&key) {
                continue;
            }
            let mut files = base.clone();
            let rest = [&lines[..at], &lines[at + 1..]].concat();
            files[number].text = rest.join("\n");
            let found = build(&files).problems;
            let wanted = match key {
                "judgement" | "sources" => ProblemCode::NoGrounds,
                _ => ProblemCode::MissingKey,
            };
            let shown = render_all(&found, &files, Look::Plain);
            assert_eq!(codes(&found), [wanted], "{}: {line}\n{shown}", file.name);
            tried += 1;
        }
    }
    assert!(tried > 100, "{tried}");
}

#[test]
fn the_order_of_files_does_not_matter() {
    for files in [broken::base_files(), embedded::files()] {
        let first = build(&files);
        let mut turned = files.clone();
        turned.reverse();
        for _ in 0..3 {
            let again = build(&turned);
            assert_eq!(first.base.fingerprint, again.base.fingerprint);
            assert_eq!(first.base, again.base);
            assert_eq!(first.problems, again.problems);
            let third = turned.len() / 3 + 1;
            turned.rotate_left(third);
        }
    }
}

#[test]
fn a_changed_letter_changes_the_fingerprint() {
    let files = broken::base_files();
    let first = build(&files).base.fingerprint;
    let mut changed = files.clone();
    changed[0].text.push('\n');
    assert_ne!(first, build(&changed).base.fingerprint);
    let mut renamed = files;
    renamed[0].name.push('x');
    assert_ne!(first, build(&renamed).base.fingerprint);
}

#[test]
fn a_later_layer_stands_in_for_an_entry_in_its_place() {
    let own = r#"
[[cause]]
id = "stale-air"
name = "Stale air, as we see it"
kind = "condition"
summary = "Too little fresh air."
base-rate = "uncommon"
look-alikes = []
actions = ["more-fresh-air"]
cautions = []
rules = [
  { when = { reading = { of = "co2", above = "species" } }, shows = "often", judgement = "Made up." },
]
raised-by = [
  { when = { setup = "duct-on-outlet" }, times = 3.0, judgement = "Made up." },
]
roots = [
  { cause = "fan-too-slow", brings = "often", judgement = "Made up." },
]
judgement = "Made up."

[[frequency]]
word = "often"
value = 0.5
judgement = "Made up."
"#;
    let before = broken::base();
    let (built, files) = broken::with(own);
    let after = built.base;
    assert!(
        built.problems.is_empty(),
        "{}",
        render_all(&built.problems, &files, Look::Plain)
    );
    let place = |base: &KnowledgeBase| base.causes.get_index_of("stale-air");
    assert_eq!(place(&before), place(&after));
    assert_eq!(before.causes.len(), after.causes.len());
    let cause = &after.causes["stale-air"];
    assert_eq!(cause.name, "Stale air, as we see it");
    assert_eq!(cause.file, "own.toml");
    assert_eq!(
        after.causes["too-dark"].file,
        "fixtures/broken/base/causes.toml"
    );
    // A word of the scale counts for the files of every layer.
    assert_eq!(after.causes["too-dark"].shows[0].share, 0.5);
    assert_ne!(before.fingerprint, after.fingerprint);
}

#[test]
fn an_entry_that_stands_twice_in_a_layer_is_refused_with_both_places() {
    let word = "[[frequency]]\nword = \"always\"\nvalue = 0.99\njudgement = \"Made up.\"\n";
    let number = "[[number]]\nid = \"unsure\"\nvalue = 0.6\njudgement = \"Made up.\"\n";
    for text in [CAUTION, word, number] {
        let (built, files) = broken::with(&format!("{text}\n{text}"));
        let drawn = render_all(&built.problems, &files, Look::Plain);
        assert_eq!(
            codes(&built.problems),
            [ProblemCode::RepeatedEntry],
            "{drawn}"
        );
        let problem = &built.problems[0];
        let span = problem.span.clone().expect("a place");
        let (file, other, _) = problem.other.clone().expect("a second place");
        assert_eq!(
            (problem.file.as_str(), file.as_str()),
            ("own.toml", "own.toml")
        );
        let whole = &files.last().expect("a file").text;
        assert!(other.end < span.start, "{drawn}");
        assert_eq!(whole[span], whole[other], "{drawn}");
    }
    // The same id in another layer is no repeat.
    assert!(broken::with(CAUTION).0.problems.is_empty());
}

#[test]
fn nothing_in_a_file_can_steer_the_terminal() {
    let text = "# a \u{202e}comment\u{200b} that turns round\n\
        [[caution]]\n\
        id = \"\\u001b[31mred\"\n\
        severity = \"st\u{202e}op\"\n\
        \"te\\u0007xt\" = \"Mind \\u009b2J\"\n\
        text = \"Mind\u{feff} it.\"\n\
        rules = [ { when = { sign = \"\\u001b]0;title\\u0007\" }, judgement = \"\u{2066}x\u{2069}\" } ]\n\
        defer-to = \"a doctor\"\n\
        judgement = \"\"\n";
    let mut files = broken::base_files();
    files.push(SourceFile {
        name: "own\u{1b}[2J\u{202e}.toml".to_owned(),
        text: text.to_owned(),
        layer: 1,
    });
    let raw = SourceFile {
        name: "raw.toml".to_owned(),
        text: "name = \"a\u{1b}[31m\u{0}\"\r\nother = \u{9b}\n".to_owned(),
        layer: 1,
    };
    files.push(raw);
    let found = build(&files).problems;
    assert!(found.len() >= 6, "{found:#?}");
    let drawn = render_all(&found, &files, Look::Plain);
    for letter in drawn.chars() {
        let plain = letter == '\n' || !letter.is_control();
        let seen = !matches!(letter, '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{feff}');
        assert!(plain && seen, "{letter:?} in {drawn}");
    }
}

#[test]
fn unknown_words_propose_the_nearest() {
    let action = "[[action]]\nid = \"own\"\npurpose = \"fix\"\nwhen-to-do = \"now\"\ntext = \"Do it.\"\neffort = \"minute\"\nshows-in = \"a day\"\nwatch = \"the caps\"\ndisturbs = []\nif-failed = \"Look again.\"\nrules = [ { when = { sign = \"long-stems\" }, judgement = \"Made up.\" } ]\njudgement = \"Made up.\"\n";
    let amount = "amount = { formula = \"fall-to-limit\", inputs = { measured = \"co2\" }, limit = \"co2\", text = \"{value}\", otherwise = \"half\" }\neffort =";
    let with_amount = action.replace("effort =", amount);
    assert!(broken::with(&with_amount).0.problems.is_empty());
    let rows = [
        (
            CAUTION.replace("[[caution]]", "[[cautoin]]"),
            "did you mean `[[caution]]`?",
        ),
        (
            CAUTION.replace("defer-to", "defer-too"),
            "did you mean `defer-to`?",
        ),
        (
            CAUTION.replace("\"care\"", "\"caer\""),
            "did you mean `care`?",
        ),
        (
            CAUTION.replace("{ sign =", "{ sing ="),
            "did you mean `sign`?",
        ),
        (
            CAUTION.replace("long-stems", "long-stemms"),
            "did you mean `long-stems`?",
        ),
        (action.replace("\"fix\"", "\"fixx\""), "did you mean `fix`?"),
        (
            action.replace("\"now\"", "\"next-day\""),
            "did you mean `next-days`?",
        ),
        (
            action.replace("\"minute\"", "\"munute\""),
            "did you mean `minute`?",
        ),
        (
            with_amount.replace("fall-to-limit", "fall-to-limits"),
            "did you mean `fall-to-limit`?",
        ),
        (
            with_amount.replace("measured =", "measurd ="),
            "did you mean `measured`?",
        ),
        (
            action.replace("\"fix\"", "\"xyz\""),
            "it can be `protect`, `contain`, `fix`, `watch`, `prevent`",
        ),
    ];
    for (text, help) in rows {
        let (built, files) = broken::with(&text);
        let drawn = render_all(&built.problems, &files, Look::Plain);
        assert!(drawn.contains(help), "{help} is missing in:\n{drawn}");
    }
}

#[test]
fn a_file_that_is_no_toml_does_not_make_the_others_look_wrong() {
    let mut files = broken::base_files();
    let signs = files
        .iter_mut()
        .find(|file| file.name.ends_with("signs.toml"))
        .expect("it is there");
    signs.text = signs
        .text
        .replacen("anyway = \"seldom\"", "anyway = seldom", 1);
    let found = build(&files).problems;
    assert_eq!(
        codes(&found),
        [ProblemCode::NotToml],
        "{}",
        render_all(&found, &files, Look::Plain)
    );
}

#[test]
fn a_scale_without_words_is_one_problem() {
    let mut files = broken::base_files();
    files.retain(|file| !file.name.ends_with("scale.toml"));
    let found = build(&files).problems;
    assert_eq!(
        codes(&found),
        [ProblemCode::MissingScale],
        "{}",
        render_all(&found, &files, Look::Plain)
    );
}

#[test]
fn no_depth_overflows_the_stack() {
    const DEEP: usize = 5_000;
    let keys = vec!["a"; DEEP].join(".");
    // The parser lets through eighty levels of eighty dotted keys each.
    let few = vec!["not"; 75].join(".");
    let tables = format!("{}1{}", format!("{{ {few} = ").repeat(75), " }".repeat(75));
    let nested = [
        format!("x = {}{}", "[".repeat(DEEP), "]".repeat(DEEP)),
        format!("x = {}", "[".repeat(DEEP)),
        format!("x = {}1{}", "{ a = ".repeat(DEEP), " }".repeat(DEEP)),
        format!("x = {}1", "{ a = ".repeat(DEEP)),
        format!("{keys} = 1"),
        format!("[{keys}]"),
        format!("[[{keys}]]"),
        format!("x = {tables}"),
        CAUTION.replace("{ sign = \"long-stems\" }", &tables),
        CAUTION.replace(
            "{ sign = \"long-stems\" }",
            &format!(
                "{}{{ sign = \"long-stems\" }}{}",
                "{ all = [".repeat(30),
                "] }".repeat(30)
            ),
        ),
    ];
    for text in nested {
        let (built, files) = broken::with(&text);
        let shown = render_all(&built.problems, &files, Look::Plain);
        let start: String = text.chars().take(60).collect();
        assert!(
            codes(&built.problems).contains(&ProblemCode::TooDeep),
            "{start}: {}",
            shown.chars().take(2000).collect::<String>()
        );
        assert!(
            built.problems.len() < 5,
            "{start}: {} problems",
            built.problems.len()
        );
    }
}

#[test]
fn folders_and_files_that_cannot_be_read_say_why() {
    let home = TempDir::new().expect("a folder");
    let path = |name: &str| home.path().join(name);
    let error = |name: &str| read_folder(&path(name), 0).expect_err("it cannot be read");

    assert!(matches!(error("nowhere"), ReadError::Missing(_)));
    fs::write(path("file.toml"), "").expect("written");
    assert!(matches!(error("file.toml"), ReadError::NotAFolder(_)));

    fs::create_dir(path("bytes")).expect("made");
    fs::write(path("bytes/a.toml"), b"a = \"caf\xe9\"\n").expect("written");
    match error("bytes") {
        ReadError::NotText { path, at } => {
            assert!(path.ends_with("a.toml"), "{path}");
            assert_eq!(at, 8);
        }
        other => panic!("{other}"),
    }

    fs::create_dir(path("large")).expect("made");
    let large = fs::File::create(path("large/a.toml")).expect("made");
    large.set_len(MOST_BYTES + 1).expect("a file with a hole");
    assert!(matches!(
        error("large"),
        ReadError::TooLarge {
            most: MOST_BYTES,
            ..
        }
    ));

    fs::write(path("ten.toml"), "0123456789").expect("written");
    assert_eq!(
        read_text(&path("ten.toml"), 10).expect("just fits"),
        "0123456789"
    );
    assert!(matches!(
        read_text(&path("ten.toml"), 9),
        Err(ReadError::TooLarge { most: 9, .. })
    ));
    assert!(matches!(
        read_text(home.path(), 9),
        Err(ReadError::NotAFile(_))
    ));
    assert!(matches!(
        read_text(&path("nowhere"), 9),
        Err(ReadError::Missing(_))
    ));
    for error in [
        error("nowhere"),
        error("file.toml"),
        error("bytes"),
        error("large"),
    ] {
        let text = error.to_string();
        assert!(text.contains('`') && !text.ends_with('.'), "{text}");
    }
}

#[cfg(unix)]
#[test]
fn a_link_that_leads_back_up_ends_in_an_error() {
    let home = TempDir::new().expect("a folder");
    let inner = home.path().join("inner");
    fs::create_dir(&inner).expect("made");
    fs::write(inner.join("a.toml"), "").expect("written");
    std::os::unix::fs::symlink(home.path(), inner.join("up")).expect("linked");
    assert!(matches!(
        read_folder(home.path(), 0),
        Err(ReadError::TooDeep(_))
    ));
}

#[test]
fn folders_are_read_in_the_order_of_names_and_named_as_given() {
    let home = TempDir::new().expect("a folder");
    let folder = home.path();
    fs::create_dir(folder.join("b")).expect("made");
    for name in ["c.toml", "b/z.toml", "a.toml", "notes.md", "b/.hidden"] {
        fs::write(folder.join(name), "").expect("written");
    }
    let files = read_folder(folder, 3).expect("it can be read");
    let names: Vec<&str> = files.iter().map(|file| file.name.as_str()).collect();
    let whole = |name: &str| folder.join(name).display().to_string();
    assert_eq!(names, [whole("a.toml"), whole("b/z.toml"), whole("c.toml")]);
    assert!(files.iter().all(|file| file.layer == 3));
    let relative = read_folder(Path::new("fixtures/broken/base"), 0).expect("it can be read");
    assert_eq!(relative[0].name, "fixtures/broken/base/actions.toml");
}
