//! The one numeric type: a periodic piecewise-constant function of time with exact breakpoints.
//!
//! Values are plain integers whose unit the caller states (per mille, microcandela, microamperes).
//! Absent: interpolation, floating point, any idea of lamps.

use crate::Micros;
use std::fmt;

/// Longest period two waveforms are combined over; past it they count as free-running clocks.
pub const MAX_COMMON_PERIOD: Micros = Micros(120_000_000);

/// A periodic piecewise-constant function of time.
///
/// The value of a step holds from its instant to the next step's, the last one's to the end of the period, and all repeats without end.
/// Steps start at 0, rise strictly, and neighbors differ.
/// A constant has the period of one microsecond, which divides every other.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct Waveform {
    period: Micros,
    steps: Vec<Step>,
}

/// One breakpoint: from `at` on, the value is `value`.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct Step {
    /// Instant within `0..period`.
    pub at: Micros,
    /// Value from here to the next step.
    pub value: i64,
}

/// A stretch of time; `start` lies in `0..period`, the end may lie past the period when the stretch wraps around.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct Interval {
    /// First instant.
    pub start: Micros,
    /// Length, above zero.
    pub length: Micros,
}

impl Interval {
    /// First instant after the stretch.
    #[must_use]
    pub fn end(self) -> Micros {
        self.start + self.length
    }
}

/// Why a waveform could not be made.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
#[non_exhaustive]
pub enum WaveformError {
    /// The period is not above zero.
    PeriodNotPositive(Micros),
    /// A pulse starts before 0, is empty, or ends after the period.
    PulseOutside {
        /// Where the pulse starts.
        start: Micros,
        /// How long it is.
        length: Micros,
    },
    /// A pulse starts before the one before it has ended.
    PulsesOverlap {
        /// Where the later pulse starts.
        start: Micros,
    },
}

/// The least common period of some waveforms is longer than [`MAX_COMMON_PERIOD`].
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct PeriodTooLong;

impl Waveform {
    /// The same value at all times.
    #[must_use]
    pub fn constant(value: i64) -> Self {
        Self {
            period: Micros(1),
            steps: vec![Step {
                at: Micros::ZERO,
                value,
            }],
        }
    }

    /// Zero except for the given `(start, length, value)` pulses, sorted and free of overlap within one period.
    ///
    /// # Errors
    /// When the period is not above zero or a pulse is empty, outside the period or overlaps the one before.
    pub fn from_pulses(
        period: Micros,
        pulses: impl IntoIterator<Item = (Micros, Micros, i64)>,
    ) -> Result<Self, WaveformError> {
        if period <= Micros::ZERO {
            return Err(WaveformError::PeriodNotPositive(period));
        }
        let mut steps = vec![Step {
            at: Micros::ZERO,
            value: 0,
        }];
        let mut end = Micros::ZERO;
        for (start, length, value) in pulses {
            if start < Micros::ZERO || length <= Micros::ZERO || start + length > period {
                return Err(WaveformError::PulseOutside { start, length });
            }
            if start < end {
                return Err(WaveformError::PulsesOverlap { start });
            }
            end = start + length;
            push(&mut steps, start, value);
            if end < period {
                push(&mut steps, end, 0);
            }
        }
        Ok(Self::canonical(period, steps))
    }

    /// From raw steps: sorted by instant, the first at 0, all within the period.
    ///
    /// # Errors
    /// When the period is not above zero, or the steps are not sorted within it.
    pub fn from_steps(
        period: Micros,
        raw: impl IntoIterator<Item = Step>,
    ) -> Result<Self, WaveformError> {
        if period <= Micros::ZERO {
            return Err(WaveformError::PeriodNotPositive(period));
        }
        let mut steps: Vec<Step> = Vec::new();
        let mut before = Micros(-1);
        for step in raw {
            let expected_first = before == Micros(-1) && step.at != Micros::ZERO;
            if expected_first || step.at <= before || step.at >= period {
                return Err(WaveformError::PulsesOverlap { start: step.at });
            }
            before = step.at;
            push(&mut steps, step.at, step.value);
        }
        if steps.is_empty() {
            return Ok(Self::constant(0));
        }
        Ok(Self::canonical(period, steps))
    }

    fn canonical(period: Micros, mut steps: Vec<Step>) -> Self {
        steps.dedup_by(|later, earlier| later.value == earlier.value);
        match steps.as_slice() {
            [only] => Self::constant(only.value),
            _ => Self { period, steps },
        }
    }

    /// Length after which all repeats; one microsecond for a constant.
    #[must_use]
    pub fn period(&self) -> Micros {
        self.period
    }

    /// The breakpoints of one period, the first at 0.
    #[must_use]
    pub fn steps(&self) -> &[Step] {
        &self.steps
    }

    /// Whether the value never changes.
    #[must_use]
    pub fn is_constant(&self) -> bool {
        self.steps.len() == 1
    }

    /// The value at any instant.
    #[must_use]
    pub fn value_at(&self, instant: Micros) -> i64 {
        let within = instant.wrap(self.period);
        let next = self.steps.partition_point(|step| step.at <= within);
        next.checked_sub(1)
            .and_then(|index| self.steps.get(index))
            .map_or(0, |step| step.value)
    }

    /// The pieces of one period as `(interval, value)`, in order.
    pub fn pieces(&self) -> impl Iterator<Item = (Interval, i64)> + '_ {
        let ends = self
            .steps
            .iter()
            .skip(1)
            .map(|step| step.at)
            .chain(std::iter::once(self.period));
        self.steps.iter().zip(ends).map(|(step, end)| {
            let interval = Interval {
                start: step.at,
                length: end - step.at,
            };
            (interval, step.value)
        })
    }

    /// Largest value.
    #[must_use]
    pub fn maximum(&self) -> i64 {
        self.steps.iter().map(|step| step.value).max().unwrap_or(0)
    }

    /// Least value.
    #[must_use]
    pub fn minimum(&self) -> i64 {
        self.steps.iter().map(|step| step.value).min().unwrap_or(0)
    }

    /// The same course, `delay` later; it wraps around the period.
    #[must_use]
    pub fn shifted(&self, delay: Micros) -> Self {
        let delay = delay.wrap(self.period);
        if delay == Micros::ZERO || self.is_constant() {
            return self.clone();
        }
        let mut steps = vec![Step {
            at: Micros::ZERO,
            value: self.value_at(-delay),
        }];
        let first = self
            .steps
            .partition_point(|step| step.at + delay < self.period);
        let rotated = self
            .steps
            .iter()
            .skip(first)
            .chain(self.steps.iter().take(first));
        for step in rotated {
            push(&mut steps, (step.at + delay).wrap(self.period), step.value);
        }
        Self::canonical(self.period, steps)
    }

    /// Every value replaced by `change(value)`.
    #[must_use]
    pub fn map(&self, change: impl Fn(i64) -> i64) -> Self {
        let steps = self
            .steps
            .iter()
            .map(|step| Step {
                at: step.at,
                value: change(step.value),
            })
            .collect();
        Self::canonical(self.period, steps)
    }

    /// Every value times `factor`.
    #[must_use]
    pub fn scaled(&self, factor: i64) -> Self {
        self.map(|value| value * factor)
    }

    /// The sum of two waveforms over their least common period.
    ///
    /// # Errors
    /// When that period is longer than [`MAX_COMMON_PERIOD`].
    pub fn add(&self, other: &Self) -> Result<Self, PeriodTooLong> {
        self.combine(other, |left, right| left + right)
    }

    /// The larger of two waveforms at each instant.
    ///
    /// # Errors
    /// When the common period is longer than [`MAX_COMMON_PERIOD`].
    pub fn max(&self, other: &Self) -> Result<Self, PeriodTooLong> {
        self.combine(other, i64::max)
    }

    /// This waveform where `gate` is above zero, zero elsewhere.
    ///
    /// # Errors
    /// When the common period is longer than [`MAX_COMMON_PERIOD`].
    pub fn masked(&self, gate: &Self) -> Result<Self, PeriodTooLong> {
        self.combine(gate, |value, open| if open > 0 { value } else { 0 })
    }

    /// `merge(left, right)` at each instant over the least common period.
    ///
    /// # Errors
    /// When that period is longer than [`MAX_COMMON_PERIOD`].
    pub fn combine(
        &self,
        other: &Self,
        merge: impl Fn(i64, i64) -> i64,
    ) -> Result<Self, PeriodTooLong> {
        let period = least_common_period([self.period, other.period])?;
        let mut steps = Vec::new();
        let mut left = Cursor::new(self);
        let mut right = Cursor::new(other);
        let mut now = Micros::ZERO;
        while now < period {
            push(&mut steps, now, merge(left.value(), right.value()));
            now = left.next_change().min(right.next_change()).min(period);
            left.advance_to(now);
            right.advance_to(now);
        }
        Ok(Self::canonical(period, steps))
    }

    /// The sum of many waveforms; constant zero for none.
    ///
    /// # Errors
    /// When the common period is longer than [`MAX_COMMON_PERIOD`].
    pub fn sum<'a>(waveforms: impl IntoIterator<Item = &'a Self>) -> Result<Self, PeriodTooLong> {
        let waveforms: Vec<&Self> = waveforms.into_iter().collect();
        let (period, times) = breakpoints(&waveforms)?;
        let mut values = vec![0_i64; times.len()];
        for waveform in waveforms {
            for (total, value) in values.iter_mut().zip(waveform.sampled_on(&times)) {
                *total += value;
            }
        }
        let mut steps = Vec::with_capacity(times.len());
        for (at, value) in times.into_iter().zip(values) {
            push(&mut steps, at, value);
        }
        Ok(Self::canonical(period, steps))
    }

    /// The value from each instant of `times` on; the instants rise.
    pub fn sampled_on<'a>(&'a self, times: &'a [Micros]) -> impl Iterator<Item = i64> + 'a {
        let mut cursor = Cursor::new(self);
        times.iter().map(move |instant| {
            cursor.advance_to(*instant);
            cursor.value()
        })
    }

    /// The changes of one period as `(instant, before, after)`; the one at 0 is there when the period's end and start differ.
    #[must_use]
    pub fn edges(&self) -> Vec<(Micros, i64, i64)> {
        let mut before = self.steps.last().map_or(0, |step| step.value);
        let mut edges = Vec::new();
        for step in &self.steps {
            if step.value != before {
                edges.push((step.at, before, step.value));
            }
            before = step.value;
        }
        edges
    }

    /// Value times time over one period, in the value's unit times microseconds.
    #[must_use]
    pub fn integral(&self) -> i128 {
        self.pieces()
            .map(|(interval, value)| i128::from(interval.length.0) * i128::from(value))
            .sum()
    }

    /// Square of the value times time over one period.
    #[must_use]
    pub fn integral_of_square(&self) -> i128 {
        self.pieces()
            .map(|(interval, value)| {
                i128::from(interval.length.0) * i128::from(value) * i128::from(value)
            })
            .sum()
    }

    /// Time within one period during which the value is above `threshold`.
    #[must_use]
    pub fn time_above(&self, threshold: i64) -> Micros {
        self.pieces()
            .filter(|(_, value)| *value > threshold)
            .fold(Micros::ZERO, |total, (interval, _)| total + interval.length)
    }

    /// The stretches of one period above `threshold`, each counted once; one that crosses the period's end wraps.
    ///
    /// Touching pieces are one stretch. Empty when never above; one stretch of a whole period when always above.
    #[must_use]
    pub fn stretches_above(&self, threshold: i64) -> Vec<Interval> {
        let mut stretches: Vec<Interval> = Vec::new();
        for (interval, value) in self.pieces() {
            if value <= threshold {
                continue;
            }
            match stretches.last_mut() {
                Some(last) if last.end() == interval.start => last.length += interval.length,
                _ => stretches.push(interval),
            }
        }
        let wraps = stretches.len() > 1
            && stretches
                .first()
                .is_some_and(|first| first.start == Micros::ZERO)
            && stretches
                .last()
                .is_some_and(|last| last.end() == self.period);
        if wraps {
            let first = stretches.remove(0);
            if let Some(last) = stretches.last_mut() {
                last.length += first.length;
            }
        }
        stretches
    }

    /// The course within `window`, zero elsewhere in the period; the window may wrap.
    #[must_use]
    pub fn restricted_to(&self, window: Interval) -> Self {
        if window.length >= self.period && !self.is_constant() {
            return self.clone();
        }
        let start = window.start.wrap(self.period);
        let end = start + window.length;
        let mut cuts: Vec<Micros> = self.steps.iter().map(|step| step.at).collect();
        cuts.push(start);
        cuts.push(end.wrap(self.period));
        cuts.sort_unstable();
        cuts.dedup();
        let mut steps = Vec::with_capacity(cuts.len());
        for at in cuts {
            let inside = (at >= start && at < end) || at + self.period < end;
            push(&mut steps, at, if inside { self.value_at(at) } else { 0 });
        }
        Self::canonical(self.period, steps)
    }
}

/// The least common period of some periods, constants left out.
///
/// # Errors
/// When it is longer than [`MAX_COMMON_PERIOD`].
pub fn least_common_period(
    periods: impl IntoIterator<Item = Micros>,
) -> Result<Micros, PeriodTooLong> {
    let mut common: i64 = 1;
    for period in periods {
        let divisor = greatest_common_divisor(common, period.0.max(1));
        common = (common / divisor)
            .checked_mul(period.0.max(1))
            .filter(|product| *product <= MAX_COMMON_PERIOD.0)
            .ok_or(PeriodTooLong)?;
    }
    Ok(Micros(common))
}

/// The least common period of the waveforms and every instant in it at which any of them changes, rising, with 0 first.
///
/// # Errors
/// When the period is longer than [`MAX_COMMON_PERIOD`].
pub fn breakpoints(waveforms: &[&Waveform]) -> Result<(Micros, Vec<Micros>), PeriodTooLong> {
    let period = least_common_period(waveforms.iter().map(|waveform| waveform.period))?;
    let mut times = vec![Micros::ZERO];
    for waveform in waveforms.iter().filter(|waveform| !waveform.is_constant()) {
        let mut base = Micros::ZERO;
        while base < period {
            times.extend(waveform.steps.iter().map(|step| base + step.at));
            base += waveform.period;
        }
    }
    times.sort_unstable();
    times.dedup();
    Ok((period, times))
}

/// The greatest whole number that divides both; the other one when one is zero.
#[must_use]
pub fn greatest_common_divisor(mut left: i64, mut right: i64) -> i64 {
    while right != 0 {
        (left, right) = (right, left % right);
    }
    left
}

fn push(steps: &mut Vec<Step>, at: Micros, value: i64) {
    match steps.last_mut() {
        Some(last) if last.at == at => last.value = value,
        Some(last) if last.value == value => {}
        _ => steps.push(Step { at, value }),
    }
}

/// Walks a waveform forward over any number of repetitions.
struct Cursor<'a> {
    waveform: &'a Waveform,
    base: Micros,
    index: usize,
}

impl<'a> Cursor<'a> {
    fn new(waveform: &'a Waveform) -> Self {
        Self {
            waveform,
            base: Micros::ZERO,
            index: 0,
        }
    }

    fn value(&self) -> i64 {
        self.waveform
            .steps
            .get(self.index)
            .map_or(0, |step| step.value)
    }

    fn next_change(&self) -> Micros {
        if self.waveform.is_constant() {
            return Micros(i64::MAX);
        }
        match self.waveform.steps.get(self.index + 1) {
            Some(step) => self.base + step.at,
            None => self.base + self.waveform.period,
        }
    }

    fn advance_to(&mut self, instant: Micros) {
        while self.next_change() <= instant {
            self.index += 1;
            if self.index == self.waveform.steps.len() {
                self.index = 0;
                self.base += self.waveform.period;
            }
        }
    }
}

impl fmt::Display for WaveformError {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::PeriodNotPositive(period) => {
                write!(formatter, "period {period}, more than 0 ms wanted")
            }
            Self::PulseOutside { start, length } => write!(
                formatter,
                "pulse at {start} of {length} does not lie within the period"
            ),
            Self::PulsesOverlap { start } => write!(
                formatter,
                "pulse at {start} starts before the one before it has ended"
            ),
        }
    }
}

impl std::error::Error for WaveformError {}

impl fmt::Display for PeriodTooLong {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            formatter,
            "the common period is longer than {MAX_COMMON_PERIOD}"
        )
    }
}

impl std::error::Error for PeriodTooLong {}

#[cfg(test)]
mod tests;
