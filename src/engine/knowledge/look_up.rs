//! Finding one's way about the knowledge.

use crate::engine::condition::{Comparison, Finding};
use crate::engine::id::{CauseId, PersonId, SpeciesId, StageId};
use crate::engine::knowledge::{Cause, KnowledgeBase, Species, SpeciesLimit};

impl KnowledgeBase {
    /// What may hold of people who enter and puts them at special risk, in the order of the knowledge.
    pub fn special_risks(&self) -> impl Iterator<Item = &PersonId> {
        let risky = self.people.iter().filter(|(_, person)| person.special_risk);
        risky.map(|(id, _)| id)
    }

    /// The limit for a reading, for this species at this stage.
    pub fn species_limit(
        &self,
        species: &str,
        stage: &str,
        reading: &str,
    ) -> Option<&SpeciesLimit> {
        let species = self.species.get(species)?;
        species
            .limits
            .iter()
            .find(|limit| limit.stage.as_str() == stage && limit.reading.as_str() == reading)
    }

    /// The limit for a reading of a species at a stage: those of the species and stage that stand for "not named" where
    /// none was, or where the species has no limit of its own.
    pub fn limit_for(
        &self,
        species: Option<&SpeciesId>,
        stage: Option<&StageId>,
        reading: &str,
    ) -> Option<&SpeciesLimit> {
        let species = species.or(self.default_species())?;
        let stage = stage.or(self.default_stage())?;
        let own = self.species_limit(species.as_str(), stage.as_str(), reading);
        own.or_else(|| {
            let any = self.default_species()?;
            self.species_limit(any.as_str(), stage.as_str(), reading)
        })
    }

    /// The group that counts this cause among its members.
    pub fn group_of(&self, cause: &CauseId) -> Option<(&CauseId, &Cause)> {
        self.causes
            .iter()
            .find(|(_, group)| group.any_of.contains(cause))
    }

    /// The condition that this root hangs on.
    pub fn condition_of(&self, root: &CauseId) -> Option<(&CauseId, &Cause)> {
        self.causes
            .iter()
            .find(|(_, cause)| cause.roots.iter().any(|link| link.cause == *root))
    }

    /// The species that stands for one that was not named.
    pub fn default_species(&self) -> Option<&SpeciesId> {
        self.species
            .iter()
            .find(|(_, species)| species.default)
            .map(|(id, _)| id)
    }

    /// The species as they are offered: by their places, the others by name, the one that stands for "not named" last.
    pub fn species_by_place(&self) -> impl Iterator<Item = (&SpeciesId, &Species)> {
        let mut species: Vec<(&SpeciesId, &Species)> = self.species.iter().collect();
        species.sort_by_key(|(_, one)| (one.default, one.place.is_none(), one.place, &one.name));
        species.into_iter()
    }

    /// The species of this id or of any of its names, without regard to case.
    pub fn species_named(&self, name: &str) -> Option<&SpeciesId> {
        let wanted = name.trim().to_lowercase();
        let alike = |other: &str| other.to_lowercase() == wanted;
        let found = self.species.iter().find(|(id, species)| {
            alike(id.as_str())
                || alike(&species.name)
                || alike(&species.latin)
                || species.also.iter().any(|one| alike(one))
        });
        found.map(|(id, _)| id)
    }

    /// The stage of this id or name, without regard to case.
    pub fn stage_named(&self, name: &str) -> Option<&StageId> {
        let wanted = name.trim().to_lowercase();
        let mut stages = self.stages.iter();
        stages
            .find(|(id, stage)| id.as_str() == wanted || stage.name.to_lowercase() == wanted)
            .map(|(id, _)| id)
    }

    /// The cause of this id or name, without regard to case.
    pub fn cause_named(&self, name: &str) -> Option<&CauseId> {
        let wanted = name.trim().to_lowercase();
        let mut causes = self.causes.iter();
        causes
            .find(|(id, cause)| id.as_str() == wanted || cause.name.to_lowercase() == wanted)
            .map(|(id, _)| id)
    }

    /// The stage that stands for one that was not named.
    pub fn default_stage(&self) -> Option<&StageId> {
        self.stages
            .iter()
            .find(|(_, stage)| stage.default)
            .map(|(id, _)| id)
    }

    /// How often a finding is seen with nothing listed wrong, in this species if one is named.
    pub fn anyway(&self, finding: &Finding, species: Option<&str>) -> f64 {
        match finding {
            Finding::Sign(sign) => {
                let normal = species
                    .and_then(|id| self.species.get(id))
                    .and_then(|species| species.normal.iter().find(|look| look.sign == *sign))
                    .map(|look| look.anyway);
                normal
                    .or_else(|| self.signs.get(sign).map(|sign| sign.anyway))
                    .unwrap_or(0.0)
            }
            Finding::Fact(fact) => self.facts.get(fact).map_or(0.0, |fact| fact.anyway),
            Finding::Reading(Comparison { reading, .. }) => self
                .readings
                .get(reading)
                .map_or(0.0, |reading| reading.anyway),
        }
    }
}
