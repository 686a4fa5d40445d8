//! The report of a case as a page.

use crate::engine::diagnosis::{
    ActionDue, Ask, CauseFound, CautionDue, FindingText, NextCheck, Reason, Verdict,
};
use crate::engine::knowledge::{CauseKind, Due, Severity};
use crate::report::html::cards::class_of;
use crate::report::html::write::{Html, page};
use crate::report::text::advice::{heading_of, is_urgent};
use crate::report::text::causes::{cited, roots_label};
use crate::report::text::{CLOSING, Told, advice_for, headline_notes, option_names};
use crate::report::words::{cause_name, listed, percent, sentence, strength, unstopped, verdict};

/// A drawing of a sensor log that goes with the case: the text of an SVG file.
#[derive(Debug, Clone, Copy)]
pub struct Chart<'a> {
    /// What it shows, to be read out in its place.
    pub title: &'a str,
    /// The SVG.
    pub svg: &'a str,
}

/// The page of a diagnosis, with the drawings of its log or the reason why there is none.
pub fn case(told: &Told<'_>, charts: &[Chart<'_>], lacking: Option<&str>) -> String {
    let mut html = Html::default();
    html.open("main", &[("class", "plain")]);
    html.element("h1", &[], "What is wrong, and what to do");
    cautions(&mut html, told, Severity::Stop);
    let diagnosis = told.diagnosis;
    html.element("h2", &[], "Verdict");
    let class = if diagnosis.verdict == Verdict::NothingWrong {
        "good"
    } else {
        "verdict"
    };
    html.open("p", &[("class", class)]);
    html.element("b", &[], &verdict(told.base, diagnosis));
    html.close();
    for note in headline_notes(told) {
        html.element("p", &[("class", "faint")], &note);
    }
    some_actions(&mut html, told, "In the first minutes", is_urgent);
    causes(&mut html, told);
    findings(
        &mut html,
        "Not explained by anything in the book",
        &diagnosis.unexplained,
    );
    if !diagnosis.contradictions.is_empty() {
        html.element("h2", &[], "Does not go together; please look again");
        html.open("ul", &[]);
        for contradiction in &diagnosis.contradictions {
            html.open("li", &[]);
            html.element("p", &[], &sentence(&contradiction.text));
            if !contradiction.between.is_empty() {
                html.labelled("Told:", &format!("{}.", contradiction.between.join("; ")));
            }
            if let Some(check) = &contradiction.settle_by {
                html.labelled("What settles it:", &check.question);
            }
            html.close();
        }
        html.close();
    }
    findings(
        &mut html,
        "Normal for this species",
        &diagnosis.normal_looks,
    );
    let logged = told
        .observations
        .from_log
        .iter()
        .filter(|said| said.is_finding());
    let logged: Vec<&str> = logged.map(|said| said.text.as_str()).collect();
    if !logged.is_empty() {
        html.element("h2", &[], "From the log");
        html.list(&logged);
    }
    cautions(&mut html, told, Severity::Care);
    for (due, heading) in [
        (Due::Now, "What to do now"),
        (Due::NextDays, "In the next days"),
        (Due::NextRun, "With the next run"),
    ] {
        some_actions(&mut html, told, heading, |action| {
            action.due == due && !is_urgent(action)
        });
    }
    cautions(&mut html, told, Severity::Info);
    if !diagnosis.next_checks.is_empty() && diagnosis.verdict != Verdict::NothingTold {
        html.element("h2", &[], "What to look at next");
        html.open("ol", &[]);
        for check in &diagnosis.next_checks {
            html.open("li", &[]);
            next_check(&mut html, told, check);
            html.close();
        }
        html.close();
    }
    if let Some(why) = lacking {
        html.element("h2", &[], "The log");
        html.element("p", &[("class", "faint")], why);
    }
    for chart in charts {
        html.element("h2", &[], "The log");
        html.open("figure", &[("class", "wide")]);
        let source = format!("data:image/svg+xml;base64,{}", base64(chart.svg.as_bytes()));
        html.void("img", &[("src", &source), ("alt", chart.title)]);
        html.element("figcaption", &[], chart.title);
        html.close();
    }
    html.open("footer", &[]);
    html.element("p", &[("class", "care")], CLOSING);
    let knowledge = told
        .base
        .fingerprint
        .get(..12)
        .unwrap_or(&told.base.fingerprint);
    html.element(
        "p",
        &[("class", "faint")],
        &format!(
            "blockside {}, knowledge {knowledge}.",
            env!("CARGO_PKG_VERSION")
        ),
    );
    html.close();
    html.close();
    page("What is wrong, and what to do", html)
}

fn cautions(html: &mut Html, told: &Told<'_>, severity: Severity) {
    let due = told.diagnosis.cautions.iter();
    let due: Vec<&CautionDue> = due.filter(|caution| caution.severity == severity).collect();
    if due.is_empty() {
        return;
    }
    html.element("h2", &[], heading_of(severity).0);
    for caution in due {
        html.open("div", &[("class", class_of(severity))]);
        html.element("p", &[], &caution.text);
        if let Some(stricter) = &caution.special_risk {
            html.labelled("If someone is at special risk:", stricter);
        }
        if !caution.because.is_empty() {
            html.labelled("Because:", &format!("{}.", listed(&caution.because)));
        }
        if !caution.defer_to.is_empty() {
            html.labelled(
                "The last word has:",
                &format!("{}.", unstopped(&caution.defer_to)),
            );
        }
        html.close();
    }
}

fn causes(html: &mut Html, told: &Told<'_>) {
    if told.diagnosis.causes.is_empty() {
        return;
    }
    html.element("h2", &[], "What it may be");
    for (number, cause) in told.diagnosis.causes.iter().enumerate() {
        html.open("article", &[]);
        html.element(
            "h3",
            &[],
            &format!("{}. {}", number + 1, unstopped(&cause.name)),
        );
        bar(html, cause.confidence);
        html.element(
            "p",
            &[],
            &format!("{}, {}", percent(cause.confidence), cause.words),
        );
        html.element("p", &[], &cause.summary);
        if cause.kind == CauseKind::LookAlike {
            html.element("p", &[("class", "good")], "Not a fault: it needs no cure.");
        }
        reasons(html, told, "For it", &cause.speaks_for);
        reasons(html, told, "Against it", &cause.speaks_against);
        roots(html, told, cause);
        html.close();
    }
}

/// A bar as long as a share; the number stands beside it in words, so it is not read out.
fn bar(html: &mut Html, share: f64) {
    let width = format!("width:{:.1}%", share.clamp(0.0, 1.0) * 100.0);
    html.open("div", &[("class", "bar"), ("aria-hidden", "true")]);
    html.element("span", &[("style", &width)], "");
    html.close();
}

fn reasons(html: &mut Html, told: &Told<'_>, label: &str, reasons: &[Reason]) {
    if reasons.is_empty() {
        return;
    }
    html.element("h4", &[], label);
    html.open("ul", &[]);
    for reason in reasons {
        let taken = reason.taken_by.as_ref().filter(|_| reason.weight_db > 0.0);
        let rival = taken.map_or_else(String::new, |rival| {
            format!(
                "; also explained by: {}",
                unstopped(cause_name(told.base, rival))
            )
        });
        html.open("li", &[]);
        html.text(&format!(
            "{} ({}, {:+.1} dB{rival})",
            reason.finding.text,
            strength(reason.weight_db),
            reason.weight_db
        ));
        if !reason.sources.is_empty() {
            html.text(" ");
            html.element("small", &[], &format!("[{}]", cited(&reason.sources)));
        }
        html.close();
    }
    html.close();
}

fn roots(html: &mut Html, told: &Told<'_>, cause: &CauseFound) {
    if cause.roots.is_empty() {
        return;
    }
    html.element(
        "h4",
        &[],
        roots_label(told.base, cause).trim_end_matches(':'),
    );
    html.open("ul", &[]);
    for root in &cause.roots {
        let because: Vec<&str> = root
            .because
            .iter()
            .map(|finding| finding.text.as_str())
            .collect();
        let because = if because.is_empty() {
            String::new()
        } else {
            format!(": {}", listed(&because))
        };
        html.element(
            "li",
            &[],
            &format!(
                "{} ({}, {}){because}",
                unstopped(&root.name),
                root.words,
                percent(root.confidence)
            ),
        );
    }
    html.close();
}

fn findings(html: &mut Html, heading: &str, findings: &[FindingText]) {
    if findings.is_empty() {
        return;
    }
    html.element("h2", &[], heading);
    let texts: Vec<String> = findings
        .iter()
        .map(|finding| sentence(&finding.text))
        .collect();
    html.list(&texts);
}

fn some_actions(
    html: &mut Html,
    told: &Told<'_>,
    heading: &str,
    wanted: impl Fn(&ActionDue) -> bool,
) {
    let actions = told.diagnosis.actions.iter();
    let actions: Vec<&ActionDue> = actions.filter(|action| wanted(action)).collect();
    if actions.is_empty() {
        return;
    }
    html.element("h2", &[], heading);
    html.open("ol", &[]);
    for action in actions {
        html.open("li", &[]);
        html.element("p", &[], &action.text);
        if let Some(amount) = &action.amount {
            html.labelled("How much:", &sentence(&amount.text));
        }
        for (label, text) in [
            ("Shows in:", &action.shows_in),
            ("Watch:", &action.watch),
            ("If that does not help:", &action.if_failed),
        ] {
            if !text.is_empty() {
                html.labelled(label, &sentence(text));
            }
        }
        for disturbed in &action.disturbs {
            html.labelled("It also changes:", &sentence(disturbed));
        }
        let names = advice_for(told, action);
        if !names.is_empty() {
            html.labelled("For:", &format!("{}.", names.join("; ")));
        }
        html.close();
    }
    html.close();
}

fn next_check(html: &mut Html, told: &Told<'_>, check: &NextCheck) {
    html.open("p", &[]);
    html.element("b", &[], &check.question);
    html.close();
    if let Ask::Question(_, signs) = &check.ask {
        let mut options = option_names(told.base, signs);
        options.push("None of these".to_owned());
        html.list(&options);
    }
    html.labelled("How:", &sentence(&check.how));
    if check.hazard {
        html.labelled(
            "Why first:",
            "it could show something that can hurt people or the whole chamber.",
        );
    }
    if !check.separates.is_empty() {
        let names: Vec<&str> = check
            .separates
            .iter()
            .map(|id| unstopped(cause_name(told.base, id)))
            .collect();
        let label = if names.len() > 1 {
            "Tells apart:"
        } else {
            "Settles:"
        };
        html.labelled(label, &format!("{}.", names.join(" / ")));
    }
}

/// Bytes as letters that fit into an address.
///
/// # Source
/// RFC 4648, section 4.
fn base64(bytes: &[u8]) -> String {
    const LETTERS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let mut text = String::with_capacity(bytes.len().div_ceil(3) * 4);
    for chunk in bytes.chunks(3) {
        let byte = |at: usize| u32::from(chunk.get(at).copied().unwrap_or(0));
        let bits = byte(0) << 16 | byte(1) << 8 | byte(2);
        for place in 0..4 {
            if place > chunk.len() {
                text.push('=');
                continue;
            }
            let six = (bits >> (18 - 6 * place)) & 63;
            text.push(char::from(LETTERS[six as usize]));
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use super::base64;

    #[test]
    fn bytes_become_the_letters_of_the_standard() {
        // RFC 4648, section 10.
        for (bytes, letters) in [
            ("", ""),
            ("f", "Zg=="),
            ("fo", "Zm8="),
            ("foo", "Zm9v"),
            ("foob", "Zm9vYg=="),
            ("fooba", "Zm9vYmE="),
            ("foobar", "Zm9vYmFy"),
        ] {
            assert_eq!(base64(bytes.as_bytes()), letters);
        }
    }
}
