//! A simulated grower goes through `ask` for every published case: how many checks are put, and what comes out.
//!
//! Two growers answer truthfully. The one who looks finds what the case records, and where it records nothing what the
//! model draws for the cause of the case, the same whenever it is asked. The one who only knows the report cannot check
//! anything else now. Both are compared with the same checks put in the order of the knowledge files.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::fs;
use std::path::Path;

use blockside::cli::ask::answers::{Answers, Taken, Which};
use blockside::cli::ask::topics::{is_beyond, topic};
use blockside::cli::ask::walk::{MOST_CHECKS, Reply, Step, Walk};
use blockside::engine::diagnosis::{Ask, Diagnosis};
use blockside::engine::id::{CauseId, SignId};
use blockside::engine::knowledge::{Asking, Complaint, KnowledgeBase};
use blockside::engine::observations::{Answer, Observations};
use blockside::engine::quantity::System;
use blockside::engine::reasoner::Reasoner;
use blockside::journal::case::{self, CaseFile};
use blockside::knowledge::embedded;
use blockside::train::chance::Chance;
use blockside::train::grower;

/// Somebody who answers truthfully.
struct Grower {
    /// Which case it is.
    name: String,
    /// The causes of which one must lead in the end; none where nothing may.
    right: Vec<CauseId>,
    /// What is chosen at the opening, as far as it is offered there.
    opening: Observations,
    /// All that the person can say; what is not in here cannot be checked now.
    knows: Observations,
}

impl Grower {
    fn reply(&self, base: &KnowledgeBase, step: &Step) -> Reply {
        let told = &self.opening;
        match step {
            Step::Species => Reply::Species(told.species.clone()),
            Step::Stage => Reply::Stage(told.stage.clone()),
            Step::Setup(offered) => {
                let holds = |id| told.setup.get(id) == Some(&true);
                Reply::Setup(offered.iter().filter(|id| holds(*id)).cloned().collect())
            }
            Step::Complaints(offered) => {
                let marked = offered.iter().filter(|one| comes_with(base, told, one));
                Reply::Complaints(marked.cloned().collect())
            }
            // It weighs no cause, and whoever is asked may rather not say.
            Step::People(_) => Reply::CannotNow,
            Step::Check(check) => self.check(base, &check.ask),
            Step::Finished(_) => unreachable!("nothing is asked any more"),
        }
    }

    fn check(&self, base: &KnowledgeBase, ask: &Ask) -> Reply {
        match ask {
            Ask::Sign(id) => match self.knows.signs.get(id) {
                Some(answer) => Reply::Sign(*answer),
                None => Reply::CannotNow,
            },
            Ask::Question(id, _) => self.which(&base.questions[id].signs),
            Ask::Reading(id) => match self.knows.readings.get(id) {
                Some(measured) => Reply::Reading(Taken {
                    typed: measured.value.to_string(),
                    measured: *measured,
                }),
                None => Reply::CannotNow,
            },
        }
    }

    /// The answer to a shared question, from what is known of its signs.
    fn which(&self, signs: &[SignId]) -> Reply {
        let said = |wanted: &[Answer]| -> Vec<SignId> {
            let answer = |sign: &SignId| self.knows.signs.get(sign);
            let signs = signs.iter();
            signs
                .filter(|sign| answer(sign).is_some_and(|answer| wanted.contains(answer)))
                .cloned()
                .collect()
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

    fn is_right(&self, leader: Option<&CauseId>) -> bool {
        match leader {
            Some(leader) => self.right.contains(leader),
            None => self.right.is_empty(),
        }
    }
}

/// Whether somebody who can tell this much comes with a complaint: with a sign that is there, with something that its
/// questions find, or with a reading beyond the limits of species and stage.
fn comes_with(base: &KnowledgeBase, told: &Observations, complaint: &Complaint) -> bool {
    let seen = |id: &SignId| told.signs.get(id) == Some(&Answer::Yes);
    if let Complaint::Sign(id) = complaint {
        return seen(id);
    }
    topic(base, complaint).iter().any(|ask| match ask {
        Ask::Sign(id) => seen(id),
        Ask::Question(_, signs) => signs.iter().any(seen),
        Ask::Reading(id) => {
            let measured = told.readings.get(id);
            measured.is_some_and(|measured| is_beyond(base, told, id, measured.value))
        }
    })
}

/// Which of the checks worth making is put next.
#[derive(Clone, Copy, PartialEq)]
enum Order {
    /// The one the program puts.
    Ours,
    /// The first in the knowledge files.
    OfFiles,
}

/// How an interview went.
struct Interview {
    /// The leading cause after the opening choices and after each check.
    leaders: Vec<Option<CauseId>>,
    /// Its confidence in the end.
    sure: f64,
}

impl Interview {
    fn checks(&self) -> usize {
        self.leaders.len() - 1
    }

    /// After how many checks the verdict was right and stayed so.
    fn right_from(&self, grower: &Grower) -> Option<usize> {
        let wrong = |leader: &Option<CauseId>| !grower.is_right(leader.as_ref());
        match self.leaders.iter().rposition(wrong) {
            None => Some(0),
            Some(place) => (place < self.checks()).then_some(place + 1),
        }
    }
}

/// Place of a check in the files: of its sign, of its question's first sign, or, after all signs, of its reading.
fn place(base: &KnowledgeBase, ask: &Ask) -> usize {
    let found = match ask {
        Ask::Sign(id) => base.signs.get_index_of(id),
        Ask::Question(id, _) => base.signs.values().position(
            |sign| matches!(&sign.asking, Asking::Option { question, .. } if question == id),
        ),
        Ask::Reading(id) => base
            .readings
            .get_index_of(id)
            .map(|at| at + base.signs.len()),
    };
    found.expect("asked from this knowledge")
}

/// Goes through `ask` until it ends by its own rule.
fn interview(reasoner: &Reasoner<'_>, grower: &Grower, order: Order) -> Interview {
    let base = reasoner.base();
    let mut walk = Walk::new(base, Answers::default());
    let mut diagnosis: Diagnosis = reasoner.diagnose(&walk.observations());
    let mut went = Interview {
        leaders: Vec::new(),
        sure: 0.0,
    };
    loop {
        let told = walk.observations();
        let opened = walk.answers().complaints.is_some();
        if opened {
            let leader = reasoner.stated(&told).into_iter().next();
            went.sure = leader.as_ref().map_or(0.0, |(_, sure)| *sure);
            went.leaders.push(leader.map(|(id, _)| id));
            diagnosis.next_checks = reasoner.next_checks(&told);
            if order == Order::OfFiles {
                let by_place =
                    |check: &blockside::engine::diagnosis::NextCheck| place(base, &check.ask);
                diagnosis.next_checks.sort_by_key(by_place);
            }
        }
        let step = walk.step(&diagnosis);
        if matches!(step, Step::Finished(_)) {
            return went;
        }
        walk.reply(&step, grower.reply(base, &step));
    }
}

/// The published cases by name.
fn published(base: &KnowledgeBase) -> BTreeMap<String, CaseFile> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/cases/published");
    let files = fs::read_dir(&folder).expect("the cases are there");
    let case = |path: &Path| {
        let name = path
            .file_stem()
            .expect("a name")
            .to_string_lossy()
            .into_owned();
        let text = fs::read_to_string(path).expect("text");
        let case = case::parse(base, &name, &text);
        let case = case.unwrap_or_else(|problems| panic!("{name}: {problems:#?}"));
        (name, case)
    };
    files
        .map(|entry| case(&entry.expect("readable").path()))
        .collect()
}

/// A seed of its own for each case, so that one more case changes nothing in the others: FNV-1a of the name.
fn seed(name: &str) -> u64 {
    name.bytes().fold(0xcbf2_9ce4_8422_2325, |hash, byte| {
        (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3)
    })
}

/// The two growers of every published case: who looks, and who only knows the report.
fn growers(reasoner: &Reasoner<'_>) -> (Vec<Grower>, Vec<Grower>) {
    let cases = published(reasoner.base()).into_iter().map(|(name, case)| {
        let recorded = case.observations;
        let expect = case.expect.expect("a known case");
        // Where several causes may lead, the first is taken to be there.
        let there: Vec<CauseId> = expect
            .leads
            .iter()
            .take(1)
            .chain(&expect.root)
            .cloned()
            .collect();
        let world = grower::world(reasoner, &recorded, &there, &mut Chance::new(seed(&name)));
        let who_knows = |knows: Observations| Grower {
            name: name.clone(),
            right: expect.leads.clone(),
            opening: recorded.clone(),
            knows,
        };
        (who_knows(world.told), who_knows(recorded.clone()))
    });
    cases.unzip()
}

/// Growers with whatever is common, who mark at the opening what they see; those with no complaint do not ask.
fn drawn(reasoner: &Reasoner<'_>, many: usize) -> Vec<Grower> {
    let base = reasoner.base();
    let mut chance = Chance::new(1);
    let named = base.species.iter().filter(|(_, species)| !species.default);
    let species: Vec<_> = named.map(|(id, _)| id).collect();
    let mut growers = Vec::new();
    while growers.len() < many {
        let opening = Observations {
            species: Some(species[chance.place(species.len())].clone()),
            stage: base.default_stage().cloned(),
            ..Observations::default()
        };
        let there = grower::causes(reasoner, &opening, &mut chance);
        let world = grower::world(reasoner, &opening, &there, &mut chance).told;
        let complains = |(id, answer): (&SignId, &Answer)| {
            *answer == Answer::Yes && base.signs[id].opening.is_some()
        };
        if !there.is_empty() && world.signs.iter().any(complains) {
            growers.push(Grower {
                name: growers.len().to_string(),
                right: there,
                opening: world.clone(),
                knows: world,
            });
        }
    }
    growers
}

/// What came of many interviews.
struct Tally {
    /// Checks put, in rising order.
    checks: Vec<usize>,
    right: usize,
    right_at_opening: usize,
    rows: String,
}

impl Tally {
    fn of(reasoner: &Reasoner<'_>, growers: &[Grower], order: Order) -> Self {
        let mut tally = Self {
            checks: Vec::new(),
            right: 0,
            right_at_opening: 0,
            rows: String::new(),
        };
        for grower in growers {
            let went = interview(reasoner, grower, order);
            let leader = went.leaders.last().and_then(Option::as_ref);
            let from = went.right_from(grower);
            tally.checks.push(went.checks());
            tally.right += usize::from(from.is_some());
            tally.right_at_opening += usize::from(grower.is_right(went.leaders[0].as_ref()));
            let verdict = leader.map_or("nothing".to_owned(), |leader| {
                format!("{leader} {:.2}", went.sure)
            });
            let right = from.map_or("wrong".to_owned(), |from| format!("right from {from} on"));
            let (name, checks) = (&grower.name, went.checks());
            writeln!(tally.rows, "{name:<42} {checks}  {verdict:<34} {right}").expect("text");
        }
        tally.checks.sort_unstable();
        tally
    }

    /// The number of checks that this share of the interviews did not exceed.
    fn quantile(&self, share: f64) -> usize {
        self.checks[((self.checks.len() - 1) as f64 * share).round() as usize]
    }

    fn summary(&self) -> String {
        let [lower, median, upper, most] = [0.25, 0.5, 0.75, 1.0].map(|share| self.quantile(share));
        let (all, right, opening) = (self.checks.len(), self.right, self.right_at_opening);
        format!(
            "checks: median {median}, quartiles {lower} and {upper}, most {most}; verdict right in {right} of {all}, \
             after the opening choices alone in {opening}"
        )
    }
}

/// The table of the interviews, and the aim: a median of five checks and at most nine.
#[test]
fn published_cases_are_settled_in_a_median_of_five_checks() {
    let base = embedded::base();
    let reasoner = Reasoner::new(&base, System::Metric);
    let (looks, _) = growers(&reasoner);
    let ours = Tally::of(&reasoner, &looks, Order::Ours);
    insta::assert_snapshot!(
        "grower_who_looks",
        format!("{}\n\n{}", ours.summary(), ours.rows)
    );
    assert!(ours.quantile(0.5) <= 5, "{}", ours.summary());
    assert!(ours.quantile(1.0) <= MOST_CHECKS, "{}", ours.summary());
    // Seven in eight; the report alone, told at once, comes out right in nine of ten.
    assert!(ours.right * 8 >= looks.len() * 7, "{}", ours.summary());
}

#[test]
fn the_order_of_the_files_takes_more_checks_and_comes_out_right_less_often() {
    let base = embedded::base();
    let reasoner = Reasoner::new(&base, System::Metric);
    let (looks, reads) = growers(&reasoner);
    let mut summaries = String::new();
    for (who, growers) in [("who looks", looks), ("who knows the report", reads)] {
        let ours = Tally::of(&reasoner, &growers, Order::Ours);
        let files = Tally::of(&reasoner, &growers, Order::OfFiles);
        assert!(ours.right > files.right, "{who}");
        assert!(ours.quantile(0.5) <= files.quantile(0.5), "{who}");
        // Whoever can look at nothing else is still told right in three of four.
        assert!(ours.right * 4 >= growers.len() * 3, "{who}");
        writeln!(summaries, "{who}, our order\n  {}", ours.summary()).expect("text");
        writeln!(
            summaries,
            "{who}, order of the files\n  {}",
            files.summary()
        )
        .expect("text");
    }
    insta::assert_snapshot!("grower_orders", summaries);
}

/// Whatever is common may be wrong, several things at once; 300 of these take half a minute in a release build.
#[test]
fn drawn_growers_are_told_right_more_often_than_in_the_order_of_the_files() {
    let base = embedded::base();
    let reasoner = Reasoner::new(&base, System::Metric);
    let growers = drawn(&reasoner, 30);
    let ours = Tally::of(&reasoner, &growers, Order::Ours);
    let files = Tally::of(&reasoner, &growers, Order::OfFiles);
    assert!(ours.quantile(1.0) <= MOST_CHECKS);
    assert!(
        ours.right > files.right,
        "{}; {}",
        ours.summary(),
        files.summary()
    );
    assert!(ours.right * 3 >= growers.len() * 2, "{}", ours.summary());
}

#[test]
fn a_world_keeps_what_is_recorded_and_contradicts_no_question() {
    let base = embedded::base();
    let reasoner = Reasoner::new(&base, System::Metric);
    let mut shown = 0;
    for (name, case) in published(&base) {
        let recorded = &case.observations;
        let leads = &case.expect.as_ref().expect("a known case").leads;
        let draw = || {
            let there = &leads[..leads.len().min(1)];
            grower::world(&reasoner, recorded, there, &mut Chance::new(seed(&name)))
        };
        let world = draw();
        assert_eq!(world, draw(), "{name}: drawn once");
        assert!(
            leads
                .iter()
                .take(1)
                .all(|cause| world.there.contains(cause)),
            "{name}"
        );
        for (id, answer) in &recorded.signs {
            assert_eq!(world.told.signs[id], *answer, "{name}: {id}");
        }
        for (id, measured) in &recorded.readings {
            assert_eq!(world.told.readings[id], *measured, "{name}: {id}");
        }
        for question in base.questions.values().filter(|question| question.one_of) {
            let newly = |sign: &&SignId| {
                world.told.signs[*sign] == Answer::Yes && !recorded.signs.contains_key(*sign)
            };
            let recorded_yes = question
                .signs
                .iter()
                .any(|sign| recorded.signs.get(sign) == Some(&Answer::Yes));
            let drawn = question.signs.iter().filter(newly).count();
            assert!(
                drawn + usize::from(recorded_yes) <= 1,
                "{name}: {}",
                question.ask
            );
        }
        shown += world
            .told
            .signs
            .values()
            .filter(|answer| **answer == Answer::Yes)
            .count();
    }
    assert!(shown > 139, "the causes show something: {shown}");
}
