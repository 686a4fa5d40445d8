//! Cutting a text into words and numbers, each with its place.

use std::ops::Range;

/// What stands between a token and the one before it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Gap {
    /// A hyphen and nothing else.
    Hyphen,
    /// Blanks, or characters that mean nothing.
    Blank,
    /// A comma, colon, bracket, dash, stroke or the end of a line: the thought goes on.
    Soft,
    /// The end of a sentence or paragraph.
    Hard,
}

/// A word or number of the text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Token {
    /// Its place, in bytes.
    pub span: Range<usize>,
    /// What stands before it.
    pub gap: Gap,
    /// Whether it begins with a digit.
    pub number: bool,
    /// Whether the sentence before it ended with a question mark.
    pub after_question: bool,
}

/// Whether this stands inside words: straight and curly apostrophes.
fn apostrophe(c: char) -> bool {
    matches!(c, '\'' | '\u{2019}' | '\u{2018}' | '\u{2bc}')
}

/// The words and numbers of a text in order, and whether the text ends with a question mark.
///
/// A word is a run of letters, with digits after them ("co2") and apostrophes between them ("isn't"). A number is a run of
/// digits with points and commas between them. Everything else separates; control characters and those without width
/// among it, so that a word that hides one is no word that is known.
pub(super) fn tokens(text: &str) -> (Vec<Token>, bool) {
    let mut found: Vec<Token> = Vec::new();
    let mut gap = Gap::Hard;
    let mut question = false;
    let mut line_ended = false;
    let mut chars = text.char_indices().peekable();
    let mut skip_to = 0;
    while let Some((start, c)) = chars.next() {
        if start < skip_to {
            continue;
        }
        if let Some(length) = no_words(&text[start..], text[..start].chars().next_back()) {
            skip_to = start + length;
            gap = gap.max(Gap::Soft);
            continue;
        }
        let digit = c.is_ascii_digit();
        if !digit && !c.is_alphabetic() {
            let next = chars.peek().map(|(_, next)| *next);
            let before = text[..start].chars().next_back();
            let here = between(c, before, next, &mut line_ended);
            question |= matches!(c, '?' | '\u{ff1f}');
            gap = gap.max(here);
            continue;
        }
        line_ended = false;
        let mut end = start + c.len_utf8();
        let mut separator = 0;
        while let Some(&(at, next)) = chars.peek() {
            let goes_on = if digit {
                next.is_ascii_digit() || (separator == 0 && matches!(next, '.' | ','))
            } else {
                next.is_alphanumeric() || (separator == 0 && apostrophe(next))
            };
            if !goes_on {
                break;
            }
            chars.next();
            if next.is_alphanumeric() {
                end = at + next.len_utf8();
                separator = 0;
            } else {
                separator = at;
            }
        }
        found.push(Token {
            span: start..end,
            gap,
            number: digit,
            after_question: question,
        });
        // Nothing at all between digits and letters ("90rh") joins as a hyphen does.
        gap = if separator > 0 {
            ended_by(&text[separator..])
        } else {
            Gap::Hyphen
        };
        question = false;
    }
    (found, question)
}

/// Bytes of an address or of the mark of a page that begins here; the words in them tell nothing.
fn no_words(rest: &str, before: Option<char>) -> Option<usize> {
    let starts = before.is_none_or(|before| !before.is_alphanumeric());
    if starts
        && ["http://", "https://", "www."]
            .iter()
            .any(|head| rest.starts_with(head))
    {
        return Some(rest.find(char::is_whitespace).unwrap_or(rest.len()));
    }
    let inside = rest.strip_prefix('<')?;
    if !inside.starts_with(|c: char| c.is_ascii_alphabetic() || matches!(c, '/' | '!')) {
        return None;
    }
    let end = inside
        .bytes()
        .take(LONGEST_MARK)
        .position(|byte| byte == b'>')?;
    Some(end + 2)
}

/// Bytes up to which an opening bracket is looked for its closing one.
const LONGEST_MARK: usize = 200;

/// The gap that a separator at the end of a word or number makes: "90." ends a sentence, "90," goes on.
fn ended_by(rest: &str) -> Gap {
    let mut chars = rest.chars();
    match (chars.next(), chars.next()) {
        (Some('.'), None) => Gap::Hard,
        (Some('.'), Some(next)) if next.is_whitespace() => Gap::Hard,
        (Some(','), _) => Gap::Soft,
        _ => Gap::Blank,
    }
}

/// What a character between words does.
fn between(c: char, before: Option<char>, next: Option<char>, line_ended: &mut bool) -> Gap {
    if c == '\n' {
        // An empty line ends a paragraph, and so does a line that is followed by the mark of a list.
        let paragraph = *line_ended || next.is_some_and(|next| matches!(next, '-' | '*' | '•'));
        *line_ended = true;
        let capital = next.is_some_and(char::is_uppercase);
        return if paragraph || capital {
            Gap::Hard
        } else {
            Gap::Soft
        };
    }
    if !c.is_whitespace() {
        *line_ended = false;
    }
    match c {
        '.' if next.is_none_or(|next| next.is_whitespace() || !next.is_alphanumeric()) => Gap::Hard,
        '!' | '?' | ';' | '…' | '\u{ff1f}' | '\u{ff01}' | '\u{3002}' => Gap::Hard,
        ',' | ':' | '(' | ')' | '[' | ']' | '/' | '&' | '+' | '–' | '—' | '|' | '>' | '<' | '='
        | '~' | '•' | '*' => Gap::Soft,
        '-' if before.is_some_and(char::is_alphanumeric)
            && next.is_some_and(char::is_alphanumeric) =>
        {
            Gap::Hyphen
        }
        '-' => Gap::Soft,
        _ => Gap::Blank,
    }
}

#[cfg(test)]
mod tests {
    use crate::describe::token::{Gap, tokens};

    fn words(text: &str) -> Vec<(&str, Gap)> {
        let (found, _) = tokens(text);
        found
            .into_iter()
            .map(|token| (&text[token.span], token.gap))
            .collect()
    }

    #[test]
    fn words_numbers_and_what_stands_between_them() {
        assert_eq!(
            words("It isn’t dry, co2 2.9k. Blue-green?"),
            [
                ("It", Gap::Hard),
                ("isn’t", Gap::Blank),
                ("dry", Gap::Blank),
                ("co2", Gap::Soft),
                ("2.9", Gap::Blank),
                ("k", Gap::Hyphen),
                ("Blue", Gap::Hard),
                ("green", Gap::Hyphen),
            ]
        );
        assert!(tokens("slimy?").1);
        assert!(!tokens("slimy.").1);
    }

    #[test]
    fn hidden_characters_split_a_word_and_addresses_are_none() {
        assert_eq!(words("mou\u{200b}ld").len(), 2);
        assert_eq!(words("see https://example.org/green-mould now").len(), 2);
        assert_eq!(words("<b class=\"green\">spot</b>").len(), 1);
        assert_eq!(words("CO2 < 600 and > 400").len(), 4);
        assert!(words("\u{202e}\u{0}\u{7} ...").is_empty());
    }

    #[test]
    fn a_new_line_ends_a_thought_where_a_list_or_capital_follows() {
        assert_eq!(words("dry\nand")[1].1, Gap::Soft);
        assert_eq!(words("dry\nCaps")[1].1, Gap::Hard);
        assert_eq!(words("dry\n- caps")[1].1, Gap::Hard);
        assert_eq!(words("dry\n\ncaps")[1].1, Gap::Hard);
    }
}
