//! What knowledge files say must make sense together: chances, units of formulae, limits, options, roots, lists.

use blockside::knowledge::problem::{Problem, ProblemCode};
use blockside::report::problems::{Look, render_all};

use crate::broken;

/// The only problem of the sound base with a text laid over it, and how it is shown.
fn only(text: &str) -> (Problem, String) {
    let (built, files) = broken::with(text);
    let shown = render_all(&built.problems, &files, Look::Plain);
    assert_eq!(built.problems.len(), 1, "one fault:\n{shown}");
    let problem = built.problems.into_iter().next().expect("one");
    (problem, shown)
}

/// A file of the sound base with one thing changed.
fn changed(file: &str, from: &str, to: &str) -> String {
    let files = broken::base_files();
    let found = files
        .iter()
        .find(|one| one.name.ends_with(file))
        .expect("a file of the base");
    assert!(found.text.contains(from), "{file} has no {from}");
    found.text.replacen(from, to, 1)
}

fn without_problem(text: &str) {
    let (built, files) = broken::with(text);
    assert!(
        built.problems.is_empty(),
        "{}",
        render_all(&built.problems, &files, Look::Plain)
    );
}

#[test]
fn nothing_is_certain() {
    for chance in ["0", "1", "0.0", "1.0", "-0.1", "1.5", "0.00001", "0.99999"] {
        for (file, key) in [
            ("causes.toml", "base-rate = \"common\""),
            ("causes.toml", "shows = \"often\""),
            ("causes.toml", "brings = \"often\""),
            ("signs.toml", "anyway = \"seldom\""),
        ] {
            let name = key.split(' ').next().expect("a key");
            let (problem, shown) = only(&changed(file, key, &format!("{name} = {chance}")));
            assert_eq!(problem.code, ProblemCode::OutOfRange, "{shown}");
            assert!(shown.contains("between 0.0001 and 0.9999"), "{shown}");
        }
    }
    without_problem(&changed(
        "causes.toml",
        "shows = \"often\"",
        "shows = 0.9999",
    ));
}

#[test]
fn a_word_of_the_scale_may_not_be_certain_either() {
    let (problem, shown) =
        only("[[frequency]]\nword = \"always\"\nvalue = 1.0\njudgement = \"Made up for tests.\"\n");
    assert_eq!(problem.code, ProblemCode::OutOfRange, "{shown}");
}

/// A reading that the engine computes from others.
fn computed(id: &str, unit: &str, formula: &str, inputs: &str) -> String {
    format!(
        "[[reading]]\nid = \"{id}\"\nname = \"a reading\"\nunit = \"{unit}\"\nbelievable = [-50, 100]\n\
         tolerance = 1\nbroken-gauge = 0.02\nanyway = \"seldom\"\neffort = \"measure\"\nquestion = \"How much?\"\n\
         look = \"Look at it.\"\nwords = [\"{id}\"]\n{}judgement = \"Made up for tests.\"\n\n",
        if formula.is_empty() {
            String::new()
        } else {
            format!("computed = {{ formula = \"{formula}\", inputs = {{ {inputs} }} }}\n")
        }
    )
}

#[test]
fn a_formula_takes_readings_in_its_own_units() {
    let temperature = computed("temperature", "C", "", "");
    let humidity = computed("humidity", "%", "", "");
    let inputs = "temperature = \"temperature\", humidity = \"humidity\"";
    let dew_point = |unit, inputs| computed("dew-point", unit, "dew-point", inputs);
    without_problem(&format!(
        "{}{humidity}{temperature}",
        dew_point("C", inputs)
    ));
    for (text, said) in [
        (
            format!("{}{humidity}{temperature}", dew_point("Pa", inputs)),
            "comes out in C, and the reading is in Pa",
        ),
        (
            format!(
                "{}{temperature}",
                dew_point("C", "temperature = \"temperature\", humidity = \"co2\"")
            ),
            "takes `humidity` in %, and `co2` is in ppm",
        ),
    ] {
        let (problem, shown) = only(&text);
        assert_eq!(problem.code, ProblemCode::UnknownFormula, "{shown}");
        assert!(shown.contains(said), "{shown}");
    }
}

/// The action of the base with an amount, and something in the place of each text.
fn action(measured: &str, outside: &str, text: &str, otherwise: &str, disturbs: &str) -> String {
    let amount = format!(
        "amount = {{ formula = \"airflow-factor\", inputs = {{ measured = \"{measured}\", outside = \"{outside}\" }}, \
         limit = \"co2\", text = \"{text}\", otherwise = \"{otherwise}\" }}\neffort = \"minute\""
    );
    changed("actions.toml", "effort = \"minute\"", &amount)
        .replace("disturbs = []", &format!("disturbs = [\"{disturbs}\"]"))
}

#[test]
fn what_is_compared_is_in_one_unit() {
    let text = "about {value} times";
    without_problem(&action(
        "co2",
        "co2",
        text,
        "half as much",
        "{value} times the mist",
    ));
    let warm = computed("warmth", "C", "", "");
    for (measured, outside) in [("warmth", "co2"), ("co2", "warmth")] {
        let text = action(measured, outside, text, "half as much", "the mist");
        let (problem, shown) = only(&format!("{text}\n{warm}"));
        assert_eq!(problem.code, ProblemCode::UnknownFormula, "{shown}");
        assert!(shown.contains("name readings in the same unit"), "{shown}");
    }
}

#[test]
fn the_place_of_an_amount_is_where_there_is_one() {
    for (text, otherwise, disturbs) in [
        ("about twice", "half as much", "the mist"),
        ("{value} times", "{value} times", "the mist"),
    ] {
        let (problem, shown) = only(&action("co2", "co2", text, otherwise, disturbs));
        assert_eq!(problem.code, ProblemCode::BadPlaceholder, "{shown}");
    }
    for (from, to) in [
        ("\"the next caps\"", "\"the next {value} caps\""),
        ("\"1 to 2 days\"", "\"{value} days\""),
        ("\"Look for a second cause.\"", "\"Look for {value}.\""),
        ("disturbs = []", "disturbs = [\"{value} times the mist\"]"),
    ] {
        let (problem, shown) = only(&changed("actions.toml", from, to));
        assert_eq!(problem.code, ProblemCode::BadPlaceholder, "{shown}");
    }
}

#[test]
fn a_limit_must_be_believable_and_stand_once() {
    let (problem, shown) = only(&changed("species.toml", "max = 1000", "max = 200000"));
    assert_eq!(problem.code, ProblemCode::OutOfRange, "{shown}");
    let (problem, shown) = only(&changed(
        "species.toml",
        "max = 1000",
        "min = -1\nmax = 1000",
    ));
    assert_eq!(problem.code, ProblemCode::OutOfRange, "{shown}");
    let again = "\n[[limit]]\nstage = \"fruiting\"\nreading = \"co2\"\nmin = 400\njudgement = \"Made up for tests.\"\n";
    let text = changed("species.toml", "", "") + again;
    let (problem, shown) = only(&text);
    assert_eq!(problem.code, ProblemCode::RepeatedEntry, "{shown}");
    assert!(shown.contains("first here"), "{shown}");
}

#[test]
fn a_normal_look_stands_once() {
    let look = "\n[[normal]]\nsign = \"long-stems\"\nanyway = \"often\"\nnote = \"It grows so.\"\njudgement = \"Made up for tests.\"\n";
    let base = changed("species.toml", "", "");
    without_problem(&format!("{base}{look}"));
    let (problem, shown) = only(&format!("{base}{look}{look}"));
    assert_eq!(problem.code, ProblemCode::RepeatedEntry, "{shown}");
}

#[test]
fn one_option_of_a_question_stands_for_one_sign() {
    let text = "[[sign]]\nid = \"caps-white\"\nstatement = \"the caps are white\"\nasked-by = \"cap-colour\"\n\
                option = \"Pale\"\nlook = \"Look.\"\nwords = []\nanyway = \"seldom\"\njudgement = \"Made up for tests.\"\n";
    let (problem, shown) = only(text);
    assert_eq!(problem.code, ProblemCode::RepeatedEntry, "{shown}");
    assert!(shown.contains("for two signs"), "{shown}");
    assert!(problem.other.is_some(), "{shown}");
}

#[test]
fn a_root_has_no_roots() {
    let roots = "]\nroots = [ { cause = \"fan-broken\", brings = \"often\", judgement = \"Made up for tests.\" } ]\njudgement";
    let text = changed("causes.toml", "]\njudgement", roots)
        + "\n[[cause]]\nid = \"fan-broken\"\nname = \"The fan is broken\"\nkind = \"root\"\nsummary = \"It stands still.\"\n\
           base-rate = \"rare\"\nlook-alikes = []\nactions = []\ncautions = []\nrules = []\njudgement = \"Made up for tests.\"\n";
    let (built, files) = broken::with(&text);
    let shown = render_all(&built.problems, &files, Look::Plain);
    let found = built
        .problems
        .iter()
        .find(|problem| problem.code == ProblemCode::RootWithoutCondition);
    assert!(found.is_some(), "{shown}");
    assert!(shown.contains("has roots of its own"), "{shown}");
}

#[test]
fn a_name_stands_once_in_a_list() {
    let (problem, shown) = only(&changed(
        "causes.toml",
        "actions = [\"more-fresh-air\"]",
        "actions = [\"more-fresh-air\", \"more-fresh-air\"]",
    ));
    assert_eq!(problem.code, ProblemCode::RepeatedEntry, "{shown}");
    assert!(shown.contains("twice under `actions`"), "{shown}");
}

#[test]
fn risk_factors_stay_within_what_signs_can_outweigh() {
    for times in ["0.09", "20.1", "0", "-2.0"] {
        let (problem, shown) = only(&changed(
            "causes.toml",
            "times = 2.0",
            &format!("times = {times}"),
        ));
        assert_eq!(problem.code, ProblemCode::OutOfRange, "{shown}");
    }
}

#[test]
fn a_reading_stands_for_a_number_of_a_profile_in_its_unit() {
    let with = |profile: &str| {
        changed(
            "readings.toml",
            "words = [\"co2\"]",
            &format!("words = [\"co2\"]\nprofile = \"{profile}\""),
        )
    };
    without_problem(&with("co2"));
    let (problem, shown) = only(&with("airflow"));
    assert_eq!(problem.code, ProblemCode::WrongType, "{shown}");
    assert!(shown.contains("m3/h"), "{shown}");
    let (problem, shown) = only(&with("co2-rice"));
    assert_eq!(problem.code, ProblemCode::UnknownWord, "{shown}");
    assert!(shown.contains("did you mean `co2-rise`?"), "{shown}");
}

#[test]
fn a_setup_item_follows_from_a_statement_or_a_number_of_a_profile() {
    let with = |profile: &str| {
        changed(
            "setup.toml",
            "words = [\"duct\"]",
            &format!("words = [\"duct\"]\nprofile = {profile}"),
        )
    };
    without_problem(&with("\"outlet-duct\""));
    without_problem(&with("{ of = \"duct-length\", above = 0 }"));
    for (profile, code) in [
        ("\"outlet-dust\"", ProblemCode::UnknownWord),
        (
            "{ of = \"duct-lenght\", above = 0 }",
            ProblemCode::UnknownWord,
        ),
        ("{ of = \"duct-length\" }", ProblemCode::MissingKey),
        (
            "{ of = \"duct-length\", above = 0, below = 9 }",
            ProblemCode::MissingKey,
        ),
        ("7", ProblemCode::WrongType),
    ] {
        let (problem, shown) = only(&with(profile));
        assert_eq!(problem.code, code, "{shown}");
    }
}

#[test]
fn what_a_crop_gives_off_is_checked() {
    let output = |species: &str, range: &str, peak: &str| {
        format!(
            "[[output]]\nid = \"made-up\"\nspecies = [\"{species}\"]\nstage = \"fruiting\"\nco2-mg-per-kg-hour = \
             {range}\npeak-times = {peak}\njudgement = \"Made up for tests.\"\n"
        )
    };
    without_problem(&output("grey-oyster", "[65, 190]", "3"));
    for (text, code) in [
        (
            output("gray-oyster", "[65, 190]", "3"),
            ProblemCode::UnknownSpecies,
        ),
        (
            output("grey-oyster", "[190, 65]", "3"),
            ProblemCode::WrongType,
        ),
        (
            output("grey-oyster", "[65, 19000]", "3"),
            ProblemCode::OutOfRange,
        ),
        (
            output("grey-oyster", "[65, 190]", "0.5"),
            ProblemCode::OutOfRange,
        ),
    ] {
        let (problem, shown) = only(&text);
        assert_eq!(problem.code, code, "{shown}");
    }
}

#[test]
fn what_an_amount_also_asks_for_is_checked_like_the_amount() {
    let action = |also: &str| {
        format!(
            "[[action]]\nid = \"made-up\"\npurpose = \"fix\"\nwhen-to-do = \"now\"\ntext = \"Do it.\"\namount = {{ \
             formula = \"fall-to-limit\", inputs = {{ measured = \"co2\" }}, limit = \"co2\", text = \"{{value}} \
             ppm\", otherwise = \"some\", also = [{also}] }}\neffort = \"glance\"\nshows-in = \"a day\"\nwatch = \
             \"It.\"\nif-failed = \"Rest.\"\nrules = [{{ when = {{ setup = \"duct-on-outlet\" }}, judgement = \"Made up.\" \
             }}]\njudgement = \"Made up for tests.\"\n"
        )
    };
    let part = |limit: &str, text: &str| {
        format!(
            "{{ formula = \"fall-to-limit\", inputs = {{ measured = \"co2\" }}, {limit}text = \"{text}\" }}"
        )
    };
    without_problem(&action(&part("limit = \"co2\", ", "and {value}")));
    let (problem, shown) = only(&action(&part("", "and {value}")));
    assert_eq!(problem.code, ProblemCode::UnknownFormula, "{shown}");
    let (problem, shown) = only(&action(&part("limit = \"co2\", ", "and more")));
    assert_eq!(problem.code, ProblemCode::BadPlaceholder, "{shown}");
}
