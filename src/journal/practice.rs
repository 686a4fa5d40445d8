//! What helpers practised: one file for each, in a folder that its owner alone can read.
//!
//! A round that was finished is on the disk, whole, whatever happens next, as with kept cases. A file that cannot be
//! understood is set aside, never deleted.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use crate::journal::moment::Moment;
use crate::journal::store::StoreError;
use crate::journal::store::file::{UNFINISHED, create_folder, move_aside, write_whole};
use crate::journal::store::lock::Lock;

/// The folder within the data folder.
const FOLDER: &str = "practice";
/// The folder of damaged files within that.
const DAMAGED: &str = "damaged";
/// What a file's name ends with.
const ENDING: &str = ".toml";
/// What a file says it is, without its version.
const SCHEMA: &str = "blockside.practice-record/";
/// The version.
const VERSION: u32 = 1;
/// The largest file that is read.
///
/// judgement: a round takes less than a kilobyte; this holds more than anybody practises.
const MOST_BYTES: u64 = 16 * 1024 * 1024;
/// The longest name of a helper, in letters.
const LONGEST_NAME: usize = 40;

/// What a helper practised.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Record {
    /// What it says it is.
    pub schema: String,
    /// The helper's name, as first given.
    pub helper: String,
    /// What is mixed up, and when it is due again.
    #[serde(default, rename = "pair")]
    pub pairs: Vec<KeptPair>,
    /// The finished rounds, oldest first.
    #[serde(default, rename = "round")]
    pub rounds: Vec<KeptRound>,
}

/// A finished round. Names of the knowledge are texts: later knowledge may not have them any more.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct KeptRound {
    /// When it was finished.
    pub at: Moment,
    /// The seed of its case, as digits: it may be larger than a number of TOML.
    pub seed: String,
    /// The seed of the exam it was a part of.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub exam: Option<String>,
    /// How hard it was, in a word.
    pub level: String,
    /// The topic asked for.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub topic: Option<String>,
    /// Fingerprint of the knowledge.
    pub knowledge: String,
    /// What was the case.
    pub causes: Vec<String>,
    /// Points of 100.
    pub points: f64,
    /// What the causes named were worth, -1 to 1.
    pub cause_share: f64,
    /// What the cautions named were worth, 0 to 1; none where none was due.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub caution_share: Option<f64>,
    /// What the first action was worth, 0 to 1.
    pub action_share: f64,
    /// Cautions that were missed.
    #[serde(default)]
    pub missed: Vec<String>,
    /// How many checks were made.
    pub checks: u32,
    /// What they were worth, in bits.
    pub bits: f64,
    /// What the best ones were worth.
    pub best_bits: f64,
    /// What was named.
    #[serde(default)]
    pub named: Vec<KeptNamed>,
}

/// A cause that was named.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct KeptNamed {
    /// Which.
    pub cause: String,
    /// How sure the helper was, 0 to 1.
    pub confidence: f64,
    /// Whether it was there.
    pub there: bool,
}

/// Two causes that were mixed up, with how far they have been learned.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct KeptPair {
    /// One of them, the first by name.
    pub one: String,
    /// The other.
    pub other: String,
    /// Right answers in a row.
    pub repetitions: u32,
    /// The factor by which intervals grow.
    pub easiness: f64,
    /// Days between the last answer and when it is due.
    pub interval: u32,
    /// Whether it is due the same day.
    pub again: bool,
    /// When it is due.
    pub due: Date,
}

/// A file that was damaged and set aside.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SetAside {
    /// What is wrong with it.
    pub why: String,
    /// Where it is now; where it was, if it could not be moved.
    pub to: PathBuf,
}

/// What helpers practised.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Records {
    folder: PathBuf,
}

impl Records {
    /// Those of a data folder, which need not be there.
    pub fn within(data: &Path) -> Self {
        Self {
            folder: data.join(FOLDER),
        }
    }

    /// The helpers there are, in the order of their names.
    ///
    /// # Errors
    /// Where the folder is there and cannot be read.
    pub fn helpers(&self) -> Result<Vec<String>, StoreError> {
        let fault = |error| StoreError::reading(&self.folder, error);
        let entries = match fs::read_dir(&self.folder) {
            Ok(entries) => entries,
            Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(Vec::new()),
            Err(error) => return Err(fault(error)),
        };
        let mut names = Vec::new();
        for entry in entries {
            let name = entry.map_err(fault)?.file_name();
            let name = name.to_string_lossy();
            names.extend(
                name.strip_suffix(ENDING)
                    .filter(|stem| file_name(stem).as_deref() == Some(stem))
                    .map(str::to_owned),
            );
        }
        names.sort();
        Ok(names)
    }

    /// What a helper practised, nothing where there is no file; with what was damaged and set aside.
    ///
    /// # Errors
    /// Where the file is there and cannot be read, or was written by a newer version.
    pub fn read(&self, helper: &str) -> Result<(Record, Option<SetAside>), StoreError> {
        match self.look(helper)? {
            Ok(record) => Ok((record, None)),
            Err(why) => {
                let _lock = Lock::take(&self.folder)?;
                // Another process may have put it right meanwhile.
                match self.look(helper)? {
                    Ok(record) => Ok((record, None)),
                    Err(_) => Ok((fresh(helper), Some(self.set_aside(helper, why)))),
                }
            }
        }
    }

    /// Changes what a helper practised, and returns it as it then is, once it is on the disk.
    ///
    /// # Errors
    /// Where it cannot be read or written; then it stays as it was.
    pub fn change(
        &self,
        helper: &str,
        alter: impl FnOnce(&mut Record),
    ) -> Result<Record, StoreError> {
        create_folder(&self.folder).map_err(|error| StoreError::writing(&self.folder, error))?;
        let _lock = Lock::take(&self.folder)?;
        self.clear_unfinished();
        let mut record = match self.look(helper)? {
            Ok(record) => record,
            Err(why) => {
                self.set_aside(helper, why);
                fresh(helper)
            }
        };
        alter(&mut record);
        let path = self.path(helper);
        let text = toml::to_string(&record).map_err(|error| {
            let error = io::Error::new(io::ErrorKind::InvalidData, error.to_string());
            StoreError::writing(&path, error)
        })?;
        write_whole(&path, &text, true).map_err(|error| StoreError::writing(&path, error))?;
        Ok(record)
    }

    /// What a process that was killed left half written: nobody else is writing now.
    fn clear_unfinished(&self) {
        let entries = fs::read_dir(&self.folder).into_iter().flatten().flatten();
        for entry in entries {
            if entry.file_name().to_string_lossy().starts_with(UNFINISHED) {
                // Whatever cannot be cleared away does no harm.
                let _ = fs::remove_file(entry.path());
            }
        }
    }

    fn path(&self, helper: &str) -> PathBuf {
        let name = file_name(helper).unwrap_or_default();
        self.folder.join(format!("{name}{ENDING}"))
    }

    /// Reads a file; inside, why it is damaged.
    fn look(&self, helper: &str) -> Result<Result<Record, String>, StoreError> {
        let path = self.path(helper);
        let bytes = match fs::symlink_metadata(&path) {
            Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(Ok(fresh(helper))),
            Err(error) => return Err(StoreError::reading(&path, error)),
            // A link would lead out of the folder.
            Ok(found) if !found.is_file() => return Ok(Err("it is no file".to_owned())),
            Ok(found) if found.len() > MOST_BYTES => {
                return Ok(Err("it is far too large".to_owned()));
            }
            Ok(_) => fs::read(&path).map_err(|error| StoreError::reading(&path, error))?,
        };
        let Ok(text) = String::from_utf8(bytes) else {
            return Ok(Err("it is not UTF-8 text".to_owned()));
        };
        let newer = text.parse::<toml::Table>().ok().and_then(|table| {
            let schema = table.get("schema")?.as_str()?;
            Some(schema.strip_prefix(SCHEMA)?.parse::<u32>().ok()? > VERSION)
        });
        if newer == Some(true) {
            let error = "it was written by a newer version of the program";
            let error = io::Error::new(io::ErrorKind::InvalidData, error);
            return Err(StoreError::reading(&path, error));
        }
        Ok(parse(&text))
    }

    /// Moves a damaged file aside.
    fn set_aside(&self, helper: &str, why: String) -> SetAside {
        let from = self.path(helper);
        let folder = self.folder.join(DAMAGED);
        let name = file_name(helper).unwrap_or_default();
        let moved = create_folder(&folder).and_then(|()| {
            let mut number = 0_u32;
            loop {
                let to = folder.join(match number {
                    0 => format!("{name}{ENDING}"),
                    number => format!("{name}.{number}{ENDING}"),
                });
                match move_aside(&from, &to) {
                    Err(error) if error.kind() == io::ErrorKind::AlreadyExists => number += 1,
                    other => return other.map(|()| to),
                }
            }
        });
        SetAside {
            why,
            to: moved.unwrap_or(from),
        }
    }
}

/// Nothing practised yet.
fn fresh(helper: &str) -> Record {
    Record {
        schema: format!("{SCHEMA}{VERSION}"),
        helper: helper.trim().to_owned(),
        ..Record::default()
    }
}

fn parse(text: &str) -> Result<Record, String> {
    let record: Record = toml::from_str(text).map_err(|error| error.message().to_owned())?;
    if record.schema != format!("{SCHEMA}{VERSION}") {
        return Err(format!(
            "it does not begin with `schema = \"{SCHEMA}{VERSION}\"`"
        ));
    }
    let rounds = record.rounds.iter();
    let shares = rounds
        .clone()
        .flat_map(|round| &round.named)
        .map(|named| named.confidence);
    if !shares.clone().all(|share| (0.0..=1.0).contains(&share)) {
        return Err("a confidence lies outside 0 to 1".to_owned());
    }
    let mut numbers = rounds.flat_map(|round| [round.points, round.bits, round.best_bits]);
    let easy = record.pairs.iter().all(|pair| pair.easiness.is_finite());
    if !easy || !numbers.all(f64::is_finite) {
        return Err("a number in it is none".to_owned());
    }
    Ok(record)
}

/// What a helper's file is called: small letters, digits and hyphens; `None` where a name has none of these or is too
/// long. Names that differ in capitals or blanks alone are one helper's.
pub fn file_name(helper: &str) -> Option<String> {
    if helper.chars().count() > LONGEST_NAME {
        return None;
    }
    let words: Vec<String> = helper
        .split(|letter: char| !letter.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .map(str::to_lowercase)
        .collect();
    (!words.is_empty()).then(|| words.join("-"))
}

#[cfg(test)]
mod tests {
    use super::file_name;

    #[test]
    fn a_name_cannot_lead_out_of_the_folder() {
        assert_eq!(file_name("Anna B."), Some("anna-b".to_owned()));
        assert_eq!(file_name("../../etc/passwd"), Some("etc-passwd".to_owned()));
        assert_eq!(file_name("Šárka"), Some("šárka".to_owned()));
        for none in ["", "..", " ", "/", &"x".repeat(41)] {
            assert_eq!(file_name(none), None, "{none}");
        }
    }
}
