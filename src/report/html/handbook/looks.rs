//! Which drawings stand with an entry.

use crate::engine::id::SignId;
use crate::engine::knowledge::{Cause, Draws, Finding, Sign, Species, Swatch, Texture};
use crate::report::handbook::Book;
use crate::report::html::drawing::Drawing;
use crate::report::html::drawing::mushroom::{Shape, in_words};
use crate::report::html::drawing::spot;
use crate::report::html::write::Html;
use crate::report::words::{sentence, unstopped};

/// How many species are drawn beside a sign that is normal in them.
///
/// judgement: three fit beside the sign itself on a desk, and below it on a phone.
const MOST_SPECIES: usize = 3;

/// A sign is drawn with a cause from this share on.
///
/// judgement: what is seen in fewer than four cases in ten does not belong to its picture.
const IN_THE_PICTURE: f64 = 0.4;

/// Drawings side by side, each with what it shows below it.
fn figures(html: &mut Html, drawings: &[Drawing]) {
    if drawings.is_empty() {
        return;
    }
    html.open("div", &[("class", "drawings")]);
    for drawing in drawings {
        html.open("figure", &[]);
        html.drawing(drawing);
        html.element("figcaption", &[], &drawing.title);
        html.close();
    }
    html.close();
}

/// The normal shape of a species.
pub fn species(html: &mut Html, one: &Species) {
    if let Some(draws) = one.draws.as_ref().filter(|_| !one.default) {
        figures(html, &[normal(one, draws)]);
    }
}

fn normal(one: &Species, draws: &Draws) -> Drawing {
    Shape::normal(Some(draws)).draw(&format!("Normal for {}", one.name))
}

/// The shape that stands for any mushroom: that of the species not named.
fn plain(book: Book<'_>) -> Shape {
    let species = book
        .base
        .default_species()
        .and_then(|id| book.base.species.get(id));
    Shape::normal(species.and_then(|species| species.draws.as_ref()))
}

fn is_spot(sign: &Sign) -> bool {
    let strokes = sign
        .draws
        .as_ref()
        .is_some_and(|draws| !draws.strokes.is_empty());
    !strokes && (sign.swatch.is_some() || texture(sign).is_some())
}

fn texture(sign: &Sign) -> Option<Texture> {
    sign.draws.as_ref()?.texture
}

/// How far the normal shape of a species shows what a sign draws: above 0 only where it goes the same way.
fn shows_it(species: &Draws, sign: &Draws) -> f64 {
    let same_way = sign.strokes.iter().map(|&(stroke, value)| {
        let plain = if stroke.is_length() { 1.0 } else { 0.0 };
        let own = species.stroke(stroke).unwrap_or(plain);
        (own - plain) * (value - plain).signum()
    });
    same_way.fold(0.0, f64::max)
}

/// A sign beside what is usual, and beside the species in which it is no fault.
pub fn sign(html: &mut Html, book: Book<'_>, id: &SignId, one: &Sign) {
    let statement = unstopped(&sentence(&one.statement)).to_owned();
    if is_spot(one) {
        figures(html, &[spot::draw(one.swatch, texture(one), &statement)]);
        return;
    }
    let Some(draws) = one.draws.as_ref().filter(|draws| !draws.strokes.is_empty()) else {
        return;
    };
    let plain = plain(book);
    let mut drawings = vec![
        plain.draw("A plain mushroom, nothing wrong"),
        plain
            .with(draws, one.swatch)
            .draw(&format!("{statement}: drawn with {}", in_words(draws))),
    ];
    let mut alike: Vec<(f64, &Species, &Draws)> = book
        .base
        .species
        .values()
        .filter(|species| species.normal.iter().any(|look| look.sign == *id))
        .filter_map(|species| {
            let own = species.draws.as_ref()?;
            Some((shows_it(own, draws), species, own))
        })
        .filter(|(far, ..)| *far > 0.0)
        .collect();
    // A stable sort keeps equals in the order of the knowledge.
    alike.sort_by(|a, b| b.0.total_cmp(&a.0));
    let alike = alike.into_iter().take(MOST_SPECIES);
    drawings.extend(alike.map(|(_, species, own)| normal(species, own)));
    figures(html, &drawings);
}

/// What a cause mostly looks like: the spot, or the mushroom with the signs that it shows most often.
pub fn cause(html: &mut Html, book: Book<'_>, one: &Cause) {
    let mut shown: Vec<(f64, &Sign)> = one
        .general()
        .filter_map(|shows| match &shows.finding {
            Finding::Sign(sign) => Some((shows.share, book.base.signs.get(sign)?)),
            Finding::Reading(_) | Finding::Fact(_) => None,
        })
        .filter(|(share, _)| *share >= IN_THE_PICTURE)
        .collect();
    shown.sort_by(|a, b| b.0.total_cmp(&a.0));
    let mut drawings = Vec::new();
    let spots: Vec<&Sign> = shown
        .iter()
        .map(|(_, sign)| *sign)
        .filter(|sign| is_spot(sign))
        .collect();
    let colour = spots.iter().find(|sign| sign.swatch.is_some());
    let surface = spots.iter().find(|sign| texture(sign).is_some());
    if colour.is_some() || surface.is_some() {
        let mut words: Vec<&str> = Vec::new();
        for sign in colour.into_iter().chain(surface) {
            if !words.contains(&sign.statement.as_str()) {
                words.push(&sign.statement);
            }
        }
        let title = format!("Mostly: {}", words.join("; "));
        let swatch: Option<Swatch> = colour.and_then(|sign| sign.swatch);
        let surface = surface.and_then(|sign| texture(sign));
        drawings.push(spot::draw(swatch, surface, &title));
    }
    // What two signs say of the same stroke is taken from the one shown more often.
    let mut joined = Draws::default();
    let mut words: Vec<&str> = Vec::new();
    for (_, sign) in &shown {
        let strokes = sign.draws.iter().flat_map(|draws| &draws.strokes);
        for &(stroke, value) in strokes {
            if joined.stroke(stroke).is_none() {
                joined.strokes.push((stroke, value));
                if !words.contains(&sign.statement.as_str()) {
                    words.push(&sign.statement);
                }
            }
        }
    }
    if !joined.strokes.is_empty() {
        let plain = plain(book);
        drawings.push(plain.draw("A plain mushroom, nothing wrong"));
        drawings.push(
            plain
                .with(&joined, None)
                .draw(&format!("Mostly: {}", words.join("; "))),
        );
    }
    figures(html, &drawings);
}
