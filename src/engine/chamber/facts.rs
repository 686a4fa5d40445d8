//! What a chamber's profile tells the rule base. Which readings, setup items and signs that are is written in the knowledge.

use crate::engine::chamber::balance::Balance;
use crate::engine::chamber::profile::Chamber;
use crate::engine::chamber::quantity::Quantity;
use crate::engine::condition::Side;
use crate::engine::id::{ReadingId, SetupId, SignId};
use crate::engine::knowledge::{FromProfile, KnowledgeBase, Reading};
use crate::engine::observations::{Answer, Observations};
use crate::engine::quantity::Measured;

/// The facts that follow from a profile.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct ProfileFacts {
    /// Readings, in their own units.
    pub readings: Vec<(ReadingId, Measured)>,
    /// Setup items that hold (true) or do not (false).
    pub setup: Vec<(SetupId, bool)>,
    /// Signs that are there (true) or not (false).
    pub signs: Vec<(SignId, bool)>,
}

/// The facts that follow from a chamber and its balance: what was written down, and what was worked out from it. What was
/// merely taken for want of a number, or stands in a book, is no fact.
pub fn facts(base: &KnowledgeBase, chamber: &Chamber, balance: &Balance) -> ProfileFacts {
    let mut facts = ProfileFacts::default();
    for (id, reading) in &base.readings {
        let told = reading
            .profile
            .and_then(|quantity| told(chamber, balance, quantity));
        if let Some(measured) = told.filter(|measured| believable(reading, measured.value)) {
            facts.readings.push((id.clone(), measured));
        }
    }
    let holds = |from: Option<FromProfile>| match from? {
        FromProfile::Says(statement) => chamber.says(statement),
        FromProfile::Compares(quantity, side, limit) => {
            let measured = told(chamber, balance, quantity)?;
            Some(match side {
                Side::Above => measured.value > limit,
                Side::Below => measured.value < limit,
            })
        }
    };
    let setup = base.setup.iter();
    facts.setup = setup
        .filter_map(|(id, item)| Some((id.clone(), holds(item.profile)?)))
        .collect();
    // A number can bring a sign up; that it is not there has to be seen, unless the profile says so in so many words.
    let signs = base.signs.iter();
    facts.signs = signs
        .filter_map(|(id, sign)| {
            let told = holds(sign.profile)?;
            let said = matches!(sign.profile, Some(FromProfile::Says(_)));
            (told || said).then(|| (id.clone(), told))
        })
        .collect();
    facts
}

fn believable(reading: &Reading, value: f64) -> bool {
    (reading.believable.0..=reading.believable.1).contains(&value)
}

/// The value of a quantity that may count as told.
fn told(chamber: &Chamber, balance: &Balance, quantity: Quantity) -> Option<Measured> {
    if let Some(measured) = chamber.number(quantity) {
        return Some(measured);
    }
    let taken = balance.taken.iter().any(|(one, _)| *one == quantity);
    if taken || balance.rests_on_book(quantity) {
        return None;
    }
    balance.get(quantity).map(|estimate| Measured {
        value: estimate.value,
        tolerance: Some(estimate.deviation),
    })
}

impl Observations {
    /// Adds what a profile tells, where nothing else was told of it; species and stage likewise.
    pub fn add_profile(&mut self, chamber: &Chamber, facts: &ProfileFacts) {
        if self.species.is_none() {
            self.species.clone_from(&chamber.species);
        }
        if self.stage.is_none() {
            self.stage.clone_from(&chamber.stage);
        }
        for (id, measured) in &facts.readings {
            if !self.readings.contains_key(id) {
                self.readings.insert(id.clone(), *measured);
                self.from_profile.insert(id.to_string());
            }
        }
        for (id, holds) in &facts.signs {
            if !self.signs.contains_key(id) {
                let answer = if *holds { Answer::Yes } else { Answer::No };
                self.signs.insert(id.clone(), answer);
                self.from_profile.insert(id.to_string());
            }
        }
        for (id, holds) in &facts.setup {
            if !self.setup.contains_key(id) {
                self.setup.insert(id.clone(), *holds);
                self.from_profile.insert(id.to_string());
            }
        }
    }
}
