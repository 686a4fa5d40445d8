//! From phrases and numbers that were found to what was understood and what was not.

mod outcome;

use rustc_hash::FxHashMap;

use crate::describe::effort::look;
use crate::describe::lexicon::{Lexicon, Target};
use crate::describe::matching::{Match, Says, matches};
use crate::describe::readings::{Numbers, why};
use crate::describe::scope::{Hedge, State, states};
use crate::describe::sentence::Laid;
use crate::describe::told::{
    Because, Contradiction, Correction, Cue, Description, Told, Topic, Understood, Why,
};
use crate::engine::id::SignId;
use crate::engine::knowledge::{KnowledgeBase, WordClass};
use crate::engine::observations::Answer;

/// Reads the laid out text.
pub(super) fn gather(
    base: &KnowledgeBase,
    lexicon: &Lexicon,
    text: &str,
    laid: &Laid,
) -> Description {
    let states = states(laid);
    let found = matches(lexicon, laid, &states);
    let mut gathering = Gathering {
        base,
        lexicon,
        text,
        laid,
        states: &states,
        reasons: vec![None; laid.units.len()],
        covered: vec![false; laid.units.len()],
        told: Vec::new(),
    };
    gathering.phrases(&found);
    gathering.finish()
}

struct Gathering<'a> {
    base: &'a KnowledgeBase,
    lexicon: &'a Lexicon,
    text: &'a str,
    laid: &'a Laid,
    states: &'a [State],
    /// Why a word gave no fact, where that is known.
    reasons: Vec<Option<Why>>,
    /// Words that are part of what was understood.
    covered: Vec<bool>,
    told: Vec<Understood>,
}

impl Gathering<'_> {
    fn target(&self, found: &Match) -> &Target {
        &self.lexicon.entries[self.lexicon.phrases[found.phrase].entry].target
    }

    fn phrases(&mut self, found: &[Match]) {
        let (names, others): (Vec<&Match>, Vec<&Match>) = found
            .iter()
            .partition(|one| matches!(self.target(one), Target::Reading(_)));
        let others = self.longest(&others);
        let names = longest_only(&names, &names);
        let mut by_words: Vec<Vec<&Match>> = Vec::new();
        let mut places: FxHashMap<&[usize], usize> = FxHashMap::default();
        for one in others {
            let place = *places.entry(one.units.as_slice()).or_insert_with(|| {
                by_words.push(Vec::new());
                by_words.len() - 1
            });
            by_words[place].push(one);
        }
        let mut taken = vec![false; self.laid.units.len()];
        let mut named = vec![false; self.laid.units.len()];
        for group in &by_words {
            let numbers = group[0]
                .units
                .iter()
                .filter(|&&at| self.laid.units[at].word.number.is_some());
            numbers.for_each(|&at| taken[at] = true);
            if matches!(self.target(group[0]), Target::Species(_)) {
                group[0].units.iter().for_each(|&at| named[at] = true);
            }
            self.one_meaning(group);
        }
        let numbers = Numbers {
            base: self.base,
            lexicon: self.lexicon,
            laid: self.laid,
            states: self.states,
            names: &names,
            taken: &taken,
            named: &named,
        };
        for told in numbers.read(self.text) {
            match told.outcome {
                Ok((id, measured)) => {
                    let phrase = told
                        .phrase
                        .map(|phrase| self.lexicon.phrases[phrase].text.clone());
                    let name = &self.base.readings[&id].name;
                    let because = Because {
                        phrase: phrase.unwrap_or_else(|| name.clone()),
                        corrections: self.corrections(&told.units),
                        denied: None,
                        hedged: told.hedged.map(|(_, cue)| self.cue(cue)),
                    };
                    self.understand(Told::Reading(id, measured), &told.units, told.span, because);
                }
                Err(reason) => {
                    for at in told.units {
                        self.reasons[at].get_or_insert_with(|| reason.clone());
                    }
                }
            }
        }
    }

    /// Leaves out what is only a part of a longer phrase, or runs into the name of a species.
    fn longest<'m>(&self, found: &[&'m Match]) -> Vec<&'m Match> {
        let species: Vec<&Match> = found
            .iter()
            .copied()
            .filter(|one| matches!(self.target(one), Target::Species(_)))
            .collect();
        let mut in_name: FxHashMap<usize, &Match> = FxHashMap::default();
        for one in &species {
            for &at in &one.units {
                in_name.entry(at).or_insert(one);
            }
        }
        let kept: Vec<&Match> = found
            .iter()
            .copied()
            .filter(|one| {
                matches!(self.target(one), Target::Species(_))
                    || one
                        .units
                        .iter()
                        .filter_map(|at| in_name.get(at))
                        .all(|name| {
                            // "Pinks" are oysters, and nothing about them is pink.
                            let colour = name.units.len() == 1
                                && self.laid.units[name.units[0]].is(WordClass::Quality);
                            !colour && name.units.iter().all(|at| one.units.contains(at))
                        })
            })
            .filter(|one| {
                // "Reishi conks": what a kind is called in that form.
                let behind = one.units[0]
                    .checked_sub(1)
                    .is_some_and(|before| in_name.contains_key(&before));
                one.units.len() > 1 || !behind || in_name.contains_key(&one.units[0])
            })
            .filter(|one| !matches!(self.target(one), Target::Question(_)) || one.says == Says::Not)
            .collect();
        let kept = self.without_borrowed(kept);
        // What is denied as the knowledge itself denies it ("never emptied") is not denied of something else as well.
        let own: Vec<&Match> = kept
            .iter()
            .copied()
            .filter(|one| one.denies && one.says == Says::Holds)
            .collect();
        let mut denied_in: FxHashMap<usize, &Match> = FxHashMap::default();
        for one in &own {
            for &at in one
                .units
                .iter()
                .filter(|&&at| self.states[at].denied.is_some())
            {
                denied_in.entry(at).or_insert(one);
            }
        }
        let kept: Vec<&Match> = kept
            .into_iter()
            .filter(|one| {
                one.denies
                    || one.says != Says::Not
                    || !one.units.iter().any(|at| denied_in.contains_key(at))
            })
            .collect();
        // A species named within a longer phrase is named all the same.
        let of_species: Vec<&Match> = longest_only(&species, &species);
        let rest: Vec<&Match> = kept
            .iter()
            .copied()
            .filter(|one| !matches!(self.target(one), Target::Species(_)))
            .collect();
        let stages: Vec<&Match> = rest
            .iter()
            .copied()
            .filter(|one| matches!(self.target(one), Target::Stage(_)) && one.says == Says::Holds)
            .collect();
        let mut all = longest_only(&rest, &kept);
        all.extend(of_species);
        let known: Vec<&[usize]> = all.iter().map(|one| one.units.as_slice()).collect();
        let within: Vec<&Match> = stages
            .into_iter()
            .filter(|one| !known.contains(&one.units.as_slice()))
            .collect();
        all.extend(within);
        all
    }

    /// Leaves out what takes one thing for another of its kind ("white fur" for a white spot) where a longer phrase knows
    /// that very thing for what it is ("fur around the feet").
    fn without_borrowed<'m>(&self, found: Vec<&'m Match>) -> Vec<&'m Match> {
        let mut own: FxHashMap<usize, &Match> = FxHashMap::default();
        for one in &found {
            let entry = &self.lexicon.entries[self.lexicon.phrases[one.phrase].entry];
            let alone = !one.by_kin && entry.kin.is_empty() && one.says == Says::Holds;
            if alone && one.units.len() > 2 {
                for &at in &one.units {
                    own.entry(at).or_insert(one);
                }
            }
        }
        found
            .into_iter()
            .filter(|one| {
                let lent = |at: &&usize| self.laid.units[**at].word.kin.is_some();
                !(one.by_kin
                    && one.units.iter().filter(lent).any(|at| {
                        own.get(at)
                            .is_some_and(|other| other.units.len() >= one.units.len())
                    }))
            })
            .collect()
    }

    /// Phrases of the very same words: one meaning, or none.
    fn one_meaning(&mut self, group: &[&Match]) {
        let mut candidates: Vec<&Match> = Vec::new();
        // "No pins" is more than pins that are denied.
        let denies = group.iter().any(|one| one.denies);
        for one in group.iter().filter(|one| one.denies == denies) {
            let entry = self.lexicon.phrases[one.phrase].entry;
            let known = candidates
                .iter_mut()
                .find(|other| self.lexicon.phrases[other.phrase].entry == entry);
            match known {
                Some(known) if one.literal && !known.literal => *known = one,
                Some(_) => {}
                None => candidates.push(one),
            }
        }
        if candidates.iter().any(|one| !one.by_kin) {
            candidates.retain(|one| !one.by_kin);
        }
        if candidates.len() > 1 && candidates.iter().filter(|one| one.literal).count() == 1 {
            candidates.retain(|one| one.literal);
        }
        // The same words may tell a sign and something of the setup or of people: then both are told.
        if candidates.len() > 1 && self.go_together(&candidates) {
            for one in candidates {
                self.take(one);
            }
            return;
        }
        let [one] = candidates.as_slice() else {
            let names = candidates
                .iter()
                .map(|one| {
                    self.lexicon.entries[self.lexicon.phrases[one.phrase].entry]
                        .name
                        .clone()
                })
                .collect();
            self.no_fact(&group[0].units, &Why::Doubtful(names));
            return;
        };
        self.take(one);
    }

    /// Whether all are of different kinds, none of which excludes another.
    fn go_together(&self, candidates: &[&Match]) -> bool {
        let kinds = candidates.iter().map(|one| match self.target(one) {
            Target::Sign(_) => Some(0),
            Target::Setup(_) => Some(1),
            Target::Person(_) => Some(2),
            _ => None,
        });
        let kinds: Vec<Option<u8>> = kinds.collect();
        kinds
            .iter()
            .enumerate()
            .all(|(at, kind)| kind.is_some() && !kinds[..at].contains(kind))
    }

    fn no_fact(&mut self, units: &[usize], why: &Why) {
        for &at in units {
            self.reasons[at].get_or_insert_with(|| why.clone());
        }
    }

    fn take(&mut self, found: &Match) {
        let unsure = matches!(found.hedged, Some((Hedge::Unsure, _)));
        let holds = match found.says {
            Says::Holds => true,
            Says::Not => false,
            Says::Open => return self.no_fact(&found.units, &Why::Doubtful(Vec::new())),
            Says::No(mode) => return self.no_fact(&found.units, &why(mode)),
        };
        let answer = match (holds, found.hedged) {
            (_, Some((Hedge::Unsure, _))) | (false, Some(_)) => Answer::Unsure,
            (true, Some((Hedge::Probably, _))) => Answer::Probably,
            (true, None) => Answer::Yes,
            (false, None) => Answer::No,
        };
        let what: Vec<Told> = match self.target(found).clone() {
            Target::Sign(id) => vec![Told::Sign(id, answer)],
            Target::Question(id) => {
                let signs: Vec<SignId> = self.base.questions[&id].signs.clone();
                signs
                    .into_iter()
                    .map(|sign| Told::Sign(sign, answer))
                    .collect()
            }
            Target::Setup(_) | Target::Person(_) if found.hedged.is_some() => {
                return self.no_fact(&found.units, &Why::Doubtful(Vec::new()));
            }
            Target::Setup(id) => vec![Told::Setup(id, holds)],
            Target::Person(id) => vec![Told::Person(id, holds)],
            Target::Species(_) | Target::Stage(_) if !holds => {
                return self.no_fact(&found.units, &Why::Denied);
            }
            Target::Species(_) | Target::Stage(_) if unsure => {
                return self.no_fact(&found.units, &Why::Doubtful(Vec::new()));
            }
            Target::Species(id) => vec![Told::Species(id)],
            Target::Stage(id) => vec![Told::Stage(id)],
            Target::Reading(_) => return,
        };
        let phrase = &self.lexicon.phrases[found.phrase];
        let because = Because {
            phrase: phrase.text.clone(),
            corrections: self.corrections(&found.units),
            denied: found.denied_by.map(|cue| self.cue(cue)),
            hedged: found.hedged.map(|(_, cue)| self.cue(cue)),
        };
        let first = &self.laid.units[found.units[0]].span;
        let last = &self.laid.units[found.units[found.units.len() - 1]].span;
        let span = first.start..last.end;
        for what in what {
            self.understand(what, &found.units, span.clone(), because.clone());
        }
    }

    fn understand(
        &mut self,
        what: Told,
        units: &[usize],
        span: std::ops::Range<usize>,
        because: Because,
    ) {
        for &at in units {
            self.covered[at] = true;
        }
        let words = self.text[span.clone()].to_owned();
        self.told.push(Understood {
            what,
            span,
            words,
            because,
        });
    }

    fn cue(&self, at: usize) -> Cue {
        let span = self.laid.units[at].span.clone();
        Cue {
            words: self.text[span.clone()].to_owned(),
            span,
        }
    }

    fn corrections(&self, units: &[usize]) -> Vec<Correction> {
        let corrected = units.iter().filter_map(|&at| {
            let unit = &self.laid.units[at];
            let (fault, taken_for) = unit.word.corrected.clone()?;
            let written = self.text[unit.span.clone()].to_owned();
            Some(Correction {
                written,
                taken_for,
                fault,
                span: unit.span.clone(),
            })
        });
        corrected.collect()
    }

    /// Puts together what was told of one thing, and what gave no fact.
    fn finish(mut self) -> Description {
        let mut told = std::mem::take(&mut self.told);
        told.sort_by_key(|one| (one.span.start, one.span.end));
        let mut topics: Vec<(Topic, Vec<Understood>)> = Vec::new();
        let mut places: FxHashMap<Topic, usize> = FxHashMap::default();
        for one in told {
            let topic = one.what.topic();
            let place = *places.entry(topic.clone()).or_insert_with(|| {
                topics.push((topic, Vec::new()));
                topics.len() - 1
            });
            topics[place].1.push(one);
        }
        let mut description = Description::default();
        for (topic, told) in topics {
            match self.agreed(&told) {
                Some(one) => description.understood.push(one),
                None => description
                    .contradictions
                    .push(Contradiction { topic, told }),
            }
        }
        self.only_one(&mut description.understood);
        description
            .understood
            .sort_by_key(|one| (one.span.start, one.span.end));
        description
            .contradictions
            .sort_by_key(|one| one.told[0].span.start);
        description.not_understood = self.pieces();
        description
    }
}

/// Those of `found` whose words are not all part of another of `among` that has more.
fn longest_only<'m>(found: &[&'m Match], among: &[&'m Match]) -> Vec<&'m Match> {
    let mut with_word: FxHashMap<usize, Vec<&Match>> = FxHashMap::default();
    for one in among {
        for &at in &one.units {
            with_word.entry(at).or_default().push(one);
        }
    }
    found
        .iter()
        .copied()
        .filter(|one| {
            let others = with_word.get(&one.units[0]).map_or(&[][..], Vec::as_slice);
            look(others.len());
            !others.iter().any(|other| {
                other.units.len() > one.units.len()
                    && one.units.iter().all(|at| other.units.contains(at))
                    && !(one.quality && other.enumerates)
                    && !(one.denies && !other.denies && other.says == Says::Not)
            })
        })
        .collect()
}
