//! How a thing looks, as numbers from which a plain drawing is made.

use serde::{Deserialize, Serialize};

use crate::engine::knowledge::Swatch;

macro_rules! strokes {
    ($($(#[$doc:meta])* $variant:ident = $name:literal, $least:literal ..= $most:literal, $factor:literal;)*) => {
        /// One number of a drawn mushroom.
        ///
        /// In a species a length is a multiple of the plain mushroom's, in a sign a factor on the species' own. Every
        /// other number of a sign stands in place of the species'.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
        pub enum Stroke {
            $($(#[$doc])* #[serde(rename = $name)] $variant,)*
        }

        impl Stroke {
            /// Every one, in the order in which files show them.
            pub const ALL: &'static [Self] = &[$(Self::$variant),*];

            /// The key it stands under.
            pub fn key(self) -> &'static str {
                match self {
                    $(Self::$variant => $name,)*
                }
            }

            /// Its least and greatest value.
            pub fn range(self) -> (f64, f64) {
                match self {
                    $(Self::$variant => ($least, $most),)*
                }
            }

            /// Whether it is a length, of which a sign says by how much it is multiplied.
            pub fn is_length(self) -> bool {
                match self {
                    $(Self::$variant => $factor,)*
                }
            }
        }
    };
}

strokes! {
    /// Length of the stem.
    StemLength = "stem-length", 0.2..=4.0, true;
    /// Thickness of the stem.
    StemThickness = "stem-thickness", 0.2..=4.0, true;
    /// Width of the cap; nothing is no cap.
    CapWidth = "cap-width", 0.0..=3.0, true;
    /// How the rim of the cap stands: rolled in under the cap at -1, turned up at 1.
    RimCurl = "rim-curl", -1.0..=1.0, false;
    /// White fuzz on the foot of the stem.
    Fuzz = "fuzz", 0.0..=1.0, false;
    /// Cracks in the skin of the cap.
    CapCracks = "cap-cracks", 0.0..=1.0, false;
    /// Cracks across the stem.
    StemCracks = "stem-cracks", 0.0..=1.0, false;
    /// Tears from the rim of the cap inward.
    RimSplits = "rim-splits", 0.0..=1.0, false;
    /// Drops of water on the cap.
    Drops = "drops", 0.0..=1.0, false;
    /// Lean of the stem to the right, in degrees.
    Lean = "lean", -45.0..=45.0, false;
    /// How the colour of the cap differs: darker at -1, paler at 1.
    Shade = "shade", -1.0..=1.0, false;
}

/// What the surface of a spot is like.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum Texture {
    /// Like cotton wool.
    Fluffy,
    /// Powder.
    Powder,
    /// Separate grains or dots.
    Grains,
    /// A thin film.
    Film,
    /// A dry crust.
    Crust,
    /// A loose web.
    Web,
    /// Wet and shiny.
    Slime,
    /// Flat and velvety.
    Velvet,
    /// Hairs with heads.
    Pinheads,
    /// Stiff bristles.
    Bristles,
}

impl Texture {
    /// Every one with its word.
    pub const WORDS: [(&'static str, Self); 10] = [
        ("fluffy", Self::Fluffy),
        ("powder", Self::Powder),
        ("grains", Self::Grains),
        ("film", Self::Film),
        ("crust", Self::Crust),
        ("web", Self::Web),
        ("slime", Self::Slime),
        ("velvet", Self::Velvet),
        ("pinheads", Self::Pinheads),
        ("bristles", Self::Bristles),
    ];
}

/// What is drawn of a sign or species.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Draws {
    /// Numbers of a mushroom, in the order of [`Stroke::ALL`]; each at most once.
    pub strokes: Vec<(Stroke, f64)>,
    /// Colour of the cap, in a species.
    pub cap: Option<Swatch>,
    /// Surface of a spot, in a sign.
    pub texture: Option<Texture>,
}

impl Draws {
    /// A number that is given.
    pub fn stroke(&self, stroke: Stroke) -> Option<f64> {
        self.strokes
            .iter()
            .find(|(one, _)| *one == stroke)
            .map(|(_, value)| *value)
    }
}
