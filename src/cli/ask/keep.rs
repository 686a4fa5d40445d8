//! Keeps the answers of a walk while it goes on, so that nothing is lost when it is broken off.

use std::ffi::OsString;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};
use std::time::{SystemTime, UNIX_EPOCH};

use crate::cli::ask::answers::{Answers, to_toml};
use crate::cli::ask::{again, leaving};
use crate::cli::exit::Failure;
use crate::cli::home;

/// How the names of the files of walks that were broken off begin.
const UNFINISHED: &str = "unfinished-";
/// How the names of the files of walks that were finished but for what was put off begin.
const HOMEWORK: &str = "homework-";

/// What follows the beginning of a kept file's name; `None` for any other file.
fn kept_name(path: &Path) -> Option<String> {
    let name = path.file_name()?.to_string_lossy().into_owned();
    let rest = name
        .strip_prefix(UNFINISHED)
        .or(name.strip_prefix(HOMEWORK))?;
    Some(rest.to_owned())
}

/// A walk before this one that can be gone on with.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Earlier {
    /// The command that goes on with it.
    pub command: String,
    /// Whether it was finished, but for what was put off.
    pub homework: bool,
}

/// What became of the answers so far.
#[derive(Debug, Clone)]
enum Kept {
    /// There are none yet.
    None,
    /// They are kept, and this command goes on from them.
    Here(String),
    /// There is no place for them.
    Nowhere,
}

/// What became of the answers so far, for whoever breaks the walk off.
static KEPT: Mutex<Kept> = Mutex::new(Kept::None);

fn remember(kept: Kept) {
    *KEPT.lock().unwrap_or_else(PoisonError::into_inner) = kept;
}

/// Keeps the answers so far in a file.
#[derive(Debug)]
pub struct Keeper {
    path: Option<PathBuf>,
    earlier: Option<PathBuf>,
    options: Vec<OsString>,
    /// The words that the walk began with.
    said: Vec<OsString>,
}

impl Keeper {
    /// Finds a place for the answers, and sees to it that Ctrl-C leaves the terminal as it was. A walk that is gone on
    /// with is kept where it was if that is the program's own folder. The options name the knowledge the answers belong
    /// to.
    ///
    /// # Errors
    /// Where Ctrl-C cannot be watched for.
    pub fn new(resumed: Option<&Path>, options: Vec<OsString>) -> Result<Self, Failure> {
        ctrlc::set_handler(|| leave())
            .map_err(|error| Failure::unable(format!("Ctrl-C cannot be watched for: {error}")))?;
        let folder = home::folder();
        let own = |path: &Path| {
            let named = kept_name(path).is_some();
            // Both may be written in several ways.
            let place = |folder: &Path| fs::canonicalize(folder).ok();
            let lies_in = match path.parent() {
                Some(parent) if parent.as_os_str().is_empty() => place(Path::new(".")),
                Some(parent) => place(parent),
                None => None,
            };
            named && lies_in.is_some() && lies_in == folder.as_deref().and_then(place)
        };
        let earlier = folder.as_deref().and_then(latest);
        let path = match resumed.filter(|path| own(path)) {
            Some(path) => Some(path.to_owned()),
            None => folder.map(|folder| folder.join(new_name())),
        };
        Ok(Self {
            path,
            earlier,
            options,
            said: Vec::new(),
        })
    }

    /// The same for a walk that began with these words: whoever goes on with it says them again.
    #[must_use]
    pub fn after(self, said: Option<&str>) -> Self {
        let said = said.map(OsString::from).into_iter().collect();
        Self { said, ..self }
    }

    /// The latest walk before this one that can be gone on with.
    pub fn earlier(&self) -> Option<Earlier> {
        let earlier = self.earlier.as_deref()?;
        let name = earlier.file_name()?.to_string_lossy();
        Some(Earlier {
            command: again::command(&self.options, earlier, &[]),
            homework: name.starts_with(HOMEWORK),
        })
    }

    /// Keeps the answers so far. Where the environment names no folder, nothing is kept; where that failed once, it is
    /// not tried again.
    ///
    /// # Errors
    /// What the operating system says.
    pub fn keep(&mut self, answers: &Answers) -> io::Result<()> {
        // Until they are written.
        remember(Kept::Nowhere);
        let Some(path) = self.path.take() else {
            return Ok(());
        };
        if let Some(folder) = path.parent() {
            home::create(folder)?;
        }
        home::write_whole(&path, &to_toml(answers), true)?;
        remember(Kept::Here(again::command(&self.options, &path, &self.said)));
        self.path = Some(path);
        Ok(())
    }

    /// The walk is over: what was kept is not needed any more, unless something was put off. Gives the command that
    /// takes that up.
    pub fn finished(self, homework: bool) -> Option<String> {
        let path = self.path?;
        if !homework {
            // It may never have been written.
            let _ = fs::remove_file(path);
            return None;
        }
        let kept = path.with_file_name(format!("{HOMEWORK}{}", kept_name(&path)?));
        // A file that cannot be renamed stays under its old name.
        let kept = match fs::rename(&path, &kept) {
            Ok(()) => kept,
            Err(_) if path.is_file() => path,
            Err(_) => return None,
        };
        Some(again::command(&self.options, &kept, &self.said))
    }
}

/// A name that no other walk uses: the seconds since 1970 and the number of this process.
fn new_name() -> String {
    let seconds = SystemTime::now()
        .duration_since(UNIX_EPOCH)
        .map_or(0, |since| since.as_secs());
    format!("{UNFINISHED}{seconds}-{}.toml", std::process::id())
}

/// The latest kept file: their names sort by time.
fn latest(folder: &Path) -> Option<PathBuf> {
    fs::read_dir(folder)
        .ok()?
        .filter_map(|entry| Some(entry.ok()?.path()))
        .filter_map(|path| Some((kept_name(&path)?, path)))
        .max()
        .map(|(_, path)| path)
}

/// What to say where the walk could not go on. The command stands on a line of its own, however long, so that it can be
/// pasted.
fn farewell() -> String {
    let kept = KEPT.lock().unwrap_or_else(PoisonError::into_inner).clone();
    match kept {
        Kept::None => "broken off; nothing was answered yet".to_owned(),
        Kept::Nowhere => "broken off; there was no place to keep your answers in".to_owned(),
        Kept::Here(command) => {
            format!("broken off; your answers so far are kept. To go on:\n  {command}")
        }
    }
}

/// Ends the program after Ctrl-C with the cursor shown again.
fn leave() -> ! {
    leaving::leave(&farewell())
}

/// What an error of the terminal means: Ctrl-C, nobody reading, or a terminal that went away.
pub fn broken_off(error: &io::Error) -> Failure {
    match error.kind() {
        // The terminal hands Ctrl-C to this thread as well as to the handler.
        io::ErrorKind::Interrupted => leave(),
        io::ErrorKind::BrokenPipe => Failure::writing(error),
        _ => Failure::drawn(format!(
            "blockside: no answer could be had ({error}); {}\n",
            farewell()
        )),
    }
}
