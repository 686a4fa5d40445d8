//! Keeping what a helper practised, and what is due again.

use jiff::ToSpan;
use jiff::ZonedDateTime;
use jiff::civil::Date;

use crate::cli::exit::Failure;
use crate::cli::home;
use crate::cli::practise::leave;
use crate::cli::practise::rounds::Course;
use crate::engine::id::CauseId;
use crate::engine::knowledge::KnowledgeBase;
use crate::journal::moment::Moment;
use crate::journal::practice::{
    KeptNamed, KeptPair, KeptRound, Record, Records, SetAside, file_name,
};
use crate::report::sanitise;
use crate::train::practice::case::PracticeCase;
use crate::train::practice::debrief::Debrief;
use crate::train::repetition::{Learned, quality};

/// Keeps what one helper practised; or nothing, for somebody without a name.
#[derive(Debug)]
pub struct Keeper {
    records: Option<(Records, String)>,
    /// What was kept so far.
    pub record: Option<Record>,
    set_aside: Option<SetAside>,
    /// Whether the case before was one of a pair that was due.
    repeated: bool,
    /// The seed of an exam.
    exam: Option<u64>,
}

impl Keeper {
    /// Reads what this helper practised before.
    ///
    /// # Errors
    /// Where the name is none, there is no place for it, or it cannot be read.
    pub fn new(helper: Option<&str>) -> Result<Self, Failure> {
        let mut keeper = Self {
            records: None,
            record: None,
            set_aside: None,
            repeated: false,
            exam: None,
        };
        let Some(helper) = helper else {
            return Ok(keeper);
        };
        if file_name(helper).is_none() {
            return Err(Failure::usage(format!(
                "`{}` cannot be the name of a helper; take one of 1 to 40 letters with a letter or digit in it",
                sanitise::short(helper)
            )));
        }
        let records = records()?;
        let (record, set_aside) = records.read(helper)?;
        keeper.record = Some(record);
        keeper.set_aside = set_aside;
        keeper.records = Some((records, helper.to_owned()));
        Ok(keeper)
    }

    /// The same for an exam.
    #[must_use]
    pub fn of_exam(mut self, seed: u64) -> Self {
        self.exam = Some(seed);
        self
    }

    /// What has to be said before the first case.
    pub fn note(&self) -> Option<String> {
        if let Some(SetAside { why, to }) = &self.set_aside {
            return Some(format!(
                "What was kept under this name could not be read ({}). It was set aside as {}; this begins anew.",
                sanitise::line(why),
                sanitise::line(&to.display().to_string())
            ));
        }
        let nobody = self.records.is_none() && self.exam.is_none();
        nobody.then(|| {
            "Nothing is kept of this; with --helper NAME it is, and what you mix up comes again.".to_owned()
        })
    }

    /// A pair that is due, the longest due first; none right after another.
    pub fn due_pair(&mut self, base: &KnowledgeBase) -> Option<(CauseId, CauseId)> {
        if std::mem::replace(&mut self.repeated, false) {
            return None;
        }
        let today = today();
        let record = self.record.as_ref()?;
        let mut due: Vec<&KeptPair> = record
            .pairs
            .iter()
            .filter(|pair| pair.due <= today)
            .collect();
        due.sort_by_key(|pair| pair.due);
        let known = |id: &str| base.causes.get_key_value(id).map(|(id, _)| id.clone());
        let found = due
            .into_iter()
            .find_map(|pair| Some((known(&pair.one)?, known(&pair.other)?)));
        self.repeated = found.is_some();
        found
    }

    /// Keeps a finished round.
    ///
    /// # Errors
    /// Where it cannot be written; then nothing is kept of it.
    pub fn keep(
        &mut self,
        base: &KnowledgeBase,
        case: &PracticeCase,
        told: &Debrief,
        course: &Course<'_>,
    ) -> Result<(), Failure> {
        let Some((records, helper)) = &self.records else {
            return Ok(());
        };
        let topic = course.topic.and_then(|wanted| {
            let found = base.topics.iter().find(|(_, topic)| *topic == wanted);
            found.map(|(id, _)| id.to_string())
        });
        let round = KeptRound {
            at: Moment::of(&ZonedDateTime::now()),
            seed: case.seed.to_string(),
            exam: self.exam.map(|seed| seed.to_string()),
            level: case.hardness.level.word().to_owned(),
            topic,
            knowledge: base.fingerprint.clone(),
            causes: case.causes.iter().map(ToString::to_string).collect(),
            points: told.points.total(),
            cause_share: told.points.causes,
            caution_share: told.points.cautions,
            action_share: told.points.action,
            missed: told.missed.iter().map(ToString::to_string).collect(),
            checks: u32::try_from(told.checks.len()).unwrap_or(u32::MAX),
            bits: told.bits().0,
            best_bits: told.bits().1,
            named: told
                .answer
                .causes
                .iter()
                .map(|named| KeptNamed {
                    cause: named.cause.to_string(),
                    confidence: named.confidence,
                    there: case.causes.contains(&named.cause),
                })
                .collect(),
        };
        let today = today();
        let record = records.change(helper, |record| {
            record.rounds.push(round);
            learn(&mut record.pairs, case, told, today);
        })?;
        self.record = Some(record);
        leave::one_more();
        Ok(())
    }
}

/// Everybody who has practised under a name.
///
/// # Errors
/// Where the folder or a file cannot be read.
pub fn all() -> Result<Vec<Record>, Failure> {
    let records = records()?;
    let mut found = Vec::new();
    for helper in records.helpers()? {
        found.push(records.read(&helper)?.0);
    }
    found.retain(|record| !record.rounds.is_empty());
    Ok(found)
}

fn records() -> Result<Records, Failure> {
    let data = home::folder().ok_or_else(|| {
        Failure::unable(
            "there is no place to keep what is practised: neither BLOCKSIDE_HOME nor a home folder is set",
        )
    })?;
    Ok(Records::within(&data))
}

fn today() -> Date {
    ZonedDateTime::now().date()
}

/// Notes what was mixed up, and what was told apart this time of that which is due.
fn learn(pairs: &mut Vec<KeptPair>, case: &PracticeCase, told: &Debrief, today: Date) {
    let sure_of = |id: &str| {
        let named = told.answer.causes.iter();
        named
            .filter(|named| named.cause.as_str() == id)
            .map(|named| named.confidence)
            .fold(0.0, f64::max)
    };
    for (there, named) in &told.mixed_up {
        let (one, other) = if there.as_str() < named.as_str() {
            (there, named)
        } else {
            (named, there)
        };
        let known = pairs
            .iter()
            .position(|pair| pair.one == one.as_str() && pair.other == other.as_str());
        let before = known.map_or_else(Learned::default, |at| learned(&pairs[at]));
        let after = before.after(quality(false, sure_of(named.as_str())));
        let kept = kept((one.to_string(), other.to_string()), after, today);
        match known {
            Some(at) => pairs[at] = kept,
            None => pairs.push(kept),
        }
    }
    for pair in pairs.iter_mut().filter(|pair| pair.due <= today) {
        let there = case
            .causes
            .iter()
            .find(|id| id.as_str() == pair.one || id.as_str() == pair.other);
        let Some(there) = there else {
            continue;
        };
        let other = if there.as_str() == pair.one {
            &pair.other
        } else {
            &pair.one
        };
        let named = |id: &str| {
            told.answer
                .causes
                .iter()
                .any(|one| one.cause.as_str() == id)
        };
        if named(there.as_str()) && !named(other) {
            let after = learned(pair).after(quality(true, sure_of(there.as_str())));
            *pair = kept((pair.one.clone(), pair.other.clone()), after, today);
        }
    }
}

fn learned(pair: &KeptPair) -> Learned {
    Learned {
        repetitions: pair.repetitions,
        easiness: pair.easiness,
        interval: pair.interval,
        again: pair.again,
    }
}

fn kept((one, other): (String, String), after: Learned, today: Date) -> KeptPair {
    let days = if after.again {
        0
    } else {
        i64::from(after.interval)
    };
    KeptPair {
        one,
        other,
        repetitions: after.repetitions,
        easiness: after.easiness,
        interval: after.interval,
        again: after.again,
        due: today.checked_add(days.days()).unwrap_or(today),
    }
}
