//! Finding an entry by what a person types.

use crate::engine::id::{ActionId, CauseId, CautionId, SignId, SpeciesId};
use crate::engine::knowledge::KnowledgeBase;

/// How many entries are offered where several fit or none does.
const MOST_OFFERED: usize = 12;

/// A name at least this much like what was typed is offered instead (Jaro and Winkler's measure, 0 to 1).
///
/// judgement: found by trying mistyped names; lower ones share no more than a few letters.
const LIKE_ENOUGH: f64 = 0.8;

/// An entry of the handbook.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Entry<'k> {
    /// A species.
    Species(&'k SpeciesId),
    /// A sign.
    Sign(&'k SignId),
    /// A cause.
    Cause(&'k CauseId),
    /// An action.
    Action(&'k ActionId),
    /// A caution.
    Caution(&'k CautionId),
}

impl Entry<'_> {
    /// Its id.
    pub fn id(&self) -> &str {
        match self {
            Self::Species(id) => id.as_str(),
            Self::Sign(id) => id.as_str(),
            Self::Cause(id) => id.as_str(),
            Self::Action(id) => id.as_str(),
            Self::Caution(id) => id.as_str(),
        }
    }

    /// The word for its kind.
    pub fn kind(&self) -> &'static str {
        match self {
            Self::Species(_) => "species",
            Self::Sign(_) => "sign",
            Self::Cause(_) => "cause",
            Self::Action(_) => "action",
            Self::Caution(_) => "caution",
        }
    }
}

/// What was found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Looked<'k> {
    /// This, or the entries of different kinds that share one name.
    Found(Vec<Entry<'k>>),
    /// Several entries fit a part of a name; at most a dozen of them, and how many there are.
    Several(Vec<Entry<'k>>, usize),
    /// None; the ids nearest to what was typed.
    Nothing(Vec<Entry<'k>>),
}

/// An entry with what it can be called.
struct Named<'k> {
    entry: Entry<'k>,
    /// Its id and names, in small letters.
    names: Vec<String>,
    /// What people also say; several entries may share it.
    words: Vec<String>,
}

/// Looks an entry up: by its whole id or name, then by what people call it, then by a part of id or name. Case and the
/// choice of hyphen or blank do not matter.
pub fn look_up<'k>(base: &'k KnowledgeBase, typed: &str) -> Looked<'k> {
    let wanted = tidy(typed);
    let all = named(base);
    if wanted.is_empty() {
        return Looked::Nothing(Vec::new());
    }
    let fitting = |fits: &dyn Fn(&Named<'k>) -> bool| -> Vec<Entry<'k>> {
        let found = all.iter().filter(|named| fits(named));
        found.map(|named| named.entry).collect()
    };
    let whole = fitting(&|named| named.names.contains(&wanted));
    if !whole.is_empty() {
        return Looked::Found(whole);
    }
    let said = fitting(&|named| named.words.contains(&wanted));
    let part = fitting(&|named| named.names.iter().any(|name| name.contains(&wanted)));
    let apart = fitting(&|named| {
        let has_all = |name: &String| wanted.split(' ').all(|word| name.contains(word));
        named.names.iter().any(has_all)
    });
    for mut found in [said, part, apart] {
        match found.len() {
            0 => {}
            1 => return Looked::Found(found),
            several => {
                found.truncate(MOST_OFFERED);
                return Looked::Several(found, several);
            }
        }
    }
    Looked::Nothing(nearest(&all, &wanted))
}

fn nearest<'k>(all: &[Named<'k>], wanted: &str) -> Vec<Entry<'k>> {
    let mut scored: Vec<(f64, Entry<'k>)> = all
        .iter()
        .map(|named| {
            let names = named.names.iter().chain(&named.words);
            let likeness = names.map(|name| strsim::jaro_winkler(name, wanted));
            (likeness.fold(0.0, f64::max), named.entry)
        })
        .filter(|(likeness, _)| *likeness >= LIKE_ENOUGH)
        .collect();
    scored.sort_by(|a, b| b.0.total_cmp(&a.0).then_with(|| a.1.id().cmp(b.1.id())));
    scored.into_iter().take(3).map(|(_, entry)| entry).collect()
}

fn tidy(text: &str) -> String {
    let small = text.to_lowercase().replace(['-', '_'], " ");
    small.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn named(base: &KnowledgeBase) -> Vec<Named<'_>> {
    let entry = |entry: Entry<'_>, names: &[&str]| {
        let mut all = vec![tidy(entry.id())];
        all.extend(names.iter().map(|name| tidy(name)));
        all
    };
    let plain = |one, names: &[&str]| Named {
        names: entry(one, names),
        entry: one,
        words: Vec::new(),
    };
    let mut found = Vec::new();
    for (id, species) in &base.species {
        let mut named = plain(Entry::Species(id), &[&species.name, &species.latin]);
        named
            .names
            .extend(species.also.iter().map(|also| tidy(also)));
        found.push(named);
    }
    for (id, sign) in &base.signs {
        let mut named = plain(Entry::Sign(id), &[&sign.statement]);
        named.words = sign.words.iter().map(|word| tidy(word)).collect();
        found.push(named);
    }
    found.extend(
        base.causes
            .iter()
            .map(|(id, cause)| plain(Entry::Cause(id), &[&cause.name])),
    );
    found.extend(base.actions.keys().map(|id| plain(Entry::Action(id), &[])));
    found.extend(
        base.cautions
            .keys()
            .map(|id| plain(Entry::Caution(id), &[])),
    );
    found
}
