//! Hostile text from every source, through every command that shows it: nothing in it steers a terminal, hides, runs in a
//! page, or adds a property to a calendar.

mod files;
mod journal;
mod typed;

use std::fs;
use std::path::{Path, PathBuf};

use blockside::report::catalogue::Kind;

use crate::small;
use crate::world::{Ran, World};

/// Says that a hostile text was shown at all.
const MARK: &str = "zq9";

/// Something of everything: escape sequences of seven and eight bits, a title, a carriage return, every turn of the
/// reading direction, what nobody sees, a pile of marks, letters that run from right to left, markup, a formula, a line
/// and a property of a calendar.
fn hostile() -> String {
    format!(
        " zq9\u{1b}[31m\u{1b}]0;owned\u{7}\u{9b}2J\u{90}q\u{9c}\u{85}\u{8}\u{7f}\u{0}\u{202a}\u{202e}\u{2066}\u{2069}\
         \u{61c}\u{200b}\u{200d}\u{200f}\u{feff}\u{2028}\u{2029}\u{e0041}\u{fe0f}\u{ad}o{} שלום \
         <script>alert(1)</script><img src=x onerror='x()'>\" onload=\"x()\" href='javascript:x()' ]]> --> \
         \r\nATTACH:x\r\nEND:VEVENT\n=1+1\r{MARK}",
        "\u{301}".repeat(60)
    )
}

/// Nothing in the text steers a terminal, turns the reading direction, hides, or covers the lines around it.
fn harmless(what: &str, text: &str) {
    let mut marks = 0;
    for letter in text.chars() {
        marks = if letter == '\u{301}' { marks + 1 } else { 0 };
        let steers = letter.is_control() && letter != '\n';
        let hides = matches!(letter, '\u{ad}' | '\u{61c}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}'
            | '\u{2060}'..='\u{206f}' | '\u{fe00}'..='\u{fe0f}' | '\u{feff}' | '\u{e0000}'..='\u{e0fff}');
        assert!(
            !steers && !hides && marks <= 4,
            "{what} shows {letter:?} in {text:?}"
        );
    }
}

/// The page consists of the elements and attributes that the program writes, and nothing in it runs or leads away.
fn harmless_page(what: &str, page: &str) {
    harmless(what, page);
    let mut rest = page;
    while let Some(start) = rest.find('<') {
        rest = &rest[start + 1..];
        let end = rest.find('>').expect("a tag ends");
        let (tag, after) = rest.split_at(end);
        let name: String = tag
            .chars()
            .take_while(|c| c.is_ascii_alphanumeric())
            .collect();
        assert!(
            ![
                "script",
                "iframe",
                "object",
                "embed",
                "form",
                "link",
                "base",
                "foreignObject"
            ]
            .contains(&name.as_str()),
            "{what}: <{tag}>"
        );
        // Names, each with a value between quotation marks: what is left over would be a text that broke out.
        for (number, part) in tag[name.len()..].split('"').enumerate() {
            if number % 2 == 1 {
                continue;
            }
            let attribute = part.trim().trim_end_matches('=');
            assert!(
                attribute.is_empty()
                    || attribute.starts_with(['/', '!'])
                    || attribute
                        .chars()
                        .all(|c| c.is_ascii_alphanumeric() || "-: ".contains(c)),
                "{what}: <{tag}>"
            );
            assert!(!attribute.starts_with("on"), "{what}: <{tag}>");
            if ["href", "src", "xlink:href"].contains(&attribute) {
                let value = tag.split('"').nth(number + 1).expect("a value");
                assert!(
                    value.starts_with('#') || value.starts_with("data:image/svg+xml"),
                    "{what}: <{tag}>"
                );
            }
        }
        rest = after;
    }
}

/// Keys of knowledge whose texts are free.
const FREE: [&str; 31] = [
    "also",
    "ask",
    "cite",
    "defer-to",
    "disturbs",
    "harvest-sign",
    "how",
    "if-failed",
    "judgement",
    "latin",
    "lead",
    "look",
    "name",
    "note",
    "opening",
    "option",
    "otherwise",
    "question",
    "shows-in",
    "sources-differ",
    "special-risk",
    "statement",
    "steps",
    "summary",
    "text",
    "title",
    "told",
    "watch",
    "why",
    "words",
    "from",
];

/// The text of a knowledge file with something hostile behind every free text. Nothing else is changed: the order of keys
/// counts.
fn spoiled(text: &str) -> String {
    let nasty = in_toml(&hostile());
    let nasty = &nasty[1..nasty.len() - 1];
    let mut out = String::with_capacity(text.len() * 4);
    let (mut key, mut word) = (String::new(), String::new());
    let mut letters = text.chars();
    while let Some(letter) = letters.next() {
        out.push(letter);
        match letter {
            '#' => {
                for letter in letters.by_ref().take_while(|letter| *letter != '\n') {
                    out.push(letter);
                }
                out.push('\n');
            }
            '"' => {
                let mut before = '"';
                for letter in letters.by_ref() {
                    if letter == '"' && before != '\\' {
                        break;
                    }
                    out.push(letter);
                    before = letter;
                }
                if FREE.contains(&key.as_str()) {
                    out.push_str(nasty);
                }
                out.push('"');
            }
            '=' => key = std::mem::take(&mut word),
            '-' | 'a'..='z' => word.push(letter),
            ' ' => {}
            _ => word.clear(),
        }
    }
    out
}

/// A text as it stands in TOML between quotation marks.
fn in_toml(text: &str) -> String {
    let mut written = String::from("\"");
    for letter in text.chars() {
        match letter {
            '"' | '\\' => written.extend(['\\', letter]),
            ' '..='~' => written.push(letter),
            other => written.push_str(&format!("\\U{:08x}", u32::from(other))),
        }
    }
    written.push('"');
    written
}

/// What the small base has no entries of.
const MORE: &str = "
[[round]]
id = \"wipe\"
statement = \"wipe\"
every-days = 7
how = \"Wet.\"
why = \"Dust.\"
looks = [\"long-stems\"]
cautions = [\"mould-handling\"]
judgement = \"Made up.\"

[[card]]
id = \"door\"
title = \"Door\"
lead = \"Read.\"
steps = [\"Look.\"]
cautions = [\"mould-handling\"]
rounds = true
judgement = \"Made up.\"

[[topic]]
id = \"all\"
title = \"All\"
summary = \"All of it.\"
causes = [\"green-mould\", \"stale-air\"]
judgement = \"Made up.\"
";

/// A folder of knowledge from somebody who means ill, in which nothing is refused.
fn knowledge(world: &World) -> PathBuf {
    let folder = world.home.path().join("knowledge");
    fs::create_dir(&folder).expect("made");
    let mut files: Vec<(String, String)> = fs::read_dir(small::folder())
        .expect("a folder")
        .map(|entry| entry.expect("readable").path())
        .map(|path| {
            let name = path.file_name().expect("a name").to_string_lossy();
            (name.into_owned(), fs::read_to_string(&path).expect("text"))
        })
        .collect();
    files.push(("more.toml".to_owned(), MORE.to_owned()));
    let log = Path::new(env!("CARGO_MANIFEST_DIR")).join("knowledge/log.toml");
    let log = fs::read_to_string(log).expect("text");
    let log: Vec<&str> = log
        .lines()
        .map(|line| match line.starts_with("sources = ") {
            true => "sources = [\"nobody-1900\"]",
            false => line,
        })
        .collect();
    files.push(("log.toml".to_owned(), log.join("\n")));
    for (name, text) in files {
        fs::write(folder.join(name), spoiled(&text)).expect("written");
    }
    folder
}

/// A world in which all files of the person are hostile too, as far as anything can be hostile in them.
struct Trap {
    world: World,
    /// Hostile knowledge; none where the built-in one is used.
    knowledge: Option<PathBuf>,
}

impl Trap {
    fn new() -> Self {
        let world = World::new();
        let knowledge = Some(knowledge(&world));
        Self { world, knowledge }
    }

    /// The same with the built-in knowledge.
    fn built_in() -> Self {
        Self {
            world: World::new(),
            knowledge: None,
        }
    }

    fn run(&self, args: &[&str]) -> Ran {
        let mut command = self.world.bare();
        if let Some(knowledge) = &self.knowledge {
            command.arg("--knowledge-only").arg(knowledge);
        }
        command.args(args);
        Ran::of(command)
    }

    /// Runs the command as text, as plain text and as JSON, and looks at all of it; gives back the text.
    fn shows(&self, args: &[&str], status: i32) -> String {
        let mut text = String::new();
        for look in [&[][..], &["--plain", "--detail"], &["--format", "json"]] {
            let args = [look, args].concat();
            let ran = self.run(&args);
            // What is for reading alone says so where JSON is asked for.
            let no_json = look.contains(&"json") && ran.status == 2 && ran.out.is_empty();
            assert!(
                ran.status == status || no_json,
                "{args:?}: {}{}",
                ran.out,
                ran.err
            );
            let what = format!("{args:?}");
            harmless(&what, &ran.out);
            harmless(&what, &ran.err);
            if look.contains(&"--plain") && !ran.out.starts_with('{') {
                assert!(ran.out.is_ascii(), "{what}: {}", ran.out);
            }
            if look.contains(&"json") && status == 0 {
                for line in ran
                    .out
                    .lines()
                    .filter(|line| line.starts_with('{') && line.ends_with('}'))
                {
                    serde_json::from_str::<serde_json::Value>(line).expect("JSON");
                }
            }
            text.push_str(&ran.out);
            text.push_str(&ran.err);
        }
        text
    }

    /// As [`Trap::shows`], and something of the hostile texts was among it.
    fn shows_it(&self, args: &[&str]) -> String {
        let text = self.shows(args, 0);
        assert!(
            text.contains(MARK),
            "{args:?} showed nothing hostile: {text}"
        );
        text
    }

    /// Runs a command that writes a file, and gives back the file.
    fn writes(&self, args: &[&str], option: &str, name: &str) -> String {
        let path = self.world.home.path().join(name);
        let _ = fs::remove_file(&path);
        let ran = self.run(&[args, &[option, name]].concat());
        assert_eq!(ran.status, 0, "{args:?}: {}", ran.err);
        harmless(&format!("{args:?}"), &ran.out);
        let text = fs::read_to_string(path).expect("it is there");
        assert!(text.contains(MARK), "{args:?}: nothing hostile in {text}");
        text
    }
}

const TOLD: [&str; 14] = [
    "--species",
    "grey-oyster",
    "--stage",
    "fruiting",
    "--sign",
    "long-stems",
    "--sign",
    "spot-green",
    "--reading",
    "co2=2900 ppm",
    "--person",
    "asthma",
    "--setup",
    "duct-on-outlet",
];

#[test]
fn hostile_knowledge_is_shown_harmlessly_by_every_command() {
    let trap = Trap::new();
    let diagnose = [&["diagnose"][..], &TOLD].concat();
    trap.shows_it(&diagnose);
    trap.shows_it(&[&["why", "green-mould"][..], &TOLD].concat());
    trap.shows_it(&[&["why-not", "stale-air"][..], &TOLD].concat());
    trap.shows_it(&["describe", "--yes", "long stems, dusty, co2 2900 ppm"]);
    trap.world.file(
        "answers.toml",
        "schema = \"blockside.answers/1\"\nspecies = \"grey-oyster\"\nstage = \"fruiting\"\ncomplaints = [\"long-stems\"]\n",
    );
    trap.shows_it(&["ask", "--answers", "answers.toml"]);
    trap.shows_it(&["ask", "--spot", "--answers", "answers.toml"]);
    for words in [
        &["handbook"][..],
        &["handbook", "grey-oyster"],
        &["handbook", "green-mould"],
        &["handbook", "long-stems"],
        &["handbook", "compare", "green-mould", "stale-air"],
        &["handbook", "key", "long-stems"],
        &["handbook", "card", "door"],
        &["rounds"],
        &["practise", "topics"],
        &["practise", "exam", "--seed", "1", "--cases", "2"],
        &[
            "practise",
            "exam",
            "--seed",
            "1",
            "--cases",
            "2",
            "--answer-sheet",
        ],
        &["knowledge", "check"],
    ] {
        trap.shows(words, 0);
    }
    for (kind, _) in Kind::ALL {
        trap.shows(&["knowledge", "list", kind.word()], 0);
    }
    let page = trap.writes(&diagnose, "--html", "case.html");
    harmless_page("the page of a case", &page);
    harmless_page(
        "the handbook",
        &trap.writes(&["handbook"], "--html", "book.html"),
    );
    harmless_page(
        "a card",
        &trap.writes(&["handbook", "card"], "--html", "cards.html"),
    );
    harmless_page(
        "an exam",
        &trap.writes(&["practise", "exam", "--seed", "1"], "--html", "exam.html"),
    );
}

#[test]
fn hostile_rounds_add_no_property_to_a_calendar() {
    let trap = Trap::new();
    let text = trap.writes(&["rounds"], "--ics", "rounds.ics");
    let inside = text.replace("\r\n ", "").replace("\r\n", "\n");
    harmless("the calendar", &inside);
    // RFC 5545, 3.1: lines end with CRLF, and are folded at 75 octets.
    assert_eq!(text.matches('\n').count(), text.matches("\r\n").count());
    assert_eq!(text.matches('\r').count(), text.matches("\r\n").count());
    assert!(text.lines().all(|line| line.len() <= 75), "{text}");
    let known = [
        "BEGIN",
        "END",
        "VERSION",
        "PRODID",
        "CALSCALE",
        "NAME",
        "X-WR-CALNAME",
        "UID",
        "DTSTAMP",
        "DTSTART",
        "RRULE",
        "SUMMARY",
        "DESCRIPTION",
    ];
    for line in inside.lines() {
        let name = line.split([':', ';']).next().unwrap_or_default();
        assert!(known.contains(&name), "{line:?} in {inside}");
    }
    assert_eq!(inside.matches("\nEND:VEVENT\n").count(), 1);
}
