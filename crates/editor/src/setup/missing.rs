//! What nobody has entered yet of the things of a list: assumed where a number is needed, unknown where none can be assumed.
//!
//! Invariant: pure; says which things, and judges nothing.

use super::ThingKind;
use lampwright_formats::Thing;
use lampwright_model::{ItemId, Parts};

/// Something that some things of a list lack.
#[derive(Clone, PartialEq, Debug)]
pub struct Missing {
    /// What it is called.
    pub words: &'static str,
    /// The member it is: the last step of its path.
    pub member: &'static str,
    /// Which things lack it.
    pub ids: Vec<ItemId>,
}

/// What is looked for in each thing of a list: what it is called, and its member; below `emitters` that of each of them.
const fn looked_for(kind: ThingKind) -> &'static [(&'static str, &'static str)] {
    match kind {
        ThingKind::Head => &[
            ("peak intensity", "emitters/peak_cd"),
            ("current", "emitters/full_current_a"),
            ("chromaticity", "emitters/chromaticity"),
            ("beam", "beam"),
            ("output", "emitters/output"),
        ],
        ThingKind::Output => &[("rating", RATING), ("fuse", "fuse"), ("wire", "wire")],
        ThingKind::Fuse => &[("rating", RATING)],
        ThingKind::Clock => &[("error of the rate", TOLERANCE)],
        _ => &[],
    }
}

const RATING: &str = "rating_a";
const TOLERANCE: &str = "tolerance_ppm";

/// What the label of a thing ends in while a number that it has to have is assumed.
pub(super) fn mark(path: &str) -> Option<&'static str> {
    match path {
        RATING => Some(", rating assumed"),
        TOLERANCE => Some(", error assumed"),
        _ => None,
    }
}

/// What is missing of the things of a list, each with those that lack it; nothing that none lacks.
#[must_use]
pub fn missing(parts: &Parts, kind: ThingKind) -> Vec<Missing> {
    let things: Vec<(ItemId, Thing)> = (0..)
        .map_while(|index| kind.item(parts, index))
        .map(|item| (item.id(), Thing::of(&item)))
        .collect();
    let looked_for = looked_for(kind).iter();
    looked_for
        .map(|(words, path)| {
            let lacking = things.iter().filter(|(_, thing)| lacks(thing, path));
            Missing {
                words,
                member: path.rsplit_once('/').map_or(*path, |(_, member)| member),
                ids: lacking.map(|(id, _)| id.clone()).collect(),
            }
        })
        .filter(|missing| !missing.ids.is_empty())
        .collect()
}

fn lacks(thing: &Thing, path: &str) -> bool {
    if let Some(mark) = mark(path) {
        return thing
            .word("label")
            .is_some_and(|label| label.ends_with(mark));
    }
    match path.split_once('/') {
        None => !thing.has(path),
        Some((list, member)) => {
            let mut parts = 0..thing.n_items(list);
            parts.any(|index| !thing.has(&format!("{list}/{index}/{member}")))
        }
    }
}
