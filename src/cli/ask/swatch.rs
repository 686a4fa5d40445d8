//! A patch of a colour beside its name.

use crate::engine::knowledge::Swatch;

/// What is painted in a colour; blank, so that it shows the same in every font.
const SWATCH: &str = "   ";

/// A patch of a colour, or as much room without one. Where the terminal does not say that it knows every colour, the
/// nearest of the cube of 6 by 6 by 6 colours that nearly all terminals have.
pub fn swatch(colour: Option<Swatch>) -> String {
    let Some(Swatch { red, green, blue }) = colour else {
        return SWATCH.to_owned();
    };
    let full =
        std::env::var("COLORTERM").is_ok_and(|depth| depth == "truecolor" || depth == "24bit");
    if full {
        return format!("\u{1b}[48;2;{red};{green};{blue}m{SWATCH}\u{1b}[0m");
    }
    let number = nearest([red, green, blue]);
    format!("\u{1b}[48;5;{number}m{SWATCH}\u{1b}[0m")
}

/// The nearest colour of the cube, by its number. That the hue stays counts for more than how bright it is: a dark green
/// must not become a dark blue-green.
fn nearest(wanted: [u8; 3]) -> u8 {
    const STEPS: [u8; 6] = [0, 95, 135, 175, 215, 255];
    let far = |number: &u8| {
        let place = usize::from(number - 16);
        let [red, green, blue] = [place / 36, place / 6 % 6, place % 6].map(|step| STEPS[step]);
        let [r, g, b] = [(red, wanted[0]), (green, wanted[1]), (blue, wanted[2])]
            .map(|(one, other)| i64::from(one) - i64::from(other));
        let square = |by: i64| by * by;
        square(r) + square(g) + square(b) + 2 * (square(r - g) + square(g - b) + square(r - b))
    };
    (16..=231).min_by_key(far).unwrap_or(16)
}

#[cfg(test)]
mod tests {
    use super::nearest;

    #[test]
    fn colours_of_the_cube_are_their_own_nearest_and_a_dark_green_stays_green() {
        // 16 + 36 red + 6 green + blue, in steps of 0, 95, 135, 175, 215, 255.
        assert_eq!(nearest([0, 0, 0]), 16);
        assert_eq!(nearest([255, 135, 95]), 16 + 36 * 5 + 6 * 2 + 1);
        // Brighter than it should be, 95, 135, 95, and green.
        assert_eq!(nearest([47, 107, 58]), 16 + 36 + 6 * 2 + 1);
    }
}
