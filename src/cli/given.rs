//! A case given as options, by itself or on top of a case file.

use std::collections::HashSet;
use std::path::Path;

use jiff::ZonedDateTime;

use crate::cli::args::Given;
use crate::cli::chamber;
use crate::cli::exit::Failure;
use crate::cli::growth::{growth, sizes, speaks_of_sizes};
use crate::cli::home;
use crate::cli::input::{self, CaseRead};
use crate::cli::session::Session;
use crate::cli::settings::Settings;
use crate::engine::id::{CauseId, SpeciesId, StageId};
use crate::engine::knowledge::{KnowledgeBase, Reading};
use crate::engine::observations::{Answer, Observations};
use crate::engine::quantity::{Measured, System, Unit, parse_reading, show};
use crate::journal::rounds::Rounds;
use crate::knowledge::problem::nearest;
use crate::report::sanitise::short;

/// What was told, from the case file if there is one, with the options added or put in its place.
///
/// # Errors
/// Where the case file or profile cannot be read or has faults (could not finish), or an option does (wrong use): then all faulty
/// options are named at once.
pub fn observations(
    given: &Given,
    base: &KnowledgeBase,
    session: &Session,
) -> Result<Observations, Failure> {
    let CaseRead {
        mut told,
        profile: named,
        ..
    } = match &given.case {
        Some(path) => input::case(path, base, session)?,
        None => CaseRead::default(),
    };
    let mut faults = Vec::new();
    let mut options = Options {
        base,
        seen: HashSet::new(),
        faults: &mut faults,
    };
    options.apply(given, &mut told);
    if !faults.is_empty() {
        return Err(Failure::usage(listed(&faults)));
    }
    // What was told of this occasion comes first; the profile fills in the rest, and the settings what is open then.
    let usual = given.case.is_none().then_some(&session.settings);
    let profile = given.profile.as_ref().or(named.as_ref());
    if let Some(path) = profile.or(usual.and_then(|usual| usual.profile.as_ref())) {
        chamber::add(&mut told, path, base, session)?;
    }
    if usual.is_some() {
        fill_in(&mut told, base, session)?;
        feed(&mut told, base)?;
    }
    Ok(told)
}

/// Adds what was written down of the rounds.
///
/// # Errors
/// Where it is there and cannot be read.
pub fn feed(told: &mut Observations, base: &KnowledgeBase) -> Result<(), Failure> {
    if let Some(data) = home::folder() {
        Rounds::read(&data)?.feed(base, told, ZonedDateTime::now().date());
    }
    Ok(())
}

/// Puts the usual species where none was told.
///
/// # Errors
/// Where the settings name a species that there is not.
pub fn fill_in(
    told: &mut Observations,
    base: &KnowledgeBase,
    session: &Session,
) -> Result<(), Failure> {
    if told.species.is_some() {
        return Ok(());
    }
    if let Some(id) = usual_species(base, session)? {
        told.species = Some(id);
        told.usual_species = true;
    }
    Ok(())
}

/// The species that the settings name.
///
/// # Errors
/// Where there is no such species.
pub fn usual_species(
    base: &KnowledgeBase,
    session: &Session,
) -> Result<Option<SpeciesId>, Failure> {
    let Settings {
        file,
        species: word,
        ..
    } = &session.settings;
    let Some(word) = word else {
        return Ok(None);
    };
    // The settings name what is grown here, which knowledge of something else need not know.
    if session.other_knowledge() && base.species_named(word).is_none() {
        return Ok(None);
    }
    species(base, word).map(Some).map_err(|fault| {
        let file = file.as_deref().unwrap_or(Path::new("")).display();
        Failure::unable(format!("the settings in `{file}` cannot be used: {fault}"))
    })
}

/// How many faults are told at once.
///
/// judgement: nobody reads on before these are put right.
const MOST_FAULTS: usize = 50;

/// Faults, one a line.
pub fn listed(faults: &[String]) -> String {
    let shown = &faults[..faults.len().min(MOST_FAULTS)];
    let mut text = shown.join("\n");
    if let more @ 1.. = faults.len() - shown.len() {
        text.push_str(&format!("\nand {more} more"));
    }
    text
}

struct Options<'a> {
    base: &'a KnowledgeBase,
    seen: HashSet<(&'static str, String)>,
    faults: &'a mut Vec<String>,
}

impl Options<'_> {
    fn apply(&mut self, given: &Given, told: &mut Observations) {
        let base = self.base;
        if let Some(word) = self.once("--species", &given.species) {
            match species(base, word) {
                Ok(id) => told.species = Some(id),
                Err(fault) => self.faults.push(fault),
            }
        }
        if let Some(word) = self.once("--stage", &given.stage) {
            match stage(base, word) {
                Ok(id) => told.stage = Some(id),
                Err(fault) => self.faults.push(fault),
            }
        }
        for text in &given.setup {
            if let Some((id, holds)) = self.yes_or_no("--setup", text) {
                match base.setup.get_key_value(id) {
                    Some((id, _)) => {
                        told.setup.insert(id.clone(), holds);
                    }
                    None => self.unknown("setup item", "setup", id, base.setup.keys()),
                }
            }
        }
        for text in &given.person {
            if let Some((id, holds)) = self.yes_or_no("--person", text) {
                match base.people.get_key_value(id) {
                    Some((id, _)) => {
                        told.people.insert(id.clone(), holds);
                    }
                    None => self.unknown("entry about people", "people", id, base.people.keys()),
                }
            }
        }
        for text in &given.sign {
            self.sign(text, told);
        }
        for text in &given.reading {
            self.reading(text, told);
        }
        self.only_one(told);
    }

    /// Of the signs of some questions at most one can be there.
    fn only_one(&mut self, told: &Observations) {
        for question in self.base.questions.values().filter(|one| one.one_of) {
            let there: Vec<&str> = question
                .signs
                .iter()
                .filter(|sign| told.signs.get(*sign) == Some(&Answer::Yes))
                .map(|sign| sign.as_str())
                .collect();
            let asked_here = there
                .iter()
                .any(|sign| self.seen.contains(&("--sign", (*sign).to_owned())));
            if let (true, [first, _, ..]) = (asked_here, there.as_slice()) {
                self.faults.push(format!(
                    "only one answer to \"{}\" can be true, and {} are given; take one back with for example --sign \
                     {first}=no",
                    question.ask,
                    there.join(" and ")
                ));
            }
        }
    }

    fn sign(&mut self, text: &str, told: &mut Observations) {
        let (id, word) = text.split_once('=').unwrap_or((text, "yes"));
        let (id, word) = (id.trim(), word.trim());
        if !self.first("--sign", id) {
            return;
        }
        let Some((id, _)) = self.base.signs.get_key_value(id) else {
            return self.unknown("sign", "signs", id, self.base.signs.keys());
        };
        match Answer::parse(word) {
            Some(answer) => {
                told.told_anew(id.as_str());
                told.signs.insert(id.clone(), answer);
            }
            None => self.faults.push(format!(
                "--sign {id}: `{word}` is no answer; write {id}, {id}=no, {id}=unsure or {id}=probably"
            )),
        }
    }

    fn reading(&mut self, text: &str, told: &mut Observations) {
        let Some((id, value)) = text.split_once('=') else {
            self.faults.push(format!(
                "--reading {text}: the value is missing; write for example --reading \"{text}=20\""
            ));
            return;
        };
        let (id, value) = (id.trim(), value.trim());
        if !self.first("--reading", id) {
            return;
        }
        let Some((id, reading)) = self.base.readings.get_key_value(id) else {
            return self.unknown("reading", "readings", id, self.base.readings.keys());
        };
        match measured(reading, value) {
            Ok(measured) => {
                told.told_anew(id.as_str());
                told.readings.insert(id.clone(), measured);
            }
            Err(fault) => self.faults.push(format!("--reading {id}: {fault}")),
        }
    }

    fn once<'t>(&mut self, option: &str, words: &'t [String]) -> Option<&'t str> {
        if words.len() > 1 {
            self.faults.push(format!(
                "{option} is given {} times; give it once",
                words.len()
            ));
        }
        words.first().map(String::as_str)
    }

    fn first(&mut self, option: &'static str, id: &str) -> bool {
        let first = self.seen.insert((option, id.to_owned()));
        if !first {
            self.faults
                .push(format!("{option} {id} is given twice; give it once"));
        }
        first
    }

    fn yes_or_no<'t>(&mut self, option: &'static str, text: &'t str) -> Option<(&'t str, bool)> {
        let (id, word) = text.split_once('=').unwrap_or((text, "yes"));
        let (id, word) = (id.trim(), word.trim());
        if !self.first(option, id) {
            return None;
        }
        match word {
            "yes" => Some((id, true)),
            "no" => Some((id, false)),
            _ => {
                self.faults.push(format!(
                    "{option} {id}: `{word}` is neither yes nor no; write {id} or {id}=no"
                ));
                None
            }
        }
    }

    fn unknown<'n, I: std::borrow::Borrow<str> + 'n>(
        &mut self,
        what: &str,
        kind: &str,
        id: &str,
        known: impl Iterator<Item = &'n I>,
    ) {
        self.faults.push(not_known(
            what,
            kind,
            id,
            known.map(std::borrow::Borrow::borrow),
        ));
    }
}

/// That no entry has this name, the nearest that does, and where all of them are listed.
pub fn not_known<'n>(
    what: &str,
    kind: &str,
    id: &str,
    known: impl Iterator<Item = &'n str>,
) -> String {
    let near =
        nearest(id, known).map_or_else(String::new, |near| format!(" did you mean `{near}`?"));
    let id = short(id);
    format!("no {what} is called `{id}`;{near} `blockside knowledge list {kind}` shows all of them")
}

/// A species by its id or any of its names, without regard to case.
///
/// # Errors
/// That there is none, with the nearest name.
pub fn species(base: &KnowledgeBase, word: &str) -> Result<SpeciesId, String> {
    base.species_named(word).cloned().ok_or_else(|| {
        let names = base.species.iter().flat_map(|(id, one)| {
            let also = one.also.iter().map(String::as_str);
            [id.as_str(), one.name.as_str(), one.latin.as_str()]
                .into_iter()
                .chain(also)
        });
        not_known("species", "species", word, names)
    })
}

/// A stage by its id or its name.
///
/// # Errors
/// That there is none, with those there are.
pub fn stage(base: &KnowledgeBase, word: &str) -> Result<StageId, String> {
    base.stage_named(word).cloned().ok_or_else(|| {
        let known: Vec<&str> = base.stages.keys().map(StageId::as_str).collect();
        let near = nearest(&word.trim().to_lowercase(), known.iter().copied())
            .map_or_else(String::new, |near| format!(" did you mean `{near}`?"));
        format!(
            "no stage is called `{}`;{near} there are {}",
            short(word),
            known.join(", ")
        )
    })
}

/// A cause by its id or its name: reports call causes by name.
///
/// # Errors
/// That there is none, with the nearest name.
pub fn cause(base: &KnowledgeBase, word: &str) -> Result<CauseId, String> {
    base.cause_named(word).cloned().ok_or_else(|| {
        let wanted = word.trim().to_lowercase();
        let ids = base.causes.keys().map(CauseId::as_str);
        let names = base.causes.values().map(|one| one.name.as_str());
        let known = if nearest(&wanted, ids.clone()).is_some() {
            ids.collect::<Vec<_>>()
        } else {
            names.collect()
        };
        not_known("cause", "causes", &wanted, known.into_iter())
    })
}

/// A reading as typed, in its unit and within what can be true. Growth may be given as two sizes with their times.
///
/// # Errors
/// What was not understood or cannot be true, and what to write instead.
pub fn measured(reading: &Reading, text: &str) -> Result<Measured, String> {
    let measured = if reading.unit == Unit::MillimetrePerDay && speaks_of_sizes(text) {
        growth(&sizes(text)?)?.measured()
    } else {
        parse_reading(text, reading.unit).map_err(|error| error.to_string())?
    };
    let (least, most) = reading.believable;
    if measured.value < least || measured.value > most {
        return Err(format!(
            "`{text}` cannot be true of {}; it lies between {} and {}",
            reading.name,
            show(least, reading.unit, System::Metric),
            show(most, reading.unit, System::Metric)
        ));
    }
    Ok(measured)
}
