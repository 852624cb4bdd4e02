//! Turning points: where light has risen or fallen by enough to count since it last turned.
//!
//! WCAG 2.2 and BT.1702-3 speak of changes between adjacent peaks and valleys; a small ripple
//! inside a rise is ignored and a slow ramp adds up. The greedy choice made here gives the largest
//! possible number of alternating changes.
//!
//! Invariant: moves strictly alternate; the time of a move is the first instant at which it
//! qualifies.

use super::settings::{Ratio, ceil_div, saturate};

/// When a change from a darker to a brighter state (or back) counts.
///
/// Both limits are whole numbers rounded up, which decides every comparison of whole numbers
/// exactly as the fractions would.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Criterion {
    /// The darker state must be below this, unless `eighth_above`.
    darker_below: i64,
    /// The change must be at least this.
    change_at_least: i64,
    /// From `darker_below` on, a change of an eighth of the darker state counts.
    eighth_above: bool,
}

impl Criterion {
    /// WCAG 2.2, general flash: a change of 10 % or more of the reference, darker state below
    /// 80 % of it.
    pub(crate) fn relative(reference: i64) -> Self {
        // `reference` is at most [`super::MAX_LIGHT`]; eight times that still fits.
        Self {
            darker_below: (8 * reference + 9) / 10,
            change_at_least: (reference + 9) / 10,
            eighth_above: false,
        }
    }

    /// BT.1702-3, Annex 1, Guideline 1: a change of 20 cd/m2 or more when the darker state is
    /// below 160 cd/m2, else a Michelson contrast of 1/17 or more, which is a change of an eighth
    /// of the darker state.
    ///
    /// The document says both "more than" and "equal to or more than" 1/17; the stricter is taken.
    pub(crate) fn absolute(cd_m2_per_light: Ratio) -> Self {
        let (num, den) = (
            i128::from(cd_m2_per_light.num()),
            i128::from(cd_m2_per_light.den()),
        );
        if num == 0 {
            return Self {
                darker_below: 0,
                change_at_least: i64::MAX,
                eighth_above: false,
            };
        }
        Self {
            darker_below: saturate(ceil_div(160 * den, num)),
            change_at_least: saturate(ceil_div(20 * den, num)),
            eighth_above: true,
        }
    }

    /// Whether a change between `lo` and `hi` (0 <= `lo` <= `hi` <= [`super::MAX_LIGHT`]) counts.
    ///
    /// Lowering `lo` or raising `hi` never undoes it.
    pub(crate) fn qualifies(self, lo: i64, hi: i64) -> bool {
        if lo < self.darker_below {
            hi - lo >= self.change_at_least
        } else {
            self.eighth_above && 8 * (hi - lo) >= lo
        }
    }
}

/// The qualifying moves of one signal.
#[derive(Clone, Debug, Default)]
pub(crate) struct Moves {
    /// Every move, ascending.
    pub(crate) all: Vec<i64>,
    /// The rises that are leading edges.
    pub(crate) rises: Vec<i64>,
    /// The falls that are leading edges.
    pub(crate) falls: Vec<i64>,
}

impl Moves {
    fn clear(&mut self) {
        self.all.clear();
        self.rises.clear();
        self.falls.clear();
    }

    fn push(&mut self, time: i64, is_rise: bool) {
        self.all.push(time);
        if is_rise {
            self.rises.push(time)
        } else {
            self.falls.push(time)
        }
    }

    /// The moves of one period of a signal in its steady state, from its first peak on.
    ///
    /// `peak_at` is a cell where `values` is greatest. After one pass of a peak and a valley that
    /// qualify together, every peak finds the search rising with that peak as its extreme, so one
    /// turn from a peak to itself gives exactly the moves of endless operation.
    pub(crate) fn find_cyclic(
        &mut self,
        times: &[i64],
        values: &[i64],
        period: i64,
        peak_at: usize,
        criterion: Criterion,
    ) {
        self.clear();
        let Some(&peak) = values.get(peak_at) else {
            return;
        };
        let mut is_rising = true;
        let mut extreme = peak;
        let (until_peak, after_peak) = (0..=peak_at, peak_at + 1..values.len());
        let turns = after_peak
            .map(|cell| (cell, 0))
            .chain(until_peak.map(|cell| (cell, period)));
        for (cell, shift) in turns {
            let value = values[cell];
            if (value >= extreme) == is_rising {
                extreme = value;
            } else if value == extreme {
                // Falling and level with the valley: nothing changes.
            } else {
                let (lo, hi) = if is_rising {
                    (value, extreme)
                } else {
                    (extreme, value)
                };
                if criterion.qualifies(lo, hi) {
                    is_rising = !is_rising;
                    extreme = value;
                    self.push(times[cell] + shift, is_rising);
                }
            }
        }
    }

    /// The moves of a signal that happens once; the last has no opposing one and is no leading
    /// edge.
    pub(crate) fn find_once(&mut self, times: &[i64], values: &[i64], criterion: Criterion) {
        self.clear();
        let Some(&first) = values.first() else { return };
        let (mut least, mut most, mut extreme) = (first, first, first);
        let mut rising: Option<bool> = None;
        for (&time, &value) in times.iter().zip(values).skip(1) {
            match rising {
                None => {
                    if value > least && criterion.qualifies(least, value) {
                        rising = Some(true);
                    } else if value < most && criterion.qualifies(value, most) {
                        rising = Some(false);
                    }
                    least = least.min(value);
                    most = most.max(value);
                    if let Some(is_rise) = rising {
                        extreme = value;
                        self.push(time, is_rise);
                    }
                }
                Some(true) if value >= extreme => extreme = value,
                Some(false) if value <= extreme => extreme = value,
                Some(was_rising) => {
                    let (lo, hi) = if was_rising {
                        (value, extreme)
                    } else {
                        (extreme, value)
                    };
                    if criterion.qualifies(lo, hi) {
                        rising = Some(!was_rising);
                        extreme = value;
                        self.push(time, !was_rising);
                    }
                }
            }
        }
        match rising {
            Some(true) => drop(self.rises.pop()),
            Some(false) => drop(self.falls.pop()),
            None => {}
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Every signal of `length` values out of `levels`.
    fn all_signals(length: u32, levels: &[i64]) -> impl Iterator<Item = Vec<i64>> {
        let base = levels.len();
        (0..base.pow(length)).map(move |mut code| {
            (0..length)
                .map(|_| {
                    let level = levels[code % base];
                    code /= base;
                    level
                })
                .collect()
        })
    }

    /// The greatest number of alternating qualifying moves, by trying every choice of points.
    fn exhaustive(values: &[i64], criterion: Criterion) -> usize {
        // best[i][up]: most moves when point i was reached by a move up (or down).
        let mut best = vec![[0_usize; 2]; values.len()];
        for at in 0..values.len() {
            for from in 0..at {
                let (lo, hi) = (values[from].min(values[at]), values[from].max(values[at]));
                if lo == hi || !criterion.qualifies(lo, hi) {
                    continue;
                }
                let up = usize::from(values[at] > values[from]);
                let before = best[from][1 - up];
                best[at][up] = best[at][up].max(before + 1);
            }
        }
        best.iter().flatten().copied().max().unwrap_or(0)
    }

    #[test]
    fn greedy_turning_points_are_as_many_as_any_choice_gives() {
        let times: Vec<i64> = (0..7).collect();
        let mut moves = Moves::default();
        let mut n_moving = 0_u32;
        for levels in [&[0, 7, 12, 20, 100][..], &[79, 80, 90, 100][..]] {
            for values in all_signals(7, levels) {
                let criterion = Criterion::relative(100);
                moves.find_once(&times, &values, criterion);
                let most = exhaustive(&values, criterion);
                assert_eq!(moves.all.len(), most, "{values:?}");
                n_moving += u32::from(most > 0);
            }
        }
        let luminance = Ratio::new(1, 1).unwrap();
        for values in all_signals(7, &[0, 139, 160, 175, 180]) {
            let criterion = Criterion::absolute(luminance);
            moves.find_once(&times, &values, criterion);
            assert_eq!(
                moves.all.len(),
                exhaustive(&values, criterion),
                "{values:?}"
            );
        }
        assert!(n_moving > 10_000, "{n_moving}");
    }

    #[test]
    fn one_turn_from_a_peak_gives_the_moves_of_endless_operation() {
        let mut once = Moves::default();
        let mut cyclic = Moves::default();
        for length in 1..=6_u32 {
            let period = i64::from(length);
            let times: Vec<i64> = (0..4 * period).collect();
            for values in all_signals(length, &[0, 5, 12, 83, 100]) {
                let unrolled = values.repeat(4);
                let peak = *values.iter().max().unwrap();
                let criterion = Criterion::relative(peak);
                once.find_once(&times, &unrolled, criterion);
                // The first period settles the search; the third is compared.
                let in_third = |time: &&i64| (2 * period..3 * period).contains(*time);
                let wanted: Vec<i64> = once
                    .all
                    .iter()
                    .filter(in_third)
                    .map(|time| time - 2 * period)
                    .collect();
                let peak_at = values.iter().position(|value| *value == peak).unwrap();
                let count = values.len();
                cyclic.find_cyclic(&times[..count], &values, period, peak_at, criterion);
                let mut found: Vec<i64> = cyclic
                    .all
                    .iter()
                    .map(|time| time.rem_euclid(period))
                    .collect();
                found.sort_unstable();
                assert_eq!(found, wanted, "{values:?}");
                assert_eq!(cyclic.rises.len(), cyclic.falls.len(), "{values:?}");
            }
        }
    }

    #[test]
    fn an_eighth_of_the_darker_state_is_a_michelson_contrast_of_a_seventeenth() {
        // ITU-R BT.1702-3, Annex 1, Note 6: both criteria meet at 160 cd/m2.
        let criterion = Criterion::absolute(Ratio::new(1, 1).unwrap());
        for lo in 0..2000_i64 {
            for hi in lo..lo + 400 {
                let by_contrast = 17 * (hi - lo) >= hi + lo;
                let wanted = if lo < 160 { hi - lo >= 20 } else { by_contrast };
                assert_eq!(criterion.qualifies(lo, hi), wanted, "{lo} {hi}");
            }
        }
    }

    #[test]
    fn ten_percent_counts_and_eighty_percent_does_not() {
        // WCAG 2.2, general flash: 10 % or more of the maximum, darker state below 0.80.
        let criterion = Criterion::relative(1000);
        assert!(criterion.qualifies(500, 600));
        assert!(!criterion.qualifies(501, 600));
        assert!(criterion.qualifies(799, 1000));
        assert!(!criterion.qualifies(800, 1000));
        // A reference that ten does not divide: 0.1 * 1005 is 100.5.
        let odd = Criterion::relative(1005);
        assert!(!odd.qualifies(0, 100));
        assert!(odd.qualifies(0, 101));
    }
}
