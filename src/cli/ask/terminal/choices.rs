//! The lists of choices a step is answered from.

use std::io;

use crate::cli::ask::answers::Which;
use crate::cli::ask::keys::{
    ASK_WHY, CANNOT, END, GO_BACK, NONE, NOT_KNOWN, RATHER_NOT, SO_FAR, UNSURE, aside, long_word,
};
use crate::cli::ask::list::{Hot, List, Picked};
use crate::cli::ask::prompt::Prompt;
use crate::cli::ask::swatch::swatch;
use crate::cli::ask::terminal::Terminal;
use crate::cli::ask::walk::Reply;
use crate::engine::id::{PersonId, SignId};
use crate::engine::observations::Answer;

impl Terminal<'_> {
    /// Not knowing comes first, so that pressing Enter takes nothing for granted. What is typed narrows a list down that
    /// can be searched; then letters are no keys, and the other answers stand below.
    pub(super) fn one_of<T: Clone>(
        &self,
        put: &Prompt,
        ids: &[T],
        first: bool,
        reply: fn(Option<T>) -> Reply,
    ) -> io::Result<Reply> {
        let searched = !put.found_by.is_empty();
        let mut choices = vec![NOT_KNOWN.to_owned()];
        choices.extend_from_slice(&put.choices);
        let mut extra: Vec<Hot> = vec![ASK_WHY];
        if !first {
            extra.push(GO_BACK);
        }
        extra.push(END);
        let mut found_by = Vec::new();
        if searched {
            found_by.push(String::new());
            found_by.extend_from_slice(&put.found_by);
            for word in extra.iter().map(long_word) {
                choices.push(word.to_owned());
                found_by.push(String::new());
            }
        }
        let items = self.items(choices.iter().map(String::as_str));
        let picked = self.pick(&List {
            found_by: &found_by,
            ..self.list(&items, if searched { &[] } else { &extra })
        })?;
        Ok(match picked {
            Picked::One(0) => reply(None),
            Picked::One(place) => match ids.get(place - 1) {
                Some(id) => reply(Some(id.clone())),
                None => extra
                    .get(place - 1 - ids.len())
                    .map_or(Reply::Back, |hot| aside(hot.key)),
            },
            Picked::Hot(key) => aside(key),
            Picked::Marked(_) | Picked::Escape => Reply::Back,
        })
    }

    pub(super) fn marked<T: Clone>(
        &self,
        put: &Prompt,
        ids: &[T],
        reply: fn(Vec<T>) -> Reply,
    ) -> io::Result<Reply> {
        let items = self.items(put.choices.iter().map(String::as_str));
        let picked = self.pick(&List {
            several: true,
            ..self.list(&items, &[ASK_WHY, SO_FAR, GO_BACK, END])
        })?;
        Ok(match picked {
            Picked::Marked(places) => reply(
                places
                    .iter()
                    .filter_map(|&place| ids.get(place).cloned())
                    .collect(),
            ),
            Picked::Hot(key) => aside(key),
            Picked::One(_) | Picked::Escape => Reply::Back,
        })
    }

    pub(super) fn people(&self, put: &Prompt, people: &[PersonId]) -> io::Result<Reply> {
        let items = self.items(put.choices.iter().map(String::as_str));
        let list = List {
            several: true,
            ..self.list(&items, &[NONE, RATHER_NOT, ASK_WHY, SO_FAR, GO_BACK, END])
        };
        loop {
            match self.pick(&list)? {
                // Nothing marked may mean either; the cautious branch must not be left by a slip.
                Picked::Marked(places) if places.is_empty() => {
                    self.note("Nothing is marked: n is for none of these, r for rather not say.")?;
                }
                Picked::Marked(places) => {
                    let these = places
                        .iter()
                        .filter_map(|&place| people.get(place).cloned());
                    return Ok(Reply::People(Some(these.collect())));
                }
                Picked::Hot('n') => return Ok(Reply::People(Some(Vec::new()))),
                Picked::Hot('r') => return Ok(Reply::People(None)),
                Picked::Hot(key) => return Ok(aside(key)),
                Picked::One(_) | Picked::Escape => return Ok(Reply::Back),
            }
        }
    }

    pub(super) fn sign(&self, put: &Prompt) -> io::Result<Reply> {
        let words = put.choices.iter().map(String::as_str);
        let items = self.items(words.chain([UNSURE.word]));
        let hot = self.answered(&[CANNOT, ASK_WHY, SO_FAR, GO_BACK, END]);
        let picked = self.pick(&List {
            quick: &['y', 'n', 'u'],
            ..self.list(&items, &hot)
        })?;
        Ok(match picked {
            Picked::One(0) => Reply::Sign(Answer::Yes),
            Picked::One(1) => Reply::Sign(Answer::No),
            Picked::One(_) => Reply::Sign(Answer::Unsure),
            Picked::Hot(key) => aside(key),
            Picked::Marked(_) | Picked::Escape => Reply::Back,
        })
    }

    pub(super) fn which(&self, put: &Prompt, signs: &[SignId]) -> io::Result<Reply> {
        let items = self.items(put.choices.iter().map(String::as_str));
        let leads: Vec<String> = if self.look.colour && !self.dumb {
            let patches = put.colours.iter().map(|colour| swatch(*colour));
            patches.map(|patch| format!("{patch} ")).collect()
        } else {
            Vec::new()
        };
        let hot = self.answered(&[NONE, UNSURE, CANNOT, ASK_WHY, SO_FAR, GO_BACK, END]);
        let list = List {
            leads: &leads,
            several: put.several,
            ..self.list(&items, &hot)
        };
        loop {
            let places = match self.pick(&list)? {
                Picked::One(place) => vec![place],
                Picked::Marked(places) => places,
                Picked::Hot(key) => return Ok(aside(key)),
                Picked::Escape => return Ok(Reply::Back),
            };
            let these: Vec<SignId> = places
                .iter()
                .filter_map(|&place| signs.get(place).cloned())
                .collect();
            if !these.is_empty() {
                return Ok(Reply::Which(Which::These(these)));
            }
            self.note("Nothing is marked: the space bar marks; n is for none of these.")?;
        }
    }
}
