//! Roots, conditions and groups: each root behind one condition, what it shows its own, rates that add up.

use std::collections::{BTreeMap, HashMap, HashSet};
use std::ops::Range;

use crate::engine::condition::Finding;
use crate::engine::id::CauseId;
use crate::engine::knowledge::{Cause, CauseKind};
use crate::engine::roots::RootNet;
use crate::engine::wording::finding_id;
use crate::knowledge::check::Found;
use crate::knowledge::problem::ProblemCode;

impl Found<'_> {
    pub(super) fn roots(&mut self) {
        let gathered = self.gathered;
        let mut above: BTreeMap<&CauseId, Vec<(&CauseId, Range<usize>)>> = BTreeMap::new();
        for (id, entry) in &gathered.causes {
            for (link, span) in entry.cause.roots.iter().zip(&entry.roots_at) {
                above
                    .entry(&link.cause)
                    .or_default()
                    .push((id, span.clone()));
                let Some(root) = gathered.base.causes.get(&link.cause) else {
                    continue;
                };
                if root.kind != CauseKind::Root {
                    let message = format!(
                        "`{}` is listed as a root but is of another kind",
                        link.cause
                    );
                    let help = "give it `kind = \"root\"`, or take it out of the list";
                    self.at_cause(
                        ProblemCode::RootWithoutCondition,
                        id,
                        span.clone(),
                        message,
                        "not a root",
                        help,
                    );
                }
            }
        }
        for (root, conditions) in &above {
            if let [(first, first_span), (second, span), ..] = conditions.as_slice() {
                let message = format!("`{root}` hangs on `{first}` and on `{second}`");
                let help = "a root hangs on one condition; make a second root of its own name";
                self.at_cause(
                    ProblemCode::RootOnTwo,
                    second,
                    span.clone(),
                    message,
                    "second condition",
                    help,
                );
                self.and_at_cause(first, first_span.clone(), "first condition");
            }
        }
        self.shared_root_signs(&above);
    }

    /// A response is a rule of the main layer: roots are solved by themselves, and a group shows what its members show.
    pub(super) fn responses(&mut self) {
        let gathered = self.gathered;
        let of_roots: HashSet<&Finding> = gathered
            .base
            .causes
            .values()
            .filter(|cause| cause.kind == CauseKind::Root)
            .flat_map(|cause| cause.shows.iter().map(|shows| &shows.finding))
            .collect();
        for (id, spans) in &gathered.responses {
            let species = &gathered.base.species[id];
            for (response, span) in species.responses.iter().zip(spans) {
                let Some(cause) = gathered.base.causes.get(&response.to) else {
                    continue;
                };
                let (message, label, help) = if cause.kind == CauseKind::Root {
                    let message = format!("`{}` is a root", response.to);
                    (
                        message,
                        "not a condition or cause",
                        "name what the root stands behind",
                    )
                } else if !cause.any_of.is_empty() {
                    let message = format!("`{}` is a group", response.to);
                    (message, "not one cause", "name the member that is meant")
                } else if of_roots.contains(&Finding::Sign(response.sign.clone())) {
                    let message = format!("`{}` is shown by a root", response.sign);
                    (message, "belongs to a root", "use a sign of its own")
                } else {
                    continue;
                };
                self.at(
                    ProblemCode::BadResponse,
                    (&species.file, span.clone()),
                    message,
                    label,
                    Some(help.to_owned()),
                );
            }
        }
    }

    /// Each root hangs on a condition.
    pub(super) fn loose_roots(&mut self) {
        let gathered = self.gathered;
        let causes = gathered.causes.values();
        let hanging: HashSet<&CauseId> = causes
            .flat_map(|entry| &entry.cause.roots)
            .map(|link| &link.cause)
            .collect();
        for (id, entry) in gathered
            .causes
            .iter()
            .filter(|(_, entry)| entry.cause.kind == CauseKind::Root)
        {
            if !hanging.contains(id) {
                let message = format!("the root `{id}` hangs on no condition");
                let help = "list it under `roots` of a condition";
                self.at_cause(
                    ProblemCode::RootWithoutCondition,
                    id,
                    entry.span.clone(),
                    message,
                    "behind nothing",
                    help,
                );
            }
        }
    }

    /// What a root shows is shown by no cause of the main layer and by no root of another condition.
    pub(super) fn shared_root_signs(
        &mut self,
        above: &BTreeMap<&CauseId, Vec<(&CauseId, Range<usize>)>>,
    ) {
        let gathered = self.gathered;
        let condition_of = |id: &CauseId| {
            above
                .get(id)
                .and_then(|conditions| conditions.first())
                .map(|(id, _)| *id)
        };
        let mut shown_by: HashMap<&Finding, Vec<(&CauseId, &Range<usize>)>> = HashMap::new();
        for (id, entry) in &gathered.causes {
            for (shows, span) in entry.cause.shows.iter().zip(&entry.shows_at) {
                let places = shown_by.entry(&shows.finding).or_default();
                places.push((id, span));
            }
        }
        for (id, entry) in gathered
            .causes
            .iter()
            .filter(|(_, entry)| entry.cause.kind == CauseKind::Root)
        {
            for (shows, span) in entry.cause.shows.iter().zip(&entry.shows_at) {
                let other = shown_by[&shows.finding].iter().find(|(other, _)| {
                    let cause = &gathered.base.causes[*other];
                    *other != id
                        && (cause.kind != CauseKind::Root
                            || condition_of(other) != condition_of(id))
                });
                if let Some((other, other_span)) = other {
                    let message = format!(
                        "the root `{id}` and `{other}` both show `{}`",
                        finding_id(&shows.finding)
                    );
                    let help =
                        "give the root a sign of its own, or use the shared one under `raised-by`";
                    self.at_cause(
                        ProblemCode::SharedRootSign,
                        id,
                        span.clone(),
                        message,
                        "shown by the root",
                        help,
                    );
                    self.and_at_cause(other, (*other_span).clone(), "and here");
                }
            }
        }
    }

    /// The roots of a condition do not bring it about more often than it is met.
    pub(super) fn rates(&mut self) {
        let gathered = self.gathered;
        for (id, entry) in &gathered.causes {
            self.roots_within_rate(id, &entry.cause, entry.span.clone());
        }
    }

    pub(super) fn roots_within_rate(&mut self, id: &CauseId, cause: &Cause, span: Range<usize>) {
        let base = self.base();
        let members = cause
            .any_of
            .iter()
            .filter_map(|member| base.causes.get(member));
        let rate = if cause.any_of.is_empty() {
            cause.base_rate
        } else {
            1.0 - members
                .map(|member| 1.0 - member.base_rate)
                .product::<f64>()
        };
        let links = cause
            .roots
            .iter()
            .filter_map(|link| Some((base.causes.get(&link.cause)?.base_rate, link.brings)));
        let (priors, brings): (Vec<f64>, Vec<f64>) = links.unzip();
        if priors.is_empty() || !RootNet::from_base_rate(rate, &priors, &brings, &[]).overfull() {
            return;
        }
        let without: f64 = priors
            .iter()
            .zip(&brings)
            .map(|(prior, brings)| 1.0 - prior * brings)
            .product();
        let message = format!(
            "the roots of `{id}` bring it about in {:.3} of cases, but it is met in {rate:.3}",
            1.0 - without
        );
        let help = "lower the roots' base rates or what they bring, or raise that of the condition";
        self.at_cause(
            ProblemCode::RootsExceedRate,
            id,
            span,
            message,
            "more often than it is met",
            help,
        );
    }

    pub(super) fn groups(&mut self) {
        let gathered = self.gathered;
        for (id, entry) in gathered
            .causes
            .iter()
            .filter(|(_, entry)| !entry.cause.any_of.is_empty())
        {
            for member in &entry.cause.any_of {
                let Some(cause) = gathered.base.causes.get(member) else {
                    continue;
                };
                if !cause.any_of.is_empty() || cause.kind == CauseKind::Root {
                    let message = format!("the group `{id}` counts `{member}` among its members");
                    let help = "members are causes of the main layer, neither groups nor roots";
                    self.at_cause(
                        ProblemCode::BadGroup,
                        id,
                        entry.span.clone(),
                        message,
                        "cannot be a member",
                        help,
                    );
                }
            }
        }
    }
}
