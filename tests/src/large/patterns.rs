//! The invented patterns of some flashes to a side, and a library of as many as wanted.

use super::{id, whole};
use lampwright_model::{Lane, Pattern, Pulse};
use lampwright_timing::{Level, Micros};

/// The pattern with this number in a library of many, 1 to 4 flashes to a side and a period of 0.8 s to 4.79 s.
#[must_use]
pub fn library_pattern(number: usize) -> Pattern {
    let n_flashes = number % 4 + 1;
    let period_ms = 800 + 10 * (whole(number) % 400);
    let mut pattern = alternating(&format!("library-{number}"), period_ms, n_flashes, 40);
    pattern.label = format!("Library pattern {number}");
    pattern
}

/// Left and right in turn, each with some flashes of a length in milliseconds.
pub(super) fn alternating(name: &str, period_ms: i64, n_flashes: usize, length_ms: i64) -> Pattern {
    let lane = |role: &str, from_ms: i64| Lane {
        role: id(role),
        pulses: flashes(from_ms, n_flashes, length_ms).collect(),
    };
    Pattern {
        id: id(name),
        label: name.replace('-', " "),
        period: Micros(period_ms * 1000),
        tick: Micros(10_000),
        lanes: vec![lane("left", 0), lane("right", period_ms / 2)],
    }
}

/// Flashes with gaps of 40 ms.
pub(super) fn flashes(
    from_ms: i64,
    n_flashes: usize,
    length_ms: i64,
) -> impl Iterator<Item = Pulse> {
    (0..n_flashes).map(move |index| Pulse {
        start: Micros((from_ms + whole(index) * (length_ms + 40)) * 1000),
        length: Micros(length_ms * 1000),
        level: Level::FULL,
        color: None,
    })
}

/// One place after the other, each lit for 300 ms.
pub(super) fn sweep(name: &str, period_ms: i64, n_places: usize) -> Pattern {
    Pattern {
        id: id(name),
        label: name.replace('-', " "),
        period: Micros(period_ms * 1000),
        tick: Micros(10_000),
        lanes: (0..n_places)
            .map(|place| Lane {
                role: id(&format!("place-{place}")),
                pulses: flashes(whole(place) * 50, 1, 300).collect(),
            })
            .collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn library_patterns_are_sound() {
        for number in 0..10_000 {
            let pattern = library_pattern(number);
            for lane in &pattern.lanes {
                let problems = lampwright_model::lane_problems(pattern.period, &lane.pulses);
                assert!(problems.is_empty(), "{number}: {problems:?}");
            }
        }
    }
}
