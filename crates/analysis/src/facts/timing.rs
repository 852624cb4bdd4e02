//! Timing of one course of light: pulses, flashes, rates, duty, regularity, rhythm.
//!
//! Invariant: exact integers and fractions throughout; a common shift in time changes nothing but the stated instants, and touching pulses count as one.
//! Absent: limits, and any choice of the dark gap that closes a flash; each rule states its own.

use crate::{Ratio, shortened};
use lampwright_timing::{Interval, Micros, Waveform};
use std::fmt;

/// Timing of a course of light over one period.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct TimingFacts {
    /// Length after which all repeats; none when nothing changes.
    pub period: Option<Micros>,
    /// Stretches of light per period; a change of level inside one does not split it (13 CCR 811(h), read).
    pub pulses: usize,
    /// Lit time per period; for an unchanging course the whole or none of one microsecond, so use `duty` there.
    pub on_time: Micros,
    /// Dark time per period.
    pub off_time: Micros,
    /// Longest unbroken light.
    pub longest_lit: Longest,
    /// Longest unbroken dark.
    pub longest_dark: Longest,
    /// Lit time over the period, 0 to 1.
    pub duty: Ratio,
    /// Integral over the period by the period, in the value's unit (per mille for an emitter, microcandela for light).
    pub mean: Ratio,
    /// Largest value.
    pub peak: i64,
    /// Least value.
    pub least: i64,
    /// What the rhythm looks like, in plain words.
    pub rhythm: Rhythm,
    /// The lit stretches, by their start within the period; the last may pass its end.
    pub lit: Vec<Interval>,
}

/// How long the longest stretch of light, or of dark, lasts.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Longest {
    /// There is none.
    Never,
    /// This long.
    Lasts(Micros),
    /// Without end.
    Always,
}

/// The flashes of a course for one dark gap.
///
/// A flash is a pulse, or a train of pulses, closed by a dark gap of at least `gap`; with a gap of 0 every pulse is a flash.
/// No flash when no dark gap is long enough: the light then never ends.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Flashes {
    /// The dark gap that closes a flash, inclusive.
    pub gap: Micros,
    /// Length after which all repeats; none when nothing changes.
    pub period: Option<Micros>,
    /// The flashes of one period, in the order in which they end within it.
    pub list: Vec<Flash>,
}

/// One flash.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct Flash {
    /// First instant of light, in `0..period`.
    pub start: Micros,
    /// First instant of the dark that closes it; past the period when the flash wraps.
    pub end: Micros,
    /// Sum of the durations of its pulses.
    pub light: Micros,
    /// The dark gap that closes it.
    pub off: Micros,
    /// From its start to the start of the next flash.
    pub interval: Micros,
    /// Pulses in it.
    pub pulses: usize,
}

/// Flashes per time as an exact fraction.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct Rate {
    /// Flashes in the period.
    pub flashes: usize,
    /// The period, above zero.
    pub period: Micros,
}

/// Plain words for a rhythm.
///
/// For the class alone a flash is closed by a dark gap longer than half the longest one, which needs no limit from any standard (our own choice).
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Rhythm {
    /// Never lit.
    Dark,
    /// Always lit at one level.
    Steady,
    /// Always lit at changing levels.
    Varying,
    /// Flashes at equal intervals, each of this many pulses: 1 single, 2 double, 3 triple, 4 quad.
    Flash(usize),
    /// Flashes at unequal intervals, or of unequal numbers of pulses.
    Irregular,
}

impl TimingFacts {
    /// The facts of a course; lit is above zero.
    #[must_use]
    pub fn of(course: &Waveform) -> Self {
        Self::above(course, 0)
    }

    /// The facts of a course that counts as lit above `threshold`, as for a limit at a share of the peak.
    #[must_use]
    pub fn above(course: &Waveform, threshold: i64) -> Self {
        let lit = course.stretches_above(threshold);
        let period = course.period();
        let on_time = course.time_above(threshold);
        let off_time = period - on_time;
        let own_period = (!course.is_constant()).then_some(period);
        let longest = |part: Micros, stretches: Option<Micros>| {
            if part == Micros::ZERO {
                Longest::Never
            } else if part == period {
                Longest::Always
            } else {
                stretches.map_or(Longest::Never, Longest::Lasts)
            }
        };
        let gaps = gaps_after(&lit, period);
        let mut facts = Self {
            period: own_period,
            pulses: if off_time == Micros::ZERO {
                0
            } else {
                lit.len()
            },
            on_time,
            off_time,
            longest_lit: longest(on_time, lit.iter().map(|stretch| stretch.length).max()),
            longest_dark: longest(off_time, gaps.iter().copied().max()),
            duty: Ratio::of_times(on_time, period),
            mean: Ratio::new(course.integral(), i128::from(period.0)),
            peak: course.maximum(),
            least: course.minimum(),
            rhythm: Rhythm::Dark,
            lit,
        };
        facts.rhythm = facts.classify(course.is_constant());
        facts
    }

    /// Whether it is ever lit.
    #[must_use]
    pub fn is_lit(&self) -> bool {
        self.on_time > Micros::ZERO
    }

    /// Whether it goes dark and lit again.
    #[must_use]
    pub fn is_flashing(&self) -> bool {
        self.pulses > 0
    }

    /// The flashes for a dark gap, inclusive; a gap of 0 makes every pulse a flash.
    #[must_use]
    pub fn flashes(&self, gap: Micros) -> Flashes {
        let mut flashes = Flashes {
            gap,
            period: self.period,
            list: Vec::new(),
        };
        let Some(period) = self.period.filter(|_| self.is_flashing()) else {
            return flashes;
        };
        let gaps = gaps_after(&self.lit, period);
        let Some(last) = gaps.iter().rposition(|dark| *dark >= gap) else {
            return flashes;
        };
        let n = self.lit.len();
        let mut open: Option<Flash> = None;
        for place in (last + 1..n).chain(0..=last) {
            let (Some(stretch), Some(dark)) = (self.lit.get(place), gaps.get(place)) else {
                continue;
            };
            // Pulses after the first of a flash may lie in the next turn of the period.
            let flash = open.get_or_insert(Flash {
                start: stretch.start,
                end: stretch.start,
                light: Micros::ZERO,
                off: Micros::ZERO,
                interval: Micros::ZERO,
                pulses: 0,
            });
            flash.end = if stretch.start < flash.start {
                stretch.end() + period
            } else {
                stretch.end()
            };
            flash.light += stretch.length;
            flash.pulses += 1;
            if *dark >= gap {
                flash.off = *dark;
                flash.interval = flash.end + *dark - flash.start;
                flashes.list.push(*flash);
                open = None;
            }
        }
        let end = |flash: &Flash| {
            let end = flash.end.wrap(period);
            if end == Micros::ZERO { period } else { end }
        };
        lampwright_timing::sort_by(&mut flashes.list, |one, other| end(one).cmp(&end(other)));
        flashes
    }

    fn classify(&self, is_constant: bool) -> Rhythm {
        if !self.is_lit() {
            return Rhythm::Dark;
        }
        let Longest::Lasts(longest) = self.longest_dark else {
            return if is_constant {
                Rhythm::Steady
            } else {
                Rhythm::Varying
            };
        };
        let flashes = self.flashes(Micros(longest.0 / 2 + 1));
        match (flashes.list.first(), flashes.intervals()) {
            (Some(first), Some(intervals))
                if intervals.is_equal()
                    && flashes
                        .list
                        .iter()
                        .all(|flash| flash.pulses == first.pulses) =>
            {
                Rhythm::Flash(first.pulses)
            }
            _ => Rhythm::Irregular,
        }
    }
}

/// The dark gap after each lit stretch; empty when nothing is lit.
fn gaps_after(lit: &[Interval], period: Micros) -> Vec<Micros> {
    let starts = lit
        .iter()
        .skip(1)
        .map(|next| next.start)
        .chain(lit.first().map(|first| first.start + period));
    lit.iter()
        .zip(starts)
        .map(|(stretch, next)| next - stretch.end())
        .collect()
}

/// The least and the largest of some lengths of time.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct Range {
    /// The least.
    pub least: Micros,
    /// The largest.
    pub largest: Micros,
}

impl Range {
    /// Of some lengths; none when there is none.
    pub fn of(lengths: impl Iterator<Item = Micros>) -> Option<Self> {
        lengths.fold(None, |range: Option<Self>, length| {
            Some(range.map_or(
                Self {
                    least: length,
                    largest: length,
                },
                |range| Self {
                    least: range.least.min(length),
                    largest: range.largest.max(length),
                },
            ))
        })
    }

    /// Whether all were equal.
    #[must_use]
    pub fn is_equal(self) -> bool {
        self.least == self.largest
    }
}

impl Flashes {
    /// Flashes per period; none when nothing changes.
    #[must_use]
    pub fn rate(&self) -> Option<Rate> {
        self.period.map(|period| Rate {
            flashes: self.list.len(),
            period,
        })
    }

    /// Least and largest interval from start to start; none without a flash.
    #[must_use]
    pub fn intervals(&self) -> Option<Range> {
        Range::of(self.list.iter().map(|flash| flash.interval))
    }

    /// Least and largest sum of light in a flash.
    #[must_use]
    pub fn lights(&self) -> Option<Range> {
        Range::of(self.list.iter().map(|flash| flash.light))
    }

    /// Least and largest envelope, first start to last end.
    #[must_use]
    pub fn envelopes(&self) -> Option<Range> {
        Range::of(self.list.iter().map(|flash| flash.envelope()))
    }

    /// Least and largest closing dark gap.
    #[must_use]
    pub fn offs(&self) -> Option<Range> {
        Range::of(self.list.iter().map(|flash| flash.off))
    }

    /// Whether all intervals are equal; false without a flash.
    #[must_use]
    pub fn is_regular(&self) -> bool {
        self.intervals().is_some_and(Range::is_equal)
    }
}

impl Flash {
    /// First start to last end.
    #[must_use]
    pub fn envelope(&self) -> Micros {
        self.end - self.start
    }

    /// The rate of this interval alone.
    #[must_use]
    pub fn rate(&self) -> Rate {
        Rate {
            flashes: 1,
            period: self.interval,
        }
    }
}

impl Rate {
    /// In hertz, exact.
    #[must_use]
    pub fn hz(self) -> Ratio {
        Ratio::new(self.flashes as i128 * 1_000_000, i128::from(self.period.0))
    }

    /// Per minute, exact.
    #[must_use]
    pub fn per_minute(self) -> Ratio {
        self.hz().times(60)
    }
}

/// Both units side by side: `4.016 Hz (240.96 per minute)`.
impl fmt::Display for Rate {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        let hz = shortened(self.hz().as_f64(), 3);
        let per_minute = shortened(self.per_minute().as_f64(), 2);
        write!(formatter, "{hz} Hz ({per_minute} per minute)")
    }
}

impl fmt::Display for Rhythm {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Dark => formatter.write_str("dark"),
            Self::Steady => formatter.write_str("steady"),
            Self::Varying => formatter.write_str("always lit, changing level"),
            Self::Flash(1) => formatter.write_str("single flash"),
            Self::Flash(2) => formatter.write_str("double flash"),
            Self::Flash(3) => formatter.write_str("triple flash"),
            Self::Flash(4) => formatter.write_str("quad flash"),
            Self::Flash(pulses) => write!(formatter, "{pulses}-pulse flash"),
            Self::Irregular => formatter.write_str("irregular flash"),
        }
    }
}

impl fmt::Display for Longest {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Never => formatter.write_str("never"),
            Self::Lasts(length) => length.fmt(formatter),
            Self::Always => formatter.write_str("always"),
        }
    }
}
