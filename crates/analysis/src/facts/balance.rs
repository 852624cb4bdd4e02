//! Sets of heads, and the second of two sets against the first: balance, overlap, phase, common dark.
//!
//! Light is that on each lamp's axis (peak intensity times level), so that a set's share does not depend on where someone stands.
//! Invariant: shares, overlap and dark times are exact; only the phase angle is floating point.

use super::{Courses, Longest, Rate, TimingFacts};
use crate::Ratio;
use lampwright_model::{Color, GroupId, Side, Zone};
use lampwright_timing::{Micros, Waveform};
use std::sync::Arc;

/// What a set of heads is.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Set {
    /// Every head.
    Whole,
    /// A half of the vehicle.
    Side(Side),
    /// A zone.
    Zone(Zone),
    /// A named group.
    Group(GroupId),
    /// Some heads, named by the caller.
    Heads(String),
}

/// Facts of some heads together.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct GroupFacts {
    /// What the set is.
    pub set: Set,
    /// Its heads as indices into the vehicle's heads, rising.
    pub heads: Vec<usize>,
    /// How many of them are ever lit.
    pub n_lit: usize,
    /// Mean light in candela-seconds per minute, exact: mean candela times 60 s.
    pub candela_seconds_per_minute: Ratio,
    /// The part of it by color, in the fixed order of colors, those never lit left out.
    pub by_color: Vec<(Color, Ratio)>,
    /// The clock unit its changing light belongs to; none when nothing changes or its heads drift.
    pub unit: Option<usize>,
    /// Light of all its heads over time, microcandela; none when they run on clocks that drift.
    pub light: Option<Arc<Waveform>>,
    /// Timing of that light; the set is lit when any of its heads is.
    pub timing: Option<TimingFacts>,
}

/// The second of two sets against the first.
#[derive(Clone, PartialEq, Debug)]
pub struct PairFacts {
    /// The first set.
    pub first: Set,
    /// The second set.
    pub second: Set,
    /// Light of the first over the light of both, 0 to 1; none when both are dark.
    pub share_of_first: Option<Ratio>,
    /// Light of the weaker over light of the stronger, 0 to 1; none when both are dark.
    pub balance: Option<Ratio>,
    /// Time both are lit over time either is lit; none when neither is ever lit or they drift.
    pub overlap: Option<Ratio>,
    /// Share of time both are dark; none when they drift.
    pub both_dark: Option<Ratio>,
    /// Longest stretch both are dark; none when they drift.
    pub longest_both_dark: Option<Longest>,
    /// Phase of the second against the first.
    pub phase: Phase,
}

/// Phase of the second light against the first at their common repetition rate.
///
/// Method (our own choice): the phase of a Fourier component of each light, taken from its light over time.
/// Each light's own rate is the lowest harmonic of its period, up to the 16th, whose component is at least a fifth of what a short flash of the same mean would have; that passes over a stated period that in truth holds several equal flashes, and finds the center of a double or quad flash however long or bright its pulses are.
/// The common rate is the higher of the two when it is a whole multiple of the lower and both have such a component there; the phase is how much later the second comes, as an angle of that rate.
/// Two lights whose rates are no such multiples have no phase: it wanders, and none is quoted.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Phase {
    /// The second comes this much later.
    Angle {
        /// 0 to below 360; 0 is in step, 180 alternating.
        degrees: f64,
        /// The common repetition rate.
        rate: Rate,
    },
    /// One of them is never lit.
    NotLit,
    /// One of them never changes.
    Unchanging,
    /// They repeat at rates that are no multiples of each other.
    NoCommonRate,
    /// They run on clocks that drift.
    Drifting,
}

impl Phase {
    /// Distance from being in step, degrees from 0 to 180; none when there is no phase.
    #[must_use]
    pub fn from_in_step(self) -> Option<f64> {
        match self {
            Self::Angle { degrees, .. } => Some(degrees.min(360.0 - degrees)),
            _ => None,
        }
    }

    /// Distance from alternating, degrees from 0 to 180; none when there is no phase.
    #[must_use]
    pub fn from_alternating(self) -> Option<f64> {
        self.from_in_step().map(|from_in_step| 180.0 - from_in_step)
    }
}

/// Microseconds' mean in microcandela to candela-seconds per minute: times 60 s, a millionth.
pub(super) fn per_minute(mean_microcandela: Ratio) -> Ratio {
    mean_microcandela.times(60).over(1_000_000)
}

pub(super) fn group(courses: &Courses, set: Set, heads: &[usize]) -> GroupFacts {
    let mut heads = heads.to_vec();
    lampwright_timing::sort(&mut heads);
    heads.dedup();
    let members: Vec<_> = courses
        .lit
        .iter()
        .filter(|lit| heads.binary_search(&lit.head).is_ok())
        .collect();
    let mut lit_heads: Vec<usize> = members.iter().map(|lit| lit.head).collect();
    lit_heads.dedup();
    let mut by_color: Vec<(Color, Ratio)> = Vec::new();
    for color in Color::ALL {
        let weights = members
            .iter()
            .filter(|lit| lit.color == color)
            .map(|lit| (lit.unit, lit.course, lit.peak_millicandela));
        let mean = courses.mean_of(weights);
        if mean > Ratio::ZERO {
            by_color.push((color, per_minute(mean)));
        }
    }
    let total = by_color
        .iter()
        .fold(Ratio::ZERO, |sum, (_, light)| sum.plus(*light));
    let weights: Vec<_> = members
        .iter()
        .map(|lit| (lit.unit, lit.course, lit.peak_millicandela))
        .collect();
    let (unit, light) = match courses.light_of(&weights) {
        Some((unit, light)) => (unit, Some(Arc::new(light))),
        None => (None, None),
    };
    GroupFacts {
        set,
        n_lit: lit_heads.len(),
        heads,
        candela_seconds_per_minute: total,
        by_color,
        timing: light.as_deref().map(TimingFacts::of),
        unit,
        light,
    }
}

pub(super) fn pair(first: &GroupFacts, second: &GroupFacts) -> PairFacts {
    let (one, other) = (
        first.candela_seconds_per_minute,
        second.candela_seconds_per_minute,
    );
    let mut facts = PairFacts {
        first: first.set.clone(),
        second: second.set.clone(),
        share_of_first: one.divided_by(one.plus(other)),
        balance: one.min(other).divided_by(one.max(other)),
        overlap: None,
        both_dark: None,
        longest_both_dark: None,
        phase: Phase::Drifting,
    };
    let is_drifting = first.unit.is_some() && second.unit.is_some() && first.unit != second.unit;
    let (false, Some(first), Some(second)) = (is_drifting, &first.light, &second.light) else {
        return facts;
    };
    let is_lit = |value: i64| i64::from(value > 0);
    // 0 neither, 1 one of them, 2 both.
    let Ok(lit) = first.combine(second, |one, other| is_lit(one) + is_lit(other)) else {
        return facts;
    };
    facts.overlap = Ratio::of_times(lit.time_above(1), lit.period())
        .divided_by(Ratio::of_times(lit.time_above(0), lit.period()));
    let either = TimingFacts::of(&lit);
    facts.both_dark = Some(Ratio::ONE.minus(either.duty));
    facts.longest_both_dark = Some(either.longest_dark);
    facts.phase = phase(first, second);
    facts
}

/// The phase of `second` against `first`, which keep step.
fn phase(first: &Waveform, second: &Waveform) -> Phase {
    for light in [first, second] {
        if light.maximum() == 0 {
            return Phase::NotLit;
        }
    }
    if first.is_constant() || second.is_constant() {
        return Phase::Unchanging;
    }
    let (Some(one), Some(other)) = (own_harmonic(first), own_harmonic(second)) else {
        return Phase::NoCommonRate;
    };
    // Harmonic k of period P repeats k/P times a microsecond.
    let product = |harmonic: u32, period: Micros| i128::from(harmonic) * i128::from(period.0);
    let in_first = product(one, second.period());
    let in_second = product(other, first.period());
    let (rate_harmonic, rate_period) = if in_first >= in_second {
        (one, first.period())
    } else {
        (other, second.period())
    };
    if in_first.max(in_second) % in_first.min(in_second) != 0 {
        return Phase::NoCommonRate;
    }
    let angle_of = |light: &Waveform| {
        let harmonic = product(rate_harmonic, light.period()) / i128::from(rate_period.0);
        let component = Component::of(light, u32::try_from(harmonic).ok()?);
        component.is_clear(light).then(|| component.angle())
    };
    let (Some(first_angle), Some(second_angle)) = (angle_of(first), angle_of(second)) else {
        return Phase::NoCommonRate;
    };
    let turns = (first_angle - second_angle) / std::f64::consts::TAU;
    let degrees = libm::round(360e6 * (turns - libm::floor(turns))) / 1e6;
    Phase::Angle {
        degrees: if degrees >= 360.0 { 0.0 } else { degrees },
        rate: Rate {
            flashes: rate_harmonic as usize,
            period: rate_period,
        },
    }
}

/// The highest harmonic looked at for a light's own rate.
const HIGHEST_HARMONIC: u32 = 16;

/// The lowest harmonic of the light's period with a clear component.
fn own_harmonic(light: &Waveform) -> Option<u32> {
    let edges: Vec<Edge> = Edge::all(light, 1);
    let mut turned = edges.clone();
    for harmonic in 1..=HIGHEST_HARMONIC {
        if Component::sum(&turned, harmonic).is_clear(light) {
            return Some(harmonic);
        }
        for (edge, base) in turned.iter_mut().zip(&edges) {
            (edge.cos, edge.sin) = (
                edge.cos * base.cos - edge.sin * base.sin,
                edge.cos * base.sin + edge.sin * base.cos,
            );
        }
    }
    None
}

/// A change of the light, and where in the turn of a harmonic it comes.
#[derive(Clone, Copy)]
struct Edge {
    change: f64,
    cos: f64,
    sin: f64,
}

impl Edge {
    #[expect(
        clippy::cast_precision_loss,
        reason = "lights and periods stay far below 2^53"
    )]
    fn all(light: &Waveform, harmonic: u32) -> Vec<Self> {
        let period = light.period().0;
        light
            .edges()
            .into_iter()
            .map(|(at, before, after)| {
                let within = i128::from(at.0) * i128::from(harmonic) % i128::from(period);
                let (sin, cos) =
                    crate::sincos(std::f64::consts::TAU * within as f64 / period as f64);
                Self {
                    change: (after - before) as f64,
                    cos,
                    sin,
                }
            })
            .collect()
    }
}

/// A Fourier component relative to the period: `(1/P) times the integral of light(t) exp(-i 2 pi k t / P)`.
struct Component {
    real: f64,
    imaginary: f64,
}

impl Component {
    fn of(light: &Waveform, harmonic: u32) -> Self {
        Self::sum(&Edge::all(light, harmonic), harmonic)
    }

    /// Integrated by parts over the edges: the sum of changes times `exp(-i ...)`, over `i 2 pi k`.
    fn sum(edges: &[Edge], harmonic: u32) -> Self {
        let mut cos = 0.0;
        let mut sin = 0.0;
        for edge in edges {
            cos += edge.change * edge.cos;
            sin += edge.change * edge.sin;
        }
        let scale = std::f64::consts::TAU * f64::from(harmonic);
        Self {
            real: -sin / scale,
            imaginary: -cos / scale,
        }
    }

    /// At least a fifth of what a short flash of light, or of dark, with the same mean would have.
    fn is_clear(&self, light: &Waveform) -> bool {
        let mean = Ratio::new(light.integral(), i128::from(light.period().0));
        let above = mean.minus(Ratio::whole(light.minimum()));
        let below = Ratio::whole(light.maximum()).minus(mean);
        let size = above.min(below).as_f64() / 5.0;
        self.real * self.real + self.imaginary * self.imaginary >= size * size
    }

    fn angle(&self) -> f64 {
        libm::atan2(self.imaginary, self.real)
    }
}
