//! Problems, shown like a compiler's: code, place, the line itself, help.

use std::collections::HashMap;
use std::ops::Range;

use annotate_snippets::renderer::DecorStyle;
use annotate_snippets::{AnnotationKind, Group, Level, Renderer, Snippet};

use crate::knowledge::build::SourceFile;
use crate::knowledge::problem::{Gravity, Problem};
use crate::report::sanitise::{Marks, line};

/// How problems are drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Look {
    /// Without colour.
    Plain,
    /// With colour.
    Coloured,
}

/// All problems, one after another, each with a blank line behind it.
pub fn render_all(problems: &[Problem], files: &[SourceFile], look: Look) -> String {
    let mut sheets = HashMap::new();
    let mut text = String::new();
    for problem in problems {
        let other = problem.other.as_ref().map(|(file, ..)| file);
        for name in [&problem.file].into_iter().chain(other) {
            if let Some(file) = files.iter().rev().find(|file| file.name == *name) {
                sheets
                    .entry(name.as_str())
                    .or_insert_with(|| Sheet::new(&file.text));
            }
        }
        text.push_str(&drawn(problem, &sheets, look));
        text.push_str("\n\n");
    }
    text
}

fn drawn(problem: &Problem, sheets: &HashMap<&str, Sheet>, look: Look) -> String {
    let level = match problem.code.gravity() {
        Gravity::Error => Level::ERROR,
        Gravity::Warning => Level::WARNING,
    };
    let message = message(&problem.message);
    let label = line(&problem.label);
    let path = line(&problem.file);
    let help = problem.help.as_deref().map(line);
    let source = problem
        .span
        .as_ref()
        .and_then(|span| Some(sheets.get(problem.file.as_str())?.at(span)));
    let other = problem.other.as_ref().and_then(|(file, span, words)| {
        Some((line(file), sheets.get(file.as_str())?.at(span), line(words)))
    });

    let title = level.primary_title(message).id(problem.code.name());
    let mut group: Group<'_> = match source {
        Some(place) => title.element(
            Snippet::source(place.line)
                .line_start(place.number)
                .path(path.as_ref())
                .annotation(AnnotationKind::Primary.span(place.span).label(label)),
        ),
        None => title.element(annotate_snippets::Origin::path(path.as_ref())),
    };
    if let Some((file, place, words)) = other {
        group = group.element(
            Snippet::source(place.line)
                .line_start(place.number)
                .path(file.into_owned())
                .annotation(AnnotationKind::Context.span(place.span).label(words)),
        );
    }
    if let Some(help) = help {
        group = group.element(Level::HELP.message(help));
    }
    let renderer = match look {
        Look::Plain => Renderer::plain(),
        Look::Coloured => Renderer::styled(),
    };
    renderer.decor_style(DecorStyle::Ascii).render(&[group])
}

/// The most letters of a message.
///
/// judgement: the longest message of our own has some two hundred; a longer one repeats a name that is no name.
const MOST_LETTERS: usize = 400;

fn message(text: &str) -> String {
    let text = line(text);
    match text.char_indices().nth(MOST_LETTERS) {
        None => text.into_owned(),
        Some((end, _)) => format!("{}…", &text[..end]),
    }
}

/// A file made fit to be shown, with the places of its lines, so that thousands of problems in a file need not read it
/// thousands of times.
struct Sheet {
    text: String,
    starts: Vec<usize>,
}

/// A place on one line of a file.
struct Place<'s> {
    number: usize,
    line: &'s str,
    span: Range<usize>,
}

impl Sheet {
    fn new(text: &str) -> Self {
        let breaks = text.match_indices('\n').map(|(at, _)| at + 1);
        Self {
            text: visible_lines(text),
            starts: [0].into_iter().chain(breaks).collect(),
        }
    }

    fn at(&self, span: &Range<usize>) -> Place<'_> {
        let span = within(span, &self.text);
        let number = self.starts.partition_point(|&start| start <= span.start);
        let start = self.starts[number.saturating_sub(1)];
        let end = self.starts.get(number).copied().unwrap_or(self.text.len());
        Place {
            number,
            line: &self.text[start..end],
            span: span.start - start..span.end - start,
        }
    }
}

/// The first line of a place, so that a whole entry is not drawn for a fault of the entry.
fn within(span: &Range<usize>, text: &str) -> Range<usize> {
    let start = floor(text, span.start.min(text.len()));
    let end = floor(text, span.end.clamp(start, text.len()));
    let end_of_line = text[start..end]
        .find('\n')
        .map_or(end, |place| start + place);
    start..end_of_line
}

fn floor(text: &str, mut at: usize) -> usize {
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}

/// The text with every character that could disturb a terminal replaced by one of the same length in bytes, so that
/// places stay right.
fn visible_lines(text: &str) -> String {
    let mut marks = Marks::default();
    text.chars()
        .map(|letter| {
            let mut bytes = [0; 4];
            let alone: &str = letter.encode_utf8(&mut bytes);
            let fits = marks.fits(letter) && line(alone) == alone;
            if letter == '\n' || letter == '\t' || fits {
                letter.to_string()
            } else if letter == '\r' {
                // It may mark the end of the line.
                " ".to_owned()
            } else {
                "?".repeat(letter.len_utf8())
            }
        })
        .collect()
}
