//! The command that goes on with a walk, as it can be pasted.

use std::env;
use std::ffi::{OsStr, OsString};
use std::path::Path;

use crate::report::sanitise;

/// The command that goes on with the answers in this file, with the options that name the knowledge they belong to, and
/// the words that the walk began with.
pub fn command(options: &[OsString], file: &Path, said: &[OsString]) -> String {
    // As it was called this time: it need not be where the shell looks for commands.
    let called = env::args_os().next().unwrap_or_else(|| "blockside".into());
    let words = [called.as_os_str()]
        .into_iter()
        .chain(options.iter().map(OsString::as_os_str))
        .chain(["ask", "--resume"].map(OsStr::new))
        .chain([file.as_os_str()])
        .chain((!said.is_empty()).then_some(OsStr::new("--")))
        .chain(said.iter().map(OsString::as_os_str));
    let quoted: Vec<String> = words.map(|word| quoted(&word.to_string_lossy())).collect();
    sanitise::line(&quoted.join(" ")).into_owned()
}

/// A word as a shell takes it for one.
fn quoted(word: &str) -> String {
    let bare = |letter: char| letter.is_alphanumeric() || "_-./:=@%+,~\\".contains(letter);
    let as_it_is = !word.is_empty()
        && !word.starts_with('~')
        && word
            .chars()
            .all(|letter| bare(letter) && (cfg!(windows) || letter != '\\'));
    if as_it_is {
        word.to_owned()
    } else if cfg!(windows) {
        format!("\"{word}\"")
    } else {
        format!("'{}'", word.replace('\'', r"'\''"))
    }
}

#[cfg(test)]
mod tests {
    use std::path::Path;

    use super::{command, quoted};

    #[test]
    fn the_command_names_the_knowledge_and_the_file() {
        let options = ["--knowledge".into(), "own".into()];
        let command = command(&options, Path::new("kept.toml"), &[]);
        assert!(
            command.ends_with(" --knowledge own ask --resume kept.toml"),
            "{command}"
        );
    }

    #[test]
    fn the_command_says_again_what_the_walk_began_with() {
        let command = command(&[], Path::new("kept.toml"), &["no smell".into()]);
        let wanted = if cfg!(windows) {
            " ask --resume kept.toml -- \"no smell\""
        } else {
            " ask --resume kept.toml -- 'no smell'"
        };
        assert!(command.ends_with(wanted), "{command}");
    }

    #[cfg(not(windows))]
    #[test]
    fn words_are_quoted_where_a_shell_would_split_them() {
        assert_eq!(quoted("/home/a/b-1.toml"), "/home/a/b-1.toml");
        assert_eq!(quoted("my folder"), "'my folder'");
        assert_eq!(quoted("it's"), r"'it'\''s'");
        assert_eq!(quoted("~x"), "'~x'");
        assert_eq!(quoted(""), "''");
    }
}
