//! The chamber seen from the side, with the way the air takes through it.

use crate::engine::chamber::profile::{Chamber, SensorPlace, Statement};
use crate::engine::chamber::quantity::Quantity;
use crate::engine::quantity::{System, show};
use crate::report::html::drawing::Drawing;
use crate::report::sanitise::markup;

const WIDE: f64 = 480.0;
const HIGH: f64 = 330.0;
/// The box: left, top, right and bottom.
const INSIDE: (f64, f64, f64, f64) = (104.0, 62.0, 376.0, 312.0);
/// How many blocks are drawn at most.
const MOST_BLOCKS: usize = 5;

/// What is in the chamber and where, as a drawing and in words.
#[derive(Debug, Clone, PartialEq)]
pub struct Seen {
    /// The drawing.
    pub drawing: Drawing,
    /// Each part with where it is and what was told of it.
    pub parts: Vec<(&'static str, String)>,
}

/// Draws a chamber from its profile, or the plain one.
pub fn draw(chamber: Option<&Chamber>, system: System) -> Seen {
    let says = |statement| chamber.and_then(|chamber| chamber.says(statement));
    let number = |quantity: Quantity| {
        let measured = chamber.and_then(|chamber| chamber.number(quantity))?;
        Some(show(measured.value, quantity.unit(), system))
    };
    let told = |text: &str, numbers: &[Quantity]| {
        let numbers: Vec<String> = numbers
            .iter()
            .filter_map(|&quantity| Some(format!("{} {}", quantity.name(), number(quantity)?)))
            .collect();
        if numbers.is_empty() {
            text.to_owned()
        } else {
            format!("{text} Told: {}.", numbers.join(", "))
        }
    };
    let mut parts: Vec<(&'static str, String)> = Vec::new();
    let mut body = String::new();
    let (left, top, right, bottom) = INSIDE;
    body.push_str(&format!(
        "<rect x=\"{left}\" y=\"{top}\" width=\"{}\" height=\"{}\" rx=\"6\" stroke-width=\"3\" fill=\"#ffffff\"/>",
        right - left,
        bottom - top
    ));
    blocks(&mut body, chamber);

    inlet(&mut body, says(Statement::FilterFitted) == Some(true));
    let filter = if says(Statement::FilterFitted) == Some(true) {
        " A filter sits on it."
    } else {
        ""
    };
    parts.push((
        "Inlet",
        format!("low on one side: room air comes in here.{filter}"),
    ));
    let with_fan = says(Statement::WithoutFan) != Some(true);
    let with_duct = says(Statement::OutletDuct) == Some(true)
        || chamber.is_some_and(Chamber::has_duct)
        || chamber.is_none();
    outlet(&mut body, with_fan, with_duct);
    parts.push((
        "Air path",
        "the arrows: in at the inlet, over the caps, up and out at the far side.".to_owned(),
    ));
    parts.push(if with_fan {
        (
            "Fan",
            told(
                "in the outlet, high on the far side: it draws the air through.",
                &[Quantity::FanFlow, Quantity::FanRuns],
            ),
        )
    } else {
        (
            "Fan",
            "none: the air moves by itself through the openings.".to_owned(),
        )
    });
    if with_duct {
        let duct = [Quantity::DuctLength, Quantity::DuctBore];
        parts.push((
            "Duct",
            told(
                "leads the used air away, best outdoors; each bend and metre slows the fan.",
                &duct,
            ),
        ));
    }
    let inside = says(Statement::MisterInside) == Some(true);
    mister(&mut body, inside);
    let place = if inside {
        "inside, on the floor."
    } else {
        "outside, its hose short and without sags; the mist comes in above the inlet."
    };
    parts.push((
        "Mister",
        told(
            place,
            &[Quantity::MisterOutput, Quantity::Tank, Quantity::HoseLength],
        ),
    ));
    let sensor = chamber.and_then(|chamber| chamber.sensor);
    let (at, place) = sensor_at(sensor);
    label(&mut body, (at.0, at.1 - 12.0), "Sensor", "middle");
    body.push_str(&format!(
        "<rect x=\"{:.0}\" y=\"{:.0}\" width=\"16\" height=\"12\" fill=\"#ffffff\" stroke-width=\"2.4\"/>",
        at.0 - 8.0,
        at.1 - 6.0
    ));
    parts.push(("Sensor", told(place, &[Quantity::SetPoint])));
    let lamp_inside = says(Statement::LampInside) == Some(true);
    lamp(&mut body, lamp_inside);
    let place = if lamp_inside {
        "inside, under the lid: mind its heat."
    } else {
        "above the lid, outside, so that its heat stays out."
    };
    parts.push(("Lamp", told(place, &[Quantity::LampHours, Quantity::Light])));
    let title = match chamber.and_then(|chamber| chamber.name.as_deref()) {
        Some(name) => format!("“{name}” from the side, with its air path"),
        None => "A chamber from the side, with its air path".to_owned(),
    };
    Seen {
        drawing: Drawing {
            size: (WIDE, HIGH),
            title,
            body,
        },
        parts,
    }
}

/// A word beside a part.
fn label(body: &mut String, at: (f64, f64), word: &str, anchor: &str) {
    body.push_str(&format!(
        "<text x=\"{:.0}\" y=\"{:.0}\" text-anchor=\"{anchor}\" font-size=\"17\" font-family=\"system-ui,sans-serif\" \
         fill=\"currentColor\" stroke=\"none\">{}</text>",
        at.0,
        at.1,
        markup(word)
    ));
}

fn arrow(body: &mut String, path: &str, tip: (f64, f64), turn: f64) {
    body.push_str(&format!(
        "<path stroke-width=\"2.4\" stroke-dasharray=\"9 6\" d=\"{path}\"/><path stroke-width=\"2.4\" \
         transform=\"translate({:.0} {:.0}) rotate({turn:.0})\" d=\"M-9 -6L0 0L-9 6\"/>",
        tip.0, tip.1
    ));
}

fn blocks(body: &mut String, chamber: Option<&Chamber>) {
    let (left, _, right, bottom) = INSIDE;
    let count = chamber
        .and_then(|chamber| chamber.number(Quantity::Blocks))
        .map_or(3, |blocks| {
            blocks.value.clamp(1.0, MOST_BLOCKS as f64) as usize
        });
    let shelf = bottom - 30.0;
    body.push_str(&format!(
        "<line x1=\"{:.0}\" y1=\"{shelf}\" x2=\"{:.0}\" y2=\"{shelf}\" stroke-width=\"2.4\"/>",
        left + 14.0,
        right - 14.0
    ));
    let room = (right - left - 40.0) / count as f64;
    let wide = (room - 14.0).min(62.0);
    for number in 0..count {
        let x = left + 20.0 + room * (number as f64 + 0.5) - wide / 2.0;
        body.push_str(&format!(
            "<rect x=\"{x:.0}\" y=\"{:.0}\" width=\"{wide:.0}\" height=\"50\" rx=\"5\" fill=\"#efe6d6\"/>",
            shelf - 51.0
        ));
        for (share, tall) in [(0.25, 20.0), (0.5, 28.0), (0.75, 18.0)] {
            let (foot, head) = (x + wide * share, shelf - 51.0 - tall);
            body.push_str(&format!(
                "<line x1=\"{foot:.0}\" y1=\"{:.0}\" x2=\"{foot:.0}\" y2=\"{head:.0}\"/><path fill=\"#c9b48f\" \
                 d=\"M{:.0} {head:.0}q7 -11 14 0z\"/>",
                shelf - 51.0,
                foot - 7.0
            ));
        }
    }
    label(
        body,
        ((left + right) / 2.0, shelf + 20.0),
        "Blocks, off the floor",
        "middle",
    );
}

fn inlet(body: &mut String, filter: bool) {
    let (left, _, _, bottom) = INSIDE;
    let y = bottom - 95.0;
    body.push_str(&format!(
        "<line x1=\"{left}\" y1=\"{:.0}\" x2=\"{left}\" y2=\"{:.0}\" stroke=\"#fbf9f4\" stroke-width=\"5\"/>",
        y - 16.0,
        y + 16.0
    ));
    if filter {
        body.push_str(&format!(
            "<path d=\"M{:.0} {:.0}l6 8l-6 8l6 8l-6 8\"/>",
            left - 9.0,
            y - 16.0
        ));
    }
    arrow(
        body,
        &format!("M30 {y}H{:.0}", left + 26.0),
        (left + 28.0, y),
        0.0,
    );
    arrow(
        body,
        &format!(
            "M{:.0} {:.0}C{:.0} {:.0} 280 172 326 122",
            left + 40.0,
            y - 6.0,
            left + 120.0,
            y - 60.0
        ),
        (328.0, 120.0),
        -45.0,
    );
    label(body, (8.0, y + 34.0), "Inlet", "start");
}

fn outlet(body: &mut String, fan: bool, duct: bool) {
    let (_, top, right, _) = INSIDE;
    let y = top + 40.0;
    body.push_str(&format!(
        "<line x1=\"{right}\" y1=\"{:.0}\" x2=\"{right}\" y2=\"{:.0}\" stroke=\"#fbf9f4\" stroke-width=\"5\"/>",
        y - 18.0,
        y + 18.0
    ));
    if fan {
        body.push_str(&format!(
            "<circle cx=\"{:.0}\" cy=\"{y:.0}\" r=\"19\" fill=\"#ffffff\" stroke-width=\"2.4\"/><path transform=\"translate({:.0} \
             {y:.0})\" d=\"M0 0c-3 -7 1 -14 6 -15c2 6 0 12 -6 15c7 -1 13 4 13 9c-6 1 -12 -3 -13 -9c-4 6 -11 6 -15 3c3 -5 9 -7 15 -3\"/>",
            right - 24.0,
            right - 24.0
        ));
        label(body, (right - 52.0, y + 6.0), "Fan", "end");
    } else {
        label(body, (right - 10.0, y + 6.0), "Opening", "end");
    }
    if duct {
        body.push_str(&format!(
            "<path stroke-width=\"2.4\" d=\"M{right} {:.0}h36q14 0 14 -14v-60M{right} {:.0}h46q34 0 34 -30v-66\"/>",
            y - 14.0,
            y + 16.0
        ));
        arrow(
            body,
            &format!("M{:.0} {y:.0}h42q26 0 26 -24v-50", right + 4.0),
            (right + 72.0, y - 76.0),
            -90.0,
        );
        label(body, (right + 40.0, y + 44.0), "Duct", "middle");
    } else {
        arrow(
            body,
            &format!("M{:.0} {y:.0}h46", right + 6.0),
            (right + 54.0, y),
            0.0,
        );
        label(body, (right + 40.0, y + 30.0), "Outlet", "middle");
    }
}

fn mister(body: &mut String, inside: bool) {
    let (left, _, _, bottom) = INSIDE;
    let (x, y) = if inside {
        (left + 30.0, bottom - 118.0)
    } else {
        (26.0, bottom - 190.0)
    };
    body.push_str(&format!(
        "<path fill=\"#ffffff\" stroke-width=\"2.4\" d=\"M{x:.0} {y:.0}h44v40h-44z\"/><path d=\"M{:.0} {:.0}q5 -5 11 0t11 0t11 \
         0\"/>",
        x + 5.0,
        y + 22.0
    ));
    if inside {
        label(body, (x + 50.0, y + 6.0), "Mister", "start");
    } else {
        body.push_str(&format!(
            "<path stroke-width=\"7\" d=\"M{:.0} {y:.0}v-8q0 -14 14 -14h{:.0}\"/><path stroke=\"#fbf9f4\" stroke-width=\"3\" \
             d=\"M{:.0} {y:.0}v-8q0 -14 14 -14h{:.0}\"/>",
            x + 22.0,
            left - x - 30.0,
            x + 22.0,
            left - x - 28.0
        ));
        label(body, (8.0, y + 60.0), "Mister", "start");
    }
    let (mist_x, mist_y) = if inside {
        (x + 22.0, y - 6.0)
    } else {
        (left + 12.0, y - 22.0)
    };
    for number in 0..9 {
        let (dx, dy) = (
            f64::from(number % 3) * 9.0,
            f64::from(number / 3) * 8.0 - 8.0,
        );
        body.push_str(&format!(
            "<circle cx=\"{:.0}\" cy=\"{:.0}\" r=\"1.6\" fill=\"currentColor\" stroke=\"none\"/>",
            mist_x + dx - if inside { 9.0 } else { 0.0 },
            if inside {
                mist_y - dy - 8.0
            } else {
                mist_y + dy
            }
        ));
    }
}

fn sensor_at(place: Option<SensorPlace>) -> ((f64, f64), &'static str) {
    let (left, top, right, bottom) = INSIDE;
    match place {
        None | Some(SensorPlace::Caps) => (
            (right - 46.0, bottom - 134.0),
            "at the height of the caps, an arm's length from mist, fan and lamp.",
        ),
        Some(SensorPlace::Mist) => (
            (left + 66.0, top + 40.0),
            "in the mist: it reads too high there.",
        ),
        Some(SensorPlace::Fan) => (
            (right - 70.0, top + 74.0),
            "in the stream of the fan: it reads the moving air.",
        ),
        Some(SensorPlace::Wall) => (
            (right - 16.0, bottom - 150.0),
            "at a wall: it reads what the wall does.",
        ),
        Some(SensorPlace::Top) => (
            ((left + right) / 2.0, top + 40.0),
            "under the lid, above the crop.",
        ),
        Some(SensorPlace::Outside) => (
            (right + 40.0, bottom - 60.0),
            "outside the chamber: it reads the room.",
        ),
    }
}

fn lamp(body: &mut String, inside: bool) {
    let (left, top, right, _) = INSIDE;
    let x = (left + right) / 2.0 - 10.0;
    let y = if inside { top + 6.0 } else { top - 34.0 };
    body.push_str(&format!(
        "<rect x=\"{:.0}\" y=\"{y:.0}\" width=\"110\" height=\"12\" rx=\"4\" fill=\"#fff3c4\" stroke-width=\"2.4\"/>",
        x - 55.0
    ));
    for ray in [-36.0, -12.0, 12.0, 36.0] {
        body.push_str(&format!(
            "<path d=\"M{:.0} {:.0}l{:.0} 12\"/>",
            x + ray,
            y + 17.0,
            ray / 9.0
        ));
    }
    label(body, (x - 64.0, y + 12.0), "Lamp", "end");
}
