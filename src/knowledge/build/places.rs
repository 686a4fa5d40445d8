//! Where entries stand, for problems found across entries.

use std::ops::Range;

use rustc_hash::FxHashMap;
use smol_str::SmolStr;

use crate::knowledge::build::SourceFile;
use crate::knowledge::shape::Kind;

/// Where entries stand. Short ids are kept in place: a large base has hundreds of thousands.
#[derive(Debug, Default)]
pub struct Places {
    /// The files looked at, each with its layer.
    files: Vec<(usize, String)>,
    /// The file, by its place in the list, and the place of the id in it.
    places: FxHashMap<(Kind, SmolStr), (usize, Range<usize>)>,
}

impl Places {
    /// Notes that the places to come are those of this file.
    pub(super) fn enter(&mut self, file: &SourceFile) {
        self.files.push((file.layer, file.name.clone()));
    }

    /// Puts down an entry of the file entered last. One of the same layer with the same id stays where it is, and its
    /// place is told instead.
    pub(super) fn put(
        &mut self,
        kind: Kind,
        id: &str,
        span: &Range<usize>,
    ) -> Result<(), (String, Range<usize>)> {
        let key = (kind, SmolStr::new(id));
        let file = self.files.len().saturating_sub(1);
        if let Some((earlier, span)) = self.places.get(&key)
            && self.files[*earlier].0 == self.files[file].0
        {
            return Err((self.files[*earlier].1.clone(), span.clone()));
        }
        self.places.insert(key, (file, span.clone()));
        Ok(())
    }

    /// File and place of an entry's id.
    pub fn of(&self, kind: Kind, id: &str) -> Option<(&str, Range<usize>)> {
        self.places
            .get(&(kind, SmolStr::new(id)))
            .map(|(file, span)| (self.files[*file].1.as_str(), span.clone()))
    }

    /// Whether there is such an entry.
    pub fn has(&self, key: &(Kind, SmolStr)) -> bool {
        self.places.contains_key(key)
    }

    /// The ids of a kind, in no order.
    pub fn ids(&self, kind: Kind) -> impl Iterator<Item = &str> {
        let ids = self.places.keys();
        ids.filter(move |(of, _)| *of == kind)
            .map(|(_, id)| id.as_str())
    }
}
