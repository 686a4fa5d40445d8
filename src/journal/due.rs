//! Cases whose time has come: what was done, or was due, should show by now.

use jiff::Timestamp;

use crate::journal::kept::{KeptAction, KeptCase, State};

/// A case whose time has come.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TimeHasCome {
    /// Its id.
    pub id: String,
    /// The action that should show.
    pub action: String,
    /// Whether it was noted as done; otherwise it was advised, and nobody said.
    pub done: bool,
    /// What to watch.
    pub watch: String,
    /// Full hours since.
    pub hours: u32,
}

/// The cases whose time has come at an instant, oldest first. An action counts from the day it was done, or from the
/// diagnosis where nobody said what was done, and from the last follow-up on. Where it was said that nothing was done, it
/// is time for what was advised. A case that is closed never comes.
pub fn time_has_come(cases: &[KeptCase], now: Timestamp) -> Vec<TimeHasCome> {
    cases
        .iter()
        .filter(|case| case.state() != State::Closed)
        .filter_map(|case| first_due(case, now))
        .collect()
}

/// Of the actions that should show by now, the one that shows soonest.
fn first_due(case: &KeptCase, now: Timestamp) -> Option<TimeHasCome> {
    let last = case.kept.follow_ups.last().map(|one| one.at.instant());
    started(case)
        .into_iter()
        .filter_map(|(action, from)| {
            let from = last.map_or(from, |last| last.max(from));
            // A clock that was set back makes nothing due.
            let hours = u32::try_from(now.duration_since(from).as_hours()).ok()?;
            let wait = action.look_again_hours?;
            (hours >= wait).then_some((wait, action, hours))
        })
        .min_by_key(|(wait, ..)| *wait)
        .map(|(_, action, hours)| TimeHasCome {
            id: case.kept.id.clone(),
            action: action.id.clone(),
            done: !case.kept.done.is_empty(),
            watch: action.watch.clone(),
            hours,
        })
}

/// The actions that were done, or were due where none was noted, each with the instant it counts from.
fn started(case: &KeptCase) -> Vec<(&KeptAction, Timestamp)> {
    let kept = &case.kept;
    let actions = &kept.diagnosis.actions;
    if kept.done.is_empty() {
        let at = kept.at.instant();
        return actions.iter().map(|action| (action, at)).collect();
    }
    kept.done
        .iter()
        .filter_map(|done| {
            let action = actions.iter().find(|action| action.id == done.action)?;
            let midnight = kept.at.midnight(done.on)?;
            Some((action, midnight.max(kept.at.instant())))
        })
        .collect()
}
