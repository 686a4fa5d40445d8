//! What was told, in any combination: each pair of bytes is something told.

use blockside::engine::observations::{Answer, Observations};
use blockside::engine::quantity::Measured;

use crate::targets::shown::{BASE, REASONER, diagnosed};

const ANSWERS: [Answer; 4] = [Answer::Yes, Answer::No, Answer::Unsure, Answer::Probably];

/// Takes three bytes at a time: the first says what sort of thing, the second which, the third what of it.
pub fn run(data: &[u8]) {
    let mut told = Observations::default();
    for group in data.chunks_exact(3).take(48) {
        let (which, value) = (usize::from(group[1]), group[2]);
        // The upper bits of the sort reach the signs beyond the first 256.
        let far = which + 256 * usize::from(group[0] >> 4);
        match group[0] & 7 {
            0..=2 => {
                let (id, _) = BASE.signs.get_index(far % BASE.signs.len()).expect("there");
                told.signs
                    .insert(id.clone(), ANSWERS[usize::from(value) % 4]);
            }
            3 => {
                let (id, _) = BASE.setup.get_index(far % BASE.setup.len()).expect("there");
                told.setup.insert(id.clone(), value & 1 == 0);
            }
            4 => {
                let (id, reading) = BASE
                    .readings
                    .get_index(far % BASE.readings.len())
                    .expect("there");
                let (least, most) = reading.believable;
                let value = least + (most - least) * f64::from(value) / 255.0;
                let tolerance = (group[0] & 8 != 0).then_some((most - least) / 100.0);
                told.readings
                    .insert(id.clone(), Measured { value, tolerance });
            }
            5 => {
                let (id, _) = BASE
                    .people
                    .get_index(far % BASE.people.len())
                    .expect("there");
                told.people.insert(id.clone(), value & 1 == 0);
            }
            6 => {
                let found = BASE.species.get_index(far % BASE.species.len());
                told.species = found.map(|(id, _)| id.clone());
            }
            _ => {
                let found = BASE.stages.get_index(far % BASE.stages.len());
                told.stage = found.map(|(id, _)| id.clone());
            }
        }
    }
    diagnosed(&REASONER, &told);
}
