//! Writing HTML: elements that close, attributes and texts that cannot break out.

use crate::report::html::drawing::Drawing;
use crate::report::html::style;
use crate::report::sanitise::markup;

/// Attributes of an element, by name.
pub type Attributes<'a> = &'a [(&'a str, &'a str)];

/// A page, or a part of one, being written.
#[derive(Debug, Clone, Default)]
pub struct Html {
    text: String,
    open: Vec<&'static str>,
}

impl Html {
    /// Opens an element.
    pub fn open(&mut self, tag: &'static str, attributes: Attributes<'_>) {
        self.tag(tag, attributes);
        self.open.push(tag);
    }

    /// Closes the element opened last.
    pub fn close(&mut self) {
        if let Some(tag) = self.open.pop() {
            self.text.push_str(&format!("</{tag}>"));
            if !INLINE.contains(&tag) {
                self.text.push('\n');
            }
        }
    }

    /// An element with a text.
    pub fn element(&mut self, tag: &'static str, attributes: Attributes<'_>, text: &str) {
        self.open(tag, attributes);
        self.text(text);
        self.close();
    }

    /// An element that has no end.
    pub fn void(&mut self, tag: &'static str, attributes: Attributes<'_>) {
        self.tag(tag, attributes);
    }

    /// A text.
    pub fn text(&mut self, text: &str) {
        self.text.push_str(&bound(&markup(text)));
    }

    /// A link to a place on the page.
    pub fn link(&mut self, to: &str, text: &str) {
        self.element("a", &[("href", &format!("#{to}"))], text);
    }

    /// A text in strong letters, followed by another: `Watch: the caps.`
    pub fn labelled(&mut self, label: &str, text: &str) {
        self.open("p", &[]);
        self.element("b", &[], label);
        self.text(" ");
        self.text(text);
        self.close();
    }

    /// A list of texts.
    pub fn list<T: AsRef<str>>(&mut self, items: &[T]) {
        if items.is_empty() {
            return;
        }
        self.open("ul", &[]);
        for item in items {
            self.element("li", &[], item.as_ref());
        }
        self.close();
    }

    /// A drawing, which consists of numbers and of texts made fit for a page.
    pub fn drawing(&mut self, drawing: &Drawing) {
        self.text.push_str(&drawing.svg());
    }

    /// Puts in what was written before as a part of its own.
    pub fn put(&mut self, part: Self) {
        self.text.push_str(&part.finish());
    }

    /// What was written, with everything closed.
    pub fn finish(mut self) -> String {
        while !self.open.is_empty() {
            self.close();
        }
        self.text
    }

    fn tag(&mut self, tag: &str, attributes: Attributes<'_>) {
        self.text.push_str(&format!("<{tag}"));
        for (name, value) in attributes {
            self.text
                .push_str(&format!(" {name}=\"{}\"", markup(value)));
        }
        self.text.push('>');
    }
}

/// Elements that stand in the middle of a sentence, where a line break would be a blank too much.
const INLINE: [&str; 9] = [
    "a", "b", "em", "span", "small", "code", "text", "tspan", "strong",
];

/// The text with every number bound to the sign behind it, so that no line ends between the two.
fn bound(text: &str) -> String {
    let mut whole = String::with_capacity(text.len());
    let mut before = ' ';
    let mut letters = text.chars().peekable();
    while let Some(letter) = letters.next() {
        let binds =
            letter == ' ' && before.is_ascii_digit() && matches!(letters.peek(), Some('%' | '°'));
        whole.push(if binds { '\u{a0}' } else { letter });
        before = letter;
    }
    whole
}

/// A whole page around its body.
pub fn page(title: &str, body: Html) -> String {
    let mut head = Html::default();
    head.open("html", &[("lang", "en-GB")]);
    head.open("head", &[]);
    head.void("meta", &[("charset", "utf-8")]);
    head.void(
        "meta",
        &[
            ("http-equiv", "Content-Security-Policy"),
            (
                "content",
                "default-src 'none'; style-src 'unsafe-inline'; img-src data:",
            ),
        ],
    );
    head.void(
        "meta",
        &[
            ("name", "viewport"),
            ("content", "width=device-width, initial-scale=1"),
        ],
    );
    head.void(
        "meta",
        &[("name", "color-scheme"), ("content", "light dark")],
    );
    head.element("title", &[], title);
    let mut text = format!("<!DOCTYPE html>\n{}", head.text);
    text.push_str(&format!(
        "<style>\n{}</style>\n</head>\n<body>\n",
        style::sheet()
    ));
    text.push_str(&body.finish());
    text.push_str("</body>\n</html>\n");
    text
}

#[cfg(test)]
mod tests {
    use super::Html;

    #[test]
    fn texts_and_attributes_cannot_break_out() {
        let mut html = Html::default();
        html.open("p", &[("title", "a\" onclick=\"b")]);
        html.text("</p><script>\u{202e}x");
        assert_eq!(
            html.finish(),
            "<p title=\"a&quot; onclick=&quot;b\">&lt;/p&gt;&lt;script&gt;x</p>\n"
        );
    }

    #[test]
    fn a_number_and_its_sign_stay_together() {
        let mut html = Html::default();
        html.text("from 5 % to 9 °C, 3 caps");
        assert_eq!(html.finish(), "from 5\u{a0}% to 9\u{a0}°C, 3 caps");
    }
}
