//! Plain line drawings made from the numbers of the knowledge, as SVG inside the page.
//!
//! Whatever is drawn is said in words as well: in the title of the drawing and below it.

pub mod chamber;
pub mod mushroom;
pub mod spot;

use crate::engine::knowledge::Swatch;
use crate::report::sanitise::markup;

/// The colour of every line; that of the letters of a drawing.
const LINE: &str = "currentColor";

/// A drawing as it stands in a page.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawing {
    /// Width and height in its own units, which are pixels at full size.
    pub size: (f64, f64),
    /// What it shows, in words.
    pub title: String,
    /// The elements.
    pub body: String,
}

impl Drawing {
    /// The SVG, its title read out in place of the picture.
    pub fn svg(&self) -> String {
        let (width, height) = self.size;
        let title = markup(&self.title);
        format!(
            "<svg viewBox=\"0 0 {width:.0} {height:.0}\" width=\"{width:.0}\" height=\"{height:.0}\" role=\"img\" \
             aria-label=\"{title}\" fill=\"none\" stroke=\"{LINE}\" stroke-width=\"1.6\" stroke-linecap=\"round\" \
             stroke-linejoin=\"round\">{}</svg>",
            self.body
        )
    }
}

/// A point on the unit disc, the n-th of so many that are spread evenly: the seeds of a sunflower.
///
/// # Source
/// Vogel 1979, A better way to construct the sunflower head, Mathematical Biosciences 44:179-189 (from memory): the
/// angle between two seeds is 137.508 degrees.
fn spread(number: usize, of: usize) -> (f64, f64) {
    let turn = (137.508 * number as f64).to_radians();
    let far = ((number as f64 + 0.5) / of.max(1) as f64).sqrt();
    (far * turn.cos(), far * turn.sin())
}

/// The colour mixed with another: nothing of it at 0, all of it at 1.
fn mixed(colour: Swatch, other: Swatch, share: f64) -> Swatch {
    let mix = |one: u8, other: u8| {
        let mixed = f64::from(one) * (1.0 - share) + f64::from(other) * share;
        // Between two numbers that fit, so it fits.
        mixed.round() as u8
    };
    Swatch {
        red: mix(colour.red, other.red),
        green: mix(colour.green, other.green),
        blue: mix(colour.blue, other.blue),
    }
}
