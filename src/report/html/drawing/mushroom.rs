//! A mushroom cut down to what growers look at: stem, cap, rim, fuzz, cracks, drops.

use crate::engine::knowledge::{Draws, Stroke, Swatch};
use crate::report::html::drawing::{Drawing, mixed};
use crate::report::words::listed;

/// Length of the plain stem.
const STEM: f64 = 62.0;
/// Its thickness.
const THICK: f64 = 16.0;
/// Width of the plain cap.
const CAP: f64 = 84.0;
/// Height of a dome as a share of its width.
const DOME: f64 = 0.36;
/// What is left free around it.
const MARGIN: f64 = 14.0;
/// A cap whose colour no species gives.
const TAN: Swatch = Swatch {
    red: 0xc9,
    green: 0xb4,
    blue: 0x8f,
};
const WHITE: Swatch = Swatch {
    red: 0xfd,
    green: 0xfb,
    blue: 0xf5,
};
const DARK: Swatch = Swatch {
    red: 0x3a,
    green: 0x2f,
    blue: 0x26,
};
/// How much paler or darker a shade of 1 is.
const SHADE: f64 = 0.7;

/// A mushroom as numbers: what the strokes of a species and a sign come to.
#[derive(Debug, Clone, PartialEq)]
pub struct Shape {
    strokes: Vec<(Stroke, f64)>,
    cap: Swatch,
}

impl Shape {
    /// The normal shape of a species; the plain mushroom where it has none.
    pub fn normal(species: Option<&Draws>) -> Self {
        let strokes = Stroke::ALL.iter().map(|&stroke| {
            let given = species.and_then(|draws| draws.stroke(stroke));
            let plain = if stroke.is_length() { 1.0 } else { 0.0 };
            (stroke, given.unwrap_or(plain))
        });
        Self {
            strokes: strokes.collect(),
            cap: species.and_then(|draws| draws.cap).unwrap_or(TAN),
        }
    }

    /// The shape with what a sign changes about it: lengths are multiplied, everything else takes the place of what was.
    pub fn with(&self, sign: &Draws, colour: Option<Swatch>) -> Self {
        let strokes = self.strokes.iter().map(|&(stroke, value)| {
            let changed = match sign.stroke(stroke) {
                Some(factor) if stroke.is_length() => value * factor,
                Some(given) => given,
                None => value,
            };
            let (least, most) = stroke.range();
            (stroke, changed.clamp(least, most))
        });
        Self {
            strokes: strokes.collect(),
            cap: colour.unwrap_or(self.cap),
        }
    }

    fn of(&self, stroke: Stroke) -> f64 {
        let found = self.strokes.iter().find(|(one, _)| *one == stroke);
        found.map_or(0.0, |(_, value)| *value)
    }

    /// The drawing; `title` is read out in its place.
    pub fn draw(&self, title: &str) -> Drawing {
        let long = STEM * self.of(Stroke::StemLength);
        let thick = THICK * self.of(Stroke::StemThickness);
        let wide = CAP * self.of(Stroke::CapWidth);
        let curl = self.of(Stroke::RimCurl);
        let lean = self.of(Stroke::Lean).to_radians();
        let dome = wide * DOME;
        // The rim of a cap that is turned up stands above its middle, and one that is rolled in hangs below the gills.
        let rise = dome * (1.0 + 0.35 * curl.max(0.0));
        let (over, along) = (long * lean.sin(), long * lean.cos());
        let half = (wide / 2.0).max(thick);
        let left = half.max(thick * 0.8) + (-over).max(0.0) + MARGIN;
        let right = half.max(thick * 0.8) + over.max(0.0) + MARGIN;
        let height = along + rise + 2.0 * MARGIN;
        let foot = (left, height - MARGIN);
        let top = (foot.0 + over, foot.1 - along);
        let mut body = format!(
            "<line x1=\"4\" y1=\"{0:.1}\" x2=\"{1:.1}\" y2=\"{0:.1}\" stroke-width=\"2\"/>",
            foot.1,
            left + right - 4.0
        );
        self.stem(&mut body, foot, top, thick, wide <= 0.0);
        if wide > 0.0 {
            self.cap(&mut body, top, wide, thick, curl);
        }
        Drawing {
            size: (left + right, height),
            title: title.to_owned(),
            body,
        }
    }

    fn stem(&self, body: &mut String, foot: (f64, f64), top: (f64, f64), thick: f64, bare: bool) {
        let (low, high) = (thick * 0.58, thick * 0.46);
        let middle = (foot.1 + top.1) / 2.0;
        // Without a cap the tip is round.
        let tip = if bare { thick * 0.7 } else { 0.0 };
        body.push_str(&format!(
            "<path fill=\"{WHITE}\" d=\"M{:.1} {:.1}C{:.1} {middle:.1} {:.1} {middle:.1} {:.1} {:.1}Q{:.1} {:.1} {:.1} {:.1}\
             C{:.1} {middle:.1} {:.1} {middle:.1} {:.1} {:.1}Z\"/>",
            foot.0 - low, foot.1,
            foot.0 - high, top.0 - high, top.0 - high, top.1,
            top.0, top.1 - 2.0 * tip, top.0 + high, top.1,
            top.0 + high, foot.0 + high, foot.0 + low, foot.1,
        ));
        let at = |share: f64| {
            (
                foot.0 + (top.0 - foot.0) * share,
                foot.1 + (top.1 - foot.1) * share,
            )
        };
        let rings = (self.of(Stroke::StemCracks) * 6.0).round() as usize;
        for ring in 0..rings {
            let (x, y) = at(0.2 + 0.65 * (ring as f64 + 0.5) / rings as f64);
            body.push_str(&format!(
                "<path d=\"M{:.1} {y:.1}q{:.1} 3 {:.1} -1t{:.1} 0\"/>",
                x - high,
                high * 0.5,
                high,
                high * 0.8
            ));
        }
        let hairs = (self.of(Stroke::Fuzz) * 14.0).round() as usize;
        for hair in 0..hairs {
            let share = 0.02 + 0.4 * hair as f64 / hairs.max(1) as f64;
            let (x, y) = at(share);
            let out = 9.0 - 4.0 * share;
            body.push_str(&format!(
                "<path stroke-width=\"1.2\" d=\"M{:.1} {y:.1}q-4 -1 {:.1} -6M{:.1} {y:.1}q4 -1 {:.1} -6\"/>",
                x - low, -out, x + low, out
            ));
        }
    }

    fn cap(&self, body: &mut String, top: (f64, f64), wide: f64, thick: f64, curl: f64) {
        let (up, down) = (curl.max(0.0), (-curl).max(0.0));
        let dome = wide * DOME;
        let half = wide / 2.0;
        let crown = -dome * (1.0 - 0.85 * up);
        let rim = -dome * 0.9 * up + dome * 0.3 * down;
        let hook = rim + dome * 0.35 * down;
        let neck = (thick * 0.6).min(half * 0.9);
        let (x, y) = top;
        let shade = self.of(Stroke::Shade);
        let colour = if shade >= 0.0 {
            mixed(self.cap, WHITE, shade * SHADE)
        } else {
            mixed(self.cap, DARK, -shade * SHADE)
        };
        // The gills first, then the skin over them.
        body.push_str(&format!(
            "<path fill=\"{WHITE}\" d=\"M{:.1} {:.1}C{:.1} {:.1} {:.1} {:.1} {:.1} {:.1}H{:.1}C{:.1} {:.1} {:.1} {:.1} {:.1} {:.1}Z\"/>",
            x - half, y + rim,
            x - half * 0.98, y + hook, x - half * 0.6, y + 0.2 * dome + 0.5 * hook.min(0.0), x - neck, y + 0.12 * dome,
            x + neck,
            x + half * 0.6, y + 0.2 * dome + 0.5 * hook.min(0.0), x + half * 0.98, y + hook, x + half, y + rim,
        ));
        for gill in 1..5 {
            let share = f64::from(gill) / 5.0;
            let from = neck + (half - neck) * share * 0.75;
            for side in [-1.0, 1.0] {
                body.push_str(&format!(
                    "<line stroke-width=\"1\" x1=\"{:.1}\" y1=\"{:.1}\" x2=\"{:.1}\" y2=\"{:.1}\"/>",
                    x + side * from, y + 0.1 * dome + rim.min(0.0) * share,
                    x + side * (from + (half - from) * 0.4), y + rim * share - 1.0
                ));
            }
        }
        body.push_str(&format!(
            "<path fill=\"{colour}\" d=\"M{:.1} {:.1}C{:.1} {:.1} {:.1} {:.1} {x:.1} {:.1}S{:.1} {:.1} {:.1} {:.1}\
             Q{:.1} {:.1} {x:.1} {:.1}T{:.1} {:.1}Z\"/>",
            x - half, y + rim,
            x - half * 0.95, y + crown + 0.2 * (rim - crown), x - half * 0.45, y + crown, y + crown,
            x + half * 0.95, y + crown + 0.2 * (rim - crown), x + half, y + rim,
            x + half * 0.5, y + rim * 0.4 + crown.max(-dome * 0.4) * up, y + 0.08 * dome + crown * 0.4 * up, x - half, y + rim,
        ));
        self.on_the_skin(body, (x, y), half, dome, (crown, rim));
    }

    fn on_the_skin(
        &self,
        body: &mut String,
        (x, y): (f64, f64),
        half: f64,
        dome: f64,
        (crown, rim): (f64, f64),
    ) {
        // Height of the skin at a share of the half width, roughly along the dome.
        let skin = |share: f64| y + crown + (rim - crown) * share.abs().powf(2.2);
        let cracks = (self.of(Stroke::CapCracks) * 8.0).round() as usize;
        for crack in 0..cracks {
            let share = -0.75 + 1.5 * (crack as f64 + 0.5) / cracks as f64;
            body.push_str(&format!(
                "<path d=\"M{:.1} {:.1}l4 {d:.1}l-5 {d:.1}l4 {d:.1}\"/>",
                x + share * half,
                skin(share) + 0.08 * dome,
                d = dome * 0.16
            ));
        }
        let splits = (self.of(Stroke::RimSplits) * 5.0).round() as usize;
        for split in 0..splits {
            let share = -0.8 + 1.6 * (split as f64 + 0.5) / splits as f64;
            let low = y + rim * share.abs() + 0.06 * dome;
            body.push_str(&format!(
                "<path fill=\"{WHITE}\" d=\"M{:.1} {low:.1}l{:.1} {:.1}l{:.1} {:.1}z\"/>",
                x + share * half - 3.5,
                3.5 - share * 3.0,
                -dome * 0.5,
                3.5 + share * 3.0,
                dome * 0.5
            ));
        }
        let drops = (self.of(Stroke::Drops) * 7.0).round() as usize;
        for drop in 0..drops {
            let share = -0.7 + 1.4 * (drop as f64 + 0.5) / drops as f64;
            body.push_str(&format!(
                "<circle fill=\"#cfe3ee\" cx=\"{:.1}\" cy=\"{:.1}\" r=\"3.2\"/>",
                x + share * half,
                skin(share) - 1.0 + f64::from(u8::from(drop % 2 == 0)) * dome * 0.3
            ));
        }
    }
}

/// What a sign changes about a mushroom, in words.
pub fn in_words(sign: &Draws) -> String {
    let parts: Vec<String> = sign
        .strokes
        .iter()
        .map(|&(stroke, value)| match stroke {
            Stroke::StemLength => times("a stem", value, "as long"),
            Stroke::StemThickness => times("a stem", value, "as thick"),
            Stroke::CapWidth if value == 0.0 => "no cap".to_owned(),
            Stroke::CapWidth => times("a cap", value, "as wide"),
            Stroke::RimCurl if value > 0.0 => "the rim turned up".to_owned(),
            Stroke::RimCurl if value < 0.0 => "the rim rolled in".to_owned(),
            Stroke::RimCurl => "a level rim".to_owned(),
            Stroke::Fuzz => "white fuzz at the foot".to_owned(),
            Stroke::CapCracks => "cracks in the cap".to_owned(),
            Stroke::StemCracks => "cracks across the stem".to_owned(),
            Stroke::RimSplits => "tears from the rim inward".to_owned(),
            Stroke::Drops => "water on the cap".to_owned(),
            Stroke::Lean => "a leaning stem".to_owned(),
            Stroke::Shade if value > 0.0 => "a paler cap".to_owned(),
            Stroke::Shade => "a darker cap".to_owned(),
        })
        .collect();
    listed(&parts)
}

fn times(what: &str, factor: f64, how: &str) -> String {
    format!("{what} {factor} times {how}")
}

#[cfg(test)]
mod tests {
    use super::{Shape, in_words};
    use crate::engine::knowledge::{Draws, Stroke};

    fn draws(strokes: &[(Stroke, f64)]) -> Draws {
        Draws {
            strokes: strokes.to_vec(),
            ..Draws::default()
        }
    }

    #[test]
    fn a_sign_multiplies_lengths_and_replaces_the_rest() {
        let species = draws(&[(Stroke::StemLength, 1.5), (Stroke::RimCurl, -0.5)]);
        let sign = draws(&[
            (Stroke::StemLength, 2.0),
            (Stroke::RimCurl, 0.8),
            (Stroke::Fuzz, 1.0),
        ]);
        let shape = Shape::normal(Some(&species)).with(&sign, None);
        assert_eq!(shape.of(Stroke::StemLength), 3.0);
        assert_eq!(shape.of(Stroke::RimCurl), 0.8);
        assert_eq!(shape.of(Stroke::Fuzz), 1.0);
        assert_eq!(shape.of(Stroke::CapWidth), 1.0);
    }

    #[test]
    fn a_longer_stem_is_drawn_higher_and_a_wider_cap_wider() {
        let plain = Shape::normal(None).draw("plain");
        let leggy = Shape::normal(None)
            .with(&draws(&[(Stroke::StemLength, 2.0)]), None)
            .draw("leggy");
        let broad = Shape::normal(None)
            .with(&draws(&[(Stroke::CapWidth, 1.5)]), None)
            .draw("broad");
        assert!(leggy.size.1 > plain.size.1 + 50.0);
        assert!((leggy.size.0 - plain.size.0).abs() < 1e-9);
        assert!(broad.size.0 > plain.size.0 + 30.0);
    }

    #[test]
    fn everything_drawn_is_said_in_words() {
        let sign = draws(&[(Stroke::StemLength, 2.0), (Stroke::CapWidth, 0.5)]);
        assert_eq!(
            in_words(&sign),
            "a stem 2 times as long and a cap 0.5 times as wide"
        );
        for &stroke in Stroke::ALL {
            let (_, most) = stroke.range();
            assert!(!in_words(&draws(&[(stroke, most)])).is_empty());
        }
    }
}
