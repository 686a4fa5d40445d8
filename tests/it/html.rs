//! Pages of HTML: whole, closed, harmless whatever the knowledge says, and with drawings that show what it says.

use std::fs;

use blockside::knowledge::build::{SourceFile, build};
use blockside::knowledge::embedded;
use blockside::knowledge::problem::ProblemCode;

use crate::broken;
use crate::world::{Ran, World, assert_clean};

/// Runs the command with the built-in knowledge and reads the page it wrote.
fn page(world: &World, args: &[&str]) -> String {
    let path = world.home.path().join("page.html");
    let mut command = world.bare();
    command.args(args).arg("--html").arg(&path);
    let ran = Ran::of(command);
    assert_eq!(ran.status, 0, "{}", ran.err);
    let text = fs::read_to_string(&path).expect("a page");
    fs::remove_file(&path).expect("removed");
    text
}

/// A page of the small knowledge, with a folder of more on top of it.
fn small_page(world: &World, folder: Option<&str>, args: &[&str]) -> String {
    let path = world.home.path().join("page.html");
    let mut all: Vec<&str> = args.to_vec();
    let path_text = path.to_str().expect("a plain path");
    all.extend(["--html", path_text]);
    if let Some(folder) = folder {
        all.extend(["--knowledge", folder]);
    }
    let ran = world.run(&all);
    assert_eq!(ran.status, 0, "{}", ran.err);
    let text = fs::read_to_string(&path).expect("a page");
    fs::remove_file(&path).expect("removed");
    text
}

/// Elements that have no end.
const VOID: [&str; 4] = ["meta", "img", "rect", "line"];

/// Every element of the page in order, with `/` before the name of one that ends.
fn tags(page: &str) -> Vec<String> {
    let mut found = Vec::new();
    let mut rest = &page[page.find("<html").expect("a page")..];
    while let Some(start) = rest.find('<') {
        rest = &rest[start + 1..];
        let end = rest.find('>').expect("a tag ends");
        let tag = &rest[..end];
        let name: String = tag
            .chars()
            .take_while(|c| c.is_ascii_alphanumeric() || *c == '/')
            .collect();
        let name = name.trim_end_matches('/').to_owned();
        if !tag.ends_with('/') {
            found.push(name);
        }
    }
    found
}

/// Everything that is opened is closed, in the right order.
fn assert_closed(page: &str) {
    let mut open: Vec<String> = Vec::new();
    for tag in tags(page) {
        match tag.strip_prefix('/') {
            Some(name) => assert_eq!(open.pop().as_deref(), Some(name)),
            None if VOID.contains(&tag.as_str()) => {}
            None => open.push(tag),
        }
    }
    assert!(open.is_empty(), "{open:?}");
}

/// The values of an attribute, in order.
fn values<'p>(page: &'p str, attribute: &str) -> Vec<&'p str> {
    let start = format!(" {attribute}=\"");
    page.match_indices(&start)
        .map(|(at, _)| {
            let rest = &page[at + start.len()..];
            &rest[..rest.find('"').expect("an attribute ends")]
        })
        .collect()
}

#[test]
fn the_whole_handbook_is_one_closed_page_whose_links_all_lead_somewhere() {
    let world = World::new();
    let page = page(&world, &["handbook"]);
    assert_closed(&page);
    assert_clean(&page);
    assert_eq!(page.matches("<h1").count(), 1);
    assert!(page.contains("<html lang=\"en-GB\">"));
    let mut ids = values(&page, "id");
    let all = ids.len();
    ids.sort_unstable();
    ids.dedup();
    assert_eq!(ids.len(), all, "an id stands twice");
    let links: Vec<&str> = values(&page, "href")
        .into_iter()
        .filter_map(|to| to.strip_prefix('#'))
        .collect();
    assert!(links.len() > 3000, "{}", links.len());
    for to in links {
        assert!(ids.binary_search(&to).is_ok(), "nothing is at #{to}");
    }
    let base = embedded::base();
    let places = (base.species.keys().map(|id| format!("species-{id}")))
        .chain(base.signs.keys().map(|id| format!("sign-{id}")))
        .chain(base.causes.keys().map(|id| format!("cause-{id}")))
        .chain(base.actions.keys().map(|id| format!("action-{id}")))
        .chain(base.cautions.keys().map(|id| format!("caution-{id}")))
        .chain(base.sources.keys().map(|id| format!("source-{id}")));
    for place in places {
        assert!(
            ids.binary_search(&place.as_str()).is_ok(),
            "{place} is not on the page"
        );
    }
    // Nothing is fetched, nothing runs.
    for word in [
        "<script",
        "javascript:",
        "http-equiv=\"refresh",
        "<link",
        "src=\"http",
        "url(",
        "@import",
    ] {
        assert!(!page.contains(word), "{word}");
    }
    assert!(page.contains("default-src &#39;none&#39;"));
}

#[test]
fn headings_follow_each_other_without_a_gap() {
    let world = World::new();
    let case = world.file(
        "case.toml",
        "schema = \"blockside.case/1\"\n[signs]\nlong-stems = \"yes\"\nspot-green = \"yes\"\n",
    );
    let case = case.to_str().expect("a plain path").to_owned();
    for args in [
        vec!["handbook"],
        vec!["handbook", "card"],
        vec!["diagnose", &case],
        vec!["practise", "exam", "--seed", "3", "--cases", "2"],
        vec![
            "practise",
            "exam",
            "--seed",
            "3",
            "--cases",
            "2",
            "--answer-sheet",
        ],
    ] {
        let page = page(&world, &args);
        let mut before = 0;
        for tag in tags(&page) {
            let level = tag
                .strip_prefix('h')
                .and_then(|level| level.parse::<u32>().ok());
            if let Some(level) = level {
                assert!(level <= before + 1, "h{level} after h{before} in {args:?}");
                before = level;
            }
        }
        assert!(before > 1, "{args:?}");
    }
}

#[test]
fn an_existing_file_is_left_as_it_is() {
    let world = World::new();
    let path = world.file("there.html", "mine");
    let path = path.to_str().expect("a plain path");
    for args in [
        &["handbook", "--html", path][..],
        &["diagnose", "--sign", "long-stems", "--html", path],
    ] {
        world
            .run(args)
            .refused(3, &["is there already and was left as it is"]);
    }
    assert_eq!(fs::read_to_string(path).expect("there"), "mine");
    world
        .run(&["handbook", "long-stems", "--html", "new.html"])
        .refused(2, &["--html writes the whole handbook"]);
}

/// What a folder of knowledge says is shown and never obeyed.
#[test]
fn hostile_texts_are_shown_as_texts() {
    const NASTY: &str = "<script>alert(1)</script><img src=x onerror=alert(2)>\\\" onload=\\\"x' \\u202Egnp.\\u200B&lt;b&gt;";
    let world = World::new();
    let text = format!(
        "[[sign]]\nid = \"nasty\"\nstatement = \"{NASTY}\"\nquestion = \"{NASTY}?\"\nlook = \"{NASTY}\"\nwords = [\"{NASTY}\"]\n\
         anyway = \"seldom\"\neffort = \"glance\"\nopening = \"{NASTY}\"\ndraws = {{ stem-length = 2 }}\njudgement = \"{NASTY}\"\n\n\
         [[cause]]\nid = \"nasty\"\nname = \"{NASTY}\"\nkind = \"pest\"\nsummary = \"{NASTY}\"\nbase-rate = \"common\"\n\
         look-alikes = []\nactions = [\"nasty\"]\ncautions = [\"nasty\"]\nrules = [{{ when = {{ sign = \"nasty\" }}, shows = \"usually\", \
         judgement = \"{NASTY}\" }}]\njudgement = \"{NASTY}\"\n\n\
         [[action]]\nid = \"nasty\"\npurpose = \"fix\"\nwhen-to-do = \"now\"\ntext = \"{NASTY}\"\neffort = \"minute\"\nshows-in = \"{NASTY}\"\n\
         watch = \"{NASTY}\"\ndisturbs = [\"{NASTY}\"]\nif-failed = \"{NASTY}\"\njudgement = \"{NASTY}\"\n\n\
         [[caution]]\nid = \"nasty\"\nseverity = \"stop\"\ntext = \"{NASTY}\"\nspecial-risk = \"{NASTY}\"\nrules = []\ndefer-to = \"{NASTY}\"\n\
         judgement = \"{NASTY}\"\n\n\
         [[round]]\nid = \"nasty\"\nstatement = \"{NASTY}\"\nevery-days = 7\nhow = \"{NASTY}\"\nwhy = \"{NASTY}\"\nlooks = [\"nasty\"]\n\
         judgement = \"{NASTY}\"\n\n\
         [[card]]\nid = \"nasty\"\ntitle = \"{NASTY}\"\nlead = \"{NASTY}\"\nsteps = [\"{NASTY}\"]\ncautions = [\"nasty\"]\nrounds = true\n\
         judgement = \"{NASTY}\"\n"
    );
    let folder = world.home.path().join("nasty");
    fs::create_dir(&folder).expect("made");
    fs::write(folder.join("nasty.toml"), text).expect("written");
    let folder = folder.to_str().expect("a plain path").to_owned();
    for args in [
        &["handbook"][..],
        &["handbook", "card"],
        &["diagnose", "--sign", "nasty"],
    ] {
        let page = small_page(&world, Some(&folder), args);
        assert_closed(&page);
        assert_clean(&page);
        assert!(page.contains("&lt;script&gt;alert(1)"), "{args:?}");
        for tag in tags(&page) {
            assert!(
                !["script", "b&gt", "object", "iframe"].contains(&tag.as_str()),
                "{tag}"
            );
        }
        assert!(!page.contains("<img src=x"), "{args:?}");
        // An attribute ends where the program ends it.
        for value in page
            .match_indices(" onload=")
            .chain(page.match_indices(" onerror="))
        {
            let before = &page[..value.0];
            let inside = before
                .rfind('<')
                .is_some_and(|open| before.rfind('>').is_none_or(|close| close < open));
            let quoted = inside
                && before[before.rfind('<').unwrap_or(0)..]
                    .matches('"')
                    .count()
                    % 2
                    == 1;
            assert!(!inside || quoted, "{}", &page[value.0 - 60..value.0 + 20]);
        }
    }
}

#[test]
fn a_sign_is_drawn_beside_what_is_usual_and_beside_the_kind_in_which_it_is_no_fault() {
    let world = World::new();
    let page = page(&world, &["handbook"]);
    let base = embedded::base();
    let mut drawn = 0;
    for (id, sign) in &base.signs {
        let Some(draws) = &sign.draws else { continue };
        let start = page
            .find(&format!("<article id=\"sign-{id}\""))
            .expect("there");
        let article = &page[start..start + page[start..].find("</article>").expect("ends")];
        let pictures = article.matches("<svg").count();
        let least = if draws.strokes.is_empty() { 1 } else { 2 };
        assert!(pictures >= least, "{id}: {pictures}");
        drawn += 1;
    }
    assert!(drawn > 20, "{drawn}");
    // Every picture has its words.
    assert_eq!(
        page.matches("<svg").count(),
        page.matches("role=\"img\" aria-label=\"").count()
    );
    let normal = base.species.values().find(|species| {
        let long =
            |look: &blockside::engine::knowledge::NormalLook| look.sign.as_str() == "long-stems";
        species.name == "King oyster" && species.normal.iter().any(long)
    });
    assert!(normal.is_some(), "long stems are normal in the king oyster");
    let start = page.find("<article id=\"sign-long-stems\"").expect("there");
    let article = &page[start..start + page[start..].find("</article>").expect("ends")];
    assert!(
        article.contains("<figcaption>Normal for King oyster"),
        "{article}"
    );
}

#[test]
fn what_is_drawn_is_checked_like_everything_else() {
    let sign = |draws: &str| {
        format!(
            "[[sign]]\nid = \"steam\"\nstatement = \"it steams\"\nquestion = \"Does it steam?\"\nlook = \"Look.\"\nwords = []\n\
             anyway = \"seldom\"\neffort = \"glance\"\ndraws = {draws}\njudgement = \"Made up.\"\n"
        )
    };
    for (draws, code) in [
        ("{ stem-length = 9 }", ProblemCode::OutOfRange),
        ("{ stem-length = nan }", ProblemCode::OutOfRange),
        ("{ stem-lenght = 2 }", ProblemCode::UnknownKey),
        ("{ texture = \"wooly\" }", ProblemCode::UnknownWord),
        ("{ cap-colour = \"#808080\" }", ProblemCode::UnknownKey),
        ("{}", ProblemCode::WrongType),
        ("2", ProblemCode::WrongType),
    ] {
        let (built, _) = broken::with(&sign(draws));
        assert!(
            built.problems.iter().any(|problem| problem.code == code),
            "{draws}: {:?}",
            built.problems
        );
    }
}

#[test]
fn rounds_and_cards_are_checked_like_everything_else() {
    let round = |more: &str| {
        format!(
            "[[round]]\nid = \"sweep\"\nstatement = \"sweep\"\nevery-days = 7\nhow = \"Wet.\"\nwhy = \"Dust.\"\n{more}judgement = \"Made up.\"\n"
        )
    };
    for (text, code) in [
        (round("").replace("= 7", "= 0"), ProblemCode::OutOfRange),
        (round("").replace("= 7", "= 1.5"), ProblemCode::WrongType),
        (round("looks = [\"no-such-sign\"]\n"), ProblemCode::UnknownSign),
        (round("feeds = \"no-such-reading\"\n"), ProblemCode::UnknownReading),
        (round("cautions = [\"no-such-caution\"]\n"), ProblemCode::UnknownCaution),
        (round("asked-if = { setup = \"no-such-item\" }\n"), ProblemCode::UnknownSetup),
        (round("").replace("judgement = \"Made up.\"\n", ""), ProblemCode::NoGrounds),
        (
            "[[card]]\nid = \"c\"\ntitle = \"C\"\nlead = \"L\"\nlimits = { stages = [\"no-such-stage\"], readings = [] }\njudgement = \"Made up.\"\n"
                .to_owned(),
            ProblemCode::UnknownStage,
        ),
    ] {
        let (built, _) = broken::with(&text);
        assert!(built.problems.iter().any(|problem| problem.code == code), "{text}: {:?}", built.problems);
    }
    // A round that is done must start a count of days again, not a temperature.
    let files = embedded::files();
    let mut wrong = files.clone();
    wrong.push(SourceFile {
        name: "own.toml".to_owned(),
        text: round("feeds = \"temperature\"\n"),
        layer: 1,
    });
    let found = build(&wrong).problems;
    assert!(
        found
            .iter()
            .any(|problem| problem.message.contains("and not in days")),
        "{found:?}"
    );
}

#[test]
fn a_drawing_of_a_log_stands_on_the_page_as_a_picture() {
    let world = World::new();
    let chart = world.file(
        "log.svg",
        "<svg xmlns=\"http://www.w3.org/2000/svg\"><script>alert(1)</script></svg>",
    );
    let chart = chart.to_str().expect("a plain path").to_owned();
    let page = small_page(
        &world,
        None,
        &["diagnose", "--sign", "long-stems", "--chart", &chart],
    );
    assert!(
        page.contains("<img src=\"data:image/svg+xml;base64,PHN2ZyB4bWxucz0i"),
        "{page}"
    );
    assert!(!page.contains("<script"));
    let other = world.file("other.txt", "hello");
    let other = other.to_str().expect("a plain path").to_owned();
    world
        .run(&[
            "diagnose",
            "--sign",
            "long-stems",
            "--html",
            "x.html",
            "--chart",
            &other,
        ])
        .refused(3, &["is no drawing of a log"]);
}

#[test]
fn the_page_of_a_case_says_stop_before_anything_else_and_every_number() {
    let world = World::new();
    let page = small_page(
        &world,
        None,
        &[
            "diagnose",
            "--sign",
            "spot-orange",
            "--sign",
            "long-stems",
            "--reading",
            "co2=2900 ppm",
        ],
    );
    let stop = page.find("STOP. Read this first").expect("the caution");
    let verdict = page.find(">Verdict<").expect("the verdict");
    let causes = page.find(">What it may be<").expect("the causes");
    assert!(stop < verdict && verdict < causes);
    let mut command = world.bare();
    command
        .arg("--knowledge-only")
        .arg(crate::small::folder())
        .args([
            "diagnose",
            "--sign",
            "spot-orange",
            "--sign",
            "long-stems",
            "--reading",
            "co2=2900 ppm",
            "--format",
            "json",
        ]);
    let json: serde_json::Value = serde_json::from_str(&Ran::of(command).out).expect("JSON");
    let causes = json["causes"].as_array().expect("causes");
    assert!(!causes.is_empty());
    for cause in causes {
        let share = cause["confidence"].as_f64().expect("a number");
        assert!(
            page.contains(&format!("width:{:.1}%", share * 100.0)),
            "{cause}"
        );
        assert!(page.contains(cause["words"].as_str().expect("words")));
    }
    assert!(page.contains("This is help for growing, and it can be wrong."));
}

#[test]
fn a_key_leads_from_a_sign_to_causes_and_fits_a_screen() {
    let base = embedded::base();
    let world = World::new();
    let openings = base.signs.iter().filter(|(_, sign)| sign.opening.is_some());
    let mut keys = 0;
    for (id, _) in openings.step_by(3) {
        let mut command = world.bare();
        command.args(["handbook", "key", id.as_str()]);
        let ran = Ran::of(command);
        assert_eq!(ran.status, 0, "{}", ran.err);
        // The tree itself, without the heading, the cautions before it and the two lines below.
        let tree = ran
            .out
            .lines()
            .skip_while(|line| !line.starts_with(['?', '>']));
        let tree = tree.take_while(|line| !line.is_empty()).count();
        assert!((1..=30).contains(&tree), "{id}: {tree}\n{}", ran.out);
        keys += 1;
    }
    assert!(keys > 4);
    let small = world.run(&["handbook", "key", "long stems"]);
    insta::assert_snapshot!("key-small", small.out);
    // A cause begins with the sign it shows most often, a group with that of its members.
    let of_cause = world.run(&["handbook", "key", "mould-on-block"]);
    assert!(
        of_cause
            .out
            .contains("there is a coloured spot on the block"),
        "{}",
        of_cause.out
    );
    world
        .run(&["handbook", "key", "grey oyster"])
        .refused(2, &["is neither a sign nor a cause"]);
    world
        .run(&["handbook", "key"])
        .refused(2, &["write `blockside handbook key WORD`"]);
    world
        .run(&["handbook", "card"])
        .refused(2, &["this knowledge has no cards of its own"]);
}

#[test]
fn cards_are_texts_too() {
    let world = World::new();
    let run = |args: &[&str]| {
        let mut command = world.bare();
        command.args(["handbook", "card"]).args(args);
        Ran::of(command)
    };
    let all = run(&[]);
    assert_eq!(all.status, 0, "{}", all.err);
    for card in embedded::base().cards.values() {
        assert!(all.out.contains(&card.title), "{}", card.title);
    }
    insta::assert_snapshot!("card-mould-spot", run(&["mould-spot"]).out);
    insta::assert_snapshot!("card-weekly-round", run(&["weekly", "round"]).out);
    let species = run(&["king", "oyster"]);
    assert!(
        species.out.contains("King oyster: what the air should be"),
        "{}",
        species.out
    );
    let limits = run(&["limits"]);
    // Where there is no limit, the numbers behind it stay in their places.
    assert!(limits.out.contains("; -; "), "{}", limits.out);
    run(&["mould-spto"]).refused(
        2,
        &["no card is called `mould-spto`; did you mean `mould-spot`?"],
    );
}
