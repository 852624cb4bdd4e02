//! Trains of instants: the worst second, the tightest spans, the longest run above three.
//!
//! Invariant: exact on integers; a cyclic train is judged as endless, by closed form and not by
//! repeating it.

/// Ascending instants in ticks, repeating after `period` or happening once.
///
/// A cyclic train's instants all lie in one half-open stretch of one period.
#[derive(Clone, Copy, Debug)]
pub struct Train<'a> {
    /// The instants, strictly ascending, in ticks.
    pub times: &'a [i64],
    /// The period in ticks; `None` for a train that happens once.
    pub period: Option<i64>,
}

/// The most instants in any half-open second, and where the first such second starts.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Worst {
    /// How many instants.
    pub count: u32,
    /// The start of that second in ticks; `None` when nothing was counted.
    pub starts_at: Option<i64>,
}

/// How long more than three flashes a second go on without a break.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum Run {
    /// Never.
    #[default]
    None,
    /// For this many ticks.
    Ticks(i64),
    /// Without end.
    Continuous,
}

impl Train<'_> {
    /// The most instants in `[t, t + second)` over all starts `t` that are instants themselves.
    #[must_use]
    pub fn worst(&self, second: i64) -> Worst {
        let n = self.times.len();
        let mut worst = Worst::default();
        let (whole, rest) = match self.period {
            Some(period) => (second / period, second % period),
            None => (0, second),
        };
        let base = count(whole).saturating_mul(count(n));
        let (mut end, mut next) = (0, self.instant(0));
        for (start, &time) in self.times.iter().enumerate() {
            if end < start {
                (end, next) = (start, Some(time));
            }
            while next.is_some_and(|next| end < start + n && next - time < rest) {
                end += 1;
                next = self.instant(end);
            }
            let here = base.saturating_add(count(end - start));
            if here > worst.count {
                worst = Worst {
                    count: here,
                    starts_at: Some(time),
                };
            }
        }
        worst
    }

    /// The least time from an instant to the `k`-th after it; `None` if there is no such pair.
    ///
    /// With `k` = 3 it is below one second exactly when some second holds more than three.
    #[must_use]
    pub fn span(&self, k: usize) -> Option<i64> {
        (0..self.times.len())
            .map_while(|start| Some(self.instant(start + k)? - self.times[start]))
            .min()
    }

    /// The longest union of stretches from an instant to the third after it, each below `second`.
    #[must_use]
    pub fn run(&self, second: i64) -> Run {
        let n = self.times.len();
        let passes = if self.period.is_some() { 2 * n } else { n };
        let mut current: Option<(i64, i64)> = None;
        let mut longest = 0;
        for start in 0..passes {
            let (Some(from), Some(to)) = (self.instant(start), self.instant(start + 3)) else {
                break;
            };
            if to - from >= second {
                continue;
            }
            let (begin, end) = match current {
                Some((begin, end)) if from <= end => (begin, end.max(to)),
                _ => (from, to),
            };
            if self.period.is_some_and(|period| end - begin >= period) {
                return Run::Continuous;
            }
            longest = longest.max(end - begin);
            current = Some((begin, end));
        }
        if longest > 0 {
            Run::Ticks(longest)
        } else {
            Run::None
        }
    }

    /// Instant number `index`, counting on into later periods.
    fn instant(&self, index: usize) -> Option<i64> {
        if let Some(&time) = self.times.get(index) {
            return Some(time);
        }
        let period = self.period?;
        let n = self.times.len();
        // Most look-ups go one period on at most; a division is slow beside the rest.
        if let Some(&time) = self.times.get(index - n) {
            return Some(time + period);
        }
        let time = self.times.get(index.checked_rem(n)?)?;
        Some(time + period * i64::try_from(index / n).ok()?)
    }
}

fn count<T: TryInto<u32>>(value: T) -> u32 {
    value.try_into().unwrap_or(u32::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(times: &[i64], period: Option<i64>, second: i64, count: u32, run: Run) {
        let train = Train { times, period };
        assert_eq!(train.worst(second).count, count);
        assert_eq!(train.run(second), run);
    }

    #[test]
    fn the_second_is_half_open() {
        // Four edges over exactly one second are three in any second.
        check(&[0, 333, 667, 1000], None, 1000, 3, Run::None);
        check(&[0, 333, 667, 999], None, 1000, 4, Run::Ticks(999));
    }

    #[test]
    fn a_period_shorter_than_a_second_counts_whole_turns() {
        check(&[0], Some(20), 1000, 50, Run::Continuous);
        check(&[0], Some(334), 1000, 3, Run::None);
        check(&[0], Some(333), 1000, 4, Run::Continuous);
        check(&[0, 1], Some(700), 1000, 4, Run::Continuous);
    }

    #[test]
    fn runs_join_where_they_touch_across_the_period() {
        check(&[0, 100, 200, 300], Some(5000), 1000, 4, Run::Ticks(300));
        // The run across the end of the period: from 4800 to 5100.
        check(&[0, 100, 4800, 4900], Some(5000), 1000, 4, Run::Ticks(300));
    }

    #[test]
    fn nothing_gives_nothing() {
        let train = Train {
            times: &[],
            period: Some(10),
        };
        assert_eq!(train.worst(1000), Worst::default());
        assert_eq!(train.span(3), None);
        assert_eq!(train.run(1000), Run::None);
        let lone = Train {
            times: &[5],
            period: None,
        };
        assert_eq!(lone.span(3), None);
        assert_eq!(
            lone.worst(1000),
            Worst {
                count: 1,
                starts_at: Some(5)
            }
        );
    }
}
