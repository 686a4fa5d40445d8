//! The walk itself: which step comes next, what a reply does, how to go back. Pure; asks nobody.

use crate::cli::ask::answers::{Answers, Taken, Told, Which};
use crate::cli::ask::topics;
use crate::cli::growth::Size;
use crate::engine::at_odds::check_of;
use crate::engine::chamber::facts::ProfileFacts;
use crate::engine::chamber::profile::Chamber;
use crate::engine::diagnosis::{Ask, Diagnosis, NextCheck};
use crate::engine::id::{PersonId, SetupId, SpeciesId, StageId};
use crate::engine::knowledge::{Complaint, KnowledgeBase, Severity};
use crate::engine::observations::{Answer, Observations};
use crate::engine::reasoner::Reasoner;

/// The most checks that are put.
///
/// judgement: nobody answers more with a chamber door open; with what was told at the opening it makes ten questions.
pub const MOST_CHECKS: usize = 9;

/// What comes next.
#[derive(Debug, Clone, PartialEq)]
pub enum Step {
    /// Which species it is.
    Species,
    /// At what stage it is.
    Stage,
    /// Which of these setup items hold.
    Setup(Vec<SetupId>),
    /// Which of these made the person ask.
    Complaints(Vec<Complaint>),
    /// Which of these hold of somebody who goes in.
    People(Vec<PersonId>),
    /// A check.
    Check(NextCheck),
    /// Nothing: the walk is over.
    Finished(End),
}

/// Why a walk is over.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum End {
    /// The person had enough.
    Enough,
    /// Nothing is left that is worth asking.
    NothingOpen,
    /// What is left cannot be checked now.
    NothingDoable,
    /// [`MOST_CHECKS`] were put.
    Long,
}

/// What a person replies to a step.
#[derive(Debug, Clone, PartialEq)]
pub enum Reply {
    /// This species; `None` for not known.
    Species(Option<SpeciesId>),
    /// This stage; `None` for not known.
    Stage(Option<StageId>),
    /// These setup items hold.
    Setup(Vec<SetupId>),
    /// These made the person ask.
    Complaints(Vec<Complaint>),
    /// These hold of somebody who goes in, and no others; `None` for rather not said.
    People(Option<Vec<PersonId>>),
    /// The answer about one sign.
    Sign(Answer),
    /// Which signs of a shared question hold.
    Which(Which),
    /// What was measured.
    Reading(Taken),
    /// How large the spot is today, where growth is asked for; it is kept for the next look.
    Size(Size),
    /// It cannot be checked now.
    CannotNow,
    /// Why is that asked? The step is put again.
    Why,
    /// How do things look so far? The step is put again.
    SoFar,
    /// Back to the step before.
    Back,
    /// No more questions.
    Enough,
}

/// What a reply led to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Moved {
    /// One step on.
    On,
    /// One step back.
    Back,
    /// Nowhere: there is no step before this one, or the reply does not belong to the step.
    Nowhere,
}

/// A walk with its way back.
#[derive(Debug, Clone)]
pub struct Walk<'k> {
    base: &'k KnowledgeBase,
    /// The chamber, and what its profile tells.
    profile: Option<Profile>,
    /// What was known before the first step, from words or from the rounds.
    known: Observations,
    answers: Answers,
    past: Vec<Past>,
    undone: Option<(Step, Reply)>,
    enough: bool,
}

/// A step that was gone, and the answers before it.
#[derive(Debug, Clone)]
struct Past {
    before: Answers,
    step: Step,
    reply: Reply,
}

/// A chamber with what its profile tells.
type Profile = (Chamber, ProfileFacts);

impl<'k> Walk<'k> {
    /// The same walk in a chamber with a profile: what that tells is not asked.
    #[must_use]
    pub fn in_chamber(mut self, chamber: Chamber, facts: ProfileFacts) -> Self {
        // Species and stage are steps of their own, and a step that has its answer is passed over.
        let known = &self.known;
        if self.answers.species.is_none() && known.species.is_none() && chamber.species.is_some() {
            self.answers.species = Some(chamber.species.clone());
        }
        if self.answers.stage.is_none() && known.stage.is_none() && chamber.stage.is_some() {
            self.answers.stage = Some(chamber.stage.clone());
        }
        self.profile = Some((chamber, facts));
        self
    }

    /// The same walk where this much is known already: it is not asked, and an answer about the same thing stands before
    /// it.
    #[must_use]
    pub fn knowing(mut self, known: Observations) -> Self {
        self.known = known;
        self
    }

    /// Whether something that looks wrong is known already.
    fn knows_a_complaint(&self) -> bool {
        let mut signs = self.known.signs.values();
        signs.any(|answer| matches!(answer, Answer::Yes | Answer::Probably))
    }

    /// A walk that begins with these answers.
    pub fn new(base: &'k KnowledgeBase, answers: Answers) -> Self {
        Self {
            base,
            profile: None,
            known: Observations::default(),
            answers,
            past: Vec::new(),
            undone: None,
            enough: false,
        }
    }

    /// A walk that goes on from these answers: it goes through them in the order they were put in, so that there is a
    /// way back. An answer that is not asked for on that way stands all the same, and can be taken back by itself.
    pub fn gone_on_with(
        base: &'k KnowledgeBase,
        answers: Answers,
        reasoner: &Reasoner<'_>,
    ) -> Self {
        let start = Answers {
            spot: answers.spot,
            ..Answers::default()
        };
        let mut walk = Self::new(base, start);
        loop {
            let diagnosis = reasoner.diagnose(&walk.observations());
            let step = walk.next_step(&diagnosis, reasoner);
            let Some(reply) = answers.reply(&step) else {
                break;
            };
            if walk.reply(&step, reply) != Moved::On {
                break;
            }
        }
        walk.go_on(&answers);
        // The sizes are no step of their own.
        walk.answers.sizes = answers.sizes;
        walk
    }

    /// Takes in one by one what was answered and is not asked for on the way, so that each can be taken back.
    fn go_on(&mut self, answers: &Answers) {
        let base = self.base;
        let opening = [
            Step::Species,
            Step::Stage,
            Step::Setup(Vec::new()),
            Step::Complaints(Vec::new()),
            Step::People(Vec::new()),
        ];
        let questions = answers.questions.keys().map(|id| {
            let signs = base.questions.get(id).map(|one| one.signs.clone());
            Ask::Question(id.clone(), signs.unwrap_or_default())
        });
        let signs = answers.signs.keys().map(|id| Ask::Sign(id.clone()));
        let readings = answers.readings.keys().map(|id| Ask::Reading(id.clone()));
        let checks = questions
            .chain(signs)
            .chain(readings)
            .filter_map(|ask| check_of(base, ask))
            .map(Step::Check);
        for step in opening.into_iter().chain(checks) {
            if self.answers.reply(&step).is_some() {
                continue;
            }
            if let Some(reply) = answers.reply(&step) {
                self.reply(&step, reply);
            }
        }
    }

    fn profile_tells(&self, item: &SetupId) -> bool {
        let profile = self.profile.as_ref();
        profile.is_some_and(|(_, facts)| facts.setup.iter().any(|(id, _)| id == item))
    }

    /// The answers so far.
    pub fn answers(&self) -> &Answers {
        &self.answers
    }

    /// What they tell.
    pub fn observations(&self) -> Observations {
        let mut told = self.answers.observations(self.base);
        if let Some((_, facts)) = &self.profile {
            // An item that nobody marked in the opening list is a weaker word than the profile's.
            let marked = self.answers.setup.as_deref().unwrap_or_default();
            for (id, _) in facts.setup.iter().filter(|(id, _)| !marked.contains(id)) {
                told.setup.shift_remove(id);
            }
        }
        add_known(&mut told, &self.known, &self.answers);
        if let Some((chamber, facts)) = &self.profile {
            told.add_profile(chamber, facts);
        }
        told
    }

    /// What comes next. A diagnosis names the best checks alone; where none of them can be made, or those of a complaint
    /// are to be ranked, the others are looked through as well.
    pub fn next_step(&self, diagnosis: &Diagnosis, reasoner: &Reasoner<'_>) -> Step {
        let all = || {
            self.step(&Diagnosis {
                next_checks: reasoner.next_checks(&self.observations()),
                ..diagnosis.clone()
            })
        };
        match self.step(diagnosis) {
            Step::Finished(End::NothingDoable) => all(),
            Step::Check(_) if topics::next(self.base, &self.answers, &[]).is_some() => all(),
            step => step,
        }
    }

    /// What comes next, given the diagnosis of what was told so far, of the checks it names.
    pub fn step(&self, diagnosis: &Diagnosis) -> Step {
        let (base, answers) = (self.base, &self.answers);
        if self.enough {
            return Step::Finished(End::Enough);
        }
        if answers.spot {
            let triage = triage(base)
                .into_iter()
                .filter(|ask| !answers.was_put(ask))
                .find_map(|ask| check_of(base, ask));
            if let Some(check) = triage {
                return Step::Check(check);
            }
            // Who goes in matters more now than what grows there.
            if let Some(step) = self.people(diagnosis) {
                return step;
            }
        }
        if answers.species.is_none() && self.known.species.is_none() && !base.species.is_empty() {
            return Step::Species;
        }
        if answers.stage.is_none() && self.known.stage.is_none() && !base.stages.is_empty() {
            return Step::Stage;
        }
        let setup: Vec<SetupId> = base
            .setup
            .iter()
            .filter(|(_, item)| item.opening)
            .map(|(id, _)| id.clone())
            .filter(|id| !self.profile_tells(id) && !self.known.setup.contains_key(id))
            .collect();
        if answers.setup.is_none() && !setup.is_empty() {
            return Step::Setup(setup);
        }
        let complaints = base.complaints();
        // Whoever saw a spot has said what looks wrong.
        let seen = answers.spot || self.knows_a_complaint();
        if answers.complaints.is_none() && !complaints.is_empty() && !seen {
            return Step::Complaints(complaints);
        }
        if let Some(step) = self.people(diagnosis) {
            return step;
        }
        // What the person came for is looked at before anything else.
        if answers.checks() < MOST_CHECKS
            && let Some(check) = topics::next(base, answers, &diagnosis.next_checks)
        {
            return Step::Check(check);
        }
        // What settles a contradiction comes first: until then everything else is weighed on a false number.
        let settling = diagnosis
            .contradictions
            .iter()
            .filter_map(|one| one.settle_by.as_ref());
        let open = settling
            .chain(&diagnosis.next_checks)
            .find(|check| !answers.was_put(&check.ask));
        match open {
            None if diagnosis.next_checks.is_empty() => Step::Finished(End::NothingOpen),
            None => Step::Finished(End::NothingDoable),
            Some(_) if answers.checks() >= MOST_CHECKS => Step::Finished(End::Long),
            Some(check) => Step::Check(check.clone()),
        }
    }

    /// The question who goes in, where a caution depends on it and it was not put.
    fn people(&self, diagnosis: &Diagnosis) -> Option<Step> {
        if self.answers.people.is_some() || !depends_on_people(diagnosis) {
            return None;
        }
        let people: Vec<PersonId> = self.base.special_risks().cloned().collect();
        (!people.is_empty()).then_some(Step::People(people))
    }

    /// Takes a reply to a step.
    pub fn reply(&mut self, step: &Step, reply: Reply) -> Moved {
        let mut answers = self.answers.clone();
        let taken = reply.clone();
        match (step, reply) {
            (_, Reply::Back) => {
                return match self.past.pop() {
                    Some(past) => {
                        self.answers = past.before;
                        self.undone = Some((past.step, past.reply));
                        Moved::Back
                    }
                    None => Moved::Nowhere,
                };
            }
            (_, Reply::Enough) => {
                self.enough = true;
                return Moved::On;
            }
            (Step::Species, Reply::Species(species)) => answers.species = Some(species),
            (Step::Species, Reply::CannotNow) => answers.species = Some(None),
            (Step::Stage, Reply::Stage(stage)) => answers.stage = Some(stage),
            (Step::Stage, Reply::CannotNow) => answers.stage = Some(None),
            (Step::Setup(_), Reply::Setup(marked)) => answers.setup = Some(marked),
            (Step::Setup(_), Reply::CannotNow) => answers.setup = Some(Vec::new()),
            (Step::Complaints(_), Reply::Complaints(marked)) => answers.complaints = Some(marked),
            (Step::Complaints(_), Reply::CannotNow) => answers.complaints = Some(Vec::new()),
            (Step::People(_), Reply::People(said)) => answers.people = Some(said),
            (Step::People(_), Reply::CannotNow) => answers.people = Some(None),
            (Step::Check(check), reply) => {
                if !check_reply(&mut answers, &check.ask, reply) {
                    return Moved::Nowhere;
                }
            }
            _ => return Moved::Nowhere,
        }
        let before = std::mem::replace(&mut self.answers, answers);
        self.past.push(Past {
            before,
            step: step.clone(),
            reply: taken,
        });
        Moved::On
    }

    /// The step that was last gone back from, with the reply that was taken back.
    pub fn undone(&self) -> Option<&(Step, Reply)> {
        self.undone.as_ref()
    }
}

/// Adds what was known before the walk. Of a sign a first word stands, whatever was marked later among its like; only an
/// answer about that very sign stands before it.
fn add_known(told: &mut Observations, known: &Observations, answers: &Answers) {
    if answers.species.is_none() {
        told.species.clone_from(&known.species);
    }
    if answers.stage.is_none() {
        told.stage.clone_from(&known.stage);
    }
    for (id, answer) in &known.signs {
        if !answers.signs.contains_key(id) {
            told.signs.insert(id.clone(), *answer);
        }
    }
    for (id, holds) in &known.setup {
        told.setup.insert(id.clone(), *holds);
    }
    for (id, holds) in &known.people {
        told.people.entry(id.clone()).or_insert(*holds);
    }
    for (id, measured) in &known.readings {
        if !told.readings.contains_key(id) {
            told.readings.insert(id.clone(), *measured);
            if known.from_rounds.contains(id.as_str()) {
                told.from_rounds.insert(id.to_string());
            }
        }
    }
}

/// What is asked first about a spot, in that order.
pub fn triage(base: &KnowledgeBase) -> Vec<Ask> {
    let questions = base.questions.iter().filter_map(|(id, one)| {
        let ask = Ask::Question(id.clone(), one.signs.clone());
        Some((one.triage?, ask))
    });
    let readings = base
        .readings
        .iter()
        .filter_map(|(id, one)| Some((one.triage?, Ask::Reading(id.clone()))));
    let mut asks: Vec<(f64, Ask)> = questions.chain(readings).collect();
    asks.sort_by(|a, b| a.0.total_cmp(&b.0));
    asks.into_iter().map(|(_, ask)| ask).collect()
}

/// Whether a caution that is due is stricter for people at special risk, and nobody said who goes in.
fn depends_on_people(diagnosis: &Diagnosis) -> bool {
    diagnosis
        .cautions
        .iter()
        .any(|caution| caution.severity != Severity::Info && caution.special_risk.is_some())
}

/// Puts the reply to a check among the answers; false where it does not belong to the check.
fn check_reply(answers: &mut Answers, ask: &Ask, reply: Reply) -> bool {
    match (ask, reply) {
        (Ask::Sign(id), Reply::Sign(answer)) => {
            answers.signs.insert(id.clone(), Told::Answer(answer));
        }
        (Ask::Sign(id), Reply::CannotNow) => {
            answers.signs.insert(id.clone(), Told::CannotNow);
        }
        (Ask::Question(id, _), Reply::Which(which)) => {
            answers.questions.insert(id.clone(), Told::Answer(which));
        }
        (Ask::Question(id, _), Reply::CannotNow) => {
            answers.questions.insert(id.clone(), Told::CannotNow);
        }
        (Ask::Reading(id), Reply::Reading(taken)) => {
            answers.readings.insert(id.clone(), Told::Answer(taken));
        }
        (Ask::Reading(id), Reply::Size(size)) => {
            answers.sizes.push(size);
            answers.readings.insert(id.clone(), Told::CannotNow);
        }
        (Ask::Reading(id), Reply::CannotNow) => {
            answers.readings.insert(id.clone(), Told::CannotNow);
        }
        _ => return false,
    }
    true
}
