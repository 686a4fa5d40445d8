//! How pages look: two sets of colours and one sheet of style.

/// A colour and the paper it stands on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Pair {
    /// What it is for.
    pub name: &'static str,
    /// Colour of letters, `#rrggbb`.
    pub ink: &'static str,
    /// Colour below them.
    pub paper: &'static str,
}

const fn pair(name: &'static str, ink: &'static str, paper: &'static str) -> Pair {
    Pair { name, ink, paper }
}

/// Letters and paper by day.
pub const LIGHT: [Pair; 9] = [
    pair("usual", "#1d1b18", "#ffffff"),
    pair("faint", "#5a554c", "#ffffff"),
    pair("link", "#0b4f8a", "#ffffff"),
    pair("panel", "#1d1b18", "#f4f1ea"),
    pair("panel-faint", "#5a554c", "#f4f1ea"),
    pair("panel-link", "#0b4f8a", "#f4f1ea"),
    pair("stop", "#7d1510", "#fdecea"),
    pair("care", "#553b00", "#fff3d1"),
    pair("good", "#1c5527", "#ffffff"),
];

/// Letters and paper by night.
pub const DARK: [Pair; 9] = [
    pair("usual", "#ece8e0", "#171614"),
    pair("faint", "#b8b1a6", "#171614"),
    pair("link", "#9cc8f6", "#171614"),
    pair("panel", "#ece8e0", "#24221f"),
    pair("panel-faint", "#b8b1a6", "#24221f"),
    pair("panel-link", "#9cc8f6", "#24221f"),
    pair("stop", "#ffdad5", "#4f1713"),
    pair("care", "#ffe9b3", "#3f320a"),
    pair("good", "#a7dcb0", "#171614"),
];

/// Letters and paper of drawings: the same by day and by night, since the colours of mushrooms and moulds are.
pub const DRAWING: Pair = pair("drawing", "#2a2722", "#fbf9f4");

/// The filled part of a bar and what it stands on, by day and by night; a bar needs three to one.
pub const BARS: [Pair; 2] = [
    pair("bar", "#2f6aa3", "#dcd7cc"),
    pair("bar", "#7db4ea", "#45413a"),
];

/// The sheet of style.
pub fn sheet() -> String {
    let colours = |pairs: &[Pair], bar: Pair| {
        let mut text = String::new();
        for pair in pairs {
            text.push_str(&format!(
                "--{0}:{1};--{0}-paper:{2};",
                pair.name, pair.ink, pair.paper
            ));
        }
        format!("{text}--bar:{};--bar-paper:{};", bar.ink, bar.paper)
    };
    format!(
        ":root{{{}--drawing:{};--drawing-paper:{}}}\n@media screen and (prefers-color-scheme:dark){{:root{{{}}}}}\n{RULES}",
        colours(&LIGHT, BARS[0]),
        DRAWING.ink,
        DRAWING.paper,
        colours(&DARK, BARS[1])
    )
}

/// What is the same in every light.
const RULES: &str = "\
*{box-sizing:border-box}
html{font:100%/1.5 system-ui,sans-serif;-webkit-text-size-adjust:100%}
body{margin:0 auto;padding:1rem;max-width:50rem;color:var(--usual);background:var(--usual-paper);overflow-wrap:break-word}
a{color:var(--link)}
a:focus-visible,summary:focus-visible{outline:3px solid var(--link);outline-offset:2px}
h1{font-size:1.7rem;line-height:1.2;margin:.5rem 0}
h2{font-size:1.35rem;line-height:1.25;margin:2.5rem 0 .5rem;padding-top:.5rem;border-top:2px solid var(--faint)}
h3{font-size:1.1rem;line-height:1.3;margin:0 0 .25rem}
h4{font-size:1rem;margin:.75rem 0 .1rem}
p{margin:.35rem 0}
ul,ol{margin:.25rem 0;padding-left:1.3em}
ol{padding-left:2em}
li{margin:.15rem 0}
article{margin:1.25rem 0;padding:.75rem;background:var(--panel-paper);color:var(--panel);border-radius:.4rem}
article h2{margin:0 0 .25rem;padding:0;border:0}
article a{color:var(--panel-link)}
small,.faint{font-size:.85rem;color:var(--faint)}
article small,article .faint{color:var(--panel-faint)}
.skip{position:absolute;left:-99rem}
.skip:focus{position:static}
.stop,.care{padding:.5rem .75rem;margin:.6rem 0;border-left:.4rem solid;border-radius:.25rem}
.stop{color:var(--stop);background:var(--stop-paper)}
.care{color:var(--care);background:var(--care-paper)}
.stop a,.stop small,.stop .faint{color:var(--stop)}
.care a,.care small,.care .faint{color:var(--care)}
.good{color:var(--good)}
article .good{color:inherit}
.columns{columns:15rem;column-gap:1.5rem;padding-left:1.1rem}
.columns li{break-inside:avoid}
summary{cursor:pointer;padding:.25rem 0}
table{border-collapse:collapse;margin:.5rem 0;width:100%}
th,td{text-align:left;vertical-align:top;padding:.2rem .5rem .2rem 0;border-bottom:1px solid var(--faint)}
.bar{display:block;height:.8rem;margin:.25rem 0;background:var(--bar-paper);border-radius:.2rem;overflow:hidden;max-width:30rem}
.bar span{display:block;height:100%;background:var(--bar)}
.limits{font-size:.85em}
.limits td{white-space:nowrap}
.drawings{display:flex;flex-wrap:wrap;gap:.75rem;align-items:flex-end;margin:.5rem 0}
figure{margin:0;padding:.5rem;background:var(--drawing-paper);color:var(--drawing);border-radius:.4rem;max-width:100%}
figure svg,figure img{display:block;max-width:100%;height:auto;margin:0 auto}
figcaption{font-size:.85rem;max-width:15rem}
.wide figcaption{max-width:none}
.tick{display:inline-block;width:.9rem;height:.9rem;border:2px solid;margin-right:.5rem;vertical-align:-.1rem}
.narrow{display:none}
@media screen and (max-width:52rem){.limits td{white-space:normal}.limits thead{display:none}.limits tr,.limits td,.limits th{display:block;border:0;padding:0}.limits td{display:grid;grid-template-columns:minmax(0,1fr) auto;column-gap:.75rem;max-width:28rem}.limits tr{border-bottom:1px solid var(--faint);padding:.4rem 0}.narrow{display:inline}}
@page{margin:12mm}
@media print{
html{font-size:9.5pt;line-height:1.35}
body{max-width:none;padding:0}
article,.stop,.care,figure{background:none;border:1px solid;break-inside:avoid-page}
article{padding:2mm;margin:2mm 0;break-inside:auto}
.stop,.care{border-left-width:3mm}
h1,h2,h3,h3+p,h4{break-after:avoid-page}
tr,li,figure{break-inside:avoid-page}
h2{break-before:page}
.card{border:0;padding:0;break-before:page;break-inside:avoid-page}
.card.large{font-size:1.3em}
.card:first-of-type,.plain h2{break-before:auto}
nav,.skip{display:none}
a{color:inherit;text-decoration:none}
.bar{-webkit-print-color-adjust:exact;print-color-adjust:exact;border:1px solid}
}
";

/// How far two colours differ in lightness, 1 to 21.
///
/// # Source
/// Web Content Accessibility Guidelines 2.1, definitions of contrast ratio and relative luminance; letters need 4.5,
/// other parts 3.
pub fn contrast(one: &str, other: &str) -> Option<f64> {
    let (one, other) = (luminance(one)?, luminance(other)?);
    Some((one.max(other) + 0.05) / (one.min(other) + 0.05))
}

fn luminance(colour: &str) -> Option<f64> {
    let swatch = crate::engine::knowledge::Swatch::parse(colour)?;
    let part = |part: u8| {
        let share = f64::from(part) / 255.0;
        if share <= 0.03928 {
            share / 12.92
        } else {
            ((share + 0.055) / 1.055).powf(2.4)
        }
    };
    Some(0.2126 * part(swatch.red) + 0.7152 * part(swatch.green) + 0.0722 * part(swatch.blue))
}

#[cfg(test)]
mod tests {
    use super::{BARS, DARK, DRAWING, LIGHT, contrast};

    #[test]
    fn contrast_is_that_of_the_guidelines() {
        // Web Content Accessibility Guidelines 2.1: black on white is 21 to 1; #767676 is the palest grey that
        // passes on white with 4.54.
        assert_eq!(contrast("#000000", "#ffffff"), Some(21.0));
        let grey = contrast("#767676", "#ffffff").expect("two colours");
        assert!((grey - 4.54).abs() < 0.005, "{grey}");
    }

    #[test]
    fn all_letters_can_be_read_on_their_paper() {
        for pair in LIGHT.iter().chain(&DARK).chain([&DRAWING]) {
            let contrast = contrast(pair.ink, pair.paper).expect("two colours");
            assert!(contrast >= 4.5, "{}: {contrast:.2}", pair.name);
        }
        for bar in BARS {
            let contrast = contrast(bar.ink, bar.paper).expect("two colours");
            assert!(contrast >= 3.0, "{contrast:.2}");
        }
    }
}
