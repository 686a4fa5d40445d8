//! How lists look at a terminal: which line is meant stands in front of it, and never in its colour alone.

use std::fmt;

use dialoguer::console::Style;
use dialoguer::theme::Theme;

/// Columns that the mark of a list of choices takes.
pub const CHOICE_INDENT: usize = 2;
/// Columns that mark and box of a list of several choices take.
pub const MARKED_INDENT: usize = 6;

/// Marks of plain ASCII, with the line that is meant in colour where colour may be used.
#[derive(Debug, Clone, Copy)]
pub struct Marks {
    /// Whether colour may be used.
    pub colour: bool,
}

impl Marks {
    fn line(self, f: &mut dyn fmt::Write, lead: &str, text: &str, active: bool) -> fmt::Result {
        let mark = if active { '>' } else { ' ' };
        if self.colour && active {
            let style = Style::new().cyan().bold().force_styling(true);
            write!(f, "{}", style.apply_to(format!("{mark} {lead}{text}")))
        } else {
            write!(f, "{mark} {lead}{text}")
        }
    }
}

impl Theme for Marks {
    fn format_select_prompt_item(
        &self,
        f: &mut dyn fmt::Write,
        text: &str,
        active: bool,
    ) -> fmt::Result {
        self.line(f, "", text, active)
    }

    fn format_multi_select_prompt_item(
        &self,
        f: &mut dyn fmt::Write,
        text: &str,
        checked: bool,
        active: bool,
    ) -> fmt::Result {
        self.line(f, if checked { "[x] " } else { "[ ] " }, text, active)
    }
}

#[cfg(test)]
mod tests {
    use dialoguer::theme::Theme;

    use super::{CHOICE_INDENT, MARKED_INDENT, Marks};

    #[test]
    fn the_line_that_is_meant_is_told_without_colour() {
        let marks = Marks { colour: false };
        let mut meant = String::new();
        let mut other = String::new();
        marks
            .format_multi_select_prompt_item(&mut meant, "wet", true, true)
            .and_then(|()| marks.format_multi_select_prompt_item(&mut other, "wet", true, false))
            .expect("a string can be written to");
        assert_eq!((meant.as_str(), other.as_str()), ("> [x] wet", "  [x] wet"));
        assert_eq!(meant.find("wet"), Some(MARKED_INDENT));
        let mut choice = String::new();
        marks
            .format_select_prompt_item(&mut choice, "dry", true)
            .expect("a string can be written to");
        assert_eq!(choice.find("dry"), Some(CHOICE_INDENT));
    }
}
