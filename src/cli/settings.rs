//! What a grower says once for all commands: species, profile and units, in a file of their own.
//!
//! They stand in for what a command line leaves open. A case file stands by itself: what it does not say stays open.

use std::io;
use std::path::{Path, PathBuf};

use crate::cli::exit::Failure;
use crate::cli::home::{self, named};
use crate::knowledge::problem::nearest;
use crate::knowledge::read::read_text;

/// The name of the file.
const FILE: &str = "settings.toml";
/// Every key.
const KEYS: [&str; 4] = ["species", "profile", "units", "plain"];
/// The largest file of settings: a few lines.
const MOST_BYTES: u64 = 64 * 1024;

/// Settings.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Settings {
    /// The file they are from, if there is one.
    pub file: Option<PathBuf>,
    /// The species, by any of its names.
    pub species: Option<String>,
    /// The profile of the chamber; a path that is not absolute starts at the file of settings.
    pub profile: Option<PathBuf>,
    /// The units for the numbers shown, by the word that `--units` takes.
    pub units: Option<String>,
    /// Plain ASCII letters, no colour.
    pub plain: bool,
}

/// Where the file is looked for: `BLOCKSIDE_HOME`, or else the platform's folder for settings. Nothing where the
/// environment names no place.
pub fn place() -> Option<PathBuf> {
    if named("BLOCKSIDE_HOME").is_some() || cfg!(windows) || cfg!(target_os = "macos") {
        return home::folder().map(|folder| folder.join(FILE));
    }
    // The base directory standard keeps settings apart from data, and asks that a relative path be passed over.
    named("XDG_CONFIG_HOME")
        .filter(|folder| folder.is_absolute())
        .or_else(|| named("HOME").map(|home| home.join(".config")))
        .map(|folder| folder.join("blockside").join(FILE))
}

/// Reads the settings; none at all where there is no file.
///
/// # Errors
/// Where the file is there and cannot be read, or says something that is no setting.
pub fn read() -> Result<Settings, Failure> {
    match place() {
        Some(path) if exists(&path) => read_from(&path),
        _ => Ok(Settings::default()),
    }
}

fn exists(path: &Path) -> bool {
    // A file that may not be looked at is worth a word; one that is not there is none.
    !matches!(path.metadata(), Err(error) if error.kind() == io::ErrorKind::NotFound
        || error.kind() == io::ErrorKind::NotADirectory)
}

fn read_from(path: &Path) -> Result<Settings, Failure> {
    let text = read_text(path, MOST_BYTES)?;
    parse(path, &text).map_err(|fault| {
        Failure::unable(format!(
            "the settings in `{}` cannot be used: {fault}",
            path.display()
        ))
    })
}

/// Reads the text of the file at this path.
///
/// # Errors
/// What is no setting, with the nearest that is.
pub fn parse(path: &Path, text: &str) -> Result<Settings, String> {
    let table: toml::Table = text
        .parse()
        .map_err(|error: toml::de::Error| error.message().to_owned())?;
    if let Some(key) = table.keys().find(|key| !KEYS.contains(&key.as_str())) {
        let near = nearest(key, KEYS.into_iter())
            .map_or_else(String::new, |near| format!(" did you mean `{near}`?"));
        return Err(format!(
            "there is no setting `{}`;{near} there are {}",
            crate::report::sanitise::short(key),
            KEYS.join(", ")
        ));
    }
    let word = |key: &str| match table.get(key) {
        None => Ok(None),
        Some(toml::Value::String(word)) => Ok(Some(word.clone())),
        Some(_) => Err(format!("`{key}` is a text in quotation marks")),
    };
    let plain = match table.get("plain") {
        None => false,
        Some(toml::Value::Boolean(plain)) => *plain,
        Some(_) => return Err("`plain` is true or false".to_owned()),
    };
    let folder = path.parent().unwrap_or(Path::new(""));
    Ok(Settings {
        file: Some(path.to_owned()),
        species: word("species")?,
        profile: word("profile")?.map(|profile| folder.join(profile)),
        units: word("units")?,
        plain,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_profile_is_found_beside_the_settings() {
        let read = parse(
            Path::new("/home/me/settings.toml"),
            "species = \"enoki\"\nprofile = \"tent.toml\"\nunits = \"us\"\n",
        )
        .expect("good");
        assert_eq!(read.profile, Some(PathBuf::from("/home/me/tent.toml")));
        assert_eq!(read.units.as_deref(), Some("us"));
        assert!(!read.plain);
    }

    #[test]
    fn what_is_no_setting_is_named_with_the_nearest_that_is() {
        let refused = |text: &str| parse(Path::new("s.toml"), text).expect_err("faulty");
        assert!(refused("specie = \"enoki\"\n").contains("did you mean `species`?"));
        assert!(refused("plain = 3\n").contains("true or false"));
        assert!(!refused("species = \n").is_empty());
    }
}
