//! Every number of one weighing, for whoever wants to check the arithmetic: nothing rounded, nothing left out.

use crate::engine::condition::Literal;
use crate::engine::diagnosis::{Ask, NextCheck};
use crate::engine::facts::Value;
use crate::engine::id::{CauseId, ReadingId, SignId};
use crate::engine::influence::leave_one_out;
use crate::engine::knowledge::Finding;
use crate::engine::network::Weighed;
use crate::engine::observations::Observations;
use crate::engine::reasoner::Reasoner;
use crate::engine::rulebook::Atom;
use crate::engine::weigh::Evidence;

/// Every number of one weighing.
#[derive(Debug, Clone, PartialEq)]
pub struct Weighing {
    /// Every cause considered, group and root, in the order of the knowledge.
    pub causes: Vec<CauseWeighed>,
    /// The unknown cause: its probability before and after.
    pub unknown: (f64, f64),
    /// What was found out, in the order in which it was weighed; that about roots alone comes last.
    pub findings: Vec<FindingWeighed>,
    /// Readings measured or computed, in the order of the knowledge.
    pub readings: Vec<(ReadingId, Value)>,
    /// Statements that hold, told or derived, with their degrees, in the order in which they were settled.
    pub facts: Vec<(Literal, f64)>,
    /// Every check worth making, best first.
    pub checks: Vec<NextCheck>,
}

/// A cause before and after the weighing.
#[derive(Debug, Clone, PartialEq)]
pub struct CauseWeighed {
    /// Which cause.
    pub id: CauseId,
    /// Its probability before any sign was weighed, risk factors included; none for a group, which has none of its own.
    pub beforehand: Option<f64>,
    /// Its probability, given everything told.
    pub confidence: f64,
}

/// A finding as it was weighed.
#[derive(Debug, Clone, PartialEq)]
pub struct FindingWeighed {
    /// Which finding.
    pub finding: Finding,
    /// Likelihood of what was found out if it is there; only the ratio to the next counts.
    pub if_present: f64,
    /// Likelihood of what was found out if it is not there.
    pub if_absent: f64,
    /// Leave-one-out weight in decibans for each cause that it moves at all.
    pub weights: Vec<(CauseId, f64)>,
}

impl Reasoner<'_> {
    /// Every number of the weighing that [`Reasoner::diagnose`] rests on.
    pub fn weighing(&self, observations: &Observations) -> Weighing {
        let worked = self.work(observations);
        let network = &worked.network;
        let mut beforehand: Vec<Option<f64>> = vec![None; self.base.causes.len()];
        for (&place, &prior) in network.causes.iter().zip(&network.priors) {
            beforehand[place] = Some(prior);
        }
        for part in &network.root_parts {
            for (&place, &prior) in part.roots.iter().zip(part.net.priors()) {
                beforehand[place] = Some(prior);
            }
        }
        let causes = self.base.causes.keys().enumerate();
        let causes = causes.filter_map(|(place, id)| {
            Some(CauseWeighed {
                id: id.clone(),
                beforehand: beforehand[place],
                confidence: *worked.confidence.get(id)?,
            })
        });
        let mut findings = Vec::new();
        let mut add =
            |weighed: &[Weighed], evidence: &[Evidence], priors: &[f64], places: &[usize]| {
                let weights = leave_one_out(priors, evidence);
                for one in weighed {
                    let item = &evidence[one.evidence];
                    let moved = places.iter().zip(&weights[one.evidence]);
                    findings.push(FindingWeighed {
                        finding: one.finding.clone(),
                        if_present: item.if_present,
                        if_absent: item.if_absent,
                        weights: moved
                            .filter(|(_, weight)| **weight != 0.0)
                            .map(|(&place, &weight)| (self.cause_id(place).clone(), weight))
                            .collect(),
                    });
                }
            };
        add(
            &network.findings,
            &network.evidence,
            &network.priors,
            &network.causes,
        );
        for part in &network.root_parts {
            add(
                &part.findings,
                part.net.evidence(),
                part.net.priors(),
                &part.roots,
            );
        }
        let closure = worked.facts.closure();
        let facts = closure.order().iter().filter_map(|&number| {
            let Atom::Literal(literal) = self.rulebook.atom(number) else {
                return None;
            };
            Some((literal.clone(), closure.degree(number)))
        });
        let readings = self.base.readings.keys();
        let readings =
            readings.filter_map(|id| Some((id.clone(), worked.facts.value(id.as_str())?)));
        Weighing {
            readings: readings.collect(),
            causes: causes.collect(),
            unknown: (
                network.priors[network.unknown()],
                worked.posterior.marginals[network.unknown()],
            ),
            facts: facts.collect(),
            findings,
            checks: self.next_checks(observations),
        }
    }
}

impl NextCheck {
    /// The signs it asks for; none for a reading.
    pub fn signs(&self) -> &[SignId] {
        match &self.ask {
            Ask::Sign(sign) => std::slice::from_ref(sign),
            Ask::Question(_, signs) => signs,
            Ask::Reading(_) => &[],
        }
    }
}
