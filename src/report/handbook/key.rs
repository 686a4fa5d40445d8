//! A key: the questions that a walk would ask after a first sign, unrolled into a short tree.

use std::fmt::Write as _;

use crate::engine::diagnosis::{Ask, Diagnosis, NextCheck, Verdict};
use crate::engine::id::{CauseId, CautionId, QuestionId, SignId};
use crate::engine::knowledge::{Asking, Finding, KnowledgeBase, Severity};
use crate::engine::observations::{Answer, Observations};
use crate::engine::reasoner::Reasoner;
use crate::report::handbook::Entry;
use crate::report::page::{Ink, Look, Page};
use crate::report::words::{percent, unstopped};

/// How many lines the tree of a key takes at most, as wide as a terminal mostly is.
///
/// judgement: with its heading and cautions it fills a screen or half a sheet; whoever needs more walks through `ask`.
const MOST_LINES: usize = 24;

/// How many letters such a line holds.
const WIDE: usize = 76;

/// How many questions stand one below the other at most.
///
/// judgement: nobody keeps more answers in mind; the leaves are sure or honest about it by then.
const MOST_DEEP: usize = 4;

/// Answers less likely than this, all before them taken into account, are left out.
///
/// judgement: one case in twenty-five; what is rarer belongs to a walk.
const LEAST_LIKELY: f64 = 0.04;

/// How many causes a leaf names that is not decided.
const MOST_NAMED: usize = 2;

/// What a key is asked for.
#[derive(Debug, Clone, PartialEq)]
pub struct Key {
    /// The first sign.
    pub sign: SignId,
    /// What it says.
    pub statement: String,
    /// What somebody has to know before looking at all.
    pub stop: Vec<Stop>,
    /// The tree.
    pub root: Node,
}

/// A caution of the gravest kind, by its first sentence.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stop {
    /// The caution.
    pub id: CautionId,
    /// Its first sentence.
    pub text: String,
}

/// A place in the tree.
#[derive(Debug, Clone, PartialEq)]
pub struct Node {
    /// What is the case here.
    pub leads: Vec<Lead>,
    /// Cautions of the gravest kind that apply from here on.
    pub stop: Vec<Stop>,
    /// Whether the first of them stands out.
    pub decided: bool,
    /// What to look at next; none where the key ends.
    pub question: Option<Question>,
}

/// A cause where the key has come to.
#[derive(Debug, Clone, PartialEq)]
pub struct Lead {
    /// The cause.
    pub id: CauseId,
    /// What it is called.
    pub name: String,
    /// How likely it is.
    pub confidence: f64,
    /// The word for that.
    pub words: String,
}

/// A question with its answers.
#[derive(Debug, Clone, PartialEq)]
pub struct Question {
    /// The question.
    pub text: String,
    /// How to look.
    pub how: String,
    /// Its answers, with what follows.
    pub answers: Vec<(String, Node)>,
}

/// The sign a key begins with: the one that is named, or the one that a cause shows most often.
pub fn first_sign(base: &KnowledgeBase, entry: Entry<'_>) -> Option<SignId> {
    match entry {
        Entry::Sign(id) => Some(id.clone()),
        Entry::Cause(id) => {
            let cause = base.causes.get(id)?;
            let members: Vec<&CauseId> = if cause.any_of.is_empty() {
                vec![id]
            } else {
                cause.any_of.iter().collect()
            };
            let mut shares: Vec<(f64, &SignId)> = Vec::new();
            let shown = members
                .into_iter()
                .filter_map(|member| base.causes.get(member))
                .flat_map(|member| member.general().map(move |shows| (member, shows)));
            for (member, shows) in shown {
                let Finding::Sign(sign) = &shows.finding else {
                    continue;
                };
                let weight = shows.share * member.base_rate;
                match shares.iter_mut().find(|(_, known)| *known == sign) {
                    Some((sum, _)) => *sum += weight,
                    None => shares.push((weight, sign)),
                }
            }
            // The first of equals, so that nothing hangs on the sort.
            let best = shares.iter().rev().max_by(|a, b| a.0.total_cmp(&b.0))?;
            Some(best.1.clone())
        }
        Entry::Species(_) | Entry::Action(_) | Entry::Caution(_) => None,
    }
}

/// An answer that is still to be followed.
struct Waiting {
    /// The way to it: which answer of which question, from the root on.
    way: Vec<usize>,
    told: Observations,
    likely: f64,
    /// Cautions that were given on the way.
    known: Vec<CautionId>,
    /// Questions that were asked on the way: what they left open is not asked again.
    asked: Vec<QuestionId>,
}

/// How many lines a text takes.
fn lines_of(indent: usize, text: &str) -> usize {
    text.chars().count().div_ceil(WIDE - indent.min(WIDE / 2))
}

/// Unrolls the questions after a first sign. The likeliest answers are followed first, until the key is full.
pub fn key(reasoner: &Reasoner<'_>, sign: &SignId) -> Option<Key> {
    let base = reasoner.base();
    let statement = base.signs.get(sign)?.statement.clone();
    let mut told = Observations::default();
    told.signs.insert(sign.clone(), Answer::Yes);
    let diagnosis = reasoner.diagnose(&told);
    let stop = stops(&diagnosis, &[]);
    let known: Vec<CautionId> = stop.iter().map(|stop| stop.id.clone()).collect();
    let mut root = leaf(base, &diagnosis, &known);
    let mut waiting = vec![Waiting {
        way: Vec::new(),
        told,
        likely: 1.0,
        known,
        asked: Vec::new(),
    }];
    let mut lines = lines_of(0, &root.in_words());
    while !waiting.is_empty() {
        // The likeliest of those that wait; of equals the one that came first.
        let next = waiting
            .iter()
            .enumerate()
            .rev()
            .max_by(|a, b| a.1.likely.total_cmp(&b.1.likely))
            .map(|(place, _)| place);
        let Some(next) = next.map(|place| waiting.remove(place)) else {
            break;
        };
        let Some((check, branches)) = unrolled(reasoner, &next) else {
            continue;
        };
        let nodes: Vec<Node> = branches
            .iter()
            .map(|branch| leaf(base, &reasoner.diagnose(&branch.told), &next.known))
            .collect();
        // The question stands in place of what was said here before.
        let indent = 4 * next.way.len();
        let more: usize = branches
            .iter()
            .zip(&nodes)
            .map(|(branch, node)| {
                let text = format!("- {}: {}", branch.answer, node.in_words());
                lines_of(indent + 2, &text) + usize::from(!node.stop.is_empty())
            })
            .sum();
        if lines + lines_of(indent, &check.question) + more > MOST_LINES {
            continue;
        }
        lines += lines_of(indent, &check.question) + more;
        let mut asked = next.asked.clone();
        if let Ask::Question(id, _) = &check.ask {
            asked.push(id.clone());
        }
        let mut question = Question {
            text: check.question.clone(),
            how: check.how.clone(),
            answers: Vec::new(),
        };
        for (place, (branch, node)) in branches.into_iter().zip(nodes).enumerate() {
            let open = !node.decided && next.way.len() + 1 < MOST_DEEP;
            let mut known = next.known.clone();
            known.extend(node.stop.iter().map(|stop| stop.id.clone()));
            question.answers.push((branch.answer, node));
            if open {
                let mut way = next.way.clone();
                way.push(place);
                waiting.push(Waiting {
                    way,
                    told: branch.told,
                    likely: next.likely * branch.likely,
                    known,
                    asked: asked.clone(),
                });
            }
        }
        if let Some(node) = at(&mut root, &next.way) {
            node.question = Some(question);
        }
    }
    Some(Key {
        sign: sign.clone(),
        statement,
        stop,
        root,
    })
}

fn at<'n>(root: &'n mut Node, way: &[usize]) -> Option<&'n mut Node> {
    let Some((first, rest)) = way.split_first() else {
        return Some(root);
    };
    let question = root.question.as_mut()?;
    let (_, node) = question.answers.get_mut(*first)?;
    at(node, rest)
}

/// One answer to a question, with what is told by then.
struct Branch {
    answer: String,
    told: Observations,
    likely: f64,
}

/// The best check that can be answered by looking, with those of its answers that are likely enough. `None` where one
/// answer is all that is left: then it tells nothing.
fn unrolled(reasoner: &Reasoner<'_>, from: &Waiting) -> Option<(NextCheck, Vec<Branch>)> {
    let base = reasoner.base();
    let checks = reasoner.next_checks(&from.told);
    let check = checks.into_iter().find(|check| {
        check.about_roots_of.is_none()
            && match &check.ask {
                Ask::Sign(_) => true,
                Ask::Question(id, _) => !from.asked.contains(id),
                Ask::Reading(_) => false,
            }
    })?;
    let with = |answers: &[(&SignId, Answer)]| {
        let mut told = from.told.clone();
        for (sign, answer) in answers {
            told.signs.insert((*sign).clone(), *answer);
        }
        told
    };
    let chance = |sign: &SignId| {
        let found = check.chances.iter().find(|(one, _)| one == sign);
        found.map_or(0.0, |(_, chance)| *chance)
    };
    let mut branches = match &check.ask {
        Ask::Sign(sign) => {
            let yes = chance(sign);
            vec![
                Branch {
                    answer: "yes".to_owned(),
                    told: with(&[(sign, Answer::Yes)]),
                    likely: yes,
                },
                Branch {
                    answer: "no".to_owned(),
                    told: with(&[(sign, Answer::No)]),
                    likely: 1.0 - yes,
                },
            ]
        }
        Ask::Question(id, signs) => options(base, id, signs, &chance, &with),
        Ask::Reading(_) => Vec::new(),
    };
    branches.retain(|branch| branch.likely * from.likely >= LEAST_LIKELY);
    (branches.len() > 1).then_some((check, branches))
}

/// The options of a shared question, the likeliest first, and that none of them holds.
fn options(
    base: &KnowledgeBase,
    id: &QuestionId,
    signs: &[SignId],
    chance: &impl Fn(&SignId) -> f64,
    with: &impl Fn(&[(&SignId, Answer)]) -> Observations,
) -> Vec<Branch> {
    let one_of = base
        .questions
        .get(id)
        .is_some_and(|question| question.one_of);
    let mut branches: Vec<Branch> = signs
        .iter()
        .map(|sign| {
            // Where only one can hold, the rest does not; else the rest stays open.
            let answers: Vec<(&SignId, Answer)> = signs
                .iter()
                .filter(|other| one_of || *other == sign)
                .map(|other| {
                    let answer = if other == sign {
                        Answer::Yes
                    } else {
                        Answer::No
                    };
                    (other, answer)
                })
                .collect();
            Branch {
                answer: option(base, sign),
                told: with(&answers),
                likely: chance(sign),
            }
        })
        .collect();
    branches.sort_by(|a, b| b.likely.total_cmp(&a.likely));
    let none: f64 = if one_of {
        1.0 - signs.iter().map(chance).sum::<f64>()
    } else {
        signs.iter().map(|sign| 1.0 - chance(sign)).product()
    };
    let answers: Vec<(&SignId, Answer)> = signs.iter().map(|sign| (sign, Answer::No)).collect();
    branches.push(Branch {
        answer: "none of these".to_owned(),
        told: with(&answers),
        likely: none.max(0.0),
    });
    branches
}

fn option(base: &KnowledgeBase, sign: &SignId) -> String {
    match base.signs.get(sign).map(|sign| &sign.asking) {
        Some(Asking::Option { option, .. }) => option.clone(),
        _ => sign.to_string(),
    }
}

/// The cautions of the gravest kind that are not known yet.
fn stops(diagnosis: &Diagnosis, known: &[CautionId]) -> Vec<Stop> {
    let stop = diagnosis
        .cautions
        .iter()
        .filter(|caution| caution.severity == Severity::Stop);
    stop.filter(|caution| !known.contains(&caution.id))
        .map(|caution| Stop {
            id: caution.id.clone(),
            text: first_sentence(&caution.text).to_owned(),
        })
        .collect()
}

/// The fewest letters that say what to do: `Stop.` alone does not.
const LEAST_LETTERS: usize = 24;

/// The first sentences, as many as say what to do.
fn first_sentence(text: &str) -> &str {
    let mut ends = text.match_indices(". ").map(|(end, _)| end);
    let end = ends.find(|end| *end >= LEAST_LETTERS);
    end.map_or(text, |end| &text[..=end])
}

fn leaf(base: &KnowledgeBase, diagnosis: &Diagnosis, known: &[CautionId]) -> Node {
    let decided = diagnosis.verdict == Verdict::Decided;
    let most = if decided { 1 } else { MOST_NAMED };
    let least = base.scale.numbers.suspect_at;
    let leads: Vec<Lead> = diagnosis
        .causes
        .iter()
        .take(most)
        .filter(|cause| cause.confidence >= least)
        .map(|cause| Lead {
            id: cause.id.clone(),
            name: unstopped(&cause.name).to_owned(),
            confidence: cause.confidence,
            words: cause.words.clone(),
        })
        .collect();
    Node {
        stop: stops(diagnosis, known),
        decided: decided && !leads.is_empty(),
        leads,
        question: None,
    }
}

impl Node {
    /// Where the key has come to, in words.
    pub fn in_words(&self) -> String {
        let named: Vec<String> = self.leads.iter().map(Lead::in_words).collect();
        match named.as_slice() {
            [] => NOTHING.to_owned(),
            [one] if self.decided => one.clone(),
            [one] => format!("not sure yet: {one}"),
            several => format!("not sure yet: {}", several.join("; or ")),
        }
    }
}

impl Lead {
    /// The cause with how sure that is.
    pub fn in_words(&self) -> String {
        let mut text = String::new();
        // Writing to a text cannot fail.
        let _ = write!(
            text,
            "{} ({}, {})",
            self.name,
            percent(self.confidence),
            self.words
        );
        text
    }
}

/// Where no cause is even suspected.
pub const NOTHING: &str = "nothing stands out yet";

/// What stands below every key.
pub const BELOW: &str = "A key follows the likeliest answers alone, for no species in particular; rarer ones are left out. \
    `blockside ask` takes everything into account.";

/// The key as text.
pub fn text(key: &Key, look: Look) -> String {
    let mut page = Page::new(look);
    page.heading(Ink::Strong, &format!("Key: {}", key.statement));
    for stop in &key.stop {
        page.entry(0, "!", Ink::Stop, &format!("{} ({})", stop.text, stop.id));
    }
    // What may come up on the way is said once, before anybody goes it; the answers point to it.
    let mut later: Vec<&Stop> = Vec::new();
    key.root.stops(&mut later);
    if !later.is_empty() {
        page.paragraph(0, Ink::Care, "Where an answer below points to it:");
    }
    for stop in later {
        page.entry(2, "!", Ink::Stop, &format!("{} ({})", stop.text, stop.id));
    }
    branch(&mut page, 0, &key.root);
    page.blank();
    page.paragraph(0, Ink::Faint, BELOW);
    page.finish()
}

impl Node {
    /// Every caution of the answers from here on, each once.
    fn stops<'n>(&'n self, found: &mut Vec<&'n Stop>) {
        let answers = self.question.iter().flat_map(|question| &question.answers);
        for (_, next) in answers {
            for stop in &next.stop {
                if !found.contains(&stop) {
                    found.push(stop);
                }
            }
            next.stops(found);
        }
    }
}

fn branch(page: &mut Page, indent: usize, node: &Node) {
    let Some(question) = &node.question else {
        page.entry(indent, ">", Ink::Usual, &node.in_words());
        return;
    };
    page.entry(indent, "?", Ink::Strong, &question.text);
    for (answer, next) in &question.answers {
        let follows = next.question.is_some();
        let text = if follows {
            format!("{answer}:")
        } else {
            format!("{answer}: {}", next.in_words())
        };
        page.entry(indent + 2, "-", Ink::Usual, &text);
        if !next.stop.is_empty() {
            let ids: Vec<&str> = next.stop.iter().map(|stop| stop.id.as_str()).collect();
            page.entry(
                indent + 4,
                "!",
                Ink::Stop,
                &format!("Stop: {}", ids.join(", ")),
            );
        }
        if follows {
            branch(page, indent + 4, next);
        }
    }
}
