//! The sheet that readable reports are written on: width, wrapping, indents, colour.
//!
//! Everything that is shown passes through here, so this is the one place where texts are made fit for a terminal.

use anstyle::{AnsiColor, Style};
use textwrap::{Options, WordSeparator, WordSplitter, WrapAlgorithm};

use crate::report::sanitise;

/// The narrowest page.
pub const LEAST_WIDTH: usize = 40;
/// The widest page.
///
/// judgement: longer lines are hard to follow from one to the next.
pub const MOST_WIDTH: usize = 100;

/// How a report is to look.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Look {
    /// Columns, from [`LEAST_WIDTH`] to [`MOST_WIDTH`].
    pub width: usize,
    /// Whether colour may be used.
    pub colour: bool,
    /// Letters of plain ASCII alone.
    pub plain: bool,
    /// Everything in full, with weights and sources.
    pub detail: bool,
}

impl Look {
    /// A page of this width without colour.
    pub fn of_width(width: usize) -> Self {
        Self {
            width: width.clamp(LEAST_WIDTH, MOST_WIDTH),
            colour: false,
            plain: false,
            detail: false,
        }
    }
}

/// What a text is printed in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ink {
    /// As the terminal has it.
    Usual,
    /// Headings and what counts most.
    Strong,
    /// Somebody can be hurt.
    Stop,
    /// Care is needed.
    Care,
    /// Speaks for, or all is well.
    Good,
    /// Side notes.
    Faint,
}

impl Ink {
    fn style(self) -> Style {
        match self {
            Self::Usual => Style::new(),
            Self::Strong => Style::new().bold(),
            Self::Stop => Style::new().bold().fg_color(Some(AnsiColor::Red.into())),
            Self::Care => Style::new().fg_color(Some(AnsiColor::Yellow.into())),
            Self::Good => Style::new().fg_color(Some(AnsiColor::Green.into())),
            Self::Faint => Style::new().dimmed(),
        }
    }
}

/// A sheet being written.
#[derive(Debug, Clone)]
pub struct Page {
    look: Look,
    text: String,
}

impl Page {
    /// An empty sheet.
    pub fn new(look: Look) -> Self {
        Self {
            look,
            text: String::new(),
        }
    }

    /// How it looks.
    pub fn look(&self) -> Look {
        self.look
    }

    /// An empty line, unless there is one already or nothing has been written.
    pub fn blank(&mut self) {
        if !self.text.is_empty() && !self.text.ends_with("\n\n") {
            self.text.push('\n');
        }
    }

    /// A heading, with an empty line before it.
    pub fn heading(&mut self, ink: Ink, text: &str) {
        self.blank();
        self.entry(0, "", ink, text);
    }

    /// A paragraph, every line indented by this many columns.
    pub fn paragraph(&mut self, indent: usize, ink: Ink, text: &str) {
        self.entry(indent, "", ink, text);
    }

    /// A paragraph whose first line begins with a lead; further lines start below the text behind it.
    pub fn entry(&mut self, indent: usize, lead: &str, ink: Ink, text: &str) {
        let lead = self.fit(lead);
        let text = bound(&self.fit(text));
        let margin = " ".repeat(indent);
        let hang = if lead.is_empty() {
            margin.clone()
        } else {
            format!(
                "{margin}{}",
                " ".repeat(textwrap::core::display_width(&lead) + 1)
            )
        };
        let room = self
            .look
            .width
            .saturating_sub(textwrap::core::display_width(&hang))
            .max(10);
        let options = Options::new(room)
            .break_words(true)
            .word_separator(WordSeparator::AsciiSpace)
            // Ids and paths stay whole, so that they can be copied.
            .word_splitter(WordSplitter::NoHyphenation)
            .wrap_algorithm(WrapAlgorithm::FirstFit);
        for (number, line) in textwrap::wrap(&text, options).iter().enumerate() {
            if number > 0 || lead.is_empty() {
                self.text.push_str(&hang);
            } else {
                self.text.push_str(&margin);
                self.painted(ink, &lead);
                self.text.push(' ');
            }
            self.painted(ink, &line.replace(BOUND, " "));
            self.text.push('\n');
        }
    }

    /// A line of a drawing, which is not wrapped: whoever draws it sees to its width.
    pub fn drawn(&mut self, indent: usize, line: &str) {
        let line = self.fit(line);
        self.text.push_str(&" ".repeat(indent));
        self.text.push_str(line.trim_end());
        self.text.push('\n');
    }

    /// A labelled line: the label in faint ink, then the text, wrapped below itself.
    pub fn labelled(&mut self, indent: usize, label: &str, text: &str) {
        // A label of its own column would leave no room on a narrow page: it runs on with the text instead.
        let joined = format!("{label} {text}");
        let start = self.text.len();
        self.entry(indent, "", Ink::Usual, &joined);
        if self.look.colour {
            let label = self.fit(label);
            let from = start + indent;
            if self.text.get(from..from + label.len()) == Some(label.as_str()) {
                let style = Ink::Faint.style();
                let painted = format!("{}{label}{}", style.render(), style.render_reset());
                self.text.replace_range(from..from + label.len(), &painted);
            }
        }
    }

    /// A bar for a share of 0 to 1, as long as the page allows.
    pub fn bar(&self, share: f64) -> String {
        let cells = if self.look.width < 60 { 10 } else { 20 };
        let share = if share.is_finite() {
            share.clamp(0.0, 1.0)
        } else {
            0.0
        };
        // Rounding keeps the bar within half a cell of the number beside it.
        let filled = (share * cells as f64).round() as usize;
        let (full, empty) = if self.look.plain {
            ("#", ".")
        } else {
            ("█", "·")
        };
        full.repeat(filled) + &empty.repeat(cells - filled)
    }

    /// Puts a table of two columns on the page: names, and what is said of each.
    pub fn columns(&mut self, rows: &[(String, String)]) {
        let widest = rows
            .iter()
            .map(|(name, _)| textwrap::core::display_width(name))
            .max()
            .unwrap_or(0);
        // On a narrow page the second column stands below the first.
        if widest + 20 > self.look.width {
            for (name, text) in rows {
                self.entry(0, "", Ink::Strong, name);
                self.entry(4, "", Ink::Usual, text);
            }
            return;
        }
        for (name, text) in rows {
            let gap = widest - textwrap::core::display_width(name);
            self.entry(0, &format!("{name}{} ", " ".repeat(gap)), Ink::Usual, text);
        }
    }

    /// What was written.
    pub fn finish(self) -> String {
        self.text
    }

    fn fit(&self, text: &str) -> String {
        let clean = sanitise::line(text);
        if self.look.plain {
            sanitise::ascii(&clean).into_owned()
        } else {
            clean.into_owned()
        }
    }

    fn painted(&mut self, ink: Ink, text: &str) {
        if self.look.colour && ink != Ink::Usual && !text.is_empty() {
            let style = ink.style();
            self.text
                .push_str(&format!("{}{text}{}", style.render(), style.render_reset()));
        } else {
            self.text.push_str(text);
        }
    }
}

/// A blank at which no line is broken.
const BOUND: &str = "\u{a0}";

/// The text with every number bound to the sign behind it: `5` at the end of a line and `%` on the next is hard to read.
fn bound(text: &str) -> String {
    let mut whole = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(at) = rest.find(' ') {
        let (before, after) = (&rest[..at], &rest[at + 1..]);
        whole.push_str(before);
        let binds = before.ends_with(|c: char| c.is_ascii_digit()) && after.starts_with(['%', '°']);
        whole.push_str(if binds { BOUND } else { " " });
        rest = after;
    }
    whole.push_str(rest);
    whole
}

#[cfg(test)]
mod tests {
    use super::{Ink, Look, Page};

    #[test]
    fn no_line_is_wider_than_the_page() {
        let mut page = Page::new(Look::of_width(40));
        page.entry(
            4,
            "For",
            Ink::Usual,
            &"a very long tale of caps and stems ".repeat(6),
        );
        page.entry(2, "", Ink::Usual, &"x".repeat(150));
        for line in page.finish().lines() {
            assert!(textwrap::core::display_width(line) <= 40, "{line:?}");
        }
    }

    #[test]
    fn a_number_and_its_sign_stay_together() {
        let mut page = Page::new(Look::of_width(40));
        page.paragraph(
            0,
            Ink::Usual,
            "Too much carbon dioxide, for instance 41 % of it",
        );
        page.paragraph(0, Ink::Usual, "The temperature in the chamber is now 21 °C");
        let text = page.finish();
        assert!(text.contains("\n41 % of it\n"), "{text}");
        assert!(text.ends_with("\n21 °C\n"), "{text}");
    }

    #[test]
    fn a_bar_shows_the_share() {
        let page = Page::new(Look {
            plain: true,
            ..Look::of_width(40)
        });
        assert_eq!(page.bar(0.0), "..........");
        assert_eq!(page.bar(0.94), "#########.");
        assert_eq!(page.bar(1.0), "##########");
        assert_eq!(page.bar(f64::NAN), "..........");
    }

    #[test]
    fn escapes_in_a_text_do_not_reach_the_page_though_colour_does() {
        let mut page = Page::new(Look {
            colour: true,
            ..Look::of_width(80)
        });
        page.heading(Ink::Stop, "out\u{1b}[2J");
        let text = page.finish();
        assert!(text.starts_with("\u{1b}[1m") && !text.contains("[2J\u{1b}[2J"));
        assert_eq!(text.matches('\u{1b}').count(), 3, "{text:?}");
    }
}
