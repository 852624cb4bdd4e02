//! Red flashes of the sum: opposing changes into and out of saturated red.
//!
//! A counter of two states keeps what it has seen since its last change; it changes at a state of the other kind that is far from one it has kept.
//! Invariant: cyclic light is counted over every cycle the counter can end up in, and the worst one taken.

use super::chromaticity::ColorState;
use super::mixture::Mixtures;
use crate::screening::cycles::Cycles;
use crate::screening::scene::Extent;
use crate::screening::train::{Train, Worst};

/// Memory of the red counter that is used again.
#[derive(Clone, Debug, Default)]
pub(super) struct RedFlashes {
    /// What is shown, with equal neighbors as one.
    changes: Vec<(i64, usize)>,
    far: Vec<u64>,
    kept: Vec<u64>,
    /// For each of `changes`, how many changes before it the nearest far one lies; none around the period when 0.
    since_far: Vec<usize>,
    /// For each of `changes`, how many changes after it the counter changes next; never when 0.
    until_next: Vec<usize>,
    cycles: Cycles,
    to_red: Vec<i64>,
    from_red: Vec<i64>,
}

impl RedFlashes {
    /// The worst second of red flashes of the sum.
    pub(super) fn worst(&mut self, mixtures: &Mixtures, extent: Extent, second: i64) -> Worst {
        let states = &mixtures.states;
        self.changes.clear();
        for shown in &mixtures.shown {
            if self.changes.last().is_none_or(|last| last.1 != shown.place) {
                self.changes.push((shown.time, shown.place));
            }
        }
        if let (Extent::Cyclic { .. }, [first, .., last]) = (extent, self.changes.as_slice())
            && first.1 == last.1
        {
            self.changes.remove(0);
        }
        if !self.find_far(states) {
            return Worst::default();
        }
        match extent {
            Extent::Cyclic { period } => self.cyclic(states, period, second),
            Extent::Once { .. } => self.once(states, second),
        }
    }

    /// Fills the table of states that differ by more than 0.2, at least one of them saturated.
    ///
    /// False when no saturated state is far from one that is not, so that red changes at most once.
    fn find_far(&mut self, states: &[ColorState]) -> bool {
        let n = states.len();
        if !states.iter().any(|state| state.is_saturated) {
            return false;
        }
        let words = n.div_ceil(64);
        self.far.clear();
        self.far.resize(n * words, 0);
        let mut found = false;
        // Only pairs with a saturated state are ever asked for.
        for (place, state) in states.iter().enumerate() {
            if !state.is_saturated {
                continue;
            }
            for (other_place, other) in states.iter().enumerate() {
                if state.is_far_from(*other) {
                    self.far[place * words + other_place / 64] |= 1 << (other_place % 64);
                    self.far[other_place * words + place / 64] |= 1 << (place % 64);
                    found |= !other.is_saturated;
                }
            }
        }
        self.kept.clear();
        self.kept.resize(words, 0);
        found
    }

    fn cyclic(&mut self, states: &[ColorState], period: i64, second: i64) -> Worst {
        self.find_since_far(states.len());
        self.find_next(states);
        let Self {
            changes,
            until_next,
            cycles,
            to_red,
            from_red,
            ..
        } = self;
        let mut worst = Worst::default();
        cycles.visit(
            changes.len(),
            |at| {
                let n_steps = until_next[at];
                let (place, n) = (at + n_steps, changes.len());
                let turns = i64::try_from(place / n).unwrap_or(0);
                (n_steps > 0).then_some((place % n, turns))
            },
            |cycle, turns| {
                to_red.clear();
                from_red.clear();
                for &(at, turn) in cycle {
                    let (time, place) = changes[at];
                    let is_red = states[place].is_saturated;
                    let train = if is_red { &mut *to_red } else { &mut *from_red };
                    train.push(time + turn * period);
                }
                for times in [&*to_red, &*from_red] {
                    let here = Train {
                        times,
                        period: Some(turns * period),
                    }
                    .worst(second);
                    if here.count > worst.count {
                        worst = here;
                    }
                }
            },
        );
        worst
    }

    /// Fills `since_far`: for a saturated state any state counts, for another one the saturated ones, as the table of far states has it.
    fn find_since_far(&mut self, n_states: usize) {
        let Self {
            changes,
            far,
            since_far,
            ..
        } = self;
        let n = changes.len();
        let words = n_states.div_ceil(64);
        since_far.clear();
        for at in 0..n {
            let of_state = changes[at].1;
            let far = &far[of_state * words..(of_state + 1) * words];
            let is_far = |place: usize| far[place / 64] & (1 << (place % 64)) != 0;
            // What is nearest to a state is nearest, past it, to the same state shown again.
            let reach = if far.iter().all(|word| *word == 0) {
                0
            } else {
                n
            };
            let before = changes[..at].iter().rev().chain(changes[at..].iter().rev());
            let found = before.zip(1..reach).find(|((_, place), n_steps)| {
                is_far(*place) || (*place == of_state && *n_steps <= at)
            });
            since_far.push(match found {
                Some(((_, place), n_steps)) if *place == of_state => {
                    match since_far[at - n_steps] {
                        0 => 0,
                        before => n_steps + before,
                    }
                }
                found => found.map_or(0, |(_, n_steps)| n_steps),
            });
        }
    }

    /// Fills `until_next`: what the counter of [`RedMachine`] keeps from a place on is everything that can bear on a change, so it changes at the first state of the other kind whose nearest far state is not further back than that place.
    ///
    /// A later place keeps less, so it is never followed by an earlier change: one pass does for all places of a kind.
    fn find_next(&mut self, states: &[ColorState]) {
        let Self {
            changes,
            since_far,
            until_next,
            ..
        } = self;
        let n = changes.len();
        until_next.clear();
        until_next.resize(n, 0);
        for is_red in [false, true] {
            let mut next = 0;
            for at in 0..n {
                next = next.max(at + 1);
                let is_change = |place: usize| {
                    states[changes[place % n].1].is_saturated != is_red
                        && (1..=place - at).contains(&since_far[place % n])
                };
                // Twice around suffices: then everything that repeats has been kept.
                while next <= at + 2 * n && !is_change(next) {
                    next += 1;
                }
                if next > at + 2 * n {
                    break;
                }
                if states[changes[at].1].is_saturated == is_red {
                    until_next[at] = next - at;
                }
            }
        }
    }

    fn once(&mut self, states: &[ColorState], second: i64) -> Worst {
        let Self {
            changes,
            far,
            kept,
            to_red,
            from_red,
            ..
        } = self;
        to_red.clear();
        from_red.clear();
        let mut machine = RedMachine { states, far, kept };
        let mut is_red = false;
        if let Some(&(_, place)) = changes.first() {
            machine.reset(place);
        }
        for &(time, place) in changes.iter().skip(1) {
            if machine.changes_at(place, is_red) {
                is_red = !is_red;
                machine.reset(place);
                if is_red {
                    to_red.push(time)
                } else {
                    from_red.push(time)
                }
            }
        }
        // The last change has no opposing one.
        if is_red {
            to_red.pop();
        } else {
            from_red.pop();
        }
        let rises = Train {
            times: to_red,
            period: None,
        }
        .worst(second);
        let falls = Train {
            times: from_red,
            period: None,
        }
        .worst(second);
        if falls.count > rises.count {
            falls
        } else {
            rises
        }
    }
}

/// The two-state red counter: what it has kept since its last change.
struct RedMachine<'a> {
    states: &'a [ColorState],
    far: &'a [u64],
    kept: &'a mut [u64],
}

impl RedMachine<'_> {
    fn reset(&mut self, place: usize) {
        self.kept.fill(0);
        self.keep(place);
    }

    fn keep(&mut self, place: usize) {
        self.kept[place / 64] |= 1 << (place % 64);
    }

    /// Whether the state at `place` changes the counter; if not, it is kept where it may be.
    ///
    /// In the red state only saturated states are kept.
    fn changes_at(&mut self, place: usize, is_red: bool) -> bool {
        let is_saturated = self.states[place].is_saturated;
        if is_saturated != is_red {
            let words = self.kept.len();
            let far = &self.far[place * words..(place + 1) * words];
            if far
                .iter()
                .zip(&*self.kept)
                .any(|(far, kept)| far & kept != 0)
            {
                return true;
            }
        }
        if is_saturated || !is_red {
            self.keep(place);
        }
        false
    }
}
