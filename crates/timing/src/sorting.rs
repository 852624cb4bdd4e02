//! Sorting compiled once: the order is found through indices, so a further element type costs a few bytes of the app and not a copy of the algorithm.
//!
//! Invariant: equal elements keep their order.
//! Absent: speed for long lists of numbers, which the standard library sorts faster in place.

use std::cmp::Ordering;

/// Sorts by the elements' own order.
pub fn sort<T: Ord>(items: &mut [T]) {
    sort_by(items, T::cmp);
}

/// Sorts by a comparison, which must be a total order.
pub fn sort_by<T>(items: &mut [T], mut compare: impl FnMut(&T, &T) -> Ordering) {
    if items.is_sorted_by(|one, next| compare(one, next) != Ordering::Greater) {
        return;
    }
    let swaps = swaps(
        items.len(),
        &mut |left, right| match (items.get(left), items.get(right)) {
            (Some(left), Some(right)) => compare(left, right),
            _ => Ordering::Equal,
        },
    );
    for (one, other) in swaps {
        items.swap(one, other);
    }
}

/// The swaps, one after the other, that bring `n` elements into order; all indices are below `n`.
fn swaps(n: usize, compare: &mut dyn FnMut(usize, usize) -> Ordering) -> Vec<(usize, usize)> {
    let mut sources: Vec<usize> = (0..n).collect();
    sources.sort_by(|left, right| compare(*left, *right));
    let mut swaps = Vec::new();
    for start in 0..n {
        // Follows the cycle of places through this one, and marks what is at its place.
        let mut at = start;
        while let Some(source) = sources.get_mut(at) {
            let from = std::mem::replace(source, at);
            if from == start || from == at {
                break;
            }
            swaps.push((at, from));
            at = from;
        }
    }
    swaps
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sorts_as_the_standard_library_does() {
        // Numbers of a small linear congruential generator, in every length up to 60.
        let mut state: u32 = 7;
        for length in 0..60 {
            let mut found: Vec<(u32, usize)> = (0..length)
                .map(|index| {
                    state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
                    ((state >> 24) % 16, index)
                })
                .collect();
            let mut wanted = found.clone();
            wanted.sort_by_key(|(key, _)| *key);
            sort_by(&mut found, |one, other| one.0.cmp(&other.0));
            assert_eq!(found, wanted);
        }
    }

    #[test]
    fn sorts_by_the_elements_own_order() {
        let mut found = ["tail", "arrow", "scene", "arrow"];
        sort(&mut found);
        assert_eq!(found, ["arrow", "arrow", "scene", "tail"]);
    }
}
