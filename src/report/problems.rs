//! Problems, shown like a compiler's: code, place, the line itself, help.

use std::ops::Range;

use annotate_snippets::renderer::DecorStyle;
use annotate_snippets::{AnnotationKind, Group, Level, Renderer, Snippet};

use crate::knowledge::build::SourceFile;
use crate::knowledge::problem::{Gravity, Problem};
use crate::report::sanitise::line;

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
    let mut text = String::new();
    for problem in problems {
        text.push_str(&render(problem, files, look));
        text.push_str("\n\n");
    }
    text
}

/// One problem.
pub fn render(problem: &Problem, files: &[SourceFile], look: Look) -> String {
    let level = match problem.code.gravity() {
        Gravity::Error => Level::ERROR,
        Gravity::Warning => Level::WARNING,
    };
    let text_of = |name: &str| {
        files
            .iter()
            .rev()
            .find(|file| file.name == name)
            .map(|file| visible_lines(&file.text))
    };
    let message = line(&problem.message);
    let label = line(&problem.label);
    let path = line(&problem.file);
    let help = problem.help.as_deref().map(line);
    let source = problem
        .span
        .clone()
        .and_then(|span| text_of(&problem.file).map(|text| (text, span)));
    let other = problem.other.as_ref().and_then(|(file, span, words)| {
        text_of(file).map(|text| (line(file), text, span.clone(), line(words)))
    });

    let title = level.primary_title(message).id(problem.code.name());
    let mut group: Group<'_> = match &source {
        Some((text, span)) => title.element(
            Snippet::source(text.as_str())
                .path(path.as_ref())
                .annotation(
                    AnnotationKind::Primary
                        .span(within(span, text))
                        .label(label),
                ),
        ),
        None => title.element(annotate_snippets::Origin::path(path.as_ref())),
    };
    if let Some((file, text, span, words)) = &other {
        group = group.element(
            Snippet::source(text.as_str())
                .path(file.as_ref())
                .annotation(
                    AnnotationKind::Context
                        .span(within(span, text))
                        .label(words.as_ref()),
                ),
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
    text.chars()
        .map(|letter| {
            let mut bytes = [0; 4];
            let alone: &str = letter.encode_utf8(&mut bytes);
            if letter == '\n' || letter == '\t' || line(alone) == alone {
                letter.to_string()
            } else {
                "?".repeat(letter.len_utf8())
            }
        })
        .collect()
}
