//! The command in a folder of its own, for the tests from outside.

use std::fs;
use std::path::PathBuf;
use std::process::{Command, Stdio};

use assert_cmd::cargo::CommandCargoExt;
use tempfile::TempDir;

use crate::small;

/// The command in a world of its own, with the small knowledge base.
pub struct World {
    /// Its folder.
    pub home: TempDir,
}

impl World {
    pub fn new() -> Self {
        Self {
            home: tempfile::tempdir().expect("a folder"),
        }
    }

    /// The command with the built-in knowledge.
    pub fn bare(&self) -> Command {
        let mut command = Command::cargo_bin("blockside").expect("it is built");
        command
            .env_clear()
            .env("BLOCKSIDE_HOME", self.home.path().join("home"))
            .current_dir(self.home.path())
            .stdin(Stdio::null());
        command
    }

    /// Runs it with the small knowledge base.
    pub fn run(&self, args: &[&str]) -> Ran {
        let mut command = self.bare();
        command
            .arg("--knowledge-only")
            .arg(small::folder())
            .args(args);
        Ran::of(command)
    }

    /// Writes a file into the folder.
    pub fn file(&self, name: &str, text: impl AsRef<[u8]>) -> PathBuf {
        let path = self.home.path().join(name);
        fs::write(&path, text).expect("written");
        path
    }

    /// Runs `diagnose` on a file of this content.
    pub fn diagnose(&self, text: impl AsRef<[u8]>) -> Ran {
        let path = self.file("case.toml", text);
        self.run(&["diagnose", path.to_str().expect("a plain path")])
    }
}

/// What a run came to.
pub struct Ran {
    pub status: i32,
    pub out: String,
    pub err: String,
}

impl Ran {
    /// Runs a command to its end; the program must not have failed over a mistake of its own.
    pub fn of(mut command: Command) -> Self {
        let output = command.output().expect("it runs");
        let text = |bytes: Vec<u8>| String::from_utf8(bytes).expect("it writes UTF-8");
        let ran = Self {
            status: output.status.code().expect("it ends by itself"),
            out: text(output.stdout),
            err: text(output.stderr),
        };
        assert!(
            !ran.err.contains("panicked") && !ran.err.contains("mistake of its own"),
            "{}",
            ran.err
        );
        ran
    }

    /// It refused with this status, said each of these, and printed no diagnosis.
    pub fn refused(&self, status: i32, said: &[&str]) {
        assert_eq!(self.status, status, "{}{}", self.out, self.err);
        assert_eq!(self.out, "", "half a diagnosis");
        let flat = self.err.split_whitespace().collect::<Vec<_>>().join(" ");
        for part in said {
            assert!(flat.contains(part), "{part} is missing in: {}", self.err);
        }
    }
}

/// Nothing in the text can steer a terminal or hide.
pub fn assert_clean(text: &str) {
    let stray = text.chars().find(|&letter| {
        (letter.is_control() && letter != '\n') || "\u{202e}\u{200b}".contains(letter)
    });
    assert_eq!(stray, None, "{text:?}");
}
