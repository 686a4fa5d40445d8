//! How a helper comes along: points over time, how well confidence holds, what is mixed up.

use jiff::civil::Date;

use crate::engine::knowledge::{CauseKind, KnowledgeBase};
use crate::journal::practice::{KeptPair, KeptRound, Record};
use crate::report::page::{Ink, Look, Page};
use crate::report::words::{percent, unstopped};

/// Blocks of the learning curve.
const MOST_BLOCKS: usize = 12;
/// Rounds in a block at the least.
///
/// judgement: the mean of fewer jumps about.
const LEAST_IN_BLOCK: usize = 5;
/// Steps of the curve, from the bottom up.
const STEPS: [char; 8] = ['▁', '▂', '▃', '▄', '▅', '▆', '▇', '█'];
/// The same in plain letters.
const PLAIN_STEPS: [char; 8] = ['_', '.', ':', '-', '=', '+', '*', '#'];
/// Tenths of confidence.
const TENTHS: usize = 10;

/// The mean points of each block of rounds, oldest first, with how many rounds it holds.
pub fn blocks(rounds: &[KeptRound]) -> Vec<(usize, f64)> {
    let size = rounds.len().div_ceil(MOST_BLOCKS).max(LEAST_IN_BLOCK);
    rounds
        .chunks(size)
        .map(|block| {
            let sum: f64 = block.iter().map(|round| round.points).sum();
            (block.len(), sum / block.len() as f64)
        })
        .collect()
}

/// For each tenth of stated confidence: how many causes were named with it, their mean confidence, and how many were there.
pub fn calibration(rounds: &[KeptRound]) -> Vec<(usize, f64, usize)> {
    let mut tenths = vec![(0, 0.0, 0); TENTHS];
    for named in rounds.iter().flat_map(|round| &round.named) {
        // A hair below an edge in floating point is meant to be on it.
        let place = ((named.confidence * TENTHS as f64 + 1e-9) as usize).min(TENTHS - 1);
        tenths[place].0 += 1;
        tenths[place].1 += named.confidence;
        tenths[place].2 += usize::from(named.there);
    }
    for (count, sum, _) in &mut tenths {
        *sum /= (*count).max(1) as f64;
    }
    tenths
}

/// The curve as one line, from 0 points at the bottom to 100 at the top.
fn curve(means: &[f64], plain: bool) -> String {
    let steps = if plain { &PLAIN_STEPS } else { &STEPS };
    means
        .iter()
        .map(|mean| {
            let place = (mean / 100.0 * steps.len() as f64) as usize;
            steps[place.min(steps.len() - 1)]
        })
        .collect()
}

/// How a helper comes along.
pub fn progress(base: &KnowledgeBase, record: &Record, today: Date, look: Look) -> String {
    let mut page = Page::new(look);
    let rounds = &record.rounds;
    if rounds.is_empty() {
        page.paragraph(
            0,
            Ink::Usual,
            &format!(
                "{} has not finished a case yet. `blockside practise --helper NAME` begins.",
                record.helper
            ),
        );
        return page.finish();
    }
    page.heading(
        Ink::Strong,
        &format!(
            "{}: {} case{} practised",
            record.helper,
            rounds.len(),
            if rounds.len() == 1 { "" } else { "s" }
        ),
    );
    let missed = rounds
        .iter()
        .filter(|round| !round.missed.is_empty())
        .count();
    let due = rounds
        .iter()
        .filter(|round| round.caution_share.is_some())
        .count();
    if due > 0 {
        let ink = if missed > 0 { Ink::Stop } else { Ink::Good };
        page.entry(
            0,
            "!",
            ink,
            &format!("A due caution was missed in {missed} of the {due} cases that had one."),
        );
    }
    let blocks = blocks(rounds);
    let means: Vec<f64> = blocks.iter().map(|(_, mean)| *mean).collect();
    page.heading(Ink::Strong, "Points, from first to last");
    page.drawn(2, &curve(&means, look.plain));
    let mut from = 1;
    for (count, mean) in &blocks {
        let cases = if *count == 1 {
            format!("case {from}:")
        } else {
            format!("cases {from} to {}:", from + count - 1)
        };
        page.paragraph(
            2,
            Ink::Usual,
            &format!("{cases} {mean:.0} points on average"),
        );
        from += count;
    }
    confidence(&mut page, rounds);
    let (bits, best) = rounds.iter().fold((0.0, 0.0), |(bits, best), round| {
        (bits + round.bits, best + round.best_bits)
    });
    if best > 0.0 {
        page.heading(Ink::Strong, "Checks");
        page.paragraph(
            2,
            Ink::Usual,
            &format!(
                "They told {} of what the best ones at the time would have.",
                percent(bits / best)
            ),
        );
    }
    pairs(&mut page, base, &record.pairs, today);
    page.finish()
}

fn confidence(page: &mut Page, rounds: &[KeptRound]) {
    page.heading(Ink::Strong, "How sure you said, and how often it was so");
    for (place, (count, stated, there)) in calibration(rounds).into_iter().enumerate() {
        if count == 0 {
            continue;
        }
        let observed = there as f64 / count as f64;
        let (from, to) = (place * 10, (place + 1) * 10);
        page.drawn(
            2,
            &format!(
                "{from:>2} to {to:>3} %  {}  {there} of {count}",
                page.bar(observed)
            ),
        );
        if page.look().detail {
            page.paragraph(
                4,
                Ink::Faint,
                &format!("said {}, was so in {}", percent(stated), percent(observed)),
            );
        }
    }
}

fn pairs(page: &mut Page, base: &KnowledgeBase, pairs: &[KeptPair], today: Date) {
    if pairs.is_empty() {
        return;
    }
    page.heading(Ink::Strong, "Mixed up, and when it comes again");
    let mut pairs: Vec<&KeptPair> = pairs.iter().collect();
    pairs.sort_by_key(|pair| (pair.due, pair.one.clone(), pair.other.clone()));
    for pair in pairs {
        let name = |id: &str| {
            let cause = base.causes.get(id);
            cause.map_or_else(|| id.to_owned(), |cause| unstopped(&cause.name).to_owned())
        };
        let when = if pair.due <= today {
            "due now".to_owned()
        } else {
            format!("on {}", pair.due)
        };
        page.entry(
            2,
            "-",
            Ink::Usual,
            &format!("{} and {}: {when}", name(&pair.one), name(&pair.other)),
        );
    }
}

/// The helpers there are, a line each.
pub fn helpers(records: &[Record], look: Look) -> String {
    let mut page = Page::new(look);
    if records.is_empty() {
        page.paragraph(
            0,
            Ink::Usual,
            "Nobody has practised under a name yet. `blockside practise --helper NAME` keeps what was learned.",
        );
        return page.finish();
    }
    let rows: Vec<(String, String)> = records
        .iter()
        .map(|record| {
            let latest = blocks(&record.rounds).last().copied();
            let latest = latest.map_or_else(String::new, |(_, mean)| {
                format!(", lately {mean:.0} points on average")
            });
            let cases = record.rounds.len();
            let plural = if cases == 1 { "" } else { "s" };
            (
                record.helper.clone(),
                format!("{cases} case{plural}{latest}"),
            )
        })
        .collect();
    page.columns(&rows);
    page.paragraph(
        0,
        Ink::Faint,
        "In full: blockside practise progress --helper NAME",
    );
    page.finish()
}

/// The topics there are, each with how many causes it takes in.
pub fn topics(base: &KnowledgeBase, look: Look) -> String {
    let mut page = Page::new(look);
    if base.topics.is_empty() {
        page.paragraph(0, Ink::Usual, "This knowledge has no topics.");
        return page.finish();
    }
    let rows: Vec<(String, String)> = base
        .topics
        .iter()
        .map(|(id, topic)| {
            let causes = base.causes.iter().filter(|(id, cause)| {
                cause.kind != CauseKind::Root && cause.any_of.is_empty() && base.in_topic(topic, id)
            });
            (
                id.to_string(),
                format!(
                    "{} ({} causes). {}",
                    topic.title,
                    causes.count(),
                    topic.summary
                ),
            )
        })
        .collect();
    page.columns(&rows);
    page.finish()
}

#[cfg(test)]
mod tests {
    use super::{blocks, calibration, curve};
    use crate::journal::practice::{KeptNamed, KeptRound};

    fn round(points: f64, named: &[(f64, bool)]) -> KeptRound {
        let named = named.iter().map(|&(confidence, there)| KeptNamed {
            cause: "a".to_owned(),
            confidence,
            there,
        });
        KeptRound {
            at: "2026-03-04T05:06:07+00:00".parse().expect("a moment"),
            seed: "1".to_owned(),
            exam: None,
            level: "plain".to_owned(),
            topic: None,
            knowledge: "0".to_owned(),
            causes: Vec::new(),
            points,
            cause_share: 0.0,
            caution_share: None,
            action_share: 0.0,
            missed: Vec::new(),
            checks: 0,
            bits: 0.0,
            best_bits: 0.0,
            named: named.collect(),
        }
    }

    #[test]
    fn the_curve_has_a_step_for_each_block_and_never_leaves_its_range() {
        let rounds: Vec<KeptRound> = (0..12).map(|at| round(f64::from(at) * 10.0, &[])).collect();
        assert_eq!(blocks(&rounds), [(5, 20.0), (5, 70.0), (2, 105.0)]);
        assert_eq!(curve(&[-40.0, 0.0, 50.0, 100.0], true), "__=#");
        let many: Vec<KeptRound> = (0..1000).map(|_| round(50.0, &[])).collect();
        assert_eq!(blocks(&many).len(), 12);
        assert!(blocks(&[]).is_empty());
    }

    #[test]
    fn confidence_is_counted_by_tenths() {
        let rounds = [round(
            0.0,
            &[(0.8, true), (0.85, false), (1.0, true), (0.0, false)],
        )];
        let tenths = calibration(&rounds);
        assert_eq!(tenths[8], (2, 0.825, 1));
        assert_eq!(tenths[9], (1, 1.0, 1));
        assert_eq!(tenths[0], (1, 0.0, 0));
        assert_eq!(tenths.iter().map(|(count, ..)| count).sum::<usize>(), 4);
    }
}
