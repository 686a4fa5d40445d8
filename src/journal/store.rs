//! The journal on disk: one file a case, in a folder that its owner alone can read.
//!
//! A case that was confirmed is on the disk, whole, whatever happens next: files are written beside their place and
//! renamed into it, and file and folder are synced before anything is confirmed. One process writes at a time; reading
//! needs no lock. A file that cannot be understood is set aside, never deleted.

mod error;
pub mod file;
mod id;
pub mod lock;
pub mod read;

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::io::{self, Read};
use std::path::{Path, PathBuf};
use std::time::Duration;

use crate::journal::kept::KeptCase;
use crate::journal::store::file::{clear_unfinished, create_folder, move_aside, write_whole};
use crate::journal::store::lock::Lock;
use crate::journal::store::read::{Fault, parse};

pub use crate::journal::store::error::StoreError;
pub use crate::journal::store::id::is_id;

/// The folder of cases within the data folder.
const CASES: &str = "cases";
/// The folder of damaged files within that of the cases.
const DAMAGED: &str = "damaged";
/// What a case's name ends with.
const ENDING: &str = ".toml";
/// The largest file of a case.
///
/// judgement: a case that answers every sign there is takes some twenty kilobytes, and each follow-up some more.
pub const MOST_BYTES: u64 = 1024 * 1024;

/// A journal.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Store {
    folder: PathBuf,
}

/// Everything that is kept, and what could not be read.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Shelf {
    /// The cases, oldest first.
    pub cases: Vec<KeptCase>,
    /// Files that are no cases.
    pub faults: Vec<FaultyFile>,
}

/// A file that is no case this program can read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FaultyFile {
    /// The id it would have.
    pub id: String,
    /// What is wrong with it.
    pub why: Fault,
    /// Where it was moved to; `None` where it was left as it is.
    pub moved_to: Option<PathBuf>,
}

/// What became of a case that was brought in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum BroughtIn {
    /// It was kept under this id.
    New(String),
    /// Its id was taken by another case; it was kept under the second.
    Renamed(String, String),
    /// The same case is kept already under this id.
    Duplicate(String),
}

impl Store {
    /// The journal in a data folder, which need not be there.
    pub fn within(data: &Path) -> Self {
        Self {
            folder: data.join(CASES),
        }
    }

    /// The folder of its cases.
    pub fn folder(&self) -> &Path {
        &self.folder
    }

    /// Reads every case. Damaged files are set aside, if nobody else is writing.
    ///
    /// # Errors
    /// Where the folder is there and cannot be read.
    pub fn all(&self) -> Result<Shelf, StoreError> {
        let mut shelf = Shelf::default();
        for id in self.ids()? {
            match self.read(&id)? {
                None => {}
                Some(Ok(case)) => shelf.cases.push(case),
                Some(Err(Fault::Damaged(_))) => self.set_aside(id, &mut shelf),
                Some(Err(why)) => shelf.faults.push(FaultyFile {
                    id,
                    why,
                    moved_to: None,
                }),
            }
        }
        Ok(shelf)
    }

    /// Reads every case that is sound, and leaves the others where they are.
    ///
    /// # Errors
    /// Where the folder is there and cannot be read.
    pub fn sound(&self) -> Result<Vec<KeptCase>, StoreError> {
        let mut cases = Vec::new();
        for id in self.ids()? {
            if let Some(Ok(case)) = self.read(&id)? {
                cases.push(case);
            }
        }
        Ok(cases)
    }

    /// The id that a word stands for: it may be cut short at either end where only one is meant.
    ///
    /// # Errors
    /// That there is none, or more than one; or that the folder cannot be read.
    pub fn id_of(&self, word: &str) -> Result<String, StoreError> {
        let ids = self.ids()?;
        match id::meant(word, ids.iter().map(String::as_str)).as_slice() {
            [] => Err(StoreError::NoSuch(word.chars().take(40).collect())),
            [id] => Ok((*id).to_owned()),
            several => Err(StoreError::Several {
                word: word.to_owned(),
                ids: several.iter().map(|id| (*id).to_owned()).collect(),
            }),
        }
    }

    /// The case that a word stands for.
    ///
    /// # Errors
    /// As [`Store::id_of`], and where the case is damaged.
    pub fn find(&self, word: &str) -> Result<KeptCase, StoreError> {
        let id = self.id_of(word)?;
        match self.read(&id)? {
            Some(Ok(case)) => Ok(case),
            _ => Err(StoreError::Gone(id)),
        }
    }

    /// Keeps a new case and returns its id, once it is on the disk.
    ///
    /// # Errors
    /// Where it cannot be written; then nothing is kept of it.
    pub fn add(&self, case: KeptCase) -> Result<String, StoreError> {
        let _lock = self.lock()?;
        let id = id::next(case.kept.at.date(), &self.taken()?);
        self.write_new(&id, case)?;
        Ok(id)
    }

    /// Changes a kept case and returns it as it then is, once it is on the disk.
    ///
    /// # Errors
    /// Where it cannot be read or written; then it stays as it was.
    pub fn change(
        &self,
        id: &str,
        alter: impl FnOnce(&mut KeptCase),
    ) -> Result<KeptCase, StoreError> {
        let _lock = self.lock()?;
        // Read again under the lock: another process may have changed it since it was shown.
        let Some(Ok(mut case)) = self.read(id)? else {
            return Err(StoreError::Gone(id.to_owned()));
        };
        alter(&mut case);
        let path = self.path(id);
        write_whole(&path, &case.to_toml(), true)
            .map_err(|error| StoreError::writing(&path, error))?;
        Ok(case)
    }

    /// Keeps cases from another journal. Nothing is overwritten; a case that is here already is not kept twice.
    ///
    /// # Errors
    /// Where one cannot be written; those before it are kept, and will be known as duplicates the next time.
    pub fn bring_in(&self, cases: Vec<KeptCase>) -> Result<Vec<BroughtIn>, StoreError> {
        let _lock = self.lock()?;
        let mut taken = self.taken()?;
        // What a case says, but for its id.
        let said = |case: &KeptCase| {
            let mut case = case.clone();
            case.kept.id.clear();
            case.to_toml()
        };
        let here = self.sound()?;
        let mut here: BTreeMap<String, String> = here
            .iter()
            .map(|case| (said(case), case.kept.id.clone()))
            .collect();
        let mut outcomes = Vec::new();
        for case in cases {
            let wanted = case.kept.id.clone();
            let text = said(&case);
            if let Some(id) = here.get(&text) {
                outcomes.push(BroughtIn::Duplicate(id.clone()));
                continue;
            }
            let free = is_id(&wanted) && !taken.contains(&wanted);
            let id = if free {
                wanted.clone()
            } else {
                id::next(case.kept.at.date(), &taken)
            };
            self.write_new(&id, case)?;
            taken.insert(id.clone());
            here.insert(text, id.clone());
            outcomes.push(if free {
                BroughtIn::New(id)
            } else {
                BroughtIn::Renamed(wanted, id)
            });
        }
        Ok(outcomes)
    }

    fn write_new(&self, id: &str, mut case: KeptCase) -> Result<(), StoreError> {
        let path = self.path(id);
        id.clone_into(&mut case.kept.id);
        write_whole(&path, &case.to_toml(), false)
            .map_err(|error| StoreError::writing(&path, error))
    }

    /// The right to write. What a process that was killed left half written is cleared away: nobody else is writing now.
    fn lock(&self) -> Result<Lock, StoreError> {
        create_folder(&self.folder).map_err(|error| StoreError::writing(&self.folder, error))?;
        let lock = Lock::take(&self.folder)?;
        clear_unfinished(&self.folder);
        Ok(lock)
    }

    /// Ids of the files there are, oldest first.
    fn ids(&self) -> Result<Vec<String>, StoreError> {
        let mut ids: Vec<String> = self
            .names(&self.folder)?
            .into_iter()
            .filter_map(|name| Some(name.strip_suffix(ENDING)?.to_owned()))
            .filter(|id| is_id(id))
            .collect();
        ids.sort();
        Ok(ids)
    }

    /// Ids that must not be given again: those in use, and those of files that were set aside.
    fn taken(&self) -> Result<BTreeSet<String>, StoreError> {
        let aside = self.names(&self.folder.join(DAMAGED))?;
        let aside = aside
            .into_iter()
            .filter_map(|name| Some(name.split_once('.')?.0.to_owned()));
        Ok(self.ids()?.into_iter().chain(aside).collect())
    }

    fn names(&self, folder: &Path) -> Result<Vec<String>, StoreError> {
        let fault = |error| StoreError::reading(folder, error);
        let entries = match fs::read_dir(folder) {
            Ok(entries) => entries,
            Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(Vec::new()),
            Err(error) => return Err(fault(error)),
        };
        let mut names = Vec::new();
        for entry in entries {
            names.extend(entry.map_err(fault)?.file_name().into_string());
        }
        Ok(names)
    }

    fn path(&self, id: &str) -> PathBuf {
        self.folder.join(format!("{id}{ENDING}"))
    }

    /// Reads one case; `None` where there is no such file any more, or it is none.
    fn read(&self, id: &str) -> Result<Option<Result<KeptCase, Fault>>, StoreError> {
        let path = self.path(id);
        // A link would lead out of the folder.
        match fs::symlink_metadata(&path) {
            Ok(found) if found.is_file() => {}
            _ => return Ok(None),
        }
        let mut bytes = Vec::new();
        let read = fs::File::open(&path)
            .and_then(|file| file.take(MOST_BYTES + 1).read_to_end(&mut bytes));
        match read {
            Ok(_) => {}
            Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(None),
            Err(error) => return Err(StoreError::reading(&path, error)),
        }
        if bytes.len() as u64 > MOST_BYTES {
            let why = Fault::Damaged("it is far larger than a case".to_owned());
            return Ok(Some(Err(why)));
        }
        let Ok(text) = String::from_utf8(bytes) else {
            return Ok(Some(Err(Fault::Damaged("it is not UTF-8 text".to_owned()))));
        };
        Ok(Some(parse(&text).map(|mut case| {
            // The name of the file counts.
            id.clone_into(&mut case.kept.id);
            case
        })))
    }

    /// Moves a damaged file aside, if nobody is writing and it is still damaged.
    fn set_aside(&self, id: String, shelf: &mut Shelf) {
        let locked = Lock::within(&self.folder, Duration::ZERO);
        let why = match self.read(&id) {
            Ok(Some(Ok(case))) => return shelf.cases.push(case),
            Ok(Some(Err(why))) => why,
            Ok(None) | Err(_) => return,
        };
        let moved_to = locked.ok().and_then(|_lock| self.moved(&id).ok());
        shelf.faults.push(FaultyFile { id, why, moved_to });
    }

    fn moved(&self, id: &str) -> io::Result<PathBuf> {
        let folder = self.folder.join(DAMAGED);
        create_folder(&folder)?;
        let mut number = 0_u32;
        loop {
            let name = match number {
                0 => format!("{id}{ENDING}"),
                number => format!("{id}.{number}{ENDING}"),
            };
            let to = folder.join(name);
            match move_aside(&self.path(id), &to) {
                Err(error) if error.kind() == io::ErrorKind::AlreadyExists => number += 1,
                other => return other.map(|()| to),
            }
        }
    }
}
