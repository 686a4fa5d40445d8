//! The knowledge cut down to what a diagnosis reads.

use crate::engine::knowledge::{Grounds, KnowledgeBase, Language};

impl KnowledgeBase {
    /// The same knowledge without what no diagnosis reads or shows: judgements, citations, lay words, drawings, rounds and file names, and
    /// the grounds of what is never shown with its sources. They are more than half of all texts, and the knowledge is
    /// decoded at each start.
    #[must_use]
    pub fn for_diagnosis(mut self) -> Self {
        fn strip(grounds: &mut Grounds) {
            grounds.judgement = None;
        }
        fn clear(file: &mut String, grounds: &mut Grounds) {
            file.clear();
            *grounds = Grounds::default();
        }
        let scale = &mut self.scale;
        let words = scale
            .frequency
            .values_mut()
            .chain(scale.base_rate.values_mut())
            .chain(scale.effort.values_mut());
        words
            .chain(scale.confidence.iter_mut().map(|(_, level)| level))
            .for_each(|level| strip(&mut level.grounds));
        self.sources.clear();
        self.spellings.clear();
        // Of the rounds a diagnosis reads only which reading starts again.
        self.rounds.retain(|_, round| round.feeds.is_some());
        for round in self.rounds.values_mut() {
            clear(&mut round.file, &mut round.grounds);
            round.statement.clear();
            round.how.clear();
            round.why.clear();
            round.looks.clear();
            round.cautions.clear();
        }
        self.cards.clear();
        self.topics.clear();
        self.language = Language::default();
        self.questions
            .values_mut()
            .for_each(|entry| entry.file.clear());
        self.stages
            .values_mut()
            .for_each(|entry| clear(&mut entry.file, &mut entry.grounds));
        self.facts
            .values_mut()
            .for_each(|entry| clear(&mut entry.file, &mut entry.grounds));
        self.rules
            .values_mut()
            .for_each(|entry| clear(&mut entry.file, &mut entry.grounds));
        for entry in self.readings.values_mut() {
            clear(&mut entry.file, &mut entry.grounds);
            entry.words.clear();
        }
        for entry in self.setup.values_mut() {
            clear(&mut entry.file, &mut entry.grounds);
            entry.words.clear();
        }
        // What a crop gives off is shown with its sources.
        for entry in self.outputs.values_mut() {
            entry.file.clear();
            strip(&mut entry.grounds);
        }
        for entry in self.people.values_mut() {
            clear(&mut entry.file, &mut entry.grounds);
            entry.words.clear();
        }
        for entry in self.signs.values_mut() {
            clear(&mut entry.file, &mut entry.grounds);
            entry.draws = None;
            entry.words.clear();
        }
        for species in self.species.values_mut() {
            clear(&mut species.file, &mut species.grounds);
            species.draws = None;
            species
                .limits
                .iter_mut()
                .for_each(|limit| limit.grounds = Grounds::default());
            // What a response shows is a rule of its cause by now.
            species.responses.clear();
            species
                .normal
                .iter_mut()
                .for_each(|look| look.grounds = Grounds::default());
        }
        for cause in self.causes.values_mut() {
            cause.file.clear();
            strip(&mut cause.grounds);
            cause
                .shows
                .iter_mut()
                .for_each(|shows| strip(&mut shows.grounds));
            cause
                .raised_by
                .iter_mut()
                .for_each(|raise| raise.grounds = Grounds::default());
            cause
                .roots
                .iter_mut()
                .for_each(|root| root.grounds = Grounds::default());
        }
        for action in self.actions.values_mut() {
            action.file.clear();
            strip(&mut action.grounds);
            action
                .rules
                .iter_mut()
                .for_each(|trigger| trigger.grounds = Grounds::default());
        }
        for caution in self.cautions.values_mut() {
            caution.file.clear();
            strip(&mut caution.grounds);
            caution
                .rules
                .iter_mut()
                .for_each(|trigger| trigger.grounds = Grounds::default());
        }
        self
    }
}
