//! Free text: what is read from it, and above all what is not.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;
use std::sync::LazyLock;

use blockside::describe::{Description, Fault, Reader, Told, Topic, Why};
use blockside::engine::diagnosis::Verdict;
use blockside::engine::knowledge::KnowledgeBase;
use blockside::engine::observations::{Answer, Observations};
use blockside::engine::quantity::System;
use blockside::engine::reasoner::Reasoner;
use blockside::journal::case;
use blockside::knowledge::embedded;
use proptest::prelude::*;
use toml::{Table, Value};

pub static BASE: LazyLock<KnowledgeBase> = LazyLock::new(embedded::base);
static READER: LazyLock<Reader<'static>> = LazyLock::new(|| Reader::new(&BASE));

pub fn read(text: &str) -> Description {
    READER.read(text)
}

/// Every fact as `id=answer`, readings rounded to a tenth.
pub fn facts(told: &Observations) -> BTreeSet<String> {
    let mut facts = BTreeSet::new();
    facts.extend(told.species.iter().map(|id| format!("species={id}")));
    facts.extend(told.stage.iter().map(|id| format!("stage={id}")));
    facts.extend(
        told.signs
            .iter()
            .map(|(id, answer)| format!("{id}={}", answer.word())),
    );
    facts.extend(told.setup.iter().map(|(id, holds)| format!("{id}={holds}")));
    facts.extend(
        told.people
            .iter()
            .map(|(id, holds)| format!("{id}={holds}")),
    );
    facts.extend(
        told.readings
            .iter()
            .map(|(id, one)| format!("{id}={:.1}", one.value)),
    );
    facts
}

pub fn table(path: &str) -> Table {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(path);
    fs::read_to_string(path)
        .expect("text")
        .parse()
        .expect("TOML")
}

pub fn entries(table: &Table, list: &str) -> Vec<Table> {
    let list = table[list].as_array().expect("a list");
    list.iter()
        .map(|one| one.as_table().expect("a table").clone())
        .collect()
}

pub fn texts(entry: &Table, key: &str) -> Vec<String> {
    let list = entry
        .get(key)
        .and_then(Value::as_array)
        .into_iter()
        .flatten();
    list.map(|one| one.as_str().expect("text").to_owned())
        .collect()
}

/// Sentences with every fact that is in them and no other; parts are split by blanks.
const SENTENCES: &[(&str, &str)] = &[
    ("Long stems.", "long-stems=yes"),
    ("The stems on mine are really long.", "long-stems=yes"),
    ("stems long and thin", "long-stems=yes thin-stems=yes"),
    ("long, thin stems", "long-stems=yes thin-stems=yes"),
    ("caps dry and stems wet", "caps-dry-leathery=yes"),
    (
        "The stems are long and skinny with tiny caps.",
        "long-stems=yes thin-stems=yes small-caps=yes",
    ),
    (
        "The caps are cracked, dry.",
        "caps-cracked=yes caps-dry-leathery=yes",
    ),
    ("My caps aren't cracked.", "caps-cracked=no"),
    (
        "caps are not slimy but they are cracked",
        "caps-cracked=yes",
    ),
    (
        "no cracked caps, no long stems",
        "caps-cracked=no long-stems=no",
    ),
    (
        "The caps are neither cracked nor dry.",
        "caps-cracked=no caps-dry-leathery=no",
    ),
    ("Cracked caps? No.", "caps-cracked=no"),
    ("Cracked caps? Yes.", "caps-cracked=yes"),
    (
        "The caps aren't cracked, torn or dry.",
        "caps-cracked=no caps-split=no caps-dry-leathery=no",
    ),
    (
        "There's green mould on the block.",
        "spot-green=yes spot-on-block=yes",
    ),
    ("lime green mould", "spot-yellow-green=yes"),
    ("no green mould", "spot-green=no"),
    ("nothing green", "spot-green=no"),
    (
        "The patch is not green but black.",
        "spot-green=no spot-black=yes",
    ),
    (
        "There is a patch on the block. It is green and powdery.",
        "spot-on-block=yes spot-green=yes spot-powdery=yes",
    ),
    ("Maybe the caps are cracked.", "caps-cracked=unsure"),
    ("Caps cracked, not sure.", "caps-cracked=unsure"),
    ("I think the caps are cracked.", "caps-cracked=probably"),
    ("I don't think the caps are cracked.", "caps-cracked=unsure"),
    ("The caps were cracked last week.", ""),
    ("It used to smell sour.", ""),
    (
        "The caps were dry last week, now they are cracked.",
        "caps-cracked=yes",
    ),
    ("Are the caps cracked?", ""),
    ("Is it bad when caps are cracked", ""),
    ("Why are my stems so long?", "long-stems=yes"),
    ("If the caps crack, what then?", ""),
    ("The caps should be dry.", ""),
    ("My stems are long, what should I do?", "long-stems=yes"),
    ("Not all pins died.", ""),
    ("not without cracked caps", ""),
    ("no pins", "no-pins=yes"),
    ("There aren't any pins.", "no-pins=yes"),
    ("No pins died.", "pins-die-all=no"),
    ("There is no fan.", "no-fan=true"),
    ("The fan is not off.", "fan-not-turning=no"),
    ("I am pregnant.", "pregnant=true"),
    ("Nobody here is pregnant.", "pregnant=false"),
    ("pink oysters", "species=pink-oyster"),
    ("yellow oysters, blue oyster", ""),
    (
        "Shiitake in the fruiting stage",
        "species=shiitake stage=fruiting",
    ),
    ("It isn't shiitake.", ""),
    (
        "humidity 94 %, 18.5 °C, CO2 2.9k ppm",
        "humidity=94.0 temperature=18.5 co2=2900.0",
    ),
    ("68F in the tent", "temperature=20.0"),
    ("RH is between 80 and 90 %", "humidity=85.0"),
    ("humidity ninety two percent", "humidity=92.0"),
    ("CO2 never goes above 600 ppm", ""),
    ("humidity below 80 %", ""),
    ("the humidifier is set to 90 %", ""),
    ("It is 12 °C outside.", ""),
    (
        "room temperature 15 C, 20 C in the tent",
        "room-temperature=15.0 temperature=20.0",
    ),
    ("humidity 900 %", ""),
    ("CO2 3 %", ""),
    ("the humidity is 80 % and the humidity is 95 %", ""),
    ("third flush", "flush-number=3.0"),
    ("2nd flush", "flush-number=2.0"),
    ("The first flush was fine.", ""),
    (
        "crakced caps, colonizing",
        "caps-cracked=yes stage=colonising",
    ),
    ("mold on the stalks", "spot-on-stem=yes"),
    ("Stopped the fan.", ""),
    ("it hops like soot", ""),
    ("yellow spots on my tomato leaves", ""),
    (
        "caps are cracked. caps are not cracked.",
        "caps-cracked=unsure",
    ),
];

#[test]
fn each_sentence_gives_the_facts_that_are_in_it_and_no_other() {
    let mut wrong = Vec::new();
    for (text, wanted) in SENTENCES {
        let wanted: BTreeSet<String> = wanted.split_whitespace().map(str::to_owned).collect();
        let found = facts(&read(text).observations());
        if found != wanted {
            wrong.push(format!("{text}: wanted {wanted:?}, found {found:?}"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn texts_that_tell_nothing_decide_nothing() {
    let reasoner = Reasoner::new(&BASE, System::Metric);
    let list = table("fixtures/describe/hostile.toml");
    for entry in entries(&list, "hostile") {
        let text = entry["text"].as_str().expect("text");
        let found = reasoner.diagnose(&read(text).observations());
        assert_ne!(
            found.verdict,
            Verdict::Decided,
            "{text}: {:?}",
            found.causes.first()
        );
    }
}

#[test]
fn three_of_four_published_cases_lead_right_by_their_words_alone_and_none_is_turned_round() {
    let reasoner = Reasoner::new(&BASE, System::Metric);
    let (mut all, mut right) = (0, 0);
    let mut missed = Vec::new();
    for file in embedded::published_cases() {
        let known = case::parse(&BASE, &file.name, &file.text).expect("a sound case");
        let Some(words) = &known.told else { continue };
        let told = read(words).observations();
        for (sign, answer) in &known.observations.signs {
            let turned = match told.signs.get(sign) {
                Some(Answer::No) => *answer == Answer::Yes,
                Some(Answer::Yes | Answer::Probably) => *answer == Answer::No,
                _ => false,
            };
            assert!(!turned, "{}: {sign} is turned round", file.name);
        }
        let expect = known.expect.as_ref().expect("a known case");
        let leader = reasoner
            .diagnose(&told)
            .causes
            .into_iter()
            .next()
            .map(|cause| cause.id);
        let leads = leader
            .as_ref()
            .map_or(expect.leads.is_empty(), |id| expect.leads.contains(id));
        all += 1;
        right += usize::from(leads);
        if !leads {
            missed.push(file.name);
        }
    }
    assert!(all >= 100, "{all}");
    assert!(right * 4 >= all * 3, "{right} of {all}; missed {missed:#?}");
}

#[test]
fn what_a_word_was_taken_for_is_told() {
    let found = read("No crakced caps, but maybe mold on the stalks");
    let told = &found.understood[0];
    assert_eq!(told.words, "crakced caps");
    assert_eq!(told.because.phrase, "cracked caps");
    let correction = &told.because.corrections[0];
    assert_eq!(
        (
            correction.written.as_str(),
            correction.taken_for.as_str(),
            correction.fault
        ),
        ("crakced", "cracked", Fault::Misspelt)
    );
    assert_eq!(told.because.denied.as_ref().expect("denied").words, "No");
    let other = &found.understood[1];
    assert_eq!(other.because.corrections[0].fault, Fault::American);
    assert_eq!(
        other.because.hedged.as_ref().expect("hedged").words,
        "maybe"
    );
}

#[test]
fn a_sign_of_degrees_that_begins_a_word_is_no_unit() {
    check("0º¼").expect("read without harm");
    let told = read("20º in the tent").observations();
    assert_eq!(facts(&told), facts(&read("20° in the tent").observations()));
}

#[test]
fn what_gives_no_fact_is_reported_with_the_reason() {
    for (text, words, why) in [
        ("zorble frobs", "zorble frobs", Why::Unknown),
        ("hose on the caps", "hose on the caps", Why::NotTogether),
        (
            "zorble on the caps",
            "zorble on the caps",
            Why::PartlyUnknown,
        ),
        ("we have 17 of them", "17", Why::NumberWithoutName),
        ("CO2 stays below 800 ppm", "800 ppm", Why::Bound),
        ("Are the caps cracked?", "caps cracked", Why::Asked),
        ("if the caps crack", "caps crack", Why::Supposed),
        ("it used to smell sour", "smell sour", Why::Past),
        (
            "not all pins died",
            "all pins died",
            Why::Doubtful(Vec::new()),
        ),
        ("it isn't shiitake", "shiitake", Why::Denied),
    ] {
        let found = read(text);
        let piece = found.not_understood.iter().find(|piece| piece.why == why);
        let piece = piece.unwrap_or_else(|| panic!("{text}: {:?}", found.not_understood));
        assert_eq!(piece.words, words, "{text}");
        assert!(found.is_empty(), "{text}");
    }
    let wild = read("humidity 900 %");
    let Why::Impossible {
        reading, greatest, ..
    } = &wild.not_understood.last().expect("a piece").why
    else {
        panic!("{:?}", wild.not_understood);
    };
    assert_eq!((reading.as_str(), greatest.as_str()), ("humidity", "100 %"));
}

#[test]
fn contradictions_are_told_and_leave_it_open() {
    let found = read("The caps are cracked. No, the caps are not cracked. Shiitake. No, reishi.");
    let topics: Vec<&Topic> = found.contradictions.iter().map(|one| &one.topic).collect();
    assert_eq!(topics.len(), 2, "{topics:?}");
    assert!(matches!(topics[0], Topic::Sign(id) if id.as_str() == "caps-cracked"));
    assert_eq!(topics[1], &Topic::Species);
    let told = found.observations();
    assert_eq!(told.species, None);
    assert_eq!(told.signs.get("caps-cracked"), Some(&Answer::Unsure));
}

#[test]
fn words_of_a_whole_question_that_are_denied_answer_all_of_it_with_no() {
    let told = read("no smell").observations();
    let smells = &BASE.questions["chamber-smell"].signs;
    assert!(smells.len() > 3);
    for sign in smells {
        assert_eq!(told.signs.get(sign), Some(&Answer::No), "{sign}");
    }
    assert!(read("there is a smell").is_empty());
    let other = read("no sour smell").observations();
    assert_eq!(facts(&other), BTreeSet::from(["sour-smell=no".to_owned()]));
}

#[test]
fn bread_is_read_by_its_own_words_and_a_base_without_a_language_reads_nothing() {
    let bread = crate::broken::folder("fixtures/other-trade", 0);
    let base = blockside::knowledge::build::build(&bread)
        .usable()
        .expect("sound");
    let reader = Reader::new(&base);
    let told = reader.read("The crumb isn't gummy but dense, and maybe the crust is pale.");
    let wanted = ["dense-crumb=yes", "gummy-crumb=no", "pale-crust=unsure"];
    assert_eq!(
        facts(&told.observations()),
        wanted.map(str::to_owned).into()
    );
    let mute: Vec<_> = bread
        .into_iter()
        .filter(|file| !file.name.ends_with("language.toml"))
        .collect();
    let base = blockside::knowledge::build::build(&mute)
        .usable()
        .expect("sound");
    let told = Reader::new(&base).read("The crumb is gummy.");
    assert!(told.is_empty());
    assert_eq!(told.not_understood[0].words, "The crumb is gummy");
}

#[test]
fn faults_in_the_words_of_the_language_are_found() {
    for (text, message) in [
        (
            "[[word-class]]\nid = \"dnial\"\nwords = [\"no\"]\njudgement = \"x\"",
            "words have no class `dnial`",
        ),
        (
            "[[word-class]]\nid = \"denial\"\nwords = [\"No\"]\njudgement = \"x\"",
            "`No` has capitals",
        ),
        (
            "[[same]]\nwords = [\"cap\"]\njudgement = \"x\"",
            "words that mean the same has fewer than 2 `words`",
        ),
        (
            "[[number-word]]\nword = \"dozen\"\njudgement = \"x\"",
            "a word for a number has no `value`",
        ),
    ] {
        let (built, _) = crate::broken::with(text);
        let found: Vec<&str> = built
            .problems
            .iter()
            .map(|one| one.message.as_str())
            .collect();
        assert!(found.contains(&message), "{text}: {found:?}");
    }
}

/// Whether a place lies within the text and does not cut a letter in two.
fn sound(text: &str, span: &std::ops::Range<usize>) -> bool {
    span.start <= span.end && text.get(span.clone()).is_some()
}

fn check(text: &str) -> Result<(), TestCaseError> {
    let found = read(text);
    let told = found.contradictions.iter().flat_map(|one| &one.told);
    for one in found.understood.iter().chain(told) {
        prop_assert!(sound(text, &one.span));
        prop_assert_eq!(&text[one.span.clone()], one.words.as_str());
        for correction in &one.because.corrections {
            prop_assert!(sound(text, &correction.span));
        }
        let cues = one.because.denied.iter().chain(&one.because.hedged);
        for cue in cues {
            prop_assert!(sound(text, &cue.span));
        }
        if let Told::Reading(id, measured) = &one.what {
            let (least, most) = BASE.readings[id].believable;
            prop_assert!((least..=most).contains(&measured.value));
        }
    }
    for piece in &found.not_understood {
        prop_assert!(sound(text, &piece.span));
        prop_assert_eq!(&text[piece.span.clone()], piece.words.as_str());
    }
    let starts: Vec<usize> = found.understood.iter().map(|one| one.span.start).collect();
    prop_assert!(starts.is_sorted());
    prop_assert_eq!(found.clone(), read(text));
    let told = found.observations();
    prop_assert!(told.signs.keys().all(|id| BASE.signs.contains_key(id)));
    Ok(())
}

/// Words of the reader's own world, so that what is random is not all noise.
const WORDS: &[&str] = &[
    "caps",
    "stems",
    "long",
    "cracked",
    "no",
    "not",
    "isn't",
    "maybe",
    "and",
    "or",
    ",",
    ".",
    "?",
    "but",
    "the",
    "mould",
    "green",
    "block",
    "it",
    "they",
    "humidity",
    "90 %",
    "68F",
    "2.9k",
    "ppm",
    "between",
    "if",
    "was",
    "last week",
    "none",
    "third",
    "flush",
    "-",
    "12",
    "±",
    "3",
    "temperature",
    "set to",
    "above",
    "smell",
    "nothing",
    "pink",
    "oyster",
    "nor",
    "\n",
    "\u{200b}",
    "’",
    "–",
    "😀",
    "why",
    "is it",
    "yes",
];

proptest! {
    #![proptest_config(ProptestConfig::with_cases(192))]

    #[test]
    fn any_text_is_read_without_harm(text in ".{0,200}") {
        check(&text)?;
    }

    #[test]
    fn any_words_in_any_order_are_read_without_harm(
        words in prop::collection::vec(prop::sample::select(WORDS), 0..40)
    ) {
        check(&words.join(" "))?;
    }
}

/// The effort of reading so much of a pattern, cut at the end of a letter.
fn effort(pattern: &str, bytes: usize) -> u64 {
    let mut text = pattern.repeat(bytes / pattern.len() + 1);
    while !text.is_char_boundary(bytes.min(text.len())) {
        text.push(' ');
    }
    let end = (0..=bytes).rev().find(|at| text.is_char_boundary(*at));
    text.truncate(end.expect("the beginning"));
    read(&text).effort
}

#[test]
fn the_work_of_reading_grows_with_the_text_and_no_faster_whatever_it_is_made_of() {
    // Texts that lead a reader round in circles, each the shortest part that is repeated.
    let patterns = [
        (
            "a sentence",
            "Long stems, small caps, no smell, CO2 2900 ppm. ",
        ),
        (
            "no marks",
            "long stems and small caps no smell co2 2900 ppm ",
        ),
        ("one letter", "a"),
        ("brackets", "(("),
        ("denials", "no "),
        ("doubts", "maybe not sure "),
        ("numbers", "17 "),
        ("readings", "humidity 90 % "),
        ("names of readings", "humidity "),
        ("numbers of one kind", "20 C "),
        ("one word", "mould "),
        ("one word without blanks", "mould"),
        ("qualities", "green "),
        ("commas", "green, "),
        ("ands", "mould and "),
        ("misspellings", "crakced "),
        ("pronouns", "it is "),
        ("questions", "is it? "),
        ("time", "was last week now "),
        ("kinds", "blue oyster "),
        ("small words", "on the in a of "),
        ("letters of many bytes", "é"),
    ];
    for (name, pattern) in patterns {
        // The whole of a megabyte where that is quick without optimisation as well.
        let longest = if pattern.len() < 3 { 1 << 20 } else { 1 << 16 };
        let mut bytes = 1 << 12;
        let mut before = effort(pattern, bytes);
        let first = before as f64 / bytes as f64;
        // Brackets are no words.
        assert!(before > 0 || pattern == "((", "{name}: nothing was counted");
        while bytes < longest {
            bytes *= 4;
            let now = effort(pattern, bytes);
            // A tenth more for what lies over the cut.
            assert!(
                now * 10 <= before * 4 * 11,
                "{name}: {now} looks for {bytes} bytes, {before} for a quarter of them"
            );
            before = now;
        }
        let last = before as f64 / bytes as f64;
        assert!(
            last <= 1.1 * first,
            "{name}: {first} looks a byte grew to {last}"
        );
    }
}
