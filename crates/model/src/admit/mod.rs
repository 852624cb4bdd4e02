//! The one place where the invariants of a program are checked: what is kept, what is cut off, what is dropped.
//!
//! Invariant: total; any parts come out consistent, and everything that was left out is named.

mod logic;
mod vehicle;

use crate::{Parts, Problem};
use lampwright_timing::SortedSet;
use std::fmt;

/// Leaves out of the parts what is not consistent and says what and why.
pub(crate) fn admit(parts: &mut Parts) -> Vec<Problem> {
    let mut review = Review::default();
    vehicle::admit_vehicle(&mut parts.vehicle, &mut review);
    logic::admit_patterns(&mut parts.patterns, &mut review);
    logic::admit_signals(parts, &mut review);
    logic::admit_layers(parts, &mut review);
    logic::admit_review(parts, &mut review);
    review.problems
}

/// Collects what is wrong while one list is looked through.
#[derive(Default)]
pub(super) struct Review {
    problems: Vec<Problem>,
    is_item_broken: bool,
}

impl Review {
    /// The item at hand cannot be kept.
    pub(super) fn breaks(&mut self, problem: Problem) {
        self.is_item_broken = true;
        self.problems.push(problem);
    }

    /// The item at hand cannot be kept because of its member.
    pub(super) fn breaks_at(&mut self, path: &str, member: &str, expected: &str, found: String) {
        self.breaks(problem_at(path, member, expected, found));
    }

    /// Something of the item was cut off; the rest can be kept.
    pub(super) fn cuts(&mut self, problem: Problem) {
        self.problems.push(problem);
    }

    /// A member was cut off; the rest of the item can be kept.
    pub(super) fn cuts_at(&mut self, path: &str, member: &str, expected: &str, found: String) {
        self.cuts(problem_at(path, member, expected, found));
    }

    /// Starts with the next item; its path.
    fn start(&mut self, list: &str, index: usize) -> String {
        self.is_item_broken = false;
        format!("{list}[{index}]")
    }
}

#[inline(never)]
fn problem_at(path: &str, member: &str, expected: &str, found: String) -> Problem {
    Problem::new(format!("{path}.{member}"), expected, found)
}

/// Texts met so far; identifiers of every kind go in as texts, so that one set serves them all.
pub(super) type Seen = SortedSet<String>;

/// Whether a text was met.
#[inline(never)]
pub(super) fn has(seen: &Seen, text: &str) -> bool {
    seen.binary_search_by(|known| known.as_str().cmp(text))
        .is_ok()
}

/// Remembers a text; false when it was met before.
#[inline(never)]
pub(super) fn is_new(seen: &mut Seen, text: &str) -> bool {
    seen.insert(text.to_owned())
}

/// "\"x\" again".
#[inline(never)]
pub(super) fn again(text: &str) -> String {
    format!("\"{text}\" again")
}

/// Keeps the items that `check` finds nothing broken in; `check` gets the item's path.
pub(super) fn keep<T>(
    items: &mut Vec<T>,
    list: &str,
    review: &mut Review,
    mut check: impl FnMut(&mut T, &str, &mut Review),
) {
    let mut index = 0;
    items.retain_mut(|item| {
        let path = review.start(list, index);
        check(item, &path, review);
        index += 1;
        !review.is_item_broken
    });
}

/// Takes out of `items` what `is_known` does not know, and says so.
pub(super) fn cut_unknown<T: fmt::Display>(
    items: &mut Vec<T>,
    kind: &str,
    path: &str,
    review: &mut Review,
    is_known: impl Fn(&T) -> bool,
) {
    items.retain(|item| {
        let known = is_known(item);
        if !known {
            review.cuts(unknown(path, "", kind, item));
        }
        known
    });
}

/// Empties a reference that leads nowhere, and says so.
pub(super) fn cut_reference<T: fmt::Display>(
    reference: &mut Option<T>,
    kind: &str,
    (path, member): (&str, &str),
    review: &mut Review,
    is_known: impl Fn(&T) -> bool,
) {
    if let Some(id) = reference.take_if(|id| !is_known(id)) {
        review.cuts(unknown(path, member, kind, &id));
    }
}

#[inline(never)]
pub(super) fn claim(seen: &mut Seen, id: &str, path: &str, review: &mut Review) {
    if !is_new(seen, id) {
        review.breaks_at(path, "id", "an id used only once", again(id));
    }
}

#[inline(never)]
pub(super) fn within(
    value: i64,
    (least, most): (i64, i64),
    shown: &str,
    (path, member): (&str, &str),
    review: &mut Review,
) {
    if value < least || value > most {
        review.breaks_at(path, member, shown, format!("{value} thousandths"));
    }
}

/// An identifier that leads nowhere; the member is empty when the path has it.
#[inline(never)]
pub(super) fn unknown(path: &str, member: &str, kind: &str, id: &dyn fmt::Display) -> Problem {
    let dot = if member.is_empty() { "" } else { "." };
    Problem::new(
        format!("{path}{dot}{member}"),
        format!("the id of {kind}"),
        format!("\"{id}\""),
    )
}
