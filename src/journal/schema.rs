//! What a grower's file says it is.

use toml::de::DeTable;

use crate::knowledge::fields::{Notes, type_name};
use crate::knowledge::problem::ProblemCode;

/// A kind of file that growers write.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FileKind {
    /// What it is called, with its article.
    pub what: &'static str,
    /// What it says it is.
    pub schema: &'static str,
    /// The same without its version.
    pub name: &'static str,
    /// The version alone.
    pub version: u32,
}

impl FileKind {
    /// Whether the file says nothing at all; a note where that is so.
    pub fn is_empty(self, text: &str, notes: &mut Notes<'_>) -> bool {
        let empty = text.trim().is_empty();
        if empty {
            let help = format!("{} begins with `schema = \"{}\"`", self.what, self.schema);
            notes.add(
                ProblemCode::WrongSchema,
                0..0,
                "the file is empty".to_owned(),
                "nothing here",
                Some(help),
            );
        }
        empty
    }

    /// Whether the file is one of this kind and version; a note where it is not.
    pub fn fits(self, table: &DeTable<'_>, notes: &mut Notes<'_>) -> bool {
        let Some(value) = table.get("schema") else {
            // A file that could not be read as TOML is not judged by what it lacks.
            if notes.problems.is_empty() {
                let help = format!("begin the file with `schema = \"{}\"`", self.schema);
                let message = format!("the file does not say that it is {}", self.what);
                notes.add(
                    ProblemCode::WrongSchema,
                    0..0,
                    message,
                    "no `schema`",
                    Some(help),
                );
            }
            return false;
        };
        let written = value.get_ref().as_str();
        if written == Some(self.schema) {
            return true;
        }
        let newer = written
            .and_then(|written| written.strip_prefix(self.name))
            .is_some_and(|version| self.is_newer(version));
        let message = match written {
            Some(written) if newer => {
                format!("`{written}` was written by a newer version of the program")
            }
            Some(written) => format!("`{written}` is not {} of this program", self.what),
            None => format!("`schema` is {}", type_name(value.get_ref())),
        };
        let help = if newer {
            "use that version, or update this one".to_owned()
        } else {
            format!("{} has `schema = \"{}\"`", self.what, self.schema)
        };
        notes.add(
            ProblemCode::WrongSchema,
            value.span(),
            message,
            "another schema",
            Some(help),
        );
        false
    }

    /// Whether a version as written is a later one; one too long to be read is later as well.
    fn is_newer(self, version: &str) -> bool {
        let number = !version.is_empty() && version.bytes().all(|byte| byte.is_ascii_digit());
        number
            && version
                .parse::<u32>()
                .map_or(true, |version| version > self.version)
    }
}
