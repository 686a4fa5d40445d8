//! A simulated grower goes through `ask` for every published case: how many checks are put, and what comes out.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::fs;
use std::path::Path;

use blockside::cli::ask::answers::{Answers, Taken, Which};
use blockside::cli::ask::walk::{End, MOST_CHECKS, Reply, Step, Walk};
use blockside::engine::diagnosis::{Ask, Diagnosis, NextCheck};
use blockside::engine::id::{CauseId, SetupId, SignId};
use blockside::engine::knowledge::{Asking, KnowledgeBase};
use blockside::engine::observations::{Answer, Observations};
use blockside::engine::quantity::System;
use blockside::engine::reasoner::Reasoner;
use blockside::journal::case::{self, CaseFile};
use blockside::knowledge::embedded;
use blockside::train::chance::Chance;
use blockside::train::grower;

/// Somebody who answers truthfully.
struct Grower {
    species: Option<blockside::engine::id::SpeciesId>,
    stage: Option<blockside::engine::id::StageId>,
    setup: Vec<SetupId>,
    /// What made the person ask, among the signs that are offered for it.
    complaints: Vec<SignId>,
    /// All that the person can say; what is not in here cannot be checked now.
    knows: Observations,
}

impl Grower {
    fn new(base: &KnowledgeBase, recorded: &Observations, knows: Observations) -> Self {
        let offered = |id: &SignId| base.signs[id].opening.is_some();
        let said = |answer: Answer| answer == Answer::Yes;
        Self {
            species: recorded.species.clone(),
            stage: recorded.stage.clone(),
            setup: recorded
                .setup
                .iter()
                .filter(|(id, holds)| **holds && base.setup[*id].opening)
                .map(|(id, _)| id.clone())
                .collect(),
            complaints: recorded
                .signs
                .iter()
                .filter(|(id, answer)| said(**answer) && offered(id))
                .map(|(id, _)| id.clone())
                .collect(),
            knows,
        }
    }

    fn reply(&self, base: &KnowledgeBase, step: &Step) -> Reply {
        match step {
            Step::Species => Reply::Species(self.species.clone()),
            Step::Stage => Reply::Stage(self.stage.clone()),
            Step::Setup(_) => Reply::Setup(self.setup.clone()),
            Step::Complaints(_) => Reply::Complaints(self.complaints.clone()),
            Step::Check(check) => self.check(base, &check.ask),
            Step::Finished(_) => Reply::Enough,
        }
    }

    fn check(&self, base: &KnowledgeBase, ask: &Ask) -> Reply {
        match ask {
            Ask::Sign(id) => match self.knows.signs.get(id) {
                Some(answer) => Reply::Sign(*answer),
                None => Reply::CannotNow,
            },
            Ask::Question(id, _) => {
                let signs = &base.questions[id].signs;
                let said = |wanted: &[Answer]| -> Vec<SignId> {
                    let signs = signs.iter().filter(|sign| {
                        let answer = self.knows.signs.get(*sign);
                        answer.is_some_and(|answer| wanted.contains(answer))
                    });
                    signs.cloned().collect()
                };
                let holds = said(&[Answer::Yes, Answer::Probably]);
                if !holds.is_empty() {
                    Reply::Which(Which::These(holds))
                } else if !said(&[Answer::Unsure]).is_empty() {
                    Reply::Which(Which::Unsure)
                } else if said(&[Answer::No]).len() == signs.len() {
                    Reply::Which(Which::None)
                } else {
                    Reply::CannotNow
                }
            }
            Ask::Reading(id) => match self.knows.readings.get(id) {
                Some(measured) => Reply::Reading(Taken {
                    typed: measured.value.to_string(),
                    measured: *measured,
                }),
                None => Reply::CannotNow,
            },
        }
    }
}

/// Which of the checks worth making is put next.
#[derive(Clone, Copy, PartialEq)]
enum Order {
    /// The one the program would put.
    Ours,
    /// The first in the files.
    OfFiles,
}

/// How an interview went.
struct Interview {
    /// The verdict after the opening choices and after each check: the leading cause.
    leaders: Vec<Option<CauseId>>,
    /// Its confidence.
    sure: Vec<f64>,
    /// What was put, in words for the log.
    put: Vec<String>,
    end: End,
}

impl Interview {
    fn asked(&self) -> usize {
        self.put.len()
    }

    fn right(&self, right: &dyn Fn(Option<&CauseId>) -> bool) -> bool {
        right(self.leaders.last().and_then(Option::as_ref))
    }

    /// From which check on the verdict stayed right; 0 for the opening choices.
    fn right_from(&self, right: &dyn Fn(Option<&CauseId>) -> bool) -> Option<usize> {
        let wrong = self
            .leaders
            .iter()
            .rposition(|leader| !right(leader.as_ref()));
        match wrong {
            None => Some(0),
            Some(place) if place + 1 < self.leaders.len() => Some(place + 1),
            Some(_) => None,
        }
    }
}

fn name_of(ask: &Ask) -> String {
    match ask {
        Ask::Sign(id) => id.to_string(),
        Ask::Question(id, _) => format!("{id}?"),
        Ask::Reading(id) => format!("{id}="),
    }
}

/// Place of a check in the files: of its sign, its question's first sign, or, after all signs, its reading.
fn place(base: &KnowledgeBase, ask: &Ask) -> usize {
    match ask {
        Ask::Sign(id) => base.signs.get_index_of(id).expect("known"),
        Ask::Question(id, _) => {
            let own = |asking: &Asking| matches!(asking, Asking::Option { question, .. } if question == id);
            let mut signs = base.signs.values();
            signs.position(|sign| own(&sign.asking)).expect("known")
        }
        Ask::Reading(id) => base.signs.len() + base.readings.get_index_of(id).expect("known"),
    }
}

/// The leading cause, if one is concluded or at least leads.
fn leader(diagnosis: &Diagnosis) -> Option<&CauseId> {
    diagnosis.causes.first().map(|cause| &cause.id)
}

fn interview(reasoner: &Reasoner<'_>, grower: &Grower, order: Order) -> Interview {
    let base = reasoner.base();
    let mut walk = Walk::new(base, Answers::default());
    let mut done = Interview {
        leaders: Vec::new(),
        sure: Vec::new(),
        put: Vec::new(),
        end: End::Enough,
    };
    loop {
        let told = walk.observations();
        let mut diagnosis = reasoner.diagnose(&told);
        let opened = walk.answers().complaints.is_some();
        if order == Order::OfFiles && opened {
            let mut open = reasoner.next_checks(&told);
            open.sort_by_key(|check| place(base, &check.ask));
            diagnosis.next_checks = open;
        }
        if opened {
            done.leaders.push(leader(&diagnosis).cloned());
            let sure = diagnosis.causes.first().map(|cause| cause.confidence);
            done.sure.push(sure.unwrap_or(0.0));
        }
        let step = match order {
            Order::Ours => walk.next_step(&diagnosis, reasoner),
            Order::OfFiles => walk.step(&diagnosis),
        };
        match &step {
            Step::Finished(end) => {
                done.end = *end;
                return done;
            }
            Step::Check(check) => done.put.push(in_short(check, &grower.check(base, &check.ask))),
            _ => {}
        }
        walk.reply(&step, grower.reply(base, &step));
    }
}

fn in_short(check: &NextCheck, reply: &Reply) -> String {
    let mut text = name_of(&check.ask);
    match reply {
        Reply::Sign(answer) => write!(text, ":{}", answer.word()),
        Reply::Which(Which::These(signs)) => write!(
            text,
            "{}",
            signs.iter().map(|sign| sign.to_string()).collect::<Vec<_>>().join("+")
        ),
        Reply::Which(Which::None) => write!(text, "none"),
        Reply::Which(Which::Unsure) => write!(text, "unsure"),
        Reply::Reading(taken) => write!(text, "{:.1}", taken.measured.value),
        _ => write!(text, " later"),
    }
    .expect("a string takes it");
    if check.hazard {
        text.push('!');
    }
    if check.about_roots_of.is_some() {
        text.push('^');
    }
    write!(text, " {:.2}b/{}", check.gain_bits, check.effort).expect("a string takes it");
    text
}

/// The published cases by name.
fn published(base: &KnowledgeBase) -> BTreeMap<String, CaseFile> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/cases/published");
    let files = fs::read_dir(&folder).expect("the cases are there");
    files
        .map(|entry| {
            let path = entry.expect("readable").path();
            let name = path.file_stem().expect("a name").to_string_lossy().into_owned();
            let text = fs::read_to_string(&path).expect("text");
            let case = case::parse(base, &name, &text)
                .unwrap_or_else(|problems| panic!("{name}: {problems:#?}"));
            (name, case)
        })
        .collect()
}

/// A seed of its own for each case, so that another case changes nothing in this one: FNV-1a of the name.
fn seed(name: &str) -> u64 {
    name.bytes().fold(0xcbf2_9ce4_8422_2325, |hash, byte| {
        (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3)
    })
}

/// What is the case: the first cause that may lead, what must be reported beside it, and the root, where one is named.
fn truth(case: &CaseFile) -> Vec<CauseId> {
    let expect = case.expect.as_ref().expect("a known case");
    let mut present: Vec<CauseId> = expect.leads.first().cloned().into_iter().collect();
    present.extend(expect.among.iter().cloned());
    present.extend(expect.root.iter().cloned());
    present
}

struct Summary {
    asked: Vec<usize>,
    right: usize,
    opening_right: usize,
    of: usize,
}

impl Summary {
    fn text(&self) -> String {
        let mut asked = self.asked.clone();
        asked.sort_unstable();
        let at = |share: f64| asked[((asked.len() - 1) as f64 * share).round() as usize];
        let sum: usize = asked.iter().sum();
        format!(
            "checks {}/{}/{} (quartiles), greatest {}, mean {:.2}; right {} of {}, after the opening choices {}",
            at(0.25), at(0.5), at(0.75), at(1.0), sum as f64 / asked.len() as f64, self.right, self.of, self.opening_right
        )
    }
}

fn run(reasoner: &Reasoner<'_>, cases: &[(String, Vec<CauseId>, Grower)], order: Order, verbose: bool) -> Summary {
    let mut summary = Summary { asked: Vec::new(), right: 0, opening_right: 0, of: cases.len() };
    for (name, leads, grower) in cases {
        let went = interview(reasoner, grower, order);
        let right = |leader: Option<&CauseId>| match leader {
            None => leads.is_empty(),
            Some(leader) => leads.contains(leader),
        };
        summary.asked.push(went.asked());
        summary.right += usize::from(went.right(&right));
        summary.opening_right += usize::from(right(went.leaders[0].as_ref()));
        if verbose {
            println!("{name} {:?} {} asked={} right={} from={:?} end={:?}", leads.iter().map(|l| l.to_string()).collect::<Vec<_>>(), grower.complaints.iter().map(|c| c.to_string()).collect::<Vec<_>>().join("+"), went.asked(), went.right(&right), went.right_from(&right), went.end);
            for (n, leader) in went.leaders.iter().enumerate() {
                println!("    {} {:.3} -> {}", leader.as_ref().map_or("-".into(), |l| l.to_string()), went.sure[n], went.put.get(n).map_or("", |p| p.as_str()));
            }
        }
    }
    summary
}

/// Drawn occasions: causes by how common they are, a world of them, complaints as seen.
fn drawn(reasoner: &Reasoner<'_>, many: usize, seed: u64) -> Vec<(String, Vec<CauseId>, Grower)> {
    let base = reasoner.base();
    let mut chance = Chance::new(seed);
    let species: Vec<_> = base.species.iter().filter(|(_, species)| !species.default).map(|(id, _)| id).collect();
    let mut cases = Vec::new();
    while cases.len() < many {
        let recorded = Observations {
            species: Some(species[chance.place(species.len())].clone()),
            stage: base.default_stage().cloned(),
            ..Observations::default()
        };
        let present = grower::causes(reasoner, &recorded, &mut chance);
        let world = grower::world(reasoner, &recorded, &present, &mut chance);
        let grower = Grower::new(base, &world, world.clone());
        if grower.complaints.is_empty() || present.is_empty() {
            continue;
        }
        cases.push((format!("drawn-{}", cases.len()), present, grower));
    }
    cases
}

#[test]
fn probe() {
    let mut base = embedded::base();
    for pair in std::env::var("NUMS").unwrap_or_default().split(',').filter(|p| !p.is_empty()) {
        let (id, value) = pair.split_once('=').expect("id=value");
        *base.scale.numbers.slot(id).expect("known") = value.parse().expect("number");
    }
    let reasoner = Reasoner::new(&base, System::Metric);
    let verbose = std::env::var("VERBOSE").unwrap_or_default();
    let (mut lookers, mut readers) = (Vec::new(), Vec::new());
    for (name, case) in published(&base) {
        let leads = case.expect.as_ref().expect("known").leads.clone();
        let recorded = &case.observations;
        let world = grower::world(&reasoner, recorded, &truth(&case), &mut Chance::new(seed(&name)));
        lookers.push((name.clone(), leads.clone(), Grower::new(&base, recorded, world)));
        readers.push((name, leads, Grower::new(&base, recorded, recorded.clone())));
    }
    let simulated = drawn(&reasoner, 300, 1);
    let start = std::time::Instant::now();
    println!("(a) {}", run(&reasoner, &lookers, Order::Ours, verbose.contains('a')).text());
    println!("{:?}", start.elapsed());
    println!("(b) {}", run(&reasoner, &readers, Order::Ours, verbose.contains('b')).text());
    println!("(s) {}", run(&reasoner, &simulated, Order::Ours, verbose.contains('s')).text());
    if verbose.contains('f') {
        println!("(a files) {}", run(&reasoner, &lookers, Order::OfFiles, false).text());
        println!("(b files) {}", run(&reasoner, &readers, Order::OfFiles, false).text());
        println!("(s files) {}", run(&reasoner, &simulated, Order::OfFiles, false).text());
    }
    let _ = MOST_CHECKS;
}
