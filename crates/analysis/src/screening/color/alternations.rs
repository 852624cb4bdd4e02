//! Changes from one color to another: information beside the counts.

use super::mixture::Mixtures;
use crate::screening::scene::Extent;
use crate::screening::train::Train;

/// Memory of the alternations that is used again.
#[derive(Clone, Debug, Default)]
pub(super) struct Alternations {
    times: Vec<i64>,
}

impl Alternations {
    /// Color alternations in the worst second: changes by more than 0.2 between successive lit states, dark gaps skipped, two to an alternation.
    pub(super) fn worst(&mut self, mixtures: &Mixtures, extent: Extent, second: i64) -> u32 {
        self.times.clear();
        let is_cyclic = extent.period().is_some();
        let last = mixtures.shown.iter().rev().find(|shown| shown.is_lit);
        let mut before = last.filter(|_| is_cyclic).map(|shown| shown.place);
        for shown in mixtures.shown.iter().filter(|shown| shown.is_lit) {
            if let Some(place) = before
                && place != shown.place
                && mixtures.states[place].is_far_from(mixtures.states[shown.place])
            {
                self.times.push(shown.time);
            }
            before = Some(shown.place);
        }
        let train = Train {
            times: &self.times,
            period: extent.period(),
        };
        train.worst(second).count.div_ceil(2)
    }
}
