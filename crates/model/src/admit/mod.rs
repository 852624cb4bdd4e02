//! The one place where the invariants of a program are checked: what is kept, what is cut off, what is dropped.
//!
//! Invariant: total; any parts come out consistent, and everything that was left out is named.

mod logic;
mod vehicle;

use crate::{Parts, Problem};
use std::collections::HashSet;
use std::fmt;
use std::hash::Hash;

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

    /// Something of the item was cut off; the rest can be kept.
    pub(super) fn cuts(&mut self, problem: Problem) {
        self.problems.push(problem);
    }
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
        review.is_item_broken = false;
        check(item, &format!("{list}[{index}]"), review);
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
            review.cuts(unknown(path.to_owned(), kind, item));
        }
        known
    });
}

/// Empties a reference that leads nowhere, and says so.
pub(super) fn cut_reference<T: fmt::Display>(
    reference: &mut Option<T>,
    kind: &str,
    path: String,
    review: &mut Review,
    is_known: impl Fn(&T) -> bool,
) {
    if let Some(id) = reference.take_if(|id| !is_known(id)) {
        review.cuts(unknown(path, kind, &id));
    }
}

pub(super) fn claim<T: Clone + Eq + Hash + fmt::Display>(
    seen: &mut HashSet<T>,
    id: &T,
    path: &str,
    review: &mut Review,
) {
    if !seen.insert(id.clone()) {
        review.breaks(Problem::new(
            format!("{path}.id"),
            "an id used only once",
            format!("\"{id}\" again"),
        ));
    }
}

pub(super) fn within(
    value: i64,
    range: std::ops::RangeInclusive<i64>,
    shown: &str,
    path: String,
    review: &mut Review,
) {
    if !range.contains(&value) {
        review.breaks(Problem::new(path, shown, format!("{value} thousandths")));
    }
}

pub(super) fn unknown(path: String, kind: &str, id: &impl fmt::Display) -> Problem {
    Problem::new(path, format!("the id of {kind}"), format!("\"{id}\""))
}
