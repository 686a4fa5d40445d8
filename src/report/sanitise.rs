//! Keeps characters that could steer a terminal, or hide text, out of everything that is shown.
//!
//! Case files and knowledge folders come from anywhere. A text from them must not be able to move the cursor, change
//! colours, reverse the reading direction or slip in letters that nobody can see.

use std::borrow::Cow;

/// Shown in place of a control character.
const REPLACEMENT: char = '\u{fffd}';

/// The text on one line: line breaks and tabs become blanks, what steers a terminal is replaced, what is invisible
/// is left out.
pub fn line(text: &str) -> Cow<'_, str> {
    cleaned(text, |letter| {
        if matches!(letter, '\n' | '\t') {
            Some(' ')
        } else {
            shown(letter)
        }
    })
}

/// The text with its line breaks: what steers a terminal is replaced, what is invisible is left out.
pub fn block(text: &str) -> Cow<'_, str> {
    cleaned(text, |letter| match letter {
        '\n' => Some('\n'),
        '\t' => Some(' '),
        other => shown(other),
    })
}

/// The most letters of a name that is not known which are repeated.
///
/// judgement: twice the longest name there is; whoever wrote more knows it by its beginning.
const MOST_REPEATED: usize = 80;

/// The beginning of a text that may be far too long to be repeated.
pub fn short(text: &str) -> Cow<'_, str> {
    match text.char_indices().nth(MOST_REPEATED) {
        None => Cow::Borrowed(text),
        Some((end, _)) => Cow::Owned(format!("{}…", &text[..end])),
    }
}

fn cleaned(text: &str, shown: impl Fn(char) -> Option<char>) -> Cow<'_, str> {
    if text.chars().all(|letter| shown(letter) == Some(letter)) {
        Cow::Borrowed(text)
    } else {
        Cow::Owned(text.chars().filter_map(shown).collect())
    }
}

fn shown(letter: char) -> Option<char> {
    match letter {
        // Carriage returns would overwrite the line; after a line break they only mark its end.
        '\r' => None,
        letter if letter.is_control() => Some(REPLACEMENT),
        letter if is_invisible(letter) => None,
        letter => Some(letter),
    }
}

/// Zero-width characters, marks that turn the reading direction, line separators, and tags.
fn is_invisible(letter: char) -> bool {
    matches!(letter,
        '\u{ad}' | '\u{34f}' | '\u{61c}' | '\u{115f}' | '\u{1160}' | '\u{180e}'
        | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{206f}'
        | '\u{3164}' | '\u{fe00}'..='\u{fe0f}' | '\u{feff}' | '\u{ffa0}' | '\u{fff9}'..='\u{fffb}'
        | '\u{e0000}'..='\u{e0fff}')
}

/// The text as it stands in HTML or XML, in an element or between the quotation marks of an attribute: nothing in it
/// is markup, and nothing is invisible or steers what reads it.
pub fn markup(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for letter in line(text).chars() {
        match letter {
            '&' => safe.push_str("&amp;"),
            '<' => safe.push_str("&lt;"),
            '>' => safe.push_str("&gt;"),
            '"' => safe.push_str("&quot;"),
            '\'' => safe.push_str("&#39;"),
            // No letters of any language, and not allowed in either.
            letter
                if u32::from(letter) & 0xfffe == 0xfffe
                    || ('\u{fdd0}'..='\u{fdef}').contains(&letter) => {}
            other => safe.push(other),
        }
    }
    safe
}

/// JSON that says the same, with what could steer a terminal or hide written as `\u` escapes. JSON itself asks for that
/// only below the blank (RFC 8259, section 7).
pub fn json(text: &str) -> Cow<'_, str> {
    let plain =
        |letter: char| matches!(letter, ' '..='~' | '\n' | '\t') || shown(letter) == Some(letter);
    if text.chars().all(plain) {
        return Cow::Borrowed(text);
    }
    let mut safe = String::with_capacity(text.len());
    for letter in text.chars() {
        if plain(letter) {
            safe.push(letter);
            continue;
        }
        for unit in letter.encode_utf16(&mut [0; 2]) {
            safe.push_str(&format!("\\u{unit:04x}"));
        }
    }
    Cow::Owned(safe)
}

/// The nearest text in plain ASCII, for terminals and printers that know no other letters.
pub fn ascii(text: &str) -> Cow<'_, str> {
    if text.is_ascii() {
        return Cow::Borrowed(text);
    }
    let mut plain = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            letter if letter.is_ascii() => plain.push(letter),
            '–' | '‑' | '‐' | '−' | '—' => plain.push('-'),
            '‘' | '’' | '′' => plain.push('\''),
            '“' | '”' | '″' => plain.push('"'),
            '…' => plain.push_str("..."),
            '×' => plain.push('x'),
            '·' | '•' => plain.push('.'),
            '°' => {}
            '±' => plain.push_str("+/-"),
            '≤' => plain.push_str("<="),
            '≥' => plain.push_str(">="),
            '≈' => plain.push('~'),
            '½' => plain.push_str("1/2"),
            '¼' => plain.push_str("1/4"),
            '¾' => plain.push_str("3/4"),
            '²' | '₂' => plain.push('2'),
            '³' | '₃' => plain.push('3'),
            'µ' | 'μ' => plain.push('u'),
            'ß' => plain.push_str("ss"),
            'æ' => plain.push_str("ae"),
            'ø' | 'ö' | 'ó' | 'ô' | 'ò' | 'õ' | 'ő' => plain.push('o'),
            'Ö' | 'Ø' | 'Ó' => plain.push('O'),
            'ä' | 'á' | 'à' | 'â' | 'ã' | 'å' | 'ą' => plain.push('a'),
            'Ä' | 'Å' | 'Á' => plain.push('A'),
            'é' | 'è' | 'ê' | 'ë' | 'ě' | 'ę' => plain.push('e'),
            'É' | 'È' => plain.push('E'),
            'í' | 'ì' | 'î' | 'ï' => plain.push('i'),
            'ü' | 'ú' | 'ù' | 'û' | 'ů' => plain.push('u'),
            'Ü' | 'Ú' => plain.push('U'),
            'ç' | 'č' | 'ć' => plain.push('c'),
            'Č' => plain.push('C'),
            'ñ' | 'ń' | 'ň' => plain.push('n'),
            'š' | 'ś' => plain.push('s'),
            'Š' => plain.push('S'),
            'ž' | 'ź' | 'ż' => plain.push('z'),
            'Ž' => plain.push('Z'),
            'ř' => plain.push('r'),
            'ł' => plain.push('l'),
            'ý' => plain.push('y'),
            '\u{a0}' | '\u{202f}' => plain.push(' '),
            _ => plain.push('?'),
        }
    }
    Cow::Owned(plain)
}

#[cfg(test)]
mod tests {
    use super::{MOST_REPEATED, ascii, block, json, line, markup, short};

    #[test]
    fn nothing_that_steers_a_terminal_gets_through() {
        let nasty = "a\u{1b}[31mb\u{7}c\u{9b}2Jd\re\u{202e}f\u{200b}g\u{feff}h\0i\u{7f}\u{e0041}";
        for shown in [line(nasty), block(nasty)] {
            assert!(
                shown
                    .chars()
                    .all(|letter| !letter.is_control() && letter != '\u{202e}'),
                "{shown:?}"
            );
            assert!(
                !shown.contains('\u{200b}') && !shown.contains('\u{e0041}'),
                "{shown:?}"
            );
        }
    }

    #[test]
    fn ordinary_text_is_left_as_it_is() {
        for text in ["94 % ± 3 °C", "Pleurotus × naïve", "日本語", "é"] {
            assert_eq!(line(text), text);
            assert_eq!(block(text), text);
        }
        assert_eq!(line("two\nlines"), "two lines");
        assert_eq!(block("two\r\nlines"), "two\nlines");
    }

    #[test]
    fn a_long_text_is_repeated_by_its_beginning() {
        assert_eq!(short("long-stems"), "long-stems");
        let repeated = short(&"é".repeat(1000)).into_owned();
        assert_eq!(repeated.chars().count(), MOST_REPEATED + 1);
        assert!(repeated.ends_with('…'));
    }

    #[test]
    fn nothing_in_a_text_is_markup() {
        let shown = markup(
            "<script>\"a\" & 'b'</script>\u{1b}\u{0}\u{202e}\u{200b}\u{fffe}\u{1ffff}\u{fdd0}",
        );
        assert_eq!(
            shown,
            "&lt;script&gt;&quot;a&quot; &amp; &#39;b&#39;&lt;/script&gt;\u{fffd}\u{fffd}"
        );
    }

    #[test]
    fn json_says_the_same_without_what_steers() {
        let nasty = "a\u{1b}[31m\u{9b}2J\u{7f}\u{202e}\u{200b}\u{e0041}é\n";
        let text = serde_json::to_string_pretty(&[nasty]).expect("it can be written");
        let shown = json(&text);
        assert!(
            shown
                .chars()
                .all(|letter| letter == '\n' || super::shown(letter) == Some(letter)),
            "{shown:?}"
        );
        let read: Vec<String> = serde_json::from_str(&shown).expect("it can be read");
        assert_eq!(read, [nasty]);
        assert!(matches!(
            json("{\"é\": 1}\n"),
            std::borrow::Cow::Borrowed(_)
        ));
    }

    #[test]
    fn plain_text_is_ascii_alone() {
        assert_eq!(
            ascii("20 °C ± 3, 2 × ½ m³ – é…"),
            "20 C +/- 3, 2 x 1/2 m3 - e..."
        );
        assert!(ascii("日本語 █").is_ascii());
    }
}
