//! A spot on a block: its colour and what its surface is like.

use crate::engine::knowledge::{Swatch, Texture};
use crate::report::html::drawing::{Drawing, spread};

const WIDE: f64 = 130.0;
const HIGH: f64 = 92.0;
const CENTRE: (f64, f64) = (65.0, 46.0);
const RADII: (f64, f64) = (42.0, 28.0);
/// Colour of a block.
const BLOCK: &str = "#efe6d6";
/// A spot of which no colour is told.
const NEUTRAL: Swatch = Swatch {
    red: 0xd9,
    green: 0xd4,
    blue: 0xc8,
};

/// Draws a spot; `title` is read out in its place.
pub fn draw(colour: Option<Swatch>, texture: Option<Texture>, title: &str) -> Drawing {
    let colour = colour.unwrap_or(NEUTRAL);
    let mut body = format!(
        "<rect x=\"2\" y=\"2\" width=\"{:.0}\" height=\"{:.0}\" rx=\"9\" fill=\"{BLOCK}\"/>",
        WIDE - 4.0,
        HIGH - 4.0
    );
    let ground = match texture {
        Some(Texture::Grains | Texture::Pinheads | Texture::Bristles) => 0.35,
        Some(Texture::Web) => 0.2,
        Some(Texture::Film) => 0.7,
        _ => 1.0,
    };
    let outline = match texture {
        Some(Texture::Powder | Texture::Fluffy | Texture::Web) => "stroke=\"none\"",
        Some(Texture::Film) => "stroke-dasharray=\"3 4\"",
        _ => "",
    };
    body.push_str(&format!(
        "<path {outline} fill=\"{colour}\" fill-opacity=\"{ground}\" d=\"M23 46c-2-16 16-30 34-28 14-6 44-2 49 20 4 20-14 34-36 \
         35-22 4-45-6-47-27z\"/>"
    ));
    if let Some(texture) = texture {
        surface(&mut body, colour, texture);
    }
    Drawing {
        size: (WIDE, HIGH),
        title: title.to_owned(),
        body,
    }
}

fn surface(body: &mut String, colour: Swatch, texture: Texture) {
    let count = match texture {
        Texture::Powder => 110,
        Texture::Velvet => 90,
        Texture::Grains | Texture::Bristles => 34,
        Texture::Fluffy => 30,
        Texture::Pinheads => 16,
        Texture::Web | Texture::Crust => 12,
        Texture::Film => 8,
        Texture::Slime => 3,
    };
    for number in 0..count {
        let (x, y) = spread(number, count);
        let (x, y) = (CENTRE.0 + x * RADII.0, CENTRE.1 + y * RADII.1);
        let sway = if number % 2 == 0 { 1.0 } else { -1.0 };
        body.push_str(&match texture {
            Texture::Powder => format!("<circle cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"1\" fill=\"currentColor\" stroke=\"none\"/>"),
            Texture::Velvet => format!("<path stroke-width=\".9\" d=\"M{x:.1} {y:.1}v-4\"/>"),
            Texture::Grains => format!("<circle cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"3\" fill=\"{colour}\"/>"),
            Texture::Bristles => format!("<path d=\"M{x:.1} {y:.1}l{:.1} -13\"/>", sway * 3.0),
            Texture::Fluffy => format!(
                "<path fill=\"{colour}\" stroke-width=\"1\" d=\"M{x:.1} {y:.1}c-6 -2 -6 -9 0 -9c6 0 7 7 2 9\"/>"
            ),
            Texture::Pinheads => format!(
                "<path stroke-width=\"1\" d=\"M{x:.1} {y:.1}q{:.1} -9 0 -17\"/><circle cx=\"{x:.1}\" cy=\"{:.1}\" r=\"2.6\" \
                 fill=\"currentColor\"/>",
                sway * 4.0,
                y - 18.0
            ),
            Texture::Web => {
                let (to_x, to_y) = spread((number * 5 + 3) % count, count);
                format!(
                    "<path stroke-width=\"1\" d=\"M{x:.1} {y:.1}Q{:.1} {:.1} {:.1} {:.1}\"/>",
                    CENTRE.0,
                    CENTRE.1 - 6.0,
                    CENTRE.0 + to_x * RADII.0 * 1.1,
                    CENTRE.1 + to_y * RADII.1 * 1.1
                )
            }
            Texture::Crust => format!("<path d=\"M{:.1} {y:.1}l8 {:.1}l7 5l5 -7\"/>", x - 9.0, sway * -5.0),
            Texture::Film => format!("<path stroke-width=\".8\" d=\"M{:.1} {y:.1}l6 -5m-2 6l6 -5\"/>", x - 5.0),
            Texture::Slime => format!(
                "<path stroke=\"#ffffff\" stroke-width=\"3\" d=\"M{:.1} {:.1}q6 -7 16 -6\"/>",
                x - 10.0,
                y - 4.0
            ),
        });
    }
}

#[cfg(test)]
mod tests {
    use super::draw;
    use crate::engine::knowledge::{Swatch, Texture};

    #[test]
    fn every_texture_is_drawn_differently_and_in_the_colour_told() {
        let green = Swatch::parse("#2f6b36");
        let mut seen = Vec::new();
        for (word, texture) in Texture::WORDS {
            let drawn = draw(green, Some(texture), word);
            assert!(drawn.body.contains("#2f6b36"), "{word}");
            assert!(!seen.contains(&drawn.body), "{word}");
            seen.push(drawn.body);
        }
    }
}
