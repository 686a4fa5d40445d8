//! Hostile text from every source, through every command that shows it: nothing in it steers a terminal, hides, runs in a
//! page, or adds a property to a calendar.

use std::fs;
use std::path::{Path, PathBuf};

use blockside::report::catalogue::Kind;
use toml::Value;

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
    knowledge: PathBuf,
}

impl Trap {
    fn new() -> Self {
        let world = World::new();
        let knowledge = knowledge(&world);
        Self { world, knowledge }
    }

    fn run(&self, args: &[&str]) -> Ran {
        let mut command = self.world.bare();
        command
            .arg("--knowledge-only")
            .arg(&self.knowledge)
            .args(args);
        Ran::of(command)
    }

    /// Runs the command as text, as plain text and as JSON, and looks at all of it; gives back the text.
    fn shows(&self, args: &[&str], status: i32) -> String {
        let mut text = String::new();
        for look in [&[][..], &["--plain", "--detail"], &["--format", "json"]] {
            let args = [look, args].concat();
            let ran = self.run(&args);
            assert_eq!(ran.status, status, "{args:?}: {}{}", ran.out, ran.err);
            let what = format!("{args:?}");
            harmless(&what, &ran.out);
            harmless(&what, &ran.err);
            if look.contains(&"--plain") {
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

#[test]
fn a_hostile_case_is_shown_harmlessly_or_refused() {
    let trap = Trap::new();
    let nasty = in_toml(&hostile());
    let head = "schema = \"blockside.case/1\"\n";
    let log = "signs = { long-stems = \"yes\" }\n";
    for (text, status) in [
        (
            format!("{head}title = {nasty}\nfrom = {nasty}\ntold = {nasty}\n{log}"),
            0,
        ),
        (
            format!("{head}species = {nasty}\nstage = {nasty}\nsetup = [{nasty}]\n"),
            3,
        ),
        (format!("{head}profile = {nasty}\n"), 3),
        (
            format!("{head}[signs]\n{nasty} = \"yes\"\nlong-stems = {nasty}\n"),
            3,
        ),
        (
            format!("{head}[readings]\n{nasty} = {nasty}\nco2 = {nasty}\n"),
            3,
        ),
        (format!("{head}[people]\n{nasty} = {nasty}\n"), 3),
        (format!("{head}{nasty} = {nasty}\n"), 3),
        (format!("{head}[expect]\nleading = [{nasty}]\n"), 3),
        (format!("schema = {nasty}\n"), 3),
        (format!("{head}# {}", hostile()), 3),
    ] {
        trap.world.file("case.toml", &text);
        trap.shows(&["diagnose", "case.toml"], status);
    }
    // A page that names a log which cannot be drawn.
    trap.world
        .file("case.toml", format!("{head}log = {nasty}\n{log}"));
    trap.shows(&["diagnose", "case.toml"], 0);
    let page = trap.world.home.path().join("case.html");
    let ran = trap.run(&["diagnose", "case.toml", "--html", "case.html"]);
    harmless("a log that is not there", &ran.err);
    if let Ok(page) = fs::read_to_string(page) {
        harmless_page("a log that is not there", &page);
    }
    let lines: String = [
        serde_json::json!({ "species": hostile() }),
        serde_json::json!({ hostile(): hostile() }),
        serde_json::json!({ "signs": { hostile(): hostile() } }),
        serde_json::json!({ "signs": { "long-stems": "yes" }, "profile": hostile() }),
        serde_json::json!({ "signs": { "long-stems": "yes" }, "title": hostile() }),
    ]
    .map(|line| format!("{line}\n"))
    .concat()
        + &hostile();
    trap.world.file("cases.jsonl", lines);
    let text = trap.shows(&["diagnose", "--batch", "cases.jsonl"], 3);
    assert!(text.contains(MARK), "{text}");
    trap.shows(&["knowledge", "score", "."], 3);
}

#[test]
fn a_hostile_log_and_its_name_are_shown_harmlessly() {
    let trap = Trap::new();
    let quoted = format!("\"{}\"", hostile().replace('"', "\"\""));
    let name = "zq9\u{1b}[31m\u{9b}2J\u{202e}\u{200b}o\u{301}\u{301}\u{301}\u{301}\u{301}<script>x()<b onload=\"x()\".csv";
    let rows: String = (0..60)
        .map(|row| {
            format!(
                "2026-03-01 00:{row:02}:00,19.{},8{},{quoted}\n",
                row % 10,
                row % 9
            )
        })
        .collect();
    let log =
        format!("Time,Temperature (°C),Humidity (%),{quoted}\n{rows}{quoted},{quoted},{quoted}\n");
    trap.world.file(name, log);
    let text = trap.shows_it(&["log", name]);
    assert!(!text.contains("owned\u{7}"), "{text}");
    let args = ["log", name];
    let drawn = trap.writes(&args, "--plot", "log.svg");
    harmless_page("the drawing of a log", &drawn);
    let case = trap.writes(&args, "--into", "case.toml");
    harmless("a case made from a log", &case);
    let page = trap.writes(&["diagnose", "case.toml"], "--html", "case.html");
    harmless_page("the page of such a case", &page);
    // Nothing in it is clear, and all of it is repeated.
    trap.world
        .file("odd.csv", format!("{quoted},{quoted}\n{quoted},{quoted}\n"));
    trap.shows(&["log", "odd.csv"], 3);
    trap.shows(
        &[
            "log",
            name,
            "--column",
            &format!("humidity={}", hostile().replace('\0', "")),
        ],
        3,
    );
}

#[test]
fn hostile_profiles_settings_rounds_and_practice_are_shown_harmlessly() {
    let trap = Trap::new();
    let nasty = in_toml(&hostile());
    let shelf = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/chambers/hall-shelf.toml");
    let shelf = fs::read_to_string(shelf).expect("text");
    let named = shelf.replace(
        "name = \"The shelf in the hall\"",
        &format!("name = {nasty}"),
    );
    trap.world.file("chamber.toml", &named);
    trap.shows_it(&["chamber", "chamber.toml"]);
    let faulty = shelf.replace(
        "species = \"grey oyster\"",
        &format!("species = {nasty}\n{nasty} = 1"),
    );
    trap.world
        .file("faulty.toml", faulty.replace("\"ultrasonic\"", &nasty));
    trap.shows(&["chamber", "faulty.toml"], 3);

    let home = trap.world.home.path().join("home");
    fs::create_dir_all(home.join("practice")).expect("made");
    for (text, status) in [
        (format!("species = {nasty}\nprofile = {nasty}\n"), 0),
        (format!("units = {nasty}\n"), 3),
        (format!("{nasty} = 1\n"), 3),
        (format!("# {}", hostile()), 3),
    ] {
        fs::write(home.join("settings.toml"), text).expect("written");
        trap.shows(&["settings"], status);
        let ran = trap.run(&["describe", "--yes", "long stems"]);
        harmless("the settings", &ran.err);
    }
    fs::remove_file(home.join("settings.toml")).expect("removed");

    for text in [
        format!("schema = \"blockside.rounds/1\"\n[[done]]\nwhat = {nasty}\non = 2026-01-01\n"),
        format!("schema = \"blockside.rounds/1\"\n[[done]]\nwhat = {nasty}\non = \"2026-01-01\"\n"),
        format!("schema = {nasty}\n"),
        format!("{nasty} = 1\n"),
        hostile(),
    ] {
        fs::write(home.join("rounds.toml"), text).expect("written");
        for args in [
            &["rounds"][..],
            &["rounds", "--format", "json"],
            &["diagnose", "--sign", "long-stems"],
        ] {
            let ran = trap.run(args);
            harmless("rounds", &ran.out);
            harmless("rounds", &ran.err);
        }
    }
    fs::remove_file(home.join("rounds.toml")).expect("removed");

    // A record that was kept, with something hostile in each of its texts.
    trap.world.file(
        "blank.toml",
        "schema = \"blockside.practice-answers/1\"\n[[case]]\n",
    );
    let args = [
        "practise",
        "--answers",
        "blank.toml",
        "--helper",
        "Mira",
        "--seed",
        "7",
    ];
    let ran = trap.run(&args);
    assert_eq!(ran.status, 0, "{}", ran.err);
    let file = home.join("practice/mira.toml");
    let kept = fs::read_to_string(&file).expect("kept");
    let mut spoilt = 0;
    for (at, line) in kept.lines().enumerate() {
        let Some((key, value)) = line.split_once(" = ") else {
            continue;
        };
        let value = match value.chars().next() {
            Some('"') if key != "at" => nasty.clone(),
            Some('[') => format!("[{nasty}]"),
            _ => continue,
        };
        let mut lines: Vec<String> = kept.lines().map(str::to_owned).collect();
        lines[at] = format!("{key} = {value}");
        fs::write(&file, lines.join("\n")).expect("written");
        for args in [
            &["practise", "progress", "--helper", "Mira"][..],
            &["practise", "progress"],
            &args,
        ] {
            let ran = trap.run(args);
            harmless(key, &ran.out);
            harmless(key, &ran.err);
        }
        spoilt += 1;
    }
    assert!(spoilt >= 5, "{kept}");
}

#[test]
fn a_hostile_journal_and_hostile_imports_are_shown_harmlessly() {
    let trap = Trap::new();
    let ran = trap.run(&[&["diagnose", "--save"][..], &TOLD].concat());
    assert_eq!(ran.status, 0, "{}", ran.err);
    let without = hostile().replace('\0', "");
    for args in [
        &["cases", "done", "01", "more-fresh-air", "--note", &without][..],
        &["follow-up", "01", "--outcome", "partly", "--note", &without],
    ] {
        let ran = trap.run(args);
        assert_eq!(ran.status, 0, "{}", ran.err);
        harmless("a note", &ran.out);
    }
    let shown = |trap: &Trap| {
        let mut all = String::new();
        for args in [
            &["cases"][..],
            &["cases", "show", "01"],
            &["cases", "compare", "01", "01"],
            &["cases", "export", "--all"],
            &["cases", "learned"],
        ] {
            for look in [&["--detail"][..], &["--format", "json"]] {
                let ran = trap.run(&[look, args].concat());
                harmless(&format!("{args:?}"), &ran.out);
                harmless(&format!("{args:?}"), &ran.err);
                all.push_str(&ran.out);
                all.push_str(&ran.err);
            }
        }
        all
    };
    assert!(shown(&trap).contains(MARK));
    let exported = trap.run(&["cases", "export", "--all"]).out;
    let mut value: serde_json::Value = serde_json::from_str(&exported).expect("JSON");
    spoil_texts(&mut value);
    for line in [
        value.to_string(),
        exported.replace("grey-oyster", "zq9\\u001b[2J"),
        hostile(),
    ] {
        trap.world.file("import.jsonl", line);
        let ran = trap.run(&["cases", "import", "import.jsonl"]);
        harmless("an import", &ran.out);
        harmless("an import", &ran.err);
        shown(&trap);
    }
    // A file of the journal that somebody changed, text by text.
    let file = fs::read_dir(trap.world.home.path().join("home/cases"))
        .expect("a folder")
        .map(|entry| entry.expect("readable").path())
        .find(|path| path.extension().is_some_and(|ending| ending == "toml"))
        .expect("a case");
    let mut table: Value = toml::from_str(&fs::read_to_string(&file).expect("text")).expect("TOML");
    for key in ["profile", "program", "knowledge"] {
        table["kept"]
            .as_table_mut()
            .expect("a table")
            .insert(key.to_owned(), Value::String(hostile()));
    }
    spoil_kept(&mut table["kept"]["diagnosis"]);
    fs::write(&file, toml::to_string(&table).expect("TOML")).expect("written");
    assert!(shown(&trap).contains(MARK));
    fs::write(&file, hostile()).expect("written");
    shown(&trap);
}

/// Puts something hostile behind every text.
fn spoil_texts(value: &mut serde_json::Value) {
    match value {
        serde_json::Value::String(text) => text.push_str(&hostile()),
        serde_json::Value::Array(items) => items.iter_mut().for_each(spoil_texts),
        serde_json::Value::Object(table) => table.values_mut().for_each(spoil_texts),
        _ => {}
    }
}

fn spoil_kept(value: &mut Value) {
    match value {
        Value::String(text) => text.push_str(&hostile()),
        Value::Array(items) => items.iter_mut().for_each(spoil_kept),
        Value::Table(table) => table.iter_mut().for_each(|(_, value)| spoil_kept(value)),
        _ => {}
    }
}

#[test]
fn hostile_words_of_the_command_line_are_repeated_harmlessly() {
    let trap = Trap::new();
    let nasty = hostile().replace('\0', "");
    let of = |option: &str| format!("{option}={nasty}");
    let (sign, reading) = (of("long-stems"), of("co2"));
    for args in [
        &[nasty.as_str()][..],
        &["diagnose", &nasty],
        &[
            "diagnose",
            "--species",
            &nasty,
            "--stage",
            &nasty,
            "--sign",
            &nasty,
            "--setup",
            &nasty,
            "--person",
            &nasty,
        ],
        &["diagnose", "--sign", &sign, "--reading", &reading],
        &["diagnose", "--batch", &nasty],
        &[
            "diagnose",
            "--sign",
            "long-stems",
            "--html",
            &nasty,
            "--chart",
            &nasty,
        ],
        &["ask", &nasty],
        &["ask", "--answers", &nasty],
        &["ask", "--resume", &nasty],
        &["ask", "--spot-sizes", &nasty],
        &["describe", &nasty],
        &["describe", "--yes", &nasty],
        &["describe", "--file", &nasty],
        &["why", &nasty],
        &["why-not", &nasty],
        &["handbook", &nasty],
        &["handbook", "compare", &nasty, &nasty],
        &["handbook", "key", &nasty],
        &["handbook", "card", &nasty],
        &["rounds", "done", &nasty],
        &["rounds", "done", "wipe", "--on", &nasty],
        &["practise", "--helper", &nasty, "--topic", &nasty],
        &["practise", "progress", "--helper", &nasty],
        &["practise", "exam", "--seed", "1", "--topic", &nasty],
        &["cases", "show", &nasty],
        &["cases", "--species", &nasty, "--cause", &nasty],
        &["cases", "--since", &nasty],
        &["cases", "import", &nasty],
        &["cases", "done", &nasty, &nasty],
        &["follow-up", &nasty],
        &["chamber", &nasty],
        &["air", "--temperature", &nasty],
        &["exchange", &nasty],
        &["sensor", "--salt", &nasty],
        &["log", &nasty, "--time-zone", &nasty],
        &["knowledge", "list", &nasty],
        &["knowledge", "check", &nasty],
        &["knowledge", "score", &nasty],
        &["schema", &nasty],
        &["completions", &nasty],
        &["--knowledge", &nasty, "diagnose"],
        &["--units", &nasty, "diagnose"],
    ] {
        for look in [&[][..], &["--format", "json"]] {
            let ran = trap.run(&[look, args].concat());
            harmless(&format!("{args:?}"), &ran.out);
            harmless(&format!("{args:?}"), &ran.err);
        }
    }
}

#[test]
fn manual_pages_completions_and_help_are_plain_text() {
    let trap = Trap::new();
    for args in [
        &["man"][..],
        &["help"],
        &["completions", "bash"],
        &["completions", "zsh"],
        &["completions", "fish"],
        &["completions", "powershell"],
        &["completions", "elvish"],
    ] {
        let ran = trap.run(args);
        assert_eq!(ran.status, 0, "{}", ran.err);
        // Completions are indented with tabs.
        harmless(&format!("{args:?}"), &ran.out.replace('\t', " "));
    }
}

/// A million letters without a blank, from everywhere, are told in lines that fit.
#[test]
fn a_text_without_end_and_without_a_blank_fits_the_page() {
    let trap = Trap::new();
    let long = "W".repeat(1_000_000);
    let sign = fs::read_to_string(trap.knowledge.join("signs.toml")).expect("text");
    let start = sign.find("id = \"long-stems\"").expect("it is one of them");
    let told = "statement = \"";
    let at = start + sign[start..].find(told).expect("it has one") + told.len();
    let longer = format!("{}{long}{}", &sign[..at], &sign[at..]);
    fs::write(trap.knowledge.join("signs.toml"), longer).expect("written");
    trap.world.file(
        "case.toml",
        format!("schema = \"blockside.case/1\"\nspecies = \"{long}\"\n"),
    );
    trap.world.file(
        "log.csv",
        format!("Time,Temperature (°C),{long}\n2026-03-01 00:00:00,19,{long}\n"),
    );
    trap.world
        .file("settings.toml", format!("species = \"{long}\"\n"));
    for args in [
        &["diagnose", "--sign", "long-stems"][..],
        &["handbook", "long-stems"],
        &["diagnose", "case.toml"],
        &["log", "log.csv"],
    ] {
        let ran = trap.run(&[&["--width", "60"], args].concat());
        // The line of a file in which a fault lies is cut by what draws it, a little wider than the page.
        for line in ran.out.lines().chain(ran.err.lines()) {
            assert!(
                line.chars().count() <= 200,
                "{args:?}: {} letters",
                line.chars().count()
            );
        }
    }
}
